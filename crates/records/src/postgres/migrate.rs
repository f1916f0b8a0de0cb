//! The versions of the schema on the server: numbered steps, each in a file of its own, run in one
//! transaction with the number. A step that was once shipped never changes.

use postgres::{Error, GenericClient};

/// The steps, the first makes version 1.
pub(super) const STEPS: [&str; 1] = [include_str!("schema_1.sql")];

/// Newest version that is known.
pub(super) const NEWEST: i64 = STEPS.len() as i64;

/// The schema that holds the book: one book in a database.
pub(super) const SCHEMA: &str = "shop_book";

/// Only one program at a time makes or changes the schema; the number is "CWsb".
const LOCK: i64 = 0x4357_7362;

/// What stands in the schema's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    /// Nothing.
    Nothing,
    /// A schema of that name that is none of ours.
    Foreign,
    /// A book of that version.
    Version(i64),
}

/// Looks what stands there.
pub(super) fn standing(client: &mut impl GenericClient) -> Result<Standing, Error> {
    let row = client.query_one(
        "SELECT to_regnamespace($1::text) IS NOT NULL, to_regclass($1::text || '.version') IS NOT NULL",
        &[&SCHEMA],
    )?;
    match (row.get(0), row.get(1)) {
        (false, _) => Ok(Standing::Nothing),
        (true, false) => Ok(Standing::Foreign),
        (true, true) => {
            let row = client.query_one("SELECT max(number) FROM shop_book.version", &[])?;
            let number: Option<i64> = row.get(0);
            Ok(number.map_or(Standing::Foreign, Standing::Version))
        }
    }
}

/// Keeps every other program from making or changing the schema until the transaction ends.
pub(super) fn lock(client: &mut impl GenericClient) -> Result<(), Error> {
    client.execute("SELECT pg_advisory_xact_lock($1)", &[&LOCK])?;
    Ok(())
}

/// Runs the steps that the schema has not seen. The caller holds the transaction and the lock.
pub(super) fn bring_up(
    client: &mut impl GenericClient,
    seen: i64,
    steps: &[&str],
) -> Result<(), Error> {
    if seen == 0 {
        client.batch_execute(
            "CREATE SCHEMA shop_book;
             CREATE TABLE shop_book.version (number bigint CONSTRAINT version_number PRIMARY KEY);",
        )?;
    }
    client.batch_execute("SET LOCAL search_path = shop_book, pg_catalog")?;
    for (index, step) in steps.iter().enumerate() {
        let number = index as i64 + 1;
        if number > seen {
            client.batch_execute(step)?;
            client.execute("INSERT INTO version (number) VALUES ($1)", &[&number])?;
        }
    }
    Ok(())
}
