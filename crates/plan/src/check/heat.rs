//! Temperature and hours of the carburizing: inside the trade's range, inside the furnace's, and
//! near what the square-root law asks for the depth.

use casewright_physics::law::case_depth_rules::{harris_depth, harris_time};
use casewright_terms::{Diag, Length, Span, Temperature};

use super::Rule;
use super::sight::Sight;
use crate::outcome::{DepthLimit, StepKind};

pub(super) const RULES: &[Rule] = &[
    carburizing_range,
    furnace_limit,
    soak_against_harris,
    total_against_harris,
    pack_hot_time,
    fresh_and_long,
    furnace_hours,
    part_gets_hot,
];

/// Nothing useful below 1300 °F, usual 1500 to 1750 °F, over 1800 °F refused [trade-practice].
fn carburizing_range(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let temperature = sight.plan.temperature;
    let seen = format!(
        "Carburizing at {}.",
        temperature.text_both(sight.spec.units)
    );
    let usual = "1500 to 1750 °F (815 to 955 °C).";
    let f = temperature.to_f();
    // Half a degree of room: set points are whole degrees in one unit and not in the other.
    let diag = if f < 1299.5 {
        Diag::stop("check-temperature-cold", seen)
            .why("Below 1300 °F no carbon to speak of goes into the steel: a set point in the wrong unit looks like this.")
    } else if f > 1800.5 {
        Diag::stop("check-temperature-hot", seen)
            .why("Over 1800 °F the grain grows coarse, the box scales through and the work sags.")
    } else if f < 1499.5 {
        Diag::warn("check-temperature-low", seen).why("Below 1500 °F carburizing is very slow.")
    } else if f < 1599.5 {
        Diag::warn("check-temperature-slow", seen).why("Below 1600 °F carburizing is slow.")
    } else if f > 1750.5 {
        Diag::warn("check-temperature-high", seen)
            .why("Over 1750 °F the grain grows and the box does not last.")
    } else {
        return;
    };
    found.push(diag.accepted(usual));
}

/// No step may be set above what its furnace is allowed; furnace and plan must speak of one
/// temperature [trade-practice].
fn furnace_limit(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    for step in &sight.plan.steps {
        let furnace = match step.kind {
            StepKind::Carburize | StepKind::Reheat => sight.furnace(step),
            StepKind::Temper => sight.oven(step),
            _ => continue,
        };
        let named = step.equipment.as_deref().unwrap_or("nothing");
        let Some(furnace) = furnace else {
            found.push(
                Diag::stop(
                    "check-furnace",
                    format!("A hot step names {named} as its furnace."),
                )
                .why("The shop book has no such furnace or oven.")
                .accepted("The mark of a furnace in the shop book."),
            );
            continue;
        };
        let Some(set) = step.temperature else {
            continue; // another rule asks for it
        };
        if set > furnace.max {
            let units = sight.spec.units;
            found.push(
                Diag::stop(
                    "check-furnace-max",
                    format!("{} is to be set to {}.", furnace.id, set.text_both(units)),
                )
                .why("That is more than it may be set to.")
                .accepted(format!("{} at most.", furnace.max.text_both(units))),
            );
        }
        // A kelvin: the same number, rounded in one place and not in the other.
        if step.kind == StepKind::Carburize && (set - sight.plan.temperature).to_k().abs() > 1.0 {
            found.push(Diag::stop(
                "check-temperature-differs",
                "The carburizing step is set to another temperature than the plan was made for.",
            ));
        }
    }
}

/// Effective over total depth is 0.45 to 0.75; the middle, for a soak that may be too long
/// [trade-practice].
const EFFECTIVE_OVER_TOTAL: f64 = 0.6;
/// The upper end, for a soak that may be too short: an alloy steel holds 50 HRC down to 0.3 % carbon.
/// [trade-practice]
const EFFECTIVE_OVER_TOTAL_MOST: f64 = 0.75;

/// The soak against Harris's law for the depth aimed at [harris-1943]. Too long: over three times
/// the law's hours (1.7 in depth), which is room for a pack surface that takes hours to saturate
/// (0.7 to 0.85 in depth) and the furnace's survey (8 %). Too short: the law's surface is saturated
/// from the first minute, so soak and heating together cannot do with less; a fifth of room is the
/// survey in hours. A soak under a third is possible, and a warning: the heating does the work then.
fn soak_against_harris(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let (soak, temperature) = (sight.plan.soak, sight.plan.temperature);
    if soak <= Span::ZERO {
        found.push(Diag::stop("check-soak", "The soak has no length."));
        return;
    }
    let aim = sight.plan.depth.aim;
    let hours = |share: f64| {
        let total = match sight.plan.depth.limit {
            DepthLimit::CoreCarbon => aim,
            DepthLimit::Hardness(_) => aim / share,
        };
        harris_time(temperature, total).map(|valued| valued.value)
    };
    let (Some(short), Some(long)) = (
        hours(EFFECTIVE_OVER_TOTAL_MOST),
        hours(EFFECTIVE_OVER_TOTAL),
    ) else {
        return;
    };
    let units = sight.spec.units;
    let seen = format!(
        "A soak of {} at {} for {}.",
        soak.text(),
        temperature.text_both(units),
        aim.depth_text_both(units)
    );
    if soak + sight.plan.pack_hot_after.mid < short * 0.8 {
        found.push(
            Diag::stop("check-soak-short", seen)
                .why("Even with the whole heating counted the case would come out too thin.")
                .accepted(format!("About {} by the square-root law.", short.text())),
        );
    } else if soak < short / 3.0 {
        found.push(
            Diag::warn("check-soak-heating", seen)
                .why("Most of the carbon is to come in while the pack heats, which nobody times.")
                .accepted("A quicker heating, or a couple in the pack and a coupon first."),
        );
    } else if soak > long * 3.0 {
        found.push(
            Diag::stop("check-soak-long", seen)
                .why("The case would come out too deep.")
                .accepted(format!("About {} by the square-root law.", long.text())),
        );
    }
}

/// The predicted total depth between two closed bounds: Harris's depth of the soak alone, and of the
/// soak with the whole heating at full temperature. Room below 0.6: a pack surface that saturates
/// slowly loses up to 30 %, the survey 8 %. Room above 1.3: core + 0.04 %
/// lies 13 % deeper than Harris's core + 0.07 %, the survey, and cooling in the box. [harris-1943]
fn total_against_harris(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(total) = sight.prediction.and_then(|p| p.total_depth) else {
        return;
    };
    let hot = sight.plan.pack_hot_after.mid.max(Span::ZERO);
    let depth = |time: Span| harris_depth(sight.plan.temperature, time).value;
    let (least, most) = (
        depth(sight.plan.soak) * 0.6,
        depth(sight.plan.soak + hot) * 1.3,
    );
    if total.mid < least || total.mid > most {
        let units = sight.spec.units;
        found.push(
            Diag::stop(
                "check-total-harris",
                format!(
                    "A total depth of {} is predicted.",
                    total.mid.depth_text_both(units)
                ),
            )
            .why("The square-root law does not allow it for these hours.")
            .accepted(format!(
                "{} to {}.",
                least.depth_text_both(units),
                most.depth_text_both(units)
            )),
        );
    }
}

/// Time until the pack is hot against the square of the box's narrow side: 0.6 to 1.8 h for 100 mm
/// over the range of a charcoal pack's diffusivity [trade-practice]. The furnace's own
/// heating (1 to 3 h to 1700 °F) comes on top at the long end.
fn pack_hot_time(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let hot = sight.plan.pack_hot_after;
    if !(hot.low <= hot.mid && hot.mid <= hot.high) || hot.low <= Span::ZERO {
        found.push(Diag::stop(
            "check-pack-hot",
            "The band of the time until the pack is hot is out of order.",
        ));
        return;
    }
    let [width, height, length] = sight.plan.pack.inside;
    let narrow = width.min(height).min(length) / Length::from_mm(100.0);
    // Half of the shortest, twice the longest: the table spans a factor of three by itself.
    let (least, most) = (0.3 * narrow * narrow, 3.6 * narrow * narrow + 3.0);
    let seen = format!(
        "The pack is said to be hot {} after loading.",
        hot.mid.text()
    );
    let accepted = format!(
        "{} to {} for this box; a couple in the pack knows better.",
        Span::from_h(least).text(),
        Span::from_h(most).text()
    );
    if hot.mid.to_h() < least {
        found.push(
            Diag::stop("check-pack-hot-early", seen)
                .why("The soak would be counted while the pack is still cold.")
                .accepted(accepted),
        );
    } else if hot.mid.to_h() > most {
        found.push(Diag::warn("check-pack-hot-late", seen).accepted(accepted));
    }
}

/// All-new compound over a long soak gives too much carbon [trade-practice]; eight
/// hours is a full day's soak.
fn fresh_and_long(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let new = |id: &str| sight.lot(id).is_some_and(|lot| lot.fresh.to_pct() > 95.0);
    let scoops = &sight.plan.pack.scoops;
    let all_new = !scoops.is_empty() && scoops.iter().all(|scoop| new(&scoop.lot));
    if all_new && sight.plan.soak > Span::from_h(8.0) {
        found.push(
            Diag::warn(
                "check-compound-strong",
                "The compound is all new and the soak is long.",
            )
            .why("Surface carbon and carbide can come out too high.")
            .accepted("12 to 30 % new in used compound."),
        );
    }
}

/// Furnace hours hold the heating and the soak. A plan that promises less ends outside its hours.
fn furnace_hours(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let least = sight.plan.pack_hot_after.mid + sight.plan.soak;
    if sight.plan.furnace_time < least - Span::from_min(5.0) {
        found.push(
            Diag::stop(
                "check-furnace-hours",
                format!(
                    "{} in the furnace, box in to box out.",
                    sight.plan.furnace_time.text()
                ),
            )
            .why("Heating and soak alone take longer.")
            .accepted(format!("{} at least.", least.text())),
        );
    }
}

/// The drawn curve of the part must reach the carburizing temperature by the end of the soak and
/// must not pass it: 25 K is twice the tightest survey a box furnace gives. [trade-practice]
fn part_gets_hot(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let set = sight.plan.temperature.to_c();
    let curve = &sight.plan.part_curve;
    let broken = curve
        .iter()
        .any(|point| !(point.0.is_finite() && point.1.is_finite()));
    if broken || curve.windows(2).any(|pair| pair[1].0 < pair[0].0) {
        found.push(Diag::stop(
            "check-curve",
            "The drawn curve runs back in time or holds no number.",
        ));
        return;
    }
    let hottest = curve.iter().map(|point| point.1).fold(f64::NAN, f64::max);
    if curve.len() >= 2 && (hottest - set).abs() > 25.0 {
        found.push(Diag::stop(
            "check-curve",
            format!(
                "The drawn curve of the part goes to {}; the plan says {}.",
                Temperature::from_c(hottest).text_both(sight.spec.units),
                sight.plan.temperature.text_both(sight.spec.units)
            ),
        ));
    }
}
