//! The steel table as the job file's reader wants to see it.

use casewright_job::spec::GradeBook;
use casewright_physics::matter::steel;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Composition, WeightPercent};

/// The engine's steel table.
#[derive(Clone, Copy, Debug, Default)]
pub struct SteelTable;

impl GradeBook for SteelTable {
    fn find(&self, written: &str) -> Option<String> {
        steel::find(written).map(|record| record.name.to_string())
    }

    fn near(&self, written: &str) -> Vec<String> {
        steel::near(written)
            .into_iter()
            .map(|name| name.to_string())
            .collect()
    }

    fn outside(&self, name: &str, composition: &Composition) -> Vec<String> {
        let Some(record) = steel::find(name) else {
            return Vec::new();
        };
        record
            .ranges
            .iter()
            .filter_map(|range| {
                let content = composition.get(range.element);
                let told = |word: &str, limit: WeightPercent| {
                    let text = |c: WeightPercent| format_trimmed(c.to_wt_pct(), 4);
                    let symbol = range.element.symbol();
                    format!("{symbol} {} % ({word} {})", text(content), text(limit))
                };
                match (range.min, range.max) {
                    (Some(min), _) if content < min => Some(told("at least", min)),
                    (_, Some(max)) if content > max => Some(told("at most", max)),
                    _ => None,
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use casewright_terms::Element;

    use super::*;

    #[test]
    fn a_chemistry_is_held_against_the_range_of_its_grade() {
        let table = SteelTable;
        let middle = steel::find("8620").expect("a known grade").middle();
        assert!(table.outside("8620", &middle).is_empty());
        let rich = middle.with_carbon(WeightPercent::from_wt_pct(0.40));
        assert_eq!(table.outside("8620", &rich), ["C 0.4 % (at most 0.23)"]);
        let plain = Composition::plain(middle.get(Element::C));
        let found = table.outside("8620", &plain);
        assert!(
            found
                .iter()
                .any(|part| part.starts_with("Cr 0 % (at least")),
            "{found:?}"
        );
    }
}
