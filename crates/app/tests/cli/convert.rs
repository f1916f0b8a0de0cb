//! `convert`.

use super::*;

#[test]
fn the_contract_holds_and_every_spelling_is_one() {
    let first = run(&["convert", "58HRC", "--json"]).ended(0).json();
    has(
        &first,
        &["from.scale", "from.value", "valid", "table", "notes"],
    );
    for scale in [
        "HV", "HRC", "HRA", "HR15N", "HR30N", "HR45N", "HRB", "HBW", "HK",
    ] {
        has(&first["to"], &[scale]);
    }
    assert_eq!(first["valid"], true);
    // ASTM E140 table 1 prints 58 HRC beside 653 HV; half a printed unit is the table's own doubt.
    assert!((number(&first["to"]["HV"]) - 653.0).abs() <= 0.5, "{first}");
    assert!(
        first["to"]["HRB"].is_null(),
        "58 HRC has no place on the B scale"
    );
    for typed in [
        &["58 HRC"][..],
        &["HRC58"],
        &["HRC 58"],
        &["hrc", "58"],
        &["58", "HRC"],
    ] {
        let line = [&["convert"], typed, &["--json"]].concat();
        assert_eq!(run(&line).ended(0).json(), first, "{typed:?}");
    }
}

#[test]
fn a_force_is_kept_and_changes_nothing() {
    let plain = run(&["convert", "550HV", "--json"]).ended(0).json();
    let forced = run(&["convert", "550 HV1", "--json"]).ended(0).json();
    assert_eq!(plain["to"], forced["to"]);
    assert_eq!(forced["force_kgf"], 1.0);
}

#[test]
fn a_reading_outside_its_scale_is_answered_as_none() {
    for typed in ["10HRC", "99HRC", "130HRB"] {
        let json = run(&["convert", typed, "--json"]).ended(0).json();
        assert_eq!(json["valid"], false, "{json}");
        assert!(!json["notes"].as_array().unwrap().is_empty(), "{json}");
    }
}

#[test]
fn what_is_no_hardness_is_wrong_input() {
    for typed in ["58", "HRC", "-5HRC", "nanHRC", "58 HRQ", "\u{1b}[2J", ""] {
        let ran = run(&["convert", typed]).ended(2);
        assert!(!ran.err.contains('\u{1b}'), "{:?}", ran.err);
    }
}

#[test]
fn a_reading_below_its_scale_says_where_the_scale_begins() {
    for typed in ["0HRC", "-5HRC", "-5 HRC", "HRC 0"] {
        let ran = run(&["convert", typed]).ended(2);
        for words in ["hardness-no-reading", "from 20 to 68", "HRB"] {
            assert!(ran.err.contains(words), "{typed}: {}", ran.err);
        }
    }
    run(&["convert", "-5HRC", "--json"]).ended(2).json();
    let below = run(&["convert", "10HRC"]).ended(0);
    assert!(below.out.contains("below 20 HRC"), "{}", below.out);
    // Another unknown word is still an unknown option.
    assert!(run(&["convert", "--fast"]).ended(2).err.contains("--fast"));
}

#[test]
fn a_force_names_the_scale_and_its_indent() {
    // By hand: d = √(1.8544 F/HV), a layer of one and a half of it.
    for (typed, name, diagonal_mm) in [
        ("700 HV0.5", "HV0.5", 0.0364),
        ("700HV10", "HV10", 0.1628),
        ("700 HV100", "HV100", 0.5147),
    ] {
        let json = run(&["convert", typed, "--json"]).ended(0).json();
        assert_eq!(json["designation"], name);
        let diagonal = number(&json["indent_diagonal_mm"]);
        assert!((diagonal - diagonal_mm).abs() < 1e-4, "{typed}: {diagonal}");
        assert!((number(&json["least_case_mm"]) - 1.5 * diagonal).abs() < 1e-9);
        assert!(run(&["convert", typed]).ended(0).out.contains(name));
    }
    assert!(run(&["convert", "58HRC", "--json"]).ended(0).json()["designation"].is_null());
    assert!(
        run(&["convert", "700HV7"])
            .ended(0)
            .out
            .contains("no force")
    );
}
