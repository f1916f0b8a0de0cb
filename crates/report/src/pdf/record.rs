//! Certificates and records of processing → PDF bytes. As many pages as it takes: nothing on them
//! gives way for room.

use comemo::evict;
use typst::foundations::{Dict, Smart, Str, Value};
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use super::data::{breakable, dict, list, plain};
use super::world::SheetWorld;
use super::{Paper as Format, PdfError, joined};
use crate::record::{Block, Paper};

/// Sets a certificate or a record. The same paper gives the same bytes.
///
/// # Errors
/// When the page template does not compile, which is a defect of the program.
pub fn render_record(paper: &Paper, format: Format) -> Result<Vec<u8>, PdfError> {
    let result = set(paper, format).and_then(|document| {
        let options = PdfOptions {
            ident: Smart::Custom(paper.head.clone()),
            creator: Smart::Custom(Some("casewright".to_owned())),
            timestamp: None,
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&document, &options).map_err(|errors| PdfError::Export(joined(&errors)))
    });
    evict(0);
    result
}

fn set(paper: &Paper, format: Format) -> Result<PagedDocument, PdfError> {
    let mut all = Dict::new();
    all.insert(Str::from("paper"), inputs(paper, format));
    let world = SheetWorld::record(all);
    typst::compile::<PagedDocument>(&world)
        .output
        .map_err(|errors| PdfError::Layout(joined(&errors)))
}

fn inputs(paper: &Paper, format: Format) -> Value {
    dict([
        ("format", plain(format.name())),
        ("title", plain(&paper.title)),
        ("mark", plain(paper.mark)),
        ("sentence", words(&paper.sentence)),
        ("head", words(&paper.head)),
        ("foot", words(&paper.foot)),
        ("granted", Value::Bool(paper.granted)),
        ("blocks", list(paper.blocks.iter().map(block))),
    ])
}

/// A text that a person may have written: a value, with places to break.
fn words(text: &str) -> Value {
    plain(&breakable(text))
}

fn block(block: &Block) -> Value {
    match block {
        Block::Title(text) => dict([("kind", plain("title")), ("text", words(text))]),
        Block::Quote(text) => dict([("kind", plain("quote")), ("text", words(text))]),
        Block::Lines(lines) => dict([
            ("kind", plain("lines")),
            ("lines", list(lines.iter().map(|line| words(line)))),
        ]),
        Block::Pairs(pairs) => dict([
            ("kind", plain("pairs")),
            (
                "pairs",
                list(pairs.iter().map(|(label, value, there)| {
                    dict([
                        ("label", words(label)),
                        ("words", words(value)),
                        ("there", Value::Bool(*there)),
                    ])
                })),
            ),
        ]),
        Block::Table { head, widths, rows } => dict([
            ("kind", plain("table")),
            ("head", list(head.iter().map(|name| plain(name)))),
            (
                "widths",
                list(widths.iter().map(|share| Value::Int(i64::from(*share)))),
            ),
            (
                "rows",
                list(
                    rows.iter()
                        .map(|row| list(row.iter().map(|cell| words(cell)))),
                ),
            ),
        ]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::sample;

    /// The pages as plain text, without blanks.
    fn bare(document: &PagedDocument) -> String {
        squeezed(&crate::pdf::tests::words(document))
    }

    fn squeezed(text: &str) -> String {
        text.chars()
            .filter(|c| !c.is_whitespace() && *c != '\u{200b}')
            .collect()
    }

    #[test]
    fn every_word_of_the_paper_is_on_the_pages_and_hostile_words_are_data() {
        let mut facts = sample();
        facts.customer = Some("#panic() $x$ *bold* <script> // no \\ @ref [box]".to_owned());
        facts.order = Some("x".repeat(400));
        let paper = Paper::certificate(&facts).expect("nothing is missing");
        for format in [Format::A4, Format::Letter] {
            let document = set(&paper, format).expect("sets");
            let on_pages = bare(&document);
            for block in &paper.blocks {
                let texts: Vec<&String> = match block {
                    Block::Title(text) | Block::Quote(text) => vec![text],
                    Block::Lines(lines) => lines.iter().collect(),
                    Block::Pairs(pairs) => pairs.iter().map(|(_, words, _)| words).collect(),
                    Block::Table { rows, .. } => rows.iter().flatten().collect(),
                };
                for text in texts {
                    assert!(on_pages.contains(&squeezed(text)), "cut: {text}");
                }
            }
            let pages = document.pages().len();
            assert!(on_pages.contains(&format!("page1of{pages}")), "{on_pages}");
            assert!(on_pages.contains(&"a59c".repeat(16)), "no hash at the foot");
        }
        evict(0);
    }

    #[test]
    fn the_same_paper_gives_the_same_bytes() {
        let paper = Paper::record(&sample());
        let first = render_record(&paper, Format::A4).expect("renders");
        assert!(first == render_record(&paper, Format::A4).expect("renders"));
        assert!(first.starts_with(b"%PDF-"));
    }
}
