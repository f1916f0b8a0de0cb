//! How one value is written for a person. A number shown in two places comes from one function
//! of this file. It holds no conversion: that is the quantity's own business.

use casewright_plan::outcome::Moment;
use casewright_terms::{
    Band, Length, Mass, Scale, Span, Temperature, TemperatureStep, UnitSystem, Vickers, Volume,
};

/// A value in the job's unit, with the same value in the other system's unit (empty where there
/// is no second unit).
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Shown {
    /// In the job's unit, with the unit.
    pub main: String,
    /// In the other system's unit, with the unit.
    pub other: String,
}

impl Shown {
    /// A value that has one way of being written.
    #[must_use]
    pub fn plain(main: impl Into<String>) -> Self {
        Self {
            main: main.into(),
            other: String::new(),
        }
    }

    fn both(units: UnitSystem, write: impl Fn(UnitSystem) -> String) -> Self {
        Self {
            main: write(units),
            other: write(units.other()),
        }
    }

    /// Both on one line: `0.92 mm (0.036 in)`.
    #[must_use]
    pub fn line(&self) -> String {
        if self.other.is_empty() {
            self.main.clone()
        } else {
            format!("{} ({})", self.main, self.other)
        }
    }
}

/// A predicted value and the band it is given with.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct BandShown {
    /// The value of the nominal inputs.
    pub mid: Shown,
    /// From low to high.
    pub range: Shown,
}

/// A depth.
#[must_use]
pub fn depth(value: Length, units: UnitSystem) -> Shown {
    Shown::both(units, |u| value.depth_text(u))
}

/// A growth: a third decimal in mm, a fourth in inch, because it is a tenth of a depth.
#[must_use]
pub fn growth(value: Length, units: UnitSystem) -> Shown {
    Shown::both(units, |u| growth_text(value, u))
}

/// From least to greatest growth.
#[must_use]
pub fn growth_range(low: Length, high: Length, units: UnitSystem) -> Shown {
    Shown::both(units, |u| {
        between(&growth_text(low, u), &growth_text(high, u))
    })
}

fn growth_text(value: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.3} mm", value.to_mm()),
        UnitSystem::Inch => format!("{:.4} in", value.to_in()),
    }
}

/// A size of a part, a box or a distance in the pack.
#[must_use]
pub fn size(value: Length, units: UnitSystem) -> Shown {
    Shown::both(units, |u| value.size_text(u))
}

/// Least to greatest depth with one unit at the end; an open end is said in words.
#[must_use]
pub fn depth_range(min: Option<Length>, max: Option<Length>, units: UnitSystem) -> Shown {
    Shown::both(units, |u| match (min, max) {
        (Some(a), Some(b)) => between(&a.depth_text(u), &b.depth_text(u)),
        (Some(a), None) => format!("at least {}", a.depth_text(u)),
        (None, Some(b)) => format!("at most {}", b.depth_text(u)),
        (None, None) => "open".to_owned(),
    })
}

/// A depth with its band.
#[must_use]
pub fn depth_band(band: Band<Length>, units: UnitSystem) -> BandShown {
    BandShown {
        mid: depth(band.mid, units),
        range: depth_range(Some(band.low), Some(band.high), units),
    }
}

/// A temperature.
#[must_use]
pub fn temperature(value: Temperature, units: UnitSystem) -> Shown {
    Shown::both(units, |u| value.text(u))
}

/// An allowed deviation either way.
#[must_use]
pub fn tolerance(value: TemperatureStep, units: UnitSystem) -> Shown {
    Shown::both(units, |u| format!("± {}", value.text(u)))
}

/// A rise or a margin of temperature; with a decimal where whole degrees would hide it.
#[must_use]
pub fn step(value: TemperatureStep, units: UnitSystem) -> Shown {
    Shown::both(units, |u| {
        let number = match u {
            UnitSystem::Metric => value.to_k(),
            UnitSystem::Inch => value.to_f(),
        };
        let decimals = usize::from(number.abs() < 10.0);
        format!("{number:.decimals$} {}", u.temperature_unit())
    })
}

/// A mass.
#[must_use]
pub fn mass(value: Mass, units: UnitSystem) -> Shown {
    Shown::both(units, |u| value.text(u))
}

/// A volume.
#[must_use]
pub fn volume(value: Volume, units: UnitSystem) -> Shown {
    Shown::both(units, |u| value.text(u))
}

/// A Vickers hardness.
#[must_use]
pub fn vickers(value: Vickers) -> String {
    format!("{:.0} HV", value.to_hv())
}

/// A Vickers hardness with its band.
#[must_use]
pub fn vickers_band(band: Band<Vickers>) -> BandShown {
    BandShown {
        mid: Shown::plain(vickers(band.mid)),
        range: Shown::plain(between(&vickers(band.low), &vickers(band.high))),
    }
}

/// A reading on a scale.
#[must_use]
pub fn reading(value: f64, scale: Scale) -> String {
    format!("{value:.*} {scale}", decimals_of(scale))
}

/// A reading with its band.
#[must_use]
pub fn reading_band(band: Band<f64>, scale: Scale) -> BandShown {
    BandShown {
        mid: Shown::plain(reading(band.mid, scale)),
        range: Shown::plain(between(
            &reading(band.low, scale),
            &reading(band.high, scale),
        )),
    }
}

/// Carbon in weight percent with its band.
#[must_use]
pub fn carbon_band(band: Band<f64>) -> BandShown {
    let write = |v: f64| format!("{v:.2} wt%");
    BandShown {
        mid: Shown::plain(write(band.mid)),
        range: Shown::plain(between(&write(band.low), &write(band.high))),
    }
}

/// A percentage with its band.
#[must_use]
pub fn percent_band(band: Band<f64>) -> BandShown {
    let write = |v: f64| format!("{v:.0} %");
    BandShown {
        mid: Shown::plain(write(band.mid)),
        range: Shown::plain(between(&write(band.low), &write(band.high))),
    }
}

/// A stretch of time with its band.
#[must_use]
pub fn span_band(band: Band<Span>) -> BandShown {
    BandShown {
        mid: Shown::plain(band.mid.text()),
        range: Shown::plain(format!("{} to {}", band.low.text(), band.high.text())),
    }
}

/// From when to when: on the clock where a start is known, and after the start of the job. The
/// day is said once where it does not change.
#[must_use]
pub fn window(begins: Moment, ends: Moment) -> Shown {
    let after = |m: Moment| {
        if m.after.to_s().abs() < 0.5 {
            "0 h".to_owned()
        } else {
            m.after.text()
        }
    };
    let spans = format!("{} to {} after the start", after(begins), after(ends));
    match (begins.clock, ends.clock) {
        (Some(a), Some(b)) => Shown {
            main: if a.date() == b.date() {
                format!("{} to {}", day_and_time(a), b.strftime("%H:%M"))
            } else {
                format!("{} to {}", day_and_time(a), day_and_time(b))
            },
            other: span_between(begins.after, ends.after),
        },
        _ => Shown::plain(spans),
    }
}

fn span_between(from: Span, to: Span) -> String {
    (to - from).text()
}

/// `Tue 24 Nov 14:20`.
#[must_use]
pub fn day_and_time(clock: jiff::civil::DateTime) -> String {
    clock.strftime("%a %-d %b %H:%M").to_string()
}

/// `2026-11-24 14:20`.
#[must_use]
pub fn date_and_time(clock: jiff::civil::DateTime) -> String {
    clock.strftime("%Y-%m-%d %H:%M").to_string()
}

/// Decimals of a reading: whole numbers where the scale has no tenths.
#[must_use]
pub fn decimals_of(scale: Scale) -> usize {
    match scale {
        Scale::Hv | Scale::Hk | Scale::Hbw => 0,
        _ => 1,
    }
}

/// Joins two texts that end in the same unit, so that the unit stands once.
fn between(low: &str, high: &str) -> String {
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((a, unit)), Some((b, other))) if unit == other => format!("{a} to {b} {unit}"),
        _ => format!("{low} to {high}"),
    }
}

/// The first `limit` characters, and a mark where something was left out.
#[must_use]
pub fn clipped(text: &str, limit: usize) -> String {
    match text.char_indices().nth(limit) {
        None => text.to_owned(),
        Some((end, _)) => format!("{} …", text[..end].trim_end()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_has_its_unit_once_and_both_systems() {
        let band = Band {
            low: Length::from_mm(0.84),
            mid: Length::from_mm(0.93),
            high: Length::from_mm(1.02),
        };
        let shown = depth_band(band, UnitSystem::Metric);
        assert_eq!(shown.mid.line(), "0.93 mm (0.037 in)");
        assert_eq!(shown.range.line(), "0.84 to 1.02 mm (0.033 to 0.040 in)");
    }

    #[test]
    fn a_tolerance_is_a_step_not_a_point() {
        // 14 K is 25 °F as a difference; as a point it would be 57 °F.
        let shown = tolerance(TemperatureStep::from_k(14.0), UnitSystem::Metric);
        assert_eq!(shown.line(), "± 14 °C (± 25 °F)");
    }

    #[test]
    fn clipping_keeps_characters_whole() {
        assert_eq!(clipped("äöü", 2), "äö …");
        assert_eq!(clipped("äöü", 3), "äöü");
    }
}
