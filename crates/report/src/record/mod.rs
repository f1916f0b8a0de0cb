//! What a certificate and a record of processing say: every fact of a run as the book holds it, what
//! is still missing for a statement of conformity, and the two papers made of them.
//!
//! Decides nothing about steel: verdicts come from the judge. The one decision here is whether the
//! words of conformity may be printed, and the answer is no as long as a single [`Item`] is missing.

mod gaps;
mod paper;
mod sample;

#[cfg(test)]
mod tests;

pub use gaps::{Gap, Item, gaps};
pub use paper::{Block, Paper, text};
pub use sample::sample;

/// Everything known about a run. Texts are as people wrote them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Facts {
    /// Name of the shop.
    pub issuer: String,
    /// Its address and how to reach it.
    pub address: Option<String>,
    /// For whom the work was done.
    pub customer: Option<String>,
    /// Order and line.
    pub order: Option<String>,
    /// Drawing or part number, with its revision.
    pub drawing: Option<String>,
    /// Reference of the mill certificate.
    pub mill_certificate: Option<String>,
    /// Specification and revision the work was ordered to, where one was named.
    pub specification: Option<String>,
    /// What was seen when looking for cracks and damage, by whom.
    pub visual: Option<String>,
    /// Name of the run.
    pub run: String,
    /// Name of the job.
    pub job: String,
    /// What the part is.
    pub part: String,
    /// How many.
    pub quantity: u32,
    /// The steel.
    pub steel: String,
    /// Heat number of the steel.
    pub heat: Option<String>,
    /// The customer's note, word for word.
    pub note: String,
    /// Answers that completed the note, with who gave them.
    pub answers: Vec<String>,
    /// Whether it is a practice or class run.
    pub practice: bool,
    /// Code of the plan, with its entry and the program that made it.
    pub plan: String,
    /// When every step was done.
    pub finished: Option<String>,
    /// Compound, box and packing, in words.
    pub pack: Vec<(String, String)>,
    /// Steps of the plan, done or not.
    pub steps: Vec<Step>,
    /// Furnaces, ovens and tanks used.
    pub equipment: Vec<Equipment>,
    /// Furnace and logger files.
    pub logs: Vec<LogFact>,
    /// What went another way.
    pub deviations: Vec<Deviation>,
    /// Coupons that the plan asks for.
    pub coupons: Vec<Coupon>,
    /// Pieces that readings were taken on.
    pub pieces: Vec<Piece>,
    /// What was read on them.
    pub tests: Vec<Test>,
    /// Testers with their check blocks.
    pub testers: Vec<Tester>,
    /// The last judgement.
    pub judged: Option<Judged>,
    /// Earlier judgements that the last one takes the place of.
    pub superseded: Vec<Superseded>,
    /// Corrections and withdrawals, each with the old words.
    pub corrections: Vec<String>,
    /// Who signed what.
    pub signatures: Vec<Signature>,
    /// Number of the last entry of the run that is no signature.
    pub last_entry: u64,
    /// Number and hash of the book's last entry.
    pub head: (u64, String),
    /// Whether every entry and kept file of the book is as it was entered.
    pub whole: bool,
    /// Version of the program.
    pub program: String,
}

/// A step of the plan as it was carried out.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Step {
    /// Its number on the sheet.
    pub number: u32,
    /// `carburize`, `quench`, `temper` and so on.
    pub kind: String,
    /// What the plan set.
    pub set: String,
    /// What was done, where it was.
    pub done: Option<String>,
    /// When it began, where that was entered.
    pub begun: Option<String>,
    /// When it was done.
    pub ended: Option<String>,
    /// Who entered it.
    pub by: String,
    /// Whether it is a hold point.
    pub hold_point: bool,
    /// Who else looked at it.
    pub witness: Option<String>,
    /// Furnace or tank.
    pub equipment: Option<String>,
    /// Temperatures read in it, with their times.
    pub read: Vec<String>,
    /// Whether a temperature is among what was read.
    pub temperature_read: bool,
}

impl Step {
    /// Whether heat is held in it.
    #[must_use]
    pub fn is_heat(&self) -> bool {
        matches!(self.kind.as_str(), "carburize" | "reheat" | "temper")
    }
}

/// A furnace, an oven or a tank.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Equipment {
    /// Its mark.
    pub id: String,
    /// What it was used for.
    pub what: String,
    /// Whether it is heated, so that its temperature must have been surveyed.
    pub heated: bool,
    /// Its last survey or calibration, with the date.
    pub calibrated: Option<String>,
}

/// A furnace or logger file.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LogFact {
    /// Number of its entry.
    pub entry: u64,
    /// Where it comes from.
    pub source: String,
    /// Name and hash of the file.
    pub file: String,
    /// Whether a couple in the pack proves the soak.
    pub proven: bool,
    /// What it says, in lines.
    pub says: Vec<String>,
}

/// Something that went another way.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Deviation {
    /// Number of its entry.
    pub entry: u64,
    /// What, what was seen and what was done about it.
    pub what: String,
    /// Who entered it.
    pub by: String,
    /// Who approved what was done about it.
    pub approved: Option<String>,
}

/// A coupon that the plan asks for.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Coupon {
    /// Its mark.
    pub mark: String,
    /// Where the plan puts it.
    pub at: String,
    /// What became of it; nothing where nobody says.
    pub became: Option<String>,
}

/// A piece that readings were taken on.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Piece {
    /// Its mark.
    pub mark: String,
    /// `part`, `coupon` or `control`.
    pub kind: String,
    /// Steel, heat, place in the box.
    pub what: String,
}

/// One thing that was read.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Test {
    /// Its name in the evidence.
    pub name: String,
    /// The piece.
    pub piece: String,
    /// The method that was used, with its scale.
    pub method: String,
    /// Each reading.
    pub readings: String,
    /// What it says, with its doubt.
    pub says: String,
    /// Mark of the tester, where the method needs one.
    pub tester: Option<String>,
    /// Whether the method needs a tester.
    pub needs_tester: bool,
    /// Who read it.
    pub by: Option<String>,
    /// When.
    pub date: Option<String>,
    /// Why it does not count, where it does not.
    pub left_out: Option<String>,
}

/// A tester.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Tester {
    /// Its mark.
    pub id: String,
    /// What it is.
    pub what: String,
    /// Each check: scale, date, block, readings. The check's scale stands first.
    pub checks: Vec<(String, String)>,
}

/// One clause of the note.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Clause {
    /// What it asks about.
    pub what: String,
    /// What it asks.
    pub asked: String,
    /// Whether it is shown and holds.
    pub state: State,
    /// How it fared, in words.
    pub fared: String,
    /// What was found.
    pub found: String,
    /// Names of the readings it rests on.
    pub by: Vec<String>,
    /// Whether a limit lies inside the doubt.
    pub close: bool,
}

/// How a clause stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum State {
    /// Shown to hold.
    Holds,
    /// Shown not to hold.
    Missed,
    /// Not shown.
    #[default]
    Open,
}

/// The last judgement.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Judged {
    /// Number of its entry.
    pub entry: u64,
    /// Hash of its entry.
    pub hash: String,
    /// When.
    pub at: String,
    /// Who judged.
    pub by: String,
    /// `meets`, `does-not-meet`, `not-shown`, as it was entered.
    pub verdict: String,
    /// What it rests on.
    pub because: String,
    /// How values near a limit were decided.
    pub rule: String,
    /// Name and hash of the evidence file, where one is kept.
    pub evidence: Option<String>,
    /// Verdict of this program on the kept evidence; nothing where it cannot be judged.
    pub anew: Option<String>,
    /// Every clause.
    pub clauses: Vec<Clause>,
}

/// An earlier judgement.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Superseded {
    /// Number of its entry.
    pub entry: u64,
    /// In words.
    pub told: String,
    /// Whether it found that the note is not met.
    pub missed: bool,
}

/// A signature.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Signature {
    /// Number of the signature's entry.
    pub entry: u64,
    /// The entry it stands for.
    pub of: u64,
    /// What that is, in words.
    pub what: String,
    /// Who.
    pub name: String,
    /// As what.
    pub role: String,
    /// `did`, `witnessed`, `approved`.
    pub meaning: String,
    /// When.
    pub at: String,
    /// Whether the entry was corrected afterwards, so that it stands for the old words.
    pub before_correction: bool,
}

impl Facts {
    /// Number of the certificate: the run and the entry of the judgement it rests on.
    #[must_use]
    pub fn number(&self) -> String {
        let entry = self
            .judged
            .as_ref()
            .map_or(self.head.0, |judged| judged.entry);
        format!("{}/{entry}", self.run)
    }

    /// Revision: how many judgements it takes the place of.
    #[must_use]
    pub fn revision(&self) -> usize {
        self.superseded.len()
    }

    /// Everybody who did a step or judged; none of them can release the lot.
    #[must_use]
    pub fn doers(&self) -> Vec<&str> {
        let judge = self.judged.iter().map(|judged| judged.by.as_str());
        self.steps
            .iter()
            .filter(|step| step.done.is_some())
            .map(|step| step.by.as_str())
            .chain(judge)
            .collect()
    }

    /// The signature that releases the lot: approval of the judgement, by somebody who neither did a
    /// step nor judged, after everything else about the run was entered.
    #[must_use]
    pub fn release(&self) -> Option<&Signature> {
        let judged = self.judged.as_ref()?;
        self.signatures.iter().rev().find(|signed| {
            signed.of == judged.entry
                && signed.meaning == "approved"
                && !signed.before_correction
                && signed.entry > self.last_entry
                && !self.doers().iter().any(|doer| same(doer, &signed.name))
        })
    }
}

/// Whether two names are of one person, however they are spaced and whichever letters are large.
pub(super) fn same(a: &str, b: &str) -> bool {
    let bare = |name: &str| -> String {
        name.chars()
            .filter(|c| c.is_alphanumeric())
            .flat_map(char::to_lowercase)
            .collect()
    };
    bare(a) == bare(b)
}
