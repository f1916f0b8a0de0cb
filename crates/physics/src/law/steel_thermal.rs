//! Thermal properties of steel: one curve for heating, phase by phase for quenching.
//!
//! **What.** Conductivity and heat capacity. The heating curve contains the heat of the change to
//! austenite; the phase-wise tables do not, because the quench gets that heat from the
//! transformation itself.
//!
//! **Equation.** Heating (t in °C): k = 54 − 0.0333 t for 20–800, 27.3 above;
//! cp = 425 + 0.773 t − 1.69e-3 t² + 2.22e-6 t³ for 20–600; 666 + 13002/(738 − t) to 735;
//! 545 + 17820/(t − 731) to 900; 650 above. Quenching: linear between the knots of the tables,
//! mixed by the volume of austenite; latent heat per volume of what forms.
//!
//! **Symbols.** k W/(m·K); cp J/(kg·K); ρcp J/(m³·K); t °C; T K; latent heat J/m³.
//!
//! **Source.** [en-1993-1-2] 3.4.1 (carbon steel). [denis-1992] and the finite-element tradition
//! that follows it for the phase-wise tables and latent heats: recalled, not re-read, ±10 %.
//!
//! **Valid for.** EN curve 20–1200 °C, heating of carbon steel. Tables 20–900 °C, low-alloy steel.
//!
//! **Weak where.** Ferrite between 600 and 800 °C: the magnetic peak of the heat capacity is left
//! flat at its value at 600 °C. Alloy lowers the conductivity of ferrite; not included.
//!
//! **Checked by.** `val_en_1993_1_2_values`, `tables_return_their_knots`,
//! `enthalpy_is_the_integral_of_the_heat_capacity`.

use crate::numerics::fun::ln;
use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Conductivity, Remark, Temperature, Valued};

/// Keys of the sources of this file.
pub const SOURCES: [&str; 2] = ["en-1993-1-2", "denis-1992"];

/// Density of steel in kg/m³ as EN 1993-1-2 takes it at all temperatures.
pub const DENSITY_KG_M3: f64 = 7850.0;

/// What the austenite turns into, as far as heat is concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Product {
    Ferrite,
    Pearlite,
    Bainite,
    Martensite,
}

/// Conductivity of carbon steel on heating, in W/(m·K).
#[must_use]
pub fn heating_conductivity(temperature: Temperature) -> Valued<Conductivity> {
    let value = heating_conductivity_w_m_k(temperature.to_c());
    judged(temperature, Conductivity::from_w_m_k(value))
}

/// The kernel of [`heating_conductivity`], temperature in °C.
pub(crate) fn heating_conductivity_w_m_k(t_c: f64) -> f64 {
    if t_c < 800.0 {
        54.0 - 0.0333 * t_c.max(20.0)
    } else {
        27.3
    }
}

/// Specific heat of carbon steel on heating, in J/(kg·K), the change to austenite included.
#[must_use]
pub fn heating_specific_heat_j_kg_k(temperature: Temperature) -> Valued<f64> {
    judged(temperature, specific_heat_j_kg_k(temperature.to_c()))
}

/// The kernel of [`heating_specific_heat_j_kg_k`], temperature in °C.
pub(crate) fn specific_heat_j_kg_k(t_c: f64) -> f64 {
    let t = t_c.max(20.0);
    if t < 600.0 {
        425.0 + t * (0.773 + t * (-1.69e-3 + t * 2.22e-6))
    } else if t < 735.0 {
        666.0 + 13_002.0 / (738.0 - t)
    } else if t < 900.0 {
        545.0 + 17_820.0 / (t - 731.0)
    } else {
        650.0
    }
}

/// Integral of density times [`specific_heat_j_kg_k`] from 20 °C, in J/m³.
pub(crate) fn heating_enthalpy_j_m3(t_c: f64) -> f64 {
    let first = |t: f64| t * (425.0 + t * (0.773 / 2.0 + t * (-1.69e-3 / 3.0 + t * 2.22e-6 / 4.0)));
    let second = |t: f64| 666.0 * t - 13_002.0 * ln(738.0 - t);
    let third = |t: f64| 545.0 * t + 17_820.0 * ln(t - 731.0);
    let mut sum = first(t_c.clamp(20.0, 600.0)) - first(20.0);
    // Colder than the curve: its first value.
    sum += specific_heat_j_kg_k(20.0) * (t_c - 20.0).min(0.0);
    if t_c > 600.0 {
        sum += second(t_c.min(735.0)) - second(600.0);
    }
    if t_c > 735.0 {
        sum += third(t_c.min(900.0)) - third(735.0);
    }
    sum += 650.0 * (t_c - 900.0).max(0.0);
    DENSITY_KG_M3 * sum
}

fn judged<T>(temperature: Temperature, value: T) -> Valued<T> {
    let t = temperature.to_c();
    if (20.0..=1200.0).contains(&t) {
        return Valued::inside(value);
    }
    Valued::with(
        value,
        Remark::new(
            "steel-thermal-range",
            format!(
                "the thermal curve of steel holds from 20 to 1200 °C; {t:.0} °C took its nearest end"
            ),
        ),
    )
}

/// Knots (°C, value); linear between, constant outside.
type Knots<const N: usize> = [(f64, f64); N];

// Austenite above 800 °C: the slope between 600 and 800 °C carried on.
const K_AUSTENITE: Knots<5> = [
    (20.0, 15.0),
    (300.0, 18.0),
    (600.0, 21.7),
    (800.0, 25.1),
    (1000.0, 28.5),
];
// Middle of the range given for ferrite, pearlite and martensite.
const K_FERRITE: Knots<4> = [(20.0, 46.0), (300.0, 38.9), (600.0, 32.0), (800.0, 27.0)];
const RHO_CP_AUSTENITE: Knots<5> = [
    (20.0, 4.15e6),
    (300.0, 4.40e6),
    (600.0, 4.67e6),
    (800.0, 4.90e6),
    (1000.0, 5.13e6),
];
const RHO_CP_FERRITE: Knots<4> = [
    (20.0, 3.78e6),
    (300.0, 4.46e6),
    (500.0, 5.09e6),
    (600.0, 5.74e6),
];

fn linear(knots: &[(f64, f64)], t: f64) -> f64 {
    if t <= knots[0].0 {
        return knots[0].1;
    }
    for pair in knots.windows(2) {
        let ((t0, v0), (t1, v1)) = (pair[0], pair[1]);
        if t <= t1 {
            return v0 + (v1 - v0) * (t - t0) / (t1 - t0);
        }
    }
    knots[knots.len() - 1].1
}

/// Integral of the table from its first knot to `t` (negative below it).
fn integral(knots: &[(f64, f64)], t: f64) -> f64 {
    if t <= knots[0].0 {
        return (t - knots[0].0) * knots[0].1;
    }
    let mut sum = 0.0;
    for pair in knots.windows(2) {
        let ((t0, v0), (t1, v1)) = (pair[0], pair[1]);
        if t <= t1 {
            let v = v0 + (v1 - v0) * (t - t0) / (t1 - t0);
            return sum + (t - t0) * (v0 + v) / 2.0;
        }
        sum += (t1 - t0) * (v0 + v1) / 2.0;
    }
    let (t_end, v_end) = knots[knots.len() - 1];
    sum + (t - t_end) * v_end
}

/// Conductivity of a mixture in W/(m·K): by volume between austenite and everything else.
pub(crate) fn conductivity_w_m_k(austenite: f64, t_k: f64) -> f64 {
    let t = t_k - ICE_POINT_K;
    austenite * linear(&K_AUSTENITE, t) + (1.0 - austenite) * linear(&K_FERRITE, t)
}

/// Heat capacity of a mixture in J/(m³·K).
pub(crate) fn heat_capacity_j_m3_k(austenite: f64, t_k: f64) -> f64 {
    let t = t_k - ICE_POINT_K;
    austenite * linear(&RHO_CP_AUSTENITE, t) + (1.0 - austenite) * linear(&RHO_CP_FERRITE, t)
}

/// Sensible heat of a mixture above 20 °C, in J/m³.
pub(crate) fn sensible_j_m3(austenite: f64, t_k: f64) -> f64 {
    let t = t_k - ICE_POINT_K;
    austenite * integral(&RHO_CP_AUSTENITE, t) + (1.0 - austenite) * integral(&RHO_CP_FERRITE, t)
}

/// Heat given back per volume of austenite that turns into `product`, in J/m³.
pub(crate) fn latent_j_m3(product: Product, t_k: f64) -> f64 {
    match product {
        Product::Ferrite => 590e6,
        // 77 to 92 kJ/kg; the linear form runs through 590e6 at 647 °C. Kept within the range.
        Product::Pearlite => (1.56e9 - 1.5e6 * (t_k - ICE_POINT_K)).clamp(450e6, 722e6),
        // Middle of 62 to 80 kJ/kg.
        Product::Bainite => 71e3 * DENSITY_KG_M3,
        Product::Martensite => 640e6,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_en_1993_1_2_values() {
        // Values of the standard's own formulas, rounded as tables print them.
        for (t, k, cp) in [
            (20.0, 53.3, 440.0),
            (200.0, 47.3, 530.0),
            (400.0, 40.7, 606.0),
            (600.0, 34.0, 760.0),
            (800.0, 27.3, 803.0),
            (900.0, 27.3, 650.0),
        ] {
            let at = Temperature::from_c(t);
            // Half of the last printed digit.
            assert!(
                (heating_conductivity(at).value.to_w_m_k() - k).abs() <= 0.06,
                "k at {t}"
            );
            assert!(
                (heating_specific_heat_j_kg_k(at).value - cp).abs() <= 0.6,
                "cp at {t}"
            );
        }
        assert!((specific_heat_j_kg_k(735.0) - 5000.0).abs() < 1.0, "peak");
    }

    #[test]
    fn tables_return_their_knots() {
        assert_eq!(conductivity_w_m_k(1.0, 300.0 + ICE_POINT_K), 18.0);
        assert_eq!(heat_capacity_j_m3_k(0.0, 500.0 + ICE_POINT_K), 5.09e6);
        assert!(
            !heating_conductivity(Temperature::from_c(1300.0))
                .remarks
                .is_empty()
        );
    }

    #[test]
    fn heat_of_heating_is_the_integral_of_its_curve() {
        for t in [-10.0, 30.0, 300.0, 590.0, 650.0, 730.0, 740.0, 850.0, 950.0] {
            let slope = (heating_enthalpy_j_m3(t + 0.01) - heating_enthalpy_j_m3(t - 0.01)) / 0.02;
            let exact = DENSITY_KG_M3 * specific_heat_j_kg_k(t);
            // Central difference over 0.02 K where the curve is steepest.
            assert!((slope / exact - 1.0).abs() < 1e-4, "{t}: {slope} {exact}");
        }
    }

    #[test]
    fn enthalpy_is_the_integral_of_the_heat_capacity() {
        for austenite in [0.0, 0.4, 1.0] {
            for t in [-40.0, 15.0, 120.0, 450.0, 700.0, 950.0, 1050.0] {
                let t_k: f64 = t + ICE_POINT_K;
                let slope = (sensible_j_m3(austenite, t_k + 0.01)
                    - sensible_j_m3(austenite, t_k - 0.01))
                    / 0.02;
                let exact = heat_capacity_j_m3_k(austenite, t_k);
                // Central difference of a piecewise quadratic: rounding of 1e9 over 0.02 K only.
                assert!((slope - exact).abs() < 1e-4 * exact, "{austenite} {t}");
            }
        }
    }
}
