//! A mesh of triangles on a graded grid, fitted to round boundaries by moving nodes.
//!
//! Away from round boundaries every cell of the grid is two right triangles, and the scheme below
//! is the five-point finite-volume scheme on that grid. Where a round piece crosses the grid, a
//! node that lies close to the crossing is moved along its grid line onto the boundary, other
//! crossings become nodes of their own, and the cut cells are triangulated anew. So boundary
//! values are values of nodes, straight and round boundaries alike.
//!
//! Control volumes are those of Voronoi; the conductance between two nodes is half the sum of the
//! cotangents opposite (the box method, which is the linear finite element with lumped mass).
//! What leaves one node enters another: conservative by construction.

use std::collections::BTreeMap;

use super::outline::{Line, Point, Region, length};
use super::sparse::Graph;

/// A node whose crossing is nearer than this share of its grid edge is moved onto it. Below one
/// half, so that both ends never claim one edge; large enough that no triangle gets thin.
const MOVED: f64 = 0.35;
/// Shares that differ by less are equal but for rounding.
const TIE: f64 = 1e-9;
/// A triangle with all corners on the boundary and less than this share of its cell is left out.
const SLIVER: f64 = 0.05;
/// Cotangent of 109 degrees: where a triangle on the boundary is blunter than this, its inner
/// corner is moved onto the boundary.
const BLUNT: f64 = -0.35;
/// Passes of edge flips; each pass removes most bad edges.
const FLIPS: usize = 8;

/// The mesh.
#[derive(Clone, Debug)]
pub struct Triangles {
    /// Grid lines, in metres.
    pub x_m: Vec<f64>,
    /// Grid lines, in metres.
    pub y_m: Vec<f64>,
    /// Nodes, in metres.
    pub points: Vec<Point>,
    /// Anticlockwise.
    pub corners: Vec<[u32; 3]>,
    /// First triangle of each cell of the grid, row after row, and one more at the end. A triangle
    /// of a cell lies in it or reaches into a neighbour.
    pub first_of_cell: Vec<u32>,
    /// Area that belongs to each node, in m².
    pub volume_m2: Vec<f64>,
    /// Open boundary that belongs to each node, in metres; 0 inside.
    pub open_m: Vec<f64>,
    /// Conductances between nodes.
    pub graph: Graph,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Side {
    In,
    On,
    Out,
}

/// The grid while the mesh is made. Nodes are numbered by keys that ascend row by row.
struct Draft<'a> {
    region: &'a Region,
    x: &'a [f64],
    y: &'a [f64],
    side: Vec<Side>,
    place: Vec<Point>,
    moved: Vec<bool>,
    /// Crossing on the edge to the right of a node, and on the one above it.
    right: Vec<Option<Point>>,
    above: Vec<Option<Point>>,
}

/// A corner of a polygon in a cell: key, place, whether on the boundary.
type Corner = (u64, Point, Side);

impl<'a> Draft<'a> {
    fn new(region: &'a Region, x: &'a [f64], y: &'a [f64]) -> Self {
        let size = (x[x.len() - 1] - x[0]).max(y[y.len() - 1] - y[0]);
        let mut place = Vec::with_capacity(x.len() * y.len());
        for y in y {
            place.extend(x.iter().map(|x| [*x, *y]));
        }
        let side = place
            .iter()
            .map(|p| match region.nearest(*p) {
                // Grid lines run through the boundary to rounding.
                Some((_, d)) if d < 1e-11 * size => Side::On,
                _ if region.holds(*p) => Side::In,
                _ => Side::Out,
            })
            .collect();
        let n = place.len();
        let mut draft = Self {
            region,
            x,
            y,
            side,
            place,
            moved: vec![false; n],
            right: vec![None; n],
            above: vec![None; n],
        };
        draft.cross();
        draft.fit();
        draft
    }

    fn at(&self, i: usize, j: usize) -> usize {
        j * self.x.len() + i
    }

    /// Finds where the boundary crosses grid edges.
    fn cross(&mut self) {
        for j in 0..self.y.len() {
            for i in 0..self.x.len() {
                let here = self.at(i, j);
                if i + 1 < self.x.len() {
                    self.right[here] = self.crossing(here, here + 1);
                }
                if j + 1 < self.y.len() {
                    self.above[here] = self.crossing(here, here + self.x.len());
                }
            }
        }
    }

    fn crossing(&self, a: usize, b: usize) -> Option<Point> {
        let (mut solid, mut empty) = match (self.side[a], self.side[b]) {
            (Side::In, Side::Out) => (self.place[a], self.place[b]),
            (Side::Out, Side::In) => (self.place[b], self.place[a]),
            _ => return None,
        };
        // Halving 60 times reaches rounding.
        for _ in 0..60 {
            let middle = [0.5 * (solid[0] + empty[0]), 0.5 * (solid[1] + empty[1])];
            if self.region.holds(middle) {
                solid = middle;
            } else {
                empty = middle;
            }
        }
        Some(solid)
    }

    /// Moves nodes onto near crossings. All moves follow from the grid as it was, so that their
    /// order does not matter and a symmetric region keeps a symmetric mesh.
    fn fit(&mut self) {
        let (nx, ny) = (self.x.len(), self.y.len());
        let mut moves = Vec::new();
        for j in 0..ny {
            for i in 0..nx {
                let here = self.at(i, j);
                // Nodes on the window's edge stay on it.
                let (along_x, along_y) = (j == 0 || j == ny - 1, i == 0 || i == nx - 1);
                let (x, y) = (!along_y || along_x, !along_x || along_y);
                let mut near: Vec<(f64, Point)> = Vec::new();
                let mut offer = |allowed: bool, edge: &[Option<Point>], at: usize, other: usize| {
                    if let (true, Some(p)) = (allowed, edge.get(at).copied().flatten()) {
                        let (from, to) = (self.place[here], self.place[other]);
                        let share = length([p[0] - from[0], p[1] - from[1]])
                            / length([to[0] - from[0], to[1] - from[1]]);
                        near.push((share, p));
                    }
                };
                offer(x && i + 1 < nx, &self.right, here, here + 1);
                offer(
                    x && i > 0,
                    &self.right,
                    here.wrapping_sub(1),
                    here.wrapping_sub(1),
                );
                offer(y && j + 1 < ny, &self.above, here, here + nx);
                offer(
                    y && j > 0,
                    &self.above,
                    here.wrapping_sub(nx),
                    here.wrapping_sub(nx),
                );
                near.sort_by(|a, b| a.0.total_cmp(&b.0));
                match near[..] {
                    [(a, _), (b, _), ..] if a < MOVED && b - a < TIE => {
                        // Equally far both ways: straight to the boundary, or a section that is
                        // its own image across a diagonal would get a lopsided mesh.
                        let from = self.place[here];
                        if let Some((piece, _)) = self.region.nearest(from) {
                            moves.push((here, piece.line.project(from)));
                        }
                    }
                    [(a, p), ..] if a < MOVED => moves.push((here, p)),
                    _ => {}
                }
            }
        }
        for (here, p) in moves {
            self.place[here] = p;
            self.side[here] = Side::On;
            self.moved[here] = true;
        }
    }

    /// The part of a cell inside the region, anticlockwise, and whether it is the plain rectangle.
    fn polygon(&self, i: usize, j: usize) -> (Vec<Corner>, bool) {
        let nx = self.x.len();
        let ring = [
            self.at(i, j),
            self.at(i + 1, j),
            self.at(i + 1, j + 1),
            self.at(i, j + 1),
        ];
        let edges = [
            (self.right[ring[0]], 2 * j, 2 * i + 1),
            (self.above[ring[1]], 2 * j + 1, 2 * i + 2),
            (self.right[ring[3]], 2 * j + 2, 2 * i + 1),
            (self.above[ring[0]], 2 * j + 1, 2 * i),
        ];
        let key = |row: usize, column: usize| (row * (2 * nx) + column) as u64;
        let mut polygon = Vec::with_capacity(6);
        for k in 0..4 {
            let (here, next) = (ring[k], ring[(k + 1) % 4]);
            if self.side[here] != Side::Out {
                let node = key(2 * (here / nx), 2 * (here % nx));
                polygon.push((node, self.place[here], self.side[here]));
            }
            let sides = (self.side[here], self.side[next]);
            if matches!(sides, (Side::In, Side::Out) | (Side::Out, Side::In))
                && let (Some(p), row, column) = edges[k]
            {
                polygon.push((key(row, column), p, Side::On));
            }
        }
        let plain = polygon.len() == 4 && ring.iter().all(|n| !self.moved[*n]);
        if polygon.iter().all(|c| c.2 == Side::On) && !self.solid(&polygon, i, j) {
            polygon.clear();
        }
        (polygon, plain)
    }

    /// Whether a polygon with all corners on the boundary is part of the region.
    fn solid(&self, polygon: &[Corner], i: usize, j: usize) -> bool {
        if polygon.len() < 3 {
            return false;
        }
        let n = polygon.len() as f64;
        let centre = polygon
            .iter()
            .fold([0.0, 0.0], |c, p| [c[0] + p.1[0] / n, c[1] + p.1[1] / n]);
        let cell = (self.x[i + 1] - self.x[i]) * (self.y[j + 1] - self.y[j]);
        let area: f64 = (1..polygon.len() - 1)
            .map(|k| 0.5 * cross(polygon[0].1, polygon[k].1, polygon[k + 1].1))
            .sum();
        area > SLIVER * cell && self.region.holds(centre)
    }
}

impl Triangles {
    /// Makes the mesh. The grid must span the region's window and have lines through the ends and
    /// extremes of all its pieces.
    ///
    /// # Panics
    /// When nothing of the region is found on the grid.
    #[must_use]
    pub fn new(region: &Region, x_m: Vec<f64>, y_m: Vec<f64>) -> Self {
        let draft = Draft::new(region, &x_m, &y_m);
        let mut corners: Vec<[Corner; 3]> = Vec::new();
        let mut cut = vec![false; (x_m.len() - 1) * (y_m.len() - 1)];
        let mut cells: Vec<u32> = Vec::new();
        for j in 0..y_m.len() - 1 {
            for i in 0..x_m.len() - 1 {
                let (polygon, plain) = draft.polygon(i, j);
                if plain && polygon.len() == 4 {
                    corners.push([polygon[0], polygon[1], polygon[2]]);
                    corners.push([polygon[0], polygon[2], polygon[3]]);
                } else if polygon.len() >= 3 {
                    corners.extend(fan(&polygon));
                    cut[j * (x_m.len() - 1) + i] = true;
                }
                cells.resize(corners.len(), (j * (x_m.len() - 1) + i) as u32);
            }
        }
        let odd = beside(&cut, x_m.len() - 1, &cells);
        flip(&mut corners, &odd);
        let flat = flatten(region, &mut corners, &odd);
        let mut keep = flat.iter().map(|flat| !flat);
        cells.retain(|_| keep.next().unwrap_or(true));
        let mut keep = flat.iter().map(|flat| !flat);
        corners.retain(|_| keep.next().unwrap_or(true));
        flip(&mut corners, &beside(&cut, x_m.len() - 1, &cells));
        let count = (x_m.len() - 1) * (y_m.len() - 1);
        let first_of_cell = (0..=count)
            .map(|cell| cells.partition_point(|c| (*c as usize) < cell) as u32)
            .collect();
        let mut keys: Vec<(u64, Point, Side)> = corners.iter().flatten().copied().collect();
        keys.sort_unstable_by_key(|k| k.0);
        keys.dedup_by_key(|k| k.0);
        assert!(!keys.is_empty(), "the region is empty");
        let number = |key: u64| -> u32 {
            keys.binary_search_by_key(&key, |k| k.0)
                .unwrap_or_else(|_| unreachable!("every corner is a node")) as u32
        };
        let numbered: Vec<[u32; 3]> = corners.iter().map(|t| t.map(|c| number(c.0))).collect();
        let points: Vec<Point> = keys.iter().map(|k| k.1).collect();
        let on: Vec<bool> = keys.iter().map(|k| k.2 == Side::On).collect();
        let (edges, rim) = edges(&points, &numbered);
        Self {
            volume_m2: volumes(&points, &numbered),
            open_m: open(region, &points, &on, &rim),
            graph: Graph::new(points.len(), &edges),
            x_m,
            y_m,
            corners: numbered,
            points,
            first_of_cell,
        }
    }

    /// How many nodes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Never: a mesh has nodes.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }
}

/// Twice the area of a triangle, positive anticlockwise.
pub(crate) fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Cotangents of a triangle's angles.
fn cotangents(p: [Point; 3]) -> [f64; 3] {
    let twice = cross(p[0], p[1], p[2]);
    std::array::from_fn(|k| {
        let (a, b, c) = (p[k], p[(k + 1) % 3], p[(k + 2) % 3]);
        ((b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1])) / twice
    })
}

/// Cuts a polygon from the corner that makes the widest least angle.
fn fan(polygon: &[Corner]) -> Vec<[Corner; 3]> {
    let n = polygon.len();
    let mut best: Option<(f64, Vec<[Corner; 3]>)> = None;
    for start in 0..n {
        let cut: Vec<[Corner; 3]> = (1..n - 1)
            .map(|k| {
                [
                    polygon[start],
                    polygon[(start + k) % n],
                    polygon[(start + k + 1) % n],
                ]
            })
            .collect();
        // The greatest cotangent belongs to the least angle; a triangle turned over is worst.
        let worst = cut.iter().fold(0.0_f64, |m, t| {
            let p = t.map(|c| c.1);
            if cross(p[0], p[1], p[2]) <= 0.0 {
                f64::INFINITY
            } else {
                cotangents(p).into_iter().fold(m, f64::max)
            }
        });
        if best.as_ref().is_none_or(|b| worst < b.0) {
            best = Some((worst, cut));
        }
    }
    best.map(|b| b.1).unwrap_or_default()
}

/// Triangles in cut cells and in the cells around them.
fn beside(cut: &[bool], columns: usize, cells: &[u32]) -> Vec<usize> {
    let rows = cut.len() / columns;
    let mut near = vec![false; cut.len()];
    for cell in (0..cut.len()).filter(|c| cut[*c]) {
        let (i, j) = (cell % columns, cell / columns);
        for j in j.saturating_sub(1)..=(j + 1).min(rows - 1) {
            for i in i.saturating_sub(1)..=(i + 1).min(columns - 1) {
                near[j * columns + i] = true;
            }
        }
    }
    (0..cells.len())
        .filter(|t| near[cells[*t] as usize])
        .collect()
}

/// Flips edges between cut triangles until the angles opposite add up to less than a half turn.
fn flip(corners: &mut [[Corner; 3]], odd: &[usize]) {
    for _ in 0..FLIPS {
        let mut sides: BTreeMap<(u64, u64), Vec<(usize, usize)>> = BTreeMap::new();
        for &t in odd {
            for k in 0..3 {
                let (a, b) = (corners[t][(k + 1) % 3].0, corners[t][(k + 2) % 3].0);
                sides.entry((a.min(b), a.max(b))).or_default().push((t, k));
            }
        }
        let mut touched = vec![false; corners.len()];
        let mut flips = 0;
        for pair in sides.values() {
            let [(s, k), (t, l)] = pair[..] else { continue };
            if touched[s] || touched[t] {
                continue;
            }
            let cotangent = |t: usize, k: usize| cotangents(corners[t].map(|c| c.1))[k];
            if cotangent(s, k) + cotangent(t, l) >= -1e-9 {
                continue;
            }
            let (a, b, c) = (
                corners[s][k],
                corners[s][(k + 1) % 3],
                corners[s][(k + 2) % 3],
            );
            let d = corners[t][l];
            if cross(a.1, b.1, d.1) <= 0.0 || cross(a.1, d.1, c.1) <= 0.0 {
                continue;
            }
            (corners[s], corners[t]) = ([a, b, d], [a, d, c]);
            (touched[s], touched[t]) = (true, true);
            flips += 1;
        }
        if flips == 0 {
            return;
        }
    }
}

/// A triangle that lies on the boundary with one edge and is blunt opposite to it would pump
/// uphill: its inner corner is moved onto the boundary and the triangle goes. Says which go.
fn flatten(region: &Region, corners: &mut [[Corner; 3]], odd: &[usize]) -> Vec<bool> {
    let mut gone = vec![false; corners.len()];
    let mut moved: BTreeMap<u64, Point> = BTreeMap::new();
    for &t in odd {
        let cot = cotangents(corners[t].map(|c| c.1));
        let Some(k) = (0..3).find(|k| cot[*k] < BLUNT) else {
            continue;
        };
        let (apex, a, b) = (
            corners[t][k],
            corners[t][(k + 1) % 3],
            corners[t][(k + 2) % 3],
        );
        if apex.2 != Side::In || a.2 != Side::On || b.2 != Side::On {
            continue;
        }
        let middle = [0.5 * (a.1[0] + b.1[0]), 0.5 * (a.1[1] + b.1[1])];
        let Some((piece, off)) = region.nearest(middle) else {
            continue;
        };
        let long = length([a.1[0] - b.1[0], a.1[1] - b.1[1]]);
        if let (Line::Round { .. }, true) = (piece.line, off < 0.25 * long) {
            gone[t] = true;
            moved.insert(apex.0, piece.line.project(apex.1));
        }
    }
    if moved.is_empty() {
        return gone;
    }
    for triangle in corners.iter_mut() {
        for corner in triangle {
            if let Some(p) = moved.get(&corner.0) {
                (corner.1, corner.2) = (*p, Side::On);
            }
        }
    }
    gone
}

/// Edges with their conductances, sorted, and the edges that belong to one triangle only.
#[expect(clippy::type_complexity, reason = "two lists of one use")]
fn edges(points: &[Point], corners: &[[u32; 3]]) -> (Vec<(u32, u32, f64)>, Vec<(u32, u32)>) {
    let mut halves = Vec::with_capacity(3 * corners.len());
    for t in corners {
        let cot = cotangents(t.map(|i| points[i as usize]));
        for k in 0..3 {
            let (a, b) = (t[(k + 1) % 3], t[(k + 2) % 3]);
            halves.push((a.min(b), a.max(b), 0.5 * cot[k]));
        }
    }
    halves.sort_unstable_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
    let (mut edges, mut rim) = (Vec::with_capacity(halves.len() / 2), Vec::new());
    for pair in halves.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        let k: f64 = pair.iter().map(|h| h.2).sum();
        // The diagonal of a rectangle conducts nothing, to rounding.
        if k.abs() > 1e-12 {
            edges.push((pair[0].0, pair[0].1, k));
        }
        if pair.len() == 1 {
            rim.push((pair[0].0, pair[0].1));
        }
    }
    (edges, rim)
}

/// Voronoi area of each node; a blunt triangle gives half to the blunt corner and a quarter to
/// each of the others, which keeps every share inside its triangle.
fn volumes(points: &[Point], corners: &[[u32; 3]]) -> Vec<f64> {
    let mut volume = vec![0.0; points.len()];
    for t in corners {
        let p = t.map(|i| points[i as usize]);
        let area = 0.5 * cross(p[0], p[1], p[2]);
        let cot = cotangents(p);
        let blunt = cot.iter().position(|c| *c < 0.0);
        for k in 0..3 {
            let (l, m) = ((k + 1) % 3, (k + 2) % 3);
            let square =
                |a: Point, b: Point| (a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]);
            volume[t[k] as usize] += match blunt {
                None => 0.125 * (square(p[k], p[l]) * cot[m] + square(p[k], p[m]) * cot[l]),
                Some(b) if b == k => 0.5 * area,
                Some(_) => 0.25 * area,
            };
        }
    }
    volume
}

/// Length of open boundary of each node.
fn open(region: &Region, points: &[Point], on: &[bool], rim: &[(u32, u32)]) -> Vec<f64> {
    let mut open_m = vec![0.0; points.len()];
    for &(a, b) in rim {
        let (a, b) = (a as usize, b as usize);
        if !(on[a] && on[b]) {
            continue;
        }
        let (p, q) = (points[a], points[b]);
        let long = length([p[0] - q[0], p[1] - q[1]]);
        let middle = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
        // An edge along a mirror can have both ends on the boundary, but not its middle; the
        // middle of a chord is a little off its arc.
        if let Some((piece, distance)) = region.nearest(middle)
            && piece.open
            && distance < 0.25 * long
        {
            open_m[a] += 0.5 * long;
            open_m[b] += 0.5 * long;
        }
    }
    open_m
}
