//! Writes a quantity so that reading it back gives the same bits.

use casewright_terms::{
    Area, Density, Fraction, Length, Mass, Power, Span, Temperature, TemperatureStep, UnitSystem,
    Volume,
};

use super::{Quantity, Unit};

/// Quantities that can be written without loss.
pub(crate) trait Exact: Quantity + PartialEq {
    /// The text that [`super::read`] turns back into exactly this value.
    fn exact(self, units: UnitSystem) -> String;
}

/// Longest text that the preferred unit may take before another unit is looked for.
const LONGEST_PREFERRED: usize = 12;

/// The shortest text that loses nothing; the first unit is preferred while its text is short.
///
/// One of the tries must be the quantity's own SI unit, which never loses a bit.
fn shortest_exact<Q: Quantity + PartialEq>(value: Q, tries: &[(f64, Unit, &str)]) -> String {
    let mut best: Option<String> = None;
    for &(number, unit, word) in tries {
        // A number of at most ten digits that means the same is what the person wrote.
        let exact = [shortened(number), number]
            .into_iter()
            .find(|&candidate| Q::from_unit(candidate, unit) == Some(value));
        let Some(text) = exact.map(|number| format!("{number} {word}")) else {
            continue;
        };
        match &best {
            Some(known) if known.len() <= LONGEST_PREFERRED.max(text.len()) => {}
            _ => best = Some(text),
        }
    }
    best.unwrap_or_else(|| unreachable!("one try is the SI unit itself, whose factor is one"))
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
            UnitSystem::Metric => shortest_exact(self, &[mm, inch, m]),
            UnitSystem::Inch => shortest_exact(self, &[inch, mm, m]),
        }
    }
}

impl Exact for Temperature {
    fn exact(self, units: UnitSystem) -> String {
        let c = (self.to_c(), Unit::Celsius, "°C");
        let f = (self.to_f(), Unit::Fahrenheit, "°F");
        let k = (self.to_k(), Unit::Kelvin, "K");
        match units {
            UnitSystem::Metric => shortest_exact(self, &[c, f, k]),
            UnitSystem::Inch => shortest_exact(self, &[f, c, k]),
        }
    }
}

impl Exact for TemperatureStep {
    fn exact(self, units: UnitSystem) -> String {
        let f = (self.to_f(), Unit::Fahrenheit, "°F");
        let c = (self.to_k(), Unit::Celsius, "°C");
        match units {
            UnitSystem::Metric => shortest_exact(self, &[c]),
            UnitSystem::Inch => shortest_exact(self, &[f, c]),
        }
    }
}

impl Exact for Volume {
    fn exact(self, units: UnitSystem) -> String {
        let l = (self.to_l(), Unit::Litre, "L");
        let gal = (self.to_gal(), Unit::Gallon, "gal");
        let m3 = (self.to_m3(), Unit::CubicMetre, "m3");
        match units {
            UnitSystem::Metric => shortest_exact(self, &[l, gal, m3]),
            UnitSystem::Inch => shortest_exact(self, &[gal, l, m3]),
        }
    }
}

impl Exact for Area {
    fn exact(self, units: UnitSystem) -> String {
        let of = |side: Length| self / (side * side);
        let cm2 = (of(Length::from_mm(10.0)), Unit::SquareCentimetre, "cm2");
        let in2 = (of(Length::from_in(1.0)), Unit::SquareInch, "in2");
        let m2 = (self.to_m2(), Unit::SquareMetre, "m2");
        match units {
            UnitSystem::Metric => shortest_exact(self, &[cm2, in2, m2]),
            UnitSystem::Inch => shortest_exact(self, &[in2, cm2, m2]),
        }
    }
}

/// A mass of a test piece, which is weighed in grams.
pub(crate) fn grams(mass: Mass) -> String {
    shortest_exact(
        mass,
        &[
            (mass.to_g(), Unit::Gram, "g"),
            (mass.to_kg(), Unit::Kilogram, "kg"),
        ],
    )
}

impl Exact for Mass {
    fn exact(self, units: UnitSystem) -> String {
        let kg = (self.to_kg(), Unit::Kilogram, "kg");
        let lb = (self.to_lb(), Unit::Pound, "lb");
        match units {
            UnitSystem::Metric => shortest_exact(self, &[kg, lb]),
            UnitSystem::Inch => shortest_exact(self, &[lb, kg]),
        }
    }
}

impl Exact for Power {
    fn exact(self, _: UnitSystem) -> String {
        shortest_exact(
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
        shortest_exact(self, &[(self.to_s(), Unit::Second, "s")])
    }
}

impl Exact for Density {
    fn exact(self, _: UnitSystem) -> String {
        shortest_exact(
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
        shortest_exact(
            self,
            &[
                (self.to_pct(), Unit::Percent, "%"),
                (self.to_ratio(), Unit::PartsOfOne, "of 1"),
            ],
        )
    }
}
