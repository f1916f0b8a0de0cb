//! `note`.

use super::*;

const NOTE: &str = "CARBURIZE .030-.040 ECD, RC 58-62, CORE 25-40";

#[test]
fn the_contract_holds() {
    let json = run(&["note", NOTE, "--json"]).ended(0).json();
    list(&json, "phrases", &["phrase", "understood", "assumed"]);
    has(
        &json,
        &[
            "case_depth_mm.min",
            "case_depth_mm.max",
            "depth_kind",
            "limit_hardness",
            "stage",
            "stock_per_side_mm",
            "surface_hardness.scale",
            "surface_hardness.min",
            "surface_hardness.max",
            "core_hardness.scale",
            "core_hardness.min",
            "core_hardness.max",
            "selective",
            "standards",
            "blocks",
            "assumptions",
            "question",
        ],
    );
    // Thousandths of an inch, exact: 0.030 in = 0.762 mm, 0.040 in = 1.016 mm.
    assert!((number(&json["case_depth_mm"]["min"]) - 0.762).abs() < 1e-9);
    assert!((number(&json["case_depth_mm"]["max"]) - 1.016).abs() < 1e-9);
    assert_eq!(json["depth_kind"], "effective");
    assert_eq!(json["surface_hardness"]["scale"], "HRC");
    assert_eq!(json["core_hardness"]["max"], 40.0);
}

#[test]
fn argument_input_and_file_read_the_same() {
    let told = run(&["note", NOTE]).ended(0).out;
    let folder = folder("note-file");
    let path = file(&folder, "note.txt", format!("{NOTE}\n"));
    assert_eq!(run(&["note", "--file", &path]).ended(0).out, told);
    let piped = run_with(command(&["note", "-"]), &format!("{NOTE}\n")).ended(0);
    assert_eq!(piped.out, told);
}

#[test]
fn open_questions_are_told_and_are_no_failure() {
    let json = run(&["note", "case harden 58-62", "--json"])
        .ended(0)
        .json();
    list(&json, "blocks", &["code", "text"]);
    assert!(json["question"].is_string(), "{json}");
}

#[test]
fn what_is_no_note_is_wrong_input() {
    for text in ["", "   ", "\n"] {
        run(&["note", text]).ended(2);
    }
    let long = "case harden ".repeat(20_000);
    run_with(command(&["note", "-"]), &long).ended(2);
    let folder = folder("note-binary");
    let path = file(&folder, "note.bin", [0xff, 0x00, 0x80]);
    run(&["note", "--file", &path]).ended(2);
}

#[test]
fn odd_notes_are_read_without_harm() {
    for text in [
        "-",
        "—",
        "0.8 +",
        "99999999999999999999 mm",
        "1e308 mm ECD",
        "\u{1b}]0;x\u{7} 0.8 mm",
        "½⅜ ﷽ 0,8…1,2",
        "--json",
        "CHD 550 HV1 = 0,8 + 0,4\nHRC 60 ± 2\t\u{202e}",
    ] {
        let ran = run(&["note", "--", text]);
        assert!(matches!(ran.status, 0 | 2), "{text}: {}", ran.err);
        assert!(!ran.out.contains('\u{1b}'), "{:?}", ran.out);
    }
}
