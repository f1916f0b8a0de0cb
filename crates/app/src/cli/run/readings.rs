//! Evidence in the words of a certificate: pieces, testers with their checks, every reading with the
//! method that was used.

use casewright_job::evidence::{Evidence, FileResult, Item, RingKind, SpecimenKind, What, Where};
use casewright_plan::judge::{Judgement, Rule};
use casewright_report::record::{Piece, Test, Tester};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Length, UnitSystem};

use super::super::judge::value_words;

/// How values near a limit were decided.
pub(super) fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::Simple => {
            "by the value where the method is the clause's own, by the whole doubt where it is a conversion, a ground step or by sight"
        }
        Rule::Guarded => "only where the whole doubt lies on one side of a limit",
    }
}

/// The pieces.
pub(super) fn pieces(evidence: &Evidence) -> Vec<Piece> {
    evidence
        .specimens
        .iter()
        .map(|piece| {
            let mut what: Vec<String> = Vec::new();
            what.extend(piece.steel.clone());
            what.extend(piece.heat.as_ref().map(|heat| format!("heat {heat}")));
            what.extend(piece.position.clone());
            let with = |told: Option<bool>, words: &str| {
                told.map(|with| format!("{words} {}", if with { "with the lot" } else { "apart" }))
            };
            if piece.kind == SpecimenKind::Part {
                what.push("of the lot".to_owned());
            } else {
                if piece.kind == SpecimenKind::Control {
                    what.push("not cased".to_owned());
                } else {
                    what.extend(with(piece.carburized_with_lot, "cased"));
                }
                what.extend(with(piece.hardened_with_lot, "hardened"));
            }
            Piece {
                mark: piece.mark.clone(),
                kind: match piece.kind {
                    SpecimenKind::Part => "part",
                    SpecimenKind::Coupon => "coupon",
                    SpecimenKind::Control => "control",
                }
                .to_owned(),
                what: what.join(", "),
            }
        })
        .collect()
}

/// The testers; a check without a date is none.
pub(super) fn testers(evidence: &Evidence) -> Vec<Tester> {
    evidence
        .testers
        .iter()
        .map(|tester| Tester {
            id: tester.id.clone(),
            what: tester.what.clone().unwrap_or_default(),
            checks: tester
                .blocks
                .iter()
                .filter_map(|block| {
                    let date = block.date?;
                    let check = format!(
                        "on {date}: block {}, read {}",
                        format_trimmed(block.nominal, 1),
                        list(&block.readings)
                    );
                    Some((block.scale.to_string(), check))
                })
                .collect(),
        })
        .collect()
}

/// Every reading, used or not.
pub(super) fn tests(judgement: &Judgement, evidence: &Evidence, units: UnitSystem) -> Vec<Test> {
    judgement
        .read
        .iter()
        .filter_map(|read| {
            let item = evidence.items.get(read.item)?;
            let (method, needs_tester) = method(&item.what);
            Some(Test {
                name: read.name.clone(),
                piece: read.specimen.clone(),
                method,
                readings: raw(item, units),
                says: format!(
                    "{}: {}",
                    read.quantity.word().replace('-', " "),
                    value_words(&read.value, units)
                ),
                tester: item.tester.clone(),
                needs_tester,
                by: item.by.clone(),
                date: item.date.map(|date| date.to_string()),
                left_out: read.left_out.clone(),
            })
        })
        .collect()
}

/// The method with its scale, which stands last, and whether a tester is needed.
fn method(what: &What) -> (String, bool) {
    let scale = match what {
        What::Hardness(readings) => Some(readings.scale),
        What::Traverse(traverse) => Some(traverse.scale),
        What::StepGrind(steps) => Some(steps.scale),
        What::TaperGrind(taper) => Some(taper.scale),
        _ => None,
    };
    match (scale, what) {
        (Some(scale), _) => (format!("{}, {scale}", what.words()), true),
        (None, What::FileTest(file)) => (
            file.file_hrc.map_or_else(
                || "unmarked test file".to_owned(),
                |hrc| format!("test file of {} HRC", format_trimmed(hrc, 0)),
            ),
            false,
        ),
        (None, What::Ring(ring)) => {
            let how = match ring.kind {
                RingKind::Fracture => "ring on a broken face",
                RingKind::Etched => "etched ring",
            };
            let etch = ring.etch.as_ref().map(|etch| format!(", {etch}"));
            (format!("{how}{}", etch.unwrap_or_default()), false)
        }
        (None, What::Structure(seen)) => {
            let how = seen.how.as_ref().map(|how| format!(", {how}"));
            (format!("microscope{}", how.unwrap_or_default()), false)
        }
        (None, _) => (what.words().to_owned(), false),
    }
}

fn list(values: &[f64]) -> String {
    let all: Vec<String> = values
        .iter()
        .map(|value| format_trimmed(*value, 1))
        .collect();
    all.join(", ")
}

fn at_depths(depths: &[Length], values: &[f64], units: UnitSystem) -> String {
    let all: Vec<String> = depths
        .iter()
        .zip(values)
        .map(|(depth, value)| format!("{} {}", bare(*depth, units), format_trimmed(*value, 1)))
        .collect();
    format!("depth in {} and reading: {}", unit(units), all.join("; "))
}

const fn unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Inch => "in",
        UnitSystem::Metric => "mm",
    }
}

fn bare(depth: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Inch => format!("{:.3}", depth.to_in()),
        UnitSystem::Metric => format!("{:.2}", depth.to_mm()),
    }
}

/// What was written down, before anybody reckoned with it.
fn raw(item: &Item, units: UnitSystem) -> String {
    let mut text = match &item.what {
        What::Hardness(readings) => {
            let place = match readings.at {
                Where::Surface => "surface",
                Where::Core => "core",
                Where::SoftArea => "soft area",
            };
            let mean = readings.values.iter().sum::<f64>() / readings.values.len().max(1) as f64;
            let spot = readings.spot.as_ref().map(|spot| format!(", {spot}"));
            format!(
                "{place}{}: {}; mean {}",
                spot.unwrap_or_default(),
                list(&readings.values),
                format_trimmed(mean, 1)
            )
        }
        What::Traverse(traverse) => at_depths(&traverse.depths, &traverse.values, units),
        What::StepGrind(steps) => {
            let all: Vec<String> = steps
                .removed
                .iter()
                .zip(&steps.values)
                .map(|(depth, values)| format!("{} {}", bare(*depth, units), list(values)))
                .collect();
            format!(
                "removed in {} and readings: {}",
                unit(units),
                all.join("; ")
            )
        }
        What::TaperGrind(taper) => {
            at_depths(&taper.along, &taper.values, units).replace("depth in", "along the slant in")
        }
        What::Ring(ring) => ring
            .depths
            .iter()
            .map(|depth| depth.depth_text(units))
            .collect::<Vec<_>>()
            .join(", "),
        What::FileTest(file) => match file.result {
            FileResult::Cuts => "cuts",
            FileResult::Skates => "skates",
            FileResult::Scratches => "scratches",
        }
        .to_owned(),
        What::WeightGain(weight) => format!(
            "before {} g, after {} g",
            format_trimmed(weight.before.to_g(), 3),
            format_trimmed(weight.after.to_g(), 3)
        ),
        What::Structure(seen) => {
            let mut all = Vec::new();
            all.extend(
                seen.network
                    .map(|network| format!("network: {network:?}").to_lowercase()),
            );
            all.extend(seen.retained_austenite.map(|share| {
                format!("retained austenite {} %", format_trimmed(share.to_pct(), 0))
            }));
            all.extend(
                seen.decarburized
                    .map(|depth| format!("decarburized {}", depth.depth_text(units))),
            );
            all.extend(
                seen.white_layer
                    .map(|depth| format!("white layer {}", depth.depth_text(units))),
            );
            all.join(", ")
        }
    };
    if let Some(remark) = &item.remark {
        text.push_str(&format!(" ({remark})"));
    }
    text
}
