//! Conversion between hardness scales.
