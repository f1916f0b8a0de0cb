//! What the kinetics in use change of Li's published factors, and how a product grows.
//!
//! The evidence and the fit are in `verify::hardenability`; the decision is told in
//! `docs/theory/decomposition.md`.

use casewright_terms::{Composition, Element};

use super::li_ln_factors;
use super::shape::{self, kirkaldy_integral, kirkaldy_shape, li_integral, li_shape};
use crate::numerics::fun;

/// Slope of ln(bainite time) with carbon in [li-1998].
const LI_BAINITE_CARBON: f64 = 10.18;
/// Slope of ln(pearlite time) with manganese in [li-1998].
const LI_PEARLITE_MANGANESE: f64 = 4.36;
/// Manganese at which the two forms of the pearlite factor meet: 1080, where Li's nose agrees with
/// the atlas.
const PIVOT_MN: f64 = 0.75;
/// Carbon at which the bainite factor is left as it is: 4140, where Li's nose agrees with the atlas.
const PIVOT_C: f64 = 0.40;

/// Changes of Li's composition factors and growth [kinetics-refit].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refit {
    /// Growth of ferrite, pearlite and bainite beyond 1 %.
    pub growth: [Growth; 3],
    /// Share of Li's Ni, Cr and Mo terms that ferrite keeps.
    pub ferrite_alloy: f64,
    /// Added to ln(time) of ferrite.
    pub ferrite_ln: f64,
    /// Added to ln(time) of pearlite.
    pub pearlite_ln: f64,
    /// Pearlite's time as a power of the standard's multiplying factor 1 + 3.333 Mn [astm-a255]
    /// instead of Li's exp(4.36 Mn). Hardenability is a diameter and time goes with its square, so
    /// the standard itself says 2.
    pub pearlite_manganese: Option<f64>,
    /// Slope of ln(bainite time) with carbon, per wt%.
    pub bainite_carbon: f64,
    /// Added to ln(time) of bainite.
    pub bainite_ln: f64,
}

impl Refit {
    /// Li's paper: nothing changed.
    pub const PUBLISHED: Self = Self {
        growth: [Growth::Li; 3],
        ferrite_alloy: 1.0,
        ferrite_ln: 0.0,
        pearlite_ln: 0.0,
        pearlite_manganese: None,
        bainite_carbon: LI_BAINITE_CARBON,
        bainite_ln: 0.0,
    };
    /// The one in use. Three numbers are fitted (0.55, 0.5, 6.5), one is the standard's (2); the
    /// constants of ferrite and bainite stay Li's, because the fit found nothing to move.
    pub const USED: Self = Self {
        growth: [Growth::Li, Growth::Kirkaldy, Growth::Kirkaldy],
        ferrite_alloy: 0.55,
        pearlite_ln: 0.5,
        pearlite_manganese: Some(2.0),
        bainite_carbon: 6.5,
        ..Self::PUBLISHED
    };

    /// Natural logarithms of the composition factors, in the order of `Product::ALL`.
    pub(super) fn ln_factors(self, composition: &Composition) -> [f64; 3] {
        let [ferrite, pearlite, bainite] = li_ln_factors(composition);
        let w = |element| composition.wt_pct(element);
        use Element::{C, Cr, Mn, Mo, Ni};
        // [li-1998], the alloy terms of FC
        let alloy = 1.12 * w(Ni) + 2.70 * w(Cr) + 4.06 * w(Mo);
        let manganese = self.pearlite_manganese.map_or(0.0, |power| {
            let factor = |mn: f64| 1.0 + 10.0 / 3.0 * mn; // [astm-a255]
            power * fun::ln(factor(w(Mn)) / factor(PIVOT_MN))
                - LI_PEARLITE_MANGANESE * (w(Mn) - PIVOT_MN)
        });
        [
            ferrite + self.ferrite_ln - (1.0 - self.ferrite_alloy) * alloy,
            pearlite + self.pearlite_ln + manganese,
            bainite
                + self.bainite_ln
                + (self.bainite_carbon - LI_BAINITE_CARBON) * (w(C) - PIVOT_C),
        ]
    }
}

/// How a product grows against its own fraction. The time to 1 % is the same in both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Growth {
    /// [li-1998]: 99 % after 19 times the time to 1 %.
    Li,
    /// [kirkaldy-venugopalan-1984]: 99 % after 5.8 times the time to 1 %.
    Kirkaldy,
}

impl Growth {
    /// dX/dt ÷ speed at fraction `x`.
    #[must_use]
    pub fn shape(self, x: f64) -> f64 {
        match self {
            Self::Li => li_shape(x),
            Self::Kirkaldy => kirkaldy_shape(x),
        }
    }

    /// Integral of dX ÷ shape over all growth, rounded: S(1) and I(1).
    #[must_use]
    pub(crate) fn whole(self) -> f64 {
        match self {
            Self::Li => 2.05,
            Self::Kirkaldy => 4.36,
        }
    }

    pub(super) fn integral(self, x: f64) -> f64 {
        match self {
            Self::Li => li_integral(x),
            Self::Kirkaldy => kirkaldy_integral(x, 0.0),
        }
    }

    pub(super) fn at_1_pct(self) -> f64 {
        match self {
            Self::Li => shape::LI_INTEGRAL_AT_1_PCT,
            Self::Kirkaldy => shape::KIRKALDY_INTEGRAL_AT_1_PCT,
        }
    }
}
