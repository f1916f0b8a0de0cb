//! Checks of the project's shape that no compiler makes. Each check is a function from the tree to
//! findings; all run as an ordinary test too.

mod files;
mod laws;
mod map;
mod rooms;
mod sources;
mod words;

use std::fmt;

use crate::tree::Tree;

/// Something to mend.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    /// Where.
    pub path: String,
    /// Line from 1; 0 for the file as a whole.
    pub line: usize,
    /// What is wrong and what would be right.
    pub text: String,
}

impl Finding {
    pub(crate) fn new(path: &str, line: usize, text: impl Into<String>) -> Self {
        Self {
            path: path.to_owned(),
            line,
            text: text.into(),
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            0 => write!(f, "{}: {}", self.path, self.text),
            line => write!(f, "{}:{line}: {}", self.path, self.text),
        }
    }
}

/// Everything to mend, sorted by place.
#[must_use]
pub fn findings(tree: &Tree) -> Vec<Finding> {
    let mut all = [
        files::check(tree),
        laws::check(tree),
        map::check(tree),
        rooms::check(tree),
        sources::check(tree),
        words::check(tree),
    ]
    .concat();
    all.sort();
    all.dedup();
    all
}

/// Lines of a text with their number from 1.
fn numbered(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(index, line)| (index + 1, line))
}

/// Whether the word stands in the text as a whole word.
fn has_word(text: &str, word: &str) -> bool {
    let part_of_word = |c: char| c.is_alphanumeric() || c == '_';
    text.match_indices(word).any(|(at, _)| {
        !text[..at].chars().next_back().is_some_and(part_of_word)
            && !text[at + word.len()..]
                .chars()
                .next()
                .is_some_and(part_of_word)
    })
}
