//! Accuracy rows of heat and hardening: box, quench, scale, and the chain's anchors.

mod boxes;
mod furnace;
mod hardening;
mod packed;
mod severity;
mod thermal;

use casewright_terms::SourceKey;

use super::{Kind, Row};

/// Rows of this family.
#[must_use]
pub fn rows() -> Vec<Row> {
    [
        thermal::rows(),
        boxes::rows(),
        packed::rows(),
        hardening::rows(),
        furnace::rows(),
        severity::rows(),
    ]
    .concat()
}

/// What the rows of one check share.
struct Check {
    id: &'static str,
    source: SourceKey,
    unit: &'static str,
    tolerance: f64,
    reason: &'static str,
    kind: Kind,
}

impl Check {
    fn rows(&self, cells: impl IntoIterator<Item = (String, f64, f64)>) -> Vec<Row> {
        let mut number = 0;
        cells
            .into_iter()
            .map(|(what, published, computed)| {
                number += 1;
                Row {
                    id: format!("{}-{number}", self.id),
                    what,
                    source: self.source,
                    published,
                    computed,
                    unit: self.unit,
                    tolerance: self.tolerance,
                    reason: self.reason,
                    kind: self.kind,
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matter::sources::source;

    #[test]
    fn val_every_row_is_within_its_tolerance() {
        let rows = rows();
        for row in &rows {
            println!(
                "{} {}: {} against {} {}",
                row.id, row.what, row.computed, row.published, row.unit
            );
        }
        let bad: Vec<String> = rows
            .into_iter()
            .filter(|row| !row.ok())
            .map(|row| {
                format!(
                    "{} {}: {} against {} ± {}",
                    row.id, row.what, row.computed, row.published, row.tolerance
                )
            })
            .collect();
        assert!(bad.is_empty(), "{}", bad.join("\n"));
    }

    #[test]
    fn every_source_of_these_models_exists() {
        let mut keys: Vec<SourceKey> = rows().iter().map(|row| row.source).collect();
        keys.extend(crate::model::quench::sources());
        keys.extend(crate::model::transform::sources());
        keys.extend(crate::model::pack_heat::sources());
        keys.extend(crate::model::box_heat::sources());
        keys.extend(crate::model::jominy::sources());
        keys.extend(crate::model::testers::sources());
        keys.extend(crate::law::scaling::SOURCES);
        keys.extend(crate::law::bath_heat::SOURCES);
        keys.extend(crate::model::reheat::sources(true));
        keys.extend(["radiation-handbook", "cementite-hardness-assumed"]);
        for key in keys {
            assert!(source(key).is_some(), "{key}");
        }
    }
}
