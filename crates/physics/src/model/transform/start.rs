//! The austenite before the quench: what is dissolved, what is left as carbide or ferrite.

use casewright_terms::{Composition, Temperature, WeightPercent};

use crate::law::saturation::{cementite_limit, cementite_rise_k};
use crate::law::transformation_temperature::{ac1_andrews, ac3_andrews};

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
    /// Carbon of austenite beside cementite in wt%.
    beside_cementite: f64,
    /// Whether there can be austenite.
    austenitic: bool,
}

impl Lines {
    pub(crate) fn at(steel: &Composition, temperature: Temperature) -> Self {
        let t_c = temperature.to_c();
        let beside_ferrite = carbon_on_ac3(ferrite_zero_c(steel), t_c);
        let beside_cementite = carbon_beside_cementite(steel, temperature);
        Self {
            beside_ferrite,
            beside_cementite,
            austenitic: t_c > ac1_andrews(steel).value.to_c() && beside_ferrite < beside_cementite,
        }
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
        } else if carbon > self.beside_cementite {
            start.carbide = ((carbon - self.beside_cementite)
                / (CEMENTITE_WT_PCT - self.beside_cementite))
                .min(1.0);
            start.carbon = WeightPercent::from_wt_pct(self.beside_cementite);
            start.austenite = 1.0 - start.carbide;
        } else if carbon < self.beside_ferrite {
            let rich = self.beside_ferrite;
            start.ferrite = ((rich - carbon) / (rich - FERRITE_WT_PCT).max(1e-6)).clamp(0.0, 1.0);
            start.carbon = WeightPercent::from_wt_pct(rich);
            start.austenite = 1.0 - start.ferrite;
        }
        start
    }
}

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
#[must_use]
pub fn austenitise(
    steel: &Composition,
    carbon: WeightPercent,
    temperature: Temperature,
) -> Austenite {
    Lines::at(steel, temperature).split(carbon.to_wt_pct().max(0.0))
}
