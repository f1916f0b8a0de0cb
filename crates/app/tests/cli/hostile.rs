//! Files that are no job and no setup: a clean complaint and status 2, whatever they are.

use super::*;

/// Runs the three commands that read a file; each must end with 2, with and without JSON.
#[track_caller]
fn refused(path: &str) -> String {
    let mut told = String::new();
    for name in ["plan", "sheet", "simulate"] {
        let ran = run(&[name, path]).ended(2);
        assert!(ran.out.is_empty(), "{name}: {}", ran.out);
        assert!(!ran.err.is_empty(), "{name} says why");
        assert!(
            ran.err.len() < 200_000,
            "{name} says it briefly: {} bytes",
            ran.err.len()
        );
        assert!(!ran.err.contains('\u{1b}'), "{name}: {:?}", ran.err);
        let json = run(&[name, path, "--json"]).ended(2).json();
        assert_eq!(json["error"]["kind"], "input", "{name}");
        told = ran.err;
    }
    told
}

#[test]
fn missing_folder_and_empty() {
    let folder = folder("hostile-plain");
    refused(folder.join("none.toml").to_str().unwrap());
    refused(folder.to_str().unwrap());
    refused("");
    refused(&file(&folder, "empty.toml", ""));
    refused(&file(&folder, "blank.toml", "\n\n   \n# nothing\n"));
}

#[test]
fn fifty_megabytes() {
    let folder = folder("hostile-huge");
    let path = file(&folder, "huge.toml", vec![b'a'; 50 << 20]);
    let told = refused(&path);
    assert!(told.contains("text-too-large"), "{told}");
    std::fs::remove_file(path).unwrap();
}

#[test]
fn no_text() {
    let folder = folder("hostile-binary");
    let all: Vec<u8> = (0..=255).cycle().take(4096).collect();
    refused(&file(&folder, "all.toml", all));
    refused(&file(&folder, "zero.toml", "name = \"a\u{0}b\""));
    refused(&file(&folder, "utf16.toml", [0xff, 0xfe, b'n', 0, b'=', 0]));
    refused(&file(&folder, "latin.toml", b"note = \"14 \xb0C\""));
}

#[test]
fn no_toml() {
    let folder = folder("hostile-toml");
    for (index, text) in [
        "[".to_owned(),
        "= = =".to_owned(),
        "\"".to_owned(),
        "note = \"\"\"never closed".to_owned(),
        "[".repeat(100_000),
        format!("a = {}", "[".repeat(100_000)),
        format!("a = {}1{}", "{ b = ".repeat(10_000), " }".repeat(10_000)),
        format!("a = \"{}\"", "x".repeat(300_000)),
        "a.".repeat(100_000),
        "a = 1\n".repeat(20_000),
        "a = 99999999999999999999999999999".to_owned(),
        "<html>not a job</html>".to_owned(),
        "\u{202e}name = \"x\"".to_owned(),
    ]
    .into_iter()
    .enumerate()
    {
        refused(&file(&folder, &format!("{index}.toml"), text));
    }
}

#[test]
fn names_that_would_drive_a_terminal() {
    let folder = folder("hostile-names");
    let text = "name = \"\\u001b[2J\\u0007\"\n\"\\u001b]0;x\" = 1\nshop = \"\\u001b[31m.toml\"\n";
    refused(&file(&folder, "escape.toml", text));
    refused(&file(&folder, "\u{1b}[31m odd name ü.toml", "x = 1\n"));
}

#[test]
#[cfg(target_os = "linux")]
fn a_path_that_is_no_text() {
    use std::os::unix::ffi::OsStrExt;
    let mut command = command(&["simulate"]);
    command.arg(std::ffi::OsStr::from_bytes(b"no-\xff-text.toml"));
    run_with(command, "").ended(2);
    run(&["plan", "/dev/zero"]).ended(2);
}

#[test]
fn jobs_with_wrong_units_and_contradictions_say_where() {
    let job = std::fs::read_to_string(root().join("examples/winch-pawl/job.toml")).unwrap();
    let shop = root().join("examples/gannet-slip/shop.toml");
    let job = job.replace("../gannet-slip/shop.toml", shop.to_str().unwrap());
    let folder = folder("hostile-jobs");
    for (index, (from, to)) in [
        ("thickness = \"14 mm\"", "thickness = \"14 kg\""),
        ("thickness = \"14 mm\"", "thickness = 14"),
        ("thickness = \"14 mm\"", "thickness = \"-14 mm\""),
        ("thickness = \"14 mm\"", "thickness = \"NaN mm\""),
        ("thickness = \"14 mm\"", "thickness = \"1e400 mm\""),
        ("shape = \"plate\"", "shape = \"dodecahedron\""),
        ("quantity = 4", "quantity = -4"),
        ("quantity = 4", "quantity = 0"),
        ("grade = \"C15E\"", "grade = \"unobtainium\""),
        ("[part]", "[part]\n[part]"),
        ("[part]", "colour = \"red\"\n[part]"),
    ]
    .into_iter()
    .enumerate()
    {
        assert!(job.contains(from), "{from} is not in the example");
        let path = file(&folder, &format!("{index}.toml"), job.replacen(from, to, 1));
        let ran = run(&["plan", &path]).ended(2);
        assert!(
            ran.err.contains(&format!("{index}.toml:")),
            "{to}: no place in\n{}",
            ran.err
        );
    }
}

#[test]
fn a_shop_that_is_not_there_is_told_at_the_jobs_line() {
    let job = std::fs::read_to_string(root().join("examples/winch-pawl/job.toml")).unwrap();
    let folder = folder("hostile-shop");
    for (name, shop) in [
        ("gone", "no-such-shop.toml"),
        ("folder", "."),
        ("device", "/dev/zero"),
    ] {
        let text = job.replace("../gannet-slip/shop.toml", shop);
        let path = file(&folder, &format!("{name}.toml"), text);
        let ran = run(&["plan", &path]).ended(2);
        assert!(
            ran.err.contains(&format!("{name}.toml:")),
            "{name}: {}",
            ran.err
        );
    }
}
