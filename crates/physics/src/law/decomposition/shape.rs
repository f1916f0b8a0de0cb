//! The shape of a transformation against its own fraction, and the integral that gives times.
//!
//! Rates are in `decomposition`; the heads of sources and ranges stand there.

use crate::numerics::fun;

/// S(0.01) of [`li_integral`], so that incubation costs no integral in the transform model; held
/// to the integral by a test.
pub(super) const LI_INTEGRAL_AT_1_PCT: f64 = 0.104_340_354_957;

/// I(0.01) of [`kirkaldy_integral`] without a bracket.
pub(super) const KIRKALDY_INTEGRAL_AT_1_PCT: f64 = 0.640_619_751_125;

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

/// The integrand has integrable poles of strength `power` at both ends. Taking u = X^(1−power) on the
/// left half and w = (1−X)^(1−power) on the right removes them, and Gauss does the rest.
fn integral(x: f64, power: f64, bracket: f64) -> f64 {
    const HALF: f64 = 0.5;
    if x.is_nan() || x <= 0.0 {
        return 0.0;
    }
    let x = x.min(1.0);
    let rest = 1.0 - power;
    let middle = fun::pow(HALF, rest);
    let growth = |fraction: f64| fun::exp(bracket * fraction * fraction);
    // near = distance from the pole as a fraction: X on the left, 1 − X on the right; the smallest
    // positive number keeps 0 · ln 0 out
    let smooth = |near: f64| {
        let near = near.max(f64::MIN_POSITIVE);
        fun::exp(power * near * (fun::ln(near) - fun::ln(1.0 - near)))
    };
    let back = |u: f64| fun::pow(u, 1.0 / rest);
    let left = gauss(0.0, fun::pow(x.min(HALF), rest), |u| {
        let near = back(u);
        smooth(near) * growth(near)
    });
    let right = if x > HALF {
        gauss(fun::pow(1.0 - x, rest), middle, |w| {
            let near = back(w);
            smooth(near) * growth(1.0 - near)
        })
    } else {
        0.0
    };
    (left + right) / rest
}

/// Composite Gauss rule of 24 pieces; the points never touch the ends.
fn gauss(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    const PIECES: u32 = 24;
    let width = (to - from) / f64::from(PIECES);
    let mut sum = 0.0;
    for piece in 0..PIECES {
        let middle = from + (f64::from(piece) + 0.5) * width;
        for (point, weight) in GAUSS {
            sum += 0.5 * width * weight * f(middle + 0.5 * width * point);
        }
    }
    sum
}
