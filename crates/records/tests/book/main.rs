//! The book in a file and in memory: what both hold to, and what damage does.
#![expect(
    clippy::disallowed_methods,
    reason = "these tests make, damage and look at files, and read how often to do so"
)]

mod damage;
mod full;
mod runs;
mod store;
#[path = "../support/mod.rs"]
mod support;
