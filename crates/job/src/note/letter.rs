//! The note laid out phrase by phrase, and the question to the customer.
//!
//! Writes what was read; decides nothing.

use super::depth;
use super::draft::Draft;
use super::hardness;
use super::piece::{Item, Piece};
use super::reading::{NoteReading, Phrase};
use super::words::Meaning;

/// The phrase text for words that nothing was made of.
const NOT_READ: &str = "not read";

/// Lays the pieces out so that every byte of the note belongs to exactly one phrase.
pub(super) fn phrases(draft: &Draft) -> Vec<Phrase> {
    let text = &draft.reading.text;
    let mut phrases: Vec<Phrase> = Vec::new();
    let mut after_unknown = false;
    for piece in &draft.pieces {
        if joins_the_phrase_before(piece) {
            continue;
        }
        let unknown = matches!(piece.item, Item::Unknown);
        if unknown && after_unknown {
            continue;
        }
        after_unknown = unknown;
        let understood = piece
            .understood
            .clone()
            .unwrap_or_else(|| NOT_READ.to_owned());
        phrases.push(Phrase {
            phrase: String::new(),
            span: piece.span.start..text.len(),
            understood,
            assumed: piece.assumed.clone(),
        });
    }
    if phrases.is_empty() && !text.is_empty() {
        phrases.push(Phrase {
            phrase: String::new(),
            span: 0..text.len(),
            understood: NOT_READ.to_owned(),
            assumed: None,
        });
    }
    if let Some(first) = phrases.first_mut() {
        first.span.start = 0;
    }
    for i in 1..phrases.len() {
        phrases[i - 1].span.end = phrases[i].span.start;
    }
    for phrase in &mut phrases {
        text[phrase.span.clone()]
            .trim()
            .clone_into(&mut phrase.phrase);
    }
    phrases
}

/// Signs, breaks and joining words have no reading of their own.
fn joins_the_phrase_before(piece: &Piece) -> bool {
    match piece.item {
        Item::Break { .. } | Item::Sign => true,
        Item::Word(Meaning::Filler | Meaning::And, _) => piece.understood.is_none(),
        _ => false,
    }
}

/// One message with the open points numbered, or `None` where nothing is open.
pub(super) fn question(reading: &NoteReading) -> Option<String> {
    if reading.blocks.is_empty() {
        return None;
    }
    let count = reading.blocks.len();
    let points = if count == 1 {
        "one point".to_owned()
    } else {
        format!("{count} points")
    };
    let mut letter = format!(
        "Before we can plan the case hardening we need your word on {points} of the drawing note:\n\n  “{}”\n\n",
        quoted(&reading.text)
    );
    for (k, block) in reading.blocks.iter().enumerate() {
        let ask = asked(block.code);
        let gap = if ask.is_empty() { "" } else { " " };
        letter.push_str(&format!("{}. {}{gap}{ask}\n", k + 1, block.text));
    }
    let taken = taken(reading);
    if !taken.is_empty() {
        letter.push_str(&format!(
            "\nThe rest we read as: {}. Please correct us where that is not meant.\n",
            taken.join("; ")
        ));
    }
    letter.push_str("\nAn answer by number is enough. Thank you.");
    Some(letter)
}

/// The note in one paragraph, cut where it is endless.
fn quoted(text: &str) -> String {
    const MOST: usize = 600;
    let mut quoted: String = text.trim().chars().take(MOST).collect();
    if text.trim().chars().nth(MOST).is_some() {
        quoted.push_str(" […]");
    }
    quoted
}

/// What to ask for, by code.
fn asked(code: &str) -> &'static str {
    match code {
        "not-a-case-note" => "Which note is meant?",
        "other-process" => "May the part be carburized in a pack instead?",
        "spec-excludes-pack" => {
            "May we work without certifying to it, or should another shop do the work?"
        }
        "no-depth" => "Which depth, in which unit, is required?",
        "unit" => "Is it inch or millimetre?",
        "number-form" => "Which value is meant, in which unit?",
        "range-reversed" => "Which range is meant?",
        "depth-range" => "Which depth, in which unit, is meant?",
        "depth-tolerance" => "Which least and greatest depth do you accept?",
        "depth-kind" => "Is the depth effective (and to which limit hardness) or total?",
        "limit-hardness" => "Which limit hardness holds, 550 HV or 50 HRC?",
        "stage" => "Do they hold before or after grinding?",
        "stock" => "Is it per side or on the diameter?",
        "hardness-scale" => "Which scale is meant?",
        "scale-not-convertible" => "Which hardness, on which scale, is required?",
        "surface-range" => "Which surface hardness is required?",
        "core-above-surface" => "Which core hardness is required?",
        "scale-too-heavy" => "May the surface be accepted on 15N, 30N or HV?",
        "area-conflict" => "Which holds?",
        _ => "",
    }
}

/// What was read for certain or by a listed assumption.
fn taken(reading: &NoteReading) -> Vec<String> {
    let mut taken = Vec::new();
    let open = |code: &str| reading.blocks.iter().any(|b| b.code == code);
    if let Some(range) = reading
        .case_depth
        .filter(|_| !open("depth-range") && !open("range-reversed"))
    {
        taken.push(format!("case depth {}", depth::text(range, reading.units)));
    }
    if let Some(range) = reading
        .surface_hardness
        .filter(|_| !open("surface-range") && !open("range-reversed"))
    {
        taken.push(format!("surface hardness {}", hardness::text(range)));
    }
    if let Some(range) = reading
        .core_hardness
        .filter(|_| !open("core-above-surface"))
    {
        taken.push(format!("core hardness {}", hardness::text(range)));
    }
    taken
}
