//! How the packed boxes heat, on the wire: the clock of the pack and the spread across the box.

use casewright_plan::outcome::{PackHeat, PartHeat};
use casewright_terms::{Band, Length};
use serde::Serialize;

use super::plan::{MomentLine, moment};
use super::{Interval, number};

/// `pack.heat`.
#[derive(Debug, Serialize)]
pub(super) struct PackHeatLine {
    /// From loading until the last part is hot.
    hot_h: Interval,
    /// The same on the clock of the first load.
    hot_at: HotAt,
    couple_c_to_wait_for: Option<f64>,
    /// Whether the bed's factor was learnt from a couple's log.
    bed_learnt: bool,
    band_from: &'static str,
    /// Each doubt with the hours that it alone moves, greatest first.
    hot_doubts: Vec<HotDoubt>,
    numerical_error_pct: f64,
    parts: Vec<PartHeatLine>,
    coupons: Vec<PartHeatLine>,
    spread_mm: Option<SpreadLine>,
    coldest: Option<String>,
    hottest: Option<String>,
}

#[derive(Debug, Serialize)]
struct HotAt {
    low: MomentLine,
    mid: MomentLine,
    high: MomentLine,
}

#[derive(Debug, Serialize)]
struct HotDoubt {
    name: &'static str,
    hours: f64,
}

#[derive(Debug, Serialize)]
struct PartHeatLine {
    name: String,
    place: &'static str,
    hot_h: Option<f64>,
    end_of_soak_c: f64,
    depth_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct SpreadLine {
    least: f64,
    least_in: String,
    greatest: f64,
    greatest_in: String,
}

/// The line of a pack.
pub(super) fn of(heat: &PackHeat) -> PackHeatLine {
    let name = |i: Option<usize>| heat.parts.get(i?).map(PartHeat::name);
    let Band { low, mid, high } = heat.hot_at.map(moment);
    PackHeatLine {
        hot_h: Interval::of(heat.hot, |span| span.to_h()),
        hot_at: HotAt { low, mid, high },
        couple_c_to_wait_for: heat.couple_reads.map(|t| number(t.to_c())),
        bed_learnt: heat.learnt,
        band_from: heat.band_from(),
        hot_doubts: heat
            .doubts
            .iter()
            .map(|(name, span)| HotDoubt {
                name,
                hours: number(span.to_h()),
            })
            .collect(),
        numerical_error_pct: number(heat.stated_error.to_pct()),
        parts: heat.parts.iter().map(part).collect(),
        coupons: heat.coupons.iter().map(part).collect(),
        spread_mm: heat.depths().and_then(|(least, greatest)| {
            Some(SpreadLine {
                least: number(least.to_mm()),
                least_in: name(heat.least)?,
                greatest: number(greatest.to_mm()),
                greatest_in: name(heat.greatest)?,
            })
        }),
        coldest: name(heat.coldest),
        hottest: name(heat.hottest),
    }
}

fn part(part: &PartHeat) -> PartHeatLine {
    PartHeatLine {
        name: part.name(),
        place: part.place,
        hot_h: part.hot_after.map(|span| number(span.to_h())),
        end_of_soak_c: number(part.soaked.to_c()),
        depth_mm: part.depth.map(Length::to_mm).map(number),
    }
}
