//! What may follow what inside a run: a step is done once, nothing passes a hold point that nobody
//! else has looked at, and after the end no step is done. Which steps there are is the plan's, and
//! the plan is not read here.

use casewright_terms::Diag;

use crate::event::{Event, RunEnd};
use crate::measured::{Measured, Unit};
use crate::run::Run;
use crate::store::{Look, StoreError};

/// Holds an event of a run against what stands there already.
pub(crate) fn hold(book: &impl Look, run: &str, event: &Event) -> Result<(), StoreError> {
    let moves = matches!(
        event,
        Event::StepDone { .. }
            | Event::TimeNoted { .. }
            | Event::SoakSet { .. }
            | Event::RunEnded { .. }
    );
    if !moves {
        return Ok(());
    }
    let Some(standing) = Run::of(book, run)? else {
        return Ok(());
    };
    if let Some(end) = &standing.ended {
        return Err(Diag::stop(
            "book-run-ended",
            format!("Run {run} was {} in entry {}.", end.how.word(), end.entry),
        )
        .why("A step done after the end belongs to no run that was judged.")
        .accepted("Withdraw the end where it was entered by mistake, or start another run.")
        .into());
    }
    match event {
        Event::StepDone { step, .. } => {
            once(&standing, *step)?;
            no_hold_before(&standing, |held| held < *step, &format!("step {step}"))
        }
        Event::RunEnded {
            how: RunEnd::Finished,
            ..
        } => no_hold_before(&standing, |_| true, "the end"),
        _ => Ok(()),
    }
}

fn once(standing: &Run, step: u32) -> Result<(), StoreError> {
    match standing.step(step) {
        None => Ok(()),
        Some(done) => Err(Diag::stop(
            "book-step-done",
            format!("Step {step} was done already, in entry {}.", done.entry),
        )
        .why("A step told twice leaves open which time holds.")
        .accepted(format!("Correct entry {} where it is wrong.", done.entry))
        .into()),
    }
}

fn no_hold_before(
    standing: &Run,
    counts: impl Fn(u32) -> bool,
    what: &str,
) -> Result<(), StoreError> {
    let waiting = standing
        .steps
        .iter()
        .find(|done| counts(done.step) && done.waits_for_witness);
    match waiting {
        None => Ok(()),
        Some(held) => Err(Diag::stop(
            "book-hold-point",
            format!(
                "Step {} is a hold point that nobody else has looked at; {what} cannot be entered.",
                held.step
            ),
        )
        .why("A hold point stands where a fault can no longer be put right afterwards.")
        .accepted(format!(
            "Let somebody other than {} look and sign entry {} as witnessed or approved.",
            held.by.name, held.entry
        ))
        .into()),
    }
}

/// A length of time that is not below zero.
pub(crate) fn is_time(what: &str, value: &Measured) -> Result<(), StoreError> {
    let unit = matches!(value.unit(), Unit::Hour | Unit::Minute | Unit::Second);
    if unit && value.value() >= 0.0 {
        return Ok(());
    }
    Err(Diag::stop("book-not-a-time", format!("{what} is {value}."))
        .accepted("Give hours, minutes or seconds, not below zero.")
        .into())
}

/// A doubt in the unit of what it belongs to, above zero.
pub(crate) fn is_doubt(doubt: &Measured, of: &Measured) -> Result<(), StoreError> {
    if doubt.unit() == of.unit() && doubt.value() > 0.0 {
        return Ok(());
    }
    Err(Diag::stop(
        "book-doubt",
        format!("The doubt of {of} is given as {doubt}."),
    )
    .why("A reading without doubt does not exist, and another unit cannot be compared.")
    .accepted("Give the doubt in the unit of the reading, above zero.")
    .into())
}
