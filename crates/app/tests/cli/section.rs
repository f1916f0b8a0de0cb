//! `simulate` for a section.

use super::*;

const END: &str = "[carbon]\ndiffusivity = \"agren-1986\"\nsurface = { kind = \"fixed\", carbon_wt_pct = 1.0 }\n\
                   [[cycle]]\nfrom_c = 927\nto_c = 927\nhours = 4\n";

fn setup(shape: &str) -> String {
    format!("[steel]\ncomposition_wt_pct = {{ C = 0.2 }}\n[shape]\n{shape}\n{END}")
}

const CORNER: &str = "kind = \"rectangle\"\nwidth_mm = 20\nheight_mm = 16\ncorner_radius_mm = 0";

const FIELDS: [&str; 14] = [
    "section",
    "solved",
    "x_mm",
    "y_mm",
    "carbon_wt_pct",
    "carbon_uptake_g_m",
    "treated_mm",
    "balance_error",
    "steps",
    "wall_s",
    "depth_least_mm",
    "depth_greatest_mm",
    "necks",
    "cautions",
];

fn depth(json: &Value, path: &str) -> f64 {
    let all = json["depths"].as_array().expect("depths are a list");
    let found = all.iter().find(|line| line["path"] == path);
    number(&found.unwrap_or_else(|| panic!("no {path} in {all:?}"))["depth_mm"])
}

#[test]
fn the_contract_of_a_section_holds() {
    let folder = folder("section-contract");
    let path = file(&folder, "s.toml", setup(CORNER));
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    has(&json, &FIELDS);
    list(&json, "contours", &["carbon_wt_pct", "lines"]);
    list(&json, "outline", &["treated", "points_mm"]);
    list(
        &json,
        "depths",
        &[
            "path",
            "from_mm",
            "surface_carbon_wt_pct",
            "depth_mm",
            "along_mm",
        ],
    );
    let (x, y) = (numbers(&json["x_mm"]), numbers(&json["y_mm"]));
    let rows = json["carbon_wt_pct"].as_array().unwrap();
    assert_eq!(rows.len(), y.len());
    assert!(rows.iter().all(|row| numbers(row).len() == x.len()));
    // What the run promises of itself.
    assert!(number(&json["balance_error"]) <= 1e-10, "{json}");
    // A flat of the bar is a plate: the one-dimensional engine on the same case. 2e-3 mm is
    // what the section's default tolerance of 1e-3 wt% is worth at the case's slope there.
    let plate = setup("kind = \"plate\"\nhalf_thickness_mm = 8");
    let line = file(
        &folder,
        "line.toml",
        format!(
            "output_depth_mm = [{}]\n{plate}",
            depth(&json, "middle of the bottom face")
        ),
    );
    let carbon = numbers(&run(&["simulate", &line, "--json"]).ended(0).json()["carbon_wt_pct"]);
    assert!((carbon[0] - 0.40).abs() < 2e-3, "{carbon:?}");
    // Two faces feed a corner.
    assert!(
        depth(&json, "lower left corner, diagonal") > 1.1 * depth(&json, "middle of the left face")
    );
}

#[test]
fn outside_the_steel_is_null() {
    let folder = folder("section-null");
    let path = file(
        &folder,
        "s.toml",
        setup("kind = \"bore\"\ndiameter_mm = 6\nwall_mm = 2"),
    );
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    let flat: Vec<&Value> = json["carbon_wt_pct"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|row| row.as_array().unwrap())
        .collect();
    assert!(flat.iter().any(|c| c.is_null()) && flat.iter().any(|c| c.is_number()));
    list(&json, "necks", &["path", "carbon_least_wt_pct", "at_mm"]);
}

#[test]
fn the_examples_run_and_are_drawn() {
    let folder = folder("section-examples");
    let examples = root().join("examples/setups");
    let mut names: Vec<PathBuf> = std::fs::read_dir(&examples)
        .expect("the examples are there")
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            // Setups of carbon; boxes, one part's quench or reheat and logs have no section.
            let text = std::fs::read_to_string(path).expect("an example is text");
            text.contains("[carbon]")
        })
        .collect();
    names.sort();
    assert!(names.len() >= 3, "{names:?}");
    for name in names {
        let map = folder.join("map.svg");
        let told = run(&[
            "simulate",
            name.to_str().unwrap(),
            "--map",
            map.to_str().unwrap(),
        ])
        .ended(0);
        assert!(told.out.contains("Map: "), "{}", told.out);
        let drawn = std::fs::read_to_string(&map).expect("the map was written");
        assert!(
            drawn.starts_with("<svg") && drawn.contains("0.40 wt%"),
            "{name:?}"
        );
    }
}

#[test]
fn what_does_not_go_together_is_refused() {
    let folder = folder("section-refused");
    let section = file(&folder, "s.toml", setup(CORNER));
    let line = file(
        &folder,
        "l.toml",
        setup("kind = \"plate\"\nhalf_thickness_mm = 8"),
    );
    let svg = folder.join("no.svg");
    let svg = svg.to_str().unwrap();
    for (arguments, code) in [
        (
            &["simulate", &section, "--find-hours", "0.4 wt% at 1 mm"][..],
            "search-in-a-section",
        ),
        (&["simulate", &line, "--map", svg], "map-without-section"),
    ] {
        let ran = run(arguments).ended(2);
        assert!(ran.err.contains(code), "{}", ran.err);
    }
    assert!(!Path::new(svg).exists());
    // A rounding that does not fit is the engine's to refuse.
    let round = file(
        &folder,
        "r.toml",
        setup(&CORNER.replace("corner_radius_mm = 0", "corner_radius_mm = 9")),
    );
    assert!(
        run(&["simulate", &round])
            .ended(2)
            .err
            .contains("setup-refused")
    );
    let nowhere = folder.join("no/where.svg");
    run(&["simulate", &section, "--map", nowhere.to_str().unwrap()]).ended(3);
}
