//! The charcoal pack: activity 1, because charcoal is there, and a coefficient by energiser and use.
//!
//! The gas in the box is carbon monoxide over charcoal; more energiser makes more of it and hands
//! carbon over faster, but does not raise the equilibrium (`law::gas_equilibrium`). Numbers and
//! their doubt: `law::surface_transfer`. A pack gives and never takes; the engine knows.

use casewright_terms::{Fraction, Remark, SourceKey, Temperature, TransferCoefficient, Valued};

use super::{Caution, Drive, Medium, Refusal};
use crate::law::gas_equilibrium::Boudouard;
use crate::law::surface_transfer::{PackEnergiser, pack_transfer};

/// Exchange begins here: carbonates begin to break up, and A1 is near. [pack-transfer-estimate]
const BEGINS_C: f64 = 700.0;
/// Exchange is full from here. [pack-transfer-estimate]
const FULL_C: f64 = 760.0;

/// A charge of compound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pack {
    /// Kind of energiser.
    pub energiser: PackEnergiser,
    /// Energiser by mass.
    pub energiser_by_mass: Fraction,
    /// Share of fresh compound in the charge.
    pub fresh: Fraction,
}

impl Pack {
    /// Coefficient at full exchange.
    #[must_use]
    pub fn full_coefficient(&self) -> TransferCoefficient {
        pack_transfer(self.energiser, self.energiser_by_mass, self.fresh)
    }

    /// Where exchange begins and where it is full.
    #[must_use]
    pub fn fade_in(&self) -> (Temperature, Temperature) {
        (Temperature::from_c(BEGINS_C), Temperature::from_c(FULL_C))
    }
}

impl Medium for Pack {
    fn check(&self) -> Result<(), Refusal> {
        for (what, share) in [
            ("share of energiser", self.energiser_by_mass),
            ("share of fresh compound", self.fresh),
        ] {
            if !(0.0..=1.0).contains(&share.to_ratio()) {
                return Err(Refusal::value(
                    what,
                    share.to_ratio(),
                    "",
                    "0 to 1 is taken",
                ));
            }
        }
        Ok(())
    }

    fn drive(&self, temperature: Temperature) -> Valued<Drive> {
        let (begins, full) = self.fade_in();
        let share = ((temperature - begins).to_k() / (full - begins).to_k()).clamp(0.0, 1.0);
        let mut remarks = Boudouard::Harvey1980.constant(temperature).remarks;
        remarks.push(Remark::new(
            "pack-transfer-estimate",
            "how fast a pack hands carbon over is an estimate: half to twice of it is possible",
        ));
        Valued {
            value: Drive::Activity {
                activity: 1.0,
                coefficient: self.full_coefficient() * share,
            },
            remarks,
        }
    }

    fn above(&self) -> Temperature {
        self.fade_in().0
    }

    fn cautions(&self) -> Vec<Caution> {
        let mut cautions = vec![Caution {
            code: "carbon-monoxide",
            hazard: "Carbon monoxide",
            text: "A hot box leaks carbon monoxide at its lid: exhaust over the furnace, a \
                   carbon monoxide alarm in the room.",
        }];
        if self.energiser == PackEnergiser::Barium {
            cautions.push(Caution {
                code: "barium-dust",
                hazard: "Poisonous dust",
                text: "Barium carbonate is poisonous when swallowed or breathed: no eating, a dust \
                       mask, wet cleaning, waste kept apart.",
            });
        }
        cautions
    }

    fn sources(&self) -> Vec<SourceKey> {
        vec!["pack-transfer-estimate"]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exchange_fades_in_and_the_activity_is_one() {
        let pack = Pack {
            energiser: PackEnergiser::Barium,
            energiser_by_mass: Fraction::from_ratio(0.13),
            fresh: Fraction::from_ratio(0.2),
        };
        pack.check().unwrap();
        for (c, share) in [(650.0, 0.0), (730.0, 0.5), (760.0, 1.0), (927.0, 1.0)] {
            let drive = pack.drive(Temperature::from_c(c)).value;
            assert_eq!(drive.activity(), Some(1.0));
            let beta = drive.coefficient().unwrap().to_m_s();
            assert!((beta - share * 1e-7).abs() < 1e-18, "{c}: {beta}");
        }
        let wrong = Pack {
            fresh: Fraction::from_ratio(1.5),
            ..pack
        };
        assert_eq!(wrong.check().unwrap_err().code(), "medium-value");
    }
}
