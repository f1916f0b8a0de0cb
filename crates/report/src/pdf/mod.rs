//! The printed run sheet: report model → PDF bytes.
//!
//! The typesetter is a library here: it sees one template, the embedded fonts and this sheet's
//! values, never a file or the network. Same sheet, same bytes.

mod data;
mod record;
mod world;

use typst::diag::SourceDiagnostic;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use crate::model::Sheet;
use world::SheetWorld;

pub use record::render_record;

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
    /// The cross-section through the cycle.
    section_figure: bool,
    /// Depths and boxes of the hardness traverse.
    traverse_table: bool,
    /// Phases.
    more_figures: bool,
    /// Temperature against the clock.
    cycle_figure: bool,
    /// The ruler of depths.
    chain_figure: bool,
    /// The ruler stands among the steps, before the temper, and not behind the pack.
    chain_early: bool,
    /// The plan beside other ways.
    ways_figure: bool,
    /// Hardness, carbon and the slice through the edge.
    charts: bool,
    /// Ways not taken, doubts.
    background: bool,
    /// Findings printed in full.
    findings: usize,
    /// Characters of one foreign text that is not an instruction.
    text_limit: usize,
    /// Blocks may break, drawings are small, only the rows that the note asks for are printed.
    tight: bool,
    /// A last page of its own with the cross-section through the cycle.
    section_page: bool,
}

/// Everything there is.
const FULL: Detail = Detail {
    clock_table: true,
    section_figure: true,
    traverse_table: true,
    more_figures: true,
    cycle_figure: true,
    chain_figure: true,
    chain_early: false,
    ways_figure: true,
    charts: true,
    background: true,
    findings: 12,
    text_limit: 900,
    tight: false,
    section_page: false,
};

/// What gives way for room, one after the other. The spare table of clock times goes first, then
/// pictures that explain, from the one that changes nothing at the bench to the one that shows the
/// whole day. From `tight` on only what the work needs is left; last go the boxes of the traverse,
/// which also fit on a sheet of their own, and the charts.
const GIVES_WAY: [fn(&mut Detail); 12] = [
    |d| d.clock_table = false,
    |d| d.section_figure = false,
    |d| (d.more_figures, d.findings, d.text_limit) = (false, 10, 600),
    |d| (d.cycle_figure, d.findings) = (false, 8),
    |d| (d.background, d.text_limit) = (false, 420),
    |d| (d.tight, d.text_limit) = (true, 300),
    |d| (d.findings, d.text_limit) = (3, 200),
    |d| d.ways_figure = false,
    |d| d.chain_early = true,
    |d| d.chain_figure = false,
    |d| d.traverse_table = false,
    |d| (d.charts, d.text_limit) = (false, 70),
];

/// From everything to what cannot be left out.
fn details(section_page: bool) -> Vec<Detail> {
    let mut detail = Detail {
        section_page,
        ..FULL
    };
    // What the page of its own shows is not shown twice.
    if section_page {
        detail.section_figure = false;
    }
    let mut all = vec![detail];
    for give in GIVES_WAY {
        give(&mut detail);
        all.push(detail);
    }
    all
}

/// Sets the run sheet, or the one-page refusal where the note cannot be met.
///
/// The same sheet and paper give the same bytes. The sheet has at most [`PAGES_MOST`] pages:
/// background is left out until it fits. Should even the shortest form not fit, it is printed
/// with more pages, because a sheet with a fifth page is better than no sheet.
///
/// # Errors
/// When the page template does not compile, which is a defect of the program.
pub fn render(sheet: &Sheet, paper: Paper) -> Result<Vec<u8>, PdfError> {
    rendered(sheet, paper, false)
}

/// The same with one page more behind it: the cross-section through the cycle, to read before the
/// work and not at the furnace. A sheet without a plan has no such page.
///
/// # Errors
/// As [`render`].
pub fn render_with_section(sheet: &Sheet, paper: Paper) -> Result<Vec<u8>, PdfError> {
    rendered(
        sheet,
        paper,
        sheet.has_plan() && sheet.figures.section.is_some(),
    )
}

fn rendered(sheet: &Sheet, paper: Paper, section_page: bool) -> Result<Vec<u8>, PdfError> {
    let result = fitted(sheet, paper, section_page).and_then(|document| export(sheet, &document));
    // The typesetter keeps every page it ever set until told to forget, also after a failure.
    comemo::evict(0);
    result
}

fn fitted(sheet: &Sheet, paper: Paper, section_page: bool) -> Result<PagedDocument, PdfError> {
    let most = if sheet.has_plan() { PAGES_MOST } else { 1 } + usize::from(section_page);
    let details = details(section_page);
    // Less detail hardly ever needs more pages, so the richest form that fits is found by halving.
    let (mut low, mut high) = (0, details.len() - 1);
    let mut best = None;
    while low < high {
        let middle = usize::midpoint(low, high);
        let document = set(sheet, paper, details[middle])?;
        if document.pages().len() <= most {
            high = middle;
            best = Some((middle, document));
        } else {
            low = middle + 1;
        }
    }
    if let Some((level, document)) = best
        && level == low
    {
        return Ok(document);
    }
    let shortest = set(sheet, paper, details[low])?;
    if shortest.pages().len() <= most {
        return Ok(shortest);
    }
    // A block that just misses a page's foot may cost a page that a little more text would not:
    // the short forms are tried one by one before a page too many is printed.
    for detail in details.iter().filter(|detail| detail.tight) {
        let document = set(sheet, paper, *detail)?;
        if document.pages().len() <= most {
            return Ok(document);
        }
    }
    Ok(shortest)
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

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_job::spec::Spec;
    use casewright_plan::outcome::PlanReport;

    use crate::fixture;

    fn sheet(job: (Spec, PlanReport)) -> Sheet {
        let printed = Some(jiff::civil::date(2026, 11, 23).at(16, 40, 0, 0));
        Sheet::build(&job.0, &job.1, printed, "0.0.0", &fixture::references())
    }

    /// The pages of a document as plain text, the way the typesetter's own frames hold it.
    pub(super) fn words(document: &PagedDocument) -> String {
        fn walk(frame: &typst::layout::Frame, out: &mut String) {
            for (_, item) in frame.items() {
                match item {
                    typst::layout::FrameItem::Text(text) => out.push_str(&text.text),
                    typst::layout::FrameItem::Group(group) => walk(&group.frame, out),
                    _ => {}
                }
            }
        }
        let mut out = String::new();
        for page in document.pages() {
            walk(&page.frame, &mut out);
        }
        out
    }

    #[test]
    fn less_detail_never_needs_more_pages_and_keeps_what_the_work_needs() {
        let sheet = sheet(fixture::pawls(4));
        let mut pages = usize::MAX;
        // Ends and middle; each level is a page setting of its own and slow without optimisation.
        let details = details(false);
        let last = details.len() - 1;
        for detail in [details[0], details[6], details[last]] {
            let document = set(&sheet, Paper::A4, detail).expect("sets");
            assert!(document.pages().len() <= pages, "{detail:?}");
            pages = document.pages().len();
            let words = words(&document);
            for needed in [
                "925 °C",
                "± 14 °C",
                "6 h 30 min",
                "HOLD POINT",
                "Carbon monoxide",
                "HR15N",
            ] {
                assert!(words.contains(needed), "{needed} is missing at {detail:?}");
            }
        }
        comemo::evict(0);
    }

    /// Letter is the shorter paper, so what fits on it fits on A4.
    fn fitted_on_letter(name: &str, job: (Spec, PlanReport)) -> String {
        let document = fitted(&sheet(job), Paper::Letter, false).expect(name);
        let pages = document.pages().len();
        assert!(pages <= PAGES_MOST, "{name}: {pages} pages");
        words(&document)
    }

    #[test]
    fn forty_parts_fit_on_four_pages() {
        let words = fitted_on_letter("forty parts", fixture::pawls(40));
        assert!(words.contains("5 boxes of this kind"));
    }

    #[test]
    fn long_texts_fit_and_no_instruction_or_caution_is_shortened() {
        let job = fixture::long_texts();
        let plan = job.1.plan.clone().expect("a plan");
        // The typesetter drops the blanks at line ends, so blanks are taken out on both sides.
        let bare = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        let words = bare(&fitted_on_letter("long texts", job));
        for step in &plan.steps {
            let all = step
                .stop_if
                .iter()
                .chain(&step.acceptance)
                .chain([&step.text]);
            for text in all.chain(step.cautions.iter().map(|c| &c.text)) {
                assert!(words.contains(&bare(text)), "cut: {text}");
            }
        }
    }

    #[test]
    fn ten_steps_of_long_texts_fit_on_four_pages() {
        fitted_on_letter("double reheat", fixture::double());
    }

    #[test]
    fn hostile_words_fit_and_are_data() {
        let words = fitted_on_letter("hostile words", fixture::hostile());
        for mark in ["#panic()", "$x$", "*bold*", "<script>", "// no"] {
            assert!(words.contains(mark), "{mark} was taken for markup");
        }
    }

    #[test]
    fn a_refusal_is_one_page_with_the_words_for_the_customer() {
        for paper in [Paper::A4, Paper::Letter] {
            let document = fitted(&sheet(fixture::refused()), paper, false).expect("sets");
            assert_eq!(document.pages().len(), 1);
            let words = words(&document);
            for needed in ["CANNOT BE MET", "break like a file", "thicker blank"] {
                assert!(words.contains(needed), "{needed} is missing");
            }
            assert!(
                !words.contains("Steps"),
                "a refusal must not be worked from"
            );
        }
    }

    #[test]
    fn the_same_sheet_gives_the_same_bytes() {
        let sheet = sheet(fixture::refused());
        let first = render(&sheet, Paper::A4).expect("renders");
        let second = render(&sheet, Paper::A4).expect("renders");
        assert!(first == second, "bytes differ");
        assert!(first.starts_with(b"%PDF-"));
        assert_ne!(first, render(&sheet, Paper::Letter).expect("renders"));
    }
}
