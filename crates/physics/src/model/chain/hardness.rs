//! Hardness of each layer, quenched and tempered.

use casewright_terms::{Composition, Remark, Temperature, WeightPercent};

use crate::law::phase_hardness::{RETAINED_AUSTENITE_HV, SoftHardness, martensite_hv, mixture_hv};
use crate::law::tempering;
use crate::model::transform::Phases;
use crate::run::Layers;
use crate::setup::ChainSetup;

use super::Rates;
use super::profile::Profile;

/// Hardness of cementite grains [cementite-hardness-assumed]; measured values spread from 800 to
/// 1150 HV and the share is a few percent.
const CARBIDE_HV: f64 = 1000.0;
/// Above this retained austenite begins to go and the softer phases begin to soften, in °C.
const LOW_TEMPER_C: f64 = 230.0;

/// Puts carbon, phases and hardness together.
pub(super) fn layers(
    setup: &ChainSetup,
    profile: &Profile,
    phases: &[Phases],
    rates: &Rates,
    remarks: &mut Vec<Remark>,
) -> Layers {
    let mut quenched_hv = Vec::with_capacity(phases.len());
    let mut hardness_hv = Vec::with_capacity(phases.len());
    for (phase, rate) in phases.iter().zip(&rates.at_depth) {
        let (quenched, tempered) = point(setup, phase, *rate);
        quenched_hv.push(quenched);
        hardness_hv.push(tempered);
    }
    temper_remarks(setup, phases, remarks);
    let share = |f: fn(&Phases) -> f64| phases.iter().map(f).collect::<Vec<f64>>();
    Layers {
        depth_m: profile.depth_m.clone(),
        carbon_wt_pct: profile.carbon_wt_pct.clone(),
        martensite: share(|p| p.martensite),
        retained_austenite: share(|p| p.retained_austenite),
        bainite: share(|p| p.bainite),
        pearlite: share(|p| p.pearlite),
        ferrite: share(|p| p.ferrite),
        carbide: share(|p| p.carbide),
        quenched_hv,
        hardness_hv,
    }
}

/// Hardness of a point as quenched, in HV.
pub(crate) fn as_quenched_hv(steel: &Composition, phase: &Phases, rate_k_s: f64) -> f64 {
    Mixture::new(steel, phase, rate_k_s).hv(0.0)
}

/// Hardness as quenched and after the temper.
fn point(setup: &ChainSetup, phase: &Phases, rate_k_s: f64) -> (f64, f64) {
    let mixture = Mixture::new(&setup.carbon.composition, phase, rate_k_s);
    let lost = setup.temper.map_or(0.0, |t| {
        tempering::lost_share_ratio(
            phase.martensite_carbon_wt_pct,
            t.temperature.to_k(),
            t.soak.to_s(),
        )
    });
    let shift = 1.0 + setup.hardness_shift;
    (shift * mixture.hv(0.0), shift * mixture.hv(lost))
}

/// (share, HV) of what a point consists of.
struct Mixture {
    martensite: (f64, f64),
    rest: [(f64, f64); 4],
}

impl Mixture {
    fn new(steel: &Composition, phase: &Phases, rate_k_s: f64) -> Self {
        let with = |c: f64| SoftHardness::new(&steel.with_carbon(WeightPercent::from_wt_pct(c)));
        let soft = with(phase.soft_carbon_wt_pct).ferrite_pearlite_hv(rate_k_s);
        let c = phase.martensite_carbon_wt_pct;
        let bainite = if phase.bainite > 0.0 {
            with(c).bainite_hv(rate_k_s)
        } else {
            0.0
        };
        Self {
            martensite: (phase.martensite, martensite_hv(c)),
            rest: [
                (phase.retained_austenite, RETAINED_AUSTENITE_HV),
                (phase.bainite, bainite),
                (phase.ferrite + phase.pearlite, soft),
                (phase.carbide, CARBIDE_HV),
            ],
        }
    }

    /// Hardness with `lost`, 0..1, of the martensite's gone in the temper.
    fn hv(&self, lost: f64) -> f64 {
        let (share, hv) = self.martensite;
        mixture_hv(&[(share, hv * (1.0 - lost))]) + mixture_hv(&self.rest)
    }
}

fn temper_remarks(setup: &ChainSetup, phases: &[Phases], remarks: &mut Vec<Remark>) {
    let Some(temper) = setup.temper else { return };
    let carbon = phases[0].martensite_carbon_wt_pct;
    remarks.extend(tempering::remarks(
        WeightPercent::from_wt_pct(carbon),
        temper.temperature,
    ));
    if temper.temperature > Temperature::from_c(LOW_TEMPER_C) {
        remarks.push(Remark::new(
            "temper-above-case-range",
            format!(
                "above {LOW_TEMPER_C:.0} °C retained austenite begins to go and bainite softens too; neither is computed at {:.0} °C",
                temper.temperature.to_c()
            ),
        ));
    }
}
