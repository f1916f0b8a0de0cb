//! The 1D fixed-surface case beside a general ODE solver, on the same mesh, in one run.
//!
//! 8 h at 927 °C, plate of 10 mm half thickness, 1.20 wt% held on 0.18, D by Ågren. Prints wall
//! time (median and best of interleaved runs), steps and the true error of each. The truth is the
//! engine at 1e-7 wt%, which the accuracy table holds to 1e-6 wt% of an independent integrator.

use std::time::Instant;

use casewright_physics::numerics::interpolate::monotone_cubic;
use casewright_physics::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use casewright_physics::simulate;
use casewright_terms::{Composition, Length, Span, Temperature, TemperatureStep, WeightPercent};
use diffsol::{FaerSparseLU, FaerSparseMat, OdeBuilder, OdeSolverMethod, Vector};

type M = FaerSparseMat<f64>;
type LS = FaerSparseLU<f64>;

const T_K: f64 = 1200.15;
const END_S: f64 = 8.0 * 3600.0;
const ROUNDS: usize = 31;

fn case(tolerance: f64) -> CarbonSetup {
    let hot = Temperature::from_c(927.0);
    CarbonSetup {
        composition: Composition::plain(WeightPercent::from_wt_pct(0.18)),
        shape: Shape::Plate {
            half_thickness: Length::from_mm(10.0),
        },
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface: Surface::Fixed {
            carbon: WeightPercent::from_wt_pct(1.2),
        },
        cycle: Cycle {
            pieces: vec![Ramp {
                from: hot,
                to: hot,
                duration: Span::from_h(8.0),
            }],
        },
        tolerance: WeightPercent::from_wt_pct(tolerance),
        saturation_shift: TemperatureStep::ZERO,
    }
}

fn to_y(w: f64) -> f64 {
    (w / 12.011) / ((100.0 - w) / 55.845)
}

fn to_w(y: f64) -> f64 {
    100.0 * 12.011 * y / (12.011 * y + 55.845)
}

/// D and dD/dy, m²/s.
fn d(y: f64) -> (f64, f64) {
    let k = 1.0 / T_K - 2.221e-4;
    let e = 4.53e-7 * (-k * (17_767.0 - 26_436.0 * y)).exp();
    let f = 1.0 + y * (1.0 - y) * 8339.9 / T_K;
    (e * f, e * ((1.0 - 2.0 * y) * 8339.9 / T_K + f * 26_436.0 * k))
}

/// The general solver on these nodes: steps and profile in wt%.
fn general(depth_m: &[f64], rtol: f64) -> (usize, Vec<f64>) {
    let n = depth_m.len();
    let h: Vec<f64> = depth_m.windows(2).map(|w| w[1] - w[0]).collect();
    let v: Vec<f64> = (0..n)
        .map(|i| 0.5 * (if i > 0 { h[i - 1] } else { 0.0 } + h.get(i).copied().unwrap_or(0.0)))
        .collect();
    let (hr, vr) = (h.clone(), v.clone());
    let problem = OdeBuilder::<M>::new()
        .rtol(rtol)
        .atol([rtol * 1e-2])
        .h0(1e-4)
        .use_coloring(true)
        .rhs_implicit(
            move |x, _p, _t, y| {
                for i in 0..n {
                    y[i] = 0.0;
                }
                for i in 0..n - 1 {
                    let q = d(0.5 * (x[i] + x[i + 1])).0 * (x[i + 1] - x[i]) / hr[i];
                    y[i] += q / vr[i];
                    y[i + 1] -= q / vr[i + 1];
                }
                y[0] = 0.0;
            },
            move |x, _p, _t, u, y| {
                for i in 0..n {
                    y[i] = 0.0;
                }
                for i in 0..n - 1 {
                    let (dm, slope) = d(0.5 * (x[i] + x[i + 1]));
                    let step = x[i + 1] - x[i];
                    let q = (dm * (u[i + 1] - u[i]) + 0.5 * slope * (u[i] + u[i + 1]) * step) / h[i];
                    y[i] += q / v[i];
                    y[i + 1] -= q / v[i + 1];
                }
                y[0] = 0.0;
            },
        )
        .init(
            move |_p, _t, y| {
                for i in 0..n {
                    y[i] = to_y(0.18);
                }
                y[0] = to_y(1.2);
            },
            n,
        )
        .build()
        .expect("the problem is whole");
    let mut solver = problem.bdf::<LS>().expect("a solver");
    let mut steps = 0;
    while solver.state().t < END_S {
        solver.step().expect("a step");
        steps += 1;
    }
    let y = solver.interpolate(END_S).expect("inside the last step");
    (steps, y.clone_as_vec().into_iter().map(to_w).collect())
}

fn worst(depth: &[f64], w: &[f64], truth: &(Vec<f64>, Vec<f64>)) -> f64 {
    depth
        .iter()
        .zip(w)
        .map(|(x, w)| (w - monotone_cubic(&truth.0, &truth.1, *x)).abs())
        .fold(0.0, f64::max)
}

/// Interleaved: one of each per round, so that a busy machine hits all alike.
fn main() {
    let fine = simulate::carbon(&case(1e-7)).expect("settles");
    let truth = (fine.depth_m, fine.carbon_wt_pct);
    let setup = case(1e-4);
    let own = simulate::carbon(&setup).expect("settles");
    let mut times: Vec<(String, String, Vec<f64>)> = vec![(
        "casewright, 1e-4 wt%".into(),
        format!(
            "{} points, {} steps, error {:.1e} wt%",
            own.depth_m.len(),
            own.steps,
            worst(&own.depth_m, &own.carbon_wt_pct, &truth)
        ),
        Vec::new(),
    )];
    let tolerances = [1e-3, 3e-4, 1e-4, 1e-5];
    for rtol in tolerances {
        let (steps, w) = general(&own.depth_m, rtol);
        times.push((
            format!("diffsol BDF, sparse, rtol {rtol:.0e}"),
            format!(
                "{} points, {steps} steps, error {:.1e} wt%",
                w.len(),
                worst(&own.depth_m, &w, &truth)
            ),
            Vec::new(),
        ));
    }
    for _ in 0..ROUNDS {
        for (k, (_, _, times)) in times.iter_mut().enumerate() {
            let start = Instant::now();
            if k == 0 {
                std::hint::black_box(simulate::carbon(&setup)).expect("settles");
            } else {
                std::hint::black_box(general(&own.depth_m, tolerances[k - 1]));
            }
            times.push(start.elapsed().as_secs_f64() * 1e3);
        }
    }
    let mut first = None;
    for (name, what, mut times) in times {
        times.sort_by(f64::total_cmp);
        let (best, median) = (times[0], times[times.len() / 2]);
        let base = *first.get_or_insert((best, median));
        println!(
            "{name:34} best {best:8.3} ms  median {median:8.3} ms  ratio {:5.1} / {:5.1}   {what}",
            best / base.0,
            median / base.1
        );
    }
}
