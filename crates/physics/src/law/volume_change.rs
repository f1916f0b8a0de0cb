//! Volume change between phases.
