//! Why each number is what it is, the depth chain face by face, and the plan beside other ways, on
//! the wire.

use casewright_job::shop::Medium;
use casewright_job::spec::{RouteWish, Spec};
use casewright_plan::PlanReport;
use casewright_plan::chain::{self, FaceChain};
use casewright_plan::ways::{self, Way};
use casewright_plan::why;
use casewright_terms::Length;
use serde::Serialize;

use super::{Interval, number};

/// All of it; written into the answer of `plan` itself.
#[derive(Debug, Serialize)]
pub(crate) struct ReasonLines {
    why: Vec<WhyLine>,
    grinding: Option<GrindingLine>,
    /// The plan's way in numbers, to hold the ways beside it against.
    way: Option<WayLine>,
}

/// One number and its reason.
#[derive(Debug, Serialize)]
pub(crate) struct WhyLine {
    number: String,
    what: &'static str,
    value: String,
    because: String,
    teaching: &'static str,
    sources: Vec<&'static str>,
    /// Numbers of the steps it stands in, from 1.
    steps: Vec<usize>,
}

#[derive(Debug, Serialize)]
struct GrindingLine {
    made_mm: Interval,
    predicted: bool,
    finish_asked: bool,
    faces: Vec<FaceLine>,
}

#[derive(Debug, Serialize)]
struct FaceLine {
    face: String,
    stock_mm: f64,
    bow_mm: f64,
    stock_local_min_mm: f64,
    stock_local_max_mm: f64,
    left_mm: Interval,
    /// Most that may come off on average, where the made depth is at its low end, middle, high end.
    most_mm: Interval,
    /// Never more than the made depth less this.
    keep_mm: f64,
    /// Least that must come off where the made depth is at its high end.
    least_mm: Option<f64>,
    /// Whether the planned stock may come off whatever of its band the made depth is.
    safe: bool,
}

/// A way in numbers.
#[derive(Debug, Serialize)]
pub(crate) struct WayLine {
    route: &'static str,
    temperature_c: f64,
    soak_h: f64,
    reheats_c: Vec<f64>,
    tank: String,
    medium: &'static str,
    temper_c: f64,
    /// Work and furnace, one after the other, without waits.
    hours_in_all: f64,
}

impl ReasonLines {
    /// Of a finished report.
    pub(crate) fn of(spec: &Spec, report: &PlanReport) -> Self {
        let plan = report.plan.as_ref();
        Self {
            why: whys(spec, report),
            grinding: plan
                .map(|plan| grinding(&chain::faces(spec, &plan.depth, report.prediction.as_ref()))),
            way: plan.map(|plan| way(&ways::of_plan(plan))),
        }
    }
}

/// The reasons alone.
pub(crate) fn whys(spec: &Spec, report: &PlanReport) -> Vec<WhyLine> {
    why::reasons(spec, report)
        .into_iter()
        .map(|why| WhyLine {
            number: why.key,
            what: why.what,
            value: why.value,
            because: why.because,
            teaching: why.teaching,
            sources: why.sources,
            steps: why.steps,
        })
        .collect()
}

fn grinding(chain: &FaceChain) -> GrindingLine {
    let mm = |length: Length| number(length.to_mm());
    GrindingLine {
        made_mm: Interval::of(chain.made, |l| l.to_mm()),
        predicted: chain.predicted,
        finish_asked: chain.finish_asked,
        faces: chain
            .faces
            .iter()
            .map(|face| FaceLine {
                face: face.face.clone(),
                stock_mm: mm(face.stock),
                bow_mm: mm(face.bow),
                stock_local_min_mm: mm(face.local.0),
                stock_local_max_mm: mm(face.local.1),
                left_mm: Interval::of(face.left, |l| l.to_mm()),
                most_mm: Interval::of(face.most, |l| l.to_mm()),
                keep_mm: mm(face.keep),
                least_mm: face.least.map(mm),
                safe: face.is_safe(),
            })
            .collect(),
    }
}

/// A way in numbers.
pub(crate) fn way(way: &Way) -> WayLine {
    WayLine {
        route: route(way.route),
        temperature_c: number(way.temperature.to_c()),
        soak_h: number(way.soak.to_h()),
        reheats_c: way.reheats.iter().map(|t| number(t.to_c())).collect(),
        tank: way.tank.clone(),
        medium: medium(way.medium),
        temper_c: number(way.temper.to_c()),
        hours_in_all: number(way.hours_in_all.to_h()),
    }
}

pub(super) const fn route(route: RouteWish) -> &'static str {
    match route {
        RouteWish::Direct => "direct",
        RouteWish::Single => "single",
        RouteWish::Double => "double",
    }
}

pub(super) const fn medium(medium: Medium) -> &'static str {
    match medium {
        Medium::Water => "water",
        Medium::Brine => "brine",
        Medium::SlowOil => "slow-oil",
        Medium::FastOil => "fast-oil",
        Medium::Polymer => "polymer",
        Medium::Air => "air",
    }
}
