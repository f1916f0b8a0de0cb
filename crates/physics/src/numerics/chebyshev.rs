//! Short polynomials through Chebyshev points: a smooth function of one variable for the price
//! of a few multiplications, with its integral.

use super::fun::cos;

/// Points, and so coefficients, of a polynomial over a wide range.
pub const POINTS: usize = 10;
/// The same where the function is evaluated so often that each multiplication is felt.
pub const FEW: usize = 8;

/// Nodes on −1..1 and the matrix that turns values there into coefficients of powers.
#[derive(Clone, Debug)]
pub struct Basis<const N: usize = POINTS> {
    nodes: [f64; N],
    to_powers: [[f64; N]; N],
}

impl Default for Basis {
    fn default() -> Self {
        Self::new()
    }
}

impl Basis {
    /// Nodes and matrix; computed once, because a thousand cosines are a tenth of a short run.
    #[must_use]
    pub fn new() -> Self {
        static BASIS: std::sync::OnceLock<Basis> = std::sync::OnceLock::new();
        BASIS.get_or_init(Self::compute).clone()
    }
}

impl Basis<FEW> {
    /// The same with fewer points.
    #[must_use]
    pub fn short() -> Self {
        static BASIS: std::sync::OnceLock<Basis<FEW>> = std::sync::OnceLock::new();
        BASIS.get_or_init(Self::compute).clone()
    }
}

impl<const N: usize> Basis<N> {
    fn compute() -> Self {
        let n = N as f64;
        let nodes: [f64; N] =
            std::array::from_fn(|j| cos(std::f64::consts::PI * (j as f64 + 0.5) / n));
        // Powers of x of each Chebyshev polynomial, by the recurrence.
        let mut powers = [[0.0; N]; N];
        powers[0][0] = 1.0;
        powers[1][1] = 1.0;
        for k in 2..N {
            for p in 0..N {
                let shifted = if p > 0 { powers[k - 1][p - 1] } else { 0.0 };
                powers[k][p] = 2.0 * shifted - powers[k - 2][p];
            }
        }
        let mut to_powers = [[0.0; N]; N];
        for (p, row) in to_powers.iter_mut().enumerate() {
            for (j, entry) in row.iter_mut().enumerate() {
                for (k, polynomial) in powers.iter().enumerate() {
                    let weight = if k == 0 { 1.0 } else { 2.0 } / n;
                    let angle = std::f64::consts::PI * k as f64 * (j as f64 + 0.5) / n;
                    *entry += weight * cos(angle) * polynomial[p];
                }
            }
        }
        Self { nodes, to_powers }
    }

    /// Fits `f` on `low..=high`.
    pub fn fit(&self, low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> Polynomial<N> {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let values: [f64; N] = std::array::from_fn(|j| f(middle + half * self.nodes[j]));
        let value = std::array::from_fn(|p| {
            self.to_powers[p]
                .iter()
                .zip(&values)
                .map(|(m, v)| m * v)
                .sum()
        });
        let mut polynomial = Polynomial {
            middle,
            inverse_half: 1.0 / half,
            value,
            integral: [0.0; N],
        };
        for p in 0..N {
            polynomial.integral[p] = half * polynomial.value[p] / (p as f64 + 1.0);
        }
        polynomial
    }
}

/// A fitted polynomial and its integral (zero in the middle of the range).
#[derive(Clone, Copy, Debug)]
pub struct Polynomial<const N: usize = POINTS> {
    middle: f64,
    inverse_half: f64,
    value: [f64; N],
    /// Without the factor that all its terms share.
    integral: [f64; N],
}

impl<const N: usize> Polynomial<N> {
    /// The function.
    #[inline]
    #[must_use]
    pub fn value(&self, x: f64) -> f64 {
        let s = (x - self.middle) * self.inverse_half;
        self.value.iter().rev().fold(0.0, |sum, c| sum * s + c)
    }

    /// Its integral from the middle of the range.
    #[inline]
    #[must_use]
    pub fn integral(&self, x: f64) -> f64 {
        let s = (x - self.middle) * self.inverse_half;
        s * self.integral.iter().rev().fold(0.0, |sum, c| sum * s + c)
    }
}

#[cfg(test)]
mod tests {
    use super::super::fun::exp;
    use super::*;

    /// exp(16 y) on 0..0.1 is what the diffusivity of carbon looks like: the fit must be far
    /// better than any measurement; 1e-10 relative is what ten points give.
    #[test]
    fn ten_points_carry_an_exponential() {
        let p = Basis::new().fit(0.0, 0.1, |y| exp(16.0 * y));
        for k in 0..=50 {
            let y = 0.002 * f64::from(k);
            assert!((p.value(y) / exp(16.0 * y) - 1.0).abs() < 1e-9, "{y}");
            let exact = (exp(16.0 * y) - exp(0.8)) / 16.0;
            assert!((p.integral(y) - exact).abs() < 1e-11, "{y}");
        }
    }
}
