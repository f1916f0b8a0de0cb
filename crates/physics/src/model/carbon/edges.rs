//! The faces of a row of nodes in which carbide ends, and the node that the edge stands in.

use super::body::Conditions;
use super::front::{Cell, Edge, Share};
use crate::numerics::mesh::Mesh;

/// A face in which carbide ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct FaceEdge {
    /// The node over saturation, and its neighbour that is not full.
    pub full: usize,
    pub other: usize,
    pub conductance: f64,
    /// Flux from the one to the other if the edge lay on the full node.
    pub flux: f64,
    pub share: Share,
    /// Matrix carbon of the other node, and its derivative by the node's total.
    pub matrix: f64,
    pub slope: f64,
}

/// Finds the edges; `conductance` as the body's.
pub(super) fn find(
    now: &Conditions,
    mesh: &Mesh,
    conductance: &[f64],
    y: &[f64],
    out: &mut Vec<FaceEdge>,
) {
    out.clear();
    let limit = now.limit;
    let d = now.d.value(limit);
    for k in 0..y.len() - 1 {
        if (y[k] > limit) == (y[k + 1] > limit) {
            continue;
        }
        // Nodes counted from the rich side: `at(1)` is beyond the edge, `at(0)` over saturation.
        let ahead = y[k] > limit;
        let at = |steps: isize| {
            let i = if ahead {
                k as isize + steps
            } else {
                k as isize + 1 - steps
            };
            usize::try_from(i).ok().filter(|i| *i < y.len())
        };
        let gap = |a: usize, b: usize| mesh.gap_m[a.min(b)];
        let (Some(mut full), Some(mut other)) = (at(0), at(1)) else {
            continue;
        };
        let mut behind = at(-1);
        let mut next = at(2);
        let bend = |h: f64| 0.5 * now.sinking / d * h * h;
        let cell = |full: usize, other: usize, next: Option<usize>| {
            let h = gap(full, other);
            let width = 0.5 * (h + next.map_or(h, |next| gap(other, next)));
            Cell {
                behind: y[full] - limit,
                bend: bend(h),
                share: h / width,
            }
        };
        let mut inside = None;
        if now.sinking > 0.0 {
            // The node over saturation may be the one that the edge stands in.
            let partly = behind.filter(|b| y[*b] > limit).and_then(|b| {
                let cell = cell(b, full, Some(other));
                (y[full] - limit < cell.most()).then_some((b, cell))
            });
            if let Some((b, cell)) = partly {
                (other, next) = (full, Some(other));
                (full, behind) = (b, at(-2));
                inside = Some(cell);
            } else {
                inside = Some(cell(full, other, next));
            }
        }
        // A body as thin as its case comes to saturation everywhere at once, with next to nothing
        // over it behind the edge: there the rounded corner keeps the steps from chattering.
        let (lack, slope) = match inside.filter(|cell| cell.behind > 2.0 * now.blend) {
            Some(cell) => cell.lack(y[other] - limit),
            None => {
                let (matrix, slope) = now.matrix(y[other]);
                (limit - matrix, slope)
            }
        };
        let h = gap(full, other);
        let behind_gap = behind.map_or(0.0, |b| gap(b, full));
        let edge = Edge {
            over: y[full] - limit,
            behind: behind.map(|b| y[b] - limit),
            lack,
            bend: bend(h),
            extent: 0.5 * (1.0 + behind_gap / h),
        };
        let c = conductance[full.min(other)];
        let (rich, _) = now.matrix(y[full]);
        out.push(FaceEdge {
            full,
            other,
            conductance: c,
            flux: c * (now.d.integral(rich) - now.d.integral(limit - lack)),
            share: edge.share(),
            matrix: limit - lack,
            slope,
        });
    }
}
