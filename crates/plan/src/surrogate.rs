//! A quadratic response fitted to full runs: every output of the chain as a polynomial in the
//! standard normal values of the doubts. Its error is what each run shows when the fit is made
//! without it, and that error is part of every value read from it.
//!
//! Least squares with the leave-one-out residual eᵢ/(1 − hᵢ), which is exact for a linear fit.
//! [allen-press-1974]

use casewright_physics::numerics::dense;

use crate::doubt::DIMENSIONS;

/// Terms that a fit may have; the size of the little dense system.
const MOST_TERMS: usize = 64;
/// Dimensions whose products with each other are fitted.
const CROSSED: usize = 4;
/// Runs for each term: with fewer, a fit follows its own noise.
const RUNS_PER_TERM: usize = 2;

/// One term of the polynomial. All terms have mean 0 and variance 1 for normal values, and no two
/// are correlated, so that a coefficient squared is a share of the variance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Term {
    Mean,
    Line(usize),
    Square(usize),
    Cross(usize, usize),
}

impl Term {
    fn value(self, z: &[f64; DIMENSIONS.len()]) -> f64 {
        match self {
            Self::Mean => 1.0,
            Self::Line(i) => z[i],
            Self::Square(i) => (z[i] * z[i] - 1.0) * std::f64::consts::FRAC_1_SQRT_2,
            Self::Cross(i, j) => z[i] * z[j],
        }
    }

    fn dimensions(self) -> [Option<usize>; 2] {
        match self {
            Self::Mean => [None, None],
            Self::Line(i) | Self::Square(i) => [Some(i), None],
            Self::Cross(i, j) => [Some(i), Some(j)],
        }
    }
}

/// The fit.
#[derive(Clone, Debug)]
pub struct Surrogate {
    terms: Vec<Term>,
    /// By output, then by term.
    coefficients: Vec<Vec<f64>>,
    /// By output, then by run: what a run shows against the fit made without it.
    left_out: Vec<Vec<f64>>,
    /// By output: variance of the runs.
    variance: Vec<f64>,
}

impl Surrogate {
    /// Fits `outputs` (by run, then by output) over `z`. `key` are the outputs that decide which
    /// dimensions are crossed. `None` where there are too few runs for a fit or they do not differ.
    #[must_use]
    pub fn fit(
        z: &[[f64; DIMENSIONS.len()]],
        outputs: &[Vec<f64>],
        open: &[usize],
        key: &[usize],
    ) -> Option<Self> {
        let mut terms = vec![Term::Mean];
        terms.extend(open.iter().map(|&i| Term::Line(i)));
        if z.len() < RUNS_PER_TERM * terms.len() {
            return None;
        }
        let squared = 2 * open.len() + 1 + CROSSED * (CROSSED - 1) / 2;
        if squared > MOST_TERMS || z.len() < RUNS_PER_TERM * squared {
            return Self::with_terms(terms, z, outputs);
        }
        terms.extend(open.iter().map(|&i| Term::Square(i)));
        let first = Self::with_terms(terms.clone(), z, outputs)?;
        let mut weight: Vec<(usize, f64)> = open
            .iter()
            .map(|&i| {
                let of = |&column: &usize| first.share(column, |d| d == i);
                (i, key.iter().map(of).fold(0.0, f64::max))
            })
            .collect();
        weight.sort_by(|a, b| b.1.total_cmp(&a.1));
        let crossed: Vec<usize> = weight.iter().take(CROSSED).map(|(i, _)| *i).collect();
        for (n, &i) in crossed.iter().enumerate() {
            terms.extend(crossed[n + 1..].iter().map(|&j| Term::Cross(i, j)));
        }
        Self::with_terms(terms, z, outputs)
    }

    /// Fits planes over the dimensions `of` alone. `None` where there are too few runs for it.
    #[must_use]
    pub fn plane(
        z: &[[f64; DIMENSIONS.len()]],
        outputs: &[Vec<f64>],
        of: &[usize],
    ) -> Option<Self> {
        let mut terms = vec![Term::Mean];
        terms.extend(of.iter().map(|&i| Term::Line(i)));
        if z.len() < RUNS_PER_TERM * terms.len() {
            return None;
        }
        Self::with_terms(terms, z, outputs)
    }

    fn with_terms(
        terms: Vec<Term>,
        z: &[[f64; DIMENSIONS.len()]],
        outputs: &[Vec<f64>],
    ) -> Option<Self> {
        let n = terms.len();
        let rows: Vec<Vec<f64>> = z
            .iter()
            .map(|z| terms.iter().map(|term| term.value(z)).collect())
            .collect();
        let mut normal = [[0.0; MOST_TERMS]; MOST_TERMS];
        for row in &rows {
            for i in 0..n {
                for j in 0..=i {
                    normal[i][j] += row[i] * row[j];
                }
            }
        }
        dense::cholesky(&mut normal, n).ok()?;
        let leverage: Vec<f64> = rows
            .iter()
            .map(|row| {
                let mut x = [0.0; MOST_TERMS];
                x[..n].copy_from_slice(row);
                dense::cholesky_solve(&normal, n, &mut x);
                row.iter().zip(&x).map(|(a, b)| a * b).sum()
            })
            .collect();
        let (mut coefficients, mut left_out, mut variance) = (Vec::new(), Vec::new(), Vec::new());
        for column in 0..outputs.first()?.len() {
            let mut b = [0.0; MOST_TERMS];
            for (row, output) in rows.iter().zip(outputs) {
                for (sum, x) in b[..n].iter_mut().zip(row) {
                    *sum += x * output[column];
                }
            }
            dense::cholesky_solve(&normal, n, &mut b);
            let misses = rows
                .iter()
                .zip(outputs)
                .zip(&leverage)
                .map(|((row, output), h)| {
                    let fitted: f64 = row.iter().zip(&b).map(|(x, c)| x * c).sum();
                    // A run that the fit rests on alone has leverage 1; its own error is not known then.
                    (output[column] - fitted) / (1.0 - h).max(0.05)
                });
            left_out.push(misses.collect());
            coefficients.push(b[..n].to_vec());
            variance.push(variance_of(outputs.iter().map(|output| output[column])));
        }
        Some(Self {
            terms,
            coefficients,
            left_out,
            variance,
        })
    }

    /// The smooth part of all outputs at a point.
    #[must_use]
    pub fn at(&self, z: &[f64; DIMENSIONS.len()]) -> Vec<f64> {
        let values: Vec<f64> = self.terms.iter().map(|term| term.value(z)).collect();
        let sum = |c: &Vec<f64>| c.iter().zip(&values).map(|(c, v)| c * v).sum();
        self.coefficients.iter().map(sum).collect()
    }

    /// The smooth part of one output.
    #[must_use]
    pub fn output_at(&self, column: usize, z: &[f64; DIMENSIONS.len()]) -> f64 {
        self.terms
            .iter()
            .zip(&self.coefficients[column])
            .map(|(term, c)| c * term.value(z))
            .sum()
    }

    /// What a run showed against the fit made without it.
    #[must_use]
    pub fn left_out(&self, column: usize, run: usize) -> f64 {
        self.left_out[column][run]
    }

    /// Root mean square of what the runs showed against fits made without them.
    #[must_use]
    pub fn error(&self, column: usize) -> f64 {
        let misses = &self.left_out[column];
        (misses.iter().map(|m| m * m).sum::<f64>() / misses.len() as f64).sqrt()
    }

    /// Share of an output's variance that the fit foretells for runs it has not seen; 0 where there
    /// is nothing to foretell.
    #[must_use]
    pub fn foretold(&self, column: usize) -> f64 {
        if self.variance[column] > 0.0 {
            (1.0 - self.error(column).powi(2) / self.variance[column]).max(0.0)
        } else {
            0.0
        }
    }

    /// Share of an output's variance that comes from the dimensions of which `of` is true, alone or
    /// with each other. What the fit does not foretell is part of the whole.
    #[must_use]
    pub fn share(&self, column: usize, of: impl Fn(usize) -> bool) -> f64 {
        let (mut part, mut whole) = (0.0, self.error(column).powi(2));
        for (term, c) in self.terms.iter().zip(&self.coefficients[column]) {
            let mut dimensions = term.dimensions().into_iter().flatten().peekable();
            if dimensions.peek().is_some() {
                whole += c * c;
                if dimensions.all(&of) {
                    part += c * c;
                }
            }
        }
        if whole > 0.0 { part / whole } else { 0.0 }
    }

    /// Standard deviation of an output from the dimensions of which `of` is true.
    #[must_use]
    pub fn spread(&self, column: usize, of: impl Fn(usize) -> bool) -> f64 {
        let own = |term: &&(Term, f64)| {
            let mut dimensions = term.0.dimensions().into_iter().flatten().peekable();
            dimensions.peek().is_some() && dimensions.all(&of)
        };
        let terms: Vec<(Term, f64)> = self
            .terms
            .iter()
            .copied()
            .zip(self.coefficients[column].iter().copied())
            .collect();
        terms
            .iter()
            .filter(own)
            .map(|(_, c)| c * c)
            .sum::<f64>()
            .sqrt()
    }
}

fn variance_of(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let n = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / n;
    values.map(|v| (v - mean) * (v - mean)).sum::<f64>() / n
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_physics::numerics::{fun, quasi};

    fn points(n: u64) -> Vec<[f64; DIMENSIONS.len()]> {
        let sequence = quasi::Sequence::new(DIMENSIONS.len(), 5);
        (0..n)
            .map(|i| {
                let point = sequence.point(i);
                std::array::from_fn(|d| quasi::inverse_normal(point[d]).unwrap())
            })
            .collect()
    }

    fn all() -> Vec<usize> {
        (0..DIMENSIONS.len()).collect()
    }

    /// A quadratic is found again to rounding, and its shares are those of its coefficients.
    #[test]
    fn a_quadratic_is_found_again() {
        let z = points(128);
        let y = |z: &[f64; DIMENSIONS.len()]| 2.0 + 3.0 * z[3] + 1.0 * z[0] + 0.5 * z[3] * z[0];
        let outputs: Vec<Vec<f64>> = z.iter().map(|z| vec![y(z)]).collect();
        let fit = Surrogate::fit(&z, &outputs, &all(), &[0]).unwrap();
        for z in &points(200)[128..] {
            // 47 terms of a well conditioned system: rounding of 1e-16 grows by its condition, < 1e3.
            assert!((fit.output_at(0, z) - y(z)).abs() < 1e-10);
        }
        assert!((fit.share(0, |d| d == 3) - 9.0 / 10.25).abs() < 1e-9);
        assert!((fit.share(0, |d| d == 3 || d == 0) - 1.0).abs() < 1e-9);
        assert!(fit.error(0) < 1e-10, "{}", fit.error(0));
    }

    /// What is left out foretells the error at new points, also where the fit is wrong in kind.
    #[test]
    fn the_error_is_that_of_new_points() {
        let z = points(512);
        let y = |z: &[f64; DIMENSIONS.len()]| fun::exp(0.5 * z[3]) + (2.0 * z[1]).max(0.0);
        let outputs: Vec<Vec<f64>> = z[..128].iter().map(|z| vec![y(z)]).collect();
        let fit = Surrogate::fit(&z[..128], &outputs, &all(), &[0]).unwrap();
        let new = &z[128..];
        let miss = |z: &[f64; DIMENSIONS.len()]| (fit.output_at(0, z) - y(z)).powi(2);
        let seen = (new.iter().map(miss).sum::<f64>() / new.len() as f64).sqrt();
        let said = fit.error(0);
        // Both are means over few heavy-tailed squares, known to a third. A run at the rim that is
        // left out is extrapolated to, so that kinks are said up to twice as large as they are.
        assert!(said / seen > 0.67 && said / seen < 2.0, "{said} {seen}");
    }

    #[test]
    fn too_few_runs_give_no_fit() {
        let z = points(16);
        let outputs: Vec<Vec<f64>> = z.iter().map(|z| vec![z[0]]).collect();
        assert!(Surrogate::fit(&z, &outputs, &all(), &[0]).is_none());
    }
}
