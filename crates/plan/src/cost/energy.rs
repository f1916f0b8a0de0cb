//! Electrical work, heat by heat: the boxes by their own run in three dimensions, the reheats and the
//! temper by the empty furnace and what the work takes up.

use casewright_job::shop::Furnace;
use casewright_job::spec::Spec;
use casewright_physics::law::steel_thermal;
use casewright_physics::model::box_heat::furnace_work;
use casewright_physics::setup::{BoxFurnace, Survey};
use casewright_terms::{Band, Mass, Span, Temperature, TemperatureStep};

use crate::outcome::{Plan, Step, StepKind};
use crate::setup;

/// A furnace is cold when it is switched on.
const ROOM_C: f64 = 25.0;
/// What boxes and parts take up is known to this share: masses are weighed or drawn, heat capacities
/// are those of the law. [box-prior-assumed]
const HELD: f64 = 0.1;
/// What the furnace takes for itself is known to this factor: its lining is assumed.
/// [furnace-assumed]
const LINING: f64 = 1.5;
/// Basket, foil and hooks of a reheat, over the parts. [trade-practice]
const WITH_BASKET: f64 = 1.1;

/// One heat of a furnace or an oven, all loads.
#[derive(Clone, Debug, PartialEq)]
pub struct Heat {
    /// What it is for.
    pub kind: StepKind,
    /// Which furnace or oven.
    pub furnace: String,
    /// How long it is in use.
    pub lasts: Span,
    /// From the mains, kWh; `None` where it could not be reckoned.
    pub energy_kwh: Option<Band<f64>>,
}

/// All heats; `None` where the plan names a furnace that the shop does not have.
pub(super) fn heats(spec: &Spec, plan: &Plan, loads: f64) -> Option<Vec<Heat>> {
    let mut list = Vec::new();
    let mut hot = false;
    for step in &plan.steps {
        let lasts = step.ends.after - step.begins.after;
        let (furnace, energy, lasts) = match step.kind {
            StepKind::Carburize => {
                let furnace = own(&spec.shop.furnaces, step)?;
                (furnace, in_box(plan, furnace), lasts)
            }
            // A direct quench drops in the furnace: its own run has that already.
            StepKind::Cool if step.temperature.is_some() => continue,
            StepKind::Reheat => {
                let furnace = own(&spec.shop.furnaces, step)?;
                // The second of two reheats finds the furnace hot.
                let energy = heated(spec, plan, furnace, step, lasts, hot);
                hot = true;
                (furnace, energy, lasts)
            }
            StepKind::Temper => {
                let Some(oven) = own(&spec.shop.ovens, step) else {
                    continue;
                };
                (
                    oven,
                    heated(spec, plan, oven, step, step.soak?, false),
                    lasts,
                )
            }
            _ => continue,
        };
        list.push(Heat {
            kind: step.kind,
            furnace: furnace.id.clone(),
            lasts: lasts * loads,
            energy_kwh: energy.map(|band| band.map(|kwh| kwh * loads)),
        });
    }
    Some(list)
}

/// The sum; `None` where one of them is not known.
pub(super) fn sum(heats: &[Heat]) -> Option<Band<f64>> {
    let zero = Band {
        low: 0.0,
        mid: 0.0,
        high: 0.0,
    };
    heats.iter().try_fold(zero, |held, heat| {
        let own = heat.energy_kwh?;
        Some(Band {
            low: held.low + own.low,
            mid: held.mid + own.mid,
            high: held.high + own.high,
        })
    })
}

fn own<'s>(furnaces: &'s [Furnace], step: &Step) -> Option<&'s Furnace> {
    furnaces
        .iter()
        .find(|f| step.equipment.as_ref() == Some(&f.id))
}

fn physical(furnace: &Furnace) -> BoxFurnace {
    let [width, height, depth] = furnace.inside;
    let zero = TemperatureStep::ZERO;
    BoxFurnace {
        chamber: [width, depth, height],
        power: furnace.power,
        survey: Survey {
            at: furnace.max,
            door: zero,
            back: zero,
            hearth: zero,
            roof: zero,
        },
        couple_lag: Span::ZERO,
        band: TemperatureStep::from_k(2.0),
        load_at: Temperature::from_c(ROOM_C),
        exchange_factor: 1.0,
    }
}

/// The box heat by the boxes' own run, moved to the plan's soak by what holding costs.
fn in_box(plan: &Plan, furnace: &Furnace) -> Option<Band<f64>> {
    let heat = plan.pack_heat.as_ref()?;
    let (work, held) = heat.work_kwh;
    let empty = furnace_work(&physical(furnace), plan.temperature, plan.soak).ok()?;
    let more = (plan.soak - heat.work_soak).to_h() * empty.held.to_kw();
    Some(band(held, work + more - held))
}

/// A reheat or a temper: the empty furnace from cold, or only held where it is hot already, and what
/// the parts take up.
fn heated(
    spec: &Spec,
    plan: &Plan,
    furnace: &Furnace,
    step: &Step,
    hold: Span,
    hot: bool,
) -> Option<Band<f64>> {
    let at = step.temperature?;
    let empty = furnace_work(&physical(furnace), at, hold).ok()?;
    let itself = if hot {
        empty.held.to_kw() * hold.to_h()
    } else {
        empty.work_kwh
    };
    let together = f64::from(plan.pack.boxes.div_ceil(plan.loads.len().max(1) as u32));
    let parts = setup::part_mass(spec.part.shape) * (plan.pack.parts.len() as f64 * together);
    Some(band(taken_up_kwh(parts * WITH_BASKET, at), itself))
}

fn band(held: f64, itself: f64) -> Band<f64> {
    let itself = itself.max(0.0);
    Band {
        low: held * (1.0 - HELD) + itself / LINING,
        mid: held + itself,
        high: held * (1.0 + HELD) + itself * LINING,
    }
}

/// Heat of steel from the shop's temperature, by the law's heat capacity in steps of a few kelvin.
pub(super) fn taken_up_kwh(mass: Mass, to: Temperature) -> f64 {
    const STEPS: usize = 200;
    let rise_k = to.to_c() - ROOM_C;
    let step_k = rise_k / STEPS as f64;
    let j_kg: f64 = (0..STEPS)
        .map(|i| {
            let at = Temperature::from_c(ROOM_C + (i as f64 + 0.5) * step_k);
            steel_thermal::heating_specific_heat_j_kg_k(at).value * step_k
        })
        .sum();
    mass.to_kg() * j_kg / 3.6e6
}
