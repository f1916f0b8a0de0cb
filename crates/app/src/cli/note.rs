//! `note`: how a drawing note is read.

use std::path::PathBuf;

use casewright_job::note::{self, reading::NoteReading};
use casewright_terms::{Diag, UnitSystem};
use clap::Args;

use crate::answer::{Answer, Trouble};
use crate::show::diag::clean;
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// A note longer than this is no note on a drawing; the reader's time is kept for real ones.
const LONGEST_NOTE_BYTES: usize = 16 * 1024;

/// Options of `note`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The note as it stands on the drawing; `-` reads it from standard input.
    #[arg(
        value_name = "TEXT",
        required_unless_present = "file",
        allow_hyphen_values = true
    )]
    text: Option<String>,
    /// Read the note from a file.
    #[arg(long, value_name = "F", conflicts_with = "text")]
    file: Option<PathBuf>,
}

/// Reads the note. Open questions do not change the exit status: the reading is done, and a plan
/// is what they stop.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let text = text(options).map_err(Trouble::input)?;
    let text = text.trim_end_matches(['\n', '\r']);
    if text.trim().is_empty() {
        return Err(Trouble::input(
            Diag::stop("note-empty", "The note is empty.")
                .accepted("Give its words, as in \"CASE HARDEN .030-.040 ECD, 58-62 HRC\"."),
        ));
    }
    if text.len() > LONGEST_NOTE_BYTES {
        return Err(Trouble::input(
            Diag::stop(
                "note-too-long",
                format!("The note has {} bytes.", text.len()),
            )
            .why("A note on a drawing is a few lines; this is some other text.")
            .accepted(format!("At most {LONGEST_NOTE_BYTES} bytes are read.")),
        ));
    }
    let reading = note::read(text);
    let answer = wire::json(&wire::note::Note::of(&reading));
    // The words of the note are repeated; what would drive a terminal is not.
    Ok(Answer::done(clean(&told(&reading)), answer))
}

fn text(options: &Options) -> Result<String, Diag> {
    match (&options.file, options.text.as_deref()) {
        (Some(file), _) => world::read_text(file),
        (None, Some("-") | None) => world::read_stdin(),
        (None, Some(text)) => Ok(text.to_owned()),
    }
}

/// The reading for a person.
fn told(note: &NoteReading) -> String {
    let mut out = String::from("The note, phrase by phrase\n");
    for phrase in &note.phrases {
        out.push_str(&hanging("  ", &format!("\"{}\"", phrase.phrase)));
        out.push_str(&hanging("      = ", &phrase.understood));
        if let Some(assumed) = &phrase.assumed {
            out.push_str(&hanging("      ▲ assumed: ", assumed));
        }
    }
    out.push_str("\nWhat it asks for\n");
    for (what, value) in asked(note) {
        out.push_str(&hanging(&format!("  {what:<17} "), &value));
    }
    for (head, mark, lines) in [
        ("Assumed", "  ▲ ", of_the_whole(note)),
        (
            "To be answered before a plan is made",
            "  ■ ",
            note.blocks
                .iter()
                .map(|block| format!("[{}] {}", block.code, block.text))
                .collect(),
        ),
        (
            "To ask the customer",
            "  ",
            note.question.iter().cloned().collect(),
        ),
    ] {
        if !lines.is_empty() {
            out.push_str(&format!("\n{head}\n"));
            for line in lines.iter().flat_map(|text| text.lines()) {
                out.push_str(&hanging(mark, line));
            }
        }
    }
    out
}

/// Assumptions that no phrase shows already.
fn of_the_whole(note: &NoteReading) -> Vec<String> {
    note.assumptions
        .iter()
        .filter(|text| {
            !note
                .phrases
                .iter()
                .any(|p| p.assumed.as_ref() == Some(text))
        })
        .cloned()
        .collect()
}

fn asked(note: &NoteReading) -> Vec<(&'static str, String)> {
    let units = note.units.unwrap_or(UnitSystem::Metric);
    let mut lines = Vec::new();
    let depth = note.case_depth.map(|range| {
        let depth = casewright_report::show::depth_range(range.min, range.max, units).line();
        let kind = wire::note::depth_kind(note.depth_kind);
        let limit = note
            .limit_hardness
            .map_or_else(String::new, |limit| format!(" to {limit}"));
        let kind = match kind {
            "unstated" => "the note does not say which depth".to_owned(),
            kind => format!("{kind}{limit}"),
        };
        format!("{depth}, {kind}")
    });
    let stage = match wire::note::stage(note.stage) {
        "unstated" => "the note does not say whether before or after grinding".to_owned(),
        stage => stage.replace('-', " "),
    };
    lines.push((
        "case depth",
        depth.unwrap_or_else(|| "not asked for".into()),
    ));
    lines.push(("stage", stage));
    if let Some(stock) = note.stock_per_side {
        lines.push(("stock per side", stock.depth_text_both(units)));
    }
    for (what, range) in [
        ("surface hardness", note.surface_hardness),
        ("core hardness", note.core_hardness),
    ] {
        let text = range.map(|range| {
            let ends = match (range.min, range.max) {
                (Some(min), Some(max)) => format!("{min} to {max}"),
                (Some(min), None) => format!("at least {min}"),
                (None, Some(max)) => format!("at most {max}"),
                (None, None) => "any".to_owned(),
            };
            format!("{ends} {}", range.scale)
        });
        lines.push((what, text.unwrap_or_else(|| "not asked for".into())));
    }
    if note.file_hard {
        lines.push(("surface", "file-hard, which is not a number".into()));
    }
    for area in &note.selective {
        let rule = match wire::note::rule(area.rule) {
            "must" => "must be case-hardened",
            "may" => "may be case-hardened",
            _ => "must stay free of case",
        };
        lines.push(("area", format!("{}: {rule}", area.what)));
    }
    if !note.standards.is_empty() {
        lines.push(("standards", note.standards.join(", ")));
    }
    lines
}
