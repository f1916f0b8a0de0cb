//! From one hardness scale to another, by table.
//!
//! **What** Conversions between HV, HRC, HRA, HRD, HR15N, HR30N, HR45N, HRB, HBW and HK for
//! non-austenitic steel. A conversion is an estimate: report what was read.
//!
//! **Equation** Linear between the rows of the tables; nothing outside them.
//!
//! **Symbols** Each scale's own number.
//!
//! **Source** `astm-e140` tables 1 and 2; which rows are recalled and which misprints were set
//! right stands in `table.rs` and in the source's entry.
//!
//! **Valid for** HRC 20 to 68 (HV 238 to 940) and HRB 60 to 100 (HV 107 to 240). HRC below 20 and
//! HRB above 100 are not readings. HBW to 634; the standard's bracketed values above are withheld.
//!
//! **Weak where** The two tables do not meet at their border: 238 HV is 226 HBW in the C table and
//! about 238 HBW in the B table. Cased parts are not homogeneous: a conversion says what a uniform
//! steel of that reading would show. Scatter of real pairs is 1-2 HRC.
//!
//! **Checked by** `val_rows_of_the_table`, `val_four_misprints_are_found`, `round_trip_keeps_hv`,
//! rows `conversion-*`.

use casewright_terms::{Hardness, Remark, Scale, Valued, Vickers};

pub mod table;
#[cfg(test)]
mod tests;

use table::{B_TABLE, C_TABLE};

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 1] = ["astm-e140"];

/// Highest Brinell number within the ball's range in the C table.
const HBW_LIMIT: f64 = 634.0;

const C_NAME: &str = "ASTM E140 table 1 (Rockwell C range)";
const B_NAME: &str = "ASTM E140 table 2 (Rockwell B range)";

/// A reading on the other scales.
#[derive(Clone, Debug, PartialEq)]
pub struct Conversion {
    /// What was given.
    pub from: Hardness,
    /// Every scale in print order; `None` where it cannot be read on that scale.
    pub to: Vec<(Scale, Option<f64>)>,
    /// `false` where the given number is no reading on its scale, or is outside the tables.
    pub valid: bool,
    /// The table used; empty where none applies.
    pub table: &'static str,
    /// Limits and doubts.
    pub remarks: Vec<Remark>,
}

impl Conversion {
    /// The number on one scale.
    #[must_use]
    pub fn on(&self, scale: Scale) -> Option<f64> {
        self.to
            .iter()
            .find_map(|(s, value)| (*s == scale).then_some(*value)?)
    }
}

/// Converts a reading to every scale.
#[must_use]
pub fn convert(from: Hardness) -> Conversion {
    let mut remarks = Vec::new();
    let hv = hv_of(from).map(|valued| valued.into_value(&mut remarks));
    let to: Vec<(Scale, Option<f64>)> = Scale::ALL
        .into_iter()
        .map(|scale| {
            let value = match hv {
                Some(_) if scale == from.scale => Some(from.value),
                Some(hv) => scale_of(hv, scale),
                None => None,
            };
            (scale, value)
        })
        .collect();
    let reached = to
        .iter()
        .any(|(scale, value)| *scale != from.scale && value.is_some());
    // A Vickers number of any size is a reading, but the tables end.
    let hv = hv.filter(|_| reached);
    let table = match hv {
        Some(hv) if in_c_table(from, hv) => C_NAME,
        Some(_) => B_NAME,
        None => "",
    };
    match hv {
        None => remarks.push(refusal(from)),
        Some(hv) => {
            if hv.to_hv() > hv_at_hbw_limit() {
                remarks.push(Remark::new(
                    "brinell-outside-ball",
                    "Brinell above 634 HBW stands in brackets in the table: the ball itself gives \
                     way. No value is given.",
                ));
            }
            remarks.push(Remark::new(
                "conversion-approximate",
                "A converted number is approximate; report the scale that was read.",
            ));
        }
    }
    Conversion {
        from,
        to,
        valid: hv.is_some(),
        table,
        remarks,
    }
}

/// Vickers number of a reading; `None` where the number is no reading on its scale or the tables do
/// not reach it.
#[must_use]
pub fn hv_of(reading: Hardness) -> Option<Valued<Vickers>> {
    let value = reading.value;
    let hv = match reading.scale {
        Scale::Hv => (value.is_finite() && value > 0.0).then_some(value),
        Scale::Hrb => through(B_TABLE.iter().map(|r| (r.hrb, r.hv)), value),
        Scale::Hbw if value > HBW_LIMIT => None,
        Scale::Hbw | Scale::Hk => {
            from_c(reading.scale, value).or_else(|| through(b_pairs(reading.scale), value))
        }
        scale => from_c(scale, value),
    }?;
    let remark = (reading.scale == Scale::Hbw && (226.0..=240.0).contains(&value)).then(|| {
        Remark::new(
            "brinell-tables-differ",
            "Between 226 and 240 HBW the two tables differ by about 12 HV; the Rockwell C one is \
             used.",
        )
    });
    Some(Valued {
        value: Vickers::from_hv(hv),
        remarks: remark.into_iter().collect(),
    })
}

/// The number a steel of this Vickers hardness shows on `scale`; `None` where it cannot be read.
#[must_use]
pub fn scale_of(hv: Vickers, scale: Scale) -> Option<f64> {
    let hv = hv.to_hv();
    match scale {
        Scale::Hv => (hv > 0.0).then_some(hv),
        Scale::Hrb => through(B_TABLE.iter().map(|r| (r.hv, r.hrb)), hv),
        Scale::Hbw | Scale::Hk => through(c_pairs(scale).map(swap), hv)
            .or_else(|| through(b_pairs(scale).map(swap), hv))
            .filter(|value| scale != Scale::Hbw || *value <= HBW_LIMIT),
        _ => through(c_pairs(scale).map(swap), hv),
    }
}

/// Rockwell C from Vickers for drawing scales and for comparing with end-quench data: below 20 it
/// is `None` because that is not a reading.
#[must_use]
pub fn hrc_of(hv: Vickers) -> Option<f64> {
    scale_of(hv, Scale::Hrc)
}

/// Lowest and highest number of a scale in the tables; `None` where no table has it.
#[must_use]
pub fn range(scale: Scale) -> Option<(f64, f64)> {
    let b: Vec<f64> = match scale {
        Scale::Hrb => B_TABLE.iter().map(|row| row.hrb).collect(),
        Scale::Hv | Scale::Hbw | Scale::Hk => b_pairs(scale).map(|(number, _)| number).collect(),
        _ => Vec::new(),
    };
    let c = c_pairs(scale).filter(|_| scale != Scale::Hrb);
    let within = |number: &f64| scale != Scale::Hbw || *number <= HBW_LIMIT;
    let all = c.map(|(number, _)| number).chain(b).filter(within);
    all.fold(None, |range, number| match range {
        None => Some((number, number)),
        Some((low, high)) => Some((number.min(low), number.max(high))),
    })
}

fn in_c_table(from: Hardness, hv: Vickers) -> bool {
    from.scale != Scale::Hrb && hv.to_hv() >= C_TABLE[C_TABLE.len() - 1].values[0].unwrap_or(0.0)
}

fn hv_at_hbw_limit() -> f64 {
    from_c(Scale::Hbw, HBW_LIMIT).unwrap_or(f64::INFINITY)
}

fn from_c(scale: Scale, value: f64) -> Option<f64> {
    through(c_pairs(scale), value)
}

/// (number on `scale`, HV) of the C table, falling.
fn c_pairs(scale: Scale) -> impl Iterator<Item = (f64, f64)> {
    let column = match scale {
        Scale::Hv => Some(0),
        Scale::Hbw => Some(1),
        Scale::Hk => Some(2),
        Scale::Hra => Some(3),
        Scale::Hrd => Some(4),
        Scale::Hr15n => Some(5),
        Scale::Hr30n => Some(6),
        Scale::Hr45n => Some(7),
        Scale::Hrc | Scale::Hrb => None,
    };
    C_TABLE.iter().filter_map(move |row| {
        let number = match column {
            Some(column) => row.values[column]?,
            None => row.hrc,
        };
        Some((number, row.values[0]?))
    })
}

/// (number on `scale`, HV) of the B table, falling. Brinell equals Vickers within one unit there.
fn b_pairs(scale: Scale) -> impl Iterator<Item = (f64, f64)> {
    B_TABLE.iter().map(move |row| match scale {
        Scale::Hk => (row.hk, row.hv),
        _ => (row.hv, row.hv),
    })
}

fn swap((a, b): (f64, f64)) -> (f64, f64) {
    (b, a)
}

/// Linear interpolation through pairs that fall in the first number; `None` outside.
fn through(pairs: impl Iterator<Item = (f64, f64)>, x: f64) -> Option<f64> {
    let mut upper: Option<(f64, f64)> = None;
    for (number, value) in pairs {
        if x == number {
            return Some(value);
        }
        if x > number {
            let (upper_number, upper_value) = upper?;
            let t = (x - number) / (upper_number - number);
            return Some(value + t * (upper_value - value));
        }
        upper = Some((number, value));
    }
    None
}

/// Why a reading has no conversion.
fn refusal(from: Hardness) -> Remark {
    let text = match from.scale {
        Scale::Hrc if from.value < 20.0 => {
            "below 20 HRC the cone's scale is not valid; read it on HRB (at most 100) or HV"
        }
        Scale::Hrb if from.value > 100.0 => {
            "above 100 HRB the ball flattens; read it on HRC (from 20) or HV"
        }
        Scale::Hbw if from.value > HBW_LIMIT => {
            "above 634 HBW the ball is outside its range; read it on HRC or HV"
        }
        _ => "this number is outside the conversion tables",
    };
    Remark::new("conversion-outside-table", format!("{from}: {text}."))
}
