//! Mass that a carbon profile stands for.
//!
//! **What** Carbon taken up per area of treated surface, from a profile of carbon against depth.
//!
//! **Equation** m = ρ ∫ (y − y₀) w(z) dz, y = C/(100 − C); w = 1 on a flat face, 1 − z/R on a round
//! of radius R; y linear between points.
//!
//! **Symbols** m uptake (kg/m²); ρ density of the steel less its carbon, 7850 kg/m³; C carbon (wt%), y
//! carbon per mass of the rest, y₀ that of the steel; z depth.
//!
//! **Source** Conservation of mass, `worked-here`; the density is that of `steel_thermal`.
//!
//! **Valid for** Profiles that end in the core or at the middle.
//!
//! **Weak where** Scale that forms or flakes off, oil and dust can weigh as much as the carbon: a case
//! of 1 mm is about 40 g/m², 0.1 g on a coupon of 25 cm².
//!
//! **Checked by** `val_triangle`, `a_round_takes_up_less`, rows `weight-gain-*`.

use casewright_terms::{Length, WeightPercent};

use super::steel_thermal::DENSITY_KG_M3;

/// Uptake per area, in grams per square metre, of a profile given by depths and carbon; `radius` where
/// the surface is round. 0 for fewer than two points.
#[must_use]
pub fn uptake_g_m2(
    depth_m: &[f64],
    carbon_wt_pct: &[f64],
    core: WeightPercent,
    radius: Option<Length>,
) -> f64 {
    let weight = |z: f64| radius.map_or(1.0, |r| (1.0 - z / r.to_m()).max(0.0));
    let ratio = |wt_pct: f64| wt_pct / (100.0 - wt_pct);
    let gain = |i: usize| ratio(carbon_wt_pct[i]) - ratio(core.to_wt_pct());
    let n = depth_m.len().min(carbon_wt_pct.len());
    let mut sum = 0.0;
    for i in 1..n {
        let (a, b) = (depth_m[i - 1], depth_m[i]);
        let middle = 0.5 * (a + b);
        let (left, right) = (gain(i - 1), gain(i));
        // Simpson's rule is exact for a line times a line.
        sum += (b - a) / 6.0
            * (left * weight(a) + 2.0 * (left + right) * weight(middle) + right * weight(b));
    }
    sum * DENSITY_KG_M3 * 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const CORE: WeightPercent = WeightPercent::ZERO;

    /// A straight fall from 1 wt% to nothing in 1 mm: half a millimetre at one in 99, 39.65 g/m².
    #[test]
    fn val_triangle() {
        let m = uptake_g_m2(&[0.0, 1e-3], &[1.0, 0.0], CORE, None);
        assert!((m - 3925.0 / 99.0).abs() < 1e-9, "{m}");
    }

    /// The same on a bar of 2 mm: ∫(1 − z)(1 − z) dz = 1/3 of a millimetre for 1/2.
    #[test]
    fn a_round_takes_up_less() {
        let radius = Some(Length::from_mm(1.0));
        let m = uptake_g_m2(&[0.0, 1e-3], &[1.0, 0.0], CORE, radius);
        assert!((m - 3925.0 / 99.0 * 2.0 / 3.0).abs() < 1e-9, "{m}");
        assert_eq!(uptake_g_m2(&[0.0], &[1.0], CORE, None), 0.0);
    }
}
