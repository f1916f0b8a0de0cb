//! How far a set of kinetics is from each piece of evidence.

use casewright_terms::{Composition, Element, Length, Span, Temperature};

use super::evidence::{Band, grossmann_diameter_in, plain, plain_start};
use crate::law::decomposition::{LiCoefficients, Refit};
use crate::model::chain::as_quenched_hv;
use crate::model::jominy::{GRAIN_NUMBER, end_quench_with};
use crate::model::quench::conduction::{self, Film, PlainAustenite, Stage};
use crate::model::quench::{self, Body};
use crate::model::transform::coupling::{Node, Transforming};
use crate::model::transform::{Kinetics, SteelLines, austenitise, follow};
use crate::numerics::fun;
use crate::setup::{QuenchSetup, Quenchant, Shape, Stirring};

/// Where the test ends, in kelvin: the shop.
const END_K: f64 = 298.15;
/// ln of the largest factor on the times that is looked for.
const WIDEST_LN: f64 = 5.0;
/// Halvings of the search: 0.005 in ln.
const HALVINGS: usize = 11;

/// A band's verdict.
#[derive(Clone, Debug)]
pub(super) struct Score {
    /// Points inside.
    pub(super) inside: usize,
    /// Root mean square from the middle in HRC, over the points that have both limits.
    pub(super) rms_hrc: f64,
    /// Mean square of the distance over half the width (at least 3 HRC); where there is no lower
    /// limit only what is above the upper counts.
    ///
    /// Below 20 HRC ours is carried on by the formula, for the means only.
    #[cfg(test)]
    pub(super) loss: f64,
}

/// The interpolating formula of the conversion table, good to 0.2 HRC, and without an end at 20.
fn hrc_of(hv: f64) -> f64 {
    (100.0 * hv - 14_500.0) / (hv + 223.0)
}

/// HRC along the bar; `None` where the bar did not settle.
pub(super) fn end_quench_hrc(
    steel: &Composition,
    refit: Refit,
    from_c: f64,
    distances: &[Length],
) -> Option<Vec<f64>> {
    let lines = LiCoefficients::refitted(steel, GRAIN_NUMBER, refit);
    let bar = end_quench_with(steel, lines, Temperature::from_c(from_c), distances).ok()?;
    Some(
        bar.points
            .iter()
            .map(|p| hrc_of(p.hardness.to_hv()))
            .collect(),
    )
}

/// The bar of one grade against its band.
pub(super) fn band(band: &Band, refit: Refit) -> Option<Score> {
    let distances: Vec<Length> = band.points.iter().map(|p| Length::from_mm(p.0)).collect();
    let hrc = end_quench_hrc(&band.steel, refit, band.from_c, &distances)?;
    let (mut inside, mut square, mut whole) = (0, 0.0, 0);
    for (hrc, (_, high, low)) in hrc.iter().zip(&band.points) {
        // Half a unit: bands are printed in whole numbers.
        inside += usize::from(*hrc <= high + 0.5 && low.is_none_or(|low| *hrc >= low - 0.5));
        if let Some(low) = low {
            let off = hrc - (high + low) / 2.0;
            square += off * off;
            whole += 1;
        }
    }
    Some(Score {
        inside,
        rms_hrc: fun::sqrt(square / f64::from(whole)),
        #[cfg(test)]
        loss: band_loss(band, &hrc),
    })
}

#[cfg(test)]
fn band_loss(band: &Band, hrc: &[f64]) -> f64 {
    let squares = hrc.iter().zip(&band.points).map(|(hrc, (_, high, low))| {
        low.map_or(((hrc - high).max(0.0) / 3.0).powi(2), |low| {
            ((hrc - (high + low) / 2.0) / ((high - low) / 2.0).max(3.0)).powi(2)
        })
    });
    squares.sum::<f64>() / band.points.len() as f64
}

/// ln of the factor on all times that leaves `share` of the austenite as martensite on a curve.
fn needed_ln(
    steel: &Composition,
    lines: LiCoefficients,
    from: Temperature,
    (time_s, curve_k): (&[f64], &[f64]),
    share: f64,
) -> f64 {
    let shared = SteelLines::new(steel);
    let Ok(start) = austenitise(steel, steel.get(Element::C), from) else {
        // No austenite, no speed: the row shows it.
        return f64::INFINITY;
    };
    let (mut low, mut high) = (-WIDEST_LN, WIDEST_LN);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        let kinetics =
            Kinetics::with_lines(&shared, start.carbon.to_wt_pct(), lines, fun::exp(middle));
        let phases = follow(&kinetics, &start, time_s, curve_k, END_K);
        if phases.martensite + phases.retained_austenite < share * start.austenite {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// Cooling of the middle of a plain steel's ideal round: time and temperature.
pub(super) fn ideal_curve(carbon: f64, manganese: f64) -> Option<(Vec<f64>, Vec<f64>)> {
    let radius = Length::from_in(grossmann_diameter_in(carbon, manganese) / 2.0);
    let body = quench::section(Shape::Cylinder { radius }).ok()?;
    // Biot number above 50: the surface follows the bath at once.
    let bath = Stage {
        ambient_k: END_K,
        drift_k_s: 0.0,
        film: Film::Constant { h_w_m2_k: 3e5 },
        lasts_s: None,
    };
    let from_k = plain_start(carbon).to_k();
    let run = conduction::cool(&body, &mut PlainAustenite, from_k, &[bath]).ok()?;
    let curve = run.curve_at(radius);
    Some((run.time_s, curve))
}

/// By which factor (ln) the times are too short for half martensite in the middle of the ideal
/// round.
pub(super) fn plain_ln(
    refit: Refit,
    (carbon, manganese): (f64, f64),
    (time_s, curve_k): &(Vec<f64>, Vec<f64>),
) -> f64 {
    let steel = plain(carbon, manganese);
    let lines = LiCoefficients::refitted(&steel, GRAIN_NUMBER, refit);
    needed_ln(&steel, lines, plain_start(carbon), (time_s, curve_k), 0.5)
}

/// By which factor (ln) the times are too short for 99 % martensite at a rate at 700 °C, Newton's
/// law around it, grain 8.
pub(super) fn critical_ln(refit: Refit, steel: &Composition, rate_k_s: f64, from_c: f64) -> f64 {
    const STEPS: usize = 400;
    const BATH_C: f64 = 25.0;
    let (time_s, curve_k): (Vec<f64>, Vec<f64>) = (0..=STEPS)
        .map(|i| from_c - (from_c - BATH_C - 5.0) * i as f64 / STEPS as f64)
        .map(|t| {
            let passed = fun::ln((from_c - BATH_C) / (t - BATH_C));
            let celsius = Temperature::from_c(t);
            ((700.0 - BATH_C) / rate_k_s * passed, celsius.to_k())
        })
        .unzip();
    let lines = LiCoefficients::refitted(steel, 8.0, refit);
    let from = Temperature::from_c(from_c);
    needed_ln(steel, lines, from, (&time_s, &curve_k), 0.99)
}

/// Hardness half way to the middle of a round of plain steel from 900 °C in stirred water, grain 8.
pub(super) fn blank_hardened_hv(
    refit: Refit,
    steel: &Composition,
    diameter_mm: f64,
) -> Option<f64> {
    let from = Temperature::from_c(900.0);
    let radius = Length::from_mm(diameter_mm / 2.0);
    let shared = SteelLines::new(steel);
    let start = austenitise(steel, steel.get(Element::C), from).ok()?;
    let lines = LiCoefficients::refitted(steel, 8.0, refit);
    let kinetics = Kinetics::with_lines(&shared, start.carbon.to_wt_pct(), lines, 1.0);
    let body: Body = quench::section(Shape::Cylinder { radius }).ok()?;
    let mut material = Transforming {
        nodes: (0..body.len())
            .map(|_| Node::new(start, kinetics.clone()))
            .collect(),
    };
    let water = QuenchSetup {
        quenchant: Quenchant::Water,
        stirring: Stirring::Good,
        bath: Temperature::from_c(20.0),
        transfer: Span::from_s(2.0),
        severity_factor: 1.0,
    };
    let run = quench::quench_with(&water, &body, from, &mut material).ok()?;
    let place = radius / 2.0;
    let phases = follow(&kinetics, &start, &run.time_s, &run.curve_at(place), END_K);
    let rate = run.rate_while_passing(place, Temperature::from_c(700.0))?;
    Some(as_quenched_hv(steel, &phases, rate))
}
