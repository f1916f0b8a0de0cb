//! Reads an evidence file: its pieces, testers and readings, all complaints at once.
//!
//! Checks each reading by itself and that the marks it names are there. What the readings prove is
//! the judge's business.

use std::ops::Range;

use casewright_terms::{Diag, Severity, UnitSystem};

use super::sections::{self, Defaults};
use super::{Block, Evidence, Item, Specimen, SpecimenKind, State, Tester, What};
use crate::text::{At, Scribe, Section, clipped};

pub(super) const TOP_KEYS: &[&str] = &[
    "job",
    "run",
    "units",
    "by",
    "date",
    "specimen",
    "tester",
    "hardness",
    "traverse",
    "step_grind",
    "taper_grind",
    "ring",
    "file",
    "weight",
    "structure",
];
const SPECIMEN_KEYS: &[&str] = &[
    "mark",
    "kind",
    "state",
    "steel",
    "heat",
    "carburized_with_lot",
    "hardened_with_lot",
    "position",
    "diameter",
    "thickness",
];
const TESTER_KEYS: &[&str] = &["id", "what", "block"];
const BLOCK_KEYS: &[&str] = &["scale", "nominal", "tolerance", "readings", "date"];

const HOMES: &[(&str, &[&str])] = &[
    ("", TOP_KEYS),
    ("[[specimen]]", SPECIMEN_KEYS),
    ("[[tester]]", TESTER_KEYS),
    ("[[tester.block]]", BLOCK_KEYS),
    ("[[hardness]]", sections::HARDNESS_KEYS),
    ("[[traverse]]", sections::TRAVERSE_KEYS),
    ("[[step_grind]]", sections::STEP_KEYS),
    ("[[taper_grind]]", sections::TAPER_KEYS),
    ("[[ring]]", sections::RING_KEYS),
    ("[[file]]", sections::FILE_KEYS),
    ("[[weight]]", sections::WEIGHT_KEYS),
    ("[[structure]]", sections::STRUCTURE_KEYS),
];

/// Words of [`SpecimenKind`].
pub(super) const KINDS: &[(&str, SpecimenKind)] = &[
    ("part", SpecimenKind::Part),
    ("coupon", SpecimenKind::Coupon),
    ("control", SpecimenKind::Control),
];
/// Words of the file's own units.
pub(super) const UNITS: &[(&str, UnitSystem)] =
    &[("metric", UnitSystem::Metric), ("inch", UnitSystem::Inch)];
/// Words of [`State`].
pub(super) const STATES: &[(&str, State)] = &[
    ("carburized", State::Carburized),
    ("quenched", State::Quenched),
    ("tempered", State::Tempered),
];

/// Reads an evidence file. `None` where anything in it stops; the diagnostics say what, in the order
/// of the text. Never panics.
#[must_use]
pub fn parse(file_name: &str, text: &str) -> (Option<Evidence>, Vec<Diag>) {
    let mut scribe = Scribe::new(file_name, text, HOMES);
    let Some(document) = scribe.parse() else {
        return (None, scribe.finish());
    };
    let top = scribe.open("", document.get_ref(), 0..0, TOP_KEYS);
    let evidence = read(&mut scribe, &top);
    let stopped = scribe.diags.iter().any(|d| d.severity == Severity::Stop);
    let diags = scribe.finish();
    let evidence = (!stopped).then(|| Evidence {
        remarks: diags.clone(),
        ..evidence
    });
    (evidence, diags)
}

fn read(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Evidence {
    let defaults = Defaults {
        by: scribe.line(top, "by").map(|at| at.value),
        date: scribe.day(top, "date"),
    };
    let job = scribe.line_or_number(top, "job").map(|at| at.value);
    let run = scribe.line_or_number(top, "run").map(|at| at.value);
    let (specimens, pieces_whole) = specimens(scribe, top);
    let testers = testers(scribe, top);
    let mut units = scribe.choice(top, "units", UNITS).map(|at| at.value);
    let mut items = sections::items(scribe, top, &defaults, &mut units);
    items.sort_by_key(|at| at.place.span.start);
    for at in &items {
        known(scribe, at, (&specimens, pieces_whole), &testers);
    }
    if items.is_empty() && !scribe.diags.iter().any(|d| d.severity == Severity::Stop) {
        scribe.push_at(
            Diag::stop("evidence-empty", "There is no reading in this file.")
                .why("Nothing can be judged from nothing.")
                .accepted("At least one section such as [[hardness]] or [[traverse]]; docs/guides/judge.md has all."),
            0..0,
        );
    }
    Evidence {
        job,
        run,
        units: units.unwrap_or(UnitSystem::Metric),
        specimens: specimens.into_iter().map(|at| at.value).collect(),
        testers: testers.into_iter().map(|at| at.value).collect(),
        items: named(items),
        remarks: Vec::new(),
    }
}

/// Gives each item its kind and number in the file.
fn named(items: Vec<At<Item>>) -> Vec<Item> {
    let mut counts: Vec<(&'static str, usize)> = Vec::new();
    let mut all = Vec::new();
    for at in items {
        let mut item = at.value;
        let words = item.what.words();
        let count = match counts.iter_mut().find(|(word, _)| *word == words) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                counts.push((words, 1));
                1
            }
        };
        item.name = format!("{words} {count}");
        all.push(item);
    }
    all
}

/// The pieces, and whether every section of one could be read.
fn specimens(scribe: &mut Scribe<'_>, top: &Section<'_>) -> (Vec<At<Specimen>>, bool) {
    let sections = scribe.list(top, "specimen", "[[specimen]]", SPECIMEN_KEYS);
    let mut all: Vec<At<Specimen>> = Vec::new();
    for section in &sections {
        let Some(at) = specimen(scribe, section) else {
            continue;
        };
        if let Some(first) = all
            .iter()
            .find(|other| other.value.mark.eq_ignore_ascii_case(&at.value.mark))
        {
            scribe.push(twice(&at.value.mark, &at.place, &first.place));
        }
        all.push(at);
    }
    if sections.is_empty() {
        scribe.missing(
            top,
            "specimen",
            "A reading proves the lot only through the piece it was taken on: which steel, cased with the work or not.",
            "a [[specimen]] section with mark, kind and state",
        );
    }
    let whole = all.len() == sections.len() && !sections.is_empty();
    (all, whole)
}

fn twice(mark: &str, here: &casewright_terms::Place, first: &casewright_terms::Place) -> Diag {
    Diag::stop("mark-twice", format!("The mark \"{mark}\" is used twice."))
        .why("A reading that names it could be of either.")
        .accepted("Give each its own mark.")
        .at(here.clone())
        .also(first.clone(), "the first one")
}

fn specimen(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<Specimen>> {
    let mark = scribe.line_or_number(section, "mark");
    if mark.is_none() {
        scribe.missing(
            section,
            "mark",
            "Readings name the piece by it.",
            "mark = \"K1\"",
        );
    }
    let kind = scribe.choice(section, "kind", KINDS);
    if kind.is_none() {
        scribe.missing(
            section,
            "kind",
            "A part proves itself, a coupon stands for the lot, a control shows the core only.",
            "kind = \"coupon\", or \"part\" or \"control\"",
        );
    }
    let state = scribe.choice(section, "state", STATES);
    if state.is_none() {
        scribe.missing(
            section,
            "state",
            "Tempering takes one to three points of HRC; a reading taken before it is not the part's.",
            "state = \"tempered\", or \"quenched\" or \"carburized\"",
        );
    }
    let steel = scribe.line_or_number(section, "steel").map(|at| at.value);
    let heat = scribe.line_or_number(section, "heat").map(|at| at.value);
    let carburized = scribe
        .flag(section, "carburized_with_lot")
        .map(|at| at.value);
    let hardened = scribe.flag(section, "hardened_with_lot").map(|at| at.value);
    let position = scribe.line(section, "position").map(|at| at.value);
    let mut size = |key: &str| {
        let at = scribe.measure(section, key)?;
        scribe.size(key, at).map(|at| at.value)
    };
    let (diameter, thickness) = (size("diameter"), size("thickness"));
    let kind = kind?.value;
    if kind == SpecimenKind::Control && carburized == Some(true) {
        scribe.push_at(
            Diag::stop(
                "control-carburized",
                "A control is said to be carburized with the lot.",
            )
            .why("A control shows what the steel does without a case; a cased piece is a coupon.")
            .accepted("kind = \"coupon\", or carburized_with_lot = false."),
            Scribe::key_span(section, "carburized_with_lot"),
        );
    }
    let part = kind == SpecimenKind::Part;
    let place = scribe.place(section.header.clone());
    Some(At {
        value: Specimen {
            mark: mark?.value,
            kind,
            state: state?.value,
            steel,
            heat,
            carburized_with_lot: match kind {
                SpecimenKind::Control => Some(false),
                _ => carburized.or(part.then_some(true)),
            },
            hardened_with_lot: hardened.or(part.then_some(true)),
            position,
            diameter,
            thickness,
            place: place.clone(),
        },
        place,
    })
}

fn testers(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Vec<At<Tester>> {
    let sections = scribe.list(top, "tester", "[[tester]]", TESTER_KEYS);
    let mut all: Vec<At<Tester>> = Vec::new();
    for section in &sections {
        let id = scribe.line_or_number(section, "id");
        if id.is_none() {
            scribe.missing(
                section,
                "id",
                "Readings name the tester by it.",
                "id = \"R1\"",
            );
        }
        let what = scribe.line(section, "what").map(|at| at.value);
        let blocks = scribe
            .list(section, "block", "[[tester.block]]", BLOCK_KEYS)
            .iter()
            .filter_map(|section| block(scribe, section))
            .collect();
        let Some(id) = id else { continue };
        let place = scribe.place(section.header.clone());
        if let Some(first) = all
            .iter()
            .find(|other| other.value.id.eq_ignore_ascii_case(&id.value))
        {
            scribe.push(twice(&id.value, &place, &first.place));
        }
        all.push(At {
            value: Tester {
                id: id.value,
                what,
                blocks,
                place: place.clone(),
            },
            place,
        });
    }
    all
}

fn block(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<Block> {
    let scale = scribe.test_scale(section, "scale");
    if scale.is_none() {
        scribe.missing(
            section,
            "scale",
            "A block checks one scale only.",
            "scale = \"HRC\"",
        );
    }
    let nominal = scribe.number(
        section,
        "nominal",
        (1.0, 1500.0),
        "It is the hardness on the block's certificate.",
    );
    if nominal.is_none() {
        scribe.missing(
            section,
            "nominal",
            "Without the block's own hardness its readings say nothing.",
            "nominal = 60.4",
        );
    }
    let tolerance = scribe.number(
        section,
        "tolerance",
        (0.0, 100.0),
        "It is how far the block's certificate trusts itself.",
    );
    let date = scribe.day(section, "date");
    let scale = scale?.value;
    let readings = scribe.readings(section, "readings", scale);
    if readings.is_none() {
        scribe.missing(
            section,
            "readings",
            "A block that was not read checks nothing.",
            "readings = [60.2, 60.5, 60.4, 60.3, 60.5]",
        );
    }
    Some(Block {
        scale,
        nominal: nominal?.value,
        tolerance: tolerance.map(|at| at.value),
        readings: readings?,
        date,
        place: scribe.place(section.header.clone()),
    })
}

/// Complains about marks of pieces and testers that are not in the file.
fn known(
    scribe: &mut Scribe<'_>,
    at: &At<Item>,
    (specimens, pieces_whole): (&[At<Specimen>], bool),
    testers: &[At<Tester>],
) {
    let complain =
        |what: &str, mark: &str, marks: Vec<&str>, span: Range<usize>, scribe: &mut Scribe<'_>| {
            let accepted = if marks.is_empty() {
                format!("Add a [[{what}]] section with that mark.")
            } else {
                format!("Marks here are {}.", marks.join(", "))
            };
            scribe.push_at(
                Diag::stop(
                    "mark-unknown",
                    format!("There is no {what} \"{}\" in this file.", clipped(mark)),
                )
                .why("What the reading was taken with, and on, decides what it is worth.")
                .accepted(accepted),
                span,
            );
        };
    let same = |a: &str, b: &str| a.eq_ignore_ascii_case(b);
    let item = &at.value;
    let span = at.place.span.clone();
    // A piece that could not be read was complained about for what it says.
    if pieces_whole
        && !specimens
            .iter()
            .any(|s| same(&s.value.mark, &item.specimen))
    {
        let marks = specimens.iter().map(|s| s.value.mark.as_str()).collect();
        complain("specimen", &item.specimen, marks, span.clone(), scribe);
    }
    if let Some(tester) = &item.tester
        && !testers.iter().any(|t| same(&t.value.id, tester))
    {
        let marks = testers.iter().map(|t| t.value.id.as_str()).collect();
        complain("tester", tester, marks, span, scribe);
    }
    deeper_than_the_piece(scribe, at, specimens);
}

/// A depth past the middle of the piece is one given on the diameter.
fn deeper_than_the_piece(scribe: &mut Scribe<'_>, at: &At<Item>, specimens: &[At<Specimen>]) {
    let Some(piece) = specimens
        .iter()
        .find(|s| s.value.mark.eq_ignore_ascii_case(&at.value.specimen))
    else {
        return;
    };
    let Some(across) = piece.value.diameter.or(piece.value.thickness) else {
        return;
    };
    let depths = match &at.value.what {
        What::Traverse(t) => &t.depths,
        What::StepGrind(s) => &s.removed,
        What::Ring(r) => &r.depths,
        _ => return,
    };
    if let Some(deep) = depths.iter().find(|depth| **depth > across * 0.5) {
        scribe.push(
            Diag::stop(
                "depth-past-middle",
                format!(
                    "{:.2} mm is past the middle of a piece of {:.2} mm.",
                    deep.to_mm(),
                    across.to_mm()
                ),
            )
            .why("Depths are per side. Given on the diameter, the case would seem twice as deep as it is.")
            .accepted("Half of it, if it was measured on the diameter; or the right size of the piece.")
            .at(at.place.clone())
            .also(piece.place.clone(), "the piece"),
        );
    }
}
