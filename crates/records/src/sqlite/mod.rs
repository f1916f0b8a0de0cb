//! The book as one SQLite file: write-ahead log, every acknowledged entry flushed to the disk.
//! Knows nothing of what the entries mean.

mod copy;
mod integrity;
mod migrate;
mod rows;

use std::path::{Path, PathBuf};

use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior};

use crate::chain::Hash;
use crate::memory::repeated;
use crate::rules;
use crate::store::{Addition, Entry, Head, Look, Receipt, Store, StoreError, Wanted, seal};

pub use copy::bring_back;

/// A book in a file.
#[derive(Debug)]
pub struct Book {
    connection: Connection,
    path: PathBuf,
}

impl Book {
    /// Starts a book in a new file and writes its first entry.
    ///
    /// # Errors
    /// Where something stands there already, the folder cannot be written, or the entry breaks a
    /// rule.
    pub fn create(path: &Path, first: &Addition) -> Result<(Self, Receipt), StoreError> {
        if copy::length(path).is_some_and(|length| length > 0) {
            // What an interrupted start left behind is ours and empty, and may be gone on with.
            let left = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            let ours = migrate::application(&left).is_ok_and(|mark| mark == migrate::APPLICATION);
            let nothing = migrate::shape(&left).is_ok_and(|shape| shape.is_empty())
                && migrate::application(&left).is_ok_and(|mark| mark == 0);
            let empty = ours && rows::head(&left).is_ok_and(|head| head.count == 0);
            if !(nothing || empty) {
                return Err(StoreError::Occupied {
                    path: path.to_owned(),
                });
            }
        }
        let connection = connect(
            path,
            OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE,
        )?;
        let mut book = Self {
            connection,
            path: path.to_owned(),
        };
        book.settle()?;
        let receipt = book.append(first)?;
        copy::flush_folder(path)?;
        Ok((book, receipt))
    }

    /// Opens a book to look and to add.
    ///
    /// # Errors
    /// Where there is none, it is something else, or it was written by a later program.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let mut book = Self::known(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        book.settle()?;
        Ok(book)
    }

    /// Opens a book to look only.
    ///
    /// # Errors
    /// As for [`Book::open`].
    pub fn open_to_look(path: &Path) -> Result<Self, StoreError> {
        Self::known(path, OpenFlags::SQLITE_OPEN_READ_ONLY)
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Lets the file grow to no more than so many pages of 4 KiB: a quota, and the way to try out
    /// a full disk.
    ///
    /// # Errors
    /// Where the store cannot be asked.
    pub fn limit_pages(&self, pages: u32) -> Result<(), StoreError> {
        self.connection
            .query_row(&format!("PRAGMA max_page_count = {pages}"), [], |_| Ok(()))
            .map_err(|fault| self.trouble(fault))
    }

    fn known(path: &Path, flags: OpenFlags) -> Result<Self, StoreError> {
        if copy::length(path).is_none() {
            return Err(StoreError::Missing {
                path: path.to_owned(),
            });
        }
        let connection = connect(path, flags)?;
        let trouble = |fault| trouble(path, fault);
        if migrate::application(&connection).map_err(trouble)? != migrate::APPLICATION {
            return Err(StoreError::NotABook {
                path: path.to_owned(),
            });
        }
        let found = migrate::version(&connection).map_err(trouble)?;
        if found > migrate::NEWEST {
            return Err(StoreError::Newer {
                path: path.to_owned(),
                found,
                known: migrate::NEWEST,
            });
        }
        Ok(Self {
            connection,
            path: path.to_owned(),
        })
    }

    /// Write-ahead log, and the newest schema.
    fn settle(&mut self) -> Result<(), StoreError> {
        self.settle_or_fault()
            .map_err(|fault| trouble(&self.path, fault))
    }

    fn settle_or_fault(&mut self) -> rusqlite::Result<()> {
        self.connection
            .query_row("PRAGMA journal_mode = WAL", [], |_| Ok(()))?;
        if migrate::version(&self.connection)? < migrate::NEWEST {
            let change = self
                .connection
                .transaction_with_behavior(TransactionBehavior::Immediate)?;
            migrate::bring_up(&change, &migrate::STEPS)?;
            begin_head(&change)?;
            change.commit()?;
        }
        Ok(())
    }

    fn trouble(&self, fault: rusqlite::Error) -> StoreError {
        trouble(&self.path, fault)
    }
}

impl Look for Book {
    fn head(&self) -> Result<Head, StoreError> {
        rows::head(&self.connection).map_err(|fault| self.trouble(fault))
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        looking(&self.connection, &self.path).entries(wanted, after, most)
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        rows::file(&self.connection, hash).map_err(|fault| self.trouble(fault))
    }
}

impl Store for Book {
    fn append(&mut self, addition: &Addition) -> Result<Receipt, StoreError> {
        let path = self.path.clone();
        let trouble = |fault| trouble(&path, fault);
        // Immediate: a transaction that reads first and writes later may find its ground gone.
        let change = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(trouble)?;
        let look = looking(&change, &path);
        if let Some(receipt) = repeated(&look, addition)? {
            return Ok(receipt);
        }
        rules::hold(&look, addition)?;
        let sealed = seal(look.head()?, addition);
        for (file, attached) in addition.attachments.iter().zip(&sealed.content.attached) {
            rows::keep(&change, &attached.sha256, &file.bytes).map_err(trouble)?;
        }
        rows::insert(&change, &sealed).map_err(trouble)?;
        change.commit().map_err(trouble)?;
        Ok(Receipt {
            number: sealed.content.number,
            hash: sealed.hash,
            repeated: false,
        })
    }
}

/// A connection, or the transaction on it, as something to look into.
struct Looking<'a> {
    connection: &'a Connection,
    path: &'a Path,
}

fn looking<'a>(connection: &'a Connection, path: &'a Path) -> Looking<'a> {
    Looking { connection, path }
}

impl Look for Looking<'_> {
    fn head(&self) -> Result<Head, StoreError> {
        rows::head(self.connection).map_err(|fault| trouble(self.path, fault))
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        let rows = rows::entries(self.connection, wanted, after, most)
            .map_err(|fault| trouble(self.path, fault))?;
        rows.into_iter()
            .map(|row| {
                row.read().map_err(|what| StoreError::Damaged {
                    path: self.path.to_owned(),
                    what,
                })
            })
            .collect()
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        rows::file(self.connection, hash).map_err(|fault| trouble(self.path, fault))
    }
}

/// The head of a book without entries, where there is none yet.
fn begin_head(connection: &Connection) -> rusqlite::Result<()> {
    connection.execute(
        "INSERT OR IGNORE INTO head (one, count, hash) VALUES (1, 0, ?1)",
        [Hash::NONE.bytes()],
    )?;
    Ok(())
}

fn connect(path: &Path, flags: OpenFlags) -> Result<Connection, StoreError> {
    let prepare = || -> rusqlite::Result<Connection> {
        let connection = Connection::open_with_flags(path, flags)?;
        connection.busy_timeout(std::time::Duration::from_secs(5))?;
        // Full: the disk has the entry before its receipt is given.
        connection.execute_batch(
            "PRAGMA synchronous = FULL; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;",
        )?;
        Ok(connection)
    };
    prepare().map_err(|fault| trouble(path, fault))
}

/// What SQLite says, in the words of the book.
fn trouble(path: &Path, fault: rusqlite::Error) -> StoreError {
    let path = path.to_owned();
    match fault.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => StoreError::Full {
            path,
            source: fault.into(),
        },
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => StoreError::ReadOnly {
            path,
            source: fault.into(),
        },
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Busy {
            path,
            source: fault.into(),
        },
        Some(ErrorCode::NotADatabase) => StoreError::NotABook { path },
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::ConstraintViolation) => StoreError::Damaged {
            path,
            what: fault.to_string(),
        },
        Some(_) => StoreError::System {
            path,
            source: fault.into(),
        },
        // No code: the rows are not of the types that we wrote.
        None => StoreError::Damaged {
            path,
            what: fault.to_string(),
        },
    }
}
