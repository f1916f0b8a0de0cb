//! What is not known and how far: every doubt with its distribution and reason, the quasi-random
//! departures drawn from them, and the quantiles that make a band.

use casewright_physics::matter::steel::SteelRecord;
use casewright_physics::numerics::{fun, quasi};
use casewright_terms::{Composition, Element, TemperatureStep, WeightPercent};
use rayon::prelude::*;

use crate::beliefs;
use crate::recipe::{Departure, Matter, Recipe, Simulated};

/// What a doubt is about, as a person names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The furnace's survey and the couple's error.
    Furnace,
    /// How fast carbon moves in the steel.
    Diffusivity,
    /// How much carbon the compound hands over.
    Compound,
    /// When the middle of the pack is hot.
    HeatUp,
    /// The bath and the time on the way to it.
    Quench,
    /// How soon austenite decomposes.
    Kinetics,
    /// Hardness at a given carbon and structure.
    Scatter,
    /// Grain before the quench.
    Grain,
    /// Tempering oven against its setting.
    Oven,
    /// This heat of the steel within its grade.
    Steel,
}

impl Cause {
    /// All of them, in the order of the dimensions.
    pub const ALL: [Self; 10] = [
        Self::Furnace,
        Self::Diffusivity,
        Self::Compound,
        Self::HeatUp,
        Self::Quench,
        Self::Kinetics,
        Self::Scatter,
        Self::Grain,
        Self::Oven,
        Self::Steel,
    ];

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Furnace => "the furnace and its couple",
            Self::Diffusivity => "how fast carbon moves in the steel",
            Self::Compound => "the compound",
            Self::HeatUp => "the heat-up of the pack",
            Self::Quench => "the quench and the way to it",
            Self::Kinetics => "how soon the steel transforms",
            Self::Scatter => "the scatter of hardness",
            Self::Grain => "the grain",
            Self::Oven => "the tempering oven",
            Self::Steel => "the heat of steel",
        }
    }
}

/// Dimensions of the quasi-random sequence that are doubts, in their order.
pub const DIMENSIONS: [Cause; 18] = [
    Cause::Furnace, // couple
    Cause::Furnace, // survey
    Cause::Diffusivity,
    Cause::Compound,
    Cause::HeatUp,
    Cause::Quench, // severity
    Cause::Quench, // transfer time
    Cause::Kinetics,
    Cause::Scatter,
    Cause::Grain,
    Cause::Oven,
    Cause::Steel, // lines of carbide and ferrite
    Cause::Steel, // from here the chemistry, in the order of `CHEMISTRY`
    Cause::Steel,
    Cause::Steel,
    Cause::Steel,
    Cause::Steel,
    Cause::Steel,
];

// The doubt of carbon's activity in an alloy steel (`equilibrium::doubt`, 1.4 % for 0.8 % Cr) is not
// among them: it moves the carbon that a pack gives to 8620 by 0.005 wt%, less than a tenth of what
// transfer and furnace do, and another dimension would change every seeded ensemble.

/// First dimension of the chemistry.
const CHEMISTRY_FROM: usize = 12;

/// Quantile of the normal distribution that leaves 5 % above.
pub(crate) const Z_95: f64 = 1.644_853_626_951_472_7;

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
    /// Steps of another length, a hook that slips: half as long again, or two thirds. [trade-practice]
    pub(super) const CARRY: f64 = 1.5;
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
pub const MEMBERS: usize = 1024;

/// Members that are simulated in full; what the others give is read from these, see `cloud`.
pub const RUNS: usize = 128;

/// The doubts about one recipe, ready to be drawn from.
#[derive(Clone, Debug)]
pub struct Doubts<'a> {
    couple_k: f64,
    survey_k: f64,
    middle: &'a Composition,
    record: Option<&'a SteelRecord>,
    sequence: quasi::Sequence,
    /// Root of how the doubts vary together, where the shop's jobs have taught something.
    learnt: Option<Box<[[f64; beliefs::N]; beliefs::N]>>,
}

/// One draw: a standard normal value for each dimension, and an even one between 0 and 1 beside
/// them that decides what the shape of the doubts leaves open.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// Standard normal values, in the order of [`DIMENSIONS`].
    pub z: [f64; DIMENSIONS.len()],
    /// Even between 0 and 1.
    pub even: f64,
}

impl<'a> Doubts<'a> {
    /// The doubts about a recipe. `record` is the grade where the heat's own chemistry is not known.
    #[must_use]
    pub fn of(
        recipe: &Recipe<'_>,
        matter: &'a Matter,
        record: Option<&'a SteelRecord>,
        seed: u64,
    ) -> Self {
        let (couple_k, survey_k) = furnace_k(recipe);
        Self {
            couple_k,
            survey_k,
            learnt: recipe
                .learnt_covariance()
                .map(|together| Box::new(beliefs::root(&together))),
            middle: &matter.composition,
            record,
            sequence: quasi::Sequence::new(DIMENSIONS.len() + 1, seed),
        }
    }

    /// The draw of an index, the same for the same seed.
    #[must_use]
    pub fn draw(&self, index: u64) -> Draw {
        let point = self.sequence.point(index);
        Draw {
            z: std::array::from_fn(|i| normal(point[i])),
            even: point[DIMENSIONS.len()],
        }
    }

    /// What the draw does to the chain.
    #[must_use]
    ///
    /// Where jobs have taught the middle, the recipe holds it already; this is the way from there.
    pub fn departure(&self, draw: &Draw) -> Departure {
        let z = match &self.learnt {
            None => draw.z,
            Some(root) => std::array::from_fn(|i| {
                let row = root[i].iter().zip(&draw.z);
                row.map(|(share, z)| share * z).sum()
            }),
        };
        Departure {
            composition: self
                .record
                .map(|r| chemistry(self.middle, r, &z[CHEMISTRY_FROM..])),
            ..moved(&z, (self.couple_k, self.survey_k))
        }
    }

    /// Whether anything hangs on a dimension.
    #[must_use]
    pub fn open(&self, dimension: usize) -> bool {
        dimension < CHEMISTRY_FROM
            || self.record.is_some_and(|record| {
                let element = CHEMISTRY[dimension - CHEMISTRY_FROM];
                record
                    .ranges
                    .iter()
                    .any(|range| range.element == element && range.max.is_some())
            })
    }
}

/// 90 % of the couple's error and of the load's place in the chamber, kelvin.
pub(crate) fn furnace_k(recipe: &Recipe<'_>) -> (f64, f64) {
    (
        ninety::COUPLE_RATIO * recipe.temperature.to_c(),
        // The survey's half-width is a limit that no point may pass; 90 % of a load stands
        // within four fifths of it. Survey and couple are independent.
        0.8 * recipe.furnace.survey.to_k(),
    )
}

/// Where a recipe's middle stands when jobs have taught its doubts to stand there.
pub(crate) fn middle(recipe: &Recipe<'_>, z: &[f64; DIMENSIONS.len()]) -> Departure {
    moved(z, furnace_k(recipe))
}

/// Factor either way that holds 90 % of a dimension; `None` for what is no factor.
pub(crate) const fn factor_90(dimension: usize) -> Option<f64> {
    match dimension {
        2 => Some(ninety::DIFFUSIVITY),
        3 => Some(ninety::TRANSFER),
        4 => Some(BED_90),
        5 => Some(ninety::SEVERITY),
        6 => Some(ninety::CARRY),
        7 => Some(ninety::KINETICS),
        8 => Some(1.0 + ninety::HARDNESS),
        _ => None,
    }
}

/// What standard normal values do to the chain, the chemistry apart.
fn moved(z: &[f64; DIMENSIONS.len()], (couple_k, survey_k): (f64, f64)) -> Departure {
    let z = |i: usize| z[i] / Z_95;
    let factor = |i: usize, ninety: f64| fun::exp(z(i) * fun::ln(ninety));
    Departure {
        furnace: TemperatureStep::from_k(couple_k * z(0) + survey_k * z(1)),
        diffusivity: factor(2, ninety::DIFFUSIVITY),
        transfer: factor(3, ninety::TRANSFER),
        bed: factor(4, BED_90),
        severity: factor(5, ninety::SEVERITY),
        carry: factor(6, ninety::CARRY),
        kinetics: factor(7, ninety::KINETICS),
        hardness: ninety::HARDNESS * z(8),
        grain: ninety::GRAIN * z(9),
        oven: TemperatureStep::from_k(ninety::OVEN_K * z(10)),
        // How far two published assessments differ, see `equilibrium::doubt`.
        saturation: z(11),
        composition: None,
    }
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
fn chemistry(middle: &Composition, record: &SteelRecord, z: &[f64]) -> Composition {
    let mut contents: Vec<(Element, WeightPercent)> = middle.present().collect();
    for (&element, &z) in CHEMISTRY.iter().zip(z) {
        let Some(range) = record.ranges.iter().find(|range| range.element == element) else {
            continue;
        };
        let low = range.min.unwrap_or(WeightPercent::ZERO).to_wt_pct();
        let Some(high) = range.max.map(WeightPercent::to_wt_pct) else {
            continue;
        };
        let value = middle.wt_pct(element) + 0.25 * (high - low) * z;
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
    (quantile(values, 0.05), quantile(values, 0.95))
}

/// Leaves the values in another order.
pub(crate) fn quantile(values: &mut [f64], q: f64) -> f64 {
    // Plotting position (i + 0.5)/n: the ends of a small sample are not the ends of the doubt.
    let at = (q * values.len() as f64 - 0.5).clamp(0.0, (values.len() - 1) as f64);
    let i = at.floor() as usize;
    // A sheet asks for hundreds of these, each of a thousand members: sorting is not needed for one.
    let (_, here, above) = values.select_nth_unstable_by(i, f64::total_cmp);
    let here = *here;
    let next = above.iter().copied().reduce(f64::min).unwrap_or(here);
    here + (at - i as f64) * (next - here)
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
}
