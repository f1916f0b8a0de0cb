//! What moves a run on: begun, hot, done, looked at, signed, over.

use casewright_physics::run::Failure;
use casewright_plan::remaining::{Remaining, remaining};
use casewright_records::{Event, Look, Meaning, Measured, RunEnd, Unit};
use casewright_terms::{Diag, Span};

use super::{Common, MeaningName, Open, measured, next, stored};
use crate::answer::{Answer, Trouble};
use crate::wire;
use crate::world;

/// Another soak than the plan's is set where they differ by this much, in minutes: less is within
/// what the clock of a shop and the couple are worth.
const WORTH_MIN: f64 = 10.0;

/// `run begin`.
pub(super) fn begin(common: &Common, step: u32) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    in_turn(&open, step, "begun")?;
    let event = Event::TimeNoted {
        run: common.run.clone(),
        step,
        what: next::BEGUN.to_owned(),
    };
    let receipt = open.put(&common.addition(event)?)?;
    Ok(open.answer(&receipt, &format!("Step {step} is begun."), Vec::new()))
}

/// `run hot`.
pub(super) fn hot(common: &Common, reads: Option<&str>) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    let step = open.plan.number_of("carburize").ok_or_else(no_soak)?;
    in_turn(&open, step, "hot")?;
    let at = common.when()?;
    let reads = reads.map(measured).transpose()?;
    let begun = open.run.time(step, next::BEGUN).cloned();
    if let Some(begun) = &begun
        && begun.at.utc_us > at.utc_us
    {
        return Err(Trouble::input(
            Diag::stop(
                "run-order",
                format!(
                    "The pack cannot be hot at {at}; it was loaded at {}.",
                    begun.at
                ),
            )
            .accepted("Check the time; correct the entry of the loading where that one is wrong."),
        ));
    }
    let event = Event::TimeNoted {
        run: common.run.clone(),
        step,
        what: next::HOT.to_owned(),
    };
    let mut receipt = open.put(&common.addition(event)?)?;
    if let Some(measured) = reads {
        let event = Event::ReadingTaken {
            run: common.run.clone(),
            step: Some(step),
            what: "couple when the pack was called hot".to_owned(),
            measured,
        };
        receipt = open.put(&common.addition(event)?)?;
    }
    let Some(begun) = begun else {
        let said =
            "The soak runs. When the box went in is not noted, so the plan's own soak stands.";
        return Ok(open.answer(&receipt, said, Vec::new()));
    };
    let hot_after = Span::from_s((at.utc_us - begun.at.utc_us) as f64 / 1e6);
    let (said, diags) = match reckon(&open, hot_after)? {
        Ok(left) => {
            let sure = left.findings.is_empty();
            let differs = (left.soak - left.planned_soak).to_min().abs() >= WORTH_MIN;
            let set = sure && differs;
            if set {
                let event = Event::SoakSet {
                    run: common.run.clone(),
                    soak: minutes(left.soak),
                    because: format!("the pack was hot {} after loading", hot_after.text()),
                    reckoned_json: Some(wire::json(&wire::run::Left::of(&left))),
                };
                receipt = open.put(&common.addition(event)?)?;
            }
            (told(&open, &left, set), left.findings)
        }
        Err(diag) => (
            "The soak runs, as long as the plan says.".to_owned(),
            vec![diag],
        ),
    };
    Ok(open.answer(&receipt, &said, diags))
}

/// The soak that is left, or why nothing could be reckoned: the moment is in the book either way.
fn reckon(open: &Open, hot_after: Span) -> Result<Result<Remaining, Diag>, Trouble> {
    let spec = match stored::spec(&open.book, &open.run) {
        Ok(spec) => spec,
        Err(Trouble::Input { mut diags, .. }) if !diags.is_empty() => {
            return Ok(Err(diags.remove(0)));
        }
        Err(other) => return Err(other),
    };
    let kit = match open.plan.kit(&spec) {
        Ok(kit) => kit,
        Err(diag) => return Ok(Err(diag)),
    };
    let left = world::with_progress("reckoning", || {
        kit.follow()
            .and_then(|followed| remaining(&followed, hot_after))
    });
    Ok(left.map_err(|failure| not_reckoned(&failure)))
}

/// What physics could not do, said beside an entry that stands.
pub(super) fn not_reckoned(failure: &Failure) -> Diag {
    Diag::warn(
        "run-not-reckoned",
        format!("Nothing was reckoned: {failure}."),
    )
    .why("What you entered is in the book; only the forecast is missing.")
    .accepted("Go on by the sheet.")
}

fn told(open: &Open, left: &Remaining, set: bool) -> String {
    let units = open.plan.units();
    if set {
        return format!(
            "The soak is {} instead of {}, for a depth of {}.",
            left.soak.text(),
            left.planned_soak.text(),
            left.depth.depth_text(units)
        );
    }
    let other = if left.soak == left.planned_soak {
        String::new()
    } else {
        format!(
            " By the heat-up alone it would be {}; it is left as planned.",
            left.soak.text()
        )
    };
    format!(
        "The soak is {} as planned, for a depth of {}.{other}",
        left.planned_soak.text(),
        left.depth_with_planned.depth_text(units)
    )
}

/// A soak in whole minutes.
pub(super) fn minutes(soak: Span) -> Measured {
    let minutes = soak.to_min().max(0.0).round();
    Measured::new(&format!("{minutes:.0}"), Unit::Minute).expect("whole minutes are digits")
}

/// `run done`.
pub(super) fn done(common: &Common, step: u32, what: Option<&str>) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    in_turn(&open, step, "done")?;
    let at = common.when()?;
    let sheet = open
        .plan
        .step(step)
        .expect("a step in turn is on the sheet");
    let earlier = open
        .run
        .steps
        .last()
        .map(|done| (done.step, done.at.clone()));
    if let Some((number, before)) = earlier
        && before.utc_us > at.utc_us
    {
        return Err(Trouble::input(
            Diag::stop(
                "run-order",
                format!("Step {step} cannot be done at {at}; step {number} was done at {before}."),
            )
            .why("Steps out of order are the record of another run.")
            .accepted("Check the time; correct the earlier entry where that one is wrong."),
        ));
    }
    if sheet.kind == "carburize" && open.run.time(step, next::HOT).is_none() {
        return Err(Trouble::input(
            Diag::stop(
                "run-not-hot",
                "Nobody has entered when the pack was hot, so the soak has no length.",
            )
            .why(
                "The soak counts from there; the furnace's own clock runs hours ahead of the pack.",
            )
            .accepted("Enter it first: `casewright run hot BOOK RUN --at TIME …`."),
        ));
    }
    let event = Event::StepDone {
        run: common.run.clone(),
        step,
        what: what.map_or_else(|| next::title(sheet), str::to_owned),
        hold_point: sheet.hold_point,
    };
    let short = soak_kept(&open, step, at.utc_us);
    let receipt = open.put(&common.addition(event)?)?;
    Ok(open.answer(
        &receipt,
        &format!("Step {step} is done."),
        short.into_iter().collect(),
    ))
}

/// Whether the soak ended when it should.
fn soak_kept(open: &Open, step: u32, done_us: i64) -> Option<Diag> {
    let sheet = open.plan.step(step)?;
    if sheet.kind != "carburize" {
        return None;
    }
    let hot = open.run.time(step, next::HOT)?;
    let wanted = next::soak_h(&open.run, &open.plan)?;
    let kept = (done_us - hot.at.utc_us) as f64 / 3.6e9;
    let off = Span::from_h(kept - wanted);
    (off.to_min().abs() >= WORTH_MIN).then(|| {
        let side = if kept > wanted { "longer" } else { "shorter" };
        Diag::warn(
            "run-soak-off",
            format!(
                "The soak was {}, {} {side} than it should be.",
                Span::from_h(kept).text(),
                Span::from_s(off.to_s().abs()).text()
            ),
        )
        .why("The depth follows the time at heat.")
        .accepted(
            "Enter a deviation with what was seen; `run log` reckons what the whole cycle gave.",
        )
    })
}

/// `run witness`.
pub(super) fn witness(common: &Common, step: u32) -> Result<Answer, Trouble> {
    let open = common.open()?;
    let entry = open.run.step(step).map(|done| done.entry).ok_or_else(|| {
        Trouble::input(
            Diag::stop("run-not-done", format!("Step {step} is not done yet."))
                .accepted("It is done first, and then looked at by somebody else."),
        )
    })?;
    signed(common, open, entry, Meaning::Witnessed)
}

/// `run sign`.
pub(super) fn sign(common: &Common, entry: u64, meaning: MeaningName) -> Result<Answer, Trouble> {
    let meaning = match meaning {
        MeaningName::Did => Meaning::Did,
        MeaningName::Witnessed => Meaning::Witnessed,
        MeaningName::Approved => Meaning::Approved,
    };
    signed(common, common.open()?, entry, meaning)
}

fn signed(
    common: &Common,
    mut open: Open,
    entry: u64,
    meaning: Meaning,
) -> Result<Answer, Trouble> {
    let of = open.book.entry(entry)?.ok_or_else(|| {
        Trouble::input(
            Diag::stop("book-entry-unknown", format!("There is no entry {entry}."))
                .accepted("`casewright shop show BOOK --run RUN` shows the numbers."),
        )
    })?;
    let event = Event::Signature {
        of: entry,
        of_hash: of.hash,
        meaning,
    };
    let receipt = open.put(&common.addition(event)?)?;
    let said = format!("Entry {entry} is signed: {}.", meaning.word());
    Ok(open.answer(&receipt, &said, Vec::new()))
}

/// `run finish`.
pub(super) fn finish(common: &Common, because: &str) -> Result<Answer, Trouble> {
    let open = common.open()?;
    let standing = next::Standing::of(&open.run, &open.plan);
    if let Some(step) = standing.next_step {
        return Err(Trouble::input(
            Diag::stop("run-steps-open", format!("Step {step} is not done."))
                .why("A run is finished when every step of its sheet is.")
                .accepted(
                    "Do the step, or give the run up with `casewright run abandon` and say why.",
                ),
        ));
    }
    ended(common, open, RunEnd::Finished, because)
}

/// `run abandon`.
pub(super) fn abandon(common: &Common, because: &str) -> Result<Answer, Trouble> {
    ended(common, common.open()?, RunEnd::Abandoned, because)
}

fn ended(common: &Common, mut open: Open, how: RunEnd, because: &str) -> Result<Answer, Trouble> {
    let event = Event::RunEnded {
        run: common.run.clone(),
        how,
        because: because.to_owned(),
    };
    let receipt = open.put(&common.addition(event)?)?;
    let said = format!("Run {} is {}.", common.run, how.word());
    Ok(open.answer(&receipt, &said, Vec::new()))
}

/// That a step is the one whose turn it is, and that no hold point waits before it.
fn in_turn(open: &Open, step: u32, what: &str) -> Result<(), Trouble> {
    if open.plan.step(step).is_none() {
        return Err(Trouble::input(
            Diag::stop(
                "run-no-step",
                format!(
                    "The sheet has {} steps and no step {step}.",
                    open.plan.steps.len()
                ),
            )
            .accepted("`casewright run show BOOK RUN` shows them."),
        ));
    }
    let standing = next::Standing::of(&open.run, &open.plan);
    if let Some(waiting) = open.run.waiting()
        && waiting.step < step
    {
        return Err(Trouble::input(
            Diag::stop(
                "book-hold-point",
                format!(
                    "Step {} is a hold point that nobody else has looked at; step {step} cannot be {what}.",
                    waiting.step
                ),
            )
            .why("A hold point stands where a fault can no longer be put right afterwards.")
            .accepted(format!(
                "Let somebody other than {} look and enter `casewright run witness BOOK RUN {} …`.",
                waiting.by.name, waiting.step
            )),
        ));
    }
    match standing.next_step {
        Some(next) if next < step => Err(Trouble::input(
            Diag::stop(
                "run-out-of-turn",
                format!("Step {step} cannot be {what}: step {next} comes first."),
            )
            .why("Each step rests on those before it; one that is not in the record cannot be shown to have been done.")
            .accepted("Enter the earlier step, with --at where it was done already; where it was left out, give the run up or enter it with --what and a deviation."),
        )),
        _ => Ok(()),
    }
}

fn no_soak() -> Trouble {
    Trouble::input(
        Diag::stop("run-no-soak", "The plan of this run has no soak.")
            .accepted("Look at the plan with `casewright run show`."),
    )
}
