//! A finished job as evidence: what its own cycle foretold, what each doubt does to that, and what was
//! read. The chain is run twice for each doubt, a standard deviation to either side; half the
//! difference is the slope, and what the two do not have in common with a straight line is told as
//! noise.

use std::collections::BTreeMap;

use casewright_job::evidence::{Evidence, Item, Surface, What};
use casewright_physics::law::weight_gain::uptake_g_m2;
use casewright_physics::numerics::fun;
use casewright_physics::run::{ChainRun, Failure};
use casewright_terms::{Element, Length, Span, WeightPercent};
use rayon::prelude::*;

use super::{Lesson, Row, Seen};
use crate::beliefs::{N, steel_mark};
use crate::doubt::{Draw, Z_95};
use crate::evaluate::{depth_to_limit, hardness_at, total_depth};
use crate::follow::Followed;
use crate::judge::{Judgement, Quantity, Read, Value};

/// Share of the readings of shops that are of something else than they say. [trade-practice]
const WRONG: f64 = 0.05;
/// Such a reading may show anything from a third of what is foretold to three times as much.
const WRONG_UP_TO: f64 = 3.0;
/// A reading's own scatter is at least this part of its half-width, however much of it is said to be
/// its tester's: no two readings are the same.
const OWN_LEAST: f64 = 0.3;
/// Standard deviation of where the bed stands by the hour of hot: the moment is read off a slow rise,
/// to a few minutes of the hours. [trade-practice]
const HOT_SD: f64 = 0.2;
/// The hour of hot is not believed further out than this, see `follow::bed_for`.
const HOT_MOST: f64 = 2.9;

/// How the cycle went, where it is known better than planned. A soak that was set anew belongs into the
/// way that was followed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Actual {
    /// From loading to hot.
    pub hot_after: Option<Span>,
    /// By the log: the depth its cycle gives over the one of the planned cycle.
    pub by_log: Option<f64>,
}

/// What is asked of a run.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(super) enum Asked {
    Case,
    Total,
    Surface(f64),
    Core,
    Uptake(Option<f64>),
}

impl Asked {
    pub(super) const fn seen(self) -> Seen {
        match self {
            Self::Case => Seen::CaseDepth,
            Self::Total => Seen::TotalDepth,
            Self::Surface(_) => Seen::Surface,
            Self::Core => Seen::Core,
            Self::Uptake(_) => Seen::Uptake,
        }
    }

    pub(super) fn of(self, followed: &Followed<'_>, run: &ChainRun) -> f64 {
        let kit = followed.kit;
        let layers = &run.layers;
        let core = kit.matter.composition.get(Element::C);
        let (limit, hv) = (kit.demand.limit, kit.demand.limit_hv());
        let metres = |depth: Option<Length>| depth.map_or(0.0, Length::to_m);
        match self {
            Self::Case => metres(depth_to_limit(layers, limit, hv, core, Length::ZERO)),
            Self::Total => metres(total_depth(layers, core)),
            Self::Surface(removed_m) => hardness_at(layers, Length::from_m(removed_m)).to_hv(),
            Self::Core => layers.core().to_hv(),
            Self::Uptake(radius_m) => {
                let deep = layers.carbon_wt_pct.last().copied();
                let core = deep.and_then(WeightPercent::checked).unwrap_or(core);
                let radius = radius_m.map(Length::from_m);
                uptake_g_m2(&layers.depth_m, &layers.carbon_wt_pct, core, radius)
            }
        }
    }
}

/// One reading that can teach something.
pub(super) struct Reading {
    pub(super) asked: Asked,
    pub(super) mid: f64,
    pub(super) half: f64,
    /// Share of the half-width that is the tester's.
    pub(super) common: f64,
    pub(super) tester: Option<String>,
    pub(super) piece: String,
}

/// The response of a job: foretold values and, by what is asked, slopes and bends.
pub(super) struct Response {
    pub(super) middle: Vec<f64>,
    pub(super) slopes: Vec<[f64; N]>,
    pub(super) bends: Vec<f64>,
}

/// Makes a lesson of a run that was judged. Without a reading that can teach anything it has no rows.
///
/// # Errors
/// What physics could not do.
pub fn lesson(
    followed: &Followed<'_>,
    run: &str,
    date: Option<&str>,
    actual: Actual,
    (evidence, judged): (&Evidence, &Judgement),
) -> Result<Lesson, Failure> {
    let readings: Vec<Reading> = judged
        .read
        .iter()
        .filter(|one| one.left_out.is_none())
        .filter_map(|one| reading(followed, evidence, one))
        .collect();
    let mut asked = vec![Asked::Case];
    for one in &readings {
        if !asked.contains(&one.asked) {
            asked.push(one.asked);
        }
    }
    let hot = actual.hot_after.map(|hot| followed.bed_for(hot) * Z_95);
    let response = response(followed, &asked, hot)?;
    let by_log = actual.by_log.filter(|ratio| *ratio > 0.0).unwrap_or(1.0);
    let foretold = |index: usize| {
        let depth = matches!(asked[index], Asked::Case | Asked::Total);
        response.middle[index] * if depth { by_log } else { 1.0 }
    };
    let mut rows: Vec<Row> = (0..asked.len())
        .filter_map(|index| {
            let of: Vec<&Reading> = readings
                .iter()
                .filter(|r| r.asked == asked[index])
                .collect();
            let (slopes, bend) = (response.slopes[index], response.bends[index]);
            row(asked[index].seen(), &of, foretold(index), slopes, bend)
        })
        .collect();
    if let Some(bed) = hot.filter(|bed| bed.abs() < HOT_MOST * Z_95) {
        let mut slopes = [0.0; N];
        slopes[BED] = 1.0;
        rows.push(Row {
            seen: Seen::HotAfter,
            off: bed,
            own: HOT_SD,
            slopes,
            bend: 0.0,
            testers: Vec::new(),
            right: 1.0,
            pieces: Vec::new(),
        });
    }
    // The hour of hot alone says nothing about what was measured on the lot.
    if rows.iter().all(|row| row.seen == Seen::HotAfter) {
        rows.clear();
    }
    let recipe = &followed.recipe;
    Ok(Lesson {
        run: run.to_owned(),
        date: date.map(str::to_owned),
        things: recipe.things(steel_mark(followed.kit.spec)),
        foretold: Length::from_m(foretold(0)),
        slopes: response.slopes[0],
        furnace_k: crate::doubt::furnace_k(recipe),
        rows,
    })
}

/// The dimension of the bed.
const BED: usize = 4;

fn reading(followed: &Followed<'_>, evidence: &Evidence, one: &Read) -> Option<Reading> {
    let item = evidence.items.get(one.item)?;
    let asked = match one.quantity {
        Quantity::CaseDepth => Asked::Case,
        Quantity::TotalDepth => Asked::Total,
        Quantity::Surface => Asked::Surface(removed(followed, item).to_m()),
        Quantity::Core => Asked::Core,
        Quantity::Uptake => {
            let piece = evidence.specimen(&one.specimen);
            let diameter = piece.and_then(|piece| piece.diameter);
            Asked::Uptake(diameter.map(|d| 0.5 * d.to_m()))
        }
        Quantity::Area | Quantity::Structure => return None,
    };
    let half = |low: f64, high: f64| 0.5 * (high - low);
    let (mid, half, share) = match &one.value {
        Value::Depth(band) => {
            let half = half(band.low.to_m(), band.high.to_m());
            (band.mid.to_m(), half, one.common / half.max(1e-12))
        }
        Value::Hardness {
            reading,
            vickers: Some(band),
            at_least: false,
            ..
        } => {
            let own_scale = half(reading.low, reading.high);
            (
                band.mid.to_hv(),
                half(band.low.to_hv(), band.high.to_hv()),
                one.common / own_scale.max(1e-12),
            )
        }
        Value::Uptake(band) => (band.mid, half(band.low, band.high), 0.0),
        _ => return None,
    };
    (mid > 0.0 && half > 0.0).then(|| Reading {
        asked,
        mid,
        half,
        common: if item.tester.is_some() {
            share.clamp(0.0, 1.0)
        } else {
            0.0
        },
        tester: item.tester.clone(),
        piece: one.specimen.clone(),
    })
}

/// How much of the surface was gone where it was read.
fn removed(followed: &Followed<'_>, item: &Item) -> Length {
    let finished = followed.kit.chain.stock.1;
    match &item.what {
        What::Hardness(readings) => match readings.surface {
            Surface::AsHardened => Length::ZERO,
            Surface::Removed(by) => by,
            Surface::Finished(_) => finished,
        },
        _ => finished,
    }
}

/// Runs the chain about its middle, with the bed where it is known to stand.
pub(super) fn response(
    followed: &Followed<'_>,
    asked: &[Asked],
    bed: Option<f64>,
) -> Result<Response, Failure> {
    let doubts = followed.doubts(1);
    let at = |dimension: Option<usize>, by: f64| -> Result<Vec<f64>, Failure> {
        let mut z = [0.0; N];
        z[BED] = bed.unwrap_or(0.0);
        if let Some(dimension) = dimension {
            z[dimension] += by;
        }
        let departure = doubts.departure(&Draw { z, even: 0.5 });
        let run = followed.recipe.simulate(&followed.kit.matter, &departure)?;
        let log = |value: f64| fun::ln(value.max(1e-12));
        Ok(asked
            .iter()
            .map(|a| log(a.of(followed, &run.chain)))
            .collect())
    };
    let middle = at(None, 0.0)?;
    let open: Vec<usize> = (0..N)
        .filter(|d| doubts.open(*d) && !(*d == BED && bed.is_some()))
        .collect();
    let sides: Vec<(usize, Vec<f64>, Vec<f64>)> = open
        .par_iter()
        .filter_map(|&d| Some((d, at(Some(d), 1.0).ok()?, at(Some(d), -1.0).ok()?)))
        .collect();
    let mut slopes = vec![[0.0; N]; asked.len()];
    let mut bends = vec![0.0; asked.len()];
    for (d, above, below) in &sides {
        for i in 0..asked.len() {
            // A side on which there is no case left has no logarithm to speak of.
            let (up, down) = (above[i] - middle[i], middle[i] - below[i]);
            slopes[i][*d] = (0.5 * (up + down)).clamp(-STEEPEST, STEEPEST);
            let bend = (0.5 * (up - down)).clamp(-STEEPEST, STEEPEST);
            // The mean square of z² is 3.
            bends[i] += 3.0 * bend * bend;
        }
    }
    Ok(Response {
        middle: middle.iter().map(|log| fun::exp(*log)).collect(),
        slopes,
        bends: bends.iter().map(|square: &f64| square.sqrt()).collect(),
    })
}

/// No doubt makes a value more than twice or less than half within one standard deviation and is still
/// a straight response.
const STEEPEST: f64 = 0.7;

/// Readings of one thing made one. A reading that what is known without evidence calls unlikely is
/// likely of something else, and its variance grows with that.
pub(super) fn row(
    seen: Seen,
    readings: &[&Reading],
    foretold: f64,
    slopes: [f64; N],
    bend: f64,
) -> Option<Row> {
    if readings.is_empty() || foretold <= 1e-9 {
        return None;
    }
    let spread: f64 = slopes.iter().map(|s| s * s).sum::<f64>() + bend * bend;
    let (mut all, mut sum, mut right) = (0.0, 0.0, 1.0_f64);
    let mut testers: BTreeMap<String, f64> = BTreeMap::new();
    let mut pieces: Vec<String> = Vec::new();
    for one in readings {
        let deviation = one.half / one.mid / Z_95;
        let common = one.common.min((1.0 - OWN_LEAST * OWN_LEAST).sqrt()) * deviation;
        let own = deviation * deviation - common * common;
        let off = fun::ln(one.mid / foretold);
        let likely = likely_right(off, spread + deviation * deviation);
        right = right.min(likely);
        let variance = own + (1.0 - likely) / likely * (spread + deviation * deviation);
        all += 1.0 / variance;
        sum += off / variance;
        if let Some(id) = &one.tester {
            *testers.entry(id.clone()).or_default() += common / variance;
        }
        if !pieces.contains(&one.piece) {
            pieces.push(one.piece.clone());
        }
    }
    Some(Row {
        seen,
        off: sum / all,
        own: (1.0 / all).sqrt(),
        slopes,
        bend,
        testers: testers.into_iter().map(|(id, s)| (id, s / all)).collect(),
        right,
        pieces,
    })
}

/// How likely a reading is right that stands so far from what was foretold with that variance.
fn likely_right(off: f64, variance: f64) -> f64 {
    let right = fun::exp(-0.5 * off * off / variance)
        / (2.0 * std::f64::consts::PI * variance).sqrt()
        * (1.0 - WRONG);
    let wrong = WRONG / (2.0 * fun::ln(WRONG_UP_TO));
    (right / (right + wrong)).max(1e-9)
}
