//! Scale and carbon loss in air.
