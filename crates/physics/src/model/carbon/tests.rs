//! Tests that need the inside of the engine.

use super::*;
use crate::numerics::mesh::{Grading, Section};

#[test]
fn explore() {
    let y = crate::law::carbon_activity::to_site_fraction;
    let legs = vec![Leg {
        start_s: 0.0,
        end_s: 28800.0,
        from_k: 1200.15,
        to_k: 1200.15,
        beta_m_s: (0.0, 0.0),
        open: true,
    }];
    let mk = |tol: f64, grading| Problem {
        section: Section::Plate { half_m: 0.01 },
        law: Law::Agren,
        factor: 1.0,
        supply: Supply::Held { y: y(1.2) },
        legs: legs.clone(),
        core_y: y(0.18),
        tolerance_y: y(tol),
        limits: None,
        grading,
        equal_steps: None,
    };
    let w = |s: &Solved, x: f64| {
        let c: Vec<f64> =
            s.y.iter()
                .map(|v| crate::law::carbon_activity::to_wt_pct(*v))
                .collect();
        crate::numerics::interpolate::monotone_cubic(&s.mesh.depth_m, &c, x)
    };
    let reference = solve(&mk(
        1e-7,
        Some(Grading::Towards {
            finest_m: 2e-6,
            reach_m: 2e-3,
        }),
    ))
    .unwrap();
    println!("ref {} nodes {:?}", reference.mesh.len(), reference.counts);
    let worst = |s: &Solved| {
        s.mesh
            .depth_m
            .iter()
            .zip(&s.y)
            .map(|(x, v)| (crate::law::carbon_activity::to_wt_pct(*v) - w(&reference, *x)).abs())
            .fold(0.0, f64::max)
    };
    for tol in [1e-2, 1e-3, 1e-4, 1e-5] {
        let start = std::time::Instant::now();
        let s = solve(&mk(tol, None)).unwrap();
        println!(
            "tol {tol:e}: {} nodes {:?} err {:.3e} balance {:.1e} {:?}",
            s.mesh.len(),
            s.counts,
            worst(&s),
            s.uptake_m / s.gain_m - 1.0,
            start.elapsed()
        );
        let s2 = solve(&mk(
            tol,
            Some(Grading::Towards {
                finest_m: 2e-6,
                reach_m: 2e-3,
            }),
        ))
        .unwrap();
        println!(
            "     fine mesh: {} nodes {:?} err {:.3e}",
            s2.mesh.len(),
            s2.counts,
            worst(&s2)
        );
        let s3 = solve(&Problem {
            tolerance_y: 1e-9,
            grading: Some(mk(tol, None).grading()),
            ..mk(tol, None)
        })
        .unwrap();
        println!(
            "     fine time: {} nodes {:?} err {:.3e}",
            s3.mesh.len(),
            s3.counts,
            worst(&s3)
        );
    }
}
