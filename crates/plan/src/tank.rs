//! The quench tank: how warm the bath gets, how far that is from its limits.

use casewright_job::shop::{Agitation, Medium, QuenchTank};
use casewright_physics::law::quench_transfer::bath_rise;
use casewright_terms::{Diag, Mass, Temperature, TemperatureStep};

use crate::outcome::QuenchCheck;
use crate::setup;

/// A load of no mass warms no bath; this keeps the share finite.
const LEAST_KG: f64 = 1e-6;
/// Oil stays this far under its flash point. [us-29-cfr-1910-125] uses 50 °F.
const FLASH_MARGIN_F: f64 = 50.0;
/// Water-based baths: a warning from here, because the vapour blanket stays on longer. [trade-practice]
const WATER_WARN_C: f64 = 35.0;
/// Water-based baths: no quench that ends above this. [trade-practice]
const WATER_STOP_C: f64 = 45.0;

/// The bath after `mass` of steel gave it `heat_j_kg` joules per kilogram.
#[must_use]
pub fn check(tank: &QuenchTank, mass: Mass, heat_j_kg: f64) -> QuenchCheck {
    let quenchant = setup::quench(tank).quenchant;
    let litres_per_kg = tank.volume.to_l() / mass.to_kg().max(LEAST_KG);
    let rise =
        bath_rise(quenchant, heat_j_kg.max(0.0), litres_per_kg).unwrap_or(TemperatureStep::ZERO);
    let bath_after = tank.bath + rise;
    QuenchCheck {
        tank: tank.id.clone(),
        medium: tank.medium,
        agitation: tank.agitation,
        mass,
        rise,
        bath_after,
        flash_margin: tank
            .flash_point
            .filter(|_| is_oil(tank.medium))
            .map(|flash| flash - TemperatureStep::from_f(FLASH_MARGIN_F) - bath_after),
    }
}

/// Whether the medium burns.
#[must_use]
pub fn is_oil(medium: Medium) -> bool {
    matches!(medium, Medium::SlowOil | Medium::FastOil)
}

/// How far over water's limits a bath of water may end: salt breaks the vapour blanket, so brine may
/// go 10 K further. `None` for what is no water. [trade-practice]
fn room(medium: Medium) -> Option<TemperatureStep> {
    match medium {
        Medium::Water | Medium::Polymer => Some(TemperatureStep::ZERO),
        Medium::Brine => Some(TemperatureStep::from_k(10.0)),
        Medium::SlowOil | Medium::FastOil | Medium::Air => None,
    }
}

/// By how much the tank may warm before it is refused; `None` for air and for oil of unknown flash
/// point.
pub(crate) fn most_rise(tank: &QuenchTank) -> Option<TemperatureStep> {
    if is_oil(tank.medium) {
        let flash = tank.flash_point?;
        return Some(flash - TemperatureStep::from_f(FLASH_MARGIN_F) - tank.bath);
    }
    let room = room(tank.medium)?;
    Some(Temperature::from_c(WATER_STOP_C) + room - tank.bath)
}

/// Name of the medium in a sentence.
#[must_use]
pub fn name(medium: Medium) -> &'static str {
    match medium {
        Medium::Water => "water",
        Medium::Brine => "brine",
        Medium::SlowOil => "slow oil",
        Medium::FastOil => "fast oil",
        Medium::Polymer => "polymer",
        Medium::Air => "still air",
    }
}

/// Movement in a sentence.
#[must_use]
pub fn movement(agitation: Agitation) -> &'static str {
    match agitation {
        Agitation::Still => "without movement",
        Agitation::Mild => "moving the work gently",
        Agitation::Good => "moving the work well, up and down",
        Agitation::Strong => "with strong agitation",
    }
}

/// Liquid over the work, at least. [trade-practice]
pub const COVER_MM: f64 = 150.0;
/// Water in an oil from which it may boil over; about what oil holds dissolved. [trade-practice]
pub const WATER_IN_OIL: f64 = 0.001;
/// Basket, hooks and wire where nobody weighed them: a tenth of the work, at least 0.3 kg.
/// [trade-practice]
const FIXTURE: (f64, f64) = (0.1, 0.3);

/// What goes hot into the bath with the work: weighed, or taken.
#[must_use]
pub fn fixture(tank: &QuenchTank, work: Mass) -> Mass {
    let (share, least_kg) = FIXTURE;
    let taken = (work * share).max(Mass::from_kg(least_kg));
    tank.fixture.unwrap_or(taken)
}

/// What the tank itself forbids, whatever goes into it.
fn refusals(tank: &QuenchTank) -> Vec<Diag> {
    let mut list = Vec::new();
    if let Some(over) = tank.over_work.filter(|over| over.to_mm() < COVER_MM) {
        list.push(
            Diag::stop(
                "refused-cover",
                format!(
                    "Only {:.0} mm ({:.1} in) of liquid stand over the work in {}.",
                    over.to_mm(),
                    over.to_in(),
                    tank.id
                ),
            )
            .why("Steam and flame break through a thin cover, and work that sticks out cools in air: soft above the line, and with oil a fire.")
            .accepted(format!("{COVER_MM:.0} mm (6 in) at least: a deeper tank, a lower basket, or fewer parts one above the other.")),
        );
    }
    if !is_oil(tank.medium) {
        return list;
    }
    if let Some(water) = tank.water.filter(|water| water.to_ratio() >= WATER_IN_OIL) {
        list.push(
            Diag::stop(
                "refused-water-in-oil",
                format!("The oil in {} holds {:.2} % of water.", tank.id, water.to_pct()),
            )
            .why("From about 0.1 % the water lies free: it turns to steam under the hot work and throws burning oil out of the tank.")
            .accepted("Oil that is dried or replaced, and a crackle test that stays quiet: a drop on a hot plate, by a trained person."),
        );
    }
    if tank.air_blown {
        list.push(
            Diag::stop("refused-air-in-oil", format!("The oil in {} is moved by blowing air into it.", tank.id))
                .why("Air feeds a fire under the surface, ages the oil, brings water in, and leaves soft spots where its bubbles sit.")
                .accepted("A propeller, a pump, or the work moved by hand; then take air_blown out of the shop file."),
        );
    }
    list
}

/// Findings about the bath.
#[must_use]
pub fn findings(tank: &QuenchTank, check: &QuenchCheck) -> Vec<Diag> {
    let mut list = refusals(tank);
    let after = check.bath_after;
    if is_oil(tank.medium) {
        match check.flash_margin {
            None => list.push(
                Diag::stop("refused-flash-unknown", format!("Tank {} holds oil of unknown flash point.", tank.id))
                    .why("How warm the oil may get cannot be said.")
                    .accepted("Give flash_point from the oil's data sheet in the shop file."),
            ),
            Some(margin) if margin.to_k() < 0.0 => list.push(
                Diag::stop(
                    "refused-flash",
                    format!(
                        "The oil in {} would end at {:.0} °C ({:.0} °F), nearer to its flash point than {FLASH_MARGIN_F:.0} °F.",
                        tank.id, after.to_c(), after.to_f()
                    ),
                )
                .why("The bath can take fire over its whole surface.")
                .accepted("Quench fewer parts at once, start with a cooler bath, or use a larger tank."),
            ),
            Some(_) => {}
        }
    } else if let Some(room) = room(tank.medium) {
        if after > Temperature::from_c(WATER_STOP_C) + room {
            list.push(
                Diag::stop(
                    "refused-bath-hot",
                    format!(
                        "The bath {} would end at {:.0} °C ({:.0} °F).",
                        tank.id,
                        after.to_c(),
                        after.to_f()
                    ),
                )
                .why(format!(
                    "Above {:.0} °C the vapour blanket stays on and leaves soft spots.",
                    (Temperature::from_c(WATER_STOP_C) + room).to_c()
                ))
                .accepted("Quench fewer parts at once, start colder, or use more water."),
            );
        } else if after > Temperature::from_c(WATER_WARN_C) + room {
            list.push(
                Diag::warn(
                    "bath-warm",
                    format!(
                        "The bath {} ends at {:.0} °C ({:.0} °F).",
                        tank.id,
                        after.to_c(),
                        after.to_f()
                    ),
                )
                .why("Warm water quenches unevenly.")
                .accepted("Quench in smaller lots and let the bath come back below 30 °C (86 °F)."),
            );
        }
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_terms::{Span, Volume};

    fn tank(medium: Medium, litres: f64, bath_c: f64) -> QuenchTank {
        QuenchTank {
            id: "T".to_owned(),
            medium,
            volume: Volume::from_l(litres),
            bath: Temperature::from_c(bath_c),
            agitation: Agitation::Still,
            flash_point: Some(Temperature::from_c(180.0)),
            transfer: Span::from_s(3.0),
            over_work: None,
            water: None,
            air_blown: false,
            fixture: None,
        }
    }

    #[test]
    fn every_bath_of_water_has_its_end() {
        for (medium, warn_c, stop_c) in [
            (Medium::Water, 36.0, 46.0),
            (Medium::Polymer, 36.0, 46.0),
            (Medium::Brine, 46.0, 56.0),
        ] {
            let code = |bath_c: f64| {
                let tank = tank(medium, 1e6, bath_c);
                let check = check(&tank, Mass::from_kg(1.0), 5e5);
                findings(&tank, &check).first().map(|diag| diag.code)
            };
            assert_eq!(code(warn_c - 2.0), None, "{medium:?}");
            assert_eq!(code(warn_c), Some("bath-warm"), "{medium:?}");
            assert_eq!(code(stop_c), Some("refused-bath-hot"), "{medium:?}");
        }
    }

    #[test]
    fn a_thin_cover_wet_oil_and_air_are_refused() {
        let codes = |change: fn(&mut QuenchTank), medium: Medium| {
            let mut tank = tank(medium, 1e6, 20.0);
            change(&mut tank);
            let check = check(&tank, Mass::from_kg(1.0), 5e5);
            let found = findings(&tank, &check);
            found.iter().map(|diag| diag.code).collect::<Vec<_>>()
        };
        assert_eq!(codes(|_| {}, Medium::SlowOil), Vec::<&str>::new());
        for medium in [Medium::SlowOil, Medium::Water] {
            let thin = codes(
                |t| t.over_work = Some(casewright_terms::Length::from_mm(149.0)),
                medium,
            );
            assert_eq!(thin, ["refused-cover"], "{medium:?}");
        }
        let enough =
            |t: &mut QuenchTank| t.over_work = Some(casewright_terms::Length::from_mm(150.0));
        assert_eq!(codes(enough, Medium::SlowOil), Vec::<&str>::new());
        let wet = |t: &mut QuenchTank| t.water = Some(casewright_terms::Fraction::from_pct(0.1));
        let air = |t: &mut QuenchTank| t.air_blown = true;
        assert_eq!(codes(wet, Medium::FastOil), ["refused-water-in-oil"]);
        assert_eq!(codes(air, Medium::FastOil), ["refused-air-in-oil"]);
        assert_eq!(codes(wet, Medium::Water), Vec::<&str>::new());
        assert_eq!(codes(air, Medium::Water), Vec::<&str>::new());
    }

    #[test]
    fn a_weighed_basket_warms_the_bath() {
        let mut own = tank(Medium::Water, 60.0, 20.0);
        let work = Mass::from_kg(2.0);
        assert!((fixture(&own, work).to_kg() - 0.3).abs() < 1e-12);
        assert!((fixture(&own, Mass::from_kg(20.0)).to_kg() - 2.0).abs() < 1e-12);
        own.fixture = Some(Mass::from_kg(4.0));
        assert!((fixture(&own, work).to_kg() - 4.0).abs() < 1e-12);
    }

    /// The rise table of the trade uses 0.71 kJ/kg/K over 770 K; its cells are rounded to whole
    /// degrees, which is 3 % of the smallest one used here. [trade-practice]
    #[test]
    fn val_rise_at_one_gallon_per_pound() {
        let heat = 0.71e3 * 770.0;
        for (medium, rise) in [(Medium::Water, 16.0), (Medium::SlowOil, 40.0)] {
            let tank = tank(medium, 8.3, 25.0);
            let check = check(&tank, Mass::from_kg(1.0), heat);
            let error = (check.rise.to_k() / rise - 1.0).abs();
            assert!(
                error < 0.03,
                "{medium:?}: {} against {rise}",
                check.rise.to_k()
            );
        }
    }
}
