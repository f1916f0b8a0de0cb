//! Which jobs can go through the shop together: in one box and one cycle, in one box only, or not at
//! all, and why; and for a job of many parts, whether its coupons stand for all of them.
//!
//! Jobs share one box: each takes a stretch of its length. Boxes of different jobs side by side in the
//! furnace are not reckoned. It changes no plan; what is found here is planned again before it is run.

mod class;
mod cycle;
mod room;

use casewright_job::spec::Spec;
use casewright_terms::{Diag, Length, Span, Temperature, Vickers};

use crate::again::{Again, taken_up};
use crate::outcome::{PackLayout, PlanReport};

pub use class::{ClassLoad, Stands, class_load};

/// More jobs than this are not put into one box by anybody who must tell them apart afterwards.
pub const MOST_JOBS: usize = 6;

/// How far jobs go together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Together {
    /// One box, one reheat and quench, one temper.
    AllTheWay,
    /// One box; each its own reheat, quench and temper.
    InTheBox,
    /// Not at all.
    Apart,
}

/// What a job gets from the shared cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct Portion {
    /// Its place among the jobs asked about.
    pub job: usize,
    /// Depth to its note's limit, before grinding.
    pub case_depth: Length,
    /// After grinding.
    pub after_grind: Length,
    /// Finished surface.
    pub surface: Vickers,
    /// Core.
    pub core: Vickers,
    /// Whether the middle run meets its note.
    pub meets: bool,
    /// How likely one part meets it; `None` where the bands could not be carried.
    pub chance: Option<f64>,
    /// The same with its own plan.
    pub alone: Option<f64>,
}

/// The cycle that serves the least served job best.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedCycle {
    /// Box heat.
    pub temperature: Temperature,
    /// Soak from hot.
    pub soak: Span,
    /// From loading to hot.
    pub hot_after: Span,
    /// Least chance over the jobs.
    pub least_chance: Option<f64>,
    /// The box with the parts of all jobs; a part's mark begins with its job's letter.
    pub layout: PackLayout,
    /// Whose reheat, quench and temper all of them get; `None` where each has its own.
    pub hardened_as: Option<usize>,
    /// Each job, in the order asked.
    pub portions: Vec<Portion>,
}

/// Some of the jobs together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Which, by their places.
    pub jobs: Vec<usize>,
    /// How far.
    pub together: Together,
    /// Why not further, and what to mind.
    pub why: Vec<String>,
    /// The best cycle that was found, also where it serves somebody too badly.
    pub cycle: Option<SharedCycle>,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Sharing {
    /// Every job's own load.
    pub loads: Vec<Option<ClassLoad>>,
    /// All of the jobs together first, then every pair where there are more than two; empty for one job.
    pub groups: Vec<Group>,
}

/// Looks which jobs go together.
///
/// # Errors
/// That a plan could not be taken up again.
pub fn share(jobs: &[(&Spec, &PlanReport)]) -> Result<Sharing, Diag> {
    let loads = jobs
        .iter()
        .map(|(spec, report)| class_load(spec, report))
        .collect();
    let n = jobs.len();
    let mut sets: Vec<Vec<usize>> = Vec::new();
    if n > 1 {
        sets.push((0..n).collect());
    }
    if n > 2 {
        sets.extend((0..n).flat_map(|a| (a + 1..n).map(move |b| vec![a, b])));
    }
    let groups = sets
        .into_iter()
        .map(|set| group(jobs, set))
        .collect::<Result<Vec<Group>, Diag>>()?;
    Ok(Sharing { loads, groups })
}

fn group(jobs: &[(&Spec, &PlanReport)], set: Vec<usize>) -> Result<Group, Diag> {
    let own: Vec<(&Spec, &PlanReport)> = set.iter().map(|i| jobs[*i]).collect();
    if let Some(why) = apart(&own) {
        return Ok(Group {
            jobs: set,
            together: Together::Apart,
            why: vec![why],
            cycle: None,
        });
    }
    let reports: Vec<&PlanReport> = own.iter().map(|(_, report)| *report).collect();
    nested(&own, &[], &|agains| cycle::look(agains, &reports, &set))
}

/// All plans taken up at once.
fn nested(
    rest: &[(&Spec, &PlanReport)],
    held: &[&Again<'_>],
    ask: &dyn Fn(&[&Again<'_>]) -> Group,
) -> Result<Group, Diag> {
    let Some((first, rest)) = rest.split_first() else {
        return Ok(ask(held));
    };
    taken_up(first.0, first.1, |again| {
        let mut more = held.to_vec();
        more.push(again);
        nested(rest, &more, ask)
    })?
}

/// What keeps jobs apart before anything is run.
fn apart(jobs: &[(&Spec, &PlanReport)]) -> Option<String> {
    let (first, _) = jobs[0];
    for (spec, report) in jobs {
        if report.plan.is_none() || report.verdict == crate::Verdict::CannotBeMet {
            return Some(format!("{} has no plan that meets its note", spec.name));
        }
        if spec.shop != first.shop {
            return Some(format!(
                "{} and {} are planned for different shops",
                first.name, spec.name
            ));
        }
    }
    let wish = |of: fn(&Spec) -> Option<String>, what: &str| {
        let mut wished = jobs.iter().filter_map(|(spec, _)| Some((spec, of(spec)?)));
        let (a, first) = wished.next()?;
        let (b, other) = wished.find(|(_, other)| *other != first)?;
        Some(format!(
            "{} insists on {what} {first} and {} on {other}",
            a.name, b.name
        ))
    };
    wish(|s| s.wishes.compound.clone(), "compound")
        .or_else(|| wish(|s| s.wishes.furnace.clone(), "furnace"))
        .or_else(|| wish(|s| s.wishes.pack_box.clone(), "box"))
        .or_else(|| {
            let heat = |s: &Spec| s.wishes.temperature.map(|t| t.text_both(s.units));
            wish(heat, "a box heat of")
        })
}
