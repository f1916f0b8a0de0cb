//! What puts a mishap right, found by solving on the plan's own chain: the soak that makes the planned
//! depth again, a second heat in a fresh pack, another temper, another hardening.
//!
//! The goal is always the plan's own middle: where that is reached, the doubts stand as they stood.

use casewright_job::spec::RouteWish as Route;
use casewright_physics::numerics::fun;
use casewright_terms::{Diag, Severity, Span, Temperature, TemperatureStep, Vickers};

use super::{Act, Outcome, Remedy, Stage, Upset};
use crate::again::{Slip, step};
use crate::clock;
use crate::members::Seen;
use crate::outcome::{Moment, StepKind};
use crate::refusals;
use crate::tank;

/// A remedy is solved to this depth: a tenth of what a coupon's ring can be read to.
const NEAR_MM: f64 = 0.005;
/// Tries; three or four are the rule.
const TRIES: usize = 10;
/// The longest soak that is looked for.
const SOAK_MOST_H: f64 = 40.0;
/// A remedy shorter than this is inside what nobody keeps a soak to. [trade-practice]
const WORTH_MIN: f64 = 5.0;
/// Depth lost or gained that no coupon shows. [trade-practice]
const READ_MM: f64 = 0.02;
/// Tempers looked for: from what gives no relief to where a case gives its wear away. [trade-practice]
const TEMPER_C: (f64, f64) = (140.0, 260.0);
/// Quenched work waits for its temper an hour, and four at the very most. [trade-practice]
const WAITS_H: f64 = 4.0;

impl Stage<'_> {
    /// Looks for what puts it right, and says so where nothing does.
    pub(super) fn put_right(&self, outcome: &mut Outcome, slip: &Slip<'_>, seen: &Seen) {
        match outcome.upset {
            Upset::DampCompound => outcome.stop = Some(self.damp()),
            Upset::PowerCut { .. }
            | Upset::LateStart(_)
            | Upset::LatePull(_)
            | Upset::SetWrong(_)
            | Upset::FurnaceOff(_)
            | Upset::WeakCompound(_) => self.by_soak(outcome, slip, seen),
            Upset::Bath(bath) => {
                self.by_quench(outcome, seen);
                let mut tank = self.again.recipe.tank.clone();
                tank.bath = bath;
                let heat = self.again.nominal.chain.heat_to_bath_j_kg;
                let check = tank::check(&tank, self.again.hot_mass(), heat);
                let stop = tank::findings(&tank, &check)
                    .into_iter()
                    .find(|diag| diag.severity == Severity::Stop);
                outcome.stop = outcome.stop.take().or(stop);
            }
            Upset::Transfer(_) => self.by_quench(outcome, seen),
            Upset::NoTemper => self.temper_now(outcome),
            Upset::Temper(at) => self.by_temper(outcome, at, seen),
        }
        // What leaves the part no better than it is, is no remedy.
        let now = outcome.gives.as_ref().and_then(|values| values.chance);
        outcome.remedies.retain(|remedy| {
            let then = remedy.gives.as_ref().and_then(|values| values.chance);
            now.zip(then).is_none_or(|(now, then)| then > now)
        });
        if outcome.remedies.is_empty() && outcome.stop.is_none() && !seen.meets(&self.again.demand)
        {
            outcome.stop = Some(self.nothing());
        }
    }

    /// Damp compound is not charged: the planner's own refusal.
    fn damp(&self) -> Diag {
        let mut lot = self.again.recipe.lot.clone();
        lot.dry = false;
        let refused = refusals::of_lot(&lot)
            .into_iter()
            .find(|diag| diag.code == "refused-damp");
        refused.unwrap_or_else(|| {
            Diag::stop("refused-damp", "The compound is damp.")
                .why("Steam can burst the lute, scales the work and spoils the case.")
                .accepted("Dry compound.")
        })
    }

    fn nothing(&self) -> Diag {
        Diag::stop("upset-past-mending", "It cannot be put right by heat.")
            .why("Carbon that has gone in does not come out again, and the note is left.")
            .accepted("Stop, keep the parts apart, and ask the customer with the values above before anything is ground.")
    }

    /// More or less soak, or a second heat.
    fn by_soak(&self, outcome: &mut Outcome, slip: &Slip<'_>, seen: &Seen) {
        let miss_mm = (seen.case_m - self.again.seen.case_m) * 1e3;
        if miss_mm.abs() < READ_MM * 0.5 {
            return;
        }
        // A box that was pulled late holds its carbon; that it should have been pulled is no remedy.
        if miss_mm > 0.0 && matches!(outcome.upset, Upset::LatePull(_)) {
            return;
        }
        // A furnace that is known to be off is set right for the reheat.
        let mut box_only = slip.clone();
        if let Upset::FurnaceOff(by) = outcome.upset {
            box_only.departure.furnace = TemperatureStep::ZERO;
            box_only.recipe.temperature = box_only.recipe.temperature + by;
        }
        // The soak that was cut short by a clock is the recipe's to lengthen.
        let held = slip.recipe.soak;
        let solved = self.solve(held, |soak| {
            let mut own = box_only.clone();
            own.recipe.soak = soak;
            self.seen(&own)
        });
        if let Some((soak, gives)) = solved {
            outcome
                .remedies
                .extend(self.soak_act(soak, held, &gives, outcome.upset));
        }
        if miss_mm < 0.0 && self.again.recipe.route != Route::Direct {
            outcome.remedies.extend(self.pack_again(&box_only));
        }
    }

    fn soak_act(&self, soak: Span, held: Span, gives: &Seen, upset: Upset) -> Option<Remedy> {
        let plan = self.again.plan;
        let soaked = step(plan, StepKind::Carburize)?;
        // The planned end on the clock, from which people count.
        let pulled = match upset {
            Upset::LatePull(by) => clock::later(soaked.ends, by),
            _ => soaked.ends,
        };
        let by = rounded(soak - held);
        if by.to_min().abs() < WORTH_MIN {
            return None;
        }
        let values = Some(self.values(gives));
        if by > Span::ZERO {
            // The start was late or the cut took its time: the new end is counted from the old.
            let ends = clock::later(pulled, by);
            return Some(Remedy {
                act: Act::SoakLonger(by),
                what: format!("soak {} longer{}", by.text(), clocked(", to ", ends)),
                gives: values,
                until: format!("seen before the box is pulled{}", clocked(", ", pulled)),
                latest: Some(pulled),
                mind: self.nobody_there(ends),
            });
        }
        let early = clock::later(pulled, by);
        let back = Span::ZERO - by;
        // It must still lie ahead: an end before the pack is hot cannot be kept.
        (soak > Span::ZERO).then(|| Remedy {
            act: Act::PullEarlier(back),
            what: format!("end the soak {} earlier{}", back.text(), clocked(", at ", early)),
            gives: values,
            until: format!("seen before that hour{}", clocked(", ", early)),
            latest: Some(early),
            mind: Some("later than that the carbon is in, and no heat takes it out: outside the note, stop and ask the customer before anything is ground".to_owned()),
        })
    }

    /// A second heat in a fresh pack, after the box was opened.
    fn pack_again(&self, slip: &Slip<'_>) -> Option<Remedy> {
        let plan = self.again.plan;
        let first = Span::from_h(1.0);
        let (soak, gives) = self.solve(first, |soak| {
            let mut own = slip.clone();
            own.packed_again = Some(soak);
            self.seen(&own)
        })?;
        let soak = rounded(soak).max(Span::ZERO);
        let reheat = step(plan, StepKind::Reheat).map(|s| s.begins);
        let what = if soak > Span::ZERO {
            format!(
                "found after the box is cold: pack again as planned and soak {} from hot",
                soak.text()
            )
        } else {
            "found after the box is cold: pack again as planned, and pull it when it is hot"
                .to_owned()
        };
        let over_mm = (gives.case_m - self.again.seen.case_m) * 1e3;
        Some(Remedy {
            act: Act::PackAgain(soak),
            what,
            gives: Some(self.values(&gives)),
            until: format!(
                "before the parts are reheated and quenched{}",
                reheat.map_or_else(String::new, |m| clocked(", ", m))
            ),
            latest: reheat,
            mind: (over_mm > READ_MM)
                .then(|| format!("the heat-up alone adds {over_mm:.2} mm more than was lost")),
        })
    }

    /// Soft or slow in the quench: harden once more.
    fn by_quench(&self, outcome: &mut Outcome, seen: &Seen) {
        let off_hv = (seen.surface_hv - self.again.seen.surface_hv)
            .abs()
            .max((seen.core_hv - self.again.seen.core_hv).abs());
        // Under what a tester repeats to, there is nothing to put right. [trade-practice]
        if off_hv < 10.0 && seen.meets(&self.again.demand) {
            return;
        }
        outcome.remedies.extend(self.harder_temper(seen));
        outcome.remedies.push(self.harden_again());
    }

    /// The last heat and the quench once more.
    fn harden_again(&self) -> Remedy {
        let plan = self.again.plan;
        let mut slip = self.again.slip();
        let again = slip.recipe.reheats.last().copied();
        if let Some(heat) = again {
            slip.recipe.reheats.push(heat);
        }
        let gives = again.and_then(|_| self.seen(&slip));
        let ground = step(plan, StepKind::Grind).map(|s| s.begins);
        let heat = again.map_or_else(
            || "the heat of a single reheat".to_owned(),
            |heat| heat.temperature.text(self.again.spec.units),
        );
        Remedy {
            act: Act::HardenAgain,
            what: format!(
                "wrap, heat once more to {heat} and quench as planned ({}, {} from door to bath), then temper as planned",
                self.again.recipe.tank.bath.text(self.again.spec.units),
                self.again.recipe.tank.transfer.text()
            ),
            gives: gives.map(|seen| self.values(&seen)),
            until: format!(
                "before anything is ground{}",
                ground.map_or_else(String::new, |m| clocked(", ", m))
            ),
            latest: ground,
            mind: Some(
                "each quench more is more distortion and a little more lost skin".to_owned(),
            ),
        }
    }

    /// Where the surface is over the note's greatest, the temper that brings it back.
    fn harder_temper(&self, seen: &Seen) -> Option<Remedy> {
        let most = self.again.demand.surface.as_ref()?.max?;
        if seen.surface_hv <= most.to_hv() {
            return None;
        }
        let goal = Vickers::from_hv(self.again.seen.surface_hv);
        let (at, gives) = self.temper_for(goal)?;
        Some(self.temper_remedy(at, Some(&gives), "temper hotter:", None))
    }

    fn temper_now(&self, outcome: &mut Outcome) {
        let at = self.again.recipe.temper.temperature;
        let quenched = step(self.again.plan, StepKind::Quench).map(|s| s.ends);
        let latest = quenched.map(|m| clock::later(m, Span::from_h(WAITS_H)));
        let seen = self.again.seen;
        outcome.remedies.push(self.temper_remedy(
            at,
            Some(&seen),
            "temper now, as planned:",
            latest,
        ));
    }

    fn by_temper(&self, outcome: &mut Outcome, was: Temperature, seen: &Seen) {
        let planned = self.again.recipe.temper.temperature;
        if was < planned {
            // Temper at the planned heat after a cooler one gives what the planned one gives.
            let all = self.again.seen;
            let tested = step(self.again.plan, StepKind::Grind).map(|s| s.begins);
            outcome
                .remedies
                .push(self.temper_remedy(planned, Some(&all), "temper again:", tested));
            return;
        }
        if (seen.surface_hv - self.again.seen.surface_hv).abs() >= 10.0 {
            outcome.remedies.push(self.harden_again());
        }
    }

    fn temper_remedy(
        &self,
        at: Temperature,
        gives: Option<&Seen>,
        head: &str,
        latest: Option<Moment>,
    ) -> Remedy {
        Remedy {
            act: Act::Temper(at),
            what: format!(
                "{head} {} for {}",
                at.text(self.again.spec.units),
                self.again.recipe.temper.soak.text()
            ),
            gives: gives.map(|seen| self.values(seen)),
            until: match latest {
                Some(moment) => format!("before the parts are ground{}", clocked(", ", moment)),
                None => "before the parts are ground".to_owned(),
            },
            latest,
            mind: None,
        }
    }

    /// The temper, in round units, that brings the surface nearest to a hardness.
    fn temper_for(&self, goal: Vickers) -> Option<(Temperature, Seen)> {
        let (mut low, mut high) = TEMPER_C;
        let at = |c: f64| {
            let mut slip = self.again.slip();
            slip.recipe.temper.temperature = Temperature::from_c(c);
            self.seen(&slip)
        };
        let mut best = None;
        for _ in 0..TRIES {
            let c = f64::midpoint(low, high);
            let seen = at(c)?;
            if seen.surface_hv > goal.to_hv() {
                low = c;
            } else {
                high = c;
            }
            best = Some((Temperature::from_c(c.round()), seen));
        }
        best
    }

    /// The soak whose case is the plan's own, by the secant on the root of time; and what it shows.
    fn solve(&self, first: Span, seen: impl Fn(Span) -> Option<Seen>) -> Option<(Span, Seen)> {
        let aim_mm = self.again.seen.case_m * 1e3;
        let mut hours = first.to_h().max(0.1);
        let mut before: Option<(f64, f64)> = None;
        let mut best: Option<(f64, Span, Seen)> = None;
        for _ in 0..TRIES {
            let own = seen(Span::from_h(hours))?;
            let miss_mm = own.case_m * 1e3 - aim_mm;
            if best
                .as_ref()
                .is_none_or(|(held, ..)| miss_mm.abs() < held.abs())
            {
                best = Some((miss_mm, Span::from_h(hours), own));
            }
            if miss_mm.abs() < NEAR_MM {
                break;
            }
            let root = fun::sqrt(hours);
            let slope = before
                .map(|(r, m)| (miss_mm - m) / (root - r))
                .filter(|slope| *slope > 1e-3);
            let next = match slope {
                Some(slope) => (root - miss_mm / slope).max(0.0).powi(2),
                None => hours * (aim_mm / (own.case_m * 1e3).max(0.05)).powi(2),
            };
            let next = next.clamp(0.0, SOAK_MOST_H);
            if (next - hours).abs() < 1e-3 {
                break;
            }
            before = Some((root, miss_mm));
            hours = next;
        }
        let (miss_mm, soak, seen) = best?;
        // A soak of nothing that still makes too much is the least there is; any other miss is none.
        let settled = miss_mm.abs() < READ_MM || (miss_mm > 0.0 && soak.to_h() < 0.1);
        settled.then_some((soak, seen))
    }

    fn seen(&self, slip: &Slip<'_>) -> Option<Seen> {
        self.again.run(slip).ok().map(|run| self.again.see(&run))
    }

    /// That nobody is there at an hour, by the shop's own.
    fn nobody_there(&self, at: Moment) -> Option<String> {
        let hours = &self.again.spec.shop.staffed;
        (!clock::staffed(hours, at)?).then(|| {
            "by the shop's hours nobody is there then: somebody must stay, or the box is pulled at closing and packed again".to_owned()
        })
    }
}

/// To five minutes: nobody keeps a soak closer.
fn rounded(span: Span) -> Span {
    Span::from_min((span.to_min() / 5.0).round() * 5.0)
}

/// A moment on the wall after some words; nothing where no clock is known.
fn clocked(before: &str, moment: Moment) -> String {
    moment.clock.map_or_else(String::new, |at| {
        format!("{before}{} {:02}:{:02}", at.date(), at.hour(), at.minute())
    })
}
