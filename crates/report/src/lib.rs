//! Values → pages: the report model, the terminal summary, the drawings and the printed run sheet.
//!
//! Gets values, returns text or bytes. It reads no clock and no file, computes nothing of
//! metallurgy and decides nothing: every judgement it shows was made by the planner.

pub mod cost;
pub mod model;
pub mod record;
pub mod show;
pub mod skin;
pub mod story;
pub mod text;
pub mod traverse;
pub mod why;
pub mod words;

pub mod figure;

#[cfg(feature = "pdf")]
pub mod pdf;

mod code;

#[cfg(test)]
mod fixture;
#[cfg(test)]
mod tests;

pub use model::Sheet;
#[cfg(feature = "pdf")]
pub use pdf::{Paper, PdfError, render, render_with_section};
