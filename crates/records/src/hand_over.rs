//! Everything in the book as open files that any program can read: JSON lines, tables, and the
//! kept files under their hashes. The reader is told how to check the chain without this program.

use std::collections::BTreeSet;

use crate::csv;
use crate::event::Event;
use crate::hand_over_runs;
use crate::store::{Entered, Look, StoreError, Wanted};

const AT_ONCE: usize = 256;

const README: &str = "\
This folder holds a whole shop book in open files.

entries.jsonl    one entry a line, exactly the text that the book's chain of hashes stands on
chain.csv        for every line: its number, the hash before it, its own hash
entries.csv      the entries as a table, for a spreadsheet
readings.csv     every number that was read, with its unit
files.csv        the kept files: entry, name, length, hash
runs.csv         the runs: job, plan, start, end, verdict
steps.csv        the steps of every run as they hold now: when, by whom, who looked
times.csv        the moments of every run: loaded, pack hot, out
signatures.csv   who stands for which entry, as what
plans/           the plans as JSON, named by the number of the entry that fixed them
files/           the kept files, byte for byte, named by their SHA-256

How to check without the program: the hash of a line is the SHA-256 of the hash before it (64
hexadecimal digits), a line feed, and the line without its end. Before the first line stand 64
zeros. A kept file's name is its own SHA-256. With a shell:

  before=$(printf '0%.0s' $(seq 64))
  while IFS= read -r line; do
    before=$(printf '%s\\n%s' \"$before\" \"$line\" | sha256sum | cut -d' ' -f1); echo \"$before\"
  done < entries.jsonl

must print the last column of chain.csv. An entry is never changed: a correction is a later entry
that names the earlier one. Times are UTC in microseconds, with the minutes by which the wall clock
was ahead. In the tables, text that a spreadsheet would run as a formula has an apostrophe in front.
";

/// What was handed over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Handed {
    /// Entries.
    pub entries: u64,
    /// Kept files, each once.
    pub files: u64,
}

/// Why a hand-over stopped.
#[derive(Debug)]
pub enum HandOverError<E> {
    /// The book could not be read.
    Book(StoreError),
    /// The place to write to failed.
    Place(E),
    /// A kept file is missing or changed.
    File(String),
}

/// Writes everything: `put` gets the name (parts joined by `/`) and the bytes of each file.
///
/// # Errors
/// Where the book cannot be read, a kept file is not whole, or `put` fails.
pub fn hand_over<E>(
    book: &impl Look,
    mut put: impl FnMut(&str, &[u8]) -> Result<(), E>,
) -> Result<Handed, HandOverError<E>> {
    let mut handed = Handed::default();
    let mut pages = Pages::new();
    let mut files = BTreeSet::new();
    let mut after = 0;
    loop {
        let found = book
            .entries(Wanted::All, after, AT_ONCE)
            .map_err(HandOverError::Book)?;
        let end = found.len() < AT_ONCE;
        for entry in &found {
            after = entry.content.number;
            handed.entries += 1;
            pages.add(entry);
            if let Event::PlanFixed { plan_json, .. } = &entry.content.event {
                let name = format!("plans/{}.json", entry.content.number);
                put(&name, plan_json.as_bytes()).map_err(HandOverError::Place)?;
            }
            for file in &entry.content.attached {
                if !files.insert(file.sha256) {
                    continue;
                }
                let bytes = book
                    .attachment(&file.sha256)
                    .map_err(HandOverError::Book)?
                    .filter(|bytes| crate::Hash::of(bytes) == file.sha256)
                    .ok_or_else(|| HandOverError::File(file.name.clone()))?;
                put(&format!("files/{}", file.sha256), &bytes).map_err(HandOverError::Place)?;
                handed.files += 1;
            }
        }
        if end {
            break;
        }
    }
    let written = [
        ("README.txt", README),
        ("entries.jsonl", &pages.lines),
        ("chain.csv", &pages.chain),
        ("entries.csv", &pages.table),
        ("readings.csv", &pages.readings),
        ("files.csv", &pages.files),
        ("signatures.csv", &pages.signatures),
    ];
    let runs = hand_over_runs::pages(book).map_err(HandOverError::Book)?;
    let of_runs = runs.iter().map(|(name, text)| (*name, text.as_str()));
    for (name, text) in written.into_iter().chain(of_runs) {
        put(name, text.as_bytes()).map_err(HandOverError::Place)?;
    }
    Ok(handed)
}

struct Pages {
    lines: String,
    chain: String,
    table: String,
    readings: String,
    files: String,
    signatures: String,
}

impl Pages {
    fn new() -> Self {
        Self {
            lines: String::new(),
            chain: csv::line(&["number", "before", "hash"]),
            table: csv::line(&[
                "number",
                "utc",
                "wall_clock",
                "zone",
                "by",
                "role",
                "entered",
                "happened_utc",
                "kind",
                "job",
                "run",
                "about",
                "text",
            ]),
            readings: csv::line(&[
                "number",
                "utc",
                "run",
                "step",
                "coupon",
                "what",
                "depth",
                "depth_unit",
                "value",
                "unit",
                "corrected_by",
                "doubt",
            ]),
            signatures: csv::line(&["number", "utc", "by", "role", "of", "meaning"]),
            files: csv::line(&["number", "name", "bytes", "sha256"]),
        }
    }

    fn add(&mut self, entry: &crate::Entry) {
        let content = &entry.content;
        let number = content.number.to_string();
        self.lines.push_str(&entry.body);
        self.lines.push('\n');
        self.chain.push_str(&csv::line(&[
            number.clone(),
            entry.before.to_string(),
            entry.hash.to_string(),
        ]));
        let (entered, happened) = match &content.entered {
            Entered::Live => ("live", String::new()),
            Entered::Afterwards { happened } => ("afterwards", happened.utc_text()),
        };
        let event = &content.event;
        let or_none = |text: Option<&str>| text.unwrap_or_default().to_owned();
        self.table.push_str(&csv::line(&[
            number.clone(),
            content.at.utc_text(),
            content.at.to_string(),
            content.at.zone.clone(),
            content.by.name.clone(),
            content.by.role.word().to_owned(),
            entered.to_owned(),
            happened,
            event.kind().to_owned(),
            or_none(event.job()),
            or_none(event.run()),
            event.about().map(|n| n.to_string()).unwrap_or_default(),
            event.told(),
        ]));
        match event {
            Event::Correction {
                corrects,
                instead: Some(instead),
                ..
            } => self.reading(&corrects.to_string(), content, instead, &number),
            other => self.reading(&number, content, other, ""),
        }
        if let Event::Signature { of, meaning, .. } = event {
            self.signatures.push_str(&csv::line(&[
                number.clone(),
                content.at.utc_text(),
                content.by.name.clone(),
                content.by.role.word().to_owned(),
                of.to_string(),
                meaning.word().to_owned(),
            ]));
        }
        for file in &content.attached {
            self.files.push_str(&csv::line(&[
                number.clone(),
                file.name.clone(),
                file.bytes.to_string(),
                file.sha256.to_string(),
            ]));
        }
    }

    /// A row for a number that was read; `corrected_by` names the entry that put it in the place
    /// of an earlier row of the same number.
    fn reading(&mut self, number: &str, content: &crate::Content, event: &Event, by: &str) {
        let (step, coupon, what, depth, measured, doubt) = match event {
            Event::ReadingTaken {
                step,
                what,
                measured,
                ..
            } => (*step, "", what, None, measured, None),
            Event::CouponReading {
                coupon,
                what,
                depth,
                measured,
                doubt,
                ..
            } => (
                None,
                coupon.as_str(),
                what,
                depth.as_ref(),
                measured,
                doubt.as_ref(),
            ),
            _ => return,
        };
        self.readings.push_str(&csv::line(&[
            number.to_owned(),
            content.at.utc_text(),
            event.run().unwrap_or_default().to_owned(),
            step.map(|step| step.to_string()).unwrap_or_default(),
            coupon.to_owned(),
            what.clone(),
            depth.map(|d| d.written().to_owned()).unwrap_or_default(),
            depth
                .map(|d| d.unit().symbol().to_owned())
                .unwrap_or_default(),
            measured.written().to_owned(),
            measured.unit().symbol().to_owned(),
            by.to_owned(),
            doubt.map(|d| d.written().to_owned()).unwrap_or_default(),
        ]));
    }
}
