//! What the person wrote, and what it means: job files, shop files and drawing notes.
//!
//! Knows no physics and makes no plan. Parsing never panics, and every complaint has its place.

pub mod note;
pub mod shop;
pub mod spec;
