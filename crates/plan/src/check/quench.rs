//! The tank: right liquid for the steel, enough of it, cold enough afterwards, and quick to reach.

use casewright_job::shop::Medium;
use casewright_terms::{Diag, Length, Mass, Span, Temperature, TemperatureStep};

use super::Rule;
use super::sight::{Sight, Wants, section};
use crate::outcome::StepKind;

pub(super) const RULES: &[Rule] = &[
    the_tank,
    steel_and_medium,
    hot_mass,
    volume_rule,
    bath_rise,
    water_end,
    oil_end,
    whole_lot,
    transfer,
    over_work,
    oil_as_kept,
    fixture_counted,
];

fn is_oil(medium: Medium) -> bool {
    matches!(medium, Medium::SlowOil | Medium::FastOil)
}

/// Heat that a litre takes up for each kelvin, in kJ: water 4.12; oil 1.65. Worked back from the
/// trade's table of rises; polymer and brine are mostly water. [trade-practice]
fn kj_per_l_k(medium: Medium) -> Option<f64> {
    match medium {
        Medium::Water | Medium::Brine | Medium::Polymer => Some(4.12),
        Medium::SlowOil | Medium::FastOil => Some(1.65),
        Medium::Air => None,
    }
}

/// Rise of the bath by our own balance: 0.71 kJ/(kg K) for steel on its way down. [trade-practice]
fn own_rise(sight: &Sight<'_>, mass: Mass) -> Option<TemperatureStep> {
    let tank = sight.tank()?;
    let drop = (sight.quench_from() - tank.bath).to_k().max(0.0);
    let bath = tank.volume.to_l() * kj_per_l_k(tank.medium)?;
    TemperatureStep::checked(0.71 * drop * mass.to_kg() / bath)
}

/// The plan's tank is the shop's, with its liquid and movement; the steps name it.
fn the_tank(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let quench = &sight.plan.quench;
    let Some(tank) = sight.tank() else {
        found.push(Diag::stop(
            "check-tank",
            format!("The shop book has no tank {}.", quench.tank),
        ));
        return;
    };
    if tank.medium != quench.medium || tank.agitation != quench.agitation {
        found.push(Diag::stop(
            "check-tank",
            format!(
                "Tank {} holds something else, or moves otherwise.",
                quench.tank
            ),
        ));
    }
    let elsewhere = sight.steps(StepKind::Quench).any(|step| {
        step.equipment
            .as_deref()
            .is_some_and(|named| !named.contains(quench.tank.as_str()))
    });
    if elsewhere {
        found.push(Diag::stop(
            "check-tank",
            "A quench step names another tank than was checked.",
        ));
    }
}

/// A plain core wants water, an alloy steel oil; air quenches neither [trade-practice].
fn steel_and_medium(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let medium = sight.plan.quench.medium;
    match (sight.wants(), medium) {
        (Wants::Water, Medium::Air) => found.push(
            Diag::stop("check-quench-air", "A plain steel cooled in air.")
                .why("It stays soft.")
                .accepted("Water or brine."),
        ),
        (Wants::Oil, Medium::Air) => found.push(
            Diag::warn(
                "check-quench-air-alloy",
                "An oil-hardening steel cooled in air.",
            )
            .accepted("Oil."),
        ),
        (Wants::Water, medium) if is_oil(medium) => found.push(
            Diag::warn("check-quench-plain-oil", "A plain steel in oil.")
                .why("Only thin sections harden.")
                .accepted("Water or brine, or a hardness that the bands carry."),
        ),
        (Wants::Oil, Medium::Water | Medium::Brine) => found.push(
            Diag::warn(
                "check-quench-alloy-water",
                "An oil-hardening steel in water.",
            )
            .why("It may crack.")
            .accepted("Oil."),
        ),
        (Wants::Neither, _) => found.push(
            Diag::warn("check-steel", "Not a steel that is carburized.")
                .accepted("A carburizing steel, or a trial."),
        ),
        _ => {}
    }
}

/// At least one part goes in, and no more than the lot with its test pieces.
fn hot_mass(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let part = sight.part_mass();
    let planned = sight.plan.quench.mass;
    // A fifth: holes and slots are not in our body.
    if planned < part * 0.8 {
        found.push(
            Diag::stop(
                "check-quench-mass",
                format!("{:.2} kg is said to go into the tank.", planned.to_kg()),
            )
            .why("The rise of the bath is reckoned too small.")
            .accepted(format!("{:.2} kg for one part.", part.to_kg())),
        );
    }
}

/// A gallon a pound, 8.3 L/kg; under half of it a stop [trade-practice]: for oil a
/// rule of fire safety.
fn volume_rule(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(tank) = sight.tank() else { return };
    let mass = sight.plan.quench.mass.to_kg();
    if tank.medium == Medium::Air || mass <= 0.0 {
        return;
    }
    let each = tank.volume.to_l() / mass;
    let seen = format!("{each:.1} L of liquid for each kilogram.");
    let accepted = "8.3 L/kg (1 gal/lb) or more, or fewer parts at once.";
    if each < 8.3 / 2.0 {
        found.push(
            Diag::stop("check-quench-volume", seen)
                .why("Oil may catch fire, water may boil.")
                .accepted(accepted),
        );
    } else if each < 8.3 {
        found.push(Diag::warn("check-quench-volume-small", seen).accepted(accepted));
    }
}

/// The plan's rise against our own balance: 1.5 covers the specific heat's change with temperature
/// and an end above the bath; half of ours is a mistake on the dangerous side.
fn bath_rise(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let quench = &sight.plan.quench;
    let (Some(tank), Some(own)) = (sight.tank(), own_rise(sight, quench.mass)) else {
        return;
    };
    let end = tank.bath + quench.rise;
    // Half a kelvin: whole degrees are printed.
    if (end - quench.bath_after).to_k().abs() > 0.5 {
        found.push(Diag::stop(
            "check-bath-sum",
            "Bath, rise and bath afterwards do not add up.",
        ));
    }
    let seen = format!("The bath is said to rise by {:.1} K.", quench.rise.to_k());
    let accepted = format!("About {:.1} K by our balance.", own.to_k());
    // A kelvin of room, where both are next to nothing.
    let (planned, own) = (quench.rise.to_k(), own.to_k());
    if planned + 1.0 < own / 2.0 || planned < 0.0 {
        found.push(
            Diag::stop("check-bath-rise", seen)
                .why("The bath gets hotter than the plan says.")
                .accepted(accepted),
        );
    } else if planned + 1.0 < own / 1.5 || planned > own * 1.5 + 1.0 {
        found.push(Diag::warn("check-bath-rise-differs", seen).accepted(accepted));
    }
}

/// The hotter of what the plan says and what our balance gives.
fn hottest(sight: &Sight<'_>) -> Temperature {
    let own = sight
        .tank()
        .and_then(|tank| Some(tank.bath + own_rise(sight, sight.plan.quench.mass)?));
    own.map_or(sight.plan.quench.bath_after, |own| {
        own.max(sight.plan.quench.bath_after)
    })
}

/// Water over 35 °C warn, over 45 °C stop: the vapour blanket holds [trade-practice].
/// Brine kills the blanket: it may go 10 K further.
fn water_end(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let room = match sight.plan.quench.medium {
        Medium::Water | Medium::Polymer => 0.0,
        Medium::Brine => 10.0,
        _ => return,
    };
    let end = hottest(sight);
    let seen = format!(
        "The bath of water ends at {}.",
        end.text_both(sight.spec.units)
    );
    if end.to_c() > 45.0 + room {
        found.push(
            Diag::stop("check-water-hot", seen)
                .why("A vapour blanket stays on the work: soft spots.")
                .accepted("35 °C (95 °F) or less."),
        );
    } else if end.to_c() > 35.0 + room {
        found.push(Diag::warn("check-water-warm", seen).accepted("35 °C (95 °F) or less."));
    }
}

/// 50 °F under the flash point, as a step: 28 K and not 10 [trade-practice].
const FLASH_MARGIN_K: f64 = 50.0 * 5.0 / 9.0;

/// Oil stays 28 K under its flash point, and the flash point is known. [trade-practice]
fn oil_end(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let quench = &sight.plan.quench;
    if !is_oil(quench.medium) {
        return;
    }
    let Some(flash) = sight.tank().and_then(|tank| tank.flash_point) else {
        found.push(
            Diag::stop(
                "check-flash-unknown",
                "The flash point of the oil is not known.",
            )
            .why("Nobody can say whether it catches fire.")
            .accepted("The number from the oil's data sheet."),
        );
        return;
    };
    let end = hottest(sight);
    let limit = flash - TemperatureStep::from_k(FLASH_MARGIN_K);
    if end > limit {
        found.push(
            Diag::stop(
                "check-oil-flash",
                format!("The oil ends at {}.", end.text_both(sight.spec.units)),
            )
            .why("That is too near to its flash point.")
            .accepted(format!("{} at most.", limit.text_both(sight.spec.units))),
        );
    }
    let said = quench.flash_margin.map(|margin| margin.to_k());
    let own = (limit - quench.bath_after).to_k();
    // A kelvin: 28 K for 27.8.
    if said.is_none_or(|said| (said - own).abs() > 1.0) {
        found.push(
            Diag::stop(
                "check-flash-margin",
                "The margin to the flash point is wrong or missing.",
            )
            .why("50 °F as a step is 28 K, not 10.")
            .accepted(format!("{own:.0} K.")),
        );
    }
}

/// Parts that go in one after the other heat the same bath. Warns where the lot goes over the limit
/// that one charge keeps.
fn whole_lot(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(tank) = sight.tank() else { return };
    let lot = sight.part_mass() * f64::from(sight.spec.quantity);
    let Some(rise) = own_rise(sight, lot.max(sight.plan.quench.mass)) else {
        return;
    };
    let end = tank.bath + rise;
    let limit = match tank.medium {
        Medium::Water | Medium::Polymer => Temperature::from_c(35.0),
        Medium::Brine => Temperature::from_c(45.0),
        Medium::SlowOil | Medium::FastOil => match tank.flash_point {
            Some(flash) => flash - TemperatureStep::from_k(FLASH_MARGIN_K),
            None => return,
        },
        _ => return,
    };
    if end > limit && hottest(sight) <= limit {
        found.push(
            Diag::warn(
                "check-bath-lot",
                format!(
                    "The whole lot would bring the bath to {}.",
                    end.text_both(sight.spec.units)
                ),
            )
            .accepted("Let the bath cool between charges, and say so on the sheet."),
        );
    }
}

/// Ten seconds from door to liquid, five for thin work. Over twenty a part of 12 mm has lost 50 K
/// in air and a reheated case falls under its transformation [trade-practice].
fn transfer(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(tank) = sight.tank() else { return };
    let thin = section(&sight.spec.part.shape) < Length::from_mm(6.0);
    let usual = Span::from_s(if thin { 5.0 } else { 10.0 });
    let seen = format!(
        "{:.0} s from the furnace into the tank.",
        tank.transfer.to_s()
    );
    let accepted = "5 s for thin work, 10 s at most.";
    if tank.transfer > usual * 2.0 {
        found.push(
            Diag::stop("check-transfer", seen)
                .why("The case falls below its hardening temperature on the way.")
                .accepted(accepted),
        );
    } else if tank.transfer > usual {
        found.push(Diag::warn("check-transfer-slow", seen).accepted(accepted));
    }
}

/// 150 mm of liquid over the work, where the shop says how much there is [trade-practice].
fn over_work(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(over) = sight.tank().and_then(|tank| tank.over_work) else {
        return;
    };
    if over < Length::from_mm(150.0) {
        found.push(
            Diag::stop(
                "check-quench-cover",
                format!(
                    "{} of liquid over the work.",
                    over.size_text(sight.spec.units)
                ),
            )
            .why("Work near the surface cools in steam or flame.")
            .accepted("150 mm (6 in)."),
        );
    }
}

/// Oil with free water boils over, and air in it feeds a fire [trade-practice].
fn oil_as_kept(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(tank) = sight.tank().filter(|tank| is_oil(tank.medium)) else {
        return;
    };
    if tank.water.is_some_and(|water| water.to_pct() > 0.0999) {
        found.push(
            Diag::stop("check-oil-water", "There is water in the oil.")
                .why("It boils under the work and throws the oil out.")
                .accepted("Less than 0.1 %."),
        );
    }
    if tank.air_blown {
        found.push(
            Diag::stop("check-oil-air", "Air is blown into the oil.")
                .why("It feeds a fire.")
                .accepted("A propeller or a pump."),
        );
    }
}

/// What the shop says hangs with the work goes hot into the bath too.
fn fixture_counted(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(fixture) = sight.tank().and_then(|tank| tank.fixture) else {
        return;
    };
    // A fifth of a part as in `hot_mass`; what hangs with it was weighed.
    let least = sight.part_mass() * 0.8 + fixture;
    if sight.plan.quench.mass < least {
        found.push(
            Diag::stop(
                "check-fixture-mass",
                format!(
                    "{:.2} kg is said to go into the tank.",
                    sight.plan.quench.mass.to_kg()
                ),
            )
            .why("Basket and hooks are hot too: the bath rises by more.")
            .accepted(format!(
                "{:.2} kg with what hangs with the work.",
                least.to_kg()
            )),
        );
    }
}
