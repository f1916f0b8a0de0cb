//! The rows a sheet is made of. Strings only: units and decimals were settled when it was built.

use crate::show::{BandShown, Shown};

/// State as a shape and a word; colour comes last or never.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Go on.
    Go,
    /// Look here.
    Look,
    /// Stop.
    Stop,
}

impl Mark {
    /// The shape.
    #[must_use]
    pub const fn shape(self) -> &'static str {
        match self {
            Self::Go => "●",
            Self::Look => "▲",
            Self::Stop => "■",
        }
    }
}

/// The verdict.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VerdictView {
    /// Shape.
    pub mark: Mark,
    /// Word, such as `CAN BE MET`.
    pub word: &'static str,
    /// What that means, in a sentence.
    pub sentence: &'static str,
    /// Whether work may be done from the plan.
    pub workable: bool,
}

/// One phrase of the note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteRow {
    /// As written.
    pub phrase: String,
    /// As understood.
    pub understood: String,
    /// What was assumed; empty where nothing was.
    pub assumed: String,
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Shape.
    pub mark: Mark,
    /// `stop`, `warn` or `note`.
    pub word: &'static str,
    /// Stable code.
    pub code: &'static str,
    /// What was seen and why it matters.
    pub text: String,
    /// What to do about it; may be empty.
    pub accepted: String,
}

/// One predicted property.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PredictionRow {
    /// Which.
    pub what: String,
    /// Expected, with its band.
    pub value: BandShown,
    /// What the note asks; empty where it asks nothing.
    pub asked: String,
    /// Whether the note asks for this one (it is then printed large).
    pub key: bool,
    /// Whether a sheet short of room prints it although the note does not ask: total depth, core.
    pub kept: bool,
}

/// One link of the depth chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChainRow {
    /// Which.
    pub what: String,
    /// How much.
    pub value: Shown,
}

/// A box to write an actual value into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blank {
    /// What.
    pub label: String,
    /// Unit.
    pub unit: String,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepRow {
    /// From 1.
    pub number: usize,
    /// What it is, in a word.
    pub kind: &'static str,
    /// What to do.
    pub text: String,
    /// Set temperature.
    pub temperature: Option<Shown>,
    /// Allowed deviation.
    pub tolerance: Option<Shown>,
    /// Time at temperature; empty where none.
    pub soak: String,
    /// From when to when: on the clock, and after the start.
    pub window: Shown,
    /// Which furnace, tank or box; empty where none.
    pub equipment: String,
    /// What must be seen.
    pub acceptance: Vec<String>,
    /// Stop if.
    pub stop_if: Vec<String>,
    /// Whether a second person signs.
    pub hold_point: bool,
    /// Actual values.
    pub record: Vec<Blank>,
}

/// Something about the pack: label and value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuenchRow {
    /// What.
    pub what: &'static str,
    /// How much.
    pub value: Shown,
}

/// The pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackView {
    /// One line: which box, how many, how many parts in each.
    pub title: String,
    /// Facts: label and value.
    pub facts: Vec<QuenchRow>,
    /// Ways to pack that were weighed, a line each, the plan's own first.
    pub ways: Vec<String>,
}

/// One test piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CouponRow {
    /// Its mark.
    pub mark: String,
    /// `coupon` or `control`.
    pub kind: &'static str,
    /// Size and steel.
    pub size: String,
    /// Where it goes.
    pub place: String,
    /// What it proves.
    pub proves: String,
}

/// One hardness scale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScaleRow {
    /// Its symbol.
    pub scale: &'static str,
    /// Whether the shop has it.
    pub at_hand: bool,
    /// Whether it can honestly read this case.
    pub valid: bool,
    /// `use`, `use elsewhere` or `do not use`.
    pub word: &'static str,
    /// Expected reading on the finished surface.
    pub reading: Option<BandShown>,
    /// Expected reading on the core.
    pub core: Option<BandShown>,
    /// Least case it can read.
    pub least_case: Option<Shown>,
    /// Correction on a round surface; empty where none.
    pub round: String,
    /// Why.
    pub why: String,
}

/// The hardness traverse.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TraverseView {
    /// Test force as a scale, such as `HV1`.
    pub scale: String,
    /// How it is laid, in sentences.
    pub sentences: Vec<String>,
    /// The indents.
    pub rows: Vec<crate::traverse::IndentRow>,
    /// How many times it is made.
    pub bands: usize,
}

/// One caution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CautionRow {
    /// Stable code.
    pub code: &'static str,
    /// Hazard.
    pub hazard: String,
    /// What to do.
    pub text: String,
    /// Numbers of the steps it belongs to; empty where it holds throughout.
    pub steps: Vec<usize>,
}

/// What could be met instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NearestView {
    /// In a sentence.
    pub what: String,
    /// Words to the customer.
    pub to_customer: String,
}

/// A way not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AlternativeRow {
    /// What.
    pub what: String,
    /// Depth after grinding; empty where there is none.
    pub depth: Shown,
    /// Surface hardness; empty where not known.
    pub surface: String,
    /// Furnace hours; empty where not known.
    pub hours: String,
    /// Chance of meeting the whole note; empty where not looked for.
    pub chance: String,
    /// Why not.
    pub why_not: String,
}

/// A cause of the spread.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoubtRow {
    /// Which.
    pub what: String,
    /// Its share.
    pub share: String,
}

/// A source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceRow {
    /// Key.
    pub key: String,
    /// Reference; empty where only the key is known.
    pub reference: String,
}
