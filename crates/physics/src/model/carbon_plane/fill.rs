//! Areas between two values of carbon, as closed loops to fill.
//!
//! Each triangle is cut at both values and the edges that two pieces share cancel, so that only
//! the rim is left. The cuts are the points of [`PlaneRun::contour`]: a fill and the line at its
//! rim never part. It does not smooth and knows nothing of paper.

use std::collections::{BTreeMap, BTreeSet};

use casewright_terms::WeightPercent;

use crate::run::PlaneRun;

/// A corner of a cut triangle, by what makes it, so that neighbours agree on it to the last digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Corner {
    Node(u32),
    /// On the edge between two nodes, the lower first, at the upper or the lower value.
    Cut(u32, u32, bool),
}

impl PlaneRun {
    /// Loops around the steel whose carbon is at least `low` and below `high`, in metres, in the
    /// part that is solved. Holes run the other way round; each loop ends where it begins.
    #[must_use]
    pub fn area_between(&self, low: WeightPercent, high: WeightPercent) -> Vec<Vec<[f64; 2]>> {
        let limits = [low.to_wt_pct(), high.to_wt_pct()];
        let mut rim: BTreeSet<(Corner, Corner)> = BTreeSet::new();
        for triangle in &self.triangles {
            let piece = self.cut(*triangle, limits);
            for (k, corner) in piece.iter().enumerate() {
                let next = piece[(k + 1) % piece.len()];
                if !rim.remove(&(next, *corner)) {
                    rim.insert((*corner, next));
                }
            }
        }
        let mut onward: BTreeMap<Corner, Vec<Corner>> = BTreeMap::new();
        for (from, to) in rim {
            onward.entry(from).or_default().push(to);
        }
        let mut loops = Vec::new();
        while let Some(start) = onward
            .iter()
            .find(|(_, to)| !to.is_empty())
            .map(|(c, _)| *c)
        {
            let mut line = vec![self.place(start, limits)];
            let mut here = start;
            while let Some(next) = onward.get_mut(&here).and_then(Vec::pop) {
                line.push(self.place(next, limits));
                here = next;
                if here == start {
                    break;
                }
            }
            // A triangle that only touches a value leaves a loop without an inside.
            if line.len() > 3 {
                loops.push(line);
            }
        }
        loops
    }

    /// The part of a triangle between the limits.
    fn cut(&self, triangle: [u32; 3], limits: [f64; 2]) -> Vec<Corner> {
        // 0 below, 1 between, 2 at or above the upper limit.
        let stage = |node: u32| -> usize {
            let carbon = self.carbon_wt_pct[node as usize];
            limits.iter().filter(|limit| carbon >= **limit).count()
        };
        let mut piece = Vec::with_capacity(5);
        for k in 0..3 {
            let (a, b) = (triangle[k], triangle[(k + 1) % 3]);
            let (from, to) = (stage(a), stage(b));
            if from == 1 {
                piece.push(Corner::Node(a));
            }
            let cut = |upper: bool| Corner::Cut(a.min(b), a.max(b), upper);
            match (from, to) {
                (0, 1) | (1, 0) => piece.push(cut(false)),
                (1, 2) | (2, 1) => piece.push(cut(true)),
                (0, 2) => piece.extend([cut(false), cut(true)]),
                (2, 0) => piece.extend([cut(true), cut(false)]),
                _ => {}
            }
        }
        piece
    }

    fn place(&self, corner: Corner, limits: [f64; 2]) -> [f64; 2] {
        match corner {
            Corner::Node(node) => self.points_m[node as usize],
            Corner::Cut(a, b, upper) => self.crossing((a, b), limits[usize::from(upper)]),
        }
    }
}
