//! Carbon in a one-dimensional body.

use crate::run::{CarbonRun, Failure};
use crate::setup::CarbonSetup;

/// Follows carbon through the whole cycle.
///
/// # Errors
/// [`Failure::Setup`] for a setup that cannot be simulated, [`Failure::NotSettled`] where the
/// time steps vanish.
pub fn carbonise(setup: &CarbonSetup) -> Result<CarbonRun, Failure> {
    Err(Failure::Setup {
        what: format!("the carbon engine is being built: {:?}", setup.shape),
    })
}
