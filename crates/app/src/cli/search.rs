//! What `simulate` can look for: the hours of one piece, or a boost and a diffuse.
//!
//! Reads the wish and makes physics' question of it; the looking is physics'.

use casewright_physics::medium::MediumSetup;
use casewright_physics::setup::{BoostDiffuseSetup, CarbonSetup, CarbonTarget, Cycle, Surface};
use casewright_terms::{Diag, Length, WeightPercent};
use clap::Args;

use super::words;

/// Options of the search.
#[derive(Debug, Args)]
#[group(skip)]
pub(crate) struct Options {
    /// Look for the hours of one piece of the cycle that give this carbon at this depth in the
    /// end, such as "0.40 wt% at 1.0 mm" or "0.40 wt% at 0.040 in"; the run shown is that one.
    #[arg(long, value_name = "CARBON at DEPTH", group = "search")]
    find_hours: Option<String>,
    /// Look for a boost and a diffuse in one piece of the cycle that give this carbon at this depth
    /// and the carbon of `--surface-carbon` at the surface in the end.
    #[arg(
        long,
        value_name = "CARBON at DEPTH",
        group = "search",
        alias = "find-boosts",
        requires = "surface_carbon"
    )]
    find_boost: Option<String>,
    /// Carbon wanted at the surface after the diffuse, in weight percent.
    #[arg(long, value_name = "WT_PCT", requires = "find_boost")]
    surface_carbon: Option<String>,
    /// The piece whose hours are looked for, counted from 1; without it the longest of the holds
    /// at the highest temperature.
    #[arg(long, value_name = "N", requires = "search")]
    piece: Option<usize>,
}

/// What is looked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wanted {
    /// The piece, from 0.
    pub(crate) piece: usize,
    /// Carbon wanted.
    pub(crate) carbon: WeightPercent,
    /// At this depth.
    pub(crate) depth: Length,
    /// Carbon wanted at the surface, for a boost and a diffuse.
    pub(crate) surface: Option<WeightPercent>,
}

impl Wanted {
    /// The wish in physics' words.
    pub(crate) fn target(&self) -> CarbonTarget {
        CarbonTarget::CarbonAtDepth {
            carbon: self.carbon,
            depth: self.depth,
        }
    }
}

impl Options {
    /// Whether anything is looked for.
    pub(crate) fn asked(&self) -> bool {
        self.find_hours.is_some() || self.find_boost.is_some()
    }

    /// Whether a boost is looked for.
    pub(crate) fn boost_asked(&self) -> bool {
        self.find_boost.is_some()
    }

    /// Reads what is looked for, all faults at once.
    pub(crate) fn wanted(&self, cycle: &Cycle) -> Result<Option<Wanted>, Vec<Diag>> {
        let Some(typed) = self.find_hours.as_ref().or(self.find_boost.as_ref()) else {
            return Ok(None);
        };
        let mut diags = Vec::new();
        let mut keep = |diag| diags.push(diag);
        let target = words::carbon_at_depth(typed).map_err(&mut keep).ok();
        let surface = match &self.surface_carbon {
            Some(typed) => words::carbon(typed).map(Some).map_err(&mut keep).ok(),
            None => Some(None),
        };
        let piece = self.piece(cycle).map_err(&mut keep).ok();
        match (target, surface, piece) {
            (Some((carbon, depth)), Some(surface), Some(piece)) => Ok(Some(Wanted {
                piece,
                carbon,
                depth,
                surface,
            })),
            _ => Err(diags),
        }
    }

    fn piece(&self, cycle: &Cycle) -> Result<usize, Diag> {
        match self.piece {
            Some(piece) if (1..=cycle.pieces.len()).contains(&piece) => Ok(piece - 1),
            Some(piece) => Err(Diag::stop(
                "piece-not-there",
                format!("The cycle has no piece {piece}."),
            )
            .accepted(format!("1 to {} are there.", cycle.pieces.len()))),
            None => cycle.longest_hot_hold().ok_or_else(|| {
                Diag::stop(
                    "piece-unclear",
                    "The cycle has no hold at a constant temperature.",
                )
                .accepted("Say with `--piece N` which piece's hours are looked for.")
            }),
        }
    }
}

/// The question of a boost and a diffuse: the setup's surface is the boost's.
pub(crate) fn boost_question(
    carbon: &CarbonSetup,
    diffuse: Option<&Surface>,
    wanted: &Wanted,
    surface_carbon: WeightPercent,
) -> Result<BoostDiffuseSetup, Diag> {
    let boost = boost_surface(&carbon.surface)?;
    let vacuum = matches!(boost, Surface::Medium(MediumSetup::LowPressure(_)));
    let diffuse = match diffuse {
        Some(surface) => surface.clone(),
        None if vacuum => Surface::Sealed,
        None => {
            return Err(Diag::stop(
                "diffuse-missing",
                "Nothing says what the surface meets in the diffuse.",
            )
            .why("The carbon that is left at the surface is made by the diffuse, not by the boost.")
            .accepted(
                "Add it beside `surface` in `[carbon]`, as in `diffuse = { kind = \"gas\", \
                 potential_wt_pct = 0.75 }`.",
            ));
        }
    };
    let before = if vacuum {
        Surface::Sealed
    } else {
        boost.clone()
    };
    let mut carbon = carbon.clone();
    carbon.surface = boost;
    Ok(BoostDiffuseSetup {
        carbon,
        piece: wanted.piece,
        before,
        diffuse,
        target: wanted.target(),
        surface_carbon,
    })
}

/// The surface of a boost; of pulses it is the first that gives carbon.
fn boost_surface(surface: &Surface) -> Result<Surface, Diag> {
    let found = match surface {
        Surface::Program(turns) => turns
            .iter()
            .map(|(_, turn)| turn)
            .find(|turn| **turn != Surface::Sealed),
        other => Some(other).filter(|other| **other != Surface::Sealed),
    };
    found.cloned().ok_or_else(|| {
        Diag::stop(
            "boost-missing",
            "The setup's surface is sealed: nothing boosts.",
        )
        .accepted("Describe the boost in `surface`, as in `kind = \"low-pressure\"` or `\"gas\"`.")
    })
}
