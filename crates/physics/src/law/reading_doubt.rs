//! How far a hardness reading can be trusted: scatter of one reading, error of the tester, doubt of a
//! mean.
//!
//! **What** Standard deviation of a single reading and greatest permitted error of a verified tester,
//! on each scale; the 90 % half-width of a mean of few readings.
//!
//! **Equation** Rockwell: s = r/2.326 with the permitted range r of five readings (2.326 is the mean
//! range of five normal values in standard deviations): C, A, D max(0.8, 0.02 (100 − H)); N scales
//! max(1.2, 0.04 (100 − H)); B max(1.2, 0.04 (130 − H)). HV and HK: s/H = √((2 δ/d)² + 0.015²).
//! Brinell: 0.015 H. Mean: v = (ν₀ s² + (n − 1) s²ₙ)/(ν₀ + n − 1) with ν₀ = 5; half-width
//! t(0.95; ν₀ + n − 1) √(v/n).
//!
//! **Symbols** H reading in its own units; d diagonal (mm); δ error of reading one diagonal, 0.5 µm;
//! sₙ standard deviation of the n readings; t Student's factor.
//!
//! **Source** `iso-6508-2` for ranges and permitted errors of Rockwell testers, `iso-6507-2` for those
//! of Vickers testers, both recalled; δ, the 1.5 % and ν₀ are `reading-scatter-assumed`.
//!
//! **Valid for** Testers that pass their verification; 1 to 200 readings at like places.
//!
//! **Weak where** The permitted range is the most that a tester may show on a block, not what a good
//! one shows; a lot scatters more than a block. Knoop takes the Vickers numbers.
//!
//! **Checked by** `val_range_of_five`, `val_student_factors`, `more_readings_are_surer`,
//! `a_heavier_vickers_force_is_surer`, row `reading-doubt-1`.

use casewright_terms::{Force, Scale, Vickers};

use super::indentation::{knoop_diagonal, vickers_diagonal};
use crate::numerics::fun;

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 3] = ["iso-6508-2", "iso-6507-2", "reading-scatter-assumed"];

/// Mean range of five normal values in standard deviations.
const RANGE_OF_FIVE: f64 = 2.325_93;
/// Error of reading one diagonal, in mm. [reading-scatter-assumed]
const DIAGONAL_MM: f64 = 0.0005;
/// Scatter of steel from indent to indent, as a share. [reading-scatter-assumed]
const STEEL_SHARE: f64 = 0.015;
/// How many readings' worth the expected scatter counts. [reading-scatter-assumed]
const EXPECTED_WEIGHT: f64 = 5.0;

/// Standard deviation of a single reading, in units of its scale; forces where the scale leaves them
/// open (HV1 where none is given).
#[must_use]
pub fn scatter(scale: Scale, force: Option<Force>, reading: f64) -> f64 {
    let rockwell = |least: f64, share: f64, full: f64| {
        least.max(share * (full - reading).max(0.0)) / RANGE_OF_FIVE
    };
    match scale {
        // [iso-6508-2] permitted range of five readings
        Scale::Hrc | Scale::Hra | Scale::Hrd => rockwell(0.8, 0.02, 100.0),
        Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => rockwell(1.2, 0.04, 100.0),
        Scale::Hrb => rockwell(1.2, 0.04, 130.0),
        Scale::Hbw => STEEL_SHARE * reading,
        Scale::Hv | Scale::Hk => {
            let force = force.unwrap_or_else(|| Force::from_kgf(1.0));
            let diagonal = match scale {
                Scale::Hk => knoop_diagonal(reading, force),
                _ => Vickers::checked(reading).and_then(|hv| vickers_diagonal(hv, force)),
            };
            let sight = diagonal.map_or(0.0, |d| 2.0 * DIAGONAL_MM / d.to_mm());
            reading * fun::sqrt(sight * sight + STEEL_SHARE * STEEL_SHARE)
        }
    }
}

/// Most that a tester within its verification may be off, either way, in units of its scale. Taken
/// where no check block was read.
#[must_use]
pub fn permitted_error(scale: Scale, force: Option<Force>, reading: f64) -> f64 {
    match scale {
        // [iso-6508-2]
        Scale::Hrc | Scale::Hra | Scale::Hrd => 1.5,
        Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => 2.0,
        Scale::Hrb if reading < 80.0 => 3.0,
        Scale::Hrb => 2.0,
        Scale::Hbw => 0.03 * reading,
        // [iso-6507-2], rising as the indent shrinks
        Scale::Hv | Scale::Hk => {
            let kgf = force.map_or(1.0, Force::to_kgf);
            let share = if kgf >= 5.0 {
                0.03
            } else if kgf >= 0.95 {
                0.04
            } else if kgf >= 0.28 {
                0.06
            } else {
                0.10
            };
            share * reading
        }
    }
}

/// Half-width that holds the mean of readings with 90 %, from the readings' own scatter and the one
/// `expected` of each (a standard deviation). 0 for no reading.
#[must_use]
pub fn mean_doubt(readings: &[f64], expected: f64) -> f64 {
    let n = readings.len();
    if n == 0 {
        return 0.0;
    }
    let count = n as f64;
    // In rising order, so that the sum does not hang on the order of reading.
    let mut sorted = readings.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mean = sorted.iter().sum::<f64>() / count;
    let squares: f64 = sorted.iter().map(|x| (x - mean) * (x - mean)).sum();
    let freedom = EXPECTED_WEIGHT + count - 1.0;
    let variance = (EXPECTED_WEIGHT * expected * expected + squares) / freedom;
    student_95(freedom) * fun::sqrt(variance / count)
}

/// Student's factor that leaves 5 % above, by degrees of freedom from 1 on: Cornish and Fisher's
/// series about the normal quantile, which is right to a thousandth from 5 on.
#[must_use]
pub fn student_95(freedom: f64) -> f64 {
    const Z: f64 = 1.644_853_626_951_472_7;
    let v = freedom.max(1.0);
    let z2 = Z * Z;
    Z + Z * (z2 + 1.0) / (4.0 * v)
        + Z * (5.0 * z2 * z2 + 16.0 * z2 + 3.0) / (96.0 * v * v)
        + Z * (3.0 * z2 * z2 * z2 + 19.0 * z2 * z2 + 17.0 * z2 - 15.0) / (384.0 * v * v * v)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.8 HRC over five readings is 0.344 HRC a reading; half a unit of the last digit.
    #[test]
    fn val_range_of_five() {
        assert!((scatter(Scale::Hrc, None, 62.0) - 0.344).abs() < 5e-4);
        assert!((scatter(Scale::Hr15n, None, 90.0) - 0.516).abs() < 5e-4);
    }

    /// Table of Student's t at 0.95: 2.015, 1.895, 1.812, 1.725; to a thousandth and a half, the
    /// size of the series' next term at 5.
    #[test]
    fn val_student_factors() {
        for (v, t) in [(5.0, 2.015), (7.0, 1.895), (10.0, 1.812), (20.0, 1.725)] {
            assert!((student_95(v) - t).abs() < 1.5e-3, "{v}: {}", student_95(v));
        }
    }

    #[test]
    fn more_readings_are_surer() {
        let one = mean_doubt(&[60.0], 0.34);
        let five = mean_doubt(&[60.0; 5], 0.34);
        assert!(five < one / 2.0, "{one} {five}");
        let wild = mean_doubt(&[55.0, 60.0, 65.0], 0.34);
        assert!(wild > one);
        assert_eq!(mean_doubt(&[], 0.34), 0.0);
        assert_eq!(
            mean_doubt(&[55.0, 60.0, 65.1], 0.34),
            mean_doubt(&[65.1, 55.0, 60.0], 0.34)
        );
    }

    #[test]
    fn a_heavier_vickers_force_is_surer() {
        let at = |kgf: f64| scatter(Scale::Hv, Some(Force::from_kgf(kgf)), 700.0);
        // 0.5 µm on 51.5 µm is 1.94 % of the hardness, with 1.5 % of the steel 2.45 %: 17.2 HV.
        assert!((at(1.0) - 17.2).abs() < 0.1, "{}", at(1.0));
        assert!(at(0.1) > at(0.3) && at(0.3) > at(1.0) && at(1.0) > at(10.0));
    }
}
