//! Chances, causes of the spread and small changes on the wire.

use casewright_plan::outlook::{Basis, Chance, Change, Spread};
use serde::Serialize;

use super::number;

/// How likely one clause is met.
#[derive(Debug, Serialize)]
pub(crate) struct ChanceLine {
    /// `case depth`, `surface hardness` or `core hardness`.
    clause: &'static str,
    probability: f64,
}

/// One cause of the spread.
#[derive(Debug, Serialize)]
pub(crate) struct CauseLine {
    what: &'static str,
    /// Share of the variance of the depth.
    share: f64,
    /// Share of the variance of the surface hardness.
    share_surface: f64,
    remedy: Option<String>,
    /// Band of the depth after the remedy.
    band_after: Option<Ends>,
    /// Its width against today's.
    width_left: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Ends {
    low_mm: f64,
    high_mm: f64,
}

/// What a small change does.
#[derive(Debug, Serialize)]
pub(crate) struct ChangeLine {
    what: String,
    depth_mm: Option<f64>,
    surface_hv: Option<f64>,
}

/// What the bands rest on.
#[derive(Debug, Serialize)]
pub(crate) struct EnsembleLine {
    members: usize,
    full_runs: usize,
    /// Error of the depth of the members that were not run, root mean square.
    depth_error_mm: Option<f64>,
    /// Share of the depth's variance that is foretold for runs that the fit has not seen.
    foretold: Option<f64>,
}

pub(super) fn chance(chance: &Chance) -> ChanceLine {
    ChanceLine {
        clause: chance.clause,
        probability: number(chance.probability),
    }
}

pub(super) fn cause(spread: &Spread) -> CauseLine {
    let remedy = spread.remedy.as_ref();
    CauseLine {
        what: spread.cause.words(),
        share: number(spread.share),
        share_surface: number(spread.share_surface),
        remedy: remedy.map(|remedy| remedy.what.clone()),
        band_after: remedy.map(|remedy| Ends {
            low_mm: number(remedy.band_after.0.to_mm()),
            high_mm: number(remedy.band_after.1.to_mm()),
        }),
        width_left: remedy.map(|remedy| number(remedy.width_left)),
    }
}

pub(super) fn change(change: &Change) -> ChangeLine {
    ChangeLine {
        what: change.what.clone(),
        depth_mm: change.depth.map(|depth| number(depth.to_mm())),
        surface_hv: change.surface_hv.map(number),
    }
}

pub(super) fn ensemble(basis: Basis) -> EnsembleLine {
    EnsembleLine {
        members: basis.members,
        full_runs: basis.runs,
        depth_error_mm: basis.depth_error.map(|error| number(error.to_mm())),
        foretold: basis.foretold.map(number),
    }
}
