//! What the shop's own jobs have taught, as the planner takes it: for one recipe, where each doubt now
//! stands and how the doubts hang together. It learns nothing itself (`learn` does) and is read from
//! the shop alone.
//!
//! A doubt is a standard normal value z. Part of it belongs to the thing (this lot of compound, this
//! tank) and comes back with it in every job; the rest is new in each job:
//! z = √p u + √(1 − p) w. Only u is learnt. Without evidence z is standard normal whatever p is.

use std::sync::Arc;

use casewright_job::shop::{Learnt, Subject, Trait};
use casewright_job::spec::{Spec, Steel};

use crate::doubt::DIMENSIONS;

/// How many doubts there are.
pub const N: usize = DIMENSIONS.len();

/// What a dimension of the doubts belongs to, and the part of its variance that stays with it from job
/// to job. The rest of the dimensions (tempering oven, chemistry of a heat that has no certificate) are
/// not learnt from coupons: an oven is checked with a second thermometer, and the next bar is of
/// another heat.
///
/// The parts are judgements [trade-practice]; `docs/theory/learning.md` gives the reason of each.
pub const KEPT: [(usize, Subject, Trait, f64); 11] = [
    (0, Subject::Furnace, Trait::Couple, 0.9),
    (1, Subject::Furnace, Trait::Place, 0.9),
    (2, Subject::Steel, Trait::Diffusion, 1.0),
    (3, Subject::Compound, Trait::Transfer, 0.9),
    (4, Subject::PackBox, Trait::HeatUp, 0.5),
    (5, Subject::Tank, Trait::Severity, 0.8),
    (6, Subject::Tank, Trait::Carry, 0.5),
    (7, Subject::Steel, Trait::Kinetics, 0.9),
    (8, Subject::Steel, Trait::Hardness, 0.8),
    (9, Subject::Steel, Trait::Grain, 0.5),
    (11, Subject::Steel, Trait::Lines, 1.0),
];

/// The part of a dimension's variance that stays; 0 for what is new in every job.
#[must_use]
pub fn kept(dimension: usize) -> f64 {
    KEPT.iter()
        .find(|(d, ..)| *d == dimension)
        .map_or(0.0, |(.., part)| *part)
}

/// The things of one job by their marks.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Things {
    /// Furnace.
    pub furnace: String,
    /// Box.
    pub pack_box: String,
    /// Compound; of a mixture, as the plan writes it.
    pub compound: String,
    /// Steel.
    pub steel: String,
    /// Tank.
    pub tank: String,
}

impl Things {
    /// The mark of the thing that something belongs to.
    #[must_use]
    pub fn mark(&self, about: Subject) -> &str {
        match about {
            Subject::Furnace => &self.furnace,
            Subject::PackBox => &self.pack_box,
            Subject::Compound => &self.compound,
            Subject::Steel => &self.steel,
            Subject::Tank => &self.tank,
        }
    }
}

/// The name under which a steel's values are kept: its grade, or what its certificate calls it. Steels of
/// which neither is known are one.
#[must_use]
pub fn steel_mark(spec: &Spec) -> &str {
    match &spec.steel {
        Steel::Grade { name, .. } => name,
        Steel::Chemistry { label, grade, .. } => match grade.as_deref().unwrap_or(label) {
            "" => "unnamed",
            known => known,
        },
    }
}

/// All that a shop has learnt, with the job's steel.
#[derive(Clone, Debug, PartialEq)]
pub struct Beliefs {
    learnt: Vec<Learnt>,
    steel: String,
}

impl Beliefs {
    /// Of a job's shop; `None` where nothing was learnt.
    #[must_use]
    pub(crate) fn of(spec: &Spec) -> Option<Arc<Self>> {
        let learnt = &spec.shop.learnt;
        (!learnt.is_empty()).then(|| {
            Arc::new(Self {
                learnt: learnt.clone(),
                steel: steel_mark(spec).to_owned(),
            })
        })
    }

    /// The job's steel.
    #[must_use]
    pub(crate) fn steel(&self) -> &str {
        &self.steel
    }

    /// Where the doubts of a job with these things stand; `None` where nothing is known of any.
    #[must_use]
    pub(crate) fn mid(&self, things: &Things) -> Option<[f64; N]> {
        let mut mid = [0.0; N];
        let mut any = false;
        for (dimension, part, index) in self.of_things(things) {
            any = true;
            mid[dimension] = part.sqrt() * self.learnt[index].mid * crate::doubt::Z_95;
        }
        any.then_some(mid)
    }

    /// How the doubts of a job with these things vary together.
    #[must_use]
    pub(crate) fn covariance(&self, things: &Things) -> [[f64; N]; N] {
        let mut all = [[0.0; N]; N];
        for (i, row) in all.iter_mut().enumerate() {
            row[i] = 1.0;
        }
        let found = self.of_things(things);
        for &(i, part_i, a) in &found {
            for &(j, part_j, b) in &found {
                let together = match a.cmp(&b) {
                    std::cmp::Ordering::Equal => 1.0,
                    std::cmp::Ordering::Greater => correlation(&self.learnt[a], b),
                    std::cmp::Ordering::Less => correlation(&self.learnt[b], a),
                };
                let of_things = self.learnt[a].doubt * self.learnt[b].doubt * together;
                all[i][j] = (part_i * part_j).sqrt() * of_things;
            }
            all[i][i] += 1.0 - part_i;
        }
        all
    }

    /// Dimension, part that stays, and place in the list, of what is known about these things.
    fn of_things(&self, things: &Things) -> Vec<(usize, f64, usize)> {
        KEPT.iter()
            .filter_map(|(dimension, about, what, part)| {
                let known = |one: &Learnt| {
                    one.about == *about && one.what == *what && one.mark == things.mark(*about)
                };
                let index = self.learnt.iter().position(known)?;
                Some((*dimension, *part, index))
            })
            .collect()
    }
}

fn correlation(of: &Learnt, with: usize) -> f64 {
    of.together.get(with).copied().unwrap_or(0.0)
}

/// The symmetric root of a covariance, by turning it until it is diagonal (Jacobi). Of all roots
/// it leaves each direction nearest to itself, so that a member's doubts keep their names.
#[must_use]
pub(crate) fn root(covariance: &[[f64; N]; N]) -> [[f64; N]; N] {
    let (values, vectors) = turned(covariance);
    std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            (0..N)
                .map(|k| values[k].max(0.0).sqrt() * vectors[i][k] * vectors[j][k])
                .sum()
        })
    })
}

/// Eigenvalues and, by column, eigenvectors.
fn turned(of: &[[f64; N]; N]) -> ([f64; N], [[f64; N]; N]) {
    let mut a = *of;
    let mut v = [[0.0; N]; N];
    for (i, row) in v.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    // Each sweep squares what is left off the diagonal; eight leave nothing of it.
    for _ in 0..MOST_SWEEPS {
        let off: f64 = (0..N)
            .flat_map(|i| (0..i).map(move |j| (i, j)))
            .map(|(i, j)| a[i][j] * a[i][j])
            .sum();
        if off < 1e-28 {
            break;
        }
        for p in 0..N {
            for q in p + 1..N {
                turn(&mut a, &mut v, p, q);
            }
        }
    }
    (std::array::from_fn(|i| a[i][i]), v)
}

const MOST_SWEEPS: usize = 20;

/// One turn that clears the entry at `p`, `q`.
fn turn(a: &mut [[f64; N]; N], v: &mut [[f64; N]; N], p: usize, q: usize) {
    if a[p][q] == 0.0 {
        return;
    }
    let theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
    let sign = if theta < 0.0 { -1.0 } else { 1.0 };
    let t = sign / (theta.abs() + (theta * theta + 1.0).sqrt());
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    for row in a.iter_mut() {
        let (x, y) = (row[p], row[q]);
        row[p] = c * x - s * y;
        row[q] = s * x + c * y;
    }
    // p stands before q.
    let (upper, lower) = a.split_at_mut(q);
    for (above, below) in upper[p].iter_mut().zip(&mut lower[0]) {
        let (x, y) = (*above, *below);
        *above = c * x - s * y;
        *below = s * x + c * y;
    }
    for row in v.iter_mut() {
        let (x, y) = (row[p], row[q]);
        row[p] = c * x - s * y;
        row[q] = s * x + c * y;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(what: Trait, mid: f64, doubt: f64, together: Vec<f64>) -> Learnt {
        let about = KEPT.iter().find(|(.., t, _)| *t == what).unwrap().1;
        Learnt {
            about,
            mark: "x".to_owned(),
            what,
            mid,
            doubt,
            together,
            date: None,
            from: Vec::new(),
        }
    }

    fn things() -> Things {
        let x = || "x".to_owned();
        Things {
            furnace: x(),
            pack_box: x(),
            compound: x(),
            steel: x(),
            tank: x(),
        }
    }

    /// The root times itself is the covariance again, to rounding of numbers of order one.
    #[test]
    fn the_root_is_one() {
        let beliefs = Beliefs {
            learnt: vec![
                one(Trait::Couple, 0.1, 0.8, vec![]),
                one(Trait::Transfer, 0.3, 0.5, vec![-0.6]),
                one(Trait::Diffusion, 0.0, 0.9, vec![-0.3, -0.2]),
            ],
            steel: "x".to_owned(),
        };
        let covariance = beliefs.covariance(&things());
        let root = root(&covariance);
        for i in 0..N {
            for j in 0..N {
                let product: f64 = (0..N).map(|k| root[i][k] * root[k][j]).sum();
                assert!((product - covariance[i][j]).abs() < 1e-12, "{i} {j}");
            }
        }
        // What stays of the transfer is known to half; a tenth of its variance is new in each job.
        assert!((covariance[3][3] - (0.9 * 0.25 + 0.1)).abs() < 1e-12);
        assert_eq!(covariance[10][10], 1.0);
    }

    /// What is known of another thing says nothing.
    #[test]
    fn another_mark_is_another_thing() {
        let beliefs = Beliefs {
            learnt: vec![one(Trait::Transfer, 0.3, 0.5, vec![])],
            steel: "x".to_owned(),
        };
        let other = Things {
            compound: "y".to_owned(),
            ..things()
        };
        assert!(beliefs.mid(&things()).is_some());
        assert_eq!(beliefs.mid(&other), None);
        assert_eq!(beliefs.covariance(&other)[3][3], 1.0);
    }
}
