//! Who may know whom: between crates, and between the floors of one crate.

use super::{Finding, has_word, numbered};
use crate::code;
use crate::tree::{File, Tree};

/// Each room with the rooms of ours it may know. `app` may know all.
const MAY_KNOW: [(&str, &[&str]); 8] = [
    ("terms", &[]),
    ("physics", &["terms"]),
    ("job", &["terms"]),
    ("plan", &["terms", "job", "physics"]),
    ("report", &["terms", "job", "physics", "plan"]),
    ("records", &["terms", "job", "physics", "plan"]),
    (
        "app",
        &["terms", "physics", "job", "plan", "report", "records"],
    ),
    ("xtask", &[]),
];

/// Within a crate: files under the path may not use the module.
const FLOORS: [(&str, &[&str], &str); 5] = [
    (
        "crates/physics/src/numerics/",
        &[
            "law", "matter", "model", "simulate", "setup", "run", "verify",
        ],
        "numerics knows no physics",
    ),
    (
        "crates/physics/src/law/",
        &["model", "simulate", "verify"],
        "a law is a closed formula and knows no model",
    ),
    (
        "crates/physics/src/matter/",
        &["model", "simulate", "verify"],
        "matter turns records into properties and knows no model",
    ),
    (
        "crates/plan/src/check",
        &["propose"],
        "check is written without looking at propose",
    ),
    (
        "crates/plan/src/propose",
        &["learn"],
        "propose gets beliefs as values and does not learn",
    ),
];

/// Rooms that do no input or output.
const PURE: [&str; 5] = ["terms", "physics", "job", "plan", "report"];
/// What a pure room does not touch. Macros such as `env!` are resolved when compiling.
const WORLD: [&str; 8] = [
    "std::fs",
    "std::net",
    "std::env",
    "std::process",
    "std::io::stdin",
    "std::io::stdout",
    "SystemTime",
    "Instant::now",
];

pub(super) fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for file in &tree.files {
        let Some(room) = file.room() else { continue };
        match MAY_KNOW.iter().find(|(name, _)| *name == room) {
            Some((_, may)) => imports(file, room, may, &mut findings),
            None if file.path.ends_with("/Cargo.toml") => findings.push(Finding::new(
                &file.path,
                0,
                format!(
                    "the room `{room}` has no line in xtask/src/tidy/rooms.rs; say whom it may know"
                ),
            )),
            None => {}
        }
        if file.path.ends_with(".rs") {
            floors(file, &mut findings);
            world(file, room, &mut findings);
        }
    }
    findings
}

fn imports(file: &File, room: &str, may: &[&str], findings: &mut Vec<Finding>) {
    let (text, mark) = if file.path.ends_with("Cargo.toml") {
        (file.text.clone(), "casewright-")
    } else if file.path.ends_with(".rs") {
        (code::only(&file.text), "casewright_")
    } else {
        return;
    };
    for (line, text) in numbered(&text) {
        // The crate's own name is no import.
        if text.trim_start().starts_with("name") {
            continue;
        }
        for (at, _) in text.match_indices(mark) {
            let named: String = text[at + mark.len()..]
                .chars()
                .take_while(char::is_ascii_lowercase)
                .collect();
            let known = MAY_KNOW.iter().any(|(name, _)| *name == named);
            if known && named != room && !may.contains(&named.as_str()) {
                findings.push(Finding::new(
                    &file.path,
                    line,
                    format!("`{room}` must not know `{named}`"),
                ));
            }
        }
    }
}

fn floors(file: &File, findings: &mut Vec<Finding>) {
    for (below, above, why) in FLOORS {
        if !file.path.starts_with(below) || file.path.ends_with("tests.rs") {
            continue;
        }
        for (line, text) in shipped_lines(&code::only(&file.text)) {
            for module in above {
                if text.contains(&format!("crate::{module}::"))
                    || text.contains(&format!("crate::{module};"))
                    || grouped(text, module)
                {
                    findings.push(Finding::new(
                        &file.path,
                        line,
                        format!("uses `{module}`, but {why}"),
                    ));
                }
            }
        }
    }
}

/// Lines up to the tests at the end of a file: these are not shipped and may look further.
fn shipped_lines(code: &str) -> impl Iterator<Item = (usize, &str)> {
    numbered(code).take_while(|(_, line)| line.trim() != "#[cfg(test)]")
}

/// `use crate::{law, …}` on one line.
fn grouped(line: &str, module: &str) -> bool {
    line.split_once("crate::{").is_some_and(|(_, group)| {
        group.split(',').any(|name| {
            name.trim()
                .split("::")
                .next()
                .map(|n| n.trim_end_matches(['}', ';']))
                == Some(module)
        })
    })
}

fn world(file: &File, room: &str, findings: &mut Vec<Finding>) {
    if !PURE.contains(&room) || !file.is_shipped() {
        return;
    }
    let code = code::only(&file.text);
    // Tests at the end of a file are not shipped: one may look at the clock.
    let shipped = code
        .lines()
        .take_while(|line| line.trim() != "#[cfg(test)]");
    for (line, text) in shipped.enumerate().map(|(index, line)| (index + 1, line)) {
        for touched in WORLD {
            if has_word(text, touched) {
                findings.push(Finding::new(
                    &file.path,
                    line,
                    format!("`{touched}` in `{room}`, which touches no files, clock, environment or screen"),
                ));
            }
        }
        for macro_name in ["println!", "print!", "eprintln!", "eprint!"] {
            if has_word(text, macro_name.trim_end_matches('!')) && text.contains(macro_name) {
                findings.push(Finding::new(
                    &file.path,
                    line,
                    format!("`{macro_name}` outside of `app` and `xtask`"),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(path: &str, text: &str) -> Vec<String> {
        check(&Tree::made_of(&[(path, text)]))
            .into_iter()
            .map(|f| f.text)
            .collect()
    }

    #[test]
    fn forbidden_arrows_are_found_in_code_and_manifests() {
        for (path, text) in [
            ("crates/job/src/a.rs", "use casewright_physics::run;"),
            (
                "crates/job/Cargo.toml",
                "casewright-physics.workspace = true",
            ),
            (
                "crates/physics/src/a.rs",
                "fn f(s: casewright_plan::Plan) {}",
            ),
            ("crates/physics/src/numerics/a.rs", "use crate::law::x;"),
            (
                "crates/physics/src/numerics/a.rs",
                "use crate::{law, numerics};",
            ),
            ("crates/physics/src/law/a.rs", "use crate::model::carbon;"),
            ("crates/plan/src/check.rs", "use crate::propose::rule;"),
            (
                "crates/plan/src/propose/route.rs",
                "use crate::learn::Beliefs;",
            ),
            ("crates/plan/src/a.rs", "std::fs::read(x)"),
            ("crates/report/src/a.rs", "println!(\"x\")"),
            ("crates/new/Cargo.toml", "name = \"casewright-new\""),
        ] {
            assert_eq!(found(path, text).len(), 1, "{path}: {text}");
        }
    }

    #[test]
    fn allowed_arrows_and_sentences_are_fine() {
        for (path, text) in [
            ("crates/plan/src/a.rs", "use casewright_physics::run;"),
            ("crates/plan/Cargo.toml", "name = \"casewright-plan\""),
            (
                "crates/job/src/a.rs",
                "// casewright_physics is not known here",
            ),
            ("crates/physics/src/law/a.rs", "use crate::numerics::fun;"),
            ("crates/physics/src/model/a.rs", "use crate::law::x;"),
            (
                "crates/plan/src/check.rs",
                "// written without looking at crate::propose::",
            ),
            ("crates/report/examples/a.rs", "println!(\"x\")"),
            (
                "crates/report/src/a.rs",
                "#[cfg(test)]\nmod tests { fn f() { println!() } }",
            ),
            ("crates/app/src/a.rs", "std::fs::read(x); println!()"),
        ] {
            assert!(found(path, text).is_empty(), "{path}: {text}");
        }
    }
}
