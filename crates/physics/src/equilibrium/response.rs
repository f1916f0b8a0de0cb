//! One phase's part in a round of the search: how its site fractions and contents answer to
//! potentials. It knows neither the other phases nor the balance of the elements.

use super::component::COMPONENTS;
use super::energy::{Expansion, Fractions, Template, VARIABLES};
use super::solve::SYSTEM;
use crate::numerics::dense::{cholesky, cholesky_solve};
use crate::numerics::fun::exp;

/// Site fractions are kept above this; it is far below what any certificate can state.
pub(super) const LEAST_FRACTION: f64 = 1e-25;

/// A phase's expansion, prepared for elimination.
pub(super) struct Prepared {
    pub(super) value: f64,
    pub(super) content: [f64; COMPONENTS],
    pub(super) gradient: [f64; VARIABLES],
    /// Inverse second derivatives.
    pub(super) inverse: [[f64; VARIABLES]; VARIABLES],
}

/// Slope of the energy against given potentials, by each variable.
pub(super) fn pull(
    template: &Template,
    phase: &Prepared,
    potential: &[f64; COMPONENTS],
) -> [f64; VARIABLES] {
    let mut pull = [0.0; VARIABLES];
    for (k, out) in pull.iter_mut().enumerate().take(template.variables.len()) {
        let bound: f64 = template.content_slope[k]
            .iter()
            .zip(potential)
            .map(|(s, m)| s * m)
            .sum();
        *out = bound - phase.gradient[k];
    }
    pull
}

/// Inverse of the second derivatives. Where the phase would unmix they are stiffened by those of
/// ideal mixing, as little as makes them positive: the step gets shorter, its end stays the same.
pub(super) fn inverse(
    template: &Template,
    expansion: &Expansion,
    fractions: &Fractions,
) -> [[f64; VARIABLES]; VARIABLES] {
    let n = template.variables.len();
    let mut factor = expansion.hessian;
    if cholesky(&mut factor, n).is_err() {
        factor = stiffened(template, expansion, fractions);
    }
    let mut inverse = [[0.0; VARIABLES]; VARIABLES];
    for (k, column) in inverse.iter_mut().enumerate().take(n) {
        column[k] = 1.0;
        cholesky_solve(&factor, n, column);
    }
    inverse
}

/// Cholesky factor of second derivatives that are not positive on their own.
fn stiffened(
    template: &Template,
    expansion: &Expansion,
    fractions: &Fractions,
) -> [[f64; VARIABLES]; VARIABLES] {
    let n = template.variables.len();
    let ideal = template.ideal_hessian(fractions);
    for share in [0.3, 1.0, 3.0, 10.0, 100.0] {
        let mut factor = expansion.hessian;
        for (row, ideal_row) in factor.iter_mut().zip(&ideal) {
            for (h, i) in row.iter_mut().zip(ideal_row) {
                *h += share * i;
            }
        }
        if cholesky(&mut factor, n).is_ok() {
            return factor;
        }
    }
    // Only the rounding of a vanishing iron content gets here.
    let mut factor = [[0.0; VARIABLES]; VARIABLES];
    for k in 0..n {
        factor[k][k] = ideal[k][k].sqrt();
    }
    factor
}

/// Adds what a phase's contents give when the potentials change.
pub(super) fn add_response(
    template: &Template,
    phase: &Prepared,
    amount: f64,
    count: usize,
    matrix: &mut [[f64; SYSTEM]; SYSTEM],
    right: &mut [f64; SYSTEM],
) {
    let n = template.variables.len();
    for k in 0..n {
        // Change of all variables' contents with the pull on variable k.
        let mut response = [0.0; COMPONENTS];
        for l in 0..n {
            let weight = amount * phase.inverse[k][l];
            for (r, slope) in response.iter_mut().zip(&template.content_slope[l]) {
                *r += weight * slope;
            }
        }
        for a in 0..count {
            right[a] += response[a] * phase.gradient[k];
            let slopes = template.content_slope[k].iter().take(count);
            for (cell, slope) in matrix[a].iter_mut().zip(slopes) {
                *cell += response[a] * slope;
            }
        }
    }
}

/// Applies moves to site fractions: as they are where small, as a factor where large, so that
/// none leaves 0 to 1. The largest relative change comes back.
pub(super) fn move_fractions(template: &Template, y: &mut Fractions, moves: &Fractions) -> f64 {
    let mut largest = 0.0_f64;
    for range in &template.sublattices {
        let mut sum = 0.0;
        for i in range.clone() {
            let relative = moves[i] / y[i];
            largest = largest.max(relative.abs());
            if relative.abs() < 0.3 {
                y[i] += moves[i];
            } else {
                y[i] *= exp(relative.clamp(-3.0, 3.0));
            }
            y[i] = y[i].max(LEAST_FRACTION);
            sum += y[i];
        }
        for i in range.clone() {
            y[i] /= sum;
        }
    }
    largest
}
