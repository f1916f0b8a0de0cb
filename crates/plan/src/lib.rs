//! What to do, whether it is allowed, how it went.
//!
//! Turns a spec into a plan by asking physics; knows no pages, screens or storage.

pub mod outcome;
