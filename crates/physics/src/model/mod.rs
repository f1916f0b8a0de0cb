//! Models: laws assembled into equations.

pub mod box_heat;
pub mod carbon;
pub mod carbon_plane;

pub mod chain;
pub mod curves;
pub mod inverse;
pub mod jominy;
pub mod pack_heat;
pub mod quench;
pub mod quench_part;
pub mod reheat;
pub mod testers;
pub mod transform;

pub mod cold_card;
pub mod steel_card;
