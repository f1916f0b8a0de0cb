//! Certificates, records of processing and judgements of runs on the wire.

use casewright_report::record::{Block, Gap, Paper};
use serde::Serialize;

use super::judge::Judged;

/// The answer of `run judge`.
#[derive(Debug, Serialize)]
pub(crate) struct JudgedRun {
    pub(crate) entry: u64,
    pub(crate) code: String,
    pub(crate) text: String,
    /// Entry of the judgement that this one takes the place of.
    pub(crate) supersedes: Option<u64>,
    pub(crate) because: String,
    pub(crate) judgement: Judged,
}

/// The answer of `certificate` and `record`.
#[derive(Debug, Serialize)]
pub(crate) struct PaperAnswer {
    /// Whether the words of conformity are on the paper.
    granted: bool,
    run: String,
    /// The run and the entry of the judgement.
    number: String,
    /// How many judgements it takes the place of.
    revision: usize,
    /// `meets`, `does-not-meet`, `not-shown`; `null` where nobody judged.
    verdict: Option<String>,
    /// The file that was written; `null` where the certificate was refused or none was asked for.
    file: Option<String>,
    bytes: Option<usize>,
    /// Number of the entry that keeps it, where it was kept.
    kept_in: Option<u64>,
    missing: Vec<Missing>,
    /// The paper itself; `null` where the certificate was refused.
    paper: Option<Printed>,
}

#[derive(Debug, Serialize)]
struct Missing {
    item: &'static str,
    what: String,
    supply: String,
}

#[derive(Debug, Serialize)]
struct Printed {
    title: String,
    sentence: String,
    head: String,
    foot: String,
    sections: Vec<Section>,
}

#[derive(Debug, Default, Serialize)]
struct Section {
    title: String,
    quote: Option<String>,
    pairs: Vec<Pair>,
    lines: Vec<String>,
    tables: Vec<Table>,
}

#[derive(Debug, Serialize)]
struct Pair {
    label: String,
    words: String,
    missing: bool,
}

#[derive(Debug, Serialize)]
struct Table {
    columns: Vec<&'static str>,
    rows: Vec<Vec<String>>,
}

/// What was done with a paper.
#[derive(Debug, Default)]
pub(crate) struct Written {
    pub(crate) file: Option<String>,
    pub(crate) bytes: Option<usize>,
    pub(crate) kept_in: Option<u64>,
}

impl PaperAnswer {
    pub(crate) fn of(
        facts: &casewright_report::record::Facts,
        paper: Option<&Paper>,
        missing: &[Gap],
        written: Written,
    ) -> Self {
        Self {
            granted: paper.is_some_and(|paper| paper.granted),
            run: facts.run.clone(),
            number: facts.number(),
            revision: facts.revision(),
            verdict: facts.judged.as_ref().map(|judged| judged.verdict.clone()),
            file: written.file,
            bytes: written.bytes,
            kept_in: written.kept_in,
            missing: missing
                .iter()
                .map(|gap| Missing {
                    item: gap.item.word(),
                    what: gap.what.clone(),
                    supply: gap.supply.clone(),
                })
                .collect(),
            paper: paper.map(printed),
        }
    }
}

fn printed(paper: &Paper) -> Printed {
    let mut sections = vec![Section::default()];
    for block in &paper.blocks {
        if let Block::Title(title) = block {
            sections.push(Section {
                title: title.clone(),
                ..Section::default()
            });
            continue;
        }
        let section = sections.last_mut().expect("there is one from the start");
        match block {
            Block::Title(_) => {}
            Block::Quote(words) => section.quote = Some(words.clone()),
            Block::Pairs(pairs) => {
                section
                    .pairs
                    .extend(pairs.iter().map(|(label, words, there)| Pair {
                        label: label.clone(),
                        words: words.clone(),
                        missing: !there,
                    }));
            }
            Block::Lines(lines) => section.lines.extend(lines.iter().cloned()),
            Block::Table { head, rows, .. } => section.tables.push(Table {
                columns: head.clone(),
                rows: rows.clone(),
            }),
        }
    }
    Printed {
        title: paper.title.clone(),
        sentence: paper.sentence.clone(),
        head: paper.head.clone(),
        foot: paper.foot.clone(),
        sections,
    }
}
