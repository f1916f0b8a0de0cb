//! Values of an evidence file: lists of readings and of depths, scales with their force, dates.

use casewright_terms::{Diag, Length, Scale};
use serde_spanned::Spanned;
use toml::de::DeValue;

use super::TestScale;
use crate::text::{At, Scribe, Section, clipped, wrong_type};
use crate::units::{self, Unit, Written};

/// Most readings in one list: a traverse of two hundred indents is a map, not a traverse.
const MOST_READINGS: usize = 200;
/// Deepest place that is believed to be a depth per side: half of the thickest part taken.
const DEEPEST_MM: f64 = 50.0;

impl Scribe<'_> {
    /// A plain number, whole or not.
    pub(super) fn number_value(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
    ) -> Option<At<f64>> {
        let read = match value.get_ref() {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .map(|n| n as f64),
            DeValue::Float(number) => number.as_str().replace('_', "").parse().ok(),
            other => {
                let diag = wrong_type(key, other, "a number, such as 58.5");
                self.push_at(diag, value.span());
                return None;
            }
        };
        match read.filter(|n: &f64| n.is_finite()) {
            Some(number) => Some(self.at(number, value.span())),
            None => {
                let diag = Diag::stop(
                    "reading-no-number",
                    format!("{key} holds what is no reading."),
                )
                .accepted(
                    "A number with a decimal point, such as 58.5. Leave out what was not read.",
                );
                self.push_at(diag, value.span());
                None
            }
        }
    }

    /// A plain number under a key, within bounds.
    pub(super) fn number(
        &mut self,
        section: &Section<'_>,
        key: &str,
        range: (f64, f64),
        why: &str,
    ) -> Option<At<f64>> {
        let value = section.table.get(key)?;
        let at = self.number_value(key, value)?;
        if (range.0..=range.1).contains(&at.value) {
            return Some(at);
        }
        self.push(
            Diag::stop("value-out-of-range", format!("{key} = {}.", at.value))
                .why(why)
                .accepted(format!("Between {} and {}.", range.0, range.1))
                .at(at.place),
        );
        None
    }

    /// The items of a list, or the one value that stands for a list of one.
    fn items<'t>(
        &mut self,
        section: &Section<'t>,
        key: &str,
    ) -> Option<Vec<&'t Spanned<DeValue<'t>>>> {
        let value = section.table.get(key)?;
        let items: Vec<_> = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![value],
        };
        if items.is_empty() || items.len() > MOST_READINGS {
            let diag = Diag::stop(
                "list-length",
                format!("{key} holds {} values.", items.len()),
            )
            .why("Nothing can be judged from none, and nobody reads so many by hand.")
            .accepted(format!("From 1 to {MOST_READINGS} values."));
            self.push_at(diag, value.span());
            return None;
        }
        Some(items)
    }

    /// Readings on a scale, each possible on it.
    pub(super) fn readings(
        &mut self,
        section: &Section<'_>,
        key: &str,
        scale: TestScale,
    ) -> Option<Vec<f64>> {
        let items = self.items(section, key)?;
        let read: Vec<f64> = items
            .iter()
            .filter_map(|item| self.reading(key, item, scale))
            .collect();
        (read.len() == items.len()).then_some(read)
    }

    /// Readings in groups: `[[90.5, 91.0], 88.0]`.
    pub(super) fn reading_groups(
        &mut self,
        section: &Section<'_>,
        key: &str,
        scale: TestScale,
    ) -> Option<Vec<Vec<f64>>> {
        let items = self.items(section, key)?;
        let mut groups = Vec::new();
        for item in &items {
            let inner: Vec<&Spanned<DeValue<'_>>> = match item.get_ref() {
                DeValue::Array(inner) => inner.iter().collect(),
                _ => vec![item],
            };
            let read: Vec<f64> = inner
                .iter()
                .filter_map(|item| self.reading(key, item, scale))
                .collect();
            if read.len() == inner.len() && !read.is_empty() {
                groups.push(read);
            } else if inner.is_empty() {
                let diag = Diag::stop("list-length", "This step has no reading.")
                    .accepted("At least one reading for each step.");
                self.push_at(diag, item.span());
            }
        }
        (groups.len() == items.len()).then_some(groups)
    }

    fn reading(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        scale: TestScale,
    ) -> Option<f64> {
        let at = self.number_value(key, value)?;
        let (low, high) = possible(scale.scale);
        if (low..=high).contains(&at.value) {
            return Some(at.value);
        }
        self.push(
            Diag::stop(
                "reading-impossible",
                format!("{} {scale} is no reading of steel.", at.value),
            )
            .why("A typing slip, another scale, or a tester that is not seated; the lot would be judged on it.")
            .accepted(format!("Between {low} and {high} on this scale. Read it again, or correct the scale."))
            .at(at.place),
        );
        None
    }

    /// Depths per side: a list of texts, or one text whose last word is the unit of all, such as
    /// `"0.10 0.20 0.30 mm"`.
    pub(super) fn depths(
        &mut self,
        section: &Section<'_>,
        key: &str,
    ) -> Option<Vec<At<Written<Length>>>> {
        let items = self.items(section, key)?;
        let mut read = Vec::new();
        let mut whole = true;
        for item in items {
            match item.get_ref() {
                DeValue::String(text) if text.split_whitespace().count() > 2 => {
                    match several(text) {
                        Some(lengths) => read.extend(
                            lengths
                                .into_iter()
                                .map(|length| self.at(length, item.span())),
                        ),
                        None => {
                            whole = false;
                            let diag = Diag::stop("depths-unreadable", format!("{key} is not a row of depths."))
                                .accepted("Numbers with blanks between them and the unit at the end, such as \"0.10 0.20 0.30 mm\"; or a list of texts, each with its unit.");
                            self.push_at(diag, item.span());
                        }
                    }
                }
                _ => match self.measure_value::<Length>(key, item) {
                    Some(at) => read.push(at),
                    None => whole = false,
                },
            }
        }
        if read.len() > MOST_READINGS {
            return None;
        }
        for at in &read {
            let mm = at.value.value.to_mm();
            if (0.0..=DEEPEST_MM).contains(&mm) {
                continue;
            }
            whole = false;
            let why = if mm < 0.0 {
                "There is no steel above the surface."
            } else {
                "No case is as deep: a unit or the decimal point has slipped."
            };
            self.push(
                Diag::stop(
                    "depth-impossible",
                    format!("{key} holds a depth of {mm:.2} mm."),
                )
                .why(why)
                .accepted("A depth per side from the hardened surface, 0 to 50 mm (2 in).")
                .at(at.place.clone()),
            );
        }
        whole.then_some(read)
    }

    /// A small length that is not negative: an error, a removal, a skin.
    pub(super) fn small_length(&mut self, section: &Section<'_>, key: &str) -> Option<Length> {
        let at = self.measure::<Length>(section, key)?;
        let range = (Length::ZERO, Length::from_mm(DEEPEST_MM));
        self.within(
            key,
            at,
            range,
            "A length per side from 0 to 50 mm (2 in)",
            "There is no negative one, and a larger one is a slip of unit.",
        )
        .map(|at| at.value)
    }

    /// A scale such as `HRC`, `15N`, `HV1` or `HK0.5`.
    pub(super) fn test_scale(&mut self, section: &Section<'_>, key: &str) -> Option<At<TestScale>> {
        let at = self.line(section, key)?;
        let word = at.value.clone();
        match scale_word(&word) {
            Some(scale)
                if matches!(scale.scale, Scale::Hv | Scale::Hk) && scale.force_kgf.is_none() =>
            {
                self.push(
                    Diag::stop("scale-force", format!("\"{}\" does not say its test force.", clipped(&word)))
                        .why("A heavy indent feels the core under a thin case and needs more room to its neighbours.")
                        .accepted("Write it with the force in kgf, such as \"HV1\", \"HV0.3\" or \"HK0.5\".")
                        .at(at.place),
                );
                None
            }
            Some(scale) => Some(At {
                value: scale,
                place: at.place,
            }),
            None => {
                self.push(
                    Diag::stop("scale-unknown", format!("\"{}\" is not a hardness scale known here.", clipped(&word)))
                        .accepted("Scales are HRC, HRA, HRB, HRD, HR15N, HR30N, HR45N, HBW, and HV or HK with their force, such as HV1.")
                        .at(at.place),
                );
                None
            }
        }
    }

    /// A day, such as `2026-12-03`, in quotes or as TOML's own date.
    pub(super) fn day(&mut self, section: &Section<'_>, key: &str) -> Option<jiff::civil::Date> {
        let value = section.table.get(key)?;
        let words = match value.get_ref() {
            DeValue::String(text) => text.to_string(),
            DeValue::Datetime(when) => when.to_string(),
            other => {
                let diag = wrong_type(key, other, "a day in quotes, such as \"2026-12-03\"");
                self.push_at(diag, value.span());
                return None;
            }
        };
        let day = words.trim().parse().ok();
        if day.is_none() {
            let diag = Diag::stop(
                "date-unreadable",
                format!("{key} = \"{}\".", clipped(&words)),
            )
            .why("The block check counts for the day of the readings.")
            .accepted("Year, month and day, such as \"2026-12-03\".");
            self.push_at(diag, value.span());
        }
        day
    }
}

/// Numbers with blanks between them and one unit at the end.
fn several(text: &str) -> Option<Vec<Written<Length>>> {
    let words: Vec<&str> = text
        .split([' ', '\t', ';'])
        .filter(|w| !w.is_empty())
        .collect();
    let last = words.last()?;
    let unit_from = last.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-')))?;
    let unit = &last[unit_from..];
    let mut numbers: Vec<&str> = words[..words.len() - 1].to_vec();
    if unit_from > 0 {
        numbers.push(&last[..unit_from]);
    }
    numbers
        .into_iter()
        .map(|number| units::read::<Length>(&format!("{number} {unit}")).ok())
        .collect()
}

/// A scale by its symbol or by what the tester's dial calls it, with a force after HV or HK.
fn scale_word(word: &str) -> Option<TestScale> {
    let plain = |scale| TestScale {
        scale,
        force_kgf: None,
    };
    if let Some(scale) = crate::read_shop::scale(word) {
        return Some(plain(scale));
    }
    let upper: String = word
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect::<String>()
        .to_ascii_uppercase();
    let (scale, rest) = if let Some(rest) = upper.strip_prefix("HV") {
        (Scale::Hv, rest)
    } else {
        (Scale::Hk, upper.strip_prefix("HK")?)
    };
    let force: f64 = rest.replace(',', ".").parse().ok()?;
    (0.001..=120.0).contains(&force).then_some(TestScale {
        scale,
        force_kgf: Some(force),
    })
}

/// The least and greatest number that hardened steel can show on a scale. The upper ends stand a
/// little above what 70 HRC converts to, where the tables end. [trade-practice]
const fn possible(scale: Scale) -> (f64, f64) {
    match scale {
        Scale::Hv | Scale::Hk => (20.0, 1500.0),
        Scale::Hbw => (20.0, 750.0),
        Scale::Hrc => (0.0, 70.0),
        Scale::Hra => (0.0, 87.0),
        Scale::Hrd => (0.0, 79.0),
        Scale::Hrb => (0.0, 120.0),
        Scale::Hr15n => (0.0, 94.5),
        Scale::Hr30n => (0.0, 87.0),
        Scale::Hr45n => (0.0, 79.0),
    }
}

/// Units of lengths in the order of the text, for the file's own system.
pub(super) fn system_of(unit: Unit) -> Option<casewright_terms::UnitSystem> {
    unit.system()
}
