//! What the austenite becomes on the way down.
//!
//! Austenite before the quench by equilibrium; ferrite, pearlite and bainite
//! by Li's kinetics with Scheil's rule on the local cooling curve and the local carbon; martensite
//! and retained austenite by Koistinen and Marburger with van Bohemen's start and rate.
//! It knows no hardness and no depth: one point at a time.
//!
//! The carbide before the quench is the equilibrium amount, whatever the soak; on the way down the
//! lines are Andrews' Ac3 and Ac1 and the fitted cementite line of [`crate::law::saturation`].

pub(crate) mod coupling;
mod kinetics;
mod start;

pub(crate) use kinetics::{Kinetics, State, SteelLines};
pub use start::{Austenite, austenitise};
pub(crate) use start::{Lines, Shifts, carbon_beside_cementite};

use casewright_terms::SourceKey;

use crate::law::{decomposition, martensite_start};

/// Carbon above which the kinetics are held: their fit ends there, in wt%.
pub const KINETICS_CARBON_LIMIT: f64 = 0.8;

/// Phases of one point after the quench, by share of the volume; they add up to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it")]
pub struct Phases {
    pub martensite: f64,
    pub retained_austenite: f64,
    pub bainite: f64,
    pub pearlite: f64,
    pub ferrite: f64,
    pub carbide: f64,
    /// Carbon dissolved in the austenite that became martensite, in wt%.
    pub martensite_carbon_wt_pct: f64,
    /// Mean carbon of ferrite and pearlite together, in wt%.
    pub soft_carbon_wt_pct: f64,
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<SourceKey> {
    let mut keys: Vec<SourceKey> = decomposition::SOURCES.to_vec();
    keys.extend(martensite_start::SOURCES);
    keys.extend([
        "andrews-1965",
        "scheil-1935",
        "hultgren-1947",
        "gustafson-1985",
        "acm-alloy-fit",
        "mc-fe-2059",
    ]);
    keys
}

/// Follows one point down its cooling curve and on to `end_k`.
pub(crate) fn follow(
    kinetics: &Kinetics<'_>,
    austenite: &Austenite,
    time_s: &[f64],
    curve_k: &[f64],
    end_k: f64,
) -> Phases {
    let mut state = State::new(kinetics);
    let mut from = 0;
    for to in 1..curve_k.len() {
        // Records closer than this are taken together.
        let near = (curve_k[to] - curve_k[from]).abs() < 2.0 && time_s[to] - time_s[from] < 0.02;
        if near && to + 1 < curve_k.len() {
            continue;
        }
        state.advance(
            kinetics,
            curve_k[from],
            curve_k[to],
            time_s[to] - time_s[from],
        );
        if state.below_martensite_start() {
            break;
        }
        from = to;
    }
    state.finish(end_k);
    state.phases(austenite)
}

/// When half of the austenite is gone on a cooling curve, in its seconds.
pub(crate) fn half_gone_s(kinetics: &Kinetics<'_>, time_s: &[f64], curve_k: &[f64]) -> Option<f64> {
    let mut state = State::new(kinetics);
    for to in 1..curve_k.len() {
        let step_s = time_s[to] - time_s[to - 1];
        state.advance(kinetics, curve_k[to - 1], curve_k[to], step_s);
        if state.austenite() <= 0.5 {
            return Some(time_s[to]);
        }
    }
    None
}

#[cfg(test)]
mod tests;
