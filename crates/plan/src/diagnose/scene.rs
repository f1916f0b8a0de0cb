//! The lot's own run, taken up again from its plan, and what becomes of it when one thing goes another
//! way. Everything that a cause is said to do to the steel is computed here by the engine.

use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::model::chain;
use casewright_physics::run::{CarbonRun, Layers};
use casewright_physics::setup::{
    Austenitise, CarbonSetup, ChainSetup, Cycle, DiffusivityModel, Ramp, SubZero, Surface, Temper,
};
use casewright_physics::simulate;
use casewright_terms::{
    Composition, Element, Length, Span, Temperature, TemperatureStep, WeightPercent,
};

use super::data::{Class, Data};
use super::work::CLASSES;
use crate::demand::Demand;
use crate::outcome::{Plan, PlanReport, StepKind};
use crate::pack::charge;
use crate::recipe::{Matter, grain_before_quench};
use crate::setup;

/// Error asked of the carbon profile, far below any doubt here.
const TOLERANCE_WT_PCT: f64 = 2e-3;
/// Pieces of the box's cycle hotter than this are those that carburize, in °C; below it nothing useful
/// is taken up. [trade-practice]
const HOT_C: f64 = 700.0;
/// Least doubt of the depth and of the hardness as shares (a standard deviation), where the plan's band
/// is narrower than what two lots of one plan differ by. [reading-scatter-assumed]
const LEAST_DEPTH_DOUBT: f64 = 0.05;
const LEAST_HARDNESS_DOUBT: f64 = 0.012;
/// Half-width of 90 % in standard deviations.
const Z_90: f64 = 1.645;

/// The plan's run.
pub(super) struct Scene<'a> {
    pub(super) spec: &'a Spec,
    pub(super) plan: &'a Plan,
    pub(super) demand: &'a Demand,
    /// What the chain is run with when everything goes by the plan.
    pub(super) setup: ChainSetup,
    /// Carbon after the box, by the plan.
    pub(super) carbon: CarbonRun,
    /// Kinds of pieces that are made, the lot's own first.
    pub(super) classes: Vec<Class>,
    /// Standard deviation of the depth as a share.
    pub(super) depth_doubt: f64,
    /// Standard deviation of the hardness as a share.
    pub(super) hardness_doubt: f64,
}

/// What went another way in the box. [`Box::PLAN`] is nothing.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct InBox {
    /// Factor on the time at heat.
    pub(super) soak: f64,
    /// The pack's heat against the plan.
    pub(super) heat: TemperatureStep,
    /// Factor on the transfer of carbon.
    pub(super) transfer: f64,
    /// No carbon at all was taken up.
    pub(super) none: bool,
    /// Another steel.
    pub(super) steel: Option<Composition>,
    /// Time for which air reached the hot parts at the end.
    pub(super) air: Span,
}

impl InBox {
    pub(super) const PLAN: Self = Self {
        soak: 1.0,
        heat: TemperatureStep::ZERO,
        transfer: 1.0,
        none: false,
        steel: None,
        air: Span::ZERO,
    };
}

/// What went another way afterwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct After {
    /// The last reheat lay bare for so long.
    pub(super) bare: Option<Span>,
    /// Factor on the quench.
    pub(super) severity: f64,
    /// The heat before the quench against the plan.
    pub(super) heat: TemperatureStep,
    /// The temper was at this heat.
    pub(super) temper: Option<Temperature>,
    /// Chilled to this before the temper.
    pub(super) cold: Option<Temperature>,
}

impl After {
    pub(super) const PLAN: Self = Self {
        bare: None,
        severity: 1.0,
        heat: TemperatureStep::ZERO,
        temper: None,
        cold: None,
    };
}

impl<'a> Scene<'a> {
    /// Takes the plan's run up again; `None` where the report has no plan or its run cannot be made
    /// again (a tank or a compound that the shop no longer has).
    pub(super) fn of(spec: &'a Spec, report: &'a PlanReport, demand: &'a Demand) -> Option<Self> {
        let plan = report.plan.as_ref()?;
        let matter = Matter::of(spec)?;
        let lot = charge::charges(spec)
            .into_iter()
            .find(|charge| charge.lot.id == plan.pack.compound_id)?
            .lot;
        let tank = spec
            .shop
            .tanks
            .iter()
            .find(|tank| tank.id == plan.quench.tank)?;
        let steps = |kind: StepKind| plan.steps.iter().filter(move |step| step.kind == kind);
        let temper = steps(StepKind::Temper).next()?;
        let setup = ChainSetup {
            carbon: CarbonSetup {
                composition: matter.composition,
                shape: matter.shape,
                diffusivity: DiffusivityModel::Agren1986,
                diffusivity_factor: 1.0,
                surface: setup::pack_surface(&lot),
                cycle: cycle(&plan.part_curve),
                tolerance: WeightPercent::from_wt_pct(TOLERANCE_WT_PCT),
                saturation_shift: TemperatureStep::ZERO,
            },
            reheats: steps(StepKind::Reheat)
                .filter_map(|step| {
                    Some(Austenitise {
                        temperature: step.temperature?,
                        soak: step.soak?,
                        bare: false,
                    })
                })
                .collect(),
            direct_from: (plan.route == Route::Direct)
                .then(|| steps(StepKind::Cool).find_map(|step| step.temperature))
                .flatten(),
            quench: setup::quench(tank),
            temper: Some(Temper {
                temperature: temper.temperature?,
                soak: temper.soak?,
            }),
            grain_number: grain_before_quench(plan.route, plan.temperature),
            quench_shape: matter.shape,
            kinetics_factor: 1.0,
            hardness_shift: 0.0,
            ae3_shift: TemperatureStep::ZERO,
        };
        let carbon = simulate::carbon(&setup.carbon).ok()?;
        let share = |low: f64, mid: f64, high: f64| (high - low) / (2.0 * Z_90 * mid.max(1e-9));
        let prediction = report.prediction.as_ref();
        let depth_doubt = prediction.and_then(|p| p.case_depth).map_or(0.1, |band| {
            share(band.low.to_m(), band.mid.to_m(), band.high.to_m())
        });
        let hardness_doubt = prediction.map_or(0.02, |p| {
            let band = p.surface;
            share(band.low.to_hv(), band.mid.to_hv(), band.high.to_hv())
        });
        Some(Self {
            spec,
            plan,
            demand,
            setup,
            carbon,
            classes: CLASSES.to_vec(),
            depth_doubt: depth_doubt.clamp(LEAST_DEPTH_DOUBT, 0.4),
            hardness_doubt: hardness_doubt.clamp(LEAST_HARDNESS_DOUBT, 0.1),
        })
    }

    /// Makes only the pieces that were read, and the lot's own.
    pub(super) fn only_what_was_read(&mut self, data: &Data) {
        let read = |class: &Class| {
            data.readings.iter().any(|d| d.class == *class)
                || data.sights.iter().any(|s| s.class == *class)
        };
        let soft = data.on_soft_area();
        self.classes
            .retain(|class| *class == CLASSES[0] || read(class) || (soft && *class == CLASSES[2]));
    }

    /// Usual scatter of the depth from piece to piece in one box, a standard deviation as a share.
    /// [handbook-pack-scatter]
    pub(super) fn place_doubt(&self) -> f64 {
        let aim = self.plan.depth.aim.to_m().max(1e-6);
        (crate::demand::scatter(self.demand.depth_min).to_m() / Z_90 / aim).clamp(0.01, 0.2)
    }

    /// Whether the parts are heated once more before the quench.
    pub(super) fn reheated(&self) -> bool {
        !self.setup.reheats.is_empty()
    }

    /// Carbon when the box is opened.
    pub(super) fn boxed(&self, way: &InBox) -> Option<CarbonRun> {
        if way.soak == 1.0
            && way.heat == TemperatureStep::ZERO
            && way.transfer == 1.0
            && way.steel.is_none()
        {
            return Some(if way.none {
                self.uncased(None)
            } else {
                self.carbon.clone()
            });
        }
        if way.none {
            return Some(self.uncased(way.steel.as_ref()));
        }
        let mut carbon = self.setup.carbon.clone();
        carbon.cycle = bent(&carbon.cycle, way.soak, way.heat);
        if let Some(steel) = way.steel {
            carbon.composition = steel;
        }
        if let Surface::Pack { coefficient, .. } = &mut carbon.surface {
            *coefficient = *coefficient * way.transfer;
        }
        simulate::carbon(&carbon).ok()
    }

    /// The steel without a case.
    pub(super) fn uncased(&self, steel: Option<&Composition>) -> CarbonRun {
        let core = steel
            .unwrap_or(&self.setup.carbon.composition)
            .wt_pct(Element::C);
        CarbonRun {
            carbon_wt_pct: vec![core; self.carbon.depth_m.len()],
            carbide_wt_pct: vec![0.0; self.carbon.depth_m.len()],
            uptake_g_m2: 0.0,
            ..self.carbon.clone()
        }
    }

    /// Hardens a piece; `None` where the engine gives no answer.
    pub(super) fn harden(&self, carbon: &CarbonRun, way: &InBox, after: &After) -> Option<Layers> {
        let mut setup = self.setup.clone();
        if let Some(steel) = way.steel {
            setup.carbon.composition = steel;
        }
        if let Some(heat) = setup.reheats.last_mut() {
            heat.temperature = heat.temperature + after.heat;
            if let Some(bare) = after.bare {
                heat.bare = true;
                heat.soak = bare;
            }
        } else if let Some(from) = &mut setup.direct_from {
            *from = *from + after.heat;
        }
        if way.air > Span::ZERO && self.reheated() {
            setup.reheats.insert(
                0,
                Austenitise {
                    temperature: self.plan.temperature,
                    soak: way.air,
                    bare: true,
                },
            );
        }
        setup.quench.severity_factor *= after.severity;
        if let (Some(temper), Some(heat)) = (&mut setup.temper, after.temper) {
            temper.temperature = heat;
        }
        let run = match after.cold {
            Some(temperature) => chain::harden_cold(
                carbon,
                &setup,
                &SubZero {
                    temperature,
                    wait: Span::from_h(1.0),
                },
            ),
            None => chain::harden(carbon, &setup),
        };
        run.ok().map(|run| run.layers)
    }

    /// What is ground off a finished face, per side; the most where it is not named.
    pub(super) fn stock(&self, face: Option<&str>) -> Length {
        let named = face.and_then(|face| {
            let mut all = self.spec.stock.iter();
            all.find(|stock| stock.face.eq_ignore_ascii_case(face))
        });
        let most = || self.spec.stock.iter().map(|s| s.per_side);
        named
            .map(|stock| stock.per_side)
            .or_else(|| most().reduce(Length::max))
            .unwrap_or(Length::ZERO)
    }
}

/// A curve of hours and °C as a cycle.
fn cycle(curve: &[(f64, f64)]) -> Cycle {
    Cycle {
        pieces: curve
            .windows(2)
            .map(|pair| Ramp {
                from: Temperature::from_c(pair[0].1),
                to: Temperature::from_c(pair[1].1),
                duration: Span::from_h((pair[1].0 - pair[0].0).max(0.0)),
            })
            .collect(),
    }
}

/// A cycle with another time at heat, the hot end of its way up included, and another heat.
fn bent(cycle: &Cycle, soak: f64, heat: TemperatureStep) -> Cycle {
    let hot = Temperature::from_c(HOT_C);
    let moved = |t: Temperature| if t > hot { t + heat } else { t };
    // Without a flat piece the hottest one stands for the soak.
    let held = cycle.longest_hot_hold().or_else(|| {
        let warmth = |k: &usize| cycle.pieces[*k].from.to_k() + cycle.pieces[*k].to.to_k();
        (0..cycle.pieces.len()).max_by(|a, b| warmth(a).total_cmp(&warmth(b)))
    });
    Cycle {
        pieces: cycle
            .pieces
            .iter()
            .enumerate()
            .map(|(k, piece)| Ramp {
                from: moved(piece.from),
                to: moved(piece.to),
                // A pack that is late has less of the way up behind it, too.
                duration: if held.is_some_and(|held| k <= held) && piece.to > hot {
                    piece.duration * soak
                } else {
                    piece.duration
                },
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bent_cycle_keeps_its_cold_pieces() {
        let ramp = |from: f64, to: f64, h: f64| Ramp {
            from: Temperature::from_c(from),
            to: Temperature::from_c(to),
            duration: Span::from_h(h),
        };
        let cycle = Cycle {
            pieces: vec![
                ramp(20.0, 600.0, 3.0),
                ramp(600.0, 900.0, 2.0),
                ramp(900.0, 900.0, 6.0),
                ramp(900.0, 100.0, 4.0),
            ],
        };
        let short = bent(&cycle, 0.5, TemperatureStep::from_k(-40.0));
        assert_eq!(short.pieces[1].duration, Span::from_h(1.0));
        assert_eq!(short.pieces[2].duration, Span::from_h(3.0));
        assert!((short.pieces[2].from.to_c() - 860.0).abs() < 1e-9);
        assert_eq!(short.pieces[0], cycle.pieces[0]);
        assert_eq!(short.pieces[3].duration, cycle.pieces[3].duration);
    }
}
