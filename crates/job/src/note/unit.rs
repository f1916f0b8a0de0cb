//! The unit of lengths that are written without one.
//!
//! A unit is taken only where the other one is out of the question by size and the note's habits
//! agree; it is always listed. Everything else is asked.

use casewright_terms::UnitSystem;

use super::amount::Amount;
use super::draft::Draft;
use super::piece::Item;
use super::role::Role;
use super::scale::{Other, ScaleName, Unit};
use super::words::Habit;
use casewright_terms::Scale;

/// What the note's habits say about its units.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Habits {
    metric_unit: bool,
    inch_unit: bool,
    metric: bool,
    vickers_limit: bool,
    inch: bool,
    comma: bool,
}

/// Depths written in inch that shops make, in inch: from a thin skin to an eighth.
const INCH_DEPTHS: std::ops::RangeInclusive<f64> = 0.005..=0.125;
/// Bare numbers that can be a depth in mm and cannot be one in inch.
const MM_DEPTHS: std::ops::RangeInclusive<f64> = 0.15..=5.0;

/// Looks through the note for habits of units.
pub(super) fn habits(draft: &Draft) -> Habits {
    let mut h = Habits::default();
    for (i, piece) in draft.pieces.iter().enumerate() {
        match &piece.item {
            Item::Amount(a) => {
                h.metric_unit |= matches!(a.unit, Some(Unit::Mm | Unit::Um));
                h.inch_unit |= matches!(a.unit, Some(Unit::Inch | Unit::Thou));
                h.inch |= a.other() == Some(Other::Fahrenheit);
                h.comma |= a.comma && a.doubt.is_none();
                let vickers_limit = matches!(&a.mark, Some(m) if m.name == ScaleName::Known(Scale::Hv))
                    && ([550.0, 610.0].contains(&a.low) || draft.roles[i] == Some(Role::Limit));
                h.vickers_limit |= vickers_limit;
            }
            Item::Word(_, Habit::Metric) => h.metric = true,
            Item::Word(_, Habit::Inch) => h.inch = true,
            Item::Jis(_) => h.metric = true,
            Item::Standard(name) => {
                h.metric |= ["ISO", "DIN", "EN", "JIS", "NF", "UNE"]
                    .iter()
                    .any(|b| name.starts_with(b));
                h.inch |= ["SAE", "MIL"].iter().any(|b| name.starts_with(b));
            }
            _ => {}
        }
    }
    h
}

/// The unit of a bare length and why, or `None` where it must be asked.
pub(super) fn infer(
    a: &Amount,
    role: Role,
    h: Habits,
    other: Option<Unit>,
) -> Option<(Unit, &'static str)> {
    if a.doubt.is_some() {
        return None;
    }
    let metric = h.metric || h.vickers_limit || h.metric_unit || h.comma;
    let inch = h.inch || h.inch_unit;
    if a.comma {
        return (!h.inch_unit).then_some((Unit::Mm, "decimal comma, so millimetres"));
    }
    if a.fraction {
        return (!metric && a.high <= 0.25)
            .then_some((Unit::Inch, "a fraction without unit, so inches"));
    }
    if role == Role::Stock
        && let Some(unit) = other
    {
        let in_mm = unit
            .length(a.high)
            .map_or(0.0, casewright_terms::Length::to_mm);
        let plausible = (0.01..=1.3).contains(&in_mm);
        return plausible.then_some((unit, "stock in the unit of the depth"));
    }
    let inch_size = if role == Role::Stock {
        0.0005..=0.05
    } else {
        INCH_DEPTHS
    };
    if inch_size.contains(&a.low) && inch_size.contains(&a.high) {
        let inch_form = a.leading_dot || a.decimals >= 3 || inch;
        // `.030-.040 TO 550 HV`: a limit in HV alone makes no metric note of thousandths.
        let other_metric = h.metric || h.metric_unit || h.comma;
        let thousandths = a.leading_dot && a.decimals == 3 && !other_metric;
        return (!metric && inch_form || thousandths).then_some((
            Unit::Inch,
            "a number of this size and form without unit is in inches",
        ));
    }
    if MM_DEPTHS.contains(&a.low) && MM_DEPTHS.contains(&a.high) {
        let taken = metric && !inch && !a.leading_dot && a.decimals > 0;
        return taken.then_some((
            Unit::Mm,
            "metric wording and a size that is no inch size, so millimetres",
        ));
    }
    None
}

/// System that a unit belongs to.
pub(super) fn system(unit: Unit) -> Option<UnitSystem> {
    match unit {
        Unit::Mm | Unit::Um => Some(UnitSystem::Metric),
        Unit::Inch | Unit::Thou => Some(UnitSystem::Inch),
        Unit::Other(_) => None,
    }
}
