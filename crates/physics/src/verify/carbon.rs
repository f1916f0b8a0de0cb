//! Accuracy rows of the carbon laws and of the carbon engine.
//!
//! The engine rows run the engine; nothing here is stored from our own earlier results.

use casewright_terms::{
    Composition, Diffusivity, Length, SourceKey, Span, Temperature, TemperatureStep,
    TransferCoefficient, WeightPercent,
};

use super::{Kind, Row};
use crate::law::carbon_activity::{collin_1972, gustafson_1985};
use crate::law::case_depth_rules::harris_depth;
use crate::law::diffusivity::{agren_1986, held_surface_carbon, held_surface_time, tibbetts_1980};
use crate::law::gas_equilibrium::Boudouard;
use crate::law::potential::gunnarson_1967;
use crate::law::saturation::{acm_by_fit, cementite_limit, graphite_limit};
use crate::run::CarbonRun;
use crate::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use crate::simulate;

/// All rows of this part.
#[must_use]
pub fn rows() -> Vec<Row> {
    [
        error_function(),
        diffusivity(),
        activity(),
        saturation(),
        gas(),
        harris(),
        profiles(),
        engine(),
        trade(),
        alloy_pack(),
    ]
    .concat()
}

fn w(wt_pct: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(wt_pct)
}

/// A validation row; change the kind where it is another.
fn row(
    id: String,
    what: String,
    source: SourceKey,
    values: (f64, f64, &'static str),
    tolerance: (f64, &'static str),
) -> Row {
    super::row(id, what, source, Kind::Validation, values, tolerance)
}

/// Textbook examples T1 to T6: (core, surface, wanted or `None`, depth mm, D).
fn error_function() -> Vec<Row> {
    let mut rows = Vec::new();
    let time = |core, surface, wanted, mm, d: f64| {
        let (depth, d) = (Length::from_mm(mm), Diffusivity::from_m2_s(d));
        held_surface_time(w(core), w(surface), w(wanted), depth, d).map_or(0.0, Span::to_h)
    };
    let carbon = |core, surface, mm, d: f64, h| {
        let (depth, d) = (Length::from_mm(mm), Diffusivity::from_m2_s(d));
        held_surface_carbon(w(core), w(surface), depth, d, Span::from_h(h)).to_wt_pct()
    };
    let cut = "half a unit of the last printed figure";
    rows.push(row(
        "erf-1".into(),
        "time to 0.40 wt% at 0.50 mm, 0.90 on 0.20 wt%, D 1.28e-11".into(),
        "smith-2006",
        (8569.0 / 3600.0, time(0.2, 0.9, 0.4, 0.5, 1.28e-11), "h"),
        (0.5 / 3600.0 + 1e-4, cut),
    ));
    rows.push(row(
        "erf-2".into(),
        "carbon at 0.50 mm after 5 h, else as erf-1".into(),
        "smith-2006",
        (0.52, carbon(0.2, 0.9, 0.5, 1.28e-11, 5.0), "wt%"),
        (0.005, cut),
    ));
    rows.push(row(
        "erf-3".into(),
        "time to 0.80 wt% at 0.5 mm, 1.20 on 0.25 wt%, D 1.6e-11".into(),
        "callister-2007",
        (25_400.0 / 3600.0, time(0.25, 1.2, 0.8, 0.5, 1.6e-11), "h"),
        (50.0 / 3600.0, "half a unit of the last figure of 25 400 s"),
    ));
    for (c, low, high) in [
        (900.0, 29.3, 29.6),
        (950.0, 15.8, 15.9),
        (1000.0, 8.9, 9.0),
        (1050.0, 5.2, 5.3),
    ] {
        // The book rounds to whole kelvins.
        let t_k = c + 273.0;
        let d = 2.3e-5 * crate::numerics::fun::exp(-148_000.0 / (8.31 * t_k));
        rows.push(row(
            format!("erf-4-{c:.0}"),
            format!("time to 0.60 wt% at 0.75 mm, 1.00 on 0.20 wt%, {c:.0} °C"),
            "callister-2007",
            (0.5 * (low + high), time(0.2, 1.0, 0.6, 0.75, d), "h"),
            (
                0.5 * (high - low) + 0.05,
                "the book reads its table of z coarsely: the printed range, and half a unit",
            ),
        ));
    }
    rows.push(row(
        "erf-5".into(),
        "carbon at 0.040 in after 7 h, 1.15 on 0.20 wt%, D 1.28e-11".into(),
        "smith-2006",
        (0.396, carbon(0.2, 1.15, 1.016, 1.28e-11, 7.0), "wt%"),
        (5e-4, cut),
    ));
    rows.push(row(
        "erf-6".into(),
        "time to 0.35 wt% at 1.00 mm, 1.20 on 0.18 wt%, D 1.28e-11".into(),
        "smith-2006",
        (5.67, time(0.18, 1.2, 0.35, 1.0, 1.28e-11), "h"),
        (0.005, cut),
    ));
    rows
}

/// The two fits against each other: how far one opinion is from the other.
fn diffusivity() -> Vec<Row> {
    let mut rows = Vec::new();
    for t in [1150.0, 1200.0, 1250.0, 1300.0] {
        for c in [0.1, 0.5, 1.0] {
            let k = Temperature::from_k(t);
            let (ours, other) = (agren_1986(k, w(c)).value, tibbetts_1980(k, w(c)).value);
            let mut one = row(
                format!("diffusivity-{t:.0}-{c}"),
                format!("Tibbetts beside Ågren, {t:.0} K, {c} wt%"),
                "tibbetts-1980",
                (other.to_m2_s() * 1e12, ours.to_m2_s() * 1e12, "µm²/s"),
                (
                    0.17 * other.to_m2_s() * 1e12,
                    "two fits of the same kind of data: up to 17 % apart at 1 wt% when cold",
                ),
            );
            one.kind = Kind::CrossCheck;
            rows.push(one);
        }
    }
    rows
}

fn activity() -> Vec<Row> {
    let t = Temperature::from_k(1200.15);
    let carbon = [0.1, 0.2, 0.4, 0.6, 0.8, 1.0, 1.2];
    let sublattice = [0.0508, 0.1055, 0.2279, 0.3691, 0.5317, 0.7184, 0.9321];
    let practical = [0.0527, 0.1090, 0.2336, 0.3755, 0.5364, 0.7185, 0.9239];
    let mut rows = Vec::new();
    for ((c, a), b) in carbon.into_iter().zip(sublattice).zip(practical) {
        rows.push(row(
            format!("activity-gustafson-{c}"),
            format!("carbon activity at 927 °C, {c} wt%"),
            "gustafson-1985",
            (a, gustafson_1985(t, w(c)).value, "1"),
            (6e-5, "half a unit of the fourth decimal"),
        ));
        rows.push(row(
            format!("activity-collin-{c}"),
            format!("practical form at 927 °C, {c} wt%"),
            "collin-1972",
            (b, collin_1972(t, w(c)).value, "1"),
            (6e-5, "half a unit of the fourth decimal"),
        ));
    }
    for (c, wt, a) in [
        (800.0, 0.2, 0.17614),
        (800.0, 0.5, 0.49971),
        (800.0, 1.0, 1.23656),
    ] {
        rows.push(row(
            format!("activity-database-{wt}"),
            format!("carbon activity at {c:.0} °C, {wt} wt%, computed from an open database"),
            "equilibrium-run",
            (a, gustafson_1985(Temperature::from_c(c), w(wt)).value, "1"),
            (
                3e-4 * a,
                "R is 8.314 in one and 8.31446 in the other: 1.7e-4 relative",
            ),
        ));
    }
    rows
}

/// °C, graphite and cementite limits of the hand table, cementite limit of the open database.
const LINES: [(f64, f64, f64, Option<f64>); 11] = [
    (727.0, 0.651, 0.762, None),
    (750.0, 0.715, 0.819, Some(0.8197)),
    (800.0, 0.859, 0.949, Some(0.9483)),
    (850.0, 1.011, 1.085, Some(1.0840)),
    (880.0, 1.106, 1.170, Some(1.1688)),
    (900.0, 1.170, 1.228, Some(1.2267)),
    (925.0, 1.252, 1.302, None),
    (950.0, 1.334, 1.378, None),
    (1000.0, 1.502, 1.535, Some(1.5346)),
    (1050.0, 1.672, 1.701, Some(1.7006)),
    (1100.0, 1.844, 1.875, Some(1.8759)),
];

fn saturation() -> Vec<Row> {
    let mut rows = Vec::new();
    for (c, graphite, cementite, database) in LINES {
        let t = Temperature::from_c(c);
        let limit = cementite_limit(t).value.to_wt_pct();
        rows.push(row(
            format!("saturation-graphite-{c:.0}"),
            format!("austenite beside graphite at {c:.0} °C"),
            "gustafson-1985",
            (graphite, graphite_limit(t).value.to_wt_pct(), "wt%"),
            (6e-4, "half a unit of the third decimal"),
        ));
        rows.push(row(
            format!("saturation-cementite-{c:.0}"),
            format!("austenite beside cementite at {c:.0} °C"),
            "gustafson-1985",
            (cementite, limit, "wt%"),
            (
                1.5e-3,
                "third decimal, and the table's own rounding of the steps between",
            ),
        ));
        if let Some(value) = database {
            rows.push(row(
                format!("saturation-database-{c:.0}"),
                format!("austenite beside cementite at {c:.0} °C, from an open database"),
                "equilibrium-run",
                (value, limit, "wt%"),
                (
                    2e-3,
                    "the database takes a newer cementite than Gustafson's",
                ),
            ));
        }
    }
    rows.push(row(
        "saturation-eutectoid".into(),
        "carbon of austenite at the eutectoid, 727 °C".into(),
        "handbook-fe-c",
        (
            0.765,
            cementite_limit(Temperature::from_c(727.0))
                .value
                .to_wt_pct(),
            "wt%",
        ),
        (0.008, "handbooks give 0.76 to 0.77"),
    ));
    let plain = Composition::plain(w(0.2));
    for (c, celsius) in [
        (0.8, 742.11),
        (0.9, 781.54),
        (1.0, 819.35),
        (1.2, 890.82),
        (1.5, 989.26),
    ] {
        let ours = acm_by_fit(w(c), &plain).map_or(0.0, |t| t.value.to_c());
        rows.push(row(
            format!("saturation-acm-{c}"),
            format!("temperature at which the last cementite of {c} wt% dissolves"),
            "equilibrium-run",
            (celsius, ours, "°C"),
            (1.0, "0.002 wt% of the newer cementite is 0.7 K"),
        ));
    }
    rows.extend(alloy_acm());
    rows
}

/// The old fitted rise for alloy steels beside the database, at 0.8 wt%, away from where it was
/// fitted: a cross-check of the equilibrium, which the engine uses.
fn alloy_acm() -> Vec<Row> {
    use casewright_terms::Element::{Cr, Mn, Mo, Ni, Si};
    let manganese_silicon = [(Mn, 0.75), (Si, 0.22)].as_slice();
    let triple = [(Mn, 0.80), (Si, 0.25), (Cr, 0.50), (Ni, 0.55), (Mo, 0.20)].as_slice();
    let chromium = [(Mn, 0.80), (Si, 0.25), (Cr, 0.80)].as_slice();
    let steels = [
        ("1018", manganese_silicon, 750.82),
        ("8620", triple, 784.90),
        ("5120", chromium, 797.00),
    ];
    let mut rows = Vec::new();
    for (name, contents, database_c) in steels {
        let contents: Vec<_> = contents.iter().map(|(e, v)| (*e, w(*v))).collect();
        let Ok(steel) = Composition::new(&contents) else {
            continue;
        };
        let ours = acm_by_fit(w(0.8), &steel).map_or(0.0, |t| t.value.to_c());
        let mut one = row(
            format!("alloy-acm-{name}"),
            format!("{name} with 0.8 wt% carbon: last cementite dissolves"),
            "equilibrium-run",
            (database_c, ours, "°C"),
            (
                14.0,
                "a constant rise fitted at 1.0 wt% to three steels; the databases differ by 9 to 22 K",
            ),
        );
        one.kind = Kind::CrossCheck;
        rows.push(one);
        if name == "8620" {
            rows.push(row(
                "alloy-factor-8620".into(),
                "carbon of 8620 over carbon of iron in the same medium".into(),
                "gunnarson-1967",
                (1.027, gunnarson_1967(&steel).value, "1"),
                (6e-4, "half a unit of the third decimal"),
            ));
        }
    }
    rows
}

fn gas() -> Vec<Row> {
    let mut rows = Vec::new();
    for (t, values) in [
        (1000.0, [1.79, 1.58, 1.73]),
        (1100.0, [11.4, 10.2, 11.1]),
        (1200.0, [52.9, 48.4, 51.9]),
    ] {
        for (which, key, k) in [
            (Boudouard::Harvey1980, "harvey-1980", values[0]),
            (Boudouard::Gaskell2003, "gaskell-2003", values[1]),
            (Boudouard::Janaf1985, "janaf-1985", values[2]),
        ] {
            let ours = which.constant(Temperature::from_k(t)).value;
            rows.push(row(
                format!("boudouard-{key}-{t:.0}"),
                format!("K of C + CO2 = 2 CO at {t:.0} K"),
                key,
                (k, ours, "atm"),
                (6e-3 * k, "three printed figures"),
            ));
        }
    }
    rows
}

/// Hours, then the depths in inches at the temperatures below. [harris-1943]
const HARRIS: [(f64, [f64; 7]); 7] = [
    (1.0, [0.012, 0.015, 0.018, 0.021, 0.025, 0.029, 0.034]),
    (2.0, [0.017, 0.021, 0.025, 0.030, 0.035, 0.041, 0.048]),
    (4.0, [0.024, 0.029, 0.035, 0.042, 0.050, 0.059, 0.069]),
    (8.0, [0.034, 0.041, 0.050, 0.060, 0.071, 0.083, 0.097]),
    (12.0, [0.042, 0.051, 0.061, 0.073, 0.087, 0.102, 0.119]),
    (16.0, [0.048, 0.059, 0.071, 0.084, 0.100, 0.117, 0.137]),
    (24.0, [0.059, 0.072, 0.086, 0.103, 0.122, 0.144, 0.168]),
];
const HARRIS_F: [f64; 7] = [1500.0, 1550.0, 1600.0, 1650.0, 1700.0, 1750.0, 1800.0];
/// The cells that only some copies print: °F, hours, inches.
const HARRIS_MORE: [(f64, f64, f64); 8] = [
    (1400.0, 1.0, 0.008),
    (1400.0, 4.0, 0.016),
    (1400.0, 8.0, 0.022),
    (1450.0, 1.0, 0.010),
    (1450.0, 4.0, 0.020),
    (1450.0, 8.0, 0.028),
    (1850.0, 1.0, 0.040),
    (1850.0, 4.0, 0.079),
];

fn harris() -> Vec<Row> {
    let table = HARRIS
        .iter()
        .flat_map(|(h, depths)| HARRIS_F.iter().zip(depths).map(|(f, d)| (*f, *h, *d)));
    let last = (1850.0, 8.0, 0.112);
    table
        .chain(HARRIS_MORE)
        .chain([last])
        .map(|(f, h, inches)| {
            let ours = harris_depth(Temperature::from_f(f), Span::from_h(h))
                .value
                .to_in();
            row(
                format!("harris-{f:.0}-{h:.0}"),
                format!("total case depth, {f:.0} °F, {h:.0} h, saturated surface"),
                "harris-1943",
                (inches, ours, "in"),
                (1e-3, "printed to 0.001 in, and copies round to either side"),
            )
        })
        .collect()
}

fn setup(shape: Shape, core: f64, surface: Surface, celsius: f64, hours: f64) -> CarbonSetup {
    let t = Temperature::from_c(celsius);
    CarbonSetup {
        composition: Composition::plain(w(core)),
        shape,
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle {
            pieces: vec![Ramp {
                from: t,
                to: t,
                duration: Span::from_h(hours),
            }],
        },
        tolerance: w(1e-4),
        saturation_shift: TemperatureStep::ZERO,
    }
}

fn plate() -> Shape {
    Shape::Plate {
        half_thickness: Length::from_mm(10.0),
    }
}

fn fed(potential: f64, beta_m_s: f64) -> Surface {
    Surface::Transfer {
        potential: w(potential),
        coefficient: TransferCoefficient::from_m_s(beta_m_s),
        above: Temperature::from_c(800.0),
    }
}

/// What a failed run shows as: no number of wt% or mm is near it.
const FAILED: f64 = -1e9;

fn at(run: Option<&CarbonRun>, mm: f64) -> f64 {
    run.map_or(FAILED, |r| r.at(&[Length::from_mm(mm)])[0].to_wt_pct())
}

fn depth(run: Option<&CarbonRun>, carbon: f64) -> f64 {
    run.and_then(|r| r.depth_to_carbon(w(carbon)))
        .map_or(FAILED, Length::to_mm)
}

/// mm, then fixed plate, fed plate, fixed cylinder in wt%.
const POINTS: [(f64, [f64; 3]); 7] = [
    (0.0, [1.200000, 1.012869, 1.200000]),
    (0.2, [1.090943, 0.902848, 1.097568]),
    (0.5, [0.908944, 0.726112, 0.923883]),
    (1.0, [0.583783, 0.442476, 0.604681]),
    (1.5, [0.325640, 0.259834, 0.339440]),
    (2.0, [0.211150, 0.194965, 0.215440]),
    (2.6, [0.182661, 0.181150, 0.183149]),
];
/// Depths in mm to 0.40 and 0.22 wt%.
const DEPTHS: [[f64; 2]; 3] = [[1.32637, 1.92881], [1.08951, 1.72323], [1.36185, 1.96519]];

/// 8 h at 927 °C, 0.18 wt%, 10 mm, against an independent integrator.
fn profiles() -> Vec<Row> {
    let held = Surface::Fixed { carbon: w(1.2) };
    let round = Shape::Cylinder {
        radius: Length::from_mm(10.0),
    };
    let cases = [
        (
            "fixed-plate",
            setup(plate(), 0.18, held.clone(), 927.0, 8.0),
        ),
        (
            "fed-plate",
            setup(plate(), 0.18, fed(1.10, 1.5e-7), 927.0, 8.0),
        ),
        ("fixed-cylinder", setup(round, 0.18, held, 927.0, 8.0)),
    ];
    let mut rows = Vec::new();
    for (k, (name, case)) in cases.iter().enumerate() {
        let run = simulate::carbon(case).ok();
        for (mm, carbon) in POINTS {
            rows.push(row(
                format!("profile-{name}-{mm}"),
                format!("carbon at {mm} mm, 8 h at 927 °C, {name}"),
                "radau-run",
                (carbon[k], at(run.as_ref(), mm), "wt%"),
                (1e-4, "the tolerance the engine was asked for"),
            ));
        }
        for (limit, mm) in [0.40, 0.22].into_iter().zip(DEPTHS[k]) {
            rows.push(row(
                format!("profile-{name}-depth-{limit}"),
                format!("depth to {limit} wt%, 8 h at 927 °C, {name}"),
                "radau-run",
                (mm, depth(run.as_ref(), limit), "mm"),
                (1e-3, "1e-4 wt% over the slope there, 0.15 wt% per mm"),
            ));
        }
    }
    rows
}

fn engine() -> Vec<Row> {
    let mut rows = Vec::new();
    // 927 °C, 4 h, held at 1.308 on 0.20 wt%, from an explicit run with 10 µm cells.
    let four = simulate::carbon(&setup(
        plate(),
        0.20,
        Surface::Fixed { carbon: w(1.308) },
        927.0,
        4.0,
    ))
    .ok();
    for (mm, carbon) in [
        (0.1, 1.230),
        (0.2, 1.146),
        (0.3, 1.058),
        (0.4, 0.964),
        (0.5, 0.868),
        (0.6, 0.770),
        (0.8, 0.579),
        (1.0, 0.417),
        (1.2, 0.305),
        (1.5, 0.226),
        (2.0, 0.201),
    ] {
        rows.push(row(
            format!("explicit-{mm}"),
            format!("carbon at {mm} mm, 4 h at 927 °C, 1.308 held on 0.20 wt%"),
            "explicit-run",
            (carbon, at(four.as_ref(), mm), "wt%"),
            (
                5e-3,
                "read off cells of 10 µm: half a cell on a slope of 1 wt% per mm; the finer \
                 profiles above are the sharper check",
            ),
        ));
    }
    // Surface-limited: β = 1e-7 m/s, potential at the cementite line.
    for (h, surface, mm) in [
        (1.0, 0.935, 0.387),
        (4.0, 1.087, 0.895),
        (8.0, 1.144, 1.333),
    ] {
        let run = simulate::carbon(&setup(plate(), 0.20, fed(1.308, 1e-7), 927.0, h)).ok();
        rows.push(row(
            format!("limited-surface-{h:.0}"),
            format!("surface carbon after {h:.0} h at 927 °C, β 1e-7 m/s from 1.308 wt%"),
            "explicit-run",
            (surface, at(run.as_ref(), 0.0), "wt%"),
            (
                6e-3,
                "the surface of a cell-centred explicit run is read half a cell, 5 µm, inside",
            ),
        ));
        rows.push(row(
            format!("limited-depth-{h:.0}"),
            format!("depth to 0.35 wt% after {h:.0} h, else the same"),
            "explicit-run",
            (mm, depth(run.as_ref(), 0.35), "mm"),
            (0.006, "half a cell of 10 µm, and the third decimal"),
        ));
    }
    let run = simulate::carbon(&setup(plate(), 0.18, fed(1.10, 1.5e-7), 927.0, 8.0)).ok();
    let mut balance = row(
        "balance-fed-plate".into(),
        "uptake through the surface against gain inside, relative".into(),
        "identity",
        (0.0, run.map_or(FAILED, |r| r.balance_error), "1"),
        (1e-12, "rounding over a hundred nodes and tens of steps"),
    );
    balance.kind = Kind::Identity;
    rows.push(balance);
    rows
}

fn trade() -> Vec<Row> {
    let pack = Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-7),
        begins: Temperature::from_f(1340.0),
        full: Temperature::from_f(1430.0),
    };
    let c = Temperature::from_f(1700.0).to_c();
    let run = simulate::carbon(&setup(plate(), 0.18, pack, c, 8.0)).ok();
    let mut one = row(
        "trade-sixteenth".into(),
        "total depth (core + 0.04 wt%) after 8 h at 1700 °F in charcoal".into(),
        "trade-practice",
        (1.0 / 16.0, depth(run.as_ref(), 0.22) / 25.4, "in"),
        (
            0.25 / 16.0,
            "a rule of thumb told in sixteenths: a quarter of one either way",
        ),
    );
    one.kind = Kind::CrossCheck;
    vec![one]
}

/// Most carbon of 8620 and 5120 in charcoal at 927 °C, and the balance where carbide forms. The two
/// databases' carbide lines go through Acm at 0.8, 1.0 and 1.2 wt% (`calphad-2026`); a parabola
/// carries them the 3 to 20 K on to 927 °C.
fn alloy_pack() -> Vec<Row> {
    // Lagrange's inverse: the carbon at which the line passes 927 °C.
    let at_927 = |acm: [f64; 3]| {
        let [a, b, c] = acm.map(|t| t - 927.0);
        0.8 * b * c / ((a - b) * (a - c))
            + a * c / ((b - a) * (b - c))
            + 1.2 * a * b / ((c - a) * (c - b))
    };
    let pack = Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-5),
        begins: Temperature::from_c(727.0),
        full: Temperature::from_c(760.0),
    };
    let mut rows = Vec::new();
    for (name, first, second) in [
        ("8620", [784.90, 852.91, 917.21], [780.79, 841.56, 907.89]),
        ("5120", [797.00, 861.90, 923.81], [776.88, 846.45, 911.67]),
    ] {
        let steel = super::equilibrium::reference_steel(name, 0.2);
        let mut fast = setup(plate(), 0.2, pack.clone(), 927.0, 8.0);
        fast.composition = steel;
        let run = simulate::carbon(&fast).ok();
        let (low, high) = (at_927(first), at_927(second));
        rows.push(row(
            format!("pack-limit-{name}"),
            format!("surface carbon of {name} in charcoal with fast transfer, 8 h at 927 °C"),
            "calphad-2026",
            (0.5 * (low + high), at(run.as_ref(), 0.0), "wt%"),
            (
                0.5 * (high - low) + 0.005,
                "half the distance of the two databases; 0.005 wt% is what the surface still lacks \
                 and what the metals' ratios, kept instead of their contents, change",
            ),
        ));
        fast.cycle.pieces.push(Ramp {
            from: Temperature::from_c(927.0),
            to: Temperature::from_c(740.0),
            duration: Span::from_h(3.0),
        });
        let run = simulate::carbon(&fast).ok();
        let mut balance = row(
            format!("balance-carbide-{name}"),
            format!("{name} cooled in 3 h to 740 °C, carbide forming: uptake against gain"),
            "identity",
            (0.0, run.map_or(FAILED, |r| r.balance_error), "1"),
            (1e-12, "rounding over a hundred nodes and tens of steps"),
        );
        balance.kind = Kind::Identity;
        rows.push(balance);
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_within_its_tolerance_and_named_once() {
        let rows = rows();
        let bad: Vec<String> = rows
            .iter()
            .filter(|r| !r.ok())
            .map(|r| format!("{}: {} for {} {}", r.id, r.computed, r.published, r.unit))
            .collect();
        assert!(
            bad.is_empty(),
            "{} of {}:\n{}",
            bad.len(),
            rows.len(),
            bad.join("\n")
        );
        let mut ids: Vec<&str> = rows.iter().map(|r| r.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), rows.len());
        assert!(
            rows.iter()
                .all(|r| !r.reason.is_empty() && !r.source.is_empty())
        );
    }
}
