//! `judge`.

use super::*;

fn judge(name: &str, more: &[&str]) -> Ran {
    let job = format!("examples/{name}/job.toml");
    let evidence = format!("examples/{name}/evidence.toml");
    let mut arguments = vec!["judge", job.as_str(), evidence.as_str()];
    arguments.extend(more);
    run(&arguments)
}

#[test]
fn the_contract_holds_and_the_lot_is_set_beside_its_plan() {
    let json = judge("winch-pawl", &["--json"]).ended(0).json();
    has(
        &json,
        &[
            "verdict",
            "rule",
            "case_depth_mm.low",
            "case_depth_mm.mid",
            "case_depth_mm.high",
            "case_depth_after_grind_mm.mid",
            "limit_hardness_hv",
            "missing",
            "findings",
            "sources",
        ],
    );
    list(
        &json,
        "clauses",
        &["kind", "of", "asked", "fared", "found", "by", "close"],
    );
    list(
        &json,
        "evidence",
        &[
            "name",
            "specimen",
            "quantity",
            "standing",
            "used",
            "not_used_because",
            "depth_mm",
            "reading",
        ],
    );
    list(
        &json,
        "compared",
        &[
            "what",
            "unit",
            "predicted.low",
            "measured.mid",
            "inside",
            "half_widths_off",
        ],
    );
    assert_eq!(json["verdict"], "meets");
    let (low, mid, high) = (
        number(&json["case_depth_mm"]["low"]),
        number(&json["case_depth_mm"]["mid"]),
        number(&json["case_depth_mm"]["high"]),
    );
    assert!(
        low < mid && mid < high && (0.9..1.3).contains(&mid),
        "{low} {mid} {high}"
    );
}

#[test]
fn what_is_missing_and_what_fails_end_with_one() {
    let json = judge("vang-pin", &["--no-prediction", "--json"])
        .ended(1)
        .json();
    assert_eq!(json["verdict"], "not-shown");
    list(&json, "missing", &["kind", "of", "what", "test"]);
    assert_eq!(json["missing"][0]["of"], "threaded end");
    assert_eq!(json["compared"], serde_json::json!([]));
    let told = judge("failed-lot", &["--no-prediction"]).ended(1);
    assert!(told.out.contains("DOES NOT MEET"), "{}", told.out);
    assert!(told.err.contains("skin-soft") && told.err.contains("scales-rise"));
    // No depth was found, only a bound.
    let json = judge("latch-plate", &["--no-prediction", "--json"])
        .ended(1)
        .json();
    assert_eq!(json["verdict"], "does-not-meet");
    assert!(json["case_depth_mm"].is_null());
    assert!(number(&json["evidence"][0]["depth_at_least_mm"]) > 1.4);
}

#[test]
fn wrong_evidence_is_wrong_input() {
    let folder = folder("judge-wrong");
    let pawl = std::fs::read_to_string(root().join("examples/winch-pawl/evidence.toml")).unwrap();
    let job = "examples/winch-pawl/job.toml";
    let of = |name: &str, text: &str| {
        let path = file(&folder, name, text);
        run(&["judge", job, &path, "--no-prediction", "--json"]).ended(2)
    };
    let hard = of(
        "hard.toml",
        &pawl.replace("60.5, 60.0, 61.0", "80.5, 60.0, 61.0"),
    );
    assert!(
        hard.err.contains("reading-impossible") && hard.err.contains("80.5"),
        "{}",
        hard.err
    );
    let other = of("other.toml", &pawl.replace("GS-0141", "GS-0007"));
    assert!(other.err.contains("evidence-other-job"), "{}", other.err);
    assert!(of("noise.toml", "\u{1}\u{2} [[").json()["error"].is_object());
    run(&["judge", job, "nothing.toml"]).ended(2);
}
