//! What a planned job takes, on the wire. `null` is not known; no sum is made of a part.

use casewright_plan::cost::{Cost, Hands, Heat, Money};
use serde::Serialize;

use super::plan::step_kind as kind;
use super::{Interval, number};

/// `cost` of a plan.
#[derive(Debug, Serialize)]
pub(crate) struct CostLine {
    furnace_h: f64,
    energy_kwh: Option<Interval>,
    heats: Vec<HeatLine>,
    compound_charge_kg: f64,
    compound_used_up_kg: Interval,
    clay_kg: f64,
    hands_on_h: f64,
    attended_h: f64,
    steps: Vec<HandsLine>,
    money: Option<MoneyLine>,
    assumed: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct HeatLine {
    kind: &'static str,
    furnace: String,
    hours: f64,
    energy_kwh: Option<Interval>,
}

#[derive(Debug, Serialize)]
struct HandsLine {
    kind: &'static str,
    hands_on_h: Option<f64>,
    lasts_h: f64,
}

#[derive(Debug, Serialize)]
struct MoneyLine {
    currency: String,
    energy: Option<Interval>,
    compound: Option<Interval>,
    work: Option<f64>,
    total: Option<Interval>,
    each: Option<Interval>,
}

/// The line of a cost.
pub(crate) fn of(cost: &Cost) -> CostLine {
    let plain = |value: f64| value;
    CostLine {
        furnace_h: number(cost.furnace_time.to_h()),
        energy_kwh: cost.energy_kwh.map(|band| Interval::of(band, plain)),
        heats: cost.heats.iter().map(heat).collect(),
        compound_charge_kg: number(cost.compound.charge.to_kg()),
        compound_used_up_kg: Interval::of(cost.compound.used_up, |mass| mass.to_kg()),
        clay_kg: number(cost.clay.to_kg()),
        hands_on_h: number(cost.hands_on.to_h()),
        attended_h: number(cost.attended.to_h()),
        steps: cost.hands.iter().map(hands).collect(),
        money: cost.money.as_ref().map(money),
        assumed: cost.assumed.clone(),
    }
}

fn heat(heat: &Heat) -> HeatLine {
    HeatLine {
        kind: kind(heat.kind),
        furnace: heat.furnace.clone(),
        hours: number(heat.lasts.to_h()),
        energy_kwh: heat.energy_kwh.map(|band| Interval::of(band, |v| v)),
    }
}

fn hands(hands: &Hands) -> HandsLine {
    HandsLine {
        kind: kind(hands.kind),
        hands_on_h: hands.hands_on.map(|span| number(span.to_h())),
        lasts_h: number(hands.lasts.to_h()),
    }
}

fn money(money: &Money) -> MoneyLine {
    let interval = |band: Option<casewright_terms::Band<f64>>| band.map(|b| Interval::of(b, |v| v));
    MoneyLine {
        currency: money.currency.clone(),
        energy: interval(money.energy),
        compound: interval(money.compound),
        work: money.work.map(number),
        total: interval(money.total),
        each: interval(money.each),
    }
}
