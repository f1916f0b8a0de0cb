//! From what was written to what must hold: checks across pieces, defaults, the steel, the shop.

use casewright_terms::{Diag, Place};

use crate::draft::Draft;
use crate::shop::Shop;
use crate::spec::{GradeBook, Spec};

/// Checks the draft as a whole and completes it.
///
/// `shop` is the one read from [`Draft::shop_reference`]; a shop written in the job file itself
/// needs none.
///
/// # Errors
/// Everything that was found, what `parse` found included: show this list alone.
pub fn resolve(
    draft: Draft,
    _shop: Option<Shop>,
    _grades: &dyn GradeBook,
) -> Result<Spec, Vec<Diag>> {
    let mut diags = draft.diags;
    diags.push(
        Diag::stop("not-written", "Resolving a job is not written yet.").at(Place {
            file: draft.file,
            span: 0..0,
        }),
    );
    Err(diags)
}
