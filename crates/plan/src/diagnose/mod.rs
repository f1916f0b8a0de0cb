//! Why a lot failed: the causes ranked by how well each explains what was read, the cheapest test that
//! tells the leading ones apart, what to do with the lot and what to change.
//!
//! What a cause does to the steel is computed: the plan's own run is taken up again and bent, and every
//! reading is foretold on the bent lot, on its scale, at its place. The likelihood of the readings, with
//! the free amount of each cause summed out, times a weight before any reading, gives the ranking
//! (docs/theory/diagnosis.md). It does not decide whether the lot meets its note; that is the judge's.

mod cause;
mod data;
mod foretell;
mod mark;
mod probe;
mod rank;
mod save;
mod scene;
#[cfg(test)]
mod tests;
mod told;
mod weigh;
mod work;

use casewright_job::evidence::{Evidence, TestScale};
use casewright_job::spec::Spec;
use casewright_terms::{Diag, SourceKey};

use crate::demand::Demand;
use crate::outcome::PlanReport;
use data::Data;
use rank::{Bench, Ranked};
use scene::Scene;

pub use cause::Cause;
pub use mark::{Mark, Seen};
pub use probe::Test;
pub use save::{Remedy, Saved};

/// What came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing was measured yet: only tests to begin with.
    NothingMeasured,
    /// One cause stands well before the others.
    Told(Cause),
    /// Several explain the readings about as well.
    NotToldApart,
    /// The readings are what sound work gives.
    NothingWrong,
    /// Nothing on the list explains them.
    NoneOfThese,
}

impl Outcome {
    /// The word in answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::NothingMeasured => "nothing-measured",
            Self::Told(_) => "told",
            Self::NotToldApart => "not-told-apart",
            Self::NothingWrong => "nothing-wrong",
            Self::NoneOfThese => "none-of-these",
        }
    }
}

/// The free amount of a cause, by the readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Amount {
    /// What it is of.
    pub of: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// 5 %, the middle, 95 %.
    pub low: f64,
    /// See `low`.
    pub mid: f64,
    /// See `low`.
    pub high: f64,
}

/// One cause, ranked.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The cause.
    pub cause: Cause,
    /// Its share, 0 to 1, among the causes looked at.
    pub chance: f64,
    /// How much of it; `None` where it has no amount.
    pub amount: Option<Amount>,
    /// What speaks for it, strongest first.
    pub speaks_for: Vec<String>,
    /// What speaks against it.
    pub speaks_against: Vec<String>,
    /// What to do with the lot if it is this.
    pub remedy: Remedy,
}

/// A reading beside what was to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Name of the item in the evidence.
    pub name: String,
    /// Piece and place.
    pub place: String,
    /// Its scale.
    pub scale: TestScale,
    /// Mean that was read.
    pub read: f64,
    /// What sound work would read.
    pub sound: f64,
    /// What the first cause would read; `None` where none is ranked.
    pub first: Option<f64>,
}

/// The diagnosis.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// What came out.
    pub outcome: Outcome,
    /// All causes that were looked at, likeliest first.
    pub suspects: Vec<Suspect>,
    /// Tests that tell the leading causes apart, the one to make first in front.
    pub tests: Vec<Test>,
    /// What the readings show before a cause is named.
    pub patterns: Vec<String>,
    /// Every reading beside what was to be read.
    pub held: Vec<Held>,
    /// Evidence that tells nothing about the lot, with why.
    pub left_out: Vec<(String, String)>,
    /// Causes that were not looked at, with why.
    pub not_looked_at: Vec<(Cause, &'static str)>,
    /// What is to be known.
    pub findings: Vec<Diag>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// From this share on a cause is told, where the next has at most half of it. [trade-practice]
const TOLD: f64 = 0.5;
/// A fault is told only where the evidence is so many times likelier under it than under sound work.
const NEEDED: f64 = 10.0;
/// Causes with less are ranked but not argued.
const ARGUED: f64 = 0.01;

/// A chance in words.
#[must_use]
pub fn chance_words(chance: f64) -> &'static str {
    match chance {
        c if c >= 0.95 => "almost certain among these",
        c if c >= 0.75 => "very likely",
        c if c >= 0.5 => "likely",
        c if c >= 0.2 => "possible",
        c if c >= 0.05 => "less likely",
        _ => "unlikely",
    }
}

/// Ranks the causes. `report` is the plan the lot was run by; `seen` is what is known of the run and
/// was seen without a tester.
///
/// # Errors
/// Evidence of another job, a note that cannot be held against readings, and a plan whose run cannot be
/// computed again.
pub fn diagnose(
    spec: &Spec,
    report: &PlanReport,
    evidence: &Evidence,
    seen: &[Seen],
) -> Result<Diagnosis, Vec<Diag>> {
    if let (Some(of), Some(own)) = (&evidence.job, &spec.number)
        && of != own
    {
        return Err(vec![
            Diag::stop(
                "evidence-other-job",
                format!("The evidence is of job {of}; this is job {own}."),
            )
            .why("Another lot's readings would blame this one for what it did not do.")
            .accepted("The evidence of this job, or the right number in the evidence file."),
        ]);
    }
    let demand = Demand::of(spec)?;
    let no_run = || {
        vec![
            Diag::stop(
                "no-run-to-compare",
                "The plan of this job cannot be computed, so there is nothing to hold the readings against.",
            )
            .why("A cause is found by what it would have changed in the plan's own run.")
            .accepted("A job that the planner can plan with this shop; `casewright plan` says what is missing."),
        ]
    };
    let mut scene = Scene::of(spec, report, &demand).ok_or_else(no_run)?;
    let data = Data::of(&scene, evidence);
    scene.only_what_was_read(&data);
    let bench = Bench::of(&scene, &data).ok_or_else(no_run)?;
    let mut findings = evidence.remarks.clone();
    let seen = settled(seen, &mut findings);
    let (causes, not_looked_at) = rank::looked_at(&bench, &data, &seen);
    let ranked = rank::rank(&bench, &data, &seen, &causes);
    let teller = told::Teller {
        bench: &bench,
        data: &data,
        seen: &seen,
        units: spec.units,
    };
    let measured = !data.is_empty();
    let outcome = outcome(&ranked, measured || !seen.is_empty());
    let suspects = ranked
        .iter()
        .enumerate()
        .map(|(i, own)| {
            suspect(
                &scene,
                &bench,
                &teller,
                own,
                &ranked[usize::from(i == 0 && ranked.len() > 1)],
            )
        })
        .collect();
    Ok(Diagnosis {
        outcome,
        suspects,
        tests: probe::tests(&scene, &bench, &data, &ranked),
        patterns: teller.patterns(),
        held: teller.held(measured.then(|| ranked.first()).flatten()),
        left_out: data.left_out.clone(),
        not_looked_at,
        findings,
        sources: sources(),
    })
}

/// Each mark once; one that is said both ways counts for nothing.
fn settled(seen: &[Seen], findings: &mut Vec<Diag>) -> Vec<Seen> {
    let mut kept: Vec<Seen> = Vec::new();
    let mut both: Vec<&'static str> = Vec::new();
    for one in seen {
        match kept.iter().find(|other| other.mark.word == one.mark.word) {
            None => kept.push(*one),
            Some(other) if other.there != one.there => both.push(one.mark.word),
            Some(_) => {}
        }
    }
    for word in &both {
        findings.push(
            Diag::warn(
                "seen-both-ways",
                format!("\"{word}\" is said to be there and not to be there."),
            )
            .why("It counts for nothing, which may hide the cause.")
            .accepted("One of the two words."),
        );
    }
    kept.retain(|one| !both.contains(&one.mark.word));
    kept.sort_by_key(|one| one.mark.word);
    kept
}

fn outcome(ranked: &[Ranked], anything: bool) -> Outcome {
    let Some(first) = ranked.first().filter(|_| anything) else {
        return Outcome::NothingMeasured;
    };
    let next = ranked.get(1).map_or(0.0, |r| r.chance);
    if first.chance < TOLD || next > 0.5 * first.chance {
        return Outcome::NotToldApart;
    }
    if !needed(ranked, first) {
        return Outcome::NotToldApart;
    }
    match first.cause {
        Cause::AsPlanned => Outcome::NothingWrong,
        Cause::Other => Outcome::NoneOfThese,
        cause => Outcome::Told(cause),
    }
}

/// Whether the evidence asks for this cause at all: a fault that leaves no trace in what was read is not
/// told by its weight alone.
fn needed(ranked: &[Ranked], first: &Ranked) -> bool {
    let sound = |r: &&Ranked| matches!(r.cause, Cause::AsPlanned | Cause::HeavyScale);
    let by_evidence = |r: &Ranked| r.chance / rank::prior(r.cause);
    ranked.iter().find(sound).is_none_or(|own| {
        own.cause == first.cause || by_evidence(first) >= NEEDED * by_evidence(own)
    })
}

fn suspect(
    scene: &Scene<'_>,
    bench: &Bench,
    teller: &told::Teller<'_>,
    own: &Ranked,
    rival: &Ranked,
) -> Suspect {
    let (speaks_for, speaks_against) = if own.chance >= ARGUED {
        teller.sides(own, rival)
    } else {
        (Vec::new(), Vec::new())
    };
    let way = &bench.ways[own.way];
    let has_amount = way.cause == own.cause && !way.unit.is_empty();
    let points = &bench.foretold[own.way];
    let at = |p: f64| rank::quantile(points, &own.shares, p);
    Suspect {
        cause: own.cause,
        chance: own.chance,
        amount: has_amount.then(|| Amount {
            of: way.amount_is,
            unit: way.unit,
            low: at(0.05),
            mid: at(0.5),
            high: at(0.95),
        }),
        speaks_for,
        speaks_against,
        remedy: save::remedy(scene, bench, own),
    }
}

fn sources() -> Vec<SourceKey> {
    use casewright_physics::law::{hardness_conversion, reading_doubt};
    let mut keys: Vec<SourceKey> = reading_doubt::SOURCES.to_vec();
    keys.extend(hardness_conversion::SOURCES);
    keys.extend(casewright_physics::model::testers::sources());
    keys.push("trade-practice");
    keys.sort_unstable();
    keys.dedup();
    keys
}
