//! The drawings, as SVG made here: valid in browsers and in the PDF engine, grey-safe, every
//! foreign text escaped. Nothing is computed but places on the paper.

mod axis;
mod chain;
mod cycle;
pub(crate) mod edge;
mod grains;
mod pack;
mod place;
pub mod plane;
mod profile;
pub mod readoff;
mod section;
mod svg;
mod transform;
mod ways;

pub use transform::transformation;

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
    /// The plan beside other ways.
    pub ways: Option<String>,
    /// The cross-section by depth, through the cycle.
    pub section: Option<String>,
    /// A slice through the edge or web with the most to say.
    pub edge: Option<String>,
}

impl Figures {
    /// Draws everything there is.
    #[must_use]
    pub fn draw(spec: &Spec, report: &PlanReport) -> Self {
        let plan = report.plan.as_ref();
        let depth = plan.map(|p| &p.depth);
        let expected = report.prediction.as_ref();
        Self {
            carbon: expected.and_then(|p| profile::carbon(spec, depth, p)),
            hardness: expected.and_then(|p| profile::hardness(spec, depth, p)),
            phases: expected.and_then(|p| profile::phases(spec, depth, p)),
            cycle: plan.and_then(|p| cycle::draw(spec, p)),
            pack: plan.and_then(|p| pack::draw(&p.pack, p.pack_heat.as_ref(), spec.units)),
            section: expected
                .zip(report.inside.as_ref())
                .and_then(|(p, inside)| section::draw(spec, depth, p, inside)),
            edge: expected.and_then(|p| edge::draw(p, spec.units)),
            chain: depth.map(|d| chain::draw(spec, d, expected)),
            ways: ways::draw(spec, report),
        }
    }
}
