//! Reads a shop file, or the shop written inside a job file.
//!
//! Checks each machine by itself; whether a job can use it is the planner's to say. A default that
//! was taken comes as a note with the code `default-taken`.

mod hours;
mod learnt;
mod machines;
mod prices;

use casewright_terms::{Diag, Scale, Severity};

use crate::shop::{ColdGear, HotOpening, Shop};
use crate::text::{At, Scribe, Section};

/// Code of the note that tells of a default.
pub const DEFAULT_TAKEN: &str = "default-taken";

/// Keys at the top of a shop file.
pub(crate) const SHOP_KEYS: &[&str] = &[
    "name",
    "furnace",
    "box",
    "compound",
    "tank",
    "oven",
    "scales",
    "micro_hardness",
    "file_set",
    "hot_opening",
    "cold",
    "staffed",
    "prices",
    "learnt",
];
pub(crate) const FURNACE_KEYS: &[&str] = &[
    "id",
    "inside",
    "power",
    "survey",
    "max",
    "independent_high_limit",
    "pack_couple",
];
pub(crate) const BOX_KEYS: &[&str] = &[
    "id",
    "inside",
    "wall",
    "heats",
    "gas_tight",
    "lute",
    "count",
    "bed_factor",
    "bed_doubt",
];
pub(crate) const COMPOUND_KEYS: &[&str] = &[
    "id",
    "energiser",
    "energiser_fraction",
    "fresh",
    "bulk_density",
    "grain",
    "dry",
    "stock",
];
pub(crate) const TANK_KEYS: &[&str] = &[
    "id",
    "medium",
    "volume",
    "bath",
    "agitation",
    "flash_point",
    "transfer",
    "over_work",
    "water",
    "air_blown",
    "fixture",
];
pub(crate) const STAFFED_KEYS: &[&str] = &[
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "weekdays",
    "weekend",
];
pub(crate) const PRICES_KEYS: &[&str] = &["currency", "energy_per_kwh", "compound_per_kg", "hour"];

pub(crate) use learnt::{LEARNT_KEYS, SUBJECTS, TRAITS};
pub(crate) use machines::{AGITATIONS, ENERGISERS, LUTES, MEDIA};

pub(crate) const HOT_OPENINGS: &[(&str, HotOpening)] = &[
    ("hood", HotOpening::Hood),
    ("outdoors", HotOpening::Outdoors),
    ("indoors", HotOpening::Indoors),
];

pub(crate) const COLD: &[(&str, ColdGear)] = &[
    ("none", ColdGear::Nothing),
    ("freezer", ColdGear::Freezer),
    ("dry ice", ColdGear::DryIce),
    ("nitrogen", ColdGear::Nitrogen),
];

const HOMES: &[(&str, &[&str])] = &[
    ("", SHOP_KEYS),
    ("[[furnace]]", FURNACE_KEYS),
    ("[[box]]", BOX_KEYS),
    ("[[compound]]", COMPOUND_KEYS),
    ("[[tank]]", TANK_KEYS),
    ("[staffed]", STAFFED_KEYS),
    ("[prices]", PRICES_KEYS),
    ("[[learnt]]", LEARNT_KEYS),
];

/// Reads a shop file. `None` where anything in it stops; the diagnostics say what.
#[must_use]
pub fn parse_shop(file_name: &str, text: &str) -> (Option<Shop>, Vec<Diag>) {
    let mut scribe = Scribe::new(file_name, text, HOMES);
    let Some(document) = scribe.parse() else {
        return (None, scribe.finish());
    };
    let top = scribe.open("", document.get_ref(), 0..0, SHOP_KEYS);
    let shop = read(&mut scribe, &top);
    let stopped = scribe.diags.iter().any(|d| d.severity == Severity::Stop);
    (shop.filter(|_| !stopped), scribe.finish())
}

/// Reads a shop from its table, already opened.
pub(crate) fn read(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Option<Shop> {
    let name = scribe.line(top, "name");
    if name.is_none() {
        scribe.missing(
            top,
            "name",
            "The run sheet names the shop whose equipment it was planned for.",
            "name = \"Gannet Slip\"",
        );
    }
    let furnaces = machines::furnaces(scribe, top, "furnace", "[[furnace]]");
    let ovens = machines::furnaces(scribe, top, "oven", "[[oven]]");
    let boxes = machines::boxes(scribe, top);
    let compounds = machines::compounds(scribe, top);
    let tanks = machines::tanks(scribe, top);
    need_equipment(scribe, top);
    one_mark_each(scribe, &[&furnaces, &ovens], |f| &f.id);
    one_mark_each(scribe, &[&boxes], |b| &b.id);
    one_mark_each(scribe, &[&compounds], |c| &c.id);
    one_mark_each(scribe, &[&tanks], |t| &t.id);
    let scales = scales(scribe, top);
    let micro_hardness = flag_or_no(
        scribe,
        top,
        "micro_hardness",
        "The shop has no micro-hardness tester at hand",
    );
    let file_set = flag_or_no(scribe, top, "file_set", "The shop has no set of test files");
    let hot_opening = scribe.choice(top, "hot_opening", HOT_OPENINGS);
    let cold = scribe.choice(top, "cold", COLD);
    let staffed = hours::staffed(scribe, top);
    let prices = prices::prices(scribe, top);
    let learnt = learnt::learnt(scribe, top);
    Some(Shop {
        name: name?.value,
        furnaces: values(furnaces),
        boxes: values(boxes),
        compounds: values(compounds),
        tanks: values(tanks),
        ovens: values(ovens),
        scales,
        micro_hardness,
        file_set,
        hot_opening: hot_opening.map(|at| at.value),
        cold: cold.map(|at| at.value),
        staffed: staffed?,
        prices,
        learnt: learnt?,
    })
}

fn values<T>(items: Vec<At<T>>) -> Vec<T> {
    items.into_iter().map(|item| item.value).collect()
}

/// Says a default aloud.
fn default_taken(scribe: &mut Scribe<'_>, section: &Section<'_>, words: String) {
    scribe.push_at(Diag::note(DEFAULT_TAKEN, words), section.header.clone());
}

fn flag_or_no(scribe: &mut Scribe<'_>, section: &Section<'_>, key: &str, words: &str) -> bool {
    match scribe.flag(section, key) {
        Some(at) => at.value,
        None => {
            if !section.has(key) {
                default_taken(scribe, section, format!("{words}: {key} is not given."));
            }
            false
        }
    }
}

fn need_equipment(scribe: &mut Scribe<'_>, top: &Section<'_>) {
    let needs = [
        (
            "furnace",
            "Without a furnace nothing is carburized.",
            "a [[furnace]] section",
        ),
        (
            "box",
            "Parts are packed in a lidded steel box; without one they scale instead of taking carbon.",
            "a [[box]] section",
        ),
        (
            "compound",
            "The carbon comes out of the compound.",
            "a [[compound]] section",
        ),
        (
            "tank",
            "A case that is not quenched stays soft.",
            "a [[tank]] section",
        ),
    ];
    for (key, why, example) in needs {
        scribe.missing(top, key, why, example);
    }
    if !top.has("oven") {
        scribe.push_at(
            Diag::warn("shop-no-oven", "The shop has no tempering oven.")
                .why("Quenched work must be tempered within the hour, and a furnace that has just held 800 °C does not come down to 160 °C by then.")
                .accepted("Add an [[oven]] section."),
            top.header.clone(),
        );
    }
}

/// Each mark must name one thing only.
fn one_mark_each<T>(scribe: &mut Scribe<'_>, lists: &[&Vec<At<T>>], id: impl Fn(&T) -> &str) {
    let all: Vec<&At<T>> = lists.iter().flat_map(|list| list.iter()).collect();
    for (n, item) in all.iter().enumerate() {
        let mark = id(&item.value);
        let before = all[..n]
            .iter()
            .find(|other| id(&other.value).eq_ignore_ascii_case(mark));
        if let Some(first) = before {
            scribe.push(
                Diag::stop("mark-twice", format!("The mark \"{mark}\" is used twice."))
                    .why("The run sheet would send people to one of two places.")
                    .accepted("Give each its own id.")
                    .at(item.place.clone())
                    .also(first.place.clone(), "the first one"),
            );
        }
    }
}

fn scales(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Vec<Scale> {
    let mut scales = Vec::new();
    let Some(value) = top.table.get("scales") else {
        scribe.push_at(
            Diag::warn("shop-no-scales", "The shop's hardness scales are not given.")
                .why("Without one the case is proved by the file alone, and no certificate can be written on that.")
                .accepted("Add scales = [\"HRC\", \"HR15N\"]."),
            top.header.clone(),
        );
        return scales;
    };
    let wanted = "a list of scales, for example [\"HRC\", \"HR15N\"]";
    let Some(items) = value.get_ref().as_array() else {
        let diag = crate::text::wrong_type("scales", value.get_ref(), wanted);
        scribe.push_at(diag, value.span());
        return scales;
    };
    for item in items.iter() {
        let Some(word) = item.get_ref().as_str() else {
            let diag = crate::text::wrong_type("scales", item.get_ref(), wanted);
            scribe.push_at(diag, item.span());
            continue;
        };
        match scale(word) {
            Some(scale) if scales.contains(&scale) => scribe.push_at(
                Diag::warn("scale-twice", format!("{scale} stands twice.")).accepted("Keep one."),
                item.span(),
            ),
            Some(scale) => scales.push(scale),
            None => {
                let known: Vec<&str> = Scale::ALL.into_iter().map(Scale::symbol).collect();
                let diag = Diag::stop(
                    "scale-unknown",
                    format!(
                        "\"{}\" is not a hardness scale known here.",
                        crate::text::clipped(word)
                    ),
                )
                .accepted(format!("Scales are {}.", known.join(", ")));
                scribe.push_at(diag, item.span());
            }
        }
    }
    scales
}

/// A scale by its symbol, or as the tester's dial calls it (`C`, `15N`).
pub(crate) fn scale(word: &str) -> Option<Scale> {
    Scale::from_symbol(word).or_else(|| match word.trim().to_ascii_uppercase().as_str() {
        "C" | "RC" => Some(Scale::Hrc),
        "A" | "RA" => Some(Scale::Hra),
        "B" | "RB" => Some(Scale::Hrb),
        "D" | "RD" => Some(Scale::Hrd),
        "15N" => Some(Scale::Hr15n),
        "30N" => Some(Scale::Hr30n),
        "45N" => Some(Scale::Hr45n),
        _ => None,
    })
}
