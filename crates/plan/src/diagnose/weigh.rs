//! How likely the evidence is under each cause: readings by a normal law with what they have in common,
//! sights by their own chance, the free amount summed out.
//!
//! Readings share four doubts: what a tester is off on a scale, how deep this lot's cases really are
//! against the plan, how deep one piece's is against its neighbours', and how hard the steel is against
//! the fits. Each is one more column in the
//! covariance, so a reading counts for what it tells beyond them. How strongly readings on one place
//! scatter tells soft spots from a lot that is soft throughout.

use casewright_physics::numerics::fun;

use super::cause::Cause;
use super::data::{Check, Data, Datum, Spot, tester_doubt};
use super::foretell::{Foretold, per_percent};

/// A tester that is wrong: its error as a share of the hardness, a standard deviation, in percent. Twelve
/// percent are some five points of HRC. [reading-scatter-assumed]
const WRONG_TESTER_PERCENT: f64 = 12.0;
/// Doubt of each reading where none of the causes is at work, in percent of the hardness.
const UNKNOWN_PERCENT: f64 = 8.0;
/// Readings on one place scatter so much more than a tester alone, as a factor, on real work.
/// [reading-scatter-assumed]
pub(super) const WORK_SCATTER: f64 = 1.5;
/// Scatter where there are soft spots, in percent of the hardness.
const SPOTTED_PERCENT: f64 = 8.0;
/// Share of readings that fall on a soft spot.
const SPOT_SHARE: f64 = 0.35;
/// Readings shallower than this are on spots of their own, in mm; deeper ones are steps into one.
const SKIN_MM: f64 = 0.15;
/// Least log-likelihood of one cause, so that sums stay numbers.
const NEVER: f64 = -1e6;

/// What readings have in common apart from the lot.
pub(super) struct Common {
    /// One row per tester and scale: value per datum, then per check; a standard deviation.
    testers: Vec<Vec<f64>>,
    /// One row per tester, for one that is wrong on all scales alike.
    wrong: Vec<Vec<f64>>,
    /// Points of a percent of hardness, per datum and check.
    percent: Vec<f64>,
    /// Pieces that were in the box.
    pieces: Vec<String>,
    /// What one piece's depth differs from another's, over the doubt about the lot's.
    place_ratio: f64,
}

/// Readings and checks as one row of numbers.
fn count(data: &Data) -> usize {
    data.readings.len() + data.checks.len()
}

impl Common {
    pub(super) fn of(data: &Data, place_ratio: f64) -> Self {
        let scales: Vec<(&str, casewright_job::evidence::TestScale, f64)> = data
            .readings
            .iter()
            .map(|d| (d.tester.as_str(), d.scale, d.value))
            .chain(
                data.checks
                    .iter()
                    .map(|c| (c.tester.as_str(), c.scale, c.nominal)),
            )
            .collect();
        let percent: Vec<f64> = scales
            .iter()
            .map(|(_, scale, value)| {
                let hard = casewright_terms::Hardness::new(scale.scale, *value);
                let hv = casewright_physics::law::hardness_conversion::hv_of(hard)
                    .map_or(600.0, |hv| hv.value.to_hv());
                per_percent(scale.scale, hv)
            })
            .collect();
        let mut kinds: Vec<(&str, String)> = scales
            .iter()
            .map(|(tester, scale, _)| (*tester, scale.to_string()))
            .collect();
        kinds.sort();
        kinds.dedup();
        let testers = kinds
            .iter()
            .map(|(tester, scale)| {
                scales
                    .iter()
                    .map(|(own, of, value)| {
                        let same = own == tester && of.to_string() == *scale;
                        if same { tester_doubt(*of, *value) } else { 0.0 }
                    })
                    .collect()
            })
            .collect();
        let mut marks: Vec<&str> = kinds.iter().map(|(tester, _)| *tester).collect();
        marks.dedup();
        let wrong = marks
            .iter()
            .map(|mark| {
                scales
                    .iter()
                    .zip(&percent)
                    .map(|((own, _, _), percent)| {
                        if own == mark {
                            WRONG_TESTER_PERCENT * percent
                        } else {
                            0.0
                        }
                    })
                    .collect()
            })
            .collect();
        Self {
            testers,
            wrong,
            percent,
            pieces: data.boxed_pieces(),
            place_ratio,
        }
    }
}

/// The work of one log-likelihood, kept so that nothing is allocated per grid point.
pub(super) struct Scales<'d> {
    data: &'d Data,
    common: &'d Common,
}

/// Which doubts beyond the usual are at work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Extra {
    None,
    WrongTester,
    Unknown,
}

impl<'d> Scales<'d> {
    pub(super) fn new(data: &'d Data, common: &'d Common) -> Self {
        Self { data, common }
    }

    /// Log-likelihood of everything under one grid point of a cause.
    pub(super) fn log(&self, cause: Cause, point: &Foretold) -> f64 {
        let extra = match cause {
            Cause::TesterOff => Extra::WrongTester,
            Cause::Other => Extra::Unknown,
            _ => Extra::None,
        };
        let all: Vec<usize> = (0..count(self.data)).collect();
        let log = self.readings(point, &all, extra)
            + point.sights.iter().sum::<f64>()
            + self.within(cause);
        log.max(NEVER)
    }

    /// The same for one piece alone, checks left out: for causes that strike each piece otherwise.
    pub(super) fn log_of_piece(&self, point: &Foretold, piece: &str) -> f64 {
        let own: Vec<usize> = (0..self.data.readings.len())
            .filter(|i| self.data.readings[*i].piece == piece)
            .collect();
        let sights = self.sights(point, |of| of == piece);
        (self.readings(point, &own, Extra::None) + sights).max(NEVER)
    }

    /// What was seen on the pieces that are asked for.
    fn sights(&self, point: &Foretold, asked: impl Fn(&str) -> bool) -> f64 {
        let all = self.data.sights.iter().zip(&point.sights);
        all.filter(|(sight, _)| asked(&sight.piece))
            .map(|(_, log)| log)
            .sum()
    }

    /// Everything that `log_of_piece` leaves out for these pieces.
    pub(super) fn log_of_rest(&self, point: &Foretold, pieces: &[String]) -> f64 {
        let not_theirs = |piece: &str| !pieces.iter().any(|own| own == piece);
        let n = self.data.readings.len();
        let own: Vec<usize> = (0..count(self.data))
            .filter(|i| *i >= n || not_theirs(&self.data.readings[*i].piece))
            .collect();
        let sights = self.sights(point, not_theirs);
        self.readings(point, &own, Extra::None) + sights + self.within(Cause::AsPlanned)
    }

    /// Soft spots: each place is sound or, by chance, as soft as one of the `soft` points.
    pub(super) fn log_spotted(&self, sound: &Foretold, soft: &[Foretold]) -> f64 {
        let mut log = self.within(Cause::SoftSpots) + sound.sights.iter().sum::<f64>();
        for place in self.places() {
            let at = |point: &Foretold| -> f64 {
                let own = place.iter().map(|i| self.alone(*i, point)).sum();
                fun::exp(own)
            };
            let struck: f64 = soft.iter().map(|point| at(point) * point.weight).sum();
            let chance = (1.0 - SPOT_SHARE) * at(sound) + SPOT_SHARE * struck;
            log += fun::ln(chance.max(1e-300));
        }
        for check in &self.data.checks {
            let bias = tester_doubt(check.scale, check.nominal);
            let var = check.doubt * check.doubt + bias * bias;
            log -= 0.5 * (check.off * check.off / var + fun::ln(2.0 * std::f64::consts::PI * var));
        }
        log.max(NEVER)
    }

    /// Readings that lie on one place: steps ground into one spot go into the same steel.
    fn places(&self) -> Vec<Vec<usize>> {
        let deep = |d: &Datum| match d.spot {
            Spot::Surface(gone) => gone.to_mm() > SKIN_MM,
            Spot::Depth(_) => true,
            Spot::Finished(_) | Spot::Core | Spot::Soft => false,
        };
        let readings = &self.data.readings;
        let mut places: Vec<Vec<usize>> = Vec::new();
        for (i, datum) in readings.iter().enumerate() {
            let same = places.iter_mut().find(|place| {
                let first = &readings[place[0]];
                deep(first) && deep(datum) && first.piece == datum.piece
            });
            match same {
                Some(place) => place.push(i),
                None => places.push(vec![i]),
            }
        }
        places
    }

    /// Log-density of one reading alone.
    fn alone(&self, i: usize, point: &Foretold) -> f64 {
        let var = self.variance(i, point);
        let off = self.data.readings[i].value - point.mean[i];
        -0.5 * (off * off / var + fun::ln(2.0 * std::f64::consts::PI * var))
    }

    /// Variance of one reading alone, all doubts together.
    fn variance(&self, i: usize, point: &Foretold) -> f64 {
        let datum = &self.data.readings[i];
        let own = own_variance(datum, point.own[i]);
        let bias = tester_doubt(datum.scale, datum.value);
        let ratio = self.common.place_ratio;
        own + point.by_depth[i] * point.by_depth[i] * (1.0 + ratio * ratio)
            + point.by_hardness[i] * point.by_hardness[i]
            + bias * bias
    }

    /// How far a reading is off a grid point, in standard deviations of all doubts together.
    pub(super) fn off(&self, i: usize, point: &Foretold) -> f64 {
        (self.data.readings[i].value - point.mean[i]) / fun::sqrt(self.variance(i, point))
    }

    /// Scatter of readings on one place: that of a tester on work, or that of soft spots.
    fn within(&self, cause: Cause) -> f64 {
        let mut log = 0.0;
        for (datum, percent) in self.data.readings.iter().zip(&self.common.percent) {
            if datum.count < 2 {
                continue;
            }
            let freedom = (datum.count - 1) as f64;
            let usual = WORK_SCATTER * datum.scatter;
            let at = |sd: f64| -0.5 * datum.squares / (sd * sd) - freedom * fun::ln(sd);
            let wide = usual.hypot(SPOTTED_PERCENT * percent);
            log += match cause {
                // Spots may miss a place.
                Cause::SoftSpots => mixed(at(usual), at(wide), 0.6),
                Cause::Other => mixed(at(usual), at(wide), 0.3),
                // A stray reading now and then.
                _ => mixed(at(usual), at(wide), 0.05),
            };
        }
        log
    }

    fn readings(&self, point: &Foretold, which: &[usize], extra: Extra) -> f64 {
        let n = which.len();
        if n == 0 {
            return 0.0;
        }
        let readings = self.data.readings.len();
        let mut off = vec![0.0; n];
        let mut matrix = vec![0.0; n * n];
        let mut columns: Vec<Vec<f64>> = vec![vec![0.0; n], vec![0.0; n]];
        for (a, i) in which.iter().enumerate() {
            if *i < readings {
                let datum = &self.data.readings[*i];
                off[a] = datum.value - point.mean[*i];
                matrix[a * n + a] = own_variance(datum, point.own[*i]);
                if extra == Extra::Unknown {
                    let wide = UNKNOWN_PERCENT * self.common.percent[*i];
                    matrix[a * n + a] += wide * wide;
                }
                columns[0][a] = point.by_depth[*i];
                columns[1][a] = point.by_hardness[*i];
            } else {
                let check: &Check = &self.data.checks[*i - readings];
                off[a] = check.off;
                matrix[a * n + a] = check.doubt * check.doubt;
            }
        }
        for piece in &self.common.pieces {
            let own = |i: &usize| match self.data.readings.get(*i) {
                Some(datum) if datum.piece == *piece => {
                    point.by_depth[*i] * self.common.place_ratio
                }
                _ => 0.0,
            };
            columns.push(which.iter().map(own).collect());
        }
        let mut add = |rows: &[Vec<f64>]| {
            for row in rows {
                columns.push(which.iter().map(|i| row[*i]).collect());
            }
        };
        add(&self.common.testers);
        if extra == Extra::WrongTester {
            add(&self.common.wrong);
        }
        for column in &columns {
            for a in 0..n {
                for b in 0..=a {
                    matrix[a * n + b] += column[a] * column[b];
                }
            }
        }
        normal(&mut matrix, &mut off)
    }
}

/// Scatter of a mean on work, with what the model does not know of one place against another.
fn own_variance(datum: &Datum, own: f64) -> f64 {
    let random = WORK_SCATTER * datum.scatter;
    random * random / datum.count.max(1) as f64 + own * own
}

/// Log of (1 − share) eᵃ + share eᵇ.
fn mixed(a: f64, b: f64, share: f64) -> f64 {
    let (a, b) = (a + fun::ln(1.0 - share), b + fun::ln(share));
    let most = a.max(b);
    most + fun::ln(fun::exp(a - most) + fun::exp(b - most))
}

/// Log-density of the normal law with this covariance (lower triangle, row by row) at `off`, by
/// Cholesky's factor.
fn normal(matrix: &mut [f64], off: &mut [f64]) -> f64 {
    let n = off.len();
    let mut log = -0.5 * n as f64 * fun::ln(2.0 * std::f64::consts::PI);
    for j in 0..n {
        let (above, rest) = matrix.split_at_mut(j * n);
        let row = &mut rest[..n];
        for k in 0..j {
            let other = &above[k * n..k * n + n];
            let sum: f64 = (0..k).map(|m| row[m] * other[m]).sum();
            row[k] = (row[k] - sum) / other[k];
        }
        let sum: f64 = (0..j).map(|m| row[m] * row[m]).sum();
        // Every reading has a scatter of its own, so that the diagonal stays above it.
        let root = fun::sqrt((row[j] - sum).max(1e-12));
        row[j] = root;
        let known: f64 = (0..j).map(|m| row[m] * off[m]).sum();
        off[j] = (off[j] - known) / root;
        log -= 0.5 * off[j] * off[j] + fun::ln(root);
    }
    log
}

/// Log of a weighted sum of exponentials: (log, weight) pairs.
pub(super) fn sum_out(parts: &[(f64, f64)]) -> f64 {
    let most = parts
        .iter()
        .map(|(log, _)| *log)
        .fold(f64::NEG_INFINITY, f64::max);
    if !most.is_finite() {
        return NEVER;
    }
    let sum: f64 = parts
        .iter()
        .map(|(log, weight)| weight * fun::exp(log - most))
        .sum();
    most + fun::ln(sum.max(1e-300))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two values with variance 2 and covariance 1: determinant 3, inverse [2 −1; −1 2]/3. At (1, 0)
    /// the exponent is −1/3. To rounding.
    #[test]
    fn the_normal_law_of_two() {
        let log = normal(&mut [2.0, 0.0, 1.0, 2.0], &mut [1.0, 0.0]);
        let exact = -fun::ln(2.0 * std::f64::consts::PI) - 0.5 * fun::ln(3.0) - 1.0 / 3.0;
        assert!((log - exact).abs() < 1e-14, "{log} {exact}");
    }

    #[test]
    fn a_sum_of_exponentials_does_not_overflow() {
        let log = sum_out(&[(-2000.0, 0.5), (-2000.0, 0.5)]);
        assert!((log + 2000.0).abs() < 1e-12);
        assert_eq!(sum_out(&[]), NEVER);
        assert!((mixed(-3.0, -3.0, 0.2) + 3.0).abs() < 1e-14);
    }
}
