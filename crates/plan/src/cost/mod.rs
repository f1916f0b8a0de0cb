//! What a planned job takes: furnace hours, energy, compound, clay, hands; and money where the shop
//! says what things cost.
//!
//! What is not known is `None` and stays so in every sum: no total is made of a part. It does not say
//! what a job should be sold for: grinding, tools, rent and wear of the box are not in it.

mod energy;

use casewright_job::shop::Prices;
use casewright_job::spec::Spec;
use casewright_terms::{Band, Length, Mass, Span};

use crate::again::step;
use crate::outcome::{Plan, PlanReport, StepKind};

pub use energy::Heat;

/// A bead of fire clay in the lid joint, wide and high, wet. [trade-practice]
const LUTE_MM: f64 = 15.0;
/// Wet fire clay with sand. [trade-practice]
const LUTE_KG_M3: f64 = 1800.0;
/// Share of a charge that is made up with fresh after a heat. [trade-practice]
const RENEWED: (f64, f64) = (0.12, 0.30);
/// Hands at the furnace: loading a box, and a look every hour of heat and soak. [trade-practice]
const LOAD_MIN: f64 = 10.0;
/// See [`LOAD_MIN`].
const LOOK_MIN: f64 = 5.0;
/// Pulling a box; and unpacking and cleaning once it is cold. [trade-practice]
const PULL_MIN: f64 = 10.0;
/// See [`PULL_MIN`].
const UNPACK_MIN: f64 = 60.0;
/// Wrapping and loading for a reheat, with the wait for the colour. [trade-practice]
const REHEAT_MIN: f64 = 20.0;
/// Cleaning, looking and loading for the temper, and taking out. [trade-practice]
const TEMPER_MIN: f64 = 25.0;

/// Compound of the whole job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compound {
    /// What lies in the boxes of one load.
    pub charge: Mass,
    /// Used up in all loads, and made up with fresh: the middle is the fresh that the plan scoops.
    pub used_up: Band<Mass>,
}

/// Hands at one kind of step, all loads.
#[derive(Clone, Debug, PartialEq)]
pub struct Hands {
    /// The step.
    pub kind: StepKind,
    /// Hands on the work; `None` where it is not known, as for grinding.
    pub hands_on: Option<Span>,
    /// From its begin to its end on the clock.
    pub lasts: Span,
}

/// Sums in the shop's currency; `None` where a price or a quantity is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct Money {
    /// Word for the currency.
    pub currency: String,
    /// Energy.
    pub energy: Option<Band<f64>>,
    /// Compound.
    pub compound: Option<Band<f64>>,
    /// Hands-on work, grinding not counted.
    pub work: Option<f64>,
    /// All three; `None` where one is not known.
    pub total: Option<Band<f64>>,
    /// The same for one part.
    pub each: Option<Band<f64>>,
}

/// What a job takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Every heat of furnace and oven, all loads.
    pub heats: Vec<Heat>,
    /// Hours that furnace and oven are in use.
    pub furnace_time: Span,
    /// From the mains, kWh, 90 %; `None` where one heat could not be reckoned.
    pub energy_kwh: Option<Band<f64>>,
    /// Compound.
    pub compound: Compound,
    /// Clay for the lids of all loads.
    pub clay: Mass,
    /// Hands, step by step.
    pub hands: Vec<Hands>,
    /// Hands in all, grinding not counted.
    pub hands_on: Span,
    /// Hours in which somebody must be there.
    pub attended: Span,
    /// Money; `None` where the shop file has no prices.
    pub money: Option<Money>,
    /// What was assumed.
    pub assumed: Vec<&'static str>,
}

/// What a plan takes; `None` without a plan.
#[must_use]
pub fn of(spec: &Spec, report: &PlanReport) -> Option<Cost> {
    let plan = report.plan.as_ref()?;
    let loads = plan.loads.len().max(1) as f64;
    let heats = energy::heats(spec, plan, loads)?;
    let furnace_time = heats.iter().map(|heat| heat.lasts).sum();
    let energy_kwh = energy::sum(&heats);
    let compound = compound(plan, loads);
    let hands = hands(plan, loads);
    let hands_on = hands.iter().filter_map(|h| h.hands_on).sum();
    let attended = attended(spec, &hands);
    let money = spec
        .shop
        .prices
        .as_ref()
        .map(|prices| money(prices, spec.quantity, energy_kwh, &compound, hands_on));
    Some(Cost {
        heats,
        furnace_time,
        energy_kwh,
        compound,
        clay: clay(plan),
        hands,
        hands_on,
        attended,
        money,
        assumed: vec![
            "every furnace and oven has 100 mm of insulating firebrick and starts cold",
            "what the box holds is known to a tenth, what the furnace takes for itself to half as much again or two thirds",
            "12 to 30 % of the charge is used up in a heat",
            "water, salt or oil of the quench is not used up",
            "grinding, tools and the wear of box and furnace are not counted",
        ],
    })
}

/// Boxes that stand in the furnace together.
fn at_once(plan: &Plan, loads: f64) -> f64 {
    (f64::from(plan.pack.boxes) / loads).ceil().max(1.0)
}

fn compound(plan: &Plan, loads: f64) -> Compound {
    let charge = plan.pack.compound_mass * at_once(plan, loads);
    // What is renewed before each heat is what the heat before it used up.
    let boxes = f64::from(plan.pack.boxes);
    let fresh = plan.pack.fresh_mass * boxes;
    let share = |s: f64| plan.pack.compound_mass * boxes * s;
    // A charge that is all new is not used up in one heat.
    let mid = fresh.max(share(RENEWED.0)).min(share(RENEWED.1));
    Compound {
        charge,
        used_up: Band {
            low: share(RENEWED.0),
            mid,
            high: share(RENEWED.1),
        },
    }
}

fn clay(plan: &Plan) -> Mass {
    let layout = &plan.pack;
    let [width, _, length] = layout.inside;
    let round = (width + length + layout.wall * 4.0) * 2.0;
    let bead = Length::from_mm(LUTE_MM);
    let volume = round * bead * bead;
    Mass::from_kg(volume.to_m3() * LUTE_KG_M3 * f64::from(layout.boxes))
}

fn hands(plan: &Plan, loads: f64) -> Vec<Hands> {
    let boxes = at_once(plan, loads);
    let unpacks = step(plan, StepKind::Reheat).is_some();
    let of = |step: &crate::outcome::Step| {
        let lasts = step.ends.after - step.begins.after;
        let min = Span::from_min;
        let hands_on = match step.kind {
            StepKind::Pack | StepKind::Test | StepKind::Quench => Some(lasts),
            StepKind::Carburize => Some(min(LOAD_MIN * boxes + LOOK_MIN * lasts.to_h().ceil())),
            StepKind::Cool if unpacks => Some(min((PULL_MIN + UNPACK_MIN) * boxes)),
            StepKind::Cool => Some(min(LOOK_MIN)),
            StepKind::Reheat => Some(min(REHEAT_MIN)),
            StepKind::Temper => Some(min(TEMPER_MIN)),
            StepKind::Grind => None,
        };
        // The grind is once for all loads, the others are done again for each.
        let times = if step.kind == StepKind::Grind {
            1.0
        } else {
            loads
        };
        Hands {
            kind: step.kind,
            hands_on: hands_on.map(|span| span * times),
            lasts: lasts * times,
        }
    };
    plan.steps.iter().map(of).collect()
}

/// Everything but the cooling must be watched; heat and soak need not where that is allowed.
fn attended(spec: &Spec, hands: &[Hands]) -> Span {
    let there = |h: &&Hands| match h.kind {
        StepKind::Cool | StepKind::Grind => false,
        StepKind::Carburize => !spec.unattended,
        _ => true,
    };
    let watched: Span = hands.iter().filter(there).map(|h| h.lasts).sum();
    let rest: Span = hands
        .iter()
        .filter(|h| !there(h))
        .filter_map(|h| h.hands_on)
        .sum();
    watched + rest
}

fn money(
    prices: &Prices,
    parts: u32,
    energy_kwh: Option<Band<f64>>,
    compound: &Compound,
    hands_on: Span,
) -> Money {
    let energy = prices
        .energy_per_kwh
        .and_then(|price| Some(energy_kwh?.map(|kwh| kwh * price)));
    let used = prices
        .compound_per_kg
        .map(|price| compound.used_up.map(|mass| mass.to_kg() * price));
    let work = prices.hour.map(|price| hands_on.to_h() * price);
    let total = energy.zip(used).zip(work).map(|((e, c), w)| Band {
        low: e.low + c.low + w,
        mid: e.mid + c.mid + w,
        high: e.high + c.high + w,
    });
    Money {
        currency: prices.currency.clone(),
        energy,
        compound: used,
        work,
        total,
        each: total.map(|band| band.map(|sum| sum / f64::from(parts.max(1)))),
    }
}

#[cfg(test)]
mod tests;
