//! Transformation curves, on the wire.

use casewright_physics::run::{CoolingCurve, CurvePoint, TransformationCurves};
use casewright_terms::Span;
use serde::Serialize;

use super::diag::{RemarkLine, remarks};
use super::number;

/// Curves of one austenite; times that are not reached are `null`.
#[derive(Debug, Serialize)]
pub(crate) struct Curves {
    carbon_wt_pct: f64,
    grain_number: f64,
    lines: Lines,
    isothermal: Isothermal,
    cooling: Vec<Cooling>,
    critical_rate_700c_k_s: Option<f64>,
    half_martensite_rate_700c_k_s: Option<f64>,
    remarks: Vec<RemarkLine>,
}

#[derive(Debug, Serialize)]
struct Lines {
    ae3_c: f64,
    ae1_c: f64,
    bainite_start_c: f64,
    martensite_start_c: f64,
    martensite_half_c: f64,
    martensite_90pct_c: f64,
}

/// Arrays of one length, from hot to cold.
#[derive(Debug, Serialize)]
struct Isothermal {
    temperature_c: Vec<f64>,
    first: Vec<Option<&'static str>>,
    start_1pct_s: Vec<Option<f64>>,
    half_50pct_s: Vec<Option<f64>>,
    end_99pct_s: Vec<Option<f64>>,
}

#[derive(Debug, Serialize)]
struct Cooling {
    rate_700c_k_s: f64,
    ferrite_start: Option<Point>,
    pearlite_start: Option<Point>,
    bainite_start: Option<Point>,
    half_50pct: Option<Point>,
    end_99pct: Option<Point>,
    martensite_start: Option<Point>,
    ferrite: f64,
    pearlite: f64,
    bainite: f64,
    martensite: f64,
    retained_austenite: f64,
    hardness_hv: f64,
    hardness_hrc: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Point {
    time_s: f64,
    temperature_c: f64,
}

impl Curves {
    /// From the curves.
    pub(crate) fn of(curves: &TransformationCurves) -> Self {
        let lines = &curves.lines;
        let points = &curves.isothermal;
        let times = |f: fn(&casewright_physics::run::IsothermalPoint) -> Option<Span>| {
            points
                .iter()
                .map(|p| f(p).map(|time| number(time.to_s())))
                .collect()
        };
        Self {
            carbon_wt_pct: number(curves.carbon.to_wt_pct()),
            grain_number: number(curves.grain_number),
            lines: Lines {
                ae3_c: number(lines.ae3.to_c()),
                ae1_c: number(lines.ae1.to_c()),
                bainite_start_c: number(lines.bainite.to_c()),
                martensite_start_c: number(lines.martensite.to_c()),
                martensite_half_c: number(lines.half_martensite.to_c()),
                martensite_90pct_c: number(lines.most_martensite.to_c()),
            },
            isothermal: Isothermal {
                temperature_c: points
                    .iter()
                    .map(|p| number(p.temperature.to_c()))
                    .collect(),
                first: points
                    .iter()
                    .map(|p| p.first.map(|product| product.word()))
                    .collect(),
                start_1pct_s: times(|p| p.start),
                half_50pct_s: times(|p| p.half),
                end_99pct_s: times(|p| p.end),
            },
            cooling: curves.cooling.iter().map(cooling).collect(),
            critical_rate_700c_k_s: curves.critical_rate_k_s.map(number),
            half_martensite_rate_700c_k_s: curves.half_martensite_rate_k_s.map(number),
            remarks: remarks(&curves.remarks),
        }
    }
}

fn cooling(way: &CoolingCurve) -> Cooling {
    let [ferrite, pearlite, bainite] = way.starts.map(|start| start.map(point));
    Cooling {
        rate_700c_k_s: number(way.rate_k_s),
        ferrite_start: ferrite,
        pearlite_start: pearlite,
        bainite_start: bainite,
        half_50pct: way.half.map(point),
        end_99pct: way.end.map(point),
        martensite_start: way.martensite.map(point),
        ferrite: number(way.phases.ferrite),
        pearlite: number(way.phases.pearlite),
        bainite: number(way.phases.bainite),
        martensite: number(way.phases.martensite),
        retained_austenite: number(way.phases.retained_austenite),
        hardness_hv: number(way.hardness.to_hv()),
        hardness_hrc: way.hrc.map(number),
    }
}

fn point(point: CurvePoint) -> Point {
    Point {
        time_s: number(point.time.to_s()),
        temperature_c: number(point.temperature.to_c()),
    }
}
