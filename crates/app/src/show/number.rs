//! Numbers as a person reads them in a table.

use casewright_terms::{Band, Length, UnitSystem};

/// A depth with its band: the middle, and the ends behind it.
pub(crate) fn depth_band(band: Band<Length>, units: UnitSystem) -> String {
    format!(
        "{} ({} to {})",
        band.mid.depth_text(units),
        band.low.depth_text(units),
        band.high.depth_text(units)
    )
}

/// The number with so many significant digits: plain between a thousandth and a million, with a
/// power of ten outside; trailing zeros behind the mark are dropped.
pub(crate) fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "no number".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let scientific = format!("{value:.*e}", digits.saturating_sub(1));
    let (mantissa, exponent) = scientific
        .split_once('e')
        .expect("the scientific form has an exponent");
    let exponent: i32 = exponent.parse().expect("the exponent is a whole number");
    if (-3..6).contains(&exponent) {
        let behind = (digits as i32 - 1 - exponent).max(0) as usize;
        trimmed(&format!("{value:.behind$}"))
    } else {
        format!("{}e{exponent}", trimmed(mantissa))
    }
}

fn trimmed(text: &str) -> String {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_kept_and_zeros_dropped() {
        for (value, text) in [
            (1.0, "1"),
            (926.666_67, "926.67"),
            (0.001_234_567, "0.0012346"),
            (1.5e-7, "1.5e-7"),
            (-12_345_678.0, "-1.2346e7"),
            (0.0, "0"),
            (999_999.9, "1e6"),
            (f64::NAN, "no number"),
        ] {
            assert_eq!(significant(value, 5), text);
        }
    }
}
