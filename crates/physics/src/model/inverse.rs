//! Durations that reach a case: one piece of a cycle, or a boost and a diffuse.
//!
//! Every trial is a run of the whole real cycle with heating and cooling in it; the unknown is
//! bracketed first and then found by Brent's method in the square root of time, in which a case
//! grows almost straight. Two unknowns are nested: for each total time the share of the boost that
//! gives the surface carbon, and over it the total time that gives the depth; both are monotone,
//! so each has a bracket and none can run away.
//!
//! It says what cannot be reached, with the nearest that can; it does not choose temperatures.

use std::cell::Cell;

use casewright_terms::{Length, Span, WeightPercent};

use super::carbon::{carbonise_with, saturation_of};
use crate::equilibrium::SaturationTable;
use crate::numerics::fun::sqrt;
use crate::numerics::root::{NoRoot, brent};
use crate::run::{BoostDiffuseRun, CarbonRun, Failure, InverseRun};
use crate::setup::{BoostDiffuseSetup, CarbonSetup, CarbonTarget, Surface};

/// Longest duration that is tried, in hours: forty days.
const MOST_H: f64 = 1000.0;
/// First duration tried where the setup's piece has none, in hours.
const FIRST_H: f64 = 1.0;
/// The root is found to this share of the duration: a tenth of what 1e-4 wt% of profile is worth.
const WIDTH: f64 = 1e-6;
/// Width of the boost's share.
const SHARE_WIDTH: f64 = 1e-6;
/// A surface carbon this near to the wanted one counts as it, over the asked tolerance.
const SURFACE_SLACK: f64 = 3.0;

fn refuse(what: String) -> Failure {
    Failure::Setup { what }
}

impl CarbonTarget {
    fn parts(self) -> (WeightPercent, Length) {
        match self {
            Self::CarbonAtDepth { carbon, depth } | Self::DepthToCarbon { carbon, depth } => {
                (carbon, depth)
            }
        }
    }

    /// What the run has over the target: wt% or mm, positive where it has more.
    fn over(self, run: &CarbonRun) -> f64 {
        match self {
            Self::CarbonAtDepth { carbon, depth } => (run.at(&[depth])[0] - carbon).to_wt_pct(),
            Self::DepthToCarbon { carbon, depth } => {
                let reached = run.depth_to_carbon(carbon).unwrap_or(Length::ZERO);
                (reached - depth).to_mm()
            }
        }
    }

    /// What the run has, in words.
    fn told(self, run: &CarbonRun) -> String {
        let (carbon, depth) = self.parts();
        match self {
            Self::CarbonAtDepth { .. } => format!(
                "{:.3} wt% at {:.3} mm",
                run.at(&[depth])[0].to_wt_pct(),
                depth.to_mm()
            ),
            Self::DepthToCarbon { .. } => match run.depth_to_carbon(carbon) {
                Some(reached) => {
                    format!("{:.3} mm to {} wt%", reached.to_mm(), carbon.to_wt_pct())
                }
                None => format!("a surface below {} wt%", carbon.to_wt_pct()),
            },
        }
    }

    fn check(self, deepest: Length) -> Result<(), Failure> {
        let (carbon, depth) = self.parts();
        if depth < Length::ZERO || depth > deepest {
            return Err(refuse(format!(
                "the depth {} mm is not in the body; 0 to {} mm is",
                depth.to_mm(),
                deepest.to_mm()
            )));
        }
        if carbon <= WeightPercent::ZERO {
            return Err(refuse(format!(
                "the wanted carbon is {} wt%; more than 0 is needed",
                carbon.to_wt_pct()
            )));
        }
        Ok(())
    }
}

/// Trials of one setup, counted; the first failure is kept, because a root finder only sees NaN.
struct Trials<'s> {
    setup: &'s CarbonSetup,
    /// Of the steel, which is the same in all.
    saturation: SaturationTable,
    piece: usize,
    count: Cell<usize>,
    failure: Cell<Option<Failure>>,
}

impl<'s> Trials<'s> {
    fn new(setup: &'s CarbonSetup, piece: usize) -> Result<Self, Failure> {
        if piece >= setup.cycle.pieces.len() {
            return Err(refuse(format!(
                "the cycle has {} pieces; piece {} is asked for",
                setup.cycle.pieces.len(),
                piece + 1
            )));
        }
        Ok(Self {
            setup,
            saturation: saturation_of(setup)?,
            piece,
            count: Cell::new(0),
            failure: Cell::new(None),
        })
    }

    fn run(&self, hours: f64, surface: Option<Surface>) -> Result<CarbonRun, Failure> {
        let mut setup = self.setup.clone();
        setup.cycle.pieces[self.piece].duration = Span::from_h(hours);
        if let Some(surface) = surface {
            setup.surface = surface;
        }
        self.count.set(self.count.get() + 1);
        carbonise_with(&setup, &self.saturation)
    }

    /// A number of a run, NaN where it failed.
    fn number(&self, run: Result<CarbonRun, Failure>, number: impl Fn(&CarbonRun) -> f64) -> f64 {
        match run {
            Ok(run) => number(&run),
            Err(failure) => {
                self.failure.set(Some(failure));
                f64::NAN
            }
        }
    }

    /// What stands behind a root that was not found.
    fn because(&self, no_root: NoRoot, stage: &'static str) -> Failure {
        self.failure.take().unwrap_or(Failure::NotSettled {
            stage,
            detail: no_root.to_string(),
            time_s: 0.0,
            step_s: 0.0,
            steps: self.count.get(),
        })
    }

    fn first_h(&self) -> f64 {
        let given = self.setup.cycle.pieces[self.piece].duration.to_h();
        if given > 0.0 {
            given.min(MOST_H)
        } else {
            FIRST_H
        }
    }
}

/// How long a piece (from 0) of the cycle must take for the target at the cycle's end.
///
/// # Errors
/// [`Failure::Setup`] where piece or depth are not there, or no duration up to 1000 h reaches the
/// target, with what is reached; else what a run says.
pub fn hours_for_depth(
    setup: &CarbonSetup,
    piece: usize,
    target: CarbonTarget,
) -> Result<InverseRun, Failure> {
    let trials = Trials::new(setup, piece)?;
    let none = trials.run(0.0, None)?;
    target.check(deepest(&none))?;
    let at_none = target.over(&none);
    let (low_h, high_h) = bracket(&trials, target, &none)?;
    let root = brent(sqrt(low_h), sqrt(high_h), WIDTH * sqrt(high_h), |root_h| {
        // The end that was run already decides nothing anew.
        if root_h == 0.0 {
            return at_none;
        }
        trials.number(trials.run(root_h * root_h, None), |run| target.over(run))
    })
    .map_err(|no_root| trials.because(no_root, "hours for a depth"))?;
    let hours = root * root;
    let carbon = trials.run(hours, None)?;
    // A hundredth longer: far above the noise of two runs, near enough to be a slope.
    let longer = trials.run(hours * 1.01, None)?;
    let (wanted, depth) = target.parts();
    let gain = (longer.at(&[depth])[0] - wanted).to_wt_pct()
        - (carbon.at(&[depth])[0] - wanted).to_wt_pct();
    let doubt_h = if gain == 0.0 {
        hours
    } else {
        (0.01 * hours * setup.tolerance.to_wt_pct() / gain)
            .abs()
            .min(hours)
    };
    Ok(InverseRun {
        duration: Span::from_h(hours),
        doubt: Span::from_h(doubt_h),
        carbon,
        runs: trials.count.get(),
    })
}

fn deepest(run: &CarbonRun) -> Length {
    Length::from_m(run.depth_m.last().copied().unwrap_or(0.0))
}

/// Two durations, in hours, between which the target is passed: usually upward, but a diffuse
/// also lowers the carbon of a skin.
fn bracket(
    trials: &Trials<'_>,
    target: CarbonTarget,
    none: &CarbonRun,
) -> Result<(f64, f64), Failure> {
    let at_none = target.over(none);
    if at_none == 0.0 {
        return Ok((0.0, 0.0));
    }
    let (mut low, mut high) = (0.0, trials.first_h());
    loop {
        let run = trials.run(high, None)?;
        if target.over(&run) * at_none <= 0.0 {
            return Ok((low, high));
        }
        if high >= MOST_H {
            let side = if at_none > 0.0 { "more" } else { "less" };
            return Err(refuse(format!(
                "no duration of piece {} up to {MOST_H} h gives the target: with none it is {}, \
                 with {MOST_H} h {}, always {side} than wanted",
                trials.piece + 1,
                target.told(none),
                target.told(&run)
            )));
        }
        (low, high) = (high, (2.0 * high).min(MOST_H));
    }
}

/// How long boost and diffuse must take for the case depth and the surface carbon at the cycle's
/// end.
///
/// # Errors
/// [`Failure::Setup`] where the two cannot be had together, with what can; else what a run says.
pub fn boost_and_diffuse(setup: &BoostDiffuseSetup) -> Result<BoostDiffuseRun, Failure> {
    let trials = Trials::new(&setup.carbon, setup.piece)?;
    let none = trials.run(0.0, Some(setup.surface(0.0, 0.0)))?;
    setup.target.check(deepest(&none))?;
    let wanted = setup.surface_carbon.to_wt_pct();
    let skin = |run: &CarbonRun| run.carbon_wt_pct.first().copied().unwrap_or(0.0);
    if wanted <= skin(&none) {
        return Err(refuse(format!(
            "the wanted surface carbon {wanted} wt% is not above what is there without a boost, \
             {:.3} wt%",
            skin(&none)
        )));
    }
    let run_at = |hours: f64, share: f64| {
        let surface = setup.surface(hours, share);
        trials.run(hours, Some(surface))
    };
    // The boost's share that gives the surface carbon; 1 where all boost is not enough.
    let share_for = |hours: f64| -> Result<f64, NoRoot> {
        let over = |share: f64| trials.number(run_at(hours, share), |run| skin(run) - wanted);
        if over(1.0) <= 0.0 {
            return Ok(1.0);
        }
        brent(0.0, 1.0, SHARE_WIDTH, over)
    };
    let over = |hours: f64| match share_for(hours) {
        Ok(share) => trials.number(run_at(hours, share), |run| setup.target.over(run)),
        Err(_) => f64::NAN,
    };
    let stage = "boost and diffuse";
    let mut high = trials.first_h();
    let mut low = 0.0;
    loop {
        let at_high = over(high);
        if let Some(failure) = trials.failure.take() {
            return Err(failure);
        }
        if at_high >= 0.0 {
            break;
        }
        if high >= MOST_H {
            return Err(refuse(format!(
                "no boost and diffuse up to {MOST_H} h together give the case with {wanted} wt% \
                 at the surface"
            )));
        }
        (low, high) = (high, (2.0 * high).min(MOST_H));
    }
    let root = brent(sqrt(low), sqrt(high), 10.0 * WIDTH * sqrt(high), |root_h| {
        if root_h == 0.0 {
            return setup.target.over(&none);
        }
        over(root_h * root_h)
    })
    .map_err(|no_root| trials.because(no_root, stage))?;
    let hours = root * root;
    let share = share_for(hours).map_err(|no_root| trials.because(no_root, stage))?;
    let run = run_at(hours, share)?;
    let short = wanted - skin(&run);
    if short > SURFACE_SLACK * setup.carbon.tolerance.to_wt_pct() {
        return Err(refuse(format!(
            "the case is reached after {hours:.2} h of boost alone, with {:.3} wt% at the \
             surface; {wanted} wt% there comes with a deeper case only",
            skin(&run)
        )));
    }
    Ok(BoostDiffuseRun {
        boost: Span::from_h(hours * share),
        diffuse: Span::from_h(hours * (1.0 - share)),
        carbon: run,
        runs: trials.count.get(),
    })
}

impl BoostDiffuseSetup {
    /// The surfaces in turns for a total time of the piece and a share of boost.
    fn surface(&self, hours: f64, share: f64) -> Surface {
        let pieces = &self.carbon.cycle.pieces;
        let before: Span = pieces[..self.piece]
            .iter()
            .map(|piece| piece.duration)
            .sum();
        let after: Span = pieces[self.piece + 1..]
            .iter()
            .map(|piece| piece.duration)
            .sum();
        let boost = Span::from_h(hours * share);
        Surface::Program(vec![
            (before, self.before.clone()),
            (boost, self.carbon.surface.clone()),
            // An hour over, so that rounding never ends the last turn before the cycle.
            (
                Span::from_h(hours * (1.0 - share) + 1.0) + after,
                self.diffuse.clone(),
            ),
        ])
    }
}
