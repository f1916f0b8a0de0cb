//! Depths of one piece by several methods, put together by their weights, and held against each
//! other.

use casewright_terms::{Band, Diag, Length};

use super::{Quantity, Read, Standing, Value, root_sum};
use crate::demand::Demand;
use crate::outcome::DepthLimit;

/// What is known of the depth on one piece.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PieceDepth {
    pub(super) specimen: String,
    /// The depth where it was found.
    pub(super) band: Option<Band<Length>>,
    /// It goes at least this deep.
    pub(super) at_least: Option<Length>,
    /// It goes at most this deep.
    pub(super) at_most: Option<Length>,
    /// The best standing of what it rests on.
    pub(super) standing: Standing,
    /// Names of the readings.
    pub(super) by: Vec<String>,
}

/// What the note's depth is.
pub(super) fn asked(demand: &Demand) -> Quantity {
    match demand.limit {
        DepthLimit::Hardness(_) => Quantity::CaseDepth,
        DepthLimit::CoreCarbon => Quantity::TotalDepth,
    }
}

/// One value to weigh, in metres.
#[derive(Clone, Copy)]
struct Weighed {
    mid: f64,
    random: f64,
    common: f64,
}

/// Depths by piece, in the order of their first reading. Readings by sight and by weight count only
/// where nothing better was read on the piece.
pub(super) fn by_piece(
    read: &[Read],
    asked: Quantity,
    findings: &mut Vec<Diag>,
) -> Vec<PieceDepth> {
    let mut pieces: Vec<&str> = Vec::new();
    for one in read.iter().filter(|one| one.quantity == asked) {
        if one.left_out.is_none() && !pieces.iter().any(|p| p.eq_ignore_ascii_case(&one.specimen)) {
            pieces.push(&one.specimen);
        }
    }
    pieces
        .into_iter()
        .map(|mark| {
            let own: Vec<&Read> = read
                .iter()
                .filter(|one| {
                    one.left_out.is_none()
                        && one.quantity == asked
                        && one.specimen.eq_ignore_ascii_case(mark)
                })
                .collect();
            together(mark, &own, findings)
        })
        .collect()
}

/// Whether a reading is only by sight or weight.
fn rough(one: &Read) -> bool {
    one.standing == Standing::Indirect
        && (one.name.starts_with("ring") || one.name.starts_with("weight"))
}

fn together(mark: &str, own: &[&Read], findings: &mut Vec<Diag>) -> PieceDepth {
    let better: Vec<&Read> = own.iter().copied().filter(|one| !rough(one)).collect();
    let used = if better.is_empty() { own } else { &better[..] };
    let weighed: Vec<Weighed> = used
        .iter()
        .filter_map(|one| match &one.value {
            Value::Depth(band) => {
                let half = (0.5 * (band.high - band.low).to_m()).max(1e-7);
                let common = one.common.min(half);
                Some(Weighed {
                    mid: band.mid.to_m(),
                    random: (half * half - common * common)
                        .max(0.04 * half * half)
                        .sqrt(),
                    common,
                })
            }
            _ => None,
        })
        .collect();
    let bound = |pick: fn(&Value) -> Option<Length>, best: fn(Length, Length) -> Length| {
        used.iter().filter_map(|one| pick(&one.value)).reduce(best)
    };
    let at_least = bound(
        |value| match value {
            Value::DepthAtLeast(depth) => Some(*depth),
            _ => None,
        },
        Length::max,
    );
    let at_most = bound(
        |value| match value {
            Value::DepthAtMost(depth) => Some(*depth),
            _ => None,
        },
        Length::min,
    );
    let band = (!weighed.is_empty()).then(|| weigh(&weighed));
    disagree(mark, own, findings);
    PieceDepth {
        specimen: mark.to_owned(),
        band,
        at_least,
        at_most,
        standing: used
            .iter()
            .map(|one| one.standing)
            .max()
            .unwrap_or(Standing::Indirect),
        by: used.iter().map(|one| one.name.clone()).collect(),
    }
}

/// Mean by weight of the random doubts, widened where the values scatter more than these say; what is
/// common to a tester or a method does not shrink with the number of readings.
fn weigh(values: &[Weighed]) -> Band<Length> {
    let mut sorted = values.to_vec();
    sorted.sort_by(|a, b| a.mid.total_cmp(&b.mid).then(a.random.total_cmp(&b.random)));
    let weight = |v: &Weighed| 1.0 / (v.random * v.random + v.common * v.common);
    let sum: f64 = sorted.iter().map(weight).sum();
    let mid = sorted.iter().map(|v| v.mid * weight(v)).sum::<f64>() / sum;
    let random = 1.0
        / sorted
            .iter()
            .map(|v| 1.0 / (v.random * v.random))
            .sum::<f64>()
            .sqrt();
    // Halves of 90 % are 1.645 standard deviations.
    let chi2: f64 = sorted
        .iter()
        .map(|v| {
            (v.mid - mid) * (v.mid - mid) / (v.random * v.random)
                * super::depth::Z_90
                * super::depth::Z_90
        })
        .sum();
    let stretch = match sorted.len() {
        1 => 1.0,
        n => (chi2 / (n - 1) as f64).sqrt().max(1.0),
    };
    let common = sorted
        .iter()
        .map(|v| v.common)
        .fold(f64::INFINITY, f64::min);
    let half = root_sum(&[random * stretch, common]);
    Band {
        low: Length::from_m((mid - half).max(0.0)),
        mid: Length::from_m(mid),
        high: Length::from_m(mid + half),
    }
}

/// Says where two methods on one piece exclude each other.
fn disagree(mark: &str, own: &[&Read], findings: &mut Vec<Diag>) {
    for (i, a) in own.iter().enumerate() {
        for b in &own[i + 1..] {
            let (Value::Depth(x), Value::Depth(y)) = (&a.value, &b.value) else {
                continue;
            };
            if x.low <= y.high && y.low <= x.high {
                continue;
            }
            findings.push(
                Diag::warn(
                    "depths-disagree",
                    format!(
                        "On {mark} {} says {:.2} mm and {} says {:.2} mm; their doubts do not meet.",
                        a.name,
                        x.mid.to_mm(),
                        b.name,
                        y.mid.to_mm()
                    ),
                )
                .why("One of them is read wrong, or they are not of one definition.")
                .accepted("The same definition for both, the tester checked, one of them read again.")
                .at(b.place.clone())
                .also(a.place.clone(), "the other"),
            );
        }
    }
}

/// All pieces in one band: the least low, the mean, the greatest high.
pub(super) fn whole(depths: &[PieceDepth]) -> Option<Band<Length>> {
    let mut bands: Vec<Band<Length>> = depths.iter().filter_map(|d| d.band).collect();
    bands.sort_by(|a, b| a.mid.to_m().total_cmp(&b.mid.to_m()));
    let low = bands.iter().map(|b| b.low).reduce(Length::min)?;
    let high = bands.iter().map(|b| b.high).reduce(Length::max)?;
    let mid = bands.iter().map(|b| b.mid).sum::<Length>() / bands.len() as f64;
    Some(Band { low, mid, high })
}
