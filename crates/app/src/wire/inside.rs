//! The story by depth and the hardness traverse on the wire.

use casewright_job::spec::Spec;
use casewright_plan::PlanReport;
use casewright_plan::inside::{Shares, StoryPoint};
use casewright_plan::traverse::{Indent, Traverse};
use casewright_report::story;
use casewright_terms::Length;
use serde::Serialize;

use super::{Interval, number, numbers};

/// One depth.
#[derive(Debug, Serialize)]
pub(crate) struct StoryLine {
    depth_mm: f64,
    /// Below the finished face; `null` where this depth is ground off.
    depth_finished_mm: Option<f64>,
    carbon_wt_pct: f64,
    core_carbon_wt_pct: f64,
    half_gain_after_h: Option<f64>,
    gain_while_cooling_wt_pct: f64,
    boxed: Option<Vec<ShareLine>>,
    quenched_from_c: f64,
    dissolved_carbon_wt_pct: f64,
    carbide_left: f64,
    ferrite_left: f64,
    martensite_start_c: f64,
    cooling_from_c: f64,
    cooling_to_c: f64,
    cooling_s: Option<f64>,
    cooling_needed_s: Option<f64>,
    phases: Vec<ShareLine>,
    drawn_phases: Vec<ShareLine>,
    quenched_hv: f64,
    drawn_hv: f64,
    sentences: Vec<SentenceLine>,
}

#[derive(Debug, Serialize)]
struct ShareLine {
    name: &'static str,
    share: f64,
}

#[derive(Debug, Serialize)]
struct SentenceLine {
    about: &'static str,
    text: String,
    sources: Vec<&'static str>,
}

/// The stories of the given depths; of the usual ones where none is given.
pub(crate) fn story(spec: &Spec, report: &PlanReport, depths: &[Length]) -> Vec<StoryLine> {
    points(report, depths)
        .iter()
        .map(|point| line(point, spec))
        .collect()
}

/// The stories behind [`story`], for the text.
pub(crate) fn points(report: &PlanReport, depths: &[Length]) -> Vec<StoryPoint> {
    let (Some(inside), Some(prediction)) = (&report.inside, &report.prediction) else {
        return Vec::new();
    };
    let ground = report
        .plan
        .as_ref()
        .map_or(Length::ZERO, |plan| plan.depth.stock.1);
    let usual;
    let depths = if depths.is_empty() {
        usual = story::usual_depths(prediction, ground, inside.deepest());
        &usual
    } else {
        depths
    };
    depths
        .iter()
        .filter_map(|depth| inside.story(*depth, ground))
        .collect()
}

fn line(point: &StoryPoint, spec: &Spec) -> StoryLine {
    StoryLine {
        depth_mm: number(point.depth.to_mm()),
        depth_finished_mm: point.below_finished.map(|d| number(d.to_mm())),
        carbon_wt_pct: number(point.carbon_wt_pct),
        core_carbon_wt_pct: number(point.core_carbon_wt_pct),
        half_gain_after_h: point.half_gain_after.map(|t| number(t.to_h())),
        gain_while_cooling_wt_pct: number(point.gain_while_cooling_wt_pct),
        boxed: point.boxed.as_deref().map(shares),
        quenched_from_c: number(point.quenched_from.to_c()),
        dissolved_carbon_wt_pct: number(point.dissolved_wt_pct),
        carbide_left: number(point.carbide_left),
        ferrite_left: number(point.ferrite_left),
        martensite_start_c: number(point.martensite_start.to_c()),
        cooling_from_c: number(point.counted.0.to_c()),
        cooling_to_c: number(point.counted.1.to_c()),
        cooling_s: point.cooling.map(|t| number(t.to_s())),
        cooling_needed_s: point.needed.map(|t| number(t.to_s())),
        phases: shares(&point.phases),
        drawn_phases: shares(&point.drawn_phases),
        quenched_hv: number(point.quenched_hv),
        drawn_hv: number(point.drawn_hv),
        sentences: story::sentences(point, spec.units)
            .into_iter()
            .map(|sentence| SentenceLine {
                about: sentence.about,
                text: sentence.text,
                sources: sentence.sources.to_vec(),
            })
            .collect(),
    }
}

fn shares(list: &[(&'static str, f64)]) -> Vec<ShareLine> {
    list.iter()
        .map(|(name, share)| ShareLine {
            name,
            share: number(*share),
        })
        .collect()
}

/// Shares when the box is opened, by depth.
#[derive(Debug, Serialize)]
pub(crate) struct BoxedLine {
    depth_mm: Vec<f64>,
    bainite: Vec<f64>,
    pearlite: Vec<f64>,
    ferrite: Vec<f64>,
    carbide: Vec<f64>,
    martensite: Vec<f64>,
    retained_austenite: Vec<f64>,
}

/// The state when the box is opened; `None` where the parts are quenched from it.
pub(crate) fn boxed(report: &PlanReport) -> Option<BoxedLine> {
    let inside = report.inside.as_ref()?;
    let shares: &Shares = inside.boxed.as_ref()?;
    Some(BoxedLine {
        depth_mm: inside
            .depth_m
            .iter()
            .map(|d| number(Length::from_m(*d).to_mm()))
            .collect(),
        bainite: numbers(&shares.bainite),
        pearlite: numbers(&shares.pearlite),
        ferrite: numbers(&shares.ferrite),
        carbide: numbers(&shares.carbide),
        martensite: numbers(&shares.martensite),
        retained_austenite: numbers(&shares.retained_austenite),
    })
}

/// The traverse.
#[derive(Debug, Serialize)]
pub(crate) struct TraverseLine {
    piece: String,
    /// As in `HV1`.
    scale: String,
    force_kgf: f64,
    bands: usize,
    rows: usize,
    row_distance_mm: f64,
    spacing_least_mm: f64,
    step_mm: f64,
    depth_accuracy_mm: f64,
    indents: Vec<IndentLine>,
    limit_hardness_hv: f64,
    case_depth_mm: Interval,
    /// Places in `indents`, from 0, between which the case depth is expected.
    falls_between: [usize; 2],
    notes: Vec<String>,
    sources: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct IndentLine {
    depth_mm: f64,
    row: usize,
    across_mm: f64,
    hardness_hv: Interval,
    diagonal_mm: f64,
}

/// The traverse on the wire.
pub(crate) fn traverse(plan: &Traverse) -> TraverseLine {
    let mm = |length: Length| number(length.to_mm());
    TraverseLine {
        piece: plan.piece.clone(),
        scale: casewright_report::story::force_name(plan.force),
        force_kgf: number(plan.force.to_kgf()),
        bands: plan.bands,
        rows: plan.rows,
        row_distance_mm: mm(plan.row_distance),
        spacing_least_mm: mm(plan.spacing),
        step_mm: mm(plan.step),
        depth_accuracy_mm: mm(plan.depth_accuracy),
        indents: plan.indents.iter().map(indent).collect(),
        limit_hardness_hv: number(plan.limit.to_hv()),
        case_depth_mm: Interval::of(plan.case_depth, |length| length.to_mm()),
        falls_between: [plan.falls_between.0, plan.falls_between.1],
        notes: plan.notes.clone(),
        sources: plan.sources.clone(),
    }
}

fn indent(indent: &Indent) -> IndentLine {
    IndentLine {
        depth_mm: number(indent.depth.to_mm()),
        row: indent.row,
        across_mm: number(indent.across.to_mm()),
        hardness_hv: Interval::of(indent.expected, |hv| hv.to_hv()),
        diagonal_mm: number(indent.diagonal.to_mm()),
    }
}
