//! What happened in the packed boxes. Values only.

use casewright_terms::{
    Band, Fraction, Length, Remark, SourceKey, Span, Temperature, TemperatureStep,
};

use crate::setup::Cycle;

/// Temperature of one place from loading on.
#[derive(Clone, Debug, PartialEq)]
pub struct Watched {
    /// Mark of its box.
    pub box_mark: String,
    /// Mark of the part, the coupon or the couple.
    pub mark: String,
    /// Temperature; of a part its mean.
    pub cycle: Cycle,
    /// What its place comes to in the end, by the set temperature and the survey.
    pub goal: Temperature,
    /// From loading until it is, and stays, within the wanted difference of that.
    pub settled: Option<Span>,
    /// From loading until it is within the wanted difference of the set temperature itself.
    pub at_set: Option<Span>,
    /// Temperature at the end of the soak.
    pub soaked: Temperature,
}

/// A part or a coupon.
#[derive(Clone, Debug, PartialEq)]
pub struct WatchedPart {
    /// Its mean.
    pub mean: Watched,
    /// Its coldest point on heating, its hottest on cooling: what changes last.
    pub last: Cycle,
    /// Greatest difference within it at one time.
    pub spread: TemperatureStep,
}

/// The packed boxes from loading to opening.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxRun {
    /// Temperature that the furnace's couple shows, while the boxes are in it.
    pub furnace: Cycle,
    /// Parts and coupons, box by box in the order of the setup.
    pub parts: Vec<WatchedPart>,
    /// The middle of each box and the probes, box by box.
    pub probes: Vec<Watched>,
    /// From loading until the pack is hot.
    pub hot_after: Span,
    /// From loading to the end of the soak.
    pub soak_ends: Span,
    /// From loading to the end of the cycle.
    pub ends: Span,
    /// The part that was coldest at the end of the soak, by its place in `parts`; `None` without parts.
    pub coldest: Option<usize>,
    /// The part that was hottest then.
    pub hottest: Option<usize>,
    /// Electrical work of the whole cycle, in kWh.
    pub work_kwh: f64,
    /// Heat that the boxes had taken up at the end of the soak, in kWh.
    pub heat_in_boxes_kwh: f64,
    /// Time at full power.
    pub full_power: Span,
    /// |heat through the boxes' faces − gain inside| ÷ the greatest heat that was inside.
    pub balance_error: f64,
    /// Likely error of `hot_after` from cells and steps, as a share of it.
    pub numerical_error: Fraction,
    /// Cells.
    pub cells: usize,
    /// Steps taken.
    pub steps: usize,
    /// Steps that were tried and refused.
    pub refused: usize,
    /// Passes of the solver.
    pub passes: usize,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// When the pack is hot, with the doubt about it.
#[derive(Clone, Debug, PartialEq)]
pub struct HotBand {
    /// From loading; 90 %.
    pub hot_after: Band<Span>,
    /// Each doubt with what it does to the time when it alone goes from its middle to its end,
    /// greatest first.
    pub doubts: Vec<(&'static str, Span)>,
}

/// What the log of a buried couple says about the bed.
#[derive(Clone, Debug, PartialEq)]
pub struct LoggedBed {
    /// Factor on the bed's conductivity with 90 % of its remaining doubt.
    pub factor: Band<f64>,
    /// When the pack was hot by that factor, 90 %.
    pub hot_after: Band<Span>,
    /// How much later than believed before the log.
    pub moved: Span,
    /// Root of the mean square of what the best factor leaves, readings within reason counted.
    pub left_over: TemperatureStep,
    /// Notes.
    pub remarks: Vec<Remark>,
}

/// Case depth of one part by its own temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct PartDepth {
    /// Mark of its box.
    pub box_mark: String,
    /// Mark of the part.
    pub mark: String,
    /// Depth to the carbon that was asked for; `None` where the surface does not hold it.
    pub depth: Option<Length>,
}
