//! The report model: everything a sheet says, already written in the job's units. Terminal text,
//! PDF and web pages are made from it, so that they cannot disagree. It decides nothing.

mod build;
mod chain;
pub(crate) mod expected;
mod outlook;
mod parts;
pub(crate) mod ways;

use std::collections::BTreeMap;

use casewright_job::spec::Spec;
use casewright_plan::outcome::PlanReport;
use casewright_terms::UnitSystem;

pub(crate) use build::kind as kind_word;

use crate::figure::Figures;
pub use outlook::OutlookView;
pub use parts::{
    AlternativeRow, Blank, CautionRow, ChainRow, CouponRow, DoubtRow, Finding, Mark, NearestView,
    NoteRow, PackView, PredictionRow, QuenchRow, ScaleRow, SourceRow, StepRow, TraverseView,
    VerdictView,
};
pub use ways::WayRow;

/// References by source key, as the source list of the program holds them.
pub type References = BTreeMap<String, String>;

/// Who and what the sheet is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Name of the job.
    pub job: String,
    /// Customer's or shop's number; empty where none was given.
    pub number: String,
    /// The part, with its size.
    pub part: String,
    /// What is cut into it, one line each.
    pub features: Vec<String>,
    /// How many.
    pub quantity: String,
    /// The steel.
    pub material: String,
    /// Heat (melt) number of the steel; empty where it must be written in by hand.
    pub heat: String,
    /// The shop.
    pub shop: String,
    /// Stock by face, one line each.
    pub stock: Vec<String>,
    /// Route in words; empty without a plan.
    pub route: String,
    /// When it was printed; empty where no time was handed in.
    pub printed: String,
    /// Program version.
    pub version: String,
    /// Check code of what the sheet says.
    pub code: String,
    /// The same in words.
    pub code_words: String,
}

/// A whole sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Who and what.
    pub head: Head,
    /// Units the job is written in.
    pub units: UnitSystem,
    /// The drawing note verbatim.
    pub note: String,
    /// How it was read.
    pub note_rows: Vec<NoteRow>,
    /// Assumptions, applied answers and defaults, in words.
    pub assumptions: Vec<String>,
    /// The verdict.
    pub verdict: VerdictView,
    /// Findings, heaviest first.
    pub findings: Vec<Finding>,
    /// What is expected, beside what is asked.
    pub predictions: Vec<PredictionRow>,
    /// The skin's stress and its readings by test force, in sentences.
    pub skin: Vec<String>,
    /// Edges, webs and walls, one line each.
    pub edges: Vec<String>,
    /// From the note's depth to the depth aimed at.
    pub chain: Vec<ChainRow>,
    /// The steps.
    pub steps: Vec<StepRow>,
    /// The pack; `None` without a plan.
    pub pack: Option<PackView>,
    /// Test pieces.
    pub coupons: Vec<CouponRow>,
    /// The quench, checked.
    pub quench: Vec<QuenchRow>,
    /// Hardness scales.
    pub scales: Vec<ScaleRow>,
    /// The hardness traverse of the coupon; `None` where there is no case to prove.
    pub traverse: Option<TraverseView>,
    /// Cautions of the job and of its steps, each once.
    pub cautions: Vec<CautionRow>,
    /// What could be met instead.
    pub nearest: Option<NearestView>,
    /// Words to send to the customer, where the note leaves something open.
    pub question: Option<String>,
    /// Ways not taken.
    pub alternatives: Vec<AlternativeRow>,
    /// The plan and the ways beside it, the plan first; empty where there is no other.
    pub ways: Vec<WayRow>,
    /// What the spread comes from.
    pub doubts: Vec<DoubtRow>,
    /// Chances, causes of the spread and small changes.
    pub outlook: OutlookView,
    /// What the job takes, line by line; empty without a plan.
    pub cost: Vec<(&'static str, String)>,
    /// The sources used.
    pub sources: Vec<SourceRow>,
    /// Drawings, as SVG.
    pub figures: Figures,
}

impl Sheet {
    /// Makes the sheet of a planned job.
    ///
    /// `printed_at` is printed as given (local time); `version` is the program's;
    /// `references` turns source keys into references, and a key without one is shown as a key.
    #[must_use]
    pub fn build(
        spec: &Spec,
        report: &PlanReport,
        printed_at: Option<jiff::civil::DateTime>,
        version: &str,
        references: &References,
    ) -> Self {
        build::sheet(spec, report, printed_at, version, references)
    }

    /// Whether the sheet can be worked from: there is a plan and the note can be met.
    #[must_use]
    pub fn has_plan(&self) -> bool {
        self.verdict.workable && !self.steps.is_empty()
    }
}
