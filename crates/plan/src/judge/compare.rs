//! What was measured beside what the plan foretold: inside the band or not, and how far in its own
//! half-widths. Says nothing about why; that is the diagnosis' business.

use casewright_job::evidence::{Item, What};
use casewright_physics::law::case_depth::TraversePoint;
use casewright_physics::law::weight_gain::uptake_g_m2;
use casewright_terms::{Band, Diag, Length, Vickers, WeightPercent};

use super::depth::{Found, Z_90};
use super::{Bench, Compared, Quantity, Read, Value, piece};
use crate::evaluate::at;
use crate::outcome::Prediction;

/// Every quantity that was both foretold and measured.
pub(super) fn with_plan(
    bench: &Bench<'_>,
    read: &[Read],
    case_depth: Option<Band<Length>>,
    after_grind: Option<Band<Length>>,
) -> Vec<Compared> {
    let Some(prediction) = bench.report.and_then(|report| report.prediction.as_ref()) else {
        return Vec::new();
    };
    let mm = |band: Band<Length>| band.map(Length::to_mm);
    let mut all = Vec::new();
    let mut add = |what, unit, predicted: Option<Band<f64>>, measured: Option<Band<f64>>| {
        if let (Some(predicted), Some(measured)) = (predicted, measured) {
            all.push(compared(what, unit, predicted, measured));
        }
    };
    let total_asked = super::combine::asked(bench.demand) == Quantity::TotalDepth;
    let effective = (!total_asked).then_some(case_depth).flatten();
    add(
        "case depth",
        "mm",
        prediction.case_depth.map(mm),
        effective.map(mm),
    );
    add(
        "case depth after grinding",
        "mm",
        prediction.case_depth_after_grind.map(mm),
        after_grind.filter(|_| !total_asked).map(mm),
    );
    add(
        "total depth",
        "mm",
        prediction.total_depth.map(mm),
        mean_depth(read, Quantity::TotalDepth).map(mm),
    );
    let hv = |band: Band<Vickers>| band.map(Vickers::to_hv);
    add(
        "surface hardness",
        "HV",
        Some(hv(prediction.surface)),
        mean_hardness(read, Quantity::Surface),
    );
    add(
        "core hardness",
        "HV",
        Some(hv(prediction.core)),
        mean_hardness(read, Quantity::Core),
    );
    add(
        "retained austenite",
        "%",
        Some(prediction.retained_austenite_pct),
        austenite(read),
    );
    for (index, one) in read.iter().enumerate() {
        let (Value::Uptake(measured), None) = (&one.value, &one.left_out) else {
            continue;
        };
        let first = read[..index]
            .iter()
            .all(|other| !matches!(other.value, Value::Uptake(_)));
        let item = bench.evidence.items.get(one.item);
        if let (true, Some(item)) = (first, item) {
            add(
                "carbon taken up",
                "g/m²",
                uptake_band(bench, item, prediction),
                Some(*measured),
            );
        }
    }
    all
}

/// Each curve of hardness beside the foretold profile: how many points lie in its band, and the one
/// that is furthest off.
pub(super) fn curves(bench: &Bench<'_>, profiles: &[Found]) -> Vec<Diag> {
    let Some(prediction) = bench.report.and_then(|report| report.prediction.as_ref()) else {
        return Vec::new();
    };
    let profile = &prediction.profile;
    let depth_m: Vec<f64> = profile
        .depth_mm
        .iter()
        .map(|d| Length::from_mm(*d).to_m())
        .collect();
    let mut told = Vec::new();
    for found in profiles {
        let Some(item) = bench.evidence.items.get(found.item) else {
            continue;
        };
        let off = |point: &TraversePoint| {
            let read = |values: &[f64]| at(&depth_m, values, point.depth.to_m());
            let mid = read(&profile.hardness_hv);
            let by = point.hardness.to_hv() - mid;
            let half = if by >= 0.0 {
                read(&profile.hardness_high_hv) - mid
            } else {
                mid - read(&profile.hardness_low_hv)
            };
            by / half.max(1.0)
        };
        let inside = found.points.iter().filter(|p| off(p).abs() <= 1.0).count();
        let Some(worst) = found
            .points
            .iter()
            .max_by(|a, b| off(a).abs().total_cmp(&off(b).abs()))
        else {
            continue;
        };
        told.push(
            Diag::note(
                "curve-beside-plan",
                format!(
                    "{}: {inside} of {} points lie in the foretold band; the furthest, {:.0} HV at {}, is {:+.1} half-widths off.",
                    item.name,
                    found.points.len(),
                    worst.hardness.to_hv(),
                    worst.depth.depth_text(bench.spec.units),
                    off(worst)
                ),
            )
            .at(item.place.clone()),
        );
    }
    told
}

fn compared(
    what: &'static str,
    unit: &'static str,
    predicted: Band<f64>,
    measured: Band<f64>,
) -> Compared {
    let off = measured.mid - predicted.mid;
    let half = if off >= 0.0 {
        predicted.high - predicted.mid
    } else {
        predicted.mid - predicted.low
    };
    // A band without width (a foretold certainty) is held against the measurement's own doubt.
    let width = if half > 1e-12 {
        half
    } else {
        (0.5 * (measured.high - measured.low)).max(1e-12)
    };
    Compared {
        what,
        unit,
        predicted,
        measured,
        inside: off.abs() <= width,
        off: off / width,
    }
}

fn mean(bands: &[Band<f64>]) -> Option<Band<f64>> {
    let n = bands.len();
    if n == 0 {
        return None;
    }
    let mut mids: Vec<f64> = bands.iter().map(|b| b.mid).collect();
    mids.sort_by(f64::total_cmp);
    Some(Band {
        low: bands.iter().map(|b| b.low).fold(f64::INFINITY, f64::min),
        mid: mids.iter().sum::<f64>() / n as f64,
        high: bands
            .iter()
            .map(|b| b.high)
            .fold(f64::NEG_INFINITY, f64::max),
    })
}

fn mean_depth(read: &[Read], quantity: Quantity) -> Option<Band<Length>> {
    let bands: Vec<Band<f64>> = read
        .iter()
        .filter(|one| one.left_out.is_none() && one.quantity == quantity)
        .filter_map(|one| match &one.value {
            Value::Depth(band) => Some(band.map(Length::to_mm)),
            _ => None,
        })
        .collect();
    mean(&bands).map(|band| band.map(Length::from_mm))
}

/// Mean over the readings; those taken with a tester where there are any, else the curves'.
fn mean_hardness(read: &[Read], quantity: Quantity) -> Option<Band<f64>> {
    let of = |curve: bool| -> Vec<Band<f64>> {
        read.iter()
            .filter(|one| one.left_out.is_none() && one.quantity == quantity)
            .filter(|one| one.name.starts_with("hardness") != curve)
            .filter_map(|one| match &one.value {
                Value::Hardness {
                    vickers,
                    at_least: false,
                    ..
                } => vickers.map(|band| band.map(Vickers::to_hv)),
                _ => None,
            })
            .collect()
    };
    mean(&of(false)).or_else(|| mean(&of(true)))
}

fn austenite(read: &[Read]) -> Option<Band<f64>> {
    let bands: Vec<Band<f64>> = read
        .iter()
        .filter(|one| one.left_out.is_none())
        .filter_map(|one| match &one.value {
            Value::Structure(seen) => seen.retained_austenite.map(|share| share.to_pct()),
            _ => None,
        })
        // By eye on an etched section, a third either way and at least 5 %. [trade-practice]
        .map(|pct| {
            let half = (pct / 3.0).max(5.0);
            Band {
                low: (pct - half).max(0.0),
                mid: pct,
                high: pct + half,
            }
        })
        .collect();
    mean(&bands)
}

/// Uptake that the plan foretells for the piece of an item, in g/m²: its profile of carbon on that
/// piece's round.
pub(super) fn uptake(bench: &Bench<'_>, item: &Item) -> Option<f64> {
    let prediction = bench.report?.prediction.as_ref()?;
    uptake_band(bench, item, prediction).map(|band| band.mid)
}

fn uptake_band(bench: &Bench<'_>, item: &Item, prediction: &Prediction) -> Option<Band<f64>> {
    if !matches!(item.what, What::WeightGain(_)) {
        return None;
    }
    let profile = &prediction.profile;
    let core = WeightPercent::checked(*profile.carbon_wt_pct.last()?)?;
    let depth_m: Vec<f64> = profile
        .depth_mm
        .iter()
        .map(|d| Length::from_mm(*d).to_m())
        .collect();
    let radius = piece::of(bench.evidence, item)
        .and_then(|piece| piece.diameter)
        .map(|diameter| diameter * 0.5);
    let of = |carbon: &[f64]| uptake_g_m2(&depth_m, carbon, core, radius);
    let mid = of(&profile.carbon_wt_pct);
    if profile.carbon_low_wt_pct.len() != depth_m.len()
        || profile.carbon_high_wt_pct.len() != depth_m.len()
    {
        return Some(Band {
            low: mid / Z_90,
            mid,
            high: mid * Z_90,
        });
    }
    Some(Band {
        low: of(&profile.carbon_low_wt_pct).min(mid),
        mid,
        high: of(&profile.carbon_high_wt_pct).max(mid),
    })
}
