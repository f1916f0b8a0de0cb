//! What only the file can show: that SQLite finds its own pages whole, that the schema is ours,
//! and that no kept file is without an entry.

use std::collections::BTreeSet;

use rusqlite::Connection;

use super::{Book, migrate, rows};
use crate::check::{self, Report, Trouble};
use crate::store::{Head, StoreError};

impl Book {
    /// Checks the whole file: pages, schema, chain, kept files. `expected` is a head that was
    /// written down elsewhere, against a book that was written anew as a whole.
    ///
    /// # Errors
    /// Where the file cannot be read at all.
    pub fn check(&self, expected: Option<Head>) -> Result<Report, StoreError> {
        // One view of the whole: what another program adds meanwhile is not half seen.
        let view = self
            .connection
            .unchecked_transaction()
            .map_err(|fault| self.trouble(fault))?;
        let mut report = check::check(self, expected)?;
        let pages = self.pages().map_err(|fault| self.trouble(fault))?;
        report.troubles.extend(pages.into_iter().map(Trouble::file));
        if !self.schema_is_ours().map_err(|fault| self.trouble(fault))? {
            report.troubles.push(Trouble::file(
                "the tables or their guards are not those that this program made",
            ));
        }
        let known: BTreeSet<Vec<u8>> = report
            .files
            .iter()
            .map(|hash| hash.bytes().to_vec())
            .collect();
        let kept = rows::files(&self.connection).map_err(|fault| self.trouble(fault))?;
        let loose = kept.iter().filter(|hash| !known.contains(*hash)).count();
        if loose > 0 {
            report.troubles.push(Trouble::file(format!(
                "{loose} kept files belong to no entry"
            )));
        }
        view.finish().map_err(|fault| self.trouble(fault))?;
        Ok(report)
    }

    fn pages(&self) -> rusqlite::Result<Vec<String>> {
        let mut asked = self.connection.prepare("PRAGMA integrity_check(20)")?;
        let rows = asked.query_map([], |row| row.get::<_, String>(0))?;
        let mut said = rows.collect::<rusqlite::Result<Vec<_>>>()?;
        said.retain(|line| line != "ok");
        Ok(said)
    }

    fn schema_is_ours(&self) -> rusqlite::Result<bool> {
        let fresh = Connection::open_in_memory()?;
        let steps = usize::try_from(migrate::version(&self.connection)?)
            .unwrap_or(0)
            .min(migrate::STEPS.len());
        migrate::bring_up(&fresh, &migrate::STEPS[..steps])?;
        Ok(migrate::shape(&fresh)? == migrate::shape(&self.connection)?)
    }
}
