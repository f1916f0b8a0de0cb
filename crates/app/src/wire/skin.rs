//! Stress in the skin and readings by test force on the wire.

use casewright_physics::run::StressSign;
use casewright_plan::loads::LoadReading;
use casewright_plan::skin::{SkinStress, Trust};
use serde::Serialize;

use super::{Interval, number};

/// Stress in the skin after quench and temper.
#[derive(Debug, Serialize)]
pub(crate) struct StressLine {
    /// `compressive`, `tensile` or `open`.
    sign: &'static str,
    /// `sure`, `likely` or `open`.
    trust: &'static str,
    reason: String,
    /// From the start of the quench to half of the skin's change; `null` where it never gets there.
    skin_changes_s: Option<f64>,
    core_changes_s: Option<f64>,
    /// Linear free strain of the skin less the section's mean, percent.
    strain_mismatch_pct: Interval,
}

impl StressLine {
    /// From the prediction's.
    pub(crate) fn of(stress: &SkinStress) -> Self {
        Self {
            sign: match stress.sign {
                StressSign::Compression => "compressive",
                StressSign::Tension => "tensile",
                StressSign::Unsure => "open",
            },
            trust: match stress.trust {
                Trust::Sure => "sure",
                Trust::Likely => "likely",
                Trust::Open => "open",
            },
            reason: stress.reason.clone(),
            skin_changes_s: stress.skin_changes_at.map(|at| number(at.to_s())),
            core_changes_s: stress.core_changes_at.map(|at| number(at.to_s())),
            strain_mismatch_pct: Interval::of(stress.strain_mismatch, |strain| 100.0 * strain),
        }
    }
}

/// One test force on the finished surface.
#[derive(Debug, Serialize)]
pub(crate) struct ForceLine {
    /// As a report writes it, as in HV10 or HK0.5.
    name: String,
    scale: &'static str,
    force_kgf: f64,
    valid: bool,
    /// `null` where an end of the band leaves the scale.
    reading: Option<Interval>,
    least_case_mm: Option<f64>,
    why: String,
    notes: Vec<String>,
}

impl ForceLine {
    /// From the prediction's.
    pub(crate) fn of(load: &LoadReading) -> Self {
        Self {
            name: load.name(),
            scale: load.scale.symbol(),
            force_kgf: number(load.force.to_kgf()),
            valid: load.valid,
            reading: load.reading.map(|band| Interval::of(band, |value| value)),
            least_case_mm: load.least_case.map(|least| number(least.to_mm())),
            why: load.why.clone(),
            notes: load.notes.clone(),
        }
    }
}
