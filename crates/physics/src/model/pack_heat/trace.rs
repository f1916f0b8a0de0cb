//! A recorded temperature, and the few straight pieces that stand for it.

use casewright_terms::{Span, Temperature};

use crate::setup::{Cycle, Ramp};

/// Most pieces of a cycle.
const MOST_PIECES: usize = 48;
/// Wanted distance from the record, in kelvin; doubled until the pieces are few enough.
const TOLERANCE_K: f64 = 1.5;

/// Temperature against time as stepped.
#[derive(Default)]
pub(crate) struct Trace {
    points: Vec<(f64, f64)>,
}

impl Trace {
    pub(crate) fn add(&mut self, time_s: f64, t_k: f64) {
        self.points.push((time_s, t_k));
    }

    /// The pieces (Douglas and Peucker, distance measured in temperature).
    pub(crate) fn cycle(&self) -> Cycle {
        let mut tolerance = TOLERANCE_K;
        loop {
            let kept = simplify(&self.points, tolerance);
            if kept.len() <= MOST_PIECES + 1 {
                return Cycle {
                    pieces: kept
                        .windows(2)
                        .map(|p| Ramp {
                            from: Temperature::from_k(p[0].1),
                            to: Temperature::from_k(p[1].1),
                            duration: Span::from_s(p[1].0 - p[0].0),
                        })
                        .collect(),
                };
            }
            tolerance *= 2.0;
        }
    }
}

fn simplify(points: &[(f64, f64)], tolerance: f64) -> Vec<(f64, f64)> {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[points.len() - 1] = true;
    let mut open = vec![(0, points.len() - 1)];
    while let Some((a, b)) = open.pop() {
        let (start, end) = (points[a], points[b]);
        let width = end.0 - start.0;
        let mut worst = (tolerance, None);
        for (i, p) in points.iter().enumerate().take(b).skip(a + 1) {
            let share = if width > 0.0 {
                (p.0 - start.0) / width
            } else {
                0.0
            };
            let distance = (start.1 + share * (end.1 - start.1) - p.1).abs();
            if distance > worst.0 {
                worst = (distance, Some(i));
            }
        }
        if let Some(i) = worst.1 {
            keep[i] = true;
            open.extend([(a, i), (i, b)]);
        }
    }
    points
        .iter()
        .zip(keep)
        .filter_map(|(p, k)| k.then_some(*p))
        .collect()
}
