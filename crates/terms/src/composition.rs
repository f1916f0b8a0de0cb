//! What a steel is made of, in weight percent; the balance is iron.

use crate::quantity::WeightPercent;

/// An element that a mill certificate lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(
    missing_docs,
    reason = "the symbols of the elements explain themselves"
)]
pub enum Element {
    C,
    Mn,
    Si,
    Cr,
    Ni,
    Mo,
    Cu,
    V,
    W,
    Al,
    B,
    P,
    S,
    N,
    Pb,
    Ti,
    Nb,
}

impl Element {
    /// All elements, in the order they are printed.
    pub const ALL: [Self; 17] = [
        Self::C,
        Self::Mn,
        Self::Si,
        Self::Cr,
        Self::Ni,
        Self::Mo,
        Self::Cu,
        Self::V,
        Self::W,
        Self::Al,
        Self::B,
        Self::P,
        Self::S,
        Self::N,
        Self::Pb,
        Self::Ti,
        Self::Nb,
    ];

    /// The chemical symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::C => "C",
            Self::Mn => "Mn",
            Self::Si => "Si",
            Self::Cr => "Cr",
            Self::Ni => "Ni",
            Self::Mo => "Mo",
            Self::Cu => "Cu",
            Self::V => "V",
            Self::W => "W",
            Self::Al => "Al",
            Self::B => "B",
            Self::P => "P",
            Self::S => "S",
            Self::N => "N",
            Self::Pb => "Pb",
            Self::Ti => "Ti",
            Self::Nb => "Nb",
        }
    }

    /// Reads a chemical symbol; case must be the chemist's except that all-capitals is accepted.
    #[must_use]
    pub fn from_symbol(text: &str) -> Option<Self> {
        let text = text.trim();
        Self::ALL
            .into_iter()
            .find(|e| e.symbol() == text || e.symbol().to_ascii_uppercase() == text)
    }
}

/// A steel's chemistry. Elements that were not given are zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Composition {
    wt_pct: [f64; Element::ALL.len()],
}

/// Why a list of contents is not a steel's chemistry.
#[derive(Clone, Debug, PartialEq)]
pub enum CompositionProblem {
    /// The content is negative, over 100 or not a number.
    OutOfBounds(Element, f64),
    /// The same element stands twice.
    Twice(Element),
    /// The contents add up to more than 100 %, or leave less than half for iron.
    TooMuch(f64),
}

impl std::fmt::Display for CompositionProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OutOfBounds(element, value) => {
                write!(
                    f,
                    "{} = {value} % is not between 0 and 100 %",
                    element.symbol()
                )
            }
            Self::Twice(element) => write!(f, "{} is given twice", element.symbol()),
            Self::TooMuch(sum) => {
                write!(
                    f,
                    "the elements add up to {sum:.2} %, which leaves less than half for iron"
                )
            }
        }
    }
}

impl Composition {
    /// Pure iron with the given carbon.
    ///
    /// # Panics
    /// When the carbon is negative or over 50 %.
    #[must_use]
    pub fn plain(carbon: WeightPercent) -> Self {
        Self::new(&[(Element::C, carbon)]).expect("a plain carbon content between 0 and 50 %")
    }

    /// Checks and builds a composition.
    ///
    /// # Errors
    /// All problems at once: contents out of bounds, elements given twice, a sum over 50 %.
    pub fn new(contents: &[(Element, WeightPercent)]) -> Result<Self, Vec<CompositionProblem>> {
        let mut problems = Vec::new();
        let mut wt_pct = [0.0; Element::ALL.len()];
        let mut seen = [false; Element::ALL.len()];
        for &(element, content) in contents {
            let value = content.to_wt_pct();
            if !(0.0..=100.0).contains(&value) {
                problems.push(CompositionProblem::OutOfBounds(element, value));
                continue;
            }
            if std::mem::replace(&mut seen[element as usize], true) {
                problems.push(CompositionProblem::Twice(element));
            }
            wt_pct[element as usize] = value;
        }
        let sum: f64 = wt_pct.iter().sum();
        if sum > 50.0 {
            problems.push(CompositionProblem::TooMuch(sum));
        }
        if problems.is_empty() {
            Ok(Self { wt_pct })
        } else {
            Err(problems)
        }
    }

    /// The content of one element.
    #[must_use]
    pub fn get(&self, element: Element) -> WeightPercent {
        WeightPercent::from_wt_pct(self.wt_pct[element as usize])
    }

    /// The content of one element in weight percent, for formulas.
    #[must_use]
    pub fn wt_pct(&self, element: Element) -> f64 {
        self.wt_pct[element as usize]
    }

    /// The same steel with another carbon content.
    #[must_use]
    pub fn with_carbon(mut self, carbon: WeightPercent) -> Self {
        self.wt_pct[Element::C as usize] = carbon.to_wt_pct();
        self
    }

    /// The elements that are present, in print order.
    pub fn present(&self) -> impl Iterator<Item = (Element, WeightPercent)> + '_ {
        Element::ALL
            .into_iter()
            .map(|e| (e, self.get(e)))
            .filter(|(_, w)| w.to_wt_pct() > 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn w(value: f64) -> WeightPercent {
        WeightPercent::from_wt_pct(value)
    }

    #[test]
    fn problems_come_all_at_once() {
        let problems = Composition::new(&[
            (Element::C, w(-0.1)),
            (Element::Mn, w(60.0)),
            (Element::Mn, w(1.0)),
        ])
        .unwrap_err();
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(Composition::new(&[(Element::Ni, w(51.0))]).is_err());
    }

    #[test]
    fn carbon_can_be_replaced() {
        let steel = Composition::new(&[(Element::C, w(0.2)), (Element::Mn, w(0.8))]).unwrap();
        let case = steel.with_carbon(w(0.9));
        assert_eq!(case.wt_pct(Element::C), 0.9);
        assert_eq!(case.wt_pct(Element::Mn), 0.8);
    }
}
