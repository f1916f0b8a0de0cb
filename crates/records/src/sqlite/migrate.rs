//! The versions of the file: numbered steps, each in a file of its own, run in one transaction
//! with the number. A step that was once shipped never changes.

use rusqlite::Connection;

/// The steps, the first makes version 1.
pub(super) const STEPS: [&str; 2] = [include_str!("schema_1.sql"), include_str!("schema_2.sql")];

/// Newest version that is known.
pub(super) const NEWEST: i64 = STEPS.len() as i64;

/// Marks the file as a shop book, in the header where `file` and others look for it: "CWsb".
pub(super) const APPLICATION: i64 = 0x4357_7362;

/// The file's version; 0 for an empty one.
pub(super) fn version(connection: &Connection) -> rusqlite::Result<i64> {
    connection.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// The file's mark; 0 for an empty one.
pub(super) fn application(connection: &Connection) -> rusqlite::Result<i64> {
    connection.query_row("PRAGMA application_id", [], |row| row.get(0))
}

/// Runs the steps that the file has not seen. The caller holds the transaction.
pub(super) fn bring_up(connection: &Connection, steps: &[&str]) -> rusqlite::Result<()> {
    let seen = usize::try_from(version(connection)?).unwrap_or(0);
    for (index, step) in steps.iter().enumerate().skip(seen) {
        connection.execute_batch(step)?;
        connection.pragma_update(None, "user_version", index as i64 + 1)?;
    }
    connection.pragma_update(None, "application_id", APPLICATION)
}

/// Everything that makes up the schema, in order of name.
pub(super) fn shape(connection: &Connection) -> rusqlite::Result<Vec<(String, Option<String>)>> {
    let mut asked = connection.prepare("SELECT name, sql FROM sqlite_schema ORDER BY name")?;
    let rows = asked.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    rows.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_run_once_and_the_sum_is_the_schema() {
        let connection = Connection::open_in_memory().unwrap();
        bring_up(&connection, &STEPS).unwrap();
        assert_eq!(version(&connection).unwrap(), NEWEST);
        let first = shape(&connection).unwrap();
        bring_up(&connection, &STEPS).unwrap();
        assert_eq!(shape(&connection).unwrap(), first);
        // A later step is added to what is there, and only that one runs.
        let later = [STEPS[0], STEPS[1], "CREATE TABLE later (a INTEGER) STRICT;"];
        bring_up(&connection, &later).unwrap();
        assert_eq!(version(&connection).unwrap(), 3);
        assert_eq!(shape(&connection).unwrap().len(), first.len() + 1);
    }
}
