//! Sub-zero treatment: retained austenite goes on to martensite.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Remark, WeightPercent};

use crate::law::martensite_start::{martensite_rate_per_k, martensite_start};
use crate::law::retained_austenite::{left_by_cold_ratio, stabilised_k};
use crate::model::transform::Phases;
use crate::run::Failure;
use crate::setup::{ChainSetup, SubZero};

/// Coldest that is accepted, in °C: boiling nitrogen.
const COLDEST_C: f64 = -196.0;

/// Takes the phases of all layers to the cold.
pub(super) fn treat(
    setup: &ChainSetup,
    cold: &SubZero,
    phases: &mut [Phases],
    remarks: &mut Vec<Remark>,
) -> Result<(), Failure> {
    let arrest_k = super::quench_end_k(setup);
    let (celsius, wait_s) = (cold.temperature.to_c(), cold.wait.to_s());
    if !(COLDEST_C..=arrest_k - ICE_POINT_K).contains(&celsius) || wait_s < 0.0 {
        return Err(Failure::Setup {
            what: format!(
                "a sub-zero treatment at {celsius:.0} °C after {} is not between {COLDEST_C:.0} °C and the end of the quench at {:.0} °C, after a wait",
                cold.wait.text(),
                arrest_k - ICE_POINT_K
            ),
        });
    }
    let steel = &setup.carbon.composition;
    for phase in phases {
        let carbon = WeightPercent::from_wt_pct(phase.martensite_carbon_wt_pct);
        let austenite = steel.with_carbon(carbon);
        let per_k = martensite_rate_per_k(&austenite).value;
        // Austenite that the quench did not reach begins where its martensite does.
        let from_k = arrest_k.min(martensite_start(&austenite).value.to_k());
        let left = left_by_cold_ratio(per_k, from_k, cold.temperature.to_k(), wait_s);
        let kept = phase.retained_austenite * left;
        phase.martensite += phase.retained_austenite - kept;
        phase.retained_austenite = kept;
    }
    remarks.push(Remark::new(
        "sub-zero-stabilised",
        format!(
            "the wait of {} before the cold is reckoned to hold the austenite {:.0} K further down; that number is an assumption, and a temper before the cold would hold far more",
            cold.wait.text(),
            stabilised_k(wait_s)
        ),
    ));
    Ok(())
}
