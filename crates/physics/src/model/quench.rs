//! Temperature of every depth during the quench.
//!
//! Conduction in one dimension through the section, with the delay in air, the bath's curve of
//! heat transfer against surface temperature and the heat of the transformation. It does not know
//! what the austenite becomes: that is the material's business (see [`Material`]).
//! Latent heat is coupled both ways. Martensite's is part of the enthalpy that the implicit step
//! solves; the heat of ferrite, pearlite and bainite is released one step later, at the steps'
//! size of a few kelvin.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Length, Remark, SourceKey, Temperature};

use crate::law::quench_transfer::{self, TransferCurve};
use crate::law::steel_thermal;
use crate::run::Failure;
use crate::setup::{QuenchSetup, Quenchant, Shape, Stirring};

pub(crate) mod body;
pub(crate) mod conduction;
pub(crate) mod section;

pub(crate) use body::Body;
pub(crate) use conduction::{Film, Material, Stage};

/// Air of the shop between furnace and bath, in °C.
const SHOP_AIR_C: f64 = 25.0;
/// Nodes from the surface to the middle.
const NODES: usize = 21;

/// Cooling of the section.
#[derive(Clone, Debug, PartialEq)]
pub struct QuenchRun {
    /// Time of each record in seconds from leaving the furnace.
    pub time_s: Vec<f64>,
    /// Depth of each node in metres.
    pub depth_m: Vec<f64>,
    /// Temperature in kelvin, node after node within each record.
    pub temperature_k: Vec<f64>,
    /// Heat given to the bath per kilogram of steel, in J/kg.
    pub heat_to_bath_j_kg: f64,
    /// |heat that left − heat that was lost inside| ÷ the larger.
    pub balance_error: f64,
    /// Time steps taken.
    pub steps: usize,
    /// Steps that were tried and refused.
    pub refused: usize,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
}

impl QuenchRun {
    /// Temperature in kelvin at a depth at each record.
    #[must_use]
    pub fn curve_at(&self, depth: Length) -> Vec<f64> {
        let mut curve = Vec::new();
        self.curve_into(depth.to_m(), &mut curve);
        curve
    }

    /// Kernel of [`Self::curve_at`] into a buffer.
    pub(crate) fn curve_into(&self, depth_m: f64, curve: &mut Vec<f64>) {
        let n = self.depth_m.len();
        let right = self
            .depth_m
            .partition_point(|d| *d < depth_m)
            .clamp(1, n - 1);
        let (x0, x1) = (self.depth_m[right - 1], self.depth_m[right]);
        let w = ((depth_m - x0) / (x1 - x0)).clamp(0.0, 1.0);
        curve.clear();
        curve.extend(
            self.temperature_k
                .chunks_exact(n)
                .map(|row| row[right - 1] + w * (row[right] - row[right - 1])),
        );
    }

    /// Cooling rate in K/s at a depth while passing `level`; `None` where the record does not
    /// pass it downwards. Mean over the passage of 25 K above to 25 K below, or what there is of it.
    #[must_use]
    pub fn rate_while_passing(&self, depth: Length, level: Temperature) -> Option<f64> {
        rate_of(&self.time_s, &self.curve_at(depth), level)
    }
}

/// Kernel of [`QuenchRun::rate_while_passing`] on a curve.
pub(crate) fn rate_of(time_s: &[f64], curve_k: &[f64], level: Temperature) -> Option<f64> {
    let top = (level.to_k() + 25.0).min(curve_k[0]);
    let bottom = level.to_k() - 25.0;
    if curve_k[0] <= level.to_k() {
        return None;
    }
    let time_of = |level_k: f64| {
        let i = curve_k.iter().position(|t| *t < level_k)?;
        if i == 0 {
            return Some(0.0);
        }
        let share = (curve_k[i - 1] - level_k) / (curve_k[i - 1] - curve_k[i]);
        Some(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))
    };
    let begin = if top >= curve_k[0] {
        0.0
    } else {
        time_of(top)?
    };
    let end = time_of(bottom)?;
    (end > begin).then(|| (top - bottom) / (end - begin))
}

/// Keys of the sources of the model.
#[must_use]
pub fn sources() -> Vec<SourceKey> {
    [&quench_transfer::SOURCES[..], &steel_thermal::SOURCES[..]].concat()
}

/// Quenches a section that turns into nothing (austenite all the way): the thermal part alone.
///
/// # Errors
/// When the setup cannot be simulated or the steps did not settle.
pub fn quench(setup: &QuenchSetup, shape: Shape, from: Temperature) -> Result<QuenchRun, Failure> {
    let body = Body::new(shape, NODES)?;
    quench_with(setup, &body, from, &mut conduction::PlainAustenite)
}

/// The body the quench is computed on.
pub(crate) fn section(shape: Shape) -> Result<Body, Failure> {
    Body::new(shape, NODES)
}

/// Quenches with a material that transforms.
pub(crate) fn quench_with(
    setup: &QuenchSetup,
    body: &Body,
    from: Temperature,
    material: &mut impl Material,
) -> Result<QuenchRun, Failure> {
    check(setup, from)?;
    let bath_c = setup.bath.to_c();
    let air = Stage {
        ambient_k: SHOP_AIR_C + ICE_POINT_K,
        drift_k_s: 0.0,
        film: Film::Curve(TransferCurve::new(
            Quenchant::Air,
            Stirring::Still,
            SHOP_AIR_C,
            1.0,
        )),
        lasts_s: Some(setup.transfer.to_s()),
    };
    let bath = Stage {
        ambient_k: setup.bath.to_k(),
        drift_k_s: 0.0,
        film: Film::Curve(TransferCurve::new(
            setup.quenchant,
            setup.stirring,
            bath_c,
            setup.severity_factor,
        )),
        lasts_s: None,
    };
    let mut run = conduction::cool(body, material, from.to_k(), &[air, bath])?;
    run.remarks
        .extend(quench_transfer::bath_remarks(setup.quenchant, setup.bath));
    Ok(run)
}

fn check(setup: &QuenchSetup, from: Temperature) -> Result<(), Failure> {
    let refuse = |what: String| Err(Failure::Setup { what });
    let (bath_c, from_c) = (setup.bath.to_c(), from.to_c());
    if !(-100.0..=400.0).contains(&bath_c) {
        return refuse(format!(
            "the quench bath of {bath_c:.0} °C is not between -100 and 400 °C"
        ));
    }
    if !(from_c > bath_c + 20.0 && from_c <= 1300.0) {
        return refuse(format!(
            "a quench from {from_c:.0} °C into {bath_c:.0} °C is not between 20 °C above the bath and 1300 °C"
        ));
    }
    if !(setup.severity_factor >= 0.05 && setup.severity_factor <= 20.0) {
        return refuse(format!(
            "the factor {} on the quench is not between 0.05 and 20",
            setup.severity_factor
        ));
    }
    let transfer_s = setup.transfer.to_s();
    if !(0.0..=3600.0).contains(&transfer_s) {
        return refuse(format!(
            "a transfer of {transfer_s:.0} s to the bath is not between 0 and 3600 s"
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests;
