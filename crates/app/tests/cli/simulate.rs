//! `simulate`.

use super::*;

/// The setup of the documented interface: 8 h at 927 °C, 1.20 wt% held at the surface.
fn setup(shape: &str, surface: &str, depths: &str) -> String {
    format!(
        "{depths}\n[steel]\ncomposition_wt_pct = {{ C = 0.18 }}\n[shape]\n{shape}\n[carbon]\n\
         diffusivity = \"agren-1986\"\nsurface = {surface}\n\
         [[cycle]]\nto_c = 927.0\nfrom_c = 927.0\nhours = 8.0\n"
    )
}

const PLATE: &str = "kind = \"plate\"\nhalf_thickness_mm = 10.0";
const CYLINDER: &str = "kind = \"cylinder\"\nradius_mm = 10.0";
const FIXED: &str = "{ kind = \"fixed\", carbon_wt_pct = 1.20 }";
const BETA: &str =
    "{ kind = \"transfer\", potential_wt_pct = 1.10, coefficient_m_s = 1.5e-7, above_c = 800.0 }";

#[test]
fn the_contract_holds() {
    let folder = folder("simulate-contract");
    let path = file(
        &folder,
        "s.toml",
        setup(PLATE, FIXED, "output_depth_mm = [0.0, 0.1, 0.2, 0.5, 1.0]"),
    );
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    has(
        &json,
        &[
            "depth_mm",
            "carbon_wt_pct",
            "carbon_uptake_g_m2",
            "balance_error",
            "steps",
            "wall_s",
        ],
    );
    assert_eq!(numbers(&json["depth_mm"]), [0.0, 0.1, 0.2, 0.5, 1.0]);
    let carbon = numbers(&json["carbon_wt_pct"]);
    assert!(
        (carbon[0] - 1.20).abs() < 1e-6,
        "the surface is held: {carbon:?}"
    );
    assert!(
        carbon.windows(2).all(|pair| pair[0] > pair[1]),
        "{carbon:?}"
    );
    // What the run promises of itself.
    assert!(number(&json["balance_error"]) <= 1e-10, "{json}");
    run(&["simulate", &path]).ended(0);
}

/// Depths to 0.40 and 0.22 wt%, made outside this project: the site-fraction equation with Ågren's
/// diffusivity, integrated with scipy's Radau on two grids and extrapolated; error below 1e-6 wt%.
/// Tolerance 1e-3 wt%: ten times the error that the run is asked for, and below any reading.
#[test]
fn val_profiles_made_by_other_means() {
    let folder = folder("simulate-val");
    for (name, shape, surface, to_040, to_022) in [
        ("plate-fixed", PLATE, FIXED, 1.32637, 1.92881),
        ("plate-beta", PLATE, BETA, 1.08951, 1.72323),
        ("cylinder-fixed", CYLINDER, FIXED, 1.36185, 1.96519),
    ] {
        let depths = format!("output_depth_mm = [{to_040}, {to_022}]");
        let path = file(
            &folder,
            &format!("{name}.toml"),
            setup(shape, surface, &depths),
        );
        let json = run(&["simulate", &path, "--json"]).ended(0).json();
        let carbon = numbers(&json["carbon_wt_pct"]);
        for (ours, theirs) in carbon.iter().zip([0.40, 0.22]) {
            assert!(
                (ours - theirs).abs() < 1e-3,
                "{name}: {ours} beside {theirs}"
            );
        }
    }
}

#[test]
fn without_depths_the_solvers_own_points_come() {
    let folder = folder("simulate-own");
    let path = file(&folder, "s.toml", setup(PLATE, BETA, ""));
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    let depth = numbers(&json["depth_mm"]);
    assert_eq!(depth.len(), numbers(&json["carbon_wt_pct"]).len());
    assert!(depth.len() > 20 && depth[0] == 0.0, "{depth:?}");
    assert!(
        (depth[depth.len() - 1] - 10.0).abs() < 1e-9,
        "to the middle: {depth:?}"
    );
}

#[test]
fn every_shape_surface_and_model_runs() {
    let folder = folder("simulate-all");
    let fixed = setup(PLATE, FIXED, "");
    for (name, text) in [
        (
            "sphere",
            setup("kind = \"sphere\"\nradius_mm = 5.0", FIXED, ""),
        ),
        (
            "tube",
            setup(
                "kind = \"tube\"\ninner_radius_mm = 5.0\nouter_radius_mm = 10.0",
                BETA,
                "",
            ),
        ),
        ("sealed", setup(PLATE, "{ kind = \"sealed\" }", "")),
        (
            "pack",
            setup(
                PLATE,
                "{ kind = \"pack\", coefficient_m_s = 1e-7, begins_c = 700, full_c = 760 }",
                "",
            ),
        ),
        ("tibbetts", fixed.replace("agren-1986", "tibbetts-1980")),
        ("alloy", fixed.replace("agren-1986", "alloy")),
        (
            "grade",
            fixed.replace("composition_wt_pct = { C = 0.18 }", "grade = \"8620\""),
        ),
        (
            "default",
            fixed.replace("diffusivity = \"agren-1986\"\n", ""),
        ),
    ] {
        let path = file(&folder, &format!("{name}.toml"), text);
        let json = run(&["simulate", &path, "--json"]).ended(0).json();
        let carbon = numbers(&json["carbon_wt_pct"]);
        assert!(
            carbon.iter().all(|c| (0.0..=7.0).contains(c)),
            "{name}: {carbon:?}"
        );
    }
}

#[test]
fn extremes_that_the_reader_takes_end_with_an_answer_or_a_reason() {
    let folder = folder("simulate-extreme");
    let fixed = setup(PLATE, FIXED, "");
    for (name, text) in [
        ("no-time", fixed.replace("hours = 8.0", "hours = 0.0")),
        ("long", fixed.replace("hours = 8.0", "hours = 1000.0")),
        ("thin", fixed.replace("10.0", "0.01")),
        ("thick", fixed.replace("10.0", "1000.0")),
        ("cold", fixed.replace("927.0", "-273.15")),
        ("hot", fixed.replace("927.0", "1480.0")),
        ("cementite", fixed.replace("1.20", "6.67")),
        ("bare", fixed.replace("1.20", "0.0")),
        ("iron", fixed.replace("C = 0.18", "C = 0.0")),
        ("cast", fixed.replace("C = 0.18", "C = 4.3")),
        ("strong", setup(PLATE, &BETA.replace("1.5e-7", "1e-3"), "")),
        ("weak", setup(PLATE, &BETA.replace("1.5e-7", "1e-12"), "")),
        ("fine", format!("tolerance_wt_pct = 1e-7\n{fixed}")),
        ("coarse", format!("tolerance_wt_pct = 0.05\n{fixed}")),
    ] {
        let path = file(&folder, &format!("{name}.toml"), text);
        let ran = run(&["simulate", &path, "--json"]);
        assert!(matches!(ran.status, 0 | 2 | 3), "{name}: {}", ran.err);
        assert!(!ran.err.contains("defect"), "{name}: {}", ran.err);
        if ran.status == 0 {
            // A number that is none would be `null` here.
            numbers(&ran.json()["carbon_wt_pct"]);
        }
    }
}

/// The hours that made the reference profile come back: 8 h for 0.40 wt% at 1.32637 mm (see
/// above). 1e-3 wt% there is 0.02 h; the answer's own doubt must be within it.
#[test]
fn val_hours_are_found_for_a_depth() {
    let folder = folder("simulate-hours");
    let text =
        setup(PLATE, FIXED, "output_depth_mm = [1.32637]").replace("hours = 8.0", "hours = 1.0");
    let path = file(&folder, "s.toml", text);
    for target in ["0.40 wt% at 1.32637 mm", "0.40 wt% at 0.0522193 in"] {
        let json = run(&["simulate", &path, "--find-hours", target, "--json"])
            .ended(0)
            .json();
        let hours = number(&json["hours"]);
        assert!((hours - 8.0).abs() < 0.02, "{target}: {hours}");
        assert!(number(&json["hours_doubt"]) < 0.02, "{json}");
        assert!((numbers(&json["carbon_wt_pct"])[0] - 0.40).abs() < 1e-3);
    }
    let told = run(&["simulate", &path, "--find-hours", "0.40 wt% at 1.32637 mm"]).ended(0);
    assert!(told.out.starts_with("Piece 1 takes 8"), "{}", told.out);
    for wrong in ["0.40 wt% at 99 mm", "2 wt% at 1 mm", "0.4", "0.40 wt% at 1"] {
        run(&["simulate", &path, "--find-hours", wrong]).ended(2);
    }
    run(&[
        "simulate",
        &path,
        "--find-hours",
        "0.4 wt% at 1 mm",
        "--piece",
        "2",
    ])
    .ended(2);
}

#[test]
fn media_run_from_a_setup() {
    let folder = folder("simulate-media");
    for (name, surface, source) in [
        (
            "gas",
            "{ kind = \"gas\", dew_point_c = -2.0, co_pct = 20, h2_pct = 40 }",
            "janaf-1985",
        ),
        (
            "compound",
            "{ kind = \"compound\", energiser = \"none\", fresh_pct = 100 }",
            "pack-transfer-estimate",
        ),
        (
            "low-pressure",
            "{ kind = \"low-pressure\", flux_g_m2_h = 120, after_hours = 0, boosts = [{ boost_min = 5, diffuse_min = 20 }] }",
            "low-pressure-assumed",
        ),
    ] {
        let path = file(&folder, &format!("{name}.toml"), setup(PLATE, surface, ""));
        let json = run(&["simulate", &path, "--json"]).ended(0).json();
        assert!(
            json["sources"].to_string().contains(source),
            "{name}: {json}"
        );
        assert!(number(&json["carbon_uptake_g_m2"]) > 1.0, "{name}");
    }
}

/// A setup of the examples' folder.
fn example(name: &str) -> String {
    format!(
        "{}/../../examples/setups/{name}",
        env!("CARGO_MANIFEST_DIR")
    )
}

#[test]
fn a_quench_is_answered_place_by_place() {
    let path = example("quench.toml");
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    has(
        &json,
        &[
            "places",
            "time_s",
            "heat_to_bath_j_kg",
            "bath",
            "balance_error",
            "remarks",
        ],
    );
    assert_eq!(json["kind"], "quench");
    let rate = |i: usize| number(&json["places"][i]["rate_at_700_k_s"]);
    assert!(rate(0) > rate(1) && rate(1) > rate(2), "edge, face, middle");
    // Newton stops at 1e-8 K of about 800 K.
    assert!(number(&json["balance_error"]) < 1e-9);
    let times = numbers(&json["time_s"]);
    let curve = numbers(&json["places"][2]["temperature_c"]);
    assert_eq!(times.len(), curve.len());
    assert!(number(&json["bath"]["rise_k"]) > 5.0);
    run(&["simulate", &path]).ended(0);
}

#[test]
fn a_reheat_is_answered_from_its_log() {
    let path = example("reheat.toml");
    let ended = run(&["simulate", &path, "--json"]).ended(0);
    assert!(ended.err.contains("log-gap") || ended.err.contains("nothing was logged"));
    let json = ended.json();
    assert_eq!(json["kind"], "reheat");
    let carbon = numbers(&json["carbon_wt_pct"]);
    let before = numbers(&json["before_wt_pct"]);
    assert!(carbon[0] < 0.02 && before[0] == 0.95, "{carbon:?}");
    assert!(number(&json["carbon_balance_error"]) < 1e-9);
    assert!(number(&json["scaled_um"]) > 10.0);
    run(&["simulate", &path]).ended(0);
    run(&["simulate", &path, "--find-hours", "0.4 wt% at 1 mm"]).ended(2);
}

#[test]
fn a_logged_furnace_replaces_the_planned_one() {
    let folder = folder("simulate-log");
    let planned = setup(PLATE, FIXED, "output_depth_mm = [0.5]");
    let at = |text: &str, name: &str| {
        let path = file(&folder, name, text);
        let json = run(&["simulate", &path, "--json"]).ended(0).json();
        numbers(&json["carbon_wt_pct"])[0]
    };
    let by_plan = at(&planned, "plan.toml");
    file(
        &folder,
        "l.csv",
        "time_h,temp_f\n0,1700.6\n4,1700.6\n8,1700.6\n",
    );
    let (head, _) = planned.split_once("[[cycle]]").expect("a cycle");
    let logged = format!("{head}[[cycle]]\nlog = \"l.csv\"\n");
    // 1700.6 °F is 927 °C; the two pieces meet in rounding.
    let by_log = at(&logged, "logged.toml");
    assert!((by_plan - by_log).abs() < 1e-4, "{by_plan} {by_log}");
    file(&folder, "l.csv", "time_h,temp_f\n0,1700\n4,oops\n");
    let path = file(&folder, "logged.toml", logged.clone());
    let ended = run(&["simulate", &path]).ended(2);
    assert!(ended.err.contains("line 3"), "{}", ended.err);
    let path = file(&folder, "lost.toml", logged.replace("l.csv", "nowhere.csv"));
    run(&["simulate", &path]).ended(2);
}

#[test]
fn faults_of_a_part_s_setup_are_told_at_once() {
    let folder = folder("simulate-part");
    let text = std::fs::read_to_string(example("quench.toml")).expect("the example");
    let spoilt = text
        .replace("fast-oil\"  ", "fast-oyl\"  ")
        .replace("transfer_s = 4.0", "transfer_min = 4.0")
        .replace("[12.5, 0.5]", "[12.5]");
    let path = file(&folder, "bad.toml", spoilt);
    let json = run(&["simulate", &path, "--json"]).ended(2).json();
    let codes = json.to_string();
    for code in ["unknown-word", "unknown-key", "wrong-kind"] {
        assert!(codes.contains(code), "{code}: {codes}");
    }
    let outside = text.replace("[12.5, 12.5]", "[12.5, 30.0]");
    let path = file(&folder, "outside.toml", outside);
    run(&["simulate", &path]).ended(2);
}

const ACETYLENE: &str = "{ kind = \"low-pressure\", flux_g_m2_h = 120, after_hours = 0, boosts = [{ boost_min = 5, diffuse_min = 20 }] }";

/// What is found is run again as a program of surfaces and gives what was asked: the search and
/// the engine agree. 1e-3 wt% is ten times the tolerance of a run.
#[test]
fn a_boost_and_a_diffuse_are_found() {
    let folder = folder("simulate-boost");
    let path = file(
        &folder,
        "s.toml",
        setup(PLATE, ACETYLENE, "output_depth_mm = [0.0, 0.8]"),
    );
    let wish = [
        "simulate",
        &path,
        "--find-boost",
        "0.40 wt% at 0.8 mm",
        "--surface-carbon",
        "0.75",
    ];
    let json = run(&[&wish[..], &["--json"]].concat()).ended(0).json();
    let (boost, diffuse) = (number(&json["boost_hours"]), number(&json["diffuse_hours"]));
    assert!(boost > 0.0 && diffuse > boost, "{json}");
    let carbon = numbers(&json["carbon_wt_pct"]);
    assert!(
        (carbon[0] - 0.75).abs() < 1e-3 && (carbon[1] - 0.40).abs() < 1e-3,
        "{carbon:?}"
    );
    let told = run(&wish).ended(0);
    assert!(told.out.contains("takes a boost of"), "{}", told.out);
    let (boost, diffuse) = (60.0 * boost, 60.0 * diffuse);
    let again = ACETYLENE
        .replace("boost_min = 5", &format!("boost_min = {boost}"))
        .replace("diffuse_min = 20", &format!("diffuse_min = {diffuse}"));
    let text = setup(PLATE, &again, "output_depth_mm = [0.0, 0.8]").replace(
        "hours = 8.0",
        &format!("hours = {}", (boost + diffuse) / 60.0),
    );
    let path = file(&folder, "again.toml", text);
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    for (ours, found) in numbers(&json["carbon_wt_pct"]).iter().zip(&carbon) {
        assert!((ours - found).abs() < 1e-3, "{ours} beside {found}");
    }
}

#[test]
fn a_gas_boost_needs_its_diffuse_and_what_cannot_be_had_is_said() {
    let folder = folder("simulate-boost-gas");
    let boost = "{ kind = \"gas\", potential_wt_pct = 1.0, coefficient_m_s = 1.5e-7 }";
    let with = format!("{boost}\ndiffuse = {{ kind = \"gas\", potential_wt_pct = 0.7 }}");
    let path = file(&folder, "gas.toml", setup(PLATE, &with, ""));
    let wish = |path: &str, surface: &str| {
        run(&[
            "simulate",
            path,
            "--find-boost",
            "0.40 wt% at 1.0 mm",
            "--surface-carbon",
            surface,
        ])
    };
    wish(&path, "0.75").ended(0);
    for (surface, words) in [
        ("0.1", "not above"),
        ("1.4", "wt%"),
        ("x", "carbon-not-read"),
    ] {
        let ran = wish(&path, surface).ended(2);
        assert!(ran.err.contains(words), "{surface}: {}", ran.err);
    }
    // A diffuse that no search asks for would be passed over.
    assert!(
        run(&["simulate", &path])
            .ended(2)
            .err
            .contains("diffuse-without-search")
    );
    let bare = file(&folder, "bare.toml", setup(PLATE, boost, ""));
    assert!(wish(&bare, "0.75").ended(2).err.contains("diffuse-missing"));
    let sealed = file(
        &folder,
        "sealed.toml",
        setup(PLATE, "{ kind = \"sealed\" }", ""),
    );
    assert!(wish(&sealed, "0.75").ended(2).err.contains("boost-missing"));
    run(&["simulate", &path, "--find-boost", "0.40 wt% at 1.0 mm"]).ended(2);
}

#[test]
fn cautions_of_the_medium_are_told_and_cyanide_is_refused_with_the_reason() {
    let folder = folder("simulate-cautions");
    let path = file(&folder, "s.toml", setup(PLATE, ACETYLENE, ""));
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    list(&json, "cautions", &["code", "hazard", "text"]);
    let told = run(&["simulate", &path]).ended(0);
    assert!(told.out.contains("■ Explosion: Acetylene"), "{}", told.out);
    let plain = file(&folder, "plain.toml", setup(PLATE, FIXED, ""));
    let json = run(&["simulate", &plain, "--json"]).ended(0).json();
    assert_eq!(json["cautions"].as_array().unwrap().len(), 0);
    let bath = "{ kind = \"salt\", bath = \"cyanide\", potential_wt_pct = 1, coefficient_m_s = 2e-7, above_c = 800 }";
    let cyanide = file(&folder, "cyanide.toml", setup(PLATE, bath, ""));
    let ran = run(&["simulate", &cyanide]).ended(2);
    for words in [
        "refused-cyanide",
        "cyanide kills",
        "do: A bath without cyanide",
    ] {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
}
