use super::*;

/// Takes one item away. Exhaustive, so that a new item cannot go untested.
fn without(item: Item) -> Facts {
    let mut f = sample();
    let judged = |f: &mut Facts, change: fn(&mut Judged)| {
        change(f.judged.as_mut().expect("the sample is judged"));
    };
    match item {
        Item::RealRun => f.practice = true,
        Item::WholeBook => f.whole = false,
        Item::Issuer => f.issuer.clear(),
        Item::Address => f.address = None,
        Item::Customer => f.customer = Some("  ".to_owned()),
        Item::Order => f.order = None,
        Item::Drawing => f.drawing = None,
        Item::Part => f.part.clear(),
        Item::Quantity => f.quantity = 0,
        Item::Material => f.steel.clear(),
        Item::Heat => f.heat = None,
        Item::MillCertificate => f.mill_certificate = None,
        Item::Note => f.note.clear(),
        Item::Plan => f.plan.clear(),
        Item::Steps => f.steps[3].done = None,
        Item::Finished => f.finished = None,
        Item::HoldPoints => f.steps[0].witness = Some("m tern".to_owned()),
        Item::HeatTimes => f.steps[1].begun = None,
        Item::Equipment => f.steps[4].equipment = None,
        Item::Calibration => f.equipment[1].calibrated = None,
        Item::FurnaceLog => f.logs.clear(),
        Item::SoakAccount => {
            f.logs[0].proven = false;
            f.deviations.clear();
        }
        Item::HeatReadings => f.steps[4].temperature_read = false,
        Item::QuenchReading => f.steps[3].temperature_read = false,
        Item::Dispositions => f.deviations[0].approved = Some("M. Tern".to_owned()),
        Item::Coupons => f.coupons[0].became = None,
        Item::Visual => f.visual = None,
        Item::Judgement => f.judged = None,
        Item::Evidence => judged(&mut f, |j| j.evidence = None),
        Item::SameVerdict => judged(&mut f, |j| j.anew = Some("not-shown".to_owned())),
        Item::Tests => f.tests.clear(),
        Item::Readers => f.tests[2].by = None,
        Item::Testers => f.tests[0].tester = None,
        Item::Checks => f.testers[1].checks.clear(),
        Item::Clauses => judged(&mut f, |j| j.clauses[1].state = State::Open),
        Item::EarlierMiss => f.superseded.push(Superseded {
            entry: 18,
            told: "does-not-meet".to_owned(),
            missed: true,
        }),
        Item::Release => f.signatures[0].name = "E. Sandpiper".to_owned(),
    }
    f
}

/// Words that only a granted certificate may say.
fn says_conformity(text: &str) -> bool {
    text.to_lowercase().contains("conform")
}

#[test]
fn a_complete_run_is_certified() {
    let facts = sample();
    assert_eq!(gaps(&facts), Vec::new());
    let paper = Paper::certificate(&facts).expect("nothing is missing");
    let text = text(&paper);
    assert!(says_conformity(&text), "{text}");
    for needed in [
        "WP-12 revision C",
        "4471-B",
        "RL-77",
        "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind",
        "1 of 4 parts",
        "traverse 1 on K1",
        "K. Heron",
        "the soak is proven",
        "not covered by a specification",
        &"a59c".repeat(16),
    ] {
        assert!(text.contains(needed), "{needed} is missing in\n{text}");
    }
}

#[test]
fn without_any_one_item_the_words_are_refused_and_the_item_is_named() {
    for item in Item::ALL {
        let facts = without(item);
        let named: Vec<Item> = gaps(&facts).iter().map(|gap| gap.item).collect();
        assert_eq!(named, [item], "taking {} away", item.word());
        let refused = Paper::certificate(&facts).expect_err(item.word());
        assert!(!refused[0].what.is_empty() && !refused[0].supply.is_empty());
        // The record can be printed all the same, names the gap, and holds no word of conformity.
        let record = text(&Paper::record(&facts));
        assert!(!says_conformity(&record), "{}:\n{record}", item.word());
        let flat = |s: &str| s.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            flat(&record).contains(&flat(&refused[0].what)),
            "{} is not marked as missing",
            item.word()
        );
    }
}

#[test]
fn every_item_stands_in_the_list_once() {
    for (place, item) in Item::ALL.iter().enumerate() {
        assert_eq!(*item as usize, place, "{}", item.word());
    }
}

/// Who did a step, who judged, and who signed before the last entry cannot release the lot.
#[test]
fn only_another_person_releases_and_only_what_was_seen() {
    type Change = fn(&mut Facts);
    let changes: [(&str, Change); 6] = [
        ("the doer", |f| f.signatures[0].name = "M. Tern".to_owned()),
        ("the doer, spelt otherwise", |f| {
            f.signatures[0].name = "m.tern".to_owned();
        }),
        ("a witness's signature", |f| {
            f.signatures[0].meaning = "witnessed".to_owned();
        }),
        ("another entry", |f| f.signatures[0].of = 19),
        ("before the last entry", |f| f.last_entry = 22),
        ("before a correction", |f| {
            f.signatures[0].before_correction = true;
        }),
    ];
    for (what, change) in changes {
        let mut facts = sample();
        change(&mut facts);
        let named: Vec<Item> = gaps(&facts).iter().map(|gap| gap.item).collect();
        assert_eq!(named, [Item::Release], "{what}");
    }
}

#[test]
fn an_unproven_soak_with_an_approved_account_is_certified_and_says_so() {
    let mut facts = sample();
    facts.logs[0].proven = false;
    let paper = Paper::certificate(&facts).expect("the deviation accounts for it");
    assert!(text(&paper).contains("the soak is NOT PROVEN"));
}

#[test]
fn a_judgement_that_was_superseded_and_corrections_stay_visible() {
    let mut facts = sample();
    facts.superseded.push(Superseded {
        entry: 12,
        told: "judged does-not-meet: soft skin".to_owned(),
        missed: true,
    });
    facts
        .corrections
        .push("entry 7 said 928 °C; corrected in entry 8 (typed wrong): 918 °C".to_owned());
    let paper = Paper::certificate(&facts).expect("deviation 13 answers entry 12");
    let text = text(&paper);
    for needed in ["soft skin", "said 928 °C", "revision 1"] {
        assert!(text.contains(needed), "{needed}:\n{text}");
    }
}

#[test]
fn what_people_wrote_stays_on_its_line() {
    let mut facts = sample();
    facts.customer = Some("evil\u{202e}\nCONFORMS\u{7}".to_owned());
    let text = text(&Paper::record(&facts));
    assert!(!text.contains('\u{202e}') && !text.contains('\u{7}'));
    assert!(!text.lines().any(|line| line.trim() == "CONFORMS"));
}
