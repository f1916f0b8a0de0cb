//! The prediction against itself: bands in order, phases that sum to one, depths that agree with
//! each other and with the drawn profile.

use casewright_physics::equilibrium::SaturationTable;
use casewright_terms::{Band, Composition, Diag, Element, Length, TemperatureStep};

use super::Rule;
use super::sight::Sight;
use crate::outcome::Profile;

pub(super) const RULES: &[Rule] = &[
    bands_ordered,
    depths_ordered,
    effective_over_total,
    grind_subtracted,
    carbon_possible,
    austenite,
    profile_lengths,
    profile_values,
    profile_and_depth,
];

/// Rounding of binary fractions, nothing else.
const EPSILON: f64 = 1e-9;

fn ordered<T: Copy + PartialOrd>(band: Band<T>) -> bool {
    band.low <= band.mid && band.mid <= band.high
}

/// Low ≤ middle ≤ high, everywhere.
fn bands_ordered(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let depths = [
        p.case_depth,
        p.case_depth_after_grind,
        p.depth_550hv,
        p.depth_50hrc,
        p.total_depth,
    ];
    let good = depths.into_iter().flatten().all(ordered)
        && ordered(p.surface)
        && ordered(p.core)
        && [p.surface_hrc, p.core_hrc]
            .into_iter()
            .flatten()
            .all(ordered)
        && ordered(p.surface_carbon_wt_pct)
        && ordered(p.retained_austenite_pct)
        && p.growth_per_side.0 <= p.growth_per_side.1;
    if !good {
        found.push(Diag::stop(
            "check-band-order",
            "A band's ends and middle are out of order.",
        ));
    }
}

/// 550 HV is harder than 50 HRC (513 HV), so its depth is less; core carbon lies deeper than both
/// [trade-practice].
fn depths_ordered(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    // A micrometre: two interpolations on one grid.
    let room = Length::from_um(1.0);
    let crossed = |less: Option<Band<Length>>, more: Option<Band<Length>>| matches!((less, more), (Some(less), Some(more)) if less.mid > more.mid + room);
    if crossed(p.depth_550hv, p.depth_50hrc) {
        found.push(Diag::stop(
            "check-depth-550-50",
            "The depth to 550 HV is more than the depth to 50 HRC.",
        ));
    }
    if crossed(p.depth_550hv, p.total_depth) && !hard_without_a_case(sight) {
        found.push(
            Diag::stop(
                "check-depth-total",
                "The depth to 550 HV is more than the total depth.",
            )
            .why("Where the carbon ends nothing hardens to the limit any more.")
            .accepted("A quench and a steel whose core stays softer than the limit."),
        );
    }
    if p.core.mid > p.surface.mid {
        found.push(Diag::warn(
            "check-core-hard",
            "The core is harder than the surface.",
        ));
    }
}

/// Over this the core hardens by itself, as deep as the quench goes: depths by hardness say nothing of
/// the carbon then. That such a steel is cased is said by `check-steel`. [trade-practice]
const CASE_STEEL_WT_PCT: f64 = 0.28;

fn hard_without_a_case(sight: &Sight<'_>) -> bool {
    let carbon = |steel: Composition| steel.wt_pct(Element::C);
    sight
        .composition()
        .is_some_and(|steel| carbon(steel) > CASE_STEEL_WT_PCT)
}

/// Depth to 50 HRC is 0.45 to 0.75 of the total [trade-practice]; a twentieth of
/// room, because the total's faint end is found no better. Below, the quench is doubtful; above, the
/// total.
fn effective_over_total(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let (Some(effective), Some(total)) = (p.depth_50hrc, p.total_depth) else {
        return;
    };
    if hard_without_a_case(sight) {
        return;
    }
    let share = effective.mid.to_mm() / total.mid.to_mm().max(1e-6);
    if !(0.45 * 0.95..=0.75 * 1.05).contains(&share) {
        found.push(
            Diag::warn(
                "check-effective-share",
                format!("The depth to 50 HRC is {share:.2} of the total depth."),
            )
            .why("Measured cases lie between 0.45 and 0.75.")
            .accepted("A coupon before the lot."),
        );
    }
}

/// Depth after grinding is depth before less the stock. 0.02 mm of room: a hardness limit does not
/// move when metal above it is ground off.
fn grind_subtracted(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let (Some(made), Some(left)) = (p.case_depth, p.case_depth_after_grind) else {
        return;
    };
    let (least, most) = sight.plan.depth.stock;
    let taken = made.mid - left.mid;
    let room = Length::from_um(20.0);
    if taken < least - room || taken > most + room {
        found.push(
            Diag::stop(
                "check-grind-depth",
                "Depth before and after grinding do not differ by the stock.",
            )
            .accepted("Depth made, less the stock per side."),
        );
    }
}

/// No more carbon than austenite holds in a pack at this temperature. A tenth of room: the
/// correction for alloy is known no better. [gustafson-1985], [gunnarson-1967]. Over 1.1 % a
/// network of carbide is likely, under 0.6 % full hardness is not reached. [trade-practice]
fn carbon_possible(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let surface = p.surface_carbon_wt_pct.mid;
    let limit = sight
        .composition()
        .and_then(|steel| SaturationTable::new(&steel, TemperatureStep::ZERO).ok())
        .map(|table| table.pack(sight.plan.temperature).value.to_wt_pct());
    let seen = format!("Surface carbon {surface:.2} %.");
    if let Some(limit) = limit
        && surface > 1.1 * limit
    {
        found.push(
            Diag::stop("check-carbon-limit", seen)
                .why("Austenite does not hold that much at this temperature.")
                .accepted(format!("{limit:.2} % at most.")),
        );
    } else if surface > 1.1 {
        found.push(Diag::warn("check-carbon-high", seen).why("A network of carbide is likely."));
    } else if surface < 0.6 {
        found
            .push(Diag::warn("check-carbon-low", seen).why("The surface does not get fully hard."));
    }
}

/// The common classes allow 10 and 20 % retained austenite; over 30 % the surface reads soft
/// [trade-practice].
fn austenite(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let share = p.retained_austenite_pct.mid;
    if !(0.0..=100.0).contains(&share) {
        found.push(Diag::stop(
            "check-austenite",
            format!("{share:.0} % retained austenite."),
        ));
    } else if share > 30.0 {
        found.push(
            Diag::warn(
                "check-austenite-high",
                format!("{share:.0} % retained austenite."),
            )
            .accepted("Under 20 %: a lower quench temperature or less carbon."),
        );
    }
}

fn columns(profile: &Profile) -> [&Vec<f64>; 13] {
    [
        &profile.depth_mm,
        &profile.carbon_wt_pct,
        &profile.carbon_low_wt_pct,
        &profile.carbon_high_wt_pct,
        &profile.hardness_hv,
        &profile.hardness_low_hv,
        &profile.hardness_high_hv,
        &profile.martensite,
        &profile.retained_austenite,
        &profile.bainite,
        &profile.pearlite,
        &profile.ferrite,
        &profile.carbide,
    ]
}

/// One length for all columns, numbers only, depth rising from the surface.
fn profile_lengths(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let length = p.profile.depth_mm.len();
    let good = length >= 2
        && columns(&p.profile)
            .iter()
            .all(|column| column.len() == length && column.iter().all(|value| value.is_finite()));
    let rising = p.profile.depth_mm.windows(2).all(|pair| pair[0] < pair[1])
        && p.profile
            .depth_mm
            .first()
            .is_some_and(|first| *first >= 0.0);
    if !good || !rising {
        found.push(Diag::stop(
            "check-profile-shape",
            "The profile's columns differ in length, hold no number, or its depth does not rise.",
        ));
    }
}

/// Rows that every column has, so that a short column cannot hide the others.
fn rows(profile: &Profile) -> usize {
    columns(profile)
        .iter()
        .map(|column| column.len())
        .min()
        .unwrap_or(0)
}

/// Phases sum to one (a hundredth: rounding of six numbers), bands are in order.
fn profile_values(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let at = &p.profile;
    let phases = [
        &at.martensite,
        &at.retained_austenite,
        &at.bainite,
        &at.pearlite,
        &at.ferrite,
        &at.carbide,
    ];
    let sum_wrong = (0..rows(at)).any(|row| {
        let sum: f64 = phases.iter().map(|phase| phase[row]).sum();
        let inside = phases
            .iter()
            .all(|phase| (-EPSILON..=1.0 + EPSILON).contains(&phase[row]));
        (sum - 1.0).abs() > 0.01 || !inside
    });
    if sum_wrong {
        found.push(Diag::stop(
            "check-profile-phases",
            "The phases of the profile do not sum to one.",
        ));
    }
    let crossed = |low: &[f64], mid: &[f64], high: &[f64]| {
        (0..rows(at)).any(|row| low[row] > mid[row] + EPSILON || mid[row] > high[row] + EPSILON)
    };
    if crossed(&at.hardness_low_hv, &at.hardness_hv, &at.hardness_high_hv)
        || crossed(
            &at.carbon_low_wt_pct,
            &at.carbon_wt_pct,
            &at.carbon_high_wt_pct,
        )
    {
        found.push(Diag::stop(
            "check-profile-band",
            "A band of the profile is out of order.",
        ));
    }
    let hv = at.hardness_high_hv.iter().copied().fold(0.0, f64::max);
    // Hardest carbon martensite is 900 to 950 HV; with a band's head 1100. [trade-practice]
    if hv > 1100.0 || at.hardness_low_hv.iter().any(|low| *low <= 0.0) {
        found.push(Diag::stop(
            "check-profile-hardness",
            format!("The profile goes to {hv:.0} HV."),
        ));
    }
}

/// Where a falling curve passes a level for the last time, in mm; linear between points.
fn last_crossing_mm(profile: &Profile, level: f64) -> Option<f64> {
    let rows = profile.depth_mm.len().min(profile.hardness_hv.len());
    (1..rows).rev().find_map(|row| {
        let (above, below) = (profile.hardness_hv[row - 1], profile.hardness_hv[row]);
        (above >= level && below < level).then(|| {
            let share = (above - level) / (above - below);
            profile.depth_mm[row - 1] + share * (profile.depth_mm[row] - profile.depth_mm[row - 1])
        })
    })
}

/// The drawn curve passes 550 HV where the number says: interpolation as ISO 18203 does it. 0.05 mm
/// or 5 %: the curve is drawn on fewer points than it was computed on, and may be drawn from the
/// made or from the finished surface.
fn profile_and_depth(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let Some(drawn) = last_crossing_mm(&p.profile, 550.0) else {
        return;
    };
    let Some(said) = p.depth_550hv else {
        found.push(Diag::warn(
            "check-profile-depth",
            "The drawn curve passes 550 HV and no depth is given for it.",
        ));
        return;
    };
    let (said, stock) = (said.mid.to_mm(), sight.plan.depth.stock.1.to_mm());
    let room = 0.05_f64.max(0.05 * said);
    if drawn < said - stock - room || drawn > said + stock + room {
        found.push(Diag::stop(
            "check-profile-depth",
            format!("The drawn curve passes 550 HV at {drawn:.2} mm; the plan says {said:.2} mm."),
        ));
    }
}
