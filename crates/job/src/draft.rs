//! What the person wrote, piece by piece with its place, before it is known to make sense.

use casewright_terms::{Diag, Place};

/// A job file as read. Pieces that could not be read are missing here and complained about.
#[derive(Clone, Debug)]
pub struct Draft {
    pub(crate) file: String,
    /// What reading found; `resolve` repeats it, so that its list is the whole one.
    pub(crate) diags: Vec<Diag>,
}

impl Draft {
    /// The shop file this job refers to (relative to the job file) and where it says so.
    #[must_use]
    pub fn shop_reference(&self) -> Option<(String, Place)> {
        None
    }
}

/// Reads a job file. Never panics; reads on after a mistake.
#[must_use]
pub fn parse(file_name: &str, _text: &str) -> (Draft, Vec<Diag>) {
    (
        Draft {
            file: file_name.to_owned(),
            diags: Vec::new(),
        },
        Vec::new(),
    )
}
