//! The heat before the quench: how long the part takes to come through, and what it would lose bare.
//!
//! The part goes alone into a furnace that stands at its temperature. How far a full load pulls the
//! furnace down is not followed; the step says to wait for the colour as well.

use casewright_physics::run::ReheatRun;
use casewright_physics::setup::{
    Austenitise, CarbonSetup, Cover, Cycle, CycleOf, DiffusivityModel, Ramp, ReheatSetup,
};
use casewright_physics::simulate;
use casewright_terms::{
    Diag, HeatTransfer, Length, Span, Temperature, TemperatureStep, UnitSystem, WeightPercent,
};
use rayon::prelude::*;

use crate::outcome::DepthChain;
use crate::recipe::{Matter, Recipe, Simulated};

/// Oxidised steel in a brick chamber. [radiation-handbook]
const BARE: f64 = 0.8;
/// The same behind one sheet of foil, which as a shield between two such faces halves the exchange.
/// [radiation-handbook]
const WRAPPED: f64 = 0.4;
/// Still air in a chamber. [radiation-handbook]
const CONVECTION_W_M2_K: f64 = 10.0;
/// Where nothing could be followed. [trade-practice]
const UP_MIN: f64 = 25.0;
/// Parts that are not through after this are a load for another furnace.
const LONGEST_H: f64 = 6.0;
/// Times on the sheet are in steps of this.
const STEP_MIN: f64 = 5.0;
/// A skin with less carbon than this hardens short of 60 HRC and files soft. [trade-practice]
const POOR_WT_PCT: f64 = 0.5;

/// One heat before a quench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Heat {
    /// From going in until every depth is within 5 K of the furnace, wrapped; rounded up.
    pub(crate) up: Span,
    /// What the part would lose bare, where that could be followed.
    pub(crate) bare: Option<Bare>,
}

/// The skin of a part that was heated bare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bare {
    /// Steel turned to scale, per surface.
    pub(crate) scaled: Length,
    /// Depth to which the skin holds less than half a percent of carbon, scale taken off.
    pub(crate) poor_to: Length,
}

/// The heats of a recipe, in order.
pub(crate) fn heats(
    recipe: &Recipe<'_>,
    matter: &Matter,
    run: &Simulated,
    carbon: &CarbonSetup,
) -> Vec<Heat> {
    recipe
        .reheats
        .par_iter()
        .map(|heat| {
            let followed = |cover| simulate::reheat(&setup(heat, matter, run, carbon, cover)).ok();
            let (wrapped, bare) =
                rayon::join(|| followed(Cover::Protected), || followed(Cover::Bare));
            let up = wrapped
                .and_then(|run| run.soaked_after)
                .map_or(UP_MIN, |span| (span.to_min() / STEP_MIN).ceil() * STEP_MIN);
            Heat {
                up: Span::from_min(up),
                bare: bare.map(|run| skin(&run)),
            }
        })
        .collect()
}

fn setup(
    heat: &Austenitise,
    matter: &Matter,
    run: &Simulated,
    carbon: &CarbonSetup,
    cover: Cover,
) -> ReheatSetup {
    let profile = &run.chain.carbon;
    // Bare, the time that is planned; wrapped, long enough to come through.
    let lasts = match cover {
        Cover::Bare => Span::from_min(UP_MIN) + heat.soak,
        Cover::Protected => Span::from_h(LONGEST_H),
    };
    ReheatSetup {
        composition: matter.composition,
        shape: matter.shape,
        profile: profile
            .depth_m
            .iter()
            .zip(&profile.carbon_wt_pct)
            .map(|(depth, wt_pct)| (Length::from_m(*depth), WeightPercent::from_wt_pct(*wt_pct)))
            .collect(),
        cover,
        start: Temperature::from_c(25.0),
        cycle: Cycle {
            pieces: vec![Ramp {
                from: heat.temperature,
                to: heat.temperature,
                duration: lasts,
            }],
        },
        cycle_of: CycleOf::Furnace,
        emissivity: match cover {
            Cover::Bare => BARE,
            Cover::Protected => WRAPPED,
        },
        convection: HeatTransfer::from_w_m2_k(CONVECTION_W_M2_K),
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: carbon.diffusivity_factor,
        ae3_shift: TemperatureStep::ZERO,
        saturation_shift: carbon.saturation_shift,
    }
}

fn skin(run: &ReheatRun) -> Bare {
    let first = run.carbon_wt_pct.iter().position(|c| *c >= POOR_WT_PCT);
    let poor_m = match first {
        Some(0) => 0.0,
        Some(i) => {
            let (a, b) = (run.carbon_wt_pct[i - 1], run.carbon_wt_pct[i]);
            let share = (POOR_WT_PCT - a) / (b - a).max(1e-12);
            run.depth_m[i - 1] + share.clamp(0.0, 1.0) * (run.depth_m[i] - run.depth_m[i - 1])
        }
        // The whole section is poorer: what there was of a case is gone.
        None => run.depth_m.last().copied().unwrap_or(0.0),
    };
    Bare {
        scaled: run.scaled,
        poor_to: Length::from_m(poor_m),
    }
}

/// Why the parts are wrapped, in numbers; the heat that costs most.
pub(crate) fn finding(heats: &[Heat], chain: &DepthChain, units: UnitSystem) -> Option<Diag> {
    let bare = heats
        .iter()
        .filter_map(|heat| heat.bare)
        .max_by(|a, b| a.poor_to.to_m().total_cmp(&b.poor_to.to_m()))?;
    let gone = bare.scaled + bare.poor_to;
    let stock = chain.stock.0;
    let against = if stock > gone {
        format!(
            "The grind takes {} at least and would take it off where it grinds; faces that stay as hardened would keep it",
            stock.depth_text_both(units)
        )
    } else if stock > Length::ZERO {
        format!(
            "The grind takes {} at least: less than that",
            stock.depth_text_both(units)
        )
    } else {
        "Nothing is ground off".to_owned()
    };
    Some(
        Diag::note(
            "reheat-bare",
            format!(
                "Reheated bare, the part would lose {} to scale, and its skin would hold less than {POOR_WT_PCT:.1} wt% carbon to a depth of {}.",
                bare.scaled.depth_text_both(units),
                bare.poor_to.depth_text_both(units)
            ),
        )
        .why(format!("{against}. Such a skin files soft over a hard case."))
        .accepted("Wrapped in foil with a pinch of used compound, or packed in used compound, as the reheat's step says; the hours count with that."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(carbon: &[f64]) -> ReheatRun {
        ReheatRun {
            heating: None,
            soaked_after: None,
            above_ac1: Span::ZERO,
            depth_m: (0..carbon.len()).map(|i| i as f64 * 1e-4).collect(),
            before_wt_pct: carbon.to_vec(),
            carbon_wt_pct: carbon.to_vec(),
            scaled: Length::from_mm(0.02),
            poor_to: Length::ZERO,
            carbon_lost_g_m2: 0.0,
            carbon_balance_error: 0.0,
            remarks: Vec::new(),
            sources: Vec::new(),
        }
    }

    #[test]
    fn a_poor_skin_ends_where_half_a_percent_begins() {
        // 0.5 wt% lies half way between the second and the third point.
        let poor = skin(&run(&[0.2, 0.4, 0.6, 0.8])).poor_to;
        assert!((poor.to_mm() - 0.15).abs() < 1e-9, "{}", poor.to_mm());
        assert_eq!(skin(&run(&[0.7, 0.8, 0.6])).poor_to, Length::ZERO);
        let gone = skin(&run(&[0.2, 0.3, 0.3])).poor_to;
        assert!((gone.to_mm() - 0.2).abs() < 1e-9, "{}", gone.to_mm());
    }
}
