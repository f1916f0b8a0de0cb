//! Diffusivity of carbon in ferrite.
//!
//! **What.** How fast carbon leaves through a rim of ferrite, as forms under air between A1 and A3.
//!
//! **Equation.** D = 2e-6 exp(−10 115/T) exp(0.5898 (1 + (2/π) arctan(1.4985 − 15 309/T))).
//!
//! **Symbols.** D m²/s; T K.
//!
//! **Source.** [agren-1982], recalled, not re-read.
//!
//! **Valid for.** Ferrite of iron and low-alloy steel, 250–910 °C.
//!
//! **Weak where.** Handbooks' single exponential [callister-2007] (6.2e-7 m²/s, 80 kJ/mol) is half
//! of this at 800 °C; that is the doubt of a number nobody here has measured.
//!
//! **Checked by.** `faster_than_austenite`, rows `ferrite-diffusivity-*` of the accuracy table.

use casewright_terms::{Diffusivity, Remark, Temperature, Valued};

use crate::numerics::fun::{atan, exp};

/// Keys of the sources of this file.
pub const SOURCES: [&str; 1] = ["agren-1982"];

/// Kernel of [`in_ferrite`], in m²/s.
pub(crate) fn ferrite_m2_s(t_k: f64) -> f64 {
    let bend = 1.0 + std::f64::consts::FRAC_2_PI * atan(1.4985 - 15_309.0 / t_k);
    2e-6 * exp(-10_115.0 / t_k) * exp(0.5898 * bend)
}

/// Diffusivity of carbon in ferrite.
#[must_use]
pub fn in_ferrite(temperature: Temperature) -> Valued<Diffusivity> {
    let value = Diffusivity::from_m2_s(ferrite_m2_s(temperature.to_k()));
    let t = temperature.to_c();
    if (250.0..=912.0).contains(&t) {
        return Valued::inside(value);
    }
    Valued::with(
        value,
        Remark::new(
            "ferrite-diffusivity-range",
            format!(
                "the diffusivity of carbon in ferrite holds from 250 to 912 °C; it was used at {t:.0} °C"
            ),
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::diffusivity::agren_m2_s;

    #[test]
    fn faster_than_austenite() {
        for t in [1000.0, 1080.0, 1150.0] {
            // Textbooks: ten to a hundred times.
            let ratio = ferrite_m2_s(t) / agren_m2_s(t, 0.01);
            assert!((10.0..200.0).contains(&ratio), "{t}: {ratio}");
        }
        assert!(!in_ferrite(Temperature::from_c(1000.0)).remarks.is_empty());
    }
}
