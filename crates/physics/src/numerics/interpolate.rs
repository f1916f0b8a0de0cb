//! Reading a table between its points: straight lines, and cubics that make no new hills.
//!
//! Abscissas must ascend strictly; that is asserted, because tables come from our own code or
//! from data that was checked when loaded.

/// Linear interpolation; outside the table the end value holds.
///
/// # Panics
/// When the table is empty or its columns differ in length.
#[must_use]
pub fn linear_clamped(x: &[f64], y: &[f64], at: f64) -> f64 {
    let n = x.len();
    assert!(
        n > 0 && n == y.len(),
        "a table needs equal columns, got {n} and {}",
        y.len()
    );
    if at <= x[0] {
        return y[0];
    }
    if at >= x[n - 1] {
        return y[n - 1];
    }
    inside(x, y, at)
}

/// Linear interpolation; `None` outside the table (and for NaN).
///
/// # Panics
/// When the columns differ in length.
#[must_use]
pub fn linear(x: &[f64], y: &[f64], at: f64) -> Option<f64> {
    let n = x.len();
    assert!(
        n == y.len(),
        "a table needs equal columns, got {n} and {}",
        y.len()
    );
    if n == 0 || !(at >= x[0] && at <= x[n - 1]) {
        return None;
    }
    Some(if n == 1 { y[0] } else { inside(x, y, at) })
}

fn inside(x: &[f64], y: &[f64], at: f64) -> f64 {
    let i = interval(x, at);
    let t = (at - x[i]) / (x[i + 1] - x[i]);
    y[i] + t * (y[i + 1] - y[i])
}

/// Index `i` with `x[i] <= at < x[i + 1]`, kept within the table.
fn interval(x: &[f64], at: f64) -> usize {
    x.partition_point(|v| *v <= at).clamp(1, x.len() - 1) - 1
}

/// Cubic Hermite interpolation with three-point slopes, limited so that the curve stays between
/// neighbouring values where these are monotone (Steffen 1990). Outside, the end value holds.
///
/// Third order or better for smooth tables; exact for straight lines.
///
/// # Panics
/// When the table is empty or its columns differ in length.
#[must_use]
pub fn monotone_cubic(x: &[f64], y: &[f64], at: f64) -> f64 {
    let n = x.len();
    assert!(
        n > 0 && n == y.len(),
        "a table needs equal columns, got {n} and {}",
        y.len()
    );
    if at <= x[0] || n == 1 {
        return y[0];
    }
    if at >= x[n - 1] {
        return y[n - 1];
    }
    let i = interval(x, at);
    let h = x[i + 1] - x[i];
    let t = (at - x[i]) / h;
    let (d0, d1) = (slope(x, y, i) * h, slope(x, y, i + 1) * h);
    let rise = y[i + 1] - y[i];
    y[i] + t * (d0 + t * (3.0 * rise - 2.0 * d0 - d1 + t * (d0 + d1 - 2.0 * rise)))
}

/// Slope at point `i`: parabola through three points, limited after Steffen.
fn slope(x: &[f64], y: &[f64], i: usize) -> f64 {
    let n = x.len();
    let secant = |j: usize| (y[j + 1] - y[j]) / (x[j + 1] - x[j]);
    if n == 2 {
        return secant(0);
    }
    if i == 0 || i == n - 1 {
        // One-sided parabola, limited to twice the end secant and to its sign.
        let (near, far, h, g) = if i == 0 {
            (secant(0), secant(1), x[1] - x[0], x[2] - x[1])
        } else {
            (
                secant(n - 2),
                secant(n - 3),
                x[n - 1] - x[n - 2],
                x[n - 2] - x[n - 3],
            )
        };
        let p = near + (near - far) * h / (h + g);
        return if p * near <= 0.0 {
            0.0
        } else if p.abs() > 2.0 * near.abs() {
            2.0 * near
        } else {
            p
        };
    }
    let (h, g) = (x[i] - x[i - 1], x[i + 1] - x[i]);
    let (left, right) = (secant(i - 1), secant(i));
    if left * right <= 0.0 {
        return 0.0;
    }
    let p = (left * g + right * h) / (h + g);
    let limit = 2.0 * left.abs().min(right.abs());
    p.signum() * p.abs().min(limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_clamped_or_refused() {
        let (x, y) = ([0.0, 1.0, 3.0], [1.0, 2.0, 0.0]);
        assert_eq!(linear_clamped(&x, &y, -5.0), 1.0);
        assert_eq!(linear_clamped(&x, &y, 9.0), 0.0);
        assert_eq!(linear_clamped(&x, &y, 2.0), 1.0);
        assert_eq!(linear(&x, &y, 3.0), Some(0.0));
        assert_eq!(linear(&x, &y, 3.1), None);
        assert_eq!(linear(&x, &y, f64::NAN), None);
        assert_eq!(linear(&[], &[], 0.0), None);
    }

    #[test]
    fn cubic_makes_no_new_hills_and_keeps_lines() {
        let x = [0.0, 0.1, 0.5, 1.0, 2.0];
        let y = [0.0, 0.0, 1.0, 1.0, 1.0];
        let line = x.map(|v| 2.0 * v - 1.0);
        for k in 0..=200 {
            let at = f64::from(k) * 0.01;
            let v = monotone_cubic(&x, &y, at);
            assert!((0.0..=1.0).contains(&v), "{at} {v}");
            // Rounding only.
            assert!((monotone_cubic(&x, &line, at) - (2.0 * at - 1.0)).abs() < 1e-14);
        }
    }

    /// Halving the spacing of a smooth monotone table divides the error by at least 6 (third
    /// order would be 8; 6 leaves room for the asymptotic range).
    #[test]
    fn cubic_error_falls_with_the_third_power() {
        let worst = |n: i32| {
            let x: Vec<f64> = (0..=n).map(|i| f64::from(i) / f64::from(n)).collect();
            let y: Vec<f64> = x.iter().map(|v| super::super::fun::exp(-v)).collect();
            (0..1000)
                .map(|k| f64::from(k) / 1000.0)
                .map(|a| (monotone_cubic(&x, &y, a) - super::super::fun::exp(-a)).abs())
                .fold(0.0, f64::max)
        };
        assert!(worst(10) / worst(20) > 6.0, "{} {}", worst(10), worst(20));
    }
}
