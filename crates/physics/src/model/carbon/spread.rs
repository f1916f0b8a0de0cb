//! How the nodes of a row are spread: by the tolerance, by what the skin does late, and by carbide.

use super::body::{Problem, moves, spread_m2};
use crate::numerics::fun::sqrt;
use crate::numerics::mesh::{Grading, LAYERS, Section};

/// Gap at the surface over the diffusion length, for a tolerance of the whole carbon step: the
/// error of the mesh is about `0.04 (gap/length)²` of the step, three quarters of the tolerance, and
/// steps add next to nothing (`true_error_stays_within_the_tolerance`).
const GAP_PER_ROOT: f64 = 4.2;
/// Coarsest gap in diffusion lengths, so that a layer that hardly matters is still a layer
/// (`a_late_change_has_its_layer_in_the_skin_of_a_section`).
const COARSEST: f64 = 0.3;
/// How much finer a round body is meshed, per diffusion length over its radius: carbon that runs
/// together towards the middle bends the profile more (`val_held_round_bodies_match_a_dense_integration`).
const CURVED: f64 = 1.2;
/// Depth at which the gap has doubled, in diffusion lengths.
const REACH: f64 = 2.5;

/// A change counts as late where carbon has since moved less than this share of all it moved.
/// Above, the base mesh is good enough (`true_error_stays_within_the_tolerance`).
const LATE: f64 = 0.25;
/// The same where what stands at the surface changes at once: that bends the skin more than a change
/// of temperature does (`val_boost_and_diffuse_give_the_closed_skin`).
const LATE_TURN: f64 = 0.7;

/// Where carbide may form a second row of nodes is laid over the first: gap in gaps of the first,
/// reach in diffusion lengths. What the edge leaves behind is of second order like all else, but
/// with a constant several times greater (`val_cycles_with_carbide_match_a_dense_integration`).
const CARBIDE_GAP: f64 = 0.5;
const CARBIDE_REACH: f64 = 0.5;

impl Problem {
    pub(crate) fn grading(&self) -> Grading {
        if let Some(grading) = self.grading {
            return grading;
        }
        let (low, high) = self.range();
        let length = sqrt(spread_m2(self));
        if length <= 0.0 {
            return Grading::Uniform { gaps: 8 };
        }
        let base = (self.finest_m(length, high - low), self.reach_m(length));
        let mut layers = [(f64::INFINITY, 1.0); LAYERS];
        layers[0] = base;
        let mut used = 1;
        if self.carbide_may_form(high) {
            layers[used] = (CARBIDE_GAP * base.0, CARBIDE_REACH * length);
            used += 1;
        }
        for layer in self.late_layers().into_iter().take(LAYERS - used) {
            layers[used] = layer;
            used += 1;
        }
        if used > 1 {
            return Grading::Layered { layers };
        }
        Grading::Towards {
            finest_m: base.0,
            reach_m: base.1,
        }
    }

    /// Gap at the surface for a diffusion length and a carbon step over it.
    fn finest_m(&self, length_m: f64, step_y: f64) -> f64 {
        let step_y = step_y.max(self.tolerance_y);
        let curved = match self.section {
            Section::Cylinder { radius_m } | Section::Sphere { radius_m } => {
                CURVED * (length_m / radius_m).min(1.0)
            }
            Section::Plate { .. } | Section::Tube { .. } => 0.0,
        };
        let gap = GAP_PER_ROOT / (1.0 + curved) * sqrt(self.tolerance_y / step_y);
        gap.min(COARSEST) * length_m
    }

    /// Depth at which the gap has doubled: in a body thinner than its case everything matters
    /// alike.
    fn reach_m(&self, length_m: f64) -> f64 {
        REACH * length_m.min(10.0 * self.section.depth_m())
    }

    /// Gap at the surface and reach of the layers that late changes leave in the skin, the thinnest
    /// first.
    pub(crate) fn late_layers(&self) -> Vec<(f64, f64)> {
        let (low, high) = self.range();
        let step_y = (high - low).max(self.tolerance_y);
        let length = sqrt(spread_m2(self));
        // What the surface does in that time stays under its gradient times that length.
        let thin_step = |thin: f64| step_y * thin / length;
        self.late_lengths_m(length)
            .into_iter()
            .filter(|thin| thin_step(*thin) > self.tolerance_y)
            .map(|thin| (self.finest_m(thin, thin_step(thin)), self.reach_m(thin)))
            .collect()
    }

    /// Whether the richest there can be is more than the matrix holds somewhere on the way.
    pub(super) fn carbide_may_form(&self, high: f64) -> bool {
        self.limits.is_some_and(|limits| {
            let coldest_k = self.legs.iter().filter(|leg| moves(leg));
            let coldest_k = coldest_k.fold(f64::INFINITY, |k, leg| k.min(leg.from_k).min(leg.to_k));
            coldest_k.is_finite() && high > limits.matrix(coldest_k) + self.tolerance_y
        })
    }

    /// Diffusion lengths from each change of temperature or surface to the end, the thinnest
    /// first, each at least twice the one before and at most [`LATE`] of the whole: how deep the
    /// skin has followed a change that came late.
    fn late_lengths_m(&self, whole_m: f64) -> Vec<f64> {
        let (_, high) = self.range();
        let d = |t_k: f64| self.factor * self.law.d_m2_s(t_k, high);
        let mut lengths: Vec<f64> = Vec::new();
        let mut since_m2 = 0.0;
        let mut legs = self.legs.iter().rev().filter(|leg| moves(leg)).peekable();
        while let Some(leg) = legs.next() {
            since_m2 += leg.integral(d);
            let length = sqrt(since_m2);
            let turns = legs
                .peek()
                .is_some_and(|before| self.supply_in(before) != self.supply_in(leg));
            if length > if turns { LATE_TURN } else { LATE } * whole_m {
                continue;
            }
            if lengths.last().is_none_or(|last| length > 2.0 * last) {
                lengths.push(length);
            }
        }
        lengths
    }
}
