//! **What**: activity of carbon in austenite against graphite, and the measures of carbon.
//!
//! **Equation**: `R T ln a = 77207 − 15.877 T + R T ln(y/(1 − y)) − 34671 (1 − 2y)` (Gustafson);
//! practical form `log10 a = 2300/T − 2.21 + 0.15 C + log10 C` (Collin and others);
//! `y = (C/12.011)/((100 − C)/55.845)`.
//!
//! **Symbols**: `a` activity against graphite; `T` K; `R` 8.314462618 J/(mol K); `y` carbon atoms per
//! substitutional atom; `C` wt%. In an alloy steel every substitutional atom counts as iron, with
//! iron's mass: that is the basis of all site fractions in this crate.
//!
//! **Source**: `gustafson-1985` (austenite), `collin-1972` (practical form), `ciaaw-2021`
//! (atomic masses), `codata-2018` (R). Coefficients recalled, not re-read; the first agrees with an equilibrium
//! program's numbers to 1e-4 relative (`equilibrium-run`).
//!
//! **Valid for**: plain Fe-C austenite, 727 to 1147 °C, up to saturation.
//!
//! **Weak where**: alloy steels (see `law::potential`); outside the range both forms still give
//! numbers, with a remark.
//!
//! **Checked by**: `val_activity_matches_equilibrium_program`, `slope_is_the_derivative`,
//! `measures_of_carbon_go_both_ways`; rows `activity-*` of the accuracy table.

use casewright_terms::{Remark, Temperature, Valued, WeightPercent};

use crate::numerics::fun::{exp, ln, log10};

/// Gas constant in J/(mol K), exact since 2019. [codata-2018]
pub(crate) const GAS_J_MOL_K: f64 = 8.314_462_618;
/// Relative atomic mass of carbon. [ciaaw-2021]
pub(crate) const CARBON_G_MOL: f64 = 12.011;
/// Relative atomic mass of iron. [ciaaw-2021]
pub(crate) const IRON_G_MOL: f64 = 55.845;

/// Austenite of the Fe-C system: eutectoid to eutectic, in °C. [gustafson-1985]
pub(crate) const RANGE_C: (f64, f64) = (727.0, 1147.0);

/// Carbon atoms per substitutional atom.
#[must_use]
pub fn site_fraction(carbon: WeightPercent) -> f64 {
    to_site_fraction(carbon.to_wt_pct())
}

/// Carbon of a steel with `y` carbon atoms per substitutional atom.
///
/// # Panics
/// When `y` is −4.65 (no such steel) or not a number.
#[must_use]
pub fn carbon_of_site_fraction(y: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(to_wt_pct(y))
}

/// `y` of wt%.
#[inline]
pub(crate) fn to_site_fraction(wt_pct: f64) -> f64 {
    (wt_pct / CARBON_G_MOL) / ((100.0 - wt_pct) / IRON_G_MOL)
}

/// wt% of `y`.
#[inline]
pub(crate) fn to_wt_pct(y: f64) -> f64 {
    100.0 * CARBON_G_MOL * y / (CARBON_G_MOL * y + IRON_G_MOL)
}

/// Natural logarithm of the activity; minus infinity without carbon. [gustafson-1985]
pub(crate) fn ln_activity(t_k: f64, y: f64) -> f64 {
    (77_207.0 - 15.877 * t_k - 34_671.0 * (1.0 - 2.0 * y)) / (GAS_J_MOL_K * t_k) + ln(y / (1.0 - y))
}

/// d ln a / d ln y, the thermodynamic factor. [gustafson-1985]
pub(crate) fn thermodynamic_factor(t_k: f64, y: f64) -> f64 {
    1.0 / (1.0 - y) + 2.0 * 34_671.0 * y / (GAS_J_MOL_K * t_k)
}

/// Activity of carbon in plain austenite against graphite.
#[must_use]
pub fn gustafson_1985(temperature: Temperature, carbon: WeightPercent) -> Valued<f64> {
    let y = site_fraction(carbon);
    let activity = if y > 0.0 {
        exp(ln_activity(temperature.to_k(), y))
    } else {
        0.0
    };
    within(temperature, activity)
}

/// Activity of carbon in plain austenite against graphite, practical form (cross-check).
#[must_use]
pub fn collin_1972(temperature: Temperature, carbon: WeightPercent) -> Valued<f64> {
    let c = carbon.to_wt_pct();
    let activity = if c > 0.0 {
        crate::numerics::fun::exp10(2300.0 / temperature.to_k() - 2.21 + 0.15 * c + log10(c))
    } else {
        0.0
    };
    within(temperature, activity)
}

/// Adds the remark where `temperature` is outside the Fe-C austenite range.
pub(crate) fn within<T>(temperature: Temperature, value: T) -> Valued<T> {
    let c = temperature.to_c();
    let (low, high) = RANGE_C;
    if c < low || c > high {
        let what = format!(
            "austenite data used at {c:.0} °C, outside {low:.0} to {high:.0} °C: a metastable \
             extension, not an equilibrium of the steel"
        );
        return Valued::with(value, Remark::new("austenite-data-outside-range", what));
    }
    Valued::inside(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `equilibrium-run`: plain Fe-C computed with an open database of the same assessment.
    /// 1e-4 relative is half a unit of the table's fourth figure.
    #[test]
    fn val_activity_matches_equilibrium_program() {
        for (c, wt, a) in [
            (800.0, 0.1, 0.08445),
            (800.0, 0.5, 0.49971),
            (800.0, 1.0, 1.23656),
        ] {
            let ours = gustafson_1985(Temperature::from_c(c), WeightPercent::from_wt_pct(wt));
            assert!(
                (ours.value / a - 1.0).abs() < 1e-4,
                "{wt}: {} for {a}",
                ours.value
            );
            assert!(ours.remarks.is_empty());
        }
    }

    #[test]
    fn slope_is_the_derivative() {
        let (t, y, d) = (1200.0, 0.04, 1e-6);
        let slope = (ln_activity(t, y + d) - ln_activity(t, y - d)) / (2.0 * d) * y;
        // Central difference: d² × third derivative.
        assert!((slope / thermodynamic_factor(t, y) - 1.0).abs() < 1e-8);
    }

    #[test]
    fn measures_of_carbon_go_both_ways() {
        for wt in [0.0, 0.18, 1.2, 2.0] {
            assert!((to_wt_pct(to_site_fraction(wt)) - wt).abs() < 1e-14);
        }
        assert_eq!(
            gustafson_1985(Temperature::from_c(900.0), WeightPercent::ZERO).value,
            0.0
        );
        let cold = gustafson_1985(Temperature::from_c(600.0), WeightPercent::from_wt_pct(0.4));
        assert_eq!(cold.remarks[0].code, "austenite-data-outside-range");
    }
}
