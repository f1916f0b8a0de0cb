//! The plan against what was asked for: the note's depth and hardness, and the person's wishes.
//! These are the rules that a plan for "the nearest that can work" breaks on purpose.

use casewright_job::note::reading::{DepthKind, HardnessRange, LengthRange, Stage};
use casewright_physics::law::hardness_conversion::hv_of;
use casewright_terms::{Band, Diag, Hardness, Length, Vickers};

use super::Rule;
use super::sight::Sight;
use crate::outcome::{DepthLimit, PlanReport, Prediction, StepKind, Verdict};

pub(super) const RULES: &[Rule] = &[finish_of_the_note, limit_of_the_note, note_met, wishes];

/// A micrometre: a depth in thousandths turned to metres and back.
fn rounding() -> Length {
    Length::from_mm(0.001)
}

/// The chain must start from the note's own numbers: as depths to make where the note's depth holds
/// before grinding, else as finished depths.
fn finish_of_the_note(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(LengthRange { min, max }) = sight.spec.note.case_depth else {
        return;
    };
    let chain = &sight.plan.depth;
    let (chain_min, chain_max) = match sight.spec.note.stage {
        Stage::BeforeGrind => (chain.make_min, chain.make_max),
        Stage::AfterGrind | Stage::Unstated => (chain.finish_min, chain.finish_max),
    };
    let differs = |a: Length, b: Length| (a - b).max(b - a) > rounding();
    let min_differs = min.is_some_and(|min| differs(min, chain_min));
    let max_differs = match (max, chain_max) {
        (Some(note), Some(chain)) => differs(note, chain),
        (Some(_), None) => true,
        (None, _) => false,
    };
    if min_differs || max_differs {
        found.push(
            Diag::stop(
                "check-note-finish",
                "The depth chain starts from another finished depth than the note's.",
            )
            .accepted("The note's least and greatest depth, unchanged."),
        );
    }
}

/// Depth to which limit: 550 HV, 50 HRC and core carbon differ by tenths of a millimetre
/// [trade-practice].
fn limit_of_the_note(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let note = &sight.spec.note;
    let wrong = match (note.depth_kind, sight.plan.depth.limit) {
        (DepthKind::Total, DepthLimit::Hardness(_))
        | (DepthKind::Effective, DepthLimit::CoreCarbon) => true,
        (DepthKind::Effective, DepthLimit::Hardness(limit)) => {
            note.limit_hardness.is_some_and(|asked| asked != limit)
        }
        _ => false,
    };
    if wrong {
        found.push(
            Diag::stop(
                "check-note-limit",
                "The depth is planned to another limit than the note's.",
            )
            .accepted("The limit that the note names."),
        );
    }
    if let (DepthLimit::Hardness(limit), Some(prediction)) =
        (sight.plan.depth.limit, sight.prediction)
    {
        let hv = hv_of(limit).map(|valued| valued.value.to_hv());
        let used = prediction.limit_hardness.to_hv();
        // 5 HV: half a point of the C scale near its middle, the fineness of the conversion.
        if hv.is_some_and(|hv| (hv - used).abs() > 5.0) {
            found.push(Diag::stop(
                "check-limit-differs",
                format!("The plan's limit is {limit}; the prediction took {used:.0} HV."),
            ));
        }
    }
}

/// How a band lies to a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lies {
    Inside,
    MiddleInside,
    Outside,
}

fn lies(band: Band<f64>, min: Option<f64>, max: Option<f64>, room: f64) -> Lies {
    let holds = |value: f64| {
        min.is_none_or(|min| value >= min - room) && max.is_none_or(|max| value <= max + room)
    };
    if !holds(band.mid) {
        Lies::Outside
    } else if holds(band.low) && holds(band.high) {
        Lies::Inside
    } else {
        Lies::MiddleInside
    }
}

/// What is asked of depth, surface and core, and how the prediction lies to it.
fn demands(sight: &Sight<'_>, prediction: &Prediction) -> Vec<(&'static str, &'static str, Lies)> {
    let note = &sight.spec.note;
    let mut all = Vec::new();
    if let Some(range) = note.case_depth {
        let depth = match note.stage {
            Stage::BeforeGrind => prediction.case_depth,
            Stage::AfterGrind | Stage::Unstated => prediction.case_depth_after_grind,
        };
        let how = depth.map_or(Lies::Outside, |depth| {
            lies(
                depth.map(Length::to_m),
                range.min.map(Length::to_m),
                range.max.map(Length::to_m),
                rounding().to_m(),
            )
        });
        all.push(("check-note-depth", "case depth", how));
    }
    let hardness = [
        (
            "check-note-surface",
            "surface hardness",
            note.surface_hardness,
            prediction.surface,
        ),
        (
            "check-note-core",
            "core hardness",
            note.core_hardness,
            prediction.core,
        ),
    ];
    for (code, what, asked, band) in hardness {
        if let Some(asked) = asked {
            all.push((code, what, hardness_lies(band, asked)));
        }
    }
    all
}

/// In HV, because a reading exists there where the note's own scale has none. 2 HV of room: the
/// conversion table is printed in whole numbers.
fn hardness_lies(band: Band<Vickers>, asked: HardnessRange) -> Lies {
    let hv = |value: f64| hv_of(Hardness::new(asked.scale, value)).map(|v| v.value.to_hv());
    let (min, max) = (asked.min.map(hv), asked.max.map(hv));
    if min == Some(None) || max == Some(None) {
        return Lies::MiddleInside; // no conversion: neither met nor missed can be said
    }
    lies(band.map(Vickers::to_hv), min.flatten(), max.flatten(), 2.0)
}

/// The middle of the prediction must lie inside the note.
fn note_met(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(prediction) = sight.prediction else {
        return;
    };
    for (code, what, how) in demands(sight, prediction) {
        if how == Lies::Outside {
            found.push(
                Diag::stop(code, format!("The predicted {what} lies outside the note."))
                    .why("The lot would be made and then refused.")
                    .accepted("A plan that gives what the note asks, or no plan."),
            );
        }
    }
}

/// The verdict must follow from bands and note: whole band inside, or middle only, or not.
pub(super) fn verdict(report: &PlanReport, sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(prediction) = &report.prediction else {
        found.push(Diag::stop(
            "check-verdict",
            "The note is said to be met, and there is no prediction.",
        ));
        return;
    };
    let all = demands(sight, prediction);
    let whole = all.iter().all(|(_, _, how)| *how == Lies::Inside);
    let middle = all.iter().all(|(_, _, how)| *how != Lies::Outside);
    let wrong = match report.verdict {
        Verdict::CanBeMet => !whole,
        Verdict::Marginal => !middle,
        Verdict::CannotBeMet => false,
    };
    if wrong {
        let open: Vec<_> = all
            .iter()
            .filter(|(_, _, how)| *how != Lies::Inside)
            .map(|(_, what, _)| *what)
            .collect();
        found.push(
            Diag::stop(
                "check-verdict",
                format!(
                    "The verdict says more than the bands carry: {}.",
                    open.join(", ")
                ),
            )
            .accepted("The verdict that the bands carry."),
        );
    }
}

/// What the person insists on must be what is planned. No stop: a wish may be refused with a
/// reason, and the reason stands in the report.
fn wishes(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let (wish, plan) = (&sight.spec.wishes, sight.plan);
    let furnace = sight
        .steps(StepKind::Carburize)
        .find_map(|step| sight.furnace(step))
        .map(|furnace| furnace.id.as_str());
    let temper = sight
        .steps(StepKind::Temper)
        .find_map(|step| step.temperature);
    let text = |wished: &Option<String>, got: Option<&str>| {
        wished.as_deref().is_some_and(|wished| got != Some(wished))
    };
    // A kelvin: the wish may stand in the other unit.
    let heat = |wished: Option<casewright_terms::Temperature>, got| match (wished, got) {
        (Some(wished), Some(got)) => {
            let step: casewright_terms::TemperatureStep = wished - got;
            step.to_k().abs() > 1.0
        }
        (Some(_), None) => true,
        (None, _) => false,
    };
    let missed = [
        ("route", wish.route.is_some_and(|route| route != plan.route)),
        ("tank", text(&wish.tank, Some(&plan.quench.tank))),
        ("box", text(&wish.pack_box, Some(&plan.pack.box_id))),
        (
            "compound",
            text(&wish.compound, Some(&plan.pack.compound_id)),
        ),
        ("furnace", text(&wish.furnace, furnace)),
        (
            "temperature",
            heat(wish.temperature, Some(plan.temperature)),
        ),
        ("temper", heat(wish.temper, temper)),
    ];
    for (what, _) in missed.iter().filter(|(_, missed)| *missed) {
        found.push(
            Diag::warn("check-wish", format!("The job wishes for another {what}."))
                .accepted("The wish, or a word why not."),
        );
    }
}
