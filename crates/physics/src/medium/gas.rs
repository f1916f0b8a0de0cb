//! Carburizing gas, by what the shop controls it with: a carbon potential, a dew point, carbon
//! dioxide, or an oxygen probe.
//!
//! Equilibria and their tables: `law::gas_carbon`; the coefficient: `law::surface_transfer`. It
//! does not follow how the gas is made or how much of it the load uses up.

use casewright_terms::{
    Fraction, Remark, SourceKey, Temperature, TransferCoefficient, Valued, WeightPercent,
};

use super::{Caution, Drive, Medium, Refusal};
use crate::law::carbon_activity::gustafson_1985;
use crate::law::gas_carbon::{
    DEW_POINT_C, Formed, dew_point_c, dioxide_of, from_dioxide, from_oxygen, from_water, oxygen_of,
    probe_oxygen, probe_volt, vapour, water_of,
};
use crate::law::surface_transfer::gas_transfer;

/// Greatest carbon potential that is a number of a gas and not of a deposit, wt%.
const MOST_POTENTIAL_WT_PCT: f64 = 2.0;
/// Voltages of a probe in a furnace gas, V: air reads 0, soot stays below 1.3.
const PROBE_V: (f64, f64) = (0.5, 1.5);
/// Hydrogen over carbon monoxide in gas made from natural gas and air, 40 to 20. [trade-practice]
const HYDROGEN_PER_MONOXIDE: f64 = 2.0;
/// Carbon monoxide of the same gas. [trade-practice]
const ENDOTHERMIC_MONOXIDE: f64 = 0.20;

/// What the gas is controlled by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GasControl {
    /// Carbon of a pure iron foil in equilibrium with the gas, kept at every temperature.
    Potential(WeightPercent),
    /// Dew point of the gas, with its carbon monoxide and hydrogen.
    DewPoint {
        /// Dew point, over liquid water.
        dew_point: Temperature,
        /// Carbon monoxide by volume.
        carbon_monoxide: Fraction,
        /// Hydrogen by volume.
        hydrogen: Fraction,
    },
    /// Carbon dioxide, with carbon monoxide.
    CarbonDioxide {
        /// Carbon dioxide by volume.
        carbon_dioxide: Fraction,
        /// Carbon monoxide by volume.
        carbon_monoxide: Fraction,
    },
    /// Voltage of an oxygen probe against air, with carbon monoxide.
    Probe {
        /// Voltage in millivolts.
        probe_mv: f64,
        /// Temperature of the probe; that of the part where `None`.
        probe: Option<Temperature>,
        /// Carbon monoxide by volume.
        carbon_monoxide: Fraction,
    },
}

/// A gas at one atmosphere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// What it is controlled by.
    pub control: GasControl,
    /// Transfer coefficient where the shop knows its own; else the law's.
    pub coefficient: Option<TransferCoefficient>,
    /// The gas is let in above this.
    pub above: Temperature,
}

/// What the instruments show on a gas in equilibrium with a carbon activity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// Dew point, over liquid water.
    pub dew_point: Temperature,
    /// Carbon dioxide by volume.
    pub carbon_dioxide: Fraction,
    /// Voltage of an oxygen probe at the temperature of the gas, in millivolts.
    pub probe_mv: f64,
}

/// What dew point, carbon dioxide and oxygen probe would show on a gas with this activity.
///
/// `None` where activity or a share is not positive, or where so much water or dioxide would be
/// needed that it is no such gas (more than a whole atmosphere).
#[must_use]
pub fn readings(
    temperature: Temperature,
    activity: f64,
    carbon_monoxide: Fraction,
    hydrogen: Fraction,
) -> Option<Valued<Readings>> {
    let (t, co, h2) = (
        temperature.to_k(),
        carbon_monoxide.to_ratio(),
        hydrogen.to_ratio(),
    );
    if !(activity > 0.0 && activity.is_finite() && co > 0.0 && h2 > 0.0) {
        return None;
    }
    let water = water_of(t, co, h2, activity);
    let dioxide = dioxide_of(t, co, activity);
    if !(water < 1.0 && dioxide < 1.0) {
        return None;
    }
    let value = Readings {
        dew_point: Temperature::from_c(dew_point_c(water)),
        carbon_dioxide: Fraction::from_ratio(dioxide),
        probe_mv: 1e3 * probe_volt(t, oxygen_of(t, co, activity)),
    };
    let remarks = Formed::CarbonMonoxide.log10_constant(temperature).remarks;
    Some(Valued { value, remarks })
}

impl Gas {
    /// Carbon monoxide and hydrogen, known or taken, and whether one was taken.
    fn shares(&self) -> (f64, f64, bool) {
        let with = |co: Fraction| {
            let co = co.to_ratio();
            (co, (HYDROGEN_PER_MONOXIDE * co).min(1.0 - co), true)
        };
        match self.control {
            GasControl::DewPoint {
                carbon_monoxide,
                hydrogen,
                ..
            } => (carbon_monoxide.to_ratio(), hydrogen.to_ratio(), false),
            GasControl::CarbonDioxide {
                carbon_monoxide, ..
            }
            | GasControl::Probe {
                carbon_monoxide, ..
            } => with(carbon_monoxide),
            GasControl::Potential(_) => with(Fraction::from_ratio(ENDOTHERMIC_MONOXIDE)),
        }
    }

    fn activity(&self, temperature: Temperature, remarks: &mut Vec<Remark>) -> f64 {
        let t = temperature.to_k();
        let range = |remarks: &mut Vec<Remark>| {
            remarks.extend(Formed::CarbonMonoxide.log10_constant(temperature).remarks);
        };
        match self.control {
            GasControl::Potential(carbon) => {
                gustafson_1985(temperature, carbon).into_value(remarks)
            }
            GasControl::DewPoint {
                dew_point,
                carbon_monoxide,
                hydrogen,
            } => {
                range(remarks);
                if dew_point.to_c() < 0.0 {
                    remarks.push(Remark::new(
                        "dew-point-below-freezing",
                        format!(
                            "the dew point {:.0} °C was taken over liquid water; if it was a \
                             frost point the gas is drier and richer in carbon",
                            dew_point.to_c()
                        ),
                    ));
                }
                let water = vapour(dew_point.to_c());
                from_water(t, carbon_monoxide.to_ratio(), hydrogen.to_ratio(), water)
            }
            GasControl::CarbonDioxide {
                carbon_dioxide,
                carbon_monoxide,
            } => {
                range(remarks);
                from_dioxide(t, carbon_monoxide.to_ratio(), carbon_dioxide.to_ratio())
            }
            GasControl::Probe {
                probe_mv,
                probe,
                carbon_monoxide,
            } => {
                range(remarks);
                let probe_k = probe.unwrap_or(temperature).to_k();
                let oxygen = probe_oxygen(probe_k, probe_mv * 1e-3);
                from_oxygen(t, carbon_monoxide.to_ratio(), oxygen)
            }
        }
    }

    fn shares_to_check(&self) -> Vec<(&'static str, Fraction)> {
        match self.control {
            GasControl::Potential(_) => Vec::new(),
            GasControl::DewPoint {
                carbon_monoxide,
                hydrogen,
                ..
            } => vec![("carbon monoxide", carbon_monoxide), ("hydrogen", hydrogen)],
            GasControl::CarbonDioxide {
                carbon_dioxide,
                carbon_monoxide,
            } => vec![
                ("carbon monoxide", carbon_monoxide),
                ("carbon dioxide", carbon_dioxide),
            ],
            GasControl::Probe {
                carbon_monoxide, ..
            } => vec![("carbon monoxide", carbon_monoxide)],
        }
    }
}

fn within(
    what: &'static str,
    value: f64,
    (low, high): (f64, f64),
    unit: &str,
) -> Result<(), Refusal> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    let accepted = format!("{low} to {high} {unit} is taken");
    Err(Refusal::value(what, value, unit, &accepted))
}

impl Medium for Gas {
    fn check(&self) -> Result<(), Refusal> {
        let mut sum = 0.0;
        for (what, share) in self.shares_to_check() {
            let percent = share.to_ratio() * 100.0;
            if !(percent > 0.0 && percent < 100.0) {
                return Err(Refusal::value(
                    what,
                    percent,
                    "%",
                    "more than 0 and less than 100 % is taken",
                ));
            }
            sum += percent;
        }
        // A thousandth of a percent is rounding of the inputs.
        if sum > 100.001 {
            return Err(Refusal::value(
                "sum of the gas's shares",
                sum,
                "%",
                "up to 100 % is taken",
            ));
        }
        if let Some(coefficient) = self.coefficient {
            within(
                "transfer coefficient",
                coefficient.to_m_s(),
                (0.0, 1.0),
                "m/s",
            )?;
        }
        match self.control {
            GasControl::Potential(carbon) => within(
                "carbon potential",
                carbon.to_wt_pct(),
                (0.0, MOST_POTENTIAL_WT_PCT),
                "wt%",
            ),
            GasControl::DewPoint { dew_point, .. } => {
                within("dew point", dew_point.to_c(), DEW_POINT_C, "°C")
            }
            GasControl::Probe {
                probe_mv, probe, ..
            } => {
                if let Some(probe) = probe {
                    within(
                        "temperature of the probe",
                        probe.to_c(),
                        (600.0, 1200.0),
                        "°C",
                    )?;
                }
                within(
                    "voltage of the probe",
                    probe_mv,
                    (PROBE_V.0 * 1e3, PROBE_V.1 * 1e3),
                    "mV",
                )
            }
            GasControl::CarbonDioxide { .. } => Ok(()),
        }
    }

    fn drive(&self, temperature: Temperature) -> Valued<Drive> {
        let mut remarks = Vec::new();
        let activity = self.activity(temperature, &mut remarks);
        if activity > 1.0 {
            remarks.push(Remark::new(
                "gas-soots",
                format!(
                    "the gas has a carbon activity of {activity:.2} at {:.0} °C: above 1 it \
                     deposits soot, and the surface sees less than the reading says",
                    temperature.to_c()
                ),
            ));
        }
        let (monoxide, hydrogen, taken) = self.shares();
        let coefficient = self.coefficient.unwrap_or_else(|| {
            if taken {
                remarks.push(Remark::new(
                    "gas-composition-taken",
                    format!(
                        "the transfer coefficient was taken for {:.0} % carbon monoxide and \
                         {:.0} % hydrogen",
                        100.0 * monoxide,
                        100.0 * hydrogen
                    ),
                ));
            }
            let shares = (
                Fraction::from_ratio(monoxide),
                Fraction::from_ratio(hydrogen),
            );
            gas_transfer(temperature, shares.0, shares.1).into_value(&mut remarks)
        });
        Valued {
            value: Drive::Activity {
                activity,
                coefficient,
            },
            remarks,
        }
    }

    fn above(&self) -> Temperature {
        self.above
    }

    fn cautions(&self) -> Vec<Caution> {
        let mut cautions = vec![
            Caution {
                code: "gas-explosive",
                hazard: "Explosion",
                text: "Carburizing gas explodes with air: it is let in only into a chamber above \
                       760 °C (1400 °F) that was purged by the furnace maker's rule, and burnt off \
                       at the vent.",
            },
            Caution {
                code: "carbon-monoxide",
                hazard: "Carbon monoxide",
                text: "A fifth and more of the gas is carbon monoxide: exhaust, an alarm in the \
                       room, nobody alone.",
            },
        ];
        if matches!(self.control, GasControl::Probe { .. }) {
            cautions.push(Caution {
                code: "probe-soot",
                hazard: "Wrong reading",
                text: "Soot on a probe reads as rich gas: burn it off with air by the maker's \
                       rule, and check it with a foil.",
            });
        }
        cautions
    }

    fn sources(&self) -> Vec<SourceKey> {
        let mut sources = match self.control {
            GasControl::Potential(_) => vec!["gustafson-1985"],
            GasControl::DewPoint { .. } => vec!["janaf-1985", "wmo-8"],
            GasControl::CarbonDioxide { .. } | GasControl::Probe { .. } => vec!["janaf-1985"],
        };
        if self.coefficient.is_none() {
            sources.extend(["wunning-1968", "transfer-arrhenius"]);
        }
        sources
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(ratio: f64) -> Fraction {
        Fraction::from_ratio(ratio)
    }

    fn gas(control: GasControl) -> Gas {
        Gas {
            control,
            coefficient: None,
            above: Temperature::from_c(760.0),
        }
    }

    /// One gas of 20 % CO and 40 % H₂ at 927 °C, described four ways: dew point, dioxide and probe
    /// made from the activity of 0.8 wt% must all give that activity back. Rounding.
    #[test]
    fn four_descriptions_of_one_gas_give_one_activity() {
        let t = Temperature::from_c(927.0);
        let carbon = WeightPercent::from_wt_pct(0.8);
        let wanted = gustafson_1985(t, carbon).value;
        let (co, h2) = (0.20, 0.40);
        let shown = readings(t, wanted, share(co), share(h2)).unwrap().value;
        let controls = [
            GasControl::Potential(carbon),
            GasControl::DewPoint {
                dew_point: shown.dew_point,
                carbon_monoxide: share(co),
                hydrogen: share(h2),
            },
            GasControl::CarbonDioxide {
                carbon_dioxide: shown.carbon_dioxide,
                carbon_monoxide: share(co),
            },
            GasControl::Probe {
                probe_mv: shown.probe_mv,
                probe: None,
                carbon_monoxide: share(co),
            },
        ];
        for control in controls {
            let gas = gas(control);
            gas.check().unwrap();
            let drive = gas.drive(t).value;
            let activity = drive.activity().unwrap();
            assert!(
                (activity / wanted - 1.0).abs() < 1e-12,
                "{control:?}: {activity}"
            );
            // All four are the same gas, so one coefficient.
            let beta = drive.coefficient().unwrap().to_m_s();
            assert!((1.0e-7..1.5e-7).contains(&beta), "{control:?}: {beta}");
        }
    }

    /// What rich and lean mean: drier, less dioxide, more voltage are richer in carbon.
    #[test]
    fn readings_go_the_right_way() {
        let t = Temperature::from_c(927.0);
        let activity = |control| gas(control).drive(t).value.activity().unwrap();
        let dew = |c| GasControl::DewPoint {
            dew_point: Temperature::from_c(c),
            carbon_monoxide: share(0.2),
            hydrogen: share(0.4),
        };
        assert!(activity(dew(-8.0)) > activity(dew(2.0)));
        let dioxide = |x| GasControl::CarbonDioxide {
            carbon_dioxide: share(x),
            carbon_monoxide: share(0.2),
        };
        assert!(activity(dioxide(0.001)) > activity(dioxide(0.002)));
        let probe = |mv| GasControl::Probe {
            probe_mv: mv,
            probe: None,
            carbon_monoxide: share(0.2),
        };
        assert!(activity(probe(1150.0)) > activity(probe(1130.0)));
        // A gas of one composition is richer when colder.
        let colder = gas(dew(0.0))
            .drive(Temperature::from_c(850.0))
            .value
            .activity();
        assert!(colder.unwrap() > activity(dew(0.0)));
        let sooting = gas(dew(-40.0)).drive(t);
        assert!(sooting.remarks.iter().any(|r| r.code == "gas-soots"));
    }

    #[test]
    fn what_cannot_be_meant_is_refused() {
        for control in [
            GasControl::Potential(WeightPercent::from_wt_pct(3.0)),
            GasControl::DewPoint {
                dew_point: Temperature::from_c(0.0),
                carbon_monoxide: share(0.6),
                hydrogen: share(0.5),
            },
            GasControl::CarbonDioxide {
                carbon_dioxide: share(0.0),
                carbon_monoxide: share(0.2),
            },
            GasControl::Probe {
                probe_mv: 1.13,
                probe: None,
                carbon_monoxide: share(0.2),
            },
        ] {
            let refused = gas(control).check().unwrap_err();
            assert_eq!(refused.code(), "medium-value", "{refused}");
        }
    }
}
