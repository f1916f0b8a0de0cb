//! Grid lines along one axis: through given places, finest at marks, growing away from them.

/// A stretch where the gaps are finest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// Where it begins, in metres.
    pub from_m: f64,
    /// Where it ends, in metres; the same place for a single line.
    pub to_m: f64,
    /// Gap within it, in metres. At most the general finest gap: the gaps grow from here as
    /// [`Growth`] says; larger: a limit on the gaps near by and nothing else.
    pub finest_m: f64,
}

/// How gaps grow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// Gap at the marks, in metres.
    pub finest_m: f64,
    /// Distance from a mark at which the gap has doubled, in metres; it grows with the square.
    pub reach_m: f64,
    /// The same, gap and distance, for thin layers at marks that are a single line: their nodes are
    /// laid over those of the growth. An endless gap is none.
    pub skin_m: [(f64, f64); SKINS],
}

/// Most thin layers.
pub const SKINS: usize = 3;
/// No thin layer.
pub const NO_SKIN: [(f64, f64); SKINS] = [(f64::INFINITY, 1.0); SKINS];

/// Growth of the gap per distance from a mark with a gap of its own: each gap is at most a third
/// larger than the one before.
const SPREAD: f64 = 0.3;
/// Points between two fixed places at which the gap is looked up; more where there are thin layers,
/// which may be a hundredth of the stretch.
const SAMPLES: usize = 256;
const SAMPLES_SKIN: usize = 4096;

impl Growth {
    /// Gap at a place, in metres.
    fn gap_m(&self, marks: &[Mark], x: f64) -> f64 {
        let mut nearest = f64::INFINITY;
        let mut fine = f64::INFINITY;
        let mut skin = f64::INFINITY;
        for mark in marks {
            let off = (mark.from_m - x).max(x - mark.to_m).max(0.0);
            if mark.finest_m <= self.finest_m {
                nearest = nearest.min(off);
                if mark.from_m == mark.to_m {
                    skin = skin.min(off);
                }
            }
            if mark.finest_m != self.finest_m {
                fine = fine.min(mark.finest_m + SPREAD * off);
            }
        }
        let grown = |off: f64, (finest, reach): (f64, f64)| {
            let ratio = off / reach;
            finest * (1.0 + ratio * ratio)
        };
        let mut per_m = 1.0 / grown(nearest, (self.finest_m, self.reach_m));
        for layer in self.skin_m {
            per_m += 1.0 / grown(skin, layer);
        }
        fine.min(1.0 / per_m)
    }
}

/// Lines through all `fixed` places (ascending), with gaps as `growth` and `marks` ask, or with
/// exactly `gaps` gaps in the same proportions where that is given (never fewer than one between
/// two fixed places).
///
/// # Panics
/// When fewer than two places are given or they do not ascend.
#[must_use]
pub fn lines(fixed: &[f64], marks: &[Mark], growth: Growth, gaps: Option<usize>) -> Vec<f64> {
    assert!(
        fixed.len() >= 2 && fixed.windows(2).all(|w| w[0] < w[1]),
        "places must ascend: {fixed:?}"
    );
    let stretches: Vec<Vec<f64>> = fixed
        .windows(2)
        .map(|w| running(w[0], w[1], marks, growth))
        .collect();
    let wanted: Vec<f64> = stretches.iter().map(|s| s[s.len() - 1]).collect();
    let counts = match gaps {
        None => wanted.iter().map(|w| (w.ceil() as usize).max(1)).collect(),
        Some(gaps) => share(&wanted, gaps),
    };
    let mut nodes = Vec::new();
    for ((ends, stretch), count) in fixed.windows(2).zip(&stretches).zip(counts) {
        nodes.push(ends[0]);
        let samples = stretch.len() - 1;
        let width = (ends[1] - ends[0]) / samples as f64;
        for k in 1..count {
            let target = stretch[samples] * k as f64 / count as f64;
            let i = stretch.partition_point(|s| *s <= target).clamp(1, samples) - 1;
            let within = (target - stretch[i]) / (stretch[i + 1] - stretch[i]);
            nodes.push(ends[0] + width * (i as f64 + within));
        }
    }
    nodes.extend(fixed.last());
    nodes
}

/// Running number of gaps over a stretch, at equal steps.
fn running(from: f64, to: f64, marks: &[Mark], growth: Growth) -> Vec<f64> {
    let samples = if growth.skin_m == NO_SKIN {
        SAMPLES
    } else {
        SAMPLES_SKIN
    };
    let width = (to - from) / samples as f64;
    let mut sum = 0.0;
    let mut all = vec![0.0];
    for k in 0..samples {
        // Middle of the step: symmetric stretches stay symmetric.
        sum += width / growth.gap_m(marks, from + width * (k as f64 + 0.5));
        all.push(sum);
    }
    all
}

/// Gives out `total` in proportion, at least 1 each; the largest remainders get the rest.
fn share(wanted: &[f64], total: usize) -> Vec<usize> {
    let sum: f64 = wanted.iter().sum();
    let spare = total.saturating_sub(wanted.len());
    let exact: Vec<f64> = wanted.iter().map(|w| spare as f64 * w / sum).collect();
    let mut counts: Vec<usize> = exact.iter().map(|e| 1 + *e as usize).collect();
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| exact[*b].fract().total_cmp(&exact[*a].fract()));
    let given: usize = counts.iter().sum();
    for k in order.into_iter().take(total.saturating_sub(given)) {
        counts[k] += 1;
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    const GROWTH: Growth = Growth {
        finest_m: 1e-4,
        reach_m: 2e-3,
        skin_m: NO_SKIN,
    };

    #[test]
    fn lines_pass_through_the_fixed_places_and_ascend() {
        let marks = [
            Mark {
                from_m: 0.0,
                to_m: 0.0,
                finest_m: 1e-4,
            },
            Mark {
                from_m: 0.007,
                to_m: 0.008,
                finest_m: 2e-5,
            },
        ];
        let fixed = [0.0, 0.007, 0.008, 0.02];
        for gaps in [None, Some(40), Some(300)] {
            let x = lines(&fixed, &marks, GROWTH, gaps);
            assert!(x.windows(2).all(|w| w[0] < w[1]));
            for f in fixed {
                assert!(x.contains(&f), "{f}");
            }
            if let Some(gaps) = gaps {
                assert_eq!(x.len(), gaps + 1);
            } else {
                assert!(x[1] <= 1.05e-4, "finest at the surface: {}", x[1]);
                let i = x.partition_point(|v| *v < 0.0075);
                // Rounding up only makes gaps finer; the sampling adds a percent.
                assert!(x[i] - x[i - 1] <= 2.02e-5, "{}", x[i] - x[i - 1]);
            }
            // Gaps change gently: by the growth within a stretch, by rounding of counts between.
            let gaps: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
            if x.len() > 100 {
                let jump = gaps
                    .windows(2)
                    .map(|w| (w[0] / w[1]).max(w[1] / w[0]))
                    .fold(1.0, f64::max);
                assert!(jump < 1.6, "{jump}");
            }
        }
    }

    #[test]
    fn a_symmetric_wish_gives_symmetric_lines() {
        let marks = [0.0, 0.004].map(|at| Mark {
            from_m: at,
            to_m: at,
            finest_m: 1e-4,
        });
        let x = lines(&[0.0, 0.004], &marks, GROWTH, None);
        let n = x.len();
        for i in 0..n {
            // Rounding of sums of 256 terms.
            assert!((x[i] + x[n - 1 - i] - 0.004).abs() < 1e-15, "{i}");
        }
    }
}
