//! Data records turned into values: sources and steels.

pub mod sources;
pub mod steel;
