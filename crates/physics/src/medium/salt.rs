//! Salt baths without cyanide: the owner of the bath gives its potential and its coefficient.
//!
//! No published numbers for cyanide-free baths are held, so none are taken. Baths with cyanide or
//! ferrocyanide are refused whatever else is said: there is no recipe for them here.

use casewright_terms::{SourceKey, Temperature, TransferCoefficient, Valued, WeightPercent};

use super::{Caution, Drive, Medium, Refusal};
use crate::law::carbon_activity::gustafson_1985;

/// What gives the carbon.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SaltKind {
    /// Graphite or carbide under a neutral or carbonate salt.
    WithoutCyanide,
    /// Cyanide or ferrocyanide: refused.
    Cyanide,
}

/// A salt bath.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Salt {
    /// What gives the carbon.
    pub kind: SaltKind,
    /// Carbon of a pure iron foil in equilibrium with the bath.
    pub potential: WeightPercent,
    /// Transfer coefficient, from the shop's own foils.
    pub coefficient: TransferCoefficient,
    /// The bath is in use above this.
    pub above: Temperature,
}

impl Medium for Salt {
    fn check(&self) -> Result<(), Refusal> {
        if self.kind == SaltKind::Cyanide {
            return Err(Refusal::Cyanide {
                why: "cyanide kills, by its dust and by the gas it gives with acid",
                accepted: "a bath without cyanide, a charcoal pack or a gas is taken",
            });
        }
        let potential = self.potential.to_wt_pct();
        if !(0.0..=2.0).contains(&potential) {
            return Err(Refusal::value(
                "carbon potential",
                potential,
                "wt%",
                "0 to 2 wt% is taken",
            ));
        }
        let beta = self.coefficient.to_m_s();
        if !(0.0..=1.0).contains(&beta) {
            return Err(Refusal::value(
                "transfer coefficient",
                beta,
                "m/s",
                "0 to 1 m/s is taken",
            ));
        }
        Ok(())
    }

    fn drive(&self, temperature: Temperature) -> Valued<Drive> {
        let mut remarks = Vec::new();
        let activity = gustafson_1985(temperature, self.potential).into_value(&mut remarks);
        Valued {
            value: Drive::Activity {
                activity,
                coefficient: self.coefficient,
            },
            remarks,
        }
    }

    fn above(&self) -> Temperature {
        self.above
    }

    fn cautions(&self) -> Vec<Caution> {
        vec![
            Caution {
                code: "salt-water",
                hazard: "Steam burst",
                text: "A drop of water under hot salt throws the bath out of the pot: work, \
                       fixtures and additions are dry and warmed before they go in.",
            },
            Caution {
                code: "salt-mixing",
                hazard: "Explosion",
                text: "Never carry parts from this bath into a nitrate or nitrite salt without \
                       the wash the maker prescribes, and never mix salts.",
            },
        ]
    }

    fn sources(&self) -> Vec<SourceKey> {
        vec!["gustafson-1985"]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cyanide_is_refused_whatever_the_rest() {
        let salt = |kind| Salt {
            kind,
            potential: WeightPercent::from_wt_pct(1.0),
            coefficient: TransferCoefficient::from_m_s(1e-7),
            above: Temperature::from_c(800.0),
        };
        let refused = salt(SaltKind::Cyanide).check().unwrap_err();
        assert_eq!(refused.code(), "refused-cyanide");
        let taken = salt(SaltKind::WithoutCyanide);
        taken.check().unwrap();
        let t = Temperature::from_c(900.0);
        let activity = taken.drive(t).value.activity().unwrap();
        assert_eq!(activity, gustafson_1985(t, taken.potential).value);
    }
}
