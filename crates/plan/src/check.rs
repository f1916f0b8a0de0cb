//! The second pair of eyes: looks at a finished plan and says what is wrong with it.
//!
//! Written from the rules of the trade and from closed formulas, without the planner's own rules;
//! it imports nothing from the modules that make plans (a test in `tests/check.rs` holds that).
//! It never mends a plan and never runs the engine: where it needs a number it takes a law's closed
//! form, with room for what such a form cannot know. A sound plan gives an empty list.

mod boxes;
mod charge;
mod depth;
mod edges;
mod forecast;
mod heat;
mod never;
mod pack;
mod people;
mod quench;
mod scales;
mod sight;
mod steps;
mod times;
mod wanted;

use casewright_job::spec::Spec;
use casewright_terms::Diag;

use crate::outcome::{Plan, PlanReport, Prediction, Verdict};
use sight::Sight;

/// Codes that say the plan misses the note or the wishes. They are expected, and left out by
/// [`check_report`], where the verdict already says that the note cannot be met.
pub const OF_THE_NOTE: [&str; 5] = [
    "check-note-finish",
    "check-note-limit",
    "check-note-depth",
    "check-note-surface",
    "check-note-core",
];

/// One rule: looks, and adds what it finds.
type Rule = fn(&Sight<'_>, &mut Vec<Diag>);

/// What is wrong with a plan, heaviest first; empty for a sound one. Rules about the prediction are
/// skipped where there is none.
#[must_use]
pub fn check(plan: &Plan, prediction: Option<&Prediction>, spec: &Spec) -> Vec<Diag> {
    let sight = Sight::new(plan, prediction, spec);
    let mut found = Vec::new();
    let families: [&[Rule]; 14] = [
        heat::RULES,
        boxes::RULES,
        depth::RULES,
        wanted::RULES,
        pack::RULES,
        charge::RULES,
        steps::RULES,
        times::RULES,
        quench::RULES,
        scales::RULES,
        people::RULES,
        never::RULES,
        forecast::RULES,
        edges::RULES,
    ];
    for rule in families.into_iter().flatten() {
        rule(&sight, &mut found);
    }
    found.sort_by_key(|diag| std::cmp::Reverse(diag.severity));
    found
}

/// The same for a whole report, with its verdict held against the prediction. Empty where the
/// report has no plan and says that the note cannot be met.
#[must_use]
pub fn check_report(report: &PlanReport, spec: &Spec) -> Vec<Diag> {
    let Some(plan) = &report.plan else {
        return match report.verdict {
            Verdict::CannotBeMet => Vec::new(),
            Verdict::CanBeMet | Verdict::Marginal => vec![
                Diag::stop(
                    "check-verdict",
                    "The note is said to be met, and there is no plan.",
                )
                .accepted("A plan, or the verdict that the note cannot be met."),
            ],
        };
    };
    let mut found = check(plan, report.prediction.as_ref(), spec);
    if report.verdict == Verdict::CannotBeMet {
        found.retain(|diag| !OF_THE_NOTE.contains(&diag.code));
    } else {
        wanted::verdict(
            report,
            &Sight::new(plan, report.prediction.as_ref(), spec),
            &mut found,
        );
    }
    found.sort_by_key(|diag| std::cmp::Reverse(diag.severity));
    found
}
