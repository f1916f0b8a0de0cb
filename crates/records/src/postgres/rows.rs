//! Rows on the server and back.

use postgres::types::ToSql;
use postgres::{Error, GenericClient, Row};

use crate::chain::Hash;
use crate::row::{COLUMNS, EntryRow};
use crate::store::{Entry, Head, Wanted};

fn row_of(row: &Row) -> Result<EntryRow, Error> {
    Ok(EntryRow {
        number: row.try_get(0)?,
        utc_us: row.try_get(1)?,
        kind: row.try_get(2)?,
        job: row.try_get(3)?,
        run: row.try_get(4)?,
        about: row.try_get(5)?,
        token: row.try_get(6)?,
        body: row.try_get(7)?,
        before: row.try_get(8)?,
        hash: row.try_get(9)?,
    })
}

/// The head as it is written; `holding` keeps every other writer waiting until the transaction ends.
pub(super) fn head(client: &mut impl GenericClient, holding: bool) -> Result<Option<Head>, Error> {
    let rest = if holding { "FOR UPDATE" } else { "" };
    let row = client.query_opt(
        &format!("SELECT count, hash FROM shop_book.head WHERE one = 1 {rest}"),
        &[],
    )?;
    let Some(row) = row else { return Ok(None) };
    let (count, hash): (i64, Vec<u8>) = (row.try_get(0)?, row.try_get(1)?);
    Ok(u64::try_from(count)
        .ok()
        .zip(Hash::from_bytes(&hash))
        .map(|(count, hash)| Head { count, hash }))
}

pub(super) fn entries(
    client: &mut impl GenericClient,
    wanted: Wanted<'_>,
    after: u64,
    most: usize,
) -> Result<Vec<EntryRow>, Error> {
    let after = i64::try_from(after).unwrap_or(i64::MAX);
    let most = i64::try_from(most).unwrap_or(i64::MAX);
    let about;
    let (rule, third): (&str, Option<&(dyn ToSql + Sync)>) = match &wanted {
        Wanted::All => ("", None),
        Wanted::Job(name) => ("AND job = $3", Some(name)),
        Wanted::Run(name) => ("AND run = $3", Some(name)),
        Wanted::Kind(name) => ("AND kind = $3", Some(name)),
        Wanted::Token(name) => ("AND token = $3", Some(name)),
        Wanted::About(number) => {
            about = i64::try_from(*number).unwrap_or(i64::MAX);
            ("AND about = $3", Some(&about))
        }
    };
    let mut values: Vec<&(dyn ToSql + Sync)> = vec![&after, &most];
    values.extend(third);
    let asked = format!(
        "SELECT {COLUMNS} FROM shop_book.entry WHERE number > $1 {rule} ORDER BY number LIMIT $2"
    );
    client.query(&asked, &values)?.iter().map(row_of).collect()
}

pub(super) fn file(client: &mut impl GenericClient, hash: &Hash) -> Result<Option<Vec<u8>>, Error> {
    let row = client.query_opt(
        "SELECT bytes FROM shop_book.file WHERE sha256 = $1",
        &[&hash.bytes().as_slice()],
    )?;
    row.map(|row| row.try_get(0)).transpose()
}

/// Hashes of all kept files.
pub(super) fn files(client: &mut impl GenericClient) -> Result<Vec<Vec<u8>>, Error> {
    client
        .query("SELECT sha256 FROM shop_book.file ORDER BY sha256", &[])?
        .iter()
        .map(|row| row.try_get(0))
        .collect()
}

/// Keeps a file, once.
pub(super) fn keep(
    client: &mut impl GenericClient,
    hash: &Hash,
    bytes: &[u8],
) -> Result<(), Error> {
    client.execute(
        "INSERT INTO shop_book.file (sha256, bytes) VALUES ($1, $2) ON CONFLICT DO NOTHING",
        &[&hash.bytes().as_slice(), &bytes],
    )?;
    Ok(())
}

/// Writes the entry and moves the head. The caller holds the transaction; the server refuses what
/// does not follow.
pub(super) fn insert(client: &mut impl GenericClient, entry: &Entry) -> Result<(), Error> {
    let content = &entry.content;
    let event = &content.event;
    let number = content.number as i64;
    client.execute(
        &format!(
            "INSERT INTO shop_book.entry ({COLUMNS}) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)"
        ),
        &[
            &number,
            &content.at.utc_us,
            &event.kind(),
            &event.job(),
            &event.run(),
            &event.about().map(|number| number as i64),
            &content.token,
            &entry.body,
            &entry.before.bytes().as_slice(),
            &entry.hash.bytes().as_slice(),
        ],
    )?;
    client.execute(
        "UPDATE shop_book.head SET count = $1, hash = $2 WHERE one = 1",
        &[&number, &entry.hash.bytes().as_slice()],
    )?;
    Ok(())
}
