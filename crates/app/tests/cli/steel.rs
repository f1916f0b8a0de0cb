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

#[test]
fn what_cannot_be_computed_is_refused_with_what_can() {
    for (line, code, accepted) in [
        (
            &["8620", "--carbon", "3.0"][..],
            "carbon-outside-assessment",
            "0 to 2.1",
        ),
        (
            &["8620", "--at", "0K"],
            "temperature-outside-assessment",
            "1227",
        ),
        (
            &["8620", "--at", "1700K"],
            "temperature-outside-assessment",
            "127",
        ),
        (
            &["8620", "--at", "5000K"],
            "temperature-out-of-bounds",
            "Check the unit",
        ),
        (
            &["--composition", "C=0.2 Mn=-1"],
            "composition-not-read",
            "C=0.18",
        ),
        (
            &["--composition", "C=0.2 Cr=60 Ni=45"],
            "composition-impossible",
            "balance",
        ),
    ] {
        let ran = run(&[&["steel"], line].concat()).ended(2);
        for words in [code, accepted] {
            assert!(ran.err.contains(words), "{line:?}: {}", ran.err);
        }
    }
}

#[test]
fn a_steel_far_from_the_fits_has_no_number_from_them() {
    let json = run(&["steel", "304", "--json"]).ended(0).json();
    assert!(json["ms_c"].is_null() && json["retained_austenite_pct"].is_null());
    assert_eq!(json["jominy"]["distance_mm"].as_array().unwrap().len(), 0);
    assert!(json["jominy_a255"].is_null() && json["curves"].is_null());
    for check in json["cross_checks"].as_array().unwrap() {
        assert!(check["value_c"].is_null(), "{check}");
    }
    assert!(json["remarks"].to_string().contains("value-withheld"));
    // The richest steels of the trade keep theirs.
    for grade in ["9310", "8620", "52100"] {
        let json = run(&["steel", grade, "--json"]).ended(0).json();
        number(&json["ms_c"]);
        assert!(!json["jominy"]["distance_mm"].as_array().unwrap().is_empty());
    }
}

#[test]
fn the_end_quench_is_given_for_core_and_case() {
    let json = run(&["steel", "8620", "--carbon", "0.80", "--json"])
        .ended(0)
        .json();
    let hv = |field: &str| -> Vec<f64> { numbers(&json[field]["hardness_hv"]) };
    let (core, case) = (hv("jominy"), hv("jominy_case"));
    assert_eq!(core.len(), 24);
    assert!(core.iter().zip(&case).all(|(a, b)| b > a));
    // Below 20 HRC there is no reading, and the B scale stands in for it.
    let last = |scale: &str| json["jominy"][scale].as_array().unwrap()[23].clone();
    assert!(last("hardness_hrc").is_null() && last("hardness_hrb").is_number());
    assert!(json["jominy_a255"]["hardness_hrc"][0].is_number());
    assert!(json["jominy"]["distance_mm"][0].is_number());
    let own = run(&["steel", "8620", "--carbon", "0.205", "--json"])
        .ended(0)
        .json();
    assert!(own["jominy_case"].is_null());
}

#[test]
fn curves_are_given_and_drawn() {
    let path = folder("steel-curves").join("curves.svg");
    let file = path.to_str().unwrap();
    let json = run(&[
        "steel", "8620", "--carbon", "0.9", "--curves", file, "--json",
    ])
    .ended(0)
    .json();
    let curves = &json["curves"];
    has(
        &json,
        &[
            "curves.lines.martensite_start_c",
            "curves.isothermal.start_1pct_s",
            "curves.cooling",
            "curves.critical_rate_700c_k_s",
        ],
    );
    // The carbon is beyond the rates' fit, and the curves say so themselves.
    assert!(
        curves["remarks"]
            .as_array()
            .unwrap()
            .iter()
            .any(|remark| remark["code"] == "kinetics-above-fit")
    );
    let drawn = std::fs::read_to_string(&path).unwrap();
    assert!(drawn.starts_with("<svg") && drawn.contains("bainite"));
    run(&["steel", "8620", "--curves", "/nowhere/at/all.svg"]).ended(3);
}

#[test]
fn the_cold_is_shown_before_and_after() {
    let line = [
        "steel", "8620", "--carbon", "1.0", "--cold", "-75C", "--json",
    ];
    let json = run(&line).ended(0).json();
    let at = |when: &str, what: &str| number(&json["cold"][when][what]);
    let kept = |when| at(when, "retained_austenite_pct");
    let hard = |when| at(when, "hardness_hv");
    // The card's own number is the same state: all dissolved, quenched to 25 °C.
    assert!((kept("before") - number(&json["retained_austenite_pct"])).abs() < 1e-6);
    assert!(kept("after") < kept("before") && hard("after") > hard("before"));
    assert!(
        json["sources"]
            .as_array()
            .unwrap()
            .contains(&"austenite-stabilisation-assumed".into())
    );
    let late = run(&[&line[..], &["--wait", "24h"]].concat())
        .ended(0)
        .json();
    assert!(number(&late["cold"]["after"]["retained_austenite_pct"]) > kept("after"));
    let told = run(&line[..6]).ended(0).out;
    for words in ["Cold treatment", "as quenched", "after the cold", "crack"] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert!(run(&["steel", "8620", "--json"]).ended(0).json()["cold"].is_null());
}

#[test]
fn what_is_no_cold_is_refused_with_what_would_be() {
    for (cold, wait, code) in [
        ("60C", "1h", "cold-outside"),
        ("-300C", "1h", "temperature"),
        ("-75", "1h", "temperature"),
        ("-75C", "soon", ""),
    ] {
        let ran = run(&["steel", "8620", "--cold", cold, "--wait", wait]).ended(2);
        assert!(ran.err.contains(code), "{cold} {wait}: {}", ran.err);
    }
}
