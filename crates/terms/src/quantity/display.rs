//! How quantities are written for a person: the unit belongs to the viewer, not to the value.

use super::{Length, Mass, Span, Temperature, TemperatureStep, Volume};

/// The pair of units a job is read and printed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum UnitSystem {
    /// Millimetres and degrees Celsius.
    #[default]
    Metric,
    /// Inches and degrees Fahrenheit.
    Inch,
}

impl UnitSystem {
    /// The other one, for the small print beside each critical value.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Metric => Self::Inch,
            Self::Inch => Self::Metric,
        }
    }

    /// Unit of depths and sizes.
    #[must_use]
    pub fn length_unit(self) -> &'static str {
        match self {
            Self::Metric => "mm",
            Self::Inch => "in",
        }
    }

    /// Unit of temperatures.
    #[must_use]
    pub fn temperature_unit(self) -> &'static str {
        match self {
            Self::Metric => "°C",
            Self::Inch => "°F",
        }
    }
}

/// Writes a number with at most `decimals` decimals and no trailing zeros.
#[must_use]
pub fn format_trimmed(value: f64, decimals: usize) -> String {
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

impl Length {
    /// A depth: two decimals in mm, three in inch, with the unit.
    #[must_use]
    pub fn depth_text(self, units: UnitSystem) -> String {
        match units {
            UnitSystem::Metric => format!("{:.2} mm", self.to_mm()),
            UnitSystem::Inch => format!("{:.3} in", self.to_in()),
        }
    }

    /// A depth in the job's unit with the other one in brackets.
    #[must_use]
    pub fn depth_text_both(self, units: UnitSystem) -> String {
        format!(
            "{} ({})",
            self.depth_text(units),
            self.depth_text(units.other())
        )
    }

    /// A size of a part, a box or a chamber: no false decimals.
    #[must_use]
    pub fn size_text(self, units: UnitSystem) -> String {
        match units {
            UnitSystem::Metric => format!("{} mm", format_trimmed(self.to_mm(), 1)),
            UnitSystem::Inch => format!("{} in", format_trimmed(self.to_in(), 3)),
        }
    }
}

impl Temperature {
    /// A temperature in whole degrees with its unit.
    #[must_use]
    pub fn text(self, units: UnitSystem) -> String {
        match units {
            UnitSystem::Metric => format!("{:.0} °C", self.to_c()),
            UnitSystem::Inch => format!("{:.0} °F", self.to_f()),
        }
    }

    /// A temperature in the job's unit with the other one in brackets.
    #[must_use]
    pub fn text_both(self, units: UnitSystem) -> String {
        format!("{} ({})", self.text(units), self.text(units.other()))
    }
}

impl TemperatureStep {
    /// A difference in whole degrees with its unit.
    #[must_use]
    pub fn text(self, units: UnitSystem) -> String {
        match units {
            UnitSystem::Metric => format!("{:.0} °C", self.to_k()),
            UnitSystem::Inch => format!("{:.0} °F", self.to_f()),
        }
    }
}

impl TemperatureStep {
    /// A difference in the job's unit with the other one in brackets.
    #[must_use]
    pub fn text_both(self, units: UnitSystem) -> String {
        format!("{} ({})", self.text(units), self.text(units.other()))
    }
}

impl Span {
    /// A duration as a person says it: `45 min`, `8 h`, `1 h 40 min`; seconds below two minutes.
    #[must_use]
    pub fn text(self) -> String {
        if self.to_s().abs() < 120.0 {
            return format!("{:.0} s", self.to_s());
        }
        let minutes = self.to_min().round() as i64;
        match (minutes / 60, minutes % 60) {
            (0, rest) => format!("{rest} min"),
            (hours, 0) => format!("{hours} h"),
            (hours, rest) => format!("{hours} h {} min", rest.abs()),
        }
    }
}

impl Mass {
    /// A mass with its unit.
    #[must_use]
    pub fn text(self, units: UnitSystem) -> String {
        match units {
            UnitSystem::Metric if self.to_kg() < 1.0 => format!("{:.0} g", self.to_g()),
            UnitSystem::Metric => format!("{:.1} kg", self.to_kg()),
            UnitSystem::Inch => format!("{:.1} lb", self.to_lb()),
        }
    }
}

impl Volume {
    /// A volume of liquid or compound with its unit.
    #[must_use]
    pub fn text(self, units: UnitSystem) -> String {
        match units {
            UnitSystem::Metric => format!("{:.1} L", self.to_l()),
            UnitSystem::Inch => format!("{:.1} gal", self.to_gal()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_read_as_spoken() {
        for (seconds, text) in [
            (45.0, "45 s"),
            (2700.0, "45 min"),
            (28800.0, "8 h"),
            (6000.0, "1 h 40 min"),
        ] {
            assert_eq!(Span::from_s(seconds).text(), text);
        }
    }

    #[test]
    fn both_units_stand_beside_each_other() {
        assert_eq!(
            Length::from_mm(0.8).depth_text_both(UnitSystem::Metric),
            "0.80 mm (0.031 in)"
        );
        assert_eq!(
            Temperature::from_f(1700.0).text_both(UnitSystem::Inch),
            "1700 °F (927 °C)"
        );
    }

    #[test]
    fn trailing_zeros_go() {
        assert_eq!(format_trimmed(14.0, 1), "14");
        assert_eq!(format_trimmed(-0.01, 1), "0");
        assert_eq!(format_trimmed(0.750, 3), "0.75");
    }
}
