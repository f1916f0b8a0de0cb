//! The cheapest test that tells the leading causes apart: what each test would show under each of them,
//! and how many bits it is expected to bring.

use casewright_physics::law::hardness_conversion::{hv_of, scale_of};
use casewright_physics::law::reading_doubt::scatter;
use casewright_physics::numerics::fun;
use casewright_physics::run::CarbonRun;
use casewright_terms::{Hardness, Length, Scale, Temperature};
use rayon::prelude::*;

use super::cause::Cause;
use super::data::{Class, Data, Look, Spot};
use super::foretell::{bites, ring_mm, shown, skin_hrc};
use super::rank::{Bench, POLISH_MM, Ranked};
use super::scene::{After, InBox, Scene};
use super::weigh::WORK_SCATTER;
use super::work::Made;
use crate::evaluate::hardness_at;

/// Causes below this share are no longer told apart.
const LEADING: f64 = 0.03;
/// Most causes that are.
const MOST: usize = 6;
/// Of the best test's gain, what a cheaper one must bring to be taken.
const ENOUGH: f64 = 0.5;
/// A test that brings less than this tells nothing, in bits.
const LEAST_BITS: f64 = 0.05;
/// Points of the sum over outcomes.
const POINTS: usize = 240;
/// Sub-zero that a shop can make with dry ice. [trade-practice]
const DRY_ICE_C: f64 = -75.0;
/// A file's number that a case should turn. [trade-practice]
const FILE_HRC: f64 = 58.0;
const LOT: Class = Class {
    boxed: true,
    hardened: true,
};

/// A test that could be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Its word in answers.
    pub code: &'static str,
    /// What to do.
    pub words: &'static str,
    /// Work and waiting, in minutes of a small shop. [trade-practice]
    pub minutes: f64,
    /// Expected gain, in bits.
    pub bits: f64,
    /// Of what is open between the leading causes.
    pub share: f64,
    /// What is read, with its unit.
    pub reads: &'static str,
    /// What each leading cause would give: mean and standard deviation, or a chance.
    pub expected: Vec<(Cause, f64, f64)>,
    /// Whether `expected` are chances of the outcome that is named in `reads`.
    pub is_chance: bool,
}

enum Outcome {
    /// Chance of a yes, by cause.
    Known(&'static [(Cause, f64)], f64),
    /// Chance of a yes, computed.
    Chance(fn(&Made) -> f64),
    /// A number with its doubt.
    Number(fn(&Scene<'_>, &Made) -> Option<f64>, f64),
}

struct Probe {
    code: &'static str,
    words: &'static str,
    minutes: f64,
    reads: &'static str,
    outcome: Outcome,
    done: fn(&Data) -> bool,
}

fn hrc_of(scale: Scale, reading: f64) -> f64 {
    hv_of(Hardness::new(scale, reading))
        .and_then(|hv| scale_of(hv.value, Scale::Hrc))
        .unwrap_or(20.0)
}

fn on_lot(made: &Made, scale: Scale, mm: f64) -> f64 {
    shown(made.lot(), scale, Length::from_mm(mm), None).0
}

fn light_less_heavy(_: &Scene<'_>, made: &Made) -> Option<f64> {
    let light = hrc_of(Scale::Hr15n, on_lot(made, Scale::Hr15n, 0.0));
    let heavy = hrc_of(Scale::Hrc, on_lot(made, Scale::Hrc, 0.0));
    Some(light - heavy)
}

fn polish(_: &Scene<'_>, made: &Made) -> Option<f64> {
    Some(on_lot(made, Scale::Hr15n, POLISH_MM) - on_lot(made, Scale::Hr15n, 0.0))
}

fn chilled(scene: &Scene<'_>, made: &Made) -> Option<f64> {
    let after = After {
        cold: Some(Temperature::from_c(DRY_ICE_C)),
        ..made.after
    };
    let cold = scene.harden(&made.carbon, &made.way, &after)?;
    let on = |layers| hrc_of(Scale::Hrc, shown(layers, Scale::Hrc, Length::ZERO, None).0);
    Some(on(&cold) - on(made.lot()))
}

fn ring(scene: &Scene<'_>, made: &Made) -> Option<f64> {
    // The eye ends the case short of the last trace of carbon.
    Some(0.87 * ring_mm(scene, made))
}

/// The lot's steel as it is, hardened once more by the plan and wrapped.
pub(super) fn again(scene: &Scene<'_>, made: &Made) -> Option<casewright_physics::run::Layers> {
    let lot = made.lot();
    let carbon = CarbonRun {
        depth_m: lot.depth_m.clone(),
        carbon_wt_pct: lot.carbon_wt_pct.clone(),
        carbide_wt_pct: vec![0.0; lot.depth_m.len()],
        ..made.carbon.clone()
    };
    let way = InBox {
        air: casewright_terms::Span::ZERO,
        ..made.way.clone()
    };
    scene.harden(&carbon, &way, &After::PLAN)
}

fn hardened_again(scene: &Scene<'_>, made: &Made) -> Option<f64> {
    let layers = again(scene, made)?;
    Some(shown(&layers, Scale::Hr15n, Length::ZERO, None).0)
}

fn deep(scene: &Scene<'_>, made: &Made) -> Option<f64> {
    let limit = scene.demand.limit_hv().to_hv();
    let layers = made.lot();
    let last = layers.hardness_hv.iter().rposition(|hv| *hv >= limit);
    Some(last.map_or(0.0, |i| Length::from_m(layers.depth_m[i]).to_mm()))
}

fn shallow(_: &Scene<'_>, made: &Made) -> Option<f64> {
    Some(hardness_at(made.lot(), Length::from_mm(0.06)).to_hv())
}

fn light(_: &Scene<'_>, made: &Made) -> Option<f64> {
    Some(hrc_of(Scale::Hr15n, on_lot(made, Scale::Hr15n, 0.0)))
}

fn bitten(made: &Made) -> f64 {
    bites(skin_hrc(made, LOT, Spot::Surface(Length::ZERO)), FILE_HRC)
}

fn surface(data: &Data, scales: &[Scale]) -> bool {
    data.readings.iter().any(|d| {
        scales.contains(&d.scale.scale)
            && matches!(d.spot, Spot::Surface(gone) if gone == Length::ZERO)
    })
}

/// All tests. Minutes are judgement. [trade-practice]
fn probes() -> Vec<Probe> {
    let one =
        |scale: Scale, reading: f64| WORK_SCATTER * scatter(scale, None, reading) / fun::sqrt(3.0);
    let fine = one(Scale::Hr15n, 88.0);
    let never: fn(&Data) -> bool = |_| false;
    let probe = |code, words, minutes, reads, outcome, done| Probe {
        code,
        words,
        minutes,
        reads,
        outcome,
        done,
    };
    vec![
        probe(
            "file",
            "a test file of 58 HRC on the brushed surface of a part",
            3.0,
            "chance that it bites",
            Outcome::Chance(bitten),
            |data| {
                data.sights.iter().any(|s| {
                    matches!(
                        s.what,
                        Look::File {
                            spot: Spot::Surface(_),
                            ..
                        }
                    )
                })
            },
        ),
        probe(
            "block-check",
            "five readings on a certified block in the range of the work, today",
            5.0,
            "chance that the block reads outside its tolerance",
            Outcome::Known(&[(Cause::TesterOff, 0.9)], 0.04),
            |data| !data.checks.is_empty(),
        ),
        probe(
            "down-the-scales",
            "three readings on 15N and three on C, side by side on one flat",
            10.0,
            "15N less C, both as HRC",
            Outcome::Number(light_less_heavy, 1.6),
            |data| {
                surface(data, &[Scale::Hr15n, Scale::Hr30n])
                    && surface(data, &[Scale::Hrc, Scale::Hra])
            },
        ),
        probe(
            "spark-or-chemistry",
            "sparks beside a known bar, or a chemistry from a chip of the core",
            10.0,
            "chance that it is another steel",
            Outcome::Known(&[(Cause::WrongSteel, 0.85)], 0.06),
            never,
        ),
        probe(
            "polish-steps",
            "15N on the skin, then after 0.05 and 0.10 mm (0.002 and 0.004 in) of light polish",
            15.0,
            "rise of 15N after 0.10 mm",
            Outcome::Number(polish, fine * 1.42),
            |data| {
                data.readings.iter().any(|d| {
                    matches!(d.spot, Spot::Surface(gone) if gone.to_mm() > 0.03)
                        && matches!(d.scale.scale, Scale::Hr15n | Scale::Hr30n)
                })
            },
        ),
        probe(
            "map",
            "nital, or a file, over the whole face: patches or all alike",
            20.0,
            "chance of patches",
            Outcome::Known(
                &[
                    (Cause::SoftSpots, 0.85),
                    (Cause::GrindBurn, 0.7),
                    (Cause::GroundThrough, 0.4),
                ],
                0.06,
            ),
            never,
        ),
        probe(
            "pieces-by-place",
            "15N on one piece from each corner and the middle of the box",
            20.0,
            "chance that they differ with the place",
            Outcome::Known(&[(Cause::PlaceSpread, 0.85), (Cause::LeakyBox, 0.2)], 0.07),
            |data| data.boxed_pieces().len() > 3,
        ),
        probe(
            "second-thermometer",
            "a second thermometer in the tempering oven at its setting",
            45.0,
            "chance that the oven is too hot",
            Outcome::Known(&[(Cause::OverTemper, 0.85)], 0.06),
            never,
        ),
        probe(
            "section-and-etch",
            "a coupon or part cut through, polished and etched: depth of the dark case",
            90.0,
            "depth of the case as seen, mm",
            Outcome::Number(ring, 0.1),
            |data| {
                data.sights
                    .iter()
                    .any(|s| matches!(s.what, Look::Ring { .. }))
            },
        ),
        probe(
            "independent-couple",
            "an independent couple beside the furnace's own at working heat",
            90.0,
            "chance that the furnace is off by more than its survey says",
            Outcome::Known(
                &[
                    (Cause::ShortSoak, 0.45),
                    (Cause::ColdQuench, 0.6),
                    (Cause::NoCarbon, 0.5),
                    (Cause::HotQuench, 0.6),
                ],
                0.08,
            ),
            never,
        ),
        probe(
            "harden-again",
            "one part or coupon hardened again by the plan, wrapped, tempered, read on 15N",
            150.0,
            "15N afterwards",
            Outcome::Number(hardened_again, 1.0),
            never,
        ),
        probe(
            "sub-zero",
            "a coupon chilled to −75 °C (−103 °F) and tempered again",
            180.0,
            "rise on C",
            Outcome::Number(chilled, 0.6),
            never,
        ),
        probe(
            "traverse-deep",
            "a hardness traverse on a section",
            240.0,
            "depth to the limit hardness, mm",
            Outcome::Number(deep, 0.06),
            |data| {
                data.readings
                    .iter()
                    .any(|d| matches!(d.spot, Spot::Depth(_)))
            },
        ),
        probe(
            "traverse-skin",
            "HV0.3 on a section, close under the surface",
            240.0,
            "HV at 0.06 mm",
            Outcome::Number(shallow, 30.0),
            |data| {
                data.readings
                    .iter()
                    .any(|d| matches!(d.spot, Spot::Depth(depth) if depth.to_mm() < 0.1))
            },
        ),
        probe(
            "fifteen-n",
            "three readings on 15N on the brushed surface",
            5.0,
            "hardness, as HRC",
            Outcome::Number(light, 1.8),
            |data| surface(data, &[Scale::Hr15n, Scale::Hr30n]),
        ),
    ]
}

/// Tests worth making, the one to make first in front; empty where nothing is open.
pub(super) fn tests(scene: &Scene<'_>, bench: &Bench, data: &Data, ranked: &[Ranked]) -> Vec<Test> {
    let leading: Vec<&Ranked> = ranked
        .iter()
        .filter(|r| r.chance >= LEADING && r.cause != Cause::Other)
        .take(MOST)
        .collect();
    let total: f64 = leading.iter().map(|r| r.chance).sum();
    if leading.len() < 2 || total <= 0.0 {
        return Vec::new();
    }
    let priors: Vec<f64> = leading.iter().map(|r| r.chance / total).collect();
    let open: f64 = priors
        .iter()
        .map(|p| -p * fun::ln(*p) / std::f64::consts::LN_2)
        .sum();
    let nodes: Vec<Vec<(f64, &Made)>> = leading.iter().map(|r| bench.nodes(r)).collect();
    let probes: Vec<Probe> = probes().into_iter().filter(|p| !(p.done)(data)).collect();
    let mut tests: Vec<Test> = probes
        .par_iter()
        .map(|probe| weigh(scene, probe, &leading, &nodes, &priors, open))
        .collect();
    tests.retain(|test| test.bits >= LEAST_BITS);
    tests.sort_by(|a, b| {
        b.bits
            .total_cmp(&a.bits)
            .then(a.minutes.total_cmp(&b.minutes))
    });
    let Some(best) = tests.first().map(|test| test.bits) else {
        return tests;
    };
    let cheapest = (0..tests.len())
        .filter(|i| tests[*i].bits >= ENOUGH * best)
        .min_by(|a, b| tests[*a].minutes.total_cmp(&tests[*b].minutes));
    if let Some(i) = cheapest {
        let first = tests.remove(i);
        tests.insert(0, first);
    }
    tests
}

fn weigh(
    scene: &Scene<'_>,
    probe: &Probe,
    leading: &[&Ranked],
    nodes: &[Vec<(f64, &Made)>],
    priors: &[f64],
    open: f64,
) -> Test {
    let (bits, expected, is_chance) = match &probe.outcome {
        Outcome::Known(table, base) => {
            let chances: Vec<f64> = leading
                .iter()
                .map(|r| {
                    let own = table.iter().find(|(cause, _)| *cause == r.cause);
                    own.map_or(*base, |(_, chance)| *chance)
                })
                .collect();
            yes_or_no(leading, priors, &chances)
        }
        Outcome::Chance(of) => {
            let chances: Vec<f64> = nodes
                .iter()
                .map(|own| {
                    let sum: f64 = own.iter().map(|(share, _)| share).sum();
                    own.iter()
                        .map(|(share, made)| share * of(made))
                        .sum::<f64>()
                        / sum.max(1e-12)
                })
                .collect();
            yes_or_no(leading, priors, &chances)
        }
        Outcome::Number(of, doubt) => {
            let mixtures: Vec<Vec<(f64, f64, f64)>> = nodes
                .iter()
                .zip(leading)
                .map(|(own, ranked)| {
                    // A tester that is off shows any number on a single scale.
                    let doubt = if ranked.cause == Cause::TesterOff {
                        3.0 * doubt
                    } else {
                        *doubt
                    };
                    own.iter()
                        .filter_map(|(share, made)| Some((*share, of(scene, made)?, doubt)))
                        .collect()
                })
                .collect();
            number(leading, priors, &mixtures)
        }
    };
    Test {
        code: probe.code,
        words: probe.words,
        minutes: probe.minutes,
        bits,
        share: (bits / open.max(1e-9)).clamp(0.0, 1.0),
        reads: probe.reads,
        expected,
        is_chance,
    }
}

type Weighed = (f64, Vec<(Cause, f64, f64)>, bool);

fn yes_or_no(leading: &[&Ranked], priors: &[f64], chances: &[f64]) -> Weighed {
    let bits = |p: f64, q: f64| {
        if p > 0.0 {
            p * fun::ln(p / q) / std::f64::consts::LN_2
        } else {
            0.0
        }
    };
    let yes: f64 = priors.iter().zip(chances).map(|(p, c)| p * c).sum();
    let gain = priors
        .iter()
        .zip(chances)
        .map(|(p, c)| p * (bits(*c, yes.max(1e-12)) + bits(1.0 - c, (1.0 - yes).max(1e-12))))
        .sum();
    let expected = leading.iter().zip(chances).map(|(r, c)| (r.cause, *c, 0.0));
    (gain, expected.collect(), true)
}

fn number(leading: &[&Ranked], priors: &[f64], mixtures: &[Vec<(f64, f64, f64)>]) -> Weighed {
    if mixtures.iter().any(Vec::is_empty) {
        return (0.0, Vec::new(), false);
    }
    let expected = leading
        .iter()
        .zip(mixtures)
        .map(|(ranked, mixture)| {
            let sum: f64 = mixture.iter().map(|m| m.0).sum();
            let mean = mixture.iter().map(|m| m.0 * m.1).sum::<f64>() / sum;
            let var = mixture
                .iter()
                .map(|m| m.0 * (m.2 * m.2 + (m.1 - mean) * (m.1 - mean)))
                .sum::<f64>()
                / sum;
            (ranked.cause, mean, fun::sqrt(var))
        })
        .collect();
    let ends = mixtures.iter().flatten();
    let low = ends
        .clone()
        .map(|m| m.1 - 4.0 * m.2)
        .fold(f64::INFINITY, f64::min);
    let high = ends
        .map(|m| m.1 + 4.0 * m.2)
        .fold(f64::NEG_INFINITY, f64::max);
    let step = (high - low) / POINTS as f64;
    let mut gain = 0.0;
    for k in 0..=POINTS {
        let y = low + step * k as f64;
        let densities: Vec<f64> = mixtures
            .iter()
            .map(|mixture| {
                let sum: f64 = mixture.iter().map(|m| m.0).sum();
                mixture
                    .iter()
                    .map(|(share, mean, sd)| {
                        let z = (y - mean) / sd;
                        share * fun::exp(-0.5 * z * z) / (2.506_628_274_631 * sd)
                    })
                    .sum::<f64>()
                    / sum
            })
            .collect();
        let all: f64 = densities.iter().zip(priors).map(|(d, p)| d * p).sum();
        for (density, prior) in densities.iter().zip(priors) {
            if *density > 1e-300 && all > 1e-300 {
                gain += step * prior * density * fun::ln(density / all) / std::f64::consts::LN_2;
            }
        }
    }
    (gain.max(0.0), expected, false)
}
