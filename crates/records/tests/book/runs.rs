//! A run in the book: what may follow what, how it stands, and many of them.

use std::collections::BTreeSet;

use casewright_records::{
    Addition, Book, Entered, Event, Hash, Look, Made, Meaning, Measured, Memory, Role, Run, RunEnd,
    Store, StoreError, Unit, Wanted, check,
};

use crate::full::{everything, fill};
use crate::several::{All, all};
use crate::support::*;

fn name() -> String {
    "P-2".to_owned()
}

fn step(step: u32, hold_point: bool) -> Event {
    Event::StepDone {
        run: name(),
        step,
        what: format!("step {step} of the sheet"),
        hold_point,
    }
}

fn end(how: RunEnd) -> Event {
    Event::RunEnded {
        run: name(),
        how,
        because: "all steps done".into(),
    }
}

fn sign(book: &impl Look, of: u64, meaning: Meaning) -> Event {
    Event::Signature {
        of,
        of_hash: book.entry(of).unwrap().unwrap().hash,
        meaning,
    }
}

fn put(book: &mut impl Store, seconds: i64, event: Event) -> u64 {
    book.append(&add(seconds, event))
        .expect("it is added")
        .number
}

fn no(book: &mut impl Store, addition: &Addition) -> &'static str {
    let before = book.head().unwrap();
    let fault = book.append(addition).expect_err("it is refused");
    assert_eq!(book.head().unwrap(), before);
    match fault {
        StoreError::Refused(diag) => diag.code,
        other => panic!("{other:?}"),
    }
}

/// Behind what `fill` writes, a second run with every kind of entry that version 2 brought.
pub(crate) fn fill_more(book: &mut impl Store) {
    let plan = put(
        book,
        60_000,
        Event::PlanFixed {
            job: "winch-pawl".into(),
            code: "reed-oar-8".into(),
            plan_json: "{\"verdict\":\"can-be-met\"}".into(),
            made: Some(Made {
                seed: 7,
                program: "0.1.0".into(),
                job: Hash::of(b"job"),
                shop: Some(Hash::of(b"shop")),
            }),
        },
    );
    let started = Event::RunStarted {
        run: name(),
        job: "winch-pawl".into(),
        plan_entry: plan,
        practice: None,
    };
    put(book, 60_100, started);
    let packed = put(book, 60_200, step(1, true));
    let witness = sign(book, packed, Meaning::Witnessed);
    let mut witness = add(60_300, witness);
    witness.by = person("A. Plover", Role::Instructor);
    book.append(&witness).unwrap();
    for (seconds, what) in [(60_400, "begun"), (64_000, "pack hot")] {
        let noted = Event::TimeNoted {
            run: name(),
            step: 2,
            what: what.into(),
        };
        put(book, seconds, noted);
    }
    let pulled = Event::CouponReading {
        run: name(),
        coupon: "K1".into(),
        what: "total depth of the ring".into(),
        depth: None,
        measured: Measured::new("0.62", Unit::Millimetre).unwrap(),
        doubt: Some(Measured::new("0.05", Unit::Millimetre).unwrap()),
    };
    put(book, 70_000, pulled);
    let soak = Event::SoakSet {
        run: name(),
        soak: Measured::new("220", Unit::Minute).unwrap(),
        because: "by coupon K1".into(),
        reckoned_json: Some("{\"more_h\":1.5}".into()),
    };
    put(book, 70_100, soak);
    let log = Event::LogAttached {
        run: name(),
        source: "bench logger".into(),
        reading_json: Some("{}".into()),
        judged_json: Some("{\"proven\":true}".into()),
    };
    book.append(&with_file(add(80_000, log), "f1.csv", &noise(9, 4000)))
        .unwrap();
    let late = Event::Deviation {
        run: name(),
        what: "door opened".into(),
        done_about_it: "nothing".into(),
        step: Some(2),
        seen: Some("870 °C on the pack couple for 4 min".into()),
    };
    put(book, 80_100, late);
    put(book, 80_200, step(2, false));
    put(book, 80_300, end(RunEnd::Finished));
}

/// The book of today's version as a file: opened, whole, the same bytes when written again.
#[test]
fn the_book_of_this_version_opens() {
    let fixture = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/book-version-2.casewright");
    let path = folder("this-version").join("book.casewright");
    std::fs::copy(&fixture, &path).expect("the fixture is there");
    let book = Book::open(&path).unwrap();
    let mut memory = Memory::default();
    memory.append(&opening()).unwrap();
    fill(&mut memory);
    fill_more(&mut memory);
    assert_eq!(everything(&memory).unwrap(), everything(&book).unwrap());
    let report = book.check(Some(memory.head().unwrap())).unwrap();
    assert!(report.troubles.is_empty(), "{:?}", report.troubles);
}

/// A book of version 1 that may not be written is read as it is.
#[test]
fn an_old_book_is_looked_into_without_being_changed() {
    let fixture = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/book-version-1.casewright");
    let path = folder("old-look").join("book.casewright");
    std::fs::copy(&fixture, &path).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    let book = Book::open_to_look(&path).unwrap();
    assert_eq!(Run::names(&book).unwrap(), [("P-1".to_owned(), 4)]);
    let run = Run::of(&book, "P-1").unwrap().unwrap();
    assert_eq!(run.steps.len(), 1);
    assert_eq!(run.plan.made, None);
    drop(book);
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
}

fn filled(called: &str) -> All {
    let mut book = all(called);
    fill(&mut book);
    fill_more(&mut book);
    book
}

#[test]
fn the_run_stands_as_it_was_entered_in_all_stores() {
    let memory = filled("run-stands");
    let run = Run::of(&memory, "P-2").unwrap().unwrap();
    assert_eq!(Run::names(&memory).unwrap().len(), 2);
    assert_eq!(run.plan.made.as_ref().unwrap().seed, 7);
    let done: Vec<(u32, bool)> = run.steps.iter().map(|d| (d.step, d.hold_point)).collect();
    assert_eq!(done, [(1, true), (2, false)]);
    assert_eq!(run.step(1).unwrap().witness().unwrap().by.name, "A. Plover");
    assert_eq!(run.time(2, "pack hot").unwrap().at, at(64_000));
    assert!((run.soak.as_ref().unwrap().hours - 220.0 / 60.0).abs() < 1e-12);
    assert_eq!(run.ended.as_ref().unwrap().how, RunEnd::Finished);
    // Log, coupon and deviation.
    assert_eq!(run.facts.len(), 3);
    assert_eq!(Run::of(&memory, "nothing").unwrap(), None);
    for name in ["runs.csv", "steps.csv", "times.csv", "signatures.csv"] {
        let all = everything(&memory).unwrap();
        let (_, bytes) = all.iter().find(|(known, _)| known == name).unwrap();
        let lines = String::from_utf8(bytes.clone()).unwrap().lines().count();
        let wanted = match name {
            "runs.csv" | "times.csv" => 1 + 2,
            // Two steps here and one of the first run; two signatures there and one here.
            _ => 1 + 3,
        };
        assert_eq!(lines, wanted, "{name}");
    }
}

/// No order of entries passes a hold point: every later step, and the end, waits for somebody else.
#[test]
fn a_hold_point_holds_until_somebody_else_has_looked() {
    let mut book = all("hold");
    fill(&mut book);
    let started = Event::RunStarted {
        run: name(),
        job: "winch-pawl".into(),
        plan_entry: 3,
        practice: None,
    };
    put(&mut book, 60_000, started);
    let packed = put(&mut book, 60_100, step(1, true));
    let refused = |book: &mut All, event: Event| no(book, &add(61_000, event));
    assert_eq!(refused(&mut book, step(2, false)), "book-hold-point");
    assert_eq!(refused(&mut book, end(RunEnd::Finished)), "book-hold-point");
    let own = sign(&book, packed, Meaning::Witnessed);
    assert_eq!(refused(&mut book, own), "book-own-witness");
    // Standing for it oneself is no second pair of eyes.
    let did = sign(&book, packed, Meaning::Did);
    put(&mut book, 61_000, did);
    assert_eq!(refused(&mut book, step(2, false)), "book-hold-point");
    let mut student = add(61_100, sign(&book, packed, Meaning::Approved));
    student.by = person("B. Dunlin", Role::Student);
    assert_eq!(no(&mut book, &student), "book-student-approves");
    let mut witness = add(61_200, sign(&book, packed, Meaning::Witnessed));
    witness.by = person("B. Dunlin", Role::Student);
    book.append(&witness).unwrap();
    assert_eq!(refused(&mut book, step(1, true)), "book-step-done");
    put(&mut book, 61_300, step(2, false));
    // What was witnessed is changed: it waits again, and so does everything behind it.
    let changed = Event::Correction {
        corrects: packed,
        reason: "another box was meant".into(),
        instead: Some(Box::new(step(1, true))),
    };
    put(&mut book, 61_400, changed);
    assert_eq!(refused(&mut book, step(3, false)), "book-hold-point");
    // Given up is another thing: that may be said at any time.
    put(&mut book, 61_500, end(RunEnd::Abandoned));
    assert_eq!(refused(&mut book, step(3, false)), "book-run-ended");
    assert_eq!(refused(&mut book, end(RunEnd::Abandoned)), "book-run-ended");
    let reading = Event::ReadingTaken {
        run: name(),
        step: None,
        what: "surface".into(),
        measured: Measured::new("60.5", Unit::Hrc).unwrap(),
    };
    put(&mut book, 61_600, reading);
}

/// A time that was entered wrong is corrected by another time, and both stay in the book.
#[test]
fn a_corrected_time_holds_and_the_old_one_stays() {
    let mut memory = filled("corrected-time");
    let run = Run::of(&memory, "P-2").unwrap().unwrap();
    let noted = run.time(2, "pack hot").unwrap().clone();
    let mut other = add(
        90_000,
        Event::Correction {
            corrects: noted.entry,
            reason: "read off the wrong line".into(),
            instead: Some(Box::new(Event::TimeNoted {
                run: name(),
                step: 2,
                what: "pack hot".into(),
            })),
        },
    );
    other.entered = Entered::Afterwards {
        happened: at(65_000),
    };
    memory.append(&other).unwrap();
    let run = Run::of(&memory, "P-2").unwrap().unwrap();
    assert_eq!(run.time(2, "pack hot").unwrap().at, at(65_000));
    assert_eq!(
        memory.entry(noted.entry).unwrap().unwrap().content.at,
        at(64_000)
    );
}

#[test]
fn doubts_and_soaks_have_their_units() {
    let mut memory = filled("units");
    let coupon = |doubt: &str, unit| Event::CouponReading {
        run: name(),
        coupon: "K1".into(),
        what: "ring".into(),
        depth: None,
        measured: Measured::new("0.62", Unit::Millimetre).unwrap(),
        doubt: Some(Measured::new(doubt, unit).unwrap()),
    };
    let mut refused = |event| no(&mut memory, &add(90_000, event));
    assert_eq!(refused(coupon("0.002", Unit::Inch)), "book-doubt");
    assert_eq!(refused(coupon("0", Unit::Millimetre)), "book-doubt");
    let soak = |written: &str, unit| Event::SoakSet {
        run: name(),
        soak: Measured::new(written, unit).unwrap(),
        because: "b".into(),
        reckoned_json: None,
    };
    assert_eq!(refused(soak("927", Unit::Celsius)), "book-not-a-time");
    assert_eq!(refused(soak("-5", Unit::Minute)), "book-not-a-time");
}

/// An archive of many jobs: each is found with its run, its plan and its kept file, and the whole
/// chain holds. `CASEWRIGHT_JOBS` sets how many; ten thousand are twenty years of two a working day,
/// and docs/benchmarks.md tells how long one of them takes to open.
#[test]
fn every_job_of_a_large_archive_opens() {
    let jobs: u32 = std::env::var("CASEWRIGHT_JOBS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(120);
    let path = folder("archive").join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    let mut seconds = 10;
    let mut put = |book: &mut Book, addition: &mut Addition| {
        seconds += 10;
        addition.at = at(seconds);
        book.append(addition).unwrap().number
    };
    // As long as a real plan's answer.
    let plan_json = format!("{{\"text\":\"{}\"}}", "plan ".repeat(8_000));
    for n in 0..jobs {
        let (job, run) = (format!("J-{n}"), format!("R-{n}"));
        let title = format!("job {n}");
        let text = format!("name = \"{title}\"\n");
        let taken = Event::JobRegistered {
            job: job.clone(),
            title,
        };
        put(
            &mut book,
            &mut with_file(add(0, taken), "job.toml", text.as_bytes()),
        );
        let fixed = Event::PlanFixed {
            job: job.clone(),
            code: format!("code-{n}"),
            plan_json: plan_json.clone(),
            made: None,
        };
        let plan_entry = put(&mut book, &mut add(0, fixed));
        let started = Event::RunStarted {
            run: run.clone(),
            job,
            plan_entry,
            practice: None,
        };
        put(&mut book, &mut add(0, started));
        for step in 1..=3 {
            let done = Event::StepDone {
                run: run.clone(),
                step,
                what: "done".into(),
                hold_point: false,
            };
            put(&mut book, &mut add(0, done));
        }
    }
    drop(book);
    let mut slowest = std::time::Duration::ZERO;
    let asked: BTreeSet<u32> = (0..40).map(|n| n * jobs.saturating_sub(1) / 39).collect();
    for n in asked {
        let begun = std::time::Instant::now();
        let book = Book::open_to_look(&path).unwrap();
        let job = format!("J-{n}");
        let entries = book.entries(Wanted::Job(&job), 0, usize::MAX).unwrap();
        let run = Run::of(&book, &format!("R-{n}")).unwrap().unwrap();
        let text = book
            .attachment(&entries[0].content.attached[0].sha256)
            .unwrap()
            .unwrap();
        slowest = slowest.max(begun.elapsed());
        assert_eq!(entries.len(), 3);
        assert_eq!((run.job.as_str(), run.steps.len()), (job.as_str(), 3));
        assert_eq!(run.plan.code, format!("code-{n}"));
        assert_eq!(text, format!("name = \"job {n}\"\n").as_bytes());
    }
    let book = Book::open_to_look(&path).unwrap();
    assert_eq!(Run::names(&book).unwrap().len(), jobs as usize);
    assert!(check(&book, None).unwrap().troubles.is_empty());
    println!("{jobs} jobs; the slowest of 40 opened in {slowest:?}");
}
