//! Tridiagonal systems by elimination without pivoting (Thomas), without allocation.
//!
//! Stable for diagonally dominant matrices (by rows or by columns) such as those of implicit
//! diffusion steps; it does not pivot and does not check dominance.

/// A factorised tridiagonal matrix; its buffers are reused.
#[derive(Clone, Debug, Default)]
pub struct Factor {
    /// Multipliers of the elimination.
    lower: Vec<f64>,
    /// One over the pivots.
    inverse_pivot: Vec<f64>,
    /// Upper diagonal over the pivots.
    upper: Vec<f64>,
}

impl Factor {
    /// Factorises the matrix with sub-diagonal `lower` (its first entry unused), diagonal
    /// `diagonal` and super-diagonal `upper` (its last entry unused). Returns `false` where a
    /// pivot is zero or not finite; the factor is then unusable.
    ///
    /// # Panics
    /// When the diagonals differ in length.
    pub fn set(&mut self, lower: &[f64], diagonal: &[f64], upper: &[f64]) -> bool {
        let n = diagonal.len();
        assert!(
            lower.len() == n && upper.len() == n,
            "diagonals must have one length"
        );
        self.lower.resize(n, 0.0);
        self.inverse_pivot.resize(n, 0.0);
        self.upper.resize(n, 0.0);
        let mut sound = true;
        let mut above = 0.0;
        let mut inverse = 0.0;
        for i in 0..n {
            let multiplier = if i == 0 { 0.0 } else { lower[i] * inverse };
            let pivot = diagonal[i] - multiplier * above;
            inverse = 1.0 / pivot;
            sound &= inverse.is_finite() && pivot.is_finite();
            self.lower[i] = multiplier;
            self.inverse_pivot[i] = inverse;
            self.upper[i] = upper[i] * inverse;
            above = upper[i];
        }
        sound
    }

    /// Solves in place: `x` is the right-hand side on entry and the answer on return.
    ///
    /// # Panics
    /// When `x` has another length than the matrix.
    pub fn solve(&self, x: &mut [f64]) {
        let n = self.inverse_pivot.len();
        assert!(
            x.len() == n,
            "right-hand side of {} for a matrix of {n}",
            x.len()
        );
        let (lower, upper) = (&self.lower[..n], &self.upper[..n]);
        let inverse_pivot = &self.inverse_pivot[..n];
        let mut before = 0.0;
        for ((x, lower), inverse) in x.iter_mut().zip(lower).zip(inverse_pivot) {
            before = *x - lower * before;
            *x = before * inverse;
        }
        let mut after = 0.0;
        for (x, upper) in x.iter_mut().zip(upper).rev() {
            after = *x - upper * after;
            *x = after;
        }
    }
}

/// Solves once; see [`Factor`]. Returns `false` where elimination met a zero pivot.
pub fn solve(lower: &[f64], diagonal: &[f64], upper: &[f64], x: &mut [f64]) -> bool {
    let mut factor = Factor::default();
    let sound = factor.set(lower, diagonal, upper);
    factor.solve(x);
    sound
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answer_satisfies_the_equations() {
        let n = 50;
        let lower: Vec<f64> = (0..n).map(|i| -1.0 - 0.01 * f64::from(i)).collect();
        let upper: Vec<f64> = (0..n).map(|i| -0.7 + 0.005 * f64::from(i)).collect();
        let diagonal: Vec<f64> = (0..n).map(|i| 2.5 + 0.02 * f64::from(i)).collect();
        let right: Vec<f64> = (0..n).map(|i| f64::from(i % 7) - 3.0).collect();
        let mut x = right.clone();
        assert!(solve(&lower, &diagonal, &upper, &mut x));
        for i in 0..right.len() {
            let mut sum = diagonal[i] * x[i];
            if i > 0 {
                sum += lower[i] * x[i - 1];
            }
            if i + 1 < x.len() {
                sum += upper[i] * x[i + 1];
            }
            // Rounding of a dominant system.
            assert!((sum - right[i]).abs() < 1e-13, "{i}");
        }
    }

    #[test]
    fn a_singular_matrix_is_reported() {
        let mut x = [1.0, 1.0];
        assert!(!solve(&[0.0, 1.0], &[0.0, 1.0], &[1.0, 0.0], &mut x));
        let mut one = [6.0];
        assert!(solve(&[0.0], &[3.0], &[0.0], &mut one));
        assert_eq!(one, [2.0]);
    }
}
