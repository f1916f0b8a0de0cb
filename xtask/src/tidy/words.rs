//! Words that do not belong in the project's text.

use super::{Finding, has_word, numbered};
use crate::tree::Tree;

/// Marks of unfinished work, in two pieces so that this file does not hold them.
const UNFINISHED: [[&str; 2]; 4] = [["FIX", "ME"], ["TO", "DO"], ["XX", "X"], ["HA", "CK"]];

/// Names of machines, paths and makers of text that say nothing about the program; in two pieces
/// for the same reason.
const FOREIGN: [[&str; 2]; 9] = [
    ["/wo", "rk/"],
    ["/tmp", "/t-"],
    ["cla", "ude"],
    ["anth", "ropic"],
    ["chat", "gpt"],
    ["open", "ai"],
    ["copi", "lot"],
    ["language", " model"],
    ["sub", "agent"],
];

pub(super) fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for file in &tree.files {
        for (line, text) in numbered(&file.text) {
            for pieces in UNFINISHED {
                let word = pieces.concat();
                if has_word(text, &word) {
                    findings.push(Finding::new(
                        &file.path,
                        line,
                        format!("{word}: do it, or write an issue"),
                    ));
                }
            }
            let lower = text.to_lowercase();
            for pieces in FOREIGN {
                let word = pieces.concat();
                if lower.contains(&word) {
                    findings.push(Finding::new(
                        &file.path,
                        line,
                        format!("\"{word}\" says nothing about the program"),
                    ));
                }
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unfinished_marks_are_found_as_words_only() {
        let mark = UNFINISHED[1].concat();
        let tree = Tree::made_of(&[("a.md", &format!("{mark}: x\n{mark}S\nMETHODOLOGY\n"))]);
        let lines: Vec<usize> = check(&tree).iter().map(|f| f.line).collect();
        assert_eq!(lines, [1]);
    }

    #[test]
    fn this_file_is_clean() {
        let tree = Tree::made_of(&[("xtask/src/tidy/words.rs", include_str!("words.rs"))]);
        assert!(check(&tree).is_empty());
    }
}
