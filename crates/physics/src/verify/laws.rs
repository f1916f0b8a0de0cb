//! Accuracy rows of the closed-form laws.
//!
//! Each row names its source, its tolerance and the reason for it. Rows whose source is
//! `worked-here` prove the arithmetic only: the same formula, worked out by other means.

mod judging;
pub(super) mod kinetics;
mod testing;
mod transformation;

use casewright_terms::{Composition, Element, SourceKey, WeightPercent};

use super::{Kind, Row};
use crate::law::decomposition::{FerriteActivation, LiCoefficients, Product, Starts};

/// Rows of this family.
#[must_use]
pub fn rows() -> Vec<Row> {
    [
        transformation::rows(),
        kinetics::rows(),
        testing::rows(),
        judging::rows(),
    ]
    .concat()
}

/// Builds the rows of one family: they share source, unit, tolerance, reason and kind.
struct Family {
    id: &'static str,
    source: SourceKey,
    unit: &'static str,
    tolerance: f64,
    reason: &'static str,
    kind: Kind,
}

impl Family {
    /// Rows from (what, published, computed), numbered from 1.
    fn rows<W: Into<String>>(&self, cells: impl IntoIterator<Item = (W, f64, f64)>) -> Vec<Row> {
        cells
            .into_iter()
            .enumerate()
            .map(|(index, (what, published, computed))| Row {
                id: format!("{}-{}", self.id, index + 1),
                what: what.into(),
                source: self.source,
                published,
                computed,
                unit: self.unit,
                tolerance: self.tolerance,
                reason: self.reason,
                kind: self.kind,
            })
            .collect()
    }
}

/// Nominal compositions of the worked tables.
///
/// # Panics
/// For a name that is not in the list, which is a defect of the caller.
pub(crate) fn nominal(name: &str) -> Composition {
    use Element::{C, Cr, Mn, Mo, Ni, Si};
    let contents: &[(Element, f64)] = match name {
        "1018" => &[(C, 0.18), (Mn, 0.75), (Si, 0.20)],
        "1020" => &[(C, 0.20), (Mn, 0.45), (Si, 0.20)],
        "8620" => &[
            (C, 0.20),
            (Mn, 0.80),
            (Si, 0.25),
            (Ni, 0.55),
            (Cr, 0.50),
            (Mo, 0.20),
        ],
        "4320" => &[
            (C, 0.20),
            (Mn, 0.55),
            (Si, 0.25),
            (Ni, 1.80),
            (Cr, 0.50),
            (Mo, 0.25),
        ],
        "9310" => &[
            (C, 0.10),
            (Mn, 0.55),
            (Si, 0.25),
            (Ni, 3.25),
            (Cr, 1.20),
            (Mo, 0.11),
        ],
        "4140" => &[(C, 0.40), (Mn, 0.88), (Si, 0.25), (Cr, 0.95), (Mo, 0.20)],
        "4340" => &[
            (C, 0.40),
            (Mn, 0.70),
            (Si, 0.25),
            (Ni, 1.80),
            (Cr, 0.80),
            (Mo, 0.25),
        ],
        "1080" => &[(C, 0.80), (Mn, 0.75), (Si, 0.20)],
        other => unreachable!("{other} has no nominal composition here"),
    };
    let contents: Vec<(Element, WeightPercent)> = contents
        .iter()
        .map(|&(element, value)| (element, WeightPercent::from_wt_pct(value)))
        .collect();
    Composition::new(&contents).expect("nominal compositions are sound")
}

/// Shortest time to 1 % at grain 8, in seconds, and its temperature in whole °C.
pub(crate) fn nose(name: &str, product: Product, ferrite: FerriteActivation) -> (f64, f64) {
    let steel = nominal(name);
    let kinetics = LiCoefficients::with(&steel, 8.0, Starts::li(&steel), ferrite);
    shortest(|t_k| kinetics.tau_s(product, 0.01, t_k))
}

/// Shortest of a curve of times between 300 and 900 °C, with its temperature in °C.
pub(crate) fn shortest(time_s: impl Fn(f64) -> Option<f64>) -> (f64, f64) {
    (300..900)
        .map(f64::from)
        .filter_map(|celsius| {
            let t_k = casewright_terms::Temperature::from_c(celsius).to_k();
            Some((time_s(t_k)?, celsius))
        })
        .fold((f64::INFINITY, 0.0), |best, now| {
            if now.0 < best.0 { now } else { best }
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matter::sources::source;

    #[test]
    fn val_every_row_is_within_its_tolerance() {
        let bad: Vec<String> = rows()
            .into_iter()
            .filter(|row| !row.ok())
            .map(|row| {
                format!(
                    "{} {}: published {}, computed {}, tolerance {}",
                    row.id, row.what, row.published, row.computed, row.tolerance
                )
            })
            .collect();
        assert!(bad.is_empty(), "{}", bad.join("\n"));
    }

    #[test]
    fn rows_are_whole() {
        let rows = rows();
        assert!(rows.len() > 150, "{}", rows.len());
        let mut ids: Vec<&str> = rows.iter().map(|row| row.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), rows.len(), "an id stands twice");
        for row in &rows {
            assert!(source(row.source).is_some(), "{}: {}", row.id, row.source);
            assert!(!row.reason.is_empty() && !row.what.is_empty(), "{}", row.id);
            assert!(
                row.computed.is_finite() && row.tolerance.is_finite(),
                "{}",
                row.id
            );
        }
    }
}
