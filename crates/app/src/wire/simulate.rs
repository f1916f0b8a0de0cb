//! A carbon run on the wire.

use std::time::Duration;

use casewright_physics::medium::Caution;
use casewright_physics::run::{BoostDiffuseRun, CarbonRun, InverseRun};
use serde::Serialize;

use super::diag::{CautionLine, RemarkLine, cautions, remarks};
use super::{number, numbers};
use crate::cli::search::Wanted;

/// What was looked for; nothing where nothing was.
#[derive(Debug, Default, Serialize)]
#[serde(untagged)]
pub(crate) enum Found {
    #[default]
    Nothing,
    Hours {
        /// Duration of the piece.
        hours: f64,
        hours_doubt: f64,
        #[serde(flatten)]
        target: Target,
    },
    Boost {
        boost_hours: f64,
        diffuse_hours: f64,
        target_surface_carbon_wt_pct: Option<f64>,
        /// At the end of the cycle.
        surface_carbon_wt_pct: Option<f64>,
        #[serde(flatten)]
        target: Target,
    },
}

/// The wish, and how many runs it took.
#[derive(Debug, Serialize)]
pub(crate) struct Target {
    /// The piece, counted from 1.
    piece: usize,
    target_carbon_wt_pct: f64,
    target_depth_mm: f64,
    runs: usize,
}

impl Target {
    fn of(wanted: &Wanted, runs: usize) -> Self {
        Self {
            piece: wanted.piece + 1,
            target_carbon_wt_pct: number(wanted.carbon.to_wt_pct()),
            target_depth_mm: number(wanted.depth.to_mm()),
            runs,
        }
    }
}

impl Found {
    /// From the hours of a piece.
    pub(crate) fn hours(run: &InverseRun, wanted: &Wanted) -> Self {
        Self::Hours {
            hours: number(run.duration.to_h()),
            hours_doubt: number(run.doubt.to_h()),
            target: Target::of(wanted, run.runs),
        }
    }

    /// From a boost and a diffuse.
    pub(crate) fn boost(run: &BoostDiffuseRun, wanted: &Wanted) -> Self {
        Self::Boost {
            boost_hours: number(run.boost.to_h()),
            diffuse_hours: number(run.diffuse.to_h()),
            target_surface_carbon_wt_pct: wanted.surface.map(|c| number(c.to_wt_pct())),
            surface_carbon_wt_pct: run.carbon.carbon_wt_pct.first().map(|c| number(*c)),
            target: Target::of(wanted, run.runs),
        }
    }
}

/// The answer of `simulate`.
#[derive(Debug, Serialize)]
pub(crate) struct Run {
    #[serde(flatten)]
    found: Found,
    depth_mm: Vec<f64>,
    carbon_wt_pct: Vec<f64>,
    carbon_uptake_g_m2: f64,
    balance_error: f64,
    steps: usize,
    steps_refused: usize,
    wall_s: f64,
    composition_wt_pct: super::steel::Contents,
    remarks: Vec<RemarkLine>,
    cautions: Vec<CautionLine>,
    sources: Vec<&'static str>,
}

impl Run {
    /// From a run, at the depths asked for.
    pub(crate) fn of(
        run: &CarbonRun,
        found: Found,
        composition: &casewright_terms::Composition,
        depth_mm: &[f64],
        carbon_wt_pct: &[f64],
        beware: &[Caution],
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
            cautions: cautions(beware),
            sources: run.sources.clone(),
        }
    }
}
