//! The ways not taken: which are shown, with what chance, and what spoke against each.

use crate::outcome::Alternative;
use crate::outlook;
use crate::propose::{self, Options};
use crate::recipe::Recipe;
use crate::search::{self, Bench, Candidate, Found};
use crate::sensitivity;
use crate::ways;

/// Ways not taken whose chance is looked for.
const REAL: usize = 3;
/// Runs that the chance of one of several ways rests on; with 32 it is known to about ±15 %, and two
/// ways that are drawn alike are told apart by less.
const RUNS_OF_OTHERS: usize = 32;
/// As many as such chances may take in all, for those who wait.
pub(crate) const MOST_RUNS: usize = RUNS_OF_OTHERS * (search::CONTENDERS + 2);

/// Ways not taken: first the best in another tank, by another route and at another heat, with their
/// chance; then the next by cost, then those that gave nothing.
pub(crate) fn list(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    found: &Found<'_>,
    options: Options,
) -> Vec<Alternative> {
    let units = bench.spec.units;
    let ours = search::describe(&best.recipe, units);
    let mut others: Vec<&Candidate<'_>> = found
        .candidates
        .iter()
        .filter(|c| search::describe(&c.recipe, units) != ours)
        .collect();
    let differs: [fn(&Recipe<'_>, &Recipe<'_>) -> bool; REAL] = [
        |a, b| a.tank.id != b.tank.id,
        |a, b| a.route != b.route,
        |a, b| a.temperature != b.temperature,
    ];
    let mut front = 0;
    for differs in differs {
        let at = others[front..]
            .iter()
            .position(|c| differs(&c.recipe, &best.recipe));
        if let Some(at) = at {
            others[front..=front + at].rotate_right(1);
            front += 1;
        }
    }
    let mut list: Vec<Alternative> = others
        .iter()
        .take(5)
        .enumerate()
        .map(|(i, c)| Alternative {
            what: format!(
                "{}, soak {}",
                search::describe(&c.recipe, units),
                c.recipe.soak.text()
            ),
            case_depth_after_grind: c.observed.depth_after_grind,
            surface: c.observed.surface,
            furnace_time: Some(c.simulated.heat.soak_ends),
            chance: (c.chance).or_else(|| (i < REAL).then(|| chance(bench, c, options)).flatten()),
            sensitivity: if i < REAL {
                sensitivity::look(bench, c)
            } else {
                Vec::new()
            },
            way: Some(ways::of_candidate(bench, c)),
            why_not: why_not(c, best),
        })
        .collect();
    list.extend(found.dropped.iter().take(4).map(|dropped| Alternative {
        what: dropped.what.clone(),
        case_depth_after_grind: None,
        surface: None,
        furnace_time: None,
        chance: None,
        sensitivity: Vec::new(),
        way: None,
        why_not: dropped.why.clone(),
    }));
    list
}

/// Chance of meeting the whole note by one way of several, from a few runs; every way gets the same
/// draws.
pub(crate) fn chance(bench: &Bench<'_>, other: &Candidate<'_>, options: Options) -> Option<f64> {
    let runs = RUNS_OF_OTHERS.min(options.runs);
    let few = Options {
        members: runs,
        runs,
        ..options
    };
    let cloud = propose::cloud(bench, other, &propose::reader(bench, other), few);
    outlook::chances(bench.demand, &cloud).1
}

/// What spoke against a way; where nothing did, how its hours compare with the plan's.
fn why_not(other: &Candidate<'_>, best: &Candidate<'_>) -> String {
    if !other.against.is_empty() {
        return other.against.join("; ");
    }
    let hours = |c: &Candidate<'_>| c.simulated.heat.soak_ends.to_h();
    let (its, ours) = (hours(other), hours(best));
    if its > ours + 0.1 {
        format!("{its:.1} h from loading to the end of the soak, where the plan takes {ours:.1} h")
    } else {
        "nothing against it, and no gain over the plan".to_owned()
    }
}
