//! The clock: no step before the last has ended, no wait that cracks parts, somebody there when
//! hands are needed.

use casewright_terms::{Diag, Span};
use jiff::civil::DateTime;

use super::Rule;
use super::sight::Sight;
use crate::outcome::{Moment, Step, StepKind};

pub(super) const RULES: &[Rule] = &[
    no_overlap,
    one_clock,
    soak_from_pack_hot,
    soak_overrun,
    hot_to_tank,
    quench_to_temper,
    hands_at_work,
    left_alone,
];

/// Steps stand on whole minutes.
fn minute() -> Span {
    Span::from_min(1.0)
}

/// Each step begins when the one before has ended, or later.
fn no_overlap(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let steps = &sight.plan.steps;
    let backwards = steps.iter().any(|step| step.ends.after < step.begins.after);
    let overlap = steps
        .windows(2)
        .any(|pair| pair[1].begins.after < pair[0].ends.after - minute());
    let negative = steps
        .first()
        .is_some_and(|step| step.begins.after < Span::ZERO);
    if backwards || overlap || negative {
        found.push(
            Diag::stop(
                "check-time-overlap",
                "A step begins before the one before has ended.",
            )
            .accepted("One after the other."),
        );
    }
}

/// Wall clock and hours since the start tell one story, from the job's start on.
fn one_clock(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let moments = || {
        sight
            .plan
            .steps
            .iter()
            .flat_map(|step| [step.begins, step.ends])
    };
    let zero = |moment: Moment| -> Option<f64> {
        let base = DateTime::constant(2000, 1, 1, 0, 0, 0, 0);
        let clock = moment.clock?.duration_since(base).as_secs_f64();
        Some(clock - moment.after.to_s())
    };
    let zeros: Vec<_> = moments().map(zero).collect();
    let some = zeros.iter().filter(|zero| zero.is_some()).count();
    if some != 0 && some != zeros.len() {
        found.push(Diag::warn(
            "check-clock",
            "Some steps have a wall clock and some have none.",
        ));
    }
    let known = || zeros.iter().flatten();
    let (least, most) = known().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), zero| {
        (a.min(*zero), b.max(*zero))
    });
    // Both ends may be rounded by a minute.
    if some > 1 && most - least > 121.0 {
        found.push(
            Diag::stop(
                "check-clock",
                "Wall clock and hours since the start do not agree.",
            )
            .accepted("One start for all steps."),
        );
    }
    let early = |start: DateTime| {
        sight
            .plan
            .steps
            .iter()
            .filter_map(|step| step.begins.clock)
            .any(|clock| clock < start)
    };
    if sight.spec.start.is_some_and(early) {
        found.push(Diag::stop(
            "check-clock-early",
            "A step begins before work may start.",
        ));
    }
    if sight.spec.start.is_some() && some == 0 && !zeros.is_empty() {
        found.push(Diag::warn(
            "check-clock",
            "The job has a start and the steps have no clock.",
        ));
    }
}

/// The soak counts from when the pack is hot, not from when the furnace is [trade-practice]. Five
/// minutes of a soak of hours are a hundredth of the depth.
fn soak_from_pack_hot(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let asked = sight.plan.pack_hot_after.mid + sight.plan.soak;
    for step in sight.steps(StepKind::Carburize) {
        let length = step.ends.after - step.begins.after;
        if length < asked - Span::from_min(5.0) {
            found.push(
                Diag::stop(
                    "check-soak-from-hot",
                    format!("Carburizing takes {} on the clock.", length.text()),
                )
                .why("Heating the pack is counted as soak: the case would be thin.")
                .accepted(format!("{} at least.", asked.text())),
            );
        }
    }
}

/// What follows the soak begins when it ends. Work that waits in the hot furnace goes on taking up
/// carbon: a tenth of the soak's time is a twentieth of the depth [trade-practice].
fn soak_overrun(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let room = (sight.plan.soak * 0.1).max(Span::from_min(15.0));
    for pair in sight.plan.steps.windows(2) {
        let wait = pair[1].begins.after - pair[0].ends.after;
        if pair[0].kind == StepKind::Carburize && wait > room {
            found.push(
                Diag::stop(
                    "check-soak-overrun",
                    format!(
                        "{} between the end of the soak and the next step.",
                        wait.text()
                    ),
                )
                .why("The case goes on growing in the hot furnace.")
                .accepted("The next step when the soak ends."),
            );
        }
    }
}

/// Work goes from the heat into the tank without a wait.
fn hot_to_tank(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    for pair in sight.plan.steps.windows(2) {
        let wait = pair[1].begins.after - pair[0].ends.after;
        if pair[1].kind == StepKind::Quench && wait > minute() * 2.0 {
            found.push(
                Diag::stop(
                    "check-quench-late",
                    format!("{} between heat and quench.", wait.text()),
                )
                .why("The work would be cold."),
            );
        }
    }
}

/// Quench cracks come while the work waits: over an hour warn, over four stop [trade-practice].
fn quench_to_temper(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(quench) = sight.steps(StepKind::Quench).last() else {
        return;
    };
    let Some(temper) = sight.steps(StepKind::Temper).next() else {
        return;
    };
    let wait = temper.begins.after - quench.ends.after;
    let seen = format!("{} between quench and temper.", wait.text());
    let accepted = "Within the hour, before the work is below hand-warm.";
    if wait > Span::from_h(4.0) + minute() {
        found.push(
            Diag::stop("check-temper-late", seen)
                .why("Hardened work cracks while it waits.")
                .accepted(accepted),
        );
    } else if wait > Span::from_h(1.0) + minute() {
        found.push(Diag::warn("check-temper-wait", seen).accepted(accepted));
    }
}

/// Whether somebody is there from one moment to the other; `None` without a wall clock. A minute of
/// room at both ends.
fn staffed(sight: &Sight<'_>, from: Moment, to: Moment) -> Option<bool> {
    let (from, to) = (from.clock?, to.clock?);
    let day = usize::try_from(from.weekday().to_monday_zero_offset()).ok()?;
    let hours = sight
        .spec
        .shop
        .staffed
        .by_weekday
        .get(day)
        .copied()
        .flatten();
    let minutes = |at: DateTime| i32::from(at.hour()) * 60 + i32::from(at.minute());
    Some(
        from.date() == to.date()
            && hours.is_some_and(|(open, close)| {
                minutes(from) + 1 >= i32::from(open) && minutes(to) <= i32::from(close) + 1
            }),
    )
}

/// Loading, quenching, testing and the like need hands [trade-practice].
fn hands_at_work(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let spans = |step: &Step| match step.kind {
        StepKind::Carburize => vec![(step.begins, step.begins)],
        StepKind::Cool => vec![(step.begins, step.begins)],
        StepKind::Temper => vec![(step.begins, step.begins), (step.ends, step.ends)],
        _ => vec![(step.begins, step.ends)],
    };
    for step in &sight.plan.steps {
        let alone = spans(step)
            .into_iter()
            .any(|(from, to)| staffed(sight, from, to) == Some(false));
        if !alone {
            continue;
        }
        let clock = step
            .begins
            .clock
            .map(|at| at.to_string())
            .unwrap_or_default();
        let seen = format!("Hands are needed from {clock}, outside staffed hours.");
        let dangerous = matches!(
            step.kind,
            StepKind::Pack
                | StepKind::Carburize
                | StepKind::Cool
                | StepKind::Reheat
                | StepKind::Quench
                | StepKind::Temper
        );
        found.push(if dangerous {
            Diag::stop("check-unstaffed", seen).accepted("A start that puts it into staffed hours.")
        } else {
            Diag::warn("check-unstaffed-bench", seen)
        });
    }
}

/// A hot furnace alone: only where somebody allowed it, and with a cut-off of its own [trade-practice].
fn left_alone(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    for step in sight.steps(StepKind::Carburize) {
        if staffed(sight, step.begins, step.ends) != Some(false) {
            continue;
        }
        if !sight.spec.unattended {
            found.push(
                Diag::stop("check-unattended", "The soak runs on when nobody is there.").accepted(
                    "A soak inside staffed hours, or leave from somebody who may give it.",
                ),
            );
        }
        if !sight
            .furnace(step)
            .is_some_and(|furnace| furnace.independent_high_limit)
        {
            found.push(
                Diag::stop(
                    "check-unattended-limit",
                    "The soak runs unattended without an independent high limit.",
                )
                .why("A controller that sticks burns the shop down.")
                .accepted("A furnace with a cut-off of its own."),
            );
        }
    }
}
