//! What the quench of one part did. Values only.

use casewright_terms::{Remark, SourceKey, Span, Temperature, TemperatureStep, Vickers};

use crate::model::transform::Phases;
use crate::setup::PlanePoint;

/// One place of the part.
#[derive(Clone, Debug, PartialEq)]
pub struct QuenchedPlace {
    /// From the surface, or from the bar's corner.
    pub at: PlanePoint,
    /// Carbon there, in wt%.
    pub carbon_wt_pct: f64,
    /// Temperature in kelvin at each time of the run.
    pub temperature_k: Vec<f64>,
    /// Temperature as the part enters the bath.
    pub entering: Temperature,
    /// Cooling rate while passing 700 °C, in K/s; `None` where it starts below.
    pub rate_at_700_k_s: Option<f64>,
    /// Time from 800 to 500 °C (from the start where that is colder); `None` where 500 °C is not
    /// passed.
    pub cooling_800_500: Option<Span>,
    /// What stands there in the end.
    pub phases: Phases,
    /// Hardness as quenched.
    pub hardness: Vickers,
}

/// The bath afterwards.
#[derive(Clone, Debug, PartialEq)]
pub struct BathRun {
    /// Rise when nothing of the heat is lost.
    pub rise: TemperatureStep,
    /// Temperature then.
    pub after: Temperature,
    /// Litres for each kilogram of everything that goes in hot.
    pub litres_per_kg: f64,
    /// How far the bath ends under its flash point; `None` where none is given.
    pub under_flash: Option<TemperatureStep>,
}

/// A part after its quench.
#[derive(Clone, Debug, PartialEq)]
pub struct QuenchPartRun {
    /// Seconds from leaving the furnace.
    pub time_s: Vec<f64>,
    /// In the order they were asked for.
    pub places: Vec<QuenchedPlace>,
    /// Heat given to the bath per kilogram of the part, in J/kg.
    pub heat_to_bath_j_kg: f64,
    /// |heat that left − heat that was lost inside| ÷ the larger.
    pub balance_error: f64,
    /// Time steps taken.
    pub steps: usize,
    /// The bath, where it was given.
    pub bath: Option<BathRun>,
    /// Notes about validity and about the bath.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}
