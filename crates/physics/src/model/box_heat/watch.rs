//! What is read off while the boxes heat: parts by their mean and extremes, places by the cells
//! around them. Knows no clock but the times it is told.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Span, Temperature, TemperatureStep};

use crate::model::pack_heat::trace::Trace;
use crate::run::{Watched, WatchedPart};
use crate::setup::{BoxSetup, Probe};

use super::field::{Field, excess, stands_at};
use super::grid::Grid;

/// The mark of the middle of a box among the probes.
pub const MIDDLE: &str = "middle of the box";
/// A cell counts for a part's extremes when at least this share of it is that part.
const COUNTS: f64 = 0.5;

/// One thing watched.
pub(super) struct Eye {
    box_mark: String,
    mark: String,
    /// Cells and weights that add up to 1.
    cells: Vec<(usize, f64)>,
    /// Cells for the extremes; empty for a place.
    body: Vec<usize>,
    pub(super) goal_k: f64,
    record: Vec<(f64, f64)>,
    extremes: Vec<(f64, f64)>,
    spread_k: f64,
}

impl Eye {
    pub(super) fn is_part(&self) -> bool {
        !self.body.is_empty()
    }

    pub(super) fn is_middle(&self) -> bool {
        !self.is_part() && self.mark == MIDDLE
    }

    pub(super) fn is(&self, box_mark: &str, mark: &str) -> bool {
        self.box_mark == box_mark && self.mark == mark
    }

    pub(super) fn now_k(&self, t_k: &[f64]) -> f64 {
        self.cells.iter().map(|(cell, w)| w * t_k[*cell]).sum()
    }

    pub(super) fn record(&mut self, time_s: f64, t_k: &[f64]) {
        self.record.push((time_s, self.now_k(t_k)));
        if self.is_part() {
            let (low, high) = self
                .body
                .iter()
                .fold((f64::INFINITY, 0.0_f64), |(l, h), c| {
                    (l.min(t_k[*c]), h.max(t_k[*c]))
                });
            self.extremes.push((low, high));
            self.spread_k = self.spread_k.max(high - low);
        }
    }

    pub(super) fn watched(&self, set_k: f64, within_k: f64, soak_s: f64) -> Watched {
        let first = |limit_k: f64| {
            let i = self.record.iter().position(|(_, t)| *t >= limit_k)?;
            let (b, a) = (self.record[i], self.record[i.saturating_sub(1)]);
            let share = if b.1 > a.1 {
                (limit_k - a.1) / (b.1 - a.1)
            } else {
                1.0
            };
            let at_s = a.0 + share.clamp(0.0, 1.0) * (b.0 - a.0);
            (at_s <= soak_s + 1e-6).then_some(Span::from_s(at_s))
        };
        Watched {
            box_mark: self.box_mark.clone(),
            mark: self.mark.clone(),
            cycle: self.trace(|i| self.record[i].1).cycle(),
            goal: Temperature::from_k(self.goal_k),
            settled: first(self.goal_k - within_k),
            at_set: first(set_k - within_k),
            soaked: Temperature::from_k(self.at_k(soak_s)),
        }
    }

    pub(super) fn part(&self, set_k: f64, within_k: f64, soak_s: f64) -> WatchedPart {
        WatchedPart {
            mean: self.watched(set_k, within_k, soak_s),
            last: self
                .trace(|i| {
                    let (low, high) = self.extremes[i];
                    if self.record[i].0 <= soak_s {
                        low
                    } else {
                        high
                    }
                })
                .cycle(),
            spread: TemperatureStep::from_k(self.spread_k),
        }
    }

    fn trace(&self, value: impl Fn(usize) -> f64) -> Trace {
        let mut trace = Trace::default();
        for (i, (time_s, _)) in self.record.iter().enumerate() {
            trace.add(*time_s, value(i));
        }
        trace
    }

    /// Temperature at a time, straight between the records.
    pub(super) fn at_k(&self, time_s: f64) -> f64 {
        let last = self.record.len() - 1;
        let i = self
            .record
            .partition_point(|(t, _)| *t <= time_s)
            .clamp(1, last.max(1))
            .min(last);
        let (a, b) = (self.record[i.saturating_sub(1)], self.record[i]);
        let share = if b.0 > a.0 {
            (time_s - a.0) / (b.0 - a.0)
        } else {
            0.0
        };
        a.1 + share.clamp(0.0, 1.0) * (b.1 - a.1)
    }
}

/// Everything watched: parts, then middles and probes, each box by box.
pub(super) fn eyes(setup: &BoxSetup, field: &Field) -> Vec<Eye> {
    let mut eyes = Vec::new();
    for (b, packed) in setup.boxes.iter().enumerate() {
        let (grid, start) = (&field.grids[b], field.blocks[b].start);
        for (solid, cells) in packed.solids.iter().zip(&grid.solids) {
            let sum: f64 = cells.iter().map(|(_, v)| v).sum();
            let share = |(cell, v): &(usize, f64)| v / grid.volume_m3(*cell);
            let most = cells.iter().map(share).fold(0.0_f64, f64::max);
            let body = cells.iter().filter(|c| share(c) >= COUNTS * most);
            let middle = [0, 1, 2].map(|a| (solid.at[a] + solid.size[a] / 2.0).to_m());
            eyes.push(Eye {
                box_mark: packed.mark.clone(),
                mark: solid.mark.clone(),
                cells: cells
                    .iter()
                    .map(|(cell, v)| (start + cell, v / sum))
                    .collect(),
                body: body.map(|(cell, _)| start + cell).collect(),
                goal_k: goal_k(setup, b, middle),
                record: Vec::new(),
                extremes: Vec::new(),
                spread_k: 0.0,
            });
        }
    }
    for (b, packed) in setup.boxes.iter().enumerate() {
        let middle = Probe {
            mark: MIDDLE.to_owned(),
            at: packed.inside.map(|l| l / 2.0),
        };
        for probe in std::iter::once(&middle).chain(&packed.probes) {
            let at = probe.at.map(|l| l.to_m());
            let start = field.blocks[b].start;
            let cells = around(&field.grids[b], at);
            eyes.push(Eye {
                box_mark: packed.mark.clone(),
                mark: probe.mark.clone(),
                cells: cells
                    .into_iter()
                    .map(|(cell, w)| (start + cell, w))
                    .collect(),
                body: Vec::new(),
                goal_k: goal_k(setup, b, at),
                record: Vec::new(),
                extremes: Vec::new(),
                spread_k: 0.0,
            });
        }
    }
    eyes
}

/// What a place in a box comes to in the end: as the surroundings change straight from door to
/// back and from hearth to roof, so does the box.
fn goal_k(setup: &BoxSetup, b: usize, place_m: [f64; 3]) -> f64 {
    let packed = &setup.boxes[b];
    let corner = stands_at(setup, packed);
    let place = [0, 1, 2].map(|a| corner[a] + packed.wall.to_m() + place_m[a]);
    let chamber = setup.furnace.chamber.map(|l| l.to_m());
    let set_k = setup.set.to_k();
    set_k + excess(&setup.furnace.survey, chamber, place) * (set_k - ICE_POINT_K - 25.0)
}

/// The eight cells around a place with their weights, straight between their centres.
fn around(grid: &Grid, place_m: [f64; 3]) -> Vec<(usize, f64)> {
    let [nx, ny, _] = grid.size();
    let ends: [[(usize, f64); 2]; 3] = std::array::from_fn(|axis| {
        let centres = &grid.centre_m[axis];
        let last = centres.len() - 1;
        let i = centres
            .partition_point(|c| *c <= place_m[axis])
            .clamp(1, last.max(1))
            .min(last);
        let below = i.saturating_sub(1);
        let width = centres[i] - centres[below];
        let share = if width > 0.0 {
            (place_m[axis] - centres[below]) / width
        } else {
            0.0
        };
        let share = share.clamp(0.0, 1.0);
        [(below, 1.0 - share), (i, share)]
    });
    let mut cells = Vec::new();
    for z in ends[2] {
        for y in ends[1] {
            for x in ends[0] {
                let weight = x.1 * y.1 * z.1;
                if weight > 0.0 {
                    cells.push((x.0 + nx * (y.0 + ny * z.0), weight));
                }
            }
        }
    }
    cells
}
