//! The shape of a transformation against its own fraction, and the integral that gives times.
//!
//! Rates are in `decomposition`; the heads of sources and ranges stand there.

use crate::numerics::fun;

/// S(0.01) of [`li_integral`], so that incubation costs no integral in the transform model; held
/// to the integral by a test.
pub(super) const LI_INTEGRAL_AT_1_PCT: f64 = 0.104_340_354_957;

/// X^(0.4(1−X)) (1−X)^(0.4X) of Li et al.; zero at and outside 0 and 1.
#[must_use]
pub fn li_shape(x: f64) -> f64 {
    shape(x, 0.4)
}

/// X^(2(1−X)/3) (1−X)^(2X/3) of Kirkaldy and Venugopalan; zero at and outside 0 and 1.
#[must_use]
pub fn kirkaldy_shape(x: f64) -> f64 {
    shape(x, 2.0 / 3.0)
}

fn shape(x: f64, power: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return 0.0;
    }
    fun::exp(power * ((1.0 - x) * fun::ln(x) + x * fun::ln(1.0 - x)))
}

/// S(X) = ∫₀ˣ dX / shape. `x` is held within 0..1.
#[must_use]
pub fn li_integral(x: f64) -> f64 {
    integral(x, 0.4, 0.0)
}

/// I(X) = ∫₀ˣ exp(bracket · X²) dX / shape; the bracket is zero except for bainite.
#[must_use]
pub fn kirkaldy_integral(x: f64, bracket: f64) -> f64 {
    integral(x, 2.0 / 3.0, bracket)
}

/// Gauss points and weights on −1..1, five of them (exact to degree nine).
const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

/// The integrand has an integrable pole of strength X^(−power) at both ends. With
/// X = v³(10 − 15 v + 6 v²), flat to third order at both ends, it becomes smooth enough for Gauss.
fn integral(x: f64, power: f64, bracket: f64) -> f64 {
    const PIECES: u32 = 24;
    let x = x.clamp(0.0, 1.0);
    let end = smooth_step_inverse(x);
    let width = end / f64::from(PIECES);
    let mut sum = 0.0;
    for piece in 0..PIECES {
        let middle = (f64::from(piece) + 0.5) * width;
        for (point, weight) in GAUSS {
            let v = middle + 0.5 * width * point;
            let fraction = smooth_step(v);
            let slope = 30.0 * v * v * (1.0 - v) * (1.0 - v);
            let value = shape(fraction, power);
            if value > 0.0 {
                sum +=
                    0.5 * width * weight * slope * fun::exp(bracket * fraction * fraction) / value;
            }
        }
    }
    sum
}

fn smooth_step(v: f64) -> f64 {
    v * v * v * (10.0 - 15.0 * v + 6.0 * v * v)
}

/// Bisection: the step is monotone, and sixty halvings reach the last bit.
fn smooth_step_inverse(x: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if smooth_step(middle) < x {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
