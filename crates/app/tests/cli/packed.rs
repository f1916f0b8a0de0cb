//! `simulate` for packed boxes.

use super::*;

fn example() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/setups/box.toml");
    std::fs::read_to_string(path).expect("the example is there")
}

#[test]
fn the_example_tells_every_part_and_the_couple() {
    let folder = folder("packed-example");
    let text = example().replace(
        "cooling = \"in-furnace\"",
        "cooling = \"in-air\"\ndetail = \"coarse\"",
    );
    let path = file(&folder, "box.toml", text);
    let json = run(&["simulate", &path, "--json"]).ended(0).json();
    has(
        &json,
        &[
            "hot_after_h",
            "soak_ends_h",
            "ends_h",
            "parts",
            "couples",
            "work_kwh",
            "balance_error",
            "sources",
        ],
    );
    let parts = json["parts"].as_array().expect("a list");
    assert_eq!(parts.len(), 12);
    let hot = json["hot_after_h"]["mid"].as_f64().expect("a number");
    let settled: Vec<f64> = parts
        .iter()
        .map(|p| p["settled_h"].as_f64().expect("settled"))
        .collect();
    let last = settled.iter().fold(0.0_f64, |a, b| a.max(*b));
    // The pack is hot when its last part is; times are rounded on the wire.
    assert!((last - hot).abs() < 0.02, "{last} {hot}");
    // Door side first: the couple's marks name the box's own middle and the one asked for.
    assert_eq!(json["couples"].as_array().map(Vec::len), Some(2));
    let told = run(&["simulate", &path]).ended(0).out;
    assert!(
        told.contains("The pack is hot after") && told.contains("buried couple"),
        "{told}"
    );
}

#[test]
fn a_wrong_box_is_told_at_its_place() {
    let folder = folder("packed-wrong");
    for (from, to, wanted) in [
        ("wall_mm = 6", "wall_in = 0.25", "wall_mm"),
        ("power_kw = 9", "power_kw = \"9 kW\"", "power_kw"),
        (
            "inside_mm = [150, 200, 150]",
            "inside_mm = [150, 200]",
            "It takes 3",
        ),
        (
            "at_mm = [67, 25, 40]",
            "at_mm = [26, 25, 40]",
            "lie in each other",
        ),
        (
            "inside_mm = [150, 200, 150]",
            "inside_mm = [350, 200, 150]",
            "does not fit",
        ),
        (
            "cooling = \"in-furnace\"",
            "cooling = \"in-oil\"",
            "in-furnace",
        ),
    ] {
        let path = file(&folder, "box.toml", example().replacen(from, to, 1));
        let ran = run(&["simulate", &path]).ended(2);
        assert!(
            format!("{}{}", ran.out, ran.err).contains(wanted),
            "{to}: {}{}",
            ran.out,
            ran.err
        );
    }
}

/// The example's log was made with a bed of 0.8.
#[test]
fn a_couples_log_gives_the_lines_for_the_shop_file() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/setups");
    let [setup, log] =
        ["box.toml", "box-couple.csv"].map(|name| root.join(name).display().to_string());
    let json = run(&["simulate", &setup, "--couple", &log, "--json"])
        .ended(0)
        .json();
    let factor = |end: &str| json["bed_factor"][end].as_f64().expect("a number");
    assert!(
        factor("low") < 0.8 && 0.8 < factor("high") && factor("high") < 1.0,
        "{json}"
    );
    let lines = json["shop_file"].as_array().expect("two lines");
    assert!(
        lines[0]
            .as_str()
            .is_some_and(|l| l.starts_with("bed_factor = \""))
    );
    assert!(
        lines[1]
            .as_str()
            .is_some_and(|l| l.starts_with("bed_doubt = \""))
    );
    run(&["simulate", &setup, "--couple", &log, "--at", "nobody"]).ended(2);
    let reheat = root.join("reheat.toml").display().to_string();
    run(&["simulate", &reheat, "--couple", &log]).ended(2);
}
