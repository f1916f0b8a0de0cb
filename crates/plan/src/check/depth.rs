//! The arithmetic of the depth to make: per side, both limits, and the section that must hold it.

use casewright_job::note::reading::Stage;
use casewright_job::spec::Stock;
use casewright_physics::law::case_depth_rules::harris_depth;
use casewright_terms::{Diag, Length, Severity};

use super::Rule;
use super::sight::{Sight, section};

pub(super) const RULES: &[Rule] = &[
    signs,
    stock_of_the_job,
    least_to_make,
    most_to_make,
    aim_between,
    scatter_allowed,
    shallow_or_narrow,
    sections_hold_the_case,
];

/// A micrometre: rounding of thousandths of an inch, far below any grinder.
fn rounding() -> Length {
    Length::from_mm(0.001)
}

/// No link of the chain may be negative, and the ends must be in order.
fn signs(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let chain = &sight.plan.depth;
    let negative = [
        chain.finish_min,
        chain.stock.0,
        chain.stock.1,
        chain.scatter,
    ]
    .iter()
    .any(|link| *link < Length::ZERO);
    let crossed = chain.stock.0 > chain.stock.1
        || chain.finish_max.is_some_and(|max| max < chain.finish_min)
        || chain.make_max.is_some_and(|max| max < chain.make_min)
        || chain.make_min <= Length::ZERO;
    if negative || crossed {
        found.push(
            Diag::stop(
                "check-depth-order",
                "The depth chain has a negative link or crossed ends.",
            )
            .accepted("Least before greatest, nothing below zero."),
        );
    }
}

/// Greatest and least stock that the job takes off a cased face: the bow moves it from one side to
/// the other [trade-practice].
fn stock_range(sight: &Sight<'_>) -> (Length, Length) {
    let ends = |stock: &Stock| {
        (
            (stock.per_side - stock.bow).max(Length::ZERO),
            stock.per_side + stock.bow,
        )
    };
    let from_job = sight
        .spec
        .stock
        .iter()
        .map(ends)
        .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    let from_note = sight.spec.note.stock_per_side.map(|stock| (stock, stock));
    from_job
        .or(from_note)
        .unwrap_or((Length::ZERO, Length::ZERO))
}

/// The chain must take the job's stock: per side, with the bow, not per diameter. [trade-practice]
fn stock_of_the_job(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let (least, most) = stock_range(sight);
    let (low, high) = sight.plan.depth.stock;
    let units = sight.spec.units;
    let seen = format!(
        "The chain takes off {} to {}.",
        low.depth_text_both(units),
        high.depth_text_both(units)
    );
    let accepted = format!(
        "{} to {} per side, as the job says.",
        least.depth_text_both(units),
        most.depth_text_both(units)
    );
    if high < most - rounding() {
        found.push(
            Diag::stop("check-stock-small", seen)
                .why("More is ground off than the chain reckons with: the case is ground through.")
                .accepted(accepted),
        );
    } else if most > Length::ZERO && high >= most * 1.9 {
        found.push(
            Diag::stop("check-stock-on-diameter", seen)
                .why("That looks like stock on the diameter: the case would be too deep.")
                .accepted(accepted),
        );
    } else if low > least + rounding() || high > most + rounding() {
        found.push(
            Diag::warn("check-stock-large", seen)
                .why("Less may be ground off than the chain reckons with: the case may stay too deep.")
                .accepted(accepted),
        );
    }
}

/// What must lie between the depth to make and the finished depth. Where the note's depth holds
/// before grinding the finished depth follows from it, and a finish of nothing asks for nothing.
fn stock_in_chain(sight: &Sight<'_>) -> (Length, Length) {
    let chain = &sight.plan.depth;
    match sight.spec.note.stage {
        Stage::BeforeGrind => (
            chain.stock.0.min(chain.make_max.unwrap_or(chain.stock.0)),
            chain.stock.1.min(chain.make_min),
        ),
        Stage::AfterGrind | Stage::Unstated => chain.stock,
    }
}

/// Least made depth less the greatest local stock is still the least finished depth
/// [trade-practice].
fn least_to_make(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let chain = &sight.plan.depth;
    let asked = chain.finish_min + stock_in_chain(sight).1;
    let units = sight.spec.units;
    let seen = format!(
        "At least {} is to be made.",
        chain.make_min.depth_text_both(units)
    );
    let accepted = format!(
        "{}: finish and greatest stock.",
        asked.depth_text_both(units)
    );
    if chain.make_min < asked - rounding() {
        found.push(
            Diag::stop("check-make-min", seen)
                .why("After grinding less than the note's least depth would be left.")
                .accepted(accepted),
        );
    } else if chain.make_min > asked + chain.scatter + rounding() {
        found.push(
            Diag::warn("check-make-min-large", seen)
                .why("That is more than finish, stock and scatter ask for.")
                .accepted(accepted),
        );
    }
}

/// Greatest made depth less the least local stock is still no more than the greatest finished
/// depth [trade-practice].
fn most_to_make(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let chain = &sight.plan.depth;
    let units = sight.spec.units;
    match (chain.finish_max, chain.make_max) {
        (Some(finish), Some(make)) => {
            let allowed = finish + stock_in_chain(sight).0;
            if make > allowed + rounding() {
                found.push(
                    Diag::stop(
                        "check-make-max",
                        format!("At most {} is to be made.", make.depth_text_both(units)),
                    )
                    .why("After grinding more than the note's greatest depth could be left.")
                    .accepted(format!(
                        "{}: finish and least stock.",
                        allowed.depth_text_both(units)
                    )),
                );
            }
        }
        (Some(_), None) => found.push(Diag::stop(
            "check-make-max",
            "The note limits the depth and the chain does not.",
        )),
        (None, _) => {}
    }
}

/// The aim lies between the ends, with the scatter on both sides where there is room for it
/// [trade-practice].
fn aim_between(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let chain = &sight.plan.depth;
    let units = sight.spec.units;
    let above = chain
        .make_max
        .is_some_and(|max| chain.aim > max + rounding());
    if chain.aim < chain.make_min - rounding() || above {
        found.push(
            Diag::stop(
                "check-aim",
                format!("The aim is {}.", chain.aim.depth_text_both(units)),
            )
            .why("It lies outside what is to be made.")
            .accepted(format!(
                "From {} on.",
                chain.make_min.depth_text_both(units)
            )),
        );
    }
    let low = chain.make_min + chain.scatter;
    let room = chain.make_max.is_none_or(|max| max - chain.scatter >= low);
    if room && chain.aim >= chain.make_min && chain.aim < low - rounding() {
        found.push(
            Diag::warn(
                "check-aim-scatter",
                format!("The aim is {}.", chain.aim.depth_text_both(units)),
            )
            .why("The cold corner of the pack may come out under the least.")
            .accepted(format!("{} or more.", low.depth_text_both(units))),
        );
    }
}

/// Scatter inside one pack is about 0.25 mm in all [trade-practice]; a chain with less
/// than half of that forgets it.
fn scatter_allowed(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let chain = &sight.plan.depth;
    if chain.scatter < Length::from_mm(0.06) {
        found.push(
            Diag::warn(
                "check-scatter",
                format!(
                    "The chain allows {} of scatter.",
                    chain.scatter.depth_text_both(sight.spec.units)
                ),
            )
            .accepted("About 0.12 mm (0.005 in) either way inside one pack."),
        );
    }
}

/// Pack work does not hold a band under 0.25 mm, and is a poor way to a case under 0.5 mm
/// [trade-practice].
fn shallow_or_narrow(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let chain = &sight.plan.depth;
    let units = sight.spec.units;
    if let Some(max) = chain.make_max
        && max - chain.make_min < Length::from_mm(0.25) - rounding()
        && max >= chain.make_min
    {
        let band = max - chain.make_min;
        found.push(
            Diag::warn(
                "check-band-narrow",
                format!(
                    "The depth to make has a band of {}.",
                    band.depth_text_both(units)
                ),
            )
            .why("A pack scatters by about 0.25 mm (0.010 in) in all."),
        );
    }
    if chain.finish_min < Length::from_mm(0.5) - rounding() {
        found.push(
            Diag::warn(
                "check-case-shallow",
                format!(
                    "A finished case of {}.",
                    chain.finish_min.depth_text_both(units)
                ),
            )
            .why("Below 0.5 mm (0.020 in) a pack is a poor fit."),
        );
    }
}

/// The total case per side in every section: over a sixth warn, over a quarter stop
/// [trade-practice]. Without a prediction Harris's depth stands for it [harris-1943]. A web that a
/// feature leaves is stopped where two effective cases fill it: both sides only add to one another,
/// so it is case from side to side; short of that it is warned of.
fn sections_hold_the_case(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let predicted = sight
        .prediction
        .and_then(|p| p.total_depth)
        .map(|band| band.mid);
    let total =
        predicted.unwrap_or_else(|| harris_depth(sight.plan.temperature, sight.plan.soak).value);
    let effective = sight
        .prediction
        .and_then(|p| p.case_depth)
        .map_or(total, |band| band.mid);
    let mut sections = vec![(
        sight.spec.part.what.as_str(),
        section(&sight.spec.part.shape),
        true,
    )];
    for feature in &sight.spec.part.features {
        if let Some(web) = feature.web {
            // A web beside a soft bore takes carbon from one side only.
            let shared = if feature.stays_soft { web * 2.0 } else { web };
            sections.push((feature.name.as_str(), shared, false));
        }
    }
    let units = sight.spec.units;
    for (name, thick, body) in sections {
        let seen = format!(
            "{name}: a total case of {} per side in {}.",
            total.depth_text_both(units),
            thick.depth_text_both(units)
        );
        let accepted = format!("{} at most.", (thick / 6.0).depth_text_both(units));
        if total > thick / 4.0 {
            let severity = if body || effective * 2.0 >= thick {
                Severity::Stop
            } else {
                Severity::Warn
            };
            found.push(
                Diag::new("check-section", severity, seen)
                    .why("The cases leave hardly a core: the section breaks like glass.")
                    .accepted(accepted),
            );
        } else if total > thick / 6.0 {
            found.push(
                Diag::warn("check-section-thin", seen)
                    .why("The core gets thin: the section turns brittle.")
                    .accepted(accepted),
            );
        }
    }
}
