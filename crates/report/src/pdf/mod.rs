//! The printed run sheet: report model → PDF bytes.

use crate::model::Sheet;

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 in.
    Letter,
}

/// Why no PDF could be made. Both cases are defects of this program, not of the job.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// The page could not be set.
    #[error("setting the pages failed: {0}")]
    Layout(String),
    /// The pages could not be written as PDF.
    #[error("writing the PDF failed: {0}")]
    Export(String),
}

/// Sets the run sheet, or the one-page refusal where the note cannot be met.
///
/// The same sheet and paper give the same bytes.
///
/// # Errors
/// When the page template does not compile, which is a defect of the program.
pub fn render(_sheet: &Sheet, _paper: Paper) -> Result<Vec<u8>, PdfError> {
    Err(PdfError::Layout("not yet".to_owned()))
}
