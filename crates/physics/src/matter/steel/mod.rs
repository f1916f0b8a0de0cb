//! The table of steels: grades that shops carburize, or meet by mistake.
//!
//! Reads `data/steels.toml`, which is built into the program, and finds a grade by any of the
//! names people write. It gives ranges and the middle of the range; it computes no property.

mod find;
mod load;
#[cfg(test)]
mod tests;

use std::sync::LazyLock;

use casewright_terms::{Composition, Element, Severity, WeightPercent};

pub use load::{TableProblem, read};

/// What kind of steel a grade is, for the questions a case-hardening shop asks of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SteelClass {
    /// Low-carbon steel without alloying on purpose.
    Plain,
    /// Plain steel made for chips: with sulphur, phosphorus or lead.
    FreeCutting,
    /// Low-carbon steel alloyed for carburizing.
    AlloyCarburizing,
    /// Carbon of 0.28 % and up, hardened without carburizing.
    ThroughHardening,
    /// Tool or bearing steel.
    Tool,
    /// Stainless steel.
    Stainless,
    /// Bought to strength, with a chemistry that is only bounded.
    Structural,
}

impl SteelClass {
    /// The word used in files and answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::FreeCutting => "free-cutting",
            Self::AlloyCarburizing => "alloy-carburizing",
            Self::ThroughHardening => "through-hardening",
            Self::Tool => "tool",
            Self::Stainless => "stainless",
            Self::Structural => "structural",
        }
    }
}

/// What carburized parts of a grade are usually quenched in (trade practice, not physics).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UsualQuench {
    /// Water or brine; oil hardens only thin sections.
    WaterOrBrine,
    /// Oil in most sections.
    Oil,
    /// Not carburized in this trade.
    NotCarburized,
}

impl UsualQuench {
    /// The word used in files and answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::WaterOrBrine => "water-or-brine",
            Self::Oil => "oil",
            Self::NotCarburized => "not-carburized",
        }
    }
}

/// The allowed contents of one element, in weight percent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ContentRange {
    /// Which element.
    pub element: Element,
    /// Least content; `None` where only a greatest is set.
    pub min: Option<WeightPercent>,
    /// Greatest content; `None` where only a least is set.
    pub max: Option<WeightPercent>,
    /// What is usual inside the range, where the middle would mislead (trade practice).
    pub typical: Option<WeightPercent>,
}

impl ContentRange {
    /// The content that stands for the range: the typical value where one is given, else the
    /// middle of a two-sided range, else half of a greatest, else the least.
    #[must_use]
    pub fn middle(&self) -> WeightPercent {
        match (self.typical, self.min, self.max) {
            (Some(typical), _, _) => typical,
            (None, Some(min), Some(max)) => (min + max) * 0.5,
            (None, None, Some(max)) => max * 0.5,
            (None, Some(min), None) => min,
            (None, None, None) => WeightPercent::ZERO,
        }
    }

    /// Whether a content lies inside, with the edges.
    #[must_use]
    pub fn holds(&self, content: WeightPercent) -> bool {
        self.min.is_none_or(|min| content >= min) && self.max.is_none_or(|max| content <= max)
    }
}

/// A danger that a grade brings into a case-hardening shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SteelWarning {
    /// Stable code, lower-case words joined by hyphens.
    pub code: String,
    /// Its weight.
    pub severity: Severity,
    /// What it does to the part or the people, and what to do.
    pub text: String,
}

/// One grade.
#[derive(Clone, Debug, PartialEq)]
pub struct SteelRecord {
    /// Canonical name, as its standard writes it.
    pub name: String,
    /// Which family of standards names it: `SAE`, `EN`, `JIS`, `BS`, `ASTM`, `AISI` or `trade`.
    pub system: String,
    /// Other names of the same record: numbers, old names, near equivalents sold as it.
    pub aliases: Vec<String>,
    /// What kind it is.
    pub class: SteelClass,
    /// Allowed contents, in print order of the elements.
    pub ranges: Vec<ContentRange>,
    /// What carburized parts of it are usually quenched in.
    pub quench: UsualQuench,
    /// A trade note on quench and section, may be empty.
    pub quench_note: String,
    /// Dangers, heaviest first.
    pub warnings: Vec<SteelWarning>,
    /// Key of the source of the ranges.
    pub source: String,
}

impl SteelRecord {
    /// The composition that the grade's name stands for: each range's [`ContentRange::middle`].
    ///
    /// # Panics
    /// Never for a table that loaded: the sum is checked there.
    #[must_use]
    pub fn middle(&self) -> Composition {
        let contents: Vec<_> = self
            .ranges
            .iter()
            .map(|range| (range.element, range.middle()))
            .collect();
        Composition::new(&contents).expect("the table's sums were checked when it was read")
    }

    /// The range of one element; `None` where the standard says nothing of it.
    #[must_use]
    pub fn range(&self, element: Element) -> Option<&ContentRange> {
        self.ranges.iter().find(|range| range.element == element)
    }

    /// The contents of a chemistry that lie outside this grade's ranges: element, content, range.
    #[must_use]
    pub fn outside(
        &self,
        composition: &Composition,
    ) -> Vec<(Element, WeightPercent, ContentRange)> {
        self.ranges
            .iter()
            .filter(|range| !range.holds(composition.get(range.element)))
            .map(|range| (range.element, composition.get(range.element), *range))
            .collect()
    }

    /// Whether shops carburize it at all.
    #[must_use]
    pub fn is_carburized(&self) -> bool {
        self.quench != UsualQuench::NotCarburized
    }
}

static TABLE: LazyLock<Vec<SteelRecord>> = LazyLock::new(|| {
    read(include_str!("../../../../../data/steels.toml"))
        .unwrap_or_else(|problems| panic!("the built-in table of steels is broken: {problems:?}"))
});

/// Every grade, in the table's order.
#[must_use]
pub fn all() -> &'static [SteelRecord] {
    &TABLE
}

/// The grade somebody wrote, by any of its names. Case, spaces, hyphens, the names of the
/// standards around it (`AISI`, `SAE`, `EN 10084`, `JIS`, `1.xxxx` numbers, UNS) and the usual
/// words for the condition (`CR`, `hot rolled`, `+A`) do not matter.
#[must_use]
pub fn find(written: &str) -> Option<&'static SteelRecord> {
    find::find(all(), written)
}

/// Up to five canonical names that look like what was written, nearest first; for a message when
/// [`find`] finds none. Empty where nothing is alike.
#[must_use]
pub fn near(written: &str) -> Vec<&'static str> {
    find::near(all(), written)
}
