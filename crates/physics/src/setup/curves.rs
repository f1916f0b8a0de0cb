//! Which transformation curves to compute. Values only.

use casewright_terms::{Composition, Temperature, WeightPercent};

/// Curves of one austenite: isothermal, and on steady ways down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvesSetup {
    /// The steel; its own carbon does not count.
    pub composition: Composition,
    /// Carbon dissolved in the austenite.
    pub carbon: WeightPercent,
    /// ASTM grain number of the austenite, −2 to 16.
    pub grain_number: f64,
    /// Where the steel is austenitised: carbon above the carbide line there cannot be dissolved.
    pub from: Temperature,
}
