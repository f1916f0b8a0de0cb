//! A plan that is being carried out, made ready to be reckoned with again: from the few values that
//! say which way was chosen, without the search. The values come from the plan itself or from where
//! it was kept.

use std::sync::Arc;

use casewright_job::shop::{Furnace, QuenchTank};
use casewright_job::spec::{RouteWish as Route, Spec, Steel};
use casewright_physics::matter::steel::SteelRecord;
use casewright_physics::run::{Failure, PackHeatRun};
use casewright_physics::setup::{Austenitise, Cooling, Cycle, Ramp, Temper};
use casewright_terms::{Diag, Element, Length, Span, Temperature, WeightPercent};

use crate::cloud::Cloud;
use crate::demand::Demand;
use crate::doubt::{BED_90, Doubts};
use crate::equipment;
use crate::evaluate::{self, TOTAL_DEPTH_OVER_CORE_WT_PCT};
use crate::outcome::{DepthChain, DepthLimit, Plan, StepKind};
use crate::own_run::own_run;
use crate::pack::charge::{self, Charge};
use crate::pack::heat::{Bed, HeatUp, Scene as Boxes};
use crate::pack::room::Spread;
use crate::pack::{self, Packed};
use crate::recipe::{Departure, Matter, Recipe, Simulated, dropped, stretched};
use crate::setup;

/// What was chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Route from the box to the quench.
    pub route: Route,
    /// Carburizing temperature.
    pub temperature: Temperature,
    /// Soak from when the pack is hot.
    pub soak: Span,
    /// Mark of the furnace.
    pub furnace: String,
    /// Mark of the tank.
    pub tank: String,
    /// Mark of the compound; of a mixture, as the plan writes it.
    pub compound: String,
    /// Mark of the box.
    pub box_id: String,
    /// Boxes of this kind in all.
    pub boxes: u32,
    /// Parts in one box.
    pub parts_in_box: usize,
    /// Whether they are spread out to the walls.
    pub spread_out: bool,
    /// Temperature before a direct quench.
    pub drop_to: Option<Temperature>,
    /// Temperature and time of each reheat.
    pub reheats: Vec<(Temperature, Span)>,
    /// Temperature and time of the temper.
    pub temper: (Temperature, Span),
    /// Depth aimed at, before grinding.
    pub aim: Length,
}

impl Way {
    /// The way of a plan; `None` for one without a furnace or a temper, which is no plan of ours.
    #[must_use]
    pub fn of(plan: &Plan) -> Option<Self> {
        let step = |kind: StepKind| plan.steps.iter().find(|step| step.kind == kind);
        let heat = |step: &crate::outcome::Step| step.temperature.zip(step.soak);
        let chosen = plan.pack_ways.iter().find(|way| way.chosen);
        Some(Self {
            route: plan.route,
            temperature: plan.temperature,
            soak: plan.soak,
            furnace: step(StepKind::Carburize)?.equipment.clone()?,
            tank: plan.quench.tank.clone(),
            compound: plan.pack.compound_id.clone(),
            box_id: plan.pack.box_id.clone(),
            boxes: plan.pack.boxes,
            parts_in_box: plan.pack.parts.len(),
            spread_out: chosen.is_some_and(|way| way.spread_out),
            drop_to: step(StepKind::Cool)?.temperature,
            reheats: plan
                .steps
                .iter()
                .filter(|step| step.kind == StepKind::Reheat)
                .filter_map(heat)
                .collect(),
            temper: heat(step(StepKind::Temper)?)?,
            aim: plan.depth.aim,
        })
    }
}

/// What a way needs of the shop.
#[derive(Debug)]
pub struct Kit<'s> {
    /// The job.
    pub spec: &'s Spec,
    /// The way.
    pub way: Way,
    /// What must be met.
    pub demand: Demand,
    /// Depth to make, with the plan's own aim.
    pub chain: DepthChain,
    /// Body and chemistry.
    pub matter: Matter,
    record: Option<&'static SteelRecord>,
    furnace: &'s Furnace,
    tank: &'s QuenchTank,
    charge: Charge<'s>,
    packed: Packed,
}

impl<'s> Kit<'s> {
    /// Finds everything the way names in the job and its shop.
    ///
    /// # Errors
    /// What is not there: then job or shop are not those of the plan.
    pub fn of(spec: &'s Spec, way: Way) -> Result<Self, Diag> {
        let demand = Demand::of(spec).map_err(|mut problems| problems.remove(0))?;
        let matter = Matter::of(spec).ok_or_else(|| not_there("the steel"))?;
        let furnaces = &spec.shop.furnaces;
        let furnace = furnaces
            .iter()
            .find(|f| f.id == way.furnace)
            .ok_or_else(|| not_there(&format!("furnace {}", way.furnace)))?;
        let tank = spec
            .shop
            .tanks
            .iter()
            .find(|tank| tank.id == way.tank)
            .ok_or_else(|| not_there(&format!("tank {}", way.tank)))?;
        let charge = charge::charges(spec)
            .into_iter()
            .find(|charge| charge.lot.id == way.compound)
            .ok_or_else(|| not_there(&format!("compound {}", way.compound)))?;
        let (layouts, _) = pack::layouts(spec, furnace, &charge);
        let packed = layouts
            .into_iter()
            .find(|packed| {
                packed.layout.box_id == way.box_id
                    && packed.layout.boxes == way.boxes
                    && packed.layout.parts.len() == way.parts_in_box
                    && (packed.spread == Spread::Loose) == way.spread_out
            })
            .ok_or_else(|| {
                not_there(&format!(
                    "a way to pack {} parts into box {}",
                    way.parts_in_box, way.box_id
                ))
            })?;
        let chain = DepthChain {
            aim: way.aim,
            ..demand.depth_chain(spec)
        };
        // A certificate is the heat itself; only a bare grade name leaves its range open.
        let record = match spec.steel {
            Steel::Grade { .. } => setup::composition(&spec.steel).and_then(|(_, record)| record),
            Steel::Chemistry { .. } => None,
        };
        Ok(Self {
            spec,
            way,
            demand,
            chain,
            matter,
            record,
            furnace,
            tank,
            charge,
            packed,
        })
    }

    /// Runs the boxes and the part once, as planned.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn follow(&self) -> Result<Followed<'_>, Failure> {
        let way = &self.way;
        let cooling = match way.drop_to {
            Some(to) if way.route == Route::Direct => dropped(to),
            _ => Cooling::InAir,
        };
        let mut recipe = Recipe {
            route: way.route,
            temperature: way.temperature,
            soak: way.soak,
            furnace: self.furnace,
            tank: self.tank,
            lot: &self.charge.lot,
            packed: self.packed.clone(),
            cooling,
            reheats: way
                .reheats
                .iter()
                .map(|(temperature, soak)| Austenitise {
                    temperature: *temperature,
                    soak: *soak,
                    bare: false,
                })
                .collect(),
            temper: Temper {
                temperature: way.temper.0,
                soak: way.temper.1,
            },
        };
        let pack_box = self.spec.shop.boxes.iter().find(|b| b.id == way.box_id);
        let boxes = Boxes {
            packed: &self.packed,
            furnace: self.furnace,
            lot: &self.charge.lot,
            bed: Bed::of(pack_box),
        };
        let set = equipment::usual(self.spec, self.furnace);
        // Where the boxes cannot be run the mixture stands in for them, as in the plan.
        if let Ok(heat) = HeatUp::of(&boxes, set, &[cooling]) {
            recipe.packed.heat = Some(Arc::new(heat));
            if let Some(own) = own_run(&boxes, &recipe) {
                recipe.packed.heat = Some(Arc::new(own));
            }
        }
        let planned = recipe.simulate(&self.matter, &Departure::NONE)?;
        let limit_carbon = self.limit_carbon(&planned);
        Ok(Followed {
            kit: self,
            recipe,
            planned,
            limit_carbon,
        })
    }

    /// Carbon at which the case of the plan's own run ends.
    fn limit_carbon(&self, planned: &Simulated) -> WeightPercent {
        let core = self.matter.composition.get(Element::C);
        let layers = &planned.chain.layers;
        let total = core + WeightPercent::from_wt_pct(TOTAL_DEPTH_OVER_CORE_WT_PCT);
        match self.demand.limit {
            DepthLimit::CoreCarbon => total,
            DepthLimit::Hardness(_) => layers
                .depth_to_hardness(self.demand.limit_hv(), Length::ZERO)
                .filter(|depth| *depth > Length::ZERO)
                .map_or(total, |depth| {
                    let carbon = evaluate::at(&layers.depth_m, &layers.carbon_wt_pct, depth.to_m());
                    WeightPercent::from_wt_pct(carbon)
                }),
        }
    }
}

fn not_there(what: &str) -> Diag {
    Diag::stop(
        "plan-other-shop",
        format!("The plan names {what}, which this job and its shop do not have."),
    )
    .why("A run is reckoned with what it was planned with; other equipment gives other depths.")
    .accepted("Give the job and shop as they were when the plan was made, or plan the job again.")
}

/// A way, run once.
#[derive(Debug)]
pub struct Followed<'k> {
    /// What it is made of.
    pub kit: &'k Kit<'k>,
    /// The way.
    pub recipe: Recipe<'k>,
    /// What the plan gives.
    pub planned: Simulated,
    /// Carbon at which the plan's case ends: the note's limit in carbon.
    pub limit_carbon: WeightPercent,
}

impl Followed<'_> {
    /// The doubts about it.
    #[must_use]
    pub fn doubts(&self, seed: u64) -> Doubts<'_> {
        Doubts::of(&self.recipe, &self.kit.matter, self.kit.record, seed)
    }

    /// Where in its doubt the bed stands when the pack was hot after so long, in the units of
    /// [`BED_90`]'s 90 %: −1 late, 1 early. Held to three times the doubt.
    #[must_use]
    pub fn bed_for(&self, hot_after: Span) -> f64 {
        let hot = |z: f64| {
            let departure = Departure {
                bed: bed_at(z),
                ..Departure::NONE
            };
            self.recipe
                .heat(&departure)
                .map_or(hot_after, |heat| heat.hot_after)
        };
        let (mut low, mut high) = (-BED_MOST, BED_MOST);
        // Halving to a ten-thousandth of the doubt: seconds of the hour.
        for _ in 0..16 {
            let middle = 0.5 * (low + high);
            if hot(middle) > hot_after {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// The heat-up, soak and cooling of the part for another soak.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn heat(&self, departure: &Departure, soak: Span) -> Result<PackHeatRun, Failure> {
        let recipe = Recipe {
            soak,
            ..self.recipe.clone()
        };
        recipe.heat(departure)
    }

    /// Depth made, before grinding, after so long a soak; zero where the surface holds no limit.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn depth(&self, departure: &Departure, heat: &PackHeatRun) -> Result<Length, Failure> {
        let run = self.recipe.run(&self.kit.matter, departure, heat)?;
        let core = self.kit.matter.composition.get(Element::C);
        let observed = evaluate::observe(&run.layers, &self.kit.demand, core, Length::ZERO);
        Ok(observed.depth_made.unwrap_or(Length::ZERO))
    }

    /// A heat-up stretched to another soak.
    #[must_use]
    pub fn stretched(&self, heat: &PackHeatRun, from: Span, to: Span) -> PackHeatRun {
        stretched(heat, from, to)
    }

    /// The members of an ensemble whose rows another reader makes.
    pub(crate) fn cloud(
        &self,
        doubts: &Doubts<'_>,
        size: crate::cloud::Size,
        row: impl Fn(&Departure) -> Option<Vec<f64>> + Sync,
        kinds: &[crate::cloud::Kind],
        key: &[usize],
    ) -> Cloud {
        Cloud::grow_from(doubts, size, row, kinds, key)
    }
}

/// A heat-up is not believed further out than this many of its 90 %.
const BED_MOST: f64 = 3.0;

/// The bed's factor at `z` of its 90 %.
#[must_use]
pub fn bed_at(z: f64) -> f64 {
    use casewright_physics::numerics::fun;
    fun::exp(z * fun::ln(BED_90))
}

/// The first so much of a cycle.
#[must_use]
pub fn until(cycle: &Cycle, end: Span) -> Cycle {
    let mut begins = Span::ZERO;
    let mut pieces = Vec::new();
    for piece in &cycle.pieces {
        let left = end - begins;
        if left <= Span::ZERO {
            break;
        }
        let kept = if piece.duration > left && piece.duration > Span::ZERO {
            Ramp {
                from: piece.from,
                to: piece.from + (piece.to - piece.from) * (left / piece.duration),
                duration: left,
            }
        } else {
            *piece
        };
        pieces.push(kept);
        begins = begins + piece.duration;
    }
    Cycle { pieces }
}
