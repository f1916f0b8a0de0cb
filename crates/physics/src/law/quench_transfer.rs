//! Heat transfer from a hot surface to a quenching bath.
//!
//! **What.** Coefficient against the temperature of the surface, for air, oil, water, brine and a
//! polymer solution, with the temperature and the movement of the bath.
//!
//! **Equation.** Knots of h(T_s), monotone cubic in ln h between them, constant outside. Water: the
//! curves of 20 and 60 °C are mixed in ln h by bath temperature. Movement: h × H(stirring)/H(of the
//! table), H the severity of Grossmann; stirred air: convection added. Mean of a bath: h = 2 k H.
//!
//! **Symbols.** h W/(m²·K) on T_s − T_bath; T_s, T_bath °C; H 1/inch; k 30 W/(m·K) of hot steel.
//!
//! **Source.** [quench-composite] for the curves (handbook shapes, recalled, ±40 %);
//! [buczek-telejko-2013] for the polymer (abstract: 3.2 at 800 °C, peak 7.4 near 435 °C, 2.0 at
//! 150 °C in kW/(m²·K); between them the shape is ours); [grossmann-1940] for H.
//!
//! **Valid for.** Surfaces of 100–850 °C. Water and brine of 20–60 °C, oil of 40–80 °C.
//!
//! **Weak where.** ±40 % throughout: start temperature, surface, scale, direction and depth in the
//! bath all count. Movement really lifts the film stage most; here it lifts all stages alike.
//! Severity of brine between mild and violent movement is interpolated.
//!
//! **Checked by.** `curves_pass_through_their_knots`, `warm_water_is_slower`,
//! `stirring_never_slows`, `grossmann-…` and `quench-…` rows of the accuracy table.

use casewright_terms::{HeatTransfer, Remark, Temperature, TemperatureStep, Valued};

use crate::numerics::fun::{exp, ln};
use crate::setup::{Quenchant, Stirring};

/// Keys of the sources of this file.
pub const SOURCES: [&str; 3] = ["quench-composite", "buczek-telejko-2013", "grossmann-1940"];

/// Relative doubt of every coefficient of this file.
pub const DOUBT: f64 = 0.4;

/// Conductivity of hot steel that turns a severity into a mean coefficient, in W/(m·K).
const SEVERITY_CONDUCTIVITY: f64 = 30.0;

const N: usize = 8;
/// Surface temperatures of the knots in °C.
const SURFACE_C: [f64; N] = [100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 700.0, 850.0];
const AIR: [f64; N] = [13.0, 18.0, 25.0, 32.0, 42.0, 55.0, 75.0, 110.0];
const SLOW_OIL: [f64; N] = [250.0, 400.0, 700.0, 1500.0, 2000.0, 1200.0, 600.0, 400.0];
const FAST_OIL: [f64; N] = [300.0, 450.0, 800.0, 1800.0, 3500.0, 3000.0, 1500.0, 700.0];
// At 850 °C the middle of the range 1000 to 1500.
const WATER_20: [f64; N] = [
    3000.0, 9000.0, 12_000.0, 11_000.0, 8000.0, 5000.0, 2500.0, 1250.0,
];
const WATER_60: [f64; N] = [1500.0, 6000.0, 8000.0, 4000.0, 1500.0, 700.0, 500.0, 400.0];
const BRINE: [f64; N] = [
    3000.0, 8000.0, 12_000.0, 13_000.0, 12_000.0, 10_000.0, 8000.0, 5000.0,
];
const POLYMER: [f64; N] = [
    1400.0, 2700.0, 5000.0, 7200.0, 6600.0, 4900.0, 3800.0, 3000.0,
];

/// Severity of a bath in 1/inch, where the handbook lists one.
#[must_use]
pub fn grossmann_severity_per_inch(quenchant: Quenchant, stirring: Stirring) -> Option<f64> {
    let row: [f64; 4] = match quenchant {
        Quenchant::SlowOil | Quenchant::FastOil => [0.275, 0.325, 0.45, 0.65],
        Quenchant::Water => [0.95, 1.05, 1.45, 1.8],
        // Listed: none 2.0, mild 2.1, violent 5.0; equal steps of the logarithm between.
        Quenchant::Brine => [2.0, 2.1, 3.25, 4.0],
        Quenchant::Air => return (stirring == Stirring::Still).then_some(0.02),
        Quenchant::Polymer => return None,
    };
    Some(row[step(stirring)])
}

/// Mean coefficient that stands for a severity.
#[must_use]
pub fn mean_coefficient(severity_per_inch: f64) -> HeatTransfer {
    HeatTransfer::from_w_m2_k(
        2.0 * SEVERITY_CONDUCTIVITY * severity_per_inch
            / casewright_terms::quantity::METRES_PER_INCH,
    )
}

/// Density times specific heat of a bath in J/(m³·K); `None` for air.
#[must_use]
pub fn bath_heat_capacity_j_m3_k(quenchant: Quenchant) -> Option<f64> {
    match quenchant {
        Quenchant::Water => Some(4.17e6),
        // Ten percent of salt: denser, with less specific heat.
        Quenchant::Brine => Some(4.0e6),
        // 870 kg/m³ and 1900 J/(kg·K), as the trade's rule for oil takes it.
        Quenchant::SlowOil | Quenchant::FastOil => Some(1.65e6),
        Quenchant::Polymer => Some(4.1e6),
        Quenchant::Air => None,
    }
}

/// Rise of the bath when steel gives it `heat_j_kg` and each kilogram has `litres_per_kg` of bath;
/// `None` for air or where there is no bath. The mass of steel counts fixture and all.
#[must_use]
pub fn bath_rise(
    quenchant: Quenchant,
    heat_j_kg: f64,
    litres_per_kg: f64,
) -> Option<TemperatureStep> {
    let capacity = bath_heat_capacity_j_m3_k(quenchant)?;
    let volume_m3_kg = casewright_terms::Volume::from_l(litres_per_kg.max(0.0)).to_m3();
    TemperatureStep::checked(heat_j_kg / (volume_m3_kg * capacity))
}

/// Coefficient on surface less bath, for a surface at `surface`.
#[must_use]
pub fn coefficient(
    quenchant: Quenchant,
    stirring: Stirring,
    bath: Temperature,
    surface: Temperature,
) -> Valued<HeatTransfer> {
    let curve = TransferCurve::new(quenchant, stirring, bath.to_c(), 1.0);
    Valued {
        value: HeatTransfer::from_w_m2_k(curve.at_w_m2_k(surface.to_c())),
        remarks: bath_remarks(quenchant, bath),
    }
}

/// Notes where the bath is outside what the curves were drawn for.
pub(crate) fn bath_remarks(quenchant: Quenchant, bath: Temperature) -> Vec<Remark> {
    let t = bath.to_c();
    let (low, high, name) = match quenchant {
        Quenchant::Water => (10.0, 60.0, "water"),
        Quenchant::Brine => (10.0, 60.0, "brine"),
        Quenchant::SlowOil | Quenchant::FastOil => (40.0, 80.0, "oil"),
        Quenchant::Polymer => (20.0, 45.0, "polymer"),
        Quenchant::Air => (-20.0, 50.0, "air"),
    };
    if (low..=high).contains(&t) {
        return Vec::new();
    }
    vec![Remark::new(
        "quench-bath-range",
        format!(
            "the curve of {name} is drawn for {low:.0} to {high:.0} °C; the bath of {t:.0} °C took the nearest end"
        ),
    )]
}

fn step(stirring: Stirring) -> usize {
    match stirring {
        Stirring::Still => 0,
        Stirring::Mild => 1,
        Stirring::Good => 2,
        Stirring::Strong => 3,
    }
}

/// A curve ready for the inner loop: ln h and its slopes at the knots.
#[derive(Clone, Debug)]
pub(crate) struct TransferCurve {
    ln_h: [f64; N],
    slope: [f64; N],
}

impl TransferCurve {
    pub(crate) fn new(quenchant: Quenchant, stirring: Stirring, bath_c: f64, factor: f64) -> Self {
        let (base, drawn_for) = match quenchant {
            Quenchant::Air => (AIR, Stirring::Still),
            Quenchant::SlowOil => (SLOW_OIL, Stirring::Still),
            Quenchant::FastOil => (FAST_OIL, Stirring::Good),
            Quenchant::Water => (WATER_20, Stirring::Mild),
            Quenchant::Brine => (BRINE, Stirring::Mild),
            Quenchant::Polymer => (POLYMER, Stirring::Good),
        };
        let moved = match (
            grossmann_severity_per_inch(quenchant, stirring),
            grossmann_severity_per_inch(quenchant, drawn_for),
        ) {
            (Some(here), Some(there)) => here / there,
            // A polymer has no severity of its own here: the water's ratios.
            _ if quenchant == Quenchant::Polymer => [0.95, 1.05, 1.45, 1.8][step(stirring)] / 1.45,
            _ => 1.0,
        };
        // Fans reach 20 to 60 W/(m²·K) of convection against 5 to 15 of still air.
        let convection = match (quenchant, stirring) {
            (Quenchant::Air, Stirring::Mild) => 10.0,
            (Quenchant::Air, Stirring::Good) => 25.0,
            (Quenchant::Air, Stirring::Strong) => 45.0,
            _ => 0.0,
        };
        let warm = ((bath_c - 20.0) / 40.0).clamp(0.0, 1.0);
        let mut ln_h = [0.0; N];
        for i in 0..N {
            let mut value = ln(base[i]);
            if quenchant == Quenchant::Water {
                value += warm * (ln(WATER_60[i]) - value);
            }
            ln_h[i] = ln((exp(value) * moved + convection) * factor);
        }
        Self {
            slope: monotone_slopes(&ln_h),
            ln_h,
        }
    }

    /// Coefficient at a surface temperature in °C.
    pub(crate) fn at_w_m2_k(&self, surface_c: f64) -> f64 {
        let t = surface_c.clamp(SURFACE_C[0], SURFACE_C[N - 1]);
        let i = SURFACE_C[1..N - 1].partition_point(|knot| *knot < t);
        let width = SURFACE_C[i + 1] - SURFACE_C[i];
        let x = (t - SURFACE_C[i]) / width;
        let (a, b) = (self.ln_h[i], self.ln_h[i + 1]);
        let (da, db) = (self.slope[i] * width, self.slope[i + 1] * width);
        let cubic =
            a + x * (da + x * (3.0 * (b - a) - 2.0 * da - db + x * (2.0 * (a - b) + da + db)));
        exp(cubic)
    }
}

/// Slopes that keep the cubic monotone between knots (Fritsch and Butland).
fn monotone_slopes(value: &[f64; N]) -> [f64; N] {
    let secant = |i: usize| (value[i + 1] - value[i]) / (SURFACE_C[i + 1] - SURFACE_C[i]);
    let mut slope = [0.0; N];
    for (i, here) in slope.iter_mut().enumerate().take(N - 1).skip(1) {
        let (left, right) = (secant(i - 1), secant(i));
        if left * right > 0.0 {
            *here = 2.0 * left * right / (left + right);
        }
    }
    slope
}

#[cfg(test)]
mod tests {
    use super::*;

    fn h(quenchant: Quenchant, stirring: Stirring, bath: f64, surface: f64) -> f64 {
        coefficient(
            quenchant,
            stirring,
            Temperature::from_c(bath),
            Temperature::from_c(surface),
        )
        .value
        .to_w_m2_k()
    }

    #[test]
    fn curves_pass_through_their_knots() {
        for (i, t) in SURFACE_C.into_iter().enumerate() {
            for (ours, table) in [
                (h(Quenchant::Water, Stirring::Mild, 20.0, t), WATER_20[i]),
                (h(Quenchant::Water, Stirring::Mild, 60.0, t), WATER_60[i]),
                (h(Quenchant::FastOil, Stirring::Good, 60.0, t), FAST_OIL[i]),
                (h(Quenchant::Air, Stirring::Still, 25.0, t), AIR[i]),
            ] {
                // Rounding of exp after ln.
                assert!((ours / table - 1.0).abs() < 1e-12, "{t}: {ours} {table}");
            }
        }
    }

    #[test]
    fn warm_water_is_slower() {
        for t in [150.0, 333.0, 480.0, 640.0, 800.0] {
            assert!(
                h(Quenchant::Water, Stirring::Good, 45.0, t)
                    < h(Quenchant::Water, Stirring::Good, 25.0, t)
            );
        }
    }

    #[test]
    fn stirring_never_slows() {
        for quenchant in [
            Quenchant::Water,
            Quenchant::Brine,
            Quenchant::SlowOil,
            Quenchant::FastOil,
            Quenchant::Polymer,
            Quenchant::Air,
        ] {
            let row = [
                Stirring::Still,
                Stirring::Mild,
                Stirring::Good,
                Stirring::Strong,
            ]
            .map(|s| h(quenchant, s, 40.0, 550.0));
            assert!(
                row.windows(2).all(|w| w[0] <= w[1]),
                "{quenchant:?} {row:?}"
            );
        }
    }

    #[test]
    fn hot_bath_is_remarked() {
        let hot = coefficient(
            Quenchant::Water,
            Stirring::Mild,
            Temperature::from_c(80.0),
            Temperature::from_c(700.0),
        );
        assert_eq!(hot.remarks[0].code, "quench-bath-range");
    }
}
