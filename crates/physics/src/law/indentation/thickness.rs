//! How thick a case must be so that a Rockwell reading speaks of the case and not of the core.
//!
//! Sources and doubts stand in the parent module's head.

use casewright_terms::{Hardness, Length, Remark, Scale, Valued};

use super::{depth_under_load, rockwell_depth};
use crate::law::hardness_conversion::hv_of;

/// What a reading asks of the case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CaseForScale {
    /// Below this effective case the reading says nothing about it: refuse the scale.
    pub refuse_below: Length,
    /// From this effective case on the reading is free of the core; between the two, warn.
    pub sound_from: Length,
}

/// Least thickness in mm against reading, thickest first, as (mm, reading). [astm-e18], recalled: a
/// reading is valid at or above the listed hardness for the thickness.
fn table(scale: Scale) -> Option<&'static [(f64, f64)]> {
    const HRA: &[(f64, f64)] = &[
        (0.76, 60.0),
        (0.71, 67.0),
        (0.66, 71.0),
        (0.61, 76.0),
        (0.56, 79.0),
        (0.51, 82.0),
        (0.46, 84.0),
        (0.41, 86.0),
    ];
    const HRC: &[(f64, f64)] = &[
        (1.02, 20.0),
        (0.97, 28.0),
        (0.91, 37.0),
        (0.86, 45.0),
        (0.81, 52.0),
        (0.76, 57.0),
        (0.71, 62.0),
        (0.66, 65.0),
        (0.61, 67.0),
        (0.56, 69.0),
    ];
    const HR15N: &[(f64, f64)] = &[
        (0.41, 68.0),
        (0.36, 76.0),
        (0.30, 83.0),
        (0.25, 88.0),
        (0.20, 90.0),
        (0.15, 92.0),
    ];
    const HR30N: &[(f64, f64)] = &[
        (0.56, 47.0),
        (0.51, 57.0),
        (0.46, 66.0),
        (0.41, 74.0),
        (0.36, 78.5),
        (0.30, 82.0),
    ];
    const HR45N: &[(f64, f64)] = &[
        (0.71, 20.0),
        (0.66, 37.0),
        (0.61, 51.0),
        (0.56, 58.0),
        (0.51, 63.0),
        (0.46, 68.0),
        (0.41, 72.0),
        (0.36, 74.0),
        (0.30, 77.0),
    ];
    match scale {
        Scale::Hra => Some(HRA),
        Scale::Hrc => Some(HRC),
        Scale::Hr15n => Some(HR15N),
        Scale::Hr30n => Some(HR30N),
        Scale::Hr45n => Some(HR45N),
        Scale::Hrb | Scale::Hrd | Scale::Hv | Scale::Hk | Scale::Hbw => None,
    }
}

/// Floor of the C scale in the trade: 0.030 in. [trade-practice]
const C_FLOOR_IN: f64 = 0.030;

/// The effective case a reading needs; `None` for scales that have no table (B, D, HV, HK, HBW) and
/// for numbers that are no reading.
///
/// The lower bound is the standard's table for uniform sheet, on the C scale not less than the
/// trade's 0.030 in. The upper bound is ten times the depth of the cone under its full load, or the
/// table where that asks more.
#[must_use]
pub fn least_case(reading: Hardness) -> Option<Valued<CaseForScale>> {
    let rows = table(reading.scale)?;
    let hv = hv_of(reading)?.value;
    let (thickness_mm, held) = interpolate(rows, reading.value);
    let mut refuse_below = Length::from_mm(thickness_mm);
    if reading.scale == Scale::Hrc {
        refuse_below = refuse_below.max(Length::from_in(C_FLOOR_IN));
    }
    let under_load = depth_under_load(reading.scale, hv)? * 10.0;
    let remark = held.then(|| {
        Remark::new(
            "thickness-table-end",
            format!("{reading} lies beyond the table of thickness; its end is used."),
        )
    });
    Some(Valued {
        value: CaseForScale {
            refuse_below,
            sound_from: under_load.max(refuse_below),
        },
        remarks: remark.into_iter().collect(),
    })
}

/// Thickness by the general rule: ten times the recorded depth for the diamond, fifteen times for
/// the ball. `None` for scales other than Rockwell.
#[must_use]
pub fn thickness_by_depth_rule(reading: Hardness) -> Option<Length> {
    let factor = if reading.scale == Scale::Hrb {
        15.0
    } else {
        10.0
    };
    Some(rockwell_depth(reading)? * factor)
}

/// Thickness at a reading, and whether an end of the table was held.
fn interpolate(rows: &[(f64, f64)], reading: f64) -> (f64, bool) {
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    if reading < first.1 {
        return (first.0, true);
    }
    for pair in rows.windows(2) {
        let ((thick, low), (thin, high)) = (pair[0], pair[1]);
        if reading <= high {
            return (
                thick + (thin - thick) * (reading - low) / (high - low),
                false,
            );
        }
    }
    (last.0, reading > last.1)
}
