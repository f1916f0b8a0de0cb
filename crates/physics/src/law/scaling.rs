//! Scale and carbon loss in air.
//!
//! **What.** Depth of steel eaten by scale and the carbon left under it after a bare reheat.
//!
//! **Equation.** Parabolic oxidation W² = k t, k = 6.1 exp(−169 450/(RT)); steel lost
//! x = W (M_Fe/M_O)/ρ_Fe, as FeO. Carbon under a scale that recedes by x while the interface is
//! held free of carbon (similarity solution of the moving boundary):
//! c(z) = c₀(z) (erf ζ − erf β)/(1 − erf β), ζ = z/(2√(Dt)), β = x/(2√(Dt)), z from the old surface.
//!
//! **Symbols.** W oxygen taken up g/cm²; k g²/(cm⁴·s); R 8.314 J/(mol·K); x, z m; D m²/s; c wt%.
//!
//! **Source.** [paidassi-1958] for k (recalled, not re-read); [birks-2006] for the moving boundary.
//!
//! **Valid for.** Unalloyed steel, air, 700–1250 °C, minutes to a few hours; a case that is deep
//! against 2√(Dt), so that c₀ is nearly flat over the lost zone.
//!
//! **Weak where.** Chromium and silicon steels scale slower (0.5–0.8 of this). Below 910 °C a rim
//! of ferrite can form and slow the loss, so this is the upper end there. A furnace that has burnt
//! its oxygen scales less. Loose by a factor of two.
//!
//! **Checked by.** `val_scale_losses_of_one_hour`, `carbon_is_gone_at_the_interface`,
//! `deep_carbon_is_untouched`.

use casewright_terms::{Diffusivity, Length, Remark, Span, Temperature, Valued, WeightPercent};

use crate::numerics::fun::{erf, exp, sqrt};

/// Keys of the sources of this file.
pub const SOURCES: [&str; 2] = ["paidassi-1958", "birks-2006"];

const GAS_CONSTANT: f64 = 8.314_462_618;
/// Grams of iron per gram of oxygen in FeO.
const IRON_PER_OXYGEN: f64 = 55.845 / 15.999;
const METRES_PER_CM: f64 = 0.01;
/// Below 500 °C the scale is a film of colour, in K.
const SCALES_FROM_K: f64 = 773.15;
/// Density of iron in g/cm³.
const IRON_G_CM3: f64 = 7.87;

/// Parabolic constant of the oxygen uptake in g²/(cm⁴·s).
#[must_use]
pub fn parabolic_constant_g2_cm4_s(temperature: Temperature) -> f64 {
    6.1 * exp(-169_450.0 / (GAS_CONSTANT * temperature.to_k()))
}

/// Depth of steel turned to scale, per bare surface.
#[must_use]
pub fn steel_lost(temperature: Temperature, time: Span) -> Valued<Length> {
    let uptake_g_cm2 = sqrt(parabolic_constant_g2_cm4_s(temperature) * time.to_s().max(0.0));
    // 1 cm is 1e-2 m.
    let value = Length::from_mm(uptake_g_cm2 * IRON_PER_OXYGEN / IRON_G_CM3 * 10.0);
    let t = temperature.to_c();
    if (700.0..=1250.0).contains(&t) {
        return Valued::inside(value);
    }
    Valued::with(
        value,
        Remark::new(
            "scale-range",
            format!("the scaling constant holds from 700 to 1250 °C; it was used at {t:.0} °C"),
        ),
    )
}

/// Steel turned to scale up to each of the times (s) of a record of temperatures (K), in metres:
/// W² = ∫ k dt by the trapezoid. What happens under 500 °C is nothing against what follows.
pub(crate) fn steel_lost_along(time_s: &[f64], t_k: &[f64]) -> Vec<f64> {
    let rate = |t_k: f64| {
        if t_k < SCALES_FROM_K {
            return 0.0;
        }
        parabolic_constant_g2_cm4_s(Temperature::from_k(t_k))
    };
    let mut squared = 0.0;
    let mut lost = vec![0.0; time_s.len().min(t_k.len())];
    for i in 1..lost.len() {
        squared += (time_s[i] - time_s[i - 1]) * (rate(t_k[i - 1]) + rate(t_k[i])) / 2.0;
        lost[i] = sqrt(squared) * IRON_PER_OXYGEN / IRON_G_CM3 * METRES_PER_CM;
    }
    lost
}

/// Carbon left at `depth` under the old surface when `before` stood there, the surface has receded
/// by `lost` and the interface was free of carbon for `time`.
#[must_use]
pub fn carbon_left(
    before: WeightPercent,
    depth: Length,
    lost: Length,
    diffusivity: Diffusivity,
    time: Span,
) -> WeightPercent {
    let reach = 2.0 * sqrt(diffusivity.to_m2_s() * time.to_s());
    if reach <= 0.0 {
        return before;
    }
    if depth.to_m() <= lost.to_m() {
        return WeightPercent::ZERO;
    }
    let (gone, here) = (erf(lost.to_m() / reach), erf(depth.to_m() / reach));
    if gone >= 1.0 {
        return before;
    }
    before * ((here - gone) / (1.0 - gone))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_scale_losses_of_one_hour() {
        // [paidassi-1958] as worked by hand from the formula: k and loss of 1 h.
        for (t, k, mm) in [
            (800.0, 3.4e-8, 0.05),
            (850.0, 8.0e-8, 0.075),
            (900.0, 1.7e-7, 0.11),
            (927.0, 2.6e-7, 0.135),
        ] {
            let at = Temperature::from_c(t);
            let computed = parabolic_constant_g2_cm4_s(at);
            // Two printed digits of k and of the loss.
            assert!((computed / k - 1.0).abs() < 0.04, "{t}: {computed:e}");
            let lost = steel_lost(at, Span::from_h(1.0)).value.to_mm();
            assert!((lost - mm).abs() < 0.005, "{t}: {lost}");
        }
    }

    #[test]
    fn a_steady_record_is_a_stay() {
        let t_k = Temperature::from_c(845.0).to_k();
        let time: Vec<f64> = (0..=100).map(|i| 18.0 * f64::from(i)).collect();
        let along = steel_lost_along(&time, &vec![t_k; time.len()]);
        let stay = steel_lost(Temperature::from_k(t_k), Span::from_min(30.0)).value;
        // Rounding of a sum of a hundred.
        assert!((along[100] / stay.to_m() - 1.0).abs() < 1e-12);
        assert_eq!(steel_lost_along(&[0.0, 1e6], &[600.0, 600.0])[1], 0.0);
    }

    #[test]
    fn carbon_is_gone_at_the_interface() {
        let left = |z: f64| {
            carbon_left(
                WeightPercent::from_wt_pct(0.9),
                Length::from_mm(z),
                Length::from_mm(0.02),
                Diffusivity::from_m2_s(3e-12),
                Span::from_min(15.0),
            )
            .to_wt_pct()
        };
        assert_eq!(left(0.0), 0.0);
        assert_eq!(left(0.02), 0.0);
        assert!(left(0.03) > 0.0 && left(0.05) > left(0.03));
    }

    #[test]
    fn deep_carbon_is_untouched() {
        let left = carbon_left(
            WeightPercent::from_wt_pct(0.9),
            Length::from_mm(1.0),
            Length::from_mm(0.02),
            Diffusivity::from_m2_s(3e-12),
            Span::from_min(15.0),
        );
        // erf(9.6) is 1 to the last bit.
        assert!((left.to_wt_pct() - 0.9).abs() < 1e-14);
        let none = carbon_left(
            WeightPercent::from_wt_pct(0.9),
            Length::ZERO,
            Length::ZERO,
            Diffusivity::ZERO,
            Span::ZERO,
        );
        assert_eq!(none.to_wt_pct(), 0.9);
    }
}
