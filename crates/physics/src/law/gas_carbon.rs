//! **What**: the carbon activity of a furnace gas from what can be measured in it: water vapour
//! (dew point), carbon dioxide, or the voltage of an oxygen probe.
//!
//! **Equation**: `a = K_w p_CO p_H2/p_H2O` for `CO + H2 = C + H2O`; `a = p_CO²/(K_d p_CO2)` for
//! `C + CO2 = 2 CO`; `a = p_CO/(K_CO √p_O2)` for `C + ½ O2 = CO`; with formation constants
//! `K_w = K_H2O/K_CO`, `K_d = K_CO²/K_CO2`. Probe: `p_O2 = 0.2095 exp(−4 F E/(R T_probe))`.
//! Vapour over water: `p_H2O = 611.2 exp(17.62 t/(243.12 + t))` Pa.
//!
//! **Symbols**: `a` activity of carbon against graphite; `p` partial pressure, atm; `K_CO`,
//! `K_CO2`, `K_H2O` formation constants, atm; `E` voltage of the probe against air, V; `F`
//! 96485.33212 C/mol; `R` 8.314462618 J/(mol K); `T_probe` K; `t` dew point, °C; 0.2095 oxygen
//! in dry air.
//!
//! **Source**: `janaf-1985` (log10 of the formation constants at 900 to 1400 K, between them
//! linear in 1/T), `wmo-8` (vapour over water), `codata-2018` (F, R); recalled, not re-read. One
//! set of tables for all three, because three fits from three books would contradict each other.
//!
//! **Valid for**: 900 to 1400 K; one atmosphere; dew points −45 to 60 °C.
//!
//! **Weak where**: the gas must be at the water-gas equilibrium; methane that has not reacted,
//! soot on the probe and air that leaks into the sampling line all read as a wrong carbon.
//!
//! **Checked by**: `val_constants_from_free_energies`, `three_readings_of_one_gas_agree`,
//! `val_vapour_pressure`; rows `gas-*`.

use casewright_terms::{Remark, Temperature, Valued};

use crate::law::carbon_activity::GAS_J_MOL_K;
use crate::numerics::fun::{exp, exp10, ln, sqrt};

/// Charge of a mole of electrons, C/mol, exact since 2019. [codata-2018]
const FARADAY_C_MOL: f64 = 96_485.332_12;
/// Oxygen in dry air. [wmo-8]
const AIR_OXYGEN: f64 = 0.2095;
/// Pascal in one atmosphere, exact by definition.
const PASCAL_PER_ATMOSPHERE: f64 = 101_325.0;
/// Temperatures of the table in K, ascending. [janaf-1985]
const TABLE_K: [f64; 6] = [900.0, 1000.0, 1100.0, 1200.0, 1300.0, 1400.0];
/// Dew points of the vapour formula, in °C. [wmo-8]
pub const DEW_POINT_C: (f64, f64) = (-45.0, 60.0);

/// A gas with a tabulated formation constant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Formed {
    /// CO from graphite and oxygen.
    CarbonMonoxide,
    /// CO₂ from graphite and oxygen.
    CarbonDioxide,
    /// H₂O from hydrogen and oxygen.
    WaterVapour,
}

impl Formed {
    /// log10 of the formation constant, atm. Outside the table the last pair goes on.
    #[must_use]
    pub fn log10_constant(self, temperature: Temperature) -> Valued<f64> {
        judged(temperature, self.log10_at(temperature.to_k()))
    }

    pub(crate) fn log10_at(self, t_k: f64) -> f64 {
        let table = match self {
            Self::CarbonMonoxide => [11.108, 10.459, 9.926, 9.479, 9.099, 8.771],
            Self::CarbonDioxide => [22.970, 20.680, 18.806, 17.243, 15.920, 14.785],
            Self::WaterVapour => [11.498, 10.062, 8.883, 7.899, 7.064, 6.347],
        };
        let i = TABLE_K.partition_point(|t| *t <= t_k).clamp(1, 5);
        let (a, b) = (1.0 / TABLE_K[i - 1], 1.0 / TABLE_K[i]);
        table[i - 1] + (table[i] - table[i - 1]) * (1.0 / t_k - a) / (b - a)
    }
}

fn judged<T>(temperature: Temperature, value: T) -> Valued<T> {
    let (t, low, high) = (temperature.to_k(), TABLE_K[0], TABLE_K[5]);
    if (low..=high).contains(&t) {
        return Valued::inside(value);
    }
    let text = format!("gas equilibria used at {t:.0} K; the table covers {low:.0} to {high:.0} K");
    Valued::with(value, Remark::new("gas-equilibrium-outside-range", text))
}

/// Activity from carbon monoxide, hydrogen and water vapour, in atm.
pub(crate) fn from_water(t_k: f64, monoxide: f64, hydrogen: f64, water: f64) -> f64 {
    let log_k = Formed::WaterVapour.log10_at(t_k) - Formed::CarbonMonoxide.log10_at(t_k);
    exp10(log_k) * monoxide * hydrogen / water
}

/// Activity from carbon monoxide and dioxide, in atm.
pub(crate) fn from_dioxide(t_k: f64, monoxide: f64, dioxide: f64) -> f64 {
    let log_k = 2.0 * Formed::CarbonMonoxide.log10_at(t_k) - Formed::CarbonDioxide.log10_at(t_k);
    monoxide * monoxide / (exp10(log_k) * dioxide)
}

/// Activity from carbon monoxide and oxygen, in atm.
pub(crate) fn from_oxygen(t_k: f64, monoxide: f64, oxygen: f64) -> f64 {
    monoxide / (exp10(Formed::CarbonMonoxide.log10_at(t_k)) * sqrt(oxygen))
}

/// Oxygen in atm behind a probe's voltage against air.
pub(crate) fn probe_oxygen(probe_k: f64, volt: f64) -> f64 {
    AIR_OXYGEN * exp(-4.0 * FARADAY_C_MOL * volt / (GAS_J_MOL_K * probe_k))
}

/// Voltage of a probe against air, in V, for oxygen in atm.
pub(crate) fn probe_volt(probe_k: f64, oxygen: f64) -> f64 {
    GAS_J_MOL_K * probe_k / (4.0 * FARADAY_C_MOL) * ln(AIR_OXYGEN / oxygen)
}

/// Water vapour in atm at a dew point in °C, over liquid water also below the freezing point.
pub(crate) fn vapour(dew_point_c: f64) -> f64 {
    611.2 * exp(17.62 * dew_point_c / (243.12 + dew_point_c)) / PASCAL_PER_ATMOSPHERE
}

/// Dew point in °C of water vapour in atm; the inverse of [`vapour`].
pub(crate) fn dew_point_c(water: f64) -> f64 {
    let x = ln(water * PASCAL_PER_ATMOSPHERE / 611.2);
    243.12 * x / (17.62 - x)
}

/// Water vapour in atm of a gas with this activity; the inverse of [`from_water`].
pub(crate) fn water_of(t_k: f64, monoxide: f64, hydrogen: f64, activity: f64) -> f64 {
    from_water(t_k, monoxide, hydrogen, 1.0) / activity
}

/// Carbon dioxide in atm of a gas with this activity; the inverse of [`from_dioxide`].
pub(crate) fn dioxide_of(t_k: f64, monoxide: f64, activity: f64) -> f64 {
    from_dioxide(t_k, monoxide, 1.0) / activity
}

/// Oxygen in atm of a gas with this activity; the inverse of [`from_oxygen`].
pub(crate) fn oxygen_of(t_k: f64, monoxide: f64, activity: f64) -> f64 {
    let root = from_oxygen(t_k, monoxide, 1.0) / activity;
    root * root
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Free energies of formation of the same gases, J/mol, recalled from the table's other
    /// column: `log10 K = −ΔG/(R T ln 10)`. 0.005 in log10 is 1 % in K, the doubt of recalling.
    #[test]
    fn val_constants_from_free_energies() {
        use Formed::{CarbonDioxide, CarbonMonoxide, WaterVapour};
        for (t, gas, g) in [
            (900.0, CarbonMonoxide, -191_416.0),
            (1000.0, CarbonMonoxide, -200_275.0),
            (1100.0, CarbonMonoxide, -209_075.0),
            (1200.0, CarbonMonoxide, -217_819.0),
            (1300.0, CarbonMonoxide, -226_509.0),
            (1400.0, CarbonMonoxide, -235_149.0),
            (900.0, CarbonDioxide, -395_748.0),
            (1000.0, CarbonDioxide, -395_886.0),
            (1100.0, CarbonDioxide, -396_001.0),
            (1200.0, CarbonDioxide, -396_098.0),
            (1300.0, CarbonDioxide, -396_177.0),
            (1400.0, CarbonDioxide, -396_240.0),
            (900.0, WaterVapour, -198_083.0),
            (1000.0, WaterVapour, -192_590.0),
            (1100.0, WaterVapour, -187_033.0),
            (1200.0, WaterVapour, -181_425.0),
            (1300.0, WaterVapour, -175_774.0),
            (1400.0, WaterVapour, -170_089.0),
        ] {
            let ours = gas.log10_constant(Temperature::from_k(t)).value;
            let theirs = -g / (GAS_J_MOL_K * t * std::f64::consts::LN_10);
            assert!((ours - theirs).abs() < 5e-3, "{gas:?} {t}: {ours} {theirs}");
        }
        let cold = CarbonMonoxide.log10_constant(Temperature::from_k(800.0));
        assert_eq!(cold.remarks[0].code, "gas-equilibrium-outside-range");
    }

    /// One gas, four ways: an activity turned into water, dioxide, oxygen and back is itself, and
    /// what the three readings imply of each other (the water-gas and the burning equilibria)
    /// holds. Rounding over a handful of exponentials.
    #[test]
    fn three_readings_of_one_gas_agree() {
        for t in [1050.0, 1200.15, 1320.0] {
            for a in [0.05, 0.53, 1.0] {
                let (co, h2) = (0.20, 0.40);
                let water = water_of(t, co, h2, a);
                let dioxide = dioxide_of(t, co, a);
                let oxygen = oxygen_of(t, co, a);
                let volt = probe_volt(t, oxygen);
                let near = |x: f64| assert!((x / a - 1.0).abs() < 1e-12, "{t} {a}: {x}");
                near(from_water(t, co, h2, vapour(dew_point_c(water))));
                near(from_dioxide(t, co, dioxide));
                near(from_oxygen(t, co, probe_oxygen(t, volt)));
                // CO + H2O = CO2 + H2 with its own constant from the table.
                let shift = Formed::CarbonDioxide.log10_at(t)
                    - Formed::CarbonMonoxide.log10_at(t)
                    - Formed::WaterVapour.log10_at(t);
                assert!((dioxide * h2 / (co * water) / exp10(shift) - 1.0).abs() < 1e-12);
                // CO + ½ O2 = CO2.
                let burn = Formed::CarbonDioxide.log10_at(t) - Formed::CarbonMonoxide.log10_at(t);
                assert!((dioxide / (co * sqrt(oxygen)) / exp10(burn) - 1.0).abs() < 1e-12);
            }
        }
    }

    /// Saturation vapour pressure over water, hPa, from the common tables: 6.11 at 0 °C, 12.27
    /// at 10 °C, 23.37 at 20 °C. The formula is stated to 0.6 %.
    #[test]
    fn val_vapour_pressure() {
        for (c, hpa) in [(0.0, 6.11), (10.0, 12.27), (20.0, 23.37)] {
            let ours = vapour(c) * PASCAL_PER_ATMOSPHERE / 100.0;
            assert!((ours / hpa - 1.0).abs() < 6e-3, "{c}: {ours}");
        }
    }
}
