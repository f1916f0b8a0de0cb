//! The steel table as the job file's reader wants to see it.

use casewright_job::spec::GradeBook;
use casewright_physics::matter::steel;

/// The engine's steel table.
#[derive(Clone, Copy, Debug, Default)]
pub struct SteelTable;

impl GradeBook for SteelTable {
    fn find(&self, written: &str) -> Option<String> {
        steel::find(written).map(|record| record.name.to_string())
    }

    fn near(&self, written: &str) -> Vec<String> {
        steel::near(written)
            .into_iter()
            .map(|name| name.to_string())
            .collect()
    }
}
