//! Drawing notes: the words on the drawing, phrase by phrase, and what they were taken to mean.
//!
//! [`read`] never fails: whatever it cannot read it shows as not read, and whatever must not be
//! guessed becomes a block with a stable code ([`blocks`]) and a line in the question to the
//! customer. It converts no hardness and knows no steel.
//!
//! Text becomes tokens (`token`), tokens become pieces (`piece`, from `named`, `amount`, `scale`
//! and `words`), pieces get roles (`role`), and `depth`, `hardness`, `order` and `area` turn them
//! into values, assumptions and open points. `answer` reads the note again with what was settled.

mod amount;
mod answer;
mod area;
pub mod blocks;
mod depth;
mod draft;
mod ends;
mod hardness;
mod letter;
mod named;
mod order;
mod piece;
pub mod reading;
mod role;
mod scale;
mod token;
mod unit;
mod words;

use casewright_terms::Diag;

pub use reading::NoteReading;
use reading::{DepthKind, Stage};

use crate::spec::Answer;
use draft::{Draft, Settled};

/// Reads a drawing note. Takes any text and never panics.
#[must_use]
pub fn read(text: &str) -> NoteReading {
    interpret(text, Settled::default())
}

/// Reads the note again with the answers to its open points (all of them at once); a block that
/// is answered goes. Each unknown code or unreadable answer gives a complaint, and so does an
/// answer to a point that was never open.
#[must_use]
pub fn apply_answers(reading: NoteReading, answers: &[Answer]) -> (NoteReading, Vec<Diag>) {
    answer::apply(reading, answers)
}

/// Adds the block `stage` where the note does not say before or after grinding: for jobs that
/// have stock of which the note does not speak.
#[must_use]
pub fn block_stage(mut reading: NoteReading) -> NoteReading {
    let open = reading.blocks.iter().any(|b| b.code == blocks::STAGE);
    if reading.stage != Stage::Unstated || open {
        return reading;
    }
    reading
        .assumptions
        .retain(|a| a != order::TAKEN_AS_HARDENED);
    reading.blocks.push(reading::Block {
        code: blocks::STAGE,
        text: order::STAGE_QUESTION.to_owned(),
    });
    let place = |code: &str| blocks::TABLE.iter().position(|k| k.code == code);
    reading.blocks.sort_by_key(|b| place(b.code));
    reading.question = letter::question(&reading);
    reading
}

/// The longest text that is taken for a drawing note, bytes. A full sheet of general notes has
/// about four thousand; what is longer is something else, and is asked about instead of read.
const LONGEST: usize = 16_384;

/// Reads a note with what answers have settled.
fn interpret(text: &str, settled: Settled) -> NoteReading {
    if text.len() > LONGEST {
        return too_long(text);
    }
    let tokens = token::tokens(text);
    let mut pieces = piece::pieces(&tokens);
    let roles = role::roles(&mut pieces);
    let mut draft = Draft {
        reading: empty(text),
        pieces,
        roles,
        settled,
    };
    if order::subject(&mut draft) {
        order::standards(&mut draft);
        depth::read(&mut draft);
        hardness::read(&mut draft);
        order::stage(&mut draft);
        order::areas(&mut draft);
        order::leftovers(&mut draft);
    }
    draft.sort_blocks();
    draft.reading.phrases = letter::phrases(&draft);
    draft.reading.question = letter::question(&draft.reading);
    draft.reading
}

/// A text that is no drawing note by its length.
fn too_long(text: &str) -> NoteReading {
    let mut reading = empty(text);
    reading.phrases.push(reading::Phrase {
        phrase: text.trim().to_owned(),
        span: 0..text.len(),
        understood: "not read: too long for a drawing note".to_owned(),
        assumed: None,
    });
    reading.blocks.push(reading::Block {
        code: blocks::NOT_A_CASE_NOTE,
        text: format!("The text has {} bytes, more than any drawing note ({LONGEST}). Please give only the lines about case hardening.", text.len()),
    });
    reading.question = letter::question(&reading);
    reading
}

/// A reading that says nothing yet.
fn empty(text: &str) -> NoteReading {
    NoteReading {
        text: text.to_owned(),
        phrases: Vec::new(),
        units: None,
        case_depth: None,
        depth_kind: DepthKind::Unstated,
        limit_hardness: None,
        stage: Stage::Unstated,
        stock_per_side: None,
        surface_hardness: None,
        core_hardness: None,
        file_hard: false,
        selective: Vec::new(),
        standards: Vec::new(),
        blocks: Vec::new(),
        assumptions: Vec::new(),
        question: None,
    }
}
