//! What to do, whether it is allowed, how it went.
//!
//! Turns a spec into a plan by asking physics; knows no pages, screens or storage. `propose` is
//! the way in.

pub mod outcome;

pub mod propose;

pub mod evaluate;

pub mod check;
mod edge;
mod equipment;
mod findings;
mod nearest;
mod own_run;
mod reheat;
mod sensitivity;
mod solve;

#[cfg(test)]
mod calibration;
pub mod cautions;
pub mod clock;
pub mod cloud;
pub mod demand;
pub mod diagnose;
pub mod doubt;
pub mod gate;
pub mod grades;
pub mod inside;
pub mod judge;
pub mod outlook;
pub mod pack;
pub mod pieces;
pub mod predict;
pub mod recipe;
pub mod search;
pub mod setup;
pub mod steps;
pub mod surrogate;
pub mod tank;
pub mod traverse;

pub use grades::SteelTable;
pub use outcome::{Plan, PlanReport, Verdict};
pub use propose::{Options, propose};
