//! What the plan has to say about itself: the depth chain, the bath, the prediction, the verdict
//! and its reasons, the remarks of physics.

use std::collections::BTreeSet;

use casewright_job::note::reading::Stage;
use casewright_job::spec::Spec;
use casewright_physics::matter::steel::SteelClass;
use casewright_physics::run::Failure;
use casewright_terms::{Band, Diag, Length, Remark, Severity, Vickers};

use crate::demand::Demand;
use crate::evaluate::{self, Evaluation, Observed};
use crate::outcome::{DepthChain, DepthLimit, Plan, Prediction, Verdict};
use crate::search::{Bench, Candidate, Found, Obstacle};
use crate::{chain, setup, soundness, tank};

pub(crate) fn chain_findings(spec: &Spec, chain: &DepthChain) -> Vec<Diag> {
    let mut list = Vec::new();
    if let Some(max) = chain.make_max {
        if max < chain.make_min {
            list.push(
                Diag::stop(
                    "stock-over-band",
                    format!(
                        "With the stock as given the least depth to make ({}) is over the greatest ({}).",
                        chain.make_min.depth_text_both(spec.units),
                        max.depth_text_both(spec.units)
                    ),
                )
                .why("The face that loses most would need more case than the face that loses least may keep.")
                .accepted("Less stock after hardening, the same stock on all cased faces, or a wider depth band."),
            );
        } else if max - chain.make_min < chain.scatter * 2.0 {
            list.push(
                Diag::warn(
                    "chain-narrow",
                    format!(
                        "Between {} and {} there is less room than the scatter of a load (±{}).",
                        chain.make_min.depth_text_both(spec.units),
                        max.depth_text_both(spec.units),
                        chain.scatter.depth_text(spec.units)
                    ),
                )
                .why("Some parts may fall outside.")
                .accepted(
                    "Coupons from the coldest and the hottest place decide before the grind.",
                ),
            );
        }
    }
    let uneven = chain.stock.1 - chain.stock.0;
    if !spec.stock.is_empty() && setup::round_diameter(spec.part.shape).is_none() {
        let text = |depth: Length| depth.depth_text_both(spec.units);
        let mut seen = format!(
            "Faces that are not ground keep the whole case, {} more than ground ones",
            text(chain.stock.1)
        );
        // A depth before the grind is the same on all faces.
        let over = chain.finish_max.zip(chain.make_max);
        if let Some((finish, make)) = over.filter(|_| spec.note.stage == Stage::AfterGrind) {
            seen = format!(
                "{seen}: {} by the aim and up to {}, where the note's greatest is {}",
                text(chain.aim),
                text(make),
                text(finish)
            );
        }
        let why = "The note's greatest depth is judged on the ground faces here.";
        let help = "Tell the customer if the other faces count too.";
        let aimed_over = over.is_some_and(|(finish, _)| chain.aim > finish);
        let diag = if aimed_over && spec.note.stage == Stage::AfterGrind {
            Diag::warn("unground-faces", format!("{seen}."))
        } else {
            Diag::note("unground-faces", format!("{seen}."))
        };
        list.push(diag.why(why).accepted(help));
    } else if uneven > Length::from_mm(0.02) {
        list.push(
            Diag::note(
                "uneven-stock",
                format!(
                    "Stock differs by {} between sides.",
                    uneven.depth_text_both(spec.units)
                ),
            )
            .why("What is left differs by as much.")
            .accepted("Indicate the part true before grinding."),
        );
    }
    list
}

/// No way gave a candidate: the steel and the tanks do not suit, or our numbers failed. The two are
/// never mixed up: a failure of the program is no verdict on a steel.
pub(crate) fn nothing_works(found: &Found<'_>) -> Diag {
    // Ways with the same reason stand together, in the order of the search.
    let list = |obstacle: Obstacle| -> String {
        let mut by_reason: Vec<(&str, Vec<&str>)> = Vec::new();
        for dropped in found.dropped.iter().filter(|d| d.obstacle == obstacle) {
            match by_reason.iter_mut().find(|(why, _)| *why == dropped.why) {
                Some((_, ways)) => ways.push(&dropped.what),
                None => by_reason.push((&dropped.why, vec![&dropped.what])),
            }
        }
        by_reason
            .into_iter()
            .map(|(why, ways)| format!("{}: {why}", ways.join(", ")))
            .collect::<Vec<_>>()
            .join("; ")
    };
    let soft = list(Obstacle::Soft);
    let unfit = list(Obstacle::Setup);
    if soft.is_empty() && !unfit.is_empty() {
        return Diag::stop(
            "shop-cannot-heat",
            format!("This shop's furnace and boxes cannot do the work. {unfit}."),
        )
        .why("The pack would not come to heat, so there would be no case.")
        .accepted("Another furnace or a smaller box; look at their sizes and the power in the shop file first.");
    }
    if soft.is_empty() {
        return Diag::stop(
            "engine-did-not-settle",
            format!(
                "The computation did not settle for any way of this shop. {}.",
                list(Obstacle::Numbers)
            ),
        )
        .why("Nothing is known about this job: this is a failure of the program, not of the steel.")
        .accepted("Report the job file; try another temperature or tank by [wish] meanwhile.");
    }
    Diag::stop("no-way", format!("No way of this shop hardens this steel to the note. {soft}."))
        .why("The part would be soft however deep the carbon goes.")
        .accepted("A faster quench (water or brine for plain steels), a steel of more hardenability such as 8620, or a smaller section.")
}

/// The boxes could not be run in three dimensions; the mixture stands in for them.
pub(crate) fn boxes_not_run(failure: &Failure) -> Diag {
    Diag::warn(
        "boxes-not-run",
        format!("The boxes could not be followed part by part: {failure}."),
    )
    .why("The hour at which the pack is hot is that of an even mixture; which part is last, and how far the parts differ, is not known.")
    .accepted("Count the soak from a couple buried in the middle, with coupons at both ends of the box.")
}

/// What the tank does to the parts, and the parts to the tank.
pub(crate) fn tank_findings(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    plan: Option<&Plan>,
) -> Vec<Diag> {
    let mut list = soundness::findings(bench, best);
    if let Some(plan) = plan {
        list.extend(tank::findings(best.recipe.tank, &plan.quench));
    }
    let plain_in_oil = tank::is_oil(best.recipe.tank.medium)
        && bench.record.is_some_and(|r| {
            matches!(
                r.class,
                SteelClass::Plain | SteelClass::FreeCutting | SteelClass::Structural
            )
        });
    if plain_in_oil {
        list.push(
            Diag::warn("plain-in-oil", "A plain steel is to be quenched in oil.")
                .why("Plain steels harden in oil only where the section is thin.")
                .accepted("Water or brine, or prove it on a coupon of the same section first."),
        );
    }
    list
}

pub(crate) fn prediction_findings(
    spec: &Spec,
    demand: &Demand,
    prediction: &Prediction,
) -> Vec<Diag> {
    let mut list = Vec::new();
    if hardens_through(demand, prediction) {
        list.push(
            Diag::stop(
                "hardens-through",
                format!(
                    "The core hardens to {:.0} HV, over the {:.0} HV that end the case.",
                    prediction.core.mid.to_hv(),
                    demand.limit_hv().to_hv()
                ),
            )
            .why("Hard from skin to skin, the part has no case that could be measured, and no tough core.")
            .accepted("A steel of less carbon such as 8620 or 1018; or ask the customer whether this one should be quenched and tempered without a case."),
        );
    }
    let carbon = prediction.surface_carbon_wt_pct.mid;
    if carbon > 1.1 {
        list.push(
            Diag::warn("surface-carbon-high", format!("The skin will hold {carbon:.2} wt% carbon."))
                .why("Over about 1.1 % carbides can join into a network that chips at edges and cracks in grinding.")
                .accepted("Look at an etched coupon; less fresh compound, or a soak at the end at lower temperature, next time."),
        );
    }
    let austenite = prediction.retained_austenite_pct;
    if austenite.mid > soundness::AUSTENITE_MOST_PCT {
        list.push(
            Diag::warn(
                "austenite-high",
                format!(
                    "About {:.0} % retained austenite is left in the case.",
                    austenite.mid
                ),
            )
            .why("It reads soft and moves in service.")
            .accepted(
                "A lower reheat or less carbon; what a sub-zero treatment would leave stands under cold-treatment.",
            ),
        );
    }
    let valid_at_hand = spec.shop.scales.len();
    if valid_at_hand == 0 && !spec.shop.micro_hardness {
        list.push(
            Diag::warn("no-tester", "The shop file names no hardness scale.")
                .why("Nothing can be shown to the customer without readings.")
                .accepted("Add the tester's scales, or send coupons out."),
        );
    }
    list
}

/// Faces whose planned stock may come off an expected case, but not one at the low end of its band.
pub(crate) fn grind_findings(
    spec: &Spec,
    chain: &DepthChain,
    prediction: &Prediction,
) -> Vec<Diag> {
    let after_box = chain::faces(spec, chain, Some(prediction));
    if !after_box.finish_asked || !after_box.predicted {
        return Vec::new();
    }
    let text = |depth: Length| depth.depth_text_both(spec.units);
    after_box
        .faces
        .iter()
        .filter(|face| !face.is_safe())
        .map(|face| {
            let room = if face.most.low > Length::ZERO {
                format!("only {} may", text(face.most.low))
            } else {
                "nothing may".to_owned()
            };
            Diag::warn(
                "grind-by-coupon",
                format!(
                    "{}: {} is to come off per side. Where the case is as shallow as {}, the low end of its band, {room}.",
                    face.face,
                    text(face.stock),
                    text(after_box.made.low),
                ),
            )
            .why(format!(
                "Ground as planned, such a face would be left with {} of case at its thinnest, and the note asks for {}.",
                text(face.left.low),
                text(chain.finish_min)
            ))
            .accepted(format!(
                "Section the coupon before the grind and take off no more than the depth it shows less {}; or leave less stock before the box.",
                text(face.keep)
            ))
        })
        .collect()
}

/// Whether the core is harder than the limit that should end the case.
fn hardens_through(demand: &Demand, prediction: &Prediction) -> bool {
    matches!(demand.limit, DepthLimit::Hardness(_)) && prediction.core.mid >= demand.limit_hv()
}

pub(crate) fn remark_findings(remarks: &[Remark]) -> Vec<Diag> {
    let unique: BTreeSet<&Remark> = remarks.iter().collect();
    unique
        .into_iter()
        .map(|remark| {
            let text = sentence(&remark.text);
            if remark.code == "surface-tension" {
                return Diag::warn(remark.code, text)
                    .why("A skin under tension cracks in the quench, in the wait before the temper, or under the wheel.")
                    .accepted("A quench that hardens the case alone: less section, a core of less carbon, or a milder bath; temper at once and look for cracks before grinding.");
            }
            Diag::note(remark.code, text)
        })
        .collect()
}

/// The text as a sentence: a capital at its head, a full stop at its end.
fn sentence(text: &str) -> String {
    let mut letters = text.trim().chars();
    let head: String = letters
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    let body = letters.as_str();
    let stop = if body.ends_with('.') { "" } else { "." };
    format!("{head}{body}{stop}")
}

pub(crate) fn verdict_reasons(
    spec: &Spec,
    demand: &Demand,
    prediction: &Prediction,
    verdict: Verdict,
) -> Vec<Diag> {
    use evaluate::Fared::{High, Low};
    let [low, mid, high] = ends(demand, prediction).map(|seen| evaluate::evaluate(demand, &seen));
    let units = spec.units;
    let clause = |of: fn(&Evaluation) -> evaluate::Fared| {
        let missed = matches!(of(&mid), Low | High);
        let at_low = matches!(of(&low), Low | High);
        let at_high = matches!(of(&high), Low | High);
        (missed, at_low, at_high)
    };
    let mut list = Vec::new();
    let mut add = |code: &'static str,
                   what: String,
                   (missed, at_low, at_high): (bool, bool, bool)| {
        let diag = match (verdict, missed, at_low || at_high) {
            (Verdict::CannotBeMet, true, _) => Diag::stop(code, format!("{what} misses the note."))
                .why("No plan of this shop comes nearer.")
                .accepted("See the nearest that can be met."),
            (_, false, true) => Diag::warn(code, format!("{what} is not wholly inside the note."))
                .why("Some of the parts could fall outside.")
                .accepted("Judge the coupons before the work is reheated, and before the grind."),
            _ => return,
        };
        list.push(diag);
    };
    let depth_band = if demand.after_grind {
        prediction.case_depth_after_grind
    } else {
        prediction.case_depth
    };
    let depth_words = depth_band.map_or_else(
        || "The case depth (the surface does not hold the limit)".to_owned(),
        |b| {
            format!(
                "The case depth, {} to {},",
                b.low.depth_text_both(units),
                b.high.depth_text_both(units)
            )
        },
    );
    // A part that is hard all through is refused for that, not for how deep its "case" is.
    if !hardens_through(demand, prediction) {
        add("depth-doubtful", depth_words, clause(|e| e.depth));
    }
    add(
        "surface-doubtful",
        format!(
            "The surface hardness, {:.0} to {:.0} HV,",
            prediction.surface.low.to_hv(),
            prediction.surface.high.to_hv()
        ),
        clause(|e| e.surface),
    );
    add(
        "core-doubtful",
        format!(
            "The core hardness, {:.0} to {:.0} HV,",
            prediction.core.low.to_hv(),
            prediction.core.high.to_hv()
        ),
        clause(|e| e.core),
    );
    list
}

/// Observations at the low, middle and high end of the bands.
fn ends(demand: &Demand, prediction: &Prediction) -> [Observed; 3] {
    let pick = |of: fn(Band<f64>) -> f64| Observed {
        depth_made: Some(
            prediction
                .case_depth
                .map_or(Length::ZERO, |b| Length::from_m(of(b.map(Length::to_m)))),
        ),
        depth_after_grind: Some(
            prediction
                .case_depth_after_grind
                .map_or(Length::ZERO, |b| Length::from_m(of(b.map(Length::to_m)))),
        ),
        surface: Some(Vickers::from_hv(of(prediction.surface.map(|v| v.to_hv())))),
        core: demand
            .core
            .map(|_| Vickers::from_hv(of(prediction.core.map(|v| v.to_hv())))),
    };
    [pick(|b| b.low), pick(|b| b.mid), pick(|b| b.high)]
}

pub(crate) fn judge(demand: &Demand, prediction: &Prediction, findings: &[Diag]) -> Verdict {
    let [low, mid, high] = ends(demand, prediction);
    let meets = |seen: &Observed| evaluate::evaluate(demand, seen).meets();
    if findings.iter().any(|diag| diag.severity == Severity::Stop) || !meets(&mid) {
        Verdict::CannotBeMet
    } else if meets(&low) && meets(&high) {
        Verdict::CanBeMet
    } else {
        Verdict::Marginal
    }
}
