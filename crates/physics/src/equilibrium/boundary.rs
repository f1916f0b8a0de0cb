//! Temperatures at which phases of a steel come and go.
//!
//! Each is found from above: down in steps from where the answer is known, then by Brent's method
//! on a function that is the phase's amount where it is stable and minus the energy it lacks where
//! it is not, so that it passes zero at the boundary.

use casewright_terms::{Composition, Remark, Temperature, Valued, WeightPercent};

use super::component::{Amounts, validity};
use super::energy::Mobile;
use super::solve::{Found, Search};
use super::{EquilibriumFailure, Phase, PhaseSet, check_composition};
use crate::numerics::root::brent;

/// What moves between the phases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Partition {
    /// Everything: the phases after long times.
    Full,
    /// Carbon alone: heats of minutes.
    CarbonOnly,
}

/// Boundaries are given to this width, in kelvin: a hundred times finer than the assessments agree.
const WIDTH_K: f64 = 1e-3;
/// Top of the search: above 1200 °C the first liquid may form in a case of high carbon.
const TOP_K: f64 = 1473.15;
/// Bottom of the search: below 350 °C no atom but carbon moves in any time.
const BOTTOM_K: f64 = 623.15;
/// Step of the way down. A phase that is stable in a narrower band only is not found.
const STEP_K: f64 = 15.0;

/// The boundaries of one steel.
#[derive(Debug)]
pub struct Boundaries {
    search: Search,
    remarks: Vec<Remark>,
    sound: Result<(), EquilibriumFailure>,
}

impl Boundaries {
    /// Prepares the search for a steel; its carbon counts.
    #[must_use]
    pub fn new(composition: &Composition, set: PhaseSet, partition: Partition) -> Self {
        let (mobile, set) = match partition {
            Partition::Full => (Mobile::All, set),
            Partition::CarbonOnly => (
                Mobile::Carbon,
                set.without(Phase::M7c3).without(Phase::M23c6),
            ),
        };
        Self {
            search: Search::new(Amounts::of(composition), set, mobile),
            remarks: validity(composition),
            sound: check_composition(composition),
        }
    }

    /// First austenite on heating: above it austenite is always present. `None` where there is
    /// none up to 1200 °C, or still some at 350 °C.
    ///
    /// # Errors
    /// See [`EquilibriumFailure`].
    pub fn ae1(&mut self) -> Result<Valued<Option<Temperature>>, EquilibriumFailure> {
        self.last_from_above(|found| -presence(found, &[Phase::Austenite]))
    }

    /// Austenite passes 10 mol% on heating: where a steel with much nickel, which keeps a little
    /// austenite far below, begins to transform for the eye.
    ///
    /// # Errors
    /// See [`EquilibriumFailure`].
    pub fn ae1_10pct(&mut self) -> Result<Valued<Option<Temperature>>, EquilibriumFailure> {
        self.last_from_above(|found| 0.10 - found.atoms[Phase::Austenite as usize])
    }

    /// Last ferrite gone on heating (Ae3). `None` where ferrite is stable up to 1200 °C.
    ///
    /// # Errors
    /// See [`EquilibriumFailure`].
    pub fn ae3(&mut self) -> Result<Valued<Option<Temperature>>, EquilibriumFailure> {
        self.last_from_above(|found| presence(found, &[Phase::Ferrite]))
    }

    /// Last carbide dissolved on heating (Acm where the carbon is above the eutectoid). `None`
    /// where a carbide is stable up to 1200 °C or none at all.
    ///
    /// # Errors
    /// See [`EquilibriumFailure`].
    pub fn carbide_gone(&mut self) -> Result<Valued<Option<Temperature>>, EquilibriumFailure> {
        self.last_from_above(|found| {
            presence(found, &[Phase::Cementite, Phase::M7c3, Phase::M23c6])
        })
    }

    /// The highest temperature at which `excess` is zero, being negative above.
    fn last_from_above(
        &mut self,
        excess: impl Fn(&Found) -> f64,
    ) -> Result<Valued<Option<Temperature>>, EquilibriumFailure> {
        self.sound.clone()?;
        let mut high = TOP_K;
        let mut value = None;
        if excess(&self.search.at(high)?) < 0.0 {
            while high > BOTTOM_K {
                let low = (high - STEP_K).max(BOTTOM_K);
                if excess(&self.search.at(low)?) >= 0.0 {
                    value = Some(self.between(low, high, &excess)?);
                    break;
                }
                high = low;
            }
        }
        Ok(Valued {
            value: value.map(Temperature::from_k),
            remarks: self.remarks.clone(),
        })
    }

    fn between(
        &mut self,
        low: f64,
        high: f64,
        excess: &impl Fn(&Found) -> f64,
    ) -> Result<f64, EquilibriumFailure> {
        let mut failure = None;
        let root = brent(low, high, WIDTH_K, |t_k| match self.search.at(t_k) {
            Ok(found) => excess(&found),
            Err(why) => {
                failure = Some(why);
                f64::NAN
            }
        });
        match (root, failure) {
            (Ok(t_k), None) => Ok(t_k),
            (_, Some(why)) => Err(why),
            (Err(_), None) => Err(EquilibriumFailure::NotSettled {
                temperature_k: low,
                rounds: 0,
                change: high - low,
            }),
        }
    }
}

/// Amount of some phases, or minus the energy that the nearest of them lacks.
fn presence(found: &Found, phases: &[Phase]) -> f64 {
    let atoms: f64 = phases.iter().map(|p| found.atoms[*p as usize]).sum();
    if atoms > 0.0 {
        return atoms;
    }
    -phases
        .iter()
        .map(|p| found.lack[*p as usize])
        .fold(f64::INFINITY, f64::min)
        .min(1.0)
}

/// Acm: the last carbide dissolves at this carbon; all carbides, everything moving.
///
/// # Errors
/// See [`EquilibriumFailure`].
pub fn acm(
    composition: &Composition,
    carbon: WeightPercent,
) -> Result<Valued<Option<Temperature>>, EquilibriumFailure> {
    let case = composition.with_carbon(carbon);
    Boundaries::new(&case, PhaseSet::STEEL, Partition::Full).carbide_gone()
}
