//! The setup reader: what is read, and that every fault is found with its place.

use casewright_terms::{Element, Span};

use super::*;

const WHOLE: &str = r#"
output_depth_mm = [0.0, 0.5, 1]
[steel]
composition_wt_pct = { C = 0.18, Mn = 0.75 }
[shape]
kind = "plate"
half_thickness_mm = 10
[carbon]
diffusivity = "agren-1986"
surface = { kind = "transfer", potential_wt_pct = 1.10, coefficient_m_s = 1.5e-7, above_c = 800.0 }
[[cycle]]
to_c = 927.0
hours = 2.0
[[cycle]]
to_c = 927.0
hours = 8.0
[[cycle]]
from_c = 843
to_c = 25
hours = 0.5
"#;

fn no_grades(_: &str) -> Result<Composition, Vec<String>> {
    Err(vec!["8620".into()])
}

fn check(text: &str) -> Result<SetupFile, Vec<&'static str>> {
    read("s.toml", text, &no_grades).map_err(|diags| {
        for diag in &diags {
            let span = &diag
                .place
                .as_ref()
                .expect("every complaint has a place")
                .span;
            assert!(span.start <= span.end && span.end <= text.len(), "{diag:?}");
        }
        diags.iter().map(|diag| diag.code).collect()
    })
}

fn line(setup: &SetupFile) -> (&CarbonSetup, &Option<Vec<f64>>) {
    match &setup.asked {
        Asked::Depth {
            carbon,
            output_depth_mm,
        } => (carbon, output_depth_mm),
        Asked::Section { .. } => panic!("a run against depth is expected: {setup:?}"),
    }
}

fn changed(from: &str, to: &str) -> Result<SetupFile, Vec<&'static str>> {
    assert!(WHOLE.contains(from), "{from} is not in the whole setup");
    check(&WHOLE.replacen(from, to, 1))
}

#[test]
fn depths_and_tolerance_may_follow_the_surface() {
    let setup = changed(
        "above_c = 800.0 }",
        "above_c = 800.0 }\noutput_depth_mm = [0.0, 1.0]\ntolerance_wt_pct = 1e-3",
    );
    let setup = setup.unwrap();
    assert_eq!(line(&setup).1.clone(), Some(vec![0.0, 1.0]));
    assert!((line(&setup).0.tolerance.to_wt_pct() - 1e-3).abs() < 1e-15);
}

#[test]
fn a_whole_setup_is_read() {
    let setup = check(WHOLE).unwrap();
    assert_eq!(line(&setup).1.clone(), Some(vec![0.0, 0.5, 1.0]));
    assert_eq!(line(&setup).0.composition.wt_pct(Element::Mn), 0.75);
    assert!(setup.notes.is_empty());
    let pieces = &line(&setup).0.cycle.pieces;
    assert_eq!(
        pieces[0].from,
        Temperature::from_c(25.0),
        "cold at the start"
    );
    assert_eq!(
        pieces[1].from,
        Temperature::from_c(927.0),
        "goes on from the piece before"
    );
    assert_eq!(
        pieces[2].from,
        Temperature::from_c(843.0),
        "a jump that is written"
    );
    assert_eq!(pieces[1].duration, Span::from_h(8.0));
}

#[test]
fn every_shape_and_surface_is_read() {
    for shape in [
        "kind = \"cylinder\"\nradius_mm = 10",
        "kind = \"sphere\"\nradius_mm = 10",
        "kind = \"tube\"\ninner_radius_mm = 5\nouter_radius_mm = 10",
    ] {
        changed("kind = \"plate\"\nhalf_thickness_mm = 10", shape).unwrap();
    }
    let transfer = "{ kind = \"transfer\", potential_wt_pct = 1.10, coefficient_m_s = 1.5e-7, above_c = 800.0 }";
    for surface in [
        "{ kind = \"fixed\", carbon_wt_pct = 1.2 }",
        "{ kind = \"pack\", coefficient_m_s = 1e-7, begins_c = 700, full_c = 760 }",
        "{ kind = \"sealed\" }",
    ] {
        changed(transfer, surface).unwrap();
    }
}

#[test]
fn the_default_of_the_diffusivity_is_told() {
    let setup = changed("diffusivity = \"agren-1986\"\n", "").unwrap();
    assert_eq!(setup.notes[0].code, "default-taken");
}

#[test]
fn each_fault_is_named() {
    for (from, to, code) in [
        (
            "half_thickness_mm = 10",
            "half_thickness_in = 0.4",
            "unknown-key",
        ),
        (
            "half_thickness_mm = 10",
            "half_thickness_mm = \"10 mm\"",
            "text-for-number",
        ),
        (
            "half_thickness_mm = 10",
            "half_thickness_mm = -1",
            "out-of-bounds",
        ),
        (
            "half_thickness_mm = 10",
            "half_thickness_mm = nan",
            "out-of-bounds",
        ),
        (
            "half_thickness_mm = 10",
            "half_thickness_mm = inf",
            "out-of-bounds",
        ),
        (
            "half_thickness_mm = 10",
            "half_thickness_mm = 1e999",
            "out-of-bounds",
        ),
        (
            "half_thickness_mm = 10",
            "half_thickness_mm = true",
            "wrong-kind",
        ),
        ("half_thickness_mm = 10", "", "missing-key"),
        ("kind = \"plate\"", "kind = \"platte\"", "unknown-word"),
        ("C = 0.18, ", "", "missing-key"),
        ("C = 0.18", "C = 0.18, Xx = 1", "unknown-element"),
        ("Mn = 0.75", "Mn = 60", "too-little-iron"),
        ("Mn = 0.75", "Mn = 0.75, MN = 1", "element-twice"),
        ("[steel]", "[steel]\ngrade = \"8620\"", "steel-twice"),
        (
            "composition_wt_pct = { C = 0.18, Mn = 0.75 }",
            "grade = \"8260\"",
            "unknown-grade",
        ),
        (
            "composition_wt_pct = { C = 0.18, Mn = 0.75 }",
            "",
            "missing-key",
        ),
        ("1.5e-7", "0.0", "out-of-bounds"),
        ("hours = 8.0", "hours = 1e9", "out-of-bounds"),
        ("hours = 8.0", "hours = -1", "out-of-bounds"),
        ("to_c = 927.0", "to_f = 1700", "unknown-key"),
        ("[0.0, 0.5, 1]", "[0.0, 11.0]", "out-of-bounds"),
        ("[0.0, 0.5, 1]", "[]", "depth-list"),
        ("[0.0, 0.5, 1]", "0.5", "wrong-kind"),
        ("hours = 2.0", "hours = 2.0.0", "not-toml"),
    ] {
        let codes = changed(from, to).expect_err(to);
        assert!(codes.contains(&code), "{to}: {codes:?}");
    }
}

#[test]
fn a_value_in_the_other_unit_is_converted_in_the_hint_and_not_called_missing() {
    let text = WHOLE
        .replace("half_thickness_mm = 10", "half_thickness_in = 0.4")
        .replace("to_c = 25", "to_f = 77");
    let diags = read("s.toml", &text, &no_grades).unwrap_err();
    let hints: Vec<&str> = diags.iter().map(|diag| diag.accepted.as_str()).collect();
    assert_eq!(
        hints,
        ["Write `half_thickness_mm = 10.16`.", "Write `to_c = 25`."],
        "{diags:?}"
    );
}

#[test]
fn faults_come_all_at_once() {
    let text = WHOLE
        .replace("half_thickness_mm = 10", "half_thickness_mm = -1")
        .replace("hours = 8.0", "hours = -1")
        .replace("C = 0.18", "C = 200");
    assert_eq!(check(&text).unwrap_err(), vec!["out-of-bounds"; 3]);
}

#[test]
fn contradictions_point_at_both_places() {
    let text = WHOLE.replace(
        "kind = \"plate\"\nhalf_thickness_mm = 10",
        "kind = \"tube\"\ninner_radius_mm = 10\nouter_radius_mm = 5",
    );
    let diags = read("s.toml", &text, &no_grades).unwrap_err();
    assert_eq!(diags[0].code, "tube-inside-out");
    assert_eq!(diags[0].also.len(), 1);
}

#[test]
fn nothing_breaks_the_reader() {
    // Cut the whole text at every byte, and put odd signs into it: no panic, and either a setup or
    // a complaint (asserted in `read`).
    for cut in 0..WHOLE.len() {
        let _ = check(&WHOLE[..cut]);
        for odd in [
            "\"",
            "[",
            "]]",
            "{",
            "=",
            "\u{0}",
            "é",
            "\n[[cycle]]\n",
            "999999999999999999999",
        ] {
            let _ = check(&format!("{}{odd}{}", &WHOLE[..cut], &WHOLE[cut..]));
        }
    }
    let deep = "[".repeat(100_000);
    let _ = check(&format!("cycle = {deep}"));
    assert_eq!(check("").unwrap_err(), vec!["missing-key"; 4]);
}

const TRANSFER: &str =
    "{ kind = \"transfer\", potential_wt_pct = 1.10, coefficient_m_s = 1.5e-7, above_c = 800.0 }";

#[test]
fn every_medium_is_read() {
    for medium in [
        "{ kind = \"compound\", energiser = \"none\", fresh_pct = 100 }",
        "{ kind = \"compound\", energiser = \"barium-carbonate\", energiser_pct = 12, fresh_pct = 20 }",
        "{ kind = \"gas\", potential_wt_pct = 0.9 }",
        "{ kind = \"gas\", dew_point_c = -2, co_pct = 20, h2_pct = 40, above_c = 800 }",
        "{ kind = \"gas\", co2_pct = 0.2, co_pct = 20 }",
        "{ kind = \"gas\", probe_mv = 1135, co_pct = 20, coefficient_m_s = 1e-7 }",
        "{ kind = \"salt\", bath = \"without-cyanide\", potential_wt_pct = 1, coefficient_m_s = 2e-7, above_c = 800 }",
    ] {
        let read = changed(TRANSFER, medium);
        assert!(
            matches!(line(read.as_ref().unwrap()).0.surface, Surface::Medium(_)),
            "{medium}"
        );
    }
    let pulses = "{ kind = \"low-pressure\", flux_g_m2_h = 120, after_hours = 2, boosts = [{ boost_min = 5, diffuse_min = 10 }, { boost_min = 2, diffuse_min = 30 }] }";
    match &line(&changed(TRANSFER, pulses).unwrap()).0.surface {
        Surface::Program(turns) => assert_eq!(turns.len(), 5),
        other => panic!("{other:?}"),
    }
}

#[test]
fn each_fault_of_a_medium_is_named() {
    for (medium, code) in [
        ("{ kind = \"gas\" }", "gas-control-missing"),
        (
            "{ kind = \"gas\", potential_wt_pct = 0.9, dew_point_c = 0 }",
            "gas-control-twice",
        ),
        (
            "{ kind = \"gas\", dew_point_f = 30, co_pct = 20, h2_pct = 40 }",
            "unknown-key",
        ),
        (
            "{ kind = \"gas\", dew_point_c = 0, co_pct = 20 }",
            "missing-key",
        ),
        (
            "{ kind = \"gas\", dew_point_c = 0, co_pct = 70, h2_pct = 40 }",
            "medium-value",
        ),
        (
            "{ kind = \"gas\", probe_mv = 1.135, co_pct = 20 }",
            "medium-value",
        ),
        ("{ kind = \"gas\", potential_wt_pct = 4 }", "medium-value"),
        (
            "{ kind = \"compound\", energiser = \"barium\", energiser_pct = 12, fresh_pct = 20 }",
            "unknown-word",
        ),
        (
            "{ kind = \"salt\", bath = \"cyanide\", potential_wt_pct = 1, coefficient_m_s = 2e-7, above_c = 800 }",
            "refused-cyanide",
        ),
        (
            "{ kind = \"low-pressure\", flux_g_m2_h = 120, after_hours = 2, boosts = [] }",
            "boost-list",
        ),
        (
            "{ kind = \"low-pressure\", flux_g_m2_h = 120, after_hours = 2, boosts = [{ boost_min = 5 }] }",
            "missing-key",
        ),
    ] {
        let codes = changed(TRANSFER, medium).expect_err(medium);
        assert!(codes.contains(&code), "{medium}: {codes:?}");
    }
}

const PLATE: &str = "kind = \"plate\"\nhalf_thickness_mm = 10";
const DEPTHS: &str = "output_depth_mm = [0.0, 0.5, 1]\n";

fn sectioned(shape: &str, after: &str) -> Result<SetupFile, Vec<&'static str>> {
    let text = WHOLE.replace(DEPTHS, "").replace(PLATE, shape);
    check(&format!("{text}{after}"))
}

const RECTANGLE: &str =
    "kind = \"rectangle\"\nwidth_mm = 18\nheight_mm = 14\ncorner_radius_mm = 0.5";

#[test]
fn every_section_is_read() {
    for shape in [
        RECTANGLE,
        "kind = \"plate-edge\"\nthickness_mm = 6\ncorner_radius_mm = 0\nstop_off = [\"end\", \"top\"]",
        "kind = \"bore\"\ndiameter_mm = 8\nwall_mm = 2\nstop_off = [\"surface\"]",
        "kind = \"two-bores\"\nleft_diameter_mm = 6\nright_diameter_mm = 4\nweb_mm = 2",
        "kind = \"keyway\"\nwidth_mm = 6\ndepth_mm = 3\nfillet_mm = 0.4",
        "kind = \"keyway\"\nbar_diameter_mm = 20\nwidth_mm = 6\ndepth_mm = 3\nfillet_mm = 0",
        "kind = \"web\"\nthickness_mm = 3\nheight_mm = 8\nfillet_mm = 1\ntip_radius_mm = 0.5\nstop_off = [\"tip\"]",
    ] {
        let setup = sectioned(shape, "").unwrap_or_else(|codes| panic!("{shape}: {codes:?}"));
        let Asked::Section { plane, .. } = &setup.asked else {
            panic!("{shape} is a section");
        };
        assert!(shape.contains(section_kind(&plane.section)), "{shape}");
    }
    let stopped = sectioned(&format!("{RECTANGLE}\nstop_off = [\"right\"]"), "").unwrap();
    let Asked::Section { plane, map } = stopped.asked else {
        panic!("a section");
    };
    use casewright_physics::setup::Face::{StopOff, Treated};
    let PlaneSection::Rectangle { faces, .. } = plane.section else {
        panic!("a rectangle");
    };
    assert_eq!(faces, [Treated, StopOff, Treated, Treated]);
    assert_eq!(map.lines, None);
}

#[test]
fn a_map_is_read() {
    let text = "[map]\nlines_wt_pct = [0.3, 0.6]\ndepth_to_wt_pct = 0.35\npoints = 41\n";
    let Asked::Section { map, .. } = sectioned(RECTANGLE, text).unwrap().asked else {
        panic!("a section");
    };
    assert_eq!(map.lines.map(|lines| lines.len()), Some(2));
    assert!((map.depth_to.to_wt_pct() - 0.35).abs() < 1e-12);
    assert_eq!(map.points, 41);
}

#[test]
fn each_fault_of_a_section_is_named() {
    for (shape, after, codes) in [
        (
            "kind = \"rectangel\"\nwidth_mm = 18",
            "",
            &["unknown-word"][..],
        ),
        (
            "kind = \"rectangle\"\nwidth_in = 1\nheight_mm = -1",
            "",
            &["unknown-key", "out-of-bounds", "missing-key"],
        ),
        (
            "kind = \"bore\"\ndiameter_mm = 8\nwall_mm = 2\nstop_off = [\"bor\", 3]",
            "",
            &["unknown-face", "wrong-kind"],
        ),
        (
            "kind = \"bore\"\ndiameter_mm = 8\nwall_mm = 2\nstop_off = \"bore\"",
            "",
            &["wrong-kind"],
        ),
        (RECTANGLE, "[map]\nline_wt_pct = [0.4]\n", &["unknown-key"]),
        (RECTANGLE, "[map]\nlines_wt_pct = []\n", &["line-list"]),
        (
            RECTANGLE,
            "[map]\nlines_wt_pct = [9, \"a\"]\npoints = 3\n",
            &["out-of-bounds", "text-for-number", "out-of-bounds"],
        ),
        (PLATE, "[map]\npoints = 41\n", &["not-for-this-shape"]),
    ] {
        let found = sectioned(shape, after).expect_err(shape);
        assert_eq!(found, codes, "{shape}{after}");
    }
    let depths = check(&WHOLE.replace(PLATE, RECTANGLE)).unwrap_err();
    assert_eq!(depths, ["not-for-this-shape"]);
}

#[test]
fn a_face_that_is_not_there_is_told_with_those_that_are() {
    let shape = "kind = \"bore\"\ndiameter_mm = 8\nwall_mm = 2\nstop_off = [\"surfase\"]";
    let text = WHOLE.replace(DEPTHS, "").replace(PLATE, shape);
    let diags = read("s.toml", &text, &no_grades).unwrap_err();
    assert_eq!(
        diags[0].accepted,
        "Did you mean \"surface\"? Faces here: `bore`, `surface`."
    );
    let span = diags[0].place.as_ref().unwrap().span.clone();
    assert_eq!(&text[span], "\"surfase\"");
}

#[test]
fn cautions_follow_the_medium() {
    let gas = changed(
        TRANSFER,
        "{ kind = \"gas\", potential_wt_pct = 0.9 }\ndiffuse = { kind = \"gas\", potential_wt_pct = 0.7 }",
    )
    .unwrap();
    let codes: Vec<&str> = gas.cautions.iter().map(|caution| caution.code).collect();
    assert_eq!(codes, ["gas-explosive", "carbon-monoxide"], "each once");
    assert!(gas.diffuse.is_some());
    assert!(check(WHOLE).unwrap().cautions.is_empty());
}
