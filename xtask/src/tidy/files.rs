//! Every file has a head, is part of its crate, and is short enough to read.

use super::{Finding, numbered};
use crate::code;
use crate::tree::{File, Tree};

/// A file of this many lines is split, unless its head says why not.
const SPLIT_AT_LINES: usize = 800;
/// Words in a head that give the reason for length.
const REASON_FOR_LENGTH: &str = "Long because";

pub(super) fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for file in tree.rust() {
        head(file, &mut findings);
        length(file, &mut findings);
        attributes(file, &mut findings);
        if file.path.contains("/src/") {
            belongs(tree, file, &mut findings);
        }
    }
    findings
}

/// The tests that belong to one file say so by their name, `tests.rs` or `…_tests.rs`.
fn head(file: &File, findings: &mut Vec<Finding>) {
    if file.path.ends_with("tests.rs") && file.path.contains("/src/") {
        return;
    }
    let first = file.text.lines().next().unwrap_or_default();
    if first
        .strip_prefix("//!")
        .is_none_or(|words| words.trim().is_empty())
    {
        findings.push(Finding::new(
            &file.path,
            1,
            "the file has no head; begin with `//!` and say what it is for and what it does not do",
        ));
    }
}

fn length(file: &File, findings: &mut Vec<Finding>) {
    let lines = file.text.lines().count();
    let excused = file
        .text
        .lines()
        .take_while(|line| line.starts_with("//!"))
        .any(|line| line.contains(REASON_FOR_LENGTH));
    if lines > SPLIT_AT_LINES && !excused {
        findings.push(Finding::new(
            &file.path,
            0,
            format!(
                "{lines} lines; split at {SPLIT_AT_LINES}, or say in the head \"{REASON_FOR_LENGTH} …\""
            ),
        ));
    }
}

/// A silenced lint goes stale without a word; an expected one complains when it is no longer needed.
fn attributes(file: &File, findings: &mut Vec<Finding>) {
    for (line, text) in numbered(&code::only(&file.text)) {
        let text = text.trim_start();
        if text.starts_with("#[allow(") || text.starts_with("#![allow(") {
            findings.push(Finding::new(
                &file.path,
                line,
                "use `#[expect(…, reason = \"…\")]`, which complains once it is not needed",
            ));
        }
    }
}

/// A file that no `mod` line names is not compiled, and nobody notices.
fn belongs(tree: &Tree, file: &File, findings: &mut Vec<Finding>) {
    let Some((folder, name)) = file.path.rsplit_once('/') else {
        return;
    };
    if matches!(name, "lib.rs" | "main.rs") || folder.ends_with("/bin") {
        return;
    }
    let (module, above) = if name == "mod.rs" {
        let (above, module) = folder.rsplit_once('/').unwrap_or(("", folder));
        (module, above)
    } else {
        (name.trim_end_matches(".rs"), folder)
    };
    let parents = [
        format!("{above}/mod.rs"),
        format!("{above}/lib.rs"),
        format!("{above}/main.rs"),
        format!("{above}.rs"),
    ];
    let declared = parents
        .iter()
        .filter_map(|path| tree.file(path))
        .any(|parent| {
            code::only(&parent.text)
                .lines()
                .any(|line| line.trim_end().ends_with(&format!("mod {module};")))
        })
        || named_by_path(tree, folder, name);
    if !declared {
        findings.push(Finding::new(
            &file.path,
            0,
            format!("no `mod {module};` names this file, so it is never compiled"),
        ));
    }
}

/// `#[path = "name.rs"]` in a file of the same folder.
fn named_by_path(tree: &Tree, folder: &str, name: &str) -> bool {
    let attribute = format!("#[path = \"{name}\"]");
    tree.rust().any(|file| {
        file.path.rsplit_once('/').map(|(above, _)| above) == Some(folder)
            && file.text.contains(&attribute)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(files: &[(&str, &str)]) -> Vec<String> {
        check(&Tree::made_of(files))
            .into_iter()
            .map(|f| f.text)
            .collect()
    }

    #[test]
    fn a_headed_and_named_file_is_fine() {
        let found = texts(&[
            ("crates/a/src/lib.rs", "//! Head.\npub mod b;\nmod c;\n"),
            (
                "crates/a/src/b.rs",
                "//! Head.\n#[path = \"b_tests.rs\"]\nmod tests;\n",
            ),
            ("crates/a/src/c/mod.rs", "//! Head.\nmod tests;\n"),
            ("crates/a/src/c/tests.rs", "use super::*;\n"),
            ("crates/a/src/b_tests.rs", "use super::*;\n"),
        ]);
        assert!(found.is_empty(), "{found:?}");
    }

    #[test]
    fn faults_are_found() {
        let long = format!("//! Head.\n{}", "\n".repeat(900));
        let excused = format!(
            "//! Head. Long because it is a table.\n{}",
            "\n".repeat(900)
        );
        let silenced = format!("//! Head.\n#[{}(dead_code)]\nfn f() {{}}\n", "allow");
        for (files, words) in [
            (vec![("crates/a/src/lib.rs", "pub mod b;")], "no head"),
            (vec![("crates/a/src/lib.rs", "//!\n")], "no head"),
            (
                vec![
                    ("crates/a/src/lib.rs", "//! H\n// mod b;\n"),
                    ("crates/a/src/b.rs", "//! H\n"),
                ],
                "never compiled",
            ),
            (vec![("crates/a/src/lib.rs", long.as_str())], "split"),
            (vec![("crates/a/src/lib.rs", silenced.as_str())], "expect"),
        ] {
            let found = texts(&files);
            assert_eq!(found.len(), 1, "{found:?}");
            assert!(found[0].contains(words), "{found:?}");
        }
        assert!(texts(&[("crates/a/src/lib.rs", excused.as_str())]).is_empty());
    }
}
