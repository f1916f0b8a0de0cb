//! What every store does, whatever keeps the bytes: look, and add. There is no way to change or
//! to remove.
//!
//! Three stores stand behind it: [`crate::sqlite::Book`], one file on this machine; a schema on a
//! PostgreSQL server, for several sites (feature `postgres`); and [`crate::Memory`], for practice
//! and for tests. All are held to the same tests.

use std::path::PathBuf;

use casewright_terms::Diag;
use serde::{Deserialize, Serialize};

use crate::chain::Hash;
use crate::event::Event;
use crate::stamp::Stamp;

/// Largest file that is kept, in bytes. SQLite's own limit is near 1 GB; a day's log at one row a
/// second is a few megabytes, a photograph about ten.
pub const LARGEST_ATTACHMENT_BYTES: usize = 256 << 20;

/// Entries read together: enough to be quick, few enough to be kept in memory.
pub(crate) const ENTRIES_AT_ONCE: usize = 256;

/// A person at the time of an entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Name, or initials where a school wants no more.
    pub name: String,
    /// As what.
    pub role: Role,
}

/// As what a person acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Heat treater or machinist.
    Operator,
    /// Learner.
    Student,
    /// Teacher.
    Instructor,
    /// Inspector.
    Inspector,
    /// Whoever answers for the shop.
    Lead,
}

impl Role {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Operator => "operator",
            Self::Student => "student",
            Self::Instructor => "instructor",
            Self::Inspector => "inspector",
            Self::Lead => "lead",
        }
    }
}

/// When the thing happened, seen from the entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "how", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Entered {
    /// Written down while it happened.
    Live,
    /// Written down later, from paper or memory.
    Afterwards {
        /// When it happened, as it was told.
        happened: Stamp,
    },
}

/// A file to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attachment {
    /// Its name.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// A kept file as its entry names it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attached {
    /// Its name.
    pub name: String,
    /// Hash of its bytes, by which it is found.
    pub sha256: Hash,
    /// Number of its bytes.
    pub bytes: u64,
}

/// What somebody wants to add.
#[derive(Clone, Debug, PartialEq)]
pub struct Addition {
    /// When it is entered.
    pub at: Stamp,
    /// By whom.
    pub by: Person,
    /// Live or afterwards.
    pub entered: Entered,
    /// What.
    pub event: Event,
    /// Files that belong to it.
    pub attachments: Vec<Attachment>,
    /// A word of the sender's own, so that a repeated sending adds nothing.
    pub token: Option<String>,
}

/// An entry's text, read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Content {
    /// Its number; the first is 1, and there is no gap.
    pub number: u64,
    /// The sender's word.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub token: Option<String>,
    /// When it was entered.
    pub at: Stamp,
    /// By whom.
    pub by: Person,
    /// Live or afterwards.
    pub entered: Entered,
    /// What.
    pub event: Event,
    /// Files that belong to it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub attached: Vec<Attached>,
}

/// An entry as it stands in the book.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its text, byte for byte.
    pub body: String,
    /// Hash of the entry before it.
    pub before: Hash,
    /// Its own hash.
    pub hash: Hash,
    /// The text, read.
    pub content: Content,
}

/// How far the book goes: the number and hash of its last entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// Number of entries.
    pub count: u64,
    /// Hash of the last.
    pub hash: Hash,
}

impl Head {
    /// Of a book without entries.
    pub const NONE: Self = Self {
        count: 0,
        hash: Hash::NONE,
    };
}

/// The answer to an addition. Who holds it may rely on the entry: it is on the disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// Number of the entry.
    pub number: u64,
    /// Its hash.
    pub hash: Hash,
    /// Whether the entry was there already, under the same token.
    pub repeated: bool,
}

/// Which entries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted<'a> {
    /// All.
    All,
    /// Those that name the job.
    Job(&'a str),
    /// Those that name the run.
    Run(&'a str),
    /// Those of a kind, by its name in the file.
    Kind(&'a str),
    /// Corrections and signatures of an entry.
    About(u64),
    /// The one with the token.
    Token(&'a str),
}

/// Looking into a store.
pub trait Look {
    /// How far it goes.
    ///
    /// # Errors
    /// Where the store cannot be read.
    fn head(&self) -> Result<Head, StoreError>;

    /// At most so many entries with numbers above `after`, in order.
    ///
    /// # Errors
    /// Where the store cannot be read, or an entry in it not be understood.
    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError>;

    /// The bytes of a kept file.
    ///
    /// # Errors
    /// Where the store cannot be read.
    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError>;

    /// One entry.
    ///
    /// # Errors
    /// As for [`Look::entries`].
    fn entry(&self, number: u64) -> Result<Option<Entry>, StoreError> {
        let Some(after) = number.checked_sub(1) else {
            return Ok(None);
        };
        let found = self.entries(Wanted::All, after, 1)?;
        Ok(found
            .into_iter()
            .find(|entry| entry.content.number == number))
    }
}

/// Adding to a store.
pub trait Store: Look {
    /// Adds an entry with its files, whole or not at all. When this returns, the entry is kept.
    ///
    /// # Errors
    /// Where the entry breaks a rule of the book, or the store cannot be written; nothing is
    /// added then.
    fn append(&mut self, addition: &Addition) -> Result<Receipt, StoreError>;
}

/// Puts an addition behind the head.
pub(crate) fn seal(head: Head, addition: &Addition) -> Entry {
    let content = Content {
        number: head.count + 1,
        token: addition.token.clone(),
        at: addition.at.clone(),
        by: addition.by.clone(),
        entered: addition.entered.clone(),
        event: addition.event.clone(),
        attached: addition
            .attachments
            .iter()
            .map(|file| Attached {
                name: file.name.clone(),
                sha256: Hash::of(&file.bytes),
                bytes: file.bytes.len() as u64,
            })
            .collect(),
    };
    let body = serde_json::to_string(&content).expect("rows have string keys and plain values");
    Entry {
        hash: Hash::link(head.hash, &body),
        before: head.hash,
        content,
        body,
    }
}

/// Every entry of a store in order, with its kept files: for copying one store into another.
pub(crate) fn each(
    from: &impl Look,
    mut put: impl FnMut(&Entry, &[(Hash, Vec<u8>)]) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let mut after = 0;
    loop {
        let some = from.entries(Wanted::All, after, ENTRIES_AT_ONCE)?;
        let Some(last) = some.last() else {
            return Ok(());
        };
        after = last.content.number;
        for entry in &some {
            let mut files = Vec::new();
            for file in &entry.content.attached {
                // A missing file shows when the copy is checked.
                if let Some(bytes) = from.attachment(&file.sha256)? {
                    files.push((file.sha256, bytes));
                }
            }
            put(entry, &files)?;
        }
    }
}

/// Whether an entry is what the addition would have made, but for when it was sent.
pub(crate) fn is_the_same(entry: &Entry, addition: &Addition) -> bool {
    let mut sent = seal(Head::NONE, addition).content;
    sent.number = entry.content.number;
    sent.at = entry.content.at.clone();
    sent == entry.content
}

/// What the database said, whichever it is.
pub type Fault = Box<dyn std::error::Error + Send + Sync>;

/// What kept the store from an answer. In every case but
/// [`StoreError::Unsure`] the book is as it was before.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The entry breaks a rule of the book.
    #[error("{0}")]
    Refused(Box<Diag>),
    /// There is no such file.
    #[error("there is no book at {path}; name an existing one, or start one there")]
    Missing {
        /// Where.
        path: PathBuf,
    },
    /// Something stands there already.
    #[error(
        "{path} is there already and was not touched; name another file, or move that one away"
    )]
    Occupied {
        /// Where.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{path} is no shop book and was not touched; name the file that holds the book")]
    NotABook {
        /// Where.
        path: PathBuf,
    },
    /// The file was written by a later version of the program.
    #[error(
        "{path} is a book of version {found}, and this program reads up to {known}; nothing was \
         changed. Use the newer program"
    )]
    Newer {
        /// Where.
        path: PathBuf,
        /// Version of the file.
        found: i64,
        /// Newest version that is known.
        known: i64,
    },
    /// No room.
    #[error(
        "there is no room left to write to {path}; this entry was not added, all earlier ones are \
         kept. Make room and enter it again"
    )]
    Full {
        /// Where.
        path: PathBuf,
        /// What the store said.
        source: Fault,
    },
    /// May not be written.
    #[error(
        "{path} may not be written; this entry was not added, all earlier ones are kept. Check \
         who may write to the file and its folder"
    )]
    ReadOnly {
        /// Where.
        path: PathBuf,
        /// What the store said.
        source: Fault,
    },
    /// Another program is writing.
    #[error("{path} is being written by another program; nothing was added. Try again")]
    Busy {
        /// Where.
        path: PathBuf,
        /// What the store said.
        source: Fault,
    },
    /// What is stored cannot be understood.
    #[error(
        "{path} is damaged: {what}. Nothing was changed. Check the book, keep this file, and bring \
         back the last saved copy under another name"
    )]
    Damaged {
        /// Where.
        path: PathBuf,
        /// What is wrong.
        what: String,
    },
    /// The disk or the system failed.
    #[error(
        "{path} could not be read or written; this entry was not added, all earlier ones are kept. \
         Check the disk"
    )]
    System {
        /// Where.
        path: PathBuf,
        /// What the store said.
        source: Fault,
    },
    /// The server does not answer.
    #[error(
        "the server of {path} cannot be reached; nothing was added. Check its name, the network, \
         and who may come in"
    )]
    Unreachable {
        /// Where.
        path: PathBuf,
        /// What the store said.
        source: Fault,
    },
    /// The line went dead while the server was keeping the entry.
    #[error(
        "the line to {path} went dead while the entry was being kept, and whether it was is not \
         known; look into the book, or send it again under the same word of the sender"
    )]
    Unsure {
        /// Where.
        path: PathBuf,
        /// What the store said.
        source: Fault,
    },
    /// The server is set up so that a receipt would mean nothing.
    #[error(
        "the server of {path} runs with {setting} off: after a power cut an acknowledged entry \
         could be gone, so none is taken. Set it on"
    )]
    Careless {
        /// Where.
        path: PathBuf,
        /// The setting.
        setting: String,
    },
    /// This build knows files only.
    #[error("this program was built without servers (feature postgres); name a file")]
    NoServers,
    /// The word for a server without the server.
    #[error(
        "postgres: alone names no server; write postgres://host/database, or set CASEWRIGHT_BOOK \
         to that"
    )]
    NoAddress,
    /// A copy that is no file.
    #[error("a copy is saved as a file; name one, and bring it back to a server from there")]
    CopyIsAFile,
    /// A file beside the book failed.
    #[error("{path} could not be {doing}")]
    File {
        /// Where.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
}

impl From<Diag> for StoreError {
    fn from(diag: Diag) -> Self {
        Self::Refused(Box::new(diag))
    }
}
