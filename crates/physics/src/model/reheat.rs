//! The part in the furnace before its quench: how it gets hot, what scales off, what carbon is left.
//!
//! Heat comes in by radiation of the walls and by convection, through the same conduction as the
//! quench, with the heating curve of carbon steel that contains the change to austenite. A cycle that
//! a couple on the part wrote stands for that whole part of the answer. Carbon then moves by
//! [`skin`], driven by the temperature of the surface. It does not know what the austenite becomes.
//!
//! A cover is not modelled as a body: it keeps the air away, and what it does to the heat is for the
//! caller to say by the emissivity.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Length, Remark, SourceKey, Span, Temperature};

use crate::law::scaling::{self, steel_lost_along};
use crate::law::transformation_temperature::ac1_andrews;
use crate::law::{ferrite_carbon, steel_thermal};
use crate::model::carbon::outcome::GRAMS_PER_M3;
use crate::model::quench::conduction::cool;
use crate::model::quench::{self, Body, Film, Material, QuenchRun, Stage};
use crate::model::transform::{Lines, Shifts};
use crate::numerics::interpolate::linear_clamped;
use crate::run::{Failure, ReheatRun};
use crate::setup::{Cover, CycleOf, ReheatSetup, Shape};

pub(crate) mod skin;
pub(crate) mod stay;
#[cfg(test)]
mod tests;

pub(crate) use skin::{Section, Ways};
pub(crate) use stay::{Depths, Hold, graded, stay};

/// A part is hot through when no depth is farther from the furnace than this, in kelvin.
const THROUGH_K: f64 = 5.0;
/// Layers of the answer from the surface to the middle, and their first spacing in metres.
const LAYERS: (usize, f64) = (100, 5e-6);
/// The lines of the steel are taken at steps of this many kelvin on the way up: between two of them
/// the carbon beside ferrite moves by 0.02 wt%.
const LINES_EVERY_K: f64 = 4.0;

/// Steel on heating, its change to austenite included.
struct Heating;

impl Material for Heating {
    fn conductivity_w_m_k(&self, _: usize, t_k: f64) -> f64 {
        steel_thermal::heating_conductivity(Temperature::from_k(t_k.max(1.0)))
            .value
            .to_w_m_k()
    }
    fn slope_j_m3_k(&self, _: usize, t_k: f64) -> f64 {
        steel_thermal::DENSITY_KG_M3 * steel_thermal::specific_heat_j_kg_k(t_k - ICE_POINT_K)
    }
    fn enthalpy_j_m3(&self, _: usize, t_k: f64) -> f64 {
        steel_thermal::heating_enthalpy_j_m3(t_k - ICE_POINT_K)
    }
    fn advance(&mut self, _: usize, _: f64, _: f64, _: f64) -> f64 {
        0.0
    }
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources(bare: bool) -> Vec<SourceKey> {
    let mut keys = steel_thermal::SOURCES.to_vec();
    keys.extend(ferrite_carbon::SOURCES);
    keys.extend(["agren-1986", "radiation-handbook"]);
    if bare {
        keys.extend(scaling::SOURCES);
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Heats the part along its cycle.
///
/// # Errors
/// When the setup cannot be simulated or a model did not settle.
pub fn reheat(setup: &ReheatSetup) -> Result<ReheatRun, Failure> {
    check(setup)?;
    let body = quench::section(setup.shape)?;
    let heating = match setup.cycle_of {
        CycleOf::Furnace => Some(heat(setup, &body)?),
        CycleOf::Part => None,
    };
    let (time_s, surface_k) = match &heating {
        Some(run) => (run.time_s.clone(), run.curve_at(Length::ZERO)),
        None => own_record(setup),
    };
    let mut remarks = Vec::new();
    let soaked_after = heating.as_ref().and_then(|run| soaked(setup, run));
    if heating.is_some() && soaked_after.is_none() {
        remarks.push(Remark::new(
            "not-soaked",
            format!(
                "the middle does not come within {THROUGH_K:.0} K of the furnace before the end of the cycle: its core is not what this temperature makes of it"
            ),
        ));
    }
    let before = before(setup, &body);
    let whole_m = before.depth_m[before.depth_m.len() - 1];
    let scaled = lost_along(setup, &time_s, &surface_k, whole_m, &mut remarks);
    let (stayed, above_s) = carbon(setup, &before, &time_s, &surface_k, &scaled)?;
    Ok(ReheatRun {
        heating,
        soaked_after,
        above_ac1: Span::from_s(above_s),
        poor_to: poor_to(setup, &stayed, &before.depth_m),
        scaled: Length::from_m(stayed.lost_m),
        carbon_lost_g_m2: stayed.lost_y_m * GRAMS_PER_M3,
        carbon_balance_error: stayed.balance_error,
        depth_m: before.depth_m,
        before_wt_pct: before.carbon_wt_pct,
        carbon_wt_pct: stayed.carbon_wt_pct,
        remarks,
        sources: sources(setup.cover == Cover::Bare),
    })
}

/// The furnace's cycle as stages of the conduction.
fn heat(setup: &ReheatSetup, body: &Body) -> Result<QuenchRun, Failure> {
    let stages: Vec<Stage> = setup
        .cycle
        .pieces
        .iter()
        .filter(|piece| piece.duration.to_s() > 0.0)
        .map(|piece| Stage {
            ambient_k: piece.from.to_k(),
            drift_k_s: (piece.to - piece.from).to_k() / piece.duration.to_s(),
            film: Film::Furnace {
                emissivity: setup.emissivity,
                convection_w_m2_k: setup.convection.to_w_m2_k(),
            },
            lasts_s: Some(piece.duration.to_s()),
        })
        .collect();
    cool(body, &mut Heating, setup.start.to_k(), &stages)
}

/// Time and temperature of a cycle that is the part's own.
fn own_record(setup: &ReheatSetup) -> (Vec<f64>, Vec<f64>) {
    let (mut time, mut temperature) = (vec![0.0], vec![setup.start.to_k()]);
    let mut now = 0.0;
    for piece in &setup.cycle.pieces {
        let span_s = piece.duration.to_s();
        // Ten kelvin at most between two points, so that rates are well summed.
        let parts = ((piece.to - piece.from).to_k().abs() / 10.0)
            .ceil()
            .max(8.0);
        for k in 0..=parts as u32 {
            let share = f64::from(k) / parts;
            time.push(now + share * span_s);
            temperature.push(piece.from.to_k() + share * (piece.to - piece.from).to_k());
        }
        now += span_s;
    }
    (time, temperature)
}

/// First time from which every depth stays within [`THROUGH_K`] of the furnace until the end of the
/// piece it was reached in.
fn soaked(setup: &ReheatSetup, run: &QuenchRun) -> Option<Span> {
    let n = run.depth_m.len();
    let far = |k: usize| {
        let around_k = furnace_k(setup, run.time_s[k]);
        run.temperature_k[k * n..(k + 1) * n]
            .iter()
            .fold(0.0_f64, |far, t| far.max((t - around_k).abs()))
    };
    let last = (0..run.time_s.len()).rev().find(|k| far(*k) > THROUGH_K);
    match last {
        None => Some(Span::ZERO),
        Some(k) if k + 1 == run.time_s.len() => None,
        Some(k) => {
            let (a, b) = (far(k), far(k + 1));
            let share = if a > b {
                (a - THROUGH_K) / (a - b)
            } else {
                1.0
            };
            Some(Span::from_s(
                run.time_s[k] + share * (run.time_s[k + 1] - run.time_s[k]),
            ))
        }
    }
}

fn furnace_k(setup: &ReheatSetup, time_s: f64) -> f64 {
    let mut from_s = 0.0;
    let mut last_k = setup.start.to_k();
    for piece in &setup.cycle.pieces {
        let span_s = piece.duration.to_s();
        if time_s <= from_s + span_s && span_s > 0.0 {
            let share = (time_s - from_s) / span_s;
            return piece.from.to_k() + share * (piece.to - piece.from).to_k();
        }
        from_s += span_s;
        last_k = piece.to.to_k();
    }
    last_k
}

/// The profile on layers of its own.
fn before(setup: &ReheatSetup, body: &Body) -> Depths {
    let whole_m = body.depth_m[body.len() - 1];
    let half_m = if body.has_bore {
        whole_m / 2.0
    } else {
        whole_m
    };
    let depth_m = graded(half_m, LAYERS.1, LAYERS.0);
    let core = setup
        .composition
        .get(casewright_terms::Element::C)
        .to_wt_pct();
    let carbon_wt_pct = if setup.profile.is_empty() {
        vec![core; depth_m.len()]
    } else {
        let places: Vec<f64> = setup.profile.iter().map(|p| p.0.to_m()).collect();
        let carbon: Vec<f64> = setup.profile.iter().map(|p| p.1.to_wt_pct()).collect();
        depth_m
            .iter()
            .map(|d| linear_clamped(&places, &carbon, *d))
            .collect()
    };
    Depths {
        depth_m,
        carbon_wt_pct,
    }
}

/// Steel lost up to each time; nothing where air does not come.
fn lost_along(
    setup: &ReheatSetup,
    time_s: &[f64],
    surface_k: &[f64],
    half_m: f64,
    remarks: &mut Vec<Remark>,
) -> Vec<f64> {
    if setup.cover == Cover::Protected {
        return vec![0.0; time_s.len()];
    }
    let lost = steel_lost_along(time_s, surface_k);
    let whole = lost.last().copied().unwrap_or(0.0);
    remarks.push(Remark::new(
        "bare-reheat",
        format!(
            "bare in air about {:.0} µm of steel per side turn to scale (known to a factor of two), and carbon leaves the skin; depths count from the surface under the scale",
            Length::from_m(whole).to_mm() * 1e3
        ),
    ));
    if whole > half_m / 2.0 {
        remarks.push(Remark::new(
            "scale-deep",
            "the scale would take half of the section; it is stopped there".to_owned(),
        ));
    }
    lost.into_iter().map(|l| l.min(half_m / 2.0)).collect()
}

/// The lines of the steel at the temperatures of a record, made once each.
struct Atlas<'a> {
    setup: &'a ReheatSetup,
    ac1_k: f64,
    pages: Vec<(i64, Option<Ways>)>,
}

impl Atlas<'_> {
    /// `None` where nothing moves.
    fn at(&mut self, t_k: f64) -> Result<Option<Ways>, Failure> {
        if t_k <= self.ac1_k {
            return Ok(None);
        }
        let page = ((t_k - self.ac1_k) / LINES_EVERY_K) as i64;
        if let Some((_, ways)) = self.pages.iter().find(|(p, _)| *p == page) {
            return Ok(*ways);
        }
        let setup = self.setup;
        let shifts = Shifts {
            ferrite: setup.ae3_shift,
            carbide: setup.saturation_shift,
        };
        let lines =
            Lines::at(&setup.composition, Temperature::from_k(t_k), shifts).map_err(|why| {
                Failure::Setup {
                    what: why.to_string(),
                }
            })?;
        let ways = Ways::new(&lines, t_k, setup.diffusivity, setup.diffusivity_factor);
        self.pages.push((page, ways));
        Ok(ways)
    }
}

/// The carbon along the record; also how long it could move.
fn carbon(
    setup: &ReheatSetup,
    before: &Depths,
    time_s: &[f64],
    surface_k: &[f64],
    lost_m: &[f64],
) -> Result<(stay::Stayed, f64), Failure> {
    let half_m = before.depth_m[before.depth_m.len() - 1];
    let section = Section::new(setup.shape, half_m);
    let bare = setup.cover == Cover::Bare;
    let mut march = stay::march(before, section, bare);
    let ac1_k = ac1_andrews(&setup.composition).value.to_k();
    let mut atlas = Atlas {
        setup,
        ac1_k,
        pages: Vec::new(),
    };
    let end_s = time_s[time_s.len() - 1];
    let mut then_s = surface_k
        .iter()
        .position(|t| *t > ac1_k)
        .map_or(end_s, |i| time_s[i.saturating_sub(1)]);
    let begin_s = then_s;
    let mut above_s = 0.0;
    for share in skin::by_root(2 * stay::BARE_STEPS) {
        let now_s = begin_s + share * (end_s - begin_s);
        let t_k = linear_clamped(time_s, surface_k, (then_s + now_s) / 2.0);
        let ways = atlas.at(t_k)?;
        above_s += if ways.is_some() { now_s - then_s } else { 0.0 };
        let leg = skin::Leg {
            lasts_s: now_s - then_s,
            lost_m: linear_clamped(time_s, lost_m, now_s),
        };
        if !march.go(&ways.unwrap_or_else(Ways::still), leg) {
            return Err(stay::not_settled(then_s));
        }
        then_s = now_s;
    }
    let whole = lost_m.last().copied().unwrap_or(0.0);
    Ok((stay::read(before, whole, &march.left()), above_s))
}

/// Where a bare skin's carbon is highest: outward from there it falls to the air.
fn poor_to(setup: &ReheatSetup, stayed: &stay::Stayed, depth_m: &[f64]) -> Length {
    if setup.cover == Cover::Protected {
        return Length::ZERO;
    }
    let mut best = (0.0, f64::NEG_INFINITY);
    for (depth, carbon) in depth_m.iter().zip(&stayed.carbon_wt_pct) {
        // A rise of less than a thousandth is the middle's plateau.
        if *carbon > best.1 + 1e-3 {
            best = (*depth, *carbon);
        }
    }
    Length::from_m(best.0)
}

fn check(setup: &ReheatSetup) -> Result<(), Failure> {
    let refuse = |what: String| Err(Failure::Setup { what });
    if !(setup.emissivity > 0.0 && setup.emissivity <= 1.0) {
        return refuse(format!(
            "an emissivity of {} is not above 0 and at most 1",
            setup.emissivity
        ));
    }
    let convection = setup.convection.to_w_m2_k();
    if !(0.0..=1000.0).contains(&convection) {
        return refuse(format!(
            "a convection of {convection} W/(m²·K) is not between 0 and 1000"
        ));
    }
    if !(0.01..=100.0).contains(&setup.diffusivity_factor) {
        return refuse(format!(
            "a factor of {} on the diffusivity is not between 0.01 and 100",
            setup.diffusivity_factor
        ));
    }
    let hottest = setup
        .cycle
        .pieces
        .iter()
        .map(|piece| piece.from.to_c().max(piece.to.to_c()))
        .fold(f64::NEG_INFINITY, f64::max);
    let span: f64 = setup.cycle.pieces.iter().map(|p| p.duration.to_h()).sum();
    if !(hottest <= 1200.0 && span > 0.0 && span <= 100.0) {
        return refuse(format!(
            "a reheat to {hottest:.0} °C over {span:.2} h is not at most 1200 °C and between 0 and 100 h"
        ));
    }
    if setup.cycle.pieces.iter().any(|p| p.duration.to_s() < 0.0) {
        return refuse("a piece of the cycle takes less than no time".to_owned());
    }
    if let Some(pair) = setup.profile.windows(2).find(|p| p[1].0 <= p[0].0) {
        return refuse(format!(
            "the depths of the carbon profile must rise; {} mm follows {} mm",
            pair[1].0.to_mm(),
            pair[0].0.to_mm()
        ));
    }
    if let Shape::Tube {
        inner_radius,
        outer_radius,
    } = setup.shape
        && inner_radius >= outer_radius
    {
        return refuse("the tube's inner radius is not smaller than its outer radius".to_owned());
    }
    Ok(())
}
