//! Accuracy rows of the carbon engine in two dimensions.
//!
//! Every row runs the engine; nothing here is stored from our own earlier results.

use casewright_terms::{
    Composition, Length, Span, Temperature, TemperatureStep, TransferCoefficient, WeightPercent,
};

use super::{Kind, Row};
use crate::model::carbon_plane::block_against_closed;
use crate::run::PlaneRun;
use crate::setup::{
    CarbonSetup, Cycle, DiffusivityModel, Face, KeywayBody, PlaneGrid, PlanePoint, PlaneSection,
    PlaneSetup, Ramp, Shape, Surface,
};
use crate::simulate;

/// All rows of this part.
#[must_use]
pub fn rows() -> Vec<Row> {
    [block(), flats(), round(), web(), bar()].concat()
}

fn w(wt_pct: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(wt_pct)
}

fn at(x_mm: f64, y_mm: f64) -> PlanePoint {
    PlanePoint {
        x: Length::from_mm(x_mm),
        y: Length::from_mm(y_mm),
    }
}

/// 8 h at 927 °C on 0.18 wt%, to 1e-3 wt%.
fn run(section: PlaneSection, surface: Surface) -> Option<PlaneRun> {
    simulate::carbon_plane(&PlaneSetup {
        composition: Composition::plain(w(0.18)),
        section,
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: soak(),
        tolerance: w(1e-3),
        grid: PlaneGrid::ByTolerance,
    })
    .ok()
}

fn soak() -> Cycle {
    let t = Temperature::from_c(927.0);
    Cycle {
        pieces: vec![Ramp {
            from: t,
            to: t,
            duration: Span::from_h(8.0),
        }],
    }
}

fn pack() -> Surface {
    Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-7),
        begins: Temperature::from_c(727.0),
        full: Temperature::from_c(780.0),
    }
}

/// Depth along a ray; infinite where there is none, which fails the row.
fn depth_mm(run: Option<&PlaneRun>, from: PlanePoint, to: PlanePoint, carbon: f64) -> f64 {
    run.and_then(|run| run.depth_to_carbon(from, to, w(carbon)))
        .map_or(f64::INFINITY, |d| d.along.to_mm())
}

fn plate(half: Length, surface: Surface) -> Option<crate::run::CarbonRun> {
    simulate::carbon(&CarbonSetup {
        composition: Composition::plain(w(0.18)),
        shape: Shape::Plate {
            half_thickness: half,
        },
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: soak(),
        tolerance: w(1e-4),
        saturation_shift: TemperatureStep::ZERO,
    })
    .ok()
}

/// The linear block and the balance.
fn block() -> Vec<Row> {
    let check = block_against_closed(100, 1e-3).ok();
    let error = check.map_or(f64::INFINITY, |c| c.greatest_error);
    let balance = check.map_or(f64::INFINITY, |c| c.balance_error);
    vec![
        Row {
            id: "plane-block-error".into(),
            what: "largest error in a quarter of a 30 × 44 mm block, D constant, 8 h, surface \
                   held, 100 × 100 gaps, of the surface step"
                .into(),
            source: "crank-1975",
            published: 0.0,
            computed: error,
            unit: "1",
            tolerance: 3e-4,
            reason: "what general-purpose finite elements reach on the same number of cells",
            kind: Kind::Identity,
        },
        Row {
            id: "plane-block-balance".into(),
            what: "uptake through the surface against gain inside, same block".into(),
            source: "crank-1975",
            published: 0.0,
            computed: balance,
            unit: "1",
            tolerance: 1e-12,
            reason: "rounding",
            kind: Kind::Identity,
        },
    ]
}

fn depth_row(id: &str, what: &str, (published, computed): (f64, f64), slope: f64) -> Row {
    Row {
        id: id.into(),
        what: what.into(),
        source: "radau-run",
        published,
        computed,
        unit: "mm",
        tolerance: 1e-3 / slope,
        reason: "the asked 1e-3 wt% over the slope of the profile there",
        kind: Kind::Validation,
    }
}

/// The flat of a thick plate's edge, far from the end.
fn flats() -> Vec<Row> {
    let t = Face::Treated;
    let edge = PlaneSection::PlateEdge {
        thickness: Length::from_mm(20.0),
        corner_radius: Length::from_mm(1.0),
        end: t,
        flats: [t; 2],
    };
    let held = run(edge, Surface::Fixed { carbon: w(1.2) });
    let fed = run(
        edge,
        Surface::Transfer {
            potential: w(1.1),
            coefficient: TransferCoefficient::from_m_s(1.5e-7),
            above: Temperature::from_c(800.0),
        },
    );
    let deep =
        |run: &Option<PlaneRun>, carbon| depth_mm(run.as_ref(), at(6.5, 0.0), at(6.5, 1.0), carbon);
    // Slopes in wt%/mm, from the reference profile.
    vec![
        depth_row(
            "plane-flat-held-040",
            "depth to 0.40 wt% on the flat of a plate's edge, 1.20 wt% held",
            (1.32637, deep(&held, 0.40)),
            0.49,
        ),
        depth_row(
            "plane-flat-held-022",
            "depth to 0.22 wt%, the same",
            (1.92881, deep(&held, 0.22)),
            0.14,
        ),
        depth_row(
            "plane-flat-fed-040",
            "depth to 0.40 wt%, fed from 1.10 wt% with 1.5e-7 m/s",
            (1.08951, deep(&fed, 0.40)),
            0.45,
        ),
    ]
}

/// The far side of a round bar with a keyway: a cylinder, on a mesh of squares.
fn round() -> Vec<Row> {
    let bar = PlaneSection::Keyway {
        body: KeywayBody::Round {
            diameter: Length::from_mm(20.0),
        },
        width: Length::from_mm(5.0),
        depth: Length::from_mm(3.0),
        fillet: Length::from_mm(0.4),
        outside: Face::Treated,
        slot: Face::Treated,
    };
    let run = run(bar, Surface::Fixed { carbon: w(1.2) });
    // Straight down and at 45 degrees.
    let half = 10.0 * std::f64::consts::FRAC_1_SQRT_2;
    let mut rows = Vec::new();
    for (name, from) in [("axis", at(0.0, 20.0)), ("slant", at(half, 10.0 + half))] {
        for (carbon, depth, slope) in [(0.40, 1.36185, 0.46), (0.22, 1.96519, 0.13)] {
            rows.push(depth_row(
                &format!("plane-round-{name}-{:.0}", 100.0 * carbon),
                &format!("depth to {carbon} wt% in a round bar of 20 mm, {name}"),
                (depth, depth_mm(run.as_ref(), from, at(0.0, 10.0), carbon)),
                slope,
            ));
        }
    }
    rows
}

/// Where the cases have met in a thin web it is a plate.
fn web() -> Vec<Row> {
    let t = Face::Treated;
    let mm = Length::from_mm;
    let section = PlaneSection::Web {
        thickness: mm(2.5),
        height: mm(14.0),
        fillet: mm(1.0),
        tip_radius: mm(0.3),
        tip: t,
        sides: t,
        floor: t,
    };
    let middle = run(section, pack())
        .and_then(|run| run.least_between(at(-1.25, 7.0), at(1.25, 7.0)))
        .map_or(f64::INFINITY, |(carbon, _)| carbon.to_wt_pct());
    let core = plate(mm(1.25), pack()).map_or(0.0, |run| run.at(&[mm(1.25)])[0].to_wt_pct());
    vec![Row {
        id: "plane-web-core".into(),
        what: "least carbon across a 2.5 mm web in a pack, against the one-dimensional plate"
            .into(),
        source: "macneal-1953",
        published: core,
        computed: middle,
        unit: "wt%",
        tolerance: 1e-3,
        reason: "the asked tolerance; the web is ten diffusion lengths from tip to root",
        kind: Kind::CrossCheck,
    }]
}

/// The middle of a side of a bar, far from its corners.
fn bar() -> Vec<Row> {
    let bar = PlaneSection::Rectangle {
        width: Length::from_mm(20.0),
        height: Length::from_mm(20.0),
        corner_radius: Length::from_mm(0.0),
        faces: [Face::Treated; 4],
    };
    let Some(run) = run(bar, pack()) else {
        return Vec::new();
    };
    let flat = plate(Length::from_mm(10.0), pack());
    let carbon = |p| run.at(p).map_or(f64::INFINITY, WeightPercent::to_wt_pct);
    vec![Row {
        id: "plane-flat-of-bar".into(),
        what: "skin of a 20 mm bar in the middle of a side in a pack, against the plate".into(),
        source: "macneal-1953",
        published: flat.map_or(0.0, |f| f.at(&[Length::from_mm(0.0)])[0].to_wt_pct()),
        computed: carbon(at(0.0, 10.0)),
        unit: "wt%",
        tolerance: 1e-3,
        reason: "the asked tolerance",
        kind: Kind::CrossCheck,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_within_its_tolerance_and_named_once() {
        let rows = rows();
        for row in &rows {
            println!(
                "{}: {:.2e} of {:.2e} {}",
                row.id,
                row.residual(),
                row.tolerance,
                row.unit
            );
        }
        let bad: Vec<&Row> = rows.iter().filter(|r| !r.ok()).collect();
        assert!(bad.is_empty(), "{bad:?}");
        let mut ids: Vec<&str> = rows.iter().map(|r| r.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), rows.len());
        // A run that failed must not hide its rows.
        assert_eq!(rows.len(), 11);
    }
}
