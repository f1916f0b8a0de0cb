//! A flat region by what is taken out of a window, and its boundary by straight and round pieces.
//!
//! Straight pieces run along the axes. The region answers "inside or not"; the pieces answer "how
//! far"; whoever makes a region sees to it that the two belong together.

use super::fun::{atan2, cos, sin, sqrt};

/// A point in metres.
pub type Point = [f64; 2];

/// What is taken out of the window. Edges belong to what remains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Void {
    /// A disc.
    Disc {
        /// Its centre.
        centre: Point,
        /// Its radius, in metres.
        radius_m: f64,
    },
    /// Everything but a disc.
    OutsideDisc {
        /// Its centre.
        centre: Point,
        /// Its radius, in metres.
        radius_m: f64,
    },
    /// A box.
    Box {
        /// Lower left.
        low: Point,
        /// Upper right.
        high: Point,
    },
    /// The part of the square between `corner` and `centre` that is farther from `centre` than
    /// its side: what rounding takes off a corner.
    Corner {
        /// The sharp corner.
        corner: Point,
        /// Centre of the rounding, off by the radius in x and in y.
        centre: Point,
    },
}

impl Void {
    fn holds(&self, [x, y]: Point) -> bool {
        let within = |a: Point, b: Point| {
            x > a[0].min(b[0]) && x < a[0].max(b[0]) && y > a[1].min(b[1]) && y < a[1].max(b[1])
        };
        let distance2 = |c: Point| (x - c[0]) * (x - c[0]) + (y - c[1]) * (y - c[1]);
        match *self {
            Self::Disc { centre, radius_m } => distance2(centre) < radius_m * radius_m,
            Self::OutsideDisc { centre, radius_m } => distance2(centre) > radius_m * radius_m,
            Self::Box { low, high } => within(low, high),
            Self::Corner { corner, centre } => {
                let r = centre[0] - corner[0];
                within_closed(corner, centre, [x, y]) && distance2(centre) > r * r
            }
        }
    }
}

fn within_closed(a: Point, b: Point, [x, y]: Point) -> bool {
    x >= a[0].min(b[0]) && x <= a[0].max(b[0]) && y >= a[1].min(b[1]) && y <= a[1].max(b[1])
}

/// Where a piece of the boundary lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Line {
    /// Along an axis.
    Straight {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
    },
    /// Part of a circle, anticlockwise from one angle (in radians) to a greater one.
    Round {
        /// Centre.
        centre: Point,
        /// Radius, in metres.
        radius_m: f64,
        /// Where it begins.
        from: f64,
        /// Where it ends; at most a full turn later.
        to: f64,
    },
}

impl Line {
    /// Distance of a point, in metres.
    #[must_use]
    pub fn distance_m(&self, p: Point) -> f64 {
        match *self {
            Self::Straight { from, to } => {
                let d = [to[0] - from[0], to[1] - from[1]];
                let length2 = d[0] * d[0] + d[1] * d[1];
                let t = if length2 > 0.0 {
                    (((p[0] - from[0]) * d[0] + (p[1] - from[1]) * d[1]) / length2).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                length([p[0] - from[0] - t * d[0], p[1] - from[1] - t * d[1]])
            }
            Self::Round {
                centre,
                radius_m,
                from,
                to,
            } => {
                let off = [p[0] - centre[0], p[1] - centre[1]];
                let mut angle = atan2(off[1], off[0]);
                let turn = 2.0 * std::f64::consts::PI;
                while angle < from - 1e-12 {
                    angle += turn;
                }
                if angle <= to + 1e-12 {
                    return (length(off) - radius_m).abs();
                }
                [from, to]
                    .map(|a| length([off[0] - radius_m * cos(a), off[1] - radius_m * sin(a)]))
                    .into_iter()
                    .fold(f64::INFINITY, f64::min)
            }
        }
    }

    /// The point of the piece's circle or straight line nearest to `p`.
    #[must_use]
    pub fn project(&self, p: Point) -> Point {
        match *self {
            Self::Straight { from, to } => {
                let d = [to[0] - from[0], to[1] - from[1]];
                let t = ((p[0] - from[0]) * d[0] + (p[1] - from[1]) * d[1])
                    / (d[0] * d[0] + d[1] * d[1]);
                [from[0] + t * d[0], from[1] + t * d[1]]
            }
            Self::Round {
                centre, radius_m, ..
            } => {
                let off = [p[0] - centre[0], p[1] - centre[1]];
                let scale = radius_m / length(off);
                [centre[0] + scale * off[0], centre[1] + scale * off[1]]
            }
        }
    }

    /// Both ends.
    #[must_use]
    pub fn ends(&self) -> [Point; 2] {
        match *self {
            Self::Straight { from, to } => [from, to],
            Self::Round {
                centre,
                radius_m,
                from,
                to,
            } => [from, to].map(|a| [centre[0] + radius_m * cos(a), centre[1] + radius_m * sin(a)]),
        }
    }

    /// Lower left and upper right of the box around it.
    #[must_use]
    pub fn extent(&self) -> [Point; 2] {
        let [a, b] = self.ends();
        let mut low = [a[0].min(b[0]), a[1].min(b[1])];
        let mut high = [a[0].max(b[0]), a[1].max(b[1])];
        if let Self::Round {
            centre,
            radius_m,
            from,
            to,
        } = *self
        {
            let quarter = std::f64::consts::FRAC_PI_2;
            for k in -4..=8_i8 {
                let angle = quarter * f64::from(k);
                if angle >= from - 1e-12 && angle <= to + 1e-12 {
                    let [dx, dy] = match k.rem_euclid(4) {
                        0 => [1.0, 0.0],
                        1 => [0.0, 1.0],
                        2 => [-1.0, 0.0],
                        _ => [0.0, -1.0],
                    };
                    let p = [centre[0] + radius_m * dx, centre[1] + radius_m * dy];
                    for k in 0..2 {
                        low[k] = low[k].min(p[k]);
                        high[k] = high[k].max(p[k]);
                    }
                }
            }
        }
        [low, high]
    }

    /// Points along it for drawing: two for a straight piece, one every three degrees of a round
    /// one.
    #[must_use]
    pub fn points(&self) -> Vec<Point> {
        match *self {
            Self::Straight { from, to } => vec![from, to],
            Self::Round {
                centre,
                radius_m,
                from,
                to,
            } => {
                let count = ((to - from) * 60.0 / std::f64::consts::PI).ceil().max(1.0);
                (0..=count as usize)
                    .map(|k| {
                        let a = from + (to - from) * k as f64 / count;
                        [centre[0] + radius_m * cos(a), centre[1] + radius_m * sin(a)]
                    })
                    .collect()
            }
        }
    }
}

/// A piece of the boundary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Where it lies.
    pub line: Line,
    /// Whether something passes through it.
    pub open: bool,
}

/// A region.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Lower left and upper right of the window.
    pub window: [Point; 2],
    /// What is taken out of it.
    pub voids: Vec<Void>,
    /// Its boundary; where the window ends without a piece nothing passes.
    pub pieces: Vec<Piece>,
}

impl Region {
    /// Whether a point of the window belongs to the region, its edges included.
    #[must_use]
    pub fn holds(&self, p: Point) -> bool {
        within_closed(self.window[0], self.window[1], p) && !self.voids.iter().any(|v| v.holds(p))
    }

    /// The nearest piece and its distance in metres; `None` without pieces.
    #[must_use]
    pub fn nearest(&self, p: Point) -> Option<(&Piece, f64)> {
        self.pieces
            .iter()
            .map(|piece| (piece, piece.line.distance_m(p)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Distance to the nearest open piece, in metres.
    #[must_use]
    pub fn depth_m(&self, p: Point) -> Option<f64> {
        self.pieces
            .iter()
            .filter(|piece| piece.open)
            .map(|piece| piece.line.distance_m(p))
            .min_by(f64::total_cmp)
    }
}

/// Length of a vector.
pub(crate) fn length(v: Point) -> f64 {
    sqrt(v[0] * v[0] + v[1] * v[1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn distances_to_an_arc_are_those_of_circle_or_ends() {
        let arc = Line::Round {
            centre: [1.0, 1.0],
            radius_m: 1.0,
            from: PI,
            to: 1.5 * PI,
        };
        // Rounding only.
        let close = |p: Point, d: f64| assert!((arc.distance_m(p) - d).abs() < 1e-14, "{p:?}");
        close([0.0, 0.0], 2.0_f64.sqrt() - 1.0);
        close([1.0, 1.0], 1.0);
        close([0.0, 2.0], 1.0);
        close([3.0, 0.0], 2.0);
        let [low, high] = arc.extent();
        assert!(length([low[0], low[1]]) < 1e-14 && length([high[0] - 1.0, high[1] - 1.0]) < 1e-14);
    }

    #[test]
    fn full_circles_reach_their_extremes() {
        let circle = Line::Round {
            centre: [0.0, 2.0],
            radius_m: 0.5,
            from: -FRAC_PI_2,
            to: 1.5 * PI,
        };
        assert_eq!(circle.extent(), [[-0.5, 1.5], [0.5, 2.5]]);
        for p in circle.points() {
            assert!(circle.distance_m(p) < 1e-15);
        }
    }

    #[test]
    fn rounding_takes_only_the_corner() {
        let void = Void::Corner {
            corner: [0.0, 0.0],
            centre: [1.0, 1.0],
        };
        assert!(void.holds([0.1, 0.1]) && void.holds([0.0, 0.5]));
        assert!(!void.holds([0.5, 0.5]) && !void.holds([1.5, 0.01]));
    }
}
