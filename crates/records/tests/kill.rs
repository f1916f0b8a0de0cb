//! A program that is killed at a random instant while it writes: no entry that was acknowledged is
//! lost, none is there by half. This file is both the writer and its judge.
//!
//! `CASEWRIGHT_KILLS` sets the number of kills; a thousand is the full count. A power cut, which
//! also takes what the system has not written yet, cannot be made here: against it stands the full
//! flush of every entry.
#![expect(
    clippy::disallowed_methods,
    reason = "this test makes files, starts itself as the writer, and waits a random time"
)]

mod support;

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use casewright_records::{Book, Event, Look, Store};
use support::*;

/// Enough to hit start, write and flush; about ten seconds.
const USUAL_KILLS: u64 = 60;
/// Kills of one book before a new one is begun, so that starting is hit again and again.
const KILLS_A_BOOK: u64 = 12;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let [_, word, path] = &arguments[..]
        && word == "--write"
    {
        write(Path::new(path));
        return;
    }
    if arguments.iter().any(|word| word == "--list") {
        println!("kill: test");
        return;
    }
    let kills = std::env::var("CASEWRIGHT_KILLS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(USUAL_KILLS);
    judge(kills);
    println!("test result: ok. 1 passed; 0 failed; 0 ignored");
}

/// Opens or starts the book and adds entries until it is killed, telling each receipt.
fn write(path: &Path) {
    let mut book = match Book::open(path) {
        Ok(book) if book.head().expect("a head").count > 0 => book,
        _ => Book::create(path, &opening()).expect("a new book").0,
    };
    let mut out = std::io::stdout();
    if book.head().expect("a head").count < 14 {
        resume(&mut book);
    }
    loop {
        let number = book.head().expect("a head").count;
        let mut addition = reading(60_000 + number as i64, &format!("92{}.5", number % 10));
        if number.is_multiple_of(3) {
            addition.event = Event::FileAttached {
                run: "P-1".into(),
                what: "photograph".into(),
            };
            let length = 200 + (number as usize * 7919) % 60_000;
            addition = with_file(addition, "photo.jpg", &noise(number, length));
        }
        let receipt = book.append(&addition).expect("an entry is added");
        writeln!(out, "{} {}", receipt.number, receipt.hash).expect("the judge listens");
        out.flush().expect("the judge listens");
    }
}

/// The job and the run that the readings belong to, as far as they are not there yet.
fn resume(book: &mut Book) {
    let steps = [
        Event::JobRegistered {
            job: "winch-pawl".into(),
            title: "Ratchet pawls".into(),
        },
        Event::PlanFixed {
            job: "winch-pawl".into(),
            code: "c".into(),
            plan_json: "{}".into(),
            made: None,
        },
        Event::RunStarted {
            run: "P-1".into(),
            job: "winch-pawl".into(),
            plan_entry: 3,
            practice: None,
        },
    ];
    let done = book.head().expect("a head").count as usize;
    for event in steps.into_iter().skip(done - 1) {
        book.append(&add(10, event)).expect("an entry is added");
    }
}

fn judge(kills: u64) {
    let folder = folder("kills");
    let program = std::env::current_exe().expect("this program");
    let mut state = 11;
    let (mut acknowledged, mut unborn) = (0_u64, 0_u64);
    let mut told: Vec<(u64, String)> = Vec::new();
    for kill in 0..kills {
        let path = folder.join(format!("{}.casewright", kill / KILLS_A_BOOK));
        if kill % KILLS_A_BOOK == 0 {
            told.clear();
        }
        let mut child = Command::new(&program)
            .arg("--write")
            .arg(&path)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the writer starts");
        let mut out = child.stdout.take().expect("piped");
        let listener = std::thread::spawn(move || {
            let mut text = String::new();
            out.read_to_string(&mut text).expect("text");
            text
        });
        // Most between 1 and 120 ms: from the very start to some thirty entries.
        std::thread::sleep(Duration::from_micros(1000 + next(&mut state) % 119_000));
        let ended = child.try_wait().expect("the writer can be asked");
        assert!(ended.is_none(), "the writer gave up by itself: {ended:?}");
        child.kill().expect("the writer is killed");
        child.wait().expect("the writer is gone");
        let text = listener.join().expect("what the writer told");
        let whole = text.rfind('\n').map_or("", |end| &text[..end]);
        for line in whole.lines() {
            let (number, hash) = line.split_once(' ').expect("number and hash");
            told.push((number.parse().expect("a number"), hash.to_owned()));
            acknowledged += 1;
        }
        unborn += u64::from(!after_a_kill(kill, &path, &told));
    }
    println!(
        "{kills} kills, {acknowledged} acknowledged entries, none lost, none by half; \
         {unborn} kills before the book was begun"
    );
    assert!(acknowledged > kills, "too few entries to mean anything");
}

/// Looks at the book as the next program finds it; false where it was not begun yet.
fn after_a_kill(kill: u64, path: &Path, told: &[(u64, String)]) -> bool {
    let book = match Book::open(path) {
        Ok(book) => book,
        Err(fault) => {
            assert!(told.is_empty(), "kill {kill}: {fault}");
            return false;
        }
    };
    let head = book.head().expect("a head");
    if head.count == 0 {
        assert!(told.is_empty(), "kill {kill}: the book is empty");
        return false;
    }
    let report = book.check(None).expect("the book can be checked");
    assert!(
        report.troubles.is_empty(),
        "kill {kill}: {:?}",
        report.troubles
    );
    for (number, hash) in told {
        let entry = book
            .entry(*number)
            .expect("readable")
            .unwrap_or_else(|| panic!("kill {kill}: entry {number} is lost"));
        assert_eq!(entry.hash.to_string(), *hash, "kill {kill}: entry {number}");
    }
    true
}
