//! What may follow what: the rules that an addition is held to before it is sealed. Judges no
//! metallurgy.

use casewright_terms::Diag;

use crate::event::{Event, Meaning};
use crate::store::{Addition, Entered, LARGEST_ATTACHMENT_BYTES, Look, Role, StoreError, Wanted};

/// Longest name, in characters: it must fit on a label.
const LONGEST_NAME: usize = 80;
/// Longest text of one field, in bytes. A plan's JSON has some tens of kilobytes.
const LONGEST_TEXT_BYTES: usize = 4 << 20;

/// Holds the addition to the rules.
pub(crate) fn hold(book: &impl Look, addition: &Addition) -> Result<(), StoreError> {
    frame(addition)?;
    let opening = matches!(addition.event, Event::BookOpened { .. });
    let empty = book.head()?.count == 0;
    if opening != empty {
        return Err(Diag::stop(
            "book-order",
            if empty {
                "The book has no first entry yet."
            } else {
                "The book is open already."
            },
        )
        .accepted("The first entry, and only that, opens the book.")
        .into());
    }
    event(book, addition, &addition.event, false)
}

/// Names, lengths and times.
fn frame(addition: &Addition) -> Result<(), StoreError> {
    name("The name of the person", &addition.by.name)?;
    if let Some(token) = &addition.token {
        name("The sender's word", token)?;
    }
    let mut stamps = vec![&addition.at];
    if let Entered::Afterwards { happened } = &addition.entered {
        stamps.push(happened);
    }
    for stamp in stamps {
        name("The zone", &stamp.zone)?;
        if !stamp.is_plain() {
            return Err(Diag::stop("book-time", "The time is in no calendar.")
                .accepted("Give a time between the years 0 and 9999.")
                .into());
        }
    }
    if let Entered::Afterwards { happened } = &addition.entered
        && happened.utc_us > addition.at.utc_us
    {
        return Err(Diag::stop(
            "book-future",
            format!(
                "{happened} is after the time of the entry, {}.",
                addition.at
            ),
        )
        .why("What has not happened yet cannot be put on record as done.")
        .accepted("Check the time, the zone and the clock of this machine.")
        .into());
    }
    for file in &addition.attachments {
        name("The file's name", &file.name)?;
        if file.bytes.len() > LARGEST_ATTACHMENT_BYTES {
            return Err(Diag::stop(
                "book-file-too-large",
                format!(
                    "{} has {} bytes; at most {LARGEST_ATTACHMENT_BYTES} are kept.",
                    file.name,
                    file.bytes.len()
                ),
            )
            .accepted("Attach a smaller file, or split it.")
            .into());
        }
    }
    Ok(())
}

fn name(what: &str, text: &str) -> Result<(), StoreError> {
    let length = text.chars().count();
    if text.trim() == text && (1..=LONGEST_NAME).contains(&length) && !hidden(text, false) {
        return Ok(());
    }
    let shown: String = text.chars().take(40).flat_map(char::escape_debug).collect();
    Err(Diag::stop("book-name", format!("{what} is \"{shown}\"."))
        .why("It must be readable on a label years later.")
        .accepted(format!(
            "Write 1 to {LONGEST_NAME} letters, without blanks at the ends and without control \
             or direction marks."
        ))
        .into())
}

fn text(what: &str, text: &str) -> Result<(), StoreError> {
    if !text.trim().is_empty() && text.len() <= LONGEST_TEXT_BYTES && !hidden(text, true) {
        return Ok(());
    }
    Err(Diag::stop(
        "book-text",
        format!("{what} is empty, too long or holds control marks."),
    )
    .accepted("Write plain words.")
    .into())
}

/// Marks that make a text look other than it is.
fn hidden(text: &str, lines: bool) -> bool {
    text.chars().any(|c| {
        let line = matches!(c, '\n' | '\t') && lines;
        (c.is_control() && !line)
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    })
}

/// The event by itself; `replacing` where it stands in a correction, whose files are the old ones.
fn event(
    book: &impl Look,
    addition: &Addition,
    event: &Event,
    replacing: bool,
) -> Result<(), StoreError> {
    match event {
        Event::BookOpened { shop } => name("The shop's name", shop),
        Event::JobRegistered { job, title } => {
            name("The job's name", job)?;
            text("The title", title)?;
            unused(book, "job", job, Wanted::Job(job))
        }
        Event::PlanFixed {
            job,
            code,
            plan_json,
            made,
        } => {
            name("The plan's code", code)?;
            json("The plan", plan_json)?;
            if let Some(made) = made {
                name("The program's version", &made.program)?;
            }
            known(book, "job", job, Wanted::Job(job))
        }
        Event::RunStarted {
            run,
            job,
            plan_entry,
            ..
        } => {
            name("The run's name", run)?;
            unused(book, "run", run, Wanted::Run(run))?;
            plan_of(book, job, *plan_entry)
        }
        Event::Correction {
            corrects,
            reason,
            instead,
        } => {
            text("The reason", reason)?;
            correction(book, addition, *corrects, instead.as_deref())
        }
        Event::Signature {
            of,
            of_hash,
            meaning,
        } => {
            let signed = standing(book, *of)?;
            if signed.hash != *of_hash {
                return Err(Diag::stop(
                    "book-signature-other",
                    format!("Entry {of} is not the one that was shown for signing."),
                )
                .accepted("Look at the entry again and sign what stands there.")
                .into());
            }
            signature(book, addition, *of, *meaning, &signed.content.by.name)
        }
        other => {
            in_run(other)?;
            let needs_file = matches!(
                other,
                Event::LogAttached { .. } | Event::FileAttached { .. }
            );
            if needs_file && !replacing && addition.attachments.is_empty() {
                return Err(
                    Diag::stop("book-file-missing", "No file comes with the entry.")
                        .accepted("Name the file to keep.")
                        .into(),
                );
            }
            let run = other.run().expect("every other kind names its run");
            known(book, "run", run, Wanted::Run(run))?;
            if replacing {
                return Ok(());
            }
            crate::rules_run::hold(book, run, other)
        }
    }
}

/// The words of an event that belongs to a run.
fn in_run(event: &Event) -> Result<(), StoreError> {
    match event {
        Event::StepDone { what, .. }
        | Event::TimeNoted { what, .. }
        | Event::ReadingTaken { what, .. }
        | Event::FileAttached { what, .. } => text("What it is", what),
        Event::LogAttached {
            source,
            reading_json,
            judged_json,
            ..
        } => {
            text("The source", source)?;
            optional_json("The reading", reading_json.as_ref())?;
            optional_json("The judgement", judged_json.as_ref())
        }
        Event::SoakSet {
            soak,
            because,
            reckoned_json,
            ..
        } => {
            text("The ground", because)?;
            crate::rules_run::is_time("The soak", soak)?;
            optional_json("What was reckoned", reckoned_json.as_ref())
        }
        Event::RunEnded { because, .. } => text("The ground", because),
        Event::Deviation {
            what,
            done_about_it,
            seen,
            ..
        } => {
            if let Some(seen) = seen {
                text("What was seen", seen)?;
            }
            text("What happened", what)?;
            text("What was done", done_about_it)
        }
        Event::CouponReading {
            coupon,
            what,
            measured,
            doubt,
            ..
        } => {
            name("The coupon's name", coupon)?;
            if let Some(doubt) = doubt {
                crate::rules_run::is_doubt(doubt, measured)?;
            }
            text("What it is", what)
        }
        Event::Judgement {
            because,
            judged_json,
            ..
        } => {
            text("The ground", because)?;
            optional_json("The judgement", judged_json.as_ref())
        }
        Event::FactTold { item, words, .. } => {
            name("The item", item)?;
            text("What there is to say", words)
        }
        _ => Ok(()),
    }
}

fn json(what: &str, written: &str) -> Result<(), StoreError> {
    text(what, written)?;
    serde_json::from_str::<serde::de::IgnoredAny>(written)
        .map(|_| ())
        .map_err(|fault| {
            Diag::stop("book-json", format!("{what} is no JSON: {fault}."))
                .accepted("Give the program's own answer with --json.")
                .into()
        })
}

fn optional_json(what: &str, written: Option<&String>) -> Result<(), StoreError> {
    written.map_or(Ok(()), |written| json(what, written))
}

fn unused(
    book: &impl Look,
    what: &str,
    called: &str,
    wanted: Wanted<'_>,
) -> Result<(), StoreError> {
    match book.entries(wanted, 0, 1)?.first() {
        None => Ok(()),
        Some(entry) => Err(Diag::stop(
            "book-name-taken",
            format!(
                "There is a {what} {called} already, in entry {}.",
                entry.content.number
            ),
        )
        .why("Two of one name cannot be told apart on a certificate.")
        .accepted("Choose another name.")
        .into()),
    }
}

fn known(book: &impl Look, what: &str, called: &str, wanted: Wanted<'_>) -> Result<(), StoreError> {
    if book.entries(wanted, 0, 1)?.is_empty() {
        return Err(Diag::stop(
            "book-name-unknown",
            format!("There is no {what} {called} in the book."),
        )
        .accepted(format!("Check the spelling, or enter the {what} first."))
        .into());
    }
    Ok(())
}

fn standing(book: &impl Look, number: u64) -> Result<crate::store::Entry, StoreError> {
    book.entry(number)?.ok_or_else(|| {
        Diag::stop("book-entry-unknown", format!("There is no entry {number}."))
            .accepted("Look up the number in the book.")
            .into()
    })
}

fn plan_of(book: &impl Look, job: &str, plan_entry: u64) -> Result<(), StoreError> {
    match standing(book, plan_entry)?.content.event {
        Event::PlanFixed { job: planned, .. } if planned == job => Ok(()),
        _ => Err(Diag::stop(
            "book-plan-unknown",
            format!("Entry {plan_entry} fixes no plan for job {job}."),
        )
        .why("A run without its plan cannot be judged.")
        .accepted("Name the entry that fixed the plan.")
        .into()),
    }
}

fn correction(
    book: &impl Look,
    addition: &Addition,
    corrects: u64,
    instead: Option<&Event>,
) -> Result<(), StoreError> {
    let old = standing(book, corrects)?.content.event;
    let fixed = |event: &Event| {
        matches!(
            event,
            Event::BookOpened { .. }
                | Event::JobRegistered { .. }
                | Event::RunStarted { .. }
                | Event::Correction { .. }
                | Event::Signature { .. }
        )
    };
    if fixed(&old) {
        return Err(Diag::stop(
            "book-not-correctable",
            format!(
                "Entry {corrects} is a {}, which others stand on.",
                old.kind()
            ),
        )
        .accepted(
            "Correct the first entry itself, as often as needed; enter a new job or run beside a \
             wrong one and note why.",
        )
        .into());
    }
    let Some(new) = instead else { return Ok(()) };
    if new.kind() != old.kind() || new.run() != old.run() || new.job() != old.job() {
        return Err(Diag::stop(
            "book-other-kind",
            format!(
                "Entry {corrects} is a {}, and what should stand instead is another kind or \
                 belongs elsewhere.",
                old.kind()
            ),
        )
        .accepted("Withdraw the old entry and enter the new one by itself.")
        .into());
    }
    // `fixed` keeps corrections out, so this goes one floor deep.
    self::event(book, addition, new, true)
}

fn signature(
    book: &impl Look,
    addition: &Addition,
    of: u64,
    meaning: Meaning,
    entered_by: &str,
) -> Result<(), StoreError> {
    let signer = &addition.by.name;
    if meaning == Meaning::Approved && addition.by.role == Role::Student {
        return Err(Diag::stop(
            "book-student-approves",
            format!("{signer} signs as a student and cannot approve entry {of}."),
        )
        .why("Who approves answers for the part.")
        .accepted("A student signs did or witnessed; an operator, instructor, inspector or lead approves.")
        .into());
    }
    let before = book.entries(Wanted::About(of), 0, usize::MAX)?;
    // Whose words stand there: of the one who entered it, and of the one who last corrected it.
    let correction = before
        .iter()
        .rposition(|entry| matches!(entry.content.event, Event::Correction { .. }));
    let corrected_by = correction.map(|at| before[at].content.by.name.as_str());
    let own = [Some(entered_by), corrected_by]
        .into_iter()
        .flatten()
        .any(|name| same_person(name, signer));
    if own && meaning != Meaning::Did {
        let (code, verb) = match meaning {
            Meaning::Approved => ("book-own-approval", "approve"),
            _ => ("book-own-witness", "witness"),
        };
        return Err(Diag::stop(
            code,
            format!("{signer} entered or corrected entry {of} and cannot {verb} it."),
        )
        .why("A second pair of eyes sees what the first one missed.")
        .accepted("Let another person sign; sign did for what you did yourself.")
        .into());
    }
    // What was signed before a correction stands for other words, and may be signed anew.
    let since = &before[correction.map_or(0, |at| at + 1)..];
    let again = since.iter().any(|entry| {
        same_person(&entry.content.by.name, signer)
            && matches!(entry.content.event, Event::Signature { meaning: m, .. } if m == meaning)
    });
    if again {
        return Err(Diag::stop(
            "book-signed-already",
            format!(
                "{signer} has signed entry {of} already: {}.",
                meaning.word()
            ),
        )
        .accepted("Nothing more is needed.")
        .into());
    }
    Ok(())
}

/// Whether two names are meant for one person: capitals and blanks make no other.
fn same_person(one: &str, other: &str) -> bool {
    let plain = |name: &str| -> String {
        let letters = name.chars().filter(|c| !c.is_whitespace());
        letters.flat_map(char::to_lowercase).collect()
    };
    plain(one) == plain(other)
}
