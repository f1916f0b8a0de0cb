//! `log`.

use super::*;

/// Half an hour of a couple in a box, a row a minute, in a file of the test's own.
fn written(name: &str, head: &str, row: impl Fn(u32) -> String) -> String {
    let rows: Vec<String> = (0..31).map(row).collect();
    file(
        &folder(name),
        "f1.csv",
        format!("{head}\n{}\n", rows.join("\n")),
    )
}

#[test]
fn the_contract_holds_and_time_above_is_told() {
    // 10 °C a minute from 800 to 1100 °C: above 900 °C from minute 10 on, for 20 minutes; one
    // broken couple at minute 15 is bridged by its neighbours, two minutes apart.
    let path = written("log-contract", "Time;Pack (°C)", |minute| {
        let value = match minute {
            15 => "OPEN".to_owned(),
            minute => format!("{},0", 800 + 10 * minute),
        };
        format!("25.11.2026 10:{minute:02}:00;{value}")
    });
    let json = run(&["log", &path, "--above", "900C", "--json"])
        .ended(0)
        .json();
    has(
        &json,
        &[
            "rows",
            "lines",
            "start",
            "length_s",
            "interval_s",
            "fates.read.lines",
            "fates.fault.ranges",
            "fates.unreadable.lines",
            "fates.out_of_order.lines",
            "fates.duplicate.lines",
            "longest_hole_s",
            "findings",
        ],
    );
    list(
        &json,
        "channels",
        &["name", "unit", "least_c", "greatest_c", "above"],
    );
    assert_eq!(json["rows"], 31);
    assert_eq!(json["start"], "2026-11-25T10:00:00");
    assert_eq!(
        json["fates"]["fault"]["ranges"],
        serde_json::json!([[17, 17]])
    );
    let above = &json["channels"][0]["above"][0];
    assert_eq!(number(&above["time_s"]), 1200.0);
    assert_eq!(number(&above["first_s"]), 600.0);
    assert_eq!(number(&above["not_known_s"]), 0.0);
    let told = run(&["log", &path, "--above", "900C"]).ended(0);
    assert!(
        told.out.contains("20 min") && told.out.contains("fault"),
        "{}",
        told.out
    );
}

#[test]
fn what_a_log_leaves_open_is_asked_and_the_answer_taken() {
    let path = written("log-open", "Time,PV", |minute| {
        format!("03/04/2026 10:{minute:02},{}", 1500 + minute)
    });
    let asked = run(&["log", &path, "--json"]).ended(2);
    let json = asked.json();
    let codes: Vec<_> = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| finding["code"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(codes, ["log-dates-open", "log-unit-open"]);
    assert!(asked.err.contains("--dates day-first") && asked.err.contains("--unit F"));
    let answered = [
        "log",
        &path,
        "--dates",
        "month-first",
        "--unit",
        "f",
        "--json",
    ];
    let json = run(&answered).ended(0).json();
    assert_eq!(json["start"], "2026-03-04T10:00:00");
    // 1530 °F is 832.2 °C.
    assert!((number(&json["channels"][0]["greatest_c"]) - 832.222).abs() < 1e-3);
}

#[test]
fn what_is_no_log_is_wrong_input() {
    let folder = folder("log-none");
    let empty = file(&folder, "empty.csv", "");
    let noise = file(
        &folder,
        "noise.bin",
        (0..=255_u8).cycle().take(4000).collect::<Vec<_>>(),
    );
    for path in [
        empty.as_str(),
        &noise,
        "nothing.csv",
        folder.to_str().unwrap(),
    ] {
        run(&["log", path]).ended(2);
        assert!(run(&["log", path, "--json"]).ended(2).json()["error"].is_object());
    }
}
