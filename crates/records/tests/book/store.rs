//! What every store holds to, tried on all of them at once; and what the file does beside it: copies, limits,
//! old versions, export.

use crate::full::{everything, fill};
use crate::several::{All, all};
use crate::support::*;
use casewright_records::sqlite::{Book, bring_back};
use casewright_records::view::seen;
use casewright_records::{
    Addition, Content, Entered, Event, Hash, Head, Look, Meaning, Measured, Memory, Role, Store,
    StoreError, Unit, Wanted,
};
use proptest::prelude::*;

/// Sends what all stores must refuse alike, and gives the code of the refusal.
fn refused(book: &mut All, addition: &Addition) -> &'static str {
    let before = book.head().unwrap();
    let code = match book.append(addition) {
        Err(StoreError::Refused(diag)) => diag.code,
        other => panic!("{other:?}"),
    };
    assert_eq!(book.head().unwrap(), before);
    code
}

#[test]
fn all_stores_write_the_same_chain_and_find_the_same() {
    let mut book = all("same-chain");
    fill(&mut book);
    for wanted in [
        Wanted::All,
        Wanted::Job("winch-pawl"),
        Wanted::Run("P-1"),
        Wanted::Run("nothing"),
        Wanted::Kind("signature"),
        Wanted::About(5),
        Wanted::Token("none"),
    ] {
        for (after, most) in [(0, usize::MAX), (3, 4), (99, 5)] {
            book.entries(wanted, after, most).unwrap();
        }
    }
    // Every question on the way asks all of them, and compares.
    everything(&book).unwrap();
    let report = book.check(None);
    assert!(report.troubles.is_empty(), "{:?}", report.troubles);
    assert_eq!(report.entries, report.whole_up_to);
    assert_eq!(report.files.len(), 3);
}

#[test]
fn what_breaks_a_rule_is_refused_by_all_with_its_reason() {
    let mut book = all("rules");
    let mut no = |addition: &Addition| refused(&mut book, addition);
    assert_eq!(no(&opening()), "book-order");
    assert_eq!(no(&reading(5, "927")), "book-name-unknown");
    let job = |name: &str| {
        add(
            5,
            Event::JobRegistered {
                job: name.into(),
                title: "t".into(),
            },
        )
    };
    for name in ["", " a", "a\u{202e}b", "a\nb", &"x".repeat(81)] {
        assert_eq!(no(&job(name)), "book-name", "{name:?}");
    }
    let mut future = job("a");
    future.entered = Entered::Afterwards { happened: at(6) };
    assert_eq!(no(&future), "book-future");
    let mut no_time = job("a");
    no_time.at.utc_us = i64::MAX;
    assert_eq!(no(&no_time), "book-time");
    fill(&mut book);
    let mut no = |addition: &Addition| refused(&mut book, addition);
    assert_eq!(no(&job("winch-pawl")), "book-name-taken");
    let cases = [
        (
            Event::RunStarted {
                run: "P-2".into(),
                job: "winch-pawl".into(),
                plan_entry: 2,
                practice: None,
            },
            "book-plan-unknown",
        ),
        (
            Event::RunStarted {
                run: "P-1".into(),
                job: "winch-pawl".into(),
                plan_entry: 3,
                practice: None,
            },
            "book-name-taken",
        ),
        (
            Event::PlanFixed {
                job: "winch-pawl".into(),
                code: "c".into(),
                plan_json: "{".into(),
                made: None,
            },
            "book-json",
        ),
        (
            Event::FileAttached {
                run: "P-1".into(),
                what: "x".into(),
            },
            "book-file-missing",
        ),
        (
            Event::Correction {
                corrects: 4,
                reason: "r".into(),
                instead: None,
            },
            "book-not-correctable",
        ),
        (
            Event::Correction {
                corrects: 99,
                reason: "r".into(),
                instead: None,
            },
            "book-entry-unknown",
        ),
        (
            Event::Correction {
                corrects: 8,
                reason: "r".into(),
                instead: Some(Box::new(Event::Deviation {
                    run: "P-1".into(),
                    what: "a".into(),
                    done_about_it: "b".into(),
                    step: None,
                    seen: None,
                })),
            },
            "book-other-kind",
        ),
        (
            Event::Signature {
                of: 8,
                of_hash: Hash::NONE,
                meaning: Meaning::Did,
            },
            "book-signature-other",
        ),
    ];
    for (event, code) in cases {
        assert_eq!(no(&add(50_000, event.clone())), code, "{event:?}");
    }
    let own = book.entry(8).unwrap().unwrap();
    let witness = Event::Signature {
        of: 8,
        of_hash: own.hash,
        meaning: Meaning::Witnessed,
    };
    assert_eq!(
        refused(&mut book, &add(50_000, witness)),
        "book-own-witness"
    );
}

#[test]
fn a_repeated_sending_adds_nothing_and_another_text_under_its_word_is_refused() {
    let mut book = all("token");
    fill(&mut book);
    let mut sent = reading(50_000, "925.5");
    sent.token = Some("phone-3-17".into());
    let first = book.append(&sent).unwrap();
    // The phone sends it again a minute later, after a lost reply.
    sent.at = at(50_060);
    let again = book.append(&sent).unwrap();
    assert_eq!((again.number, again.hash), (first.number, first.hash));
    assert!(again.repeated && !first.repeated);
    let mut other = reading(50_060, "926");
    other.token = sent.token;
    assert_eq!(refused(&mut book, &other), "book-token-taken");
}

#[test]
fn earlier_values_stay_visible_beside_what_holds() {
    let mut memory = all("visible");
    fill(&mut memory);
    let all = seen(&memory, Wanted::Run("P-1"), 0, usize::MAX).unwrap();
    let corrected = all.iter().find(|seen| seen.corrected.is_some()).unwrap();
    assert!(corrected.entry.content.event.told().contains("972"));
    assert!(corrected.holds().unwrap().told().contains("927"));
    let hold = all.iter().find(|seen| !seen.signatures.is_empty()).unwrap();
    assert_eq!(hold.signatures.len(), 2);
    assert!(!hold.waits_for_witness());
    // A hold point that is changed after it was witnessed waits again.
    let number = hold.entry.content.number;
    let Event::StepDone {
        run,
        step,
        hold_point,
        ..
    } = hold.entry.content.event.clone()
    else {
        panic!("{hold:?}")
    };
    let instead = Event::StepDone {
        run,
        step,
        hold_point,
        what: "packed, 8 mm round".into(),
    };
    memory
        .append(&add(
            60_000,
            Event::Correction {
                corrects: number,
                reason: "measured again".into(),
                instead: Some(Box::new(instead)),
            },
        ))
        .unwrap();
    let again = seen(&memory, Wanted::Run("P-1"), number - 1, 1).unwrap();
    assert!(again[0].waits_for_witness());
    assert!(
        again[0]
            .signatures
            .iter()
            .all(|signed| signed.before_correction)
    );
}

#[test]
fn a_copy_holds_the_same_bytes_and_never_takes_anothers_place() {
    let folder = folder("copies");
    let path = folder.join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    fill(&mut book);
    let copy = folder.join("saved.casewright");
    let report = book.save(&copy).unwrap();
    assert_eq!(report.head, book.head().unwrap());
    assert!(matches!(book.save(&copy), Err(StoreError::Occupied { .. })));
    let back = folder.join("back.casewright");
    bring_back(&copy, &back).unwrap();
    assert!(matches!(
        bring_back(&copy, &path),
        Err(StoreError::Occupied { .. })
    ));
    let mut restored = Book::open(&back).unwrap();
    assert_eq!(everything(&restored).unwrap(), everything(&book).unwrap());
    // The restored book goes on.
    restored.append(&reading(70_000, "900")).unwrap();
    assert!(
        restored
            .check(Some(report.head))
            .unwrap()
            .troubles
            .is_empty()
    );
    // A book that was cut back and written on differs from the head on paper.
    let other = Head {
        count: report.head.count,
        hash: Hash::of(b"other"),
    };
    assert!(!restored.check(Some(other)).unwrap().troubles.is_empty());
    drop(restored);
    let names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.contains("part"))
        .collect();
    assert!(names.is_empty(), "{names:?}");
}

#[test]
fn a_damaged_copy_is_not_brought_back() {
    let folder = folder("damaged-copy");
    let path = folder.join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    fill(&mut book);
    let copy = folder.join("saved.casewright");
    book.save(&copy).unwrap();
    let mut bytes = std::fs::read(&copy).unwrap();
    // Every copy of the words: SQLite may leave old ones in the free space of a page.
    for at in 0..bytes.len() - 8 {
        if &bytes[at..at + 8] == b"swapped " {
            bytes[at] ^= 1;
        }
    }
    std::fs::write(&copy, bytes).unwrap();
    let back = folder.join("back.casewright");
    match bring_back(&copy, &back) {
        Err(StoreError::Damaged { what, .. }) => assert!(what.contains("entry 9"), "{what}"),
        other => panic!("{other:?}"),
    }
    assert!(!back.exists());
}

#[test]
fn what_is_no_book_or_too_new_is_named_and_left_alone() {
    let folder = folder("not-a-book");
    let path = folder.join("book.casewright");
    assert!(matches!(Book::open(&path), Err(StoreError::Missing { .. })));
    for bytes in [&b"note = 1\n"[..], b"", &noise(3, 5000)] {
        std::fs::write(&path, bytes).unwrap();
        let fault = Book::open(&path).unwrap_err();
        assert!(matches!(fault, StoreError::NotABook { .. }), "{fault:?}");
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
    }
    let fault = Book::create(&path, &opening()).unwrap_err();
    assert!(matches!(
        fault,
        StoreError::Occupied { .. } | StoreError::NotABook { .. }
    ));
    assert_eq!(std::fs::read(&path).unwrap(), noise(3, 5000));
    std::fs::remove_file(&path).unwrap();
    drop(Book::create(&path, &opening()).unwrap());
    // The version stands at byte 60 of the header, big end first.
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[63] += 1;
    std::fs::write(&path, &bytes).unwrap();
    match Book::open(&path) {
        Err(StoreError::Newer { found, known, .. }) => assert_eq!(found, known + 1),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_full_store_says_so_loses_nothing_and_goes_on_when_there_is_room() {
    let path = folder("full").join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    fill(&mut book);
    book.limit_pages(60).unwrap();
    let mut last = book.head().unwrap();
    let (mut kept, mut refused) = (0, 0);
    for round in 0..40 {
        let seconds = 50_000 + round;
        let file = noise(round as u64, 9000);
        let photo = Event::FileAttached {
            run: "P-1".into(),
            what: "x".into(),
        };
        match book.append(&with_file(add(seconds, photo), "x.jpg", &file)) {
            Ok(receipt) => {
                kept += 1;
                last = Head {
                    count: receipt.number,
                    hash: receipt.hash,
                };
            }
            Err(fault) => {
                refused += 1;
                assert!(matches!(fault, StoreError::Full { .. }), "{fault:?}");
                let words = fault.to_string();
                assert!(
                    words.contains("no room") && words.contains("was not added"),
                    "{words}"
                );
            }
        }
        assert_eq!(book.head().unwrap(), last);
    }
    assert!(kept > 2 && refused > 10, "{kept} kept, {refused} refused");
    book.limit_pages(100_000).unwrap();
    book.append(&reading(60_000, "927")).unwrap();
    let report = book.check(Some(last)).unwrap();
    assert!(report.troubles.is_empty(), "{:?}", report.troubles);
    assert_eq!(report.head.count, last.count + 1);
}

#[test]
fn a_book_that_may_not_be_written_says_so_and_can_be_read() {
    let path = folder("read-only").join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    fill(&mut book);
    let head = book.head().unwrap();
    let mut looking = Book::open_to_look(&path).unwrap();
    let fault = looking.append(&reading(60_000, "927")).unwrap_err();
    assert!(matches!(fault, StoreError::ReadOnly { .. }), "{fault:?}");
    assert!(fault.to_string().contains("may not be written"));
    assert!(looking.check(Some(head)).unwrap().troubles.is_empty());
    book.append(&reading(60_001, "927")).unwrap();
}

#[test]
fn two_programs_add_to_one_book_without_a_gap() {
    let path = folder("two").join("book.casewright");
    let (mut book, _) = Book::create(&path, &opening()).unwrap();
    fill(&mut book);
    let start = book.head().unwrap().count;
    let write = |from: i64| {
        let mut book = Book::open(&path).unwrap();
        for n in 0..25 {
            book.append(&reading(from + n, "927")).unwrap();
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(|| write(60_000));
        scope.spawn(|| write(70_000));
    });
    let report = book.check(None).unwrap();
    assert!(report.troubles.is_empty(), "{:?}", report.troubles);
    assert_eq!(report.entries, start + 50);
}

/// A book of every version that was ever shipped opens, keeps every hash, gets the schema that a
/// new book has, and can be added to. Version 1 holds what `fill` wrote, version 2 also what
/// `fill_more` did; neither is ever made again.
#[test]
fn books_of_every_version_migrate_and_keep_their_hashes() {
    let fixtures = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let folder = folder("old-books");
    let fresh = folder.join("fresh.casewright");
    drop(Book::create(&fresh, &opening()).unwrap());
    let newest = schema(&fresh);
    let mut versions = Vec::new();
    for version in 1.. {
        let fixture = fixtures.join(format!("book-version-{version}.casewright"));
        if !fixture.exists() {
            break;
        }
        let path = folder.join(format!("{version}.casewright"));
        std::fs::copy(&fixture, &path).expect("the fixture is there");
        assert_eq!(schema(&path).0, version);
        let old = Book::open_to_look(&path).unwrap();
        let before = old.entries(Wanted::All, 0, usize::MAX).unwrap();
        drop(old);
        let mut book = Book::open(&path).unwrap();
        assert_eq!(book.entries(Wanted::All, 0, usize::MAX).unwrap(), before);
        let head = book.head().unwrap();
        let report = book.check(Some(head)).unwrap();
        assert!(report.troubles.is_empty(), "{:?}", report.troubles);
        // Today's program writes the same entries to the same bytes.
        let mut memory = Memory::default();
        memory.append(&opening()).unwrap();
        fill(&mut memory);
        if version > 1 {
            crate::runs::fill_more(&mut memory);
        }
        assert_eq!(memory.head().unwrap(), head);
        assert_eq!(everything(&memory).unwrap(), everything(&book).unwrap());
        book.append(&reading(90_000, "20")).unwrap();
        drop(book);
        assert_eq!(schema(&path), newest, "version {version}");
        versions.push(version);
    }
    assert_eq!(
        versions,
        (1..=newest.0).collect::<Vec<_>>(),
        "a fixture is missing"
    );
}

/// Number and text of the schema, as another program sees them.
fn schema(path: &std::path::Path) -> (i64, Vec<(String, Option<String>)>) {
    let tool = rusqlite::Connection::open(path).unwrap();
    let version = tool
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .unwrap();
    let mut asked = tool
        .prepare("SELECT name, sql FROM sqlite_schema ORDER BY name")
        .unwrap();
    let rows = asked
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap();
    (version, rows.collect::<Result<_, _>>().unwrap())
}

#[test]
fn the_hand_over_can_be_checked_without_the_program() {
    let mut memory = all("hand-over");
    fill(&mut memory);
    let all = everything(&memory).unwrap();
    let text = |name: &str| {
        let (_, bytes) = all.iter().find(|(known, _)| known == name).expect(name);
        String::from_utf8(bytes.clone()).unwrap()
    };
    let mut before = "0".repeat(64);
    let chain = text("chain.csv");
    let mut rows = chain.lines().skip(1);
    for line in text("entries.jsonl").lines() {
        before = Hash::of(format!("{before}\n{line}").as_bytes()).to_string();
        assert_eq!(
            rows.next().unwrap().rsplit(',').next(),
            Some(before.as_str())
        );
        serde_json::from_str::<serde_json::Value>(line).unwrap();
    }
    assert_eq!(rows.next(), None);
    let readings = text("readings.csv");
    assert_eq!(readings.lines().count(), 1 + 3, "{readings}");
    for (name, bytes) in &all {
        if let Some(hash) = name.strip_prefix("files/") {
            assert_eq!(Hash::of(bytes).to_string(), hash);
        }
    }
}

/// Twenty with a server, where every case makes a database and flushes every entry.
fn cases() -> u32 {
    if cfg!(feature = "postgres") { 20 } else { 100 }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    /// Any words and any digits go into the book and come out the same, to the byte.
    #[test]
    fn what_is_written_reads_back(
        what in "\\PC{1,60}",
        digits in "-?[0-9]{1,9}(\\.[0-9]{1,6})?",
        unit in 0..Unit::ALL.len(),
        seconds in -1_000_000_000_i64..1_000_000_000,
        name in "[a-zA-Z\"\\\\{}é水 ]{0,20}x",
    ) {
        prop_assume!(!what.trim().is_empty() && name.trim() == name);
        let mut memory = all("reads-back");
        fill(&mut memory);
        let event = Event::ReadingTaken {
            run: "P-1".into(),
            step: None,
            what,
            measured: Measured::new(&digits, Unit::ALL[unit]).unwrap(),
        };
        let mut sent = add(seconds, event);
        sent.by = person(&name, Role::Student);
        let Ok(receipt) = memory.append(&sent) else {
            // Only direction marks may keep words out.
            let refusal = memory.append(&sent).unwrap_err().to_string();
            prop_assert!(refusal.contains("control marks"), "{refusal}");
            return Ok(());
        };
        let entry = memory.entry(receipt.number).unwrap().unwrap();
        prop_assert_eq!(&entry.content.event, &sent.event);
        prop_assert_eq!(&entry.content.by, &sent.by);
        prop_assert_eq!(&entry.content.at, &sent.at);
        let read: Content = serde_json::from_str(&entry.body).unwrap();
        prop_assert_eq!(serde_json::to_string(&read).unwrap(), entry.body);
    }
}
