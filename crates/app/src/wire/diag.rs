//! Complaints and remarks on the wire.

use casewright_physics::medium::Caution;
use casewright_terms::{Diag, Place, Remark};
use serde::Serialize;

use crate::answer::Texts;
use crate::show::diag::{in_order, line_and_column};

/// One finding.
#[derive(Debug, Serialize)]
pub(crate) struct Finding {
    code: String,
    severity: &'static str,
    text: String,
    hint: Option<String>,
    /// File, line and column where the finding has a place.
    place: Option<Spot>,
}

/// A place in a text; line and column count from 1, the column in characters.
#[derive(Debug, Serialize)]
pub(crate) struct Spot {
    file: String,
    line: Option<usize>,
    column: Option<usize>,
}

impl Finding {
    /// From a complaint.
    pub(crate) fn of(diag: &Diag, texts: &Texts) -> Self {
        Self {
            code: diag.code.to_owned(),
            severity: diag.severity.word(),
            text: diag.text(),
            hint: some(&diag.accepted),
            place: diag.place.as_ref().map(|place| spot(place, texts)),
        }
    }
}

/// All complaints in the order of the text.
pub(crate) fn findings(diags: &[Diag], texts: &Texts) -> Vec<Finding> {
    in_order(diags)
        .into_iter()
        .map(|diag| Finding::of(diag, texts))
        .collect()
}

/// A remark about validity.
#[derive(Debug, Serialize)]
pub(crate) struct RemarkLine {
    code: &'static str,
    text: String,
}

/// All remarks.
pub(crate) fn remarks(remarks: &[Remark]) -> Vec<RemarkLine> {
    remarks
        .iter()
        .map(|remark| RemarkLine {
            code: remark.code,
            text: remark.text.clone(),
        })
        .collect()
}

/// Something to beware of.
#[derive(Debug, Serialize)]
pub(crate) struct CautionLine {
    code: &'static str,
    hazard: &'static str,
    text: &'static str,
}

/// All cautions of media.
pub(crate) fn cautions(cautions: &[Caution]) -> Vec<CautionLine> {
    cautions
        .iter()
        .map(|caution| CautionLine {
            code: caution.code,
            hazard: caution.hazard,
            text: caution.text,
        })
        .collect()
}

fn spot(place: &Place, texts: &Texts) -> Spot {
    let at = texts
        .get(&place.file)
        .map(|text| line_and_column(text, place.span.start));
    Spot {
        file: place.file.clone(),
        line: at.map(|(line, _)| line),
        column: at.map(|(_, column)| column),
    }
}

/// `None` for an empty text.
pub(crate) fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}
