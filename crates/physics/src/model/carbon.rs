//! Carbon in a one-dimensional body over a whole temperature cycle.
//!
//! **Unknown**: y, carbon atoms per substitutional atom, at the nodes of a vertex-centred mesh;
//! total carbon, that is matrix and carbide together. wt% appears at the edges only.
//!
//! **Equations**: `∂y/∂t = r⁻ᵐ ∂/∂r (rᵐ D(T, m) ∂m/∂r)` with the matrix carbon
//! `m = min(y, limit(T))`, where `limit` is the carbon of austenite beside cementite: what is over
//! it is carbide, which lies still, holds the matrix at the limit and dissolves when the limit
//! rises. At a fed surface the flux is `β (potential − m)`, so carbide never drives carbon out. A
//! potential over the limit counts as the limit: the medium cannot give more than equilibrium.
//! A pack gives and never takes: while it cools, its carbon monoxide decomposes slowly and its
//! gas stays richer than the falling equilibrium (common practice: work cooled in the pack keeps
//! its skin), so the flux stops at zero.
//!
//! **Method**: finite volumes with the flux written as the difference of ∫D dm (exact for steady
//! states, monotone, and conservative by construction), graded mesh, RODAS in time with error
//! control; second order in space, fourth in time. The uptake is integrated beside the unknowns
//! by the same stages, so the balance closes to rounding and still catches a wrong flux. The
//! asked tolerance holds; where carbide forms on cooling, its edge is placed between the nodes
//! (see [`front`]), and only the mean of the volume that the edge stands in is of first order
//! (`second_order_with_carbide_on_cooling`).
//!
//! **Temperatures**: the medium exchanges nothing below A1 of Fe-C, 727 °C: the skin is ferrite
//! there. Undercooled austenite still passes carbon by the austenite law down to 700 °C; below,
//! everything stands still, because what moves is next to nothing; a remark says so where the
//! cycle is such that the austenite law would have moved more than 1 % of all.
//!
//! **What it does not do**: ferrite in the core between A1 and A3 is treated as austenite;
//! graphite does not form; substitutional atoms do not move; the alloy acts through its effect on
//! carbon activity only (see [`fit::Law::Alloy`]).

pub(crate) mod body;
mod edges;
pub(crate) mod fading;
pub(crate) mod fit;
mod front;
#[cfg(test)]
mod front_tests;
pub(crate) mod legs;
pub(crate) mod outcome;
pub(crate) mod pace;
mod spread;
pub(crate) mod supply;
#[cfg(test)]
mod tests;

use crate::equilibrium::SaturationTable;
use crate::run::{CarbonRun, Failure};
use crate::setup::CarbonSetup;
use body::solve;

/// Follows carbon through the whole cycle.
///
/// The first depth is 0, the surface itself; the last is the mid-plane, the axis, the centre, or
/// the inner wall of a tube.
///
/// # Errors
/// [`Failure::Setup`] for a setup that cannot be simulated, [`Failure::NotSettled`] where the
/// time steps vanish or run out.
pub fn carbonise(setup: &CarbonSetup) -> Result<CarbonRun, Failure> {
    carbonise_with(setup, &saturation_of(setup)?)
}

/// The same with the saturation made before by [`saturation_of`]: for many runs of one steel.
///
/// # Errors
/// As [`carbonise`].
pub fn carbonise_with(setup: &CarbonSetup, table: &SaturationTable) -> Result<CarbonRun, Failure> {
    let problem = outcome::problem(setup, table)?;
    let solved = solve(&problem)?;
    Ok(outcome::run(setup, &problem, table, &solved))
}

/// The saturation of a setup's steel, its doubt included.
///
/// # Errors
/// [`Failure::Setup`] for a steel outside the Gibbs energies.
pub fn saturation_of(setup: &CarbonSetup) -> Result<SaturationTable, Failure> {
    SaturationTable::new(&setup.composition, setup.saturation_shift).map_err(|why| Failure::Setup {
        what: why.to_string(),
    })
}
