//! The austenite before the quench: what is dissolved, what is left as carbide or ferrite.
//!
//! Both by full equilibrium. Carbide, because it came in the hours of the box and took its share of
//! the metals then: its line bounds what minutes can dissolve of it. Ferrite, because it is measured
//! on heating up to Ac3, which lies above Ae3; with carbon alone moving the last ferrite of 8620
//! would be gone 19 K below Ae3 (`full_equilibrium_keeps_the_ferrite_that_is_measured`).
//!
//! The ferrite line that the cooling uses ([`carbon_on_ac3`]) is the fitted one its kinetics were
//! judged with; its cementite line is that of equilibrium, and [`carbon_beside_cementite`] stands in
//! for steels outside the Gibbs energies.

use casewright_terms::{Composition, Temperature, TemperatureStep, WeightPercent};

use crate::equilibrium::{EquilibriumFailure, Phase, PhaseSet, carbide_limit, equilibrium};
use crate::law::saturation::{cementite_limit, cementite_rise_k};
use crate::law::transformation_temperature::{ac1_andrews, ac3_andrews};
use crate::numerics::fun::sqrt;
use crate::numerics::interpolate::monotone_cubic;

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
#[derive(Clone, Debug)]
pub(crate) struct Lines {
    /// Carbons of the whole at which the tie line of ferrite and austenite is known, in wt%, rising
    /// to where the last ferrite is gone; empty where there is none at any carbon.
    tie_at: Vec<f64>,
    /// Carbon of the ferrite there.
    in_ferrite: Vec<f64>,
    /// Carbon of the austenite there.
    beside_ferrite: Vec<f64>,
    /// Carbon of austenite beside carbide in wt%.
    beside_carbide: f64,
    /// Whether there can be austenite.
    austenitic: bool,
}

/// Ferrite and austenite side by side, in wt% carbon.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tie {
    /// Of the whole.
    carbon: f64,
    ferrite: f64,
    austenite: f64,
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
        let mut lines = Self {
            tie_at: Vec::new(),
            in_ferrite: Vec::new(),
            beside_ferrite: Vec::new(),
            beside_carbide: 0.0,
            austenitic: false,
        };
        // Ac1 on heating, which lies above the first austenite of the equilibrium.
        if temperature <= ac1_andrews(steel).value {
            return Ok(lines);
        }
        lines.beside_carbide = carbide_limit(steel, temperature - shifts.carbide)?.to_wt_pct();
        let ties = ties(steel, temperature - shifts.ferrite)?;
        lines.austenitic = ties
            .last()
            .is_none_or(|tie| tie.austenite < lines.beside_carbide);
        for tie in ties {
            lines.tie_at.push(tie.carbon);
            lines.in_ferrite.push(tie.ferrite);
            lines.beside_ferrite.push(tie.austenite);
        }
        Ok(lines)
    }

    /// Carbon of ferrite and of the austenite beside it in a whole of `carbon`; `None` where there is
    /// no ferrite. The metals part between the two, so the ends of the tie line move with the whole.
    fn tie(&self, carbon: f64) -> Option<(f64, f64)> {
        if self.tie_at.last().is_none_or(|end| carbon >= *end) {
            return None;
        }
        let read = |of: &[f64]| monotone_cubic(&self.tie_at, of, carbon);
        Some((read(&self.in_ferrite), read(&self.beside_ferrite)))
    }

    /// Carbon of the first ferrite, and of the austenite beside which the last of it stands, in wt%;
    /// `None` where no ferrite is stable.
    pub(crate) fn rim(&self) -> Option<(f64, f64)> {
        Some((*self.in_ferrite.first()?, *self.tie_at.last()?))
    }

    /// Most carbon that the austenite holds, in wt%.
    pub(crate) fn most(&self) -> f64 {
        self.beside_carbide
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
        } else if let Some((ferrite, austenite)) = self.tie(carbon) {
            let wide = (austenite - ferrite).max(1e-9);
            start.ferrite = ((austenite - carbon) / wide).clamp(0.0, 1.0);
            start.carbon = WeightPercent::from_wt_pct(austenite);
            start.austenite = 1.0 - start.ferrite;
        }
        start
    }
}

/// Tie lines of ferrite and austenite at one temperature, by rising carbon; none where no ferrite is
/// stable. Carbide has its own line and is left out.
fn ties(steel: &Composition, temperature: Temperature) -> Result<Vec<Tie>, EquilibriumFailure> {
    let set = PhaseSet::STEEL
        .without(Phase::Cementite)
        .without(Phase::M7c3)
        .without(Phase::M23c6);
    // Ferrite and austenite at a carbon; 0 for the one that is not there.
    let probe = |carbon: f64| -> Result<Tie, EquilibriumFailure> {
        let steel = steel.with_carbon(WeightPercent::from_wt_pct(carbon));
        let found = equilibrium(&steel, temperature, set)?.value;
        let of = |phase| {
            found
                .get(phase)
                .map_or(0.0, |share| share.carbon().to_wt_pct())
        };
        Ok(Tie {
            carbon,
            ferrite: of(Phase::Ferrite),
            austenite: of(Phase::Austenite),
        })
    };
    let both = |tie: &Tie| tie.ferrite > 0.0 && tie.austenite > 0.0;
    // All austenite from `high` on, all ferrite up to `low`.
    let (mut low, mut high) = PROBED_WT_PCT;
    let mut first = probe(FIRST_WT_PCT)?;
    while !both(&first) {
        if first.ferrite > 0.0 {
            low = first.carbon;
        } else {
            high = first.carbon;
        }
        if low > 0.99 * high {
            // Ferrite up to the top: there is no austenite to harden.
            let ferritic = high == PROBED_WT_PCT.1;
            return Ok(ferritic.then_some(Tie::at(high)).into_iter().collect());
        }
        first = probe(sqrt(low * high))?;
    }
    let mut ties = vec![first];
    let mut last = first;
    for share in WAY_TO_THE_END {
        let next = probe(last.carbon + share * (last.austenite - last.carbon))?;
        if !both(&next) {
            break;
        }
        ties.push(next);
        last = next;
    }
    // The end, where the whole is austenite: by the slope of the last two.
    let slope = match ties[..] {
        [.., a, b] => (b.austenite - a.austenite) / (b.carbon - a.carbon),
        _ => 0.0,
    };
    let end = last.carbon + (last.austenite - last.carbon) / (1.0 - slope.clamp(0.0, 0.9));
    ties.push(Tie {
        ferrite: last.ferrite,
        ..Tie::at(end)
    });
    Ok(ties)
}

impl Tie {
    /// The end of the tie lines: all austenite.
    fn at(carbon: f64) -> Self {
        Self {
            carbon,
            ferrite: 0.0,
            austenite: carbon,
        }
    }
}

/// Steps of the known tie lines, as shares of the way to where ferrite would be gone by the last.
const WAY_TO_THE_END: [f64; 4] = [0.5, 0.5, 0.6, 0.7];
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
