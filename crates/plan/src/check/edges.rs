//! Edges and webs, by superposition: what a solution in two dimensions may not do, whatever made
//! it. Runs no engine.

use casewright_physics::equilibrium::SaturationTable;
use casewright_terms::{Diag, Element, TemperatureStep};

use super::Rule;
use super::sight::Sight;
use crate::outcome::{Edge, EdgeKind, Prediction};

pub(super) const RULES: &[Rule] = &[edge_carbon, web_middle];

/// Room for what superposition leaves out: a diffusivity that rises with carbon, and the hours of
/// heating and cooling. A twentieth of a percent on either side, the doubt of the saturation itself.
const ROOM_WT_PCT: f64 = 0.05;

/// Two faces give an edge more than one, and what is missing to saturation is at an edge at least
/// the product of what is missing at its two faces: exact for a quarter space with one diffusivity,
/// also with a resistance at the surface [crank-1975]. A rounded edge gets less.
fn edge_carbon(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    let Some(steel) = sight.composition() else {
        return;
    };
    let core = steel.get(Element::C).to_wt_pct();
    let Ok(table) = SaturationTable::new(&steel, TemperatureStep::ZERO) else {
        return;
    };
    let full = table.pack(sight.plan.temperature).value.to_wt_pct();
    for edge in p.edges.iter().filter(|e| e.kind == EdgeKind::Corner) {
        let face = p.surface_carbon_wt_pct.mid;
        let missing = ((full - face) / (full - core)).clamp(0.0, 1.0);
        let most = full - (full - core) * missing * missing;
        let there = edge.surface_carbon_wt_pct;
        if there < face - ROOM_WT_PCT || there > most.max(face) + ROOM_WT_PCT {
            found.push(
                Diag::stop(
                    "check-edge-carbon",
                    format!("{}: {there:.2} wt% carbon at the edge.", edge.feature),
                )
                .why(
                    "An edge takes more carbon than its faces and no more than both together give.",
                )
                .accepted(format!("{face:.2} to {most:.2} wt%.")),
            );
        }
    }
}

/// The middle of a web holds no less than one side alone would bring there.
fn web_middle(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(p) = sight.prediction else { return };
    for edge in p.edges.iter().filter(|e| e.kind == EdgeKind::Web) {
        let (Some(least), Some(alone)) = (edge.least_carbon_wt_pct, alone(p, edge)) else {
            continue;
        };
        if least < alone - ROOM_WT_PCT {
            found.push(
                Diag::stop(
                    "check-web-middle",
                    format!("{}: {least:.2} wt% carbon in the middle.", edge.feature),
                )
                .why("One side alone brings more there: the web is more brittle than said.")
                .accepted(format!("{alone:.2} wt% or more.")),
            );
        }
    }
}

/// The profile's carbon at half the web, by straight lines between its points.
fn alone(p: &Prediction, edge: &Edge) -> Option<f64> {
    let half = edge.section.to_mm() / 2.0;
    let (depth, carbon) = (&p.profile.depth_mm, &p.profile.carbon_wt_pct);
    let i = depth.iter().position(|d| *d >= half)?;
    if i == 0 {
        return carbon.first().copied();
    }
    let share = (half - depth[i - 1]) / (depth[i] - depth[i - 1]);
    Some(carbon[i - 1] + share * (carbon[i] - carbon[i - 1]))
}
