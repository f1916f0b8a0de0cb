//! The shop book on the wire. An event is given as it stands in the book.

use casewright_records::hand_over;
use casewright_records::view::Seen;
use casewright_records::{Entered, Head, Receipt, Report};
use serde::Serialize;
use serde_json::Value;

/// The answer of `shop new` and `shop add`.
#[derive(Debug, Serialize)]
pub(crate) struct Kept {
    number: u64,
    code: String,
    repeated: bool,
}

impl Kept {
    pub(crate) fn of(receipt: &Receipt) -> Self {
        Self {
            number: receipt.number,
            code: receipt.hash.to_string(),
            repeated: receipt.repeated,
        }
    }
}

/// Last entry and code.
#[derive(Debug, Serialize)]
struct Last {
    number: u64,
    code: String,
}

impl Last {
    fn of(head: Head) -> Self {
        Self {
            number: head.count,
            code: head.hash.to_string(),
        }
    }
}

/// The answer of `shop check`, `shop save` and `shop bring-back`.
#[derive(Debug, Serialize)]
pub(crate) struct Checked {
    whole: bool,
    entries: u64,
    kept_files: usize,
    last: Last,
    whole_up_to: u64,
    troubles: Vec<TroubleLine>,
    clock_put_back_at: Vec<u64>,
}

#[derive(Debug, Serialize)]
struct TroubleLine {
    entry: Option<u64>,
    text: String,
}

impl Checked {
    pub(crate) fn of(report: &Report) -> Self {
        Self {
            whole: report.troubles.is_empty(),
            entries: report.entries,
            kept_files: report.files.len(),
            last: Last::of(report.head),
            whole_up_to: report.whole_up_to,
            troubles: report
                .troubles
                .iter()
                .map(|trouble| TroubleLine {
                    entry: trouble.number,
                    text: trouble.what.clone(),
                })
                .collect(),
            clock_put_back_at: report.clock_back.clone(),
        }
    }
}

/// The answer of `shop show`.
#[derive(Debug, Serialize)]
pub(crate) struct Shown {
    last: Last,
    entries: Vec<Line>,
}

#[derive(Debug, Serialize)]
struct Line {
    number: u64,
    code: String,
    utc: String,
    wall_clock: String,
    by: String,
    role: &'static str,
    /// When it happened, where it was entered afterwards.
    happened_utc: Option<String>,
    text: String,
    event: Value,
    files: Vec<File>,
    corrected: Option<Corrected>,
    signatures: Vec<Signature>,
    waits_for_witness: bool,
}

#[derive(Debug, Serialize)]
struct File {
    name: String,
    bytes: u64,
    sha256: String,
}

#[derive(Debug, Serialize)]
struct Corrected {
    by_entry: u64,
    reason: String,
    /// What holds instead; `null` where the entry is withdrawn.
    instead: Option<Value>,
}

#[derive(Debug, Serialize)]
struct Signature {
    entry: u64,
    by: String,
    role: &'static str,
    meaning: &'static str,
    before_correction: bool,
}

impl Shown {
    pub(crate) fn of(all: &[Seen], head: Head) -> Self {
        Self {
            last: Last::of(head),
            entries: all.iter().map(line).collect(),
        }
    }
}

fn value(event: &casewright_records::Event) -> Value {
    serde_json::to_value(event).expect("events have string keys and plain values only")
}

fn line(seen: &Seen) -> Line {
    let content = &seen.entry.content;
    Line {
        number: content.number,
        code: seen.entry.hash.to_string(),
        utc: content.at.utc_text(),
        wall_clock: content.at.to_string(),
        by: content.by.name.clone(),
        role: content.by.role.word(),
        happened_utc: match &content.entered {
            Entered::Live => None,
            Entered::Afterwards { happened } => Some(happened.utc_text()),
        },
        text: content.event.told(),
        event: value(&content.event),
        files: content
            .attached
            .iter()
            .map(|file| File {
                name: file.name.clone(),
                bytes: file.bytes,
                sha256: file.sha256.to_string(),
            })
            .collect(),
        corrected: seen.corrected.as_ref().map(|corrected| Corrected {
            by_entry: corrected.by,
            reason: corrected.reason.clone(),
            instead: corrected.instead.as_ref().map(value),
        }),
        signatures: seen
            .signatures
            .iter()
            .map(|signed| Signature {
                entry: signed.entry,
                by: signed.by.name.clone(),
                role: signed.by.role.word(),
                meaning: signed.meaning.word(),
                before_correction: signed.before_correction,
            })
            .collect(),
        waits_for_witness: seen.waits_for_witness(),
    }
}

/// The answer of `shop hand-over`.
#[derive(Debug, Serialize)]
pub(crate) struct Handed {
    entries: u64,
    kept_files: u64,
    last: Last,
}

impl Handed {
    pub(crate) fn of(handed: &hand_over::Handed, head: Head) -> Self {
        Self {
            entries: handed.entries,
            kept_files: handed.files,
            last: Last::of(head),
        }
    }
}
