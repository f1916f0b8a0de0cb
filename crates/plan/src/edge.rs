//! Edges, webs and lands: where carbon enters from two sides, or two cases meet. Chooses the
//! sections of a part that a profile against depth cannot speak for, has each simulated in two
//! dimensions with the plan's own cycle and pack, and reads off what the sheet and the findings
//! need. It judges nothing (see `findings`) and knows no thread: its crests need a section of
//! their own.

mod findings;
mod picture;
mod read;

pub(crate) use findings::{Judge, judge};
pub(crate) use read::Case;

use casewright_job::spec::{Feature, FeatureKind, Part, PartShape};
use casewright_physics::run::Failure;
use casewright_physics::setup::{Face, KeywayBody, PlaneSection};
use casewright_terms::{Length, SourceKey};
use rayon::prelude::*;

use crate::outcome::{Edge, EdgeKind};
use crate::setup;

/// Sections of one part that are simulated: a part with more kinds of places than that is read
/// off the worst of them.
const MOST_SPOTS: usize = 8;

/// A place of the part and the section that stands for it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Spot {
    /// What it is called on the sheet.
    pub(crate) feature: String,
    /// What kind of place.
    pub(crate) kind: EdgeKind,
    /// Radius of its outer edge.
    pub(crate) radius: Length,
    /// The least steel between two surfaces there.
    pub(crate) section: Length,
    /// The cut.
    pub(crate) cut: PlaneSection,
    /// Whether the body itself, and not something cut into it.
    pub(crate) body: bool,
}

/// What the sections gave.
#[derive(Clone, Debug, Default)]
pub(crate) struct Edges {
    /// Each place, the body's own edge first.
    pub(crate) seen: Vec<(Spot, Edge)>,
    /// Places whose run did not settle.
    pub(crate) failed: Vec<(Spot, Failure)>,
    /// Places left out because there are too many.
    pub(crate) left_out: usize,
    /// Remarks of the engine that those of the one-dimensional run do not hold.
    pub(crate) remarks: Vec<casewright_terms::Remark>,
    /// Sources of the engine.
    pub(crate) sources: Vec<SourceKey>,
}

/// Simulates every place of a part.
pub(crate) fn look(part: &Part, case: &Case<'_>) -> Edges {
    let mut spots = spots(part);
    let left_out = spots.len().saturating_sub(MOST_SPOTS);
    spots.truncate(MOST_SPOTS);
    let runs: Vec<_> = spots
        .into_par_iter()
        .map(|spot| {
            let result = case.forecast(&spot);
            (spot, result)
        })
        .collect();
    let mut edges = Edges {
        left_out,
        ..Edges::default()
    };
    for (spot, result) in runs {
        match result {
            Ok(seen) => {
                edges.remarks.extend(seen.remarks);
                edges.sources.extend(seen.sources);
                edges.seen.push((spot, seen.edge));
            }
            Err(why) => edges.failed.push((spot, why)),
        }
    }
    edges
}

/// The places of a part, the body's own edge first; places with the same section are one.
pub(crate) fn spots(part: &Part) -> Vec<Spot> {
    let mut list: Vec<Spot> = Vec::new();
    let mut add = |spot: Spot| match list
        .iter_mut()
        .find(|s| s.cut == spot.cut && s.kind == spot.kind)
    {
        Some(same) => same.feature = format!("{}, {}", same.feature, spot.feature),
        None => list.push(spot),
    };
    let radius = part.edge_radius.unwrap_or(Length::ZERO);
    if let Some(spot) = body_edge(part.shape, "edges", radius) {
        add(Spot { body: true, ..spot });
    }
    let cased = part.features.iter().filter(|feature| !feature.stays_soft);
    for feature in cased {
        for spot in of_feature(part.shape, feature, radius) {
            add(spot);
        }
    }
    list
}

/// The edge around a flat face, or around the end of a round body: there the curvature along the
/// edge is left out, which is small against the case for all but the thinnest pins.
fn body_edge(shape: PartShape, name: &str, radius: Length) -> Option<Spot> {
    let section = match shape {
        PartShape::Sphere { .. } => return None,
        other => setup::section(other),
    };
    Some(Spot {
        feature: name.to_owned(),
        kind: EdgeKind::Corner,
        radius,
        section,
        cut: plate_edge(section, radius),
        body: false,
    })
}

fn plate_edge(thickness: Length, radius: Length) -> PlaneSection {
    PlaneSection::PlateEdge {
        thickness,
        corner_radius: radius.min(thickness * 0.5),
        end: Face::Treated,
        flats: [Face::Treated; 2],
    }
}

/// What a feature adds: its own edge, and the steel that it leaves.
fn of_feature(shape: PartShape, feature: &Feature, radius: Length) -> Vec<Spot> {
    let mut list = Vec::new();
    let name = feature.name.clone();
    match feature.kind {
        FeatureKind::SharpCorner => {
            let own = feature.radius.unwrap_or(Length::ZERO);
            list.extend(body_edge(shape, &name, own));
        }
        FeatureKind::Keyway => {
            if let (Some(width), Some(depth)) = (feature.width, feature.depth)
                && let Some(cut) = keyway(shape, width, depth, feature.radius)
            {
                list.push(Spot {
                    feature: name.clone(),
                    kind: EdgeKind::Keyway,
                    radius: Length::ZERO,
                    section: setup::section(shape) - depth,
                    cut,
                    body: false,
                });
            }
        }
        FeatureKind::Bore | FeatureKind::BlindHole | FeatureKind::Thread | FeatureKind::ThinWeb => {
        }
    }
    let Some(web) = feature.web else {
        return list;
    };
    let hole = matches!(feature.kind, FeatureKind::Bore | FeatureKind::BlindHole);
    let (kind, cut) = match (hole, feature.diameter, feature.depth) {
        (true, Some(diameter), _) => (
            EdgeKind::Wall,
            PlaneSection::BoreNearWall {
                diameter,
                wall: web,
                bore: Face::Treated,
                surface: Face::Treated,
            },
        ),
        (false, _, Some(height)) if feature.kind == FeatureKind::ThinWeb => (
            EdgeKind::Web,
            PlaneSection::Web {
                thickness: web,
                height,
                // Half the height at most, so that foot and tip keep clear of one another.
                fillet: feature.radius.unwrap_or(Length::ZERO).min(height * 0.5),
                tip_radius: radius.min(web * 0.5).min(height * 0.4),
                tip: Face::Treated,
                sides: Face::Treated,
                floor: Face::Treated,
            },
        ),
        _ => (EdgeKind::Web, plate_edge(web, radius)),
    };
    list.push(Spot {
        feature: name,
        kind,
        radius,
        section: web,
        cut,
        body: false,
    });
    list
}

fn keyway(
    shape: PartShape,
    width: Length,
    depth: Length,
    fillet: Option<Length>,
) -> Option<PlaneSection> {
    let body = match shape {
        // A slot as deep as the axis is no keyway; across more than half the bar neither.
        PartShape::Bar { diameter, .. } => {
            if depth >= diameter * 0.5 || width >= diameter * 0.5 {
                return None;
            }
            KeywayBody::Round { diameter }
        }
        PartShape::Sphere { .. } => return None,
        PartShape::Plate { .. } | PartShape::Tube { .. } | PartShape::Block { .. } => {
            KeywayBody::Flat
        }
    };
    Some(PlaneSection::Keyway {
        body,
        width,
        depth,
        fillet: fillet.unwrap_or(Length::ZERO).min(width * 0.5).min(depth),
        outside: Face::Treated,
        slot: Face::Treated,
    })
}
