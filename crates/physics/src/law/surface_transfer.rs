//! **What**: how fast a gas or a charcoal pack hands carbon to the surface: the coefficient β of
//! `flux = β (potential − surface)`.
//!
//! **Equation**: gas: β at 930 °C is linear in `p_CO p_H2` between the published points
//! `(0.08; 1.25e-7)`, `(0.221; 2.3e-7)`, `(0.25; 3.2e-7)`, proportional below the first and held
//! above the last; at other temperatures × `exp(−34900/(R T))/exp(−34900/(R 1203.15))`. Pack:
//! `β = 1e-7 × energiser × fresh`, energiser 0.35 for none, rising along
//! `0.35 + (e − 0.35) min(f/0.05, 1)` to `e` (1 for barium or sodium carbonate, 0.7 for calcium
//! carbonate) at a tenth of energiser by mass; fresh `min(0.6 + 2 s, 1)`.
//!
//! **Symbols**: `β` m/s; `p` atm; `R` 8.314462618 J/(mol K); `T` K; `f` energiser by mass; `s`
//! share of fresh compound.
//!
//! **Source**: gas: `wunning-1968` (three atmospheres, each a range whose middle is taken),
//! recalled, not re-read; temperature: `transfer-arrhenius`. Pack: `pack-transfer-estimate`.
//!
//! **Valid for**: gas of carbon monoxide and hydrogen with up to 50 % of each, 850 to 1000 °C.
//!
//! **Weak where**: the ranges of the gas values are ±12 to ±20 %; the two sources differ by 18 %
//! for endothermic gas. No direct measurement of a pack was found: the doubt is a factor of two
//! to three either way.
//!
//! **Checked by**: `val_published_atmospheres`, `pack_estimate`; rows `transfer-*`.

use casewright_terms::{Fraction, Remark, Temperature, TransferCoefficient, Valued};

use crate::law::carbon_activity::GAS_J_MOL_K;
use crate::numerics::fun::exp;
use crate::numerics::interpolate::linear_clamped;

/// Product of the shares of CO and H₂ at 20/40, 33/67 and 50/50 %. [wunning-1968]
const PRODUCT: [f64; 4] = [0.0, 0.08, 0.2211, 0.25];
/// Middle of the published range at each, m/s. [wunning-1968]
const AT_930_M_S: [f64; 4] = [0.0, 1.25e-7, 2.3e-7, 3.2e-7];
/// Temperature of those values, K.
const REFERENCE_K: f64 = 930.0 + 273.15;
/// Activation energy, J/mol. [transfer-arrhenius]
const ENERGY_J_MOL: f64 = 34_900.0;
/// Temperatures at which the gas values were in use, °C.
const GAS_RANGE_C: (f64, f64) = (850.0, 1000.0);

/// Coefficient of a pack at full exchange, m/s. [pack-transfer-estimate]
const PACK_M_S: f64 = 1.0e-7;
/// Share of it that plain charcoal reaches. [pack-transfer-estimate]
const PLAIN_CHARCOAL: f64 = 0.35;
/// Energiser by mass from which more adds nothing: half of what the leanest commercial compounds
/// hold (10 to 20 %, common practice), assumed. [pack-transfer-estimate]
const ENOUGH_ENERGISER: f64 = 0.05;

pub(crate) fn gas_m_s(t_k: f64, monoxide: f64, hydrogen: f64) -> f64 {
    let at_reference = linear_clamped(&PRODUCT, &AT_930_M_S, monoxide * hydrogen);
    at_reference * exp(-ENERGY_J_MOL / GAS_J_MOL_K * (1.0 / t_k - 1.0 / REFERENCE_K))
}

/// Coefficient of a gas of carbon monoxide and hydrogen, at one atmosphere.
#[must_use]
pub fn gas_transfer(
    temperature: Temperature,
    monoxide: Fraction,
    hydrogen: Fraction,
) -> Valued<TransferCoefficient> {
    let value = TransferCoefficient::from_m_s(gas_m_s(
        temperature.to_k(),
        monoxide.to_ratio(),
        hydrogen.to_ratio(),
    ));
    let c = temperature.to_c();
    let (low, high) = GAS_RANGE_C;
    if (low..=high).contains(&c) {
        return Valued::inside(value);
    }
    let text = format!("carbon transfer from gas used at {c:.0} °C, outside {low} to {high} °C");
    Valued::with(value, Remark::new("gas-transfer-outside-range", text))
}

/// What makes a charcoal pack lively.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PackEnergiser {
    /// Plain charcoal.
    None,
    /// Calcium carbonate alone.
    Calcium,
    /// Sodium carbonate, alone or with others but barium's.
    Sodium,
    /// Barium carbonate, alone or with others.
    Barium,
}

/// Coefficient of a charcoal pack at full exchange.
#[must_use]
pub fn pack_transfer(
    energiser: PackEnergiser,
    energiser_by_mass: Fraction,
    fresh: Fraction,
) -> TransferCoefficient {
    let best = match energiser {
        PackEnergiser::None => PLAIN_CHARCOAL,
        PackEnergiser::Calcium => 0.7,
        PackEnergiser::Sodium | PackEnergiser::Barium => 1.0,
    };
    let there = (energiser_by_mass.to_ratio() / ENOUGH_ENERGISER).clamp(0.0, 1.0);
    let energised = PLAIN_CHARCOAL + (best - PLAIN_CHARCOAL) * there;
    // A charge with no fresh compound is taken at 60 %, one with 20 % or more at full strength:
    // the trade renews by 10 to 30 % per heat to keep it. [trade-practice]
    let strength = (0.6 + 2.0 * fresh.to_ratio()).min(1.0);
    TransferCoefficient::from_m_s(PACK_M_S * energised * strength)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(ratio: f64) -> Fraction {
        Fraction::from_ratio(ratio)
    }

    /// Inside the published ranges at 930 °C.
    #[test]
    fn val_published_atmospheres() {
        let t = Temperature::from_c(930.0);
        for (co, h2, low, high) in [
            (0.20, 0.40, 1.0e-7, 1.5e-7),
            (0.33, 0.67, 2.1e-7, 2.5e-7),
            (0.50, 0.50, 2.8e-7, 3.6e-7),
        ] {
            let beta = gas_transfer(t, share(co), share(h2));
            assert!((low..=high).contains(&beta.value.to_m_s()), "{beta:?}");
            assert!(beta.remarks.is_empty());
        }
        let cold = gas_transfer(Temperature::from_c(780.0), share(0.2), share(0.4));
        assert_eq!(cold.remarks[0].code, "gas-transfer-outside-range");
    }

    #[test]
    fn pack_estimate() {
        let full = pack_transfer(PackEnergiser::Barium, share(0.12), share(0.25));
        assert!((full.to_m_s() - 1e-7).abs() < 1e-20);
        let plain = pack_transfer(PackEnergiser::None, share(0.0), share(1.0));
        assert!((plain.to_m_s() - 0.35e-7).abs() < 1e-20);
        let spent = pack_transfer(PackEnergiser::Barium, share(0.12), share(0.0));
        assert!((spent.to_m_s() - 0.6e-7).abs() < 1e-20);
        // An energiser that is not there changes nothing.
        let named = pack_transfer(PackEnergiser::Barium, share(0.0), share(1.0));
        assert_eq!(named, plain);
    }
}
