//! The answers as scripts get them: own types, converted by hand from the rooms' values, so that a
//! change inside never renames a field outside.
//!
//! Names carry the unit. `null` means not known, never zero. A number that is not finite cannot
//! leave: that is a defect of ours and stops the command.

pub(crate) mod convert;
pub(crate) mod cost;
pub(crate) mod curves;
pub(crate) mod diag;
pub(crate) mod diagnose;
pub(crate) mod inside;
pub(crate) mod judge;
pub(crate) mod learnt;
pub(crate) mod log;
pub(crate) mod note;
mod outlook;
mod pack_heat;
pub(crate) mod packed;
pub(crate) mod part;
pub(crate) mod plan;
pub(crate) mod reasons;
pub(crate) mod record;
pub(crate) mod run;
pub(crate) mod section;
pub(crate) mod share;
pub(crate) mod shop;
pub(crate) mod simulate;
pub(crate) mod skin;
pub(crate) mod steel;
pub(crate) mod tries;
pub(crate) mod trouble;
pub(crate) mod verify;
pub(crate) mod whatif;

use casewright_terms::Band;
use serde::Serialize;

/// One JSON value on one line.
///
/// # Panics
/// Never for the types of this folder: they have string keys and finite numbers only.
pub(crate) fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("wire types have string keys and plain values only")
}

/// A number fit to leave: finite, and rounded to ten significant digits, which is below every
/// doubt here and keeps the dust of unit conversion (0.8000000000000002 mm) out of files.
///
/// # Panics
/// When the number is not finite.
pub(crate) fn number(value: f64) -> f64 {
    assert!(
        value.is_finite(),
        "a number in an answer must be finite, got {value}"
    );
    let rounded: f64 = format!("{value:.9e}")
        .parse()
        .expect("a printed finite number reads back");
    // No sign on a zero.
    rounded + 0.0
}

/// The same for a list.
pub(crate) fn numbers(values: &[f64]) -> Vec<f64> {
    values.iter().copied().map(number).collect()
}

/// A value with its band.
#[derive(Debug, Serialize, PartialEq)]
pub(crate) struct Interval {
    low: f64,
    mid: f64,
    high: f64,
}

impl Interval {
    /// From a band, by the unit of the field.
    pub(crate) fn of<T: Copy>(band: Band<T>, unit: impl Fn(T) -> f64) -> Self {
        Self {
            low: number(unit(band.low)),
            mid: number(unit(band.mid)),
            high: number(unit(band.high)),
        }
    }
}

/// Low and high.
#[derive(Debug, Serialize)]
pub(crate) struct Range {
    pub(crate) min: Option<f64>,
    pub(crate) max: Option<f64>,
}

/// A hardness on its scale.
#[derive(Debug, Serialize)]
pub(crate) struct Reading {
    scale: &'static str,
    value: f64,
}

impl From<casewright_terms::Hardness> for Reading {
    fn from(hardness: casewright_terms::Hardness) -> Self {
        Self {
            scale: hardness.scale.symbol(),
            value: number(hardness.value),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conversion_dust_is_rounded_away_and_zero_has_no_sign() {
        assert_eq!(number(0.800_000_000_000_000_2), 0.8);
        assert_eq!(number(1.5e-16), 1.5e-16);
        assert!(number(-0.0).is_sign_positive());
        assert_eq!(json(&number(1e-300)), "1e-300");
    }

    #[test]
    #[should_panic(expected = "must be finite")]
    fn a_number_that_is_none_cannot_leave() {
        number(f64::NAN);
    }
}
