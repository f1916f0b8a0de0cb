//! Mishaps, costs and shared loads through the planner, which is a black box here.

use std::sync::OnceLock;

use casewright_job::spec::Spec;
use casewright_plan::outcome::{PlanReport, StepKind};
use casewright_plan::share::{Stands, Together, share};
use casewright_plan::upset::{Act, Outcome, Upset, WhatIf, what_if};
use casewright_plan::{Options, SteelTable, cost, propose};
use casewright_terms::{Span, Temperature, TemperatureStep};

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");
const PAWL: &str = include_str!("../../../examples/winch-pawl/job.toml");
const LATCH: &str = include_str!("../../../examples/latch-plate/job.toml");

/// Enough for a verdict; nothing here hangs on the width of a band.
const FEW: Options = Options {
    seed: 1,
    members: 64,
    runs: 64,
};

fn spec(text: &str, shop: &str) -> Spec {
    let (shop, _) = casewright_job::parse_shop("shop.toml", shop);
    let (draft, _) = casewright_job::parse("job.toml", text);
    casewright_job::resolve(draft, shop, &SteelTable).unwrap_or_else(|diags| panic!("{diags:?}"))
}

/// The pawls, planned once for all tests.
fn pawls() -> &'static (Spec, PlanReport) {
    static PLANNED: OnceLock<(Spec, PlanReport)> = OnceLock::new();
    PLANNED.get_or_init(|| {
        let spec = spec(PAWL, SHOP);
        let report = propose(&spec, FEW);
        (spec, report)
    })
}

fn ask(asked: &[Upset]) -> WhatIf {
    let (spec, report) = pawls();
    what_if(spec, report, asked).unwrap_or_else(|diag| panic!("{diag:?}"))
}

fn only(answer: &WhatIf) -> &Outcome {
    assert_eq!(answer.outcomes.len(), 1);
    &answer.outcomes[0]
}

fn after_grind_mm(outcome: &Outcome) -> f64 {
    let gives = outcome.gives.as_ref();
    gives.expect("it can be run").after_grind.to_mm()
}

#[test]
fn a_cold_furnace_is_put_right_by_the_soak_that_was_solved() {
    let answer = ask(&[Upset::SetWrong(TemperatureStep::from_k(-14.0))]);
    let outcome = only(&answer);
    let planned_mm = answer.planned.after_grind.to_mm();
    // 10 K make about 6 % of a case.
    let lost = 1.0 - after_grind_mm(outcome) / planned_mm;
    assert!((0.04..0.16).contains(&lost), "{lost}");
    let remedy = &outcome.remedies[0];
    let Act::SoakLonger(by) = remedy.act else {
        panic!("{remedy:?}");
    };
    assert!(
        by > Span::from_min(30.0) && by < Span::from_h(4.0),
        "{by:?}"
    );
    // Solved to 0.005 mm and rounded to five minutes of soak, which is another 0.005 mm.
    let gives = remedy.gives.as_ref().unwrap().after_grind.to_mm();
    assert!((gives - planned_mm).abs() < 0.01, "{gives} {planned_mm}");
    let carburized = pawls().1.plan.as_ref().unwrap();
    let step = carburized
        .steps
        .iter()
        .find(|s| s.kind == StepKind::Carburize);
    assert_eq!(remedy.latest, Some(step.unwrap().ends));
}

#[test]
fn a_power_cut_costs_the_more_the_longer_it_is_and_nothing_if_it_is_over_at_once() {
    let cut = |minutes: f64| Upset::PowerCut {
        after: Span::from_h(2.0),
        lasts: Span::from_min(minutes),
    };
    let answer = ask(&[cut(1.0), cut(30.0), cut(120.0)]);
    let planned_mm = answer.planned.after_grind.to_mm();
    let [blink, short, long] = [0, 1, 2].map(|i| planned_mm - after_grind_mm(&answer.outcomes[i]));
    // A minute of 9 kW is made up within minutes: a minute of soak makes 0.001 mm, and the two runs
    // that are compared differ by as much.
    assert!(blink.abs() < 0.004, "{blink} mm for a minute");
    assert!(short > 0.01 && long > 2.5 * short, "{short} {long}");
    // The remedy of a cut is longer than the cut: the furnace must come back too.
    let Act::SoakLonger(by) = answer.outcomes[2].remedies[0].act else {
        panic!("{:?}", answer.outcomes[2].remedies);
    };
    assert!(by > Span::from_h(2.0), "{by:?}");
}

#[test]
fn damp_compound_is_refused_and_not_mended() {
    let answer = ask(&[Upset::DampCompound]);
    let outcome = only(&answer);
    assert_eq!(outcome.stop.as_ref().map(|d| d.code), Some("refused-damp"));
    assert!(outcome.remedies.is_empty());
    assert!(after_grind_mm(outcome) < answer.planned.after_grind.to_mm());
}

#[test]
fn carbon_that_is_in_stays_in() {
    let answer = ask(&[Upset::LatePull(Span::from_h(12.0))]);
    let outcome = only(&answer);
    assert!(!outcome.gives.as_ref().unwrap().meets);
    assert!(outcome.remedies.is_empty());
    let stop = outcome.stop.as_ref().expect("nothing takes it out");
    assert_eq!(stop.code, "upset-past-mending");
    // A quarter of it is borne, or it says so otherwise.
    assert!(outcome.borne.as_ref().unwrap().contains("late"));
}

#[test]
fn a_missed_temper_is_made_up_and_a_hot_one_needs_the_quench_again() {
    let hot = Temperature::from_c(300.0);
    let answer = ask(&[Upset::NoTemper, Upset::Temper(hot)]);
    let [missed, hot] = [0, 1].map(|i| &answer.outcomes[i]);
    let hv = |o: &Outcome| o.gives.as_ref().unwrap().surface.to_hv();
    let planned_hv = answer.planned.surface.to_hv();
    assert!(hv(missed) > planned_hv + 40.0 && hv(hot) < planned_hv - 40.0);
    assert!(matches!(missed.remedies[0].act, Act::Temper(_)));
    assert!(matches!(hot.remedies[0].act, Act::HardenAgain));
    let again = hot.remedies[0].gives.as_ref().unwrap();
    assert!((again.surface.to_hv() - planned_hv).abs() < 15.0);
}

#[test]
fn a_bath_that_the_planner_refuses_is_refused_here() {
    let answer = ask(&[Upset::Bath(Temperature::from_c(60.0))]);
    let stop = only(&answer).stop.as_ref().expect("too warm for water");
    assert_eq!(stop.code, "refused-bath-hot");
}

#[test]
fn a_note_that_cannot_be_met_has_no_plan_to_ask() {
    let spec = spec(LATCH, SHOP);
    let report = propose(&spec, FEW);
    let refused = what_if(&spec, &report, &[]).unwrap_err();
    assert_eq!(refused.code, "no-plan-to-ask");
}

#[test]
fn a_cost_has_no_money_without_prices_and_no_total_without_all_of_them() {
    let (spec, report) = pawls();
    let plain = cost::of(spec, report).expect("planned");
    assert_eq!(plain.money, None);
    let energy = plain.energy_kwh.expect("all heats can be reckoned");
    assert!(energy.low < energy.mid && energy.mid < energy.high);
    // No furnace takes more than its full power all the time.
    let most_kwh = 9.0 * plain.furnace_time.to_h();
    assert!(energy.high < most_kwh, "{} of {most_kwh} kWh", energy.high);
    let held = report
        .plan
        .as_ref()
        .unwrap()
        .pack_heat
        .as_ref()
        .unwrap()
        .work_kwh
        .1;
    assert!(
        held > 0.0 && energy.low > held,
        "{} over {held}",
        energy.low
    );
    let mut priced = spec.clone();
    priced.shop.prices = Some(casewright_job::shop::Prices {
        currency: "EUR".to_owned(),
        energy_per_kwh: Some(0.3),
        compound_per_kg: None,
        hour: Some(40.0),
    });
    let money = cost::of(&priced, report).unwrap().money.unwrap();
    assert_eq!(money.energy.unwrap().mid, energy.mid * 0.3);
    assert_eq!(
        (money.compound, money.total, money.each),
        (None, None, None)
    );
}

#[test]
fn two_lots_of_one_part_share_everything_and_other_shops_nothing() {
    let (first, report) = pawls();
    let mut second = first.clone();
    second.name = "More pawls".to_owned();
    second.quantity = 2;
    let other = propose(&second, FEW);
    let sharing = share(&[(first, report), (&second, &other)]).unwrap();
    assert_eq!(sharing.loads[0].as_ref().unwrap().stands, Stands::ForAll);
    let group = &sharing.groups[0];
    assert_eq!(group.together, Together::AllTheWay, "{:?}", group.why);
    let cycle = group.cycle.as_ref().unwrap();
    assert_eq!(cycle.layout.parts.len(), 6);
    // Parts of two jobs stand no nearer than parts of one.
    let between = cycle.layout.cover.between.to_mm();
    let parts = &cycle.layout.parts;
    for (i, a) in parts.iter().enumerate() {
        for b in &parts[..i] {
            let gap = (0..3).map(|k| {
                let (low, high) = if a.at[k] < b.at[k] { (a, b) } else { (b, a) };
                (high.at[k] - low.at[k] - low.size[k]).to_mm()
            });
            let gap = gap.fold(f64::NEG_INFINITY, f64::max);
            assert!(gap > between - 0.01, "{} and {}: {gap} mm", a.mark, b.mark);
        }
    }
    let mut elsewhere = second.clone();
    elsewhere.shop.name = "Another slip".to_owned();
    let apart = share(&[(first, report), (&elsewhere, &other)]).unwrap();
    assert_eq!(apart.groups[0].together, Together::Apart);
    assert!(apart.groups[0].why[0].contains("different shops"));
}

#[test]
fn a_plain_and_an_alloy_steel_share_the_box_and_not_the_water() {
    let (first, report) = pawls();
    let cut = |from: &str, to: &str, with: &str| {
        let (a, b) = (PAWL.find(from).unwrap(), PAWL.find(to).unwrap());
        format!("{}{with}{}", &PAWL[..a], &PAWL[b..])
    };
    let text = cut(
        "\n[steel]\n",
        "# What is ground off",
        "\n[steel]\ngrade = \"8620\"\n\n",
    );
    let mut alloy = spec(&text, SHOP);
    alloy.name = "Alloy pawls".to_owned();
    alloy.quantity = 2;
    let other = propose(&alloy, FEW);
    let sharing = share(&[(first, report), (&alloy, &other)]).unwrap();
    let group = &sharing.groups[0];
    assert_eq!(group.together, Together::InTheBox, "{:?}", group.why);
    assert!(
        group.why.iter().any(|why| why.contains("may crack")),
        "{:?}",
        group.why
    );
    let cycle = group.cycle.as_ref().unwrap();
    assert_eq!(cycle.hardened_as, None);
    assert!(cycle.portions.iter().all(|own| own.meets));
    let least = cycle
        .portions
        .iter()
        .filter_map(|own| own.chance)
        .reduce(f64::min);
    assert_eq!(cycle.least_chance, least);
}
