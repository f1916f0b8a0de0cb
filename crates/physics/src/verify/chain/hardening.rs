//! The chain's anchors: what single jobs of the trade and of the literature must come out as.

use casewright_terms::{
    Composition, Length, Span, Temperature, TemperatureStep, TransferCoefficient, Vickers,
    WeightPercent,
};

use crate::law::austenite_grain::{astm_number, unpinned};
use crate::law::hardness_conversion::hrc_of;
use crate::law::quench_transfer::bath_rise;
use crate::law::retained_austenite::left_by_temper;
use crate::model::chain::{harden, run_chain};
use crate::model::quench::quench;
use crate::run::{CarbonRun, ChainRun, StressSign};
use crate::setup::{
    Austenitise, CarbonSetup, ChainSetup, Cycle, DiffusivityModel, QuenchSetup, Quenchant, Ramp,
    Shape, Stirring, Surface, Temper,
};
use crate::verify::laws::nominal;
use crate::verify::{Kind, Row};

use super::Check;

pub(super) fn rows() -> Vec<Row> {
    [
        plain_rows(),
        alloy_rows(),
        austenite_rows(),
        after_rows(),
        identity_rows(),
        bath_rows(),
    ]
    .concat()
}

fn round(diameter_mm: f64) -> Shape {
    Shape::Cylinder {
        radius: Length::from_mm(diameter_mm / 2.0),
    }
}

fn plate(thickness_mm: f64) -> Shape {
    Shape::Plate {
        half_thickness: Length::from_mm(thickness_mm / 2.0),
    }
}

fn bath(quenchant: Quenchant, stirring: Stirring, bath_c: f64) -> QuenchSetup {
    QuenchSetup {
        quenchant,
        stirring,
        bath: Temperature::from_c(bath_c),
        transfer: Span::from_s(3.0),
        severity_factor: 1.0,
    }
}

fn water() -> QuenchSetup {
    bath(Quenchant::Water, Stirring::Good, 20.0)
}

/// Six hours at 927 °C in a pack, a protected reheat, a quench, 1 h at 204 °C, grain 8.
fn job(steel: Composition, shape: Shape, quench: QuenchSetup, reheat_c: f64) -> ChainSetup {
    let hot = Temperature::from_c(927.0);
    ChainSetup {
        carbon: CarbonSetup {
            composition: steel,
            shape,
            diffusivity: DiffusivityModel::Agren1986,
            diffusivity_factor: 1.0,
            surface: Surface::Pack {
                coefficient: TransferCoefficient::from_m_s(1e-7),
                begins: Temperature::from_c(700.0),
                full: Temperature::from_c(760.0),
            },
            cycle: Cycle {
                pieces: vec![Ramp {
                    from: hot,
                    to: hot,
                    duration: Span::from_h(6.0),
                }],
            },
            tolerance: WeightPercent::from_wt_pct(1e-4),
            saturation_shift: TemperatureStep::ZERO,
        },
        reheats: vec![Austenitise {
            temperature: Temperature::from_c(reheat_c),
            soak: Span::from_min(15.0),
            bare: false,
        }],
        direct_from: None,
        quench,
        temper: Some(Temper {
            temperature: Temperature::from_c(204.0),
            soak: Span::from_h(1.0),
        }),
        grain_number: 8.0,
        quench_shape: shape,
        kinetics_factor: 1.0,
        hardness_shift: 0.0,
        ae3_shift: TemperatureStep::ZERO,
    }
}

/// A profile given outright.
fn flat(points: &[(f64, f64)]) -> CarbonRun {
    CarbonRun {
        depth_m: points.iter().map(|p| Length::from_mm(p.0).to_m()).collect(),
        carbon_wt_pct: points.iter().map(|p| p.1).collect(),
        carbide_wt_pct: vec![0.0; points.len()],
        uptake_g_m2: 0.0,
        balance_error: 0.0,
        steps: 0,
        refused: 0,
        remarks: Vec::new(),
        sources: Vec::new(),
    }
}

/// HRC, 0 where it is no reading.
fn hrc(hv: f64) -> f64 {
    hrc_of(Vickers::from_hv(hv)).unwrap_or(0.0)
}

fn quenched(run: &ChainRun) -> f64 {
    hrc(run.layers.quenched_hv[0])
}

fn core(run: &ChainRun) -> f64 {
    hrc(run.layers.core().to_hv())
}

fn practice(id: &'static str, unit: &'static str, tolerance: f64, reason: &'static str) -> Check {
    Check {
        id,
        source: "trade-practice",
        unit,
        tolerance,
        reason,
        kind: Kind::CrossCheck,
    }
}

/// A failed run shows as a value no tolerance accepts.
fn value(setup: &ChainSetup, f: impl Fn(&ChainRun) -> f64) -> f64 {
    run_chain(setup).map_or(f64::MAX, |run| f(&run))
}

fn plain_rows() -> Vec<Row> {
    let steel = nominal("1018");
    let jobs = [("12 mm plate", plate(12.0)), ("12 mm round", round(12.0))];
    let mut rows = practice(
        "case-plain-quenched",
        "HRC",
        2.0,
        "the trade's range is 62 to 66 HRC",
    )
    .rows(jobs.map(|(name, shape)| {
        let setup = job(steel, shape, water(), 788.0);
        (
            format!("1018 {name}, 788 °C into stirred water, surface as quenched"),
            64.0,
            value(&setup, quenched),
        )
    }));
    rows.extend(
        practice(
            "case-plain-temper",
            "HRC",
            1.5,
            "the trade's range is 2 to 5 HRC",
        )
        .rows(jobs.map(|(name, shape)| {
            let setup = job(steel, shape, water(), 788.0);
            let loss = value(&setup, |run| quenched(run) - hrc(run.layers.hardness_hv[0]));
            (format!("1018 {name}, lost in 1 h at 204 °C"), 3.5, loss)
        })),
    );
    rows.extend(
        practice(
            "core-plain",
            "HV",
            118.0,
            "the trade's range is 15 to 45 HRC by size: 210 to 446 HV, as below 20 HRC is no reading",
        )
        .rows(jobs.map(|(name, shape)| {
            let setup = job(steel, shape, water(), 788.0);
            let core_hv = value(&setup, |run| run.layers.core().to_hv());
            (format!("1018 {name}, core"), 328.0, core_hv)
        })),
    );
    let oil = job(
        steel,
        plate(25.0),
        bath(Quenchant::SlowOil, Stirring::Still, 60.0),
        788.0,
    );
    rows.extend(
        practice(
            "case-plain-oil",
            "HRC",
            13.0,
            "well under the 62 of water: anything to 50 HRC is a missed case",
        )
        .rows([(
            "1018 25 mm plate, 788 °C into still oil, surface as quenched".to_owned(),
            37.0,
            value(&oil, quenched),
        )]),
    );
    rows
}

fn alloy_rows() -> Vec<Row> {
    let oil = bath(Quenchant::FastOil, Stirring::Good, 60.0);
    let jobs = [788.0, 843.0].map(|t| (t, job(nominal("8620"), round(19.05), oil, t)));
    let mut rows = practice("core-8620", "HRC", 7.5, "the trade's range is 25 to 40 HRC").rows(
        jobs.clone().map(|(t, setup)| {
            (
                format!("8620 19 mm round, {t:.0} °C into fast oil, core"),
                32.5,
                value(&setup, core),
            )
        }),
    );
    rows.extend(
        practice(
            "case-8620",
            "HRC",
            3.5,
            "single-quenched 8620 cases read 58 to 65 HRC",
        )
        .rows(jobs.map(|(t, setup)| {
            (
                format!("8620 19 mm round, {t:.0} °C into fast oil, surface as quenched"),
                61.5,
                value(&setup, quenched),
            )
        })),
    );
    rows
}

fn austenite_rows() -> Vec<Row> {
    let oil = bath(Quenchant::FastOil, Stirring::Good, 60.0);
    let mut setup = job(nominal("4320"), round(25.0), oil, 870.0);
    // Whether the measured part was tempered is not known; a temper takes an eighth of it.
    setup.temper = None;
    let profile = flat(&[(0.0, 1.0), (0.5, 0.9), (1.5, 0.2), (12.5, 0.2)]);
    let left =
        harden(&profile, &setup).map_or(f64::MAX, |run| 100.0 * run.layers.retained_austenite[0]);
    let mut rows = Check {
        id: "austenite-4320",
        source: "retained-austenite-4320",
        unit: "%",
        tolerance: 6.0,
        reason: "measured maximum of one case of about 1.0 % C; carbon known to 0.05 % moves it by 4",
        kind: Kind::Validation,
    }
    .rows([("4320 with 1.0 % C, retained austenite at the surface".to_owned(), 26.0, left)]);
    let profile = flat(&[(0.0, 1.2), (0.5, 1.0), (1.5, 0.18), (6.0, 0.18)]);
    let reheat = job(nominal("1018"), round(12.0), water(), 788.0);
    let mut direct = reheat.clone();
    direct.reheats.clear();
    direct.direct_from = Some(Temperature::from_c(927.0));
    let left =
        |setup| harden(&profile, setup).map_or(f64::MAX, |run| run.layers.retained_austenite[0]);
    rows.extend(
        practice("austenite-direct", "1", 1.5, "direct quenching leaves much more: a factor of 1.5 to 4").rows([(
            "1018 with 1.2 % C: austenite of a direct quench from 927 °C over that of a reheat at 788 °C".to_owned(),
            2.5,
            left(&direct) / left(&reheat),
        )]),
    );
    rows
}

/// What a temper leaves of the austenite, which way the skin is pulled, what grain a box leaves.
fn after_rows() -> Vec<Row> {
    let left = |celsius: f64, hours: f64| {
        let time = Span::from_h(hours);
        100.0
            * left_by_temper(Temperature::from_c(celsius), time)
                .value
                .to_ratio()
    };
    let mut rows = Check {
        id: "austenite-temper",
        source: "case-temper-anchors",
        unit: "%",
        tolerance: 12.0,
        reason: "X-rays tell 3 points in a case of 25 %, an eighth; the trade's words give no more",
        kind: Kind::CrossCheck,
    }
    .rows(
        [(180.0, 2.0, 100.0), (204.0, 1.0, 100.0), (300.0, 1.0, 0.0)].map(
            |(celsius, hours, kept)| {
                (
                    format!("austenite kept by {hours} h at {celsius} °C"),
                    kept,
                    left(celsius, hours),
                )
            },
        ),
    );
    let sign = |setup: &ChainSetup| {
        value(setup, |run| match run.surface_stress.sign {
            StressSign::Compression => -1.0,
            StressSign::Unsure => 0.0,
            StressSign::Tension => 1.0,
        })
    };
    let plain = job(nominal("1018"), round(12.0), water(), 788.0);
    let oil = bath(Quenchant::FastOil, Stirring::Good, 60.0);
    let alloy = job(nominal("8620"), round(19.05), oil, 843.0);
    let mut bare = plain.clone();
    bare.reheats[0].bare = true;
    rows.extend(
        practice(
            "surface-stress-sign",
            "1",
            0.5,
            "a sign: −1 pressed, +1 torn, 0 not sure",
        )
        .rows([
            (
                "1018 12 mm round, water: a case is pressed".to_owned(),
                -1.0,
                sign(&plain),
            ),
            (
                "8620 19 mm round, oil: a case is pressed".to_owned(),
                -1.0,
                sign(&alloy),
            ),
            (
                "1018 reheated bare: a skin without carbon is torn".to_owned(),
                1.0,
                sign(&bare),
            ),
        ]),
    );
    let grain = |name: &str| {
        let d = unpinned(
            &nominal(name),
            Temperature::from_c(927.0),
            Span::from_h(8.0),
        );
        astm_number(d).unwrap_or(f64::MAX)
    };
    rows.extend(
        Check {
            id: "grain-coarse",
            source: "astm-e112",
            unit: "ASTM number",
            tolerance: 2.5,
            reason: "the coarse class is 1 to 5, and two people differ by half a number",
            kind: Kind::CrossCheck,
        }
        .rows(["1018", "8620"].map(|name| {
            (
                format!("{name}, 8 h at 927 °C, nothing pins the grain"),
                3.0,
                grain(name),
            )
        })),
    );
    rows
}

fn identity_rows() -> Vec<Row> {
    let shapes = [round(12.0), plate(25.0)];
    let mut rows = Check {
        id: "quench-balance",
        source: "worked-here",
        unit: "1",
        tolerance: 1e-9,
        reason: "heat that left is heat that was lost; Newton stops at 1e-8 K",
        kind: Kind::Identity,
    }
    .rows(shapes.map(|shape| {
        let error = quench(&water(), shape, Temperature::from_c(850.0))
            .map_or(f64::MAX, |run| run.balance_error);
        (format!("balance of heat, {shape:?} in water"), 0.0, error)
    }));
    let worst = |run: &ChainRun| {
        let l = &run.layers;
        (0..l.len())
            .map(|i| {
                let sum = l.martensite[i]
                    + l.retained_austenite[i]
                    + l.bainite[i]
                    + l.pearlite[i]
                    + l.ferrite[i]
                    + l.carbide[i];
                (sum - 1.0).abs()
            })
            .fold(0.0, f64::max)
    };
    rows.extend(
        Check {
            id: "phases-sum",
            source: "worked-here",
            unit: "1",
            tolerance: 1e-12,
            reason: "rounding of six shares",
            kind: Kind::Identity,
        }
        .rows(shapes.map(|shape| {
            let setup = job(nominal("1018"), shape, water(), 788.0);
            (
                format!("worst sum of the phases less 1, {shape:?}"),
                0.0,
                value(&setup, worst),
            )
        })),
    );
    rows
}

fn bath_rows() -> Vec<Row> {
    let heat = |quench: QuenchSetup| {
        value(&job(nominal("1018"), plate(12.0), quench, 830.0), |run| {
            run.heat_to_bath_j_kg
        })
    };
    let water_heat = heat(water());
    let oil_heat = heat(bath(Quenchant::FastOil, Stirring::Good, 60.0));
    let rise = |quenchant, heat, litres| {
        bath_rise(quenchant, heat, litres).map_or(f64::MAX, |step| step.to_k())
    };
    let mut rows = Vec::new();
    for (litres, in_water, in_oil) in [(3.0, 43.0, 110.0), (8.3, 16.0, 40.0), (20.0, 7.0, 17.0)] {
        for (id, name, quenchant, heat, published) in [
            (
                "bath-rise-water",
                "water",
                Quenchant::Water,
                water_heat,
                in_water,
            ),
            ("bath-rise-oil", "oil", Quenchant::FastOil, oil_heat, in_oil),
        ] {
            rows.extend(
                Check {
                    id,
                    source: "trade-practice",
                    unit: "K",
                    tolerance: 0.12 * published + 0.5,
                    reason: "the rule takes 0.71 kJ/(kg·K) to 60 °C and no loss on the way; half a printed digit",
                    kind: Kind::CrossCheck,
                }
                .rows([(format!("rise of {litres} L of {name} per kg of steel from 830 °C"), published, rise(quenchant, heat, litres))])
                .into_iter()
                .map(|row| Row { id: format!("{id}-{litres}"), ..row }),
            );
        }
    }
    rows
}
