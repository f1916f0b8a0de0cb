//! Diffusivity and saturation as short polynomials, so that a node costs a few multiplications.

use crate::equilibrium::{AlloyFactor, Ratios, SaturationTable};
use crate::law::carbon_activity::to_wt_pct;
use crate::law::diffusivity::{agren_m2_s, tibbetts_m2_s};
use crate::law::saturation::{cementite_y, graphite_y};
use crate::numerics::chebyshev::{Basis, FEW, Polynomial};

/// Diffusivity as a function of temperature and matrix carbon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Law {
    Agren,
    Tibbetts,
    /// Ågren times the ratio of the thermodynamic factors `d ln a/d ln y` of this steel and of
    /// plain iron with the same carbon. It stays within a few percent of one for low-alloy steels:
    /// what chromium does to the mobility of carbon is not in it, because the published fit that
    /// has it could not be checked against its paper.
    Alloy(AlloyFactor),
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
            Self::Alloy(factor) => agren_m2_s(t_k, y) * factor.over_plain(t_k, y),
            Self::Constant { d_m2_s } => d_m2_s,
        }
    }

    /// D and its integral over y at one temperature.
    pub(crate) fn fit(
        self,
        basis: &Basis<FEW>,
        t_k: f64,
        factor: f64,
        range: (f64, f64),
    ) -> Polynomial<FEW> {
        basis.fit(range.0, range.1, |y| factor * self.d_m2_s(t_k, y))
    }
}

/// Saturation lines of the steel over the temperatures of a cycle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limits {
    /// Plain graphite and cementite lines; the second at the temperature less the shift.
    graphite: Polynomial,
    cementite: Polynomial,
    /// The alloy's part.
    ratios: Option<Ratios>,
    shift_k: f64,
}

impl Limits {
    /// Fits both lines between two temperatures.
    pub(crate) fn new(basis: &Basis, low_k: f64, high_k: f64, table: &SaturationTable) -> Self {
        let fit = Fit::new(basis, low_k, high_k);
        Self {
            graphite: fit.of(graphite_y),
            cementite: fit.of(|t| cementite_y(t - table.shift_k())),
            ratios: table.ratios().copied(),
            shift_k: table.shift_k(),
        }
    }

    /// Site fraction beside carbide: the most the matrix holds.
    pub(crate) fn matrix(&self, t_k: f64) -> f64 {
        let ratio = |ratios: Ratios| ratios.carbide(t_k - self.shift_k);
        self.cementite.value(t_k) * self.ratios.map_or(1.0, ratio)
    }

    /// Site fraction a charcoal pack gives: the lesser of the two.
    pub(crate) fn pack(&self, t_k: f64) -> f64 {
        let ratio = |ratios: Ratios| ratios.graphite(t_k);
        let graphite = self.graphite.value(t_k) * self.ratios.map_or(1.0, ratio);
        graphite.min(self.matrix(t_k))
    }
}

/// The range of temperatures of a cycle.
struct Fit<'a> {
    basis: &'a Basis,
    low_k: f64,
    high_k: f64,
}

impl<'a> Fit<'a> {
    fn new(basis: &'a Basis, low_k: f64, high_k: f64) -> Self {
        Self {
            basis,
            low_k,
            // A range of no width would divide by zero; a kelvin more on top costs nothing.
            high_k: high_k.max(low_k + 1.0),
        }
    }

    fn of(&self, f: impl FnMut(f64) -> f64) -> Polynomial {
        self.basis.fit(self.low_k, self.high_k, f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_terms::{Composition, Element, TemperatureStep, WeightPercent};

    fn steel() -> SaturationTable {
        let contents = [
            (Element::Mn, 0.8),
            (Element::Si, 0.25),
            (Element::Cr, 0.5),
            (Element::Ni, 0.55),
            (Element::Mo, 0.2),
        ]
        .map(|(e, w)| (e, WeightPercent::from_wt_pct(w)));
        let steel = Composition::new(&contents).expect("a steel");
        SaturationTable::new(&steel, TemperatureStep::ZERO).expect("inside the assessments")
    }

    /// A millionth of saturation, for the lines are smooth. D: 1e-5 over a range of carbon wider than any run's, at the coldest temperature.
    #[test]
    fn fits_carry_the_laws() {
        let basis = Basis::new();
        for table in [SaturationTable::plain(), steel()] {
            let limits = Limits::new(&basis, 973.15, 1473.15, &table);
            let mut worst = (0.0_f64, 0.0_f64);
            for k in 0..50 {
                let t = 973.15 + 10.0 * f64::from(k);
                let carbide = limits.matrix(t) / table.carbide_y(t) - 1.0;
                let pack = limits.pack(t) / table.graphite_y(t).min(table.carbide_y(t)) - 1.0;
                worst = (worst.0.max(carbide.abs()), worst.1.max(pack.abs()));
            }
            assert!(worst.0 < 1e-6 && worst.1 < 1e-6, "{worst:?}");
        }
        let alloy = Law::Alloy(steel().factor().expect("an alloy steel"));
        for law in [Law::Agren, Law::Tibbetts, alloy] {
            // To 1.3 wt%, more than the limit at the coldest temperature.
            let p = law.fit(&Basis::short(), 1000.0, 1.0, (0.0, 0.06));
            for k in 0..=20 {
                let y = 0.003 * f64::from(k);
                let off = p.value(y) / law.d_m2_s(1000.0, y) - 1.0;
                assert!(off.abs() < 1e-5, "{law:?} {y}: {off:e}");
            }
        }
    }
}
