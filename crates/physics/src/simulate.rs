//! The face of the engine: one function per thing that can be simulated.

use crate::model::carbon::carbonise;
use crate::run::{CarbonRun, Failure};
use crate::setup::CarbonSetup;

/// Carbon in a one-dimensional body over a whole temperature cycle.
///
/// # Errors
/// See [`carbonise`].
pub fn carbon(setup: &CarbonSetup) -> Result<CarbonRun, Failure> {
    carbonise(setup)
}
