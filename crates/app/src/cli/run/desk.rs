//! A run for the pages: the same entries and the same standing as on the command line. What a page
//! sends carries a word of its own, so that what was sent twice stands in the book once; what was made
//! while the network was away comes in with the time at which it was made.

use std::path::Path;

use casewright_records::{Book, Event, Look, Person, Run, Stamp, Wanted};
use casewright_terms::Diag;

use super::{Common, Open, Sent, facts, find, next, steps, stored};
use crate::answer::{Answer, Trouble};
use crate::cli::shop::By;
use crate::world;

/// What a page enters.
#[derive(Clone, Debug)]
pub(crate) enum Move {
    /// A step was begun.
    Begin(u32),
    /// The pack is hot.
    Hot,
    /// A step was done.
    Done(u32),
    /// Somebody else has looked at a hold point.
    Witness(u32),
    /// Something was read: what, the number with its unit, at which step.
    Read(String, String, Option<u32>),
    /// Something went another way: what, what was done about it, at which step.
    Deviation(String, String, Option<u32>),
    /// Every step is done.
    Finish,
}

/// An entry as a page sends it.
#[derive(Clone, Debug)]
pub(crate) struct Sending<'a> {
    /// The shop book.
    pub(crate) book: &'a Path,
    /// The run.
    pub(crate) run: &'a str,
    /// Who writes.
    pub(crate) by: &'a Person,
    /// The sender's word.
    pub(crate) token: &'a str,
    /// How long ago it was made, in seconds.
    pub(crate) ago_s: f64,
}

/// What is sent within this many seconds is entered as it happens: a tap and its way to the book.
const AT_ONCE_S: f64 = 60.0;
/// What is older than this is typed in at a desk, with its time: no device keeps a queue for longer.
const OLDEST_S: f64 = 14.0 * 86_400.0;

/// What came of it.
#[derive(Debug)]
pub(crate) struct Entered {
    /// Number of the entry.
    pub(crate) entry: u64,
    /// Whether it stood in the book already.
    pub(crate) repeated: bool,
    /// What there is to say.
    pub(crate) diags: Vec<Diag>,
}

/// Enters it.
///
/// # Errors
/// What the book or the order of the steps refuses.
pub(crate) fn enter(sending: &Sending<'_>, what: &Move) -> Result<Entered, Trouble> {
    if let Some(known) = known(sending)? {
        return Ok(known);
    }
    let ago_s = sending.ago_s;
    if !(0.0..=OLDEST_S).contains(&ago_s) {
        return Err(Trouble::input(
            Diag::stop(
                "run-too-old",
                "This was made longer ago than any device keeps it, or in the future.",
            )
            .why("What happened when decides what the part got.")
            .accepted("Enter it with its time: `casewright run … --at TIME`."),
        ));
    }
    let happened = (ago_s > AT_ONCE_S).then(|| world::later(&world::now(), -ago_s));
    let common = Common {
        book: sending.book.to_owned(),
        run: sending.run.to_owned(),
        by: By::of(sending.by),
        at: None,
        sent: Some(Sent {
            token: sending.token.to_owned(),
            happened,
        }),
    };
    let answer: Answer = match what {
        Move::Begin(step) => steps::begin(&common, *step),
        Move::Hot => steps::hot(&common, None),
        Move::Done(step) => steps::done(&common, *step, None),
        Move::Witness(step) => steps::witness(&common, *step),
        Move::Read(what, value, step) => facts::read(&common, what, value, *step),
        Move::Deviation(what, done, step) => facts::deviation(&common, what, done, None, *step),
        Move::Finish => steps::finish(&common, "every step was done"),
    }?;
    let entry = known_entry(sending)?.map_or(0, |entry| entry.content.number);
    Ok(Entered {
        entry,
        repeated: false,
        diags: answer.diags,
    })
}

fn known_entry(sending: &Sending<'_>) -> Result<Option<casewright_records::Entry>, Trouble> {
    let book = Book::open_to_look(sending.book)?;
    let found = book.entries(Wanted::Token(sending.token), 0, 1)?;
    Ok(found.into_iter().next())
}

/// The entry that an earlier sending of the same made.
fn known(sending: &Sending<'_>) -> Result<Option<Entered>, Trouble> {
    let Some(entry) = known_entry(sending)? else {
        return Ok(None);
    };
    let content = &entry.content;
    let of_run = match &content.event {
        Event::Signature { .. } => true,
        event => event.run() == Some(sending.run),
    };
    if !of_run || content.by != *sending.by {
        return Err(Trouble::input(
            Diag::stop(
                "book-token-other",
                "Another entry was sent under the same word already.",
            )
            .why("It would be taken for the one that stands in the book.")
            .accepted("Load the page again and enter it once more."),
        ));
    }
    Ok(Some(Entered {
        entry: content.number,
        repeated: true,
        diags: Vec::new(),
    }))
}

/// Where a run stands, for a screen.
#[derive(Debug)]
pub(crate) struct View {
    /// The run as the book has it.
    pub(crate) run: Run,
    /// The step whose turn it is.
    pub(crate) step: Option<StepView>,
    /// When it is due or ends, where that follows from what was entered.
    pub(crate) due: Option<Stamp>,
    /// When the step was begun, where it was.
    pub(crate) begun: Option<Stamp>,
    /// Whether the pack was called hot, where the step is the soak.
    pub(crate) hot: Option<Stamp>,
    /// The clock of every step.
    pub(crate) clock: Vec<ClockLine>,
    /// The band of the time to hot, in words.
    pub(crate) hot_band: Option<String>,
}

/// The step whose turn it is.
#[derive(Debug)]
pub(crate) struct StepView {
    /// Its number.
    pub(crate) number: u32,
    /// Kind, as in the plan.
    pub(crate) kind: String,
    /// The sheet's words.
    pub(crate) text: String,
    /// In a few words, with the equipment.
    pub(crate) title: String,
    /// What the furnace is set to, in °C.
    pub(crate) temperature_c: Option<f64>,
    /// What must be seen.
    pub(crate) acceptance: Vec<String>,
    /// What stops it.
    pub(crate) stop_if: Vec<String>,
    /// Whether the sheet stops behind it.
    pub(crate) hold_point: bool,
}

/// A step on the clock.
#[derive(Debug)]
pub(crate) struct ClockLine {
    /// Its number.
    pub(crate) step: u32,
    /// In a few words.
    pub(crate) what: String,
    /// `done`, `running` or `ahead`.
    pub(crate) state: &'static str,
    /// When it begins or began.
    pub(crate) begins: Option<Stamp>,
    /// When it ends or ended.
    pub(crate) ends: Option<Stamp>,
    /// Whether the sheet stops behind it.
    pub(crate) hold_point: bool,
}

/// Looks at a run.
///
/// # Errors
/// Where the book cannot be read, or its plan is not one of this program.
pub(crate) fn view(book: Book, name: &str) -> Result<View, Trouble> {
    let run = find(&book, name)?;
    let plan = stored::Plan::of(&run)?;
    let open = Open { book, run, plan };
    let standing = next::Standing::of(&open.run, &open.plan);
    let step = standing.next_step.and_then(|number| {
        let step = open.plan.step(number)?;
        Some(StepView {
            number,
            kind: step.kind.clone(),
            text: step.text.clone(),
            title: next::title(step),
            temperature_c: step.temperature_c,
            acceptance: step.acceptance.clone(),
            stop_if: step.stop_if.clone(),
            hold_point: step.hold_point,
        })
    });
    let noted = |what: &str| {
        let number = standing.next_step?;
        open.run.time(number, what).map(|noted| noted.at.clone())
    };
    Ok(View {
        begun: noted(next::BEGUN),
        hot: noted(next::HOT),
        due: standing.due.clone(),
        step,
        clock: standing
            .lines
            .iter()
            .map(|line| ClockLine {
                step: line.step,
                what: line.what.clone(),
                state: line.state.word(),
                begins: line.begins.clone(),
                ends: line.ends.clone(),
                hold_point: line.hold_point,
            })
            .collect(),
        hot_band: next::hot_band(&open.plan),
        run: open.run,
    })
}
