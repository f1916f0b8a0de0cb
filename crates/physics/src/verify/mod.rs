//! The accuracy table: published or exact values beside ours, with residual and tolerance.

pub mod carbon;
pub mod carbon_plane;
pub mod chain;
pub mod equilibrium;
pub mod hardenability;
pub mod laws;
pub mod media;
pub mod testers;

use casewright_terms::SourceKey;

/// What kind of check a row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Against a value from outside: published, measured or made by independent means.
    Validation,
    /// Against an exact answer or a conservation law.
    Identity,
    /// Against another formula or a rule of the trade; shows the spread, proves little.
    CrossCheck,
}

/// One row of the accuracy table.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Stable id, family and number.
    pub id: String,
    /// What is compared.
    pub what: String,
    /// Key of the source of `published`.
    pub source: SourceKey,
    /// The published or exact value.
    pub published: f64,
    /// Ours.
    pub computed: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Largest acceptable |computed − published|.
    pub tolerance: f64,
    /// Why the tolerance is what it is.
    pub reason: &'static str,
    /// Kind of check.
    pub kind: Kind,
}

impl Row {
    /// Computed less published.
    #[must_use]
    pub fn residual(&self) -> f64 {
        self.computed - self.published
    }

    /// Whether the residual is within the tolerance.
    #[must_use]
    pub fn ok(&self) -> bool {
        self.residual().abs() <= self.tolerance
    }
}

/// One row, from what belongs together: the values with their unit, the tolerance with its reason.
pub(crate) fn row(
    id: String,
    what: String,
    source: SourceKey,
    kind: Kind,
    (published, computed, unit): (f64, f64, &'static str),
    (tolerance, reason): (f64, &'static str),
) -> Row {
    Row {
        id,
        what,
        source,
        published,
        computed,
        unit,
        tolerance,
        reason,
        kind,
    }
}

/// Every row.
#[must_use]
pub fn rows() -> Vec<Row> {
    [
        carbon::rows(),
        carbon_plane::rows(),
        equilibrium::rows(),
        laws::rows(),
        hardenability::rows(),
        chain::rows(),
        media::rows(),
        testers::rows(),
    ]
    .concat()
}
