//! Saved copies of a book on a server: files, as every other book is saved, and bringing one back
//! into a database that has none.

use std::cell::RefCell;
use std::path::Path;

use super::{Looking, Server, careful, connect, migrate, rows, trouble, while_committing};
use crate::check::{self, Report};
use crate::sqlite::Book;
use crate::store::{Head, Look, StoreError, each};
use migrate::Standing;

impl Server {
    /// Saves a whole copy as a book in a file, while others may go on writing, and checks it.
    ///
    /// # Errors
    /// Where something stands there already, there is no room, or the copy is not whole.
    pub fn save(&self, to: &Path) -> Result<Report, StoreError> {
        self.standing_still(|look| Book::write_out(look, to))
    }

    /// Brings a saved copy back into a database without a book, and checks both.
    ///
    /// # Errors
    /// Where a book stands there already, or the copy is not whole.
    pub fn bring_back(copy: &Path, address: &str) -> Result<Report, StoreError> {
        let saved = Book::open_whole(copy)?;
        let (mut client, place) = connect(address)?;
        careful(&mut client, &place)?;
        let fault = |fault| trouble(&place, fault);
        let mut change = client.transaction().map_err(fault)?;
        migrate::lock(&mut change).map_err(fault)?;
        match migrate::standing(&mut change).map_err(fault)? {
            Standing::Nothing => {
                migrate::bring_up(&mut change, 0, &migrate::STEPS).map_err(fault)?;
            }
            Standing::Version(migrate::NEWEST)
                if rows::head(&mut change, true).map_err(fault)? == Some(Head::NONE) => {}
            _ => return Err(StoreError::Occupied { path: place }),
        }
        each(&saved, |entry, files| {
            for (hash, bytes) in files {
                rows::keep(&mut change, hash, bytes).map_err(fault)?;
            }
            rows::insert(&mut change, entry).map_err(fault)
        })?;
        let look = Looking {
            change: RefCell::new(&mut change),
            place: &place,
        };
        let report = check::check(&look, Some(saved.head()?))?;
        if let Some(what) = report.troubles.first() {
            return Err(StoreError::Damaged {
                path: place,
                what: what.to_string(),
            });
        }
        change
            .commit()
            .map_err(|fault| while_committing(&place, fault))?;
        Ok(report)
    }
}
