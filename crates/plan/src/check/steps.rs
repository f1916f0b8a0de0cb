//! The steps: every one there, in an order that makes sense, complete, and set as the trade sets it.

use casewright_job::spec::RouteWish;
use casewright_physics::law::transformation_temperature::ac1_andrews;
use casewright_terms::{Diag, Length, Span, Temperature};

use super::Rule;
use super::sight::{Sight, section};
use crate::outcome::{Step, StepKind};

pub(super) const RULES: &[Rule] = &[
    all_there,
    order,
    route,
    complete,
    reheat_temperature,
    temper_temperature,
    temper_time,
    hold_points,
];

fn place(steps: &[Step], kind: StepKind) -> Option<usize> {
    steps.iter().position(|step| step.kind == kind)
}

fn last_place(steps: &[Step], kind: StepKind) -> Option<usize> {
    steps.iter().rposition(|step| step.kind == kind)
}

/// The steps nobody may leave out [trade-practice].
fn all_there(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let steps = &sight.plan.steps;
    for (kind, code, what) in [
        (StepKind::Pack, "check-step-missing", "packing"),
        (StepKind::Carburize, "check-step-missing", "carburizing"),
        (StepKind::Quench, "check-step-missing", "a quench"),
        (StepKind::Temper, "check-temper-missing", "tempering"),
        (StepKind::Test, "check-test-missing", "a test"),
    ] {
        if place(steps, kind).is_none() {
            found.push(Diag::stop(
                code,
                format!("The plan has no step for {what}."),
            ));
        }
    }
    let ground = sight
        .spec
        .stock
        .iter()
        .any(|stock| stock.per_side > Length::ZERO);
    if ground && place(steps, StepKind::Grind).is_none() {
        found.push(Diag::warn(
            "check-grind-missing",
            "The job has grinding stock and the plan has no step for it.",
        ));
    }
}

/// What must come before what, and what it would do to the work otherwise [trade-practice].
fn order(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    use StepKind::{Carburize, Cool, Grind, Pack, Quench, Reheat, Temper, Test};
    let steps = &sight.plan.steps;
    let mut before = |first: Option<usize>, then: Option<usize>, code, seen: &str| {
        if let (Some(first), Some(then)) = (first, then)
            && first > then
        {
            found.push(Diag::stop(code, seen));
        }
    };
    let first = |kind| place(steps, kind);
    let last = |kind| last_place(steps, kind);
    before(
        first(Pack),
        first(Carburize),
        "check-order",
        "Carburizing comes before packing.",
    );
    before(
        last(Carburize),
        first(Quench),
        "check-order",
        "A quench comes before carburizing.",
    );
    before(
        last(Carburize),
        first(Reheat),
        "check-order",
        "A reheat comes before carburizing.",
    );
    before(
        first(Carburize),
        first(Cool),
        "check-order",
        "Cooling comes before carburizing.",
    );
    before(
        last(Quench),
        first(Temper),
        "check-order-temper",
        "Tempering comes before the quench.",
    );
    before(
        first(Temper),
        first(Grind),
        "check-grind-before-temper",
        "Grinding comes before tempering: the case cracks.",
    );
    before(
        last(Quench),
        first(Grind),
        "check-grind-before-quench",
        "Grinding comes before the quench.",
    );
    before(
        last(Quench),
        last(Test),
        "check-test-early",
        "No test comes after the quench.",
    );
    // A look at a coupon before the reheat is no test of hardness: the last before grinding counts.
    let tempered = first(Temper).unwrap_or(0);
    let tested = (0..steps.len()).find(|&i| i >= tempered && steps[i].kind == Test);
    before(
        tested,
        first(Grind),
        "check-grind-before-test",
        "Grinding comes before the test: what is ground off cannot be mended.",
    );
}

/// Each quench is fed by what the route says [trade-practice].
fn route(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let steps = &sight.plan.steps;
    let reheats = sight.steps(StepKind::Reheat).count();
    let quenches = sight.steps(StepKind::Quench).count();
    let (wanted, name) = match sight.plan.route {
        RouteWish::Direct => (0, "direct"),
        RouteWish::Single => (1, "single reheat"),
        RouteWish::Double => (2, "double reheat"),
    };
    if reheats != wanted || quenches != wanted.max(1) {
        found.push(
            Diag::stop(
                "check-route",
                format!("The {name} route with {reheats} reheats and {quenches} quenches."),
            )
            .accepted(format!("{wanted} reheats, each with its quench.")),
        );
        return;
    }
    for (index, step) in steps.iter().enumerate() {
        if step.kind != StepKind::Quench {
            continue;
        }
        let fed = index.checked_sub(1).map(|before| steps[before].kind);
        let right = match sight.plan.route {
            RouteWish::Direct => matches!(fed, Some(StepKind::Carburize | StepKind::Cool)),
            RouteWish::Single | RouteWish::Double => fed == Some(StepKind::Reheat),
        };
        if !right {
            found.push(Diag::stop(
                "check-route",
                "A quench does not follow directly on what heats the work.",
            ));
        }
    }
    if sight.plan.route != RouteWish::Direct && place(steps, StepKind::Cool).is_none() {
        found.push(
            Diag::stop("check-route", "A reheat without cooling in the box before.")
                .why("Grain is refined only by going through the transformation twice."),
        );
    }
}

/// Nothing is left to choose at the bench: hot steps have a temperature and a time, quenches a tank.
fn complete(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    for step in &sight.plan.steps {
        let hot = matches!(
            step.kind,
            StepKind::Carburize | StepKind::Reheat | StepKind::Temper
        );
        let no_time = step.soak.is_none_or(|soak| soak <= Span::ZERO);
        if hot && (step.temperature.is_none() || no_time) {
            found.push(
                Diag::stop("check-step-open", "A hot step without temperature or time.")
                    .accepted("Both, on every hot step."),
            );
        }
        if hot && step.tolerance.is_none() {
            found.push(Diag::warn(
                "check-step-tolerance",
                "A hot step does not say how far its temperature may stray.",
            ));
        }
        if step.kind == StepKind::Quench && step.equipment.is_none() {
            found.push(Diag::stop("check-step-open", "A quench without a tank."));
        }
        if step.kind == StepKind::Carburize
            && step.soak.is_some_and(|soak| {
                let off = soak - sight.plan.soak;
                off.max(-off) > Span::from_min(1.0)
            })
        {
            found.push(Diag::stop(
                "check-soak-differs",
                "The carburizing step soaks for another time than the plan.",
            ));
        }
        if step.text.trim().is_empty() {
            found.push(Diag::warn("check-step-silent", "A step without words."));
        }
    }
}

/// 1400 to 1650 °F; the last reheat hardens the case and wants 1400 to 1500 °F; below Ac1 nothing
/// hardens [trade-practice], Ac1 [andrews-1965].
fn reheat_temperature(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let reheats: Vec<_> = sight.steps(StepKind::Reheat).collect();
    let ac1 = sight.composition().map(|steel| ac1_andrews(&steel).value);
    for (index, step) in reheats.iter().enumerate() {
        let Some(set) = step.temperature else {
            continue;
        };
        let seen = format!("Reheat to {}.", set.text_both(sight.spec.units));
        let f = set.to_f();
        if f > 1650.5 {
            found.push(
                Diag::stop("check-reheat-hot", seen)
                    .why("The case coarsens, keeps much austenite and cracks in the quench.")
                    .accepted("1400 to 1650 °F (760 to 900 °C)."),
            );
        } else if ac1.is_some_and(|ac1| set <= ac1) || f < 1339.5 {
            found.push(
                Diag::stop("check-reheat-cold", seen)
                    .why("The steel does not turn to austenite: nothing hardens.")
                    .accepted("1400 to 1650 °F (760 to 900 °C)."),
            );
        } else if f < 1399.5 {
            found.push(
                Diag::warn("check-reheat-low", seen)
                    .why("A few degrees of error and the case stays soft.")
                    .accepted("1400 °F (760 °C) or more."),
            );
        } else if f > 1550.5 && index + 1 == reheats.len() {
            found.push(
                Diag::warn("check-reheat-high", seen)
                    .why("From over 1550 °F the case keeps much austenite.")
                    .accepted("1400 to 1500 °F (760 to 815 °C) for the case."),
            );
        }
    }
    if sight.plan.route == RouteWish::Direct && sight.quench_from() > Temperature::from_f(1550.5) {
        found.push(
            Diag::warn("check-direct-hot", "A direct quench from over 1550 °F.")
                .why("The case keeps much austenite.")
                .accepted("A drop to 1500 to 1550 °F first."),
        );
    }
}

/// 300 to 400 °F is usual; outside 275 to 450 °F a case is either left brittle or goes soft
/// [trade-practice].
fn temper_temperature(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    for step in sight.steps(StepKind::Temper) {
        let Some(set) = step.temperature else {
            continue;
        };
        let seen = format!("Temper at {}.", set.text_both(sight.spec.units));
        let accepted = "300 to 400 °F (150 to 205 °C); 275 to 450 °F at the ends.";
        let f = set.to_f();
        // Over 600 °F a carbon-steel case falls below 55 HRC; under 212 °F nothing is relieved.
        if !(212.0..=600.0).contains(&f) {
            found.push(
                Diag::stop("check-temper-temperature", seen)
                    .why("The case would stay brittle or come out soft.")
                    .accepted(accepted),
            );
        } else if !(274.5..=450.5).contains(&f) {
            found.push(Diag::warn("check-temper-unusual", seen).accepted(accepted));
        }
    }
}

/// An hour and an hour more for each inch of section [trade-practice].
fn temper_time(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let inches = section(&sight.spec.part.shape).to_in();
    let wanted = Span::from_h(1.0 + inches);
    for step in sight.steps(StepKind::Temper) {
        let Some(soak) = step.soak else { continue };
        let seen = format!("Temper for {}.", soak.text());
        // A minute: spans are printed in minutes.
        if soak < Span::from_h(1.0) - Span::from_min(1.0) {
            found.push(
                Diag::stop("check-temper-short", seen)
                    .why("The middle of the part is hardly warm by then.")
                    .accepted("An hour and an hour per inch of section."),
            );
        } else if soak < wanted - Span::from_min(1.0) {
            found.push(
                Diag::warn("check-temper-brief", seen)
                    .accepted(format!("{} for this section.", wanted.text())),
            );
        }
    }
}

/// A second person looks before packing goes on, before the work goes into a hot furnace, before
/// the quench and at the test [trade-practice].
fn hold_points(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    for (kind, what) in [
        (StepKind::Pack, "packing"),
        (StepKind::Reheat, "the reheat"),
        (StepKind::Quench, "the quench"),
        (StepKind::Test, "the test"),
    ] {
        let mut steps = sight.steps(kind).peekable();
        // One test may be a look only: one of them must be held.
        let held = if kind == StepKind::Test {
            steps.peek().is_none() || steps.any(|step| step.hold_point)
        } else {
            steps.all(|step| step.hold_point)
        };
        if !held {
            let seen = format!("No hold point at {what}.");
            found.push(if kind == StepKind::Quench {
                Diag::stop("check-hold-quench", seen)
                    .why("Nobody stands by at the most dangerous step.")
            } else {
                Diag::warn("check-hold", seen)
            });
        }
    }
}
