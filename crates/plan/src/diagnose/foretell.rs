//! What every reading and every look would be on a lot that a cause made, on its scale and at its place.

use casewright_job::evidence::{FileResult, Network, TestScale};
use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::model::testers::would_read;
use casewright_physics::numerics::fun;
use casewright_physics::run::Layers;
use casewright_terms::{Element, Length, Scale, Vickers, WeightPercent};
use rayon::prelude::*;

use super::data::{Class, Data, Datum, Look, Sight, Spot};
use super::scene::Scene;
use super::work::{CLASSES, Made, Way};
use crate::evaluate::{TOTAL_DEPTH_OVER_CORE_WT_PCT, at, hardness_at};

/// Rounds that a scale without a number stands for: what is read when the hand slips off its table.
const OFF_TABLE: [(Scale, f64, f64); 6] = [
    (Scale::Hrc, 14.0, 70.0),
    (Scale::Hra, 57.0, 87.0),
    (Scale::Hr15n, 67.0, 94.5),
    (Scale::Hr30n, 38.0, 87.0),
    (Scale::Hr45n, 16.0, 79.0),
    (Scale::Hrb, 50.0, 104.0),
];
/// Steps between two computed amounts, by straight lines of the readings.
const BETWEEN: usize = 4;
/// What the eye takes for a skin without carbon: below this share of the steel's highest carbon.
const POOR_SHARE: f64 = 0.75;

/// What one grid point foretells.
#[derive(Clone, Debug)]
pub(super) struct Foretold {
    pub(super) amount: f64,
    /// Reading of each datum.
    pub(super) mean: Vec<f64>,
    /// Change of each per standard deviation of depth.
    pub(super) by_depth: Vec<f64>,
    /// Change of each per standard deviation of hardness.
    pub(super) by_hardness: Vec<f64>,
    /// Own doubt of each beyond the reading's, a standard deviation.
    pub(super) own: Vec<f64>,
    /// Log-likelihood of each sight.
    pub(super) sights: Vec<f64>,
    /// Weight within the cause.
    pub(super) weight: f64,
    /// Nearest computed lot: chain and place in it.
    pub(super) node: (usize, usize),
}

/// What a scale shows on layers; where it has no number, an end of its table and `true`.
pub(super) fn shown(
    layers: &Layers,
    scale: Scale,
    gone: Length,
    round: Option<Length>,
) -> (f64, bool) {
    let read = would_read(layers, scale, gone, round);
    if let Some(reading) = read.reading {
        return (reading, false);
    }
    let surface = hardness_at(layers, gone);
    let ends = OFF_TABLE.iter().find(|(of, _, _)| *of == scale);
    let (low, high) = ends.map_or((100.0, 1000.0), |(_, low, high)| (*low, *high));
    // Harder than the table of B, softer than the others'.
    let hard = match scale {
        Scale::Hrb => surface.to_hv() > 150.0,
        _ => surface.to_hv() > 600.0,
    };
    (if hard { high } else { low }, true)
}

/// What a datum would show on a lot whose depths are stretched and hardness raised by factors.
pub(super) fn reads(made: &Made, datum: &Datum, stretch: f64, harder: f64) -> (f64, bool) {
    let own = match datum.spot {
        Spot::Soft => &made.soft,
        Spot::Finished(_) if datum.class == CLASSES[0] => made
            .finished
            .as_ref()
            .unwrap_or_else(|| made.of(datum.class)),
        _ => made.of(datum.class),
    };
    let bent;
    let layers = if stretch == 1.0 && harder == 1.0 {
        own
    } else {
        bent = moved(own, stretch, harder);
        &bent
    };
    let scale = datum.scale.scale;
    match datum.spot {
        Spot::Surface(gone) => shown(layers, scale, gone, datum.round),
        Spot::Finished(gone) => shown(layers, scale, gone + made.deeper, datum.round),
        Spot::Soft => shown(layers, scale, Length::ZERO, datum.round),
        Spot::Depth(depth) => on_section(layers, datum.scale, hardness_at(layers, depth)),
        Spot::Core => on_section(layers, datum.scale, layers.core()),
    }
}

/// A hardness on a scale, where the whole zone under the indenter is alike.
fn on_section(layers: &Layers, scale: TestScale, hv: Vickers) -> (f64, bool) {
    match scale_of(hv, scale.scale) {
        Some(reading) => (reading, false),
        None => {
            let mut flat = layers.clone();
            flat.hardness_hv = vec![hv.to_hv(); flat.depth_m.len()];
            shown(&flat, scale.scale, Length::ZERO, None)
        }
    }
}

fn moved(layers: &Layers, stretch: f64, harder: f64) -> Layers {
    Layers {
        depth_m: layers.depth_m.iter().map(|d| d * stretch).collect(),
        hardness_hv: layers.hardness_hv.iter().map(|h| h * harder).collect(),
        ..layers.clone()
    }
}

/// Points of a scale that one percent of hardness is worth, near a reading.
pub(super) fn per_percent(scale: Scale, hv: f64) -> f64 {
    let on = |factor: f64| scale_of(Vickers::from_hv(hv * factor), scale);
    match (on(0.98), on(1.02)) {
        (Some(low), Some(high)) => ((high - low) / 4.0).abs(),
        _ => 0.4,
    }
}

/// Foretells every datum and sight for all amounts of a way, with straight lines between neighbours.
pub(super) fn foretell(scene: &Scene<'_>, way: &Way, data: &Data) -> Vec<Foretold> {
    let mut all = Vec::new();
    let chains = way
        .chains
        .iter()
        .filter(|chain| !chain.is_empty())
        .count()
        .max(1) as f64;
    for (c, chain) in way.chains.iter().enumerate() {
        let points: Vec<Foretold> = chain
            .par_iter()
            .enumerate()
            .map(|(k, made)| Foretold {
                node: (c, k),
                ..one(scene, made, data)
            })
            .collect();
        let mut fine = Vec::new();
        for pair in points.windows(2) {
            for i in 0..BETWEEN {
                fine.push(between(&pair[0], &pair[1], i as f64 / BETWEEN as f64));
            }
        }
        fine.extend(points.last().cloned());
        let weight = 1.0 / (chains * fine.len() as f64);
        all.extend(fine.into_iter().map(|point| Foretold { weight, ..point }));
    }
    all
}

fn between(a: &Foretold, b: &Foretold, t: f64) -> Foretold {
    let mix = |x: &[f64], y: &[f64]| -> Vec<f64> {
        x.iter().zip(y).map(|(x, y)| x + t * (y - x)).collect()
    };
    Foretold {
        amount: a.amount + t * (b.amount - a.amount),
        mean: mix(&a.mean, &b.mean),
        by_depth: mix(&a.by_depth, &b.by_depth),
        by_hardness: mix(&a.by_hardness, &b.by_hardness),
        own: mix(&a.own, &b.own),
        sights: mix(&a.sights, &b.sights),
        weight: 0.0,
        node: if t < 0.5 { a.node } else { b.node },
    }
}

/// Doubt of the model at one place against another, as a share of the hardness: contact model,
/// conversion, lot. [reading-scatter-assumed]
const PLACE_PERCENT: f64 = 1.5;
/// Doubt of a depth that was ground or measured to, in mm. [reading-scatter-assumed]
const SPOT_MM: f64 = 0.015;

fn one(scene: &Scene<'_>, made: &Made, data: &Data) -> Foretold {
    let mut point = Foretold {
        amount: made.amount,
        mean: Vec::new(),
        by_depth: Vec::new(),
        by_hardness: Vec::new(),
        own: Vec::new(),
        sights: Vec::new(),
        weight: 1.0,
        node: (0, 0),
    };
    for datum in &data.readings {
        let (mean, off_table) = reads(made, datum, 1.0, 1.0);
        let (deeper, _) = reads(made, datum, 1.0 + scene.depth_doubt, 1.0);
        let (harder, _) = reads(made, datum, 1.0, 1.0 + scene.hardness_doubt);
        let moved_spot = |mm: f64| match datum.spot {
            Spot::Surface(gone) if gone > Length::ZERO => {
                Some(Spot::Surface(gone + Length::from_mm(mm)))
            }
            Spot::Finished(gone) => Some(Spot::Finished(gone + Length::from_mm(mm))),
            Spot::Depth(depth) => Some(Spot::Depth(depth + Length::from_mm(mm))),
            _ => None,
        };
        let by_spot = moved_spot(SPOT_MM).map_or(0.0, |spot| {
            let beside = Datum {
                spot,
                ..datum.clone()
            };
            reads(made, &beside, 1.0, 1.0).0 - mean
        });
        let hv = hardness_at(made.of(datum.class), Length::ZERO).to_hv();
        let place = PLACE_PERCENT * per_percent(datum.scale.scale, hv);
        let loose = if off_table { 5.0 } else { 0.0 };
        point.mean.push(mean);
        point.by_depth.push(deeper - mean);
        point.by_hardness.push(harder - mean);
        point.own.push(place.hypot(by_spot).hypot(loose));
    }
    point.sights = data.sights.iter().map(|s| sight(scene, made, s)).collect();
    point
}

/// Doubt of the file's hand, in HRC. [trade-practice]
const FILE_HRC: f64 = 2.5;
/// How often a look is simply wrong. [trade-practice]
const SLIP: f64 = 0.03;

/// Chance that a file bites on a surface of this hardness.
pub(super) fn bites(hrc: f64, file_hrc: f64) -> f64 {
    let sharp = 0.5 * fun::erfc((hrc - (file_hrc - 1.0)) / (FILE_HRC * std::f64::consts::SQRT_2));
    SLIP + (1.0 - 2.0 * SLIP) * sharp
}

/// Hardness that a file feels: the outermost few hundredths.
pub(super) fn skin_hrc(made: &Made, class: Class, spot: Spot) -> f64 {
    let (layers, gone) = match spot {
        Spot::Soft => (&made.soft, Length::ZERO),
        Spot::Finished(gone) => (
            made.finished.as_ref().unwrap_or_else(|| made.of(class)),
            gone + made.deeper,
        ),
        Spot::Surface(gone) => (made.of(class), gone),
        Spot::Depth(_) | Spot::Core => {
            return scale_of(made.of(class).core(), Scale::Hrc).unwrap_or(15.0);
        }
    };
    scale_of(
        hardness_at(layers, gone + Length::from_mm(0.01)),
        Scale::Hrc,
    )
    .unwrap_or(15.0)
}

/// Depth from the surface of the highest carbon, counted to where `POOR_SHARE` of it is reached.
pub(super) fn poor_to(layers: &Layers) -> Length {
    let highest = layers.carbon_wt_pct.iter().fold(0.0_f64, |a, b| a.max(*b));
    let i = layers
        .carbon_wt_pct
        .iter()
        .position(|c| *c >= POOR_SHARE * highest)
        .unwrap_or(0);
    Length::from_m(layers.depth_m[i])
}

/// Total depth of a cased piece as the box left it.
pub(super) fn ring_mm(scene: &Scene<'_>, made: &Made) -> f64 {
    let core = made
        .way
        .steel
        .unwrap_or(scene.setup.carbon.composition)
        .get(Element::C);
    let end = core + WeightPercent::from_wt_pct(TOTAL_DEPTH_OVER_CORE_WT_PCT);
    made.carbon.depth_to_carbon(end).map_or(0.0, Length::to_mm)
}

fn gauss(x: f64, mean: f64, sd: f64) -> f64 {
    let z = (x - mean) / sd;
    -0.5 * z * z - fun::ln(sd)
}

/// Log of a mixture of a sound look and a slip, the slip spread evenly over `range`.
fn or_slip(log: f64, range: f64) -> f64 {
    fun::ln((1.0 - SLIP) * fun::exp(log) / 2.506_628_274_631 + SLIP / range)
}

fn sight(scene: &Scene<'_>, made: &Made, sight: &Sight) -> f64 {
    let layers = made.of(sight.class);
    match &sight.what {
        Look::File {
            result,
            file_hrc,
            spot,
        } => {
            let bite = bites(skin_hrc(made, sight.class, *spot), *file_hrc);
            fun::ln(match result {
                FileResult::Cuts => bite,
                FileResult::Skates => 1.0 - bite,
                FileResult::Scratches => (4.0 * bite * (1.0 - bite)).max(SLIP),
            })
        }
        Look::Ring { mm, doubt_mm } => {
            // The eye ends the case somewhere between two thirds of the total depth and all of it.
            let total = if sight.class.boxed {
                ring_mm(scene, made)
            } else {
                0.0
            };
            let sd = doubt_mm.hypot((0.12_f64).hypot(scene.depth_doubt) * total);
            or_slip(gauss(*mm, 0.87 * total, sd), 3.0)
        }
        Look::Uptake { g_m2, doubt } => {
            let uptake = if sight.class.boxed {
                made.uptake_g_m2
            } else {
                0.0
            };
            let sd = doubt
                .hypot((0.1_f64).hypot(scene.depth_doubt) * uptake)
                .max(1.0);
            or_slip(gauss(*g_m2, uptake, sd), 300.0)
        }
        Look::Structure(seen) => {
            let mut log = 0.0;
            if let Some(depth) = seen.decarburized {
                let poor = poor_to(layers).to_mm();
                log += or_slip(
                    gauss(depth.to_mm(), poor, (0.03_f64).hypot(0.3 * poor)),
                    0.5,
                );
            }
            if let Some(share) = seen.retained_austenite {
                let kept = 100.0
                    * layers
                        .retained_austenite
                        .iter()
                        .fold(0.0_f64, |a, b| a.max(*b));
                log += or_slip(
                    gauss(share.to_pct(), kept, (6.0_f64).hypot(0.25 * kept)),
                    60.0,
                );
            }
            if let Some(network) = seen.network {
                let carbide = at(&layers.depth_m, &layers.carbide, 3e-5);
                // Undissolved carbide of some percent lies along the borders when the box cools slowly.
                let net = (0.05 + 6.0 * carbide).min(0.6);
                log += fun::ln(if network >= Network::Broken {
                    net
                } else {
                    1.0 - net
                });
            }
            log
        }
    }
}
