//! A drawing note's reading on the wire.

use casewright_job::note::reading::{
    Block, DepthKind, HardnessRange, LengthRange, NoteReading, Phrase, Rule, Selective, Stage,
};
use casewright_terms::UnitSystem;
use serde::Serialize;

use super::{Range, Reading, number};

/// The answer of `note`.
#[derive(Debug, Serialize)]
pub(crate) struct Note {
    text: String,
    phrases: Vec<PhraseLine>,
    units: Option<&'static str>,
    case_depth_mm: Range,
    depth_kind: &'static str,
    limit_hardness: Option<Reading>,
    stage: &'static str,
    stock_per_side_mm: Option<f64>,
    surface_hardness: HardnessLine,
    core_hardness: HardnessLine,
    file_hard: bool,
    selective: Vec<Area>,
    standards: Vec<String>,
    blocks: Vec<BlockLine>,
    assumptions: Vec<String>,
    question: Option<String>,
}

/// How one phrase was read.
#[derive(Debug, Serialize)]
pub(crate) struct PhraseLine {
    phrase: String,
    understood: String,
    assumed: Option<String>,
    /// First and past-the-last byte of the words in the note.
    bytes: [usize; 2],
}

#[derive(Debug, Serialize)]
struct HardnessLine {
    scale: Option<&'static str>,
    min: Option<f64>,
    max: Option<f64>,
    force_kgf: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Area {
    what: String,
    rule: &'static str,
}

/// What stops a plan until it is answered.
#[derive(Debug, Serialize)]
pub(crate) struct BlockLine {
    code: &'static str,
    text: String,
}

impl Note {
    /// From a reading.
    pub(crate) fn of(note: &NoteReading) -> Self {
        Self {
            text: note.text.clone(),
            phrases: phrases(&note.phrases),
            units: note.units.map(units),
            case_depth_mm: depth(note.case_depth.unwrap_or_default()),
            depth_kind: depth_kind(note.depth_kind),
            limit_hardness: note.limit_hardness.map(Reading::from),
            stage: stage(note.stage),
            stock_per_side_mm: note.stock_per_side.map(|stock| number(stock.to_mm())),
            surface_hardness: hardness(note.surface_hardness),
            core_hardness: hardness(note.core_hardness),
            file_hard: note.file_hard,
            selective: note.selective.iter().map(area).collect(),
            standards: note.standards.clone(),
            blocks: blocks(&note.blocks),
            assumptions: note.assumptions.clone(),
            question: note.question.clone(),
        }
    }
}

/// The phrases of a note.
pub(crate) fn phrases(phrases: &[Phrase]) -> Vec<PhraseLine> {
    phrases
        .iter()
        .map(|phrase| PhraseLine {
            phrase: phrase.phrase.clone(),
            understood: phrase.understood.clone(),
            assumed: phrase.assumed.clone(),
            bytes: [phrase.span.start, phrase.span.end],
        })
        .collect()
}

/// The blocks of a note.
pub(crate) fn blocks(blocks: &[Block]) -> Vec<BlockLine> {
    blocks
        .iter()
        .map(|block| BlockLine {
            code: block.code,
            text: block.text.clone(),
        })
        .collect()
}

fn depth(range: LengthRange) -> Range {
    Range {
        min: range.min.map(|min| number(min.to_mm())),
        max: range.max.map(|max| number(max.to_mm())),
    }
}

/// All ends are `null` where the note asks for nothing.
fn hardness(range: Option<HardnessRange>) -> HardnessLine {
    HardnessLine {
        scale: range.map(|range| range.scale.symbol()),
        min: range.and_then(|range| range.min).map(number),
        max: range.and_then(|range| range.max).map(number),
        force_kgf: range.and_then(|range| range.force_kgf).map(number),
    }
}

fn area(area: &Selective) -> Area {
    Area {
        what: area.what.clone(),
        rule: rule(area.rule),
    }
}

/// The word for a unit system.
pub(crate) const fn units(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Metric => "metric",
        UnitSystem::Inch => "inch",
    }
}

/// The word for a kind of depth.
pub(crate) const fn depth_kind(kind: DepthKind) -> &'static str {
    match kind {
        DepthKind::Effective => "effective",
        DepthKind::Total => "total",
        DepthKind::Unstated => "unstated",
    }
}

/// The word for a stage.
pub(crate) const fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::AfterGrind => "after-grind",
        Stage::BeforeGrind => "before-grind",
        Stage::Unstated => "unstated",
    }
}

/// The word for a rule.
pub(crate) const fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::Must => "must",
        Rule::May => "may",
        Rule::MustNot => "must-not",
    }
}
