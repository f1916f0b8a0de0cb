//! What a steel does, on the wire.

use casewright_terms::Composition;
use serde::ser::{Serialize, SerializeMap, Serializer};

use super::number;

/// Contents by the element's symbol, in print order; elements that are absent are not listed.
#[derive(Debug)]
pub(crate) struct Contents(Vec<(&'static str, f64)>);

impl Contents {
    /// From a composition.
    pub(crate) fn of(composition: &Composition) -> Self {
        Self(
            composition
                .present()
                .map(|(element, content)| (element.symbol(), number(content.to_wt_pct())))
                .collect(),
        )
    }
}

impl Serialize for Contents {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (symbol, content) in &self.0 {
            map.serialize_entry(symbol, content)?;
        }
        map.end()
    }
}
