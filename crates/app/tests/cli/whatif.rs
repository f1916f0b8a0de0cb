//! `whatif` and `share`.

use super::*;

const PAWL: &str = "examples/winch-pawl/job.toml";
const LATCH: &str = "examples/latch-plate/job.toml";

#[test]
fn a_mishap_is_told_with_its_remedy() {
    let json = run(&[
        "whatif",
        PAWL,
        "--set-low",
        "25F",
        "--damp-compound",
        "--no-temper",
        "--json",
    ])
    .ended(0)
    .json();
    let upsets = json["upsets"].as_array().unwrap();
    let kinds: Vec<&str> = upsets.iter().map(|u| u["kind"].as_str().unwrap()).collect();
    assert_eq!(kinds, ["set wrong", "damp compound", "no temper"]);
    // 25 °F are 13.9 K by definition.
    assert!((number(&upsets[0]["size"]) + 25.0 / 1.8).abs() < 1e-6);
    let remedy = &upsets[0]["remedies"][0];
    assert_eq!(remedy["act"], "soak longer");
    assert!(number(&remedy["hours"]) > 0.0);
    let mm = |values: &serde_json::Value| number(&values["after_grind_mm"]);
    assert!(mm(&upsets[0]["gives"]) < mm(&json["planned"]));
    assert!(mm(&remedy["gives"]) > mm(&upsets[0]["gives"]));
    assert_eq!(upsets[1]["stop"]["code"], "refused-damp");
    assert!(upsets[0]["stop"].is_null());
}

#[test]
fn a_plan_that_cannot_be_made_has_no_mishaps() {
    let json = run(&["whatif", LATCH, "--json"]).ended(1).json();
    assert!(json["planned"].is_null());
    assert!(!json["findings"].as_array().unwrap().is_empty());
}

#[test]
fn what_is_typed_wrong_is_told_at_once_and_all_of_it() {
    let ran = run(&["whatif", PAWL, "--bath", "40", "--late-pull", "0 h"]).ended(2);
    for code in ["temperature-without-unit", "upset-not-above-zero"] {
        assert!(ran.err.contains(code), "{code}: {}", ran.err);
    }
    run(&["whatif", PAWL, "--at", "2h"]).ended(2);
}

#[test]
fn one_job_is_asked_for_its_coupons() {
    let json = run(&["share", PAWL, "--json"]).ended(0).json();
    assert!(json["groups"].as_array().unwrap().is_empty());
    let load = &json["loads"][0]["load"];
    assert_eq!(load["parts"], 4);
    assert_eq!(load["coupons_stand_for_all"], true);
    assert!(number(&load["least_depth_mm"]) <= number(&load["greatest_depth_mm"]));
}

#[test]
fn more_jobs_than_a_box_keeps_apart_are_refused() {
    let ran = run(&["share", PAWL, PAWL, PAWL, PAWL, PAWL, PAWL, PAWL]).ended(2);
    assert!(ran.err.contains("share-too-many"), "{}", ran.err);
}
