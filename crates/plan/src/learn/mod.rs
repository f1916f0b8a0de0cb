//! What finished jobs have taught: the factors of furnace, box, compound, steel and tank, from what was
//! foretold beside what was measured. Pure: it is reckoned from all evidence each time, in the order of
//! the runs' names, so that neither the order of the jobs nor a job taken out leaves a trace.
//!
//! One job cannot tell its compound from its furnace. All values are kept with how they vary together,
//! so that the depth they give in company may be sure while each of them alone is not.
//! `docs/theory/learning.md` has the formulas, `docs/decisions/0026-learn-from-all-evidence.md` the
//! choices.

mod estimate;
mod lesson;
mod told;

#[cfg(test)]
mod tests;

use casewright_job::shop::Learnt;
use casewright_terms::{Diag, Length};

use crate::beliefs::{N, Things};

pub use estimate::CAP;
pub use lesson::{Actual, lesson};
pub use told::{Factor, Together};

/// What was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Seen {
    /// Depth to the note's limit, before grinding.
    CaseDepth,
    /// Total depth.
    TotalDepth,
    /// Hardness of the surface.
    Surface,
    /// Hardness of the core.
    Core,
    /// Carbon taken up.
    Uptake,
    /// When the pack was hot.
    HotAfter,
}

impl Seen {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::CaseDepth => "case depth",
            Self::TotalDepth => "total depth",
            Self::Surface => "surface hardness",
            Self::Core => "core hardness",
            Self::Uptake => "carbon taken up",
            Self::HotAfter => "hour of hot",
        }
    }
}

/// All readings of one thing on one job, as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What was measured.
    pub seen: Seen,
    /// Natural logarithm of measured over foretold; of the hour of hot, where the bed stands.
    pub off: f64,
    /// Standard deviation of that by the readings alone.
    pub own: f64,
    /// What each doubt does to it, by standard deviation of the doubt.
    pub slopes: [f64; N],
    /// Standard deviation of what the slopes leave out: the response is not straight.
    pub bend: f64,
    /// What each tester's offset does to it, by standard deviation of the offset.
    pub testers: Vec<(String, f64)>,
    /// How likely the least likely of the readings is right.
    pub right: f64,
    /// Pieces that were read.
    pub pieces: Vec<String>,
}

/// What one finished job has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// Name of its run.
    pub run: String,
    /// Day it was run, as written.
    pub date: Option<String>,
    /// What it was done with.
    pub things: Things,
    /// Case depth foretold for the cycle as it was.
    pub foretold: Length,
    /// What each doubt does to the logarithm of that depth.
    pub slopes: [f64; N],
    /// 90 % of the couple's error and of the load's place in the chamber, kelvin.
    pub furnace_k: (f64, f64),
    /// What was measured.
    pub rows: Vec<Row>,
}

/// How a job counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Its run.
    pub run: String,
    /// Its weight: 1 where it agrees with the others, less where its pull was capped.
    pub weight: f64,
    /// How likely the least likely of its readings is right.
    pub right: f64,
    /// Depth measured over foretold; `None` where no depth was read.
    pub depth: Option<f64>,
}

/// What the evidence teaches.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// Every value, as the shop file and the planner take it.
    pub values: Vec<Learnt>,
    /// What that does to the depth, for each set of things that was worked with.
    pub together: Vec<Together>,
    /// Each value in its own measure.
    pub factors: Vec<Factor>,
    /// Offsets of testers: mark, factor on their hardness, 90 % either way.
    pub testers: Vec<(String, f64, f64)>,
    /// How each job counted.
    pub counted: Vec<Counted>,
    /// What there is to say.
    pub findings: Vec<Diag>,
}

/// A reading this much less likely right than wrong is told of.
const DOUBTED: f64 = 0.5;

/// Learns from all lessons there are. The same lessons give the same bits in any order.
#[must_use]
pub fn learn(lessons: &[Lesson]) -> Learned {
    let mut sorted: Vec<&Lesson> = lessons.iter().filter(|l| !l.rows.is_empty()).collect();
    sorted.sort_by(|a, b| a.run.cmp(&b.run));
    let estimate = estimate::Estimate::of(&sorted);
    let counted: Vec<Counted> = sorted
        .iter()
        .zip(&estimate.weights)
        .map(|(lesson, weight)| Counted {
            run: lesson.run.clone(),
            weight: *weight,
            right: lesson.rows.iter().map(|row| row.right).fold(1.0, f64::min),
            depth: told::depth_ratio(lesson),
        })
        .collect();
    let findings = counted
        .iter()
        .filter(|job| job.right < DOUBTED)
        .map(|job| {
            Diag::warn(
                "learn-doubtful",
                format!(
                    "A reading of {} stands so far off that it is more likely wrong than right; it hardly counts.",
                    job.run
                ),
            )
            .why("One absurd coupon must not move every plan that follows.")
            .accepted("Look at the entry: the piece, the unit, the tester. Correct it, or leave it: the others outweigh it.")
        })
        .collect();
    Learned {
        values: estimate.values(&sorted),
        together: told::together(&sorted, &estimate),
        factors: told::factors(&sorted, &estimate),
        testers: estimate.testers(),
        counted,
        findings,
    }
}
