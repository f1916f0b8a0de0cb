//! What to add to a Rockwell reading taken on a round.
//!
//! Sources and doubts stand in the parent module's head.

use casewright_terms::{Hardness, Length, Remark, Scale, Valued};

/// Diameter in mm below which a Rockwell reading on a round is refused: 1/4 in, which the table's
/// head rounds to 6.4 mm. [astm-e18]
pub const LEAST_DIAMETER_MM: f64 = 6.35;

/// Nominal diameters of the columns, in mm (1/4, 3/8, 1/2, 5/8, 3/4, 7/8, 1, 1 1/4, 1 1/2 in).
const DIAMETERS_MM: [f64; 9] = [6.4, 9.5, 12.7, 15.9, 19.0, 22.0, 25.0, 32.0, 38.0];

/// [astm-e18] C, A and D scales: reading, then what to add at each diameter. At 30 and 22 mm the
/// chart prints 1.0; another recollection has 1.5.
const DIAMOND: [(f64, [f64; 9]); 12] = [
    (20.0, [6.0, 4.5, 3.5, 2.5, 2.0, 1.5, 1.5, 1.0, 1.0]),
    (25.0, [5.5, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 1.0, 1.0]),
    (30.0, [5.0, 3.5, 2.5, 2.0, 1.5, 1.0, 1.0, 1.0, 0.5]),
    (35.0, [4.0, 3.0, 2.0, 1.5, 1.5, 1.0, 1.0, 0.5, 0.5]),
    (40.0, [3.5, 2.5, 2.0, 1.5, 1.0, 1.0, 1.0, 0.5, 0.5]),
    (45.0, [3.0, 2.0, 1.5, 1.0, 1.0, 1.0, 0.5, 0.5, 0.5]),
    (50.0, [2.5, 2.0, 1.5, 1.0, 1.0, 0.5, 0.5, 0.5, 0.5]),
    (55.0, [2.0, 1.5, 1.0, 1.0, 0.5, 0.5, 0.5, 0.5, 0.0]),
    (60.0, [1.5, 1.0, 1.0, 0.5, 0.5, 0.5, 0.5, 0.0, 0.0]),
    (65.0, [1.5, 1.0, 1.0, 0.5, 0.5, 0.5, 0.5, 0.0, 0.0]),
    (70.0, [1.0, 1.0, 0.5, 0.5, 0.5, 0.5, 0.5, 0.0, 0.0]),
    (80.0, [0.5, 0.5, 0.5, 0.5, 0.5, 0.0, 0.0, 0.0, 0.0]),
];

/// [astm-e18] B scale, to 25 mm; only these three rows are held.
const BALL: [(f64, [f64; 7]); 3] = [
    (0.0, [12.5, 8.5, 6.5, 5.5, 4.5, 3.5, 3.0]),
    (30.0, [10.0, 6.5, 5.0, 4.5, 3.5, 3.0, 2.5]),
    (50.0, [8.0, 5.5, 4.0, 3.5, 3.0, 2.5, 2.0]),
];

/// Columns of the superficial N scales, in mm (1/8, 1/4, 3/8, 1/2, 3/4, 1 in).
const SUPERFICIAL_MM: [f64; 6] = [3.2, 6.4, 9.5, 12.7, 19.0, 25.0];

/// [astm-e18] 15N, 30N and 45N scales, recalled; held against the geometry of a sphere's indent on a
/// round in `superficial_corrections_follow_the_round`.
const SUPERFICIAL: [(f64, [f64; 6]); 9] = [
    (20.0, [6.0, 3.0, 2.0, 1.5, 1.5, 1.5]),
    (30.0, [5.5, 3.0, 2.0, 1.5, 1.0, 1.0]),
    (40.0, [4.5, 2.5, 1.5, 1.5, 1.0, 1.0]),
    (50.0, [3.5, 2.0, 1.5, 1.0, 1.0, 1.0]),
    (60.0, [3.0, 1.5, 1.0, 1.0, 0.5, 0.5]),
    (70.0, [2.0, 1.0, 1.0, 0.5, 0.5, 0.5]),
    (80.0, [1.0, 0.5, 0.5, 0.5, 0.0, 0.0]),
    (85.0, [0.5, 0.5, 0.5, 0.5, 0.0, 0.0]),
    (90.0, [0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
];

/// The same bound for the superficial scales: 1/8 in. [astm-e18]
const LEAST_SUPERFICIAL_MM: f64 = 3.175;

/// From here on a correction is for guidance only. [astm-e18]
const GUIDANCE_FROM: f64 = 3.0;

/// What to add to a reading taken on a round of this diameter, in units of the scale.
///
/// # Errors
/// A remark that says why there is no correction: a diameter below 6.4 mm (3.2 mm for the superficial
/// scales), a scale without a table,
/// a number that is no reading.
pub fn cylinder_correction(reading: Hardness, diameter: Length) -> Result<Valued<f64>, Remark> {
    let refuse = |text: String| Err(Remark::new("cylinder-refused", text));
    let mm = diameter.to_mm();
    // A billionth of room for inches turned to millimetres.
    let superficial = matches!(reading.scale, Scale::Hr15n | Scale::Hr30n | Scale::Hr45n);
    let least_mm = if superficial {
        LEAST_SUPERFICIAL_MM
    } else {
        LEAST_DIAMETER_MM
    };
    if mm < least_mm - 1e-9 {
        return refuse(format!(
            "A round of {mm:.2} mm is below {}: no {} reading is taken on it. \
             Grind a flat or read a cross section.",
            if superficial {
                "3.2 mm (1/8 in)"
            } else {
                "6.4 mm (1/4 in)"
            },
            reading.scale
        ));
    }
    let found = match reading.scale {
        Scale::Hrc | Scale::Hra | Scale::Hrd => {
            bilinear(&DIAMOND, &DIAMETERS_MM, reading.value, mm)
        }
        Scale::Hrb => bilinear(&BALL, &DIAMETERS_MM[..7], reading.value, mm),
        Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => {
            bilinear(&SUPERFICIAL, &SUPERFICIAL_MM, reading.value, mm)
        }
        scale => {
            return refuse(format!(
                "No table of cylinder corrections is held for {scale}."
            ));
        }
    };
    let Some((correction, held)) = found else {
        return refuse(format!("{reading} is not a reading to correct."));
    };
    let mut remarks = Vec::new();
    if held {
        remarks.push(Remark::new(
            "cylinder-table-end",
            format!("{reading} on {mm:.1} mm lies beyond the rows held; the nearest one is used."),
        ));
    }
    if mm > widest(reading.scale) && correction > 0.0 {
        remarks.push(Remark::new(
            "cylinder-beyond-table",
            format!(
                "The table ends at {} mm; from there the correction is let fade to zero at twice \
                 that diameter.",
                widest(reading.scale)
            ),
        ));
    }
    if correction > GUIDANCE_FROM {
        remarks.push(Remark::new(
            "cylinder-guidance-only",
            format!(
                "A correction of {correction:.1} is above {GUIDANCE_FROM}: for guidance only; \
                 grind a flat."
            ),
        ));
    }
    Ok(Valued {
        value: correction,
        remarks,
    })
}

/// Last column of a scale's table, in mm.
fn widest(scale: Scale) -> f64 {
    match scale {
        Scale::Hrb => DIAMETERS_MM[6],
        Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => SUPERFICIAL_MM[5],
        _ => DIAMETERS_MM[8],
    }
}

/// Bilinear in reading and diameter. Readings beyond the rows hold the end row and say so; a
/// diameter past the last column fades to zero over the same width again (a flat needs none).
fn bilinear<const N: usize>(
    rows: &[(f64, [f64; N])],
    columns: &[f64],
    reading: f64,
    mm: f64,
) -> Option<(f64, bool)> {
    if !(0.0..=100.0).contains(&reading) {
        return None;
    }
    let (first, last) = (rows[0].0, rows[rows.len() - 1].0);
    let held = reading < first || reading > last;
    let at = reading.clamp(first, last);
    let low = rows
        .partition_point(|row| row.0 <= at)
        .clamp(1, rows.len() - 1)
        - 1;
    let t = (at - rows[low].0) / (rows[low + 1].0 - rows[low].0);
    let along = |row: &[f64; N]| along_diameter(row, columns, mm);
    let value = (1.0 - t) * along(&rows[low].1) + t * along(&rows[low + 1].1);
    Some((value, held))
}

fn along_diameter(row: &[f64], columns: &[f64], mm: f64) -> f64 {
    let end = columns.len() - 1;
    if mm <= columns[0] {
        return row[0];
    }
    if mm >= columns[end] {
        return row[end] * (2.0 - mm / columns[end]).max(0.0);
    }
    let right = columns.partition_point(|d| *d <= mm);
    let t = (mm - columns[right - 1]) / (columns[right] - columns[right - 1]);
    (1.0 - t) * row[right - 1] + t * row[right]
}
