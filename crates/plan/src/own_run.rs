//! The boxes' run in the making of a plan: what is run for the search, and the one run of the way
//! that is chosen. How a run is bent is in `pack::heat`.

use std::sync::Arc;

use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::setup::{BoxDetail, Cooling};
use casewright_terms::Temperature;

use crate::evaluate;
use crate::pack::heat::{HeatUp, Scene as Boxes};
use crate::recipe::{Departure, Recipe, dropped};
use crate::search::{Bench, Candidate};

/// What the search may end a soak with.
pub(crate) fn coolings(spec: &Spec) -> Vec<Cooling> {
    let mut list = vec![Cooling::InAir];
    if spec.wishes.route.is_none_or(|route| route == Route::Direct) {
        list.push(dropped(Temperature::from_c(DROP_C)));
    }
    list
}

/// The drop that is run for the search; every candidate's own is moved from it.
const DROP_C: f64 = 843.0;

/// The boxes once more, by the way that is chosen and as finely as is worth waiting for.
pub(crate) fn own_run(boxes: &Boxes<'_>, recipe: &Recipe<'_>) -> Option<HeatUp> {
    let known = recipe.packed.heat.as_ref()?;
    let setup = boxes.setup(
        recipe.temperature,
        recipe.soak,
        recipe.cooling,
        BoxDetail::Standard,
    );
    known.with_own_run(&setup).ok()
}

/// A candidate with another heat-up of its boxes; as it was where that cannot be simulated.
pub(crate) fn with_heat<'s>(
    bench: &Bench<'s>,
    held: &Candidate<'s>,
    heat: HeatUp,
) -> Candidate<'s> {
    let mut own = held.clone();
    own.recipe.packed.heat = Some(Arc::new(heat));
    match own.recipe.simulate(bench.matter, &Departure::NONE) {
        Ok(simulated) => {
            own.observed = bench.observe(&simulated.chain.layers);
            own.fared = evaluate::evaluate(bench.demand, &own.observed);
            own.simulated = simulated;
            own
        }
        Err(_) => held.clone(),
    }
}
