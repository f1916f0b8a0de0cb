//! The testers: no scale called valid that reads the core through the case, and no number that is
//! no reading.

use casewright_job::spec::PartShape;
use casewright_physics::law::hardness_conversion::{hrc_of, scale_of};
use casewright_physics::law::indentation::{cylinder_correction, least_case};
use casewright_terms::{Band, Diag, Hardness, Length, Scale};

use super::Rule;
use super::sight::Sight;
use crate::outcome::ScaleAdvice;

pub(super) const RULES: &[Rule] = &[
    thin_case,
    no_reading,
    at_hand,
    reading_too_high,
    rounds_corrected,
];

/// Case that is there when it is tested: finished where ground, in the middle of its band.
fn case(sight: &Sight<'_>) -> Option<Length> {
    let prediction = sight.prediction?;
    let depth = prediction
        .case_depth_after_grind
        .or(prediction.case_depth)?;
    Some(depth.mid)
}

/// A scale whose least case is more than the case reads the core [trade-practice],
/// least case by [astm-e18].
fn thin_case(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(depth) = case(sight) else { return };
    let units = sight.spec.units;
    for advice in sight.plan.test_scales.iter().filter(|advice| advice.valid) {
        let own = advice
            .reading
            .and_then(|reading| least_case(Hardness::new(advice.scale, reading.mid)))
            .map(|valued| valued.value.refuse_below);
        let said = advice.least_case.unwrap_or(Length::ZERO);
        let least = own.unwrap_or(Length::ZERO).max(said);
        // A hundredth of a millimetre: the tables are printed in two decimals.
        if least > depth + Length::from_um(10.0) {
            found.push(
                Diag::stop(
                    "check-scale-thin-case",
                    format!(
                        "{} is called valid on a case of {}.",
                        advice.scale,
                        depth.depth_text_both(units)
                    ),
                )
                .why("It would read the core and refuse good parts.")
                .accepted(format!(
                    "A case of {} or more.",
                    least.depth_text_both(units)
                )),
            );
        }
    }
}

/// Numbers that are no reading: HRC under 20 or over 68, HRB over 100 [astm-e140].
fn readable(scale: Scale, value: f64) -> bool {
    match scale {
        Scale::Hrc => (20.0..=68.0).contains(&value),
        Scale::Hrb => (0.0..=100.0).contains(&value),
        Scale::Hra | Scale::Hrd => (0.0..=86.0).contains(&value),
        Scale::Hr15n | Scale::Hr30n | Scale::Hr45n => (0.0..=94.0).contains(&value),
        Scale::Hv | Scale::Hk | Scale::Hbw => value > 0.0,
    }
}

fn no_reading(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let bad = |band: Option<Band<f64>>, scale| {
        band.is_some_and(|band| {
            !readable(scale, band.mid) || band.low > band.mid || band.mid > band.high
        })
    };
    for advice in &sight.plan.test_scales {
        if bad(advice.reading, advice.scale) || bad(advice.core_reading, advice.scale) {
            found.push(
                Diag::stop(
                    "check-scale-no-reading",
                    format!("A number on {} that is no reading.", advice.scale),
                )
                .accepted("None, with the reason: HRC reads from 20 to 68."),
            );
        }
    }
    let Some(prediction) = sight.prediction else {
        return;
    };
    let hrc_bad = |band: Option<Band<f64>>| band.is_some_and(|b| b.low < 19.95 || b.high > 70.0);
    if hrc_bad(prediction.surface_hrc) || hrc_bad(prediction.core_hrc) {
        found.push(Diag::stop(
            "check-scale-no-reading",
            "A prediction in HRC outside the scale.",
        ));
    }
    if let (Some(hrc), Some(own)) = (prediction.surface_hrc, hrc_of(prediction.surface.mid)) {
        // One point: scatter of real pairs. [astm-e140]
        if (hrc.mid - own).abs() > 1.0 {
            found.push(Diag::stop(
                "check-conversion",
                format!(
                    "{:.1} HRC for a surface that converts to {own:.1}.",
                    hrc.mid
                ),
            ));
        }
    }
}

/// What the shop has, and at least one scale that can judge this case.
fn at_hand(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let shop = &sight.spec.shop;
    let has = |advice: &ScaleAdvice| {
        shop.scales.contains(&advice.scale)
            || (matches!(advice.scale, Scale::Hv | Scale::Hk) && shop.micro_hardness)
    };
    for advice in &sight.plan.test_scales {
        if advice.at_hand && !has(advice) {
            found.push(
                Diag::warn(
                    "check-scale-at-hand",
                    format!("The shop has no tester for {}.", advice.scale),
                )
                .accepted("A scale in the shop book."),
            );
        }
    }
    let judged = sight
        .plan
        .test_scales
        .iter()
        .any(|advice| advice.valid && has(advice));
    if !judged {
        found.push(
            Diag::warn("check-scale-none", "No scale at hand can judge this case.")
                .accepted("A lighter scale, or a coupon sent out."),
        );
    }
}

/// A layered case reads no more than uniform steel as hard as its surface. A point of room: real
/// pairs scatter by that [astm-e140]. A skin softer than what lies beneath
/// reads higher, so the hardest place of the profile counts.
fn reading_too_high(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(prediction) = sight.prediction else {
        return;
    };
    let hardest = prediction
        .profile
        .hardness_hv
        .iter()
        .copied()
        .fold(prediction.surface.mid.to_hv(), f64::max);
    let Some(hardest) = casewright_terms::Vickers::checked(hardest) else {
        return;
    };
    for advice in &sight.plan.test_scales {
        let (Some(reading), Some(most)) = (advice.reading, scale_of(hardest, advice.scale)) else {
            continue;
        };
        let room = match advice.scale {
            Scale::Hv | Scale::Hk | Scale::Hbw => 20.0,
            _ => 1.0,
        };
        if reading.mid > most + room {
            found.push(Diag::stop(
                "check-scale-reading",
                format!(
                    "{} is said to read {:.1}; the hardest place converts to {most:.1}.",
                    advice.scale, reading.mid
                ),
            ));
        }
    }
}

/// A round reads low: what is to be added stands beside the scale. Half a point either way: the
/// table is printed in halves. Where the standard has no correction for the round, the scale is not
/// valid on it. [astm-e18]
fn rounds_corrected(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let diameter = match sight.spec.part.shape {
        PartShape::Bar { diameter, .. } => diameter,
        PartShape::Tube { outer, .. } => outer,
        _ => return,
    };
    for advice in sight.plan.test_scales.iter().filter(|advice| advice.valid) {
        let diamond = matches!(advice.scale, Scale::Hrc | Scale::Hra | Scale::Hrd);
        let (true, Some(reading)) = (diamond, advice.reading) else {
            continue;
        };
        let Ok(own) = cylinder_correction(Hardness::new(advice.scale, reading.mid), diameter)
        else {
            found.push(
                Diag::stop(
                    "check-scale-round",
                    format!("{} is called valid on this round.", advice.scale),
                )
                .why("Below 6.4 mm (1/4 in) no reading is taken on a round.")
                .accepted("A flat, or a cross section."),
            );
            continue;
        };
        let said = advice.round_correction.unwrap_or(0.0);
        if (said - own.value).abs() > 0.5 + 1e-9 {
            found.push(
                Diag::warn(
                    "check-scale-correction",
                    format!("{} is corrected by {said:.1} on this round.", advice.scale),
                )
                .accepted(format!("{:.1} to add.", own.value)),
            );
        }
    }
}
