//! `steel`.

use super::*;

const FIELDS: [&str; 14] = [
    "composition_wt_pct",
    "ae1_c",
    "ae1_10pct_c",
    "carbide_gone_c",
    "ae3_c",
    "acm_c",
    "ms_c",
    "carbon_activity",
    "phases",
    "retained_austenite_pct",
    "jominy.distance_mm",
    "jominy.hardness_hrc",
    "cross_checks",
    "composition_wt_pct.C",
];

#[test]
fn the_contract_holds_for_a_grade() {
    let json = run(&[
        "steel", "8620", "--carbon", "0.80", "--at", "1450F", "--json",
    ])
    .ended(0)
    .json();
    has(&json, &FIELDS);
    list(&json, "phases", &["name", "mole_fraction", "carbon_wt_pct"]);
    let sum: f64 = json["phases"]
        .as_array()
        .unwrap()
        .iter()
        .map(|phase| number(&phase["mole_fraction"]))
        .sum();
    // All atoms are in some phase; the tolerance is the solver's.
    assert!((sum - 1.0).abs() < 1e-6, "{sum}");
    assert!(number(&json["ae1_c"]) < number(&json["ae3_c"]));
    let jominy = &json["jominy"];
    assert_eq!(
        jominy["distance_mm"].as_array().unwrap().len(),
        jominy["hardness_hrc"].as_array().unwrap().len()
    );
}

#[test]
fn a_chemistry_is_as_good_as_a_grade() {
    let json = run(&["steel", "--composition", "C=0.18 Mn=0.75", "--json"])
        .ended(0)
        .json();
    has(&json, &FIELDS);
    assert_eq!(json["composition_wt_pct"]["Mn"], 0.75);
    assert!(json["grade"].is_null());
}

#[test]
fn a_name_may_be_written_in_parts() {
    let whole = run(&["steel", "SAE 8620", "--json"]).ended(0).json();
    let parts = run(&["steel", "SAE", "8620", "--json"]).ended(0).json();
    assert_eq!(whole, parts);
}

#[test]
fn what_is_wrong_is_told_all_at_once() {
    let ran = run(&["steel", "862O", "--carbon", "9", "--at", "1450"]).ended(2);
    for code in [
        "unknown-grade",
        "carbon-not-read",
        "temperature-without-unit",
    ] {
        assert!(ran.err.contains(code), "{code}: {}", ran.err);
    }
    let cold = run(&["steel", "8620", "--at", "-300C", "--carbon", "-1"]).ended(2);
    assert!(cold.err.contains("carbon-not-read"), "{}", cold.err);
    for list in ["", "C", "C=x", "Mn=1", "C=60", "C=0.2 C=0.3", "Qq=1 C=0.1"] {
        run(&["steel", "--composition", list]).ended(2);
    }
}
