//! Reading one value of a table: words, numbers, yes or no, quantities, choices.

use std::ops::Range;

use casewright_terms::{Diag, Length};
use serde_spanned::Spanned;
use toml::de::DeValue;

use super::{At, Scribe, Section, clipped, wrong_type};
use crate::suggest;
use crate::units::{self, Kind, Quantity, Slip, Written};

/// Longest name, mark or other single line, in characters.
const LONGEST_LINE: usize = 200;
/// Longest drawing note, in characters: a full drawing's worth of notes is well below it.
const LONGEST_NOTE: usize = 4000;

impl<'a> Scribe<'a> {
    fn get<'t>(section: &Section<'t>, key: &str) -> Option<&'t Spanned<DeValue<'t>>> {
        section.table.get(key)
    }

    pub(crate) fn at<T>(&self, value: T, span: Range<usize>) -> At<T> {
        At {
            value,
            place: self.place(span),
        }
    }

    /// One line of words; never empty.
    pub(crate) fn line(&mut self, section: &Section<'_>, key: &str) -> Option<At<String>> {
        self.words(section, key, LONGEST_LINE, false)
    }

    /// Several lines of words, kept verbatim; may be empty.
    pub(crate) fn lines(&mut self, section: &Section<'_>, key: &str) -> Option<At<String>> {
        self.words(section, key, LONGEST_NOTE, true)
    }

    /// One line, or a whole number that is meant as one (a job number, a heat number, a grade).
    pub(crate) fn line_or_number(
        &mut self,
        section: &Section<'_>,
        key: &str,
    ) -> Option<At<String>> {
        let value = Self::get(section, key)?;
        if let DeValue::Integer(number) = value.get_ref() {
            let shown = self.text.get(value.span()).unwrap_or(number.as_str());
            return Some(self.at(clipped(shown), value.span()));
        }
        self.line(section, key)
    }

    fn words(
        &mut self,
        section: &Section<'_>,
        key: &str,
        longest: usize,
        several: bool,
    ) -> Option<At<String>> {
        let value = Self::get(section, key)?;
        let DeValue::String(text) = value.get_ref() else {
            let diag = wrong_type(key, value.get_ref(), "words in quotes");
            self.push_at(diag, value.span());
            return None;
        };
        let count = text.chars().count();
        if count > longest {
            let diag = Diag::stop(
                "text-too-long",
                format!("{key} has {count} characters; at most {longest} are taken."),
            )
            .why("It could not be printed on the run sheet.")
            .accepted("Shorten it.");
            self.push_at(diag, value.span());
            return None;
        }
        if let Some(c) = text.chars().find(|&c| is_hidden(c, several)) {
            let diag = Diag::stop(
                "hidden-character",
                format!("{key} contains the invisible character U+{:04X}.", c as u32),
            )
            .why("What is printed on the sheet would not be what is seen in the file.")
            .accepted("Type the text again instead of pasting it.");
            self.push_at(diag, value.span());
            return None;
        }
        if !several && text.trim().is_empty() {
            let diag = Diag::stop("text-empty", format!("{key} is empty."))
                .accepted("Write something between the quotes, or leave the key out.");
            self.push_at(diag, value.span());
            return None;
        }
        Some(self.at(text.to_string(), value.span()))
    }

    /// Yes or no.
    pub(crate) fn flag(&mut self, section: &Section<'_>, key: &str) -> Option<At<bool>> {
        let value = Self::get(section, key)?;
        if let DeValue::Boolean(yes) = value.get_ref() {
            return Some(self.at(*yes, value.span()));
        }
        let diag = wrong_type(key, value.get_ref(), "true or false, without quotes");
        self.push_at(diag, value.span());
        None
    }

    /// A whole number between two bounds.
    pub(crate) fn count(
        &mut self,
        section: &Section<'_>,
        key: &str,
        range: std::ops::RangeInclusive<u32>,
        why: &str,
    ) -> Option<At<u32>> {
        let value = Self::get(section, key)?;
        let (low, high) = (range.start(), range.end());
        let wanted = format!("a whole number from {low} to {high}, without quotes");
        let DeValue::Integer(number) = value.get_ref() else {
            let diag = wrong_type(key, value.get_ref(), &wanted);
            self.push_at(diag, value.span());
            return None;
        };
        let parsed = i128::from_str_radix(number.as_str(), number.radix()).ok();
        match parsed.and_then(|n| u32::try_from(n).ok()) {
            Some(n) if range.contains(&n) => Some(self.at(n, value.span())),
            _ => {
                let shown = clipped(self.text.get(value.span()).unwrap_or(number.as_str()));
                let diag = Diag::stop("count-out-of-range", format!("{key} = {shown}."))
                    .why(why)
                    .accepted(format!("It should be {wanted}."));
                self.push_at(diag, value.span());
                None
            }
        }
    }

    /// A quantity in quotes, with its unit.
    pub(crate) fn measure<Q: Quantity>(
        &mut self,
        section: &Section<'_>,
        key: &str,
    ) -> Option<At<Written<Q>>> {
        let value = Self::get(section, key)?;
        self.measure_value(key, value)
    }

    /// The same for a value that has no key of its own, such as one of a list.
    pub(crate) fn measure_value<Q: Quantity>(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
    ) -> Option<At<Written<Q>>> {
        let kind = Q::KIND;
        match value.get_ref() {
            DeValue::String(text) => match units::read::<Q>(text) {
                Ok(written) => Some(self.at(written, value.span())),
                Err(slip) => {
                    self.push_slip(key, value, text, slip);
                    None
                }
            },
            DeValue::Integer(_) | DeValue::Float(_) => {
                let diag = self.bare_number(key, value.span(), kind);
                self.push_at(diag, value.span());
                None
            }
            other => {
                let wanted = format!("{} in quotes, for example {}", kind.noun(), kind.examples());
                let diag = wrong_type(key, other, &wanted);
                self.push_at(diag, value.span());
                None
            }
        }
    }

    /// The complaint about a number without quotes and unit.
    fn bare_number(&self, key: &str, span: Range<usize>, kind: Kind) -> Diag {
        let shown = clipped(self.text.get(span).unwrap_or("?"));
        let number = shown.replace('_', "").parse().unwrap_or(1.0);
        let mut diag = units::unit_missing(&shown, number, kind);
        diag.seen = format!("{key}: {}", diag.seen);
        diag
    }

    /// Three lengths, as one text or a list of three.
    pub(crate) fn triple(
        &mut self,
        section: &Section<'_>,
        key: &str,
    ) -> Option<At<[Written<Length>; 3]>> {
        let value = Self::get(section, key)?;
        match value.get_ref() {
            DeValue::String(text) => match units::read_triple(text) {
                Ok(triple) => Some(self.at(triple, value.span())),
                Err(slip) => {
                    self.push_slip(key, value, text, slip);
                    None
                }
            },
            DeValue::Array(items) if items.len() == 3 => {
                let read: Vec<_> = items
                    .iter()
                    .filter_map(|item| self.measure_value::<Length>(key, item))
                    .map(|at| at.value)
                    .collect();
                let triple: [Written<Length>; 3] = read.try_into().ok()?;
                Some(self.at(triple, value.span()))
            }
            other => {
                let wanted = "three lengths, for example \"300 x 250 x 450 mm\"";
                let diag = wrong_type(key, other, wanted);
                self.push_at(diag, value.span());
                None
            }
        }
    }

    /// One of a few words; blanks, hyphens, underscores and case do not matter.
    pub(crate) fn choice<T: Copy>(
        &mut self,
        section: &Section<'_>,
        key: &str,
        words: &[(&str, T)],
    ) -> Option<At<T>> {
        let value = Self::get(section, key)?;
        let list = || {
            let quoted: Vec<String> = words.iter().map(|(w, _)| format!("\"{w}\"")).collect();
            quoted.join(", ")
        };
        let DeValue::String(text) = value.get_ref() else {
            let diag = wrong_type(key, value.get_ref(), &format!("one of {}", list()));
            self.push_at(diag, value.span());
            return None;
        };
        if let Some((_, choice)) = words.iter().find(|(word, _)| folded(word) == folded(text)) {
            return Some(self.at(*choice, value.span()));
        }
        let near = suggest::nearest(text, words.iter().map(|(word, _)| *word));
        let hint = near.map_or(String::new(), |near| format!("Did you mean \"{near}\"? "));
        let diag = Diag::stop(
            "choice-unknown",
            format!("{key} = \"{}\" is not known.", clipped(text)),
        )
        .accepted(format!("{hint}It can be {}.", list()));
        self.push_at(diag, value.span());
        None
    }

    /// Places a slip inside its quotes where the text stands there letter for letter.
    pub(crate) fn push_slip(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        text: &str,
        slip: Slip,
    ) {
        let whole = value.span();
        let Slip { mut diag, span } = slip;
        let raw = self.text.get(whole.clone()).unwrap_or("");
        let inner = raw.find(text).filter(|_| !text.is_empty());
        let span = match inner {
            Some(offset) if span.end <= text.len() => {
                let from = whole.start + offset;
                from + span.start..from + span.end
            }
            _ => whole,
        };
        diag.seen = format!("{key}: {}", diag.seen);
        self.push_at(*diag, span);
    }
}

fn folded(word: &str) -> String {
    word.trim()
        .to_lowercase()
        .chars()
        .filter(|c| !matches!(c, ' ' | '-' | '_' | ','))
        .collect()
}

/// Control characters and those that turn the direction of writing or cannot be seen.
fn is_hidden(c: char, several_lines: bool) -> bool {
    let plain_blank = several_lines && matches!(c, '\n' | '\r' | '\t');
    (c.is_control() && !plain_blank)
        || matches!(c, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2069}' | '\u{FEFF}' | '\u{061C}')
}
