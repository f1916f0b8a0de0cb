//! Whether the book is whole: numbers without a gap, every hash as reckoned, every kept file with
//! its bytes. Repairs nothing.

use std::collections::BTreeSet;
use std::fmt;

use crate::chain::Hash;
use crate::event::Event;
use crate::store::{ENTRIES_AT_ONCE, Entry, Head, Look, StoreError, Wanted};

/// What a check found.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// Number of entries.
    pub entries: u64,
    /// Hashes of the kept files that entries name, in the order of the hashes.
    pub files: Vec<Hash>,
    /// How far the book goes.
    pub head: Head,
    /// Up to this entry the chain is whole.
    pub whole_up_to: u64,
    /// What is wrong.
    pub troubles: Vec<Trouble>,
    /// Entries dated before the entry in front of them: a clock was put back.
    pub clock_back: Vec<u64>,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// The entry, where it is about one.
    pub number: Option<u64>,
    /// What.
    pub what: String,
}

impl Trouble {
    /// About the file as a whole.
    pub(crate) fn file(what: impl Into<String>) -> Self {
        Self {
            number: None,
            what: what.into(),
        }
    }

    fn entry(number: u64, what: impl Into<String>) -> Self {
        Self {
            number: Some(number),
            what: what.into(),
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.number {
            Some(number) => write!(f, "entry {number}: {}", self.what),
            None => f.write_str(&self.what),
        }
    }
}

/// Checks every entry and every kept file. `expected` is a head that was written down elsewhere:
/// the book must still hold that entry, unchanged.
///
/// # Errors
/// Where the store cannot be read at all; entries that cannot be understood are in the report.
pub fn check(book: &impl Look, expected: Option<Head>) -> Result<Report, StoreError> {
    let mut report = Report {
        entries: 0,
        files: Vec::new(),
        head: Head::NONE,
        whole_up_to: 0,
        troubles: Vec::new(),
        clock_back: Vec::new(),
    };
    let mut files = BTreeSet::new();
    let mut last = Head::NONE;
    let mut seen_expected = expected.is_none_or(|head| head.count == 0);
    let mut before_us = i64::MIN;
    let mut most = ENTRIES_AT_ONCE;
    loop {
        let found = match book.entries(Wanted::All, last.count, most) {
            Ok(found) => found,
            // Once more one by one, up to the entry that cannot be read.
            Err(StoreError::Damaged { .. }) if most > 1 => {
                most = 1;
                continue;
            }
            Err(StoreError::Damaged { what, .. }) => {
                report.troubles.push(Trouble::file(what));
                break;
            }
            Err(other) => return Err(other),
        };
        let end = found.len() < most;
        for entry in found {
            let number = entry.content.number;
            link(&entry, last, &mut report.troubles);
            if report.troubles.is_empty() {
                report.whole_up_to = number;
            }
            about(book, &entry, &mut report.troubles)?;
            kept(book, &entry, &mut files, &mut report.troubles)?;
            if entry.content.at.utc_us < before_us {
                report.clock_back.push(number);
            }
            before_us = entry.content.at.utc_us;
            seen_expected |= expected
                == Some(Head {
                    count: number,
                    hash: entry.hash,
                });
            last = Head {
                count: number,
                hash: entry.hash,
            };
            report.entries += 1;
        }
        if end {
            break;
        }
    }
    if report.entries == 0 && report.troubles.is_empty() {
        report.troubles.push(Trouble::file("the book has no entry"));
    }
    report.head = last;
    match book.head() {
        Ok(head) if head == last => {}
        Ok(head) => report.troubles.push(Trouble::file(format!(
            "the book says that it goes to entry {}, and it goes to entry {}",
            head.count, last.count
        ))),
        Err(StoreError::Damaged { what, .. }) => report.troubles.push(Trouble::file(what)),
        Err(other) => return Err(other),
    }
    if let (false, Some(head)) = (seen_expected, expected) {
        report.troubles.push(Trouble::file(format!(
            "entry {} with the code {} is not in the book: entries are missing, or the book was \
             written anew",
            head.count, head.hash
        )));
    }
    report.files = files.into_iter().collect();
    Ok(report)
}

fn link(entry: &Entry, last: Head, troubles: &mut Vec<Trouble>) {
    let number = entry.content.number;
    if number != last.count + 1 {
        troubles.push(Trouble::entry(
            number,
            format!(
                "entries {} to {} before it are missing",
                last.count + 1,
                number - 1
            ),
        ));
    }
    if entry.before != last.hash {
        troubles.push(Trouble::entry(
            number,
            "it does not follow the entry in front of it",
        ));
    }
    if entry.hash != Hash::link(entry.before, &entry.body) {
        troubles.push(Trouble::entry(
            number,
            "its text is not the one that was entered",
        ));
    }
}

/// A signature must stand for what stands there.
fn about(book: &impl Look, entry: &Entry, troubles: &mut Vec<Trouble>) -> Result<(), StoreError> {
    let Event::Signature { of, of_hash, .. } = &entry.content.event else {
        return Ok(());
    };
    let signed = match book.entry(*of) {
        Ok(signed) => signed,
        // The damaged entry is named by itself.
        Err(StoreError::Damaged { .. }) => return Ok(()),
        Err(other) => return Err(other),
    };
    if signed.is_none_or(|signed| signed.hash != *of_hash) {
        troubles.push(Trouble::entry(
            entry.content.number,
            format!("it signs entry {of}, which is not what was signed"),
        ));
    }
    Ok(())
}

fn kept(
    book: &impl Look,
    entry: &Entry,
    files: &mut BTreeSet<Hash>,
    troubles: &mut Vec<Trouble>,
) -> Result<(), StoreError> {
    for file in &entry.content.attached {
        if !files.insert(file.sha256) {
            continue;
        }
        let fault = match book.attachment(&file.sha256) {
            Ok(None) => Some("is missing".to_owned()),
            Ok(Some(bytes)) if Hash::of(&bytes) != file.sha256 => {
                Some("is not the one that was attached".to_owned())
            }
            Ok(Some(_)) => None,
            Err(StoreError::Damaged { what, .. }) => Some(format!("cannot be read: {what}")),
            Err(other) => return Err(other),
        };
        if let Some(fault) = fault {
            troubles.push(Trouble::entry(
                entry.content.number,
                format!("its file {} {fault}", file.name),
            ));
        }
    }
    Ok(())
}
