//! What only the server can show: that the rules and guards of the schema are ours and at work, and
//! that no kept file is without an entry.

use std::collections::BTreeSet;

use postgres::{Error, GenericClient};

use super::{Looking, Server, migrate, rows, trouble};
use crate::check::{self, Report, Trouble};
use crate::store::{Head, StoreError};
use std::cell::RefCell;

/// A guard: its table, its name, and what it runs.
const GUARDS: [(&str, &str, &str); 8] = [
    ("entry", "entry_follows", "follows"),
    ("entry", "entry_kept", "never"),
    ("entry", "entry_stays", "never"),
    ("file", "file_kept", "never"),
    ("file", "file_stays", "never"),
    ("head", "head_kept", "never"),
    ("head", "head_moves", "moves"),
    ("head", "head_stays", "never"),
];

/// The named rules of the tables.
const RULES: [&str; 12] = [
    "entry_before",
    "entry_before_whole",
    "entry_from_one",
    "entry_hash",
    "entry_linked",
    "entry_number",
    "entry_token",
    "file_as_named",
    "file_sha256",
    "head_hash_whole",
    "head_is_one",
    "head_one",
];

impl Server {
    /// Checks the whole book: chain, kept files, rules and guards. `expected` is a head that was
    /// written down elsewhere, against a book that was written anew as a whole.
    ///
    /// # Errors
    /// Where the server cannot be asked at all.
    pub fn check(&self, expected: Option<Head>) -> Result<Report, StoreError> {
        self.standing_still(|look| {
            let mut report = check::check(look, expected)?;
            let change = &mut **look.change.borrow_mut();
            let said = guards(change).map_err(|fault| trouble(look.place, fault))?;
            report.troubles.extend(said.into_iter().map(Trouble::file));
            let known: BTreeSet<&[u8]> =
                report.files.iter().map(|h| h.bytes().as_slice()).collect();
            let kept = rows::files(change).map_err(|fault| trouble(look.place, fault))?;
            let loose = kept
                .iter()
                .filter(|hash| !known.contains(hash.as_slice()))
                .count();
            if loose > 0 {
                report.troubles.push(Trouble::file(format!(
                    "{loose} kept files belong to no entry"
                )));
            }
            Ok(report)
        })
    }

    /// One view of the whole book, while others go on writing.
    pub(super) fn standing_still<T>(
        &self,
        look: impl FnOnce(&Looking<'_, '_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let mut client = self.client.borrow_mut();
        let mut view = client
            .build_transaction()
            .isolation_level(postgres::IsolationLevel::RepeatableRead)
            .read_only(true)
            .start()
            .map_err(|fault| self.trouble(fault))?;
        look(&Looking {
            change: RefCell::new(&mut view),
            place: &self.place,
        })
    }
}

/// What of the rules and guards is missing, switched off or another.
fn guards(client: &mut impl GenericClient) -> Result<Vec<String>, Error> {
    let mut said = Vec::new();
    let found = client.query(
        "SELECT c.relname::text, t.tgname::text, p.proname::text, t.tgenabled::text, p.prosrc
         FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid
         WHERE c.relnamespace = to_regnamespace($1::text) AND NOT t.tgisinternal
         ORDER BY 1, 2",
        &[&migrate::SCHEMA],
    )?;
    let steps = migrate::STEPS.concat();
    let mut seen = Vec::new();
    for row in &found {
        let [table, name, runs, enabled, source]: [String; 5] =
            [row.get(0), row.get(1), row.get(2), row.get(3), row.get(4)];
        if enabled != "O" && enabled != "A" {
            said.push(format!("the guard {name} is switched off"));
        }
        if !steps.contains(&source) {
            said.push(format!(
                "the guard {name} does not do what this program made it for"
            ));
        }
        seen.push((table, name, runs));
    }
    let wanted = GUARDS.map(|(table, name, runs)| (table.into(), name.into(), runs.into()));
    if seen != wanted {
        said.push("the guards of the tables are not those that this program made".to_owned());
    }
    let rules: Vec<String> = client
        .query(
            "SELECT conname::text FROM pg_constraint WHERE convalidated AND contype IN ('c', 'p', 'u')
             AND connamespace = to_regnamespace($1::text) AND conname <> 'version_number'
             ORDER BY conname::text COLLATE \"C\"",
            &[&migrate::SCHEMA],
        )?
        .iter()
        .map(|row| row.get(0))
        .collect();
    if rules != RULES {
        said.push("the rules of the tables are not those that this program made".to_owned());
    }
    Ok(said)
}
