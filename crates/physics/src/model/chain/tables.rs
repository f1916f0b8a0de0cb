//! What a steel's chemistry alone decides in the chain: its saturation lines and what all points of
//! it share on the way down. Both rest on searches for equilibria, a tenth of a run's time, and are
//! the same for every soak, heat, tank and temper: who runs one steel many times makes them once.

use casewright_terms::{Composition, TemperatureStep};

use crate::equilibrium::SaturationTable;
use crate::model::transform::SteelLines;
use crate::run::Failure;

/// Tables of one steel.
#[derive(Clone, Debug)]
pub struct SteelTables {
    pub(super) saturation: SaturationTable,
    pub(super) lines: SteelLines,
}

impl SteelTables {
    /// Computes them.
    ///
    /// # Errors
    /// [`Failure::Setup`] for a steel outside the Gibbs energies.
    pub fn new(steel: &Composition) -> Result<Self, Failure> {
        let saturation =
            SaturationTable::new(steel, TemperatureStep::ZERO).map_err(|why| Failure::Setup {
                what: why.to_string(),
            })?;
        let lines = SteelLines::by(steel, Some(&saturation));
        Ok(Self { saturation, lines })
    }

    /// The lines, where they are of this steel.
    pub(super) fn lines_of(&self, steel: &Composition) -> SteelLines {
        if self.lines.is_of(steel) {
            self.lines.clone()
        } else {
            SteelLines::new(steel)
        }
    }
}
