//! The heat of the packed boxes, by closed formulas: the hour against a plain brick, the clock
//! against the hours, the spread against the square-root law, and the coupons against the parts.

use casewright_physics::law::case_depth_rules::harris_depth;
use casewright_physics::numerics::fun::ln;
use casewright_terms::{Diag, Length, Span, TemperatureStep};

use super::Rule;
use super::sight::Sight;
use crate::outcome::{PackHeat, PartHeat};

pub(super) const RULES: &[Rule] = &[
    against_a_brick,
    one_clock,
    couple_reading,
    ends_named,
    spread_by_temperature,
    coupons_stand,
];

/// Bed of charcoal, m²/s, slowest and fastest, at the 300 kg/m³ those numbers are for.
/// [trade-practice]
const BED_M2_S: (f64, f64) = (3e-7, 7e-7);
const BED_KG_M3: f64 = 300.0;
/// Heat capacities at heat: charcoal 1.5 kJ/(kg K), steel 0.71. [trade-practice]
const KJ_KG_K: (f64, f64) = (1.5, 0.71);

/// The band of the hour against a brick of bed whose faces are at the set temperature at once: the
/// product of three slab series, its first terms. Earliest with the fastest bed; latest with the
/// slowest, made heavier by its density and by the steel, and after the furnace has given all the
/// heat at its power.
fn against_a_brick(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let hot = sight.plan.pack_hot_after;
    let inverse_squares: f64 = pack
        .inside
        .iter()
        .map(|side| (side.to_m() / 2.0).max(1e-3).powi(-2))
        .sum();
    let rise_k = (sight.plan.temperature.to_c() - 25.0).max(100.0);
    // Within 10 K in the middle.
    let four_over_pi = 4.0 / std::f64::consts::PI;
    let decades = ln(four_over_pi.powi(3) * rise_k / 10.0);
    let rate = std::f64::consts::PI.powi(2) / 4.0 * inverse_squares;
    let hours = |m2_s: f64| decades / (rate * m2_s) / 3600.0;
    let (charcoal_kg, steel_kg) = (pack.compound_mass.to_kg(), pack.steel_mass.to_kg());
    let litres = pack.compound.to_l();
    if charcoal_kg <= 0.0 || litres <= 0.0 {
        return;
    }
    let dense = (charcoal_kg / litres * 1000.0 / BED_KG_M3).max(1.0);
    let (bed_kj_k, steel_kj_k) = (charcoal_kg * KJ_KG_K.0, steel_kg * KJ_KG_K.1);
    let heavier = dense * (1.0 + steel_kj_k / bed_kj_k);
    let power_kw = sight
        .steps(crate::outcome::StepKind::Carburize)
        .find_map(|step| sight.furnace(step))
        .map_or(1.0, |furnace| furnace.power.to_kw());
    let together = f64::from(pack.boxes.max(1));
    let all_kj = (bed_kj_k + steel_kj_k + pack.shell_mass.to_kg() * KJ_KG_K.1) * rise_k * together;
    // The lining takes as much again. [trade-practice]
    let charging = 2.0 * all_kj / power_kw.max(0.1) / 3600.0;
    let (least, most) = (hours(BED_M2_S.1), hours(BED_M2_S.0) * heavier + charging);
    if !(least.is_finite() && most.is_finite()) {
        return;
    }
    if hot.high.to_h() < least || hot.low.to_h() > most {
        found.push(
            Diag::warn(
                "check-pack-hot-brick",
                format!(
                    "The pack is said to be hot after {} to {}.",
                    hot.low.text(),
                    hot.high.text()
                ),
            )
            .why("A plain brick of compound of this size takes another time.")
            .accepted(format!(
                "Between {} and {}.",
                Span::from_h(least).text(),
                Span::from_h(most).text()
            )),
        );
    }
}

/// Hours and clock of the pack are one and the same, and the soak begins where it is hot.
fn one_clock(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(heat) = &sight.plan.pack_heat else {
        return;
    };
    let loaded = sight.plan.loads.first().map(|load| load.loaded.after);
    let five = Span::from_min(5.0);
    let near = |a: Span, b: Span| a - b < five && b - a < five;
    let hours = heat.hot == sight.plan.pack_hot_after;
    let clock = loaded.is_none_or(|loaded| {
        [
            (heat.hot_at.low.after, heat.hot.low),
            (heat.hot_at.mid.after, heat.hot.mid),
            (heat.hot_at.high.after, heat.hot.high),
        ]
        .iter()
        .all(|(at, after)| near(*at, loaded + *after))
    });
    if !(hours && clock) {
        found.push(
            Diag::stop(
                "check-hot-clock",
                "The hour at which the pack is hot is told in two ways.",
            )
            .why("The soak would be counted from the wrong one.")
            .accepted("Loading, and the hours of the heat-up after it."),
        );
    }
}

/// What the couple is to read before the soak is counted: not above what the survey allows, and not
/// so far below the set temperature that the soak would begin in a cold pack. 60 K is where the case
/// grows at two thirds of its speed. [trade-practice]
fn couple_reading(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let plan = sight.plan;
    let Some(reads) = plan.pack_heat.as_ref().and_then(|heat| heat.couple_reads) else {
        return;
    };
    let above = reads - plan.temperature;
    if above > TemperatureStep::from_k(25.0) || above < TemperatureStep::from_k(-60.0) {
        found.push(
            Diag::stop(
                "check-couple-reading",
                format!(
                    "The soak is to begin when the couple reads {}.",
                    reads.text_both(sight.spec.units)
                ),
            )
            .why("That is not the temperature of a pack that is hot.")
            .accepted(format!(
                "A little under {}.",
                plan.temperature.text_both(sight.spec.units)
            )),
        );
    }
}

/// The parts called least and greatest are.
fn ends_named(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(heat) = &sight.plan.pack_heat else {
        return;
    };
    let Some((least, greatest)) = heat.depths() else {
        return;
    };
    let outside = heat
        .parts
        .iter()
        .filter_map(|part| part.depth)
        .any(|depth| depth < least || depth > greatest);
    if outside {
        found.push(
            Diag::stop(
                "check-spread-ends",
                "A part has less or more case than the two that are named.",
            )
            .why("The wrong part would be cut.")
            .accepted("The parts with the least and the greatest depth."),
        );
    }
}

/// Case of a part by the square-root law at its own temperature and its own time at heat.
fn by_law(part: &PartHeat, heat: &PackHeat, soak: Span) -> Option<Length> {
    let time = soak + heat.hot.mid - part.hot_after?;
    (time > Span::ZERO).then(|| harris_depth(part.soaked, time).value)
}

/// The spread that is claimed against the square-root law of the two parts. The law knows neither
/// the carbon of the heat-up, which all parts share, nor a surface that saturates slowly: both make
/// the true spread less. Nothing makes it more than a tenth greater. [harris-1943]
fn spread_by_temperature(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(heat) = &sight.plan.pack_heat else {
        return;
    };
    let Some((least, greatest)) = heat.depths() else {
        return;
    };
    let laws: Vec<Length> = heat
        .parts
        .iter()
        .filter_map(|part| by_law(part, heat, sight.plan.soak))
        .collect();
    let Some(low) = laws.iter().copied().reduce(Length::min) else {
        return;
    };
    let high = laws.iter().copied().fold(low, Length::max);
    if least <= Length::ZERO || low <= Length::ZERO {
        return;
    }
    let (claimed, law) = (greatest / least, high / low);
    if claimed > law * 1.1 {
        found.push(
            Diag::warn(
                "check-box-spread",
                format!(
                    "The greatest case in the box is said to be {:.0} % over the least.",
                    (claimed - 1.0) * 100.0
                ),
            )
            .why("Times and temperatures of the parts do not account for it.")
            .accepted(format!("{:.0} % at most.", (law * 1.1 - 1.0) * 100.0)),
        );
    }
}

/// At least one coupon gets within a tenth of the parts' mean case: otherwise none stands for them.
fn coupons_stand(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(heat) = &sight.plan.pack_heat else {
        return;
    };
    let depths = |pieces: &[PartHeat]| -> Vec<f64> {
        let known = pieces.iter().filter_map(|piece| piece.depth);
        known.map(Length::to_mm).collect()
    };
    let (parts, coupons) = (depths(&heat.parts), depths(&heat.coupons));
    if parts.is_empty() || coupons.is_empty() {
        return;
    }
    let mean = parts.iter().sum::<f64>() / parts.len() as f64;
    if coupons.iter().all(|depth| (depth / mean - 1.0).abs() > 0.1) {
        found.push(
            Diag::warn(
                "check-coupon-stands",
                "No coupon gets about the case that the parts get.",
            )
            .why("What the coupon shows is not what the parts have.")
            .accepted("A coupon among the parts, within a tenth of their mean case."),
        );
    }
}
