//! How fine a section is meshed, and where.

use crate::numerics::lines::{Growth, Mark, lines};
use crate::numerics::outline::{Line, Point, Region, length};
use crate::numerics::triangles::Triangles;

/// Gaps along the radius of a round piece, at least.
const GAPS_PER_RADIUS: f64 = 5.0;
/// Gaps across the neck between two pieces, at least.
const GAPS_PER_NECK: f64 = 4.0;
/// Gaps along each side of the window, at least.
const GAPS_PER_WINDOW: f64 = 8.0;
/// Most grid nodes; a finer wish is met as far as this goes, with a remark.
pub(super) const MOST_NODES: usize = 60_000;

/// Places nearer than this share of the finest gap share a line.
const SAME: f64 = 1e-3;

/// Number of gaps along x and y.
pub(super) type Gaps = Option<(usize, usize)>;

/// Makes the mesh; also says by what factor it had to be coarser than asked (1 where it had not).
pub(super) fn mesh(region: &Region, growth: Growth, gaps: Gaps) -> (Triangles, f64) {
    let mut coarser = 1.0;
    loop {
        let growth = Growth {
            finest_m: coarser * growth.finest_m,
            skin_m: growth
                .skin_m
                .map(|(finest, reach)| (coarser * finest, reach)),
            ..growth
        };
        let along = |axis: usize| {
            let wanted = gaps.map(|g| if axis == 0 { g.0 } else { g.1 });
            let marks = marks(region, axis, growth.finest_m, coarser);
            lines(
                &fixed(region, axis, growth.finest_m),
                &marks,
                growth,
                wanted,
            )
        };
        let (x, y) = (along(0), along(1));
        let nodes = x.len() * y.len();
        if gaps.is_some() || nodes <= MOST_NODES || coarser > 1e6 {
            return (Triangles::new(region, x, y), coarser);
        }
        coarser *= 1.05 * (nodes as f64 / MOST_NODES as f64).sqrt();
    }
}

/// Places every grid must have: ends and extremes of all pieces.
fn fixed(region: &Region, axis: usize, finest_m: f64) -> Vec<f64> {
    let [low, high] = [region.window[0][axis], region.window[1][axis]];
    let mut places = vec![low, high];
    for piece in &region.pieces {
        let [a, b] = piece.line.extent();
        let [c, d] = piece.line.ends();
        places.extend([a[axis], b[axis], c[axis], d[axis]]);
    }
    places.retain(|p| *p >= low && *p <= high);
    places.sort_by(f64::total_cmp);
    // What differs by next to nothing is one place (the mesh is fitted to the rest); the window's
    // own ends stay as they are.
    let same = (1e-12 * (high - low)).max(SAME * finest_m);
    let mut kept: Vec<f64> = vec![low];
    for p in places {
        if p - kept[kept.len() - 1] > same && high - p > same {
            kept.push(p);
        }
    }
    kept.push(high);
    kept
}

fn marks(region: &Region, axis: usize, finest_m: f64, coarser: f64) -> Vec<Mark> {
    let window = [region.window[0][axis], region.window[1][axis]];
    let mut marks = vec![Mark {
        from_m: window[0],
        to_m: window[1],
        finest_m: ((window[1] - window[0]) / GAPS_PER_WINDOW).max(finest_m * (1.0 + 1e-9)),
    }];
    let mut place = |at: f64, finest_m: f64| {
        marks.push(Mark {
            from_m: at,
            to_m: at,
            finest_m,
        });
    };
    for piece in &region.pieces {
        if let (Line::Straight { from, to }, true) = (piece.line, piece.open)
            && from[axis] == to[axis]
        {
            place(from[axis], finest_m);
        }
        // Where treated meets stopped-off the carbon changes quickly along the surface.
        for end in piece.line.ends() {
            if piece.open && meets_closed(region, end) {
                place(end[axis], finest_m);
            }
        }
    }
    for piece in &region.pieces {
        if let Line::Round { radius_m, .. } = piece.line {
            let [low, high] = piece.line.extent();
            let by_radius = coarser * radius_m / GAPS_PER_RADIUS;
            let finest_m = if piece.open {
                by_radius.min(finest_m)
            } else {
                by_radius
            };
            marks.push(Mark {
                from_m: low[axis],
                to_m: high[axis],
                finest_m,
            });
        }
    }
    marks.extend(necks(region).into_iter().map(|(at, wide)| Mark {
        from_m: at[axis],
        to_m: at[axis],
        finest_m: coarser * wide / GAPS_PER_NECK,
    }));
    marks
}

/// Where a round piece comes near another piece it does not adjoin, and how near.
fn necks(region: &Region) -> Vec<(Point, f64)> {
    let mut necks = Vec::new();
    for (i, round) in region.pieces.iter().enumerate() {
        if !matches!(round.line, Line::Round { .. }) {
            continue;
        }
        for (j, other) in region.pieces.iter().enumerate() {
            // The points of a round piece include its extremes, where it comes nearest.
            let nearest = round
                .line
                .points()
                .into_iter()
                .map(|p| (p, other.line.distance_m(p)))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((at, wide)) = nearest.filter(|n| i != j && n.1 > 1e-9) {
                necks.push((at, wide));
            }
        }
    }
    necks
}

fn meets_closed(region: &Region, end: Point) -> bool {
    region.pieces.iter().filter(|p| !p.open).any(|p| {
        let ends = p.line.ends();
        ends.iter()
            .any(|e| length([e[0] - end[0], e[1] - end[1]]) < 1e-9)
    })
}
