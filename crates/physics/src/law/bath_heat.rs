//! Heat that a quench bath takes up, and how near it comes to its limits.
//!
//! **What.** End temperature of a bath when parts, fixture, box and compound go in, nothing lost.
//!
//! **Equation.** T = (C T_b + Q + Σ m c T_h)/(C + Σ m c); C = V ρc of the bath; Q the heat that the
//! parts give on their way to the bath.
//!
//! **Symbols.** T °C; T_b bath before, T_h what goes in; V m³; m kg; c J/(kg·K); Q J.
//!
//! **Source.** [trade-practice] for the limits and for 0.71 kJ/(kg·K) of steel on its way down;
//! [graphite-cp] for compound, 1.2 kJ/(kg·K) as the mean of 25–600 °C.
//!
//! **Valid for.** Baths that stay liquid; one charge.
//!
//! **Weak where.** Steam and the tank's own steel carry heat away, so this is the upper end.
//!
//! **Checked by.** `mixing_keeps_the_heat`, `limits_are_told`.

use casewright_terms::{Mass, Remark, Temperature, TemperatureStep, Volume};

use super::quench_transfer::bath_heat_capacity_j_m3_k;
use crate::run::BathRun;
use crate::setup::{BathSetup, Dumped, Quenchant};

/// Keys of the sources of this file.
pub const SOURCES: [&str; 2] = ["trade-practice", "graphite-cp"];

/// Steel on its way down, in J/(kg·K). [trade-practice]
const STEEL_J_KG_K: f64 = 710.0;
/// Charcoal compound between the shop and some 600 °C, in J/(kg·K). [graphite-cp]
const COMPOUND_J_KG_K: f64 = 1200.0;
/// The rule of a gallon to the pound, in L/kg. [trade-practice]
const RULE_L_KG: f64 = 8.3;
/// Oil stays 50 °F under its flash point. [trade-practice]
const FLASH_MARGIN_F: f64 = 50.0;
/// Water is slower from here. [trade-practice]
const WATER_WARM_C: f64 = 35.0;
/// Water keeps its vapour blanket from here. [trade-practice]
const WATER_STOP_C: f64 = 45.0;
/// Water steams so much from here that the blanket lasts past the pearlite nose: end of the curves.
const WATER_STEAMS_C: f64 = 60.0;

/// The bath after everything went in; `None` for air.
#[must_use]
pub fn mix(
    quenchant: Quenchant,
    bath: Temperature,
    setup: &BathSetup,
    parts_j_kg: f64,
) -> Option<BathRun> {
    let volume_m3 = setup.volume.to_m3();
    let capacity = bath_heat_capacity_j_m3_k(quenchant)? * volume_m3;
    let share = |dumped: &Dumped| {
        dumped.mass.to_kg()
            * if dumped.steel {
                STEEL_J_KG_K
            } else {
                COMPOUND_J_KG_K
            }
    };
    let beside: f64 = setup.dumped.iter().map(share).sum();
    let brought: f64 = setup
        .dumped
        .iter()
        .map(|dumped| share(dumped) * (dumped.temperature - bath).to_k())
        .sum();
    let rise_k = (setup.parts.to_kg() * parts_j_kg.max(0.0) + brought) / (capacity + beside);
    let rise = TemperatureStep::checked(rise_k)?;
    let hot = setup.dumped.iter().fold(setup.parts, |sum, dumped| {
        Mass::from_kg(sum.to_kg() + dumped.mass.to_kg())
    });
    let after = bath + rise;
    Some(BathRun {
        rise,
        after,
        litres_per_kg: setup.volume.to_l() / hot.to_kg().max(1e-6),
        under_flash: setup.flash_point.map(|flash| flash - after),
    })
}

/// What is to be said about a bath.
#[must_use]
pub fn remarks(quenchant: Quenchant, setup: &BathSetup, run: &BathRun) -> Vec<Remark> {
    let mut list = Vec::new();
    let after_c = run.after.to_c();
    if run.litres_per_kg < RULE_L_KG {
        list.push(Remark::new(
            "bath-small",
            format!(
                "{:.1} L of bath for each kilogram that goes in hot, fixture and all; the rule is {RULE_L_KG} L/kg (1 gal/lb)",
                run.litres_per_kg
            ),
        ));
    }
    match quenchant {
        Quenchant::SlowOil | Quenchant::FastOil => match run.under_flash {
            None => list.push(Remark::new(
                "flash-unknown",
                "the flash point of the oil is not given: how warm it may get cannot be said"
                    .to_owned(),
            )),
            Some(under) if under < TemperatureStep::from_f(FLASH_MARGIN_F) => {
                list.push(Remark::new(
                    "flash-near",
                    format!(
                        "the oil ends {:.0} K under its flash point; less than 28 K (50 °F) can take fire over the whole bath",
                        under.to_k()
                    ),
                ));
            }
            Some(_) => {}
        },
        // Salt breaks the blanket: brine may go 10 K further.
        Quenchant::Water | Quenchant::Brine | Quenchant::Polymer => {
            let room = if quenchant == Quenchant::Brine {
                10.0
            } else {
                0.0
            };
            let (code, why) = if after_c > WATER_STEAMS_C {
                (
                    "bath-steams",
                    "it steams, and the blanket stays past the pearlite nose: soft spots, and scalds",
                )
            } else if after_c > WATER_STOP_C + room {
                (
                    "bath-hot",
                    "the vapour blanket stays on and leaves soft spots",
                )
            } else if after_c > WATER_WARM_C + room {
                ("bath-warm", "warm water quenches unevenly")
            } else {
                return list;
            };
            list.push(Remark::new(
                code,
                format!("the bath ends at {after_c:.0} °C: {why}"),
            ));
        }
        Quenchant::Air => {}
    }
    if setup.volume <= Volume::from_l(0.0) {
        list.push(Remark::new(
            "bath-empty",
            "the bath holds nothing".to_owned(),
        ));
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    fn setup(litres: f64) -> BathSetup {
        BathSetup {
            volume: Volume::from_l(litres),
            parts: Mass::from_kg(1.0),
            dumped: vec![
                Dumped {
                    mass: Mass::from_kg(2.0),
                    temperature: Temperature::from_c(800.0),
                    steel: true,
                },
                Dumped {
                    mass: Mass::from_kg(0.5),
                    temperature: Temperature::from_c(800.0),
                    steel: false,
                },
            ],
            flash_point: Some(Temperature::from_c(180.0)),
        }
    }

    #[test]
    fn mixing_keeps_the_heat() {
        let bath = Temperature::from_c(20.0);
        let run = mix(Quenchant::Water, bath, &setup(20.0), 4e5).unwrap();
        let end_k = run.rise.to_k();
        let taken = 0.02 * 4.17e6 * end_k;
        let given = 4e5 + (2.0 * 710.0 + 0.5 * 1200.0) * (780.0 - end_k);
        // Rounding.
        assert!((taken / given - 1.0).abs() < 1e-12, "{taken} {given}");
        assert!((run.litres_per_kg - 20.0 / 3.5).abs() < 1e-12);
        assert!(mix(Quenchant::Air, bath, &setup(20.0), 4e5).is_none());
    }

    #[test]
    fn limits_are_told() {
        let codes = |quenchant, litres, bath_c| {
            let setup = setup(litres);
            let run = mix(quenchant, Temperature::from_c(bath_c), &setup, 4e5).unwrap();
            remarks(quenchant, &setup, &run)
                .iter()
                .map(|r| r.code)
                .collect::<Vec<_>>()
        };
        assert_eq!(codes(Quenchant::Water, 200.0, 20.0), Vec::<&str>::new());
        assert_eq!(codes(Quenchant::Water, 200.0, 34.0), ["bath-warm"]);
        assert_eq!(codes(Quenchant::Brine, 200.0, 34.0), Vec::<&str>::new());
        assert_eq!(codes(Quenchant::Water, 200.0, 44.0), ["bath-hot"]);
        assert_eq!(
            codes(Quenchant::Water, 10.0, 20.0),
            ["bath-small", "bath-steams"]
        );
        assert_eq!(codes(Quenchant::FastOil, 200.0, 60.0), Vec::<&str>::new());
        assert_eq!(
            codes(Quenchant::FastOil, 20.0, 120.0),
            ["bath-small", "flash-near"]
        );
    }
}
