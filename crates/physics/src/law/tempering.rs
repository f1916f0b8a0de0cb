//! Hardness after tempering.
