//! Chores of the workspace, as a library so that tests run them too.
//!
//! Builds nothing of the program and is no part of it.

pub mod code;
pub mod tidy;
pub mod tree;
