//! What a drawing note was understood to say. Values only.

use casewright_terms::{Hardness, Length, Scale, UnitSystem};

/// One phrase of the note with its reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Phrase {
    /// The words as written.
    pub phrase: String,
    /// Byte range of the words in the note.
    pub span: std::ops::Range<usize>,
    /// What they were taken to mean.
    pub understood: String,
    /// What was assumed to get there; `None` where the words say it all.
    pub assumed: Option<String>,
}

/// Which depth the note asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DepthKind {
    /// Depth to a limit hardness.
    Effective,
    /// Depth to (nearly) core carbon.
    Total,
    /// The note does not say.
    Unstated,
}

/// Whether a value holds before or after grinding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// On the finished surface.
    AfterGrind,
    /// Directly after heat treatment.
    BeforeGrind,
    /// The note does not say.
    Unstated,
}

/// A length with open ends allowed; `None` is open, never zero.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct LengthRange {
    /// Least depth.
    pub min: Option<Length>,
    /// Greatest depth.
    pub max: Option<Length>,
}

/// A hardness requirement; `None` is an open end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HardnessRange {
    /// The scale as written.
    pub scale: Scale,
    /// Test force in kgf where the note gives one (`HV1`, `HV10`, `HK0.5`).
    pub force_kgf: Option<f64>,
    /// Least reading.
    pub min: Option<f64>,
    /// Greatest reading.
    pub max: Option<f64>,
}

/// May, must or must not: three different things.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The area must be case-hardened.
    Must,
    /// The area may be case-hardened.
    May,
    /// The area must stay free of case, or soft.
    MustNot,
}

/// An area the note treats apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selective {
    /// The area in the note's words, such as `threads`.
    pub what: String,
    /// What holds there.
    pub rule: Rule,
}

/// Something that must be answered before a plan is made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Stable code; an answer in the job file names it.
    pub code: &'static str,
    /// What is open and why it matters.
    pub text: String,
}

/// Everything read out of one note.
#[derive(Clone, Debug, PartialEq)]
pub struct NoteReading {
    /// The note verbatim.
    pub text: String,
    /// The note phrase by phrase.
    pub phrases: Vec<Phrase>,
    /// Units the note is written in.
    pub units: Option<UnitSystem>,
    /// Case depth asked for.
    pub case_depth: Option<LengthRange>,
    /// Which depth.
    pub depth_kind: DepthKind,
    /// Limit hardness of an effective depth.
    pub limit_hardness: Option<Hardness>,
    /// Whether the depth holds before or after grinding.
    pub stage: Stage,
    /// Metal removed after hardening, per side.
    pub stock_per_side: Option<Length>,
    /// Surface hardness asked for.
    pub surface_hardness: Option<HardnessRange>,
    /// Core hardness asked for.
    pub core_hardness: Option<HardnessRange>,
    /// `true` where the surface is asked to be file-hard, which is not a number.
    pub file_hard: bool,
    /// Areas treated apart.
    pub selective: Vec<Selective>,
    /// Standards the note calls, as written but in one spelling.
    pub standards: Vec<String>,
    /// What stops a plan until it is answered.
    pub blocks: Vec<Block>,
    /// Every assumption that was made, in words.
    pub assumptions: Vec<String>,
    /// The words to send to the customer, where anything is open.
    pub question: Option<String>,
}
