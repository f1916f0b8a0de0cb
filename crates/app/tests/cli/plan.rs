//! `plan` and `sheet`, on the example jobs.

use super::*;

const PAWL: &str = "examples/winch-pawl/job.toml";
const PIN: &str = "examples/vang-pin/job.toml";
const PLATE: &str = "examples/latch-plate/job.toml";

#[test]
fn the_contract_holds() {
    let json = run(&["plan", PAWL, "--json"]).ended(0).json();
    let verdict = json["verdict"].as_str().unwrap();
    assert!(["can-be-met", "marginal"].contains(&verdict), "{verdict}");
    list(&json, "findings", &["code", "severity", "text", "hint"]);
    list(&json, "reading", &["phrase", "understood", "assumed"]);
    list(&json, "steps", &["kind", "temperature_c", "soak_h", "text"]);
    for field in ["coupons", "test_scales", "cautions", "sources"] {
        list(&json, field, &[]);
    }
    let prediction = &json["prediction"];
    let stress = &prediction["surface_stress"];
    assert!(
        ["compressive", "tensile", "open"].contains(&stress["sign"].as_str().unwrap())
            && ["sure", "likely", "open"].contains(&stress["trust"].as_str().unwrap()),
        "{stress}"
    );
    assert!(
        stress["reason"].as_str().unwrap().contains("skin"),
        "{stress}"
    );
    list(
        prediction,
        "vickers_loads",
        &["name", "valid", "reading", "least_case_mm", "why"],
    );
    let names: Vec<&str> = prediction["vickers_loads"]
        .as_array()
        .unwrap()
        .iter()
        .map(|load| load["name"].as_str().unwrap())
        .collect();
    for name in ["HV0.1", "HV1", "HV10", "HV30", "HV100", "HK0.1"] {
        assert!(names.contains(&name), "{name}: {names:?}");
    }
    for field in [
        "case_depth_mm",
        "case_depth_after_grind_mm",
        "total_depth_mm",
        "surface_hardness_hv",
        "surface_hardness_hrc",
        "core_hardness_hrc",
        "surface_carbon_wt_pct",
        "retained_austenite_pct",
    ] {
        has(prediction, &[field]);
        let band = &prediction[field];
        // Not known is `null`; a soft core has no number on the C scale.
        if !band.is_null() {
            let (low, mid, high) = (
                number(&band["low"]),
                number(&band["mid"]),
                number(&band["high"]),
            );
            assert!(low <= mid && mid <= high, "{field}: {band}");
        }
    }
    has(prediction, &["limit_hardness_hv", "profile"]);
    profile(&prediction["profile"]);
    edges(&prediction["edges"]);
    steps(&json["steps"]);
}

fn edges(edges: &Value) {
    let edges = edges.as_array().expect("a list");
    assert_eq!(edges[0]["kind"], "corner");
    assert!(number(&edges[0]["surface_carbon_wt_pct"]) > number(&edges[0]["face_carbon_wt_pct"]));
    assert!(number(&edges[0]["depth_corner_mm"]) > number(&edges[0]["depth_mid_face_mm"]));
    let least = number(&edges[0]["least_carbon_wt_pct"]);
    for contour in edges[0]["contours"].as_array().expect("lines") {
        assert!(number(&contour["carbon_wt_pct"]) > least, "{contour}");
        let lines = contour["lines_mm"].as_array().expect("pieces");
        assert!(
            lines
                .iter()
                .all(|line| line.as_array().is_some_and(|l| l.len() > 1))
        );
    }
}

fn profile(profile: &Value) {
    let depth = numbers(&profile["depth_mm"]);
    assert!(depth.len() > 20 && depth.windows(2).all(|pair| pair[0] < pair[1]));
    for field in [
        "carbon_wt_pct",
        "hardness_hv",
        "hardness_low_hv",
        "hardness_high_hv",
    ] {
        assert_eq!(numbers(&profile[field]).len(), depth.len(), "{field}");
    }
    let parts = [
        "martensite",
        "retained_austenite",
        "bainite",
        "pearlite",
        "ferrite",
        "carbide",
    ];
    let parts: Vec<Vec<f64>> = parts.iter().map(|name| numbers(&profile[*name])).collect();
    for (layer, depth) in depth.iter().enumerate() {
        let sum: f64 = parts.iter().map(|part| part[layer]).sum();
        // Fractions of one volume; each was rounded to ten digits.
        assert!((sum - 1.0).abs() < 1e-6, "{sum} at {depth} mm");
    }
}

fn steps(steps: &Value) {
    const ORDER: [&str; 8] = [
        "pack",
        "carburize",
        "cool",
        "reheat",
        "quench",
        "temper",
        "test",
        "grind",
    ];
    let kinds: Vec<&str> = steps
        .as_array()
        .unwrap()
        .iter()
        .map(|step| step["kind"].as_str().unwrap())
        .collect();
    assert!(kinds.iter().all(|kind| ORDER.contains(kind)), "{kinds:?}");
    for kind in ["pack", "carburize", "quench", "temper", "test"] {
        assert!(kinds.contains(&kind), "no {kind} in {kinds:?}");
    }
    let at = |kind: &str| kinds.iter().position(|k| *k == kind);
    assert!(
        at("pack") < at("carburize") && at("carburize") < at("quench"),
        "{kinds:?}"
    );
    assert!(at("quench") < at("temper"), "{kinds:?}");
}

#[test]
fn the_text_says_the_verdict_first() {
    let ran = run(&["plan", PIN]).ended(0);
    let first = ran.out.lines().next().unwrap();
    assert!(
        first.contains("MET") || first.contains("MARGINAL"),
        "{first}"
    );
    assert!(
        ran.out.lines().all(|line| line.chars().count() <= 100),
        "wider than 100"
    );
}

#[test]
fn a_note_that_cannot_be_met_ends_with_one_and_the_nearest() {
    let json = run(&["plan", PLATE, "--json"]).ended(1).json();
    assert_eq!(json["verdict"], "cannot-be-met");
    assert!(
        json["findings"]
            .as_array()
            .unwrap()
            .iter()
            .any(|f| f["severity"] == "stop"),
        "{}",
        json["findings"]
    );
    assert!(json["nearest"]["what"].is_string(), "{}", json["nearest"]);
    let ran = run(&["plan", PLATE]).ended(1);
    assert!(ran.out.contains("CANNOT BE MET"), "{}", ran.out);
}

#[test]
fn one_job_and_one_seed_give_the_same_bytes() {
    let first = run(&["plan", PAWL, "--json"]).out;
    assert_eq!(run(&["plan", PAWL, "--json"]).out, first);
    let mut one_thread = command(&["plan", PAWL, "--json"]);
    one_thread.env("RAYON_NUM_THREADS", "1");
    assert_eq!(
        run_with(one_thread, "").out,
        first,
        "by the number of threads"
    );
    let other = run(&["plan", PAWL, "--json", "--seed", "7"]).json();
    assert_eq!(other["seed"], 7);
}

#[test]
#[cfg(feature = "pdf")]
fn the_sheet_is_a_pdf_on_either_paper_and_always_the_same() {
    let folder = folder("sheet");
    let out = folder.join("a.pdf");
    let out = out.to_str().unwrap();
    for paper in ["a4", "letter"] {
        let json = run(&["sheet", PIN, "-o", out, "--paper", paper, "--json"])
            .ended(0)
            .json();
        has(&json, &["verdict", "sheet", "bytes", "code"]);
        let first = std::fs::read(out).unwrap();
        assert!(first.starts_with(b"%PDF-"));
        run(&["plan", PIN, "--sheet", out, "--paper", paper]).ended(0);
        assert_eq!(std::fs::read(out).unwrap(), first, "{paper}");
    }
    let refusal = folder.join("refusal.pdf");
    run(&["sheet", PLATE, "-o", refusal.to_str().unwrap()]).ended(1);
    assert!(std::fs::read(refusal).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn a_sheet_never_replaces_its_job() {
    let folder = folder("sheet-over-job");
    let path = file(&folder, "job.toml", "name = \"x\"\n");
    for arguments in [
        ["sheet", &path, "-o", &path],
        ["plan", &path, "--sheet", &path],
    ] {
        let ran = run(&arguments).ended(2);
        assert!(ran.err.contains("sheet-over-job"), "{}", ran.err);
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "name = \"x\"\n");
}

#[test]
#[cfg(feature = "pdf")]
fn a_sheet_that_cannot_be_written_is_the_worlds_failure() {
    let folder = folder("sheet-nowhere");
    let nowhere = folder.join("no-such-folder/a.pdf");
    let ran = run(&["sheet", PAWL, "-o", nowhere.to_str().unwrap()]).ended(3);
    assert!(ran.err.contains("no-such-folder"), "{}", ran.err);
    run(&["sheet", PAWL, "-o", folder.to_str().unwrap()]).ended(3);
    assert_eq!(
        std::fs::read_dir(&folder).unwrap().count(),
        0,
        "nothing half-written is left"
    );
}

/// Each change stands beside the plan, and all but it stays as planned.
#[test]
fn a_change_is_tried_beside_the_plan() {
    let arguments = [
        "plan",
        PAWL,
        "--try",
        "hours=9 h",
        "--try",
        "depth=0.2-3 mm",
    ];
    let json = run(&[&arguments[..], &["--json"]].concat()).ended(0).json();
    let (planned, tries) = (&json["planned"], json["tries"].as_array().expect("a list"));
    assert_eq!(tries.len(), 2);
    let depth = |line: &Value| number(&line["case_depth_after_grind_mm"]["mid"]);
    assert!(depth(&tries[0]) > depth(planned) && number(&tries[0]["runs"]) > 0.0);
    assert_eq!(tries[0]["soak_h"], 9.0);
    assert_eq!(tries[0]["temper_c"], planned["temper_c"]);
    // A wide note takes in what the plan makes, without a run.
    assert_eq!(tries[1]["runs"], 0);
    assert_eq!(tries[1]["chances"][0]["probability"], 1.0);
    let text = run(&arguments).ended(0).out;
    assert!(
        text.contains("as planned") && text.contains("soak 9 h:"),
        "{text}"
    );
}

#[test]
fn a_change_that_is_none_is_refused_before_planning() {
    let ran = run(&["plan", PAWL, "--try", "colour=red", "--try", "hours=7"]).ended(2);
    assert!(ran.err.contains("colour=red"), "{}", ran.err);
}
