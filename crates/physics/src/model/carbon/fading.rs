//! How much of an early error is left when it counts.
//!
//! Diffusion levels what a step gets wrong: an error no wider than the case is then (a diffusion
//! length ℓ = √Θ, with Θ = ∫D dt so far) has, when the case is Λ deep, an amplitude of at most ℓ/Λ of
//! its own, because at worst its amount of carbon is kept and spread. Early steps may so be longer,
//! for the same error at the end. Two bounds on what is later: carbide keeps what errors it finds,
//! so there what counts is the start of the first leg in which it may form; and in a body thinner
//! than its case nothing spreads further than to the middle.

use super::body::{Problem, moves};
use super::legs::Leg;
use crate::numerics::fun::sqrt;

/// Most that an early error is forgiven: a hundred saves no step more. (`true_error_stays_within_the_tolerance`)
const MOST: f64 = 30.0;

/// Follows Θ through the legs.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Fading {
    /// Most matrix carbon that can occur.
    high: f64,
    /// Θ when errors count, m².
    counts_m2: f64,
    /// Θ at the start and at the end of the present leg, m², and the leg's times.
    from_m2: f64,
    to_m2: f64,
    start_s: f64,
    span_s: f64,
}

impl Fading {
    /// `high` is the most matrix carbon that can occur.
    pub(crate) fn new(problem: &Problem, high: f64) -> Self {
        let mut counts_m2 = 0.0;
        for leg in problem.legs.iter().filter(|leg| moves(leg)) {
            let coldest_k = leg.from_k.min(leg.to_k);
            if problem
                .limits
                .is_some_and(|limits| high > limits.matrix(coldest_k) + problem.tolerance_y)
            {
                break;
            }
            counts_m2 += spread_of(problem, leg, high);
        }
        let depth_m = problem.section.depth_m();
        Self {
            high,
            counts_m2: counts_m2.min(depth_m * depth_m),
            ..Self::default()
        }
    }

    pub(crate) fn enter(&mut self, problem: &Problem, leg: &Leg) {
        self.from_m2 = self.to_m2;
        self.to_m2 += spread_of(problem, leg, self.high);
        (self.start_s, self.span_s) = (leg.start_s, leg.end_s - leg.start_s);
    }

    /// What an error made at a time of the present leg may be, over what it may be at the end.
    pub(crate) fn allowance(&self, t_s: f64) -> f64 {
        let done = (t_s - self.start_s) / self.span_s;
        // A straight line lies over Θ while the body heats, which is on the safe side.
        let so_far_m2 = self.from_m2 + (self.to_m2 - self.from_m2) * done;
        let ratio = self.counts_m2 / so_far_m2;
        // Also where nothing has moved.
        if ratio > 1.0 {
            sqrt(ratio).min(MOST)
        } else {
            1.0
        }
    }
}

fn spread_of(problem: &Problem, leg: &Leg, high: f64) -> f64 {
    leg.integral(|t_k| problem.factor * problem.law.d_m2_s(t_k, high))
}
