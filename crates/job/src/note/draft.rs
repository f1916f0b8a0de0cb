//! A reading in the making: the pieces, their roles, the answers, and what came of them so far.
//!
//! Only bookkeeping; the rules stand in `unit`, `depth`, `hardness` and `order`.

use std::collections::BTreeSet;

use casewright_terms::{Hardness, Length, Scale, UnitSystem};

use super::amount::Shape;
use super::blocks;
use super::piece::Piece;
use super::reading::{Block, DepthKind, HardnessRange, LengthRange, NoteReading, Rule, Stage};
use super::role::Role;
use super::scale::Unit;
use super::words::Meaning;

/// What answers have settled.
#[derive(Clone, Debug, Default)]
pub(super) struct Settled {
    /// Unit of lengths that have none.
    pub(super) unit: Option<Unit>,
    /// The depth itself.
    pub(super) depth: Option<(LengthRange, UnitSystem)>,
    /// Whether a lone depth is the least or the greatest.
    pub(super) depth_shape: Option<Shape>,
    /// Effective or total.
    pub(super) kind: Option<DepthKind>,
    /// Limit hardness.
    pub(super) limit: Option<Hardness>,
    /// Before or after grinding.
    pub(super) stage: Option<Stage>,
    /// Per side, otherwise on the diameter.
    pub(super) per_side: Option<bool>,
    /// The stock itself, per side.
    pub(super) stock: Option<Length>,
    /// Scale of hardnesses that have none.
    pub(super) scale: Option<Scale>,
    /// The surface hardness itself; `Some(None)` for no requirement.
    pub(super) surface: Option<Option<HardnessRange>>,
    /// The core hardness itself; `Some(None)` for no requirement.
    pub(super) core: Option<Option<HardnessRange>>,
    /// Rule of an area with two rules.
    pub(super) area: Option<Rule>,
    /// Codes agreed with the customer without another value.
    pub(super) agreed: BTreeSet<&'static str>,
}

/// The reading in the making.
pub(super) struct Draft {
    /// What came of it so far.
    pub(super) reading: NoteReading,
    /// The note's pieces.
    pub(super) pieces: Vec<Piece>,
    /// Their roles.
    pub(super) roles: Vec<Option<Role>>,
    /// The answers.
    pub(super) settled: Settled,
}

impl Draft {
    /// Opens a point, once per code.
    pub(super) fn block(&mut self, code: &'static str, text: impl Into<String>) {
        if self.settled.agreed.contains(code) || self.is_blocked(code) {
            return;
        }
        self.reading.blocks.push(Block {
            code,
            text: text.into(),
        });
    }

    /// Whether a point is open.
    pub(super) fn is_blocked(&self, code: &str) -> bool {
        self.reading.blocks.iter().any(|b| b.code == code)
    }

    /// Lists an assumption, once.
    pub(super) fn assume(&mut self, text: impl Into<String>) {
        let text = text.into();
        if !self.reading.assumptions.contains(&text) {
            self.reading.assumptions.push(text);
        }
    }

    /// Lists an assumption and shows it beside the piece it was made for.
    pub(super) fn assume_at(&mut self, i: usize, text: impl Into<String>) {
        let text = text.into();
        self.pieces[i].assume(&text);
        self.assume(text);
    }

    /// Indices of the amounts with a role.
    pub(super) fn with_role(&self, role: Role) -> Vec<usize> {
        (0..self.roles.len())
            .filter(|&i| self.roles[i] == Some(role))
            .collect()
    }

    /// Whether any word of the note has this meaning.
    pub(super) fn has(&self, meaning: impl Fn(Meaning) -> bool) -> bool {
        self.pieces
            .iter()
            .any(|p| p.meaning().is_some_and(&meaning))
    }

    /// Words of a piece as written.
    pub(super) fn written(&self, i: usize) -> &str {
        &self.reading.text[self.pieces[i].span.clone()]
    }

    /// Puts the open points into the order of the table.
    pub(super) fn sort_blocks(&mut self) {
        let place = |code: &str| blocks::TABLE.iter().position(|k| k.code == code);
        self.reading.blocks.sort_by_key(|b| place(b.code));
    }
}
