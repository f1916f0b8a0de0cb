//! Reading a run off: carbon at points, depths along rays, lines of equal carbon, rasters.
//!
//! Between nodes the carbon is the linear interpolant of the triangle plus half the difference of
//! the slopes at its corners, which is exact for parabolas: reading off adds nothing to the error
//! of the run.

use std::collections::BTreeMap;

use casewright_terms::{Length, WeightPercent};

use crate::numerics::dense::gauss;
use crate::numerics::outline::{Point, Region, length};
use crate::numerics::root::brent;
use crate::numerics::triangles::{Triangles, cross};
use crate::run::{PlaneRaster, PlaneRun, RayDepth};
use crate::setup::PlanePoint;

/// What reading between the points needs: the region, where to look for triangles, slopes.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    region: Region,
    x_m: Vec<f64>,
    y_m: Vec<f64>,
    first_of_cell: Vec<u32>,
    /// Slope of the carbon at each node, in wt%/m.
    slope: Vec<[f64; 2]>,
    least: f64,
    greatest: f64,
}

/// A point this near the boundary is on it, in metres.
const ON_M: f64 = 1e-9;
/// Samples of a line on which the least carbon is looked for.
const SAMPLES: u32 = 400;
/// Steps along a ray per finest gap.
const STEPS_PER_GAP: f64 = 2.0;

impl Reading {
    pub(super) fn new(mesh: &Triangles, region: Region, carbon: &[f64]) -> Self {
        Self {
            region,
            x_m: mesh.x_m.clone(),
            y_m: mesh.y_m.clone(),
            first_of_cell: mesh.first_of_cell.clone(),
            slope: (0..mesh.len()).map(|i| slope(mesh, carbon, i)).collect(),
            least: carbon.iter().fold(f64::INFINITY, |m, c| m.min(*c)),
            greatest: carbon.iter().fold(f64::NEG_INFINITY, |m, c| m.max(*c)),
        }
    }

    fn finest_m(&self) -> f64 {
        let gap = |lines: &[f64]| {
            lines
                .windows(2)
                .map(|w| w[1] - w[0])
                .fold(f64::INFINITY, f64::min)
        };
        gap(&self.x_m).min(gap(&self.y_m))
    }
}

/// Slope at a node: a parabola through it that fits its neighbours and theirs best.
fn slope(mesh: &Triangles, carbon: &[f64], i: usize) -> [f64; 2] {
    let here = mesh.points[i];
    let mut around: Vec<usize> = Vec::with_capacity(40);
    for (j, _) in mesh.graph.row(i) {
        around.push(j);
        around.extend(mesh.graph.row(j).map(|(k, _)| k));
    }
    around.sort_unstable();
    around.dedup();
    around.retain(|j| *j != i);
    let offset = |j: usize| [mesh.points[j][0] - here[0], mesh.points[j][1] - here[1]];
    let scale = around.iter().fold([0.0_f64; 2], |s, j| {
        let d = offset(*j);
        [s[0].max(d[0].abs()), s[1].max(d[1].abs())]
    });
    if scale[0] == 0.0 || scale[1] == 0.0 {
        return [0.0; 2];
    }
    let (mut normal, mut right) = ([[0.0; 5]; 5], [0.0; 5]);
    for &j in &around {
        let d = offset(j);
        let (a, b) = (d[0] / scale[0], d[1] / scale[1]);
        let weight = 1.0 / (a * a + b * b);
        let terms = [a, b, a * a, a * b, b * b];
        let rise = carbon[j] - carbon[i];
        for (k, t) in terms.iter().enumerate() {
            right[k] += weight * t * rise;
            for (l, u) in terms.iter().enumerate() {
                normal[k][l] += weight * t * u;
            }
        }
    }
    if gauss(&mut normal, 5, &mut right).is_err() {
        return [0.0; 2];
    }
    [right[0] / scale[0], right[1] / scale[1]]
}

impl PlaneRun {
    /// Carbon at a point, also on the far side of a mirror; `None` outside the steel and beyond
    /// the cut through an endless body.
    #[must_use]
    pub fn at(&self, point: PlanePoint) -> Option<WeightPercent> {
        self.at_m([point.x.to_m(), point.y.to_m()])
            .map(WeightPercent::from_wt_pct)
    }

    /// Distance from a point to the nearest treated surface; `None` where nothing is treated.
    #[must_use]
    pub fn depth_at(&self, point: PlanePoint) -> Option<Length> {
        let p = self.folded([point.x.to_m(), point.y.to_m()]);
        self.reading.region.depth_m(p).map(Length::from_m)
    }

    /// Lines on which the carbon has one value, in metres, in the part that is solved. A closed
    /// line ends where it begins.
    #[must_use]
    pub fn contour(&self, carbon: WeightPercent) -> Vec<Vec<[f64; 2]>> {
        let level = carbon.to_wt_pct();
        let above = |i: u32| self.carbon_wt_pct[i as usize] >= level;
        let mut links: BTreeMap<(u32, u32), Vec<(u32, u32)>> = BTreeMap::new();
        for t in &self.triangles {
            let crossed: Vec<(u32, u32)> = [(0, 1), (1, 2), (2, 0)]
                .into_iter()
                .map(|(a, b)| (t[a].min(t[b]), t[a].max(t[b])))
                .filter(|(a, b)| above(*a) != above(*b))
                .collect();
            if let [a, b] = crossed[..] {
                links.entry(a).or_default().push(b);
                links.entry(b).or_default().push(a);
            }
        }
        // Open lines from their ends first; what is left is closed.
        let ends: Vec<(u32, u32)> = links
            .iter()
            .filter(|(_, l)| l.len() == 1)
            .map(|(e, _)| *e)
            .collect();
        let mut lines = Vec::new();
        for start in ends {
            lines.extend(self.follow(&mut links, start, level));
        }
        while let Some((&start, _)) = links.iter().find(|(_, l)| !l.is_empty()) {
            lines.extend(self.follow(&mut links, start, level));
        }
        lines
    }

    /// Takes one line out of the links.
    fn follow(
        &self,
        links: &mut BTreeMap<(u32, u32), Vec<(u32, u32)>>,
        start: (u32, u32),
        level: f64,
    ) -> Option<Vec<Point>> {
        let mut line = vec![self.crossing(start, level)];
        let mut here = start;
        while let Some(next) = links.get_mut(&here).and_then(Vec::pop) {
            if let Some(back) = links.get_mut(&next) {
                back.retain(|e| *e != here);
            }
            line.push(self.crossing(next, level));
            here = next;
        }
        (line.len() > 1).then_some(line)
    }

    /// Where the parabola along an edge has a value that lies between those of its ends.
    pub(super) fn crossing(&self, (a, b): (u32, u32), level: f64) -> Point {
        let (a, b) = (a as usize, b as usize);
        let (p, q) = (self.points_m[a], self.points_m[b]);
        let (g, h) = (self.reading.slope[a], self.reading.slope[b]);
        let (ca, cb) = (self.carbon_wt_pct[a], self.carbon_wt_pct[b]);
        let bend = 0.5 * ((g[0] - h[0]) * (q[0] - p[0]) + (g[1] - h[1]) * (q[1] - p[1]));
        let off = |t: f64| ca + t * (cb - ca) + t * (1.0 - t) * bend - level;
        let (mut low, mut high) = (0.0, 1.0);
        // A thousandth of a millionth of an edge is finer than any drawing.
        for _ in 0..30 {
            let middle = 0.5 * (low + high);
            if (off(middle) >= 0.0) == (ca >= level) {
                low = middle;
            } else {
                high = middle;
            }
        }
        [p[0] + low * (q[0] - p[0]), p[1] + low * (q[1] - p[1])]
    }

    /// The greatest carbon and where it is.
    ///
    /// # Panics
    /// When the run has no points (the engine always gives some).
    #[must_use]
    pub fn greatest(&self) -> (WeightPercent, PlanePoint) {
        self.extreme(|a, b| a > b)
    }

    /// The least carbon and where it is.
    ///
    /// # Panics
    /// As [`Self::greatest`].
    #[must_use]
    pub fn least(&self) -> (WeightPercent, PlanePoint) {
        self.extreme(|a, b| a < b)
    }

    fn extreme(&self, better: impl Fn(f64, f64) -> bool) -> (WeightPercent, PlanePoint) {
        let mut best = 0;
        for (i, c) in self.carbon_wt_pct.iter().enumerate() {
            if better(*c, self.carbon_wt_pct[best]) {
                best = i;
            }
        }
        let p = self.points_m[best];
        let place = PlanePoint {
            x: Length::from_m(p[0]),
            y: Length::from_m(p[1]),
        };
        (WeightPercent::from_wt_pct(self.carbon_wt_pct[best]), place)
    }

    /// The least carbon on the straight line between two points of the steel and how far from the
    /// first it is: what is left in the middle of a thin web. `None` where the line leaves the
    /// steel.
    #[must_use]
    pub fn least_between(
        &self,
        from: PlanePoint,
        to: PlanePoint,
    ) -> Option<(WeightPercent, Length)> {
        let (a, b) = (metres(from), metres(to));
        let long = length([b[0] - a[0], b[1] - a[1]]);
        let along = |t: f64| self.at_m([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
        let mut best = (f64::INFINITY, 0.0);
        let mut look = |t: f64| -> Option<()> {
            let c = along(t)?;
            if c < best.0 {
                best = (c, t);
            }
            Some(())
        };
        for k in 0..=SAMPLES {
            look(f64::from(k) / f64::from(SAMPLES))?;
        }
        // Between the samples around the least, as finely again.
        let (middle, width) = (best.1, 1.0 / f64::from(SAMPLES));
        let mut look = |t: f64| -> Option<()> {
            let c = along(t.clamp(0.0, 1.0))?;
            if c < best.0 {
                best = (c, t.clamp(0.0, 1.0));
            }
            Some(())
        };
        for k in 0..=40 {
            look(middle + width * (f64::from(k) / 20.0 - 1.0))?;
        }
        Some((
            WeightPercent::from_wt_pct(best.0),
            Length::from_m(best.1 * long),
        ))
    }

    /// First place on the ray from `from` through `towards` where the carbon has fallen to
    /// `carbon`: `None` where it is below it at the start, or does not fall that far before the
    /// ray leaves the steel.
    #[must_use]
    pub fn depth_to_carbon(
        &self,
        from: PlanePoint,
        towards: PlanePoint,
        carbon: WeightPercent,
    ) -> Option<RayDepth> {
        let (a, b) = (metres(from), metres(towards));
        let long = length([b[0] - a[0], b[1] - a[1]]);
        if long == 0.0 {
            return None;
        }
        let way = [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
        let place = |s: f64| [a[0] + s * way[0], a[1] + s * way[1]];
        let over = |s: f64| self.at_m(place(s)).map(|c| c - carbon.to_wt_pct());
        if over(0.0)? < 0.0 {
            return None;
        }
        let step = self.reading.finest_m() / STEPS_PER_GAP;
        let (mut before, mut s) = (0.0, step);
        // Steps grow with the way gone, as the gaps do.
        while over(s)? >= 0.0 {
            before = s;
            s += step.max(0.02 * s);
        }
        // A picometre is far below any use; both ends are in the steel, with opposite signs.
        let along = brent(before, s, 1e-12, |s| over(s).unwrap_or(-1.0)).ok()?;
        let to_surface = self.reading.region.depth_m(self.folded(place(along)))?;
        Some(RayDepth {
            along: Length::from_m(along),
            to_surface: Length::from_m(to_surface),
        })
    }

    /// Carbon on a regular raster over the window that is solved, edges included; at least two
    /// columns and rows.
    #[must_use]
    pub fn raster(&self, columns: usize, rows: usize) -> PlaneRaster {
        let [low, high] = self.window_m;
        let spread = |axis: usize, count: usize| -> Vec<f64> {
            let last = count.max(2) - 1;
            (0..=last)
                .map(|k| low[axis] + (high[axis] - low[axis]) * k as f64 / last as f64)
                .collect()
        };
        let (x_m, y_m) = (spread(0, columns), spread(1, rows));
        let values: Vec<Option<f64>> = y_m
            .iter()
            .flat_map(|y| x_m.iter().map(|x| self.at_m([*x, *y])))
            .collect();
        PlaneRaster {
            inside: values.iter().map(Option::is_some).collect(),
            carbon_wt_pct: values.into_iter().map(|c| c.unwrap_or(0.0)).collect(),
            x_m,
            y_m,
        }
    }

    /// The same point on the side of the mirrors that is solved.
    fn folded(&self, mut p: Point) -> Point {
        for (axis, mirror) in [self.mirror_x_m, self.mirror_y_m].into_iter().enumerate() {
            let (low, high) = (self.window_m[0][axis], self.window_m[1][axis]);
            if let Some(m) = mirror
                && ((m == low && p[axis] < low) || (m == high && p[axis] > high))
            {
                p[axis] = 2.0 * m - p[axis];
            }
        }
        p
    }

    fn at_m(&self, p: Point) -> Option<f64> {
        let mut p = self.folded(p);
        let r = &self.reading;
        for (axis, v) in p.iter_mut().enumerate() {
            let (low, high) = (self.window_m[0][axis], self.window_m[1][axis]);
            // Rounding at the window's edge is not outside. Written so that NaN is.
            if !(*v >= low - ON_M && *v <= high + ON_M) {
                return None;
            }
            *v = v.clamp(low, high);
        }
        let near = || r.region.nearest(p).is_some_and(|(_, d)| d < ON_M);
        if !r.region.holds(p) && !near() {
            return None;
        }
        let (t, shares) = self.triangle(p)?;
        let value: f64 = (0..3)
            .map(|k| {
                let i = t[k] as usize;
                let (g, q) = (r.slope[i], self.points_m[i]);
                let rise = g[0] * (p[0] - q[0]) + g[1] * (p[1] - q[1]);
                shares[k] * (self.carbon_wt_pct[i] + 0.5 * rise)
            })
            .sum();
        Some(value.clamp(r.least, r.greatest))
    }

    /// The triangle a point lies in, or the nearest by share where it lies between a chord and
    /// its arc, with the shares of the corners.
    fn triangle(&self, p: Point) -> Option<([u32; 3], [f64; 3])> {
        let r = &self.reading;
        let cell = |lines: &[f64], v: f64| {
            lines.partition_point(|l| *l <= v).clamp(1, lines.len() - 1) - 1
        };
        let (i, j) = (cell(&r.x_m, p[0]), cell(&r.y_m, p[1]));
        let (nx, ny) = (r.x_m.len() - 1, r.y_m.len() - 1);
        let mut best: Option<(f64, [u32; 3], [f64; 3])> = None;
        let mut look = |i: usize, j: usize| -> bool {
            let cell = j * nx + i;
            let range = r.first_of_cell[cell] as usize..r.first_of_cell[cell + 1] as usize;
            for t in &self.triangles[range] {
                let q = t.map(|k| self.points_m[k as usize]);
                let all = cross(q[0], q[1], q[2]);
                let a = cross(p, q[1], q[2]) / all;
                let b = cross(q[0], p, q[2]) / all;
                let shares = [a, b, 1.0 - a - b];
                let least = shares.iter().fold(f64::INFINITY, |m, s| m.min(*s));
                if best.as_ref().is_none_or(|b| least > b.0) {
                    best = Some((least, *t, shares));
                }
                if least >= -1e-12 {
                    return true;
                }
            }
            false
        };
        if !look(i, j) {
            'around: for j in j.saturating_sub(1)..=(j + 1).min(ny - 1) {
                for i in i.saturating_sub(1)..=(i + 1).min(nx - 1) {
                    if look(i, j) {
                        break 'around;
                    }
                }
            }
        }
        best.map(|(_, t, shares)| (t, shares))
    }
}

fn metres(point: PlanePoint) -> Point {
    [point.x.to_m(), point.y.to_m()]
}
