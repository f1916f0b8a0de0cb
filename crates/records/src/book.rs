//! The book wherever it is kept: a file on this machine, or a schema on a server. Which of the two,
//! its name tells.

use std::path::Path;

use crate::chain::Hash;
use crate::check::Report;
#[cfg(feature = "postgres")]
use crate::postgres::Server;
use crate::sqlite;
use crate::store::{Addition, Entry, Head, Look, Receipt, Store, StoreError, Wanted};

/// A book in a file or on a server.
#[derive(Debug)]
pub enum Book {
    /// In a file.
    File(sqlite::Book),
    /// On a server.
    #[cfg(feature = "postgres")]
    Server(Box<Server>),
}

/// The server's address, where the name is one: `postgres://…`.
fn address(name: &Path) -> Result<Option<&str>, StoreError> {
    let on_server =
        |text: &&str| text.starts_with("postgres://") || text.starts_with("postgresql://");
    if name == Path::new("postgres:") {
        return Err(StoreError::NoAddress);
    }
    match name.to_str().filter(on_server) {
        Some(_) if cfg!(not(feature = "postgres")) => Err(StoreError::NoServers),
        found => Ok(found),
    }
}

/// Does the one thing for a file and the other for a server.
macro_rules! either {
    ($name:expr, $address:ident => $server:expr, $file:expr) => {
        match address($name)? {
            #[cfg(feature = "postgres")]
            Some($address) => $server,
            _ => $file,
        }
    };
}

/// Asks whichever it is.
macro_rules! ask {
    ($book:expr, $inner:ident => $answer:expr) => {
        match $book {
            Book::File($inner) => $answer,
            #[cfg(feature = "postgres")]
            Book::Server($inner) => $answer,
        }
    };
}

impl Book {
    /// Starts a book where none is and writes its first entry.
    ///
    /// # Errors
    /// Where something stands there already, the place cannot be written, or the entry breaks a
    /// rule.
    pub fn create(name: &Path, first: &Addition) -> Result<(Self, Receipt), StoreError> {
        either!(name, address => {
            let (book, receipt) = Server::create(address, first)?;
            Ok((Self::Server(Box::new(book)), receipt))
        }, {
            let (book, receipt) = sqlite::Book::create(name, first)?;
            Ok((Self::File(book), receipt))
        })
    }

    /// Opens a book to look and to add.
    ///
    /// # Errors
    /// Where there is none, it is something else, or it was written by a later program.
    pub fn open(name: &Path) -> Result<Self, StoreError> {
        either!(name, address => Ok(Self::Server(Box::new(Server::open(address)?))),
            Ok(Self::File(sqlite::Book::open(name)?)))
    }

    /// Opens a book to look only.
    ///
    /// # Errors
    /// As for [`Book::open`].
    pub fn open_to_look(name: &Path) -> Result<Self, StoreError> {
        either!(name, address => Ok(Self::Server(Box::new(Server::open_to_look(address)?))),
            Ok(Self::File(sqlite::Book::open_to_look(name)?)))
    }

    /// Brings a saved copy, a file, back to a place where nothing stands, and checks both.
    ///
    /// # Errors
    /// Where something stands there already, or the copy is not whole.
    pub fn bring_back(copy: &Path, to: &Path) -> Result<Report, StoreError> {
        either!(to, address => Server::bring_back(copy, address), sqlite::bring_back(copy, to))
    }

    /// Where it is; of a server, nothing that is secret.
    #[must_use]
    pub fn path(&self) -> &Path {
        ask!(self, book => book.path())
    }

    /// Checks the whole book. `expected` is a head that was written down elsewhere, against a book
    /// that was written anew as a whole.
    ///
    /// # Errors
    /// Where it cannot be read at all.
    pub fn check(&self, expected: Option<Head>) -> Result<Report, StoreError> {
        ask!(self, book => book.check(expected))
    }

    /// Saves a whole copy as a file under a new name while the book may be in use, and checks it.
    ///
    /// # Errors
    /// Where something stands there already, there is no room, or the copy is not whole.
    pub fn save(&self, to: &Path) -> Result<Report, StoreError> {
        if address(to)?.is_some() {
            return Err(StoreError::CopyIsAFile);
        }
        ask!(self, book => book.save(to))
    }
}

impl Look for Book {
    fn head(&self) -> Result<Head, StoreError> {
        ask!(self, book => book.head())
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        ask!(self, book => book.entries(wanted, after, most))
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        ask!(self, book => book.attachment(hash))
    }
}

impl Store for Book {
    fn append(&mut self, addition: &Addition) -> Result<Receipt, StoreError> {
        ask!(self, book => book.append(addition))
    }
}
