//! Walks a TOML text with the place of every key and value at hand, collecting complaints.
//!
//! Knows nothing of what the keys mean. Fields carry their unit in the name, so that a number
//! here is bare by rule and a text with a unit is a mistake with a plain way out.

use std::ops::{Range, RangeInclusive};

use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Diag, Length, Place, Temperature};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::log::Logs;

/// Complaints about one text.
#[derive(Debug)]
pub(super) struct Walk<'t> {
    file: &'t str,
    pub(super) diags: Vec<Diag>,
    /// What is to be said although the setup is read.
    pub(super) notes: Vec<Diag>,
    /// Logs that the setup may name.
    pub(super) logs: Logs,
}

/// A table with the place it begins at and its name in complaints.
#[derive(Clone, Copy, Debug)]
pub(super) struct Table<'t> {
    pub(super) name: &'t str,
    pub(super) span: (usize, usize),
    pub(super) body: &'t DeTable<'t>,
}

impl<'t> Walk<'t> {
    pub(super) fn new(file: &'t str) -> Self {
        Self {
            file,
            diags: Vec::new(),
            notes: Vec::new(),
            logs: Logs::new(),
        }
    }

    pub(super) fn place(&self, span: Range<usize>) -> Place {
        Place {
            file: self.file.to_owned(),
            span,
        }
    }

    pub(super) fn complain(&mut self, diag: Diag, span: Range<usize>) {
        let place = self.place(span);
        self.diags.push(diag.at(place));
    }

    /// A text in quotes, where the key is there.
    pub(super) fn words_if_given(&mut self, table: Table<'t>, key: &str) -> Option<String> {
        let value = table.body.get(key)?;
        match value.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            other => {
                self.wrong_kind(key, "a text in quotes", other, value.span());
                None
            }
        }
    }

    /// Complains about every key that is not in the list, with the likely one.
    pub(super) fn only(&mut self, table: Table<'t>, known: &[&str]) {
        for (key, value) in table.body {
            let written: &str = key.get_ref();
            if known.contains(&written) {
                continue;
            }
            let accepted = match near(written, known) {
                Some(meant) if stem(meant) == stem(written) => {
                    match converted(written, meant, value.get_ref()) {
                        Some(value) => format!("Write `{meant} = {value}`."),
                        None => format!("Convert the value and write `{meant}`."),
                    }
                }
                Some(meant) => format!("Did you mean `{meant}`?"),
                None => format!("Known here: {}.", listed(known)),
            };
            let shown = if table.name.is_empty() {
                format!("`{written}` is not known at the top of a setup.")
            } else {
                format!("`{written}` is not known in {}.", table.name)
            };
            self.complain(
                Diag::stop("unknown-key", shown)
                    .why("A key that is passed over would change the run without a word.")
                    .accepted(accepted),
                key.span(),
            );
        }
    }

    /// The sub-table of that key.
    pub(super) fn table(&mut self, table: Table<'t>, key: &'t str, why: &str) -> Option<Table<'t>> {
        let value = self.value(table, key, why)?;
        match value.get_ref() {
            DeValue::Table(body) => Some(Table {
                name: key,
                span: (value.span().start, value.span().end),
                body,
            }),
            other => {
                self.wrong_kind(key, "a table", other, value.span());
                None
            }
        }
    }

    /// The value of that key; complains where there is none.
    pub(super) fn value(
        &mut self,
        table: Table<'t>,
        key: &str,
        why: &str,
    ) -> Option<&'t Spanned<DeValue<'t>>> {
        let value = table.body.get(key);
        // The same name with another unit is complained about as an unknown key.
        let in_other_unit = || {
            table
                .body
                .iter()
                .any(|(written, _)| stem(written.get_ref()) == stem(key) && stem(key) != key)
        };
        if value.is_none() && !in_other_unit() {
            let place = if table.name.is_empty() {
                String::new()
            } else {
                format!(" in {}", table.name)
            };
            self.complain(
                Diag::stop("missing-key", format!("`{key}` is missing{place}.")).accepted(why),
                table.span.0..table.span.1,
            );
        }
        value
    }

    /// A word out of a closed list.
    pub(super) fn word(
        &mut self,
        table: Table<'t>,
        key: &str,
        known: &[&'static str],
    ) -> Option<&'static str> {
        let value = self.value(table, key, &format!("One of {}.", listed(known)))?;
        let DeValue::String(written) = value.get_ref() else {
            self.wrong_kind(key, "a word in quotes", value.get_ref(), value.span());
            return None;
        };
        let found = known
            .iter()
            .find(|word| **word == written.as_ref())
            .copied();
        if found.is_none() {
            let accepted = match near(written, known) {
                Some(meant) => format!("Did you mean \"{meant}\"? Known: {}.", listed(known)),
                None => format!("Known: {}.", listed(known)),
            };
            self.complain(
                Diag::stop(
                    "unknown-word",
                    format!("\"{written}\" is no {key} that is known."),
                )
                .accepted(accepted),
                value.span(),
            );
        }
        found
    }

    /// A number that must be there, within bounds.
    pub(super) fn number(
        &mut self,
        table: Table<'t>,
        key: &str,
        bounds: &RangeInclusive<f64>,
    ) -> Option<f64> {
        let why = format!("A number from {} to {}.", bounds.start(), bounds.end());
        let value = self.value(table, key, &why)?;
        self.bounded(value, key, bounds)
    }

    /// A number that may be left out.
    pub(super) fn number_if_given(
        &mut self,
        table: Table<'t>,
        key: &str,
        bounds: &RangeInclusive<f64>,
    ) -> Option<f64> {
        let value = table.body.get(key)?;
        self.bounded(value, key, bounds)
    }

    /// A value as a number within bounds.
    pub(super) fn bounded(
        &mut self,
        value: &Spanned<DeValue<'t>>,
        key: &str,
        bounds: &RangeInclusive<f64>,
    ) -> Option<f64> {
        let read = match value.get_ref() {
            DeValue::Float(float) => float.as_str().parse::<f64>().ok(),
            DeValue::Integer(integer) => integer_value(integer),
            DeValue::String(written) => {
                self.complain(
                    Diag::stop(
                        "text-for-number",
                        format!("`{key}` is the text \"{written}\"."),
                    )
                    .why("The unit stands in the key's name, so the value is a bare number.")
                    .accepted(format!("Write the number alone, as in `{key} = 1.0`.")),
                    value.span(),
                );
                return None;
            }
            other => {
                self.wrong_kind(key, "a number", other, value.span());
                return None;
            }
        };
        match read {
            Some(number) if bounds.contains(&number) => Some(number),
            _ => {
                let written = read.map_or_else(|| "no number".to_owned(), |n| n.to_string());
                self.complain(
                    Diag::stop("out-of-bounds", format!("`{key}` is {written}.")).accepted(
                        format!("From {} to {} is taken.", bounds.start(), bounds.end()),
                    ),
                    value.span(),
                );
                None
            }
        }
    }

    pub(super) fn wrong_kind(
        &mut self,
        key: &str,
        wanted: &str,
        found: &DeValue<'_>,
        span: Range<usize>,
    ) {
        let found = match found {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or a time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.complain(
            Diag::stop("wrong-kind", format!("`{key}` is {found}."))
                .accepted(format!("It must be {wanted}.")),
            span,
        );
    }
}

/// Whole numbers in any radix that TOML writes.
fn integer_value(integer: &toml::de::DeInteger<'_>) -> Option<f64> {
    i64::from_str_radix(integer.as_str(), integer.radix())
        .ok()
        .map(|whole| whole as f64)
}

/// `a`, `b` or `c`.
pub(super) fn listed(known: &[&str]) -> String {
    known
        .iter()
        .map(|word| format!("`{word}`"))
        .collect::<Vec<_>>()
        .join(", ")
}

/// The value under the known name, for the two units that people write out of habit.
fn converted(written: &str, meant: &str, value: &DeValue<'_>) -> Option<String> {
    let number = match value {
        DeValue::Float(float) => float.as_str().parse::<f64>().ok()?,
        DeValue::Integer(integer) => integer_value(integer)?,
        _ => return None,
    };
    if !number.is_finite() {
        return None;
    }
    let ends = |inch: &str, metric: &str| written.ends_with(inch) && meant.ends_with(metric);
    if ends("_in", "_mm") || ends("_inch", "_mm") {
        (number.abs() < 1e6).then(|| format_trimmed(Length::from_in(number).to_mm(), 4))
    } else if ends("_f", "_c") && number.abs() < 1e6 {
        Some(format_trimmed(Temperature::from_f(number).to_c(), 1))
    } else {
        None
    }
}

/// The name without its unit, for names that carry one.
fn stem(key: &str) -> &str {
    const UNITS: [&str; 16] = [
        "_wt_pct", "_pct", "_mm", "_cm", "_um", "_in", "_inch", "_m_s", "_m", "_c", "_f", "_k",
        "_hours", "_min", "_s", "_h",
    ];
    UNITS
        .iter()
        .find_map(|unit| key.strip_suffix(unit))
        .unwrap_or(key)
}

/// The known word that the written one most likely stands for.
pub(super) fn near<'k>(written: &str, known: &[&'k str]) -> Option<&'k str> {
    // A wrong unit in the name is likelier than a slip of the pen.
    if let Some(same_stem) = known
        .iter()
        .find(|word| stem(word) == stem(written) && stem(word) != **word)
    {
        return Some(same_stem);
    }
    known
        .iter()
        .map(|word| (slips(written, word), *word))
        .filter(|(count, word)| *count <= 1 + word.len() / 4)
        .min_by_key(|(count, _)| *count)
        .map(|(_, word)| word)
}

/// Letters to change, add or drop to get from one word to the other; long words are far apart.
fn slips(a: &str, b: &str) -> usize {
    const LONGEST: usize = 64;
    if a.len() > LONGEST || b.len() > LONGEST {
        return LONGEST;
    }
    let a: Vec<char> = a.to_lowercase().chars().collect();
    let b: Vec<char> = b.to_lowercase().chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let swap = diagonal + usize::from(from != to);
            diagonal = row[j + 1];
            row[j + 1] = swap.min(row[j] + 1).min(row[j + 1] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_counted() {
        assert_eq!(slips("radius", "radius"), 0);
        assert_eq!(slips("raduis", "radius"), 2);
        assert_eq!(slips("", "abc"), 3);
    }

    #[test]
    fn the_likely_word_is_found() {
        assert_eq!(near("platte", &["plate", "tube"]), Some("plate"));
        assert_eq!(near("radius_in", &["radius_mm"]), Some("radius_mm"));
        assert_eq!(near("to_f", &["to_c", "from_c", "hours"]), Some("to_c"));
        assert_eq!(near("xyzzy", &["plate", "tube"]), None);
    }
}
