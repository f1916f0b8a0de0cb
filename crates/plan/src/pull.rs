//! A coupon is pulled during the soak, quenched and broken; its case says how far the load is. The
//! doubts that made the plan's band are weighed by how well each of them foretold the reading, and
//! the time that is left is solved again with those weights.
//!
//! A reading may be of the wrong coupon, or broken askew: with a share of one in twenty it says
//! nothing about the load, so that an absurd one cannot pull the answer after it.

use casewright_physics::numerics::fun;
use casewright_physics::run::Failure;
use casewright_physics::setup::{CarbonSetup, Shape};
use casewright_physics::simulate;
use casewright_terms::{Band, Diag, Element, Length, Span, UnitSystem, WeightPercent};

use crate::cloud::{Kind, Size};
use crate::doubt::{MEMBERS, RUNS};
use crate::evaluate::TOTAL_DEPTH_OVER_CORE_WT_PCT;
use crate::follow::{Followed, bed_at, until};
use crate::pack;
use crate::recipe::Departure;
use crate::remaining::{MOST_H, rounded};

/// Quantile of the normal distribution that leaves 5 % above.
const Z_95: f64 = 1.644_853_626_951_472_7;
/// Share of the readings of shops that are of something else than they say. [trade-practice]
const WRONG: f64 = 0.05;
/// Such a reading may show anything up to this many times the depth aimed at.
const WRONG_UP_TO: f64 = 3.0;
/// A reading that stands this many standard deviations from what was foretold is doubted aloud.
const ABSURD: f64 = 3.0;
/// Soaks at which each member's depth is known; between them it is straight on the root of time.
const NODES: usize = 4;
/// A ring broken and read with a loupe is not known better than this, whatever is said: half of the
/// least division of a 0.1 mm scale.
const DOUBT_LEAST_MM: f64 = 0.025;

/// What the depth on the coupon was read to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadTo {
    /// The whole ring, as broken or etched: core carbon + 0.04 wt%.
    Total,
    /// The note's own limit, by hardness readings on the coupon.
    Limit,
}

/// A coupon, read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Soak up to the pull, from when the pack was hot.
    pub soaked: Span,
    /// From loading to hot as it really was, where that is known.
    pub hot_after: Option<Span>,
    /// Depth read, per side.
    pub depth: Length,
    /// How far off the reading may be, either way (90 %).
    pub doubt: Length,
    /// What it was read to.
    pub read_to: ReadTo,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Advice {
    /// Go on soaking.
    GoOn,
    /// The depth is made: pull now.
    PullNow,
    /// More than the greatest depth is made already.
    TooDeep,
}

/// What the coupon says.
#[derive(Clone, Debug, PartialEq)]
pub struct Pulled {
    /// What to do.
    pub advice: Advice,
    /// What the coupon was expected to show.
    pub expected: Band<Length>,
    /// How many standard deviations the reading stands from that; above 0 it is deeper.
    pub surprise: f64,
    /// How likely the reading is of something else than this load.
    pub wrong: f64,
    /// Time that is left from the pull on, 90 %; zero where the depth is made.
    pub more: Band<Span>,
    /// The whole soak from when the pack was hot.
    pub soak: Span,
    /// Depth with the planned soak, as foretold before the reading.
    pub before: Band<Length>,
    /// Depth with the planned soak, knowing the reading.
    pub if_unchanged: Band<Length>,
    /// Depth with the soak advised here, knowing the reading.
    pub after: Band<Length>,
    /// Chance that the depth to make is met: with the planned soak before the reading, with the
    /// advised one after it.
    pub chance: (f64, f64),
    /// How many members of the ensemble the reading leaves in effect.
    pub members: f64,
    /// What there is to say.
    pub findings: Vec<Diag>,
}

/// Columns of a member's row: the coupon first, then the depth at each node.
const COUPON: usize = 0;

/// What a coupon says about the time that is left.
///
/// # Errors
/// What physics could not do.
pub fn pull(followed: &Followed<'_>, pull: &Pull, seed: u64) -> Result<Pulled, Failure> {
    let kit = followed.kit;
    let soaked = pull.soaked.max(Span::ZERO);
    let planned = kit.way.soak;
    let nodes = nodes(soaked, planned);
    // The moment of hot settles what the bed's doubt was about.
    let bed = pull.hot_after.map(|hot| bed_at(followed.bed_for(hot)));
    let settled = |departure: &Departure| Departure {
        bed: bed.unwrap_or(departure.bed),
        ..departure.clone()
    };
    let row = |departure: &Departure| -> Option<Vec<f64>> {
        let departure = settled(departure);
        let mut row = vec![
            coupon(followed, pull.read_to, &departure, soaked)
                .ok()?
                .to_m(),
        ];
        for soak in &nodes {
            let heat = followed.heat(&departure, *soak).ok()?;
            row.push(followed.depth(&departure, &heat).ok()?.to_m());
        }
        Some(row)
    };
    let doubts = followed.doubts(seed);
    let size = Size {
        members: MEMBERS,
        runs: RUNS,
    };
    let kinds = [Kind::Positive; 1 + NODES];
    let cloud = followed.cloud(&doubts, size, row, &kinds, &[COUPON, NODES]);
    let rows = cloud.rows();
    if rows.is_empty() {
        // Physics says why, on the plan itself.
        let heat = followed.heat(&Departure::NONE, planned)?;
        followed.depth(&Departure::NONE, &heat)?;
    }
    let reading = Reading::of(rows, pull, kit.chain.aim);
    let even = vec![1.0 / rows.len().max(1) as f64; rows.len()];
    let depth_at =
        |soak: Span| -> Vec<f64> { rows.iter().map(|row| depth(row, &nodes, soak)).collect() };
    let aim_m = kit.chain.aim.to_m();
    let here = depth_at(soaked);
    let median_here = weighted(&here, &reading.weights, 0.5);
    let times: Vec<f64> = rows.iter().map(|row| time_to(row, &nodes, aim_m)).collect();
    let too_deep = kit
        .chain
        .make_max
        .is_some_and(|max| median_here > max.to_m());
    let advice = if too_deep {
        Advice::TooDeep
    } else if median_here >= aim_m {
        Advice::PullNow
    } else {
        Advice::GoOn
    };
    let soak = match advice {
        Advice::GoOn => rounded(Span::from_h(weighted(&times, &reading.weights, 0.5))).max(soaked),
        Advice::PullNow | Advice::TooDeep => soaked,
    };
    let left =
        |q: f64| (Span::from_h(weighted(&times, &reading.weights, q)) - soaked).max(Span::ZERO);
    let more = Band {
        low: left(0.05).min(soak - soaked),
        mid: soak - soaked,
        high: left(0.95).max(soak - soaked),
    };
    let band = |values: &[f64], weights: &[f64]| {
        let at = |q: f64| Length::from_m(weighted(values, weights, q));
        Band {
            low: at(0.05),
            mid: at(0.5),
            high: at(0.95),
        }
    };
    let met = |values: &[f64], weights: &[f64]| -> f64 {
        let inside = |d: &f64| {
            *d >= kit.chain.make_min.to_m() && kit.chain.make_max.is_none_or(|max| *d <= max.to_m())
        };
        let held = values.iter().zip(weights).filter(|(d, _)| inside(d));
        held.map(|(_, w)| w).sum()
    };
    let (at_planned, at_advised) = (depth_at(planned), depth_at(soak));
    let mut pulled = Pulled {
        advice,
        expected: reading.expected,
        surprise: reading.surprise,
        wrong: reading.wrong,
        more,
        soak,
        before: band(&at_planned, &even),
        if_unchanged: band(&at_planned, &reading.weights),
        after: band(&at_advised, &reading.weights),
        chance: (met(&at_planned, &even), met(&at_advised, &reading.weights)),
        members: reading.members,
        findings: Vec::new(),
    };
    pulled.findings = findings(&pulled, pull, followed, cloud.refused());
    Ok(pulled)
}

/// What the coupon would show under a departure: a round bar of the shop's coupons, carburized up to
/// the pull and quenched there, so that nothing diffuses any more.
fn coupon(
    followed: &Followed<'_>,
    read_to: ReadTo,
    departure: &Departure,
    soaked: Span,
) -> Result<Length, Failure> {
    let heat = followed.heat(departure, soaked)?;
    let setup = followed
        .recipe
        .chain_setup(&followed.kit.matter, departure, &heat);
    let core = setup.carbon.composition.get(Element::C);
    let [diameter, _] = pack::coupon_size(followed.kit.spec.units);
    let run = simulate::carbon(&CarbonSetup {
        shape: Shape::Cylinder {
            radius: diameter * 0.5,
        },
        cycle: until(&heat.part, heat.soak_ends),
        ..setup.carbon
    })?;
    let limit = match read_to {
        ReadTo::Total => core + WeightPercent::from_wt_pct(TOTAL_DEPTH_OVER_CORE_WT_PCT),
        ReadTo::Limit => followed.limit_carbon,
    };
    Ok(run.depth_to_carbon(limit).unwrap_or(Length::ZERO))
}

/// Soaks for which depths are run: from the pull to well past the plan, even on the root of time.
fn nodes(soaked: Span, planned: Span) -> [Span; NODES] {
    let far = (planned.max(soaked) * 2.0).max(soaked + Span::from_h(2.0));
    let far = far
        .min(Span::from_h(MOST_H))
        .max(soaked + Span::from_h(0.5));
    let (from, to) = (fun::sqrt(soaked.to_h()), fun::sqrt(far.to_h()));
    std::array::from_fn(|i| {
        let root = from + (to - from) * i as f64 / (NODES - 1) as f64;
        Span::from_h(root * root)
    })
}

/// A member's depth at a soak, metres.
fn depth(row: &[f64], nodes: &[Span; NODES], soak: Span) -> f64 {
    let root = fun::sqrt(soak.to_h().max(0.0));
    let at = |i: usize| fun::sqrt(nodes[i].to_h());
    let i = (1..NODES - 1).find(|i| root <= at(*i)).unwrap_or(NODES - 1);
    let t = (root - at(i - 1)) / (at(i) - at(i - 1));
    (row[i] + t * (row[i + 1] - row[i])).max(0.0)
}

/// Soak at which a member has made the depth, hours; straight on beyond the last node, and nothing
/// before the first, which is the pull.
fn time_to(row: &[f64], nodes: &[Span; NODES], depth_m: f64) -> f64 {
    let at = |i: usize| fun::sqrt(nodes[i].to_h());
    if depth_m <= row[1] {
        return nodes[0].to_h();
    }
    let i = (1..NODES - 1)
        .find(|i| depth_m <= row[i + 1])
        .unwrap_or(NODES - 1);
    let grown = (row[i + 1] - row[i]).max(1e-7);
    let root = at(i - 1) + (depth_m - row[i]) / grown * (at(i) - at(i - 1));
    (root * root).min(MOST_H)
}

/// The reading beside what the members foretold.
struct Reading {
    weights: Vec<f64>,
    expected: Band<Length>,
    surprise: f64,
    wrong: f64,
    members: f64,
}

impl Reading {
    fn of(rows: &[Vec<f64>], pull: &Pull, aim: Length) -> Self {
        let n = rows.len().max(1) as f64;
        let sigma = pull.doubt.to_mm().max(DOUBT_LEAST_MM) / Z_95;
        let read = pull.depth.to_mm();
        let foretold: Vec<f64> = rows
            .iter()
            .map(|row| Length::from_m(row[COUPON]).to_mm())
            .collect();
        let mean = foretold.iter().sum::<f64>() / n;
        let variance = foretold
            .iter()
            .map(|f| (f - mean) * (f - mean))
            .sum::<f64>()
            / n;
        let surprise = (read - mean) / fun::sqrt(variance + sigma * sigma);
        let right = |f: &f64| {
            let z = (read - f) / sigma;
            fun::exp(-0.5 * z * z) / (sigma * fun::sqrt(2.0 * std::f64::consts::PI))
        };
        let wrong_density = 1.0 / (WRONG_UP_TO * aim.to_mm().max(0.1));
        let likely: Vec<f64> = foretold
            .iter()
            .map(|f| (1.0 - WRONG) * right(f) + WRONG * wrong_density)
            .collect();
        let all: f64 = likely.iter().sum();
        let weights: Vec<f64> = likely.iter().map(|l| l / all).collect();
        let even = vec![1.0 / n; rows.len()];
        let at = |q: f64| Length::from_mm(weighted(&foretold, &even, q));
        Self {
            expected: Band {
                low: at(0.05),
                mid: at(0.5),
                high: at(0.95),
            },
            surprise,
            wrong: WRONG * wrong_density * n / all,
            members: 1.0 / weights.iter().map(|w| w * w).sum::<f64>().max(1e-12),
            weights,
        }
    }
}

/// A quantile of weighted values, straight between the middles of their weights; 0 for none.
fn weighted(values: &[f64], weights: &[f64], q: f64) -> f64 {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let (mut below, mut last) = (0.0, None);
    for i in order {
        let middle = below + 0.5 * weights[i];
        if middle >= q {
            return match last {
                Some((at, value)) if middle > at => {
                    value + (values[i] - value) * (q - at) / (middle - at)
                }
                _ => values[i],
            };
        }
        below += weights[i];
        last = Some((middle, values[i]));
    }
    last.map_or(0.0, |(_, value)| value)
}

/// Fewer members than this in effect make a coarse band.
const FEW: f64 = 20.0;

fn findings(pulled: &Pulled, pull: &Pull, followed: &Followed<'_>, refused: usize) -> Vec<Diag> {
    let kit = followed.kit;
    let units: UnitSystem = kit.spec.units;
    let mut list = Vec::new();
    let told = |depth: Length| depth.depth_text(units);
    if pulled.surprise.abs() > ABSURD {
        let side = if pulled.surprise > 0.0 {
            "deeper"
        } else {
            "shallower"
        };
        list.push(
            Diag::warn(
                "pull-absurd",
                format!(
                    "The coupon shows {}, and {} to {} was to be expected: {side} than any likely course of this run.",
                    told(pull.depth),
                    told(pulled.expected.low),
                    told(pulled.expected.high)
                ),
            )
            .why("Another coupon, a break that is not square, inches for millimetres, or a couple that reads wrong. The advice hardly follows this reading.")
            .accepted("Pull and break a second coupon before anything is decided; look at the couple beside a second one."),
        );
    } else if pulled.wrong > 0.5 {
        list.push(
            Diag::warn(
                "pull-doubtful",
                format!(
                    "A depth of {} fits this run badly; it is more likely misread than right.",
                    told(pull.depth)
                ),
            )
            .accepted("Read it again on a fresh break, or pull a second coupon."),
        );
    }
    if pull.soaked < Span::ZERO {
        list.push(
            Diag::warn(
                "pull-early",
                "The coupon was pulled before the pack was hot.",
            )
            .why("It says little about the soak: the parts were not at heat yet.")
            .accepted("Pull another one after half of the soak."),
        );
    }
    if pulled.advice == Advice::TooDeep {
        let max = kit.chain.make_max.unwrap_or(kit.chain.aim);
        list.push(
            Diag::warn(
                "pull-too-deep",
                format!("The case is past {} already: pull the box now.", told(max)),
            )
            .why("Every further minute makes it deeper, and slow cooling in the box adds to it.")
            .accepted("Pull now; ask the customer about the depth, or take more stock where the drawing leaves some."),
        );
    }
    if pull.read_to == ReadTo::Limit {
        list.push(Diag::note(
            "pull-limit",
            "A hardness depth on a coupon is compared by carbon: the coupon was quenched by itself, not as the parts will be.",
        ));
    }
    if pulled.more.high + pull.soaked >= Span::from_h(MOST_H) {
        list.push(
            Diag::warn("pull-far", "The depth is not made within 40 h of soak on part of the likely courses.")
                .why("The compound may be spent or the couple may read hot.")
                .accepted("Pull another coupon in an hour; if it has hardly grown, end the run and pack anew with fresh compound."),
        );
    }
    if pulled.members < FEW || refused > RUNS / 4 {
        list.push(
            Diag::note(
                "pull-thin",
                "Few courses of the run fit the reading, so the bands are coarse.",
            )
            .accepted("Treat the bands as too narrow; a second coupon tells more."),
        );
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weighted_quantile_is_the_plain_one_for_even_weights() {
        let values: Vec<f64> = (0..100).map(f64::from).collect();
        let even = vec![0.01; 100];
        // The middle of value i stands at (i + 0.5)/100.
        assert!((weighted(&values, &even, 0.05) - 4.5).abs() < 1e-9);
        assert!((weighted(&values, &even, 0.5) - 49.5).abs() < 1e-9);
        let mut one = vec![0.0; 100];
        one[70] = 1.0;
        assert!((weighted(&values, &one, 0.5) - 70.0).abs() < 1e-9);
        assert_eq!(weighted(&[], &[], 0.5), 0.0);
    }

    /// A depth that grows with the root of time is read back exactly between and beyond the nodes.
    #[test]
    fn depth_and_time_are_each_other() {
        let nodes = nodes(Span::from_h(2.0), Span::from_h(5.0));
        let grown = |hours: f64| 1e-4 + 3e-4 * fun::sqrt(hours);
        let mut row = vec![0.0];
        row.extend(nodes.iter().map(|soak| grown(soak.to_h())));
        for hours in [2.0, 2.7, 4.0, 6.5, 9.9, 12.0] {
            let seen = depth(&row, &nodes, Span::from_h(hours));
            assert!((seen - grown(hours)).abs() < 1e-12, "{hours}");
            let back = time_to(&row, &nodes, grown(hours));
            assert!((back - hours).abs() < 1e-6, "{hours} {back}");
        }
        // Read back through a square and a root, so to rounding.
        assert!((time_to(&row, &nodes, 1e-4) - 2.0).abs() < 1e-9);
    }

    /// An absurd reading leaves the members nearly as they were; a fair one does not.
    #[test]
    fn an_absurd_reading_is_capped() {
        let rows: Vec<Vec<f64>> = (0..201)
            .map(|i| vec![0.5e-3 + 1e-6 * f64::from(i)])
            .collect();
        let read = |mm: f64| Pull {
            soaked: Span::from_h(2.0),
            hot_after: None,
            depth: Length::from_mm(mm),
            doubt: Length::from_mm(0.04),
            read_to: ReadTo::Total,
        };
        let aim = Length::from_mm(1.0);
        let fair = Reading::of(&rows, &read(0.66), aim);
        assert!(fair.wrong < 0.1 && fair.surprise.abs() < ABSURD);
        assert!(fair.members < 120.0, "{}", fair.members);
        let absurd = Reading::of(&rows, &read(1.9), aim);
        assert!(absurd.surprise > ABSURD && absurd.wrong > 0.99);
        assert!(absurd.members > 200.0, "{}", absurd.members);
    }
}
