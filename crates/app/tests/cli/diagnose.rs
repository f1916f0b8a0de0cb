//! `diagnose`.

use super::*;

const JOB: &str = "examples/failed-lot/job.toml";
const EVIDENCE: &str = "examples/failed-lot/evidence.toml";

#[test]
fn the_failed_lot_is_told_with_its_numbers() {
    let json = run(&["diagnose", JOB, EVIDENCE, "--json"]).ended(0).json();
    assert_eq!(json["outcome"], "told");
    assert_eq!(json["causes"][0]["cause"], "bare-reheat");
    has(
        &json,
        &[
            "job", "run", "tests", "patterns", "not_used", "findings", "sources",
        ],
    );
    list(
        &json,
        "causes",
        &[
            "cause",
            "words",
            "chance",
            "chance_words",
            "amount.value.mid",
            "speaks_for",
            "speaks_against",
            "can_be_saved",
            "lot",
            "next_time",
        ],
    );
    list(
        &json,
        "readings",
        &["name", "place", "scale", "read", "sound", "first_cause"],
    );
    list(&json, "not_looked_at", &["cause", "because"]);
    let told = run(&["diagnose", JOB, EVIDENCE]).ended(0).out;
    for words in ["bare reheat", "per side", "Next time:", "sound work"] {
        assert!(told.contains(words), "{words} is not in\n{told}");
    }
}

#[test]
fn without_evidence_the_first_test_is_told() {
    let json = run(&["diagnose", JOB, "--json"]).ended(1).json();
    assert_eq!(json["outcome"], "nothing-measured");
    list(
        &json,
        "tests",
        &[
            "test",
            "words",
            "minutes",
            "gain_bits",
            "gain_share",
            "reads",
        ],
    );
    list(
        &json["tests"][0],
        "expected",
        &["cause", "value", "standard_deviation", "chance"],
    );
}

#[test]
fn an_unknown_word_is_asked_back() {
    let wrong = run(&["diagnose", JOB, EVIDENCE, "--seen", "gremlins"]).ended(2);
    assert!(wrong.err.contains("reheat-bare"), "{}", wrong.err);
    run(&["diagnose", JOB, "nothing.toml"]).ended(2);
}
