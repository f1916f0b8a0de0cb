//! A note cut into pieces: amounts, names, words of the trade, and what was not read.
//!
//! Every token lands in exactly one piece, in order. What a piece means beside the others is
//! `sense`'s affair.

use std::ops::Range;

use super::amount::{self, Amount};
use super::named::{self, JisDepth, Named};
use super::scale::{self, Mark};
use super::token::{Kind, Token};
use super::words::{self, Habit, Meaning};

/// What a piece is.
#[derive(Clone, Debug)]
pub(super) enum Item {
    /// A number with all that belongs to it.
    Amount(Amount),
    /// A scale without its number.
    Scale(Mark),
    /// A word of the dictionary.
    Word(Meaning, Habit),
    /// A standard in one spelling.
    Standard(String),
    /// A steel.
    Steel,
    /// A JIS depth symbol.
    Jis(JisDepth),
    /// A name or list number.
    Label(&'static str),
    /// A comma, full stop, semicolon or new line: `hard` where it ends a sentence or line.
    Break {
        /// Full stop, semicolon or new line.
        hard: bool,
    },
    /// Brackets, colons, dashes.
    Sign,
    /// Not in the dictionary.
    Unknown,
}

/// A piece with its bytes and, once it is clear, its reading.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// What it is.
    pub(super) item: Item,
    /// Bytes in the note.
    pub(super) span: Range<usize>,
    /// Folded text.
    pub(super) text: String,
    /// What it was taken to mean.
    pub(super) understood: Option<String>,
    /// What was assumed.
    pub(super) assumed: Option<String>,
}

impl Piece {
    /// The meaning, where the piece is a word of the dictionary.
    pub(super) fn meaning(&self) -> Option<Meaning> {
        match self.item {
            Item::Word(meaning, _) => Some(meaning),
            _ => None,
        }
    }

    /// The amount, where the piece is one.
    pub(super) fn amount(&self) -> Option<&Amount> {
        match &self.item {
            Item::Amount(amount) => Some(amount),
            _ => None,
        }
    }

    /// Says what the piece means, unless something better was said before.
    pub(super) fn say(&mut self, understood: impl Into<String>) {
        if self.understood.is_none() {
            self.understood = Some(understood.into());
        }
    }

    /// Adds an assumption.
    pub(super) fn assume(&mut self, text: &str) {
        match &mut self.assumed {
            Some(assumed) if assumed.contains(text) => {}
            Some(assumed) => {
                assumed.push_str("; ");
                assumed.push_str(text);
            }
            None => self.assumed = Some(text.to_owned()),
        }
    }
}

/// Cuts tokens into pieces.
pub(super) fn pieces(tokens: &[Token]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if tokens[at].new_line && at > 0 {
            pieces.push(piece(Item::Break { hard: true }, tokens, at..at));
        }
        let (item, next) = item(tokens, at);
        pieces.push(piece(item, tokens, at..next));
        at = next;
    }
    pieces
}

fn piece(item: Item, tokens: &[Token], range: Range<usize>) -> Piece {
    let start = tokens[range.start].span.start;
    let end = if range.is_empty() {
        start
    } else {
        tokens[range.end - 1].span.end
    };
    let words: Vec<&str> = tokens[range].iter().map(|t| t.text.as_str()).collect();
    Piece {
        item,
        span: start..end,
        text: words.join(" "),
        understood: None,
        assumed: None,
    }
}

/// The piece that starts at a token, and the index behind it.
fn item(tokens: &[Token], at: usize) -> (Item, usize) {
    if let Some((named, next)) = named::find(tokens, at) {
        let item = match named {
            Named::Standard(name) => Item::Standard(name),
            Named::Steel => Item::Steel,
            Named::JisDepth(depth) => Item::Jis(depth),
            Named::Label(what) => Item::Label(what),
        };
        return (item, next);
    }
    let word = words::find(tokens, at);
    // `C/HDN` begins like a scale, `A SIDE` like a letter: the longer word wins over a bound.
    if let Some((amount, next)) = amount::find(tokens, at)
        && word.is_none_or(|(_, end)| end <= next)
    {
        return (Item::Amount(amount), next);
    }
    if let Some((entry, next)) = word {
        return (Item::Word(entry.meaning, entry.habit), next);
    }
    if tokens[at].kind == Kind::Word
        && let Some((mark, next)) = scale::scale(tokens, at)
    {
        return (Item::Scale(mark), next);
    }
    if let Some((mark, next)) = scale::scale(tokens, at) {
        return (Item::Scale(mark), next);
    }
    let item = match tokens[at].kind {
        Kind::Sign('.' | ';') => Item::Break { hard: true },
        Kind::Sign(',') => Item::Break { hard: false },
        Kind::Sign(
            ':' | '=' | '(' | ')' | '[' | ']' | '-' | '/' | '"' | '\'' | '*' | '{' | '}' | '|'
            | '_' | '•' | '·' | '!' | '°' | '~' | '?',
        ) => Item::Sign,
        _ => Item::Unknown,
    };
    (item, at + 1)
}
