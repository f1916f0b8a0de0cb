//! What is found on the way: readings, deviations, files, and what puts an entry right.

use std::path::Path;

use casewright_records::{Entered, Event, Look};
use casewright_terms::Diag;

use super::{Common, measured};
use crate::answer::{Answer, Trouble};
use crate::cli::shop::read_attachment;

/// `run read`.
pub(super) fn read(
    common: &Common,
    what: &str,
    value: &str,
    step: Option<u32>,
) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    let event = Event::ReadingTaken {
        run: common.run.clone(),
        step,
        what: what.to_owned(),
        measured: measured(value)?,
    };
    let said = event.told();
    let receipt = open.put(&common.addition(event)?)?;
    Ok(open.answer(&receipt, &said, Vec::new()))
}

/// `run deviation`.
pub(super) fn deviation(
    common: &Common,
    what: &str,
    done: &str,
    seen: Option<&str>,
    step: Option<u32>,
) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    let event = Event::Deviation {
        run: common.run.clone(),
        what: what.to_owned(),
        done_about_it: done.to_owned(),
        step,
        seen: seen.map(str::to_owned),
    };
    let said = event.told();
    let receipt = open.put(&common.addition(event)?)?;
    Ok(open.answer(&receipt, &said, Vec::new()))
}

/// `run keep`.
pub(super) fn keep(common: &Common, file: &Path, what: &str) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    let mut addition = common.addition(Event::FileAttached {
        run: common.run.clone(),
        what: what.to_owned(),
    })?;
    addition.attachments.push(read_attachment(file)?);
    let receipt = open.put(&addition)?;
    let said = format!("{what}: {} is kept as it is.", file.display());
    Ok(open.answer(&receipt, &said, Vec::new()))
}

/// What is right instead.
pub(super) struct Right<'a> {
    pub(super) value: Option<&'a str>,
    pub(super) what: Option<&'a str>,
    pub(super) withdraw: bool,
}

/// `run correct`.
pub(super) fn correct(
    common: &Common,
    entry: u64,
    reason: &str,
    right: &Right<'_>,
) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    let old = open.book.entry(entry)?.ok_or_else(|| {
        Trouble::input(
            Diag::stop("book-entry-unknown", format!("There is no entry {entry}."))
                .accepted("`casewright run show BOOK RUN` shows the numbers."),
        )
    })?;
    if old.content.event.run() != Some(common.run.as_str()) {
        return Err(Trouble::input(
            Diag::stop(
                "run-other-entry",
                format!("Entry {entry} does not belong to run {}.", common.run),
            )
            .accepted("Name the run that the entry belongs to."),
        ));
    }
    // What was corrected before is corrected from how it holds now.
    let held = casewright_records::view::seen(
        &open.book,
        casewright_records::Wanted::Run(&common.run),
        entry - 1,
        1,
    )?;
    let held = held.first().and_then(|seen| seen.holds().cloned());
    let mut instead = held.unwrap_or_else(|| old.content.event.clone());
    let mut changed = common.at.is_some();
    if let Some(value) = right.value {
        let value = measured(value)?;
        match &mut instead {
            Event::ReadingTaken { measured, .. } | Event::CouponReading { measured, .. } => {
                *measured = value;
            }
            Event::SoakSet { soak, .. } => *soak = value,
            other => return Err(no_such(entry, other, "number")),
        }
        changed = true;
    }
    if let Some(words) = right.what {
        match &mut instead {
            Event::StepDone { what, .. }
            | Event::ReadingTaken { what, .. }
            | Event::Deviation { what, .. }
            | Event::FileAttached { what, .. }
            | Event::CouponReading { what, .. }
            | Event::FactTold { words: what, .. } => words.clone_into(what),
            other => return Err(no_such(entry, other, "description")),
        }
        changed = true;
    }
    if !changed && !right.withdraw {
        return Err(Trouble::input(
            Diag::stop("run-nothing-changed", "The correction changes nothing.")
                .accepted("Give the right --value, --what or --at, or --withdraw the entry."),
        ));
    }
    let event = Event::Correction {
        corrects: entry,
        reason: reason.to_owned(),
        instead: (!right.withdraw).then(|| Box::new(instead)),
    };
    let said = event.told();
    let mut addition = common.addition(event)?;
    if right.withdraw {
        addition.entered = Entered::Live;
    }
    let receipt = open.put(&addition)?;
    Ok(open.answer(&receipt, &said, Vec::new()))
}

fn no_such(entry: u64, event: &Event, what: &str) -> Trouble {
    Trouble::input(
        Diag::stop(
            "run-no-such-part",
            format!(
                "Entry {entry} is a {} and has no {what} to put right.",
                event.kind()
            ),
        )
        .accepted("Withdraw it with --withdraw and enter the right one."),
    )
}
