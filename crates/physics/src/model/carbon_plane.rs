//! Carbon in a section, in two dimensions, over a whole temperature cycle.

mod read;

use crate::run::{Failure, PlaneRun};
use crate::setup::PlaneSetup;

/// Follows carbon through the whole cycle in a section.
///
/// # Errors
/// [`Failure::Setup`] for a setup that cannot be simulated, [`Failure::NotSettled`] where the
/// time steps vanish or run out.
pub fn carbonise_plane(setup: &PlaneSetup) -> Result<PlaneRun, Failure> {
    Err(Failure::Setup {
        what: format!("{:?} cannot be simulated yet", setup.section),
    })
}
