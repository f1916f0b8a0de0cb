//! What all commands have in common: help, usage errors, pipes, one JSON value.

use std::process::Stdio;

use super::*;

#[test]
fn help_and_version_are_answers() {
    for arguments in [
        &["--help"][..],
        &["-h"],
        &["--version"],
        &["plan", "--help"],
    ] {
        let ran = run(arguments).ended(0);
        assert!(!ran.out.is_empty() && ran.err.is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_wrong_command_line_is_wrong_input() {
    for arguments in [
        &[][..],
        &["boil"],
        &["plan"],
        &["plan", "a.toml", "b.toml"],
        &["plan", "a.toml", "--seed", "x"],
        &["sheet", "a.toml", "--paper", "a3"],
        &["steel"],
        &["steel", "8620", "--composition", "C=0.2"],
        &["note", "x", "--file", "y"],
        &["convert"],
    ] {
        let ran = run(arguments).ended(2);
        assert!(ran.out.is_empty() && !ran.err.is_empty(), "{arguments:?}");
        let asked = [arguments, &["--json"]].concat();
        let json = run(&asked).ended(2).json();
        has(&json, &["error.kind", "error.text", "findings"]);
    }
}

#[test]
fn trouble_in_json_is_one_object_with_its_place() {
    let folder = folder("trouble-in-json");
    let setup = file(&folder, "s.toml", "[shape]\nkind = \"platte\"\n");
    let ran = run(&["simulate", &setup, "--json"]).ended(2);
    let json = ran.json();
    assert_eq!(json["error"]["kind"], "input");
    list(
        &json,
        "findings",
        &["code", "severity", "text", "hint", "place"],
    );
    let place = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|finding| finding["code"] == "unknown-word")
        .map(|finding| &finding["place"])
        .expect("the wrong word is found");
    assert_eq!((&place["line"], &place["column"]), (&2.into(), &8.into()));
    assert!(ran.err.contains("s.toml:2:8"), "{}", ran.err);
}

#[test]
fn a_reader_who_closes_the_pipe_ends_it_quietly() {
    let mut child = command(&["verify"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(output.stderr.is_empty(), "{output:?}");
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_is_the_worlds_failure() {
    let full = std::fs::File::options()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let status = command(&["convert", "58HRC"])
        .stdout(full)
        .stderr(Stdio::null())
        .status()
        .unwrap();
    assert_eq!(status.code(), Some(3));
}

#[test]
fn nothing_is_coloured_away_from_a_terminal() {
    let ran = run(&["simulate", "no-such-file.toml"]).ended(2);
    assert!(!ran.err.contains('\u{1b}'), "{:?}", ran.err);
}
