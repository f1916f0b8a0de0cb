//! **What**: diffusivity of carbon in austenite, and the closed solutions for a constant one.
//!
//! **Equation**: Ågren
//! `D = 4.53e-7 (1 + y(1 − y) 8339.9/T) exp(−(1/T − 2.221e-4)(17767 − 26436 y))`; Tibbetts
//! `D = 0.47e-4 exp(−1.6 C) exp(−(37000 − 6600 C)/(1.987 T))`; half space with held surface
//! `(C − C₀)/(Cₛ − C₀) = erfc(x/(2√(Dt)))`; with a transfer coefficient, `h = β/D`,
//! `(C − C₀)/(Cₚ − C₀) = erfc(u) − exp(hx + h²Dt) erfc(u + h√(Dt))`, `u = x/(2√(Dt))`.
//!
//! **Symbols**: `D` m²/s; `T` K; `y` carbon atoms per substitutional atom; `C` wt%; `x` depth in
//! m; `t` time in s; `β` transfer coefficient in m/s; `C₀` core, `Cₛ` surface, `Cₚ` potential.
//!
//! **Source**: `agren-1986`, `tibbetts-1980` (as used by `goldstein-moren-1978`), recalled, the
//! first also found quoted; closed solutions `crank-1975` eq. 2.45 and 3.35.
//!
//! **Valid for**: plain Fe-C austenite, about 750 to 1250 °C, 0 to 1.5 wt%.
//!
//! **Weak where**: substitutional alloys (chromium slows carbon); below 750 °C; the two fits
//! differ by 5 % at 0.5 wt% and 13 % at 1.0 wt%, which is a fair measure of the doubt.
//!
//! **Checked by**: `val_table_of_diffusivities`, `val_textbook_times_and_carbon`,
//! `transfer_solution_has_its_limits`; rows `diffusivity-*` and `erf-*` of the accuracy table.

use casewright_terms::{
    Diffusivity, Length, Remark, Span, Temperature, TransferCoefficient, Valued, WeightPercent,
};

use super::carbon_activity::to_site_fraction;
use crate::numerics::fun::{erfc, exp, inverse_erf, sqrt};

/// Where both fits were made or compared, in °C.
pub(crate) const RANGE_C: (f64, f64) = (750.0, 1250.0);
/// Most carbon of either fit, in wt%.
pub(crate) const MOST_WT_PCT: f64 = 1.5;

/// Ågren's D in m²/s. [agren-1986] eq. 11 as quoted
#[inline]
pub(crate) fn agren_m2_s(t_k: f64, y: f64) -> f64 {
    let inverse = 1.0 / t_k;
    4.53e-7
        * (1.0 + y * (1.0 - y) * 8339.9 * inverse)
        * exp(-(inverse - 2.221e-4) * (17_767.0 - 26_436.0 * y))
}

/// Tibbetts' D in m²/s, from wt%. [tibbetts-1980]
#[inline]
pub(crate) fn tibbetts_m2_s(t_k: f64, wt_pct: f64) -> f64 {
    0.47e-4 * exp(-1.6 * wt_pct - (37_000.0 - 6600.0 * wt_pct) / (1.987 * t_k))
}

/// Ågren's diffusivity.
#[must_use]
pub fn agren_1986(temperature: Temperature, carbon: WeightPercent) -> Valued<Diffusivity> {
    let y = to_site_fraction(carbon.to_wt_pct());
    judged(temperature, carbon, agren_m2_s(temperature.to_k(), y))
}

/// Tibbetts' diffusivity.
#[must_use]
pub fn tibbetts_1980(temperature: Temperature, carbon: WeightPercent) -> Valued<Diffusivity> {
    judged(
        temperature,
        carbon,
        tibbetts_m2_s(temperature.to_k(), carbon.to_wt_pct()),
    )
}

fn judged(temperature: Temperature, carbon: WeightPercent, d_m2_s: f64) -> Valued<Diffusivity> {
    let value = Diffusivity::from_m2_s(d_m2_s);
    let (c, wt) = (temperature.to_c(), carbon.to_wt_pct());
    if (RANGE_C.0..=RANGE_C.1).contains(&c) && (0.0..=MOST_WT_PCT).contains(&wt) {
        return Valued::inside(value);
    }
    Valued::with(value, outside(c, wt))
}

/// The remark for a use outside the range.
pub(crate) fn outside(celsius: f64, wt_pct: f64) -> Remark {
    Remark::new(
        "diffusivity-outside-range",
        format!(
            "diffusivity of carbon used at {celsius:.0} °C and {wt_pct:.2} wt%; the fit covers \
             {:.0} to {:.0} °C and up to {MOST_WT_PCT} wt%: depths are extrapolated",
            RANGE_C.0, RANGE_C.1
        ),
    )
}

/// Carbon at a depth of a half space whose surface is held, diffusivity constant. [crank-1975]
#[must_use]
pub fn held_surface_carbon(
    core: WeightPercent,
    surface: WeightPercent,
    depth: Length,
    diffusivity: Diffusivity,
    time: Span,
) -> WeightPercent {
    let spread = sqrt(diffusivity.to_m2_s() * time.to_s());
    let share = held_share(depth.to_m(), spread);
    WeightPercent::from_wt_pct(core.to_wt_pct() + (surface - core).to_wt_pct() * share)
}

/// Share of the surface step at a depth; `spread_m` is √(Dt).
pub(crate) fn held_share(depth_m: f64, spread_m: f64) -> f64 {
    if spread_m > 0.0 {
        erfc(depth_m / (2.0 * spread_m))
    } else if depth_m > 0.0 {
        0.0
    } else {
        1.0
    }
}

/// Time until a half space with held surface has `wanted` at `depth`, diffusivity constant;
/// `None` where `wanted` is not between core and surface. [crank-1975]
#[must_use]
pub fn held_surface_time(
    core: WeightPercent,
    surface: WeightPercent,
    wanted: WeightPercent,
    depth: Length,
    diffusivity: Diffusivity,
) -> Option<Span> {
    let share = (surface - wanted) / (surface - core);
    let z = inverse_erf(share).filter(|z| *z > 0.0)?;
    let root = depth.to_m() / (2.0 * z);
    Span::checked(root * root / diffusivity.to_m2_s())
}

/// Carbon at a depth of a half space fed through a transfer coefficient, diffusivity constant.
/// [crank-1975]
#[must_use]
pub fn fed_surface_carbon(
    core: WeightPercent,
    potential: WeightPercent,
    coefficient: TransferCoefficient,
    depth: Length,
    diffusivity: Diffusivity,
    time: Span,
) -> WeightPercent {
    let (d, t) = (diffusivity.to_m2_s(), time.to_s());
    let share = fed_share(coefficient.to_m_s(), depth.to_m(), d, t);
    WeightPercent::from_wt_pct(core.to_wt_pct() + (potential - core).to_wt_pct() * share)
}

/// Share of the step from core to potential at a depth.
pub(crate) fn fed_share(beta_m_s: f64, depth_m: f64, d_m2_s: f64, t_s: f64) -> f64 {
    let spread = sqrt(d_m2_s * t_s);
    if spread <= 0.0 || beta_m_s <= 0.0 {
        return 0.0;
    }
    let u = depth_m / (2.0 * spread);
    let s = beta_m_s * spread / d_m2_s;
    // exp(hx + h²Dt) erfc(u + s) = exp(−u²) · exp((u + s)²) erfc(u + s), without overflow.
    erfc(u) - exp(-u * u) * scaled_erfc(u + s)
}

/// exp(x²) erfc(x) for x ≥ 0.
fn scaled_erfc(x: f64) -> f64 {
    if x < 20.0 {
        return exp(x * x) * erfc(x);
    }
    // Asymptotic series; the first term left out is below 1e-13 of the sum at 20.
    let q = 1.0 / (2.0 * x * x);
    (1.0 - q * (1.0 - 3.0 * q * (1.0 - 5.0 * q * (1.0 - 7.0 * q)))) / (x * 1.772_453_850_905_516)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The comparison table that the two fits are quoted with has three figures; half a unit in
    /// the last is 0.5 %.
    #[test]
    fn val_table_of_diffusivities() {
        for (t, wt, agren, tibbetts) in [
            (1150.0, 0.1, 5.12e-12, 4.96e-12),
            (1200.0, 0.5, 1.47e-11, 1.54e-11),
            (1250.0, 1.0, 4.19e-11, 4.59e-11),
            (1300.0, 1.0, 6.90e-11, 7.35e-11),
        ] {
            let (k, c) = (Temperature::from_k(t), WeightPercent::from_wt_pct(wt));
            assert!((agren_1986(k, c).value.to_m2_s() / agren - 1.0).abs() < 5e-3);
            assert!((tibbetts_1980(k, c).value.to_m2_s() / tibbetts - 1.0).abs() < 5e-3);
        }
        let hot = agren_1986(Temperature::from_c(1300.0), WeightPercent::from_wt_pct(0.5));
        assert_eq!(hot.remarks[0].code, "diffusivity-outside-range");
    }

    /// Smith, example 5.2: 143 minutes. One minute of 143 covers the printed rounding.
    #[test]
    fn val_textbook_times_and_carbon() {
        let w = WeightPercent::from_wt_pct;
        let (depth, d) = (Length::from_mm(0.5), Diffusivity::from_m2_s(1.28e-11));
        let time = held_surface_time(w(0.2), w(0.9), w(0.4), depth, d).unwrap();
        assert!((time.to_min() - 143.0).abs() < 1.0);
        let back = held_surface_carbon(w(0.2), w(0.9), depth, d, time);
        assert!((back.to_wt_pct() - 0.4).abs() < 1e-12);
        assert_eq!(held_surface_time(w(0.2), w(0.9), w(0.1), depth, d), None);
        assert_eq!(held_surface_time(w(0.2), w(0.9), w(0.95), depth, d), None);
    }

    #[test]
    fn transfer_solution_has_its_limits() {
        let (d, t) = (1.5e-11, 3600.0);
        // A huge coefficient holds the surface; the share missing at the surface is 1/(s √π).
        let fast = fed_share(1.0, 1e-4, d, t);
        assert!((fast - held_share(1e-4, (d * t).sqrt())).abs() < 1e-6);
        // A tiny one feeds β t per area: the share at the surface is 2 β √(t/(π D)).
        let slow = fed_share(1e-12, 0.0, d, t);
        let exact = 2e-12 * (t / (std::f64::consts::PI * d)).sqrt();
        assert!((slow / exact - 1.0).abs() < 1e-3);
        // The series joins the direct form.
        assert!((scaled_erfc(19.999) / scaled_erfc(20.001) - 20.001 / 19.999).abs() < 1e-6);
        assert_eq!(fed_share(1e-7, 0.0, d, 0.0), 0.0);
    }
}
