//! A made-up sharp edge for the pages. Test data, as in `fixture`.

use casewright_plan::outcome::{CarbonLevel, CarbonLine, Edge, EdgeKind, EdgePicture, OutlineLine};
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
