//! The face of the engine.
