//! What is not known, how far, and what it does to the result: a small ensemble of the whole
//! chain, its quantiles and the main cause of the spread.

use casewright_physics::matter::steel::SteelRecord;
use casewright_physics::numerics::{fun, quasi};
use casewright_terms::{Composition, Element, TemperatureStep, WeightPercent};
use rayon::prelude::*;

use crate::recipe::{Departure, Matter, Recipe, Simulated};

/// The doubts that every pack job has, in the order of the quasi-random dimensions.
///
/// Each is a distribution about the plan with its reason; `ninety` is the half-width that holds
/// 90 % of it, in the unit of the departure (logarithmic for factors).
const NAMES: [&str; 11] = [
    "furnace and couple",
    "diffusivity of carbon",
    "compound and its transfer of carbon",
    "heat-up of the pack",
    "quench severity",
    "transformation kinetics",
    "hardness scatter",
    "grain size",
    "tempering oven",
    "chemistry of the heat",
    "saturation of the steel",
];

// The doubt of carbon's activity in an alloy steel (`equilibrium::doubt`, 1.4 % for 0.8 % Cr) is not
// among them: it moves the carbon that a pack gives to 8620 by 0.005 wt%, less than a tenth of what
// transfer and furnace do, and another dimension would change every seeded ensemble.

/// Quantile of the normal distribution that leaves 5 % above.
const Z_95: f64 = 1.644_853_626_951_472_7;

/// Prior of the bed's thermal diffusivity, as a factor either way that holds 90 %: 3 to 7 e-7 m²/s
/// about its geometric middle. [trade-practice]
pub const BED_90: f64 = 1.53;

/// Half-widths that hold 90 %.
mod ninety {
    /// Standard-grade K couple at carburizing heat: ±0.75 % of the Celsius reading. [astm-e230]
    pub(super) const COUPLE_RATIO: f64 = 0.0075;
    /// Ågren's and Tibbetts' fits differ by 5 % at 0.5 and 13 % at 1.0 wt% C (theory page).
    pub(super) const DIFFUSIVITY: f64 = 1.10;
    /// The estimate for packs runs from 0.5 to 2 e-7 m/s. [pack-transfer-estimate]
    pub(super) const TRANSFER: f64 = 2.0;
    /// The composite table of heat transfer is given with ±40 %. [quench-composite]
    pub(super) const SEVERITY: f64 = 1.4;
    /// Atlas noses and the kinetic fit differ by a factor of two either way (theory page).
    pub(super) const KINETICS: f64 = 2.0;
    /// Scatter of hardness against carbon in full martensite, about ±1 HRC at 60 HRC.
    pub(super) const HARDNESS: f64 = 0.035;
    /// Grain of fine-grained steels, ASTM numbers either way. [trade-practice]
    pub(super) const GRAIN: f64 = 1.0;
    /// Tempering ovens drift ±15 °C where nobody checks them. [trade-practice]
    pub(super) const OVEN_K: f64 = 10.0;
}

/// Members of the ensemble; a power of two suits the quasi-random sequence.
pub const MEMBERS: usize = 64;

/// The ensemble's departures, the same for the same seed.
#[must_use]
pub fn departures(
    recipe: &Recipe<'_>,
    matter: &Matter,
    record: Option<&SteelRecord>,
    seed: u64,
    members: usize,
) -> Vec<Departure> {
    let couple = ninety::COUPLE_RATIO * recipe.temperature.to_c();
    // The survey's half-width is a limit that no point may pass; 90 % of a load stands within
    // four fifths of it. Survey and couple are independent.
    let survey = 0.8 * recipe.furnace.survey.to_k();
    let furnace = couple.hypot(survey);
    let sequence = quasi::Sequence::new(NAMES.len() + CHEMISTRY.len() - 1, seed);
    (0..members as u64)
        .map(|index| {
            let point = sequence.point(index);
            let z = |i: usize| normal(point[i]) / Z_95;
            let factor = |i: usize, ninety: f64| fun::exp(z(i) * fun::ln(ninety));
            Departure {
                furnace: TemperatureStep::from_k(furnace * z(0)),
                diffusivity: factor(1, ninety::DIFFUSIVITY),
                transfer: factor(2, ninety::TRANSFER),
                bed: factor(3, BED_90),
                severity: factor(4, ninety::SEVERITY),
                kinetics: factor(5, ninety::KINETICS),
                hardness: ninety::HARDNESS * z(6),
                grain: ninety::GRAIN * z(7),
                oven: TemperatureStep::from_k(ninety::OVEN_K * z(8)),
                // How far two published assessments differ, see `equilibrium::doubt`.
                saturation: z(9 + CHEMISTRY.len()),
                composition: record.map(|r| chemistry(&matter.composition, r, &point[9..])),
            }
        })
        .collect()
}

/// Standard normal value at a probability strictly inside 0 to 1.
fn normal(p: f64) -> f64 {
    quasi::inverse_normal(p.clamp(1e-9, 1.0 - 1e-9)).expect("a probability inside 0 to 1")
}

/// Elements whose range within the grade matters for the result.
const CHEMISTRY: [Element; 6] = [
    Element::C,
    Element::Mn,
    Element::Si,
    Element::Cr,
    Element::Ni,
    Element::Mo,
];

/// A heat of the grade. Mills aim at the middle, so a range is taken to hold 95 % of all heats of
/// a normal distribution and never to be left.
fn chemistry(middle: &Composition, record: &SteelRecord, point: &[f64]) -> Composition {
    let mut contents: Vec<(Element, WeightPercent)> = middle.present().collect();
    for (&element, &u) in CHEMISTRY.iter().zip(point) {
        let Some(range) = record.ranges.iter().find(|range| range.element == element) else {
            continue;
        };
        let low = range.min.unwrap_or(WeightPercent::ZERO).to_wt_pct();
        let Some(high) = range.max.map(WeightPercent::to_wt_pct) else {
            continue;
        };
        let value = middle.wt_pct(element) + 0.25 * (high - low) * normal(u);
        let value = WeightPercent::from_wt_pct(value.clamp(low, high));
        match contents.iter_mut().find(|(e, _)| *e == element) {
            Some((_, content)) => *content = value,
            None => contents.push((element, value)),
        }
    }
    Composition::new(&contents).unwrap_or(*middle)
}

/// Simulates the members, in order, on all cores. A member that physics refuses is left out and
/// counted.
#[must_use]
pub fn ensemble(
    recipe: &Recipe<'_>,
    matter: &Matter,
    departures: &[Departure],
) -> (Vec<(usize, Simulated)>, usize) {
    let results: Vec<Option<Simulated>> = departures
        .par_iter()
        .map(|departure| recipe.simulate(matter, departure).ok())
        .collect();
    let refused = results.iter().filter(|r| r.is_none()).count();
    let members = results
        .into_iter()
        .enumerate()
        .filter_map(|(i, r)| r.map(|run| (i, run)))
        .collect();
    (members, refused)
}

/// The 5 % and 95 % quantiles by linear interpolation between order statistics.
///
/// # Panics
/// When there is no value.
#[must_use]
pub fn ninety_band(values: &mut [f64]) -> (f64, f64) {
    assert!(!values.is_empty(), "a band needs at least one value");
    values.sort_by(f64::total_cmp);
    (quantile(values, 0.05), quantile(values, 0.95))
}

fn quantile(sorted: &[f64], q: f64) -> f64 {
    // Plotting position (i + 0.5)/n: the ends of a small sample are not the ends of the doubt.
    let at = (q * sorted.len() as f64 - 0.5).clamp(0.0, (sorted.len() - 1) as f64);
    let i = at.floor() as usize;
    let next = sorted[(i + 1).min(sorted.len() - 1)];
    sorted[i] + (at - i as f64) * (next - sorted[i])
}

/// Share of the spread of `values` that each doubt explains, by the square of its correlation,
/// greatest first; `values` belong to the members by index.
#[must_use]
pub fn shares(departures: &[Departure], values: &[(usize, f64)]) -> Vec<(String, f64)> {
    if values.len() < 8 {
        return Vec::new();
    }
    let y: Vec<f64> = values.iter().map(|(_, v)| *v).collect();
    let mut shares: Vec<(String, f64)> = NAMES
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let x: Vec<f64> = values
                .iter()
                .map(|(m, _)| coordinate(&departures[*m], i))
                .collect();
            let r = correlation(&x, &y);
            ((*name).to_owned(), r * r)
        })
        .collect();
    let total: f64 = shares.iter().map(|(_, s)| s).sum();
    if total > 1.0 {
        // Correlations of a small sample overlap; shares of more than a whole would be nonsense.
        shares.iter_mut().for_each(|(_, s)| *s /= total);
    }
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    shares
}

fn coordinate(departure: &Departure, doubt: usize) -> f64 {
    match doubt {
        0 => departure.furnace.to_k(),
        1 => fun::ln(departure.diffusivity),
        2 => fun::ln(departure.transfer),
        3 => fun::ln(departure.bed),
        4 => fun::ln(departure.severity),
        5 => fun::ln(departure.kinetics),
        6 => departure.hardness,
        7 => departure.grain,
        8 => departure.oven.to_k(),
        10 => departure.saturation,
        _ => departure.composition.map_or(0.0, |c| c.wt_pct(Element::C)),
    }
}

fn correlation(x: &[f64], y: &[f64]) -> f64 {
    let n = x.len() as f64;
    let (mx, my) = (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (a, b) in x.iter().zip(y) {
        xx += (a - mx) * (a - mx);
        yy += (b - my) * (b - my);
        xy += (a - mx) * (b - my);
    }
    if xx > 0.0 && yy > 0.0 {
        xy / (xx * yy).sqrt()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_a_straight_line() {
        let mut values: Vec<f64> = (0..100).map(f64::from).collect();
        let (low, high) = ninety_band(&mut values);
        // (i + 0.5)/100 = 0.05 at i = 4.5: exact for a straight line.
        assert!(
            (low - 4.5).abs() < 1e-12 && (high - 94.5).abs() < 1e-12,
            "{low} {high}"
        );
    }

    #[test]
    fn one_value_is_its_own_band() {
        assert_eq!(ninety_band(&mut [3.0]), (3.0, 3.0));
    }

    #[test]
    fn the_cause_of_a_spread_is_found() {
        let departures: Vec<Departure> = (0..32)
            .map(|i| Departure {
                transfer: 1.0 + f64::from(i) / 32.0,
                severity: 1.0 + f64::from((i * 7) % 32) / 32.0,
                ..Departure::NONE
            })
            .collect();
        let values: Vec<(usize, f64)> = departures
            .iter()
            .enumerate()
            .map(|(i, d)| (i, 2.0 * fun::ln(d.transfer)))
            .collect();
        let shares = shares(&departures, &values);
        assert_eq!(shares[0].0, "compound and its transfer of carbon");
        assert!(shares[0].1 > 0.8, "{shares:?}");
    }
}
