//! Numbers as people write them: leading dots, decimal commas, fractions, mixed fractions.
//!
//! What can be read two ways (`1,200`) is asked about, never chosen.

use std::ops::Range;

use casewright_terms::Diag;

use super::{Slip, slip};

/// The sign in front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    None,
    PlusMinus,
}

/// A number that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) sign: Sign,
    /// Whether it was written as a fraction.
    pub(super) fraction: bool,
    /// Byte after its last character.
    pub(super) end: usize,
}

const VULGAR: [(char, f64); 7] = [
    ('¼', 0.25),
    ('½', 0.5),
    ('¾', 0.75),
    ('⅛', 0.125),
    ('⅜', 0.375),
    ('⅝', 0.625),
    ('⅞', 0.875),
];

/// Reads the number that begins at `from`, or `None` where none does.
pub(super) fn read(text: &str, from: usize) -> Result<Option<Number>, Slip> {
    let mut cursor = Cursor { text, at: from };
    cursor.blanks();
    let start = cursor.at;
    let (sign, factor) = cursor.sign();
    cursor.blanks();
    if let Some(value) = cursor.vulgar() {
        return Ok(Some(cursor.done(factor * value, sign, true)));
    }
    let token = cursor.take(|c| c.is_ascii_digit() || c == '.' || c == ',');
    if !text[token.clone()].contains(|c: char| c.is_ascii_digit()) {
        return Ok(None);
    }
    let first = &text[token.clone()];
    let whole = first.bytes().all(|b| b.is_ascii_digit());
    if let Some(bottom) = whole.then(|| cursor.over()).flatten() {
        let value = quotient(first, &text[bottom], start..cursor.at)?;
        return Ok(Some(cursor.done(factor * value, sign, true)));
    }
    let value = decimal(text, token)?;
    if whole {
        if let Some(part) = cursor.vulgar() {
            return Ok(Some(cursor.done(factor * (value + part), sign, true)));
        }
        if let Some(part) = cursor.mixed()? {
            return Ok(Some(cursor.done(factor * (value + part), sign, true)));
        }
    }
    let mut ahead = Cursor {
        text,
        at: cursor.at,
    };
    ahead.blanks();
    if ahead.at > cursor.at && text[ahead.at..].starts_with(|c: char| c.is_ascii_digit()) {
        let end = ahead
            .take(|c| c.is_ascii_digit() || c == '.' || c == ',')
            .end;
        return Err(slip(
            Diag::stop(
                "number-unclear",
                format!("\"{}\" is two numbers in a row.", text[start..end].trim()),
            )
            .why("It may be a thousand written with a blank, or two sizes.")
            .accepted("Write one number without a blank in it."),
            start..end,
        ));
    }
    Ok(Some(cursor.done(factor * value, sign, false)))
}

/// A token of digits with at most one decimal mark.
fn decimal(text: &str, span: Range<usize>) -> Result<f64, Slip> {
    let token = &text[span.clone()];
    let dots = token.matches('.').count();
    let commas = token.matches(',').count();
    let grouped = token.split_once(',').is_some_and(|(whole, rest)| {
        rest.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0')
    });
    if dots + commas > 1 || (commas == 1 && grouped) {
        let plain: String = token.chars().filter(char::is_ascii_digit).collect();
        let (thousands, point) = match (dots, commas) {
            (0, 1) => (plain, token.replace(',', ".")),
            _ => (plain, "the number with one decimal point".to_owned()),
        };
        return Err(slip(
            Diag::stop(
                "number-unclear",
                format!("\"{token}\" can be read in two ways."),
            )
            .why("A comma parts the thousands in one country and the decimals in another, and the two differ a thousandfold.")
            .accepted(format!("Write {thousands}, or {point}.")),
            span,
        ));
    }
    token.replace(',', ".").parse::<f64>().map_err(|_| {
        slip(
            Diag::stop("number-unclear", format!("\"{token}\" is not a number."))
                .accepted("Write digits with at most one decimal point, such as 0.750."),
            span,
        )
    })
}

fn quotient(top: &str, bottom: &str, span: Range<usize>) -> Result<f64, Slip> {
    match (top.parse::<f64>(), bottom.parse::<f64>()) {
        (Ok(top), Ok(bottom)) if bottom > 0.0 => Ok(top / bottom),
        _ => Err(slip(
            Diag::stop("number-unclear", "This fraction divides by zero.")
                .accepted("Write for example 3/4."),
            span,
        )),
    }
}

struct Cursor<'t> {
    text: &'t str,
    at: usize,
}

impl Cursor<'_> {
    fn done(&self, value: f64, sign: Sign, fraction: bool) -> Number {
        Number {
            value,
            sign,
            fraction,
            end: self.at,
        }
    }

    fn take(&mut self, keep: impl Fn(char) -> bool) -> Range<usize> {
        let start = self.at;
        let rest = &self.text[start..];
        self.at = start + rest.find(|c| !keep(c)).unwrap_or(rest.len());
        start..self.at
    }

    fn blanks(&mut self) {
        self.take(char::is_whitespace);
    }

    fn sign(&mut self) -> (Sign, f64) {
        const SIGNS: [(&str, Sign, f64); 7] = [
            ("±", Sign::PlusMinus, 1.0),
            ("+/-", Sign::PlusMinus, 1.0),
            ("+-", Sign::PlusMinus, 1.0),
            ("+", Sign::None, 1.0),
            ("-", Sign::None, -1.0),
            ("−", Sign::None, -1.0),
            ("–", Sign::None, -1.0),
        ];
        for (mark, sign, factor) in SIGNS {
            if self.text[self.at..].starts_with(mark) {
                self.at += mark.len();
                return (sign, factor);
            }
        }
        (Sign::None, 1.0)
    }

    fn vulgar(&mut self) -> Option<f64> {
        let mut ahead = Cursor {
            text: self.text,
            at: self.at,
        };
        ahead.blanks();
        let c = self.text[ahead.at..].chars().next()?;
        let (_, value) = VULGAR.into_iter().find(|&(sign, _)| sign == c)?;
        self.at = ahead.at + c.len_utf8();
        Some(value)
    }

    /// The digits under a fraction stroke that comes next.
    fn over(&mut self) -> Option<Range<usize>> {
        let mut ahead = Cursor {
            text: self.text,
            at: self.at,
        };
        ahead.blanks();
        if !self.text[ahead.at..].starts_with(['/', '⁄']) {
            return None;
        }
        ahead.take(|c| c == '/' || c == '⁄');
        ahead.blanks();
        let digits = ahead.take(|c| c.is_ascii_digit());
        if digits.is_empty() {
            return None;
        }
        self.at = ahead.at;
        Some(digits)
    }

    /// The `1/2` of `1 1/2` or `1-1/2`.
    fn mixed(&mut self) -> Result<Option<f64>, Slip> {
        let mut ahead = Cursor {
            text: self.text,
            at: self.at,
        };
        ahead.take(|c| c.is_whitespace() || c == '-');
        if ahead.at == self.at {
            return Ok(None);
        }
        let top = ahead.take(|c| c.is_ascii_digit());
        if top.is_empty() {
            return Ok(None);
        }
        let Some(bottom) = ahead.over() else {
            return Ok(None);
        };
        let span = top.start..ahead.at;
        self.at = ahead.at;
        quotient(&self.text[top], &self.text[bottom], span).map(Some)
    }
}
