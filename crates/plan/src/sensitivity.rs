//! What a small slip does to the plan: runs of the whole chain with one thing changed.

use casewright_job::shop::CompoundLot;
use casewright_terms::{Fraction, Span, TemperatureStep, UnitSystem};
use rayon::prelude::*;

use crate::evaluate::Observed;
use crate::outlook::Change;
use crate::recipe::{Departure, Recipe};
use crate::search::{Bench, Candidate};

/// Compound that has been used and not made up. [trade-practice]
const USED_FRESH: f64 = 0.0;
/// Share of fresh compound from which a charge works like a fresh one. [trade-practice]
const LIKE_FRESH: f64 = 0.2;

/// What one change makes of the recipe; `None` where it would change nothing.
#[derive(Clone, Copy, Debug)]
enum Slip {
    Heat(f64),
    Time(f64),
    Fresh(f64),
    /// Factor on what the compound hands over; it is known to a factor of two only.
    Feeds(f64),
}

/// Ten degrees Fahrenheit, or five Celsius, and half an hour either way; all fresh and used
/// compound.
pub(crate) fn look(bench: &Bench<'_>, best: &Candidate<'_>) -> Vec<Change> {
    let slips = [
        Slip::Heat(1.0),
        Slip::Heat(-1.0),
        Slip::Time(30.0),
        Slip::Time(-30.0),
        Slip::Fresh(1.0),
        Slip::Fresh(USED_FRESH),
        Slip::Feeds(0.5),
        Slip::Feeds(2.0),
    ];
    let results: Vec<Option<Change>> = slips
        .par_iter()
        .map(|slip| change(bench, best, *slip))
        .collect();
    results.into_iter().flatten().collect()
}

fn change(bench: &Bench<'_>, best: &Candidate<'_>, slip: Slip) -> Option<Change> {
    let mut lot: CompoundLot = best.recipe.lot.clone();
    let mut recipe: Recipe<'_> = best.recipe.clone();
    let what = match slip {
        Slip::Heat(sign) => {
            let (step, words) = match bench.spec.units {
                UnitSystem::Inch => (TemperatureStep::from_f(10.0), "10 °F"),
                UnitSystem::Metric => (TemperatureStep::from_k(5.0), "5 °C"),
            };
            let step = TemperatureStep::from_k(sign * step.to_k());
            recipe.temperature = recipe.temperature + step;
            let way = if sign > 0.0 { "hotter" } else { "colder" };
            format!("box heat {words} {way}")
        }
        Slip::Time(minutes) => {
            let soak = recipe.soak + Span::from_min(minutes);
            if soak <= Span::ZERO {
                return None;
            }
            recipe.soak = soak;
            let way = if minutes > 0.0 { "longer" } else { "shorter" };
            format!("soak 30 min {way}")
        }
        Slip::Feeds(factor) => {
            let end = if factor < 1.0 { "half" } else { "twice" };
            format!("compound that hands carbon over {end} as fast as expected")
        }
        Slip::Fresh(fresh) => {
            let fresh = Fraction::from_ratio(fresh);
            // A charge that works like a fresh one gains nothing from more of it.
            let alike = |a: Fraction, b: Fraction| {
                (a.to_ratio().min(LIKE_FRESH) - b.to_ratio().min(LIKE_FRESH)).abs() < 0.01
            };
            if alike(fresh, lot.fresh) {
                return None;
            }
            lot.fresh = fresh;
            recipe.lot = &lot;
            if fresh.to_ratio() > 0.5 {
                "compound all fresh".to_owned()
            } else {
                "compound used and not made up with fresh".to_owned()
            }
        }
    };
    let departure = match slip {
        Slip::Feeds(factor) => Departure {
            transfer: factor,
            ..Departure::NONE
        },
        Slip::Heat(_) | Slip::Time(_) | Slip::Fresh(_) => Departure::NONE,
    };
    let run = recipe.simulate(bench.matter, &departure).ok()?;
    let seen = bench.observe(&run.chain.layers);
    let was: &Observed = &best.observed;
    Some(Change {
        what,
        depth: seen.depth_made.zip(was.depth_made).map(|(a, b)| a - b),
        surface_hv: seen
            .surface
            .zip(was.surface)
            .map(|(a, b)| a.to_hv() - b.to_hv()),
    })
}
