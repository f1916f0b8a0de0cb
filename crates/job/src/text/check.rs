//! Bounds on single values, and the slips of unit that put a value out of them.

use casewright_terms::{Diag, Length, UnitSystem};

use super::{At, Scribe};
use crate::units::{Quantity, Unit, Written};

/// Least size of a part or a feature that is believed: below it is foil.
const LEAST_SIZE_MM: f64 = 0.1;
/// Greatest: a tool room's furnace takes nothing longer.
const GREATEST_SIZE_MM: f64 = 2000.0;

impl Scribe<'_> {
    /// Keeps a value that lies between two others; complains about one that does not.
    pub(crate) fn within<Q: Quantity + PartialOrd>(
        &mut self,
        key: &str,
        at: At<Written<Q>>,
        range: (Q, Q),
        said: &str,
        why: &str,
    ) -> Option<At<Q>> {
        let value = at.value.value;
        if value >= range.0 && value <= range.1 {
            return Some(At {
                value,
                place: at.place,
            });
        }
        let written = self.text.get(at.place.span.clone()).unwrap_or("");
        self.push(
            Diag::stop("value-out-of-range", format!("{key} = {written}."))
                .why(why)
                .accepted(format!("{said} is accepted."))
                .at(at.place),
        );
        None
    }

    /// Keeps a size of a part or a feature.
    pub(crate) fn size(&mut self, key: &str, at: At<Written<Length>>) -> Option<At<Length>> {
        let Written { value, unit } = at.value;
        let mm = value.to_mm();
        let written = self
            .text
            .get(at.place.span.clone())
            .unwrap_or("")
            .to_owned();
        if (LEAST_SIZE_MM..=GREATEST_SIZE_MM).contains(&mm) {
            return Some(At {
                value,
                place: at.place,
            });
        }
        let (code, why) = if mm <= 0.0 {
            ("size-not-positive", "There is no such part.")
        } else if mm < LEAST_SIZE_MM {
            (
                "size-too-small",
                "A part of that size is all case, or the unit has slipped.",
            )
        } else {
            (
                "size-too-large",
                "No tool-room furnace takes it, or a unit or a decimal point has slipped.",
            )
        };
        let hint = slip_hint(value, unit).map_or(String::new(), |likely| {
            format!("Did you mean \"{likely}\"? ")
        });
        self.push(
            Diag::stop(code, format!("{key} = {written}."))
                .why(why)
                .accepted(format!(
                    "{hint}Sizes from 0.1 mm to 2 m (0.004 in to 6.5 ft) are accepted."
                ))
                .at(at.place),
        );
        None
    }
}

/// What was likely meant by a size that cannot be: the number in another unit, or with the
/// decimal point that was lost.
fn slip_hint(value: Length, unit: Unit) -> Option<String> {
    let number = match unit {
        Unit::Inch => value.to_in(),
        Unit::Millimetre => value.to_mm(),
        Unit::Metre => value.to_m(),
        Unit::Thou => value.to_thou(),
        Unit::Centimetre => value.to_mm() / 10.0,
        _ => return None,
    };
    // A likely size of tooling: 1 mm to 400 mm.
    let likely = |length: Length| (1.0..=400.0).contains(&length.to_mm().abs());
    let number = number.abs();
    let shown = |n: f64| casewright_terms::quantity::format_trimmed(n, 4);
    let tries = match (unit, unit.system()) {
        (Unit::Inch, _) => vec![
            (
                Length::from_in(number / 1000.0),
                format!("{} in", shown(number / 1000.0)),
            ),
            (Length::from_mm(number), format!("{} mm", shown(number))),
        ],
        (Unit::Millimetre, _) => vec![
            (Length::from_in(number), format!("{} in", shown(number))),
            (
                Length::from_um(number * 1000.0),
                format!("{} mm", shown(number)),
            ),
            (
                Length::from_mm(number / 100.0),
                format!("{} mm", shown(number / 100.0)),
            ),
        ],
        (Unit::Thou, _) => vec![(Length::from_in(number), format!("{} in", shown(number)))],
        (_, Some(UnitSystem::Metric)) => {
            vec![(Length::from_mm(number), format!("{} mm", shown(number)))]
        }
        _ => vec![],
    };
    tries
        .into_iter()
        .find(|(length, _)| likely(*length))
        .map(|(_, text)| text)
}
