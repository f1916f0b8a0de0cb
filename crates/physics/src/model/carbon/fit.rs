//! Diffusivity and saturation as short polynomials, so that a node costs a few multiplications.

use crate::law::carbon_activity::{thermodynamic_factor, to_wt_pct};
use crate::law::diffusivity::{agren_m2_s, tibbetts_m2_s};
use crate::law::saturation::{cementite_y, graphite_y};
use crate::numerics::chebyshev::{Basis, Polynomial};

/// Diffusivity as a function of temperature and matrix carbon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Law {
    Agren,
    Tibbetts,
    /// Ågren times the ratio of the thermodynamic factors `d ln a/d ln y` of this steel and of
    /// plain iron. With Gunnarson's correction the steel at y has the activity of iron at
    /// y ÷ `taken`, so the ratio is F(y/taken)/F(y): within 3 % of one for low-alloy steels. The
    /// slowing of carbon by chromium beyond that (its mobility) is not in it: the published fit
    /// that has it could not be checked against its paper.
    Alloy {
        /// Carbon the steel takes ÷ carbon pure iron takes.
        taken: f64,
    },
    /// One value, for comparison with closed solutions.
    Constant {
        d_m2_s: f64,
    },
}

impl Law {
    /// D in m²/s.
    pub(crate) fn d_m2_s(self, t_k: f64, y: f64) -> f64 {
        match self {
            Self::Agren => agren_m2_s(t_k, y),
            Self::Tibbetts => tibbetts_m2_s(t_k, to_wt_pct(y)),
            Self::Alloy { taken } => {
                agren_m2_s(t_k, y) * thermodynamic_factor(t_k, y / taken)
                    / thermodynamic_factor(t_k, y)
            }
            Self::Constant { d_m2_s } => d_m2_s,
        }
    }

    /// D and its integral over y at one temperature.
    pub(crate) fn fit(self, basis: &Basis, t_k: f64, factor: f64, range: (f64, f64)) -> Polynomial {
        basis.fit(range.0, range.1, |y| factor * self.d_m2_s(t_k, y))
    }
}

/// Saturation lines of the steel over the temperatures of a cycle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limits {
    graphite: Polynomial,
    cementite: Polynomial,
}

impl Limits {
    /// Fits both lines between two temperatures; `taken` is the alloy's factor on the graphite
    /// line, `rise_k` what it adds to the temperatures of the cementite line.
    pub(crate) fn new(basis: &Basis, low_k: f64, high_k: f64, taken: f64, rise_k: f64) -> Self {
        // A range of no width would divide by zero; a kelvin more on top costs nothing.
        let high_k = high_k.max(low_k + 1.0);
        Self {
            graphite: basis.fit(low_k, high_k, |t| taken * graphite_y(t)),
            cementite: basis.fit(low_k, high_k, |t| cementite_y(t - rise_k)),
        }
    }

    /// Site fraction beside cementite: the most the matrix holds.
    pub(crate) fn matrix(&self, t_k: f64) -> f64 {
        self.cementite.value(t_k)
    }

    /// Site fraction a charcoal pack gives: the lesser of the two.
    pub(crate) fn pack(&self, t_k: f64) -> f64 {
        self.graphite.value(t_k).min(self.cementite.value(t_k))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A millionth of saturation and 1e-5 of D (over a range of carbon wider than any run's, at
    /// the coldest temperature) are far below what the laws themselves are good for.
    #[test]
    fn fits_carry_the_laws() {
        let basis = Basis::new();
        let limits = Limits::new(&basis, 973.15, 1473.15, 1.027, 34.0);
        for k in 0..50 {
            let t = 973.15 + 10.0 * f64::from(k);
            assert!(
                (limits.matrix(t) / cementite_y(t - 34.0) - 1.0).abs() < 1e-6,
                "{t}"
            );
            assert!(
                (limits.pack(t) / (1.027 * graphite_y(t)).min(cementite_y(t - 34.0)) - 1.0).abs()
                    < 1e-6,
                "{t}"
            );
        }
        for law in [Law::Agren, Law::Tibbetts, Law::Alloy { taken: 1.03 }] {
            // To 1.3 wt%, more than the limit at the coldest temperature.
            let p = law.fit(&basis, 1000.0, 1.0, (0.0, 0.06));
            for k in 0..=20 {
                let y = 0.003 * f64::from(k);
                let off = p.value(y) / law.d_m2_s(1000.0, y) - 1.0;
                assert!(off.abs() < 1e-5, "{law:?} {y}: {off:e}");
            }
        }
    }
}
