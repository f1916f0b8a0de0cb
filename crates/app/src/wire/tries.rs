//! Changes of a plan, each beside the plan, on the wire.

use casewright_plan::study::Trial;
use casewright_terms::{Band, Length};
use serde::Serialize;

use super::diag::Finding;
use super::outlook::{self, ChanceLine};
use super::{Interval, number};
use crate::answer::Texts;

/// The plan and what was tried of it.
#[derive(Debug, Serialize)]
pub(crate) struct Report {
    seed: u64,
    planned: Line,
    tries: Vec<Line>,
}

#[derive(Debug, Serialize)]
struct Line {
    what: String,
    verdict: &'static str,
    temperature_c: f64,
    soak_h: f64,
    reheat_c: Option<f64>,
    temper_c: f64,
    tank: String,
    furnace_h: f64,
    case_depth_mm: Option<Interval>,
    case_depth_after_grind_mm: Option<Interval>,
    total_depth_mm: Option<Interval>,
    surface_hardness_hv: Interval,
    core_hardness_hv: Interval,
    surface_carbon_wt_pct: Interval,
    retained_austenite_pct: Interval,
    chances: Vec<ChanceLine>,
    chance_all: Option<f64>,
    findings: Vec<Finding>,
    /// Members that were simulated once more for this.
    runs: usize,
    /// How far the others may err in depth by that, root mean square.
    depth_error_mm: Option<f64>,
}

impl Report {
    pub(crate) fn of(seed: u64, planned: &Trial, tries: &[Trial], texts: &Texts) -> Self {
        Self {
            seed,
            planned: line(planned, texts),
            tries: tries.iter().map(|trial| line(trial, texts)).collect(),
        }
    }
}

fn line(trial: &Trial, texts: &Texts) -> Line {
    let p = &trial.prediction;
    let mm = |band: Option<Band<Length>>| band.map(|band| Interval::of(band, Length::to_mm));
    Line {
        what: trial.what.clone(),
        verdict: super::plan::verdict(trial.verdict),
        temperature_c: number(trial.temperature.to_c()),
        soak_h: number(trial.soak.to_h()),
        reheat_c: trial.reheat.map(|at| number(at.to_c())),
        temper_c: number(trial.temper.to_c()),
        tank: trial.tank.clone(),
        furnace_h: number(trial.furnace_time.to_h()),
        case_depth_mm: mm(p.case_depth),
        case_depth_after_grind_mm: mm(p.case_depth_after_grind),
        total_depth_mm: mm(p.total_depth),
        surface_hardness_hv: Interval::of(p.surface, |hv| hv.to_hv()),
        core_hardness_hv: Interval::of(p.core, |hv| hv.to_hv()),
        surface_carbon_wt_pct: Interval::of(p.surface_carbon_wt_pct, |x| x),
        retained_austenite_pct: Interval::of(p.retained_austenite_pct, |x| x),
        chances: trial.chances.iter().map(outlook::chance).collect(),
        chance_all: trial.chance_all.map(number),
        findings: super::diag::findings(&trial.findings, texts),
        runs: trial.runs,
        depth_error_mm: trial.depth_error.map(|error| number(error.to_mm())),
    }
}
