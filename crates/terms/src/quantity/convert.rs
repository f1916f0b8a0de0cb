//! Named units of each quantity: the only place where a conversion factor stands.

use super::{
    Area, CUBIC_METRES_PER_US_GALLON, Density, Diffusivity, Force, Fraction, ICE_POINT_K,
    KILOGRAMS_PER_POUND, Length, METRES_PER_INCH, Mass, NEWTONS_PER_KILOGRAM_FORCE, Power, Span,
    Temperature, TemperatureStep, Volume,
};

/// A pair of conversions by one factor.
macro_rules! unit {
    ($type:ident, $from:ident, $to:ident, $unit:literal, $si_per_unit:expr, $from_si:ident, $to_si:ident) => {
        impl $type {
            #[doc = concat!("From ", $unit, ".")]
            ///
            /// # Panics
            /// When the number is not finite.
            #[must_use]
            pub fn $from(value: f64) -> Self {
                Self::$from_si(value * $si_per_unit)
            }

            #[doc = concat!("In ", $unit, ".")]
            #[must_use]
            pub fn $to(self) -> f64 {
                self.$to_si() / $si_per_unit
            }
        }
    };
}

unit!(Length, from_mm, to_mm, "millimetres", 1e-3, from_m, to_m);
unit!(Length, from_um, to_um, "micrometres", 1e-6, from_m, to_m);
unit!(
    Length,
    from_in,
    to_in,
    "inches",
    METRES_PER_INCH,
    from_m,
    to_m
);
unit!(
    Length,
    from_thou,
    to_thou,
    "thousandths of an inch",
    METRES_PER_INCH * 1e-3,
    from_m,
    to_m
);
unit!(Span, from_min, to_min, "minutes", 60.0, from_s, to_s);
unit!(Span, from_h, to_h, "hours", 3600.0, from_s, to_s);
unit!(
    TemperatureStep,
    from_f,
    to_f,
    "Fahrenheit degrees of difference",
    5.0 / 9.0,
    from_k,
    to_k
);
unit!(Mass, from_g, to_g, "grams", 1e-3, from_kg, to_kg);
unit!(
    Mass,
    from_lb,
    to_lb,
    "pounds",
    KILOGRAMS_PER_POUND,
    from_kg,
    to_kg
);
unit!(
    Area,
    from_mm2,
    to_mm2,
    "square millimetres",
    1e-6,
    from_m2,
    to_m2
);
unit!(Volume, from_l, to_l, "litres", 1e-3, from_m3, to_m3);
unit!(
    Volume,
    from_mm3,
    to_mm3,
    "cubic millimetres",
    1e-9,
    from_m3,
    to_m3
);
unit!(
    Volume,
    from_gal,
    to_gal,
    "US gallons",
    CUBIC_METRES_PER_US_GALLON,
    from_m3,
    to_m3
);
unit!(Power, from_kw, to_kw, "kilowatts", 1e3, from_w, to_w);
unit!(
    Density,
    from_g_cm3,
    to_g_cm3,
    "grams per cubic centimetre",
    1e3,
    from_kg_m3,
    to_kg_m3
);
unit!(
    Diffusivity,
    from_cm2_s,
    to_cm2_s,
    "square centimetres per second",
    1e-4,
    from_m2_s,
    to_m2_s
);
unit!(
    Force,
    from_kgf,
    to_kgf,
    "kilograms-force",
    NEWTONS_PER_KILOGRAM_FORCE,
    from_n,
    to_n
);
unit!(
    Fraction, from_pct, to_pct, "percent", 1e-2, from_ratio, to_ratio
);

impl Temperature {
    /// From degrees Celsius.
    ///
    /// # Panics
    /// When the number is not finite.
    #[must_use]
    pub fn from_c(celsius: f64) -> Self {
        Self::from_k(celsius + ICE_POINT_K)
    }

    /// In degrees Celsius.
    #[must_use]
    pub fn to_c(self) -> f64 {
        self.to_k() - ICE_POINT_K
    }

    /// From degrees Fahrenheit.
    ///
    /// # Panics
    /// When the number is not finite.
    #[must_use]
    pub fn from_f(fahrenheit: f64) -> Self {
        Self::from_c((fahrenheit - 32.0) * 5.0 / 9.0)
    }

    /// In degrees Fahrenheit.
    #[must_use]
    pub fn to_f(self) -> f64 {
        self.to_c() * 9.0 / 5.0 + 32.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn point_and_step_of_fifty_fahrenheit_differ() {
        assert!((Temperature::from_f(50.0).to_c() - 10.0).abs() < 1e-12);
        assert!((TemperatureStep::from_f(50.0).to_k() - 27.777_777_777_777_78).abs() < 1e-12);
    }

    #[test]
    fn defined_factors_are_exact() {
        assert_eq!(Length::from_in(1.0).to_m(), 0.0254);
        assert!((Length::from_in(0.030).to_mm() - 0.762).abs() < 1e-12);
        assert!((Length::from_thou(30.0).to_in() - 0.030).abs() < 1e-15);
        assert!((Volume::from_gal(1.0).to_l() - 3.785_411_784).abs() < 1e-12);
        assert!((Mass::from_lb(1.0).to_g() - 453.592_37).abs() < 1e-9);
        assert!((Temperature::from_f(1700.0).to_c() - 926.666_666_666_666_7).abs() < 1e-9);
    }
}
