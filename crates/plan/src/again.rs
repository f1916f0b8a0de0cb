//! A plan that is taken up again: its recipe rebuilt from what the plan says, with its boxes run
//! once, so that questions can be put to it without the search and the ensemble.
//!
//! It chooses nothing. What it is built from is the plan's own steps, layout and tank.

use std::sync::Arc;

use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::run::{ChainRun, Failure, PackHeatRun};
use casewright_physics::setup::{Austenitise, BoxDetail, Cooling, Cycle, Ramp, Temper};
use casewright_physics::simulate;
use casewright_terms::{Diag, Element, Length, Mass, Span, Temperature};

use crate::demand::Demand;
use crate::evaluate::{depth_to_limit, hardness_at};
use crate::members::Seen;
use crate::outcome::{Plan, PlanReport, Step, StepKind, Verdict};
use crate::pack;
use crate::pack::charge;
use crate::pack::heat::{Bed, HeatUp, Scene as Boxes, at, between};
use crate::recipe::{Departure, Matter, Recipe, Simulated, dropped};
use crate::{setup, tank};

/// The shop, as the boxes' run takes it.
const ROOM_C: f64 = 25.0;

/// A plan with everything that asking it takes.
pub(crate) struct Again<'s> {
    pub(crate) spec: &'s Spec,
    pub(crate) plan: &'s Plan,
    pub(crate) demand: Demand,
    pub(crate) matter: Matter,
    pub(crate) recipe: Recipe<'s>,
    pub(crate) nominal: Simulated,
    /// What the nominal run shows.
    pub(crate) seen: Seen,
}

/// Takes a plan up again and puts questions to it.
///
/// # Errors
/// That there is no plan of the note, or that it does not fit the shop any more.
pub(crate) fn taken_up<R>(
    spec: &Spec,
    report: &PlanReport,
    ask: impl FnOnce(&Again<'_>) -> R,
) -> Result<R, Diag> {
    let plan = match &report.plan {
        Some(plan) if report.verdict != Verdict::CannotBeMet => plan,
        _ => {
            return Err(Diag::stop("no-plan-to-ask", "There is no plan of this note to ask.")
                .why("What goes wrong with a plan can only be told of a plan that can be followed.")
                .accepted("See what `casewright plan` says against it first."));
        }
    };
    let charges = charge::charges(spec);
    let charge = charges
        .iter()
        .find(|charge| charge.lot.id == plan.pack.compound_id)
        .ok_or_else(|| moved_on("compound"))?;
    let soak = step(plan, StepKind::Carburize).ok_or_else(|| moved_on("soak"))?;
    let furnaces = &spec.shop.furnaces;
    let furnace = furnaces
        .iter()
        .find(|f| soak.equipment.as_ref() == Some(&f.id))
        .ok_or_else(|| moved_on("furnace"))?;
    let tanks = &spec.shop.tanks;
    let tank = tanks
        .iter()
        .find(|t| t.id == plan.quench.tank)
        .ok_or_else(|| moved_on("tank"))?;
    let packed = pack::layouts(spec, furnace, charge)
        .0
        .into_iter()
        .find(|packed| packed.layout == plan.pack)
        .ok_or_else(|| moved_on("way to pack"))?;
    let demand = Demand::of(spec).map_err(|_| moved_on("demand"))?;
    let matter = Matter::of(spec).ok_or_else(|| moved_on("steel"))?;
    let mut recipe = Recipe {
        route: plan.route,
        temperature: plan.temperature,
        soak: plan.soak,
        furnace,
        tank,
        lot: &charge.lot,
        packed: packed.clone(),
        cooling: cooling(plan),
        reheats: reheats(plan),
        temper: temper(plan).ok_or_else(|| moved_on("temper"))?,
    };
    if plan.pack_heat.is_some() {
        let pack_box = spec.shop.boxes.iter().find(|b| b.id == plan.pack.box_id);
        let boxes = Boxes {
            packed: &packed,
            furnace,
            lot: &charge.lot,
            bed: Bed::of(pack_box),
        };
        let setup = boxes.setup(
            plan.temperature,
            plan.soak,
            recipe.cooling,
            BoxDetail::Standard,
        );
        let heat = HeatUp::taken_up(&boxes, &setup, plan.pack_hot_after)
            .map_err(|failure| did_not_run(&failure))?;
        recipe.packed.heat = Some(Arc::new(heat));
    }
    let nominal = recipe
        .simulate(&matter, &Departure::NONE)
        .map_err(|failure| did_not_run(&failure))?;
    let mut again = Again {
        spec,
        plan,
        demand,
        matter,
        recipe,
        nominal,
        seen: Seen::default(),
    };
    again.seen = again.see(&again.nominal.chain);
    Ok(ask(&again))
}

fn moved_on(what: &str) -> Diag {
    Diag::stop(
        "plan-not-rebuilt",
        format!("The plan's {what} is not found in the job and its shop."),
    )
    .why("The plan was made for another shop file or job file than this one.")
    .accepted("Plan again, and ask that plan.")
}

/// A run that physics refused.
pub(crate) fn did_not_run(failure: &Failure) -> Diag {
    Diag::stop(
        "upset-not-run",
        format!("It cannot be simulated: {failure}."),
    )
    .why("Without a run nothing can be said about the part.")
    .accepted("Smaller values, within what a shop meets.")
}

/// The first step of a kind.
pub(crate) fn step(plan: &Plan, kind: StepKind) -> Option<&Step> {
    plan.steps.iter().find(|step| step.kind == kind)
}

fn cooling(plan: &Plan) -> Cooling {
    let drop = step(plan, StepKind::Cool).and_then(|cool| cool.temperature);
    match (plan.route, drop) {
        (Route::Direct, Some(to)) => dropped(to),
        _ => Cooling::InAir,
    }
}

fn reheats(plan: &Plan) -> Vec<Austenitise> {
    let steps = plan.steps.iter().filter(|s| s.kind == StepKind::Reheat);
    steps
        .filter_map(|step| {
            Some(Austenitise {
                temperature: step.temperature?,
                soak: step.soak?,
                bare: false,
            })
        })
        .collect()
}

fn temper(plan: &Plan) -> Option<Temper> {
    let step = step(plan, StepKind::Temper)?;
    Some(Temper {
        temperature: step.temperature?,
        soak: step.soak?,
    })
}

impl<'s> Again<'s> {
    /// Metal ground off, per side, at most.
    pub(crate) fn ground(&self) -> Length {
        self.plan.depth.stock.1
    }

    /// What a run shows.
    pub(crate) fn see(&self, run: &ChainRun) -> Seen {
        let core = self.matter.composition.get(Element::C);
        let (limit, hv) = (self.demand.limit, self.demand.limit_hv());
        let depth = |ground: Length| {
            depth_to_limit(&run.layers, limit, hv, core, ground).map_or(0.0, Length::to_m)
        };
        let ground_m = self.ground().to_m();
        let finished = run
            .layers
            .depth_m
            .iter()
            .zip(&run.layers.retained_austenite);
        Seen {
            case_m: depth(Length::ZERO),
            after_grind_m: depth(self.ground()),
            surface_hv: hardness_at(&run.layers, self.ground()).to_hv(),
            core_hv: run.layers.core().to_hv(),
            austenite_pct: finished
                .filter(|(depth, _)| **depth >= ground_m)
                .fold(0.0_f64, |most, (_, austenite)| most.max(100.0 * austenite)),
        }
    }

    /// The steel that goes hot into the bath at once.
    pub(crate) fn hot_mass(&self) -> Mass {
        let parts = setup::part_mass(self.spec.part.shape) * self.plan.pack.parts.len() as f64;
        parts + tank::fixture(self.recipe.tank, parts)
    }

    /// The whole chain of a changed recipe.
    pub(crate) fn run(&self, slip: &Slip<'_>) -> Result<ChainRun, Failure> {
        let heat = self.heat(slip)?;
        let mut setup = slip
            .recipe
            .chain_setup(&self.matter, &slip.departure, &heat);
        // As fine as the plan's own run: it is the difference to that one which counts.
        setup.carbon.tolerance = casewright_terms::WeightPercent::from_wt_pct(1e-3);
        if !slip.tempered {
            setup.temper = None;
        }
        simulate::chain(&setup)
    }

    /// What the box sees.
    fn heat(&self, slip: &Slip<'_>) -> Result<PackHeatRun, Failure> {
        let heat = match &slip.followed {
            Some(followed) => self.ended(followed, slip.recipe.soak),
            None => slip.recipe.heat(&slip.departure)?,
        };
        let Some(soak) = slip.packed_again else {
            return Ok(heat);
        };
        // A second heat of the same box as planned, after the first.
        let second = Recipe {
            soak,
            ..self.recipe.clone()
        };
        let second = second.heat(&Departure::NONE)?;
        let join = |a: &Cycle, b: &Cycle| Cycle {
            pieces: a.pieces.iter().chain(&b.pieces).cloned().collect(),
        };
        Ok(PackHeatRun {
            furnace: join(&heat.furnace, &second.furnace),
            part: join(&heat.part, &second.part),
            soak_ends: heat.ends + second.soak_ends,
            ends: heat.ends + second.ends,
            ..heat
        })
    }

    /// A followed run with its soak ended so long after hot, and cooled as the plan cools.
    fn ended(&self, followed: &PackHeatRun, soak: Span) -> PackHeatRun {
        let plan = &self.nominal.heat;
        let ends = followed.hot_after + soak;
        let room = Temperature::from_c(ROOM_C);
        let own = at(&followed.part, ends.min(followed.soak_ends));
        let planned = at(&plan.part, plan.soak_ends);
        // In proportion to the height above the shop's: a box falls from lower as it does from higher.
        let share = (own - room) / (planned - room);
        let falling = |t: Temperature| room + (t - room) * share;
        let mut pieces = between(&followed.part, Span::ZERO, ends.min(followed.soak_ends));
        // Longer than it was followed: by then it stands still.
        if ends > followed.soak_ends {
            pieces.push(Ramp {
                from: own,
                to: own,
                duration: ends - followed.soak_ends,
            });
        }
        let down = between(&plan.part, plan.soak_ends, plan.ends);
        pieces.extend(down.into_iter().map(|piece| Ramp {
            from: falling(piece.from),
            to: falling(piece.to),
            duration: piece.duration,
        }));
        PackHeatRun {
            part: Cycle { pieces },
            soak_ends: ends,
            ends: ends + (plan.ends - plan.soak_ends),
            ..followed.clone()
        }
    }

    /// The recipe as planned, ready to be changed.
    pub(crate) fn slip(&self) -> Slip<'s> {
        Slip {
            recipe: self.recipe.clone(),
            departure: Departure::NONE,
            followed: None,
            packed_again: None,
            tempered: true,
        }
    }
}

/// A recipe with something changed.
#[derive(Clone, Debug)]
pub(crate) struct Slip<'s> {
    pub(crate) recipe: Recipe<'s>,
    pub(crate) departure: Departure,
    /// The boxes followed to beyond the end of the soak, where they do not follow from the recipe; the
    /// soak is ended as the recipe says.
    pub(crate) followed: Option<PackHeatRun>,
    /// Soak of a second heat in a fresh pack.
    pub(crate) packed_again: Option<Span>,
    pub(crate) tempered: bool,
}
