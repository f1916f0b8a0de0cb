//! Hardness of each layer, quenched and tempered.

use casewright_terms::{Composition, Remark, Temperature, WeightPercent};

use crate::law::phase_hardness::{
    BAINITE_SCATTER, RETAINED_AUSTENITE_HV, SOFT_SCATTER, SoftHardness, martensite_hv, mixture_hv,
};
use crate::law::{retained_austenite, tempering};
use crate::model::transform::Phases;
use crate::run::Layers;
use crate::setup::ChainSetup;

use super::Rates;
use super::profile::Profile;

/// Hardness of cementite grains [cementite-hardness-assumed]; measured values spread from 800 to
/// 1150 HV and the share is a few percent.
const CARBIDE_HV: f64 = 1000.0;
/// Above this more than a third of the retained austenite goes in an hour, in °C.
const LOW_TEMPER_C: f64 = 220.0;
/// From here pearlite and ferrite soften too, which is not computed, in °C [trade-practice].
const SOFT_PHASES_C: f64 = 550.0;

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
    let after: Vec<Phases> = phases.iter().map(|phase| tempered(setup, phase)).collect();
    let share = |f: fn(&Phases) -> f64| after.iter().map(f).collect::<Vec<f64>>();
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
    Mixture::new(steel, phase, rate_k_s, 0.0).hv(0.0, 1.0)
}

/// Share of the retained austenite that the temper leaves.
fn austenite_left(setup: &ChainSetup) -> f64 {
    setup.temper.map_or(1.0, |t| {
        retained_austenite::left_by_temper_ratio(t.temperature.to_k(), t.soak.to_s())
    })
}

/// The phases after the temper: what retained austenite becomes counts as bainite.
fn tempered(setup: &ChainSetup, phase: &Phases) -> Phases {
    let kept = phase.retained_austenite * austenite_left(setup);
    Phases {
        retained_austenite: kept,
        bainite: phase.bainite + (phase.retained_austenite - kept),
        ..*phase
    }
}

/// Hardness as quenched and after the temper.
fn point(setup: &ChainSetup, phase: &Phases, rate_k_s: f64) -> (f64, f64) {
    let steel = &setup.carbon.composition;
    let mixture = Mixture::new(steel, phase, rate_k_s, setup.hardness_shift);
    let lost = setup.temper.map_or(0.0, |t| {
        tempering::lost_share_ratio(
            phase.martensite_carbon_wt_pct,
            t.temperature.to_k(),
            t.soak.to_s(),
        )
    });
    (
        mixture.hv(0.0, 1.0),
        mixture.hv(lost, austenite_left(setup)),
    )
}

/// (share, HV) of what a point consists of.
struct Mixture {
    martensite: (f64, f64),
    bainite: (f64, f64),
    austenite: f64,
    austenite_hv: f64,
    rest: [(f64, f64); 2],
}

impl Mixture {
    /// `shift` moves martensite by that share and the softer phases by more: they are known less.
    fn new(steel: &Composition, phase: &Phases, rate_k_s: f64, shift: f64) -> Self {
        let moved = |by: f64| (1.0 + by * shift).max(0.0);
        let with = |c: f64| SoftHardness::new(&steel.with_carbon(WeightPercent::from_wt_pct(c)));
        let soft = with(phase.soft_carbon_wt_pct).ferrite_pearlite_hv(rate_k_s);
        let c = phase.martensite_carbon_wt_pct;
        let bainite = if phase.bainite > 0.0 {
            with(c).bainite_hv(rate_k_s)
        } else {
            0.0
        };
        Self {
            martensite: (phase.martensite, moved(1.0) * martensite_hv(c)),
            bainite: (phase.bainite, moved(BAINITE_SCATTER) * bainite),
            austenite: phase.retained_austenite,
            austenite_hv: moved(1.0) * RETAINED_AUSTENITE_HV,
            rest: [
                (phase.ferrite + phase.pearlite, moved(SOFT_SCATTER) * soft),
                (phase.carbide, moved(1.0) * CARBIDE_HV),
            ],
        }
    }

    /// Hardness with `lost`, 0..1, of the martensite's gone in the temper and `left` of the
    /// retained austenite.
    fn hv(&self, lost: f64, left: f64) -> f64 {
        let (share, hv) = self.martensite;
        // [bainite-temper-assumed]: never harder than martensite tempered the same way.
        let martensite = hv * (1.0 - lost);
        let (bainite, bainite_hv) = self.bainite;
        mixture_hv(&[
            (share, martensite),
            (bainite, bainite_hv.min(martensite)),
            (self.austenite * left, self.austenite_hv),
            (self.austenite * (1.0 - left), martensite),
        ]) + mixture_hv(&self.rest)
    }
}

fn temper_remarks(setup: &ChainSetup, phases: &[Phases], remarks: &mut Vec<Remark>) {
    let Some(temper) = setup.temper else { return };
    let carbon = phases[0].martensite_carbon_wt_pct;
    remarks.extend(tempering::remarks(
        WeightPercent::from_wt_pct(carbon),
        temper.temperature,
    ));
    let celsius = temper.temperature.to_c();
    let austenite = phases
        .iter()
        .map(|phase| phase.retained_austenite)
        .fold(0.0, f64::max);
    if temper.temperature > Temperature::from_c(LOW_TEMPER_C) && austenite > 0.01 {
        remarks.push(Remark::new(
            "temper-takes-austenite",
            format!(
                "at {celsius:.0} °C for {} about {:.0} % of the retained austenite goes and the part grows with it; where that begins is known to 20 K",
                temper.soak.text(),
                100.0 * (1.0 - austenite_left(setup))
            ),
        ));
    }
    if temper.temperature > Temperature::from_c(SOFT_PHASES_C) {
        remarks.push(Remark::new(
            "temper-softens-pearlite",
            format!("at {celsius:.0} °C pearlite and ferrite soften too, which is not computed"),
        ));
    }
}
