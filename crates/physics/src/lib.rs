//! What happens inside the steel, given a setup.
//!
//! Knows no jobs, shops, plans or people, does no input or output, and gives the same bytes for
//! the same input. Laws are closed formulas with their source; matter turns data records into
//! properties; models assemble laws into equations; `simulate` is the face.

pub mod run;
pub mod setup;

pub mod simulate;

pub mod equilibrium;
pub mod law;
pub mod matter;
pub mod medium;
pub mod model;
pub mod numerics;
pub mod verify;
