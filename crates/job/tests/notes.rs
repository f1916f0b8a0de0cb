//! The labelled set of drawing notes: every labelled field is read, or asked about as labelled.

use casewright_job::note::reading::{
    DepthKind, HardnessRange, LengthRange, NoteReading, Rule, Stage,
};
use casewright_job::note::{blocks, read};
use casewright_terms::{Length, Scale};

const SETS: [(&str, &str); 4] = [
    ("inch", include_str!("notes/inch.toml")),
    ("metric", include_str!("notes/metric.toml")),
    ("scales", include_str!("notes/scales.toml")),
    ("more", include_str!("notes/more.toml")),
];

/// One labelled note.
fn labelled() -> Vec<(String, toml::Table)> {
    let mut notes = Vec::new();
    for (name, text) in SETS {
        let table: toml::Table = text.parse().expect("the set is valid TOML");
        for note in table["note"].as_array().expect("notes are a list") {
            notes.push((
                name.to_owned(),
                note.as_table().expect("a note is a table").clone(),
            ));
        }
    }
    notes
}

fn end(text: &str) -> Option<f64> {
    (text != "-").then(|| text.parse().expect("a number"))
}

fn length_label(label: &str) -> LengthRange {
    let parts: Vec<&str> = label.split(' ').collect();
    let make = |v: f64| {
        if parts[0] == "in" {
            Length::from_in(v)
        } else {
            Length::from_mm(v)
        }
    };
    LengthRange {
        min: end(parts[1]).map(make),
        max: end(parts[2]).map(make),
    }
}

/// Lengths are equal to a nanometre: only the last bit of a conversion may differ.
fn same_length(a: Option<Length>, b: Option<Length>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).to_mm().abs() < 1e-6,
        (None, None) => true,
        _ => false,
    }
}

/// Hardnesses are equal but for the last bits of a tolerance's sum.
fn same_number(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-9,
        (None, None) => true,
        _ => false,
    }
}

fn same_hardness(label: Option<&str>, read: Option<HardnessRange>) -> bool {
    let Some(label) = label else {
        return read.is_none();
    };
    let parts: Vec<&str> = label.split(' ').collect();
    read.is_some_and(|r| {
        Some(r.scale) == Scale::from_symbol(parts[0])
            && same_number(r.min, end(parts[1]))
            && same_number(r.max, end(parts[2]))
    })
}

/// Everything in which a reading differs from its label.
fn differences(label: &toml::Table, reading: &NoteReading) -> Vec<String> {
    let mut wrong = Vec::new();
    let text = |key: &str| label.get(key).and_then(toml::Value::as_str);
    let list = |key: &str| -> Vec<String> {
        label
            .get(key)
            .and_then(toml::Value::as_array)
            .map_or(Vec::new(), |a| {
                a.iter()
                    .map(|v| v.as_str().expect("text").to_owned())
                    .collect()
            })
    };
    let mut codes: Vec<&str> = reading.blocks.iter().map(|b| b.code).collect();
    let mut expected = list("blocks");
    expected.sort();
    codes.sort_unstable();
    if codes != expected {
        wrong.push(format!("blocks {codes:?}, labelled {expected:?}"));
    }
    let open = !expected.is_empty();
    // Of a note with open points only what is labelled is held to; of the others everything is.
    let mut hold = |key: &str, ok: bool, got: String| {
        if !(ok || open && !label.contains_key(key)) {
            wrong.push(format!("{key} {got}, labelled {:?}", label.get(key)));
        }
    };
    let depth_ok = match (text("depth").map(length_label), reading.case_depth) {
        (Some(a), Some(b)) => same_length(a.min, b.min) && same_length(a.max, b.max),
        (a, b) => a.is_none() && b.is_none(),
    };
    hold("depth", depth_ok, format!("{:?}", reading.case_depth));
    let kind = match reading.depth_kind {
        DepthKind::Effective => Some("effective"),
        DepthKind::Total => Some("total"),
        DepthKind::Unstated => None,
    };
    hold("kind", text("kind") == kind, format!("{kind:?}"));
    let limit = reading
        .limit_hardness
        .map(|h| format!("{} {}", h.scale, h.value));
    hold(
        "limit",
        text("limit") == limit.as_deref(),
        format!("{limit:?}"),
    );
    let stage = match reading.stage {
        Stage::AfterGrind => Some("after-grind"),
        Stage::BeforeGrind => Some("before-grind"),
        Stage::Unstated => None,
    };
    hold("stage", text("stage") == stage, format!("{stage:?}"));
    let stock = text("stock")
        .map(|s| length_label(&format!("{s} -")))
        .and_then(|r| r.min);
    hold(
        "stock",
        same_length(stock, reading.stock_per_side),
        format!("{:?}", reading.stock_per_side),
    );
    hold(
        "surface",
        same_hardness(text("surface"), reading.surface_hardness),
        format!("{:?}", reading.surface_hardness),
    );
    hold(
        "core",
        same_hardness(text("core"), reading.core_hardness),
        format!("{:?}", reading.core_hardness),
    );
    let file_hard = label
        .get("file_hard")
        .and_then(toml::Value::as_bool)
        .unwrap_or(false);
    hold(
        "file_hard",
        file_hard == reading.file_hard,
        reading.file_hard.to_string(),
    );
    if let Some(force) = label.get("force").and_then(toml::Value::as_float) {
        let got = reading.surface_hardness.and_then(|h| h.force_kgf);
        hold("force", got == Some(force), format!("{got:?}"));
    }
    let mut selective: Vec<String> = reading
        .selective
        .iter()
        .map(|s| format!("{}: {}", s.what, rule(s.rule)))
        .collect();
    let mut labelled = list("selective");
    selective.sort();
    labelled.sort();
    hold("selective", selective == labelled, format!("{selective:?}"));
    hold(
        "standards",
        reading.standards == list("standards"),
        format!("{:?}", reading.standards),
    );
    if let Some(words) = text("assumes") {
        hold(
            "assumes",
            reading.assumptions.iter().any(|a| a.contains(words)),
            format!("{:?}", reading.assumptions),
        );
    }
    wrong
}

fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::Must => "must",
        Rule::May => "may",
        Rule::MustNot => "must-not",
    }
}

#[test]
fn no_labelled_note_is_silently_wrong() {
    let notes = labelled();
    let mut report = String::new();
    for (set, label) in &notes {
        let text = label["text"].as_str().expect("text");
        let wrong = differences(label, &read(text));
        if !wrong.is_empty() {
            report.push_str(&format!("\n[{set}] {text:?}\n   {}", wrong.join("\n   ")));
        }
    }
    assert!(
        report.is_empty(),
        "{} notes labelled; these differ:{report}",
        notes.len()
    );
}

#[test]
fn the_set_is_large_and_reaches_every_open_point() {
    let notes = labelled();
    assert!(notes.len() >= 500, "{} notes", notes.len());
    // Conflicts of cores are reached by the unit test of answers.
    for kind in blocks::TABLE
        .iter()
        .filter(|k| k.code != blocks::CORE_CONFLICT)
    {
        let reached = notes.iter().any(|(_, n)| {
            n.get("blocks")
                .and_then(toml::Value::as_array)
                .is_some_and(|b| b.iter().any(|c| c.as_str() == Some(kind.code)))
        });
        assert!(reached, "no labelled note reaches `{}`", kind.code);
    }
}

#[test]
fn open_points_make_a_question_and_closed_notes_none() {
    for (_, label) in labelled() {
        let text = label["text"].as_str().expect("text");
        let reading = read(text);
        assert_eq!(
            reading.question.is_some(),
            !reading.blocks.is_empty(),
            "{text:?}"
        );
        if let Some(question) = reading.question {
            assert!(
                question.contains(text.trim()),
                "the question quotes the note: {question}"
            );
            for k in 1..=reading.blocks.len() {
                assert!(
                    question.contains(&format!("\n{k}. ")),
                    "point {k} is numbered: {question}"
                );
            }
        }
    }
}
