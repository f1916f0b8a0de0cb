//! Root of a continuous function between two points of opposite sign (Brent 1973).

/// Why no root was given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoRoot {
    /// The ends have the same sign.
    #[error("no change of sign between {low} and {high} (values {at_low} and {at_high})")]
    SameSign {
        /// Left end.
        low: f64,
        /// Right end.
        high: f64,
        /// Value at the left end.
        at_low: f64,
        /// Value at the right end.
        at_high: f64,
    },
    /// The function gave NaN.
    #[error("the function is not a number at {at}")]
    NotANumber {
        /// Where.
        at: f64,
    },
    /// The limit of iterations was reached.
    #[error("not settled after {iterations} iterations, last between {low} and {high}")]
    NotSettled {
        /// How many.
        iterations: usize,
        /// One end of the last bracket.
        low: f64,
        /// The other.
        high: f64,
    },
}

/// Bisection alone would need 60; the limit can be reached only by a defect.
const LIMIT: usize = 200;

/// Finds `x` in `low..=high` with `f(x) = 0`, to the absolute width `tolerance` (in the unit of
/// `x`; widths below rounding are raised to it).
///
/// # Errors
/// See [`NoRoot`].
pub fn brent(
    low: f64,
    high: f64,
    tolerance: f64,
    mut f: impl FnMut(f64) -> f64,
) -> Result<f64, NoRoot> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    for (at, value) in [(a, fa), (b, fb)] {
        if value.is_nan() {
            return Err(NoRoot::NotANumber { at });
        }
    }
    if fa * fb > 0.0 {
        return Err(NoRoot::SameSign {
            low,
            high,
            at_low: fa,
            at_high: fb,
        });
    }
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut before = step;
    for _ in 0..LIMIT {
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let width = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let half = 0.5 * (c - b);
        if half.abs() <= width || fb == 0.0 {
            return Ok(b);
        }
        (step, before) = match open_step(a, b, c, fa, fb, fc) {
            Some(open)
                if before.abs() >= width
                    && fa.abs() > fb.abs()
                    && 2.0 * open.abs() < (3.0 * half.abs() - width).min(before.abs())
                    && open * half > 0.0 =>
            {
                (open, step)
            }
            _ => (half, half),
        };
        (a, fa) = (b, fb);
        b += if step.abs() > width {
            step
        } else {
            width.copysign(half)
        };
        fb = f(b);
        if fb.is_nan() {
            return Err(NoRoot::NotANumber { at: b });
        }
        if fb * fc > 0.0 {
            (c, fc) = (a, fa);
            step = b - a;
            before = step;
        }
    }
    Err(NoRoot::NotSettled {
        iterations: LIMIT,
        low: b.min(c),
        high: b.max(c),
    })
}

/// Step of the secant (two distinct points) or of the inverse parabola (three).
fn open_step(a: f64, b: f64, c: f64, fa: f64, fb: f64, fc: f64) -> Option<f64> {
    let s = fb / fa;
    let (p, q) = if a == c {
        ((c - b) * s, 1.0 - s)
    } else {
        let (q, r) = (fa / fc, fb / fc);
        (
            s * ((c - b) * q * (q - r) - (b - a) * (r - 1.0)),
            (q - 1.0) * (r - 1.0) * (s - 1.0),
        )
    };
    let open = -p / q;
    open.is_finite().then_some(open)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_simple_and_flat_roots() {
        let r = brent(0.0, 2.0, 1e-14, |x| x * x - 2.0).unwrap();
        assert!((r - std::f64::consts::SQRT_2).abs() < 1e-13);
        // A triple root: the bracket still shrinks to the asked width.
        let r = brent(-1.0, 3.0, 1e-9, |x| (x - 1.0) * (x - 1.0) * (x - 1.0)).unwrap();
        assert!((r - 1.0).abs() < 1e-5, "{r}");
        assert_eq!(brent(0.0, 1.0, 1e-9, |x| x).unwrap(), 0.0);
    }

    #[test]
    fn spends_few_calls_on_a_smooth_function() {
        let mut calls = 0;
        let r = brent(0.0, 3.0, 1e-13, |x| {
            calls += 1;
            super::super::fun::exp(x) - 5.0
        });
        assert!((r.unwrap() - super::super::fun::ln(5.0)).abs() < 1e-12);
        // Bisection would need 45.
        assert!(calls < 15, "{calls}");
    }

    #[test]
    fn says_why_there_is_none() {
        assert!(matches!(
            brent(0.0, 1.0, 1e-9, |x| x + 1.0),
            Err(NoRoot::SameSign { .. })
        ));
        assert!(matches!(
            brent(0.0, 1.0, 1e-9, |_| f64::NAN),
            Err(NoRoot::NotANumber { .. })
        ));
    }
}
