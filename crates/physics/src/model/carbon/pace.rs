//! The first step of each leg, for rows and sections alike.

use super::body::Problem;
use super::legs::Leg;
use crate::numerics::rosenbrock::Stepper;

/// First step over the diffusion time of the finest gap.
const FIRST_STEP: f64 = 1.0;

/// What the steps of the legs before say about the next.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Pace {
    fastest_before: f64,
}

impl Pace {
    /// Sets the next step on entering a leg: anew where the surface `turns`, because that begins in
    /// the skin, else shorter as diffusion is faster than before; `high` is the most matrix carbon
    /// that can occur.
    pub(crate) fn enter(
        &mut self,
        problem: &Problem,
        leg: &Leg,
        high: f64,
        turns: bool,
        finest_m: f64,
        stepper: &mut Stepper,
    ) {
        let d = problem.factor * problem.law.d_m2_s(leg.from_k.max(leg.to_k), high);
        if self.fastest_before == 0.0 || turns {
            stepper.next_step_s = FIRST_STEP * finest_m * finest_m / d;
        } else if d > self.fastest_before {
            stepper.next_step_s *= self.fastest_before / d;
        }
        self.fastest_before = d;
    }
}
