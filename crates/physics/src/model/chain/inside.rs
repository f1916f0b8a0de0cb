//! Why each layer came out as it did: what the box left behind, what dissolved in the last heat,
//! where martensite begins, and how fast the layer cooled against how fast this steel needs it.
//!
//! The same models as the chain's, asked for what lies between carbon and hardness. After slow
//! cooling in the box the austenite first gives off the carbide above the eutectoid, as the lever
//! rule has it for hours of cooling, and the rest follows the kinetics of the quench on the box's
//! own curve. It computes no hardness of that state.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Composition, Length, SourceKey, Span, Temperature, WeightPercent};

use crate::equilibrium;
use crate::law::martensite_start::martensite_start;
use crate::law::transformation_temperature::ac1_andrews;
use crate::model::quench;
use crate::model::transform::{self, Austenite, Kinetics, Phases, SteelLines};
use crate::numerics::fun::{pow, sqrt};
use crate::run::{CarbonRun, Failure};
use crate::setup::{ChainSetup, Cycle};

use super::profile::Profile;

/// Cooling is counted from here, or from the furnace where that is colder, in °C.
const COUNT_FROM_C: f64 = 800.0;
/// And down to here, in °C.
const COUNT_TO_C: f64 = 500.0;
/// Share of the austenite that must be left for martensite when the need is looked for.
const NEEDED_SHARE: f64 = 0.9;
/// Carbon of cementite in wt%.
const CEMENTITE_WT_PCT: f64 = 6.67;
/// The box's curve is walked in steps of at most this, in kelvin: the quench's own size of step.
const STEP_K: f64 = 4.0;

/// The box from the end of the soak on, where the parts cool in it.
#[derive(Clone, Copy, Debug)]
pub struct BoxCooling<'a> {
    /// Temperature of the part from loading on.
    pub part: &'a Cycle,
    /// From loading to the end of the soak.
    pub soak_ends: Span,
    /// ASTM grain number of the austenite in the box.
    pub grain_number: f64,
}

/// What lies behind the layers. All vectors have one length.
#[derive(Clone, Debug, PartialEq)]
pub struct Inside {
    /// Depth of each layer, in metres.
    pub depth_m: Vec<f64>,
    /// What the parts consist of when the box is opened; `None` where they are quenched from it.
    pub boxed: Option<Vec<Phases>>,
    /// What stands in the furnace just before the last quench.
    pub heated: Vec<Austenite>,
    /// What the last quench made of it, before any draw.
    pub quenched: Vec<Phases>,
    /// Where martensite begins, in °C.
    pub martensite_start_c: Vec<f64>,
    /// Temperature from which cooling is counted.
    pub counted_from: Temperature,
    /// Temperature to which it is counted.
    pub counted_to: Temperature,
    /// Time of that passage, in seconds; `None` where the layer does not pass it.
    pub cooling_s: Vec<Option<f64>>,
    /// The longest such time that leaves nine tenths of the austenite for martensite, on a curve of
    /// this shape; `None` where no speed between a thousandth and a thousandfold decides it.
    pub needed_s: Vec<Option<f64>>,
}

/// Keys of the sources behind [`inside`] that the chain's own list does not have.
pub const SOURCES: [SourceKey; 1] = ["astm-e112"];

/// Mean diameter of the grains of an ASTM grain number. [astm-e112]: 2^(G − 1) grains per square
/// inch at 100 times, taken as squares of one side.
#[must_use]
pub fn grain_diameter(number: f64) -> Length {
    // 1 in² at 100× is 0.0645 mm².
    let per_mm2 = pow(2.0, number - 1.0) / 0.064_516;
    Length::from_mm(1.0 / sqrt(per_mm2))
}

/// What lies behind the layers of a chain that was run with this carbon and setup.
///
/// # Errors
/// As [`super::harden`].
pub fn inside(
    carbon: &CarbonRun,
    setup: &ChainSetup,
    in_box: Option<BoxCooling<'_>>,
) -> Result<Inside, Failure> {
    super::check(carbon, setup)?;
    let body = quench::section(setup.quench_shape)?;
    let half_m = super::half_depth_m(&body);
    let before = Profile::new(carbon, half_m);
    let mut profile = Profile::new(carbon, half_m);
    let from = super::quench_from(setup)?;
    let steel = &setup.carbon.composition;
    let lines = super::lines_at(setup, from)?;
    // The chain has said what the stays cost; here only the carbon is wanted.
    super::soak(setup, &lines, from, half_m, &mut profile, &mut Vec::new())?;
    let shared = SteelLines::new(steel);
    let (cooling, _) = super::cool(setup, &body, &profile, &lines, &shared, from)?;
    let counted_from = from.min(Temperature::from_c(COUNT_FROM_C));
    let counted_to = Temperature::from_c(COUNT_TO_C);
    let end_k = super::quench_end_k(setup);
    let mut found = Inside {
        depth_m: profile.depth_m.clone(),
        boxed: in_box
            .map(|cooling| after_the_box(setup, &before, &cooling, &shared))
            .transpose()?,
        heated: Vec::new(),
        quenched: Vec::new(),
        martensite_start_c: Vec::new(),
        counted_from,
        counted_to,
        cooling_s: Vec::new(),
        needed_s: Vec::new(),
    };
    let mut curve = Vec::new();
    for (depth, carbon) in profile.depth_m.iter().zip(&profile.carbon_wt_pct) {
        let start = lines.split(*carbon);
        cooling.curve_into(*depth, &mut curve);
        let passage = passage_s(
            &cooling.time_s,
            &curve,
            counted_from.to_k(),
            counted_to.to_k(),
        );
        // Phases when everything goes `slower` times as slow.
        let followed = |slower: f64| {
            let kinetics = Kinetics::new(
                &shared,
                start.carbon.to_wt_pct(),
                setup.grain_number,
                setup.kinetics_factor / slower,
            );
            transform::follow(&kinetics, &start, &cooling.time_s, &curve, end_k)
        };
        // Share of the austenite that is left for martensite then.
        let left = |slower: f64| {
            let phases = followed(slower);
            phases.martensite + phases.retained_austenite
        };
        found.quenched.push(followed(1.0));
        found.needed_s.push(passage.and_then(|passage| {
            slowest(|slower| left(slower) >= NEEDED_SHARE * start.austenite)
                .filter(|_| start.austenite > 0.0)
                .map(|slower| slower * passage)
        }));
        let austenite = steel.with_carbon(start.carbon);
        found
            .martensite_start_c
            .push(martensite_start(&austenite).value.to_c());
        found.cooling_s.push(passage);
        found.heated.push(start);
    }
    Ok(found)
}

/// Carbide that a layer sheds on its grain boundaries when it cools slowly from the box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoundaryCarbide {
    /// Where the first of it comes; `None` where none does above the eutectoid.
    pub begins: Option<Temperature>,
    /// Its share of the volume before the rest turns to pearlite.
    pub share: f64,
    /// Carbon of the eutectoid, below which there is none.
    pub eutectoid: WeightPercent,
}

impl BoundaryCarbide {
    /// The share at another carbon of the same steel.
    #[must_use]
    pub fn share_with(&self, carbon: WeightPercent) -> f64 {
        shed(carbon.to_wt_pct(), self.eutectoid.to_wt_pct())
    }
}

/// Carbide beyond the eutectoid in a steel with this carbon, by local equilibrium: what hours of
/// cooling in the box leave, whatever the grain.
#[must_use]
pub fn boundary_carbide(steel: &Composition, carbon: WeightPercent) -> BoundaryCarbide {
    let eutectoid = transform::carbon_beside_cementite(steel, ac1_andrews(steel).value);
    let share = shed(carbon.to_wt_pct(), eutectoid);
    let begins = (share > 0.0)
        .then(|| equilibrium::acm(steel, carbon).ok())
        .flatten()
        .and_then(|valued| valued.value);
    BoundaryCarbide {
        begins,
        share,
        eutectoid: WeightPercent::from_wt_pct(eutectoid),
    }
}

/// Lever between eutectoid austenite and cementite.
fn shed(carbon_wt_pct: f64, eutectoid_wt_pct: f64) -> f64 {
    ((carbon_wt_pct - eutectoid_wt_pct) / (CEMENTITE_WT_PCT - eutectoid_wt_pct)).max(0.0)
}

/// The greatest factor between a thousandth and a thousand at which `holds` still does; `None` where
/// it holds nowhere or everywhere.
fn slowest(holds: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (1e-3_f64, 1e3_f64);
    if !holds(low) || holds(high) {
        return None;
    }
    // Twelve halvings of six decades end within half a percent.
    for _ in 0..12 {
        let middle = sqrt(low * high);
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// Time from `from_k` down to `to_k`.
fn passage_s(time_s: &[f64], curve_k: &[f64], from_k: f64, to_k: f64) -> Option<f64> {
    let time_of = |level: f64| {
        let i = curve_k.iter().position(|t| *t < level)?;
        if i == 0 {
            return Some(0.0);
        }
        let share = (curve_k[i - 1] - level) / (curve_k[i - 1] - curve_k[i]);
        Some(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))
    };
    Some(time_of(to_k)? - time_of(from_k)?)
}

fn after_the_box(
    setup: &ChainSetup,
    profile: &Profile,
    cooling: &BoxCooling<'_>,
    shared: &SteelLines,
) -> Result<Vec<Phases>, Failure> {
    let (time_s, curve_k) = curve(cooling);
    let hot_k = curve_k.first().copied().unwrap_or(ICE_POINT_K);
    let lines = super::lines_at(setup, Temperature::from_k(hot_k))?;
    let steel = &setup.carbon.composition;
    let eutectoid = transform::carbon_beside_cementite(steel, ac1_andrews(steel).value);
    Ok(profile
        .carbon_wt_pct
        .iter()
        .map(|carbon| {
            let mut start = lines.split(*carbon);
            let held = start.carbon.to_wt_pct();
            if held > eutectoid {
                let shed = start.austenite * shed(held, eutectoid);
                start.carbide += shed;
                start.austenite -= shed;
                start.carbon = WeightPercent::from_wt_pct(eutectoid);
            }
            let kinetics = Kinetics::new(
                shared,
                start.carbon.to_wt_pct(),
                cooling.grain_number,
                setup.kinetics_factor,
            );
            transform::follow(
                &kinetics,
                &start,
                &time_s,
                &curve_k,
                super::SHOP_C + ICE_POINT_K,
            )
        })
        .collect())
}

/// The part's curve from the end of the soak on, in small steps.
fn curve(cooling: &BoxCooling<'_>) -> (Vec<f64>, Vec<f64>) {
    let (mut time_s, mut curve_k) = (Vec::new(), Vec::new());
    let mut at = Span::ZERO;
    for piece in &cooling.part.pieces {
        let begins = at;
        at = at + piece.duration;
        if at <= cooling.soak_ends {
            continue;
        }
        let whole = piece.duration.to_s().max(1e-9);
        let first = ((cooling.soak_ends - begins).to_s() / whole).clamp(0.0, 1.0);
        let (from_k, to_k) = (piece.from.to_k(), piece.to.to_k());
        let pieces = ((to_k - from_k).abs() * (1.0 - first) / STEP_K)
            .ceil()
            .clamp(1.0, 1e4);
        let skip = usize::from(!time_s.is_empty());
        for k in skip..=pieces as usize {
            let share = first + (1.0 - first) * k as f64 / pieces;
            time_s.push(begins.to_s() + share * whole);
            curve_k.push(from_k + share * (to_k - from_k));
        }
    }
    (time_s, curve_k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_grain_number_eight_is_twenty_two_micrometres() {
        // [astm-e112]: G 8 has a mean diameter of 22.5 µm, G 7 of 31.8 µm, in the table's digits.
        for (number, um) in [(8.0, 22.5), (7.0, 31.8), (5.0, 63.5)] {
            let found = grain_diameter(number).to_um();
            // Half the last digit, and 1e-3 because 31.75 is exactly half of one.
            assert!((found - um).abs() <= 0.051, "{number}: {found}");
        }
    }

    #[test]
    fn the_slowest_factor_that_holds_is_found() {
        let found = slowest(|f| f < 7.0).unwrap();
        // Within the half percent of twelve halvings, and on the side that holds.
        assert!(found < 7.0 && found > 7.0 * 0.99, "{found}");
        assert_eq!(slowest(|_| true), None);
        assert_eq!(slowest(|_| false), None);
    }
}
