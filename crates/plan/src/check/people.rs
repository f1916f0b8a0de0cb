//! What must be told to people, and what must be said about areas that stay soft. Looks for words:
//! how a caution is coded is the planner's own business.

use casewright_job::note::reading::Rule as AreaRule;
use casewright_job::shop::{Energiser, Medium};
use casewright_terms::Diag;

use super::Rule;
use super::sight::Sight;

pub(super) const RULES: &[Rule] = &[carbon_monoxide, oil_fire, barium, deferral, soft_areas];

pub(super) fn told(sight: &Sight<'_>, all_of: &[&[&str]]) -> bool {
    sight.cautions().any(|caution| {
        let text = format!("{} {}", caution.hazard, caution.text).to_lowercase();
        all_of
            .iter()
            .all(|any| any.iter().any(|word| text.contains(word)))
    })
}

pub(super) fn missing(found: &mut Vec<Diag>, code: &'static str, hazard: &str) {
    found.push(
        Diag::stop(code, format!("Nothing is said about {hazard}."))
            .why("People can be hurt.")
            .accepted("A caution in front of the step."),
    );
}

/// Every pack gives off carbon monoxide [trade-practice].
fn carbon_monoxide(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    if !told(sight, &[&["carbon monoxide"]]) {
        missing(found, "check-caution-co", "carbon monoxide");
    }
}

/// Oil burns [trade-practice].
fn oil_fire(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let oil = matches!(sight.plan.quench.medium, Medium::SlowOil | Medium::FastOil);
    if oil && !told(sight, &[&["oil"], &["fire", "flash", "burn"]]) {
        missing(found, "check-caution-oil", "fire in the oil");
    }
}

/// Barium carbonate is poison [trade-practice].
fn barium(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let holds = sight.compounds().any(|lot| {
        matches!(
            lot.energiser,
            Energiser::BariumCarbonate | Energiser::MixedWithBarium
        )
    });
    if holds && !told(sight, &[&["barium"]]) {
        missing(found, "check-caution-barium", "barium in the compound");
    }
}

/// The plan gives way to local rules and the shop's own procedure [trade-practice]. A
/// warning only: the printed page says it by itself, but a plan is also read without its page.
fn deferral(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let words: &[&[&str]] = &[
        &["local", "procedure", "employer", "school"],
        &["win", "first", "follow", "before this", "over this"],
    ];
    if !told(sight, words) {
        found.push(
            Diag::warn(
                "check-caution-deferral",
                "The plan does not say that local rules and procedures win over it.",
            )
            .accepted("The sentence, in the job's cautions."),
        );
    }
}

/// Ways to keep an area soft [trade-practice].
const METHODS: [&str; 9] = [
    "copper", "stop-off", "stopoff", "clay", "plug", "paint", "mask", "machine", "screw",
];

/// Each area that stays soft is named together with a way to keep it so.
fn soft_areas(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let plan = sight.plan;
    let mut texts: Vec<String> = sight
        .cautions()
        .map(|caution| caution.text.to_lowercase())
        .collect();
    for step in &plan.steps {
        let mut words = vec![step.text.as_str()];
        words.extend(step.acceptance.iter().map(String::as_str));
        words.extend(step.stop_if.iter().map(String::as_str));
        texts.push(words.join(" ").to_lowercase());
    }
    let method = |text: &String| METHODS.iter().any(|method| text.contains(method));
    let features = sight
        .spec
        .part
        .features
        .iter()
        .filter(|feature| feature.stays_soft)
        .map(|feature| &feature.name);
    let of_note = sight
        .spec
        .note
        .selective
        .iter()
        .filter(|area| area.rule == AreaRule::MustNot)
        .map(|area| &area.what);
    for name in features.chain(of_note) {
        let wanted = name.to_lowercase();
        let seen = format!("No word on how {name} is kept soft.");
        if !texts.iter().any(method) {
            found.push(
                Diag::stop("check-soft-area", seen)
                    .why("It would be hardened with the rest.")
                    .accepted(
                        "Copper, stop-off paint, clay, a plug, or stock that is machined off first.",
                    ),
            );
        } else if !texts
            .iter()
            .any(|text| method(text) && text.contains(&wanted))
        {
            found.push(
                Diag::warn("check-soft-area-unnamed", seen)
                    .why("A way is named, but not for this area.")
                    .accepted("The area by name, with its way, in a step."),
            );
        }
    }
}
