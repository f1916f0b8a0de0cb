//! `verify`.

use super::*;

#[test]
fn every_row_has_its_fields_and_is_within_its_tolerance() {
    let ran = run(&["verify", "--json"]);
    let json = ran.json();
    let rows = json.as_array().expect("a list of rows");
    assert!(rows.len() >= 100, "only {} rows", rows.len());
    for row in rows {
        has(
            row,
            &[
                "id",
                "what",
                "source",
                "published",
                "computed",
                "unit",
                "residual",
                "tolerance",
                "reason",
                "ok",
                "kind",
            ],
        );
        let residual = number(&row["computed"]) - number(&row["published"]);
        // Both are printed to ten digits.
        let dust = 1e-9 * number(&row["published"]).abs().max(1.0);
        assert!((residual - number(&row["residual"])).abs() <= dust, "{row}");
        assert!(!row["reason"].as_str().unwrap().is_empty(), "{row}");
    }
    let out: Vec<&Value> = rows.iter().filter(|row| row["ok"] != true).collect();
    assert!(out.is_empty(), "out of tolerance: {out:?}");
    assert_eq!(ran.status, 0);
    for kind in ["validation", "identity", "cross-check"] {
        assert!(rows.iter().any(|row| row["kind"] == kind), "no {kind}");
    }
}

#[test]
fn ids_are_unique_and_the_table_shows_every_row() {
    let json = run(&["verify", "--json"]).json();
    let told = run(&["verify"]).out;
    let mut ids: Vec<&str> = json
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["id"].as_str().unwrap())
        .collect();
    for id in &ids {
        assert!(told.contains(id), "{id} is not in the table");
    }
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id stands twice");
}
