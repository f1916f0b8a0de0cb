//! Where the edge of the carbide lies between two nodes, and what that does to the flux.
//!
//! Over saturation the matrix is full and nothing moves; under it carbon diffuses. The edge
//! between them lies somewhere between the nodes, and a flux that takes it to lie on a node errs
//! by as much as half a gap: first order. Two cases, told apart by the lack of carbon in the node
//! beyond the edge:
//!
//! - **The edge moves inward** while saturation sinks. Carbon and its gradient are continuous
//!   there, so `m = limit − κ ξ²/2` at a distance ξ beyond the edge, with `κ = −limit'/D`. The node's
//!   lack tells the edge's place, and the flux through the face follows: `D κ (√(2 lack/κ) − h/2)`.
//! - **The edge draws back** while the matrix drains the carbide. Total carbon jumps there, from
//!   what was frozen behind to saturation, so the share of the control volume that still holds
//!   carbide tells the edge's place, and with it the distance that the lack is spread over.
//!
//! Either way the flux stays one between two nodes, from the richer to the poorer, times a factor
//! that is not negative: conservation and the bounds are untouched. Where no edge is, nothing
//! changes.

use crate::numerics::fun::sqrt;

/// Share of a control volume below which the edge is about to leave it and the factor goes back to
/// one, so that the flux has no jump. The flux errs there for that share of the time; a twentieth
/// leaves the second order visible down to meshes five times finer than any tolerance asks for.
const RAMP: f64 = 0.05;

/// What is known about one face between a full node and one that is not.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    /// Total carbon of the full node over saturation.
    pub over: f64,
    /// The same of the node behind it, away from the edge.
    pub behind: Option<f64>,
    /// Matrix carbon that the other node lacks.
    pub lack: f64,
    /// Half κ times the square of the gap; 0 where saturation does not sink.
    pub bend: f64,
    /// Extent of the full node's control volume over the gap.
    pub extent: f64,
}

/// Factor on the flux, with its derivatives by the total of the full node and the lack of the
/// other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Share {
    pub factor: f64,
    pub by_over: f64,
    pub by_lack: f64,
}

impl Share {
    const WHOLE: Self = Self {
        factor: 1.0,
        by_over: 0.0,
        by_lack: 0.0,
    };
}

/// The control volume that the edge stands in while it moves inward: the part behind the edge
/// holds carbide, so the node's total says more than its matrix holds.
///
/// With σ the edge's distance from the full node in gaps (½ on the face between, 1 on this node)
/// the frozen total falls in a straight line from the full node to saturation at the edge, and the
/// matrix beyond is the parabola: `total − limit = share × behind (σ − ½)²/2σ − bend (1 − σ)²`.
/// Without it the node would come to saturation in a jerk each time the edge passes a face, of the
/// speed of diffusion across a gap and not of the edge, and every jerk costs steps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    /// Total of the full node over saturation.
    pub behind: f64,
    /// As [`Edge::bend`].
    pub bend: f64,
    /// Gap over the extent of the control volume.
    pub share: f64,
}

/// Steps of the search for the edge; the function is smooth and monotone, and six reach rounding.
const SEARCH: usize = 30;

impl Cell {
    /// Total over saturation with the edge on the node: from there on it counts as full.
    pub(super) fn most(self) -> f64 {
        0.125 * self.share * self.behind
    }

    /// What the matrix lacks for a total over saturation (negative under it), and the derivative
    /// of the matrix by the total.
    pub(super) fn lack(self, over: f64) -> (f64, f64) {
        if over <= -0.25 * self.bend {
            return (-over, 1.0);
        }
        if over >= self.most() {
            return (0.0, 0.0);
        }
        let filled = 0.5 * self.share * self.behind;
        let (mut low, mut high) = (0.5, 1.0);
        let mut place: f64 = 0.75;
        let mut slope = 1.0;
        for _ in 0..SEARCH {
            let (from_face, to_node) = (place - 0.5, 1.0 - place);
            let off = filled * from_face * from_face / place - self.bend * to_node * to_node - over;
            slope = filled * (1.0 - 0.25 / (place * place)) + 2.0 * self.bend * to_node;
            if off > 0.0 {
                high = place;
            } else {
                low = place;
            }
            let next = place - off / slope;
            // Newton, halved where it leaves what is known.
            let next = if next > low && next < high {
                next
            } else {
                0.5 * (low + high)
            };
            let moved = (next - place).abs();
            place = next;
            if moved < 1e-13 {
                break;
            }
        }
        let to_node = 1.0 - place;
        (
            self.bend * to_node * to_node,
            2.0 * self.bend * to_node / slope,
        )
    }
}

impl Edge {
    pub(super) fn share(self) -> Share {
        let ratio = self.lack / self.bend;
        // Nothing behind: the carbide has just begun in the skin. Not a number: nothing is lacking
        // and nothing flows.
        if ratio.is_nan() || self.behind.is_none() {
            return Share::WHOLE;
        }
        if ratio <= 0.25 {
            return Share {
                factor: 0.0,
                ..Share::WHOLE
            };
        }
        if ratio < 1.0 {
            let root = sqrt(ratio);
            return Share {
                factor: (2.0 * root - 1.0) / ratio,
                by_over: 0.0,
                by_lack: (1.0 - root) / (ratio * ratio * self.bend),
            };
        }
        self.drawn_back(ratio)
    }

    fn drawn_back(self, ratio: f64) -> Share {
        let Some(behind) = self.behind.filter(|behind| *behind > 0.0) else {
            return Share::WHOLE;
        };
        let full = (self.over / behind).min(1.0);
        let by_over = if self.over < behind {
            1.0 / behind
        } else {
            0.0
        };
        // From the place of the node to that of the edge, in gaps.
        let shift = self.extent * (1.0 - full) - 0.5;
        let (ramp, ramp_by) = if full < RAMP {
            (full / RAMP, 1.0 / RAMP)
        } else {
            (1.0, 0.0)
        };
        let (weight, weight_by) = if ratio < 2.0 {
            (ratio - 1.0, 1.0 / self.bend)
        } else {
            (1.0, 0.0)
        };
        let distance = 1.0 + weight * ramp * shift;
        let by_full = weight * (ramp_by * shift - ramp * self.extent);
        let square = distance * distance;
        Share {
            factor: 1.0 / distance,
            by_over: -by_full * by_over / square,
            by_lack: -weight_by * ramp * shift / square,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(over: f64, lack: f64, bend: f64) -> Edge {
        Edge {
            over,
            behind: Some(1.0),
            lack,
            bend,
            extent: 1.0,
        }
    }

    /// The derivatives are those of the factor: central differences of 1e-6 are good to 1e-8.
    #[test]
    fn derivatives_are_those_of_the_factor() {
        for (over, lack, bend) in [
            (0.3, 0.5, 1.0),
            (0.3, 0.9, 1.0),
            (0.3, 1.4, 1.0),
            (0.02, 1.7, 1.0),
            (0.6, 3.0, 1.0),
            (0.04, 0.2, 0.0),
        ] {
            let h = 1e-6;
            let by = |a: Edge, b: Edge| (a.share().factor - b.share().factor) / (2.0 * h);
            let share = edge(over, lack, bend).share();
            let over_h = by(edge(over + h, lack, bend), edge(over - h, lack, bend));
            let lack_h = by(edge(over, lack + h, bend), edge(over, lack - h, bend));
            assert!(
                (share.by_over - over_h).abs() < 1e-7,
                "{over} {lack} {bend}"
            );
            assert!(
                (share.by_lack - lack_h).abs() < 1e-7,
                "{over} {lack} {bend}"
            );
        }
    }

    /// No jump where one case gives over to the next, never negative, never more than the edge on
    /// the face allows: half a gap, a factor of two.
    #[test]
    fn factor_is_continuous_and_bounded() {
        let at = |lack: f64| edge(0.4, lack, 1.0).share().factor;
        let mut before = at(0.0);
        assert_eq!(before, 0.0);
        for k in 1..=4000 {
            let now = at(1e-3 * f64::from(k));
            assert!(
                (0.0..=2.0).contains(&now) && (now - before).abs() < 0.02,
                "{k}"
            );
            before = now;
        }
        // Drawn back half-way, the edge stands on the node.
        assert!((edge(0.5, 9.0, 1.0).share().factor - 1.0).abs() < 1e-12);
        assert_eq!(edge(1.0, 9.0, 0.0).share().factor, 2.0);
        let skin = Edge {
            behind: None,
            ..edge(0.4, 0.1, 1.0)
        };
        assert_eq!(skin.share(), Share::WHOLE);
        assert_eq!(edge(0.4, 0.0, 0.0).share(), Share::WHOLE);
    }
}
