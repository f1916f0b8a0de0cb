//! The face of the engine: one function per thing that can be simulated.

use crate::model::carbon::carbonise;
use crate::model::chain::run_chain;
use crate::run::{CarbonRun, ChainRun, Failure};
use crate::setup::{CarbonSetup, ChainSetup};

/// Carbon in a one-dimensional body over a whole temperature cycle.
///
/// # Errors
/// See [`carbonise`].
pub fn carbon(setup: &CarbonSetup) -> Result<CarbonRun, Failure> {
    carbonise(setup)
}

/// The whole chain: carbon, reheats, quench, transformation, temper.
///
/// # Errors
/// When the setup cannot be simulated, or a model did not settle.
pub fn chain(setup: &ChainSetup) -> Result<ChainRun, Failure> {
    run_chain(setup)
}
