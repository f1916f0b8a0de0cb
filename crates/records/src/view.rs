//! The book as it holds now: entries with what was later said about them. Hides nothing: what was
//! corrected is still there, beside what holds instead.

use crate::event::{Event, Meaning};
use crate::stamp::Stamp;
use crate::store::{Entered, Entry, Look, Person, StoreError, Wanted};

/// An entry with its corrections and signatures.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// The entry.
    pub entry: Entry,
    /// The last correction; its number, its reason and what holds instead.
    pub corrected: Option<Corrected>,
    /// Who stands for it, in order.
    pub signatures: Vec<Signed>,
}

/// What a correction did.
#[derive(Clone, Debug, PartialEq)]
pub struct Corrected {
    /// Number of the correction.
    pub by: u64,
    /// Why.
    pub reason: String,
    /// What holds; nothing where the entry is withdrawn.
    pub instead: Option<Event>,
    /// When the thing really happened, where the correction says so.
    pub happened: Option<Stamp>,
}

/// A signature on an entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Signed {
    /// Number of the signature.
    pub entry: u64,
    /// Who.
    pub by: Person,
    /// What it means.
    pub meaning: Meaning,
    /// Whether the entry was corrected after this signature, so that it stands for the old text.
    pub before_correction: bool,
}

impl Seen {
    /// What holds now; nothing where it is withdrawn.
    #[must_use]
    pub fn holds(&self) -> Option<&Event> {
        match &self.corrected {
            Some(corrected) => corrected.instead.as_ref(),
            None => Some(&self.entry.content.event),
        }
    }

    /// When the thing happened, as it holds now.
    #[must_use]
    pub fn happened(&self) -> &Stamp {
        let told = self.corrected.as_ref().and_then(|c| c.happened.as_ref());
        let content = &self.entry.content;
        told.unwrap_or(match &content.entered {
            Entered::Live => &content.at,
            Entered::Afterwards { happened } => happened,
        })
    }

    /// Whether it is a hold point that nobody else has looked at since it was last changed.
    #[must_use]
    pub fn waits_for_witness(&self) -> bool {
        let hold = matches!(
            self.holds(),
            Some(Event::StepDone {
                hold_point: true,
                ..
            })
        );
        hold && !self
            .signatures
            .iter()
            .any(|signed| signed.meaning != Meaning::Did && !signed.before_correction)
    }
}

/// Entries with what was said about them, in order.
///
/// # Errors
/// Where the store cannot be read.
pub fn seen(
    book: &impl Look,
    wanted: Wanted<'_>,
    after: u64,
    most: usize,
) -> Result<Vec<Seen>, StoreError> {
    book.entries(wanted, after, most)?
        .into_iter()
        .map(|entry| about(book, entry))
        .collect()
}

fn about(book: &impl Look, entry: Entry) -> Result<Seen, StoreError> {
    let mut seen = Seen {
        entry,
        corrected: None,
        signatures: Vec::new(),
    };
    for later in book.entries(Wanted::About(seen.entry.content.number), 0, usize::MAX)? {
        let content = later.content;
        match content.event {
            Event::Correction {
                reason, instead, ..
            } => {
                seen.corrected = Some(Corrected {
                    by: content.number,
                    reason,
                    instead: instead.map(|event| *event),
                    happened: match content.entered {
                        Entered::Live => None,
                        Entered::Afterwards { happened } => Some(happened),
                    },
                });
                for signed in &mut seen.signatures {
                    signed.before_correction = true;
                }
            }
            Event::Signature { meaning, .. } => seen.signatures.push(Signed {
                entry: content.number,
                by: content.by,
                meaning,
                before_correction: false,
            }),
            _ => {}
        }
    }
    Ok(seen)
}
