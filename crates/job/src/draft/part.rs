//! The part, what is cut into it, and what will be ground off it.

use casewright_terms::{Diag, Length, Place};

use super::Draft;
use crate::spec::{Feature, FeatureKind, PartShape, Stock};
use crate::text::{At, Scribe, Section};
use crate::units::Written;

pub(super) const PART_KEYS: &[&str] = &[
    "what",
    "shape",
    "thickness",
    "width",
    "length",
    "diameter",
    "outer",
    "inner",
    "edges",
];
pub(super) const FEATURE_KEYS: &[&str] = &[
    "kind",
    "name",
    "diameter",
    "web",
    "width",
    "depth",
    "radius",
    "length",
    "stays_soft",
];
pub(super) const STOCK_KEYS: &[&str] = &["face", "per_side", "on_diameter", "bow"];

/// The part as written.
#[derive(Clone, Debug)]
pub(crate) struct PartDraft {
    pub(crate) what: Option<String>,
    pub(crate) shape: Option<PartShape>,
    /// Radius of the body's edges, with its place.
    pub(crate) edges: Option<At<Length>>,
    /// Where the shape's sizes stand: the header of the section.
    pub(crate) place: Place,
}

/// Shapes, with the sizes each one has.
#[derive(Clone, Copy)]
enum Body {
    Plate,
    Bar,
    Tube,
    Sphere,
    Block,
}

const BODIES: &[(&str, Body)] = &[
    ("plate", Body::Plate),
    ("bar", Body::Bar),
    ("tube", Body::Tube),
    ("sphere", Body::Sphere),
    ("block", Body::Block),
];

const KINDS: &[(&str, FeatureKind)] = &[
    ("bore", FeatureKind::Bore),
    ("blind hole", FeatureKind::BlindHole),
    ("thin web", FeatureKind::ThinWeb),
    ("thread", FeatureKind::Thread),
    ("keyway", FeatureKind::Keyway),
    ("sharp corner", FeatureKind::SharpCorner),
];

/// The word for a kind of feature, as files spell it.
pub(crate) fn kind_word(kind: FeatureKind) -> &'static str {
    KINDS
        .iter()
        .find(|(_, known)| *known == kind)
        .map_or("feature", |(word, _)| word)
}

pub(super) fn read(draft: &mut Draft, scribe: &mut Scribe<'_>, top: &Section<'_>) {
    match scribe.sub(top, "part", "[part]", PART_KEYS) {
        Some(section) => part(draft, scribe, &section),
        None => scribe.missing(
            top,
            "part",
            "Depth, quench and hardness all hang on shape and section.",
            "a [part] section with what, shape and sizes",
        ),
    }
    for section in scribe.list(top, "feature", "[[feature]]", FEATURE_KEYS) {
        feature(draft, scribe, &section);
    }
    for section in scribe.list(top, "stock", "[[stock]]", STOCK_KEYS) {
        stock(draft, scribe, &section);
    }
}

fn part(draft: &mut Draft, scribe: &mut Scribe<'_>, section: &Section<'_>) {
    let what = scribe.line(section, "what");
    if what.is_none() {
        scribe.missing(
            section,
            "what",
            "The run sheet names the parts in the shop's words.",
            "what = \"ratchet pawl\"",
        );
    }
    let body = scribe.choice(section, "shape", BODIES);
    if body.is_none() {
        scribe.missing(
            section,
            "shape",
            "Carbon and cold reach the middle of a bar otherwise than that of a plate.",
            "shape = \"plate\" (or \"bar\", \"tube\", \"sphere\", \"block\"), the one nearest to the part",
        );
    }
    let shape = body.and_then(|body| shape(draft, scribe, section, body.value));
    let edges = edges(draft, scribe, section);
    if !section.has("edges") && shape.is_some_and(|s| !matches!(s, PartShape::Sphere { .. })) {
        draft
            .defaults
            .push("The edges are taken as sharp: edges is not given.".to_owned());
    }
    draft.part = Some(PartDraft {
        what: what.map(|at| at.value),
        shape,
        edges,
        place: scribe.place(section.header.clone()),
    });
}

/// The radius to which the body's edges are broken.
fn edges(draft: &mut Draft, scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<Length>> {
    let size = scribe.measure::<Length>(section, "edges");
    note_unit(draft, size.as_ref());
    radius(scribe, "edges", size?)
}

/// A radius, from sharp to what no longer is an edge.
fn radius(scribe: &mut Scribe<'_>, key: &str, at: At<Written<Length>>) -> Option<At<Length>> {
    let most = Length::from_mm(50.0);
    scribe.within(
        key,
        at,
        (Length::ZERO, most),
        "A radius from 0 (sharp) to 50 mm",
        "Carbon enters a sharp edge from two faces; how far it is rounded decides how much gathers there.",
    )
}

fn shape(
    draft: &mut Draft,
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    body: Body,
) -> Option<PartShape> {
    let (name, keys): (&str, &[&str]) = match body {
        Body::Plate => ("A plate", &["thickness", "width", "length"]),
        Body::Bar => ("A bar", &["diameter", "length"]),
        Body::Tube => ("A tube", &["outer", "inner", "length"]),
        Body::Sphere => ("A sphere", &["diameter"]),
        Body::Block => ("A block", &["thickness", "width", "length"]),
    };
    for key in PART_KEYS {
        let of_all: &[&str] = match body {
            Body::Sphere => &["what", "shape"],
            _ => &["what", "shape", "edges"],
        };
        if !keys.contains(key) && !of_all.contains(key) && section.has(key) {
            scribe.push_at(
                Diag::stop("size-not-of-shape", format!("{name} has no {key}."))
                    .why("Either the shape or the size is wrong, and the case is reckoned from both.")
                    .accepted(format!("Its sizes are {}.", keys.join(", "))),
                Scribe::key_span(section, key),
            );
        }
    }
    let sizes: Vec<Option<At<Length>>> = keys
        .iter()
        .map(|key| {
            let size = scribe.measure::<Length>(section, key);
            if size.is_none() {
                let example = format!("{key} = \"14 mm\" or \"0.750 in\"");
                scribe.missing(
                    section,
                    key,
                    "The section decides how deep a case it bears.",
                    &example,
                );
            }
            note_unit(draft, size.as_ref());
            size.and_then(|at| scribe.size(key, at))
        })
        .collect();
    let sizes: Option<Vec<At<Length>>> = sizes.into_iter().collect();
    let sizes = sizes?;
    match body {
        Body::Plate => plate(scribe, &sizes),
        Body::Block => {
            let mut sides = [sizes[0].value, sizes[1].value, sizes[2].value];
            sides.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
            let [a, b, c] = sides;
            Some(PartShape::Block { a, b, c })
        }
        Body::Bar => Some(PartShape::Bar {
            diameter: sizes[0].value,
            length: sizes[1].value,
        }),
        Body::Sphere => Some(PartShape::Sphere {
            diameter: sizes[0].value,
        }),
        Body::Tube => tube(scribe, &sizes),
    }
}

fn plate(scribe: &mut Scribe<'_>, sizes: &[At<Length>]) -> Option<PartShape> {
    let (thickness, width, length) = (&sizes[0], &sizes[1], &sizes[2]);
    if let Some(less) = [width, length]
        .into_iter()
        .find(|side| side.value < thickness.value)
    {
        scribe.push(
            Diag::stop("plate-not-flat", "The plate is thicker than it is wide or long.")
                .why("A plate is cased from its two flat faces, and the depth it bears is reckoned across its thickness.")
                .accepted("Give the least size as thickness, or write shape = \"block\".")
                .at(thickness.place.clone())
                .also(less.place.clone(), "this is less"),
        );
        return None;
    }
    Some(PartShape::Plate {
        thickness: thickness.value,
        width: width.value,
        length: length.value,
    })
}

fn tube(scribe: &mut Scribe<'_>, sizes: &[At<Length>]) -> Option<PartShape> {
    let (outer, inner) = (&sizes[0], &sizes[1]);
    // The wall must itself be a size that is believed.
    if (outer.value - inner.value).to_mm() < 0.2 {
        scribe.push(
            Diag::stop("tube-no-wall", "The inner diameter leaves no wall.")
                .why("The wall is what is cased, from both sides.")
                .accepted("Give both as diameters, the inner less than the outer.")
                .at(inner.place.clone())
                .also(outer.place.clone(), "the outer diameter"),
        );
        return None;
    }
    Some(PartShape::Tube {
        outer: outer.value,
        inner: inner.value,
        length: sizes[2].value,
    })
}

/// Remembers which units the sizes are written in.
fn note_unit(draft: &mut Draft, size: Option<&At<Written<Length>>>) {
    draft
        .written_units
        .extend(size.and_then(|at| at.value.unit.system()));
}

fn feature(draft: &mut Draft, scribe: &mut Scribe<'_>, section: &Section<'_>) {
    let kind = scribe.choice(section, "kind", KINDS);
    if kind.is_none() {
        scribe.missing(section, "kind", "A bore takes carbon on its wall, a thread from two sides.", "kind = \"bore\" (or \"blind hole\", \"thin web\", \"thread\", \"keyway\", \"sharp corner\")");
    }
    let name = scribe.line(section, "name");
    let mut size = |key: &str| {
        let size = scribe.measure::<Length>(section, key);
        note_unit(draft, size.as_ref());
        size.and_then(|at| scribe.size(key, at)).map(|at| at.value)
    };
    let (diameter, web, length) = (size("diameter"), size("web"), size("length"));
    let (width, depth) = (size("width"), size("depth"));
    let written_radius = scribe.measure::<Length>(section, "radius");
    note_unit(draft, written_radius.as_ref());
    let radius = written_radius
        .and_then(|at| radius(scribe, "radius", at))
        .map(|at| at.value);
    let soft = scribe.flag(section, "stays_soft");
    let Some(kind) = kind else {
        return;
    };
    let word = kind_word(kind.value);
    sizes_of_kind(scribe, section, kind.value);
    let (needs, why): (&str, &str) = match kind.value {
        FeatureKind::Bore | FeatureKind::BlindHole => (
            "diameter",
            "A small hole takes case from all round and is hard to fill with compound.",
        ),
        FeatureKind::Thread => ("diameter", "Thread crests take carbon from both flanks."),
        FeatureKind::ThinWeb => (
            "web",
            "Cases from both sides of a thin web meet, and it breaks.",
        ),
        FeatureKind::Keyway | FeatureKind::SharpCorner => ("", ""),
    };
    if !needs.is_empty() {
        scribe.missing(section, needs, why, &format!("{needs} = \"6 mm\""));
    }
    let name = name.map_or_else(
        || {
            if !section.has("name") {
                draft
                    .defaults
                    .push(format!("The {word} has no name and is called \"{word}\"."));
            }
            word.to_owned()
        },
        |at| at.value,
    );
    if soft.is_none() && !section.has("stays_soft") {
        if kind.value == FeatureKind::Thread {
            scribe.push_at(
                Diag::stop("thread-soft-or-not", format!("It is not said whether the {name} stays soft."))
                    .why("A cased thread breaks when it is tightened; a soft one where the drawing wants it hard wears out. Threads are usually kept soft unless the drawing says otherwise.")
                    .accepted("Add stays_soft = true, or false where the drawing wants the thread cased."),
                section.header.clone(),
            );
        } else {
            draft.defaults.push(format!(
                "The {name} is cased like the rest: stays_soft is not given."
            ));
        }
    }
    draft.features.push(At {
        value: Feature {
            kind: kind.value,
            name,
            diameter,
            web,
            width,
            depth,
            radius,
            length,
            stays_soft: soft.is_some_and(|at| at.value),
            place: Some(scribe.place(section.header.clone())),
        },
        place: scribe.place(section.header.clone()),
    });
}

/// Sizes that only some kinds have: written for another they would be passed over in silence.
fn sizes_of_kind(scribe: &mut Scribe<'_>, section: &Section<'_>, kind: FeatureKind) {
    use FeatureKind::{Keyway, SharpCorner, ThinWeb};
    let rows: [(&str, &[FeatureKind], &str); 3] = [
        ("width", &[Keyway], "a keyway"),
        ("depth", &[Keyway, ThinWeb], "a keyway or a thin web"),
        (
            "radius",
            &[Keyway, SharpCorner, ThinWeb],
            "a keyway, a sharp corner or a thin web",
        ),
    ];
    for (key, kinds, said) in rows {
        if section.has(key) && !kinds.contains(&kind) {
            scribe.push_at(
                Diag::stop(
                    "size-not-of-feature",
                    format!("A {} has no {key}.", kind_word(kind)),
                )
                .why("Either the kind or the size is wrong, and the carbon around it is reckoned from both.")
                .accepted(format!("{key} belongs to {said}.")),
                Scribe::key_span(section, key),
            );
        }
    }
    if kind == Keyway && section.has("width") != section.has("depth") {
        let missing = if section.has("width") {
            "depth"
        } else {
            "width"
        };
        scribe.missing(
            section,
            missing,
            "The carbon around a slot follows from both of its sizes.",
            &format!("{missing} = \"3 mm\", or neither"),
        );
    }
}

fn stock(draft: &mut Draft, scribe: &mut Scribe<'_>, section: &Section<'_>) {
    let face = scribe.line(section, "face");
    if face.is_none() {
        scribe.missing(
            section,
            "face",
            "What is left of the case differs from face to face.",
            "face = \"both flat faces\"",
        );
    }
    let per_side = scribe.measure::<Length>(section, "per_side");
    let on_diameter = scribe.measure::<Length>(section, "on_diameter");
    if section.has("per_side") && section.has("on_diameter") {
        let other = scribe.place(Scribe::key_span(section, "per_side"));
        let diag = Diag::stop(
            "stock-twice",
            "Stock is given both per side and on the diameter.",
        )
        .why("The one is half the other; taken the wrong way the case is ground through.")
        .accepted("Keep one.")
        .also(other, "the other one");
        scribe.push_at(diag, Scribe::key_span(section, "on_diameter"));
        return;
    }
    if !section.has("on_diameter") {
        scribe.missing(
            section,
            "per_side",
            "The case is made deeper by what is ground off it, and it must be plain whether that is per side or on the diameter.",
            "per_side = \"0.12 mm\" or on_diameter = \".010 in\"",
        );
    }
    let bow = scribe.measure::<Length>(section, "bow");
    let span = section.header.clone();
    let (key, at, share) = match (per_side, on_diameter) {
        (Some(at), _) => ("per_side", at, 1.0),
        (None, Some(at)) => ("on_diameter", at, 0.5),
        (None, None) => return,
    };
    let units = at.value.unit.system().unwrap_or_default();
    let range = (Length::ZERO, Length::from_mm(20.0));
    let why = "Stock cannot be negative, and so much is taken off by machining, not by grinding; usual is 0.1 to 0.4 mm (0.004 to 0.016 in) per side.";
    let said = "From 0 to 20 mm";
    let Some(amount) = scribe.within(key, at, range, said, why) else {
        return;
    };
    let bow_at = bow.and_then(|at| {
        scribe.within(
            "bow",
            at,
            range,
            said,
            "A bow is not negative, and so bowed a part is straightened first.",
        )
    });
    let Some(face) = face else {
        return;
    };
    if bow_at.is_none() && !section.has("bow") {
        draft.defaults.push(format!(
            "On {} the stock comes off evenly: bow is not given.",
            face.value
        ));
    }
    let per_side = amount.value * share;
    if key == "on_diameter" {
        scribe.push(
            Diag::note(
                "stock-halved",
                format!(
                    "{} on the diameter is {} per side on {}.",
                    amount.value.depth_text_both(units),
                    per_side.depth_text_both(units),
                    face.value
                ),
            )
            .at(amount.place.clone()),
        );
    }
    // Usual is up to 0.4 mm even where work warps (trade-practice); a millimetre is a slip.
    if per_side.to_mm() > 1.0 {
        scribe.push(
            Diag::warn("stock-large", format!("{} per side is a great deal to grind.", per_side.depth_text_both(units)))
                .why("The hardest part of the case is ground away; usual is 0.1 to 0.4 mm (0.004 to 0.016 in) per side.")
                .accepted("Check the unit, and whether it is meant on the diameter.")
                .at(amount.place),
        );
    }
    if let Some(first) = draft.stock.iter().find(|s| s.value.face == face.value) {
        scribe.push(
            Diag::stop(
                "face-twice",
                format!("The stock of \"{}\" is given twice.", face.value),
            )
            .why("Which of the two holds cannot be known.")
            .accepted("Keep one, or name the faces apart.")
            .at(face.place)
            .also(first.place.clone(), "the first one"),
        );
        return;
    }
    draft.stock.push(At {
        value: Stock {
            face: face.value,
            per_side,
            bow: bow_at.map_or(Length::ZERO, |at| at.value),
        },
        place: scribe.place(span),
    });
}
