//! The face of the engine: one function per thing that can be simulated.

use crate::model::box_heat::{self, Prior};
use crate::model::carbon::carbonise;
use crate::model::carbon_plane::carbonise_plane;
use crate::model::chain::run_chain;
use crate::model::curves::transformation_curves;
use crate::model::inverse;
use crate::model::pack_heat::heat_pack;
use crate::model::{quench_part, reheat};
use crate::run::{
    BoostDiffuseRun, BoxRun, CarbonRun, ChainRun, Failure, HotBand, InverseRun, LoggedBed,
    PackHeatRun, PartDepth, PlaneRun, QuenchPartRun, ReheatRun, TransformationCurves,
};
use crate::setup::{
    BoostDiffuseSetup, BoxSetup, CarbonSetup, CarbonTarget, ChainSetup, CurvesSetup, PackHeatSetup,
    PlaneSetup, PowerCut, QuenchPartSetup, ReheatSetup,
};
use casewright_terms::{Span, Temperature, WeightPercent};

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

/// Packed boxes in three dimensions: the temperature of every part over the whole cycle.
///
/// # Errors
/// See [`box_heat::heat_boxes`].
pub fn packed_boxes(setup: &BoxSetup) -> Result<BoxRun, Failure> {
    box_heat::heat_boxes(setup)
}

/// The same with the power away for a while in the soak.
///
/// # Errors
/// See [`box_heat::heat_boxes_with_cut`].
pub fn packed_boxes_with_cut(setup: &BoxSetup, cut: PowerCut) -> Result<BoxRun, Failure> {
    box_heat::heat_boxes_with_cut(setup, cut)
}

/// When packed boxes are hot, with the doubt about it.
///
/// # Errors
/// See [`box_heat::hot_band`].
pub fn hot_band(setup: &BoxSetup, prior: &Prior) -> Result<HotBand, Failure> {
    box_heat::hot_band(setup, prior)
}

/// What the log of a buried couple says about the bed; `place` is the mark of a box and of a probe
/// in it.
///
/// # Errors
/// See [`box_heat::learn_from_log`].
pub fn bed_from_log(
    setup: &BoxSetup,
    prior: &Prior,
    place: (&str, &str),
    log: &[(Span, Temperature)],
) -> Result<LoggedBed, Failure> {
    box_heat::learn_from_log(setup, prior, place, log)
}

/// Depth to a carbon in every part of packed boxes, each by its own temperature.
///
/// # Errors
/// See [`box_heat::depths`].
pub fn depths_in_boxes(
    run: &BoxRun,
    setup: &CarbonSetup,
    carbon: WeightPercent,
) -> Result<Vec<PartDepth>, Failure> {
    box_heat::depths(run, setup, carbon)
}
