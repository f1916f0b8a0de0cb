//! Why the case is asked for, made, ground and tested as it is.

use casewright_terms::{Band, Length};

use super::harden::range_text;
use super::{View, Why, percent, said, why};
use crate::chain;
use crate::outcome::{DepthLimit, StepKind};
use crate::pieces::best_scale;

/// Before the work: what is to be made.
pub(super) fn asked(view: &View<'_>, all: &mut Vec<Why>) {
    all.push(make(view));
    all.extend(stock(view));
    all.push(depth(view));
    all.push(surface(view));
    all.push(core(view));
}

/// After it: what proves it.
pub(super) fn proved(view: &View<'_>, all: &mut Vec<Why>) {
    all.push(scale(view));
    all.push(growth(view));
}

fn make(view: &View<'_>) -> Why {
    let chain = &view.plan.depth;
    let units = view.units();
    let max = match (chain.finish_max, chain.make_max) {
        (Some(finish), Some(make)) => format!(
            "At most {} finished and at least {} off leave {} as the most.",
            view.depth(finish),
            view.depth(chain.stock.0),
            view.depth(make)
        ),
        _ => "No greatest depth is asked.".to_owned(),
    };
    why(
        "depth-to-make",
        "Depth to make, before grinding",
        format!("{}, aim {}", span_of(view, chain.make_min, chain.make_max), chain.aim.depth_text_both(units)),
        format!(
            "{} finished and at most {} off on one place of a face need {}. {max} The aim leaves {} for scatter in the load.",
            view.depth(chain.finish_min),
            view.depth(chain.stock.1),
            view.depth(chain.make_min),
            view.depth(chain.scatter)
        ),
        &["handbook-pack-scatter", "trade-practice"],
        view.numbers(StepKind::Test),
    )
    .teach("A drawing asks for what is there when the part is done; the furnace makes what is there before the grinder. Between the two stand stock, bow and scatter, and all of them per side: a drawing's stock on the diameter is twice what comes off the case.")
}

fn span_of(view: &View<'_>, min: Length, max: Option<Length>) -> String {
    match max {
        Some(max) => format!("{} to {}", view.depth(min), view.depth(max)),
        None => format!("{} or more", view.depth(min)),
    }
}

fn stock(view: &View<'_>) -> Option<Why> {
    let followed = chain::faces(view.spec, &view.plan.depth, Some(view.prediction));
    if followed.faces.is_empty() {
        return None;
    }
    let value: Vec<String> = followed
        .faces
        .iter()
        .map(|face| format!("{} on {}", view.depth(face.stock), face.face))
        .collect();
    let because: Vec<String> = followed
        .faces
        .iter()
        .map(|face| {
            let bow = if face.bow > Length::ZERO {
                format!(", a bow of {} counted", view.depth(face.bow))
            } else {
                String::new()
            };
            format!(
                "{}: {} off leave {}{bow}; up to {} may come off where the case came out in the middle, {} at its low end.",
                face.face,
                view.depth(face.stock),
                view.depths(face.left),
                view.depth(face.most.mid),
                view.depth(face.most.low)
            )
        })
        .collect();
    Some(
        why(
            "stock",
            "Stock, per side",
            value.join(", "),
            because.join(" "),
            &["trade-practice"],
            view.numbers(StepKind::Grind),
        )
        .teach("A warped part loses more on one side than on the other, and what is lost is the hardest and the richest of the case. Cleaning up a bow with the wheel can take a third of a case that measured right."),
    )
}

fn depth(view: &View<'_>) -> Why {
    let p = view.prediction;
    let limit = match view.plan.depth.limit {
        DepthLimit::Hardness(hardness) => hardness.to_string(),
        DepthLimit::CoreCarbon => "core carbon + 0.04 wt%".to_owned(),
    };
    let finished = p.case_depth_after_grind.or(p.case_depth);
    let value = finished.map_or_else(
        || "none: the surface does not hold the limit".to_owned(),
        |band| format!("{} ({})", view.depth(band.mid), view.depths(band)),
    );
    let asked = format!(
        "Measured to {limit} on the finished part; {} is asked.",
        span_of(view, view.plan.depth.finish_min, view.plan.depth.finish_max)
    );
    let chance = chance(view, "case depth");
    let doubt = view.report.outlook.spreads.first().map(|spread| {
        format!(
            "The most of its spread, {}, comes from {}.",
            percent(spread.share),
            spread.cause.words()
        )
    });
    why(
        "case-depth",
        "Case depth, finished",
        value,
        said(&[Some(asked), chance, doubt]),
        &["iso-18203", "agren-1986", "li-1998"],
        view.numbers(StepKind::Test),
    )
    .teach("Effective depth ends where hardness falls to a limit, total depth where carbon does; the one is half to three quarters of the other, and which share it is depends on steel and quench. A depth without its kind and limit is not yet a number.")
}

fn chance(view: &View<'_>, clause: &str) -> Option<String> {
    let found = view
        .report
        .outlook
        .chances
        .iter()
        .find(|chance| chance.clause == clause)?;
    Some(format!(
        "Of the runs with every doubt drawn, {} meet it.",
        percent(found.probability)
    ))
}

fn surface(view: &View<'_>) -> Why {
    let p = view.prediction;
    let hrc = p.surface_hrc.map(|band| {
        format!(
            ", {:.1} HRC ({:.1} to {:.1})",
            band.mid, band.low, band.high
        )
    });
    let asked = view
        .spec
        .note
        .surface_hardness
        .map(|range| format!("The note asks {}.", range_text(range)));
    let made = view.skin.as_ref().map(|skin| {
        let (name, share) = skin.drawn_phases.first().copied().unwrap_or(("", 0.0));
        format!(
            "The finished face is {} {name} of {:.2} wt% carbon and loses {:.0} HV to the draw.",
            percent(share),
            skin.dissolved_wt_pct,
            skin.quenched_hv - skin.drawn_hv
        )
    });
    why(
        "surface-hardness",
        "Surface hardness, finished",
        format!(
            "{:.0} HV ({:.0} to {:.0}){}",
            p.surface.mid.to_hv(),
            p.surface.low.to_hv(),
            p.surface.high.to_hv(),
            hrc.unwrap_or_default()
        ),
        said(&[made, asked, chance(view, "surface hardness")]),
        &["yurioka-1987", "hollomon-jaffe-1945", "astm-e140"],
        view.numbers(StepKind::Test),
    )
    .teach("Carbon makes martensite hard up to about 0.7 wt%; beyond that more carbon only keeps more soft austenite. That is why the richest skin is not the hardest place of a case.")
}

fn core(view: &View<'_>) -> Why {
    let p = view.prediction;
    let asked = view
        .spec
        .note
        .core_hardness
        .map(|range| format!("The note asks {}.", range_text(range)));
    let made = view.inside.and_then(|inside| {
        let deepest = inside.deepest();
        let core = inside.story(deepest, Length::ZERO)?;
        let (name, share) = core.drawn_phases.first().copied()?;
        Some(format!(
            "{} in the middle of a section of {}: carbon is {:.2} wt% there and the quench leaves {} {name}.",
            view.depth(deepest),
            view.section().size_text(view.units()),
            core.carbon_wt_pct,
            percent(share)
        ))
    });
    why(
        "core-hardness",
        "Core hardness",
        format!(
            "{:.0} HV ({:.0} to {:.0})",
            p.core.mid.to_hv(),
            p.core.low.to_hv(),
            p.core.high.to_hv()
        ),
        said(&[made, asked, chance(view, "core hardness")]),
        &["li-1998", "maynier-1978"],
        view.numbers(StepKind::Test),
    )
    .teach("The core is what the bar always was, hardened as far as its own alloy and section allow. No carburizing changes it; where a core is too soft, the steel is the wrong one.")
}

fn scale(view: &View<'_>) -> Why {
    let p = view.prediction;
    let left = p.case_depth_after_grind.or(p.case_depth);
    let low = left.map(|band: Band<Length>| view.depth(band.low));
    let (value, because) = match best_scale(&view.plan.test_scales) {
        Some(advice) => {
            let least = advice.least_case.map(|least| {
                format!(
                    "At this hardness it reads a case of {} or more; {} is expected at the least.",
                    view.depth(least),
                    low.clone().unwrap_or_else(|| "none".to_owned())
                )
            });
            let heavier: Vec<&str> = view
                .plan
                .test_scales
                .iter()
                .filter(|s| s.at_hand && !s.valid)
                .map(|s| s.scale.symbol())
                .collect();
            let heavier = (!heavier.is_empty())
                .then(|| format!("At hand but of no use here: {}.", heavier.join(", ")));
            (
                advice.scale.symbol().to_owned(),
                said(&[
                    least,
                    heavier,
                    Some(format!(
                        "Of the shop's scales that can read it the heaviest is taken: {}.",
                        advice.why
                    )),
                ]),
            )
        }
        None => (
            "none of this shop".to_owned(),
            format!(
                "No scale of the shop reads a case of {} honestly, so a coupon goes out.",
                low.unwrap_or_else(|| "this kind".to_owned())
            ),
        ),
    };
    why(
        "test-scale",
        "Scale for the surface",
        value,
        because,
        &["astm-e18", "astm-e140", "trade-practice"],
        view.numbers(StepKind::Test),
    )
    .teach("A tester's point pushes a case in as a foot pushes thin ice. Ten times the depth of the dent must be case, or the soft core is read along with it and the part looks softer than it is.")
}

fn growth(view: &View<'_>) -> Why {
    let (low, high) = view.prediction.growth_per_side;
    let um = |length: Length| length.to_um();
    let stock = chain::faces(view.spec, &view.plan.depth, Some(view.prediction))
        .faces
        .iter()
        .map(|face| face.stock)
        .reduce(Length::min)
        .map(|least| {
            format!(
                "The least stock, {}, takes it off again on ground faces; fits on others are to be cut by as much less.",
                view.depth(least)
            )
        });
    let austenite = view.prediction.retained_austenite_pct;
    why(
        "growth",
        "Growth, per side",
        format!("{:.0} to {:.0} µm", um(low), um(high)),
        said(&[
            Some(format!(
                "Martensite takes more room than the steel it comes from and austenite less: with {:.0} % of retained austenite at the most ({:.0} to {:.0}) each side grows by {:.0} to {:.0} µm.",
                austenite.mid, austenite.low, austenite.high, um(low), um(high)
            )),
            stock,
        ]),
        &["lement-1959"],
        view.numbers(StepKind::Grind),
    )
    .teach("Nothing keeps a hardened part from growing; what can be chosen is where: even sections grow evenly, and slim or one-sided ones bend.")
}
