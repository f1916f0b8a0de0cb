//! When the pack is hot.

use crate::run::{Failure, PackHeatRun};
use crate::setup::PackHeatSetup;

/// Heats the packed box, holds it and cools it.
///
/// # Errors
/// When the setup cannot be simulated or the furnace cannot bring the pack to temperature.
pub fn heat_pack(setup: &PackHeatSetup) -> Result<PackHeatRun, Failure> {
    let _ = setup;
    Err(Failure::Setup {
        what: "the heat-up of the pack is not built yet".to_owned(),
    })
}
