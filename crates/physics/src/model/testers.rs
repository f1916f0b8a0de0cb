//! What each hardness scale would read on a layered case.

use casewright_terms::{Length, Remark, Scale};

use crate::run::Layers;

/// What a tester would show, and whether that is a reading of the case.
#[derive(Clone, Debug, PartialEq)]
pub struct TesterReading {
    /// The number on the dial, without round correction; `None` where the scale has none.
    pub reading: Option<f64>,
    /// Whether the number may be used as the hardness of the surface.
    pub valid: bool,
    /// Least uniform case this scale can read at this hardness, where its table reaches.
    pub least_case: Option<Length>,
    /// Add this to a reading taken on the round; `None` on a flat or where no table reaches.
    pub round_correction: Option<f64>,
    /// Why it is valid or not, in a sentence.
    pub why: String,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
}

/// What `scale` would read on the case after `ground` has been removed from the surface.
#[must_use]
pub fn would_read(
    layers: &Layers,
    scale: Scale,
    ground: Length,
    curvature_diameter: Option<Length>,
) -> TesterReading {
    let _ = (layers, ground, curvature_diameter);
    TesterReading {
        reading: None,
        valid: false,
        least_case: None,
        round_correction: None,
        why: format!("the reading on {scale} is not built yet"),
        remarks: Vec::new(),
    }
}
