//! Hardness of each layer, quenched and tempered.

use casewright_terms::{Remark, Temperature, WeightPercent};

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

/// Hardness as quenched and after the temper.
fn point(setup: &ChainSetup, phase: &Phases, rate_k_s: f64) -> (f64, f64) {
    let steel = &setup.carbon.composition;
    let with = |c: f64| steel.with_carbon(WeightPercent::from_wt_pct(c));
    let soft = SoftHardness::new(&with(phase.soft_carbon_wt_pct)).ferrite_pearlite_hv(rate_k_s);
    let c = phase.martensite_carbon_wt_pct;
    let bainite = if phase.bainite > 0.0 {
        SoftHardness::new(&with(c)).bainite_hv(rate_k_s)
    } else {
        0.0
    };
    let martensite = martensite_hv(c);
    let lost = setup.temper.map_or(0.0, |t| {
        tempering::lost_share_ratio(c, t.temperature.to_k(), t.soak.to_s())
    });
    let mix = |martensite: f64| {
        (1.0 + setup.hardness_shift)
            * mixture_hv(&[
                (phase.martensite, martensite),
                (phase.retained_austenite, RETAINED_AUSTENITE_HV),
                (phase.bainite, bainite),
                (phase.ferrite + phase.pearlite, soft),
                (phase.carbide, CARBIDE_HV),
            ])
    };
    (mix(martensite), mix(martensite * (1.0 - lost)))
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
