//! Ground steps: the hardness under each step from what a tester read there, which felt the softer
//! steel below it too.
//!
//! The contact model of physics says what a scale would read on a layered case. It is turned round by
//! repetition: the layers are moved by what the reading on each step is off, until every step reads
//! what was read.

use casewright_job::evidence::TestScale;
use casewright_physics::law::case_depth::TraversePoint;
use casewright_physics::law::hardness_conversion::hv_of;
use casewright_physics::model::testers::would_read;
use casewright_physics::run::Layers;
use casewright_terms::{Hardness, Length, Vickers};

/// Steps with their readings.
pub(super) struct Steps {
    pub(super) scale: TestScale,
    pub(super) depths: Vec<Length>,
    pub(super) values: Vec<Vec<f64>>,
    pub(super) depth_error_m: f64,
}

/// The hardness under the steps.
pub(super) struct Solved {
    /// With the softer steel under each reading taken out.
    pub(super) points: Vec<TraversePoint>,
    /// The readings as converted.
    pub(super) raw: Vec<TraversePoint>,
    /// Whether the repetition settled; `points` are `raw` where not.
    pub(super) settled: bool,
}

/// Repetitions before it is given up.
const MOST_TURNS: usize = 40;
/// Settled when no step is off by more, in HV: a tenth of a point of HRC at 60 HRC.
const SETTLED_HV: f64 = 2.5;
/// Softest and hardest that a layer is moved to, in HV.
const RANGE_HV: (f64, f64) = (120.0, 950.0);
/// How far below the last step the curve is drawn on, in mm, at the last slope.
const BEYOND_MM: f64 = 0.6;

/// Solves the steps; `None` where a reading has no conversion.
pub(super) fn solve(steps: &Steps) -> Option<Solved> {
    let read_hv: Vec<f64> = steps
        .values
        .iter()
        .map(|values| {
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            let mean = sorted.iter().sum::<f64>() / sorted.len() as f64;
            Some(hv_of(Hardness::new(steps.scale.scale, mean))?.value.to_hv())
        })
        .collect::<Option<_>>()?;
    let point = |(depth, hv): (&Length, &f64)| TraversePoint {
        depth: *depth,
        hardness: Vickers::from_hv(*hv),
    };
    let raw: Vec<TraversePoint> = steps.depths.iter().zip(&read_hv).map(point).collect();
    let solved = (steps.depths.len() >= 2)
        .then(|| turn_round(steps, &read_hv))
        .flatten();
    Some(match solved {
        Some(hv) => Solved {
            points: steps.depths.iter().zip(&hv).map(point).collect(),
            raw,
            settled: true,
        },
        None => Solved {
            points: raw.clone(),
            raw,
            settled: false,
        },
    })
}

fn turn_round(steps: &Steps, read_hv: &[f64]) -> Option<Vec<f64>> {
    let mut hv = read_hv.to_vec();
    for _ in 0..MOST_TURNS {
        let layers = drawn_on(&steps.depths, &hv);
        let mut most = 0.0_f64;
        for (i, depth) in steps.depths.iter().enumerate() {
            let reading = would_read(&layers, steps.scale.scale, *depth, None).reading?;
            let felt = hv_of(Hardness::new(steps.scale.scale, reading))?
                .value
                .to_hv();
            let off = read_hv[i] - felt;
            most = most.max(off.abs());
            hv[i] = (hv[i] + off).clamp(RANGE_HV.0, RANGE_HV.1);
        }
        if most < SETTLED_HV {
            return Some(hv);
        }
    }
    None
}

/// Layers through the steps, drawn on below the last one at the last slope.
pub(super) fn drawn_on(depths: &[Length], hv: &[f64]) -> Layers {
    let mut depth_m: Vec<f64> = depths.iter().map(|d| d.to_m()).collect();
    let mut hardness_hv = hv.to_vec();
    if depth_m.first().is_some_and(|first| *first > 0.0) {
        depth_m.insert(0, 0.0);
        hardness_hv.insert(0, hv[0]);
    }
    let n = depth_m.len();
    if n >= 2 {
        let beyond = Length::from_mm(BEYOND_MM).to_m();
        let slope = (hardness_hv[n - 1] - hardness_hv[n - 2]) / (depth_m[n - 1] - depth_m[n - 2]);
        let end = (hardness_hv[n - 1] + slope.min(0.0) * beyond)
            .clamp(RANGE_HV.0 + 80.0, RANGE_HV.1)
            .min(hardness_hv[n - 1]);
        let last = depth_m[n - 1];
        depth_m.extend([last + beyond, last + 20.0 * beyond]);
        hardness_hv.extend([end, end]);
    }
    layers(depth_m, hardness_hv)
}

/// Layers of which only the hardness is known.
pub(super) fn layers(depth_m: Vec<f64>, hardness_hv: Vec<f64>) -> Layers {
    let none = vec![0.0; depth_m.len()];
    Layers {
        carbon_wt_pct: none.clone(),
        martensite: none.clone(),
        retained_austenite: none.clone(),
        bainite: none.clone(),
        pearlite: none.clone(),
        ferrite: none.clone(),
        carbide: none,
        quenched_hv: hardness_hv.clone(),
        hardness_hv,
        depth_m,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_physics::law::case_depth::{DepthFound, from_traverse};
    use casewright_terms::Scale;

    /// A case that falls from 700 to 250 HV between 0.5 and 1.3 mm, read by 15N on steps of 0.1 mm as
    /// the contact model says it would be: turning round must come back to the curve. Half a step of
    /// the table of 15N (0.05) is 2.5 HV, 0.005 mm on this slope; ten times that for what lies
    /// between and below the steps.
    #[test]
    fn what_the_model_would_read_comes_back() {
        let depth_m: Vec<f64> = (0..=60).map(|i| f64::from(i) * 5e-5).collect();
        let curve = |z: f64| (700.0 - (z - 5e-4).max(0.0) * 450.0 / 8e-4).max(250.0);
        let hv: Vec<f64> = depth_m.iter().map(|z| curve(*z)).collect();
        let body = layers(depth_m, hv);
        let scale = Scale::Hr15n;
        let depths: Vec<Length> = (0..=12)
            .map(|i| Length::from_mm(0.1 * f64::from(i)))
            .collect();
        let values: Vec<Vec<f64>> = depths
            .iter()
            .map(|d| vec![would_read(&body, scale, *d, None).reading.unwrap()])
            .collect();
        let steps = Steps {
            scale: TestScale {
                scale,
                force_kgf: None,
            },
            depths,
            values,
            depth_error_m: 0.0,
        };
        let solved = solve(&steps).unwrap();
        assert!(solved.settled);
        let limit = Vickers::from_hv(550.0);
        let at = |points: &[TraversePoint]| match from_traverse(points, limit).unwrap().value {
            DepthFound::At(depth) => depth.to_mm(),
            other => panic!("{other:?}"),
        };
        let truth = 0.5 + 150.0 * 0.8 / 450.0;
        let (ours, raw) = (at(&solved.points), at(&solved.raw));
        println!("truth {truth:.3} ours {ours:.3} raw {raw:.3}");
        assert!((ours - truth).abs() < 0.05, "{ours} {truth}");
        // As converted the case seems shallower: the reading feels the core.
        assert!(raw < truth - 0.01, "{raw}");
    }
}
