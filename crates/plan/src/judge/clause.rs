//! Every clause of the note held against what was read.

use casewright_job::evidence::{FileResult, What, Where};
use casewright_job::note::reading::Rule as AreaRule;
use casewright_job::spec::{Spec, Stock};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Band, Length, Scale, Vickers};

use super::combine::PieceDepth;
use super::{Bench, Clause, ClauseKind, Fared, Quantity, Read, Rule, Standing, Value};
use crate::demand::HardnessDemand;
use crate::outcome::DepthLimit;

/// A file at least this hard that skates shows a file-hard surface, in HRC. [trade-practice]
const FILE_HARD_HRC: f64 = 58.0;
/// A file up to this hard that cuts shows a soft place, in HRC. [trade-practice]
const FILE_SOFT_HRC: f64 = 55.0;

/// All clauses of the note and of the job's soft features.
pub(super) fn judge(bench: &Bench<'_>, read: &[Read], depths: &[PieceDepth]) -> Vec<Clause> {
    let mut all = depth_clauses(bench, depths);
    if let Some(clause) = &bench.demand.surface {
        all.push(hardness(bench, read, ClauseKind::SurfaceHardness, clause));
    }
    if let Some(clause) = &bench.demand.core {
        all.push(hardness(bench, read, ClauseKind::CoreHardness, clause));
    }
    if bench.spec.note.file_hard {
        all.push(file_hard(read));
    }
    for (what, rule) in areas(bench.spec) {
        match rule {
            AreaRule::MustNot => all.push(soft_area(bench, read, &what)),
            AreaRule::Must => all.push(hard_area(bench, read, &what)),
            AreaRule::May => {}
        }
    }
    all
}

/// Areas apart: the note's, and the job's features that stay soft where the note does not name them.
fn areas(spec: &Spec) -> Vec<(String, AreaRule)> {
    let mut all: Vec<(String, AreaRule)> = spec
        .note
        .selective
        .iter()
        .map(|area| (area.what.clone(), area.rule))
        .collect();
    for feature in spec.part.features.iter().filter(|f| f.stays_soft) {
        let named = all
            .iter()
            .any(|(what, rule)| *rule == AreaRule::MustNot && same_area(what, &feature.name));
        if !named {
            all.push((feature.name.clone(), AreaRule::MustNot));
        }
    }
    all
}

/// Whether two names are of one area: one holds the other, or a word of it but for its ending.
fn same_area(a: &str, b: &str) -> bool {
    let (a, b) = (a.to_lowercase(), b.to_lowercase());
    let stem = |word: &str| -> Option<String> {
        (word.chars().count() >= 5).then(|| word.chars().take(5).collect())
    };
    a.contains(&b)
        || b.contains(&a)
        || a.split_whitespace()
            .filter_map(stem)
            .any(|stem| b.split_whitespace().any(|word| word.starts_with(&stem)))
}

/// Ends of a clause; `None` is open.
#[derive(Clone, Copy)]
struct Limits {
    min: Option<f64>,
    max: Option<f64>,
}

/// How a value with its doubt stands to its limits, and whether a limit lies inside the doubt.
fn decide(value: Band<f64>, limits: Limits, by_value: bool) -> (Fared, bool) {
    let inside = |limit: Option<f64>| limit.is_some_and(|l| value.low < l && l < value.high);
    let close = inside(limits.min) || inside(limits.max);
    let below = |x: f64| limits.min.is_some_and(|min| x < min);
    let above = |x: f64| limits.max.is_some_and(|max| x > max);
    let fared = if by_value {
        match value.mid {
            mid if below(mid) => Fared::Low,
            mid if above(mid) => Fared::High,
            _ => Fared::Holds,
        }
    } else if below(value.high) {
        Fared::Low
    } else if above(value.low) {
        Fared::High
    } else if below(value.low) || above(value.high) {
        Fared::NotShown
    } else {
        Fared::Holds
    };
    (fared, close)
}

/// Two halves of one clause, or two pieces under it: a miss outweighs all, what is open a hold.
fn both(a: Fared, b: Fared) -> Fared {
    match (a, b) {
        (Fared::Low | Fared::High, _) => a,
        (_, Fared::Low | Fared::High) => b,
        (Fared::NotShown, _) | (_, Fared::NotShown) => Fared::NotShown,
        _ => Fared::Holds,
    }
}

/// Pieces or places under one clause: a miss on any is a miss; one that holds shows it; what cannot
/// decide is set aside.
fn over_all(fared: impl Iterator<Item = Fared>) -> Fared {
    let mut whole = Fared::NotShown;
    for one in fared {
        whole = match (whole, one) {
            (Fared::Low | Fared::High, _) => whole,
            (_, Fared::Low | Fared::High) => one,
            (Fared::Holds, _) | (_, Fared::Holds) => Fared::Holds,
            _ => Fared::NotShown,
        };
    }
    whole
}

/// Band of the least and of the greatest depth that a face is left with.
fn on_face(band: Band<Length>, stock: Option<&Stock>) -> (Band<Length>, Band<Length>) {
    let less = |gone: Length| band.map(|depth| (depth - gone).max(Length::ZERO));
    match stock {
        Some(stock) => (
            less(stock.per_side + stock.bow),
            less(stock.per_side - stock.bow),
        ),
        None => (band, band),
    }
}

/// The least of the ground faces: its depth with the bow in its band.
pub(super) fn least_face(spec: &Spec, band: Band<Length>) -> Option<Band<Length>> {
    let most = |s: &Stock| (s.per_side + s.bow).to_m();
    let stock = spec
        .stock
        .iter()
        .max_by(|a, b| most(a).total_cmp(&most(b)))?;
    let (low, high) = on_face(band, Some(stock));
    Some(Band {
        low: low.low,
        mid: (band.mid - stock.per_side).max(Length::ZERO),
        high: high.high,
    })
}

fn depth_clauses(bench: &Bench<'_>, depths: &[PieceDepth]) -> Vec<Clause> {
    let demand = bench.demand;
    if demand.after_grind && !bench.spec.stock.is_empty() {
        return bench
            .spec
            .stock
            .iter()
            .map(|stock| depth_clause(bench, depths, Some(stock)))
            .collect();
    }
    vec![depth_clause(bench, depths, None)]
}

fn depth_clause(bench: &Bench<'_>, depths: &[PieceDepth], stock: Option<&Stock>) -> Clause {
    let asked = bench.spec.note.case_depth.unwrap_or_default();
    let limits = Limits {
        min: asked.min.map(Length::to_m),
        max: asked.max.map(Length::to_m),
    };
    let mut by = Vec::new();
    let mut found = Vec::new();
    let mut close = false;
    let mut fates = Vec::new();
    let units = bench.spec.units;
    for piece in depths {
        let by_value = bench.rule == Rule::Simple && piece.standing == Standing::Direct;
        let gone = stock.map_or(Length::ZERO, |s| s.per_side);
        let fate = match (piece.band, piece.at_least, piece.at_most) {
            (Some(band), _, _) => {
                let (shallow, deep) = on_face(band, stock);
                let (low, near_low) = decide(
                    shallow.map(Length::to_m),
                    Limits {
                        max: None,
                        ..limits
                    },
                    by_value,
                );
                let (high, near_high) = decide(
                    deep.map(Length::to_m),
                    Limits {
                        min: None,
                        ..limits
                    },
                    by_value,
                );
                close |= near_low || near_high;
                let left = band.map(|d| (d - gone).max(Length::ZERO));
                found.push(format!(
                    "{}: {} ({} to {})",
                    piece.specimen,
                    left.mid.depth_text(units),
                    shallow.low.depth_text(units),
                    deep.high.depth_text(units)
                ));
                both(low, high)
            }
            (None, Some(least), _) => {
                let left = least - gone;
                found.push(format!(
                    "{}: more than {}",
                    piece.specimen,
                    left.depth_text(units)
                ));
                let shallow = left - stock.map_or(Length::ZERO, |s| s.bow);
                if limits.max.is_some_and(|max| left.to_m() > max) {
                    Fared::High
                } else if limits.max.is_none() && limits.min.is_none_or(|min| shallow.to_m() >= min)
                {
                    Fared::Holds
                } else {
                    Fared::NotShown
                }
            }
            (None, None, Some(most)) => {
                let left = (most - gone).max(Length::ZERO);
                found.push(format!(
                    "{}: less than {}",
                    piece.specimen,
                    left.depth_text(units)
                ));
                if limits.min.is_some_and(|min| left.to_m() < min) {
                    Fared::Low
                } else {
                    Fared::NotShown
                }
            }
            (None, None, None) => continue,
        };
        by.extend(piece.by.iter().cloned());
        fates.push(fate);
    }
    Clause {
        kind: ClauseKind::CaseDepth(stock.map(|s| s.face.clone())),
        asked: depth_asked(bench, stock),
        fared: over_all(fates.into_iter()),
        found: found.join("; "),
        by,
        close,
    }
}

fn depth_asked(bench: &Bench<'_>, stock: Option<&Stock>) -> String {
    let units = bench.spec.units;
    let depth = bench.spec.note.case_depth.unwrap_or_default();
    let ends = match (depth.min, depth.max) {
        (Some(min), Some(max)) => {
            format!("{} to {}", min.depth_text(units), max.depth_text(units))
        }
        (Some(min), None) => format!("at least {}", min.depth_text(units)),
        (None, Some(max)) => format!("at most {}", max.depth_text(units)),
        (None, None) => "a case".to_owned(),
    };
    let limit = match bench.demand.limit {
        DepthLimit::Hardness(limit) => format!("to {limit}"),
        DepthLimit::CoreCarbon => "total".to_owned(),
    };
    let stage = match stock {
        Some(stock) => format!(
            ", after {} per side is ground off",
            stock.per_side.depth_text(units)
        ),
        None => String::new(),
    };
    format!("{ends} {limit}{stage}")
}

/// A Vickers band for numbers that have no conversion but show on which side they are.
fn side_of_scale(scale: Scale, mid: f64) -> Option<Band<f64>> {
    match scale {
        // Below 20 HRC is softer than 238 HV, above 100 HRB harder than 240 HV. [astm-e140]
        Scale::Hrc if mid < 20.0 => Some(Band {
            low: 50.0,
            mid: 150.0,
            high: 238.0,
        }),
        Scale::Hrb if mid > 100.0 => Some(Band {
            low: 240.0,
            mid: 400.0,
            high: 950.0,
        }),
        Scale::Hrb if mid < 60.0 => Some(Band {
            low: 30.0,
            mid: 80.0,
            high: 107.0,
        }),
        _ => None,
    }
}

fn hardness(bench: &Bench<'_>, read: &[Read], kind: ClauseKind, clause: &HardnessDemand) -> Clause {
    let quantity = match kind {
        ClauseKind::CoreHardness => Quantity::Core,
        _ => Quantity::Surface,
    };
    let counting: Vec<&Read> = read
        .iter()
        .filter(|one| {
            one.left_out.is_none()
                && one.quantity == quantity
                && matches!(one.value, Value::Hardness { .. })
        })
        .collect();
    let mut fates = Vec::new();
    let mut found = Vec::new();
    let mut by = Vec::new();
    let mut close = false;
    for one in &counting {
        // On one piece the clause's own scale outranks a conversion.
        let outranked = one.standing == Standing::Indirect
            && counting.iter().any(|other| {
                other.standing == Standing::Direct
                    && other.specimen.eq_ignore_ascii_case(&one.specimen)
            });
        if outranked {
            continue;
        }
        let Some((fate, near, words)) = hardness_fate(bench, one, clause) else {
            continue;
        };
        fates.push(fate);
        close |= near;
        found.push(format!("{}: {words}", one.specimen));
        by.push(one.name.clone());
    }
    Clause {
        kind,
        asked: hardness_asked(clause),
        fared: over_all(fates.into_iter()),
        found: found.join("; "),
        by,
        close,
    }
}

fn hardness_fate(
    bench: &Bench<'_>,
    one: &Read,
    clause: &HardnessDemand,
) -> Option<(Fared, bool, String)> {
    let Value::Hardness {
        scale,
        reading,
        vickers,
        at_least,
    } = &one.value
    else {
        return None;
    };
    let own = scale.scale == clause.written.scale;
    let by_value = bench.rule == Rule::Simple && one.standing == Standing::Direct && own;
    let (value, limits) = if own {
        let limits = Limits {
            min: clause.written.min,
            max: clause.written.max,
        };
        (*reading, limits)
    } else {
        let limits = Limits {
            min: clause.min.map(Vickers::to_hv),
            max: clause.max.map(Vickers::to_hv),
        };
        let band = vickers
            .map(|band| band.map(Vickers::to_hv))
            .or_else(|| side_of_scale(scale.scale, reading.mid))?;
        (band, limits)
    };
    let shown = |x: f64| format_trimmed(x, if scale.scale == Scale::Hv { 0 } else { 1 });
    let mut words = format!(
        "{} {scale} ({} to {})",
        shown(reading.mid),
        shown(reading.low),
        shown(reading.high)
    );
    if !own && let Some(hv) = vickers {
        let written = clause.written.scale;
        let as_written = casewright_physics::law::hardness_conversion::scale_of(hv.mid, written);
        if let Some(number) = as_written {
            words.push_str(&format!(", about {} {written}", format_trimmed(number, 1)));
        }
    }
    if *at_least {
        words.push_str(" or more: the case is too thin for the scale");
        let min = limits.min.is_none_or(|min| value.low >= min);
        let fate = if limits.max.is_some_and(|max| value.low > max) {
            Fared::High
        } else if min && limits.max.is_none() {
            Fared::Holds
        } else {
            Fared::NotShown
        };
        return Some((fate, true, words));
    }
    let (fate, near) = decide(value, limits, by_value);
    Some((fate, near, words))
}

fn hardness_asked(clause: &HardnessDemand) -> String {
    let written = &clause.written;
    let number = |x: f64| format_trimmed(x, 1);
    let ends = match (written.min, written.max) {
        (Some(min), Some(max)) => format!("{} to {}", number(min), number(max)),
        (Some(min), None) => format!("at least {}", number(min)),
        (None, Some(max)) => format!("at most {}", number(max)),
        (None, None) => String::new(),
    };
    format!("{ends} {}", written.scale)
}

/// What a file shows of a surface that is to be hard.
fn file_shows_hard(result: FileResult, hrc: Option<f64>) -> Fared {
    match result {
        FileResult::Skates if hrc.is_none_or(|hrc| hrc >= FILE_HARD_HRC) => Fared::Holds,
        FileResult::Cuts => Fared::Low,
        _ => Fared::NotShown,
    }
}

fn file_words(result: FileResult, hrc: Option<f64>) -> String {
    let file = hrc.map_or("a file".to_owned(), |hrc| format!("a file of {hrc:.0} HRC"));
    match result {
        FileResult::Cuts => format!("{file} cuts"),
        FileResult::Skates => format!("{file} skates"),
        FileResult::Scratches => format!("{file} just scratches"),
    }
}

fn file_hard(read: &[Read]) -> Clause {
    let files: Vec<(&Read, FileResult, Option<f64>)> = read
        .iter()
        .filter(|one| one.left_out.is_none() && one.quantity == Quantity::Surface)
        .filter_map(|one| match one.value {
            Value::File(result, hrc) => Some((one, result, hrc)),
            _ => None,
        })
        .collect();
    Clause {
        kind: ClauseKind::FileHard,
        asked: "a file skates".to_owned(),
        fared: over_all(
            files
                .iter()
                .map(|(_, result, hrc)| file_shows_hard(*result, *hrc)),
        ),
        found: files
            .iter()
            .map(|(one, result, hrc)| format!("{}: {}", one.specimen, file_words(*result, *hrc)))
            .collect::<Vec<_>>()
            .join("; "),
        by: files.iter().map(|(one, ..)| one.name.clone()).collect(),
        close: false,
    }
}

/// The words that say where a reading was taken.
fn spot<'e>(bench: &Bench<'e>, one: &Read) -> Option<(&'e str, Where)> {
    let (spot, at) = match &bench.evidence.items.get(one.item)?.what {
        What::Hardness(read) => (read.spot.as_deref(), read.at),
        What::FileTest(test) => (test.spot.as_deref(), test.at),
        _ => return None,
    };
    Some((spot?, at))
}

fn soft_area(bench: &Bench<'_>, read: &[Read], what: &str) -> Clause {
    let limit = bench.demand.limit_hv().to_hv();
    area(
        bench,
        read,
        ClauseKind::SoftArea(what.to_owned()),
        format!("no case: below {limit:.0} HV"),
        |one| match &one.value {
            Value::File(FileResult::Cuts, hrc) if hrc.is_none_or(|hrc| hrc <= FILE_SOFT_HRC) => {
                Fared::Holds
            }
            Value::File(FileResult::Skates, _) => Fared::High,
            Value::Hardness { .. } => {
                let limits = Limits {
                    min: None,
                    max: Some(limit),
                };
                hv_band(one).map_or(Fared::NotShown, |band| decide(band, limits, false).0)
            }
            _ => Fared::NotShown,
        },
    )
}

fn hard_area(bench: &Bench<'_>, read: &[Read], what: &str) -> Clause {
    let limit = bench.demand.limit_hv().to_hv();
    area(
        bench,
        read,
        ClauseKind::HardArea(what.to_owned()),
        format!("case-hardened: at least {limit:.0} HV"),
        |one| match &one.value {
            Value::File(result, hrc) => file_shows_hard(*result, *hrc),
            Value::Hardness { .. } => {
                let limits = Limits {
                    min: Some(limit),
                    max: None,
                };
                hv_band(one).map_or(Fared::NotShown, |band| decide(band, limits, false).0)
            }
            _ => Fared::NotShown,
        },
    )
}

fn hv_band(one: &Read) -> Option<Band<f64>> {
    let Value::Hardness {
        scale,
        reading,
        vickers,
        ..
    } = &one.value
    else {
        return None;
    };
    vickers
        .map(|band| band.map(Vickers::to_hv))
        .or_else(|| side_of_scale(scale.scale, reading.mid))
}

fn area(
    bench: &Bench<'_>,
    read: &[Read],
    kind: ClauseKind,
    asked: String,
    fate: impl Fn(&Read) -> Fared,
) -> Clause {
    let (what, wanted) = match &kind {
        ClauseKind::SoftArea(what) => (what.clone(), Where::SoftArea),
        ClauseKind::HardArea(what) => (what.clone(), Where::Surface),
        _ => (String::new(), Where::Surface),
    };
    let own: Vec<&Read> = read
        .iter()
        .filter(|one| one.left_out.is_none())
        .filter(|one| {
            spot(bench, one).is_some_and(|(spot, at)| at == wanted && same_area(spot, &what))
        })
        .collect();
    let words = |one: &Read| match &one.value {
        Value::File(result, hrc) => file_words(*result, *hrc),
        Value::Hardness { scale, reading, .. } => {
            format!("{} {scale}", format_trimmed(reading.mid, 1))
        }
        _ => String::new(),
    };
    Clause {
        kind,
        asked,
        fared: over_all(own.iter().map(|one| fate(one))),
        found: own
            .iter()
            .map(|one| format!("{}: {}", one.specimen, words(one)))
            .collect::<Vec<_>>()
            .join("; "),
        by: own.iter().map(|one| one.name.clone()).collect(),
        close: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(low: f64, mid: f64, high: f64) -> Band<f64> {
        Band { low, mid, high }
    }

    #[test]
    fn by_value_the_middle_decides_and_the_doubt_is_told() {
        let limits = Limits {
            min: Some(58.0),
            max: Some(62.0),
        };
        assert_eq!(
            decide(band(57.5, 58.5, 59.5), limits, true),
            (Fared::Holds, true)
        );
        assert_eq!(
            decide(band(56.9, 57.9, 58.9), limits, true),
            (Fared::Low, true)
        );
        assert_eq!(
            decide(band(59.0, 60.0, 61.0), limits, true),
            (Fared::Holds, false)
        );
        assert_eq!(
            decide(band(62.1, 63.0, 64.0), limits, true),
            (Fared::High, false)
        );
    }

    #[test]
    fn guarded_only_the_whole_doubt_decides() {
        let limits = Limits {
            min: Some(58.0),
            max: Some(62.0),
        };
        assert_eq!(
            decide(band(57.5, 58.5, 59.5), limits, false).0,
            Fared::NotShown
        );
        assert_eq!(decide(band(56.0, 57.0, 57.9), limits, false).0, Fared::Low);
        assert_eq!(
            decide(band(58.0, 60.0, 62.0), limits, false).0,
            Fared::Holds
        );
        assert_eq!(decide(band(62.1, 63.0, 64.0), limits, false).0, Fared::High);
    }

    #[test]
    fn areas_are_known_by_their_stem() {
        assert!(same_area("threads", "threaded end"));
        assert!(same_area("Threaded end", "threaded end"));
        assert!(!same_area("bore", "threaded end"));
    }
}
