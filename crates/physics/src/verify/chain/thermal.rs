//! Closed forms and tables of heat: conduction, thermal properties, baths, scale.

use casewright_terms::{HeatTransfer, Length, Span, Temperature};

use crate::law::{quench_transfer, scaling, steel_thermal};
use crate::model::quench::{Body, Film, Stage, conduction};
use crate::run::Failure;
use crate::setup::{Quenchant, Shape, Stirring};
use crate::verify::{Kind, Row};

use super::Check;

const K_W_M_K: f64 = 30.0;
const C_J_M3_K: f64 = 4e6;
const SIZE_M: f64 = 0.01;

pub(super) fn rows() -> Vec<Row> {
    [
        conduction_rows(),
        property_rows(),
        bath_rows(),
        scale_rows(),
    ]
    .concat()
}

fn shapes() -> [(&'static str, Shape); 3] {
    let size = Length::from_m(SIZE_M);
    [
        (
            "slab",
            Shape::Plate {
                half_thickness: size,
            },
        ),
        ("cylinder", Shape::Cylinder { radius: size }),
        ("sphere", Shape::Sphere { radius: size }),
    ]
}

/// Cooling from 1 to 0 (in kelvin steps of 1000) with a constant film, to a Fourier number.
fn constant(shape: Shape, biot: f64, fourier: f64) -> Result<(Vec<f64>, Vec<f64>), Failure> {
    let body = Body::new(shape, 21)?;
    let mut material = conduction::Constant {
        conductivity_w_m_k: K_W_M_K,
        heat_capacity_j_m3_k: C_J_M3_K,
    };
    let stage = Stage {
        ambient_k: 300.0,
        drift_k_s: 0.0,
        film: Film::Constant {
            h_w_m2_k: biot * K_W_M_K / SIZE_M,
        },
        lasts_s: Some(fourier * SIZE_M * SIZE_M * C_J_M3_K / K_W_M_K),
    };
    let run = conduction::cool(&body, &mut material, 1300.0, &[stage])?;
    let middle = run
        .curve_at(Length::from_m(SIZE_M))
        .iter()
        .map(|t| (t - 300.0) / 1000.0)
        .collect();
    Ok((run.time_s, middle))
}

/// Fourier number at which the middle has made 97 % of a step at the surface.
fn fourier_at_97(shape: Shape) -> f64 {
    let Ok((time, middle)) = constant(shape, 1e5, 2.0) else {
        return f64::MAX;
    };
    let Some(i) = middle.iter().position(|m| *m < 0.03) else {
        return f64::MAX;
    };
    let share = (middle[i - 1] - 0.03) / (middle[i - 1] - middle[i]);
    let at_s = time[i - 1] + share * (time[i] - time[i - 1]);
    at_s * K_W_M_K / (C_J_M3_K * SIZE_M * SIZE_M)
}

fn conduction_rows() -> Vec<Row> {
    let mut rows = Check {
        id: "heat-fourier-97",
        source: "carslaw-jaeger-1959",
        unit: "1",
        tolerance: 0.008,
        reason: "half of the last printed digit, and 0.2 % of the solver",
        kind: Kind::Identity,
    }
    .rows(
        shapes()
            .into_iter()
            .zip([1.52, 0.69])
            .map(|((name, shape), fo)| {
                (
                    format!("97 % of the step in the middle of a {name}"),
                    fo,
                    fourier_at_97(shape),
                )
            }),
    );
    // First eigenvalue and amplitude at Biot 1, from the tables; at Fourier 1 later terms are below 1e-5.
    let first = [
        (0.8603, 1.1191),
        (1.2558, 1.2071),
        (std::f64::consts::FRAC_PI_2, 1.2732),
    ];
    rows.extend(
        Check {
            id: "heat-series",
            source: "carslaw-jaeger-1959",
            unit: "share of the step",
            tolerance: 0.001,
            reason: "0.1 % of the step",
            kind: Kind::Identity,
        }
        .rows(shapes().into_iter().zip(first).map(
            |((name, shape), (zeta, amplitude)): (_, (f64, f64))| {
                let exact = amplitude * crate::numerics::fun::exp(-zeta * zeta);
                let ours = constant(shape, 1.0, 1.0).map_or(f64::MAX, |(_, m)| m[m.len() - 1]);
                (
                    format!("middle of a {name} at Biot 1, Fourier 1"),
                    exact,
                    ours,
                )
            },
        )),
    );
    let lumped = constant(shapes()[1].1, 0.001, 500.0).map_or(f64::MAX, |(_, m)| m[m.len() - 1]);
    rows.extend(
        Check {
            id: "heat-lumped",
            source: "carslaw-jaeger-1959",
            unit: "share of the step",
            tolerance: 0.0005,
            reason: "Biot 0.001 itself moves the time constant by a quarter of 0.1 %",
            kind: Kind::Identity,
        }
        // Cylinder: exp(−2 Bi Fo).
        .rows([(
            "cylinder cooled so slowly that it is of one temperature".to_owned(),
            crate::numerics::fun::exp(-1.0),
            lumped,
        )]),
    );
    rows
}

fn property_rows() -> Vec<Row> {
    let table = [
        (20.0, 53.3, 440.0),
        (200.0, 47.3, 530.0),
        (400.0, 40.7, 606.0),
        (600.0, 34.0, 760.0),
        (800.0, 27.3, 803.0),
        (900.0, 27.3, 650.0),
    ];
    let check = |id, unit, tolerance| Check {
        id,
        source: "en-1993-1-2",
        unit,
        tolerance,
        reason: "half of the last printed digit",
        kind: Kind::Validation,
    };
    let at = Temperature::from_c;
    let mut rows = check("steel-conductivity", "W/(m·K)", 0.06).rows(table.map(|(t, k, _)| {
        (
            format!("conductivity at {t:.0} °C"),
            k,
            steel_thermal::heating_conductivity(at(t)).value.to_w_m_k(),
        )
    }));
    rows.extend(
        check("steel-specific-heat", "J/(kg·K)", 0.6).rows(table.map(|(t, _, cp)| {
            (
                format!("specific heat at {t:.0} °C"),
                cp,
                steel_thermal::heating_specific_heat_j_kg_k(at(t)).value,
            )
        })),
    );
    rows
}

fn bath_rows() -> Vec<Row> {
    let mut rows = Check {
        id: "grossmann-mean",
        source: "grossmann-1940",
        unit: "W/(m²·K)",
        tolerance: 15.0,
        reason: "the table is printed to three digits at most",
        kind: Kind::CrossCheck,
    }
    .rows(
        [
            (0.25, 590.0),
            (0.35, 830.0),
            (0.5, 1180.0),
            (1.0, 2360.0),
            (2.0, 4720.0),
            (5.0, 11_800.0),
        ]
        .map(|(h, mean)| {
            (
                format!("mean coefficient of severity {h}/in"),
                mean,
                quench_transfer::mean_coefficient(h).to_w_m2_k(),
            )
        }),
    );
    let h = |quenchant, stirring, bath, surface| -> HeatTransfer {
        quench_transfer::coefficient(
            quenchant,
            stirring,
            Temperature::from_c(bath),
            Temperature::from_c(surface),
        )
        .value
    };
    for (id, name, quenchant, stirring, bath) in [
        (
            "grossmann-water",
            "mild water",
            Quenchant::Water,
            Stirring::Mild,
            20.0,
        ),
        (
            "grossmann-slow-oil",
            "still oil",
            Quenchant::SlowOil,
            Stirring::Still,
            60.0,
        ),
        (
            "grossmann-fast-oil",
            "stirred fast oil",
            Quenchant::FastOil,
            Stirring::Good,
            60.0,
        ),
        (
            "grossmann-brine",
            "mild brine",
            Quenchant::Brine,
            Stirring::Mild,
            20.0,
        ),
    ] {
        let ours = h(quenchant, stirring, bath, 705.0).to_w_m2_k();
        let severity =
            quench_transfer::grossmann_severity_per_inch(quenchant, stirring).unwrap_or(0.0);
        rows.extend(
            Check {
                id,
                source: "grossmann-1940",
                unit: "W/(m²·K)",
                tolerance: quench_transfer::DOUBT * ours,
                reason: "the curves are known to 40 %",
                kind: Kind::CrossCheck,
            }
            .rows([(
                format!("{name} at 705 °C against its severity"),
                quench_transfer::mean_coefficient(severity).to_w_m2_k(),
                ours,
            )]),
        );
    }
    rows.extend(
        Check {
            id: "quench-curve",
            source: "quench-composite",
            unit: "W/(m²·K)",
            tolerance: 1e-6,
            reason: "knots of the table itself",
            kind: Kind::Identity,
        }
        .rows([
            (
                "water of 20 °C at 500 °C".to_owned(),
                8000.0,
                h(Quenchant::Water, Stirring::Mild, 20.0, 500.0).to_w_m2_k(),
            ),
            (
                "water of 60 °C at 500 °C".to_owned(),
                1500.0,
                h(Quenchant::Water, Stirring::Mild, 60.0, 500.0).to_w_m2_k(),
            ),
            (
                "fast oil at 500 °C".to_owned(),
                3500.0,
                h(Quenchant::FastOil, Stirring::Good, 60.0, 500.0).to_w_m2_k(),
            ),
            (
                "still air at 700 °C".to_owned(),
                75.0,
                h(Quenchant::Air, Stirring::Still, 25.0, 700.0).to_w_m2_k(),
            ),
        ]),
    );
    rows
}

fn scale_rows() -> Vec<Row> {
    Check {
        id: "scale-loss",
        source: "paidassi-1958",
        unit: "mm",
        tolerance: 0.005,
        reason: "two printed digits; shows the arithmetic, the constant itself is loose by a factor of two",
        kind: Kind::CrossCheck,
    }
    .rows([(800.0, 0.05), (850.0, 0.075), (900.0, 0.11), (927.0, 0.135)].map(|(t, mm)| {
        let lost = scaling::steel_lost(Temperature::from_c(t), Span::from_h(1.0)).value;
        (format!("steel lost in 1 h of air at {t:.0} °C"), mm, lost.to_mm())
    }))
}
