//! The members of the ensemble as rows of numbers: the first are runs of the whole chain, the
//! others are read from a quadratic response fitted to those, each with the error that one of the
//! runs, drawn at random, showed against a fit made without it.
//!
//! Where the response foretells less than half of the depth's variance, there are no members but
//! the runs.

use rayon::prelude::*;

use crate::doubt::{DIMENSIONS, Doubts, Draw, ninety_band};
use crate::recipe::{Departure, Matter, Recipe, Simulated};
use crate::surrogate::Surrogate;

/// A response that foretells less than this share of the variance of the depth is not used.
const FORETOLD_LEAST: f64 = 0.5;

/// What the numbers of a row may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Not below zero.
    Positive,
    /// Between 0 and 100.
    Percent,
}

impl Kind {
    fn kept(self, value: f64) -> f64 {
        match self {
            Self::Positive => value.max(0.0),
            Self::Percent => value.clamp(0.0, 100.0),
        }
    }
}

/// How many members to grow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// In all.
    pub members: usize,
    /// Of which runs of the whole chain.
    pub runs: usize,
}

/// The members.
#[derive(Clone, Debug)]
pub struct Cloud {
    draws: Vec<Draw>,
    rows: Vec<Vec<f64>>,
    kinds: Vec<Kind>,
    runs: usize,
    refused: usize,
    surrogate: Option<Surrogate>,
}

impl Cloud {
    /// Grows an ensemble. `read` makes a row of a run, `kinds` says what its numbers may be, and
    /// `key` names those that decide: the first is the one that the response must foretell.
    #[must_use]
    pub fn grow(
        doubts: &Doubts<'_>,
        recipe: &Recipe<'_>,
        matter: &Matter,
        size: Size,
        read: impl Fn(&Simulated) -> Vec<f64> + Sync,
        kinds: &[Kind],
        key: &[usize],
    ) -> Self {
        let row = |departure: &Departure| Some(read(&recipe.simulate(matter, departure).ok()?));
        Self::grow_from(doubts, size, row, kinds, key)
    }

    /// The same where a row is made of more than one run; `row` gives none where physics refuses.
    pub(crate) fn grow_from(
        doubts: &Doubts<'_>,
        size: Size,
        row: impl Fn(&Departure) -> Option<Vec<f64>> + Sync,
        kinds: &[Kind],
        key: &[usize],
    ) -> Self {
        let asked = size.runs.min(size.members);
        let results: Vec<Option<(Draw, Vec<f64>)>> = (0..asked as u64)
            .into_par_iter()
            .map(|index| {
                let draw = doubts.draw(index);
                let row = row(&doubts.departure(&draw))?;
                Some((draw, row))
            })
            .collect();
        let (mut draws, mut rows): (Vec<Draw>, Vec<Vec<f64>>) =
            results.into_iter().flatten().unzip();
        let runs = rows.len();
        let open: Vec<usize> = (0..DIMENSIONS.len()).filter(|d| doubts.open(*d)).collect();
        let z: Vec<[f64; DIMENSIONS.len()]> = draws.iter().map(|draw| draw.z).collect();
        let surrogate = Surrogate::fit(&z, &rows, &open, key).filter(|fit| {
            key.first()
                .is_none_or(|k| fit.foretold(*k) >= FORETOLD_LEAST)
        });
        if let Some(fit) = &surrogate {
            for index in asked..size.members {
                let draw = doubts.draw(index as u64);
                let run = pick(&draw, runs);
                let mut row = fit.at(&draw.z);
                for (column, value) in row.iter_mut().enumerate() {
                    *value = kinds[column].kept(*value + fit.left_out(column, run));
                }
                draws.push(draw);
                rows.push(row);
            }
        }
        Self {
            draws,
            rows,
            kinds: kinds.to_vec(),
            runs,
            refused: asked - runs,
            surrogate,
        }
    }

    /// The 90 % band of a column; `None` without a member.
    #[must_use]
    pub fn band(&self, column: usize) -> Option<(f64, f64)> {
        let mut values: Vec<f64> = self.rows.iter().map(|row| row[column]).collect();
        (!values.is_empty()).then(|| ninety_band(&mut values))
    }

    /// The 90 % band of a column when the spread of each dimension shrinks to the share that `left`
    /// leaves of it; `None` where no response is known.
    #[must_use]
    pub fn narrowed(&self, column: usize, left: impl Fn(usize) -> f64) -> Option<(f64, f64)> {
        let fit = self.surrogate.as_ref()?;
        let mut values: Vec<f64> = self
            .draws
            .iter()
            .map(|draw| {
                let z = std::array::from_fn(|i| draw.z[i] * left(i));
                let miss = fit.left_out(column, pick(draw, self.runs));
                self.kinds[column].kept(fit.output_at(column, &z) + miss)
            })
            .collect();
        (!values.is_empty()).then(|| ninety_band(&mut values))
    }

    /// Share of the members of which `holds` is true; `None` without a member.
    #[must_use]
    pub fn share(&self, holds: impl Fn(&[f64]) -> bool) -> Option<f64> {
        let members = self.rows.len();
        let holding = self.rows.iter().filter(|row| holds(row)).count();
        (members > 0).then(|| holding as f64 / members as f64)
    }

    /// All rows, runs first.
    #[must_use]
    pub fn rows(&self) -> &[Vec<f64>] {
        &self.rows
    }

    /// The response, where one is used.
    #[must_use]
    pub const fn surrogate(&self) -> Option<&Surrogate> {
        self.surrogate.as_ref()
    }

    /// How many members there are, and how many of them were run.
    #[must_use]
    pub const fn size(&self) -> Size {
        Size {
            members: self.rows.len(),
            runs: self.runs,
        }
    }

    /// How many runs physics refused.
    #[must_use]
    pub const fn refused(&self) -> usize {
        self.refused
    }
}

/// The run whose error a member takes.
fn pick(draw: &Draw, runs: usize) -> usize {
    ((draw.even * runs as f64) as usize).min(runs.saturating_sub(1))
}
