//! Answers to open points: read, checked, and the note read again with them.
//!
//! An answer replaces what was open and nothing else; all rules run again over the result.

use casewright_terms::{Diag, Hardness, Length, UnitSystem};

use super::amount::Shape;
use super::blocks;
use super::depth;
use super::draft::Settled;
use super::hardness;
use super::piece::{self, Piece};
use super::reading::{DepthKind, HardnessRange, LengthRange, NoteReading, Phrase, Rule, Stage};
use super::scale::{self, Mark, ScaleName, Unit};
use super::token;
use super::unit;
use super::words::Meaning;
use crate::spec::Answer;

/// Reads the note again with the answers; gives a complaint for each that cannot be used.
pub(super) fn apply(reading: NoteReading, answers: &[Answer]) -> (NoteReading, Vec<Diag>) {
    let stage_asked = reading.blocks.iter().any(|b| b.code == blocks::STAGE);
    let mut settled = Settled::default();
    let mut complaints = Vec::new();
    let mut used: Vec<(&Answer, String)> = Vec::new();
    for answer in answers {
        match settle(&mut settled, &reading, answer) {
            Ok(taken) => used.push((answer, taken)),
            Err(complaint) => complaints.push(*complaint),
        }
    }
    let text = reading.text.clone();
    let mut again = super::interpret(&text, settled);
    if stage_asked {
        again = super::block_stage(again);
    }
    for (answer, taken) in used {
        let by = if answer.by.trim().is_empty() {
            "no name given"
        } else {
            answer.by.trim()
        };
        let words = format!("{}: {taken}, answered by {by}", answer.code);
        again.phrases.push(Phrase {
            phrase: answer.value.clone(),
            span: text.len()..text.len(),
            understood: format!("answer to {}: {taken}", answer.code),
            assumed: Some(format!("answered by {by}")),
        });
        again.assumptions.push(words);
    }
    (again, complaints)
}

/// A complaint with what would be accepted.
fn unreadable(kind: &blocks::BlockKind, value: &str) -> Box<Diag> {
    let accepted = if kind.accepted.is_empty() {
        "This point can only be settled by a corrected note.".to_owned()
    } else {
        format!("Accepted: {}.", kind.accepted)
    };
    Box::new(
        Diag::stop(
            "answer-unreadable",
            format!("“{value}” does not answer `{}`.", kind.code),
        )
        .why("The open point stays open.")
        .accepted(accepted),
    )
}

/// Takes one answer into what is settled, or says why it cannot be used.
fn settle(
    settled: &mut Settled,
    reading: &NoteReading,
    answer: &Answer,
) -> Result<String, Box<Diag>> {
    let Some(kind) = blocks::find(answer.code.trim()) else {
        let open: Vec<&str> = reading.blocks.iter().map(|b| b.code).collect();
        let open = if open.is_empty() {
            "The note has no open points.".to_owned()
        } else {
            format!("Open points of this note: {}.", open.join(", "))
        };
        return Err(Box::new(
            Diag::stop(
                "answer-unknown",
                format!("No open point is called “{}”.", answer.code),
            )
            .why("An answer that reaches no open point settles nothing.")
            .accepted(open),
        ));
    };
    let value = plain(&answer.value);
    take(settled, kind.code, &value, &answer.value).ok_or_else(|| unreadable(kind, &answer.value))
}

/// Lower case, single spaces, hyphens as spaces: how keywords are compared.
fn plain(value: &str) -> String {
    value
        .to_lowercase()
        .replace(['-', '_'], " ")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

/// Sets what the answer settles; the words of what was taken, or `None` where it is unreadable.
fn take(settled: &mut Settled, code: &'static str, value: &str, written: &str) -> Option<String> {
    match code {
        blocks::UNIT => take_unit(settled, value),
        blocks::STAGE => take_stage(settled, value),
        blocks::DEPTH_KIND => take_kind(settled, value, written),
        blocks::LIMIT_HARDNESS => {
            let limit = hardness_of(written)?;
            settled.limit = Some(limit);
            Some(format!("limit {limit}"))
        }
        blocks::HARDNESS_SCALE => {
            let scale = scale_of(written)?;
            settled.scale = Some(scale);
            Some(format!("scale {scale}"))
        }
        blocks::STOCK => take_stock(settled, value, written),
        blocks::DEPTH_RANGE if matches!(value, "as written" | "confirmed" | "correct") => {
            agreed(settled, code, "the depth holds as written")
        }
        blocks::DEPTH_TOLERANCE if matches!(value, "min" | "minimum" | "least") => {
            settled.depth_shape = Some(Shape::Least);
            Some("the depth is the least".to_owned())
        }
        blocks::DEPTH_TOLERANCE if matches!(value, "max" | "maximum" | "greatest") => {
            settled.depth_shape = Some(Shape::Most);
            Some("the depth is the greatest".to_owned())
        }
        blocks::NUMBER_FORM
        | blocks::RANGE_REVERSED
        | blocks::SURFACE_CONFLICT
        | blocks::SURFACE_RANGE
        | blocks::SCALE_TOO_HEAVY
        | blocks::SCALE_NOT_CONVERTIBLE
        | blocks::CORE_CONFLICT
        | blocks::CORE_ABOVE_SURFACE
        | blocks::NO_DEPTH
        | blocks::DEPTH_RANGE
        | blocks::DEPTH_TOLERANCE
        | blocks::DEPTH_CONFLICT => take_value(settled, code, value, written),
        blocks::AREA_CONFLICT => {
            settled.area = Some(match value {
                "must" => Rule::Must,
                "may" => Rule::May,
                "must not" => Rule::MustNot,
                _ => return None,
            });
            Some(format!("the area {value} be cased"))
        }
        blocks::OTHER_PROCESS
            if matches!(
                value,
                "pack carburize" | "pack carburise" | "pack" | "carburize" | "pack carburizing"
            ) =>
        {
            agreed(settled, code, "carburizing in a pack is allowed")
        }
        blocks::SPEC_EXCLUDES_PACK if matches!(value, "waived" | "released" | "not required") => {
            agreed(settled, code, "released from the specification")
        }
        blocks::UNREAD_NUMBER | blocks::UNREAD_EXCEPTION if is_none(value) => {
            agreed(settled, code, "asks nothing of the heat treatment")
        }
        _ => None,
    }
}

fn is_none(value: &str) -> bool {
    matches!(value, "no requirement" | "none" | "ignore" | "not required")
}

fn agreed(settled: &mut Settled, code: &'static str, words: &str) -> Option<String> {
    settled.agreed.insert(code);
    Some(words.to_owned())
}

fn take_unit(settled: &mut Settled, value: &str) -> Option<String> {
    let (unit, words) = match value {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" | "metric" => {
            (Unit::Mm, "millimetres")
        }
        "in" | "inch" | "inches" | "\"" => (Unit::Inch, "inches"),
        "thou" | "thousandths" | "mil" | "mils" => (Unit::Thou, "thousandths of an inch"),
        _ => return None,
    };
    settled.unit = Some(unit);
    Some(words.to_owned())
}

fn take_stage(settled: &mut Settled, value: &str) -> Option<String> {
    let (stage, words) = match value {
        "after grind" | "after grinding" | "finished" | "final" => {
            (Stage::AfterGrind, "after grinding")
        }
        "before grind" | "before grinding" | "as hardened" => {
            (Stage::BeforeGrind, "before grinding")
        }
        _ => return None,
    };
    settled.stage = Some(stage);
    Some(words.to_owned())
}

fn take_kind(settled: &mut Settled, value: &str, written: &str) -> Option<String> {
    let head = value.split(' ').next().unwrap_or("");
    let rest = value[head.len()..].trim();
    match head {
        "total" if rest.is_empty() || rest == "depth" => {
            settled.kind = Some(DepthKind::Total);
            Some("total depth".to_owned())
        }
        "effective" => {
            settled.kind = Some(DepthKind::Effective);
            if rest.is_empty() || rest == "depth" {
                return Some("effective depth".to_owned());
            }
            let limit = hardness_of(written)?;
            settled.limit = Some(limit);
            Some(format!("effective depth to {limit}"))
        }
        _ => None,
    }
}

fn take_stock(settled: &mut Settled, value: &str, written: &str) -> Option<String> {
    match value {
        "per side" | "side" => {
            settled.per_side = Some(true);
            return Some("per side".to_owned());
        }
        "on diameter" | "on the diameter" | "diameter" | "on dia" => {
            settled.per_side = Some(false);
            return Some("on the diameter".to_owned());
        }
        _ => {}
    }
    let pieces = pieces_of(written);
    let amount = pieces.iter().find_map(Piece::amount)?;
    let unit = amount.unit.filter(|u| u.is_length())?;
    let whole = unit
        .length(amount.high)
        .filter(|_| amount.doubt.is_none())?;
    let on_diameter = pieces
        .iter()
        .any(|p| p.meaning() == Some(Meaning::OnDiameter));
    let per_side = pieces.iter().any(|p| p.meaning() == Some(Meaning::PerSide));
    let stock: Length = match (per_side, on_diameter) {
        (true, false) => whole,
        (false, true) => whole / 2.0,
        _ => return None,
    };
    settled.stock = Some(stock);
    let units = unit::system(unit).unwrap_or_default();
    Some(format!("stock {} per side", stock.depth_text_both(units)))
}

/// A depth, a surface or a core hardness given anew.
fn take_value(
    settled: &mut Settled,
    code: &'static str,
    value: &str,
    written: &str,
) -> Option<String> {
    let core = matches!(code, blocks::CORE_CONFLICT | blocks::CORE_ABOVE_SURFACE)
        || written.to_lowercase().contains("core");
    let for_depth = matches!(
        code,
        blocks::NO_DEPTH | blocks::DEPTH_RANGE | blocks::DEPTH_TOLERANCE | blocks::DEPTH_CONFLICT
    );
    if code == blocks::SCALE_TOO_HEAVY && value == "agreed" {
        return agreed(settled, code, "another scale is agreed");
    }
    if is_none(value)
        && matches!(
            code,
            blocks::SCALE_NOT_CONVERTIBLE | blocks::CORE_ABOVE_SURFACE
        )
    {
        if code == blocks::CORE_ABOVE_SURFACE {
            settled.core = Some(None);
        } else {
            settled.agreed.insert(code);
        }
        return Some("no requirement".to_owned());
    }
    if !for_depth && let Some(range) = hardness_range_of(written) {
        let slot = if core {
            &mut settled.core
        } else {
            &mut settled.surface
        };
        *slot = Some(Some(range));
        let side = if core { "core" } else { "surface" };
        return Some(format!("{side} hardness {}", hardness::text(range)));
    }
    let depth_too = for_depth || matches!(code, blocks::NUMBER_FORM | blocks::RANGE_REVERSED);
    let (range, units) = depth_of(written).filter(|_| depth_too)?;
    settled.depth = Some((range, units));
    Some(format!("case depth {}", depth::text(range, Some(units))))
}

fn pieces_of(written: &str) -> Vec<Piece> {
    piece::pieces(&token::tokens(written))
}

/// A depth with its unit; a lone number counts as the least.
fn depth_of(written: &str) -> Option<(LengthRange, UnitSystem)> {
    let pieces = pieces_of(written);
    let amount = pieces.iter().find_map(Piece::amount)?;
    let unit = amount.unit.filter(|u| u.is_length())?;
    let system = unit::system(unit)?;
    if amount.doubt.is_some() || amount.low > amount.high || amount.shape == Shape::Single {
        return None;
    }
    let range = LengthRange {
        min: unit
            .length(amount.low)
            .filter(|_| amount.shape != Shape::Most),
        max: unit
            .length(amount.high)
            .filter(|_| amount.shape != Shape::Least),
    };
    Some((range, system))
}

/// One hardness with its scale.
fn hardness_of(written: &str) -> Option<Hardness> {
    let pieces = pieces_of(written);
    let amount = pieces.iter().find_map(Piece::amount)?;
    let known = match amount.mark.as_ref()? {
        Mark {
            name: ScaleName::Known(scale),
            ..
        } => *scale,
        Mark { .. } => return None,
    };
    (amount.doubt.is_none() && amount.shape == Shape::Single)
        .then(|| Hardness::new(known, amount.low))
}

/// A hardness requirement with its scale; a lone number counts as the least.
fn hardness_range_of(written: &str) -> Option<HardnessRange> {
    let pieces = pieces_of(written);
    let amount = pieces.iter().find_map(Piece::amount)?;
    let mark = amount.mark.as_ref()?;
    let ScaleName::Known(scale) = mark.name else {
        return None;
    };
    if amount.doubt.is_some() || amount.low > amount.high {
        return None;
    }
    Some(HardnessRange {
        scale,
        force_kgf: mark.force_kgf,
        min: (amount.shape != Shape::Most).then_some(amount.low),
        max: matches!(amount.shape, Shape::Most | Shape::Range).then_some(amount.high),
    })
}

/// A scale by its name.
fn scale_of(written: &str) -> Option<casewright_terms::Scale> {
    let tokens = token::tokens(written);
    let (mark, next) = scale::scale(&tokens, 0)?;
    match mark.name {
        ScaleName::Known(scale) if next == tokens.len() => Some(scale),
        _ => None,
    }
}
