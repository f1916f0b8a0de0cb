//! What physics says happened. Values only.

mod curves;
mod packed;
mod plane;
mod quench_part;
mod reheat;

pub use curves::{CoolingCurve, CurveLines, CurvePoint, IsothermalPoint, TransformationCurves};
pub use packed::{BoxRun, HotBand, LoggedBed, PartDepth, Watched, WatchedPart};
pub use plane::{OutlinePiece, PlanePath, PlaneRaster, PlaneRun, RayDepth};
pub use quench_part::{BathRun, QuenchPartRun, QuenchedPlace};
pub use reheat::ReheatRun;

use casewright_terms::{Length, Remark, SourceKey, Span, Vickers, WeightPercent};

use crate::setup::Cycle;

/// A carbon profile with the numbers that say how well it was computed.
#[derive(Clone, Debug, PartialEq)]
pub struct CarbonRun {
    /// Depth of each point from the outer surface, in metres, ascending from 0.
    pub depth_m: Vec<f64>,
    /// Total carbon at each point, in wt%.
    pub carbon_wt_pct: Vec<f64>,
    /// Carbon bound in carbide at each point when the carbon came to rest, in wt% of the steel;
    /// the rest of `carbon_wt_pct` is in the austenite.
    pub carbide_wt_pct: Vec<f64>,
    /// Carbon taken up per area of treated surface, in g/m².
    pub uptake_g_m2: f64,
    /// |uptake through the surface − gain inside| ÷ the larger of the two (0 where both are 0).
    pub balance_error: f64,
    /// Time steps taken.
    pub steps: usize,
    /// Steps that were tried and refused.
    pub refused: usize,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// The duration of a piece of the cycle that reaches a target.
#[derive(Clone, Debug, PartialEq)]
pub struct InverseRun {
    /// Duration of the piece.
    pub duration: Span,
    /// How far it may be off: the asked error of the profile over its change with time.
    pub doubt: Span,
    /// The run with that duration.
    pub carbon: CarbonRun,
    /// Runs that were made.
    pub runs: usize,
}

/// The boost and the diffuse that reach a case depth and a surface carbon.
#[derive(Clone, Debug, PartialEq)]
pub struct BoostDiffuseRun {
    /// Duration of the boost.
    pub boost: Span,
    /// Duration of the diffuse within the piece.
    pub diffuse: Span,
    /// The run with both.
    pub carbon: CarbonRun,
    /// Runs that were made.
    pub runs: usize,
}

/// When the pack is hot, and what the part sees.
#[derive(Clone, Debug, PartialEq)]
pub struct PackHeatRun {
    /// Temperature of the furnace from loading on.
    pub furnace: Cycle,
    /// Temperature of the part (middle of the box) from loading on.
    pub part: Cycle,
    /// From loading to the pack being hot (middle within 10 K of the set temperature).
    pub hot_after: Span,
    /// From loading to the end of the soak.
    pub soak_ends: Span,
    /// From loading to the end of the cycle.
    pub ends: Span,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// The part after quench and temper, layer by layer from the surface to the middle. All vectors
/// have one length; fractions are by volume and add up to 1 in each layer.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it, unit included")]
pub struct Layers {
    pub depth_m: Vec<f64>,
    pub carbon_wt_pct: Vec<f64>,
    pub martensite: Vec<f64>,
    pub retained_austenite: Vec<f64>,
    pub bainite: Vec<f64>,
    pub pearlite: Vec<f64>,
    pub ferrite: Vec<f64>,
    pub carbide: Vec<f64>,
    pub quenched_hv: Vec<f64>,
    pub hardness_hv: Vec<f64>,
}

/// Sign of a stress that is not reckoned as a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StressSign {
    /// Pressed together: what a case is for.
    Compression,
    /// Torn.
    Tension,
    /// Order of the changes and swelling disagree, or there is too little of either.
    Unsure,
}

/// Sign of the stress at the surface, and what it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceStress {
    /// The sign.
    pub sign: StressSign,
    /// When half of the surface's austenite was gone, from the start of the quench; `None` where it
    /// never was or where there was none.
    pub surface_changes_at: Option<Span>,
    /// The same in the middle.
    pub core_changes_at: Option<Span>,
    /// Linear free strain of the surface less the section's mean.
    pub strain_mismatch: f64,
}

/// The end of the chain.
#[derive(Clone, Debug, PartialEq)]
pub struct ChainRun {
    /// Layers after the temper (or after the quench where there is none).
    pub layers: Layers,
    /// The carbon profile after the box.
    pub carbon: CarbonRun,
    /// Cooling rate at the surface and in the middle while passing 700 °C, in K/s.
    pub surface_rate_k_s: f64,
    /// See `surface_rate_k_s`.
    pub core_rate_k_s: f64,
    /// Heat given to the bath per kilogram of steel, in J/kg.
    pub heat_to_bath_j_kg: f64,
    /// Growth per side from the change of volume: low and high.
    pub growth_per_side: (Length, Length),
    /// Sign of the stress at the surface after the quench.
    pub surface_stress: SurfaceStress,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// Why a simulation gave no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Failure {
    /// The setup cannot be simulated.
    #[error("{what}")]
    Setup {
        /// What is wrong with it, with its value and what would be accepted.
        what: String,
    },
    /// The numbers did not settle.
    #[error(
        "{stage} did not settle: {detail} (at {time_s} s, step {step_s} s, after {steps} steps)"
    )]
    NotSettled {
        /// Which model.
        stage: &'static str,
        /// What did not settle.
        detail: String,
        /// Simulated time reached, in seconds.
        time_s: f64,
        /// Last step, in seconds.
        step_s: f64,
        /// Steps taken.
        steps: usize,
    },
}

impl CarbonRun {
    /// Carbon at any depths: cubic between the points, so that reading off adds nothing to the
    /// error of the profile; beyond the last point the last value holds.
    ///
    /// # Panics
    /// When the run has no points (the engine always gives some).
    #[must_use]
    pub fn at(&self, depths: &[Length]) -> Vec<WeightPercent> {
        depths
            .iter()
            .map(|d| WeightPercent::from_wt_pct(self.at_m(d.to_m())))
            .collect()
    }

    /// First depth, from the surface inward, at which the carbon has fallen to `carbon`: `None`
    /// where the surface itself is below it, the last depth where it never falls that far.
    #[must_use]
    pub fn depth_to_carbon(&self, carbon: WeightPercent) -> Option<Length> {
        let limit = carbon.to_wt_pct();
        if self
            .carbon_wt_pct
            .first()
            .is_none_or(|surface| *surface < limit)
        {
            return None;
        }
        let Some(i) = self.carbon_wt_pct.iter().position(|c| *c < limit) else {
            return self.depth_m.last().copied().map(Length::from_m);
        };
        let (left, right) = (self.depth_m[i - 1], self.depth_m[i]);
        // A picometre is far below any use; the ends have opposite signs by their choice.
        crate::numerics::root::brent(left, right, 1e-12, |x| self.at_m(x) - limit)
            .ok()
            .map(Length::from_m)
    }

    fn at_m(&self, depth_m: f64) -> f64 {
        crate::numerics::interpolate::monotone_cubic(&self.depth_m, &self.carbon_wt_pct, depth_m)
    }
}

impl Layers {
    /// How many layers.
    #[must_use]
    pub fn len(&self) -> usize {
        self.depth_m.len()
    }

    /// `true` where there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.depth_m.is_empty()
    }

    /// Hardness at the surface.
    ///
    /// # Panics
    /// When there are no layers.
    #[must_use]
    pub fn surface(&self) -> Vickers {
        Vickers::from_hv(self.hardness_hv[0])
    }

    /// Hardness in the middle.
    ///
    /// # Panics
    /// When there are no layers.
    #[must_use]
    pub fn core(&self) -> Vickers {
        Vickers::from_hv(self.hardness_hv[self.len() - 1])
    }

    /// Deepest continuous depth from `from` inward at which the hardness still holds `limit`:
    /// `None` where the material at `from` is already softer, the half section where it never
    /// falls below.
    #[must_use]
    pub fn depth_to_hardness(&self, limit: Vickers, from: Length) -> Option<Length> {
        fall_below(&self.depth_m, &self.hardness_hv, limit.to_hv(), from.to_m()).map(Length::from_m)
    }

    /// Depth at which the carbon falls to `carbon`.
    #[must_use]
    pub fn depth_to_carbon(&self, carbon: WeightPercent) -> Option<Length> {
        fall_below(&self.depth_m, &self.carbon_wt_pct, carbon.to_wt_pct(), 0.0).map(Length::from_m)
    }
}

/// First depth at or after `from` where `value` falls below `limit`, by linear interpolation.
fn fall_below(depth: &[f64], value: &[f64], limit: f64, from: f64) -> Option<f64> {
    let at = |x: f64| -> f64 {
        let i = depth.partition_point(|d| *d <= x).clamp(1, depth.len() - 1);
        let t = ((x - depth[i - 1]) / (depth[i] - depth[i - 1])).clamp(0.0, 1.0);
        value[i - 1] + t * (value[i] - value[i - 1])
    };
    if depth.len() < 2 || at(from) < limit {
        return None;
    }
    let mut left = (from, at(from));
    for (&d, &v) in depth.iter().zip(value).filter(|(d, _)| **d > from) {
        if v < limit {
            let t = if left.1 > v {
                (left.1 - limit) / (left.1 - v)
            } else {
                0.0
            };
            return Some(left.0 + t * (d - left.0));
        }
        left = (d, v);
    }
    depth.last().copied()
}
