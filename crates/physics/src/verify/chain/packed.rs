//! The packed box in three dimensions: closed forms, and the heat-up times of the trade.

use crate::model::box_heat::closed::{Brick, hours_to_97, slab_left};
use crate::numerics::fun::{erfc, exp, sqrt};
use crate::setup::{Axis, Solid, SolidForm};
use crate::verify::{Kind, Row};
use casewright_terms::Length;

use super::Check;
use super::boxes::TRADE_HOURS;

pub(super) fn rows() -> Vec<Row> {
    [series(), fourier(), lumped(), half_space(), trade()].concat()
}

/// A value that did not come is no number, and no number is within a tolerance.
fn or_nan<E>(value: Result<f64, E>) -> f64 {
    value.unwrap_or(f64::NAN)
}

fn series() -> Vec<Row> {
    let sides: [f64; 3] = [0.1, 0.14, 0.18];
    let film = 20.0;
    let brick = Brick::plain(sides, 0.004, film);
    let middle = sides.map(|s| s / 2.0);
    Check {
        id: "packed-brick",
        source: "carslaw-jaeger-1959",
        unit: "share of the step",
        tolerance: 1e-3,
        reason: "0.1 % of the step: cells of a twenty-fifth of the side",
        kind: Kind::Identity,
    }
    .rows([1800.0, 3600.0, 7200.0].map(|time_s| {
        let exact: f64 = sides
            .iter()
            .map(|s| slab_left(s / 2.0, film, brick.bed, 0.0, time_s))
            .product();
        (
            format!(
                "middle of a 100 × 140 × 180 mm brick in a film of 20 W/(m²·K) after {:.1} h",
                time_s / 3600.0
            ),
            exact,
            or_nan(brick.left(middle, time_s)),
        )
    }))
}

fn fourier() -> Vec<Row> {
    // A slab: the other faces give nothing. A round: poor steel in a bed that is all one
    // temperature.
    let side = 0.1;
    let mut slab = Brick::plain([side, 0.02, 0.02], side / 41.0, 1e6);
    slab.exposure = [1.0, 1.0, 0.0, 0.0, 0.0, 0.0];
    let middle = [side / 2.0, 0.01, 0.01];
    let fo = |time: f64, brick: (f64, f64), half: f64| brick.0 / brick.1 * time / (half * half);
    let slab_fo = fo(or_nan(slab.time_to_s(middle, 0.03)), slab.bed, side / 2.0);
    let mm = Length::from_mm;
    let round_fo = |cells: f64| {
        let mut round = Brick::plain([0.12, 0.12, 0.01], 0.12 / cells, 1e6);
        ((round.bed, round.steel), round.allowed_k) = (((50.0, 5e2), (0.25, 5e5)), 0.5);
        round.exposure = [1.0, 1.0, 1.0, 1.0, 0.0, 0.0];
        round.solids.push(Solid {
            mark: "round".to_owned(),
            at: [mm(10.0), mm(10.0), mm(0.0)],
            size: [mm(100.0), mm(100.0), mm(10.0)],
            form: SolidForm::Round { about: Axis::Z },
        });
        fo(
            or_nan(round.time_to_s([0.06, 0.06, 0.005], 0.03)),
            round.steel,
            0.05,
        )
    };
    // The cells cut by the outline of a poor conductor in a good one count as the good one, so the
    // round is too thin by part of a cell, whatever its size: carried on to none.
    let (coarse, fine) = (round_fo(30.0), round_fo(60.0));
    #[cfg(test)]
    println!("round {coarse} {fine}");
    let round_fo = 2.0 * fine - coarse;
    Check {
        id: "packed-fourier",
        source: "carslaw-jaeger-1959",
        unit: "1",
        tolerance: 0.02,
        reason: "the values are rounded to 0.01; the outline of a round is of first order and carried on from 30 and 60 cells",
        kind: Kind::Identity,
    }
    .rows([
        ("Fourier number of 97 % in the middle of a slab".to_owned(), 1.52, slab_fo),
        ("Fourier number of 97 % in the middle of a round".to_owned(), 0.69, round_fo),
    ])
}

fn lumped() -> Vec<Row> {
    let mut brick = Brick::plain([0.04, 0.05, 0.06], 0.01, 10.0);
    brick.bed = (400.0, 4e6);
    let (area, volume) = (
        2.0 * (0.04 * 0.05 + 0.05 * 0.06 + 0.06 * 0.04),
        0.04 * 0.05 * 0.06,
    );
    let time_s = 4e6 * volume / (10.0 * area);
    Check {
        id: "packed-lumped",
        source: "carslaw-jaeger-1959",
        unit: "share of the step",
        tolerance: 5e-4,
        reason: "Biot number 5e-4: the body's own fall of temperature is of that order",
        kind: Kind::Identity,
    }
    .rows([(
        "a small block of high conductivity after one time constant".to_owned(),
        exp(-1.0),
        or_nan(brick.left([0.02, 0.025, 0.03], time_s)),
    )])
}

fn half_space() -> Vec<Row> {
    let film = 20.0;
    let mut brick = Brick::plain([0.4, 0.02, 0.02], 0.0025, film);
    brick.exposure = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    let (k, c) = brick.bed;
    let a = k / c;
    Check {
        id: "packed-half-space",
        source: "carslaw-jaeger-1959",
        unit: "share of the step",
        tolerance: 1e-3,
        reason: "0.1 % of the step: cells of a fortieth of the depth reached",
        kind: Kind::Identity,
    }
    .rows([0.02, 0.05].map(|x: f64| {
        let t = 3600.0;
        let spread = 2.0 * sqrt(a * t);
        let gone = erfc(x / spread)
            - exp(film * x / k + film * film * a * t / (k * k))
                * erfc(x / spread + film * sqrt(a * t) / k);
        (
            format!(
                "{:.0} mm below one face in a film of 20 W/(m²·K) after 1 h",
                x * 1e3
            ),
            1.0 - gone,
            or_nan(brick.left([x, 0.01, 0.01], t)),
        )
    }))
}

fn trade() -> Vec<Row> {
    let cells = TRADE_HOURS.into_iter().flat_map(|(side, cube, brick)| {
        let a: f64 = side * 1e-3;
        [("cube", [a, a, a], cube), ("brick 2:1", [a, a, 2.0 * a], brick)].map(
            |(name, sides, (low, high))| {
                let (fast, slow) = (or_nan(hours_to_97(sides, false)), or_nan(hours_to_97(sides, true)));
                let covered = (f64::min(high, slow) - f64::max(low, fast)) / (high - low);
                // `min` and `max` pass over what is no number; a sum does not.
                let known = (fast + slow) * 0.0;
                (
                    format!("share of {low} to {high} h for a {name} of {side:.0} mm inside our {fast:.2} to {slow:.2} h"),
                    1.0,
                    covered.clamp(0.0, 1.0) + known,
                )
            },
        )
    });
    Check {
        id: "packed-box",
        source: "trade-practice",
        unit: "1",
        tolerance: 0.0,
        reason: "our band must contain the trade's",
        kind: Kind::CrossCheck,
    }
    .rows(cells)
}
