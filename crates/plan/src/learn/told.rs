//! What was learnt, for people: the depth that a set of things gives against what was reckoned, and
//! each value in its own measure.

use casewright_job::shop::{Subject, Trait};
use casewright_physics::numerics::fun;
use casewright_terms::{Length, UnitSystem};

use super::estimate::Estimate;
use super::{Lesson, Seen};
use crate::beliefs::{KEPT, Things};
use crate::doubt::{Z_95, factor_90};

/// What a set of things does to the depth of the next job with them.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// The things.
    pub things: Things,
    /// Depth against what is reckoned without evidence, as a factor.
    pub factor: f64,
    /// The depth that the last job with them was reckoned to.
    pub depth: Length,
    /// Half of the depth's 90 % band without evidence.
    pub before: Length,
    /// The same with it.
    pub after: Length,
    /// Of that, what is new in each job and no evidence takes away.
    pub new: Length,
    /// Pieces of the jobs with these things that a depth was read on: piece and run.
    pub from: Vec<(String, String)>,
    /// Runs with any of these things.
    pub runs: Vec<String>,
}

/// One value in its own measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Factor {
    /// What it belongs to.
    pub about: Subject,
    /// Its mark.
    pub mark: String,
    /// What.
    pub what: Trait,
    /// Where it stands, with its 90 % ends, in `unit`; then the ends without evidence.
    pub value: (f64, f64, f64),
    /// 90 % ends without evidence.
    pub prior: (f64, f64),
    /// Unit: a factor, kelvin, grain numbers, or shares of the doubt.
    pub unit: &'static str,
}

/// Depth measured over foretold.
pub(super) fn depth_ratio(lesson: &Lesson) -> Option<f64> {
    let depth = |seen: Seen| lesson.rows.iter().find(|row| row.seen == seen);
    let row = depth(Seen::CaseDepth).or_else(|| depth(Seen::TotalDepth))?;
    Some(fun::exp(row.off))
}

pub(super) fn together(lessons: &[&Lesson], estimate: &Estimate) -> Vec<Together> {
    let mut sets: Vec<&Things> = lessons.iter().map(|lesson| &lesson.things).collect();
    sets.sort();
    sets.dedup();
    let of = |things: &&Things| -> Option<Together> {
        let own = || lessons.iter().filter(|lesson| lesson.things == **things);
        let last = own().next_back()?;
        let (mid, of_things, new) = estimate.response(things, &last.slopes);
        let before: f64 = last.slopes.iter().map(|s| s * s).sum();
        let depth = last.foretold * fun::exp(mid);
        let half = |variance: f64, depth: Length| depth * (Z_95 * variance.max(0.0).sqrt());
        let shares = |lesson: &&&Lesson| {
            KEPT.iter()
                .any(|(_, about, ..)| lesson.things.mark(*about) == things.mark(*about))
        };
        Some(Together {
            things: (*things).clone(),
            factor: fun::exp(mid),
            depth: last.foretold,
            before: half(before, last.foretold),
            after: half(of_things + new, depth),
            new: half(new, depth),
            from: own()
                .flat_map(|lesson| {
                    let read = lesson
                        .rows
                        .iter()
                        .filter(|row| matches!(row.seen, Seen::CaseDepth | Seen::TotalDepth));
                    read.flat_map(|row| &row.pieces)
                        .map(|piece| (piece.clone(), lesson.run.clone()))
                        .collect::<Vec<_>>()
                })
                .collect(),
            runs: lessons
                .iter()
                .filter(shares)
                .map(|lesson| lesson.run.clone())
                .collect(),
        })
    };
    sets.iter().filter_map(of).collect()
}

impl Together {
    /// In a sentence.
    #[must_use]
    pub fn sentence(&self, units: UnitSystem) -> String {
        let things = &self.things;
        let pct = (self.factor - 1.0) * 100.0;
        let moved = if pct.abs() < 0.5 {
            "the depth that is reckoned".to_owned()
        } else {
            let side = if pct > 0.0 { "more" } else { "less" };
            format!("{:.0} % {side} depth than reckoned", pct.abs())
        };
        let shown: Vec<String> = self
            .from
            .iter()
            .take(MOST_NAMED)
            .map(|(piece, run)| format!("{piece} of {run}"))
            .collect();
        let more = if self.from.len() > MOST_NAMED {
            ", …"
        } else {
            ""
        };
        let from = match self.from.len() {
            0 => "from hardness alone".to_owned(),
            1 => format!("from 1 piece ({})", shown.join(", ")),
            n => format!("from {n} pieces ({}{more})", shown.join(", ")),
        };
        let told = |depth: Length| depth.depth_text(units);
        let narrows = if self.after < self.before {
            "narrows"
        } else {
            "goes"
        };
        format!(
            "Box {} with lot {} in furnace {}, steel {}, tank {}: gives {moved}, {from}; the next plan's band {narrows} from ±{} to ±{}, of which ±{} is new in every job.",
            things.pack_box,
            things.compound,
            things.furnace,
            things.steel,
            things.tank,
            told(self.before),
            told(self.after),
            told(self.new),
        )
    }
}

/// Pieces that a sentence names.
const MOST_NAMED: usize = 8;

pub(super) fn factors(lessons: &[&Lesson], estimate: &Estimate) -> Vec<Factor> {
    let mut all = Vec::new();
    for (dimension, about, what, _) in KEPT {
        let mut marks: Vec<&str> = lessons.iter().map(|l| l.things.mark(about)).collect();
        marks.sort_unstable();
        marks.dedup();
        for mark in marks {
            let Some((mid, deviation)) = estimate.of_key(about, mark, dimension) else {
                continue;
            };
            let with = lessons.iter().rev().find(|l| l.things.mark(about) == mark);
            let k = with.map_or((0.0, 0.0), |lesson| lesson.furnace_k);
            let (unit, at): (_, Box<dyn Fn(f64) -> f64>) = match (factor_90(dimension), dimension) {
                (Some(ninety), _) => ("×", Box::new(move |z| fun::exp(z * fun::ln(ninety)))),
                (None, 0) => ("K", Box::new(move |z| z * k.0)),
                (None, 1) => ("K", Box::new(move |z| z * k.1)),
                (None, 9) => ("grain numbers", Box::new(|z| z)),
                (None, _) => ("of its doubt", Box::new(|z| z)),
            };
            let (mid, doubt) = (mid / Z_95, deviation);
            all.push(Factor {
                about,
                mark: mark.to_owned(),
                what,
                value: (at(mid - doubt), at(mid), at(mid + doubt)),
                prior: (at(-1.0), at(1.0)),
                unit,
            });
        }
    }
    all.sort_by(|a, b| (a.about, &a.mark, a.what).cmp(&(b.about, &b.mark, b.what)));
    all
}
