//! Whether features and stock fit the body they are cut into or ground off.

use casewright_terms::{Diag, Length, UnitSystem};

use crate::draft::Draft;
use crate::spec::{FeatureKind, PartShape};

pub(super) fn check(draft: &Draft, diags: &mut Vec<Diag>) {
    let Some((shape, place)) = draft
        .part
        .as_ref()
        .and_then(|part| Some((part.shape?, part.place.clone())))
    else {
        return;
    };
    let body = Body::of(shape);
    let both = |length: Length| length.depth_text_both(UnitSystem::Metric);
    for at in &draft.features {
        let feature = &at.value;
        let hole = matches!(feature.kind, FeatureKind::Bore | FeatureKind::BlindHole);
        if let Some(diameter) = feature.diameter {
            let too_big = if hole {
                diameter >= body.widest_hole
            } else {
                diameter > body.widest_hole
            };
            if too_big {
                diags.push(
                    Diag::stop(
                        "feature-larger-than-part",
                        format!(
                            "The {} of {} does not fit a part {} across.",
                            feature.name,
                            both(diameter),
                            both(body.widest_hole)
                        ),
                    )
                    .why("Nothing would be left to harden, or a unit has slipped.")
                    .accepted("Correct the diameter or the part's sizes.")
                    .at(at.place.clone())
                    .also(place.clone(), "the part"),
                );
            }
        }
        if let Some(web) = feature.web
            && web >= body.longest
        {
            diags.push(
                Diag::stop(
                    "feature-larger-than-part",
                    format!(
                        "The {} leaves {}, more than the whole part.",
                        feature.name,
                        both(web)
                    ),
                )
                .why("The thinnest wall bounds the depth of case; this one is none.")
                .accepted("Give the least wall that is left.")
                .at(at.place.clone())
                .also(place.clone(), "the part"),
            );
        }
        if let Some(web) = feature.web
            && web > body.section
            && web < body.longest
        {
            diags.push(
                Diag::warn(
                    "web-over-section",
                    format!(
                        "The {} leaves {}, more than the {} of the body itself.",
                        feature.name,
                        both(web),
                        both(body.section)
                    ),
                )
                .why("The body is the thinner place then, and the web says nothing; or a unit has slipped.")
                .accepted("Give the least wall that is left, or leave the web away.")
                .at(at.place.clone())
                .also(place.clone(), "the part"),
            );
        }
        if let Some(length) = feature.length
            && length.to_m() > body.longest.to_m() * (1.0 + 1e-9)
        {
            diags.push(
                Diag::warn(
                    "feature-longer-than-part",
                    format!(
                        "The {} is {} long, the part {}.",
                        feature.name,
                        both(length),
                        both(body.longest)
                    ),
                )
                .accepted("Correct one of the two.")
                .at(at.place.clone())
                .also(place.clone(), "the part"),
            );
        }
    }
    if let Some(edges) = draft.part.as_ref().and_then(|part| part.edges.as_ref())
        && edges.value.to_m() > body.section.to_m() / 2.0
    {
        diags.push(
            Diag::stop(
                "edges-over-section",
                format!(
                    "Edges of {} are rounder than half the section of {}.",
                    both(edges.value),
                    both(body.section)
                ),
            )
            .why("There is not so much steel to round off; a unit has slipped, or the shape is another.")
            .accepted("Half the section at most.")
            .at(edges.place.clone())
            .also(place.clone(), "the part"),
        );
    }
    for at in &draft.stock {
        let ground = at.value.per_side + at.value.bow;
        if ground.to_m() >= body.section.to_m() / 2.0 {
            diags.push(
                Diag::stop(
                    "stock-whole-section",
                    format!(
                        "Stock and bow on {} come to {} per side, half the section of {} or more.",
                        at.value.face,
                        both(ground),
                        both(body.section)
                    ),
                )
                .why("The whole case and the part with it would be ground away.")
                .accepted("Check the unit, and whether the stock is meant on the diameter.")
                .at(at.place.clone())
                .also(place.clone(), "the part"),
            );
        }
    }
    if let PartShape::Bar { diameter, length } = shape
        && length < diameter
    {
        diags.push(
            Diag::warn("bar-is-disc", "The bar is shorter than it is thick.")
                .why("A disc is cased from its two flat faces first; reckoned as a bar its core would come out too soft a guess.")
                .accepted("Write shape = \"plate\" with the disc's height as thickness.")
                .at(place),
        );
    }
}

/// The few lengths that bound what can be cut into a body.
struct Body {
    /// Thickness of the steel that the case eats into from two sides.
    section: Length,
    /// A hole must be less than this.
    widest_hole: Length,
    longest: Length,
}

impl Body {
    fn of(shape: PartShape) -> Self {
        match shape {
            PartShape::Plate {
                thickness,
                width,
                length,
            } => Self {
                section: thickness,
                widest_hole: width.min(length),
                longest: width.max(length),
            },
            PartShape::Bar { diameter, length } => Self {
                section: diameter,
                widest_hole: diameter,
                longest: diameter.max(length),
            },
            PartShape::Tube {
                outer,
                inner,
                length,
            } => Self {
                section: (outer - inner) / 2.0,
                widest_hole: outer,
                longest: outer.max(length),
            },
            PartShape::Sphere { diameter } => Self {
                section: diameter,
                widest_hole: diameter,
                longest: diameter,
            },
            // A hole may go through any way; along the least side it meets the two others.
            PartShape::Block { a, b, c } => Self {
                section: a,
                widest_hole: b,
                longest: c,
            },
        }
    }
}
