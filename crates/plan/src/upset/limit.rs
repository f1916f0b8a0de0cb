//! How much of a mishap the middle run bears before it leaves the note, by halving.
//!
//! For mishaps that have a size and are run quickly; a power cut is not among them, since each size
//! of it is a run of the boxes.

use casewright_terms::{Span, Temperature, TemperatureStep, UnitSystem};

use super::{Upset, act};
use crate::again::Again;

/// Halvings: the size is known to a thirty-second of the way.
const HALVINGS: usize = 5;
/// A size is looked for up to so many times the one asked for.
const UP_TO: f64 = 4.0;

/// The size at which the middle run leaves the note, in words; `None` where it has no size.
pub(super) fn borne(again: &Again<'_>, upset: Upset) -> Option<String> {
    if !again.seen.meets(&again.demand) {
        return None;
    }
    let scaled = |by: f64| scaled(again, upset, by);
    let meets = |by: f64| {
        let (_, seen) = act::seen(again, scaled(by)?).ok()?;
        Some(seen.meets(&again.demand))
    };
    if meets(UP_TO)? {
        return words(again, scaled(UP_TO)?).map(|size| format!("still in the note at {size}"));
    }
    let (mut bears, mut leaves) = (0.0, UP_TO);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(bears, leaves);
        if meets(middle)? {
            bears = middle;
        } else {
            leaves = middle;
        }
    }
    if bears == 0.0 {
        return Some("nearly none of it".to_owned());
    }
    words(again, scaled(bears)?).map(|size| format!("in the note up to about {size}"))
}

/// The same mishap so many times as large.
fn scaled(again: &Again<'_>, upset: Upset, by: f64) -> Option<Upset> {
    let recipe = &again.recipe;
    let from = |planned: Temperature, to: Temperature| planned + (to - planned) * by;
    Some(match upset {
        Upset::LateStart(span) => Upset::LateStart(span * by),
        Upset::LatePull(span) => Upset::LatePull(span * by),
        Upset::SetWrong(step) => Upset::SetWrong(step * by),
        Upset::FurnaceOff(step) => Upset::FurnaceOff(step * by),
        Upset::Transfer(span) => {
            let more = span - recipe.tank.transfer;
            (more > Span::ZERO).then(|| Upset::Transfer(recipe.tank.transfer + more * by))?
        }
        Upset::Bath(bath) if bath > recipe.tank.bath => {
            // Beyond what the tank may hold there is nothing to bear.
            let most = match recipe.tank.flash_point {
                Some(flash) => flash - TemperatureStep::from_k(28.0),
                None => Temperature::from_c(80.0),
            };
            Upset::Bath(from(recipe.tank.bath, bath).min(most))
        }
        Upset::Temper(at) if at > recipe.temper.temperature => {
            Upset::Temper(from(recipe.temper.temperature, at))
        }
        _ => return None,
    })
}

fn words(again: &Again<'_>, upset: Upset) -> Option<String> {
    let units = again.spec.units;
    let step = |step: TemperatureStep| match units {
        UnitSystem::Inch => format!("{:.0} °F", step.to_f().abs()),
        UnitSystem::Metric => format!("{:.0} °C", step.to_k().abs()),
    };
    Some(match upset {
        Upset::LateStart(span) => format!("{} late", span.text()),
        Upset::LatePull(span) if span < Span::ZERO => {
            format!("{} early", (Span::ZERO - span).text())
        }
        Upset::LatePull(span) => format!("{} late", span.text()),
        Upset::SetWrong(by) | Upset::FurnaceOff(by) => step(by),
        Upset::Transfer(span) => span.text(),
        Upset::Bath(at) | Upset::Temper(at) => at.text(units),
        _ => return None,
    })
}
