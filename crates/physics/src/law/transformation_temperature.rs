//! Empirical transformation temperatures.
