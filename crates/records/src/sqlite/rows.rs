//! Rows of the file and back.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::chain::Hash;
use crate::row::{COLUMNS, EntryRow};
use crate::store::{Entry, Head, Wanted};

fn row_of(row: &Row<'_>) -> rusqlite::Result<EntryRow> {
    Ok(EntryRow {
        number: row.get(0)?,
        utc_us: row.get(1)?,
        kind: row.get(2)?,
        job: row.get(3)?,
        run: row.get(4)?,
        about: row.get(5)?,
        token: row.get(6)?,
        body: row.get(7)?,
        before: row.get(8)?,
        hash: row.get(9)?,
    })
}

pub(super) fn head(connection: &Connection) -> rusqlite::Result<Head> {
    let row: Option<(i64, [u8; 32])> = connection
        .query_row("SELECT count, hash FROM head WHERE one = 1", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .optional()?;
    let (count, hash) = row.unwrap_or((0, *Hash::NONE.bytes()));
    Ok(Head {
        count: u64::try_from(count)
            .map_err(|_| rusqlite::Error::IntegralValueOutOfRange(0, count))?,
        hash: Hash::from_bytes(&hash).expect("32 bytes were read"),
    })
}

pub(super) fn entries(
    connection: &Connection,
    wanted: Wanted<'_>,
    after: u64,
    most: usize,
) -> rusqlite::Result<Vec<EntryRow>> {
    let after = i64::try_from(after).unwrap_or(i64::MAX);
    let most = i64::try_from(most).unwrap_or(i64::MAX);
    let ask = |rule: &str| {
        format!("SELECT {COLUMNS} FROM entry WHERE number > ?1 {rule} ORDER BY number LIMIT ?2")
    };
    let mut asked = connection.prepare(&ask(match wanted {
        Wanted::All => "",
        Wanted::Job(_) => "AND job = ?3",
        Wanted::Run(_) => "AND run = ?3",
        Wanted::Kind(_) => "AND kind = ?3",
        Wanted::About(_) => "AND about = ?3",
        Wanted::Token(_) => "AND token = ?3",
    }))?;
    match wanted {
        Wanted::All => asked.query_map(params![after, most], row_of)?.collect(),
        Wanted::Job(name) | Wanted::Run(name) | Wanted::Kind(name) | Wanted::Token(name) => asked
            .query_map(params![after, most, name], row_of)?
            .collect(),
        Wanted::About(number) => {
            let number = i64::try_from(number).unwrap_or(i64::MAX);
            asked
                .query_map(params![after, most, number], row_of)?
                .collect()
        }
    }
}

pub(super) fn file(connection: &Connection, hash: &Hash) -> rusqlite::Result<Option<Vec<u8>>> {
    connection
        .prepare("SELECT bytes FROM file WHERE sha256 = ?1")?
        .query_row([hash.bytes()], |row| row.get(0))
        .optional()
}

/// Keeps a file, once.
pub(super) fn keep(connection: &Connection, hash: &Hash, bytes: &[u8]) -> rusqlite::Result<()> {
    connection
        .prepare("INSERT INTO file (sha256, bytes) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?
        .execute(params![hash.bytes(), bytes])?;
    Ok(())
}

/// Hashes of all kept files.
pub(super) fn files(connection: &Connection) -> rusqlite::Result<Vec<Vec<u8>>> {
    let mut asked = connection.prepare("SELECT sha256 FROM file ORDER BY sha256")?;
    let rows = asked.query_map([], |row| row.get(0))?;
    rows.collect()
}

/// Writes the entry and moves the head. The caller holds the transaction.
pub(super) fn insert(connection: &Connection, entry: &Entry) -> rusqlite::Result<()> {
    let content = &entry.content;
    let event = &content.event;
    connection
        .prepare(&format!(
            "INSERT INTO entry ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)"
        ))?
        .execute(params![
            content.number as i64,
            content.at.utc_us,
            event.kind(),
            event.job(),
            event.run(),
            event.about().map(|number| number as i64),
            content.token,
            entry.body,
            entry.before.bytes(),
            entry.hash.bytes(),
        ])?;
    let moved = connection
        .prepare("UPDATE head SET count = ?1, hash = ?2 WHERE one = 1 AND count = ?1 - 1")?
        .execute(params![content.number as i64, entry.hash.bytes()])?;
    if moved == 1 {
        Ok(())
    } else {
        Err(rusqlite::Error::StatementChangedRows(moved))
    }
}
