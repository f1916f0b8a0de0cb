//! Made-up curves for the pages: everything against depth, and a sharp edge. Test data, as in
//! `fixture`.

use casewright_plan::outcome::{
    CarbonLevel, CarbonLine, Edge, EdgeKind, EdgePicture, OutlineLine, Profile,
};
use casewright_terms::{Length, Temperature, Vickers};

fn mm(v: f64) -> Length {
    Length::from_mm(v)
}

/// A sharp edge whose lines are hyperbolas, (x + a)(y + a) = b: near enough to what carbon does.
pub(super) fn edge() -> Edge {
    let line = |carbon_wt_pct: f64, level: CarbonLevel, depth: f64| {
        let (a, end) = (0.3 * depth, 3.4);
        let b = (end + a) * (depth + a);
        let far = b / (depth + a) - a;
        let points = (0..=30).map(|i| {
            let t = f64::from(i) / 30.0;
            let x = depth + (far - depth) * t * t;
            [x, b / (x + a) - a]
        });
        CarbonLine {
            carbon_wt_pct,
            level,
            lines_mm: vec![points.filter(|p| p[1] <= 2.6).collect()],
        }
    };
    Edge {
        feature: "edges".to_owned(),
        kind: EdgeKind::Corner,
        radius: mm(0.0),
        section: mm(14.0),
        surface_carbon_wt_pct: 1.16,
        face_carbon_wt_pct: 1.00,
        saturation_wt_pct: Some(0.88),
        quenched_from: Some(Temperature::from_c(790.0)),
        carbide_pct: 4.9,
        face_carbide_pct: 2.1,
        retained_austenite_pct: 11.0,
        least_carbon_wt_pct: Some(0.15),
        middle_hardness: Some(Vickers::from_hv(270.0)),
        limit_carbon_wt_pct: Some(0.41),
        depth_mid_face: Some(mm(1.11)),
        depth_corner: Some(mm(2.0)),
        broken: Some((mm(0.5), 1.10)),
        picture: EdgePicture {
            window_mm: [[0.0, 0.0], [3.4, 2.6]],
            outline: vec![OutlineLine {
                treated: true,
                points_mm: vec![[0.0, 2.6], [0.0, 0.0], [3.4, 0.0]],
            }],
            lines: vec![
                line(0.88, CarbonLevel::Saturation, 0.25),
                line(0.41, CarbonLevel::CaseLimit, 1.11),
                line(0.19, CarbonLevel::Total, 1.9),
            ],
            ground: mm(0.12),
        },
    }
}

pub(super) fn profile() -> Profile {
    let depth_mm: Vec<f64> = (0..=120).map(|i| f64::from(i) * 0.025).collect();
    let carbon = |x: f64, reach: f64, rise: f64| 0.15 + rise * grow(-(x / reach).powi(2));
    let hardness = |x: f64, middle: f64, top: f64, core: f64| {
        let fall = 1.0 / (1.0 + grow((x - middle) / 0.16));
        core + (top - core) * fall - 25.0 * grow(-(x / 0.12))
    };
    let all = |f: &dyn Fn(f64) -> f64| depth_mm.iter().map(|x| f(*x)).collect::<Vec<f64>>();
    let martensite = |x: f64| 0.985 / (1.0 + grow((x - 1.55) / 0.12)) * (1.0 - retained(x)) + 0.1;
    Profile {
        carbon_wt_pct: all(&|x| carbon(x, 1.12, 0.76)),
        carbon_low_wt_pct: all(&|x| carbon(x, 1.02, 0.67)),
        carbon_high_wt_pct: all(&|x| carbon(x, 1.22, 0.86)),
        hardness_hv: all(&|x| hardness(x, 1.2, 750.0, 276.0)),
        hardness_low_hv: all(&|x| hardness(x, 1.06, 715.0, 250.0)),
        hardness_high_hv: all(&|x| hardness(x, 1.35, 790.0, 310.0)),
        martensite: all(&|x| martensite(x).min(1.0 - retained(x))),
        retained_austenite: all(&retained),
        bainite: all(&|x| 0.35 * (1.0 - martensite(x) - retained(x)).max(0.0)),
        pearlite: all(&|x| 0.15 * (1.0 - martensite(x) - retained(x)).max(0.0)),
        ferrite: all(&|x| 0.5 * (1.0 - martensite(x) - retained(x)).max(0.0)),
        carbide: all(&|x| 0.02 * grow(-(x / 0.15))),
        depth_mm,
    }
}

/// A curve that grows like the exponential; near enough for a picture, the same on every machine.
pub(super) fn grow(v: f64) -> f64 {
    let a = v.abs();
    let up = 1.0 + a * (1.0 + a / 2.0 * (1.0 + a / 3.0 * (1.0 + a / 4.0)));
    if v < 0.0 { 1.0 / up } else { up }
}

fn retained(x: f64) -> f64 {
    0.11 * grow(-(x / 0.7).powi(2))
}
