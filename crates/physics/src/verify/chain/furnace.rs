//! Rows of the stay in the furnace: heating, scale and carbon under a bare surface.

use casewright_terms::{
    Composition, Diffusivity, Element, HeatTransfer, Length, Span, Temperature, TemperatureStep,
    WeightPercent,
};

use super::Check;
use crate::law::carbon_activity::{to_site_fraction, to_wt_pct};
use crate::law::ferrite_carbon::in_ferrite;
use crate::law::scaling::carbon_left;
use crate::model::quench::{Body, Film, Stage, conduction};
use crate::model::reheat::skin::{Leg, March, by_root, lost_after};
use crate::model::reheat::{Section, Ways, graded, reheat, stay};
use crate::numerics::fun::{atan, erf, erfc, exp, ln, sqrt};
use crate::numerics::interpolate::linear_clamped;
use crate::run::ReheatRun;
use crate::setup::{Cover, Cycle, CycleOf, DiffusivityModel, Ramp, ReheatSetup, Shape};
use crate::verify::{Kind, Row};

pub(super) fn rows() -> Vec<Row> {
    [
        moving_rows(),
        rim_rows(),
        radiation_rows(),
        film_rows(),
        ferrite_rows(),
        practice_rows(),
    ]
    .concat()
}

const THICK_M: f64 = 2e-3;
const SOAK_S: f64 = 1800.0;

/// Carbon (wt%) at depths from the old surface after a bare stay of uniform carbon.
fn bare(ways: &Ways, core_wt_pct: f64, lost_m: f64, depths_m: &[f64]) -> Vec<f64> {
    let shape = Shape::Plate {
        half_thickness: Length::from_m(THICK_M),
    };
    let depth = graded(THICK_M, stay::BARE_FIRST_M, stay::BARE_NODES);
    let carbon = vec![core_wt_pct; depth.len()];
    let mut march = March::new(Section::new(shape, THICK_M), &depth, &carbon, true);
    let mut then = 0.0;
    for share in by_root(stay::BARE_STEPS) {
        let leg = Leg {
            lasts_s: SOAK_S * (share - then),
            lost_m: lost_after(lost_m, share),
        };
        if !march.go(ways, leg) {
            return vec![f64::MAX; depths_m.len()];
        }
        then = share;
    }
    let left = march.left();
    let carbon: Vec<f64> = left.y.iter().map(|y| to_wt_pct(*y)).collect();
    depths_m
        .iter()
        .map(|d| linear_clamped(&left.place_m, &carbon, *d))
        .collect()
}

fn moving_rows() -> Vec<Row> {
    let (core, d) = (0.9, 3e-12);
    let depths = [60e-6, 100e-6, 150e-6, 250e-6];
    let mut rows = Vec::new();
    for lost_m in [0.0, 40e-6] {
        let ours = bare(
            &Ways::of_constants((0.0, 0.0), 0.0, d),
            core,
            lost_m,
            &depths,
        );
        rows.extend(depths.iter().zip(ours).map(|(depth, ours)| {
            // The solution is linear, so it holds for atoms as it stands.
            let share = carbon_left(
                WeightPercent::from_wt_pct(1.0),
                Length::from_m(*depth),
                Length::from_m(lost_m),
                Diffusivity::from_m2_s(d),
                Span::from_s(SOAK_S),
            );
            let what = format!(
                "0.9 wt% at {:.0} µm after half an hour bare, {:.0} µm eaten",
                depth * 1e6,
                lost_m * 1e6
            );
            let exact = to_wt_pct(share.to_wt_pct() * to_site_fraction(core));
            (what, exact, ours)
        }));
    }
    Check {
        id: "bare-similarity",
        source: "birks-2006",
        unit: "wt%",
        tolerance: 0.0045,
        reason: "half a percent of the step: mesh of 2 µm at the surface, steps of first order",
        kind: Kind::Identity,
    }
    .rows(rows)
}

/// Depth of a rim of ferrite on austenite of `core`, by its similarity solution.
fn rim_exact_m(rim_y: (f64, f64), core_y: f64, (ferrite, austenite): (f64, f64)) -> f64 {
    let pi = std::f64::consts::PI;
    // Carbon that comes in from the austenite and leaves through the rim, less what the front needs;
    // λ is the rim over √t.
    let off = |lambda: f64| {
        let (a, b) = (
            lambda / (2.0 * sqrt(ferrite)),
            lambda / (2.0 * sqrt(austenite)),
        );
        let through = sqrt(ferrite / pi) * rim_y.0 * exp(-a * a) / erf(a);
        let from = sqrt(austenite / pi) * (core_y - rim_y.1) * exp(-b * b) / erfc(b);
        through - from - (rim_y.1 - rim_y.0) * lambda / 2.0
    };
    let (mut low, mut high) = (1e-9, 1e-4);
    for _ in 0..100 {
        let middle = (low + high) / 2.0;
        if off(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low * sqrt(SOAK_S)
}

fn rim_rows() -> Vec<Row> {
    let cases = [(0.016, 0.42, 0.9), (0.016, 0.42, 0.6), (0.008, 0.18, 0.5)];
    Check {
        id: "ferrite-rim",
        source: "carslaw-jaeger-1959",
        unit: "µm",
        tolerance: 2.0,
        reason: "the front stands somewhere within one gap of the mesh, 2 to 3 µm there",
        kind: Kind::Identity,
    }
    .rows(cases.map(|(ferrite, austenite, core)| {
        let rim = (to_site_fraction(ferrite), to_site_fraction(austenite));
        let d = (1.6e-10, 3e-12);
        let ways = Ways::of_constants(rim, d.0, d.1);
        let at: Vec<f64> = (1..2000).map(|k| 1e-7 * f64::from(k)).collect();
        let carbon = bare(&ways, core, 0.0, &at);
        let middle = (ferrite + austenite) / 2.0;
        let ours = at
            .iter()
            .zip(&carbon)
            .find(|(_, c)| **c > middle)
            .map_or(f64::MAX, |(x, _)| x * 1e6);
        (
            format!("rim on {core} wt%, {ferrite} against {austenite} wt%, half an hour"),
            rim_exact_m(rim, to_site_fraction(core), d) * 1e6,
            ours,
        )
    }))
}

/// A thin part that takes heat by radiation alone follows a closed form.
fn radiation_rows() -> Vec<Row> {
    let (half_m, capacity, emissivity) = (1e-3, 4e6, 0.8);
    let (wall_k, start_k): (f64, f64) = (1100.0, 300.0);
    let time_to = |t_k: f64| {
        let part = |t: f64| ln((wall_k + t) / (wall_k - t)) + 2.0 * atan(t / wall_k);
        capacity * half_m * (part(t_k) - part(start_k))
            / (4.0 * emissivity * conduction::STEFAN_BOLTZMANN * wall_k * wall_k * wall_k)
    };
    let cells = [600.0, 900.0, 1080.0].map(|exact_k| {
        let ours = Body::new(
            Shape::Plate {
                half_thickness: Length::from_m(half_m),
            },
            21,
        )
        .and_then(|body| {
            let mut material = conduction::Constant {
                // So well conducting that it is of one temperature.
                conductivity_w_m_k: 3000.0,
                heat_capacity_j_m3_k: capacity,
            };
            let stage = Stage {
                ambient_k: wall_k,
                drift_k_s: 0.0,
                film: Film::Furnace {
                    emissivity,
                    convection_w_m2_k: 0.0,
                },
                lasts_s: Some(time_to(exact_k)),
            };
            conduction::cool(&body, &mut material, start_k, &[stage])
        })
        .map_or(f64::MAX, |run| {
            run.temperature_k[run.temperature_k.len() - 1]
        });
        (
            format!("thin part in walls of 1100 K when it should be {exact_k} K"),
            exact_k,
            ours,
        )
    });
    Check {
        id: "radiation-lumped",
        source: "worked-here",
        unit: "K",
        tolerance: 0.5,
        reason: "0.1 % of the way: steps of 20 K",
        kind: Kind::Identity,
    }
    .rows(cells)
}

/// A thick body under a constant film, before the middle feels it.
fn film_rows() -> Vec<Row> {
    let (k, c, h, half_m) = (30.0, 4e6, 3000.0, 0.05);
    let diffusivity: f64 = k / c;
    let cells = [(0.0, 5.0), (0.002, 5.0), (0.0, 20.0), (0.005, 20.0)].map(|(x, t): (f64, f64)| {
        let spread = sqrt(diffusivity * t);
        let (u, b) = (x / (2.0 * spread), h * spread / k);
        let exact = erfc(u) - exp(h * x / k + b * b) * erfc(u + b);
        let ours = Body::new(
            Shape::Plate {
                half_thickness: Length::from_m(half_m),
            },
            61,
        )
        .and_then(|body| {
            let mut material = conduction::Constant {
                conductivity_w_m_k: k,
                heat_capacity_j_m3_k: c,
            };
            let stage = Stage {
                ambient_k: 300.0,
                drift_k_s: 0.0,
                film: Film::Constant { h_w_m2_k: h },
                lasts_s: Some(t),
            };
            conduction::cool(&body, &mut material, 1300.0, &[stage])
        })
        .map_or(f64::MAX, |run| {
            let curve = run.curve_at(Length::from_m(x));
            (1300.0 - curve[curve.len() - 1]) / 1000.0
        });
        (
            format!("half space under a film, {} mm deep after {t} s", x * 1e3),
            exact,
            ours,
        )
    });
    Check {
        id: "heat-half-space",
        source: "carslaw-jaeger-1959",
        unit: "share of the step",
        tolerance: 0.001,
        reason: "0.1 % of the step",
        kind: Kind::Identity,
    }
    .rows(cells)
}

fn ferrite_rows() -> Vec<Row> {
    Check {
        id: "ferrite-diffusivity",
        source: "callister-2007",
        unit: "log10 of m²/s",
        tolerance: 0.35,
        reason: "two published fits of one quantity; they part by a factor of 2.2 at 900 °C",
        kind: Kind::CrossCheck,
    }
    .rows(
        [(500.0, 2.4e-12), (900.0, 1.7e-10)].map(|(t, d): (f64, f64)| {
            let ours = in_ferrite(Temperature::from_c(t)).value.to_m2_s();
            let log = |x: f64| ln(x) / ln(10.0);
            (format!("carbon in ferrite at {t:.0} °C"), log(d), log(ours))
        }),
    )
}

/// Half an hour at heat of a plain case, bare or wrapped.
fn half_an_hour(cover: Cover, celsius: f64) -> Option<ReheatRun> {
    let (wt, mm) = (WeightPercent::from_wt_pct, Length::from_mm);
    let at = Temperature::from_c(celsius);
    let composition = Composition::new(&[
        (Element::C, wt(0.18)),
        (Element::Mn, wt(0.75)),
        (Element::Si, wt(0.20)),
    ])
    .ok()?;
    reheat(&ReheatSetup {
        composition,
        shape: Shape::Plate {
            half_thickness: mm(6.0),
        },
        profile: vec![(mm(0.0), wt(0.9)), (mm(0.4), wt(0.8)), (mm(1.2), wt(0.18))],
        cover,
        start: at,
        cycle: Cycle {
            pieces: vec![Ramp {
                from: at,
                to: at,
                duration: Span::from_min(30.0),
            }],
        },
        cycle_of: CycleOf::Part,
        emissivity: 0.8,
        convection: HeatTransfer::from_w_m2_k(10.0),
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        ae3_shift: TemperatureStep::ZERO,
        saturation_shift: TemperatureStep::ZERO,
    })
    .ok()
}

fn practice_rows() -> Vec<Row> {
    // Depth from the new surface at which half of the old carbon is there again: what cannot harden.
    let soft = |run: &ReheatRun| {
        run.depth_m
            .iter()
            .zip(&run.carbon_wt_pct)
            .find(|(_, c)| **c >= 0.5)
            .map_or(f64::MAX, |(x, _)| Length::from_m(*x).to_mm())
    };
    let mut rows = Check {
        id: "bare-soft-skin",
        source: "trade-practice",
        unit: "mm",
        tolerance: 0.06,
        reason: "the trade says 0.05 to 0.15 mm of case is lost by 15 to 30 min bare at 800 to 850 °C",
        kind: Kind::CrossCheck,
    }
    .rows([800.0, 845.0].map(|t| {
        let ours = half_an_hour(Cover::Bare, t).map_or(f64::MAX, |run| soft(&run));
        (format!("skin under 0.5 wt% after 30 min bare at {t:.0} °C"), 0.10, ours)
    }));
    rows.extend(
        Check {
            id: "reheat-carbon-balance",
            source: "worked-here",
            unit: "1",
            tolerance: 1e-9,
            reason: "what went through the surface is what is missing; Newton stops at 5e-13",
            kind: Kind::Identity,
        }
        .rows(
            [
                (Cover::Bare, 790.0),
                (Cover::Bare, 845.0),
                (Cover::Protected, 790.0),
            ]
            .map(|(cover, t)| {
                let ours = half_an_hour(cover, t).map_or(f64::MAX, |run| run.carbon_balance_error);
                (
                    format!("balance of carbon, {cover:?} at {t:.0} °C"),
                    0.0,
                    ours,
                )
            }),
        ),
    );
    rows
}
