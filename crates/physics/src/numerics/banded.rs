//! Symmetric banded systems by LDLᵀ without pivoting: for matrices of implicit diffusion steps on a
//! grid numbered row by row, which dominate by their diagonal. Does not check dominance.

/// A factorised matrix; its buffer is reused.
#[derive(Clone, Debug, Default)]
pub struct Banded {
    /// Entries left of the diagonal in each row; the diagonal follows them.
    width: usize,
    rows: usize,
    /// Row after row, `width + 1` entries each: the band left of the diagonal, then the diagonal.
    entry: Vec<f64>,
}

impl Banded {
    /// An all-zero matrix of `rows` rows with `width` entries left of the diagonal.
    pub fn clear(&mut self, rows: usize, width: usize) {
        self.width = width;
        self.rows = rows;
        self.entry.clear();
        self.entry.resize(rows * (width + 1), 0.0);
    }

    /// Adds to the entry in row `i` and column `j`, `j` at most `i` and within the band.
    ///
    /// # Panics
    /// When the entry lies outside the band.
    pub fn add(&mut self, i: usize, j: usize, value: f64) {
        assert!(
            j <= i && i - j <= self.width && i < self.rows,
            "entry {i}, {j} lies outside a band of {}",
            self.width
        );
        self.entry[i * (self.width + 1) + self.width - (i - j)] += value;
    }

    /// Factorises in place; `false` where a pivot is zero or not finite.
    pub fn factor(&mut self) -> bool {
        let (w, stride) = (self.width, self.width + 1);
        for i in 0..self.rows {
            let first = i.saturating_sub(w);
            for j in first..i {
                // Row i against row j over the columns both have.
                let from = first.max(j.saturating_sub(w));
                let (low, high) = self.entry.split_at_mut(i * stride);
                let row_i = &high[w - (i - from)..w - (i - j)];
                let row_j = &low[j * stride + w - (j - from)..j * stride + w];
                let sum: f64 = row_i.iter().zip(row_j).map(|(a, b)| a * b).sum();
                // Kept unscaled by the pivot until the row is done.
                high[w - (i - j)] -= sum;
            }
            let mut pivot = self.entry[i * stride + w];
            for j in first..i {
                let at = i * stride + w - (i - j);
                let unscaled = self.entry[at];
                let scaled = unscaled / self.entry[j * stride + w];
                pivot -= unscaled * scaled;
                self.entry[at] = scaled;
            }
            if !(pivot.is_finite() && pivot != 0.0) {
                return false;
            }
            self.entry[i * stride + w] = pivot;
        }
        true
    }

    /// Solves in place after [`Self::factor`].
    ///
    /// # Panics
    /// When `x` has another length than the matrix.
    pub fn solve(&self, x: &mut [f64]) {
        assert!(
            x.len() == self.rows,
            "right-hand side of {} for a matrix of {}",
            x.len(),
            self.rows
        );
        let (w, stride) = (self.width, self.width + 1);
        for i in 0..self.rows {
            let first = i.saturating_sub(w);
            let row = &self.entry[i * stride + w - (i - first)..i * stride + w];
            let sum: f64 = row.iter().zip(&x[first..i]).map(|(a, b)| a * b).sum();
            x[i] -= sum;
        }
        for (x, row) in x.iter_mut().zip(self.entry.chunks_exact(stride)) {
            *x /= row[w];
        }
        for i in (0..self.rows).rev() {
            let first = i.saturating_sub(w);
            let here = x[i];
            let row = &self.entry[i * stride + w - (i - first)..i * stride + w];
            for (a, below) in row.iter().zip(&mut x[first..i]) {
                *below -= a * here;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_what_it_was_given() {
        let (n, w) = (30, 5);
        let entry = |i: usize, j: usize| match i - j {
            0 => 9.0 + 0.1 * i as f64,
            d if d == w || d == 1 => -1.0 - 0.01 * (i + j) as f64,
            _ => 0.0,
        };
        let mut matrix = Banded::default();
        matrix.clear(n, w);
        let mut right = vec![0.0; n];
        let exact: Vec<f64> = (0..n).map(|i| (i as f64 * 0.7) % 3.0 - 1.0).collect();
        for i in 0..n {
            for j in i.saturating_sub(w)..=i {
                matrix.add(i, j, entry(i, j));
                right[i] += entry(i, j) * exact[j];
                if j < i {
                    right[j] += entry(i, j) * exact[i];
                }
            }
        }
        assert!(matrix.factor());
        matrix.solve(&mut right);
        for (x, exact) in right.iter().zip(&exact) {
            // Rounding of thirty rows.
            assert!((x - exact).abs() < 1e-13, "{x} {exact}");
        }
    }

    #[test]
    fn a_zero_pivot_is_told() {
        let mut matrix = Banded::default();
        matrix.clear(3, 1);
        assert!(!matrix.factor());
    }
}
