//! Everything the engine says about one steel, on one card.
//!
//! It collects what `equilibrium` and the laws know; it holds no formula of its own. What is not
//! known stays `None`.

use casewright_terms::{
    Composition, Fraction, Hardness, Length, Remark, SourceKey, Temperature, WeightPercent,
};

/// One phase on the card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CardPhase {
    /// `austenite`, `ferrite`, `cementite`, `graphite`, `m7c3` or `m23c6`.
    pub name: &'static str,
    /// Its share of all atoms.
    pub mole_fraction: Fraction,
    /// Carbon in it.
    pub carbon: WeightPercent,
}

/// What a formula of the literature says beside the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct CrossCheck {
    /// Whose formula, such as `Andrews 1965`.
    pub name: &'static str,
    /// Which quantity: the field of the card it stands beside.
    pub quantity: &'static str,
    /// Its value.
    pub value: Temperature,
    /// Key of its source.
    pub source: SourceKey,
}

/// Hardness along an end-quenched bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JominyPoint {
    /// From the quenched end.
    pub distance: Length,
    /// Hardness there.
    pub hardness: Hardness,
}

/// The card.
#[derive(Clone, Debug, PartialEq)]
pub struct SteelCard {
    /// The steel; its carbon is the base carbon.
    pub composition: Composition,
    /// Carbon that `acm`, `ms`, `carbon_activity`, `phases` and `retained_austenite` speak of.
    pub at_carbon: WeightPercent,
    /// Temperature that `carbon_activity` and `phases` speak of.
    pub at: Temperature,
    /// First austenite on heating, base carbon.
    pub ae1: Option<Temperature>,
    /// Austenite passes 10 mol% on heating, base carbon.
    pub ae1_10pct: Option<Temperature>,
    /// Last carbide dissolves, base carbon.
    pub carbide_gone: Option<Temperature>,
    /// Last ferrite gone, base carbon.
    pub ae3: Option<Temperature>,
    /// Last carbide dissolves at `at_carbon`; `None` where none can.
    pub acm: Option<Temperature>,
    /// Martensite start with `at_carbon` dissolved.
    pub ms: Option<Temperature>,
    /// Against graphite.
    pub carbon_activity: Option<f64>,
    /// Phases at `at` with `at_carbon`, most first.
    pub phases: Vec<CardPhase>,
    /// Austenite left after a quench to 25 °C with `at_carbon` dissolved.
    pub retained_austenite: Option<Fraction>,
    /// End-quench hardness of the base steel.
    pub jominy: Vec<JominyPoint>,
    /// Formulas of the literature beside the values above.
    pub cross_checks: Vec<CrossCheck>,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// Makes the card of a steel. Without `at_carbon` the base carbon stands for it.
#[must_use]
pub fn steel_card(
    composition: &Composition,
    at_carbon: Option<WeightPercent>,
    at: Temperature,
) -> SteelCard {
    SteelCard {
        composition: *composition,
        at_carbon: at_carbon.unwrap_or_else(|| composition.get(casewright_terms::Element::C)),
        at,
        ae1: None,
        ae1_10pct: None,
        carbide_gone: None,
        ae3: None,
        acm: None,
        ms: None,
        carbon_activity: None,
        phases: Vec::new(),
        retained_austenite: None,
        jominy: Vec::new(),
        cross_checks: Vec::new(),
        remarks: Vec::new(),
        sources: Vec::new(),
    }
}
