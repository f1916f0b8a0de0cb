//! The printed run sheet: report model → PDF bytes.
//!
//! The typesetter is a library here: it sees one template, the embedded fonts and this sheet's
//! values, never a file or the network. Same sheet, same bytes.

mod data;
mod world;

use typst::diag::SourceDiagnostic;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use crate::model::Sheet;
use world::SheetWorld;

/// Most pages a run sheet may have: more is not read at the furnace.
pub const PAGES_MOST: usize = 4;

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// The typesetter's name of the paper.
    const fn name(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "us-letter",
        }
    }
}

/// Why no PDF could be made. Both are defects of this program, not of the job.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// The page could not be set.
    #[error("setting the pages failed: {0}")]
    Layout(String),
    /// The pages could not be written as PDF.
    #[error("writing the PDF failed: {0}")]
    Export(String),
}

/// How much goes on the pages. What the work needs is always there; background gives way first.
#[derive(Clone, Copy, Debug)]
struct Detail {
    /// The blank table of clock times.
    clock_table: bool,
    /// Phases.
    more_figures: bool,
    /// Temperature against the clock.
    cycle_figure: bool,
    /// The ruler of depths.
    chain_figure: bool,
    /// Ways not taken, doubts.
    background: bool,
    /// Findings printed in full.
    findings: usize,
    /// Characters of one foreign text that is not an instruction.
    text_limit: usize,
    /// Blocks may break, drawings are small, only the rows that the note asks for are printed.
    tight: bool,
}

/// From everything to what cannot be left out.
const DETAILS: [Detail; 8] = [
    Detail {
        clock_table: true,
        more_figures: true,
        cycle_figure: true,
        chain_figure: true,
        background: true,
        findings: 12,
        text_limit: 900,
        tight: false,
    },
    Detail {
        clock_table: false,
        more_figures: true,
        cycle_figure: true,
        chain_figure: true,
        background: true,
        findings: 12,
        text_limit: 900,
        tight: false,
    },
    Detail {
        clock_table: false,
        more_figures: false,
        cycle_figure: true,
        chain_figure: true,
        background: true,
        findings: 10,
        text_limit: 600,
        tight: false,
    },
    Detail {
        clock_table: false,
        more_figures: false,
        cycle_figure: true,
        chain_figure: false,
        background: true,
        findings: 8,
        text_limit: 600,
        tight: false,
    },
    Detail {
        clock_table: false,
        more_figures: false,
        cycle_figure: false,
        chain_figure: false,
        background: false,
        findings: 8,
        text_limit: 420,
        tight: false,
    },
    Detail {
        clock_table: false,
        more_figures: false,
        cycle_figure: false,
        chain_figure: false,
        background: false,
        findings: 8,
        text_limit: 300,
        tight: true,
    },
    Detail {
        clock_table: false,
        more_figures: false,
        cycle_figure: false,
        chain_figure: false,
        background: false,
        findings: 6,
        text_limit: 200,
        tight: true,
    },
    Detail {
        clock_table: false,
        more_figures: false,
        cycle_figure: false,
        chain_figure: false,
        background: false,
        findings: 3,
        text_limit: 70,
        tight: true,
    },
];

/// Sets the run sheet, or the one-page refusal where the note cannot be met.
///
/// The same sheet and paper give the same bytes. The sheet has at most [`PAGES_MOST`] pages:
/// background is left out until it fits. Should even the shortest form not fit, it is printed
/// with more pages, because a sheet with a fifth page is better than no sheet.
///
/// # Errors
/// When the page template does not compile, which is a defect of the program.
pub fn render(sheet: &Sheet, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let result = fitted(sheet, paper);
    // The typesetter keeps every page it ever set until told to forget, also after a failure.
    comemo::evict(0);
    result
}

fn fitted(sheet: &Sheet, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let most = if sheet.has_plan() { PAGES_MOST } else { 1 };
    // Less detail never needs more pages, so the richest form that fits is found by halving.
    let (mut low, mut high) = (0, DETAILS.len() - 1);
    let mut best = None;
    while low < high {
        let middle = usize::midpoint(low, high);
        let document = set(sheet, paper, DETAILS[middle])?;
        if document.pages().len() <= most {
            high = middle;
            best = Some((middle, document));
        } else {
            low = middle + 1;
        }
    }
    let document = match best {
        Some((level, document)) if level == low => document,
        _ => set(sheet, paper, DETAILS[low])?,
    };
    export(sheet, &document)
}

fn set(sheet: &Sheet, paper: Paper, detail: Detail) -> Result<PagedDocument, PdfError> {
    let world = SheetWorld::new(data::inputs(sheet, paper, detail));
    typst::compile::<PagedDocument>(&world)
        .output
        .map_err(|errors| PdfError::Layout(joined(&errors)))
}

fn export(sheet: &Sheet, document: &PagedDocument) -> Result<Vec<u8>, PdfError> {
    let options = PdfOptions {
        ident: typst::foundations::Smart::Custom(format!("casewright {}", sheet.head.code)),
        creator: typst::foundations::Smart::Custom(Some(format!(
            "casewright {}",
            sheet.head.version
        ))),
        timestamp: None,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(document, &options).map_err(|errors| PdfError::Export(joined(&errors)))
}

fn joined(errors: &[SourceDiagnostic]) -> String {
    let all: Vec<String> = errors.iter().map(|e| e.message.to_string()).collect();
    all.join("; ")
}
