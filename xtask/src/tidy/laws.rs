//! The head of a law: seven headings in order, none empty.

use super::Finding;
use crate::tree::{File, Tree};

/// The headings, in order.
const HEADINGS: [&str; 7] = [
    "What",
    "Equation",
    "Symbols",
    "Source",
    "Valid for",
    "Weak where",
    "Checked by",
];

pub(super) fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for file in tree.rust().filter(|file| is_law(&file.path)) {
        head(file, &mut findings);
        checks(tree, file, &mut findings);
    }
    findings
}

/// `law/x.rs` and `law/x/mod.rs` are laws; deeper files are parts of one.
fn is_law(path: &str) -> bool {
    let Some(rest) = path.strip_prefix("crates/physics/src/law/") else {
        return false;
    };
    match rest.split('/').collect::<Vec<_>>()[..] {
        [name] => name != "mod.rs" && name != "tests.rs",
        [_, name] => name == "mod.rs",
        _ => false,
    }
}

/// The head's text under each heading, in the order they stand.
pub(super) fn sections(file: &File) -> Vec<(&'static str, String)> {
    let mut sections: Vec<(&'static str, String)> = Vec::new();
    for line in file.text.lines().take_while(|line| line.starts_with("//!")) {
        let line = line.trim_start_matches("//!").trim();
        let heading = HEADINGS.into_iter().find_map(|heading| {
            [
                format!("**{heading}**"),
                format!("**{heading}.**"),
                format!("**{heading}:**"),
                format!("# {heading}"),
            ]
            .iter()
            .find_map(|mark| line.strip_prefix(mark.as_str()))
            .map(|rest| (heading, rest.trim_start_matches([':', '.', ' ']).to_owned()))
        });
        match (heading, sections.last_mut()) {
            (Some(section), _) => sections.push(section),
            (None, Some((_, text))) => {
                text.push(' ');
                text.push_str(line);
            }
            (None, None) => {}
        }
    }
    sections
}

fn head(file: &File, findings: &mut Vec<Finding>) {
    let sections = sections(file);
    let order: Vec<&str> = sections.iter().map(|(heading, _)| *heading).collect();
    if order != HEADINGS {
        findings.push(Finding::new(
            &file.path,
            1,
            format!("the law's head has the headings {order:?}; wanted are {HEADINGS:?}"),
        ));
    }
    for (heading, text) in sections {
        if text.trim().is_empty() {
            findings.push(Finding::new(
                &file.path,
                1,
                format!("the heading {heading} is empty; \"not known\" is an answer"),
            ));
        }
    }
}

/// Tests that the head names are there.
fn checks(tree: &Tree, file: &File, findings: &mut Vec<Finding>) {
    let named = sections(file)
        .into_iter()
        .filter(|(heading, _)| *heading == "Checked by")
        .flat_map(|(_, text)| {
            text.split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect::<Vec<_>>()
        });
    for test in named {
        let plain = test.contains('_')
            && test
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
        let known = || {
            tree.rust()
                .any(|file| file.text.contains(&format!("fn {test}(")))
        };
        if plain && !known() {
            findings.push(Finding::new(
                &file.path,
                1,
                format!("the head says `{test}` checks this law, but there is no such test"),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: &str = "//! **What** a.\n//!\n//! **Equation** b\n//! **Symbols** c\n//! **Source** d\n\
        //! **Valid for** e\n//! **Weak where** f\n//! **Checked by** `val_g`.\nfn val_g() {}\n";

    fn found(text: &str) -> usize {
        check(&Tree::made_of(&[("crates/physics/src/law/x.rs", text)])).len()
    }

    #[test]
    fn a_whole_head_is_fine_and_gaps_are_found() {
        assert_eq!(found(WHOLE), 0);
        assert_eq!(found(&WHOLE.replace("**Source** d", "")), 1);
        assert_eq!(found(&WHOLE.replace("**Source** d", "**Source**")), 1);
        assert_eq!(found(&WHOLE.replace("fn val_g", "fn val_h")), 1);
        assert_eq!(found("//! x\n"), 1);
    }

    #[test]
    fn parts_of_a_law_need_no_second_head() {
        let tree = Tree::made_of(&[
            ("crates/physics/src/law/mod.rs", "//! x"),
            ("crates/physics/src/law/a/tests.rs", "//! x"),
            ("crates/physics/src/law/a/table.rs", "//! x"),
        ]);
        assert!(check(&tree).is_empty());
    }
}
