//! The chain from the packed part to the tempered one.

use crate::run::{CarbonRun, ChainRun, Failure};
use crate::setup::ChainSetup;

/// Runs carbon, reheats, quench, transformation and temper.
///
/// # Errors
/// When the setup cannot be simulated or a model did not settle.
pub fn run_chain(setup: &ChainSetup) -> Result<ChainRun, Failure> {
    let _ = setup;
    Err(Failure::Setup {
        what: "the chain is not built yet".to_owned(),
    })
}

/// Everything after the carbon: one carbon run can serve many hardening variants. The carbon part
/// of `setup` is used for the steel and the body only.
///
/// # Errors
/// When the setup cannot be simulated or a model did not settle.
pub fn harden(carbon: &CarbonRun, setup: &ChainSetup) -> Result<ChainRun, Failure> {
    let _ = (carbon, setup);
    Err(Failure::Setup {
        what: "hardening is not built yet".to_owned(),
    })
}
