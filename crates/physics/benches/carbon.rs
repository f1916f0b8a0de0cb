//! Placeholder until the carbon engine stands.
fn main() {}
