//! The accuracy table on the wire: a list of rows.

use casewright_physics::verify::{Kind, Row};
use serde::Serialize;

use super::number;

/// One row.
#[derive(Debug, Serialize)]
pub(crate) struct Line {
    id: String,
    what: String,
    source: &'static str,
    published: f64,
    computed: Option<f64>,
    unit: &'static str,
    residual: Option<f64>,
    tolerance: f64,
    reason: &'static str,
    ok: bool,
    kind: &'static str,
}

/// All rows.
pub(crate) fn lines(rows: &[Row]) -> Vec<Line> {
    rows.iter().map(line).collect()
}

fn line(row: &Row) -> Line {
    // A computed value that is no number is a row that fails, not a table that cannot be shown.
    let finite = |value: f64| value.is_finite().then(|| number(value));
    Line {
        id: row.id.clone(),
        what: row.what.clone(),
        source: row.source,
        published: number(row.published),
        computed: finite(row.computed),
        unit: row.unit,
        residual: finite(row.residual()),
        tolerance: number(row.tolerance),
        reason: row.reason,
        ok: row.ok(),
        kind: kind(row.kind),
    }
}

/// The word for a kind.
pub(crate) const fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Validation => "validation",
        Kind::Identity => "identity",
        Kind::CrossCheck => "cross-check",
    }
}
