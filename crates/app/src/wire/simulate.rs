//! A carbon run on the wire.

use std::time::Duration;

use casewright_physics::run::{CarbonRun, InverseRun};
use casewright_terms::{Length, WeightPercent};
use serde::Serialize;

use super::diag::{RemarkLine, remarks};
use super::{number, numbers};

/// Hours that were looked for.
#[derive(Debug, Serialize)]
pub(crate) struct Found {
    /// Duration of the piece.
    hours: f64,
    hours_doubt: f64,
    /// The piece, counted from 1.
    piece: usize,
    target_carbon_wt_pct: f64,
    target_depth_mm: f64,
    runs: usize,
}

impl Found {
    /// From an inverse run.
    pub(crate) fn of(
        run: &InverseRun,
        piece: usize,
        (carbon, depth): (WeightPercent, Length),
    ) -> Self {
        Self {
            hours: number(run.duration.to_h()),
            hours_doubt: number(run.doubt.to_h()),
            piece,
            target_carbon_wt_pct: number(carbon.to_wt_pct()),
            target_depth_mm: number(depth.to_mm()),
            runs: run.runs,
        }
    }
}

/// The answer of `simulate`.
#[derive(Debug, Serialize)]
pub(crate) struct Run {
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    found: Option<Found>,
    depth_mm: Vec<f64>,
    carbon_wt_pct: Vec<f64>,
    carbon_uptake_g_m2: f64,
    balance_error: f64,
    steps: usize,
    steps_refused: usize,
    wall_s: f64,
    composition_wt_pct: super::steel::Contents,
    remarks: Vec<RemarkLine>,
    sources: Vec<&'static str>,
}

impl Run {
    /// From a run, at the depths asked for.
    pub(crate) fn of(
        run: &CarbonRun,
        found: Option<Found>,
        composition: &casewright_terms::Composition,
        depth_mm: &[f64],
        carbon_wt_pct: &[f64],
        wall: Duration,
    ) -> Self {
        Self {
            found,
            depth_mm: numbers(depth_mm),
            carbon_wt_pct: numbers(carbon_wt_pct),
            carbon_uptake_g_m2: number(run.uptake_g_m2),
            balance_error: number(run.balance_error),
            steps: run.steps,
            steps_refused: run.refused,
            wall_s: number(wall.as_secs_f64()),
            composition_wt_pct: super::steel::Contents::of(composition),
            remarks: remarks(&run.remarks),
            sources: run.sources.clone(),
        }
    }
}
