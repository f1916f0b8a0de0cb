//! One type per kind of number, SI inside; made and left by naming the unit.
//!
//! Conversion factors live here and nowhere else. A temperature (a point) and a temperature step
//! (a difference) are two types, because 50 °F is 10 °C as a point and 27.8 °C as a step.

mod convert;
mod display;

pub use display::{UnitSystem, format_trimmed};

/// Metres in one international inch, exact by definition.
pub const METRES_PER_INCH: f64 = 0.0254;
/// Kelvin at 0 °C, exact by definition.
pub const ICE_POINT_K: f64 = 273.15;
/// Kilograms in one avoirdupois pound, exact by definition.
pub const KILOGRAMS_PER_POUND: f64 = 0.453_592_37;
/// Cubic metres in one US liquid gallon, exact by definition (231 cubic inches).
pub const CUBIC_METRES_PER_US_GALLON: f64 =
    231.0 * METRES_PER_INCH * METRES_PER_INCH * METRES_PER_INCH;

/// Newtons in one kilogram-force, exact by definition.
pub const NEWTONS_PER_KILOGRAM_FORCE: f64 = 9.806_65;

/// Defines a quantity over a finite `f64` in SI base units.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $si:literal, $from_si:ident, $to_si:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Zero of this quantity.
            pub const ZERO: Self = Self(0.0);

            #[doc = concat!("Makes the quantity from a number in ", $si, ".")]
            ///
            /// # Panics
            /// When the number is not finite: a kernel that lets NaN out is a defect, and text
            /// input is checked by [`Self::checked`] first.
            #[must_use]
            pub fn $from_si(value: f64) -> Self {
                assert!(value.is_finite(), concat!(stringify!($name), " must be finite, got {}"), value);
                Self(value)
            }

            #[doc = concat!("Makes the quantity from a number in ", $si, ", or `None` when it is not finite.")]
            #[must_use]
            pub fn checked(value: f64) -> Option<Self> {
                value.is_finite().then_some(Self(value))
            }

            #[doc = concat!("The number in ", $si, ".")]
            #[must_use]
            pub const fn $to_si(self) -> f64 {
                self.0
            }

            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                if other.0 < self.0 { other } else { self }
            }

            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                if other.0 > self.0 { other } else { self }
            }
        }
    };
}

/// Adds the arithmetic of a quantity whose zero means "none" (so sums and multiples make sense).
macro_rules! linear {
    ($($name:ident),+ $(,)?) => {$(
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self { Self(-self.0) }
        }
        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self { Self(self.0 * factor) }
        }
        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self { Self(self.0 / divisor) }
        }
        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 { self.0 / other.0 }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, |total, item| total + item)
            }
        }
    )+};
}

quantity!(
    /// A length, a depth or a thickness. Depths are per side unless a name says otherwise.
    Length, "metres", from_m, to_m
);
quantity!(
    /// A stretch of time.
    Span, "seconds", from_s, to_s
);
quantity!(
    /// A temperature: a point on the scale.
    Temperature, "kelvin", from_k, to_k
);
quantity!(
    /// A difference of temperatures.
    TemperatureStep, "kelvin of difference", from_k, to_k
);
quantity!(
    /// A mass.
    Mass, "kilograms", from_kg, to_kg
);
quantity!(
    /// An area.
    Area, "square metres", from_m2, to_m2
);
quantity!(
    /// A volume.
    Volume, "cubic metres", from_m3, to_m3
);
quantity!(
    /// A mass per volume.
    Density, "kilograms per cubic metre", from_kg_m3, to_kg_m3
);
quantity!(
    /// Heat or work per time.
    Power, "watts", from_w, to_w
);
quantity!(
    /// A thermal conductivity.
    Conductivity, "watts per metre and kelvin", from_w_m_k, to_w_m_k
);
quantity!(
    /// A heat transfer coefficient.
    HeatTransfer, "watts per square metre and kelvin", from_w_m2_k, to_w_m2_k
);
quantity!(
    /// A diffusivity, of carbon or of heat.
    Diffusivity, "square metres per second", from_m2_s, to_m2_s
);
quantity!(
    /// A coefficient of carbon transfer from a medium into the steel surface.
    TransferCoefficient, "metres per second", from_m_s, to_m_s
);
quantity!(
    /// Carbon that enters a surface: mass per area and time.
    CarbonFlux, "kilograms per square metre and second", from_kg_m2_s, to_kg_m2_s
);
quantity!(
    /// A share of the mass, in percent.
    WeightPercent, "weight percent", from_wt_pct, to_wt_pct
);
quantity!(
    /// A share of a whole, 0 to 1.
    Fraction, "parts of one", from_ratio, to_ratio
);
quantity!(
    /// A force on an indenter.
    Force, "newtons", from_n, to_n
);
quantity!(
    /// A hardness number on the Vickers scale.
    Vickers, "HV", from_hv, to_hv
);

linear!(
    Length,
    Span,
    TemperatureStep,
    Mass,
    Area,
    Volume,
    Density,
    Power,
    Conductivity,
    HeatTransfer,
    Diffusivity,
    TransferCoefficient,
    CarbonFlux,
    WeightPercent,
    Fraction,
    Vickers,
);

impl std::ops::Sub for Temperature {
    type Output = TemperatureStep;
    fn sub(self, other: Self) -> TemperatureStep {
        TemperatureStep(self.0 - other.0)
    }
}

impl std::ops::Add<TemperatureStep> for Temperature {
    type Output = Self;
    fn add(self, step: TemperatureStep) -> Self {
        Self(self.0 + step.0)
    }
}

impl std::ops::Sub<TemperatureStep> for Temperature {
    type Output = Self;
    fn sub(self, step: TemperatureStep) -> Self {
        Self(self.0 - step.0)
    }
}

impl std::ops::Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}

impl std::ops::Mul<Length> for Area {
    type Output = Volume;
    fn mul(self, other: Length) -> Volume {
        Volume(self.0 * other.0)
    }
}

impl std::ops::Mul<Volume> for Density {
    type Output = Mass;
    fn mul(self, volume: Volume) -> Mass {
        Mass(self.0 * volume.0)
    }
}
