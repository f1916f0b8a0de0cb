//! One mistake at a time: its code and exactly the words it is about.

use casewright_terms::{Severity, UnitSystem};

use crate::{JOBS, changed, check, only, said, whole};

#[test]
fn a_number_without_unit_is_never_guessed() {
    check(
        "thickness = \"14 mm\"",
        "thickness = 14",
        "unit-missing",
        "14",
    );
    check(
        "thickness = \"14 mm\"",
        "thickness = \"14\"",
        "unit-missing",
        "14",
    );
    let diag = only("thickness = \"14 mm\"", "thickness = 14");
    assert_eq!(diag.accepted, "Write \"14 mm\" or \"14 in\".");
}

#[test]
fn slips_of_unit_name_what_was_likely_meant() {
    check(
        "\"14 mm\"\nwidth",
        "\"14 kg\"\nwidth",
        "quantity-wrong-kind",
        "kg",
    );
    check(
        "\"14 mm\"\nwidth",
        "\"14 mmm\"\nwidth",
        "unit-unknown",
        "mmm",
    );
    check(
        "width = \"40 mm\"",
        "width = \"1,200 mm\"",
        "number-unclear",
        "1,200",
    );
    check(
        "width = \"40 mm\"",
        "width = \"-40 mm\"",
        "size-not-positive",
        "\"-40 mm\"",
    );
    check(
        "width = \"40 mm\"",
        "width = \"0 mm\"",
        "size-not-positive",
        "\"0 mm\"",
    );
    check(
        "width = \"40 mm\"",
        "width = \"40 m\"",
        "size-too-large",
        "\"40 m\"",
    );
    check(
        "width = \"40 mm\"",
        "width = \"40 µm\"",
        "size-too-small",
        "\"40 µm\"",
    );
    let diag = only("width = \"40 mm\"", "width = \"1575 in\"");
    assert!(
        diag.accepted.starts_with("Did you mean \"1.575 in\"?"),
        "{diag:?}"
    );
    let diag = only("width = \"40 mm\"", "width = \"40 m\"");
    assert!(
        diag.accepted.starts_with("Did you mean \"40 mm\"?"),
        "{diag:?}"
    );
    let diag = only("diameter = \"12 mm\"", "diameter = \".05 mm\"");
    assert!(diag.accepted.contains("\"0.05 in\""), "{diag:?}");
}

#[test]
fn words_without_quotes_are_named_as_such() {
    check("\"14 mm\"\nwidth", "14 mm\nwidth", "text-unquoted", "14 mm");
    check(
        "name = \"Winch pawls\"",
        "name = Winch pawls",
        "text-unquoted",
        "Winch pawls",
    );
    check(
        "\"14 mm\"\nwidth",
        "“14 mm”\nwidth",
        "text-unquoted",
        "“14 mm”",
    );
    let diag = only("\"14 mm\"\nwidth", "“14 mm”\nwidth");
    assert_eq!(diag.accepted, "Write \"14 mm\".");
    check(
        "per_side = \"0.12 mm\"",
        "per_side = .005",
        "text-unquoted",
        ".005",
    );
    let text = changed("per_side = \"0.12 mm\"", "per_side = .005 in");
    let codes: Vec<_> = said(&text).into_iter().map(|(_, code, _)| code).collect();
    assert!(
        codes.iter().all(|code| *code == "text-unquoted"),
        "{codes:?}"
    );
}

#[test]
fn keys_are_spelt_for_you() {
    check("thickness = ", "thikness = ", "key-unknown", "thikness");
    let text = changed("thickness = ", "thikness = ");
    let diags = whole(&text).unwrap_err();
    assert_eq!(diags[0].accepted, "Did you mean \"thickness\"?");
}

#[test]
fn a_key_of_another_section_is_sent_home() {
    let text = changed(
        "unattended = false",
        "unattended = false\nthickness = \"14 mm\"",
    );
    let diags = whole(&text).unwrap_err();
    assert_eq!(diags.len(), 1, "{diags:#?}");
    assert_eq!(diags[0].accepted, "It belongs under [part].");
}

#[test]
fn other_words_for_a_key_are_known() {
    let diags = whole(&changed("quantity = 4", "qty = 4")).unwrap_err();
    assert_eq!(diags[0].accepted, "Did you mean \"quantity\"?");
}

#[test]
fn a_key_that_stands_twice_shows_both_places() {
    let text = changed("quantity = 4", "quantity = 4\nquantity = 5");
    let diag = only("quantity = 4", "quantity = 4\nquantity = 5");
    assert_eq!(diag.code, "key-twice");
    let first = &diag.also[0].0;
    assert_eq!(&text[first.span.clone()], "quantity");
    assert!(first.span.start < diag.place.unwrap().span.start);
}

#[test]
fn what_is_missing_is_asked_for_with_its_reason() {
    for (line, section) in [
        ("name = \"Winch pawls\"\n", ""),
        ("quantity = 4\n", ""),
        ("shop = \"../gannet-slip/shop.toml\"\n", ""),
        ("shape = \"plate\"\n", "[part]"),
        ("width = \"40 mm\"\n", "[part]"),
        ("what = \"ratchet pawl\"\n", "[part]"),
        ("face = \"both flat faces\"\n", "[[stock]]"),
        ("per_side = \"0.12 mm\"\n", "[[stock]]"),
    ] {
        let text = JOBS[0].1;
        assert_eq!(text.matches(line).count(), 1, "{line}");
        let diags: Vec<_> = whole(&text.replace(line, ""))
            .unwrap_err()
            .into_iter()
            .filter(|diag| diag.code != "size-not-of-shape")
            .collect();
        assert_eq!(diags.len(), 1, "{line} {diags:#?}");
        assert_eq!(diags[0].code, "key-missing", "{line}");
        assert!(!diags[0].why.is_empty() && !diags[0].accepted.is_empty());
        let shorter = text.replace(line, "");
        let place = diags[0].place.clone().unwrap();
        assert_eq!(&shorter[place.span], section, "{line}");
    }
}

#[test]
fn all_mistakes_come_at_once_and_in_order() {
    let text = JOBS[0]
        .1
        .replace("quantity = 4", "quantity = 0")
        .replace("\"14 mm\"\nwidth", "14\nwidth")
        .replace("grade = \"C15E\"", "grade = \"C99\"")
        .replace("per_side = \"0.12 mm\"", "per_side = \"0.12\"");
    let codes: Vec<_> = said(&text).into_iter().map(|(_, code, _)| code).collect();
    assert_eq!(
        codes,
        [
            "count-out-of-range",
            "unit-missing",
            "grade-unknown",
            "unit-missing"
        ]
    );
}

#[test]
fn counts_are_whole_and_within_reason() {
    for (wrong, code) in [
        ("0", "count-out-of-range"),
        ("-4", "count-out-of-range"),
        ("100001", "count-out-of-range"),
        ("999999999999999999999999999999", "count-out-of-range"),
        ("4.5", "value-wrong-type"),
        ("true", "value-wrong-type"),
        ("\"4\"", "value-wrong-type"),
        ("[4]", "value-wrong-type"),
    ] {
        check("quantity = 4", &format!("quantity = {wrong}"), code, wrong);
    }
}

#[test]
fn grades_are_never_guessed() {
    check(
        "grade = \"C15E\"",
        "grade = \"8260\"",
        "grade-unknown",
        "\"8260\"",
    );
    let diag = only("grade = \"C15E\"", "grade = \"8260\"");
    assert!(
        diag.accepted.starts_with("Did you mean \"8620\"?"),
        "{diag:?}"
    );
    assert!(whole(&changed("grade = \"C15E\"", "grade = 8620")).is_ok());
}

#[test]
fn chemistry_slips_are_caught() {
    let with = |lines: &str| {
        let certificate = "C = 0.16\nMn = 0.58\nSi = 0.25\nCr = 0.14\nNi = 0.10\nMo = 0.02\n\
                           P = 0.012\nS = 0.020\n";
        (certificate, format!("{lines}\n"))
    };
    for (lines, code, words) in [
        ("C = 0.0018\nMn = 0.0045", "carbon-too-low", "0.0018"),
        ("C = 18", "carbon-too-high", "18"),
        ("C = 0.02", "carbon-low", "0.02"),
        ("C = 0.42", "carbon-through-hardening", "0.42"),
        ("C = 0.15\nMn = -1", "content-out-of-range", "-1"),
        ("C = 0.15\nMn = 60.0", "content-out-of-range", "60.0"),
        (
            "C = 0.15\nNi = 30\nCr = 30",
            "composition-impossible",
            "[steel.composition]",
        ),
        ("C = 0.15\nP = 0.4", "phosphorus-high", "0.4"),
        ("C = 0.15\nS = 0.3", "sulphur-high", "0.3"),
        ("C = 0.15\nPb = 0.25", "leaded", "0.25"),
        ("C = 0.15\nmn = 0.4", "element-unknown", "mn"),
        ("C = 0.15\nmanganese = 0.4", "element-unknown", "manganese"),
        ("C = 0.15\nFe = 99", "element-iron", "Fe"),
        (
            "C = \"0.13-0.18\"",
            "content-not-one-number",
            "\"0.13-0.18\"",
        ),
        (
            "C = 0.15\nMo = \"<0.01\"",
            "content-not-one-number",
            "\"<0.01\"",
        ),
        ("C = nan", "content-out-of-range", "nan"),
        ("C = true", "value-wrong-type", "true"),
    ] {
        let (from, to) = with(lines);
        check(from, &to, code, words);
    }
    let (from, to) = with("C = 0.0018\nMn = 0.0045");
    assert!(only(from, &to).accepted.ends_with("Did you mean 0.18?"));
    let (from, to) = with("C = 0.02");
    assert!(only(from, &to).accepted.ends_with("0.2?"));
    let (from, to) = with("C = 0.15\nmn = 0.4");
    assert_eq!(only(from, &to).accepted, "Write Mn.");
    let (from, to) = with("C = \"0,15 %\"\nMn = \"0.4\"");
    let spec = whole(&changed(from, &to)).unwrap();
    let casewright_job::spec::Steel::Chemistry {
        composition, grade, ..
    } = spec.steel
    else {
        panic!("a chemistry");
    };
    assert_eq!(composition.wt_pct(casewright_terms::Element::C), 0.15);
    assert_eq!(grade.as_deref(), Some("C15E"));
}

#[test]
fn stock_is_per_side_or_on_the_diameter_and_never_both() {
    let spec = whole(&changed(
        "per_side = \"0.12 mm\"",
        "on_diameter = \"0.24 mm\"",
    ))
    .unwrap();
    assert!((spec.stock[0].per_side.to_mm() - 0.12).abs() < 1e-12);
    let note: Vec<_> = spec
        .remarks
        .iter()
        .map(|diag| (diag.severity, diag.code))
        .collect();
    assert_eq!(note, [(Severity::Note, "stock-halved")]);
    check(
        "per_side = \"0.12 mm\"",
        "per_side = \"0.12 mm\"\non_diameter = \"0.24 mm\"",
        "stock-twice",
        "on_diameter",
    );
    check(
        "per_side = \"0.12 mm\"",
        "per_side = \"-0.12 mm\"",
        "value-out-of-range",
        "\"-0.12 mm\"",
    );
    check(
        "per_side = \"0.12 mm\"",
        "per_side = \"1.2 mm\"",
        "stock-large",
        "\"1.2 mm\"",
    );
    let codes: Vec<_> = said(&changed("per_side = \"0.12 mm\"", "per_side = \"7 mm\""))
        .into_iter()
        .map(|(_, code, _)| code)
        .collect();
    assert!(codes.contains(&"stock-whole-section"), "{codes:?}");
}

#[test]
fn shapes_must_be_possible() {
    check(
        "shape = \"plate\"",
        "shape = \"plte\"",
        "choice-unknown",
        "\"plte\"",
    );
    check(
        "\"14 mm\"\nwidth",
        "\"80 mm\"\nwidth",
        "plate-not-flat",
        "\"80 mm\"",
    );
    check(
        "diameter = \"12 mm\"",
        "diameter = \"40 mm\"",
        "feature-larger-than-part",
        "[[feature]]",
    );
    check(
        "\"12 mm\"\nlength = \"14 mm\"",
        "\"12 mm\"\nlength = \"90 mm\"",
        "feature-longer-than-part",
        "[[feature]]",
    );
    // A web is the least wall: one over the plate's own 14 mm says nothing.
    check(
        "diameter = \"12 mm\"",
        "diameter = \"12 mm\"\nweb = \"20 mm\"",
        "web-over-section",
        "[[feature]]",
    );
    let tube = "shape = \"tube\"\nouter = \"50 mm\"\ninner = \"60 mm\"";
    let text = JOBS[0].1.replace(
        "shape = \"plate\"\nthickness = \"14 mm\"\nwidth = \"40 mm\"",
        tube,
    );
    let all = said(&text);
    assert_eq!(all.len(), 1, "{all:?}");
    assert_eq!((all[0].1, all[0].2.as_str()), ("tube-no-wall", "\"60 mm\""));
    let text = JOBS[0]
        .1
        .replace("shape = \"plate\"", "shape = \"bar\"\ndiameter = \"20 mm\"");
    let codes: Vec<_> = said(&text)
        .into_iter()
        .map(|(_, code, words)| (code, words))
        .collect();
    assert_eq!(
        codes,
        [
            ("size-not-of-shape", "thickness".to_owned()),
            ("size-not-of-shape", "width".to_owned())
        ]
    );
}

#[test]
fn a_block_takes_its_sides_in_any_order() {
    let text = changed("shape = \"plate\"", "shape = \"block\"")
        .replace("\"14 mm\"\nwidth", "\"90 mm\"\nwidth");
    let spec = whole(&text).unwrap();
    let casewright_job::spec::PartShape::Block { a, b, c } = spec.part.shape else {
        panic!("a block");
    };
    assert_eq!([a, b, c].map(|s| s.to_mm().round()), [40.0, 60.0, 90.0]);
}

#[test]
fn a_thread_must_say_whether_it_stays_soft() {
    check(
        "kind = \"bore\"\nname = \"pivot bore\"\ndiameter = \"12 mm\"\nlength = \"14 mm\"\nstays_soft = false",
        "kind = \"thread\"\nname = \"tapped hole\"\ndiameter = \"12 mm\"",
        "thread-soft-or-not",
        "[[feature]]",
    );
}

#[test]
fn the_start_is_a_time_on_the_wall() {
    let start = "start = \"2026-12-01 07:30\"";
    for wrong in [
        "1.12.2026 07:30",
        "12/01/2026 7:30",
        "2026-12-01",
        "2026-02-30 07:30",
        "2026-12-01T07:30Z",
        "soon",
        "2026-12-01 25:00",
    ] {
        let quoted = format!("\"{wrong}\"");
        check(
            start,
            &format!("start = {quoted}"),
            "start-unreadable",
            &quoted,
        );
    }
    assert!(whole(&changed(start, "start = 2026-12-01T07:30:00")).is_ok());
    check(
        start,
        "start = 2026-12-01T07:30:00Z",
        "start-unreadable",
        "2026-12-01T07:30:00Z",
    );
    check(
        start,
        "start = \"2026-12-06 09:00\"",
        "start-unstaffed",
        "\"2026-12-06 09:00\"",
    );
    check(
        start,
        "start = \"2026-12-01 22:00\"",
        "start-unstaffed",
        "\"2026-12-01 22:00\"",
    );
    let spec = whole(JOBS[0].1).unwrap();
    assert_eq!(
        spec.start,
        Some(jiff::civil::date(2026, 12, 1).at(7, 30, 0, 0))
    );
}

#[test]
fn an_empty_note_stops() {
    let note = "note = \"case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind\"";
    check(note, "note = \"  \"", "note-empty", "\"  \"");
    check(note, "note = \"\"", "note-empty", "\"\"");
    check(note, "note = 5", "value-wrong-type", "5");
    check(
        note,
        "note = \"CHD\u{202E}8.0\"",
        "hidden-character",
        "\"CHD\u{202E}8.0\"",
    );
}

#[test]
fn wishes_are_checked_against_the_shop_and_the_trade() {
    let wish = |line: &str| {
        (
            "bow = \"0.02 mm\" ",
            format!("bow = \"0.02 mm\"\n[wish]\n{line} "),
        )
    };
    for (line, code, words) in [
        ("tank = \"W2\"", "mark-unknown", "\"W2\""),
        ("box = \"B9\"", "mark-unknown", "\"B9\""),
        ("furnace = \"G1\"", "mark-unknown", "\"G1\""),
        ("compound = \"none\"", "mark-unknown", "\"none\""),
        ("route = \"tripple\"", "choice-unknown", "\"tripple\""),
        ("temperature = \"900 °F\"", "wish-too-cold", "\"900 °F\""),
        ("temperature = \"1700 °C\"", "wish-too-hot", "\"1700 °C\""),
        (
            "temperature = \"800 °C\"",
            "wish-unusual-temperature",
            "\"800 °C\"",
        ),
        (
            "temperature = \"±900 °C\"",
            "quantity-plus-minus",
            "±900 °C",
        ),
        ("temper = \"700 °C\"", "value-out-of-range", "\"700 °C\""),
        ("temper = \"300 °C\"", "wish-unusual-temper", "\"300 °C\""),
        ("temperature = 900", "unit-missing", "900"),
    ] {
        let (from, to) = wish(line);
        check(from, &to, code, words);
    }
    let (from, to) = wish("temperature = \"900 °F\"");
    assert!(
        only(from, &to)
            .accepted
            .starts_with("Did you mean \"900 °C\"?")
    );
    let (from, to) = wish("tank = \"w1\"");
    assert_eq!(
        whole(&changed(from, &to)).unwrap().wishes.tank.as_deref(),
        Some("W1")
    );
}

#[test]
fn answers_need_a_name_beside_them() {
    let add = |lines: &str| ("[part]", format!("[[answer]]\n{lines}\n[part]"));
    let (from, to) = add("code = \"stage\"\nvalue = \"after-grind\"");
    check(from, &to, "key-missing", "[[answer]]");
}

#[test]
fn units_follow_the_sizes_and_say_so() {
    let metric = whole(JOBS[0].1).unwrap();
    assert_eq!(metric.units, UnitSystem::Metric);
    assert!(
        metric
            .defaults
            .iter()
            .any(|words| words.contains("metric units"))
    );
    let inch = whole(JOBS[1].1).unwrap();
    assert_eq!(inch.units, UnitSystem::Inch);
    let told = whole(&changed("quantity = 4", "quantity = 4\nunits = \"inch\"")).unwrap();
    assert_eq!(told.units, UnitSystem::Inch);
}

#[test]
fn every_default_is_listed() {
    let text = JOBS[0]
        .1
        .replace("unattended = false\n", "")
        .replace("bow = \"0.02 mm\"", "");
    let spec = whole(&text).unwrap();
    for words in ["unattended", "bow", "units", "route"] {
        assert!(
            spec.defaults.iter().any(|line| line.contains(words)),
            "{words}: {:?}",
            spec.defaults
        );
    }
}

#[test]
fn a_shop_that_could_not_be_read_stops() {
    let (draft, _) = casewright_job::parse("job.toml", JOBS[0].1);
    let (path, place) = draft.shop_reference().unwrap();
    assert_eq!(path, "../gannet-slip/shop.toml");
    assert_eq!(&JOBS[0].1[place.span], "\"../gannet-slip/shop.toml\"");
    let diags = casewright_job::resolve(draft, None, &crate::Grades).unwrap_err();
    assert_eq!(
        diags.iter().map(|d| d.code).collect::<Vec<_>>(),
        ["shop-not-read"]
    );
}
