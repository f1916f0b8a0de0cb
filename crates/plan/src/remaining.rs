//! The soak that is left once the pack is hot: the moment is known then, and what came in while it
//! heated is known with it.

use casewright_physics::numerics::fun;
use casewright_physics::run::Failure;
use casewright_terms::{Band, Diag, Length, Span};

use crate::follow::{Followed, bed_at};
use crate::recipe::Departure;

/// Soaks are told to five minutes: nobody pulls a box to the minute.
pub(crate) const STEP_MIN: f64 = 5.0;
/// The longest soak that is looked for.
pub(crate) const MOST_H: f64 = 40.0;
/// A depth is right when it is this near: a fifth of what five minutes make.
const NEAR_MM: f64 = 0.001;
/// Tries on the root of the time; three are the rule.
const TRIES: usize = 10;

/// What is left.
#[derive(Clone, Debug, PartialEq)]
pub struct Remaining {
    /// From loading to hot as planned.
    pub planned_hot_after: Band<Span>,
    /// Soak as planned, from when the pack is hot.
    pub planned_soak: Span,
    /// Depth that the planned soak gives with the heat-up as it was, before grinding.
    pub depth_with_planned: Length,
    /// The planned soak, moved by what the heat-up as it was changed of the depth.
    pub soak: Span,
    /// Depth that it gives.
    pub depth: Length,
    /// What there is to say.
    pub findings: Vec<Diag>,
}

/// The soak from when the pack was hot, `hot_after` loading.
///
/// # Errors
/// What physics could not do.
pub fn remaining(followed: &Followed<'_>, hot_after: Span) -> Result<Remaining, Failure> {
    let band = hot_band(followed);
    let departure = Departure {
        bed: bed_at(followed.bed_for(hot_after)),
        ..Departure::NONE
    };
    let planned_soak = followed.kit.way.soak;
    // The plan's soak stands on a round number of its own; it is moved by what the heat-up changed.
    let moved = soak_to_aim(followed, &departure)? - soak_to_aim(followed, &Departure::NONE)?;
    let soak = rounded((planned_soak + moved).max(Span::ZERO));
    Ok(Remaining {
        planned_hot_after: band,
        planned_soak,
        depth_with_planned: depth_of(followed, &departure, planned_soak)?,
        soak,
        depth: depth_of(followed, &departure, soak)?,
        findings: findings(hot_after, band, soak),
    })
}

fn depth_of(followed: &Followed<'_>, departure: &Departure, soak: Span) -> Result<Length, Failure> {
    let heat = followed.heat(departure, soak)?;
    followed.depth(departure, &heat)
}

/// The soak that makes the depth aimed at, by interpolating on the root of time.
fn soak_to_aim(followed: &Followed<'_>, departure: &Departure) -> Result<Span, Failure> {
    let (planned, aim) = (followed.kit.way.soak, followed.kit.chain.aim);
    let mut at = (
        fun::sqrt(planned.to_h().max(0.1)),
        depth_of(followed, departure, planned)?,
    );
    let mut before: Option<(f64, Length)> = None;
    for _ in 0..TRIES {
        let miss = at.1 - aim;
        if miss.to_mm().abs() < NEAR_MM {
            break;
        }
        let slope = before
            .map(|(root, depth)| (at.1 - depth).to_mm() / (at.0 - root))
            .filter(|slope| *slope > 1e-3)
            // Depth over the root of the whole time: the first slope is what the case has grown by.
            .unwrap_or_else(|| (at.1.to_mm() / at.0).max(0.05));
        let next = (at.0 - miss.to_mm() / slope).clamp(0.0, fun::sqrt(MOST_H));
        if (next - at.0).abs() < 1e-3 {
            break;
        }
        before = Some(at);
        at = (
            next,
            depth_of(followed, departure, Span::from_h(next * next))?,
        );
    }
    Ok(Span::from_h(at.0 * at.0))
}

/// To the five minutes.
pub(crate) fn rounded(soak: Span) -> Span {
    Span::from_min((soak.to_min() / STEP_MIN).round() * STEP_MIN)
}

fn hot_band(followed: &Followed<'_>) -> Band<Span> {
    let planned = followed.planned.heat.hot_after;
    let at = |z: f64| {
        let departure = Departure {
            bed: bed_at(z),
            ..Departure::NONE
        };
        followed
            .recipe
            .heat(&departure)
            .map_or(planned, |heat| heat.hot_after)
    };
    Band {
        low: at(1.0).min(planned),
        mid: planned,
        high: at(-1.0).max(planned),
    }
}

fn findings(hot_after: Span, band: Band<Span>, soak: Span) -> Vec<Diag> {
    let mut list = Vec::new();
    let told = |side: &str| {
        format!(
            "The pack was hot after {}; the plan expected {} to {}: {side}.",
            hot_after.text(),
            band.low.text(),
            band.high.text()
        )
    };
    if hot_after > band.high {
        list.push(
            Diag::warn("hot-late", told("late"))
                .why("A damp or spent bed, a weak element or a couple on the wall all look like this, and the first two make the case shallower than the clock says.")
                .accepted("Look at the furnace's own reading and the current; pull a coupon before the end of the soak."),
        );
    }
    if hot_after < band.low {
        list.push(
            Diag::warn("hot-early", told("early"))
                .why("A couple that is not in the pack, or off the steel near the wall, reads hot before the parts are.")
                .accepted("Look where the couple sits; count the soak from the plan's time where it is not in the bed."),
        );
    }
    if soak <= Span::ZERO {
        list.push(
            Diag::warn(
                "soak-none-left",
                "The depth was made while the pack heated: no soak is left.",
            )
            .accepted("Pull the box now."),
        );
    }
    list
}
