//! Mishaps in words, with what is assumed about each, and the ones that every shop meets.

use casewright_terms::{Fraction, Span, Temperature, TemperatureStep, UnitSystem};

use super::Upset;
use super::act::DAMP_FEEDS;
use crate::again::Again;
use crate::tank;

/// How far a set point or a couple is off where nobody noticed: the survey limit of an ordinary
/// furnace. [trade-practice]
const OFF_F: f64 = 25.0;
/// How far a bath stands from its planned temperature where nobody looked. [trade-practice]
const BATH_K: f64 = 15.0;
/// Water does not stand lower than this in a tank, and oil is not used colder.
const COLDEST_WATER_C: f64 = 2.0;
/// How far a tempering oven is set off by a slip. [trade-practice]
const OVEN_K: f64 = 30.0;

/// The ones that are looked at where none is named.
pub(super) fn usual(again: &Again<'_>) -> Vec<Upset> {
    let recipe = &again.recipe;
    let half = recipe.soak * 0.5;
    let off = match again.spec.units {
        UnitSystem::Inch => TemperatureStep::from_f(OFF_F),
        UnitSystem::Metric => TemperatureStep::from_k(14.0),
    };
    let step = |k: f64| TemperatureStep::from_k(k);
    let bath = recipe.tank.bath;
    let colder = (bath - step(BATH_K)).max(Temperature::from_c(COLDEST_WATER_C));
    let cut = |minutes: f64| Upset::PowerCut {
        after: half,
        lasts: Span::from_min(minutes),
    };
    let mut list = vec![cut(30.0)];
    if recipe.packed.heat.is_none() {
        list.clear();
    } else if recipe.soak > Span::from_h(1.0) {
        list.push(cut(120.0));
    }
    if recipe.soak > Span::from_h(1.5) {
        list.push(Upset::LateStart(Span::from_h(1.0)));
    }
    list.extend([
        Upset::LatePull(Span::from_h(1.0)),
        Upset::SetWrong(TemperatureStep::ZERO - off),
        Upset::SetWrong(off),
        Upset::FurnaceOff(TemperatureStep::ZERO - off),
        Upset::WeakCompound(Fraction::from_ratio(0.5)),
        Upset::DampCompound,
        Upset::Bath(bath + step(BATH_K)),
        Upset::Bath(colder),
        Upset::Transfer(recipe.tank.transfer * 2.0),
        Upset::NoTemper,
        Upset::Temper(recipe.temper.temperature + step(OVEN_K)),
        Upset::Temper(recipe.temper.temperature - step(OVEN_K)),
    ]);
    list
}

/// What it is, and what is assumed of it.
pub(super) fn words(again: &Again<'_>, upset: Upset) -> (String, String) {
    let units = again.spec.units;
    let recipe = &again.recipe;
    let step = |step: TemperatureStep| match units {
        UnitSystem::Inch => format!("{:.0} °F", step.to_f().abs()),
        UnitSystem::Metric => format!("{:.0} °C", step.to_k().abs()),
    };
    let side = |step: TemperatureStep| {
        if step < TemperatureStep::ZERO {
            "low"
        } else {
            "high"
        }
    };
    match upset {
        Upset::PowerCut { after, lasts } => (
            format!("power cut of {}, {} into the soak", lasts.text(), after.text()),
            "nobody sees it and the box is pulled at the planned hour; the furnace stays shut and cools through its lining".to_owned(),
        ),
        Upset::LateStart(by) => (
            format!("loaded {} late", by.text()),
            "the box is pulled at the planned hour all the same".to_owned(),
        ),
        Upset::LatePull(by) if by < Span::ZERO => (
            format!("pulled {} early", (Span::ZERO - by).text()),
            "otherwise as planned".to_owned(),
        ),
        Upset::LatePull(by) => (
            format!("pulled {} late", by.text()),
            "the furnace holds its heat until then".to_owned(),
        ),
        Upset::SetWrong(by) => (
            format!("box heat set {} {}", step(by), side(by)),
            "all through the box heat; the reheat is right".to_owned(),
        ),
        Upset::FurnaceOff(by) => (
            format!(
                "furnace {} {} what it shows",
                step(by),
                if by < TemperatureStep::ZERO { "below" } else { "above" }
            ),
            "in the box heat and in the reheats; the tempering oven is another one".to_owned(),
        ),
        Upset::WeakCompound(feeds) => (
            format!("compound at {:.0} % of its strength", feeds.to_pct()),
            "it hands over carbon so much more slowly than expected, all through; half is the lower end of what is held likely".to_owned(),
        ),
        Upset::DampCompound => (
            "damp compound".to_owned(),
            format!(
                "if it were charged, it would hand over carbon at {:.0} % of the rate; the scale and the slower heat-up that steam brings are not counted",
                100.0 * DAMP_FEEDS
            ),
        ),
        Upset::Bath(bath) => {
            let warm = if bath > recipe.tank.bath { "warm" } else { "cold" };
            (
                format!("{warm} tank: {} at {}", tank::name(recipe.tank.medium), bath.text(units)),
                format!("planned {}; movement as planned", recipe.tank.bath.text(units)),
            )
        }
        Upset::Transfer(transfer) => (
            format!("{} from the furnace to the bath", transfer.text()),
            format!("planned {}; in still air", recipe.tank.transfer.text()),
        ),
        Upset::NoTemper => (
            "not tempered".to_owned(),
            "left as quenched; that it may crack by itself is not in the numbers".to_owned(),
        ),
        Upset::Temper(at) => {
            let way = if at > recipe.temper.temperature { "too hot" } else { "too cool" };
            (
                format!("tempered {way}: {}", at.text(units)),
                format!(
                    "planned {}; the time as planned",
                    recipe.temper.temperature.text(units)
                ),
            )
        }
    }
}
