//! What is never done, whatever comes of the steel: things that hurt people, and shortcuts that make
//! the proof of a load worthless. Looks at the shop's things and for words, as the other rules about
//! people do.

use casewright_job::shop::{HotOpening, Lute};
use casewright_job::spec::{RouteWish, Steel};
use casewright_physics::matter::steel;
use casewright_terms::{Diag, Length};

use super::Rule;
use super::people::{missing, told};
use super::sight::Sight;
use crate::outcome::StepKind;

pub(super) const RULES: &[Rule] = &[
    asbestos,
    opened_indoors,
    plated,
    specification,
    bursting,
    steam,
    burns,
    alone,
    coupon_steel,
    stock_against_case,
    bare_reheat,
    tester_block,
];

/// No asbestos in the lute or in a step [trade-practice].
fn asbestos(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let luted = sight
        .pack_box()
        .is_some_and(|item| item.lute == Some(Lute::Asbestos));
    let told = sight
        .plan
        .steps
        .iter()
        .any(|step| step.text.to_lowercase().contains("asbestos"));
    if luted || told {
        found.push(
            Diag::stop("check-asbestos", "The plan uses asbestos.")
                .why("Its fibres kill, years later.")
                .accepted("Fire clay."),
        );
    }
}

/// No box is opened at red heat in a room without a hood [trade-practice].
fn opened_indoors(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let indoors = sight.spec.shop.hot_opening == Some(HotOpening::Indoors);
    if indoors && sight.plan.route == RouteWish::Direct {
        found.push(
            Diag::stop(
                "check-open-indoors",
                "The box is opened at red heat, indoors and without a hood.",
            )
            .why("Carbon monoxide fills the room, and the gas burns when air comes in.")
            .accepted("Cooling in the closed box and a reheat."),
        );
    }
}

/// Zinc boils off as fume [trade-practice].
fn plated(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let name = match &sight.spec.steel {
        Steel::Grade { name, .. } => name,
        Steel::Chemistry { label, .. } => label,
    };
    let name = name.to_lowercase();
    if ["galvani", "zinc", "cadmium", "plated"]
        .iter()
        .any(|word| name.contains(word))
    {
        found.push(
            Diag::stop("check-plated", format!("{name} goes into the box plated."))
                .why("The plating boils off as poisonous fume and keeps the carbon out.")
                .accepted("Stock that is stripped bare."),
        );
    }
}

/// A specification whose scope leaves the pack out is waived by the customer or not worked to
/// [trade-practice].
fn specification(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let called = |name: &String| name.starts_with("AMS 2759/7");
    let waived = |code: &str| code.trim() == "spec-excludes-pack";
    if sight.spec.note.standards.iter().any(called)
        && !sight.spec.answers.iter().any(|a| waived(&a.code))
    {
        found.push(
            Diag::stop(
                "check-specification",
                "The note calls a specification that does not cover pack carburizing.",
            )
            .why("The job could not be certified to it.")
            .accepted("The customer's release, in writing."),
        );
    }
}

/// A pack makes gas [trade-practice].
fn bursting(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    if !told(sight, &[&["gas-tight", "burst", "vent"]]) {
        missing(found, "check-caution-vent", "a box that must let gas out");
    }
}

/// Water under hot work throws it [trade-practice].
fn steam(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    if !told(sight, &[&["steam", "wet", "damp"]]) {
        missing(found, "check-caution-steam", "steam");
    }
}

/// Hot work burns [trade-practice].
fn burns(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    if !told(sight, &[&["shield", "glove", "apron", "goggles"]]) {
        missing(found, "check-caution-burn", "what is worn at hot work");
    }
}

/// Who leaves a furnace alone reads how [trade-practice].
fn alone(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let words: &[&[&str]] = &[&["nobody", "unattended", "alone"], &["cut-off", "limit"]];
    if sight.spec.unattended && !told(sight, words) {
        missing(found, "check-caution-unattended", "a furnace left alone");
    }
}

/// A coupon of another steel proves nothing about the parts [trade-practice].
fn coupon_steel(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let own = match &sight.spec.steel {
        Steel::Grade { name, .. } => Some(name),
        Steel::Chemistry { grade, .. } => grade.as_ref(),
    };
    let own = own.and_then(|name| steel::find(name)).map(|r| &r.name);
    for coupon in &sight.plan.coupons {
        let named = coupon
            .size
            .split([',', ';'])
            .filter_map(|piece| steel::find(piece.trim()))
            .find(|record| own.is_some_and(|own| record.name != *own));
        if let Some(record) = named {
            found.push(
                Diag::stop(
                    "check-coupon-steel",
                    format!(
                        "Coupon {} is {}, and the parts are not.",
                        coupon.mark, record.name
                    ),
                )
                .why("Depth and hardness differ from steel to steel: it proves nothing about the parts.")
                .accepted("The steel of the parts, of the same heat where it can be had."),
            );
        }
    }
}

/// What is ground off is less than the case: over half of it, a bow decides what is left
/// [trade-practice].
fn stock_against_case(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let Some(stock) = sight
        .spec
        .stock
        .iter()
        .map(|s| s.per_side + s.bow)
        .reduce(Length::max)
    else {
        return;
    };
    let case = sight.plan.depth.aim;
    let seen = format!(
        "Up to {:.2} mm are ground off a case of {:.2} mm.",
        stock.to_mm(),
        case.to_mm()
    );
    if stock >= case {
        found.push(
            Diag::stop("check-stock-over-case", seen)
                .why("The whole case would be ground away.")
                .accepted("Less stock, or a deeper case."),
        );
    } else if stock > case * 0.5 {
        found.push(
            Diag::warn("check-stock-share", seen)
                .why("More is ground off than is left; the hardest part of the case is gone.")
                .accepted("Less stock: straighten or machine closer before the heat."),
        );
    }
}

/// A bare reheat takes the carbon out again [trade-practice].
fn bare_reheat(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let ways = ["wrap", "foil", "compound", "pack", "salt", "gas"];
    for step in sight.steps(StepKind::Reheat) {
        let text = step.text.to_lowercase();
        if !ways.iter().any(|way| text.contains(way)) {
            found.push(
                Diag::warn("check-reheat-bare", "The parts are reheated bare.")
                    .why("Air takes the carbon out of the skin: it comes out soft and scaled.")
                    .accepted("Wrapped in used compound or foil."),
            );
        }
    }
}

/// A tester is shown to read right before it judges [trade-practice].
fn tester_block(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let tested = sight.steps(StepKind::Test).next().is_some();
    let checked = sight
        .steps(StepKind::Test)
        .any(|step| step.text.to_lowercase().contains("block"));
    if tested && !checked {
        found.push(
            Diag::warn("check-test-block", "The tester is not checked on a block.")
                .why("Good work is scrapped, or bad work passed, by a tester that is off.")
                .accepted("Five readings on a block of the same range, the same day."),
        );
    }
}
