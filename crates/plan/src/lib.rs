//! What to do, whether it is allowed, how it went.
//!
//! Turns a spec into a plan by asking physics; knows no pages, screens or storage. `propose` is
//! the way in.

pub mod outcome;

pub mod propose;

pub mod evaluate;

mod again;
mod alternatives;
pub mod beliefs;
pub mod check;
mod closing;
mod edge;
mod equipment;
mod findings;
mod nearest;
mod own_run;
mod readings;
mod reheat;
mod reheats;
mod sensitivity;
mod solve;

#[cfg(test)]
mod calibration;
pub mod cautions;
pub mod chain;
pub mod clock;
pub mod cloud;
pub mod cost;
pub mod demand;
pub mod diagnose;
pub mod doubt;
pub mod follow;
pub mod gate;
pub mod grades;
pub mod inside;
pub mod judge;
pub mod learn;
pub mod loads;
pub mod logged;
pub mod members;
pub mod outlook;
pub mod pack;
pub mod pieces;
pub mod predict;
pub mod pull;
pub mod recipe;
mod refusals;
pub mod remaining;
pub mod search;
pub mod setup;
pub mod share;
pub mod skin;
mod soundness;
pub mod steps;
pub mod study;
pub mod surrogate;
pub mod tank;
pub mod traverse;
pub mod upset;
pub mod watch;
pub mod ways;
pub mod why;

pub use grades::SteelTable;
pub use outcome::{Plan, PlanReport, Verdict};
pub use propose::{Options, propose, propose_watched};
pub use study::Study;
pub use watch::Watch;
