//! Where martensite begins, and how much austenite is left at a temperature.
//!
//! **What** Ms and the rate of the athermal transformation from composition; from them the share
//! of austenite that survives a quench.
//!
//! **Equation** Ms = 565 − (31 Mn + 13 Si + 10 Cr + 18 Ni + 12 Mo) − 600 [1 − exp(−0.96 C)];
//! α = 0.0272 − (0.14 Mn + 0.21 Si + 0.11 Cr + 0.08 Ni + 0.05 Mo)·10⁻³ − 0.0198 [1 − exp(−1.56 C)];
//! f_austenite = exp(−α (Ms − T)) below Ms, 1 above.
//!
//! **Symbols** Contents in wt%, of the austenite (carbide that stays undissolved does not count);
//! Ms and T in °C; α in 1/K; f as a share of the austenite present at Ms.
//!
//! **Source** `van-bohemen-2012` for Ms and α, `koistinen-marburger-1959` for the form. Recalled,
//! not re-read; worked values and the measured anchor are in the accuracy table.
//!
//! **Valid for** C to 1.0, Mn to 3, Si to 2, Ni to 5, Cr to 3.5, Mo to 1.5 wt%. Above, a remark.
//!
//! **Weak where** Slow cooling below Ms stabilises austenite, deep cooling after a pause is less
//! effective; neither is in the formula. Undissolved carbide raises Ms of the matrix: the caller
//! must pass the matrix carbon.
//!
//! **Checked by** `val_measured_4320_case`, `retained_austenite_is_a_share_and_grows_with_carbon`,
//! rows `martensite-*`.

use casewright_terms::{Composition, Element, Fraction, Remark, Temperature, Valued};

pub(crate) use super::transformation_temperature::TO_ONE_CARBON as FIT;
use super::transformation_temperature::{TO_ONE_CARBON, linear, point};
use crate::numerics::fun;

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 2] = ["van-bohemen-2012", "koistinen-marburger-1959"];

/// Smallest rate that is returned, in 1/K: the exponential carbon term alone ends at 0.0074, the
/// alloy terms can take the formula to zero far outside its range.
const LEAST_RATE_PER_K: f64 = 0.002;

/// Temperature at which martensite begins on cooling.
#[must_use]
pub fn martensite_start(composition: &Composition) -> Valued<Temperature> {
    let remark = TO_ONE_CARBON.remark("martensite-start-outside-fit", "Ms", composition);
    point(ms_c(composition), remark.into_iter().collect())
}

/// Rate of the transformation below Ms, in 1/K.
#[must_use]
pub fn martensite_rate_per_k(composition: &Composition) -> Valued<f64> {
    let rate = rate_formula_per_k(composition);
    let mut remarks: Vec<Remark> = TO_ONE_CARBON
        .remark(
            "martensite-rate-outside-fit",
            "The rate of martensite",
            composition,
        )
        .into_iter()
        .collect();
    if rate < LEAST_RATE_PER_K {
        remarks.push(Remark::new(
            "martensite-rate-cut",
            format!(
                "The formula gives {rate:.4} 1/K, which would leave all austenite; \
                 {LEAST_RATE_PER_K} 1/K is used."
            ),
        ));
    }
    Valued {
        value: rate.max(LEAST_RATE_PER_K),
        remarks,
    }
}

/// Share of the austenite that is left when the steel has been cooled to `quench_to`.
#[must_use]
pub fn retained_austenite(composition: &Composition, quench_to: Temperature) -> Valued<Fraction> {
    let mut remarks = Vec::new();
    let start = martensite_start(composition).into_value(&mut remarks);
    let rate = martensite_rate_per_k(composition).into_value(&mut remarks);
    Valued {
        value: Fraction::from_ratio(austenite_left(start.to_k(), rate, quench_to.to_k())),
        remarks,
    }
}

/// Kernel: share of austenite left at `t_k`, 0..1.
#[must_use]
pub fn austenite_left(ms_k: f64, rate_per_k: f64, t_k: f64) -> f64 {
    // [koistinen-marburger-1959]
    fun::exp(-rate_per_k * (ms_k - t_k).max(0.0))
}

/// Kernel: Ms in °C, without floor or remarks.
#[must_use]
pub fn ms_c(composition: &Composition) -> f64 {
    use Element::{C, Cr, Mn, Mo, Ni, Si};
    // [van-bohemen-2012], start temperature
    565.0
        + linear(
            composition,
            &[
                (Mn, -31.0),
                (Si, -13.0),
                (Cr, -10.0),
                (Ni, -18.0),
                (Mo, -12.0),
            ],
        )
        - 600.0 * (1.0 - fun::exp(-0.96 * composition.wt_pct(C)))
}

fn rate_formula_per_k(composition: &Composition) -> f64 {
    use Element::{C, Cr, Mn, Mo, Ni, Si};
    // [van-bohemen-2012], rate
    0.0272
        + 1e-3
            * linear(
                composition,
                &[
                    (Mn, -0.14),
                    (Si, -0.21),
                    (Cr, -0.11),
                    (Ni, -0.08),
                    (Mo, -0.05),
                ],
            )
        - 0.0198 * (1.0 - fun::exp(-1.56 * composition.wt_pct(C)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::transformation_temperature::tests::nominal;
    use casewright_terms::WeightPercent;

    fn left_at_25(name: &str, carbon: f64) -> f64 {
        let steel = nominal(name).with_carbon(WeightPercent::from_wt_pct(carbon));
        retained_austenite(&steel, Temperature::from_c(25.0))
            .value
            .to_ratio()
    }

    #[test]
    fn val_measured_4320_case() {
        // [retained-austenite-4320]: at most 26 % measured near the surface of a 1.0 % C case.
        // 5 points: X-ray readings scatter by 2-3 points and the dissolved carbon is not known
        // better than 0.05 %, which is worth 4 points here.
        let left = left_at_25("4320", 1.0);
        assert!((left - 0.26).abs() < 0.05, "{left}");
    }

    #[test]
    fn retained_austenite_is_a_share_and_grows_with_carbon() {
        let mut last = 0.0;
        for step in 0..=150 {
            let left = left_at_25("8620", f64::from(step) * 0.01);
            assert!((0.0..=1.0).contains(&left));
            assert!(left >= last, "falls at {step}");
            last = left;
        }
    }

    #[test]
    fn above_ms_nothing_has_formed() {
        let steel = nominal("1018");
        let left = retained_austenite(&steel, Temperature::from_c(500.0));
        assert_eq!(left.value.to_ratio(), 1.0);
        assert!(left.remarks.is_empty());
    }

    #[test]
    fn outside_the_fit_is_said() {
        let case = nominal("8620").with_carbon(WeightPercent::from_wt_pct(1.2));
        let left = retained_austenite(&case, Temperature::from_c(25.0));
        assert_eq!(left.remarks.len(), 2, "{:?}", left.remarks);
    }
}
