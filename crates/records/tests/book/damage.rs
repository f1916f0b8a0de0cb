//! One flipped bit or a cut anywhere in the file: it is noticed, or it changed nothing that can be
//! read. `CASEWRIGHT_DAMAGE_TRIALS` sets the number of trials; ten thousand is the full count.

use std::path::Path;

use crate::full::{everything, fill};
use crate::support::*;
use casewright_records::{Book, Look, Store};

/// Enough for every page of the file to be hit in a usual run.
const USUAL_TRIALS: u64 = 300;

pub(crate) fn trials() -> u64 {
    std::env::var("CASEWRIGHT_DAMAGE_TRIALS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(USUAL_TRIALS)
}

/// A whole book at rest, as bytes.
fn whole(name: &str) -> (std::path::PathBuf, Vec<u8>) {
    let path = folder(name).join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    fill(&mut book);
    for n in 0..40 {
        book.append(&reading(50_000 + n, "926.5")).unwrap();
    }
    drop(book);
    let bytes = std::fs::read(&path).unwrap();
    (path, bytes)
}

/// What a look at the file says: noticed damage, or everything that can be read.
fn looked(path: &Path) -> Result<Vec<(String, Vec<u8>)>, String> {
    let book = Book::open_to_look(path).map_err(|fault| fault.to_string())?;
    let report = book.check(None).map_err(|fault| fault.to_string())?;
    if let Some(trouble) = report.troubles.first() {
        return Err(trouble.to_string());
    }
    everything(&book)
}

fn put(path: &Path, bytes: &[u8]) {
    for end in ["-wal", "-shm"] {
        let mut beside = path.as_os_str().to_owned();
        beside.push(end);
        let _ = std::fs::remove_file(beside);
    }
    std::fs::write(path, bytes).unwrap();
}

#[test]
fn one_flipped_bit_is_noticed_or_changes_nothing() {
    let (path, bytes) = whole("flips");
    let before = looked(&path).expect("the book is whole");
    let (mut noticed, mut harmless) = (0, 0);
    let mut state = 1;
    for _ in 0..trials() {
        let bit = next(&mut state) % (bytes.len() as u64 * 8);
        let mut damaged = bytes.clone();
        damaged[(bit / 8) as usize] ^= 1 << (bit % 8);
        put(&path, &damaged);
        match looked(&path) {
            Err(_) => noticed += 1,
            // Free space of a page, and header fields that say nothing about the content.
            Ok(after) => {
                assert!(after == before, "bit {bit} changed what is read, unnoticed");
                harmless += 1;
            }
        }
    }
    println!("flips anywhere: {noticed} noticed, {harmless} without effect");
    // About half of this file is free space, where nothing can be noticed; that flips are noticed at
    // all is what this asks, and the test below that none inside an entry is missed.
    assert!(
        noticed * 4 > harmless,
        "{noticed} noticed, {harmless} harmless"
    );
}

#[test]
fn one_flipped_bit_in_an_entry_or_a_kept_file_is_always_noticed() {
    let (path, bytes) = whole("flips-inside");
    // Where the entries' texts, hashes and the kept files stand in the file, piece by piece:
    // long ones are spread over pages.
    let book = Book::open_to_look(&path).unwrap();
    let mut pieces: Vec<Vec<u8>> = Vec::new();
    for entry in book
        .entries(casewright_records::Wanted::All, 0, 1000)
        .unwrap()
    {
        pieces.push(entry.body.clone().into_bytes());
        pieces.push(entry.hash.bytes().to_vec());
        for file in &entry.content.attached {
            let kept = book.attachment(&file.sha256).unwrap().unwrap();
            pieces.extend(kept.chunks(400).map(<[u8]>::to_vec));
        }
    }
    drop(book);
    // SQLite leaves old copies behind where it moves a row to another page: nothing reads those.
    // A place is alive where a flip in its middle is noticed, and every piece must have one.
    let before = looked(&path).expect("the book is whole");
    let mut places: Vec<usize> = Vec::new();
    let mut found = 0;
    for piece in &pieces {
        let copies = copies(&bytes, piece);
        let alive = |at: &usize| {
            let mut damaged = bytes.clone();
            damaged[at + piece.len() / 2] ^= 4;
            put(&path, &damaged);
            match looked(&path) {
                Err(_) => true,
                Ok(after) => {
                    assert!(after == before, "byte {at} changed what is read, unnoticed");
                    false
                }
            }
        };
        let living: Vec<usize> = copies.iter().copied().filter(alive).collect();
        assert_eq!(
            copies.is_empty(),
            living.is_empty(),
            "a piece that only has dead copies"
        );
        for at in living {
            places.extend(at..at + piece.len());
            found += 1;
        }
    }
    assert!(found * 10 > pieces.len() * 8, "{found} of {}", pieces.len());
    let mut state = 2;
    for _ in 0..trials() {
        let drawn = next(&mut state);
        let place = places[(drawn >> 8) as usize % places.len()];
        let mut damaged = bytes.clone();
        damaged[place] ^= 1 << (drawn % 8);
        put(&path, &damaged);
        assert!(looked(&path).is_err(), "byte {place}, bit {}", drawn % 8);
    }
}

/// Where the piece stands in the file.
fn copies(bytes: &[u8], piece: &[u8]) -> Vec<usize> {
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(at) = bytes[from..]
        .windows(piece.len())
        .position(|window| window == piece)
    {
        found.push(from + at);
        from += at + piece.len();
    }
    found
}

#[test]
fn a_cut_file_is_always_noticed() {
    let (path, bytes) = whole("cuts");
    let mut state = 3;
    for trial in 0..trials() {
        let mut length = (next(&mut state) % bytes.len() as u64) as usize;
        if trial % 4 == 0 {
            // On the edge of a page, where a cut is cleanest.
            length -= length % 4096;
        }
        put(&path, &bytes[..length]);
        assert!(looked(&path).is_err(), "cut to {length} of {}", bytes.len());
    }
}

/// Whoever edits the file with a tool of their own, guards taken away and put back.
#[test]
fn an_edited_removed_added_swapped_or_redated_entry_is_named() {
    let (path, bytes) = whole("tampered");
    let edits = [
        "UPDATE entry SET body = replace(body, '926.5', '930.5') WHERE number = 20",
        "DELETE FROM entry WHERE number = 20",
        "DELETE FROM entry WHERE number > 50",
        "UPDATE entry SET utc_us = utc_us + 1 WHERE number = 20",
        "UPDATE entry SET number = -number WHERE number IN (20, 21);
         UPDATE entry SET number = 41 + number WHERE number < 0",
        "INSERT INTO entry SELECT 60, utc_us, kind, job, run, about, 'x', body, before, \
         zeroblob(32) FROM entry WHERE number = 20",
        "UPDATE entry SET run = 'P-9' WHERE number = 20",
        "DELETE FROM file",
        "UPDATE head SET count = count - 1",
        "INSERT INTO file VALUES (zeroblob(32), x'00')",
        "SELECT 1",
    ];
    for edit in edits {
        put(&path, &bytes);
        let tool = rusqlite::Connection::open(&path).unwrap();
        tool.execute_batch(
            "PRAGMA ignore_check_constraints = ON;
             DROP TRIGGER entry_stays; DROP TRIGGER entry_kept; DROP TRIGGER file_kept;",
        )
        .unwrap();
        tool.execute_batch(edit)
            .unwrap_or_else(|fault| panic!("{edit}: {fault}"));
        drop(tool);
        let said = looked(&path).expect_err(edit);
        if edit.starts_with("UPDATE entry SET body") {
            assert!(said.contains("entry 20"), "{edit}: {said}");
        }
    }
    // With the guards in place nothing can be edited at all.
    put(&path, &bytes);
    let tool = rusqlite::Connection::open(&path).unwrap();
    for edit in [edits[0], edits[1], edits[7]] {
        let fault = tool.execute_batch(edit).unwrap_err().to_string();
        assert!(fault.contains("never"), "{fault}");
    }
}
