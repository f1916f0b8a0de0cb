//! The austenite before the quench: what is dissolved, what is left as carbide or ferrite.
//!
//! Ferrite by para-equilibrium: in the minutes of a reheat only carbon moves between ferrite and
//! austenite, and because the metals keep their ratios one tie line serves every carbon. Carbide by
//! full equilibrium: it came in the hours of the box and took its share of the metals then, so its
//! line bounds what minutes can dissolve of it. Both lines that the cooling below uses
//! ([`carbon_on_ac3`], [`carbon_beside_cementite`]) are the fitted ones its kinetics were judged
//! with.

use casewright_terms::{Composition, Temperature, TemperatureStep, WeightPercent};

use crate::equilibrium::{EquilibriumFailure, Phase, PhaseSet, carbide_limit, para_equilibrium};
use crate::law::saturation::{cementite_limit, cementite_rise_k};
use crate::law::transformation_temperature::{ac1_andrews, ac3_andrews};
use crate::numerics::fun::sqrt;

/// Carbon of cementite in wt%.
const CEMENTITE_WT_PCT: f64 = 6.67;
/// Carbon of ferrite in equilibrium with austenite in wt%; between 0 at 912 °C and 0.02 at 727 °C.
pub(crate) const FERRITE_WT_PCT: f64 = 0.01;
/// Carbon factor of Andrews' Ac3: 203 √C.
const AC3_PER_ROOT: f64 = 203.0;
/// Carbon of the eutectoid in wt%, for material that never became austenite.
const EUTECTOID_WT_PCT: f64 = 0.76;

/// What stands in the furnace just before the quench, by share of the volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Austenite {
    /// Austenite.
    pub austenite: f64,
    /// Carbon dissolved in it.
    pub carbon: WeightPercent,
    /// Ferrite that has not dissolved.
    pub ferrite: f64,
    /// Pearlite that was never turned to austenite (below Ac1).
    pub pearlite: f64,
    /// Carbide that has not dissolved.
    pub carbide: f64,
}

/// The lines of one steel at one temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lines {
    /// Carbon of austenite beside ferrite in wt%; 0 where no ferrite can be.
    beside_ferrite: f64,
    /// Carbon of that ferrite in wt%.
    in_ferrite: f64,
    /// Carbon of austenite beside carbide in wt%.
    beside_carbide: f64,
    /// Whether there can be austenite.
    austenitic: bool,
}

/// How far the lines of a steel are moved for the doubt about them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shifts {
    /// Added to the temperatures of the ferrite line.
    pub ferrite: TemperatureStep,
    /// Added to the temperatures of the carbide line.
    pub carbide: TemperatureStep,
}

impl Shifts {
    /// The lines themselves.
    pub(crate) const NONE: Self = Self {
        ferrite: TemperatureStep::ZERO,
        carbide: TemperatureStep::ZERO,
    };
}

impl Lines {
    /// # Errors
    /// The steel or the temperature lies outside the Gibbs energies.
    pub(crate) fn at(
        steel: &Composition,
        temperature: Temperature,
        shifts: Shifts,
    ) -> Result<Self, EquilibriumFailure> {
        let tie = beside_ferrite(steel, temperature - shifts.ferrite)?;
        let (in_ferrite, beside_ferrite) = tie.unwrap_or((0.0, 0.0));
        let beside_carbide = carbide_limit(steel, temperature - shifts.carbide)?.to_wt_pct();
        // Ac1 on heating, which lies above the first austenite of the equilibrium.
        let begun = temperature > ac1_andrews(steel).value;
        Ok(Self {
            beside_ferrite,
            in_ferrite,
            beside_carbide,
            austenitic: begun && beside_ferrite < beside_carbide,
        })
    }

    pub(crate) fn austenitic(&self) -> bool {
        self.austenitic
    }

    /// What stands at a point of `carbon` wt%.
    pub(crate) fn split(&self, carbon: f64) -> Austenite {
        let mut start = Austenite {
            austenite: 1.0,
            carbon: WeightPercent::from_wt_pct(carbon),
            ferrite: 0.0,
            pearlite: 0.0,
            carbide: 0.0,
        };
        if !self.austenitic {
            start.pearlite = (carbon / EUTECTOID_WT_PCT).min(1.0);
            start.carbide = ((carbon - EUTECTOID_WT_PCT) / (CEMENTITE_WT_PCT - EUTECTOID_WT_PCT))
                .clamp(0.0, 1.0);
            start.pearlite *= 1.0 - start.carbide;
            start.ferrite = (1.0 - start.pearlite - start.carbide).max(0.0);
            start.austenite = 0.0;
        } else if carbon > self.beside_carbide {
            start.carbide = ((carbon - self.beside_carbide)
                / (CEMENTITE_WT_PCT - self.beside_carbide))
                .min(1.0);
            start.carbon = WeightPercent::from_wt_pct(self.beside_carbide);
            start.austenite = 1.0 - start.carbide;
        } else if carbon < self.beside_ferrite {
            let rich = self.beside_ferrite;
            start.ferrite = ((rich - carbon) / (rich - self.in_ferrite).max(1e-9)).clamp(0.0, 1.0);
            start.carbon = WeightPercent::from_wt_pct(rich);
            start.austenite = 1.0 - start.ferrite;
        }
        start
    }
}

/// Carbon of ferrite and of the austenite beside it in wt%, only carbon moving; `None` where no
/// ferrite is stable.
fn beside_ferrite(
    steel: &Composition,
    temperature: Temperature,
) -> Result<Option<(f64, f64)>, EquilibriumFailure> {
    let set = PhaseSet::STEEL.without(Phase::Cementite);
    // All austenite from `high` on, all ferrite up to `low`.
    let (mut low, mut high) = PROBED_WT_PCT;
    let mut carbon = FIRST_WT_PCT;
    while low < 0.99 * high {
        let steel = steel.with_carbon(WeightPercent::from_wt_pct(carbon));
        let found = para_equilibrium(&steel, temperature, set)?.value;
        let carbon_of = |phase| found.get(phase).map(|share| share.carbon().to_wt_pct());
        match (carbon_of(Phase::Ferrite), carbon_of(Phase::Austenite)) {
            (Some(ferrite), Some(austenite)) => return Ok(Some((ferrite, austenite))),
            (Some(_), None) => low = carbon,
            (None, _) => high = carbon,
        }
        carbon = sqrt(low * high);
    }
    // Ferrite of this much carbon: there is no austenite to harden.
    let all_ferrite = high == PROBED_WT_PCT.1;
    Ok(all_ferrite.then_some((low, high)))
}

/// Carbons between which ferrite beside austenite is looked for, in wt%: the last of it is gone
/// within a degree of where austenite has the least; no austenite beside ferrite has the most.
const PROBED_WT_PCT: (f64, f64) = (3e-4, 3.0);
/// More carbon than ferrite dissolves and, up to some 870 °C, less than austenite beside it.
const FIRST_WT_PCT: f64 = 0.03;

/// Ac3 of the steel without carbon in °C, from Andrews. All terms: the quoted short form leaves out
/// manganese, which moves the line of a plain 0.75 % Mn steel by 23 K and would leave half as much
/// ferrite again undissolved at 788 °C.
pub(crate) fn ferrite_zero_c(steel: &Composition) -> f64 {
    ac3_andrews(&steel.with_carbon(WeightPercent::ZERO))
        .value
        .to_c()
}

/// Carbon of austenite beside cementite in wt%: the plain line, raised for the alloy.
pub(crate) fn carbon_beside_cementite(steel: &Composition, temperature: Temperature) -> f64 {
    // Held above absolute zero for steels far beyond the fit.
    let t_k = (temperature.to_k() - cementite_rise_k(steel)).max(1.0);
    cementite_limit(Temperature::from_k(t_k)).value.to_wt_pct()
}

/// Andrews' Ac3 solved for carbon.
pub(crate) fn carbon_on_ac3(zero_c: f64, t_c: f64) -> f64 {
    let root = (zero_c - t_c).max(0.0) / AC3_PER_ROOT;
    root * root
}

/// What a part of this steel with `carbon` consists of at a temperature, given time.
///
/// # Errors
/// The steel or the temperature lies outside the Gibbs energies.
pub fn austenitise(
    steel: &Composition,
    carbon: WeightPercent,
    temperature: Temperature,
) -> Result<Austenite, EquilibriumFailure> {
    let lines = Lines::at(steel, temperature, Shifts::NONE)?;
    Ok(lines.split(carbon.to_wt_pct().max(0.0)))
}
