//! A number as somebody wrote it down, with its unit: the digits are kept, the value is read from
//! them. Converts temperatures and lengths for whoever reckons; the book itself never does.

use std::fmt;

use casewright_terms::{Length, Temperature};
use serde::{Deserialize, Serialize};

/// Units that a reading in the book may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Unit {
    /// Degrees Celsius, a point.
    Celsius,
    /// Degrees Fahrenheit, a point.
    Fahrenheit,
    /// Millimetres.
    Millimetre,
    /// Inches.
    Inch,
    /// Grams.
    Gram,
    /// Pounds.
    Pound,
    /// Hours.
    Hour,
    /// Minutes.
    Minute,
    /// Seconds.
    Second,
    /// Weight percent.
    WeightPercent,
    /// Rockwell C.
    Hrc,
    /// Rockwell A.
    Hra,
    /// Rockwell B.
    Hrb,
    /// Superficial Rockwell 15N.
    Hr15n,
    /// Superficial Rockwell 30N.
    Hr30n,
    /// Superficial Rockwell 45N.
    Hr45n,
    /// Vickers.
    Hv,
    /// Brinell.
    Hbw,
    /// Knoop.
    Hk,
    /// A number of things.
    Count,
}

impl Unit {
    /// All of them.
    pub const ALL: [Self; 20] = [
        Self::Celsius,
        Self::Fahrenheit,
        Self::Millimetre,
        Self::Inch,
        Self::Gram,
        Self::Pound,
        Self::Hour,
        Self::Minute,
        Self::Second,
        Self::WeightPercent,
        Self::Hrc,
        Self::Hra,
        Self::Hrb,
        Self::Hr15n,
        Self::Hr30n,
        Self::Hr45n,
        Self::Hv,
        Self::Hbw,
        Self::Hk,
        Self::Count,
    ];

    /// The name in the book and on pages.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
            Self::Millimetre => "mm",
            Self::Inch => "in",
            Self::Gram => "g",
            Self::Pound => "lb",
            Self::Hour => "h",
            Self::Minute => "min",
            Self::Second => "s",
            Self::WeightPercent => "wt%",
            Self::Hrc => "HRC",
            Self::Hra => "HRA",
            Self::Hrb => "HRB",
            Self::Hr15n => "HR15N",
            Self::Hr30n => "HR30N",
            Self::Hr45n => "HR45N",
            Self::Hv => "HV",
            Self::Hbw => "HBW",
            Self::Hk => "HK",
            Self::Count => "pcs",
        }
    }

    /// The unit of that name; `C` and `F` stand for the degrees.
    #[must_use]
    pub fn from_symbol(symbol: &str) -> Option<Self> {
        match symbol {
            "C" => Some(Self::Celsius),
            "F" => Some(Self::Fahrenheit),
            _ => Self::ALL.into_iter().find(|unit| unit.symbol() == symbol),
        }
    }
}

/// A unit of that name is not known.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no unit that the book knows")]
pub struct UnknownUnit(String);

impl TryFrom<String> for Unit {
    type Error = UnknownUnit;

    fn try_from(symbol: String) -> Result<Self, UnknownUnit> {
        Self::from_symbol(&symbol).ok_or(UnknownUnit(symbol))
    }
}

impl From<Unit> for String {
    fn from(unit: Unit) -> Self {
        unit.symbol().to_owned()
    }
}

/// A measured number: its digits as written, with a decimal point, and its unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Row", into = "Row")]
pub struct Measured {
    written: String,
    unit: Unit,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    written: String,
    unit: Unit,
}

/// The digits are no decimal number.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no number written in digits with a decimal point")]
pub struct NotANumber(String);

impl Measured {
    /// From digits; a decimal comma is taken as one.
    ///
    /// # Errors
    /// What is no plain decimal number of at most 30 characters.
    pub fn new(written: &str, unit: Unit) -> Result<Self, NotANumber> {
        let fault = || NotANumber(written.chars().take(40).collect());
        let text = written.trim().replace(',', ".");
        let digits = text.strip_prefix('-').unwrap_or(&text);
        let plain = !digits.is_empty()
            && text.len() <= 30
            && digits
                .bytes()
                .all(|byte| byte.is_ascii_digit() || byte == b'.')
            && digits.bytes().any(|byte| byte.is_ascii_digit());
        match text.parse::<f64>() {
            Ok(value) if plain && value.is_finite() => Ok(Self {
                written: text,
                unit,
            }),
            _ => Err(fault()),
        }
    }

    /// The digits.
    #[must_use]
    pub fn written(&self) -> &str {
        &self.written
    }

    /// The unit.
    #[must_use]
    pub const fn unit(&self) -> Unit {
        self.unit
    }

    /// The value in its own unit.
    ///
    /// # Panics
    /// Never: the constructor has read the digits once.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.written
            .parse()
            .expect("the digits were read when the value was made")
    }

    /// As a temperature, where the unit is one.
    #[must_use]
    pub fn temperature(&self) -> Option<Temperature> {
        match self.unit {
            Unit::Celsius => Some(Temperature::from_c(self.value())),
            Unit::Fahrenheit => Some(Temperature::from_f(self.value())),
            _ => None,
        }
    }

    /// As a length, where the unit is one.
    #[must_use]
    pub fn length(&self) -> Option<Length> {
        match self.unit {
            Unit::Millimetre => Some(Length::from_mm(self.value())),
            Unit::Inch => Some(Length::from_in(self.value())),
            _ => None,
        }
    }
}

impl fmt::Display for Measured {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.written, self.unit.symbol())
    }
}

impl TryFrom<Row> for Measured {
    type Error = NotANumber;

    fn try_from(row: Row) -> Result<Self, NotANumber> {
        Self::new(&row.written, row.unit)
    }
}

impl From<Measured> for Row {
    fn from(measured: Measured) -> Self {
        Self {
            written: measured.written,
            unit: measured.unit,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_digits_are_kept_and_what_is_no_number_is_refused() {
        let read = Measured::new("927,50", Unit::Celsius).unwrap();
        assert_eq!(read.to_string(), "927.50 °C");
        assert_eq!(read.value(), 927.5);
        assert_eq!(read.temperature(), Some(Temperature::from_c(927.5)));
        for text in ["", "nan", "inf", "1e3", "-", ".", "1.2.3", "12 mm", "--1"] {
            assert!(Measured::new(text, Unit::Gram).is_err(), "{text}");
        }
    }

    #[test]
    fn every_unit_reads_back() {
        for unit in Unit::ALL {
            assert_eq!(Unit::from_symbol(unit.symbol()), Some(unit));
        }
    }
}
