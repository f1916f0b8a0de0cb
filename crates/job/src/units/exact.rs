//! Writes a quantity so that reading it back gives the same bits.

use casewright_terms::{
    Density, Fraction, Length, Power, Span, Temperature, TemperatureStep, UnitSystem, Volume,
};

use super::{Quantity, Unit};

/// Quantities that can be written without loss.
pub(crate) trait Exact: Quantity + PartialEq {
    /// The text that [`super::read`] turns back into exactly this value.
    fn exact(self, units: UnitSystem) -> String;
}

/// Tries units in turn; the last must be the quantity's own SI unit, which never loses a bit.
fn first_exact<Q: Quantity + PartialEq>(value: Q, tries: &[(f64, Unit, &str)]) -> String {
    for &(number, unit, word) in tries {
        // A number of at most ten digits that means the same is what the person wrote.
        let short = shortened(number);
        for candidate in [short, number] {
            if Q::from_unit(candidate, unit) == Some(value) {
                return format!("{candidate} {word}");
            }
        }
    }
    unreachable!("the last try is the SI unit itself, whose factor is one")
}

fn shortened(number: f64) -> f64 {
    format!("{number:.9e}").parse().unwrap_or(number)
}

impl Exact for Length {
    fn exact(self, units: UnitSystem) -> String {
        let mm = (self.to_mm(), Unit::Millimetre, "mm");
        let inch = (self.to_in(), Unit::Inch, "in");
        let m = (self.to_m(), Unit::Metre, "m");
        match units {
            UnitSystem::Metric => first_exact(self, &[mm, inch, m]),
            UnitSystem::Inch => first_exact(self, &[inch, mm, m]),
        }
    }
}

impl Exact for Temperature {
    fn exact(self, units: UnitSystem) -> String {
        let c = (self.to_c(), Unit::Celsius, "°C");
        let f = (self.to_f(), Unit::Fahrenheit, "°F");
        let k = (self.to_k(), Unit::Kelvin, "K");
        match units {
            UnitSystem::Metric => first_exact(self, &[c, f, k]),
            UnitSystem::Inch => first_exact(self, &[f, c, k]),
        }
    }
}

impl Exact for TemperatureStep {
    fn exact(self, units: UnitSystem) -> String {
        let f = (self.to_f(), Unit::Fahrenheit, "°F");
        let c = (self.to_k(), Unit::Celsius, "°C");
        match units {
            UnitSystem::Metric => first_exact(self, &[c]),
            UnitSystem::Inch => first_exact(self, &[f, c]),
        }
    }
}

impl Exact for Volume {
    fn exact(self, units: UnitSystem) -> String {
        let l = (self.to_l(), Unit::Litre, "L");
        let gal = (self.to_gal(), Unit::Gallon, "gal");
        let m3 = (self.to_m3(), Unit::CubicMetre, "m3");
        match units {
            UnitSystem::Metric => first_exact(self, &[l, gal, m3]),
            UnitSystem::Inch => first_exact(self, &[gal, l, m3]),
        }
    }
}

impl Exact for Power {
    fn exact(self, _: UnitSystem) -> String {
        first_exact(
            self,
            &[
                (self.to_kw(), Unit::Kilowatt, "kW"),
                (self.to_w(), Unit::Watt, "W"),
            ],
        )
    }
}

impl Exact for Span {
    fn exact(self, _: UnitSystem) -> String {
        first_exact(self, &[(self.to_s(), Unit::Second, "s")])
    }
}

impl Exact for Density {
    fn exact(self, _: UnitSystem) -> String {
        first_exact(
            self,
            &[
                (self.to_g_cm3(), Unit::KilogramPerLitre, "kg/L"),
                (self.to_kg_m3(), Unit::KilogramPerCubicMetre, "kg/m3"),
            ],
        )
    }
}

impl Exact for Fraction {
    fn exact(self, _: UnitSystem) -> String {
        first_exact(
            self,
            &[
                (self.to_pct(), Unit::Percent, "%"),
                (self.to_ratio(), Unit::PartsOfOne, "of 1"),
            ],
        )
    }
}
