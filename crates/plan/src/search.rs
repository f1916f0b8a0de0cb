//! The search: every route, reheat and tank of the shop at one temperature, then other
//! temperatures for the best of each tank. For each the soak is found that makes the wanted depth.

use casewright_job::shop::{CompoundLot, Furnace, Medium, QuenchTank};
use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::matter::steel::{SteelClass, SteelRecord};
use casewright_physics::numerics::fun;
use casewright_physics::run::Layers;
use casewright_physics::setup::{Cooling, Temper};
use casewright_terms::{Element, Length, Severity, Span, Temperature, UnitSystem, WeightPercent};
use rayon::prelude::*;

use crate::alternatives;
use crate::closing;
use crate::demand::Demand;
use crate::doubt;
use crate::equipment::Equipment;
use crate::evaluate::{self, Evaluation, Observed};
use crate::outcome::{DepthChain, DepthLimit};
use crate::pack::Packed;
use crate::propose::{self, Options};
use crate::recipe::{Departure, Matter, Recipe, Simulated, dropped};
use crate::refusals;
use crate::reheats::Critical;
use crate::steps;
use crate::tank;
use crate::watch::Watch;

/// Equipment that all recipes of one search share.
#[derive(Clone, Copy, Debug)]
pub struct Bench<'s> {
    /// The job.
    pub spec: &'s Spec,
    /// What must be met.
    pub demand: &'s Demand,
    /// The depth to make.
    pub chain: &'s DepthChain,
    /// Body and chemistry.
    pub matter: &'s Matter,
    /// The steel's record.
    pub record: Option<&'static SteelRecord>,
    /// Furnace.
    pub furnace: &'s Furnace,
    /// Compound.
    pub lot: &'s CompoundLot,
    /// The packed box.
    pub packed: &'s Packed,
    /// All of the equipment, with the ways to pack that were weighed.
    pub(crate) equipment: &'s Equipment<'s>,
    /// Who waits for it.
    pub(crate) watch: &'s Watch<'s>,
}

/// One way, solved for its soak and looked at.
#[derive(Clone, Debug)]
pub struct Candidate<'s> {
    /// The way.
    pub recipe: Recipe<'s>,
    /// What it gives.
    pub simulated: Simulated,
    /// The same, as the note sees it.
    pub observed: Observed,
    /// Against the note.
    pub fared: Evaluation,
    /// The less the better; see `cost`.
    pub cost: f64,
    /// What speaks against it, heaviest first.
    pub against: Vec<String>,
    /// Chance of meeting the whole note, where it was looked for; see `Found::by_chance`.
    pub chance: Option<f64>,
}

/// Why a way gave no candidate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// The surface does not hold the limit.
    Soft,
    /// The shop's things cannot do it, such as a furnace too weak for the box.
    Setup,
    /// Our numbers failed: nothing is known about the way.
    Numbers,
}

/// A way that gave no candidate.
#[derive(Clone, Debug)]
pub struct Dropped {
    /// What it was.
    pub what: String,
    /// What kind of reason.
    pub obstacle: Obstacle,
    /// Why it was dropped.
    pub why: String,
}

/// All that the search found, best first.
#[derive(Clone, Debug, Default)]
pub struct Found<'s> {
    /// Candidates by cost.
    pub candidates: Vec<Candidate<'s>>,
    /// Ways that gave none.
    pub dropped: Vec<Dropped>,
}

/// Surfaces nearer to an end of the note than this are spoken against: about one way of the band
/// that surfaces are predicted with, and what the temper aims over a least hardness.
const SURFACE_ROOM_HV: f64 = 40.0;

/// A soak that ends after the staffed hours less often than this is not spoken of: the late end of a
/// band is passed as often.
const RARELY: f64 = 0.05;

/// Solving a way takes about as long as so many runs.
const WAY_STEPS: usize = 6;

/// A way whose weight is no more than this over the least, in hours, has no miss and no danger against
/// it that the other has not: only effort and hours, which a better chance outweighs.
const EFFORT_H: f64 = 40.0;
/// Ways whose chance is looked for before one is chosen.
pub(crate) const CONTENDERS: usize = 4;
/// Chances nearer than this are alike: all come from the same few draws, which tell them apart no
/// better.
const ALIKE: f64 = 0.1;

impl<'s> Found<'s> {
    /// Puts the ways in the order of their chance where they differ in effort and hours only: of those
    /// whose chance is as good as the best one's the cheapest comes first. Looked at are the cheapest
    /// of each tank, route, heat and reheat.
    pub(crate) fn by_chance(&mut self, bench: &Bench<'s>, options: Options) {
        let Some(least) = self.candidates.first().map(|c| c.cost) else {
            return;
        };
        let near = self
            .candidates
            .iter()
            .filter(|c| c.cost <= least + EFFORT_H);
        let count = near.count().min(CONTENDERS);
        // One way alone has nobody to be compared with.
        if count < 2 {
            return;
        }
        let contenders = &mut self.candidates[..count];
        // Where the cheapest is as good as sure, none can be better by more than what is alike.
        contenders[0].chance = alternatives::chance(bench, &contenders[0], options);
        if contenders[0]
            .chance
            .is_some_and(|chance| chance >= 1.0 - ALIKE)
        {
            return;
        }
        let chances: Vec<Option<f64>> = contenders
            .iter()
            .map(|c| c.chance.or_else(|| alternatives::chance(bench, c, options)))
            .collect();
        for (candidate, chance) in contenders.iter_mut().zip(&chances) {
            candidate.chance = *chance;
        }
        let most = chances.iter().flatten().copied().fold(0.0, f64::max);
        let first = contenders
            .iter()
            .position(|c| c.chance.is_some_and(|chance| chance >= most - ALIKE));
        // The others stay in the order of their weight.
        if let Some(first) = first {
            contenders[..=first].rotate_right(1);
        }
    }
}

impl Found<'_> {
    /// Least total depth of the ways that may be chosen.
    pub(crate) fn least_total(&self, bench: &Bench<'_>) -> Option<Length> {
        let least = self.candidates.first()?.cost;
        self.candidates
            .iter()
            .filter(|c| c.cost <= least + EFFORT_H)
            .filter_map(|c| {
                evaluate::depth_to_limit(
                    &c.simulated.chain.layers,
                    DepthLimit::CoreCarbon,
                    bench.demand.limit_hv(),
                    bench.core_carbon(),
                    Length::ZERO,
                )
            })
            .reduce(Length::min)
    }
}

impl<'s> Bench<'s> {
    /// Runs the search.
    #[must_use]
    pub fn search(&self) -> Found<'s> {
        let temperatures = self.temperatures();
        let first = temperatures[0];
        let mut found = self.solve_all(self.ways(first));
        // The best way of each tank is tried at the other temperatures: what is too much at the
        // usual one may be right below it.
        // Where that is a direct quench, the best way with a reheat is tried as well: the long
        // stretch of a direct quench may fit the day at no temperature.
        let best_of_tanks: Vec<Recipe<'s>> = self
            .tanks()
            .flat_map(|tank| {
                let of_tank = |c: &&Candidate<'s>| c.recipe.tank.id == tank.id;
                let best = found.candidates.iter().find(of_tank);
                let direct = best.is_some_and(|c| c.recipe.route == Route::Direct);
                let reheated = found
                    .candidates
                    .iter()
                    .filter(of_tank)
                    .find(|c| direct && c.recipe.route != Route::Direct);
                best.into_iter().chain(reheated)
            })
            .map(|candidate| candidate.recipe.clone())
            .collect();
        let others = best_of_tanks
            .iter()
            .flat_map(|best| {
                temperatures[1..].iter().map(|&temperature| Recipe {
                    temperature,
                    ..best.clone()
                })
            })
            .collect();
        let more = self.solve_all(others);
        found.candidates.extend(more.candidates);
        found.dropped.extend(more.dropped);
        found.candidates.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found
    }

    fn solve_all(&self, recipes: Vec<Recipe<'s>>) -> Found<'s> {
        self.watch.expect(WAY_STEPS * recipes.len());
        let solved: Vec<Result<Candidate<'s>, Dropped>> = recipes
            .into_par_iter()
            .map(|recipe| {
                let solved = self.solve(recipe);
                self.watch.steps(WAY_STEPS);
                solved
            })
            .collect();
        let mut found = Found::default();
        for result in solved {
            match result {
                Ok(candidate) => found.candidates.push(candidate),
                Err(dropped) => found.dropped.push(dropped),
            }
        }
        found.candidates.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found
    }

    /// Carburizing temperatures to try, the usual one first.
    fn temperatures(&self) -> Vec<Temperature> {
        if let Some(wish) = self.spec.wishes.temperature {
            return vec![wish];
        }
        let all: Vec<Temperature> = match self.spec.units {
            UnitSystem::Inch => [1700.0, 1650.0, 1600.0, 1750.0]
                .map(Temperature::from_f)
                .to_vec(),
            UnitSystem::Metric => [925.0, 900.0, 870.0, 950.0]
                .map(Temperature::from_c)
                .to_vec(),
        };
        let within: Vec<Temperature> = all.into_iter().filter(|t| *t <= self.furnace.max).collect();
        if within.is_empty() {
            vec![self.furnace.max]
        } else {
            within
        }
    }

    /// Routes × reheats × tanks at one temperature.
    fn ways(&self, temperature: Temperature) -> Vec<Recipe<'s>> {
        let mut ways = Vec::new();
        let critical = Critical::of(&self.matter.composition);
        for tank in self.tanks() {
            for route in [Route::Single, Route::Direct, Route::Double] {
                if self.spec.wishes.route.is_some_and(|wish| wish != route)
                    || (route == Route::Direct && !refusals::may_open_hot(self.spec))
                {
                    continue;
                }
                for reheats in self.reheats(route, &critical) {
                    let cooling = match route {
                        Route::Direct => dropped(self.rounded(843.0, 1550.0).min(temperature)),
                        Route::Single | Route::Double => Cooling::InAir,
                    };
                    ways.push(Recipe {
                        route,
                        temperature,
                        soak: Span::from_h(6.0),
                        furnace: self.furnace,
                        tank,
                        lot: self.lot,
                        packed: self.packed.clone(),
                        cooling,
                        reheats,
                        temper: self.temper(self.rounded(175.0, 350.0)),
                    });
                }
            }
        }
        ways
    }

    fn tanks(&self) -> impl Iterator<Item = &'s QuenchTank> {
        let wish = self.spec.wishes.tank.clone();
        self.spec
            .shop
            .tanks
            .iter()
            .filter(|tank| tank.medium != Medium::Air)
            .filter(move |tank| wish.as_ref().is_none_or(|mark| *mark == tank.id))
            .filter(|tank| refusals::of_tank(self.spec, tank).is_empty())
    }

    /// A temperature that is round in the job's own unit.
    fn rounded(&self, celsius: f64, fahrenheit: f64) -> Temperature {
        match self.spec.units {
            UnitSystem::Metric => Temperature::from_c(celsius),
            UnitSystem::Inch => Temperature::from_f(fahrenheit),
        }
    }

    /// Ten minutes for small parts, half an hour per inch of section for larger ones. [trade-practice]
    pub(crate) fn reheat_soak(&self) -> Span {
        let by_section = 30.0 * self.matter.section.to_in();
        Span::from_min((by_section.max(10.0) / 5.0).ceil() * 5.0)
    }

    /// An hour, and an hour more per inch of section. [trade-practice]
    pub(crate) fn temper(&self, temperature: Temperature) -> Temper {
        let hours = 1.0 + self.matter.section.to_in();
        Temper {
            temperature,
            soak: Span::from_h((hours * 4.0).ceil() / 4.0),
        }
    }

    pub(crate) fn is_plain(&self) -> bool {
        let c = &self.matter.composition;
        c.wt_pct(Element::Cr) + c.wt_pct(Element::Ni) + c.wt_pct(Element::Mo) < 0.4
    }

    pub(crate) fn ground(&self) -> Length {
        self.chain.stock.1
    }

    fn core_carbon(&self) -> WeightPercent {
        self.matter.composition.get(Element::C)
    }

    /// What a candidate's parts would show.
    #[must_use]
    pub fn observe(&self, layers: &Layers) -> Observed {
        evaluate::observe(layers, self.demand, self.core_carbon(), self.ground())
    }

    /// Solves one way and weighs it.
    pub(crate) fn solve(&self, recipe: Recipe<'s>) -> Result<Candidate<'s>, Dropped> {
        let what = describe(&recipe, self.spec.units);
        let (recipe, simulated) = self
            .solve_recipe(recipe)
            .map_err(|(obstacle, why)| Dropped {
                what,
                obstacle,
                why,
            })?;
        let observed = self.observe(&simulated.chain.layers);
        let fared = evaluate::evaluate(self.demand, &observed);
        let (cost, against) = self.cost(&recipe, &simulated, &observed, &fared);
        Ok(Candidate {
            recipe,
            simulated,
            observed,
            fared,
            cost,
            against,
            chance: None,
        })
    }

    /// Weighs a candidate: a missed clause outweighs every convenience; then what endangers the
    /// part; then effort and hours. The weights are a judgement, not a measurement: each is the
    /// number of furnace hours a shop would give to avoid the thing.
    fn cost(
        &self,
        recipe: &Recipe<'s>,
        simulated: &Simulated,
        observed: &Observed,
        fared: &Evaluation,
    ) -> (f64, Vec<String>) {
        let mut against: Vec<(f64, String)> = Vec::new();
        let misses = fared.misses() as f64;
        if misses > 0.0 {
            against.push((500.0 * misses, self.miss_text(observed, fared)));
        }
        let water = matches!(recipe.tank.medium, Medium::Water | Medium::Brine);
        let alloyed = self.record.map_or(!self.is_plain(), |r| {
            matches!(
                r.class,
                SteelClass::AlloyCarburizing | SteelClass::ThroughHardening
            )
        });
        if water && alloyed {
            against.push((60.0, "an alloy steel may crack in water".to_owned()));
        }
        if tank::is_oil(recipe.tank.medium) && self.is_plain() {
            let text = "a plain steel is hard in oil only by luck: fractions of a second decide";
            against.push((250.0, text.to_owned()));
        }
        let bath = tank::check(
            recipe.tank,
            propose::hot_mass(self.spec, recipe),
            simulated.chain.heat_to_bath_j_kg,
        );
        if tank::findings(recipe.tank, &bath)
            .iter()
            .any(|diag| diag.severity == Severity::Stop)
        {
            against.push((400.0, "the bath would end too hot".to_owned()));
        }
        let made = observed.depth_made.unwrap_or(Length::ZERO);
        if let Some(max) = self.chain.make_max
            && (made < self.chain.make_min || made > max)
        {
            against.push((
                200.0,
                format!(
                    "it makes {} where {} to {} is wanted",
                    made.depth_text(self.spec.units),
                    self.chain.make_min.depth_text(self.spec.units),
                    max.depth_text(self.spec.units)
                ),
            ));
        }
        let austenite = simulated
            .chain
            .layers
            .retained_austenite
            .iter()
            .copied()
            .fold(0.0, f64::max);
        if austenite > 0.3 {
            against.push((
                25.0,
                format!("{:.0} % retained austenite in the case", 100.0 * austenite),
            ));
        }
        match recipe.route {
            Route::Direct => against.push((
                12.0,
                "the box is opened hot, the grain stays coarse and more austenite is left"
                    .to_owned(),
            )),
            Route::Double => against.push((
                8.0,
                "two quenches: more work and more distortion for a finer core".to_owned(),
            )),
            Route::Single => {}
        }
        if let Some(room) = self.surface_room_hv(observed)
            && (0.0..SURFACE_ROOM_HV).contains(&room)
        {
            against.push((
                (SURFACE_ROOM_HV - room) / 10.0,
                format!("its surface is only {room:.0} HV inside the note"),
            ));
        }
        let over = recipe.temperature.to_f() - 1700.0;
        if over > 1.0 {
            against.push((
                3.0 + over / 25.0,
                "hotter: coarser grain, more scatter, more wear of the box".to_owned(),
            ));
        }
        let hot_temper = recipe.temper.temperature.to_f() - 400.0;
        if hot_temper > 1.0 {
            // Under a greatest hardness the heat of the temper is asked for, though not for free.
            let capped = self
                .demand
                .surface
                .as_ref()
                .is_some_and(|s| s.max.is_some());
            let bought = if capped {
                "to come under the greatest hardness asked"
            } else {
                "for nothing asked"
            };
            against.push((
                hot_temper / 10.0,
                format!(
                    "a temper above {} gives away wear {bought}",
                    Temperature::from_f(400.0).text_both(self.spec.units)
                ),
            ));
        }
        let hours = simulated.heat.soak_ends.to_h();
        let soaked = self.latest_end(recipe).map_or(hours, Span::to_h);
        // A direct quench waits for nobody, so somebody is there until the temper is over, and no
        // leave for an unattended soak helps.
        let (late, until, alone) = match recipe.route {
            Route::Direct => (
                soaked + steps::after_a_direct_soak(recipe, simulated).to_h(),
                "temper",
                false,
            ),
            Route::Single | Route::Double => (soaked, "soak", self.spec.unattended),
        };
        let window = self.longest_window();
        // A direct quench cannot be broken off at closing time: its late end must fit.
        let missed = match recipe.route {
            Route::Direct => f64::from(u8::from(late > window.to_h())),
            Route::Single | Route::Double => {
                1.0 - self.hot_within(recipe, simulated, window - recipe.soak)
            }
        };
        if missed > RARELY && !alone {
            let text = if missed > 0.98 {
                format!(
                    "up to {late:.1} h from loading to the end of the {until} do not fit the staffed hours"
                )
            } else {
                format!(
                    "with a chance of {:.0} % the {until} ends after the staffed hours, up to {late:.1} h from loading",
                    100.0 * missed
                )
            };
            // More often than that the day cannot be planned at all, see `closing`.
            let share = if missed > closing::MOST_LATE {
                1.0
            } else {
                missed
            };
            against.push((share * (100.0 + late), text));
        }
        let total: f64 = against.iter().map(|(weight, _)| weight).sum::<f64>() + hours;
        against.sort_by(|a, b| b.0.total_cmp(&a.0));
        (total, against.into_iter().map(|(_, text)| text).collect())
    }

    /// How far the surface stands inside the nearer end of the note's range; negative outside.
    fn surface_room_hv(&self, observed: &Observed) -> Option<f64> {
        let asked = self.demand.surface.as_ref()?;
        let surface = observed.surface?.to_hv();
        let ends = [
            asked.min.map(|min| surface - min.to_hv()),
            asked.max.map(|max| max.to_hv() - surface),
        ];
        ends.into_iter().flatten().reduce(f64::min)
    }

    /// End of the soak after loading when the pack heats as slowly as its band allows.
    fn latest_end(&self, recipe: &Recipe<'_>) -> Option<Span> {
        let slow = Departure {
            bed: 1.0 / doubt::BED_90,
            ..Departure::NONE
        };
        recipe
            .heat(&slow)
            .ok()
            .map(|heat| heat.hot_after + recipe.soak)
    }

    /// Chance that the pack is hot within a time from loading. The moment is known as a middle and a
    /// late end of 90 %, and is spread evenly about its middle in its logarithm on each side.
    fn hot_within(&self, recipe: &Recipe<'_>, simulated: &Simulated, time: Span) -> f64 {
        let mid = simulated.heat.hot_after;
        let late = self.latest_end(recipe).map(|end| end - recipe.soak);
        let (Some(late), true) = (late, time > Span::ZERO) else {
            return 0.0;
        };
        // The early side is as wide as the late one here: only a chance under a half hangs on it.
        let wide = fun::ln((late / mid).max(1.0 + 1e-6));
        let z = doubt::Z_95 * fun::ln(time / mid) / wide;
        0.5 * fun::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
    }

    /// The cheapest other way to pack that would end in staffed hours with the least soak that makes
    /// the depth, where this one would not.
    pub(crate) fn sooner_way(&self, best: &Candidate<'s>, least_soak: Span) -> Option<usize> {
        if self.spec.unattended {
            return None;
        }
        let window = self.longest_window();
        let after = match best.recipe.route {
            Route::Direct => steps::after_a_direct_soak(&best.recipe, &best.simulated),
            Route::Single | Route::Double => Span::ZERO,
        };
        let fixed = best.recipe.soak + after;
        let slow = self.latest_end(&best.recipe)? - best.recipe.soak;
        if slow + fixed <= window {
            return None;
        }
        // Another box is slower than its middle by as much as this one. The soak is another in it, so
        // what misses by a twentieth is tried too: its own plan then says whether it ends in time.
        let nearly = window * 1.05;
        let doubt = slow / best.simulated.heat.hot_after;
        let ways = &self.equipment.ways;
        let held = best.simulated.heat.hot_after;
        let fits = |i: &usize| {
            let hot = ways[*i].hot.as_ref().ok().filter(|hot| **hot < held);
            hot.is_some_and(|hot| *hot * doubt + least_soak + after <= nearly)
        };
        let cost = |i: &usize| ways[*i].cost(best.recipe.soak);
        (0..ways.len())
            .filter(fits)
            .min_by(|a, b| cost(a).total_cmp(&cost(b)))
    }

    fn longest_window(&self) -> Span {
        crate::clock::Clock::longest_window(&self.spec.shop.staffed)
    }

    fn miss_text(&self, observed: &Observed, fared: &Evaluation) -> String {
        use evaluate::Fared::{High, Low};
        let mut parts = Vec::new();
        let side = |fared| match fared {
            Low => Some("under"),
            High => Some("over"),
            _ => None,
        };
        let depth = if self.demand.after_grind {
            observed.depth_after_grind
        } else {
            observed.depth_made
        };
        if let (Some(side), Some(depth)) = (side(fared.depth), depth) {
            parts.push(format!(
                "depth {} is {side} the note",
                depth.depth_text(self.spec.units)
            ));
        }
        if let (Some(side), Some(hv)) = (side(fared.surface), observed.surface) {
            parts.push(format!("surface {:.0} HV is {side} the note", hv.to_hv()));
        }
        if let (Some(side), Some(hv)) = (side(fared.core), observed.core) {
            parts.push(format!("core {:.0} HV is {side} the note", hv.to_hv()));
        }
        parts.join(", ")
    }
}

/// A way in a few words.
#[must_use]
pub fn describe(recipe: &Recipe<'_>, units: UnitSystem) -> String {
    let medium = tank::name(recipe.tank.medium);
    let route = match recipe.route {
        Route::Direct => format!("direct quench in {medium}"),
        Route::Single => {
            let at = recipe.reheats.last().map_or(String::new(), |r| {
                format!(" at {}", r.temperature.text(units))
            });
            format!("single reheat{at}, {medium}")
        }
        Route::Double => format!("double reheat, {medium}"),
    };
    format!("{} pack, {route}", recipe.temperature.text(units))
}
