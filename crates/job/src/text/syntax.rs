//! Faults of the TOML itself, said in the words of somebody who fills in a job file.

use std::ops::Range;

use casewright_terms::Diag;
use serde_spanned::Spanned;
use toml::de::{DeTable, DeValue, Error};

use super::{Scribe, clipped};
use crate::decode;

/// More faults than this are counted, not shown: the text is then hardly a job file.
const MOST_SHOWN: usize = 20;

impl<'a> Scribe<'a> {
    /// Parses the text, reading on after faults; `None` where it is too large to be tried.
    pub(crate) fn parse(&mut self) -> Option<Spanned<DeTable<'a>>> {
        if self.text.len() > decode::LARGEST_TEXT_BYTES {
            self.push_at(decode::too_large(self.text.len()), 0..0);
            return None;
        }
        let (table, errors) = DeTable::parse_recoverable(self.text);
        for error in errors.iter().take(MOST_SHOWN) {
            let span = self.shown_span(error.span().unwrap_or(0..0));
            let diag = self.syntax(error, &span, table.get_ref());
            self.push(diag);
        }
        if errors.len() > MOST_SHOWN {
            self.push_at(
                Diag::stop(
                    "toml-many-faults",
                    format!(
                        "There are {} more faults of this sort.",
                        errors.len() - MOST_SHOWN
                    ),
                )
                .why("The text is hardly a job file.")
                .accepted("Start from one of the examples."),
                0..0,
            );
        }
        Some(table)
    }

    /// A span inside the text, on letter borders.
    fn shown_span(&self, span: Range<usize>) -> Range<usize> {
        let border = |mut at: usize| {
            at = at.min(self.text.len());
            while !self.text.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        let start = border(span.start);
        start..border(span.end).max(start)
    }

    fn syntax(&self, error: &Error, span: &Range<usize>, table: &DeTable<'_>) -> Diag {
        let message = error.message();
        let words = self.text.get(span.clone()).unwrap_or("");
        let place = self.place(span.clone());
        if message.starts_with("string values must be quoted") {
            let plain = words.trim_matches(['“', '”', '„', '‘', '’', '\'', '"', ' ']);
            return Diag::stop(
                "text-unquoted",
                format!("{} does not stand in straight quotes.", clipped(words)),
            )
            .accepted(format!("Write \"{}\".", clipped(plain)))
            .at(place);
        }
        if message.starts_with("duplicate key") {
            let diag = Diag::stop("key-twice", format!("\"{}\" stands twice.", clipped(words)))
                .why("Which of the two holds cannot be known.")
                .accepted("Keep one.")
                .at(place);
            let mut spans = Vec::new();
            spans_of(table, words, &mut spans);
            return match spans.into_iter().rfind(|first| first.start < span.start) {
                Some(first) => diag.also(self.place(first), "the first one"),
                None => diag,
            };
        }
        let line = self.line_around(span.start);
        if let Some((_, value)) = line.split_once('=')
            && value.trim_start().starts_with('.')
        {
            let value = value.split('#').next().unwrap_or(value).trim();
            // The parser points between the equals sign and the number; point at the number.
            let from = span.start + self.text[span.start..].find(value).unwrap_or(0);
            let place = self.place(self.shown_span(from..from + value.len()));
            return Diag::stop(
                "text-unquoted",
                format!("{} does not stand in straight quotes.", clipped(value)),
            )
            .accepted(format!(
                "Write it with its unit in quotes, for example \"{} in\".",
                clipped(value.trim_end_matches(|c: char| !c.is_ascii_digit()))
            ))
            .at(place);
        }
        let mut said = message.chars();
        let said: String = said
            .next()
            .map(|first| first.to_uppercase().chain(said).collect())
            .unwrap_or_default();
        Diag::stop("toml-syntax", format!("{}.", clipped_long(&said)))
            .why("This line could not be read.")
            .accepted("A line is a key, an equals sign and a value, such as name = \"Winch pawl\"; a section begins with its name in brackets, such as [part].")
            .at(place)
    }

    fn line_around(&self, at: usize) -> &'a str {
        let start = self.text[..at].rfind('\n').map_or(0, |n| n + 1);
        let end = self.text[at..]
            .find('\n')
            .map_or(self.text.len(), |n| at + n);
        &self.text[start..end]
    }
}

/// The parser's own words can quote the file at any length.
fn clipped_long(text: &str) -> String {
    text.chars().take(200).collect()
}

/// Spans of all keys of one name, in the order of the text.
fn spans_of(table: &DeTable<'_>, word: &str, found: &mut Vec<Range<usize>>) {
    for (key, value) in table {
        if key.get_ref() == word {
            found.push(key.span());
        }
        match value.get_ref() {
            DeValue::Table(inner) => spans_of(inner, word, found),
            DeValue::Array(items) => {
                for item in items.iter() {
                    if let DeValue::Table(inner) = item.get_ref() {
                        spans_of(inner, word, found);
                    }
                }
            }
            _ => {}
        }
    }
    found.sort_by_key(|span| span.start);
}
