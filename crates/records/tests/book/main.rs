//! The book in a file, on a server and in memory: what all hold to, and what damage does.
#![expect(
    clippy::disallowed_methods,
    reason = "these tests make, damage and look at files, and read how often to do so"
)]

mod damage;
mod full;
mod log_ahead;
#[cfg(feature = "postgres")]
mod on_server;
mod runs;
#[cfg(feature = "postgres")]
mod server;
mod several;
mod signing;
mod store;
#[path = "../support/mod.rs"]
mod support;
