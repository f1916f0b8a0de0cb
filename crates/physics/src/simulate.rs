//! The face of the engine: one function per thing that can be simulated.

use crate::model::carbon::carbonise;
use crate::model::chain::run_chain;
use crate::model::pack_heat::heat_pack;
use crate::run::{CarbonRun, ChainRun, Failure, PackHeatRun};
use crate::setup::{CarbonSetup, ChainSetup, PackHeatSetup};

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

/// The packed box: when it is hot, and what furnace and part see over the whole cycle.
///
/// # Errors
/// See [`heat_pack`].
pub fn pack_heat(setup: &PackHeatSetup) -> Result<PackHeatRun, Failure> {
    heat_pack(setup)
}
