//! Case depth from hardness readings.
//!
//! **What** The depth at which a hardness traverse falls to the limit, by interpolation.
//!
//! **Equation** CHD = d₁ + (d₂ − d₁) (H₁ − HG) / (H₁ − H₂).
//!
//! **Symbols** d₁ < d₂ depths per side (m), H₁ ≥ HG > H₂ hardness there (HV, each the mean of its
//! readings), HG limit hardness (HV).
//!
//! **Source** `iso-18203`, annex A (contents seen; rules recalled, not re-read). 550 HV is its limit;
//! 50 HRC = 513 HV is that of `sae-j423`.
//!
//! **Valid for** Depth over 0.3 mm, d₂ − d₁ to 0.3 mm, core at three times the depth below 450 HV;
//! otherwise a remark. A harder core takes a limit raised in steps of 25 HV, by agreement.
//!
//! **Weak where** One traverse is one line through one part. A soft skin (decarburised, or much
//! austenite) starts below the limit: the depth is then counted from where the case holds.
//!
//! **Checked by** `val_worked_interpolation`, `traverse_reads_the_same_as_two_points`,
//! `a_soft_skin_is_said`, row `case-depth-1`.

use casewright_terms::{Length, Remark, Valued, Vickers};

#[cfg(test)]
mod tests;

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 2] = ["iso-18203", "sae-j423"];

/// Limit hardness where the note gives none. [iso-18203]
pub const LIMIT_ISO_HV: f64 = 550.0;
/// 50 HRC by the conversion table. [sae-j423], [astm-e140]
pub const LIMIT_50_HRC_HV: f64 = 513.0;
/// A core at least this hard spoils the usual limit. [iso-18203]
const CORE_LIMIT_HV: f64 = 450.0;
/// Steps in which the limit is raised. [iso-18203]
const LIMIT_STEP_HV: f64 = 25.0;
/// Smallest depth the standard covers.
const LEAST_DEPTH_MM: f64 = 0.3;
/// Largest distance of the two depths.
const MOST_GAP_MM: f64 = 0.3;
/// Fewest readings at each of the two depths of the interpolation method.
pub const READINGS_PER_DEPTH: usize = 5;

/// One depth of a traverse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TraversePoint {
    /// Depth from the surface.
    pub depth: Length,
    /// Hardness there.
    pub hardness: Vickers,
}

/// What a traverse says about the depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DepthFound {
    /// The limit is crossed here.
    At(Length),
    /// The last point still holds the limit: the depth is at least this.
    AtLeast(Length),
    /// No point reaches the limit.
    None,
}

/// Why readings give no depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TraverseProblem {
    /// Fewer than two points.
    #[error("a traverse needs at least two depths")]
    TooFew,
    /// Two depths are the same or in falling order.
    #[error("depths must rise from point to point")]
    NotRising,
    /// The two readings do not enclose the limit.
    #[error("the first reading must hold the limit and the second lie below it")]
    NotEnclosing,
}

/// Depth by interpolation between two depths that enclose the limit.
///
/// # Errors
/// When the depths do not rise or the readings do not enclose the limit.
pub fn between(
    shallow: TraversePoint,
    deep: TraversePoint,
    limit: Vickers,
) -> Result<Valued<Length>, TraverseProblem> {
    if deep.depth <= shallow.depth {
        return Err(TraverseProblem::NotRising);
    }
    if shallow.hardness < limit || deep.hardness >= limit {
        return Err(TraverseProblem::NotEnclosing);
    }
    let gap = deep.depth - shallow.depth;
    // [iso-18203] annex A
    let share = (shallow.hardness - limit) / (shallow.hardness - deep.hardness);
    let depth = shallow.depth + gap * share;
    let mut remarks = Vec::new();
    // A micrometre of room: the depths come from decimal text.
    if gap.to_um() > MOST_GAP_MM * 1000.0 + 1.0 {
        remarks.push(Remark::new(
            "case-depth-wide-gap",
            format!(
                "The two depths lie {:.2} mm apart; the standard allows {MOST_GAP_MM} mm.",
                gap.to_mm()
            ),
        ));
    }
    if depth.to_mm() < LEAST_DEPTH_MM {
        remarks.push(Remark::new(
            "case-depth-thin",
            format!(
                "{:.2} mm is below the {LEAST_DEPTH_MM} mm from which the standard holds.",
                depth.to_mm()
            ),
        ));
    }
    Ok(Valued {
        value: depth,
        remarks,
    })
}

/// Depth of the case from a traverse, shallow to deep: the first crossing after the case begins to
/// hold the limit.
///
/// # Errors
/// When there are fewer than two points or the depths do not rise.
pub fn from_traverse(
    points: &[TraversePoint],
    limit: Vickers,
) -> Result<Valued<DepthFound>, TraverseProblem> {
    if points.len() < 2 {
        return Err(TraverseProblem::TooFew);
    }
    if points.windows(2).any(|pair| pair[1].depth <= pair[0].depth) {
        return Err(TraverseProblem::NotRising);
    }
    let mut remarks = Vec::new();
    let Some(first) = points.iter().position(|p| p.hardness >= limit) else {
        return Ok(Valued::inside(DepthFound::None));
    };
    if first > 0 {
        remarks.push(Remark::new(
            "case-depth-soft-skin",
            format!(
                "The skin reads {:.0} HV, below the limit, down to {:.2} mm; the depth is counted \
                 to where the case ends, from the surface.",
                points[0].hardness.to_hv(),
                points[first].depth.to_mm()
            ),
        ));
    }
    let end = points[first..]
        .windows(2)
        .find(|pair| pair[1].hardness < limit);
    let found = match end {
        Some(pair) => DepthFound::At(between(pair[0], pair[1], limit)?.into_value(&mut remarks)),
        None => DepthFound::AtLeast(points[points.len() - 1].depth),
    };
    if let DepthFound::At(depth) = found {
        remarks.extend(returns(points, depth, limit));
        remarks.extend(core_remark(points, depth));
    }
    Ok(Valued {
        value: found,
        remarks,
    })
}

/// The limit hardness for a core of this hardness: 550 HV, or raised in steps of 25 HV where the core
/// is at 450 HV or more. A raised limit needs agreement.
#[must_use]
pub fn limit_for_core(core: Vickers) -> Valued<Vickers> {
    let usual = Vickers::from_hv(LIMIT_ISO_HV);
    if core.to_hv() < CORE_LIMIT_HV {
        return Valued::inside(usual);
    }
    let steps = ((core.to_hv() + LIMIT_STEP_HV - LIMIT_ISO_HV) / LIMIT_STEP_HV)
        .ceil()
        .max(1.0);
    let raised = LIMIT_ISO_HV + steps * LIMIT_STEP_HV;
    Valued::with(
        Vickers::from_hv(raised),
        Remark::new(
            "case-depth-hard-core",
            format!(
                "The core at {:.0} HV is not below {CORE_LIMIT_HV} HV; a limit of {raised:.0} HV \
                 needs agreement.",
                core.to_hv()
            ),
        ),
    )
}

/// Says where the traverse rises above the limit again: an odd point, or a band.
fn returns(points: &[TraversePoint], depth: Length, limit: Vickers) -> Option<Remark> {
    let again = points
        .iter()
        .find(|p| p.depth > depth && p.hardness >= limit)?;
    Some(Remark::new(
        "case-depth-returns",
        format!(
            "At {:.2} mm the hardness is back above the limit; look for a wrong indent or a band.",
            again.depth.to_mm()
        ),
    ))
}

/// Says that the core is too hard, or not measured, at three times the depth.
fn core_remark(points: &[TraversePoint], depth: Length) -> Option<Remark> {
    let core = points.iter().find(|p| p.depth >= depth * 3.0);
    match core {
        None => Some(Remark::new(
            "case-depth-core-not-read",
            "No reading at three times the depth: the core's hardness is not shown.",
        )),
        Some(point) => limit_for_core(point.hardness).remarks.into_iter().next(),
    }
}
