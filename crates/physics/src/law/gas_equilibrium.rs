//! **What**: the equilibrium of carbon monoxide and dioxide with carbon (Boudouard), and the gas
//! in a closed charcoal pack.
//!
//! **Equation**: `K = p_CO²/(p_CO2 a)`; three published fits of K: `log10 K = 9.071 − 8817/T`;
//! `log10 K = 9.115 − 8916/T`; and twice the formation constant of CO less that of CO₂, read
//! from tables at 1000, 1100 and 1200 K. Pack: `p_CO + p_CO2 + p_N2 = 1` atm with nitrogen from
//! the air that burnt, `p_N2 = 1.88 (p_CO + 2 p_CO2)`, or none when carbonate flushed it out.
//!
//! **Symbols**: `p` atm; `a` activity of carbon against graphite; `T` K; 1.88 = 3.76/2, nitrogen
//! of air per oxygen atom.
//!
//! **Source**: `harvey-1980`, `gaskell-2003`, `janaf-1985`; all recalled, not re-read; they agree
//! within 13 % at 1000 K and 9 % at 1200 K, which is the doubt about K.
//!
//! **Valid for**: 900 to 1300 K for the fits, 1000 to 1200 K for the table.
//!
//! **Weak where**: a real pack leaks and is not quite at equilibrium at the part.
//!
//! **Checked by**: `val_three_sources`, `pack_gas_adds_up`; rows `boudouard-*`.

use casewright_terms::{Fraction, Remark, Temperature, Valued};

use crate::numerics::fun::{exp10, sqrt};
use crate::numerics::interpolate::linear_clamped;

/// Which published constant is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Boudouard {
    /// As in the gas-carburizing literature; the one we use.
    Harvey1980,
    /// From a textbook's free energy of reaction.
    Gaskell2003,
    /// From tabulated formation constants.
    Janaf1985,
}

impl Boudouard {
    /// K in atm, for `C + CO₂ = 2 CO`.
    #[must_use]
    pub fn constant(self, temperature: Temperature) -> Valued<f64> {
        let t = temperature.to_k();
        let (log_k, low, high) = match self {
            Self::Harvey1980 => (9.071 - 8817.0 / t, 900.0, 1300.0),
            Self::Gaskell2003 => (9.115 - 8916.0 / t, 900.0, 1300.0),
            Self::Janaf1985 => (tabulated_log_k(t), 1000.0, 1200.0),
        };
        let value = exp10(log_k);
        if (low..=high).contains(&t) {
            return Valued::inside(value);
        }
        let text = format!(
            "CO and CO2 equilibrium used at {t:.0} K; its source covers {low:.0} to {high:.0} K"
        );
        Valued::with(value, Remark::new("gas-equilibrium-outside-range", text))
    }
}

/// From formation constants [janaf-1985], linear in 1/T between the table's points.
fn tabulated_log_k(t_k: f64) -> f64 {
    const INVERSE_K: [f64; 3] = [1.0 / 1200.0, 1.0 / 1100.0, 1.0 / 1000.0];
    const LOG_K: [f64; 3] = [
        2.0 * 9.479 - 17.243,
        2.0 * 9.926 - 18.806,
        2.0 * 10.459 - 20.680,
    ];
    linear_clamped(&INVERSE_K, &LOG_K, 1.0 / t_k)
}

/// Gas in the pack, as shares of one atmosphere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PackGas {
    /// Carbon monoxide.
    pub carbon_monoxide: Fraction,
    /// Carbon dioxide.
    pub carbon_dioxide: Fraction,
    /// Nitrogen.
    pub nitrogen: Fraction,
}

/// Gas over charcoal (`activity` 1) or steel at one atmosphere; `flushed` where carbonate has
/// driven the nitrogen out. `None` where the activity is not positive.
#[must_use]
pub fn pack_gas(temperature: Temperature, activity: f64, flushed: bool) -> Option<Valued<PackGas>> {
    if !(activity > 0.0 && activity.is_finite()) {
        return None;
    }
    let k = Boudouard::Harvey1980.constant(temperature);
    let per_oxygen = if flushed { 0.0 } else { 3.76 / 2.0 };
    // x CO, x²/(K a) CO₂: (1 + n) x + (1 + 2n) x²/(K a) = 1, the root without cancellation.
    let (b, c) = (
        1.0 + per_oxygen,
        (1.0 + 2.0 * per_oxygen) / (k.value * activity),
    );
    let monoxide = 2.0 / (b + sqrt(b * b + 4.0 * c));
    let dioxide = monoxide * monoxide / (k.value * activity);
    let gas = PackGas {
        carbon_monoxide: Fraction::checked(monoxide)?,
        carbon_dioxide: Fraction::checked(dioxide)?,
        nitrogen: Fraction::checked(per_oxygen * (monoxide + 2.0 * dioxide))?,
    };
    Some(Valued {
        value: gas,
        remarks: k.remarks,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three figures are quoted: 0.5 % of the value.
    #[test]
    fn val_three_sources() {
        for (t, harvey, gaskell, janaf) in [
            (1000.0, 1.79, 1.58, 1.73),
            (1100.0, 11.4, 10.2, 11.1),
            (1200.0, 52.9, 48.4, 51.9),
        ] {
            let t = Temperature::from_k(t);
            for (which, k) in [
                (Boudouard::Harvey1980, harvey),
                (Boudouard::Gaskell2003, gaskell),
                (Boudouard::Janaf1985, janaf),
            ] {
                let ours = which.constant(t).value;
                assert!((ours / k - 1.0).abs() < 6e-3, "{which:?} {ours} for {k}");
            }
        }
        let cold = Boudouard::Janaf1985.constant(Temperature::from_k(900.0));
        assert_eq!(cold.remarks[0].code, "gas-equilibrium-outside-range");
    }

    #[test]
    fn pack_gas_adds_up() {
        for flushed in [false, true] {
            let gas = pack_gas(Temperature::from_k(1200.0), 1.0, flushed)
                .unwrap()
                .value;
            let sum = gas.carbon_monoxide.to_ratio()
                + gas.carbon_dioxide.to_ratio()
                + gas.nitrogen.to_ratio();
            assert!((sum - 1.0).abs() < 1e-14);
        }
        let air = pack_gas(Temperature::from_k(1200.0), 1.0, false)
            .unwrap()
            .value;
        // Hand calculation to three figures.
        assert!((air.carbon_monoxide.to_ratio() - 0.344).abs() < 1e-3);
        assert!((air.carbon_dioxide.to_ratio() - 0.0022).abs() < 1e-4);
        assert!(pack_gas(Temperature::from_k(1200.0), 0.0, false).is_none());
    }
}
