//! One part's quench and reheat on the wire.

use std::time::Duration;

use casewright_physics::law::hardness_conversion::hrc_of;
use casewright_physics::numerics::interpolate;
use casewright_physics::run::{BathRun, QuenchPartRun, QuenchedPlace, ReheatRun};
use casewright_terms::{Composition, Length, Temperature};
use serde::Serialize;

use super::diag::{RemarkLine, remarks};
use super::{number, numbers};

#[derive(Debug, Serialize)]
struct Place {
    x_mm: f64,
    y_mm: f64,
    carbon_wt_pct: f64,
    entering_c: f64,
    rate_at_700_k_s: Option<f64>,
    cooling_800_500_s: Option<f64>,
    martensite: f64,
    retained_austenite: f64,
    bainite: f64,
    pearlite: f64,
    ferrite: f64,
    carbide: f64,
    hardness_hv: f64,
    hardness_hrc: Option<f64>,
    temperature_c: Vec<f64>,
}

impl Place {
    fn of(place: &QuenchedPlace) -> Self {
        let phases = &place.phases;
        Self {
            x_mm: number(place.at.x.to_mm()),
            y_mm: number(place.at.y.to_mm()),
            carbon_wt_pct: number(place.carbon_wt_pct),
            entering_c: number(place.entering.to_c()),
            rate_at_700_k_s: place.rate_at_700_k_s.map(number),
            cooling_800_500_s: place.cooling_800_500.map(|span| number(span.to_s())),
            martensite: number(phases.martensite),
            retained_austenite: number(phases.retained_austenite),
            bainite: number(phases.bainite),
            pearlite: number(phases.pearlite),
            ferrite: number(phases.ferrite),
            carbide: number(phases.carbide),
            hardness_hv: number(place.hardness.to_hv()),
            hardness_hrc: hrc_of(place.hardness).map(number),
            temperature_c: celsius(&place.temperature_k),
        }
    }
}

fn celsius(temperature_k: &[f64]) -> Vec<f64> {
    temperature_k
        .iter()
        .map(|t| number(Temperature::from_k(*t).to_c()))
        .collect()
}

#[derive(Debug, Serialize)]
struct Bath {
    rise_k: f64,
    after_c: f64,
    litres_per_kg: f64,
    under_flash_k: Option<f64>,
}

impl Bath {
    fn of(bath: &BathRun) -> Self {
        Self {
            rise_k: number(bath.rise.to_k()),
            after_c: number(bath.after.to_c()),
            litres_per_kg: number(bath.litres_per_kg),
            under_flash_k: bath.under_flash.map(|step| number(step.to_k())),
        }
    }
}

/// The answer of a quench.
#[derive(Debug, Serialize)]
pub(crate) struct Quench {
    kind: &'static str,
    places: Vec<Place>,
    /// Seconds from leaving the furnace, for every `temperature_c`.
    time_s: Vec<f64>,
    heat_to_bath_j_kg: f64,
    bath: Option<Bath>,
    balance_error: f64,
    steps: usize,
    wall_s: f64,
    composition_wt_pct: super::steel::Contents,
    remarks: Vec<RemarkLine>,
    sources: Vec<&'static str>,
}

impl Quench {
    /// From a run.
    pub(crate) fn of(run: &QuenchPartRun, composition: &Composition, wall: Duration) -> Self {
        Self {
            kind: "quench",
            places: run.places.iter().map(Place::of).collect(),
            time_s: numbers(&run.time_s),
            heat_to_bath_j_kg: number(run.heat_to_bath_j_kg),
            bath: run.bath.as_ref().map(Bath::of),
            balance_error: number(run.balance_error),
            steps: run.steps,
            wall_s: number(wall.as_secs_f64()),
            composition_wt_pct: super::steel::Contents::of(composition),
            remarks: remarks(&run.remarks),
            sources: run.sources.clone(),
        }
    }
}

#[derive(Debug, Serialize)]
struct Heating {
    time_s: Vec<f64>,
    surface_c: Vec<f64>,
    middle_c: Vec<f64>,
    balance_error: f64,
    steps: usize,
}

/// The answer of a reheat.
#[derive(Debug, Serialize)]
pub(crate) struct Reheat {
    kind: &'static str,
    soaked_after_min: Option<f64>,
    above_ac1_min: f64,
    scaled_um: f64,
    poor_to_mm: f64,
    carbon_lost_g_m2: f64,
    carbon_balance_error: f64,
    depth_mm: Vec<f64>,
    before_wt_pct: Vec<f64>,
    carbon_wt_pct: Vec<f64>,
    /// `null` where the cycle was the part's own.
    heating: Option<Heating>,
    wall_s: f64,
    composition_wt_pct: super::steel::Contents,
    remarks: Vec<RemarkLine>,
    sources: Vec<&'static str>,
}

impl Reheat {
    /// From a run, with the profile at the depths shown.
    pub(crate) fn of(
        run: &ReheatRun,
        profile: &Profile,
        composition: &Composition,
        wall: Duration,
    ) -> Self {
        Self {
            kind: "reheat",
            soaked_after_min: run.soaked_after.map(|span| number(span.to_min())),
            above_ac1_min: number(run.above_ac1.to_min()),
            scaled_um: number(run.scaled.to_mm() * 1e3),
            poor_to_mm: number(run.poor_to.to_mm()),
            carbon_lost_g_m2: number(run.carbon_lost_g_m2),
            carbon_balance_error: number(run.carbon_balance_error),
            depth_mm: numbers(&profile.depth_mm),
            before_wt_pct: numbers(&profile.before_wt_pct),
            carbon_wt_pct: numbers(&profile.carbon_wt_pct),
            heating: run.heating.as_ref().map(|heating| {
                let middle = heating
                    .depth_m
                    .last()
                    .copied()
                    .map_or(Length::ZERO, Length::from_m);
                Heating {
                    time_s: numbers(&heating.time_s),
                    surface_c: celsius(&heating.curve_at(Length::ZERO)),
                    middle_c: celsius(&heating.curve_at(middle)),
                    balance_error: number(heating.balance_error),
                    steps: heating.steps,
                }
            }),
            wall_s: number(wall.as_secs_f64()),
            composition_wt_pct: super::steel::Contents::of(composition),
            remarks: remarks(&run.remarks),
            sources: run.sources.clone(),
        }
    }
}

/// Carbon before and after at the depths that are shown.
#[derive(Debug)]
pub(crate) struct Profile {
    pub(crate) depth_mm: Vec<f64>,
    pub(crate) before_wt_pct: Vec<f64>,
    pub(crate) carbon_wt_pct: Vec<f64>,
}

impl Profile {
    /// At the depths asked for, or at the model's own points.
    pub(crate) fn of(run: &ReheatRun, wanted_mm: Option<&[f64]>) -> Self {
        let own_mm: Vec<f64> = run
            .depth_m
            .iter()
            .map(|depth_m| Length::from_m(*depth_m).to_mm())
            .collect();
        let depth_mm = wanted_mm.map_or_else(|| own_mm.clone(), <[f64]>::to_vec);
        let at = |carbon: &[f64]| {
            depth_mm
                .iter()
                .map(|depth| interpolate::linear_clamped(&own_mm, carbon, *depth))
                .collect()
        };
        Self {
            before_wt_pct: at(&run.before_wt_pct),
            carbon_wt_pct: at(&run.carbon_wt_pct),
            depth_mm,
        }
    }
}
