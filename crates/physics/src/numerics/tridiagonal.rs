//! Tridiagonal systems by elimination without pivoting, from both ends to the middle, without
//! allocation.
//!
//! Elimination from one end is a chain in which every step waits for the one before; two chains
//! that meet halfway keep the processor busy and take about half the time. Stable for diagonally
//! dominant matrices (by rows or by columns) such as those of implicit diffusion steps; it does
//! not pivot and does not check dominance.

/// A factorised tridiagonal matrix; its buffers are reused.
#[derive(Clone, Debug, Default)]
pub struct Factor {
    /// Multipliers of the elimination, by the neighbour on the side of the end.
    outer: Vec<f64>,
    /// One over the pivots.
    inverse_pivot: Vec<f64>,
    /// Entry of the neighbour on the side of the middle, over the pivot.
    inner: Vec<f64>,
    /// Multipliers of the middle row, by the row before and the row after.
    middle: (f64, f64),
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
        self.outer.resize(n, 0.0);
        self.inverse_pivot.resize(n, 0.0);
        self.inner.resize(n, 0.0);
        self.middle = (0.0, 0.0);
        let mut sound = true;
        if n == 0 {
            return sound;
        }
        let half = n / 2;
        let (mut above, mut inverse) = (0.0, 0.0);
        for i in 0..half {
            let multiplier = if i == 0 { 0.0 } else { lower[i] * inverse };
            let pivot = diagonal[i] - multiplier * above;
            inverse = 1.0 / pivot;
            sound &= inverse.is_finite() && pivot.is_finite();
            self.outer[i] = multiplier;
            self.inverse_pivot[i] = inverse;
            self.inner[i] = upper[i] * inverse;
            above = upper[i];
        }
        let (mut below, mut inverse_below) = (0.0, 0.0);
        for i in (half + 1..n).rev() {
            let multiplier = if i == n - 1 {
                0.0
            } else {
                upper[i] * inverse_below
            };
            let pivot = diagonal[i] - multiplier * below;
            inverse_below = 1.0 / pivot;
            sound &= inverse_below.is_finite() && pivot.is_finite();
            self.outer[i] = multiplier;
            self.inverse_pivot[i] = inverse_below;
            self.inner[i] = lower[i] * inverse_below;
            below = lower[i];
        }
        if half > 0 {
            self.middle.0 = lower[half] * inverse;
        }
        if half + 1 < n {
            self.middle.1 = upper[half] * inverse_below;
        }
        let pivot = diagonal[half] - self.middle.0 * above - self.middle.1 * below;
        self.inverse_pivot[half] = 1.0 / pivot;
        sound && pivot.is_finite() && self.inverse_pivot[half].is_finite()
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
        if n == 0 {
            return;
        }
        let half = n / 2;
        let (outer, inner) = (&self.outer[..n], &self.inner[..n]);
        let inverse = &self.inverse_pivot[..n];
        // The lower side has as many rows as the upper one, or one less.
        let pairs = n - 1 - half;
        let (mut before, mut after) = (0.0, 0.0);
        for i in 0..pairs {
            let k = n - 1 - i;
            before = x[i] - outer[i] * before;
            after = x[k] - outer[k] * after;
            x[i] = before * inverse[i];
            x[k] = after * inverse[k];
        }
        if pairs < half {
            before = x[pairs] - outer[pairs] * before;
            x[pairs] = before * inverse[pairs];
        }
        let meet = (x[half] - self.middle.0 * before - self.middle.1 * after) * inverse[half];
        x[half] = meet;
        (before, after) = (meet, meet);
        if pairs < half {
            before = x[pairs] - inner[pairs] * before;
            x[pairs] = before;
        }
        for i in (0..pairs).rev() {
            let k = n - 1 - i;
            before = x[i] - inner[i] * before;
            after = x[k] - inner[k] * after;
            x[i] = before;
            x[k] = after;
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
        for n in [2, 3, 4, 5, 50, 51] {
            satisfies(n);
        }
    }

    fn satisfies(n: i32) {
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
