//! Words of a job's pages and of the handbook.

use super::catalogue;

catalogue! {
    /// Words of a job's pages and of the handbook.
    Work {
        Note: "Note", "Nota", "Angabe", "Note";
    }
}
