//! Transcendental functions that give the same bits on every machine.
//!
//! They come from the pure-Rust crate `libm`, except `sqrt`, which IEEE 754 makes exact
//! everywhere, and `exp`, which is written out here because `libm`'s was slow. The platform's own
//! functions differ in the last bit between C libraries, and golden numbers would differ with
//! them; Rust never fuses multiplications behind our back, so plain arithmetic is portable.
//!
//! Cost per call, measured once on the build machine (x86-64 virtual machine, busy, glibc as the
//! platform's library; the ignored test `measure_cost` repeats it): exp 7 ns (platform 5, libm
//! 46), ln 8.5 (4.6), pow 89 (11), tanh 20 (8), erfc 7. In a hot loop prefer `exp(y * ln(x))` to
//! `pow(x, y)` where 14 digits are enough.

/// e to the `x`, to one unit in the last place.
///
/// The method of FDLIBM's `e_exp.c` (Sun Microsystems 1993): reduce by multiples of ln 2, then a
/// rational function; only the scaling by a power of two is done by building its bits.
#[inline]
#[must_use]
pub fn exp(x: f64) -> f64 {
    const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    const P: [f64; 5] = [
        1.666_666_666_666_660_2e-1,
        -2.777_777_777_701_559e-3,
        6.613_756_321_437_934e-5,
        -1.653_390_220_546_525e-6,
        4.138_136_797_057_238_5e-8,
    ];
    // Outside, results are infinite, zero or subnormal, or `x` is NaN.
    if !(x > -708.0 && x < 709.0) {
        return libm::exp(x);
    }
    let k = (x * std::f64::consts::LOG2_E + 0.5_f64.copysign(x)) as i32;
    let high = x - f64::from(k) * LN2_HIGH;
    let low = f64::from(k) * LN2_LOW;
    let r = high - low;
    let t = r * r;
    let c = r - t * (P[0] + t * (P[1] + t * (P[2] + t * (P[3] + t * P[4]))));
    let y = 1.0 - ((low - (r * c) / (2.0 - c)) - high);
    y * f64::from_bits(((1023 + i64::from(k)) as u64) << 52)
}

/// e to the `x`, less one, exact for small `x`.
#[inline]
#[must_use]
pub fn exp_m1(x: f64) -> f64 {
    libm::expm1(x)
}

/// 10 to the `x`.
#[inline]
#[must_use]
pub fn exp10(x: f64) -> f64 {
    libm::exp10(x)
}

/// Natural logarithm; NaN below zero and minus infinity at zero, so callers guard.
#[inline]
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Natural logarithm of `1 + x`, exact for small `x`.
#[inline]
#[must_use]
pub fn ln_1p(x: f64) -> f64 {
    libm::log1p(x)
}

/// Logarithm to base 10.
#[inline]
#[must_use]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// `x` to the power `y`.
#[inline]
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Square root.
#[inline]
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    x.sqrt()
}

/// Cube root.
#[inline]
#[must_use]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// Error function.
#[inline]
#[must_use]
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}

/// One less the error function, exact in the far tail.
#[inline]
#[must_use]
pub fn erfc(x: f64) -> f64 {
    libm::erfc(x)
}

/// Sine of an angle in radians.
#[inline]
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
#[inline]
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Tangent of an angle in radians.
#[inline]
#[must_use]
pub fn tan(x: f64) -> f64 {
    libm::tan(x)
}

/// Angle in radians whose tangent is `x`.
#[inline]
#[must_use]
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}

/// Angle of the point (`x`, `y`) from the x axis, in radians, −π to π.
#[inline]
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Hyperbolic sine.
#[inline]
#[must_use]
pub fn sinh(x: f64) -> f64 {
    libm::sinh(x)
}

/// Hyperbolic cosine.
#[inline]
#[must_use]
pub fn cosh(x: f64) -> f64 {
    libm::cosh(x)
}

/// Hyperbolic tangent.
#[inline]
#[must_use]
pub fn tanh(x: f64) -> f64 {
    libm::tanh(x)
}

/// Bessel function of the first kind, order 0.
#[inline]
#[must_use]
pub fn bessel_j0(x: f64) -> f64 {
    libm::j0(x)
}

/// Bessel function of the first kind, order 1.
#[inline]
#[must_use]
pub fn bessel_j1(x: f64) -> f64 {
    libm::j1(x)
}

/// `z` with `erf(z) = p`, for `p` strictly between −1 and 1; `None` outside.
#[must_use]
pub fn inverse_erf(p: f64) -> Option<f64> {
    if !(p > -1.0 && p < 1.0) {
        return None;
    }
    // erf(z) = 2 Φ(z √2) − 1.
    super::quasi::inverse_normal(0.5 * (1.0 + p)).map(|x| x / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values to 15 digits from the tables of Abramowitz and Stegun 7.1 and 9.4; the tolerance
    /// is a few units in the last printed place.
    #[test]
    fn val_functions_match_the_tables() {
        assert!((erf(0.5) - 0.520_499_877_813_047).abs() < 3e-15);
        assert!((erfc(2.0) - 0.004_677_734_981_047_266).abs() < 1e-17);
        assert!((bessel_j0(1.0) - 0.765_197_686_557_967).abs() < 2e-15);
        assert!((bessel_j1(1.0) - 0.440_050_585_744_934).abs() < 2e-15);
        assert!((exp10(2.0) - 100.0).abs() < 1e-12);
    }

    /// Against `libm`, which is good to one unit in the last place: two units apart at most.
    #[test]
    fn exp_is_good_to_the_last_place() {
        for i in -70_000..70_000 {
            let x = 0.0101 * f64::from(i) + 1e-5;
            let (ours, theirs) = (exp(x), libm::exp(x));
            assert!(
                (ours / theirs - 1.0).abs() <= 2.0 * f64::EPSILON,
                "{x}: {ours} {theirs}"
            );
        }
        assert_eq!(exp(0.0), 1.0);
        assert_eq!(exp(-1e4), 0.0);
        assert_eq!(exp(1e4), f64::INFINITY);
        assert!(exp(f64::NAN).is_nan());
        assert!((exp(1e-300) - 1.0).abs() == 0.0);
    }

    /// Prints the cost of each call beside the platform's; run by hand with `--ignored`.
    #[test]
    #[ignore = "a measurement, not a check"]
    #[expect(
        clippy::disallowed_methods,
        reason = "measures the banned calls and the clock"
    )]
    fn measure_cost() {
        let x: Vec<f64> = (0..1_000_000).map(|i| 1e-6 * f64::from(i) + 1e-9).collect();
        let time = |name: &str, f: fn(f64) -> f64| {
            let start = std::time::Instant::now();
            let sum: f64 = x.iter().map(|v| f(std::hint::black_box(*v))).sum();
            println!(
                "{name:14} {:6.1} ns  ({sum:.3})",
                start.elapsed().as_secs_f64() * 1e3
            );
        };
        time("exp", exp);
        time("exp platform", f64::exp);
        time("ln", ln);
        time("ln platform", f64::ln);
        time("pow", |v| pow(v, 1.7));
        time("pow platform", |v| v.powf(1.7));
        time("tanh", tanh);
        time("tanh platform", f64::tanh);
        time("erfc", erfc);
    }

    /// Round trip; 1e-14 leaves room for the conditioning of the inverse near ±1.
    #[test]
    fn inverse_erf_undoes_erf() {
        for z in [-1.5, -0.3, 0.0, 0.392, 0.7549, 1.8] {
            let back = inverse_erf(erf(z)).unwrap();
            assert!((back - z).abs() < 1e-13, "{z} {back}");
        }
        assert_eq!(inverse_erf(1.0), None);
        assert_eq!(inverse_erf(f64::NAN), None);
    }
}
