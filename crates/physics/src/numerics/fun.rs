//! Transcendental functions, so that golden numbers agree across machines.

/// e to the power `x`.
#[must_use]
pub fn exp(x: f64) -> f64 {
    f64::exp(x)
}

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    f64::ln(x)
}

/// Logarithm to base ten.
#[must_use]
pub fn log10(x: f64) -> f64 {
    f64::log10(x)
}

/// `x` to the power `y`.
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    f64::powf(x, y)
}

/// Square root.
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    f64::sqrt(x)
}
