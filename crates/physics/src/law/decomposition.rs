//! Kinetics of austenite decomposition.
