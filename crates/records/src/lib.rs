//! The shop book: what was ever decided and seen. Never edited, only added to.
//!
//! An entry is a typed event with who, when and how it was entered. Entries form a chain of
//! hashes, so that a changed, lost or slipped-in one shows. Files that belong to an entry are kept
//! byte for byte beside it. The time comes in from outside; pages and screens are not known here.

pub mod book;
pub mod chain;
pub mod check;
pub mod csv;
pub mod event;
pub mod hand_over;
mod hand_over_runs;
pub mod measured;
pub mod memory;
#[cfg(feature = "postgres")]
pub mod postgres;
mod row;
mod rules;
mod rules_run;
pub mod run;
pub mod sqlite;
pub mod stamp;
pub mod store;
pub mod view;

pub use book::Book;
pub use chain::Hash;
pub use check::{Report, check};
pub use event::{Event, Made, Meaning, RunEnd, Verdict};
pub use measured::{Measured, Unit};
pub use memory::Memory;
#[cfg(feature = "postgres")]
pub use postgres::Server;
pub use run::Run;
pub use stamp::Stamp;
pub use store::{
    Addition, Attached, Attachment, Content, Entered, Entry, Head, Look, Person, Receipt, Role,
    Store, StoreError, Wanted,
};
