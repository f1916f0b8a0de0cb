//! A run from plan to judgement, and everything that can be read from a book.

use casewright_records::{
    Addition, Entered, Event, Look, Meaning, Measured, Role, Store, Unit, Verdict,
};

use crate::support::*;

/// Fills a book, open already, with a run from plan to judgement: every kind of entry.
pub(crate) fn fill(book: &mut impl Store) {
    let run = || "P-1".to_owned();
    let mut put = |addition: Addition| book.append(&addition).expect("the entry is added");
    put(with_file(
        add(
            60,
            Event::JobRegistered {
                job: "winch-pawl".into(),
                title: "Ratchet pawls for a hand winch".into(),
            },
        ),
        "job.toml",
        b"note = \"case harden 0.8 +0.4/0 CHD 550 HV\"\n",
    ));
    let plan = put(add(
        120,
        Event::PlanFixed {
            job: "winch-pawl".into(),
            code: "reed-oar-7".into(),
            plan_json: "{\"verdict\":\"can-be-met\"}".into(),
            made: None,
        },
    ));
    put(add(
        3600,
        Event::RunStarted {
            run: run(),
            job: "winch-pawl".into(),
            plan_entry: plan.number,
            practice: None,
        },
    ));
    let hold = put(add(
        3700,
        Event::StepDone {
            run: run(),
            step: 1,
            what: "packed and luted, 12 mm round the parts".into(),
            hold_point: true,
        },
    ));
    for (name, role, meaning) in [
        ("M. Tern", Role::Operator, Meaning::Did),
        ("A. Plover", Role::Instructor, Meaning::Witnessed),
    ] {
        let mut signed = add(
            3800,
            Event::Signature {
                of: hold.number,
                of_hash: hold.hash,
                meaning,
            },
        );
        signed.by = person(name, role);
        put(signed);
    }
    let wrong = put(reading(9000, "972"));
    put(add(
        9100,
        Event::Correction {
            corrects: wrong.number,
            reason: "digits swapped when writing".into(),
            instead: Some(Box::new(reading(9000, "927").event)),
        },
    ));
    put(with_file(
        add(
            40_000,
            Event::LogAttached {
                run: run(),
                source: "furnace F1, controller card".into(),
                reading_json: Some("{\"rows\":480}".into()),
                judged_json: None,
            },
        ),
        "f1.csv",
        &noise(7, 9000),
    ));
    let mut late = add(
        41_000,
        Event::Deviation {
            run: run(),
            what: "door opened for two minutes".into(),
            done_about_it: "ten minutes added to the soak".into(),
            step: None,
            seen: None,
        },
    );
    late.entered = Entered::Afterwards {
        happened: at(20_000),
    };
    put(late);
    put(with_file(
        add(
            42_000,
            Event::FileAttached {
                run: run(),
                what: "coupon, etched ring".into(),
            },
        ),
        "ring.jpg",
        &noise(8, 5000),
    ));
    put(add(
        43_000,
        Event::CouponReading {
            run: run(),
            coupon: "K1".into(),
            what: "traverse".into(),
            depth: Some(Measured::new("0.80", Unit::Millimetre).expect("digits")),
            measured: Measured::new("561", Unit::Hv).expect("digits"),
            doubt: None,
        },
    ));
    put(add(
        44_000,
        Event::Judgement {
            run: run(),
            verdict: Verdict::NotShown,
            because: "one reading at the limit depth is no traverse".into(),
            judged_json: None,
        },
    ));
}

/// Everything that can be read from a book, as text and bytes.
pub(crate) fn everything(book: &impl Look) -> Result<Vec<(String, Vec<u8>)>, String> {
    let mut all = Vec::new();
    casewright_records::hand_over::hand_over(book, |name, bytes| {
        all.push((name.to_owned(), bytes.to_vec()));
        Ok::<(), std::convert::Infallible>(())
    })
    .map_err(|fault| format!("{fault:?}"))?;
    Ok(all)
}
