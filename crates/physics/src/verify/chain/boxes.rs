//! The box: closed form of the brick, and the heat-up times of the trade inside our band.

use casewright_terms::Span;
use casewright_terms::quantity::ICE_POINT_K;

use crate::law::packed_bed::{BED_FACTOR_HIGH, BED_FACTOR_LOW, Bed};
use crate::model::pack_heat::Brick;
use crate::numerics::fun::exp;
use crate::verify::{Kind, Row};

use super::Check;

pub(super) fn rows() -> Vec<Row> {
    [brick_row(), table_rows()].concat()
}

/// Hours until the middle of a box with walls at 927 °C has made 97 % of the way.
fn hours_to_97(sides_m: [f64; 3], factor: f64) -> f64 {
    let bed = Bed {
        bulk_kg_m3: 300.0,
        grain_m: 0.004,
        steel_share: 0.0,
        factor,
    };
    let (cold_k, wall_k) = (25.0 + ICE_POINT_K, 927.0 + ICE_POINT_K);
    let mut brick = Brick::new(sides_m, &bed, cold_k);
    let step_s = 30.0;
    let mut time_s = 0.0;
    while brick.middle_k() < wall_k - 0.03 * (wall_k - cold_k) && time_s < 1e6 {
        brick.step(wall_k, step_s);
        time_s += step_s;
    }
    Span::from_s(time_s).to_h()
}

/// Narrowest side in mm, low and high hours for a cube and for a brick twice as long.
type Line = (f64, (f64, f64), (f64, f64));

/// The trade's hours to 97 %.
pub(super) const TRADE_HOURS: [Line; 4] = [
    (100.0, (0.6, 1.3), (0.8, 1.8)),
    (150.0, (1.3, 3.0), (1.7, 4.0)),
    (200.0, (2.3, 5.3), (3.0, 7.0)),
    (250.0, (3.5, 8.3), (4.7, 11.0)),
];

fn table_rows() -> Vec<Row> {
    let cells = TRADE_HOURS.into_iter().flat_map(|(side, cube, brick)| {
        let a: f64 = side * 1e-3;
        [("cube", [a, a, a], cube), ("brick 2:1", [a, a, 2.0 * a], brick)].map(|(name, sides, (low, high))| {
            let (fast, slow) = (hours_to_97(sides, BED_FACTOR_HIGH), hours_to_97(sides, BED_FACTOR_LOW));
            let covered = (high.min(slow) - low.max(fast)) / (high - low);
            (
                format!("share of {low} to {high} h for a {name} of {side:.0} mm inside our {fast:.2} to {slow:.2} h"),
                1.0,
                covered.clamp(0.0, 1.0),
            )
        })
    });
    Check {
        id: "heat-box",
        source: "trade-practice",
        unit: "1",
        tolerance: 0.0,
        reason: "our band must contain the trade's",
        kind: Kind::CrossCheck,
    }
    .rows(cells)
}

fn brick_row() -> Vec<Row> {
    let slab = |fo: f64| -> f64 {
        (0..30)
            .map(|n| {
                let l = (f64::from(n) + 0.5) * std::f64::consts::PI;
                (if n % 2 == 0 { 2.0 } else { -2.0 }) / l * exp(-l * l * fo)
            })
            .sum()
    };
    let sides: [f64; 3] = [0.1, 0.15, 0.2];
    let (k, c) = (0.25, 5e5);
    let mut brick = Brick::constant(sides, k, c, 300.0);
    for _ in 0..360 {
        brick.step(1300.0, 10.0);
    }
    let exact: f64 = sides
        .iter()
        .map(|s| slab(k / c * 3600.0 / (s * s / 4.0)))
        .product();
    Check {
        id: "heat-brick",
        source: "carslaw-jaeger-1959",
        unit: "share of the step",
        tolerance: 0.006,
        reason: "six cells to the middle, 10 s steps of first order; 1 % in the time to heat",
        kind: Kind::Identity,
    }
    .rows([(
        "middle of a 100 × 150 × 200 mm brick after 1 h, product of series".to_owned(),
        exact,
        (1300.0 - brick.middle_k()) / 1000.0,
    )])
}
