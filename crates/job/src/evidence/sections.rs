//! The sections of an evidence file, one kind of reading each.

use casewright_terms::{Area, Diag, Fraction, Length, Mass, UnitSystem};

use super::list::system_of;
use super::{
    Direction, FileResult, FileTest, Item, Network, Readings, Ring, RingKind, StepGrind, Structure,
    Surface, TaperGrind, TestScale, Traverse, WeightGain, What, Where,
};
use crate::text::{At, Scribe, Section};
use crate::units::Written;

/// Keys that every section has.
macro_rules! keys {
    ($($key:literal),* $(,)?) => {
        &["specimen", "by", "date", "tester", "remark", $($key),*]
    };
}

pub(super) const HARDNESS_KEYS: &[&str] = keys![
    "scale",
    "values",
    "at",
    "spot",
    "removed",
    "finished",
    "face",
    "round",
    "corrected"
];
pub(super) const TRAVERSE_KEYS: &[&str] = keys![
    "scale",
    "depths",
    "values",
    "direction",
    "spacing",
    "depth_error",
    "ground_before"
];
pub(super) const STEP_KEYS: &[&str] = keys![
    "scale",
    "removed",
    "removed_on_diameter",
    "values",
    "depth_error"
];
pub(super) const TAPER_KEYS: &[&str] = keys!["scale", "along", "slope", "values", "depth_error"];
pub(super) const RING_KEYS: &[&str] = keys!["kind", "depths", "doubt", "etch"];
pub(super) const FILE_KEYS: &[&str] = keys![
    "file_hrc", "result", "at", "spot", "removed", "finished", "face"
];
pub(super) const WEIGHT_KEYS: &[&str] = keys!["before", "after", "area", "error"];
pub(super) const STRUCTURE_KEYS: &[&str] = keys![
    "network",
    "retained_austenite",
    "decarburized",
    "white_layer",
    "how"
];

pub(super) const PLACES: &[(&str, Where)] = &[
    ("surface", Where::Surface),
    ("core", Where::Core),
    ("soft area", Where::SoftArea),
];
pub(super) const DIRECTIONS: &[(&str, Direction)] = &[
    ("perpendicular", Direction::Perpendicular),
    ("oblique", Direction::Oblique),
];
pub(super) const RINGS: &[(&str, RingKind)] = &[
    ("fracture", RingKind::Fracture),
    ("etched", RingKind::Etched),
];
pub(super) const FILES: &[(&str, FileResult)] = &[
    ("cuts", FileResult::Cuts),
    ("skates", FileResult::Skates),
    ("scratches", FileResult::Scratches),
];
pub(super) const NETWORKS: &[(&str, Network)] = &[
    ("none", Network::None),
    ("traces", Network::Traces),
    ("broken", Network::Broken),
    ("closed", Network::Closed),
];

/// Who and when, where a section does not say.
pub(super) struct Defaults {
    pub(super) by: Option<String>,
    pub(super) date: Option<jiff::civil::Date>,
}

type Reader = fn(&mut Scribe<'_>, &Section<'_>, &mut Option<UnitSystem>) -> Option<What>;

/// Everything that was read, not yet in the order of the text.
pub(super) fn items(
    scribe: &mut Scribe<'_>,
    top: &Section<'_>,
    defaults: &Defaults,
    units: &mut Option<UnitSystem>,
) -> Vec<At<Item>> {
    const KINDS: [(&str, &str, &[&str], Reader); 8] = [
        ("hardness", "[[hardness]]", HARDNESS_KEYS, hardness),
        ("traverse", "[[traverse]]", TRAVERSE_KEYS, traverse),
        ("step_grind", "[[step_grind]]", STEP_KEYS, step_grind),
        ("taper_grind", "[[taper_grind]]", TAPER_KEYS, taper_grind),
        ("ring", "[[ring]]", RING_KEYS, ring),
        ("file", "[[file]]", FILE_KEYS, file),
        ("weight", "[[weight]]", WEIGHT_KEYS, weight),
        ("structure", "[[structure]]", STRUCTURE_KEYS, structure),
    ];
    let mut all = Vec::new();
    for (key, name, keys, reader) in KINDS {
        for section in scribe.list(top, key, name, keys) {
            let specimen = scribe.line_or_number(&section, "specimen");
            if specimen.is_none() {
                scribe.missing(
                    &section,
                    "specimen",
                    "A reading proves the lot only through the piece it was taken on.",
                    "specimen = \"K1\"",
                );
            }
            let by = scribe.line(&section, "by").map(|at| at.value);
            let date = scribe.day(&section, "date");
            let tester = scribe.line_or_number(&section, "tester").map(|at| at.value);
            let remark = scribe.line(&section, "remark").map(|at| at.value);
            let what = reader(scribe, &section, units);
            let (Some(specimen), Some(what)) = (specimen, what) else {
                continue;
            };
            let place = scribe.place(section.header.clone());
            all.push(At {
                value: Item {
                    name: String::new(),
                    specimen: specimen.value,
                    by: by.or_else(|| defaults.by.clone()),
                    date: date.or(defaults.date),
                    tester,
                    remark,
                    what,
                    place: place.clone(),
                },
                place,
            });
        }
    }
    all
}

fn scale(scribe: &mut Scribe<'_>, section: &Section<'_>, example: &str) -> Option<At<TestScale>> {
    let scale = scribe.test_scale(section, "scale");
    if scale.is_none() {
        scribe.missing(
            section,
            "scale",
            "A hardness number means nothing without its scale.",
            example,
        );
    }
    scale
}

fn values(scribe: &mut Scribe<'_>, section: &Section<'_>, scale: TestScale) -> Option<Vec<f64>> {
    let values = scribe.readings(section, "values", scale);
    if values.is_none() {
        scribe.missing(
            section,
            "values",
            "Each reading is kept, never only the mean.",
            "values = [60.5, 61.0, 60.0]",
        );
    }
    values
}

/// Depths per side, with the file's units learnt from them.
fn depths(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    units: &mut Option<UnitSystem>,
) -> Option<Vec<Length>> {
    let read = scribe.depths(section, key)?;
    Some(learnt(read, units))
}

fn learnt(read: Vec<At<Written<Length>>>, units: &mut Option<UnitSystem>) -> Vec<Length> {
    *units = units.or_else(|| read.first().and_then(|at| system_of(at.value.unit)));
    read.into_iter().map(|at| at.value.value).collect()
}

fn needed_depths(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    units: &mut Option<UnitSystem>,
) -> Option<Vec<Length>> {
    let read = depths(scribe, section, key, units);
    if read.is_none() {
        scribe.missing(
            section,
            key,
            "Without depths the readings are no profile.",
            &format!("{key} = \"0.10 0.20 0.30 0.40 mm\", per side"),
        );
    }
    read
}

/// Complains where two lists that belong together have different lengths.
fn same_length(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    keys: (&str, &str),
    lengths: (usize, usize),
) -> Option<()> {
    if lengths.0 == lengths.1 {
        return Some(());
    }
    scribe.push_at(
        Diag::stop(
            "lists-differ",
            format!(
                "{} holds {} values and {} holds {}.",
                keys.0, lengths.0, keys.1, lengths.1
            ),
        )
        .why("One reading too many or too few moves every depth after it.")
        .accepted("As many of the one as of the other, in the same order."),
        Scribe::key_span(section, keys.1),
    );
    None
}

fn rising(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    depths: &[Length],
) -> Option<()> {
    let Some(pair) = depths.windows(2).find(|pair| pair[1] <= pair[0]) else {
        return Some(());
    };
    scribe.push_at(
        Diag::stop(
            "depths-not-rising",
            format!(
                "{:.3} mm follows {:.3} mm in {key}.",
                pair[1].to_mm(),
                pair[0].to_mm()
            ),
        )
        .why("Which reading belongs to which depth is then open.")
        .accepted("Depths from the surface inward, each once; a second row of indents is a section of its own."),
        Scribe::key_span(section, key),
    );
    None
}

fn surface(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Surface {
    let removed = scribe.small_length(section, "removed");
    let finished = scribe.flag(section, "finished").map(|at| at.value);
    let face = scribe.line(section, "face").map(|at| at.value);
    if finished == Some(true) && removed.is_some() {
        scribe.push_at(
            Diag::stop("surface-twice", "The reading is on a finished face and on a polished spot at once.")
                .accepted("Keep \"finished\" for a face ground to the drawing, \"removed\" for a spot polished or ground for the test."),
            Scribe::key_span(section, "removed"),
        );
    }
    if face.is_some() && finished != Some(true) {
        scribe.push_at(
            Diag::stop(
                "face-not-finished",
                "A face is named, but not that it is finished.",
            )
            .accepted("Add finished = true, or name the place with \"spot\"."),
            Scribe::key_span(section, "face"),
        );
    }
    match (finished, removed) {
        (Some(true), _) => Surface::Finished(face),
        (_, Some(removed)) if removed > Length::ZERO => Surface::Removed(removed),
        _ => Surface::AsHardened,
    }
}

fn hardness(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    _: &mut Option<UnitSystem>,
) -> Option<What> {
    let scale = scale(scribe, section, "scale = \"HRC\"");
    let at = scribe
        .choice(section, "at", PLACES)
        .map_or(Where::Surface, |at| at.value);
    let spot = scribe.line(section, "spot").map(|at| at.value);
    let surface = surface(scribe, section);
    let round = scribe
        .measure(section, "round")
        .and_then(|at| scribe.size("round", at))
        .map(|at| at.value);
    let corrected = scribe.flag(section, "corrected").is_some_and(|at| at.value);
    let scale = scale?.value;
    Some(What::Hardness(Readings {
        scale,
        values: values(scribe, section, scale)?,
        at,
        spot,
        surface,
        round,
        corrected,
    }))
}

fn traverse(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    units: &mut Option<UnitSystem>,
) -> Option<What> {
    let scale = scale(scribe, section, "scale = \"HV1\"");
    let depths = needed_depths(scribe, section, "depths", units);
    let direction = scribe
        .choice(section, "direction", DIRECTIONS)
        .map_or(Direction::Perpendicular, |at| at.value);
    let spacing = scribe.small_length(section, "spacing");
    let depth_error = scribe.small_length(section, "depth_error");
    let ground_before = scribe
        .small_length(section, "ground_before")
        .unwrap_or(Length::ZERO);
    let scale = scale?;
    if scale.value.force_kgf.is_none() {
        scribe.push(
            Diag::stop("traverse-scale", format!("A traverse in {} is not read.", scale.value))
                .why("Indents of a Rockwell tester are too large to stand a tenth of a millimetre apart.")
                .accepted("HV or HK with its force, such as HV1; readings on ground steps belong under [[step_grind]].")
                .at(scale.place.clone()),
        );
        return None;
    }
    let values = values(scribe, section, scale.value);
    let (depths, values) = (depths?, values?);
    same_length(
        scribe,
        section,
        ("depths", "values"),
        (depths.len(), values.len()),
    )?;
    rising(scribe, section, "depths", &depths)?;
    Some(What::Traverse(Traverse {
        scale: scale.value,
        depths,
        values,
        direction,
        spacing,
        depth_error,
        ground_before,
    }))
}

fn step_grind(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    units: &mut Option<UnitSystem>,
) -> Option<What> {
    let scale = scale(scribe, section, "scale = \"HR15N\"");
    let on_diameter = depths(scribe, section, "removed_on_diameter", units);
    if on_diameter.is_some() && section.has("removed") {
        scribe.push_at(
            Diag::stop(
                "removed-twice",
                "What was removed is given per side and on the diameter.",
            )
            .accepted("Keep one."),
            Scribe::key_span(section, "removed_on_diameter"),
        );
        return None;
    }
    let removed = match on_diameter {
        Some(depths) => Some(depths.into_iter().map(|d| d * 0.5).collect::<Vec<_>>()),
        None if section.has("removed_on_diameter") => None,
        None => needed_depths(scribe, section, "removed", units),
    };
    let depth_error = scribe.small_length(section, "depth_error");
    let scale = scale?.value;
    let values = scribe.reading_groups(section, "values", scale);
    if values.is_none() {
        scribe.missing(
            section,
            "values",
            "Each reading is kept, never only the mean.",
            "values = [[90.5, 91.0], [90.0, 90.5], [84.0]], one group for each step",
        );
    }
    let (removed, values) = (removed?, values?);
    same_length(
        scribe,
        section,
        ("removed", "values"),
        (removed.len(), values.len()),
    )?;
    rising(scribe, section, "removed", &removed)?;
    Some(What::StepGrind(StepGrind {
        scale,
        removed,
        values,
        depth_error,
    }))
}

fn taper_grind(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    units: &mut Option<UnitSystem>,
) -> Option<What> {
    let scale = scale(scribe, section, "scale = \"HR15N\"");
    let along = needed_depths(scribe, section, "along", units);
    let slope = scribe.number(
        section,
        "slope",
        (0.001, 0.5),
        "It is depth over length along the slant; 1 in 20 is 0.05.",
    );
    if slope.is_none() {
        scribe.missing(
            section,
            "slope",
            "It turns the way along the slant into depth.",
            "slope = 0.05 for 1 in 20",
        );
    }
    let depth_error = scribe.small_length(section, "depth_error");
    let scale = scale?.value;
    let values = values(scribe, section, scale);
    let (along, values) = (along?, values?);
    same_length(
        scribe,
        section,
        ("along", "values"),
        (along.len(), values.len()),
    )?;
    rising(scribe, section, "along", &along)?;
    Some(What::TaperGrind(TaperGrind {
        scale,
        along,
        values,
        slope: slope?.value,
        depth_error,
    }))
}

fn ring(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    units: &mut Option<UnitSystem>,
) -> Option<What> {
    let kind = scribe.choice(section, "kind", RINGS);
    if kind.is_none() {
        scribe.missing(
            section,
            "kind",
            "A broken face is read less surely than an etched one.",
            "kind = \"etched\" or \"fracture\"",
        );
    }
    let depths = needed_depths(scribe, section, "depths", units);
    let doubt = scribe.small_length(section, "doubt");
    let etch = scribe.line(section, "etch").map(|at| at.value);
    Some(What::Ring(Ring {
        kind: kind?.value,
        depths: depths?,
        doubt,
        etch,
    }))
}

fn file(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    _: &mut Option<UnitSystem>,
) -> Option<What> {
    let file_hrc = scribe
        .number(
            section,
            "file_hrc",
            (40.0, 68.0),
            "It is the file's own hardness, from its handle.",
        )
        .map(|at| at.value);
    let result = scribe.choice(section, "result", FILES);
    if result.is_none() {
        scribe.missing(
            section,
            "result",
            "A file says one of three things.",
            "result = \"skates\", \"scratches\" or \"cuts\"",
        );
    }
    let at = scribe
        .choice(section, "at", PLACES)
        .map_or(Where::Surface, |at| at.value);
    let spot = scribe.line(section, "spot").map(|at| at.value);
    let surface = surface(scribe, section);
    Some(What::FileTest(FileTest {
        file_hrc,
        result: result?.value,
        at,
        spot,
        surface,
    }))
}

fn weight(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    _: &mut Option<UnitSystem>,
) -> Option<What> {
    let range = (Mass::from_g(0.1), Mass::from_kg(50.0));
    let mut mass = |key: &str| {
        let Some(at) = scribe.measure::<Mass>(section, key) else {
            scribe.missing(
                section,
                key,
                "The gain is the difference of two weighings.",
                &format!("{key} = \"112.412 g\""),
            );
            return None;
        };
        scribe
            .within(
                key,
                at,
                range,
                "From 0.1 g to 50 kg",
                "Such a piece is not weighed for a gain of carbon.",
            )
            .map(|at| at.value)
    };
    let (before, after) = (mass("before"), mass("after"));
    let area = match scribe.measure::<Area>(section, "area") {
        Some(at) => {
            let square = |mm: f64| Length::from_mm(mm) * Length::from_mm(mm);
            let range = (square(3.0), square(1000.0));
            scribe
                .within(
                    "area",
                    at,
                    range,
                    "From 0.1 cm2 to 1 m2",
                    "The gain is told per area.",
                )
                .map(|at| at.value)
        }
        None => {
            scribe.missing(
                section,
                "area",
                "The gain is told per area that the compound could reach.",
                "area = \"25.4 cm2\"",
            );
            None
        }
    };
    let error = scribe.measure::<Mass>(section, "error").and_then(|at| {
        scribe
            .within(
                "error",
                at,
                (Mass::ZERO, Mass::from_g(100.0)),
                "From 0 to 100 g",
                "It is the error of one weighing.",
            )
            .map(|at| at.value)
    });
    Some(What::WeightGain(WeightGain {
        before: before?,
        after: after?,
        area: area?,
        error,
    }))
}

fn structure(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    _: &mut Option<UnitSystem>,
) -> Option<What> {
    let network = scribe
        .choice(section, "network", NETWORKS)
        .map(|at| at.value);
    let retained_austenite = scribe
        .measure::<Fraction>(section, "retained_austenite")
        .and_then(|at| {
            let range = (Fraction::ZERO, Fraction::from_ratio(1.0));
            scribe.within(
                "retained_austenite",
                at,
                range,
                "Between 0 % and 100 %",
                "It is a share of the volume.",
            )
        })
        .map(|at| at.value);
    let decarburized = scribe.small_length(section, "decarburized");
    let white_layer = scribe.small_length(section, "white_layer");
    let how = scribe.line(section, "how").map(|at| at.value);
    let read = Structure {
        network,
        retained_austenite,
        decarburized,
        white_layer,
        how,
    };
    let nothing = Structure {
        how: read.how.clone(),
        ..Structure::default()
    };
    if read == nothing {
        scribe.push_at(
            Diag::stop("structure-empty", "Nothing was looked for under this microscope.")
                .accepted("At least one of network, retained_austenite, decarburized, white_layer; \"none\" or \"0 mm\" for what was looked for and not found."),
            section.header.clone(),
        );
        return None;
    }
    Some(What::Structure(read))
}
