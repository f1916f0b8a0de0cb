//! **What**: the rules shops use for case depth and for boost and diffuse times.
//!
//! **Equation**: `d = 31.6 √t / 10^(6700/(F + 460))` inches (Harris); boost time
//! `t₁ = t ((C − Cᵢ)/(C₀ − Cᵢ))²`.
//!
//! **Symbols**: `d` total case depth; `t` hours at temperature (boost and diffuse together in the
//! second rule); `F` °F; `C` wanted surface carbon; `C₀` surface carbon at the end of the boost;
//! `Cᵢ` core carbon, all wt%.
//!
//! **Source**: `harris-1943`, form recalled, table found in copies.
//!
//! **Valid for**: 1400 to 1850 °F, a surface saturated with carbon the whole time.
//!
//! **Weak where**: short runs and pack surfaces that take hours to saturate come out shallower.
//! Copies in metric units with `660 exp(−8287/T) √t` mm are misprinted: 4 % deep at 927 °C.
//!
//! **Checked by**: `val_harris_table_corners`, `misprint_is_four_percent`,
//! `boost_and_diffuse_example`; rows `harris-*`.

use casewright_terms::{Fraction, Length, Remark, Span, Temperature, Valued, WeightPercent};

use crate::numerics::fun::{exp, exp10, sqrt};

/// Table of the source, in °F. [harris-1943]
const RANGE_F: (f64, f64) = (1400.0, 1850.0);

/// Depth after one hour, in inches.
fn one_hour_in(fahrenheit: f64) -> f64 {
    31.6 / exp10(6700.0 / (fahrenheit + 460.0))
}

fn judged<T>(temperature: Temperature, value: T) -> Valued<T> {
    let f = temperature.to_f();
    if f >= RANGE_F.0 - 0.5 && f <= RANGE_F.1 + 0.5 {
        return Valued::inside(value);
    }
    let text = format!(
        "Harris's rule used at {f:.0} °F; its table covers {:.0} to {:.0} °F",
        RANGE_F.0, RANGE_F.1
    );
    Valued::with(value, Remark::new("harris-outside-range", text))
}

/// Total case depth after `time` at `temperature` with a saturated surface.
#[must_use]
pub fn harris_depth(temperature: Temperature, time: Span) -> Valued<Length> {
    let root = sqrt(time.to_h().max(0.0));
    // Below −460 °F there is no temperature, and just above it the rule gives 0.
    let depth = Length::checked(one_hour_in(temperature.to_f()) * root * 0.0254);
    judged(temperature, depth.unwrap_or(Length::ZERO))
}

/// Time at `temperature` for a total case depth; `None` where the rule gives no finite time.
#[must_use]
pub fn harris_time(temperature: Temperature, depth: Length) -> Option<Valued<Span>> {
    let ratio = depth.to_in().max(0.0) / one_hour_in(temperature.to_f());
    let time = Span::checked(ratio * ratio * 3600.0)?;
    Some(judged(temperature, time))
}

/// The misprinted metric copy of Harris's rule, to recognise a number that came from it. Never
/// used for a plan.
#[must_use]
pub fn harris_depth_misprinted(temperature: Temperature, time: Span) -> Length {
    let mm = 660.0 * exp(-8287.0 / temperature.to_k()) * sqrt(time.to_h().max(0.0));
    Length::from_mm(mm)
}

/// Share of the total time that is boost, for a wanted final surface carbon; `None` unless
/// core < wanted ≤ boost.
#[must_use]
pub fn boost_share(
    core: WeightPercent,
    boost: WeightPercent,
    wanted: WeightPercent,
) -> Option<Fraction> {
    if !(core < wanted && wanted <= boost) {
        return None;
    }
    let ratio = (wanted - core) / (boost - core);
    Fraction::checked(ratio * ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed to 0.001 in: half of that, and 0.0001 for copies that cut instead of rounding.
    #[test]
    fn val_harris_table_corners() {
        for (f, h, inches) in [
            (1500.0, 1.0, 0.012),
            (1700.0, 8.0, 0.071),
            (1800.0, 24.0, 0.168),
            (1400.0, 8.0, 0.022),
        ] {
            let d = harris_depth(Temperature::from_f(f), Span::from_h(h));
            assert!(
                (d.value.to_in() - inches).abs() < 6e-4,
                "{f} {h}: {}",
                d.value.to_in()
            );
            assert!(d.remarks.is_empty());
            let t = harris_time(Temperature::from_f(f), d.value).unwrap();
            assert!((t.value.to_h() - h).abs() < 1e-9);
        }
        let hot = harris_depth(Temperature::from_f(1900.0), Span::from_h(1.0));
        assert_eq!(hot.remarks[0].code, "harris-outside-range");
    }

    /// 0.661 mm for 0.634 mm at 1200 K, 1 h: the known size of the misprint. The second figure
    /// takes 459.67 for the rule's 460, which makes 0.0011 mm; hence 2e-3.
    #[test]
    fn misprint_is_four_percent() {
        let (t, h) = (Temperature::from_k(1200.0), Span::from_h(1.0));
        let (right, wrong) = (harris_depth(t, h).value, harris_depth_misprinted(t, h));
        assert!((right.to_mm() - 0.634).abs() < 2e-3, "{}", right.to_mm());
        assert!((wrong.to_mm() - 0.661).abs() < 1e-3, "{}", wrong.to_mm());
    }

    #[test]
    fn boost_and_diffuse_example() {
        let w = WeightPercent::from_wt_pct;
        let share = boost_share(w(0.2), w(1.25), w(0.9)).unwrap();
        assert!((share.to_ratio() - 0.444).abs() < 5e-4);
        assert_eq!(boost_share(w(0.2), w(0.9), w(1.0)), None);
    }
}
