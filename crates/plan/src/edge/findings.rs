//! What edges, webs and lands have to say to the people who make the part.

use casewright_job::spec::Spec;
use casewright_terms::{Diag, Length};

use super::{Edges, Spot};
use crate::evaluate::TOTAL_DEPTH_OVER_CORE_WT_PCT;
use crate::gate;
use crate::outcome::{Edge, EdgeKind};

/// Over this carbides can join into a network on slow cooling in the box. [trade-practice]
pub(super) const NETWORK_WT_PCT: f64 = 1.1;
/// An edge is spoken of where it holds this much more undissolved carbide than its face: a class of
/// the usual charts of carbide, below which nobody tells two fields apart. [trade-practice]
const MORE_CARBIDE_PCT: f64 = 1.0;

/// What the findings need beside the runs.
pub(crate) struct Judge<'a> {
    pub(crate) spec: &'a Spec,
    /// Core carbon, wt%.
    pub(crate) core_wt_pct: f64,
    /// Depth to core carbon + 0.04 wt% on the face.
    pub(crate) total_depth: Option<Length>,
}

/// The findings of all places.
pub(crate) fn judge(edges: &Edges, with: &Judge<'_>) -> Vec<Diag> {
    let mut list = Vec::new();
    for (spot, edge) in &edges.seen {
        list.extend(over_carburized(edge, with));
        if !spot.body && edge.kind != EdgeKind::Corner {
            list.extend(web(spot, edge, with));
        }
    }
    for (spot, why) in &edges.failed {
        list.push(
            Diag::warn(
                "edge-not-computed",
                format!(
                    "The carbon at {} could not be computed: {why}.",
                    spot.feature
                ),
            )
            .why("Whether the edge takes too much carbon, or two cases meet there, is not known.")
            .accepted(
                "Correct its sizes, or look at an etched cut of a coupon with the same edge.",
            ),
        );
        // Without the run the plain share of the section speaks, as strictly as for the body.
        if !spot.body
            && let Some(total) = with.total_depth
        {
            list.extend(gate::share_of(total, spot.section, &spot.feature));
        }
    }
    if edges.left_out > 0 {
        list.push(
            Diag::warn(
                "edges-left-out",
                format!("{} more places were not looked at.", edges.left_out),
            )
            .why("Each takes a run of its own.")
            .accepted("Name the thinnest webs and the sharpest edges first in the job file."),
        );
    }
    list
}

/// Carbon at an edge that no austenite of the last heat holds.
fn over_carburized(edge: &Edge, with: &Judge<'_>) -> Option<Diag> {
    let (saturation, from) = (edge.saturation_wt_pct?, edge.quenched_from?);
    let there = edge.surface_carbon_wt_pct;
    let more_carbide = edge.carbide_pct - edge.face_carbide_pct;
    if there <= saturation || (there <= NETWORK_WT_PCT && more_carbide < MORE_CARBIDE_PCT) {
        return None;
    }
    let units = with.spec.units;
    let radius = if edge.radius > Length::ZERO {
        format!("broken {}", edge.radius.depth_text_both(units))
    } else {
        "sharp".to_owned()
    };
    let seen = format!(
        "{} ({radius}): {there:.2} wt% carbon at the edge, {:.2} wt% on the face; {} dissolves {saturation:.2} wt%, so {:.1} % carbide stays there ({:.1} % on the face).",
        capital(&edge.feature),
        edge.face_carbon_wt_pct,
        from.text_both(units),
        edge.carbide_pct,
        edge.face_carbide_pct,
    );
    let help = match edge.broken {
        Some((radius, carbon)) => format!(
            "Break it to a radius of {} {}before packing: {carbon:.2} wt% then; or less fresh compound, or a last soak at lower temperature.",
            radius.depth_text_both(units),
            if carbon > NETWORK_WT_PCT {
                "at least "
            } else {
                ""
            }
        ),
        None => {
            "Round the edge more, stop off one of its faces, or use less fresh compound.".to_owned()
        }
    };
    let diag = if there > NETWORK_WT_PCT {
        Diag::warn("edge-over-carburized", seen).why(
            "Over about 1.1 wt% carbides join into a network: the edge chips, and cracks in grinding.",
        )
    } else {
        Diag::note("edge-over-carburized", seen)
            .why("Carbide left in the edge makes it hard and brittle.")
    };
    Some(diag.accepted(help))
}

/// Two cases that meet in a web or a wall that a feature leaves.
fn web(spot: &Spot, edge: &Edge, with: &Judge<'_>) -> Option<Diag> {
    let least = edge.least_carbon_wt_pct?;
    let units = with.spec.units;
    let total = with.total_depth?;
    let share = total / spot.section;
    let hardness = edge
        .middle_hardness
        .map(|hv| format!(", about {:.0} HV after the temper", hv.to_hv()))
        .unwrap_or_default();
    let seen = format!(
        "{} ({} thick): {least:.2} wt% carbon in the middle{hardness}; the core has {:.2} wt%. The total case of the face is {} per side, {:.0} % of it.",
        capital(&edge.feature),
        spot.section.depth_text_both(units),
        with.core_wt_pct,
        total.depth_text_both(units),
        100.0 * share,
    );
    let wanted = (total * 4.0).size_text(units);
    let help = format!(
        "Stop off one side, leave the web {wanted} thick or more and machine it after the box, or ask for a shallower case."
    );
    let through = edge.limit_carbon_wt_pct.is_some_and(|limit| least >= limit);
    if through {
        return Some(
            Diag::stop("web-through-carburized", seen)
                .why("It is case from side to side: no depth can be measured there, and it breaks like glass.")
                .accepted(help),
        );
    }
    if least > with.core_wt_pct + TOTAL_DEPTH_OVER_CORE_WT_PCT || share > gate::SECTION_STOP {
        return Some(
            Diag::warn("web-cases-meet", seen)
                .why("Between the two cases little or no tough core is left: the web is brittle.")
                .accepted(help),
        );
    }
    (share > gate::SECTION_WARN).then(|| {
        Diag::warn("case-deep-for-section", seen)
            .why("Above a sixth per side little tough core is left.")
            .accepted("Ask whether a shallower case would do.")
    })
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    let head: String = letters
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    format!("{head}{}", letters.as_str())
}
