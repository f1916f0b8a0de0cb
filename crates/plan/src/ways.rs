//! A way to do the job in numbers, so that the plan and the ways not taken stand side by side: route,
//! heat, soak, quench and hours in all.
//!
//! Hours in all are hours of work and furnace, one after another, without the waits for the next
//! staffed hour: those depend on when the job begins and would not tell one way from another. They are
//! added up as [`crate::steps`] lays them on the clock; `a_plan_takes_what_its_steps_take` holds the
//! two together.

use casewright_job::shop::Medium;
use casewright_job::spec::RouteWish as Route;
use casewright_terms::{Span, Temperature};

use crate::outcome::{Plan, StepKind};
use crate::pack::weigh;
use crate::recipe::{Departure, Recipe};
use crate::reheat;
use crate::search::{Bench, Candidate};
use crate::steps::{self, GRIND_H, QUENCH_MIN, TEST_H, UNPACK_H};

/// One way.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Route from box to quench.
    pub route: Route,
    /// Carburizing temperature.
    pub temperature: Temperature,
    /// Soak from when the pack is hot.
    pub soak: Span,
    /// Heats before each quench; empty for a direct quench.
    pub reheats: Vec<Temperature>,
    /// Mark of the tank.
    pub tank: String,
    /// Its liquid.
    pub medium: Medium,
    /// Temper.
    pub temper: Temperature,
    /// Hours of work and furnace for all loads, without waits.
    pub hours_in_all: Span,
}

/// The way a plan goes.
#[must_use]
pub fn of_plan(plan: &Plan) -> Way {
    let lasts = |kind: StepKind| -> Span {
        plan.steps
            .iter()
            .filter(|step| step.kind == kind)
            .map(|step| step.ends.after - step.begins.after)
            .sum()
    };
    let set = |kind: StepKind| {
        plan.steps
            .iter()
            .filter(move |step| step.kind == kind)
            .filter_map(|step| step.temperature)
    };
    let grind = lasts(StepKind::Grind);
    let all: Span = plan
        .steps
        .iter()
        .map(|step| step.ends.after - step.begins.after)
        .sum();
    // Between opening the box and the first reheat the parts are cleaned and looked at.
    let look = if plan.route == Route::Direct {
        Span::ZERO
    } else {
        Span::from_h(UNPACK_H)
    };
    let loads = plan.loads.len().max(1) as f64;
    Way {
        route: plan.route,
        temperature: plan.temperature,
        soak: plan.soak,
        reheats: set(StepKind::Reheat).collect(),
        tank: plan.quench.tank.clone(),
        medium: plan.quench.medium,
        temper: set(StepKind::Temper)
            .next_back()
            .unwrap_or(plan.temperature),
        hours_in_all: (all - grind + look) * loads + grind,
    }
}

/// A way that was looked at.
pub(crate) fn of_candidate(bench: &Bench<'_>, candidate: &Candidate<'_>) -> Way {
    let recipe = &candidate.recipe;
    Way {
        route: recipe.route,
        temperature: recipe.temperature,
        soak: recipe.soak,
        reheats: recipe.reheats.iter().map(|heat| heat.temperature).collect(),
        tank: recipe.tank.id.clone(),
        medium: recipe.tank.medium,
        temper: recipe.temper.temperature,
        hours_in_all: hours_in_all(bench, candidate, recipe),
    }
}

fn hours_in_all(bench: &Bench<'_>, candidate: &Candidate<'_>, recipe: &Recipe<'_>) -> Span {
    let run = &candidate.simulated;
    let hardening = if recipe.route == Route::Direct {
        steps::after_a_direct_soak(recipe, run)
    } else {
        let carbon = recipe
            .chain_setup(bench.matter, &Departure::NONE, &run.heat)
            .carbon;
        let heats = reheat::heats(recipe, bench.matter, run, &carbon);
        let each: Span = recipe
            .reheats
            .iter()
            .zip(&heats)
            .map(|(heat, found)| heat.soak + found.up + Span::from_min(QUENCH_MIN))
            .sum();
        let cooling = run.heat.ends - run.heat.soak_ends;
        cooling + Span::from_h(UNPACK_H) + each + steps::temper_time(recipe)
    };
    let load =
        weigh::packing_time(&recipe.packed) + run.heat.soak_ends + hardening + Span::from_h(TEST_H);
    let grind = if bench.spec.stock.is_empty() {
        Span::ZERO
    } else {
        Span::from_h(GRIND_H)
    };
    load * f64::from(recipe.packed.loads) + grind
}
