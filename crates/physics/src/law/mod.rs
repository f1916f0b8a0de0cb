//! Closed formulas of the literature, one file per family, each with its source and its range.

pub mod carbon_activity;
pub mod case_depth_rules;
pub mod diffusivity;
pub mod gas_carbon;
pub mod gas_equilibrium;
pub mod potential;
pub mod saturation;
pub mod surface_transfer;

pub mod austenite_grain;
pub mod carbide_dissolution;
pub mod case_depth;
pub mod decomposition;
pub mod hardenability;
pub mod hardness_conversion;
pub mod indentation;
pub mod martensite_start;
pub mod phase_hardness;
pub mod reading_doubt;
pub mod retained_austenite;
pub mod tempering;
pub mod transformation_temperature;
pub mod volume_change;
pub mod weight_gain;

pub mod bath_heat;
pub mod ferrite_carbon;
pub mod packed_bed;
pub mod quench_transfer;
pub mod scaling;
pub mod steel_thermal;
