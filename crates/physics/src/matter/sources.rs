//! The list of sources behind every number.
