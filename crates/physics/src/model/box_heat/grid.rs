//! Divides a packed box into cells: wall, compound and what share of each cell is steel.
//!
//! Cell faces lie on the wall and on the faces of the solids, unless two of those are closer than
//! half a cell; then one face stands for both and the shares of the cells make up for it, so that
//! no steel is lost or made. Where things are hot is not known here.
//!
//! Few cells across a solid give off less heat than the solid does: a source of one cell acts like
//! a thinner one (Peaceman's well in a block [peaceman-1978]). For conduction, and only for that,
//! solids are therefore wider by [`WIDER`] of a cell on each side, which ends with the cell;
//! `refining_stays_within_the_stated_error` holds what is left.

use crate::numerics::fun::sqrt;
use crate::setup::{Axis, PackedBox, Solid, SolidForm};

/// By how much solids are widened on each side, in cells: brings a load of twelve pins with one to
/// four cells across each to within 2 % of its limit.
const WIDER: f64 = 0.05;
/// Strips of a round's section; its volume is set right afterwards.
const STRIPS: usize = 16;

/// The cells of one box, x fastest.
pub(super) struct Grid {
    /// Cell widths along each axis, wall cells included.
    pub(super) width_m: [Vec<f64>; 3],
    /// Cell centres from the inside corner.
    pub(super) centre_m: [Vec<f64>; 3],
    /// Share of steel in each cell for conduction; the wall is all steel.
    pub(super) steel: Vec<f64>,
    /// Share of steel in each cell for its heat content.
    pub(super) heavy: Vec<f64>,
    /// Cells of each solid with the steel it has in them, in m³.
    pub(super) solids: Vec<Vec<(usize, f64)>>,
    /// Cells of wall at each end of each axis: 1, or 0 without a wall.
    pub(super) wall: usize,
}

impl Grid {
    /// Cells no larger than `cell_m`.
    pub(super) fn new(packed: &PackedBox, cell_m: f64) -> Self {
        let inside = packed.inside.map(|l| l.to_m());
        let wall_m = packed.wall.to_m();
        let mut width_m: [Vec<f64>; 3] = Default::default();
        let mut centre_m: [Vec<f64>; 3] = Default::default();
        for axis in 0..3 {
            let faces = packed.solids.iter().flat_map(|solid| {
                let (at, size) = laid(solid, cell_m);
                [at[axis], at[axis] + size[axis]]
            });
            let mut edges = edges(inside[axis], faces.collect(), cell_m);
            if wall_m > 0.0 {
                edges.insert(0, -wall_m);
                edges.push(inside[axis] + wall_m);
            }
            width_m[axis] = edges.windows(2).map(|e| e[1] - e[0]).collect();
            centre_m[axis] = edges.windows(2).map(|e| (e[0] + e[1]) / 2.0).collect();
        }
        let mut grid = Self {
            width_m,
            centre_m,
            steel: Vec::new(),
            heavy: Vec::new(),
            solids: Vec::new(),
            wall: usize::from(wall_m > 0.0),
        };
        grid.fill(packed, cell_m);
        grid
    }

    pub(super) fn size(&self) -> [usize; 3] {
        [0, 1, 2].map(|axis| self.width_m[axis].len())
    }

    pub(super) fn place(&self, cell: usize) -> [usize; 3] {
        let [nx, ny, _] = self.size();
        [cell % nx, cell / nx % ny, cell / nx / ny]
    }

    pub(super) fn volume_m3(&self, cell: usize) -> f64 {
        let at = self.place(cell);
        (0..3).map(|axis| self.width_m[axis][at[axis]]).product()
    }

    fn fill(&mut self, packed: &PackedBox, cell_m: f64) {
        let size = self.size();
        let cells = size.iter().product();
        let (mut placed, mut heavy) = (vec![0.0; cells], vec![0.0; cells]);
        for solid in &packed.solids {
            let (parts, conducting) = self.cells_of(solid, cell_m);
            for (cell, volume) in &parts {
                let share = volume / self.volume_m3(*cell);
                heavy[*cell] += share;
                placed[*cell] += share * conducting;
            }
            self.solids.push(parts);
        }
        let spread = packed.spread_steel.to_ratio();
        for cell in 0..cells {
            let at = self.place(cell);
            let outside =
                (0..3).any(|axis| at[axis] < self.wall || at[axis] + self.wall >= size[axis]);
            let share = f64::min(placed[cell], 1.0);
            let rest = (1.0 - share) * spread;
            self.steel.push(if outside { 1.0 } else { share + rest });
            self.heavy
                .push(if outside { 1.0 } else { heavy[cell] + rest });
        }
    }

    /// The cells a solid is in and how much of it, which adds up to all of it; and what share of
    /// that conducts.
    fn cells_of(&self, solid: &Solid, cell_m: f64) -> (Vec<(usize, f64)>, f64) {
        let (lower, size) = laid(solid, cell_m);
        let [nx, ny, _] = self.size();
        let spans: [Vec<(usize, f64, f64)>; 3] = std::array::from_fn(|axis| {
            let inner = self.wall..self.width_m[axis].len() - self.wall;
            inner
                .filter_map(|i| {
                    let half = self.width_m[axis][i] / 2.0;
                    let from = (self.centre_m[axis][i] - half).max(lower[axis]);
                    let to = (self.centre_m[axis][i] + half).min(lower[axis] + size[axis]);
                    (to > from).then_some((i, from - lower[axis], to - lower[axis]))
                })
                .collect()
        });
        let mut cells = Vec::new();
        let mut sum = 0.0;
        for z in &spans[2] {
            for y in &spans[1] {
                for x in &spans[0] {
                    let volume = overlap_m3(solid.form, [x, y, z], size);
                    if volume > 0.0 {
                        cells.push((x.0 + nx * (y.0 + ny * z.0), volume));
                        sum += volume;
                    }
                }
            }
        }
        let whole = volume_m3(solid.form, solid.size.map(|l| l.to_m()));
        for (_, volume) in &mut cells {
            *volume *= whole / sum;
        }
        (cells, sum / whole)
    }
}

/// Volume of a solid by its form and its block.
pub(super) fn volume_m3(form: SolidForm, size_m: [f64; 3]) -> f64 {
    let block: f64 = size_m.iter().product();
    match form {
        SolidForm::Block => block,
        SolidForm::Round { .. } => block * std::f64::consts::FRAC_PI_4,
    }
}

/// Corner and size of a solid's block, widened for conduction.
fn laid(solid: &Solid, cell_m: f64) -> ([f64; 3], [f64; 3]) {
    let more = WIDER * cell_m;
    (
        solid.at.map(|l| l.to_m() - more),
        solid.size.map(|l| l.to_m() + 2.0 * more),
    )
}

const fn number(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
        Axis::Z => 2,
    }
}

/// What a solid has between these bounds, counted from its corner.
fn overlap_m3(form: SolidForm, spans: [&(usize, f64, f64); 3], size: [f64; 3]) -> f64 {
    let length = |axis: usize| spans[axis].2 - spans[axis].1;
    let SolidForm::Round { about } = form else {
        return length(0) * length(1) * length(2);
    };
    let (a, b) = ((number(about) + 1) % 3, (number(about) + 2) % 3);
    let step = length(a) / STRIPS as f64;
    let strip = |i: usize| {
        let u = (spans[a].1 + step * (i as f64 + 0.5)) / size[a] * 2.0 - 1.0;
        let half = sqrt((1.0 - u * u).max(0.0)) * size[b] / 2.0;
        let from = spans[b].1.max(size[b] / 2.0 - half);
        let to = spans[b].2.min(size[b] / 2.0 + half);
        (to - from).max(0.0) * step
    };
    (0..STRIPS).map(strip).sum::<f64>() * length(number(about))
}

/// Cell edges from 0 to `length`: on the faces, and between them no wider than `cell`.
fn edges(length: f64, mut faces: Vec<f64>, cell: f64) -> Vec<f64> {
    faces.sort_by(f64::total_cmp);
    // Each knot with the number of faces it stands for; the closest two are merged first.
    let mut knots: Vec<(f64, f64)> = faces
        .into_iter()
        .filter(|f| *f > 0.4 * cell && *f < length - 0.4 * cell)
        .map(|f| (f, 1.0))
        .collect();
    while let Some(i) = (1..knots.len()).min_by(|i, j| {
        let gap = |i: usize| knots[i].0 - knots[i - 1].0;
        gap(*i).total_cmp(&gap(*j))
    }) {
        if knots[i].0 - knots[i - 1].0 >= 0.5 * cell {
            break;
        }
        let (a, b) = (knots[i - 1], knots.remove(i));
        let count = a.1 + b.1;
        knots[i - 1] = ((a.0 * a.1 + b.0 * b.1) / count, count);
    }
    let mut ends = vec![0.0];
    ends.extend(knots.iter().map(|k| k.0));
    ends.push(length);
    let mut edges = vec![0.0];
    for pair in ends.windows(2) {
        let gap = pair[1] - pair[0];
        // A hair over a whole number is that number.
        let parts = ((gap / cell - 1e-6).ceil() as usize).max(1);
        edges.extend((1..=parts).map(|i| pair[0] + gap * i as f64 / parts as f64));
    }
    edges
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_meet_faces_and_merge_close_ones() {
        let got = edges(0.1, vec![0.03, 0.031, 0.07], 0.01);
        assert_eq!(got[0], 0.0);
        assert!((got[got.len() - 1] - 0.1).abs() < 1e-15);
        assert!(got.iter().any(|e| (e - 0.0305).abs() < 1e-12));
        assert!(got.iter().any(|e| (e - 0.07).abs() < 1e-12));
        for pair in got.windows(2) {
            assert!(pair[1] > pair[0] && pair[1] - pair[0] < 0.01 + 1e-6);
        }
        assert_eq!(edges(0.1, vec![], 0.05).len(), 3);
    }
}
