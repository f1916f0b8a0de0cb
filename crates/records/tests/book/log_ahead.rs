//! The write-ahead log that a killed program leaves behind, with one bit flipped or cut short. The
//! next program finds a whole chain that ends earlier at most: never a changed entry, never a gap;
//! and where entries are gone, the head that was written down elsewhere shows it.
//!
//! `CASEWRIGHT_DAMAGE_TRIALS` sets the number of trials.

use std::path::{Path, PathBuf};

use casewright_records::{Book, Head, Look, Store, Wanted};

use crate::full::{everything, fill};
use crate::support::*;

fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

/// File and log of a book as they lie on the disk while a program has it open, which is how they
/// lie when it is killed; and the head at every entry.
fn left_behind(name: &str) -> (PathBuf, Vec<u8>, Vec<u8>, Vec<Head>) {
    let path = folder(name).join("book.casewright");
    drop(Book::create(&path, &opening()).unwrap());
    let mut book = Book::open(&path).unwrap();
    fill(&mut book);
    for n in 0..40 {
        book.append(&reading(50_000 + n, "926.5")).unwrap();
    }
    let heads = book
        .entries(Wanted::All, 0, usize::MAX)
        .unwrap()
        .iter()
        .map(|entry| Head {
            count: entry.content.number,
            hash: entry.hash,
        })
        .collect();
    let file = std::fs::read(&path).unwrap();
    let log = std::fs::read(beside(&path, "-wal")).unwrap();
    drop(book);
    (path, file, log, heads)
}

fn put(path: &Path, file: &[u8], log: &[u8]) {
    let _ = std::fs::remove_file(beside(path, "-shm"));
    std::fs::write(path, file).unwrap();
    std::fs::write(beside(path, "-wal"), log).unwrap();
}

/// What a trial came to.
#[derive(Debug, Default)]
struct Count {
    noticed: u64,
    shorter: u64,
    whole: u64,
}

/// Opens what is there: refused, or whole up to a head that once was; gives where it ends.
fn look(path: &Path, heads: &[Head], count: &mut Count, what: &str) {
    let Ok(mut book) = Book::open(path) else {
        count.noticed += 1;
        return;
    };
    let last = *heads.last().expect("entries");
    let Ok(report) = book.check(None) else {
        count.noticed += 1;
        return;
    };
    if !report.troubles.is_empty() {
        count.noticed += 1;
        return;
    }
    // Every entry that is there is one that was written, in its place.
    let found = report.head;
    assert_eq!(heads[found.count as usize - 1], found, "{what}");
    if found == last {
        count.whole += 1;
        return;
    }
    count.shorter += 1;
    let on_paper = book.check(Some(last)).unwrap();
    assert!(!on_paper.troubles.is_empty(), "{what}: the loss must show");
    // It goes on behind what is left, where the run is there already.
    if found.count > 4 {
        book.append(&reading(90_000, "927")).unwrap();
        let after = book.check(Some(found)).unwrap();
        assert!(after.troubles.is_empty(), "{what}: {:?}", after.troubles);
    }
}

#[test]
fn a_flipped_bit_in_the_log_of_a_killed_program_changes_no_entry() {
    let (path, file, log, heads) = left_behind("log-flips");
    put(&path, &file, &log);
    let whole = Book::open(&path).unwrap();
    assert_eq!(whole.head().unwrap(), *heads.last().unwrap());
    let all = everything(&whole).unwrap();
    assert!(all.len() > 5);
    drop(whole);
    let (mut count, mut state) = (Count::default(), 21);
    let trials = crate::damage::trials();
    for _ in 0..trials {
        let bit = next(&mut state) % (log.len() as u64 * 8);
        let mut damaged = log.clone();
        damaged[(bit / 8) as usize] ^= 1 << (bit % 8);
        put(&path, &file, &damaged);
        look(&path, &heads, &mut count, &format!("bit {bit}"));
    }
    println!("{trials} flips in the log: {count:?}");
    // Every frame carries a sum over all before it: a flip ends the log there.
    assert!(count.shorter > trials / 2, "{count:?}");
}

#[test]
fn a_cut_log_of_a_killed_program_leaves_a_whole_chain() {
    let (path, file, log, heads) = left_behind("log-cuts");
    let (mut count, mut state) = (Count::default(), 22);
    let trials = crate::damage::trials();
    for _ in 0..trials {
        let length = (next(&mut state) % log.len() as u64) as usize;
        put(&path, &file, &log[..length]);
        look(&path, &heads, &mut count, &format!("cut to {length}"));
    }
    println!("{trials} cuts of the log: {count:?}");
    assert!(count.shorter > trials / 2, "{count:?}");
}
