//! Packed boxes on the wire.

use std::time::Duration;

use casewright_physics::run::{BoxRun, HotBand, LoggedBed, Watched};
use casewright_physics::setup::Cycle;
use casewright_terms::Span;
use serde::Serialize;

use super::diag::{RemarkLine, remarks};
use super::{Interval, number};

/// One place over time.
#[derive(Debug, Serialize)]
struct Place {
    r#box: String,
    mark: String,
    goal_c: f64,
    settled_h: Option<f64>,
    at_set_h: Option<f64>,
    soaked_c: f64,
    time_h: Vec<f64>,
    temperature_c: Vec<f64>,
}

impl Place {
    fn of(watched: &Watched) -> Self {
        let (time_h, temperature_c) = curve(&watched.cycle);
        let hours = |span: Option<Span>| span.map(|s| number(s.to_h()));
        Self {
            r#box: watched.box_mark.clone(),
            mark: watched.mark.clone(),
            goal_c: number(watched.goal.to_c()),
            settled_h: hours(watched.settled),
            at_set_h: hours(watched.at_set),
            soaked_c: number(watched.soaked.to_c()),
            time_h,
            temperature_c,
        }
    }
}

/// A part.
#[derive(Debug, Serialize)]
struct Part {
    #[serde(flatten)]
    mean: Place,
    greatest_difference_k: f64,
}

/// The answer of `simulate` for packed boxes.
#[derive(Debug, Serialize)]
pub(crate) struct Boxes {
    hot_after_h: Interval,
    soak_ends_h: f64,
    ends_h: f64,
    coldest: Option<String>,
    hottest: Option<String>,
    parts: Vec<Part>,
    couples: Vec<Place>,
    furnace_time_h: Vec<f64>,
    furnace_c: Vec<f64>,
    work_kwh: f64,
    heat_in_boxes_kwh: f64,
    full_power_h: f64,
    balance_error: f64,
    numerical_error: f64,
    cells: usize,
    steps: usize,
    steps_refused: usize,
    wall_s: f64,
    remarks: Vec<RemarkLine>,
    sources: Vec<&'static str>,
}

impl Boxes {
    /// From a run and its band.
    pub(crate) fn of(run: &BoxRun, band: &HotBand, wall: Duration) -> Self {
        let (furnace_time_h, furnace_c) = curve(&run.furnace);
        let mark = |at: Option<usize>| at.map(|i| run.parts[i].mean.mark.clone());
        Self {
            hot_after_h: Interval::of(band.hot_after, Span::to_h),
            soak_ends_h: number(run.soak_ends.to_h()),
            ends_h: number(run.ends.to_h()),
            coldest: mark(run.coldest),
            hottest: mark(run.hottest),
            parts: run
                .parts
                .iter()
                .map(|part| Part {
                    mean: Place::of(&part.mean),
                    greatest_difference_k: number(part.spread.to_k()),
                })
                .collect(),
            couples: run.probes.iter().map(Place::of).collect(),
            furnace_time_h,
            furnace_c,
            work_kwh: number(run.work_kwh),
            heat_in_boxes_kwh: number(run.heat_in_boxes_kwh),
            full_power_h: number(run.full_power.to_h()),
            balance_error: number(run.balance_error),
            numerical_error: number(run.numerical_error.to_ratio()),
            cells: run.cells,
            steps: run.steps,
            steps_refused: run.refused,
            wall_s: number(wall.as_secs_f64()),
            remarks: remarks(&run.remarks),
            sources: run.sources.clone(),
        }
    }
}

/// Corners of a cycle: hours and °C.
fn curve(cycle: &Cycle) -> (Vec<f64>, Vec<f64>) {
    let (mut time_h, mut t_c) = (Vec::new(), Vec::new());
    let mut at = Span::ZERO;
    for piece in &cycle.pieces {
        if time_h.is_empty() {
            time_h.push(0.0);
            t_c.push(number(piece.from.to_c()));
        }
        at = at + piece.duration;
        time_h.push(number(at.to_h()));
        t_c.push(number(piece.to.to_c()));
    }
    (time_h, t_c)
}

/// What a couple's log said about the bed.
#[derive(Debug, Serialize)]
pub(crate) struct Learnt {
    couple: String,
    bed_factor: Interval,
    hot_after_h: Interval,
    moved_h: f64,
    left_over_k: f64,
    shop_file: [String; 2],
    remarks: Vec<String>,
    wall_s: f64,
}

impl Learnt {
    /// The answer.
    pub(crate) fn of(
        learnt: &LoggedBed,
        couple: &str,
        lines: &[String; 2],
        wall: Duration,
    ) -> Self {
        Self {
            couple: couple.to_owned(),
            bed_factor: Interval::of(learnt.factor, |f| f),
            hot_after_h: Interval::of(learnt.hot_after, |t| t.to_h()),
            moved_h: number(learnt.moved.to_h()),
            left_over_k: number(learnt.left_over.to_k()),
            shop_file: lines.clone(),
            remarks: learnt.remarks.iter().map(|r| r.text.clone()).collect(),
            wall_s: number(wall.as_secs_f64()),
        }
    }
}
