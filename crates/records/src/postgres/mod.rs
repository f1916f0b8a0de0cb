//! The book as a schema on a PostgreSQL server, for several sites that write into one book. The
//! writers queue at the head, so the chain has no fork; a receipt is given when the server has
//! flushed the entry. Knows nothing of what the entries mean.
//!
//! Blocking, as the rest of the program: inside an asynchronous one it belongs on a thread of its
//! own. Without TLS: over a network that others share it goes through a tunnel.

mod copy;
mod fault;
mod guards;
mod migrate;
mod rows;

use std::cell::RefCell;
use std::fmt;
use std::path::{Path, PathBuf};
use std::time::Duration;

use postgres::config::Host;
use postgres::{Client, Config, GenericClient, NoTls, Transaction};

use crate::chain::Hash;
use crate::memory::repeated;
use crate::rules;
use crate::store::{Addition, Entry, Head, Look, Receipt, Store, StoreError, Wanted, seal};
use fault::{trouble, while_committing};
use migrate::Standing;

/// Longest wait for the server to take the line, and for other writers.
const WAIT: Duration = Duration::from_secs(5);

/// A book on a server.
pub struct Server {
    client: RefCell<Client>,
    place: PathBuf,
}

impl fmt::Debug for Server {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Server")
            .field("place", &self.place)
            .finish_non_exhaustive()
    }
}

impl Server {
    /// Starts a book in a database that has none, and writes its first entry.
    ///
    /// # Errors
    /// Where there is a book already, the server cannot be reached, or the entry breaks a rule.
    pub fn create(address: &str, first: &Addition) -> Result<(Self, Receipt), StoreError> {
        let (mut client, place) = connect(address)?;
        careful(&mut client, &place)?;
        prepare(&mut client, &place)?;
        let mut book = Self {
            client: RefCell::new(client),
            place,
        };
        // What an interrupted start left behind has no entry and is gone on with; where another
        // site has opened it in between, the rules refuse a second opening.
        let receipt = book.append(first)?;
        Ok((book, receipt))
    }

    /// Opens a book to look and to add.
    ///
    /// # Errors
    /// Where there is none, the server cannot be reached, or a later program made the book.
    pub fn open(address: &str) -> Result<Self, StoreError> {
        let (mut client, place) = connect(address)?;
        careful(&mut client, &place)?;
        if known(&mut client, &place)? < migrate::NEWEST {
            settle(&mut client, &place)?;
        }
        Ok(Self {
            client: RefCell::new(client),
            place,
        })
    }

    /// Opens a book to look only.
    ///
    /// # Errors
    /// As for [`Server::open`].
    pub fn open_to_look(address: &str) -> Result<Self, StoreError> {
        let (mut client, place) = connect(address)?;
        known(&mut client, &place)?;
        client
            .batch_execute("SET default_transaction_read_only = on")
            .map_err(|fault| trouble(&place, fault))?;
        Ok(Self {
            client: RefCell::new(client),
            place,
        })
    }

    /// Host and database, without who comes in and the password.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.place
    }

    fn trouble(&self, fault: postgres::Error) -> StoreError {
        trouble(&self.place, fault)
    }
}

/// Where it is, for people: nothing that is secret.
fn place_of(config: &Config) -> PathBuf {
    let host = match config.get_hosts().first() {
        Some(Host::Tcp(name)) => name.clone(),
        #[cfg(unix)]
        Some(Host::Unix(folder)) => folder.display().to_string(),
        None => String::new(),
    };
    let port = match config.get_ports().first() {
        Some(port) if *port != 5432 => format!(":{port}"),
        _ => String::new(),
    };
    let base = config.get_dbname().unwrap_or_default();
    PathBuf::from(format!("postgres://{host}{port}/{base}"))
}

fn connect(address: &str) -> Result<(Client, PathBuf), StoreError> {
    let mut config: Config = address.parse().map_err(|fault| StoreError::Unreachable {
        path: PathBuf::from("postgres://…"),
        source: Box::new(fault),
    })?;
    config.application_name("casewright");
    config.connect_timeout(WAIT);
    let place = place_of(&config);
    let mut client = config
        .connect(NoTls)
        .map_err(|fault| trouble(&place, fault))?;
    let encoding: String = client
        .batch_execute(&format!(
            "SET synchronous_commit = on; SET lock_timeout = {}; SET client_min_messages = warning",
            WAIT.as_millis()
        ))
        .and_then(|()| client.query_one("SHOW server_encoding", &[]))
        .and_then(|row| row.try_get(0))
        .map_err(|fault| trouble(&place, fault))?;
    if encoding != "UTF8" {
        return Err(StoreError::NotABook { path: place });
    }
    Ok((client, place))
}

/// A receipt must mean that the disk has the entry.
fn careful(client: &mut Client, place: &Path) -> Result<(), StoreError> {
    for setting in ["fsync", "full_page_writes"] {
        let row = client
            .query_one("SELECT current_setting($1)", &[&setting])
            .map_err(|fault| trouble(place, fault))?;
        if row.get::<_, String>(0) != "on" {
            return Err(StoreError::Careless {
                path: place.to_owned(),
                setting: setting.to_owned(),
            });
        }
    }
    Ok(())
}

/// The version of the book that stands there.
fn known(client: &mut Client, place: &Path) -> Result<i64, StoreError> {
    let path = place.to_owned();
    match migrate::standing(client).map_err(|fault| trouble(place, fault))? {
        Standing::Nothing => Err(StoreError::Missing { path }),
        Standing::Foreign => Err(StoreError::NotABook { path }),
        Standing::Version(found) if found > migrate::NEWEST => Err(StoreError::Newer {
            path,
            found,
            known: migrate::NEWEST,
        }),
        Standing::Version(found) => Ok(found),
    }
}

/// Makes the schema where there is none; a book with entries is left alone.
fn prepare(client: &mut Client, place: &Path) -> Result<(), StoreError> {
    let fault = |fault| trouble(place, fault);
    let mut change = client.transaction().map_err(fault)?;
    migrate::lock(&mut change).map_err(fault)?;
    match migrate::standing(&mut change).map_err(fault)? {
        Standing::Nothing => {
            migrate::bring_up(&mut change, 0, &migrate::STEPS).map_err(fault)?;
            change.commit().map_err(fault)
        }
        Standing::Version(migrate::NEWEST)
            if rows::head(&mut change, false).map_err(fault)? == Some(Head::NONE) =>
        {
            Ok(())
        }
        _ => Err(StoreError::Occupied {
            path: place.to_owned(),
        }),
    }
}

/// Brings an older schema to the newest version.
fn settle(client: &mut Client, place: &Path) -> Result<(), StoreError> {
    let fault = |fault| trouble(place, fault);
    let mut change = client.transaction().map_err(fault)?;
    migrate::lock(&mut change).map_err(fault)?;
    // Another program may have done it while this one waited.
    if let Standing::Version(seen) = migrate::standing(&mut change).map_err(fault)? {
        migrate::bring_up(&mut change, seen, &migrate::STEPS).map_err(fault)?;
    }
    change.commit().map_err(fault)
}

impl Look for Server {
    fn head(&self) -> Result<Head, StoreError> {
        look_head(&mut *self.client.borrow_mut(), &self.place)
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        look_entries(
            &mut *self.client.borrow_mut(),
            &self.place,
            (wanted, after, most),
        )
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        rows::file(&mut *self.client.borrow_mut(), hash).map_err(|fault| self.trouble(fault))
    }
}

fn look_head(client: &mut impl GenericClient, place: &Path) -> Result<Head, StoreError> {
    rows::head(client, false)
        .map_err(|fault| trouble(place, fault))?
        .ok_or_else(|| fault::headless(place))
}

fn look_entries(
    client: &mut impl GenericClient,
    place: &Path,
    (wanted, after, most): (Wanted<'_>, u64, usize),
) -> Result<Vec<Entry>, StoreError> {
    let rows = rows::entries(client, wanted, after, most).map_err(|fault| trouble(place, fault))?;
    rows.into_iter()
        .map(|row| {
            row.read().map_err(|what| StoreError::Damaged {
                path: place.to_owned(),
                what,
            })
        })
        .collect()
}

/// A transaction as something to look into.
struct Looking<'a, 'b> {
    change: RefCell<&'a mut Transaction<'b>>,
    place: &'a Path,
}

impl Look for Looking<'_, '_> {
    fn head(&self) -> Result<Head, StoreError> {
        look_head(&mut **self.change.borrow_mut(), self.place)
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        look_entries(
            &mut **self.change.borrow_mut(),
            self.place,
            (wanted, after, most),
        )
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        rows::file(&mut **self.change.borrow_mut(), hash)
            .map_err(|fault| trouble(self.place, fault))
    }
}

impl Store for Server {
    fn append(&mut self, addition: &Addition) -> Result<Receipt, StoreError> {
        let place = &self.place;
        let fault = |fault| trouble(place, fault);
        let mut change = self.client.get_mut().transaction().map_err(fault)?;
        // Whoever holds the head's row writes; what others committed before is seen by every
        // question after this one, because each has a view of its own.
        let head = rows::head(&mut change, true)
            .map_err(fault)?
            .ok_or_else(|| fault::headless(place))?;
        let look = Looking {
            change: RefCell::new(&mut change),
            place,
        };
        if let Some(receipt) = repeated(&look, addition)? {
            return Ok(receipt);
        }
        rules::hold(&look, addition)?;
        let sealed = seal(head, addition);
        for (file, attached) in addition.attachments.iter().zip(&sealed.content.attached) {
            rows::keep(&mut change, &attached.sha256, &file.bytes).map_err(fault)?;
        }
        rows::insert(&mut change, &sealed).map_err(fault)?;
        change
            .commit()
            .map_err(|fault| while_committing(place, fault))?;
        Ok(Receipt {
            number: sealed.content.number,
            hash: sealed.hash,
            repeated: false,
        })
    }
}
