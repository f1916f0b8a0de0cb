//! TOML text as tables with places: what both files are read through. Knows no key's meaning.

mod check;
mod syntax;
mod value;

use std::ops::Range;

use casewright_terms::{Diag, Place};
use toml::de::{DeTable, DeValue};

use crate::suggest;

/// A value with the place it was written in.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct At<T> {
    pub(crate) value: T,
    pub(crate) place: Place,
}

/// A table with its name as written in files (`[part]`) and the place of its header.
#[derive(Clone, Debug)]
pub(crate) struct Section<'t> {
    pub(crate) name: &'static str,
    pub(crate) table: &'t DeTable<'t>,
    pub(crate) header: Range<usize>,
    /// Keys that are there under a wrong spelling, which was complained about.
    meant: Vec<&'static str>,
}

impl Section<'_> {
    /// Whether a key is there, be it under a wrong spelling.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key) || self.meant.contains(&key)
    }
}

/// Other words people use for a key.
const ALIASES: &[(&str, &str)] = &[
    ("qty", "quantity"),
    ("count", "quantity"),
    ("pieces", "quantity"),
    ("title", "name"),
    ("drawing_note", "note"),
    ("dia", "diameter"),
    ("od", "outer"),
    ("id", "inner"),
    ("material", "steel"),
    ("material", "grade"),
    ("alloy", "grade"),
    ("heat_number", "heat"),
    ("heat_no", "heat"),
    ("melt", "heat"),
    ("chemistry", "composition"),
    ("side", "per_side"),
    ("allowance", "per_side"),
    ("diameter", "on_diameter"),
    ("size", "inside"),
    ("chamber", "inside"),
    ("dimensions", "inside"),
    ("uniformity", "survey"),
    ("max_temperature", "max"),
    ("temperature", "bath"),
    ("flash", "flash_point"),
    ("capacity", "volume"),
    ("oil", "medium"),
    ("mark", "id"),
    ("name", "id"),
    ("hours", "staffed"),
    ("question", "code"),
    ("answer", "value"),
    ("who", "by"),
];

/// More unknown keys in one section than this are counted, not shown.
const MOST_UNKNOWN_KEYS: usize = 30;

/// Reads one text and collects what is wrong with it.
#[derive(Debug)]
pub(crate) struct Scribe<'a> {
    pub(crate) file: &'a str,
    pub(crate) text: &'a str,
    pub(crate) diags: Vec<Diag>,
    /// `(section, key)` of another section's keys, to say where a stray key belongs.
    homes: &'static [(&'static str, &'static [&'static str])],
}

impl<'a> Scribe<'a> {
    pub(crate) fn new(
        file: &'a str,
        text: &'a str,
        homes: &'static [(&'static str, &'static [&'static str])],
    ) -> Self {
        Self {
            file,
            text,
            diags: Vec::new(),
            homes,
        }
    }

    pub(crate) fn place(&self, span: Range<usize>) -> Place {
        Place {
            file: self.file.to_owned(),
            span,
        }
    }

    pub(crate) fn push(&mut self, diag: Diag) {
        self.diags.push(diag);
    }

    pub(crate) fn push_at(&mut self, diag: Diag, span: Range<usize>) {
        let place = self.place(span);
        self.diags.push(diag.at(place));
    }

    /// Opens a table, complaining about each key that is not among `keys`.
    pub(crate) fn open<'t>(
        &mut self,
        name: &'static str,
        table: &'t DeTable<'t>,
        header: Range<usize>,
        keys: &'static [&'static str],
    ) -> Section<'t> {
        let mut meant = Vec::new();
        let unknown = || table.keys().filter(|key| !keys.contains(&&**key.get_ref()));
        for key in unknown().take(MOST_UNKNOWN_KEYS) {
            let (diag, key_meant) = self.unknown_key(name, key.get_ref(), keys);
            meant.extend(key_meant);
            self.push_at(diag, key.span());
        }
        if let Some(key) = unknown().nth(MOST_UNKNOWN_KEYS) {
            let more = unknown().count() - MOST_UNKNOWN_KEYS;
            self.push_at(
                Diag::stop(
                    "key-unknown",
                    format!("There are {more} more keys here that are not known."),
                )
                .why("The text is hardly a job file.")
                .accepted(format!("Keys here are: {}.", keys.join(", "))),
                key.span(),
            );
        }
        Section {
            name,
            table,
            header,
            meant,
        }
    }

    /// The complaint about a key, and the key that was likely meant.
    fn unknown_key(
        &self,
        section: &str,
        word: &str,
        keys: &'static [&'static str],
    ) -> (Diag, Option<&'static str>) {
        let place = if section.is_empty() {
            "at the top of the file"
        } else {
            section
        };
        let shown = clipped(word);
        let diag = Diag::stop(
            "key-unknown",
            format!("\"{shown}\" is not a key {}.", inside(place)),
        )
        .why("A key that is not understood would be left out of the plan without a word.");
        let near = suggest::nearest(word, keys.iter().copied());
        let alias = || {
            let folded = word.to_lowercase().replace(['-', ' '], "_");
            ALIASES
                .iter()
                .find(|(other, key)| *other == folded && keys.contains(key))
                .map(|(_, key)| *key)
        };
        let elsewhere = || {
            let homes = self.homes.iter();
            homes
                .filter(|(home, keys)| *home != section && keys.contains(&word))
                .map(|(home, _)| *home)
                .next()
        };
        if let Some(home) = elsewhere()
            && near.is_none_or(|near| !near.eq_ignore_ascii_case(word))
        {
            let home = if home.is_empty() {
                "above the first [section] of the file".to_owned()
            } else {
                format!("under {home}")
            };
            return (diag.accepted(format!("It belongs {home}.")), None);
        }
        match near.or_else(alias) {
            Some(key) => (diag.accepted(format!("Did you mean \"{key}\"?")), Some(key)),
            None => (
                diag.accepted(format!("Keys here are: {}.", keys.join(", "))),
                None,
            ),
        }
    }

    /// The tables under `key`: none, one (`[key]`) or many (`[[key]]`).
    pub(crate) fn list<'t>(
        &mut self,
        parent: &Section<'t>,
        key: &str,
        name: &'static str,
        keys: &'static [&'static str],
    ) -> Vec<Section<'t>> {
        let Some(value) = parent.table.get(key) else {
            return Vec::new();
        };
        match value.get_ref() {
            DeValue::Table(table) => vec![self.open(name, table, value.span(), keys)],
            DeValue::Array(items) => {
                let mut sections = Vec::new();
                for item in items.iter() {
                    match item.get_ref() {
                        DeValue::Table(table) => {
                            sections.push(self.open(name, table, item.span(), keys));
                        }
                        other => {
                            let diag = wrong_type(key, other, &format!("a table, {name}"));
                            self.push_at(diag, item.span());
                        }
                    }
                }
                sections
            }
            other => {
                let diag = wrong_type(key, other, &format!("a table, {name}"));
                self.push_at(diag, value.span());
                Vec::new()
            }
        }
    }

    /// The table under `key`, if there is one.
    pub(crate) fn sub<'t>(
        &mut self,
        parent: &Section<'t>,
        key: &str,
        name: &'static str,
        keys: &'static [&'static str],
    ) -> Option<Section<'t>> {
        let value = parent.table.get(key)?;
        match value.get_ref() {
            DeValue::Table(table) => Some(self.open(name, table, value.span(), keys)),
            other => {
                let diag = wrong_type(key, other, &format!("a table, {name}"));
                self.push_at(diag, value.span());
                None
            }
        }
    }

    /// Complains that a key is not there.
    pub(crate) fn missing(&mut self, section: &Section<'_>, key: &str, why: &str, example: &str) {
        if section.has(key) {
            return; // It is there and was complained about for what it says.
        }
        let place = if section.name.is_empty() {
            "The job"
        } else {
            section.name
        };
        self.push_at(
            Diag::stop("key-missing", format!("{place} has no \"{key}\"."))
                .why(why)
                .accepted(format!("Add {example}.")),
            section.header.clone(),
        );
    }

    /// The span of a key itself.
    pub(crate) fn key_span(section: &Section<'_>, key: &str) -> Range<usize> {
        section
            .table
            .get_key_value(key)
            .map_or(section.header.clone(), |(key, _)| key.span())
    }

    /// All that was found, in the order of the text.
    pub(crate) fn finish(mut self) -> Vec<Diag> {
        sort(&mut self.diags);
        self.diags
    }
}

/// Orders diagnostics by place, those without one first.
pub(crate) fn sort(diags: &mut [Diag]) {
    diags.sort_by(|a, b| {
        let key = |d: &Diag| d.place.as_ref().map(|p| (p.span.start, p.span.end));
        key(a).cmp(&key(b)).then(a.code.cmp(b.code))
    });
}

fn inside(place: &str) -> String {
    if place.starts_with('[') {
        format!("of {place}")
    } else {
        place.to_owned()
    }
}

/// A word from the file, short enough for a sentence.
pub(crate) fn clipped(word: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = word.chars().take(LONGEST).collect();
    if shown.len() < word.len() {
        shown.push('…');
    }
    shown.replace(|c: char| c.is_control(), "?")
}

/// The complaint that a value is of another TOML type than wanted.
pub(crate) fn wrong_type(key: &str, value: &DeValue<'_>, wanted: &str) -> Diag {
    let seen = match value {
        DeValue::String(text) => format!("the text \"{}\"", clipped(text)),
        DeValue::Integer(number) => format!("the number {}", clipped(&number.to_string())),
        DeValue::Float(number) => format!("the number {}", clipped(number.as_str())),
        DeValue::Boolean(yes) => format!("{yes}"),
        DeValue::Datetime(when) => format!("the date {when}"),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    };
    Diag::stop("value-wrong-type", format!("{key} is {seen}."))
        .accepted(format!("It should be {wanted}."))
}
