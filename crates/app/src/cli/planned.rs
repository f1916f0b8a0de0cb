//! A job planned and made into a sheet: what `plan`, `sheet` and `demo` share.

use casewright_job::spec::Spec;
use casewright_physics::matter::sources;
use casewright_plan::{Options, PlanReport, Verdict, propose_watched};
use casewright_report::Sheet;
use casewright_report::model::References;

use super::PaperName;
use crate::answer::{Ending, WorldTrouble};
use crate::world;

/// Whether this build can write PDF.
pub(crate) const HAS_PDF: bool = cfg!(feature = "pdf");

/// A job with its plan and its sheet.
#[derive(Debug)]
pub(crate) struct Planned {
    /// What must hold.
    pub(crate) spec: Spec,
    /// What was planned.
    pub(crate) report: PlanReport,
    /// The sheet of it.
    pub(crate) sheet: Sheet,
}

impl Planned {
    /// Plans the job. The sheet carries no time of printing: the same job and seed give the same
    /// bytes, and its code in words says whether two prints are the same plan.
    pub(crate) fn of(spec: Spec, seed: u64) -> Self {
        let options = Options {
            seed,
            ..Options::USUAL
        };
        let report = world::with_bar("planning", |watch| propose_watched(&spec, options, watch));
        Self::made(spec, report)
    }

    /// From a plan that was made.
    pub(crate) fn made(spec: Spec, report: PlanReport) -> Self {
        let sheet = Sheet::build(
            &spec,
            &report,
            None,
            env!("CARGO_PKG_VERSION"),
            &references(),
        );
        Self {
            spec,
            report,
            sheet,
        }
    }

    /// Exit: a note that cannot be met is not a success, a marginal one is a plan.
    pub(crate) fn ending(&self) -> Ending {
        match self.report.verdict {
            Verdict::CanBeMet | Verdict::Marginal => Ending::Done,
            Verdict::CannotBeMet => Ending::NotMet,
        }
    }
}

/// Why each number of a plan is what it is, as text; empty without a plan.
pub(crate) fn whys(planned: &Planned) -> String {
    let all = casewright_plan::why::reasons(&planned.spec, &planned.report);
    let text = casewright_report::why::text(&all, &references());
    if text.is_empty() {
        text
    } else {
        format!("\n{text}")
    }
}

/// References by source key.
fn references() -> References {
    sources::all()
        .map(|source| (source.key.clone(), source.reference.clone()))
        .collect()
}

/// The sheet as a PDF.
///
/// # Errors
/// Where it cannot be set.
#[cfg(feature = "pdf")]
pub(crate) fn pdf(sheet: &Sheet, paper: PaperName, section: bool) -> Result<Vec<u8>, WorldTrouble> {
    let paper = match paper {
        PaperName::A4 => casewright_report::Paper::A4,
        PaperName::Letter => casewright_report::Paper::Letter,
    };
    world::with_progress("setting the sheet", || {
        if section {
            casewright_report::render_with_section(sheet, paper)
        } else {
            casewright_report::render(sheet, paper)
        }
    })
    .map_err(|error| WorldTrouble::Pdf {
        what: error.to_string(),
    })
}

/// A certificate or a record as a PDF.
///
/// # Errors
/// Where it cannot be set.
#[cfg(feature = "pdf")]
pub(crate) fn record_pdf(
    page: &casewright_report::record::Paper,
    paper: PaperName,
) -> Result<Vec<u8>, WorldTrouble> {
    let paper = match paper {
        PaperName::A4 => casewright_report::Paper::A4,
        PaperName::Letter => casewright_report::Paper::Letter,
    };
    casewright_report::pdf::render_record(page, paper).map_err(|error| WorldTrouble::Pdf {
        what: error.to_string(),
    })
}

/// A certificate or a record as a PDF: this build has none.
///
/// # Errors
/// Always.
#[cfg(not(feature = "pdf"))]
pub(crate) fn record_pdf(
    _page: &casewright_report::record::Paper,
    _paper: PaperName,
) -> Result<Vec<u8>, WorldTrouble> {
    Err(WorldTrouble::Pdf {
        what: "this build has no PDF writer; build it with the feature `pdf`, the default".into(),
    })
}

/// The sheet as a PDF: this build has none.
///
/// # Errors
/// Always.
#[cfg(not(feature = "pdf"))]
pub(crate) fn pdf(
    _sheet: &Sheet,
    _paper: PaperName,
    _section: bool,
) -> Result<Vec<u8>, WorldTrouble> {
    Err(WorldTrouble::Pdf {
        what: "this build has no PDF writer; build it with the feature `pdf`, the default".into(),
    })
}
