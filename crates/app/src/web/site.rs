//! The shop that the pages speak of: its book, and nothing else that lasts.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use casewright_records::{
    Addition, Attachment, Book, Entered, Event, Person, Receipt, Role, Store, StoreError,
};

use super::desk::Desk;
use super::people::People;
use crate::answer::Trouble;
use crate::world;

/// The shop.
#[derive(Debug)]
pub(crate) struct Site {
    book: PathBuf,
    /// Whether everything in it is invented.
    pub(crate) demo: bool,
    /// Where its plans are made.
    pub(crate) desk: Desk,
    /// Who may use the pages.
    pub(crate) people: People,
    /// Pages that are told when the book grows.
    pub(crate) watchers: Arc<AtomicU32>,
    closing: AtomicBool,
}

impl Site {
    /// A shop with its book, which must be there.
    ///
    /// # Errors
    /// Where it cannot be opened.
    pub(crate) fn open(book: &Path, demo: bool) -> Result<Self, Trouble> {
        Book::open(book)?;
        Ok(Self {
            book: book.to_owned(),
            demo,
            desk: Desk::default(),
            people: People::of(book)?,
            watchers: Arc::default(),
            closing: AtomicBool::new(false),
        })
    }

    /// Where the book is.
    pub(crate) fn book(&self) -> &Path {
        &self.book
    }

    /// The server ends: open replies do too.
    pub(crate) fn close(&self) {
        self.closing.store(true, Ordering::Relaxed);
    }

    /// Whether the server ends.
    pub(crate) fn is_closing(&self) -> bool {
        self.closing.load(Ordering::Relaxed)
    }

    /// The book, to look.
    ///
    /// # Errors
    /// Where it cannot be opened.
    pub(crate) fn look(&self) -> Result<Book, StoreError> {
        Book::open_to_look(&self.book)
    }

    /// Adds an entry, now.
    ///
    /// # Errors
    /// Where it breaks a rule of the book, or the book cannot be written.
    pub(crate) fn add(
        &self,
        by: Person,
        event: Event,
        attachments: Vec<Attachment>,
    ) -> Result<Receipt, StoreError> {
        Book::open(&self.book)?.append(&Addition {
            at: world::now(),
            by,
            entered: Entered::Live,
            event,
            attachments,
            token: None,
        })
    }
}

/// The one who writes, by the word for the role.
pub(crate) fn person(name: &str, role: &str) -> Person {
    let role = [
        Role::Operator,
        Role::Student,
        Role::Instructor,
        Role::Inspector,
        Role::Lead,
    ]
    .into_iter()
    .find(|known| known.word() == role)
    .unwrap_or(Role::Operator);
    Person {
        name: name.to_owned(),
        role,
    }
}
