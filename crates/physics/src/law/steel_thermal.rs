//! Thermal properties of steel and its phases.
