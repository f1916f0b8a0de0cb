//! The same for edges and webs.

use casewright_plan::outcome::{Edge, EdgeKind, EdgePicture};
use casewright_terms::Severity::Stop;
use casewright_terms::{Length, Temperature};

use super::fixture::World;
use super::spoilt::{Case, mm};

/// A sharp edge of the pawls, worked out by hand: 0.95 wt% on the face and 1.20 in a fresh pack at
/// 925 °C leave 0.24 of the step missing on the face and 0.06 at the edge, 1.14 wt%.
pub(crate) fn corner() -> Edge {
    Edge {
        feature: "edges".to_owned(),
        kind: EdgeKind::Corner,
        radius: Length::ZERO,
        section: mm(14.0),
        surface_carbon_wt_pct: 1.12,
        face_carbon_wt_pct: 0.95,
        saturation_wt_pct: Some(0.88),
        quenched_from: Some(Temperature::from_c(790.0)),
        carbide_pct: 4.0,
        face_carbide_pct: 1.2,
        retained_austenite_pct: 15.0,
        least_carbon_wt_pct: Some(0.15),
        middle_hardness: None,
        limit_carbon_wt_pct: Some(0.4),
        depth_mid_face: Some(mm(1.12)),
        depth_corner: Some(mm(1.9)),
        broken: None,
        picture: EdgePicture {
            window_mm: [[0.0, 0.0], [3.0, 2.3]],
            outline: Vec::new(),
            lines: Vec::new(),
            ground: Length::ZERO,
        },
    }
}

fn web(w: &mut World, thick_mm: f64, least: f64) {
    let web = Edge {
        feature: "rib".to_owned(),
        kind: EdgeKind::Web,
        section: mm(thick_mm),
        least_carbon_wt_pct: Some(least),
        ..corner()
    };
    w.prediction.edges.push(web);
}

pub(crate) const EDGES: &[Case] = &[
    (
        "check-edge-carbon",
        Stop,
        "an edge poorer than its face",
        |w| {
            w.prediction.edges[0].surface_carbon_wt_pct = 0.85;
        },
    ),
    (
        "check-edge-carbon",
        Stop,
        "an edge richer than two faces make it",
        |w| {
            w.prediction.edges[0].surface_carbon_wt_pct = 1.3;
        },
    ),
    (
        "check-web-middle",
        Stop,
        "a 1.6 mm web with the core's carbon",
        |w| {
            web(w, 1.6, 0.15);
        },
    ),
];
