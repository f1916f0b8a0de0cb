//! What the person wrote, piece by piece with its place, before it is known to make sense.
//!
//! Checks each piece by itself. What takes two pieces, the shop or the steel table is `resolve`'s.

mod part;
mod steel;
mod wishes;

use casewright_terms::{Diag, Place, UnitSystem};
use toml::de::DeValue;

use crate::read_shop::{self, DEFAULT_TAKEN};
use crate::shop::Shop;
use crate::spec::{Answer, Feature, Stock};
use crate::suggest;
use crate::text::{At, Scribe, Section, clipped, wrong_type};

pub(crate) use part::{PartDraft, kind_word};
pub(crate) use steel::SteelDraft;
pub(crate) use wishes::{ROUTES, WishDraft};

/// A job file as read. Pieces that could not be read are missing here and complained about.
#[derive(Clone, Debug)]
pub struct Draft {
    /// What reading found; `resolve` repeats it, so that its list is the whole one.
    pub(crate) diags: Vec<Diag>,
    pub(crate) name: Option<At<String>>,
    pub(crate) number: Option<String>,
    pub(crate) quantity: Option<At<u32>>,
    pub(crate) units: Option<UnitSystem>,
    /// Units of the sizes, in the order of the text.
    pub(crate) written_units: Vec<UnitSystem>,
    pub(crate) note: Option<At<String>>,
    pub(crate) start: Option<At<jiff::civil::DateTime>>,
    pub(crate) unattended: Option<bool>,
    pub(crate) part: Option<PartDraft>,
    pub(crate) features: Vec<At<Feature>>,
    pub(crate) steel: SteelDraft,
    pub(crate) stock: Vec<At<Stock>>,
    pub(crate) answers: Vec<At<Answer>>,
    pub(crate) wishes: WishDraft,
    pub(crate) shop: ShopDraft,
    pub(crate) defaults: Vec<String>,
}

/// Where the shop is described.
#[derive(Clone, Debug)]
pub(crate) enum ShopDraft {
    /// Nowhere, or in a way that was complained about.
    None,
    /// In a file of its own.
    Reference(At<String>),
    /// In the job file.
    Inline(Option<Box<Shop>>),
}

impl Draft {
    /// The shop file this job refers to (relative to the job file) and where it says so.
    #[must_use]
    pub fn shop_reference(&self) -> Option<(String, Place)> {
        match &self.shop {
            ShopDraft::Reference(at) => Some((at.value.clone(), at.place.clone())),
            _ => None,
        }
    }
}

const JOB_KEYS: &[&str] = &[
    "name",
    "number",
    "quantity",
    "units",
    "note",
    "start",
    "unattended",
    "shop",
    "part",
    "feature",
    "steel",
    "stock",
    "answer",
    "wish",
];
const ANSWER_KEYS: &[&str] = &["code", "value", "by"];

/// Where each key of a job file belongs.
const HOMES: &[(&str, &[&str])] = &[
    ("", JOB_KEYS),
    ("[part]", part::PART_KEYS),
    ("[[feature]]", part::FEATURE_KEYS),
    ("[steel]", steel::STEEL_KEYS),
    ("[[stock]]", part::STOCK_KEYS),
    ("[[answer]]", ANSWER_KEYS),
    ("[wish]", wishes::WISH_KEYS),
];

/// Greatest number of parts in one job.
const MOST_PARTS: u32 = 100_000;

/// Reads a job file. Never panics; reads on after a mistake.
///
/// The diagnostics are those of reading alone, in the order of the text; [`crate::resolve`]
/// returns them again with its own, so that whoever calls it shows that one list.
#[must_use]
pub fn parse(file_name: &str, text: &str) -> (Draft, Vec<Diag>) {
    let mut scribe = Scribe::new(file_name, text, HOMES);
    let mut draft = Draft {
        diags: Vec::new(),
        name: None,
        number: None,
        quantity: None,
        units: None,
        written_units: Vec::new(),
        note: None,
        start: None,
        unattended: None,
        part: None,
        features: Vec::new(),
        steel: SteelDraft::default(),
        stock: Vec::new(),
        answers: Vec::new(),
        wishes: WishDraft::default(),
        shop: ShopDraft::None,
        defaults: Vec::new(),
    };
    if let Some(document) = scribe.parse() {
        if document.get_ref().is_empty() && scribe.diags.is_empty() {
            scribe.push_at(
                Diag::stop("job-empty", "The file says nothing.")
                    .why("A job needs a note, a part, a steel and a shop.")
                    .accepted("Start from one of the examples."),
                0..0,
            );
        } else {
            let top = scribe.open("", document.get_ref(), 0..0, JOB_KEYS);
            read(&mut draft, &mut scribe, &top);
        }
    }
    drop_echoes(&mut scribe, text);
    draft.diags = scribe.finish();
    let diags = draft.diags.clone();
    (draft, diags)
}

fn read(draft: &mut Draft, scribe: &mut Scribe<'_>, top: &Section<'_>) {
    draft.name = scribe.line(top, "name");
    if draft.name.is_none() {
        scribe.missing(
            top,
            "name",
            "It heads the run sheet and the certificate.",
            "name = \"Winch pawls\"",
        );
    }
    draft.number = scribe.line_or_number(top, "number").map(|at| at.value);
    draft.quantity = scribe.count(
        top,
        "quantity",
        1..=MOST_PARTS,
        "It is the number of parts; box, compound and quench are sized by it.",
    );
    if draft.quantity.is_none() {
        scribe.missing(
            top,
            "quantity",
            "Box, compound and quench are sized by the number of parts.",
            "quantity = 4",
        );
    }
    draft.units = scribe
        .choice(
            top,
            "units",
            &[("metric", UnitSystem::Metric), ("inch", UnitSystem::Inch)],
        )
        .map(|at| at.value);
    draft.note = note(scribe, top);
    draft.start = start(scribe, top);
    draft.unattended = scribe.flag(top, "unattended").map(|at| at.value);
    if draft.unattended.is_none() && !top.has("unattended") {
        draft
            .defaults
            .push("Somebody is there during the whole soak: unattended is not given.".to_owned());
    }
    part::read(draft, scribe, top);
    steel::read(draft, scribe, top);
    answers(draft, scribe, top);
    wishes::read(draft, scribe, top);
    shop(draft, scribe, top);
}

fn note(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Option<At<String>> {
    let Some(note) = scribe.lines(top, "note") else {
        scribe.missing(
            top,
            "note",
            "The drawing note is what the job must meet.",
            "note = \"CARBURIZE .030-.040 ECD, RC 58-62\", word for word as on the drawing",
        );
        return None;
    };
    if note.value.trim().is_empty() {
        scribe.push(
            Diag::stop("note-empty", "The note is empty.")
                .why("Without the drawing's words there is no depth and no hardness to plan for.")
                .accepted("Copy the note word for word from the drawing.")
                .at(note.place),
        );
        return None;
    }
    Some(note)
}

fn start(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Option<At<jiff::civil::DateTime>> {
    let value = top.table.get("start")?;
    let (words, offset) = match value.get_ref() {
        DeValue::String(words) => (words.to_string(), false),
        DeValue::Datetime(when) => (when.to_string(), when.offset.is_some()),
        other => {
            let diag = wrong_type(
                "start",
                other,
                "a day and a clock time, for example \"2026-12-01 07:30\"",
            );
            scribe.push_at(diag, value.span());
            return None;
        }
    };
    match clock_time(&words) {
        Ok(when) if !offset => Some(scribe.at(when, value.span())),
        result => {
            let why = match result {
                Err(why) => why,
                Ok(_) => "It has a time zone; the plan is read off the shop's own wall clock.",
            };
            scribe.push_at(
                Diag::stop(
                    "start-unreadable",
                    format!("start = \"{}\".", clipped(&words)),
                )
                .why(why)
                .accepted("Write year-month-day and the time, for example \"2026-12-01 07:30\"."),
                value.span(),
            );
            None
        }
    }
}

/// A wall-clock time, year first; what can be read two ways is not read.
fn clock_time(words: &str) -> Result<jiff::civil::DateTime, &'static str> {
    let words = words.trim();
    let digits = words.bytes().take_while(u8::is_ascii_digit).count();
    if digits < 4 && words.contains(['/', '.', '-']) {
        return Err("Day and month could be taken for one another.");
    }
    if words.ends_with(['Z', 'z']) || words.contains('+') || words.contains('[') {
        return Err("It has a time zone; the plan is read off the shop's own wall clock.");
    }
    if !words.contains(':') {
        return Err("The clock time is missing; the plan is written as times on the wall.");
    }
    let when: jiff::civil::DateTime = words
        .parse()
        .map_err(|_| "There is no such day or time, or it is written otherwise.")?;
    if (2000..=2200).contains(&when.year()) {
        Ok(when)
    } else {
        Err("That year is none of ours.")
    }
}

fn answers(draft: &mut Draft, scribe: &mut Scribe<'_>, top: &Section<'_>) {
    for section in scribe.list(top, "answer", "[[answer]]", ANSWER_KEYS) {
        let code = scribe.line(&section, "code");
        let value = scribe.line_or_number(&section, "value");
        let by = scribe.line(&section, "by");
        for (key, why, example) in [
            (
                "code",
                "It says which open point of the note is answered.",
                "code = \"stage\"",
            ),
            ("value", "It is the answer.", "value = \"after-grind\""),
            (
                "by",
                "The record must show who decided it and when; it was not in the note.",
                "by = \"customer's engineer, telephone, 24 Nov\"",
            ),
        ] {
            scribe.missing(&section, key, why, example);
        }
        let (Some(code), Some(value), Some(by)) = (code, value, by) else {
            continue;
        };
        if let Some(first) = draft.answers.iter().find(|a| a.value.code == code.value) {
            scribe.push(
                Diag::stop(
                    "answer-twice",
                    format!("\"{}\" is answered twice.", code.value),
                )
                .why("Which of the two holds cannot be known.")
                .accepted("Keep one.")
                .at(code.place.clone())
                .also(first.place.clone(), "the first one"),
            );
            continue;
        }
        draft.answers.push(At {
            value: Answer {
                code: code.value,
                value: value.value,
                by: by.value,
            },
            place: code.place,
        });
    }
}

fn shop(draft: &mut Draft, scribe: &mut Scribe<'_>, top: &Section<'_>) {
    let Some(value) = top.table.get("shop") else {
        scribe.missing(
            top,
            "shop",
            "A plan is made for one shop's furnaces, boxes and tanks.",
            "shop = \"shop.toml\", the path of the shop file from this file's folder",
        );
        return;
    };
    draft.shop = match value.get_ref() {
        DeValue::String(_) => scribe
            .line(top, "shop")
            .map_or(ShopDraft::None, ShopDraft::Reference),
        DeValue::Table(table) => {
            let section = scribe.open("[shop]", table, value.span(), read_shop::SHOP_KEYS);
            let shop = read_shop::read(scribe, &section);
            // What a shop file tells as notes is part of the job's own list of defaults here.
            scribe.diags.retain(|diag| {
                let default = diag.code == DEFAULT_TAKEN;
                if default {
                    draft.defaults.push(diag.seen.clone());
                }
                !default
            });
            ShopDraft::Inline(shop.map(Box::new))
        }
        other => {
            let diag = wrong_type(
                "shop",
                other,
                "the path of a shop file in quotes, or a [shop] section",
            );
            scribe.push_at(diag, value.span());
            ShopDraft::None
        }
    };
}

/// After a fault of the TOML itself, drops what only follows from it: a key said to be missing
/// that stands on a faulty line, and second complaints about that line.
fn drop_echoes(scribe: &mut Scribe<'_>, text: &str) {
    const OF_THE_TOML: [&str; 4] = [
        "text-unquoted",
        "toml-syntax",
        "key-twice",
        "toml-many-faults",
    ];
    let mut faulty: Vec<std::ops::Range<usize>> = scribe
        .diags
        .iter()
        .filter(|diag| OF_THE_TOML.contains(&diag.code))
        .filter_map(|diag| diag.place.as_ref())
        .map(|place| line(text, place.span.start))
        .collect();
    if faulty.is_empty() {
        return;
    }
    faulty.sort_by_key(|line| line.start);
    faulty.dedup();
    let mut words: Vec<&str> = faulty
        .iter()
        .flat_map(|line| text[line.clone()].split(|c: char| !c.is_alphanumeric() && c != '_'))
        .filter(|word| !word.is_empty())
        .collect();
    words.sort_unstable();
    words.dedup();
    scribe.diags.retain(|diag| {
        if OF_THE_TOML.contains(&diag.code) {
            return true;
        }
        if diag.code == "key-missing" {
            let key = diag.seen.split('"').nth(1).unwrap_or("");
            return suggest::nearest(key, words.iter().copied()).is_none();
        }
        let start = diag
            .place
            .as_ref()
            .map_or(usize::MAX, |place| place.span.start);
        !faulty.iter().any(|line| line.contains(&start))
    });
}

/// The bytes of the line around a place.
fn line(text: &str, at: usize) -> std::ops::Range<usize> {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    // A fault at a line's end is reported on the break itself.
    let start = text[..at].rfind('\n').map_or(0, |n| n + 1);
    let end = text[at..].find('\n').map_or(text.len(), |n| at + n);
    start..end
}
