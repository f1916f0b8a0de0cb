//! The face of the engine: one function per thing that can be simulated.

use crate::model::carbon::carbonise;
use crate::model::carbon_plane::carbonise_plane;
use crate::model::chain::run_chain;
use crate::model::curves::transformation_curves;
use crate::model::inverse;
use crate::model::pack_heat::heat_pack;
use crate::model::{quench_part, reheat};
use crate::run::{
    BoostDiffuseRun, CarbonRun, ChainRun, Failure, InverseRun, PackHeatRun, PlaneRun,
    QuenchPartRun, ReheatRun, TransformationCurves,
};
use crate::setup::{
    BoostDiffuseSetup, CarbonSetup, CarbonTarget, ChainSetup, CurvesSetup, PackHeatSetup,
    PlaneSetup, QuenchPartSetup, ReheatSetup,
};

/// Carbon in a one-dimensional body over a whole temperature cycle.
///
/// # Errors
/// See [`carbonise`].
pub fn carbon(setup: &CarbonSetup) -> Result<CarbonRun, Failure> {
    carbonise(setup)
}

/// How long one piece of the cycle must take for a carbon at a depth, by root finding on the
/// whole cycle.
///
/// # Errors
/// See [`crate::model::inverse`].
pub fn hours_for_depth(
    setup: &CarbonSetup,
    piece: usize,
    target: CarbonTarget,
) -> Result<InverseRun, Failure> {
    inverse::hours_for_depth(setup, piece, target)
}

/// How long boost and diffuse must take for a case depth and a surface carbon, by root finding on
/// the whole cycle.
///
/// # Errors
/// See [`crate::model::inverse`].
pub fn boost_and_diffuse(setup: &BoostDiffuseSetup) -> Result<BoostDiffuseRun, Failure> {
    inverse::boost_and_diffuse(setup)
}

/// Carbon in a section, in two dimensions, over a whole temperature cycle.
///
/// # Errors
/// See [`carbonise_plane`].
pub fn carbon_plane(setup: &PlaneSetup) -> Result<PlaneRun, Failure> {
    carbonise_plane(setup)
}

/// The whole chain: carbon, reheats, quench, transformation, temper.
///
/// # Errors
/// When the setup cannot be simulated, or a model did not settle.
pub fn chain(setup: &ChainSetup) -> Result<ChainRun, Failure> {
    run_chain(setup)
}

/// The packed box: when it is hot, and what furnace and part see over the whole cycle.
///
/// # Errors
/// See [`heat_pack`].
pub fn pack_heat(setup: &PackHeatSetup) -> Result<PackHeatRun, Failure> {
    heat_pack(setup)
}

/// Transformation curves of one austenite: isothermal, and on steady ways down.
///
/// # Errors
/// See [`transformation_curves`].
pub fn curves(setup: &CurvesSetup) -> Result<TransformationCurves, Failure> {
    transformation_curves(setup)
}

/// A part in the furnace before its quench: when it is hot through, what scales off, and the carbon
/// that is left.
///
/// # Errors
/// See [`reheat::reheat`].
pub fn reheat(setup: &ReheatSetup) -> Result<ReheatRun, Failure> {
    reheat::reheat(setup)
}

/// The quench of one part: cooling, phases and hardness at its places, and the bath.
///
/// # Errors
/// See [`quench_part::quench_part`].
pub fn quench_part(setup: &QuenchPartSetup) -> Result<QuenchPartRun, Failure> {
    quench_part::quench_part(setup)
}
