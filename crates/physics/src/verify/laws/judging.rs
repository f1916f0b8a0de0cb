//! Rows of what readings are judged by: case depth of whole traverses, doubt of means, weight gain.

use casewright_terms::{
    Composition, Element, Length, Span, Temperature, TemperatureStep, Vickers, WeightPercent,
};

use super::{Family, Kind, Row};
use crate::law::case_depth::{DepthFound, LIMIT_ISO_HV, TraversePoint, from_traverse};
use crate::law::reading_doubt::student_95;
use crate::law::weight_gain::uptake_g_m2;
use crate::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use crate::simulate;

pub(super) fn rows() -> Vec<Row> {
    [traverses(), student(), weights()].concat()
}

/// Traverses on lines whose crossing is known: the interpolation must find it from points beside it.
fn traverses() -> Vec<Row> {
    let straight = |step: f64, fall: f64, at: f64| {
        let points: Vec<TraversePoint> = (1..=30)
            .map(|i| {
                let mm = step * f64::from(i);
                TraversePoint {
                    depth: Length::from_mm(mm),
                    hardness: Vickers::from_hv(LIMIT_ISO_HV - fall * (mm - at)),
                }
            })
            .filter(|point| point.hardness.to_hv() > 150.0)
            .collect();
        match from_traverse(&points, Vickers::from_hv(LIMIT_ISO_HV)).map(|found| found.value) {
            Ok(DepthFound::At(depth)) => depth.to_mm(),
            _ => 0.0,
        }
    };
    Family {
        id: "case-depth-traverse",
        source: "worked-here",
        unit: "mm",
        tolerance: 1e-9,
        reason: "a straight fall is met exactly by a straight interpolation",
        kind: Kind::Identity,
    }
    .rows([
        (
            "straight fall of 350 HV/mm, steps of 0.1 mm, 550 HV at 0.83 mm",
            0.83,
            straight(0.1, 350.0, 0.83),
        ),
        (
            "straight fall of 500 HV/mm, steps of 0.0889 mm, 550 HV at 0.71 mm",
            0.71,
            straight(0.0889, 500.0, 0.71),
        ),
    ])
}

fn student() -> Vec<Row> {
    Family {
        id: "reading-doubt",
        source: "worked-here",
        unit: "1",
        tolerance: 1.5e-3,
        reason: "tables print three decimals; the next term of the series is 1e-3 at 5",
        kind: Kind::CrossCheck,
    }
    .rows([
        (
            "Student's factor at 0.95, 5 degrees",
            2.015,
            student_95(5.0),
        ),
        (
            "Student's factor at 0.95, 9 degrees",
            1.833,
            student_95(9.0),
        ),
        (
            "Student's factor at 0.95, 30 degrees",
            1.697,
            student_95(30.0),
        ),
    ])
}

/// The engine's own uptake beside the integral of the profile it left.
fn weights() -> Vec<Row> {
    let run = |shape: Shape, radius: Option<Length>| {
        let core = WeightPercent::from_wt_pct(0.18);
        let composition = Composition::new(&[(Element::C, core)]).ok()?;
        let at = Temperature::from_c(927.0);
        let setup = CarbonSetup {
            composition,
            shape,
            diffusivity: DiffusivityModel::Agren1986,
            diffusivity_factor: 1.0,
            surface: Surface::Fixed {
                carbon: WeightPercent::from_wt_pct(1.0),
            },
            cycle: Cycle {
                pieces: vec![Ramp {
                    from: at,
                    to: at,
                    duration: Span::from_h(6.0),
                }],
            },
            tolerance: WeightPercent::from_wt_pct(0.001),
            saturation_shift: TemperatureStep::from_k(0.0),
        };
        let carbon = simulate::carbon(&setup).ok()?;
        let integral = uptake_g_m2(&carbon.depth_m, &carbon.carbon_wt_pct, core, radius);
        Some((carbon.uptake_g_m2, integral))
    };
    let half_thickness = Length::from_mm(7.0);
    let radius = Length::from_mm(6.0);
    let flat = run(Shape::Plate { half_thickness }, None).unwrap_or((1.0, 0.0));
    let round = run(Shape::Cylinder { radius }, Some(radius)).unwrap_or((1.0, 0.0));
    Family {
        id: "weight-gain",
        source: "worked-here",
        unit: "g/m²",
        tolerance: 0.1,
        reason: "the engine's points are joined by straight lines here: a five-hundredth of the gain",
        kind: Kind::Identity,
    }
    .rows([
        ("plate of 14 mm, 6 h at 927 °C, 1.0 wt% held", flat.0, flat.1),
        ("bar of 12 mm, the same", round.0, round.1),
    ])
}
