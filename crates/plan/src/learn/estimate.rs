//! The estimate: standard normal values u of the things, a straight response with noise for each job,
//! and a limit on the pull of any job.
//!
//! It minimises ½|u|² + Σⱼ ρ(|eⱼ|) with eⱼ = Lⱼ⁻¹(rⱼ − Hⱼu), LⱼLⱼᵀ the noise of the job (readings,
//! what is new in each job, what the straight response leaves out), and ρ quadratic up to κⱼ and
//! straight beyond [huber-1964]. The sum is convex: there is one minimum, and it does not hang on
//! where the search for it began. Where no job is beyond its κ it is the conjugate normal posterior.
//!
//! **Cap.** κⱼ = [`CAP`]/‖Lⱼ⁻¹Hⱼ‖. Without job j the sum is still at least as curved as ½|u|²; the
//! gradient that j adds is no longer than ‖Lⱼ⁻¹Hⱼ‖κⱼ. So taking j in or out moves u by no more than
//! [`CAP`], whatever was read (`tests::no_reading_moves_a_factor_by_more_than_its_cap`).

use std::collections::{BTreeMap, BTreeSet};

use casewright_job::shop::{Learnt, Subject, Trait};

use super::Lesson;
use crate::beliefs::{KEPT, N, Things, kept};
use crate::doubt::Z_95;

/// Farthest that one job can move any value, in standard deviations of what is doubted without
/// evidence: the half-width that holds 90 %.
pub const CAP: f64 = Z_95;

/// Rounds of weighing. The weights settle by a third or more in each.
const MOST_ROUNDS: usize = 300;
/// Weights that move by less than this have settled.
const SETTLED: f64 = 1e-13;
/// Values are kept to so many parts of a unit: a millionth of the doubt.
const KEPT_TO: f64 = 1e6;

/// What a value belongs to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Thing(Subject, String, usize),
    Tester(String),
}

/// The estimate.
#[derive(Clone, Debug)]
pub(super) struct Estimate {
    keys: BTreeMap<Key, usize>,
    mid: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    /// By lesson.
    pub(super) weights: Vec<f64>,
}

/// A job, whitened by its noise.
struct Job {
    /// By row, then by value.
    response: Vec<Vec<f64>>,
    off: Vec<f64>,
    limit: f64,
}

impl Estimate {
    /// From lessons in the order of their runs.
    pub(super) fn of(lessons: &[&Lesson]) -> Self {
        let keys = keys(lessons);
        let n = keys.len();
        let jobs: Vec<Job> = lessons.iter().map(|l| Job::of(l, &keys)).collect();
        let mut weights = vec![1.0; jobs.len()];
        let mut factor = Vec::new();
        let mut mid = vec![0.0; n];
        for _ in 0..MOST_ROUNDS {
            let (information, force) = sums(&jobs, &weights, n);
            factor = cholesky(information);
            mid = solve(&factor, force);
            let mut moved = 0.0_f64;
            for (job, weight) in jobs.iter().zip(&mut weights) {
                let now = job.weight(&mid);
                moved = moved.max((now - *weight).abs());
                *weight = now;
            }
            if moved < SETTLED {
                break;
            }
        }
        let unit = |i: usize| (0..n).map(|j| f64::from(u8::from(i == j))).collect();
        let covariance = (0..n).map(|i| solve(&factor, unit(i))).collect();
        Self {
            keys,
            mid,
            covariance,
            weights,
        }
    }

    /// Values as the shop file takes them.
    pub(super) fn values(&self, lessons: &[&Lesson]) -> Vec<Learnt> {
        let mut all: Vec<(usize, Learnt)> = Vec::new();
        for (key, &i) in &self.keys {
            let Key::Thing(about, mark, dimension) = key else {
                continue;
            };
            let deviation = |i: usize| self.covariance[i][i].sqrt();
            let together = all
                .iter()
                .map(|(j, _)| self.covariance[i][*j] / (deviation(i) * deviation(*j)));
            let together = together.map(|c| rounded(c.clamp(-1.0, 1.0))).collect();
            let with: Vec<&&Lesson> = lessons
                .iter()
                .filter(|lesson| lesson.things.mark(*about) == mark)
                .collect();
            all.push((
                i,
                Learnt {
                    about: *about,
                    mark: mark.clone(),
                    what: of_dimension(*dimension),
                    mid: rounded(self.mid[i] / Z_95),
                    doubt: rounded(deviation(i)).clamp(0.01, 1.0),
                    together,
                    date: with.iter().filter_map(|l| l.date.clone()).max(),
                    from: with.iter().map(|l| l.run.clone()).collect(),
                },
            ));
        }
        all.into_iter().map(|(_, value)| value).collect()
    }

    /// Mark, factor on hardness and 90 % either way of each tester, in the shares that its own checks
    /// leave open: 1 is the whole of that.
    pub(super) fn testers(&self) -> Vec<(String, f64, f64)> {
        self.keys
            .iter()
            .filter_map(|(key, &i)| match key {
                Key::Tester(mark) => Some((
                    mark.clone(),
                    self.mid[i] / Z_95,
                    self.covariance[i][i].sqrt(),
                )),
                Key::Thing(..) => None,
            })
            .collect()
    }

    /// Middle and standard deviation of a value; `None` where it is not among them.
    pub(super) fn of_key(
        &self,
        about: Subject,
        mark: &str,
        dimension: usize,
    ) -> Option<(f64, f64)> {
        let key = Key::Thing(about, mark.to_owned(), dimension);
        let &i = self.keys.get(&key)?;
        Some((self.mid[i], self.covariance[i][i].sqrt()))
    }

    /// What a response with these slopes, on a job with these things, is moved by, and the variance
    /// that is left: of the things, and new in each job.
    pub(super) fn response(&self, things: &Things, slopes: &[f64; N]) -> (f64, f64, f64) {
        let places: Vec<(usize, f64)> = KEPT
            .iter()
            .filter_map(|(d, about, _, part)| {
                let key = Key::Thing(*about, things.mark(*about).to_owned(), *d);
                Some((*self.keys.get(&key)?, part.sqrt() * slopes[*d]))
            })
            .collect();
        let mid = places.iter().map(|(i, slope)| self.mid[*i] * slope).sum();
        let of_things = places
            .iter()
            .flat_map(|a| places.iter().map(move |b| (a, b)))
            .map(|((i, a), (j, b))| a * b * self.covariance[*i][*j])
            .sum();
        let new = (0..N)
            .map(|d| slopes[d] * slopes[d] * (1.0 - kept(d)))
            .sum();
        (mid, of_things, new)
    }
}

fn of_dimension(dimension: usize) -> Trait {
    KEPT.iter()
        .find(|(d, ..)| *d == dimension)
        .map_or(Trait::Transfer, |(_, _, what, _)| *what)
}

fn rounded(value: f64) -> f64 {
    (value * KEPT_TO).round() / KEPT_TO
}

fn keys(lessons: &[&Lesson]) -> BTreeMap<Key, usize> {
    let mut set = BTreeSet::new();
    for lesson in lessons {
        for (dimension, about, _, _) in KEPT {
            set.insert(Key::Thing(
                about,
                lesson.things.mark(about).to_owned(),
                dimension,
            ));
        }
        for row in &lesson.rows {
            set.extend(row.testers.iter().map(|(id, _)| Key::Tester(id.clone())));
        }
    }
    set.into_iter()
        .enumerate()
        .map(|(i, key)| (key, i))
        .collect()
}

impl Job {
    fn of(lesson: &Lesson, keys: &BTreeMap<Key, usize>) -> Self {
        let rows = &lesson.rows;
        let mut noise = vec![vec![0.0; rows.len()]; rows.len()];
        for (a, one) in rows.iter().enumerate() {
            for (b, other) in rows.iter().enumerate() {
                noise[a][b] = (0..N)
                    .map(|d| one.slopes[d] * other.slopes[d] * (1.0 - kept(d)))
                    .sum();
            }
            noise[a][a] += one.own * one.own + one.bend * one.bend;
        }
        let factor = cholesky(noise);
        let columns = keys.keys().map(|key| {
            let column = rows.iter().map(|row| match key {
                Key::Thing(about, mark, d) if lesson.things.mark(*about) == mark => {
                    row.slopes[*d] * kept(*d).sqrt()
                }
                Key::Thing(..) => 0.0,
                Key::Tester(id) => row
                    .testers
                    .iter()
                    .filter(|(t, _)| t == id)
                    .map(|t| t.1)
                    .sum(),
            });
            forward(&factor, column.collect())
        });
        let columns: Vec<Vec<f64>> = columns.collect();
        let response: Vec<Vec<f64>> = (0..rows.len())
            .map(|a| columns.iter().map(|column| column[a]).collect())
            .collect();
        let off = forward(&factor, rows.iter().map(|row| row.off).collect());
        let limit = CAP / norm(&response).max(1e-9);
        Self {
            response,
            off,
            limit,
        }
    }

    /// 1 while the job is within its limit, less beyond.
    fn weight(&self, mid: &[f64]) -> f64 {
        let square: f64 = self
            .response
            .iter()
            .zip(&self.off)
            .map(|(row, off)| {
                let foretold: f64 = row.iter().zip(mid).map(|(h, u)| h * u).sum();
                (off - foretold) * (off - foretold)
            })
            .sum();
        (self.limit / square.sqrt().max(1e-300)).min(1.0)
    }
}

/// An upper bound of the greatest stretch of a matrix, at most 3 % above it for six rows: the trace of
/// a high power of the square.
fn norm(rows: &[Vec<f64>]) -> f64 {
    let n = rows.len();
    let dot = |a: &Vec<f64>, b: &Vec<f64>| -> f64 { a.iter().zip(b).map(|(x, y)| x * y).sum() };
    let mut square: Vec<Vec<f64>> = rows
        .iter()
        .map(|a| rows.iter().map(|b| dot(a, b)).collect())
        .collect();
    let scale = (0..n).map(|i| square[i][i]).sum::<f64>().max(1e-300);
    for row in &mut square {
        for entry in row {
            *entry /= scale;
        }
    }
    for _ in 0..5 {
        square = (0..n)
            .map(|i| (0..n).map(|j| dot(&square[i], &square[j])).collect())
            .collect();
    }
    let trace: f64 = (0..n).map(|i| square[i][i]).sum();
    // The 32nd root by five square roots.
    (scale * (0..5).fold(trace, |x, _| x.sqrt())).sqrt()
}

/// Information and force of the jobs, the prior's own 1 included.
fn sums(jobs: &[Job], weights: &[f64], n: usize) -> (Vec<Vec<f64>>, Vec<f64>) {
    let mut information = vec![vec![0.0; n]; n];
    for (i, row) in information.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    let mut force = vec![0.0; n];
    for (job, weight) in jobs.iter().zip(weights) {
        for (row, off) in job.response.iter().zip(&job.off) {
            for i in 0..n {
                if row[i] != 0.0 {
                    force[i] += weight * row[i] * off;
                    for j in 0..n {
                        information[i][j] += weight * row[i] * row[j];
                    }
                }
            }
        }
    }
    (information, force)
}

/// The lower factor of a symmetric positive matrix. A pivot that rounding has eaten is held above 0.
fn cholesky(mut a: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let n = a.len();
    for j in 0..n {
        let done: f64 = (0..j).map(|k| a[j][k] * a[j][k]).sum();
        let root = (a[j][j] - done).max(1e-14).sqrt();
        a[j][j] = root;
        for i in j + 1..n {
            let done: f64 = (0..j).map(|k| a[i][k] * a[j][k]).sum();
            a[i][j] = (a[i][j] - done) / root;
        }
    }
    a
}

fn forward(factor: &[Vec<f64>], mut b: Vec<f64>) -> Vec<f64> {
    for i in 0..b.len() {
        let done: f64 = (0..i).map(|k| factor[i][k] * b[k]).sum();
        b[i] = (b[i] - done) / factor[i][i];
    }
    b
}

fn solve(factor: &[Vec<f64>], b: Vec<f64>) -> Vec<f64> {
    let mut b = forward(factor, b);
    for i in (0..b.len()).rev() {
        let done: f64 = (i + 1..b.len()).map(|k| factor[k][i] * b[k]).sum();
        b[i] = (b[i] - done) / factor[i][i];
    }
    b
}
