//! Heat transfer in a bed of charcoal grains.
//!
//! **What.** Effective conductivity and diffusivity of the compound at rest, with radiation from
//! grain to grain, and of the compound with steel parts in it.
//!
//! **Equation.** Zehner–Bauer–Schlünder without the rarefied-gas term:
//! k/k_g = (1 − √(1−ψ))(1 + ψ r) + √(1−ψ) [φ κ + (1−φ) c],
//! c = (2/N) { B(κ+r−1)/(N²κ) · ln((κ+r)/B) + (B+1)(r−B)/(2B) − (B−1)/N },
//! N = 1 + (r−B)/κ, B = 1.4 ((1−ψ)/ψ)^(10/9), r = 4σT³d/((2/ε−1) k_g), κ = k_s/k_g.
//! Steel of volume share φs much better conducting than the bed (Maxwell):
//! k_mix = k (1+2φs)/(1−φs); with the steel's own conductivity k_mix = k (2k + k_st + 2φs(k_st − k))
//! / (2k + k_st − φs(k_st − k)). Heat capacities add by volume. Water: 4186 J/(kg·K) until it boils,
//! 2.257e6 J/kg between 90 and 110 °C, nothing after. A gap: k_g/s + 4σT³/(2/ε − 1).
//!
//! **Symbols.** k bed, k_g gas, k_s grain, W/(m·K); ψ void share; d grain size m; ε emissivity of
//! charcoal; φ share of grain contact; T K; α = k/(ρcp) m²/s; s gap m.
//!
//! **Source.** [zehner-schlunder-1970], [bauer-schlunder-1978] (recalled, not re-read);
//! [maxwell-1873] for the parts; grain data [eucalyptus-charcoal]; cp of carbon
//! [graphite-cp]; grain conductivity, contact share and emissivity [bed-assumed];
//! water [water-tables].
//!
//! **Valid for.** Grains of 2–15 mm, bulk density 150–650 kg/m³, 20–1000 °C, steel share below
//! 0.5 with parts not touching.
//!
//! **Weak where.** Everything about a given bed: packing, fines, moisture, carbonate. The
//! heat-up times of the trade [trade-practice] mean diffusivities of 3e-7 to 7e-7 m²/s, a factor
//! of 2.3; hence [`BED_FACTOR_LOW`] and [`BED_FACTOR_HIGH`], to be replaced by a buried couple.
//! Reaction heat of the energiser is not included. Drying moves no steam: water boils where it
//! lies, though in the box some of it condenses further in first.
//!
//! **Checked by.** `diffusivity_lies_inside_the_range_of_the_trade`, `water_costs_its_heat_once`,
//! `maxwell_ends_at_bed_and_at_steel`,
//! `without_radiation_the_bed_lies_between_gas_and_grain`, `heat-box-…` rows of the accuracy table.

use crate::numerics::fun::{ln, pow, sqrt};
use casewright_terms::{
    Conductivity, Density, Diffusivity, Fraction, Length, Remark, Temperature, Valued,
};

/// Keys of the sources of this file.
pub const SOURCES: [&str; 7] = [
    "zehner-schlunder-1970",
    "bauer-schlunder-1978",
    "maxwell-1873",
    "eucalyptus-charcoal",
    "graphite-cp",
    "bed-assumed",
    "water-tables",
];

/// Lower end of the prior of `bed_factor`: brings the estimate at 4 mm, 300 kg/m³ below 3e-7 m²/s.
pub const BED_FACTOR_LOW: f64 = 0.6;
/// Upper end of the prior of `bed_factor`: brings that estimate above 7e-7 m²/s.
pub const BED_FACTOR_HIGH: f64 = 1.8;

const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
/// Conductivity of a charcoal grain in W/(m·K); wood charcoal across and along the grain.
const GRAIN_W_M_K: f64 = 0.15;
/// Share of the grain section in contact, broken grains.
const CONTACT_SHARE: f64 = 0.0077;
/// Emissivity of charcoal.
const EMISSIVITY: f64 = 0.9;
/// Apparent density of a grain in kg/m³, pores included.
const GRAIN_KG_M3: f64 = 345.0;
/// Specific heat of water in J/(kg·K).
const WATER_J_KG_K: f64 = 4186.0;
/// Heat to boil a kilogram of water, in J.
const STEAM_J_KG: f64 = 2.257e6;
/// The bed boils dry between these, in °C: about 100 °C, spread over what a cell spans.
const BOILS_C: (f64, f64) = (90.0, 110.0);
/// Void share is kept between these: a bed of broken grains packs no closer and no looser.
const VOIDS: (f64, f64) = (0.35, 0.60);

/// Conductivity of the bed, steel not counted.
#[must_use]
pub fn effective_conductivity(
    bulk: Density,
    grain: Length,
    at: Temperature,
) -> Valued<Conductivity> {
    let value =
        Conductivity::from_w_m_k(conductivity_w_m_k(bulk.to_kg_m3(), grain.to_m(), at.to_k()));
    Valued {
        value,
        remarks: range_remarks(bulk, grain),
    }
}

/// Diffusivity of heat in the bed with a share of steel parts in it.
#[must_use]
pub fn diffusivity(
    bulk: Density,
    grain: Length,
    steel: Fraction,
    at: Temperature,
) -> Valued<Diffusivity> {
    let bed = Bed {
        bulk_kg_m3: bulk.to_kg_m3(),
        grain_m: grain.to_m(),
        steel_share: steel.to_ratio(),
        factor: 1.0,
    };
    let t = at.to_k();
    Valued {
        value: Diffusivity::from_m2_s(bed.conductivity_w_m_k(t) / bed.heat_capacity_j_m3_k(t)),
        remarks: range_remarks(bulk, grain),
    }
}

/// Notes where the bed is outside the range of the correlation.
pub(crate) fn range_remarks(bulk: Density, grain: Length) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let (density, size) = (bulk.to_kg_m3(), grain.to_mm());
    if !(150.0..=650.0).contains(&density) {
        remarks.push(Remark::new(
            "bed-density-range",
            format!("a bulk density of {density:.0} kg/m³ is outside 150 to 650 kg/m³ known for packing compounds; the time to heat is a guess"),
        ));
    }
    if !(2.0..=15.0).contains(&size) {
        remarks.push(Remark::new(
            "bed-grain-range",
            format!("a grain of {size:.1} mm is outside 2 to 15 mm of the bed correlation; the time to heat is a guess"),
        ));
    }
    remarks
}

/// A bed with parts, as the box model needs it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bed {
    pub(crate) bulk_kg_m3: f64,
    pub(crate) grain_m: f64,
    pub(crate) steel_share: f64,
    /// Factor on the diffusivity; carried by the conductivity.
    pub(crate) factor: f64,
}

impl Bed {
    pub(crate) fn conductivity_w_m_k(&self, t_k: f64) -> f64 {
        let s = self.steel_share;
        self.factor * conductivity_w_m_k(self.bulk_kg_m3, self.grain_m, t_k) * (1.0 + 2.0 * s)
            / (1.0 - s)
    }

    pub(crate) fn heat_capacity_j_m3_k(&self, t_k: f64) -> f64 {
        let t_c = t_k - casewright_terms::quantity::ICE_POINT_K;
        let steel =
            super::steel_thermal::DENSITY_KG_M3 * super::steel_thermal::specific_heat_j_kg_k(t_c);
        (1.0 - self.steel_share) * self.bulk_kg_m3 * carbon_specific_heat_j_kg_k(t_c)
            + self.steel_share * steel
    }
}

/// Conductivity of a mixture of a bed and steel in it, whatever the share of steel.
pub(crate) fn mixture_w_m_k(bed: f64, steel: f64, share: f64) -> f64 {
    let (sum, more) = (2.0 * bed + steel, share * (steel - bed));
    bed * (sum + 2.0 * more) / (sum - more)
}

/// Conductance of a gap between compound and wall, in W/(m²·K).
pub(crate) fn gap_w_m2_k(gap_m: f64, t_k: f64) -> f64 {
    gas_w_m_k(t_k) / gap_m + 4.0 * STEFAN_BOLTZMANN * t_k.powi(3) / (2.0 / EMISSIVITY - 1.0)
}

/// Heat capacity of compound with water in it, per volume; `moisture` is the water over the dry
/// mass.
pub(crate) fn damp_heat_capacity_j_m3_k(bulk_kg_m3: f64, moisture: f64, t_k: f64) -> f64 {
    let t_c = t_k - casewright_terms::quantity::ICE_POINT_K;
    let water = if t_c < BOILS_C.0 {
        WATER_J_KG_K
    } else if t_c < BOILS_C.1 {
        STEAM_J_KG / (BOILS_C.1 - BOILS_C.0)
    } else {
        0.0
    };
    bulk_kg_m3 * (carbon_specific_heat_j_kg_k(t_c) + moisture * water)
}

/// Specific heat of charcoal: 1017 J/(kg·K) measured near room temperature, joining the curve of
/// graphite above 300 °C.
fn carbon_specific_heat_j_kg_k(t_c: f64) -> f64 {
    const KNOTS: [(f64, f64); 4] = [
        (25.0, 1017.0),
        (300.0, 1200.0),
        (600.0, 1600.0),
        (900.0, 1800.0),
    ];
    if t_c <= KNOTS[0].0 {
        return KNOTS[0].1;
    }
    for pair in KNOTS.windows(2) {
        if t_c <= pair[1].0 {
            return pair[0].1
                + (pair[1].1 - pair[0].1) * (t_c - pair[0].0) / (pair[1].0 - pair[0].0);
        }
    }
    KNOTS[3].1
}

/// Conductivity of the pack gas (CO and nitrogen) in W/(m·K): 0.025 at 300 K, growing as T^0.75.
fn gas_w_m_k(t_k: f64) -> f64 {
    0.025 * pow(t_k / 300.0, 0.75)
}

pub(crate) fn conductivity_w_m_k(bulk_kg_m3: f64, grain_m: f64, t_k: f64) -> f64 {
    let voids = (1.0 - bulk_kg_m3 / GRAIN_KG_M3).clamp(VOIDS.0, VOIDS.1);
    zehner_bauer_schlunder(voids, grain_m, t_k, EMISSIVITY)
}

fn zehner_bauer_schlunder(voids: f64, grain_m: f64, t_k: f64, emissivity: f64) -> f64 {
    let gas = gas_w_m_k(t_k);
    let kappa = GRAIN_W_M_K / gas;
    let b = 1.4 * pow((1.0 - voids) / voids, 10.0 / 9.0);
    let r = 4.0 * STEFAN_BOLTZMANN * t_k.powi(3) * grain_m / ((2.0 / emissivity - 1.0) * gas);
    let n = 1.0 + (r - b) / kappa;
    // Where N passes through zero the three terms cancel; step around the removable point.
    let n = if n.abs() < 1e-3 { 1e-3 } else { n };
    let core = (2.0 / n)
        * (b * (kappa + r - 1.0) / (n * n * kappa) * ln((kappa + r) / b)
            + (b + 1.0) * (r - b) / (2.0 * b)
            - (b - 1.0) / n);
    let root = sqrt(1.0 - voids);
    gas * ((1.0 - root) * (1.0 + voids * r)
        + root * (CONTACT_SHARE * kappa + (1.0 - CONTACT_SHARE) * core))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diffusivity_lies_inside_the_range_of_the_trade() {
        // [trade-practice] 3 to 7e-7 m²/s, taken near the mean temperature of the last hours.
        let a = diffusivity(
            Density::from_kg_m3(300.0),
            Length::from_mm(4.0),
            Fraction::from_ratio(0.0),
            Temperature::from_c(750.0),
        )
        .value
        .to_m2_s();
        assert!((3e-7..=7e-7).contains(&a), "{a:e}");
        assert!(
            a * BED_FACTOR_LOW < 3e-7 && a * BED_FACTOR_HIGH > 7e-7,
            "{a:e}"
        );
    }

    #[test]
    fn water_costs_its_heat_once() {
        let heat = |moisture: f64| -> f64 {
            (0..40_000)
                .map(|i| {
                    0.02 * damp_heat_capacity_j_m3_k(
                        300.0,
                        moisture,
                        293.15 + 0.02 * (f64::from(i) + 0.5),
                    )
                })
                .sum()
        };
        // 10 % of 300 kg/m³ from 20 to 90 °C and boiled; 0.2 % for the rectangles at the steps of
        // the curve.
        let dry = heat(0.0);
        let more = 30.0 * (4186.0 * 70.0 + 2.257e6);
        assert!((heat(0.1) - dry - more).abs() < 2e-3 * more);
    }

    #[test]
    fn maxwell_ends_at_bed_and_at_steel() {
        assert!((mixture_w_m_k(0.3, 30.0, 0.0) - 0.3).abs() < 1e-12);
        assert!((mixture_w_m_k(0.3, 30.0, 1.0) - 30.0).abs() < 1e-9);
        // Steel without end: the formula of the mixture model.
        assert!((mixture_w_m_k(0.3, 1e9, 0.12) - 0.3 * 1.24 / 0.88).abs() < 1e-6);
    }

    #[test]
    fn without_radiation_the_bed_lies_between_gas_and_grain() {
        for voids in [0.35, 0.45, 0.6] {
            for t in [300.0, 700.0] {
                let k = zehner_bauer_schlunder(voids, 0.004, t, 1e-9);
                assert!(gas_w_m_k(t) < k && k < GRAIN_W_M_K, "{voids} {t} {k}");
            }
        }
    }
}
