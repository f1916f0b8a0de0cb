//! `explain`, and what `plan` says of the same matters.

use super::*;

const PAWL: &str = "examples/winch-pawl/job.toml";
const PIN: &str = "examples/vang-pin/job.toml";

#[test]
fn the_story_of_a_depth_has_its_numbers_words_and_sources() {
    let json = run(&[
        "explain", PAWL, "--at", "0.3mm", "--at", "30 thou", "--json",
    ])
    .ended(0)
    .json();
    list(
        &json,
        "story",
        &["depth_mm", "phases", "sentences", "cooling_needed_s"],
    );
    let known: Vec<String> = run(&["plan", PAWL, "--json"]).json()["sources"]
        .as_array()
        .unwrap()
        .iter()
        .map(|key| key.as_str().unwrap().to_owned())
        .collect();
    let story = json["story"].as_array().unwrap();
    assert_eq!(story.len(), 2);
    // 30 thou is 0.762 mm by definition of the inch.
    assert!((number(&story[1]["depth_mm"]) - 0.762).abs() < 1e-9);
    for point in story {
        let sum: f64 = point["phases"]
            .as_array()
            .unwrap()
            .iter()
            .map(|phase| number(&phase["share"]))
            .sum();
        // Shares below half a percent are not told: five of them at most.
        assert!(sum > 0.975 && sum < 1.0 + 1e-6, "{sum}");
        // What the box leaves moves inward in the reheat: by less than 0.02 wt% in 15 min at 790 °C.
        assert!(
            number(&point["dissolved_carbon_wt_pct"]) <= number(&point["carbon_wt_pct"]) + 0.02
        );
        for sentence in point["sentences"].as_array().unwrap() {
            for key in sentence["sources"].as_array().unwrap() {
                let key = key.as_str().unwrap();
                assert!(
                    known.iter().any(|k| k == key),
                    "{key} is no source of the plan"
                );
            }
        }
    }
    let ran = run(&["explain", PAWL, "--at", "0.3mm"]).ended(0);
    assert!(ran.out.contains("0.30 mm (0.012 in)"), "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 100));
}

#[test]
fn the_traverse_brackets_the_case_and_keeps_its_distances() {
    for job in [PAWL, PIN] {
        let json = run(&["plan", job, "--json"]).ended(0).json();
        let traverse = &json["traverse"];
        let indents = traverse["indents"].as_array().unwrap();
        let limit = number(&traverse["limit_hardness_hv"]);
        let at = |i: usize, field: &str| number(&indents[i][field]);
        let between = numbers(&traverse["falls_between"]);
        let (a, b) = (between[0] as usize, between[1] as usize);
        assert!(number(&indents[a]["hardness_hv"]["mid"]) >= limit - 1e-6);
        assert!(number(&indents[b]["hardness_hv"]["mid"]) < limit);
        let mid = number(&traverse["case_depth_mm"]["mid"]);
        assert!(at(a, "depth_mm") <= mid && mid < at(b, "depth_mm"));
        let least = number(&traverse["spacing_least_mm"]);
        for i in 0..indents.len() {
            // [iso-6507] three diagonals of the softest place, whatever the pair.
            for j in 0..i {
                let apart = (at(i, "depth_mm") - at(j, "depth_mm"))
                    .hypot(at(i, "across_mm") - at(j, "across_mm"));
                assert!(
                    apart >= least - 1e-6,
                    "{job}: {i} and {j} are {apart} mm apart"
                );
            }
            // [iso-6507] two and a half diagonals from the edge.
            assert!(at(i, "depth_mm") >= 2.5 * at(i, "diagonal_mm") - 1e-6 || i > 0);
        }
    }
}

#[test]
fn a_depth_that_is_none_is_refused() {
    for (depth, code) in [("40mm", "depth-outside-part"), ("-1mm", "depth-negative")] {
        let ran = run(&["explain", PAWL, "--at", depth]).ended(2);
        assert!(
            ran.err.contains(code) || ran.err.contains("-1mm"),
            "{}",
            ran.err
        );
    }
    run(&["explain", PAWL, "--at", "0.3"]).ended(2);
}

#[test]
fn the_picture_is_written_and_always_the_same() {
    let folder = folder("explain");
    let out = folder.join("section.svg");
    let out = out.to_str().unwrap();
    run(&["explain", PIN, "--picture", out]).ended(0);
    let first = std::fs::read_to_string(out).unwrap();
    assert!(first.starts_with("<svg") && first.contains("Schematic"));
    // Four strips of some four hundred dots each; a phone on the shop's network loads it at once.
    assert!(first.len() < 200_000, "{} bytes", first.len());
    run(&["explain", PIN, "--picture", out]).ended(0);
    assert!(std::fs::read_to_string(out).unwrap() == first);
}
