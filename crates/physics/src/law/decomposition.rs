//! How fast austenite turns into ferrite, pearlite and bainite.
//!
//! **What** Isothermal times and rates of the three diffusional products, by Li et al. with the
//! changes of [`Refit::USED`] (used by the transform model), by Li et al. as published, and by
//! Kirkaldy and Venugopalan (second opinion).
//!
//! **Equation** Li: τ(X,T) = K · S(X) / [2^(gG) · ΔT^n · exp(−Q/RT)] with
//! S(X) = ∫₀ˣ dX / [X^(0.4(1−X)) (1−X)^(0.4X)], and the rate
//! dX/dt = [2^(gG) ΔT^n exp(−Q/RT) / K] X^(0.4(1−X)) (1−X)^(0.4X).
//! Kirkaldy: the same shape with 2^((G−1)/2), I(X) = ∫₀ˣ dX / [X^(2(1−X)/3) (1−X)^(2X/3)], and for
//! pearlite two resistances in series.
//!
//! **Symbols** τ time to fraction X (s); X fraction of the most that can form, 0..1; T temperature
//! (K); ΔT = undercooling below Ae3, Ae1 or Bs (K); G ASTM grain number; Q activation energy
//! (cal/mol); R = 1.987 cal/mol/K; K composition factor; g, n per product.
//!
//! **Source** `li-1998`, `kirkaldy-venugopalan-1984`, `kinetics-refit`. The ferrite factor of Li was
//! seen quoted, the rest is recalled, not re-read.
//!
//! **Valid for** C to 0.8, Mn to 2, Si to 1, Ni to 4, Cr to 2, Mo to 0.8 wt%; grain 3..12. Above,
//! [`range_remarks`] says so; a case at 0.9 wt% C is always outside.
//!
//! **Weak where** Ferrite's Q is printed as 23 500 and as 27 500 in secondary sources, a factor of
//! ten in time; see [`FerriteActivation`]. Noses agree with the atlas within a factor 2-3 at best.
//! The refit rests on recalled bands and factors, and on plain steels of 0.2 to 0.8 % C with 0.3 to
//! 1.0 % Mn.
//!
//! **Checked by** `val_nose_of_1080_pearlite`, `rate_and_time_agree`,
//! `kinetics_are_finite`, rows `decomposition-*`.

use casewright_terms::{Composition, Element, Remark, SourceKey, Temperature};

use super::transformation_temperature::{Limits, ae1_grange, ae3_grange, bs_kirkaldy, bs_li};
use crate::numerics::fun;

mod refit;
mod shape;
#[cfg(test)]
mod tests;

pub use refit::{Growth, Refit};
pub use shape::{kirkaldy_integral, kirkaldy_shape, li_integral, li_shape};

/// Gas constant in cal/mol/K, as the sources use it.
const GAS_CAL_MOL_K: f64 = 1.987;

/// Keys of the sources behind this law.
pub const SOURCES: [SourceKey; 4] = [
    "li-1998",
    "kirkaldy-venugopalan-1984",
    "grange-1961",
    "kinetics-refit",
];

/// A diffusional product of austenite.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Product {
    /// Proeutectoid ferrite.
    Ferrite,
    /// Pearlite.
    Pearlite,
    /// Bainite.
    Bainite,
}

impl Product {
    /// All three, from high to low temperature.
    pub const ALL: [Self; 3] = [Self::Ferrite, Self::Pearlite, Self::Bainite];

    /// Its name in plain words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ferrite => "ferrite",
            Self::Pearlite => "pearlite",
            Self::Bainite => "bainite",
        }
    }
}

/// Which printed activation energy of ferrite is used.
///
/// End-quench bands and the hardenability of plain steels decide for 27 500: the fit of
/// [`Refit::USED`] leaves ferrite's constant where Li has it with 27 500, within a factor of 1.1 in
/// time. The recalled noses, which alone spoke for the middle, are met by the smaller alloy factor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum FerriteActivation {
    /// 23 500 cal/mol: earlier ferrite.
    Cal23500,
    /// 27 500 cal/mol, as for pearlite and bainite: later ferrite.
    #[default]
    Cal27500,
}

impl FerriteActivation {
    fn cal_mol(self) -> f64 {
        match self {
            Self::Cal23500 => 23_500.0,
            Self::Cal27500 => 27_500.0,
        }
    }
}

/// Highest temperature of each product, in kelvin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Starts {
    /// Ae3: ferrite.
    pub ae3_k: f64,
    /// Ae1: pearlite.
    pub ae1_k: f64,
    /// Bs: bainite.
    pub bs_k: f64,
}

impl Starts {
    /// Grange's Ae3 and Ae1 with Li's Bs, the set the kinetics were fitted with. Ae3 is not let
    /// below Ae1.
    #[must_use]
    pub fn li(composition: &Composition) -> Self {
        Self::of(composition, bs_li(composition).value)
    }

    /// Grange's Ae3 and Ae1 with Kirkaldy's Bs.
    #[must_use]
    pub fn kirkaldy(composition: &Composition) -> Self {
        Self::of(composition, bs_kirkaldy(composition).value)
    }

    fn of(composition: &Composition, bs: Temperature) -> Self {
        let ae1_k = ae1_grange(composition).value.to_k();
        Self {
            ae3_k: ae3_grange(composition).value.to_k().max(ae1_k),
            ae1_k,
            bs_k: bs.to_k(),
        }
    }

    fn of_product(&self, product: Product) -> f64 {
        match product {
            Product::Ferrite => self.ae3_k,
            Product::Pearlite => self.ae1_k,
            Product::Bainite => self.bs_k,
        }
    }
}

/// The greatest contents of the steels the kinetics were fitted on.
pub(crate) const FIT: Limits = Limits(&[
    (Element::C, 0.8),
    (Element::Mn, 2.0),
    (Element::Si, 1.0),
    (Element::Ni, 4.0),
    (Element::Cr, 2.0),
    (Element::Mo, 0.8),
]);

/// Remarks for a steel outside the range the kinetics were fitted on.
#[must_use]
pub fn range_remarks(composition: &Composition, grain_number: f64) -> Vec<Remark> {
    let mut remarks: Vec<Remark> = FIT
        .remark(
            "kinetics-above-fit",
            "The speed of ferrite, pearlite and bainite",
            composition,
        )
        .into_iter()
        .collect();
    if !(3.0..=12.0).contains(&grain_number) {
        remarks.push(Remark::new(
            "kinetics-grain",
            format!(
                "Grain number {grain_number:.1} is outside 3 to 12; the speed is extrapolated."
            ),
        ));
    }
    remarks
}

/// The part of the kinetics that does not depend on temperature or fraction, for one product:
/// speed = exp(ln_speed − Q/RT) ΔT^n.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Line {
    ln_speed: f64,
    start_k: f64,
    power: i32,
    q_over_r_k: f64,
}

impl Line {
    fn speed_per_s(&self, t_k: f64) -> f64 {
        let undercooling_k = self.start_k - t_k;
        if undercooling_k <= 0.0 || t_k <= 0.0 {
            return 0.0;
        }
        fun::exp(self.ln_speed - self.q_over_r_k / t_k) * undercooling_k.powi(self.power)
    }
}

/// Kinetics of one steel and grain by Li et al., ready for many calls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LiCoefficients {
    lines: [Line; 3],
    growth: [Growth; 3],
    starts: Starts,
}

impl LiCoefficients {
    /// The kinetics in use: Li's with [`Refit::USED`], Grange's equilibrium temperatures, Li's Bs
    /// and the default ferrite energy. `grain_number` is the ASTM number; it is held within −5..20
    /// so that the factor stays finite.
    #[must_use]
    pub fn new(composition: &Composition, grain_number: f64) -> Self {
        Self::refitted(composition, grain_number, Refit::USED)
    }

    /// As [`Self::new`] with another refit; [`Refit::PUBLISHED`] is Li's paper.
    #[must_use]
    pub fn refitted(composition: &Composition, grain_number: f64, refit: Refit) -> Self {
        let mut kinetics = Self::of(
            refit.ln_factors(composition),
            grain_number,
            Starts::li(composition),
            FerriteActivation::default(),
        );
        kinetics.growth = refit.growth;
        kinetics
    }

    /// Li's kinetics as published, with chosen start temperatures and ferrite energy.
    #[must_use]
    pub fn with(
        composition: &Composition,
        grain_number: f64,
        starts: Starts,
        ferrite: FerriteActivation,
    ) -> Self {
        Self::of(li_ln_factors(composition), grain_number, starts, ferrite)
    }

    fn of(
        factors: [f64; 3],
        grain_number: f64,
        starts: Starts,
        ferrite: FerriteActivation,
    ) -> Self {
        let grain = grain_number.clamp(-5.0, 20.0);
        let line = |product: Product, g: f64, power: i32, q_cal_mol: f64| Line {
            ln_speed: std::f64::consts::LN_2 * g * grain - factors[product as usize],
            start_k: starts.of_product(product),
            power,
            q_over_r_k: q_cal_mol / GAS_CAL_MOL_K,
        };
        Self {
            lines: [
                line(Product::Ferrite, 0.41, 3, ferrite.cal_mol()),
                line(Product::Pearlite, 0.32, 3, 27_500.0),
                line(Product::Bainite, 0.29, 2, 27_500.0),
            ],
            growth: [Growth::Li; 3],
            starts,
        }
    }

    /// The start temperatures in use.
    #[must_use]
    pub fn starts(&self) -> Starts {
        self.starts
    }

    /// How the product grows from its 1 %.
    #[must_use]
    pub fn growth(&self, product: Product) -> Growth {
        self.growth[product as usize]
    }

    /// Speed factor in 1/s: dX/dt ÷ shape(X). Zero above the product's start.
    #[must_use]
    pub fn speed_per_s(&self, product: Product, t_k: f64) -> f64 {
        self.lines[product as usize].speed_per_s(t_k) * self.growth(product).at_1_pct()
            / shape::LI_INTEGRAL_AT_1_PCT
    }

    /// Share of the incubation (1 % formed) that one second at `t_k` uses up, in 1/s.
    #[must_use]
    pub fn incubation_per_s(&self, product: Product, t_k: f64) -> f64 {
        self.lines[product as usize].speed_per_s(t_k) / shape::LI_INTEGRAL_AT_1_PCT
    }

    /// Time to fraction `x` at `t_k` in seconds; `None` where the product cannot form.
    #[must_use]
    pub fn tau_s(&self, product: Product, x: f64, t_k: f64) -> Option<f64> {
        time_s(
            self.growth(product).integral(x),
            self.speed_per_s(product, t_k),
        )
    }

    /// dX/dt at fraction `x`, in 1/s. Zero at X = 0 and X = 1: start at 1 % after the incubation.
    #[must_use]
    pub fn rate_per_s(&self, product: Product, x: f64, t_k: f64) -> f64 {
        self.speed_per_s(product, t_k) * self.growth(product).shape(x)
    }
}

fn time_s(integral: f64, speed_per_s: f64) -> Option<f64> {
    let time = integral / speed_per_s;
    time.is_finite().then_some(time)
}

/// Natural logarithms of Li's composition factors, in the order of [`Product::ALL`].
fn li_ln_factors(composition: &Composition) -> [f64; 3] {
    let w = |element| composition.wt_pct(element);
    use Element::{C, Cr, Mn, Mo, Ni, Si};
    // [li-1998], equations for FC, PC, BC
    [
        1.00 + 6.31 * w(C)
            + 1.78 * w(Mn)
            + 0.31 * w(Si)
            + 1.12 * w(Ni)
            + 2.70 * w(Cr)
            + 4.06 * w(Mo),
        -4.25
            + 4.12 * w(C)
            + 4.36 * w(Mn)
            + 0.44 * w(Si)
            + 1.71 * w(Ni)
            + 3.33 * w(Cr)
            + 5.19 * fun::sqrt(w(Mo)),
        -10.23 + 10.18 * w(C) + 0.85 * w(Mn) + 0.55 * w(Ni) + 0.90 * w(Cr) + 0.36 * w(Mo),
    ]
}

/// Kinetics of one steel and grain by Kirkaldy and Venugopalan: a second opinion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KirkaldyCoefficients {
    starts: Starts,
    grain_factor: f64,
    factors: [f64; 3],
    pearlite_drag: f64,
    bainite_bracket: f64,
}

impl KirkaldyCoefficients {
    /// Kinetics with Grange's equilibrium temperatures and Kirkaldy's Bs.
    #[must_use]
    pub fn new(composition: &Composition, grain_number: f64) -> Self {
        let w = |element| composition.wt_pct(element);
        use Element::{C, Cr, Mn, Mo, Ni};
        // [kirkaldy-venugopalan-1984], equations for ferrite, pearlite and bainite
        Self {
            starts: Starts::kirkaldy(composition),
            grain_factor: fun::pow(2.0, (grain_number.clamp(-5.0, 20.0) - 1.0) / 2.0),
            factors: [
                59.6 * w(Mn) + 1.45 * w(Ni) + 67.7 * w(Cr) + 244.0 * w(Mo),
                1.79 + 5.42 * (w(Cr) + w(Mo) + 4.0 * w(Mo) * w(Ni)),
                (2.34 + 10.1 * w(C) + 3.8 * w(Cr) + 19.0 * w(Mo)) * 1e-4,
            ],
            pearlite_drag: 0.01 * w(Cr) + 0.52 * w(Mo),
            bainite_bracket: (1.9 * w(C) + 2.5 * w(Mn) + 0.9 * w(Ni) + 1.7 * w(Cr) + 4.0 * w(Mo)
                - 2.6)
                .max(0.0),
        }
    }

    /// Time to fraction `x` at `t_k` in seconds; `None` where the product cannot form, and for
    /// ferrite in a steel without any of Mn, Ni, Cr, Mo, where the factor is zero.
    #[must_use]
    pub fn tau_s(&self, product: Product, x: f64, t_k: f64) -> Option<f64> {
        let undercooling_k = self.starts.of_product(product) - t_k;
        let factor = self.factors[product as usize];
        if undercooling_k <= 0.0 || t_k <= 0.0 || factor <= 0.0 {
            return None;
        }
        let resistance = |q_cal_mol: f64| fun::exp(q_cal_mol / (GAS_CAL_MOL_K * t_k));
        let (slowness, power, integral) = match product {
            Product::Ferrite => (resistance(23_500.0), 3, kirkaldy_integral(x, 0.0)),
            Product::Pearlite => (
                resistance(27_500.0) + self.pearlite_drag * resistance(37_000.0),
                3,
                kirkaldy_integral(x, 0.0),
            ),
            Product::Bainite => (
                resistance(27_500.0),
                2,
                kirkaldy_integral(x, self.bainite_bracket),
            ),
        };
        let time = factor * integral * slowness / (self.grain_factor * undercooling_k.powi(power));
        time.is_finite().then_some(time)
    }
}
