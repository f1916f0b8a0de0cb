//! `run`: a plan carried out at the furnace, from its start to its end. Each command writes one
//! thing into the shop book and says what is to be done next. Holds no rule of the book and no
//! formula.

#[cfg(feature = "web")]
pub(crate) mod desk;
mod facts;
mod gather;
mod judge;
pub(crate) mod learnt;
mod log;
mod next;
pub(crate) mod paper;
mod pull;
mod readings;
mod replay;
mod show;
mod start;
mod steps;
mod stored;

use std::path::{Path, PathBuf};

use casewright_records::{
    Addition, Book, Entered, Event, Measured, Receipt, Run, Stamp, Store, Unit,
};
use casewright_terms::Diag;
use clap::{Args, Subcommand, ValueEnum};

use super::shop::By;
use crate::answer::{Answer, Trouble};
use crate::world;

/// Options of `run`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(subcommand)]
    what: What,
}

/// Which run, who writes, and when it happened.
#[derive(Debug, Args)]
pub(super) struct Common {
    /// The shop book.
    #[arg(value_name = "BOOK")]
    book: PathBuf,
    /// The run.
    #[arg(value_name = "RUN")]
    run: String,
    #[command(flatten)]
    by: By,
    /// When it happened, where that is not now: 14:20, 2026-11-25 14:20, or with its offset.
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
    /// How it came in, where not from a command line.
    #[arg(skip)]
    sent: Option<Sent>,
}

/// An entry that a page sent, perhaps later than it was made and more than once.
#[derive(Clone, Debug)]
struct Sent {
    /// The sender's word, so that a repeated sending adds nothing.
    token: String,
    /// When it was made, where that is not now.
    happened: Option<Stamp>,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Plan a job and start a run of it; job, shop and plan are kept in the book.
    Start(start::Options),
    /// List the runs of a book.
    List {
        /// The shop book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
    },
    /// Show where a run stands: what to do next, and the clock of every step.
    Show {
        /// The shop book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// The run.
        #[arg(value_name = "RUN")]
        run: String,
    },
    /// Plan a run again from what was kept with it: is the plan the same?
    Replay {
        /// The shop book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// The run.
        #[arg(value_name = "RUN")]
        run: String,
    },
    /// A step was begun: loaded, put in.
    Begin {
        #[command(flatten)]
        common: Common,
        /// Number of the step.
        #[arg(value_name = "STEP")]
        step: u32,
    },
    /// The couple in the pack has reached the heat: the soak begins.
    Hot {
        #[command(flatten)]
        common: Common,
        /// What the couple read, as in 918C.
        #[arg(long, value_name = "READING")]
        reads: Option<String>,
    },
    /// A step was done.
    Done {
        #[command(flatten)]
        common: Common,
        /// Number of the step.
        #[arg(value_name = "STEP")]
        step: u32,
        /// What was done, where it is not as on the sheet.
        #[arg(long, value_name = "WORDS")]
        what: Option<String>,
    },
    /// A second person has looked at a hold point.
    Witness {
        #[command(flatten)]
        common: Common,
        /// Number of the step.
        #[arg(value_name = "STEP")]
        step: u32,
    },
    /// Stand for an entry with your name.
    Sign {
        #[command(flatten)]
        common: Common,
        /// Number of the entry.
        #[arg(value_name = "ENTRY")]
        entry: u64,
        /// What the signature means.
        #[arg(long = "as", value_enum)]
        meaning: MeaningName,
    },
    /// Something was read: a couple, the tank, a coupon's look.
    Read {
        #[command(flatten)]
        common: Common,
        /// What.
        #[arg(value_name = "WHAT")]
        what: String,
        /// The number with its unit, as in 927C, 1.2kg or 60.5HRC.
        #[arg(value_name = "VALUE")]
        value: String,
        /// Number of the step.
        #[arg(long, value_name = "STEP")]
        step: Option<u32>,
    },
    /// Something went another way than planned.
    Deviation {
        #[command(flatten)]
        common: Common,
        /// What happened.
        #[arg(long, value_name = "WORDS")]
        what: String,
        /// What was done about it.
        #[arg(long, value_name = "WORDS")]
        done: String,
        /// What was seen of it.
        #[arg(long, value_name = "WORDS")]
        seen: Option<String>,
        /// Number of the step.
        #[arg(long, value_name = "STEP")]
        step: Option<u32>,
    },
    /// Keep a photograph or another file, byte for byte.
    Keep {
        #[command(flatten)]
        common: Common,
        /// The file.
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// What it shows.
        #[arg(long, value_name = "WORDS")]
        what: String,
    },
    /// A coupon was pulled, quenched and broken: how long to go on?
    Pull(pull::Options),
    /// Keep a furnace or logger file and judge the soak by it.
    Log(log::Options),
    /// Keep an evidence file and judge the run by it; an earlier judgement stays visible.
    Judge(judge::Options),
    /// Tell what the papers of a run have to say and nobody can read off: customer, order, a survey.
    Tell {
        #[command(flatten)]
        common: Common,
        /// Which: address, customer, order, drawing, mill-certificate, specification, visual,
        /// "calibrated F1", "coupon K1".
        #[arg(value_name = "ITEM")]
        item: String,
        /// What there is to say.
        #[arg(value_name = "WORDS")]
        words: String,
    },
    /// Put an entry right; the earlier one stays visible.
    Correct {
        #[command(flatten)]
        common: Common,
        /// Number of the entry.
        #[arg(value_name = "ENTRY")]
        entry: u64,
        /// Why.
        #[arg(long, value_name = "WORDS")]
        reason: String,
        /// The right number with its unit.
        #[arg(long, value_name = "VALUE")]
        value: Option<String>,
        /// The right words.
        #[arg(long, value_name = "WORDS")]
        what: Option<String>,
        /// It never happened: the entry holds no more.
        #[arg(long, conflicts_with_all = ["value", "what"])]
        withdraw: bool,
    },
    /// Every step is done: close the run.
    Finish {
        #[command(flatten)]
        common: Common,
        /// What there is to say about it.
        #[arg(long, value_name = "WORDS", default_value = "every step was done")]
        because: String,
    },
    /// Give the run up.
    Abandon {
        #[command(flatten)]
        common: Common,
        /// Why.
        #[arg(long, value_name = "WORDS")]
        because: String,
    },
}

/// What a signature means.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum MeaningName {
    /// "I did this."
    Did,
    /// "I saw it done."
    Witnessed,
    /// "I agree to it."
    Approved,
}

/// Answers the command.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    match &options.what {
        What::Start(options) => start::run(options),
        What::List { book } => show::list(book),
        What::Show { book, run } => show::show(book, run),
        What::Replay { book, run } => replay::run(book, run),
        What::Begin { common, step } => steps::begin(common, *step),
        What::Hot { common, reads } => steps::hot(common, reads.as_deref()),
        What::Done { common, step, what } => steps::done(common, *step, what.as_deref()),
        What::Witness { common, step } => steps::witness(common, *step),
        What::Sign {
            common,
            entry,
            meaning,
        } => steps::sign(common, *entry, *meaning),
        What::Read {
            common,
            what,
            value,
            step,
        } => facts::read(common, what, value, *step),
        What::Deviation {
            common,
            what,
            done,
            seen,
            step,
        } => facts::deviation(common, what, done, seen.as_deref(), *step),
        What::Keep { common, file, what } => facts::keep(common, file, what),
        What::Pull(options) => pull::run(options),
        What::Log(options) => log::run(options),
        What::Judge(options) => judge::run(options),
        What::Tell {
            common,
            item,
            words,
        } => judge::tell(common, item, words),
        What::Correct {
            common,
            entry,
            reason,
            value,
            what,
            withdraw,
        } => facts::correct(
            common,
            *entry,
            reason,
            &facts::Right {
                value: value.as_deref(),
                what: what.as_deref(),
                withdraw: *withdraw,
            },
        ),
        What::Finish { common, because } => steps::finish(common, because),
        What::Abandon { common, because } => steps::abandon(common, because),
    }
}

/// A run that is open for writing.
struct Open {
    book: Book,
    run: Run,
    plan: stored::Plan,
}

impl Common {
    /// Opens the book at the run.
    fn open(&self) -> Result<Open, Trouble> {
        let book = Book::open(&self.book)?;
        let run = find(&book, &self.run)?;
        let plan = stored::Plan::of(&run)?;
        Ok(Open { book, run, plan })
    }

    /// When it happened.
    fn when(&self) -> Result<Stamp, Trouble> {
        if let Some(happened) = self.sent.as_ref().and_then(|sent| sent.happened.clone()) {
            return Ok(happened);
        }
        match &self.at {
            None => Ok(world::now()),
            Some(typed) => world::moment_here(typed).map_err(Trouble::input),
        }
    }

    fn addition(&self, event: Event) -> Result<Addition, Trouble> {
        let late = self.at.is_some()
            || self
                .sent
                .as_ref()
                .is_some_and(|sent| sent.happened.is_some());
        let entered = if late {
            Entered::Afterwards {
                happened: self.when()?,
            }
        } else {
            Entered::Live
        };
        // What follows from an entry is told apart from the entry by its kind.
        let token = self.sent.as_ref().map(|sent| match &event {
            Event::SoakSet { .. } => format!("{} soak", sent.token),
            _ => sent.token.clone(),
        });
        Ok(Addition {
            at: world::now(),
            by: self.by.person(),
            entered,
            event,
            attachments: Vec::new(),
            token,
        })
    }
}

impl Open {
    /// Writes an entry and looks at the run anew.
    fn put(&mut self, addition: &Addition) -> Result<Receipt, Trouble> {
        let receipt = self.book.append(addition)?;
        self.run = find(&self.book, &self.run.name)?;
        Ok(receipt)
    }

    /// The answer after an entry: what was written, what there is to say, what is next.
    fn answer(&self, receipt: &Receipt, said: &str, diags: Vec<Diag>) -> Answer {
        let standing = next::Standing::of(&self.run, &self.plan);
        show::after(&self.run, &standing, receipt, said, diags)
    }
}

/// The run of that name.
fn find(book: &Book, name: &str) -> Result<Run, Trouble> {
    Run::of(book, name)?.ok_or_else(|| {
        Trouble::input(
            Diag::stop(
                "run-unknown",
                format!("There is no run {name} in the book."),
            )
            .accepted("`casewright run list BOOK` names all runs."),
        )
    })
}

/// A book that is only looked into.
fn look(book: &Path) -> Result<Book, Trouble> {
    Ok(Book::open_to_look(book)?)
}

/// A number with its unit as typed: `927C`, `0.62 mm`, `60.5HRC`.
fn measured(typed: &str) -> Result<Measured, Trouble> {
    let text = typed.trim();
    let split = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-')))
        .unwrap_or(text.len());
    let (digits, unit) = text.split_at(split);
    let unit = Unit::from_symbol(unit.trim());
    unit.and_then(|unit| Measured::new(digits, unit).ok())
        .ok_or_else(|| {
            let known: Vec<&str> = Unit::ALL.iter().map(|unit| unit.symbol()).collect();
            Trouble::input(
                Diag::stop(
                    "reading-not-read",
                    format!("\"{typed}\" is no number with a unit."),
                )
                .why("A number without its unit is no reading.")
                .accepted(format!(
                    "Write the digits and one of {}; C and F stand for the degrees.",
                    known.join(", ")
                )),
            )
        })
}
