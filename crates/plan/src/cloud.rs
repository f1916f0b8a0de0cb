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

/// Draws that are simulated once more when the plan is changed. What a change does differs from member
/// to member far less than the members do, so few tell it (`study::tests`).
const RUNS_AGAIN: usize = 20;
/// Doubts over which that is a plane.
const PLANE: usize = 4;

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

    /// The members after a change of the plan, from the same draws simulated once more with the change:
    /// `again` gives the row of a draw. What the change does to a column is fitted as a plane over the
    /// doubts that matter most for it, and each member that was not run takes the error that one of
    /// the runs shows against the plane made without it. Beside them stands that error by column, root
    /// mean square. `None` where too few runs settle.
    #[must_use]
    pub fn changed(
        &self,
        again: impl Fn(&Draw) -> Option<Vec<f64>> + Sync,
    ) -> Option<(Self, Vec<f64>)> {
        let runs = self.runs.min(RUNS_AGAIN);
        let again: Vec<Option<Vec<f64>>> = self.draws[..runs].par_iter().map(&again).collect();
        let (z, moved): (Vec<_>, Vec<Vec<f64>>) = self
            .draws
            .iter()
            .zip(&self.rows)
            .zip(&again)
            .filter_map(|((draw, was), is)| {
                let is = is.as_ref()?;
                let by = is.iter().zip(was).map(|(is, was)| is - was).collect();
                Some((draw.z, by))
            })
            .unzip();
        let mut rows = self.rows.clone();
        let mut errors = Vec::with_capacity(self.kinds.len());
        for (column, kind) in self.kinds.iter().enumerate() {
            let by: Vec<Vec<f64>> = moved.iter().map(|row| vec![row[column]]).collect();
            let fit = Surrogate::plane(&z, &by, &self.foremost(column))?;
            errors.push(fit.error(0));
            for (draw, row) in self.draws.iter().zip(&mut rows) {
                let miss = fit.left_out(0, pick(draw, z.len()));
                row[column] = kind.kept(row[column] + fit.output_at(0, &draw.z) + miss);
            }
        }
        for (row, is) in rows.iter_mut().zip(again) {
            if let Some(is) = is {
                *row = is;
            }
        }
        let changed = Self {
            rows,
            draws: self.draws.clone(),
            kinds: self.kinds.clone(),
            runs: z.len(),
            refused: runs - z.len(),
            surrogate: None,
        };
        Some((changed, errors))
    }

    /// The dimensions with the greatest shares in a column.
    fn foremost(&self, column: usize) -> Vec<usize> {
        let Some(fit) = &self.surrogate else {
            return Vec::new();
        };
        let mut list: Vec<(usize, f64)> = (0..DIMENSIONS.len())
            .map(|d| (d, fit.share(column, |i| i == d)))
            .collect();
        list.sort_by(|a, b| b.1.total_cmp(&a.1));
        list.into_iter().take(PLANE).map(|(d, _)| d).collect()
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

/// The run, of so many, whose error a member takes.
fn pick(draw: &Draw, runs: usize) -> usize {
    ((draw.even * runs as f64) as usize).min(runs.saturating_sub(1))
}
