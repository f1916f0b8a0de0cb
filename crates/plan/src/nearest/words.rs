//! The words where no other plan is offered: what would come of the note as it stands, what the shop
//! has to put right first, what the customer has to decide.

use casewright_job::spec::Spec;
use casewright_terms::{Diag, Length, Severity, TemperatureStep, UnitSystem};

use crate::outcome::{Nearest, PlanReport, Verdict};
use crate::refusals;
use crate::tank;

/// Chooses by what stops the job: the customer's own matters before the shop's.
pub(super) fn say(spec: &Spec, report: &mut PlanReport) {
    let stops: Vec<&Diag> = report
        .findings
        .iter()
        .filter(|diag| diag.severity == Severity::Stop)
        .collect();
    let found = |code: &str| stops.iter().any(|diag| diag.code == code);
    let nearest =
        if found("hardens-through") || found("steel-not-for-case") || found("steel-plated") {
            Some(another_material(spec, &stops))
        } else if found("stock-over-band") {
            less_stock(spec)
        } else if found("no-box") {
            Some(too_large(spec, &stops))
        } else if found("refused-flash") || found("refused-bath-hot") {
            fewer_at_once(spec, report).or_else(|| Some(put_right(spec, &stops)))
        } else if !refusals::of_words(spec).is_empty() {
            ask(spec, &stops)
        } else if !stops.is_empty() && stops.iter().all(|diag| of_the_shop(diag.code)) {
            Some(put_right(spec, &stops))
        } else {
            what_comes(spec, report).or_else(|| ask(spec, &stops))
        };
    report.nearest = nearest;
}

/// Whether a finding is about the shop's own things, which no customer can mend.
fn of_the_shop(code: &str) -> bool {
    code.starts_with("refused-")
        || matches!(
            code,
            "no-tank" | "shop-incomplete" | "shop-cannot-heat" | "no-staffed-window"
        )
}

/// How the job is called in a letter.
fn called(spec: &Spec) -> String {
    format!("For \"{}\" ({})", spec.part.what, spec.name)
}

/// What would be accepted instead, each once.
fn accepted(stops: &[&Diag]) -> String {
    let mut list: Vec<&str> = Vec::new();
    for words in stops.iter().map(|diag| diag.accepted.as_str()) {
        if !words.is_empty() && !list.contains(&words) {
            list.push(words);
        }
    }
    list.join(" ")
}

/// Nothing in the note is at fault: the shop has its own house to put in order.
fn put_right(spec: &Spec, stops: &[&Diag]) -> Nearest {
    Nearest {
        what: format!(
            "Nothing in the note stands against it; the shop has to put this right first: {}",
            accepted(stops)
        ),
        to_customer: format!(
            "{} nothing in your note stands in the way; we have to put our own house in order first, for the safety of those who work here. We shall name a day; tell us if you cannot wait.",
            called(spec)
        ),
    }
}

/// What stands against the note, and what would serve, put to whoever wrote it; nothing where the
/// program itself failed.
fn ask(spec: &Spec, stops: &[&Diag]) -> Option<Nearest> {
    let own_fault = |diag: &&Diag| diag.code == "engine-did-not-settle";
    let what = accepted(stops);
    if what.is_empty() || stops.iter().any(own_fault) {
        return None;
    }
    let seen: Vec<&str> = stops.iter().map(|diag| diag.seen.as_str()).collect();
    Some(Nearest {
        to_customer: format!(
            "{} we cannot work to \"{}\" as it stands. {} This would serve: {what} What may we do?",
            called(spec),
            spec.note.text.trim(),
            seen.join(" ")
        ),
        what,
    })
}

/// The part asks for a larger box.
fn too_large(spec: &Spec, stops: &[&Diag]) -> Nearest {
    Nearest {
        what: accepted(stops),
        to_customer: format!(
            "{} the part is too large to be packed in the boxes we have. A shop with larger boxes and furnaces can do \"{}\"; or may the part be made shorter, or in pieces joined after hardening?",
            called(spec),
            spec.note.text.trim()
        ),
    }
}

/// The material is the wrong one for any case, or is not bare.
fn another_material(spec: &Spec, stops: &[&Diag]) -> Nearest {
    let of_steel: Vec<&Diag> = stops
        .iter()
        .copied()
        .filter(|diag| diag.code.starts_with("steel-") || diag.code == "hardens-through")
        .collect();
    let seen: Vec<&str> = of_steel.iter().map(|diag| diag.seen.as_str()).collect();
    let question = if of_steel.iter().any(|diag| diag.code == "steel-plated") {
        "May we strip it to bare steel first, or will you send bare stock?"
    } else {
        "May it be made of a case-hardening steel such as 8620, C15E or 1018, or shall this one be quenched and tempered without a case?"
    };
    Nearest {
        what: accepted(&of_steel),
        to_customer: format!(
            "{} the material does not go with \"{}\". {} {question}",
            called(spec),
            spec.note.text.trim(),
            seen.join(" "),
        ),
    }
}

/// How far the least depth to make stands over the greatest: so much wider a band, or so much less
/// stock on the face that loses most.
fn less_stock(spec: &Spec) -> Option<Nearest> {
    let asked = spec.note.case_depth?;
    let (least, most) = (asked.min?, asked.max?);
    let loss = |of: fn(Length, Length) -> Length| {
        spec.stock
            .iter()
            .map(move |s| of(s.per_side, s.bow))
            .collect::<Vec<Length>>()
    };
    let largest = loss(|side, bow| side + bow)
        .into_iter()
        .fold(Length::ZERO, Length::max);
    let smallest = loss(|side, bow| (side - bow).max(Length::ZERO))
        .into_iter()
        .reduce(Length::min)
        .unwrap_or(Length::ZERO);
    let uneven = largest - smallest;
    // The scatter of a load has to find room beside the unevenness.
    let room = uneven + crate::demand::scatter(least) * 2.0;
    let to = out(least + room, spec.units, true);
    let units = spec.units;
    let words = format!(
        "Faces lose between {} and {} after hardening. With that stock a finished case of {} to {} can be made; for {} to {} the stock may differ by {} at most, better not at all.",
        smallest.depth_text_both(units),
        largest.depth_text_both(units),
        least.depth_text_both(units),
        to.depth_text_both(units),
        least.depth_text_both(units),
        most.depth_text_both(units),
        (most - least).depth_text_both(units),
    );
    Some(Nearest {
        to_customer: format!("{} {words} Which may we do?", called(spec)),
        what: words,
    })
}

/// The bath would end too hot: how many parts it takes at a time.
fn fewer_at_once(spec: &Spec, report: &PlanReport) -> Option<Nearest> {
    let plan = report.plan.as_ref()?;
    let check = &plan.quench;
    let tank = spec.shop.tanks.iter().find(|t| t.id == check.tank)?;
    let allowed = tank::most_rise(tank)?;
    if allowed <= TemperatureStep::ZERO || check.rise <= TemperatureStep::ZERO {
        return None;
    }
    let share = allowed.to_k() / check.rise.to_k();
    let parts = plan.pack.parts.len();
    let at_once = (share * parts as f64).floor() as usize;
    let litres = tank.volume / share;
    let how = if at_once > 0 {
        format!(
            "Quench {at_once} of the {parts} parts at a time, and let the bath come back between; or use"
        )
    } else {
        "Not even one part may go in at a time. Use".to_owned()
    };
    Some(Nearest {
        what: format!(
            "{how} a tank of about {} of the same liquid.",
            litres.text(spec.units)
        ),
        to_customer: format!(
            "{} nothing in your note stands in the way, but our tank is too small for the load at once. We shall quench it in smaller lots or name a day when a larger tank is ready.",
            called(spec)
        ),
    })
}

/// A length rounded outward to what a note would say: 0.05 mm or two thousandths.
fn out(length: Length, units: UnitSystem, up: bool) -> Length {
    let step = match units {
        UnitSystem::Metric => Length::from_mm(0.05),
        UnitSystem::Inch => Length::from_thou(2.0),
    };
    // A hair, so that a number that is round already stays.
    let steps = length / step;
    let whole = if up {
        (steps - 1e-9).ceil()
    } else {
        (steps + 1e-9).floor()
    };
    step * whole
}

/// See [`super::wider`].
pub(super) fn wider(spec: &Spec, report: &mut PlanReport) {
    let found = |code: &str| report.findings.iter().any(|diag| diag.code == code);
    let narrow = found("band-narrow") || found("chain-narrow");
    if report.verdict != Verdict::Marginal || !narrow || !found("depth-doubtful") {
        return;
    }
    let (Some(prediction), Some(asked)) = (&report.prediction, spec.note.case_depth) else {
        return;
    };
    let finished = spec.note.stage == casewright_job::note::reading::Stage::AfterGrind;
    let band = if finished {
        prediction.case_depth_after_grind
    } else {
        prediction.case_depth
    };
    let (Some(band), Some(least), Some(most)) = (band, asked.min, asked.max) else {
        return;
    };
    let units = spec.units;
    let from = out(band.low, units, false).min(least);
    let to = out(band.high, units, true).max(most);
    let what = format!(
        "A band of {} to {} would hold the whole load; {} to {} is narrower than a packed box scatters.",
        from.depth_text_both(units),
        to.depth_text_both(units),
        least.depth_text_both(units),
        most.depth_text_both(units)
    );
    report.nearest = Some(Nearest {
        to_customer: format!(
            "{} {what} May the case be {} to {}? Otherwise we decide by coupons, and some parts may fall outside.",
            called(spec),
            from.depth_text_both(units),
            to.depth_text_both(units)
        ),
        what,
    });
}

/// The note cannot be met, but something comes out: say what.
fn what_comes(spec: &Spec, report: &PlanReport) -> Option<Nearest> {
    let prediction = report.prediction.as_ref()?;
    let units = spec.units;
    let depth = prediction.case_depth_after_grind.map_or_else(
        || "no case to that limit".to_owned(),
        |b| {
            format!(
                "a case of {} to {}",
                b.low.depth_text_both(units),
                b.high.depth_text_both(units)
            )
        },
    );
    let what = format!(
        "This shop would come to {depth}, a surface of {:.0} to {:.0} HV and a core of {:.0} to {:.0} HV.",
        prediction.surface.low.to_hv(),
        prediction.surface.high.to_hv(),
        prediction.core.low.to_hv(),
        prediction.core.high.to_hv()
    );
    Some(Nearest {
        to_customer: format!(
            "For \"{}\" ({}) we cannot hold \"{}\". {what} Would that serve, or may we propose another steel?",
            spec.part.what,
            spec.name,
            spec.note.text.trim()
        ),
        what,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_is_rounded_outward_and_round_ends_stay() {
        let mm = |length: f64, up| out(Length::from_mm(length), UnitSystem::Metric, up).to_mm();
        for (length, down, up) in [(0.742, 0.70, 0.75), (0.80, 0.80, 0.80), (1.151, 1.15, 1.20)] {
            assert!((mm(length, false) - down).abs() < 1e-9, "{length}");
            assert!((mm(length, true) - up).abs() < 1e-9, "{length}");
        }
        let thou = out(Length::from_thou(31.0), UnitSystem::Inch, true).to_in();
        assert!((thou - 0.032).abs() < 1e-9, "{thou}");
    }
}
