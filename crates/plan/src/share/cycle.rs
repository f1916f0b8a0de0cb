//! The box heat and soak that serve the least served of several jobs best, and how they may be
//! hardened after it.
//!
//! Every job's chain is run at a few soaks of each box heat; between them its values are read on the
//! root of time, on which depth lies nearly straight. The one that is chosen is run by itself.

use casewright_job::shop::Medium;
use casewright_job::spec::RouteWish as Route;
use casewright_physics::numerics::fun;
use casewright_terms::{Length, Mass, Severity, Span, Temperature, UnitSystem, Vickers};
use rayon::prelude::*;

use super::{Group, Portion, SharedCycle, Together, room};
use crate::again::{Again, Slip};
use crate::clock::Clock;
use crate::members::Seen;
use crate::outcome::PlanReport;
use crate::pack::Packed;
use crate::tank;

/// Soaks that are run, in hours.
const NODES_H: [f64; 5] = [0.5, 2.0, 5.0, 10.0, 20.0];
/// Soaks that are looked at between them.
const STEP_H: f64 = 0.25;
/// A shared cycle is taken only where nobody's chance falls below its own plan's by more than this:
/// about what the chance itself is known to.
const GIVEN_UP: f64 = 0.10;

/// Of box heats whose least chance differs by less than this the one with the shorter soak is taken.
const KNOWN_TO: f64 = 0.03;

/// Jobs that are looked at together.
struct Look<'a> {
    agains: &'a [&'a Again<'a>],
    reports: &'a [&'a PlanReport],
    packed: &'a Packed,
}

/// A box heat and a soak with what each job shows.
#[derive(Clone)]
struct Found {
    temperature: Temperature,
    soak: Span,
    least: f64,
}

/// Looks at some jobs together.
pub(super) fn look(agains: &[&Again<'_>], reports: &[&PlanReport], set: &[usize]) -> Group {
    let apart = |why: Vec<String>| Group {
        jobs: set.to_vec(),
        together: Together::Apart,
        why,
        cycle: None,
    };
    let direct = |a: &&&Again<'_>| a.recipe.route == Route::Direct;
    if let Some(one) = agains.iter().find(|a| direct(a)) {
        return apart(vec![format!(
            "{} is quenched straight from the box, so the box is opened hot for its parts alone",
            one.spec.name
        )]);
    }
    let packed = match room::in_one_box(agains) {
        Ok(packed) => packed,
        Err(why) => return apart(vec![why]),
    };
    let usual = agains[0].recipe.temperature;
    let soak = agains.iter().map(|a| a.recipe.soak).reduce(Span::max);
    let soak = soak.unwrap_or_else(|| Span::from_h(6.0));
    let cooling = agains[0].recipe.cooling;
    let packed = match room::heated(agains[0], &packed, usual, soak, cooling) {
        Ok(packed) => packed,
        Err(failure) => return apart(vec![format!("the shared box cannot be run: {failure}")]),
    };
    let look = Look {
        agains,
        reports,
        packed: &packed,
    };
    look.decide(set)
}

impl Look<'_> {
    fn decide(&self, set: &[usize]) -> Group {
        let mut why = Vec::new();
        // One hardening for all, by each job's own in turn.
        let mut best: Option<(f64, SharedCycle)> = None;
        for k in 0..self.agains.len() {
            if let Err(reason) = self.bath(k) {
                why.push(reason);
                continue;
            }
            if let Some(cycle) = self.cycle(Some(k), set)
                && self.serves(&cycle)
            {
                let least = cycle.least_chance.unwrap_or(0.0);
                if best.as_ref().is_none_or(|(held, _)| least > *held) {
                    best = Some((least, cycle));
                }
            }
        }
        if let Some((_, cycle)) = best {
            return Group {
                jobs: set.to_vec(),
                together: Together::AllTheWay,
                why: self.mind(&cycle),
                cycle: Some(cycle),
            };
        }
        let Some(cycle) = self.cycle(None, set) else {
            why.push("no box heat of the shop could be run for all of them".to_owned());
            return Group {
                jobs: set.to_vec(),
                together: Together::Apart,
                why,
                cycle: None,
            };
        };
        if self.serves(&cycle) {
            why.push(self.hardened_apart());
            why.extend(self.mind(&cycle));
            return Group {
                jobs: set.to_vec(),
                together: Together::InTheBox,
                why,
                cycle: Some(cycle),
            };
        }
        why.extend(self.worse(&cycle));
        Group {
            jobs: set.to_vec(),
            together: Together::Apart,
            why,
            cycle: Some(cycle),
        }
    }

    /// Whether everybody's middle meets its note, at no more than a little of its chance.
    fn serves(&self, cycle: &SharedCycle) -> bool {
        cycle.portions.iter().all(|own| {
            let given_up = match (own.alone, own.chance) {
                (Some(alone), Some(chance)) => alone - chance,
                _ => 0.0,
            };
            own.meets && given_up <= GIVEN_UP
        })
    }

    /// Whose note the best cycle serves too badly.
    fn worse(&self, cycle: &SharedCycle) -> Vec<String> {
        let mut list = Vec::new();
        for (i, own) in cycle.portions.iter().enumerate() {
            let again = self.agains[i];
            let units = again.spec.units;
            let chance = |c: Option<f64>| {
                c.map_or_else(|| "not known".to_owned(), |c| format!("{:.0} %", 100.0 * c))
            };
            if !own.meets
                || own
                    .alone
                    .zip(own.chance)
                    .is_some_and(|(a, c)| a - c > GIVEN_UP)
            {
                list.push(format!(
                    "at best ({}, {}) {} comes to {} after grinding with a chance of {}, alone {}",
                    cycle.temperature.text(units),
                    cycle.soak.text(),
                    again.spec.name,
                    own.after_grind.depth_text(units),
                    chance(own.chance),
                    chance(own.alone)
                ));
            }
        }
        list
    }

    fn hardened_apart(&self) -> String {
        let ways: Vec<String> = self
            .agains
            .iter()
            .map(|a| {
                let units = a.spec.units;
                let heats: Vec<String> = a
                    .recipe
                    .reheats
                    .iter()
                    .map(|heat| heat.temperature.text(units))
                    .collect();
                format!(
                    "{} from {} in {}, tempered at {}",
                    a.spec.name,
                    heats.join(" and "),
                    tank::name(a.recipe.tank.medium),
                    a.recipe.temper.temperature.text(units)
                )
            })
            .collect();
        format!("each is hardened by itself: {}", ways.join("; "))
    }

    fn mind(&self, cycle: &SharedCycle) -> Vec<String> {
        let mut list = vec![
            "each job has its own coupon beside its parts: one steel's coupon says nothing of another's".to_owned(),
            "plan it again with this box heat and soak under [wish] before it is run".to_owned(),
        ];
        let hours = cycle.hot_after + cycle.soak;
        let spec = self.agains[0].spec;
        if !spec.unattended && hours > Clock::longest_window(&spec.shop.staffed) {
            list.push(format!(
                "{} from loading to the end of the soak do not fit the staffed hours",
                hours.text()
            ));
        }
        if self.packed.layout.lift.to_kg() > crate::pack::weigh::LIFT_ALONE_KG {
            list.push(format!(
                "the shared box weighs {}: two people or a cart",
                self.packed.layout.lift.text(self.agains[0].spec.units)
            ));
        }
        list
    }

    /// Whether one bath takes all parts, and all at once.
    fn bath(&self, k: usize) -> Result<(), String> {
        let leader = self.agains[k];
        let water = |medium: Medium| matches!(medium, Medium::Water | Medium::Brine);
        // The planner gives a milder bath only to what may crack in water or need not go there.
        let milder = self.agains.iter().find(|a| !water(a.recipe.tank.medium));
        if let Some(own) = milder.filter(|_| water(leader.recipe.tank.medium)) {
            return Err(format!(
                "{} is planned for {}: in the {} of {} it may crack",
                own.spec.name,
                tank::name(own.recipe.tank.medium),
                tank::name(leader.recipe.tank.medium),
                leader.spec.name
            ));
        }
        let mass: Mass = self.agains.iter().map(|a| a.hot_mass()).sum();
        let heat = leader.nominal.chain.heat_to_bath_j_kg;
        let check = tank::check(leader.recipe.tank, mass, heat);
        let stop = tank::findings(leader.recipe.tank, &check)
            .into_iter()
            .find(|diag| diag.severity == Severity::Stop);
        match stop {
            Some(diag) => Err(format!("all at once in {}: {}", check.tank, diag.text())),
            None => Ok(()),
        }
    }

    /// The recipe of a job in the shared box, hardened as another's or as its own.
    fn slip(&self, i: usize, as_of: Option<usize>, set: Temperature, soak: Span) -> Slip<'_> {
        let own = self.agains[i];
        let mut recipe = own.recipe.clone();
        recipe.packed = room::of_job(self.packed, i);
        recipe.temperature = set;
        recipe.soak = soak;
        if let Some(k) = as_of {
            let leader = &self.agains[k].recipe;
            recipe.tank = leader.tank;
            recipe.route = leader.route;
            recipe.reheats.clone_from(&leader.reheats);
            recipe.temper = leader.temper;
            // The thickest part sets how long they stay.
            for heat in &mut recipe.reheats {
                let longest = self.agains.iter().flat_map(|a| a.recipe.reheats.last());
                heat.soak = longest.map(|h| h.soak).fold(heat.soak, Span::max);
            }
            let longest = self.agains.iter().map(|a| a.recipe.temper.soak);
            recipe.temper.soak = longest.fold(recipe.temper.soak, Span::max);
        }
        Slip {
            recipe,
            ..own.slip()
        }
    }

    fn seen(&self, i: usize, as_of: Option<usize>, set: Temperature, soak: Span) -> Option<Seen> {
        let slip = self.slip(i, as_of, set, soak);
        let run = self.agains[i].run(&slip).ok()?;
        Some(self.agains[i].see(&run))
    }

    /// The best cycle with a hardening.
    fn cycle(&self, as_of: Option<usize>, set: &[usize]) -> Option<SharedCycle> {
        let temperatures = self.temperatures();
        let found: Vec<Option<Found>> = temperatures
            .par_iter()
            .map(|t| self.best_soak(as_of, *t))
            .collect();
        let found: Vec<Found> = found.into_iter().flatten().collect();
        let most = found.iter().map(|own| own.least).reduce(f64::max)?;
        // Days of furnace are not given for less than a chance is known to.
        let best = found
            .iter()
            .filter(|own| own.least >= most - KNOWN_TO)
            .min_by(|a, b| a.soak.to_s().total_cmp(&b.soak.to_s()))?;
        let portions: Vec<Portion> = (0..self.agains.len())
            .map(|i| self.portion(i, as_of, best, set[i]))
            .collect::<Option<_>>()?;
        let chances = portions.iter().map(|own| own.chance);
        let least_chance = chances
            .collect::<Option<Vec<f64>>>()
            .and_then(|all| all.into_iter().reduce(f64::min));
        let slip = self.slip(0, as_of, best.temperature, best.soak);
        let heat = slip.recipe.heat(&slip.departure).ok()?;
        Some(SharedCycle {
            temperature: best.temperature,
            soak: best.soak,
            hot_after: heat.hot_after,
            least_chance,
            layout: self.packed.layout.clone(),
            hardened_as: as_of.map(|k| set[k]),
            portions,
        })
    }

    fn portion(&self, i: usize, as_of: Option<usize>, at: &Found, job: usize) -> Option<Portion> {
        let seen = self.seen(i, as_of, at.temperature, at.soak)?;
        let (again, report) = (self.agains[i], self.reports[i]);
        let moved = report.outlook.members.moved(&again.seen, &seen);
        Some(Portion {
            job,
            case_depth: Length::from_m(seen.case_m),
            after_grind: Length::from_m(seen.after_grind_m),
            surface: Vickers::from_hv(seen.surface_hv),
            core: Vickers::from_hv(seen.core_hv),
            meets: seen.meets(&again.demand),
            chance: moved.and_then(|members| members.chance(&again.demand)),
            alone: report.outlook.chance_all,
        })
    }

    /// Box heats to look at: the jobs' own, then the usual ones of the shop.
    fn temperatures(&self) -> Vec<Temperature> {
        let first = self.agains[0];
        let max = first.recipe.furnace.max;
        let wish = self.agains.iter().find_map(|a| a.spec.wishes.temperature);
        if let Some(wish) = wish {
            return vec![wish];
        }
        let usual: Vec<Temperature> = match first.spec.units {
            UnitSystem::Inch => [1700.0, 1650.0, 1600.0].map(Temperature::from_f).to_vec(),
            UnitSystem::Metric => [925.0, 900.0, 870.0].map(Temperature::from_c).to_vec(),
        };
        let own = self.agains.iter().map(|a| a.recipe.temperature);
        let mut list: Vec<Temperature> = Vec::new();
        for t in own.chain(usual).filter(|t| *t <= max) {
            let near = |held: &Temperature| (*held - t).to_k().abs() < 6.0;
            if !list.iter().any(near) {
                list.push(t);
            }
        }
        list
    }

    /// The soak that serves the least served job best at one box heat.
    fn best_soak(&self, as_of: Option<usize>, set: Temperature) -> Option<Found> {
        let nodes: Vec<Vec<Seen>> = (0..self.agains.len())
            .into_par_iter()
            .map(|i| {
                NODES_H
                    .par_iter()
                    .map(|h| self.seen(i, as_of, set, Span::from_h(*h)))
                    .collect::<Option<Vec<Seen>>>()
            })
            .collect::<Option<_>>()?;
        let last = NODES_H[NODES_H.len() - 1];
        let steps = ((last - NODES_H[0]) / STEP_H) as usize;
        (0..=steps)
            .map(|n| {
                let hours = NODES_H[0] + n as f64 * STEP_H;
                let chance = |i: usize| {
                    let seen = between(&nodes[i], hours);
                    let members = &self.reports[i].outlook.members;
                    let moved = members.moved(&self.agains[i].seen, &seen);
                    moved
                        .and_then(|m| m.chance(&self.agains[i].demand))
                        .unwrap_or(0.0)
                };
                let least = (0..nodes.len()).map(chance).fold(1.0, f64::min);
                Found {
                    temperature: set,
                    soak: Span::from_h(hours),
                    least,
                }
            })
            // The shorter of two that are as good.
            .reduce(|a, b| if b.least > a.least + 1e-9 { b } else { a })
    }
}

/// Values between the nodes, straight on the root of time.
fn between(nodes: &[Seen], hours: f64) -> Seen {
    let i = NODES_H
        .partition_point(|h| *h <= hours)
        .clamp(1, NODES_H.len() - 1);
    let root = fun::sqrt;
    let (low, high) = (root(NODES_H[i - 1]), root(NODES_H[i]));
    let share = (root(hours) - low) / (high - low);
    let (a, b) = (&nodes[i - 1], &nodes[i]);
    let mid = |a: f64, b: f64| a + (b - a) * share;
    Seen {
        case_m: mid(a.case_m, b.case_m),
        after_grind_m: mid(a.after_grind_m, b.after_grind_m),
        surface_hv: mid(a.surface_hv, b.surface_hv),
        core_hv: mid(a.core_hv, b.core_hv),
        austenite_pct: mid(a.austenite_pct, b.austenite_pct),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_soaks_a_depth_lies_on_the_root_of_time() {
        let at = |mm: f64| Seen {
            case_m: mm * 1e-3,
            ..Seen::default()
        };
        let nodes: Vec<Seen> = NODES_H.iter().map(|h| at(0.4 * h.sqrt())).collect();
        for hours in [0.5, 1.0, 3.25, 7.0, 19.75, 20.0] {
            let own = between(&nodes, hours).case_m * 1e3;
            assert!((own - 0.4 * hours.sqrt()).abs() < 1e-9, "{hours} h: {own}");
        }
    }
}
