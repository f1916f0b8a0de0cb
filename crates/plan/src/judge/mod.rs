//! Whether what was read on a lot shows that the note is met: every clause, with what shows it, how
//! sure that is, what is missing and the cheapest test for it.
//!
//! One rule of decision, said aloud: a clause shown by its own method (the note's scale, a traverse)
//! is decided by the value itself, its doubt beside it; one shown only through a conversion, by sight
//! or by ground steps is decided where the whole doubt lies on one side, and is not shown otherwise.
//! A guarded judgement asks the second of every clause. Nothing that was read is left out silently.

mod area;
mod clause;
mod combine;
mod compare;
mod depth;
mod hard;
mod look;
mod missing;
mod piece;
mod skin;
mod steps;
mod tester;

use casewright_job::evidence::{Evidence, FileResult, Structure, TestScale};
use casewright_job::spec::Spec;
use casewright_terms::{Band, Diag, Length, Place, Severity, SourceKey, Vickers};

use crate::demand::Demand;
use crate::gate;
use crate::outcome::PlanReport;

/// What the evidence shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Every clause is shown and holds.
    Meets,
    /// At least one clause is shown not to hold.
    DoesNotMeet,
    /// Neither: something is missing or too doubtful.
    NotShown,
}

impl Verdict {
    /// The word in files and answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::DoesNotMeet => "does-not-meet",
            Self::NotShown => "not-shown",
        }
    }
}

/// How doubtful values near a limit are decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Rule {
    /// By the value itself where the method is the clause's own.
    #[default]
    Simple,
    /// Only where the whole doubt lies inside or outside.
    Guarded,
}

/// What a clause asks about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ClauseKind {
    /// Case depth on a face (its name), or on the surface as hardened.
    CaseDepth(Option<String>),
    /// Surface hardness.
    SurfaceHardness,
    /// Core hardness.
    CoreHardness,
    /// File hard.
    FileHard,
    /// An area that stays soft.
    SoftArea(String),
    /// An area that must be hard.
    HardArea(String),
}

impl ClauseKind {
    /// The word in answers.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::CaseDepth(_) => "case-depth",
            Self::SurfaceHardness => "surface-hardness",
            Self::CoreHardness => "core-hardness",
            Self::FileHard => "file-hard",
            Self::SoftArea(_) => "soft-area",
            Self::HardArea(_) => "hard-area",
        }
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::CaseDepth(None) => "case depth".to_owned(),
            Self::CaseDepth(Some(face)) => format!("case depth, {face}"),
            Self::SurfaceHardness => "surface hardness".to_owned(),
            Self::CoreHardness => "core hardness".to_owned(),
            Self::FileHard => "file hard".to_owned(),
            Self::SoftArea(what) => format!("{what} soft"),
            Self::HardArea(what) => format!("{what} hard"),
        }
    }
}

/// How one clause fared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fared {
    /// Shown to hold.
    Holds,
    /// Shown to be below its least.
    Low,
    /// Shown to be above its greatest.
    High,
    /// Not shown.
    NotShown,
}

impl Fared {
    /// The word in answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Low => "low",
            Self::High => "high",
            Self::NotShown => "not-shown",
        }
    }
}

/// One clause of the note, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Clause {
    /// What it asks about.
    pub kind: ClauseKind,
    /// What it asks, in words.
    pub asked: String,
    /// How it fared.
    pub fared: Fared,
    /// What was found, in words; empty where nothing was.
    pub found: String,
    /// Names of the readings it rests on.
    pub by: Vec<String>,
    /// Whether the deciding value is nearer to a limit than its doubt.
    pub close: bool,
}

/// What a reading is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Depth to the note's limit hardness, before grinding.
    CaseDepth,
    /// Depth to (nearly) core carbon.
    TotalDepth,
    /// Hardness of the surface.
    Surface,
    /// Hardness of the core.
    Core,
    /// Hardness of an area apart.
    Area,
    /// Carbon taken up.
    Uptake,
    /// What a microscope showed.
    Structure,
}

impl Quantity {
    /// The word in answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CaseDepth => "case-depth",
            Self::TotalDepth => "total-depth",
            Self::Surface => "surface-hardness",
            Self::Core => "core-hardness",
            Self::Area => "area-hardness",
            Self::Uptake => "uptake",
            Self::Structure => "structure",
        }
    }
}

/// A value with its doubt (90 %), or one end of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A depth per side below the surface as hardened.
    Depth(Band<Length>),
    /// The case goes at least this deep.
    DepthAtLeast(Length),
    /// The case goes at most this deep.
    DepthAtMost(Length),
    /// A hardness on its own scale, corrected for a round.
    Hardness {
        /// The scale.
        scale: TestScale,
        /// On that scale.
        reading: Band<f64>,
        /// In Vickers by the tables; `None` outside them.
        vickers: Option<Band<Vickers>>,
        /// Whether the case is too thin for the scale, so that the surface is at least this hard.
        at_least: bool,
    },
    /// What a file did, and the file's own HRC.
    File(FileResult, Option<f64>),
    /// Carbon per area, in g/m².
    Uptake(Band<f64>),
    /// What a microscope showed.
    Structure(Structure),
}

/// Whether a value is by the clause's own method.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// By conversion, by sight, through a model.
    Indirect,
    /// The scale of the note, or a traverse.
    Direct,
}

/// What one piece of evidence says.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// Its place in the evidence's list.
    pub item: usize,
    /// Its name in the file.
    pub name: String,
    /// The piece it was read on.
    pub specimen: String,
    /// What it is about.
    pub quantity: Quantity,
    /// What it says.
    pub value: Value,
    /// Of that half-width, what is common to all readings of one tester or method.
    pub common: f64,
    /// How it was read.
    pub standing: Standing,
    /// Why it does not count; `None` where it does.
    pub left_out: Option<String>,
    /// How the value was found, in a sentence.
    pub how: String,
    /// Where it stands in the file.
    pub place: Place,
}

/// A clause that is not shown, and what would show it.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// The clause.
    pub clause: ClauseKind,
    /// What is missing.
    pub what: String,
    /// The cheapest test that supplies it.
    pub test: String,
}

/// A measured quantity beside what the plan foretold.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// What.
    pub what: &'static str,
    /// Unit of both.
    pub unit: &'static str,
    /// Foretold.
    pub predicted: Band<f64>,
    /// Measured.
    pub measured: Band<f64>,
    /// Whether the measured middle lies in the band.
    pub inside: bool,
    /// Measured middle less predicted middle, in half-widths of the band on that side.
    pub off: f64,
}

/// The judgement.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// What the evidence shows.
    pub verdict: Verdict,
    /// The rule it was decided by.
    pub rule: Rule,
    /// Hardness that ends the case; the default of ISO where the note asks for total depth.
    pub limit: Vickers,
    /// Every clause of the note.
    pub clauses: Vec<Clause>,
    /// Depth to the note's limit over all pieces, before grinding; `None` where none was found.
    pub case_depth: Option<Band<Length>>,
    /// The least of the ground faces; `None` where nothing is ground or no depth was found.
    pub case_depth_after_grind: Option<Band<Length>>,
    /// What each reading says, used or not.
    pub read: Vec<Read>,
    /// What is missing.
    pub missing: Vec<Missing>,
    /// Measured beside foretold; empty without a prediction.
    pub compared: Vec<Compared>,
    /// What is odd, wrong or to be known, heaviest first.
    pub findings: Vec<Diag>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// What everything below works on.
pub(crate) struct Bench<'a> {
    pub(crate) spec: &'a Spec,
    pub(crate) demand: &'a Demand,
    pub(crate) evidence: &'a Evidence,
    pub(crate) report: Option<&'a PlanReport>,
    pub(crate) rule: Rule,
}

/// Judges a lot. `report` is the plan it was run by, for what was foretold; without it nothing is
/// compared and scales are held against measured depths only.
///
/// # Errors
/// Evidence of another job, and a note that cannot be held against readings.
pub fn judge(
    spec: &Spec,
    evidence: &Evidence,
    report: Option<&PlanReport>,
    rule: Rule,
) -> Result<Judgement, Vec<Diag>> {
    if let Some(diag) = other_job(spec, evidence) {
        return Err(vec![diag]);
    }
    let open: Vec<Diag> = gate::open_points(spec)
        .into_iter()
        .filter(|diag| diag.severity == Severity::Stop)
        .collect();
    if !open.is_empty() {
        return Err(open);
    }
    let demand = Demand::of(spec)?;
    // Where the note cannot be met the plan is of an offer: another note's foretelling.
    let report = report.filter(|report| report.verdict != crate::outcome::Verdict::CannotBeMet);
    let bench = Bench {
        spec,
        demand: &demand,
        evidence,
        report,
        rule,
    };
    let mut findings = evidence.remarks.clone();
    findings.extend(piece::findings(&bench));
    let testers = tester::check(&bench, &mut findings);
    let mut profiles = Vec::new();
    let mut read = depth::read(&bench, &testers, &mut profiles, &mut findings);
    let depths = combine::by_piece(&read, combine::asked(&demand), &mut findings);
    read.extend(hard::read(
        &bench,
        &testers,
        &depths,
        &profiles,
        &mut findings,
    ));
    read.extend(area::files(&bench));
    read.extend(look::read(&bench, &mut findings));
    read.sort_by_key(|one| one.item);
    let clauses = clause::judge(&bench, &read, &depths);
    let missing = missing::list(&bench, &clauses, &read);
    let case_depth = combine::whole(&depths);
    let case_depth_after_grind = case_depth.and_then(|band| clause::least_face(spec, band));
    let compared = compare::with_plan(&bench, &read, case_depth, case_depth_after_grind);
    findings.extend(compare::curves(&bench, &profiles));
    findings.extend(look::standards(&bench));
    findings.sort_by_key(|diag| std::cmp::Reverse(diag.severity));
    Ok(Judgement {
        verdict: verdict(&clauses),
        rule,
        limit: demand.limit_hv(),
        clauses,
        case_depth,
        case_depth_after_grind,
        sources: sources(&read),
        read,
        missing,
        compared,
        findings,
    })
}

/// A missed clause outweighs a missing one: the lot cannot meet the note whatever else is shown.
fn verdict(clauses: &[Clause]) -> Verdict {
    let any = |wanted: fn(Fared) -> bool| clauses.iter().any(|clause| wanted(clause.fared));
    if any(|fared| matches!(fared, Fared::Low | Fared::High)) {
        Verdict::DoesNotMeet
    } else if clauses.is_empty() || any(|fared| fared == Fared::NotShown) {
        Verdict::NotShown
    } else {
        Verdict::Meets
    }
}

fn other_job(spec: &Spec, evidence: &Evidence) -> Option<Diag> {
    let (of, own) = (evidence.job.as_deref()?, spec.number.as_deref()?);
    (of != own).then(|| {
        Diag::stop(
            "evidence-other-job",
            format!("The evidence is of job {of}; this is job {own}."),
        )
        .why("Another lot's readings would pass or fail this one.")
        .accepted("The evidence of this job, or the right number in the evidence file.")
    })
}

/// Root of the sum of squares: doubts that have nothing to do with each other.
fn root_sum(parts: &[f64]) -> f64 {
    parts.iter().map(|x| x * x).sum::<f64>().sqrt()
}

fn sources(read: &[Read]) -> Vec<SourceKey> {
    use casewright_physics::law::{case_depth, hardness_conversion, reading_doubt};
    let mut keys: Vec<SourceKey> = Vec::new();
    let mut add = |more: &[SourceKey]| keys.extend(more);
    add(&reading_doubt::SOURCES);
    for one in read {
        match (&one.value, one.quantity) {
            (Value::Depth(_) | Value::DepthAtLeast(_) | Value::DepthAtMost(_), _) => {
                add(&case_depth::SOURCES);
                add(&["trade-practice"]);
            }
            (Value::Hardness { .. }, _) => {
                add(&hardness_conversion::SOURCES);
                add(&["astm-e18", "tester-weight-assumed"]);
            }
            (Value::File(..), _) => add(&["trade-practice"]),
            _ => {}
        }
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}
