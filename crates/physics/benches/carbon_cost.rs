//! What a carbon run costs: against points, against members of an ensemble, and an ensemble of a
//! thousand whole pack cycles on two threads. Prints tables; `docs/benchmarks.md` quotes them.

#![expect(
    clippy::disallowed_methods,
    reason = "a benchmark looks at the clock; its result is the time"
)]

use std::time::Instant;

use casewright_physics::run::CarbonRun;
use casewright_physics::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use casewright_physics::simulate;
use casewright_terms::{
    Composition, Length, Span, Temperature, TemperatureStep, TransferCoefficient, WeightPercent,
};

fn ramp(from_c: f64, to_c: f64, hours: f64) -> Ramp {
    Ramp {
        from: Temperature::from_c(from_c),
        to: Temperature::from_c(to_c),
        duration: Span::from_h(hours),
    }
}

fn setup(surface: Surface, pieces: Vec<Ramp>, tolerance: f64) -> CarbonSetup {
    CarbonSetup {
        composition: Composition::plain(WeightPercent::from_wt_pct(0.18)),
        shape: Shape::Plate {
            half_thickness: Length::from_mm(10.0),
        },
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle { pieces },
        tolerance: WeightPercent::from_wt_pct(tolerance),
        saturation_shift: TemperatureStep::ZERO,
    }
}

/// Member `k` of an ensemble: transfer, diffusivity and furnace moved along a fixed lattice.
fn member(k: usize, tolerance: f64) -> CarbonSetup {
    let part = |step: f64| (k as f64 * step).fract() - 0.5;
    let pack = Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-7 * (1.0 + part(0.618_034))),
        begins: Temperature::from_c(700.0),
        full: Temperature::from_c(760.0),
    };
    let hot = 927.0 + 20.0 * part(0.754_878);
    let cycle = vec![
        ramp(25.0, hot, 2.5),
        ramp(hot, hot, 8.0),
        ramp(hot, 25.0, 14.0),
    ];
    let mut setup = setup(pack, cycle, tolerance);
    setup.diffusivity_factor = 1.0 + 0.2 * part(0.569_840);
    setup
}

/// Runs members `0..count` on two threads; seconds, and a sum so that nothing is left out.
fn ensemble(count: usize, tolerance: f64) -> (f64, f64) {
    let start = Instant::now();
    let half = |first: usize| -> f64 {
        (first..count)
            .step_by(2)
            .map(|k| {
                let run = simulate::carbon(&member(k, tolerance)).expect("settles");
                run.uptake_g_m2
            })
            .sum()
    };
    let sum = std::thread::scope(|scope| {
        let other = scope.spawn(|| half(1));
        half(0) + other.join().expect("no panic")
    });
    (start.elapsed().as_secs_f64(), sum)
}

/// Largest difference at the nodes from a run of a thousandth of the error.
fn true_error(run: &CarbonRun, truth: &CarbonRun) -> f64 {
    let depths: Vec<Length> = run.depth_m.iter().map(|x| Length::from_m(*x)).collect();
    truth
        .at(&depths)
        .iter()
        .zip(&run.carbon_wt_pct)
        .map(|(exact, ours)| (exact.to_wt_pct() - ours).abs())
        .fold(0.0, f64::max)
}

/// Best and median of `rounds` runs, in milliseconds.
fn timed_ms(rounds: usize, case: &CarbonSetup) -> (f64, f64, CarbonRun) {
    let mut times = Vec::with_capacity(rounds);
    let mut last = None;
    for _ in 0..rounds {
        let start = Instant::now();
        last = Some(simulate::carbon(std::hint::black_box(case)).expect("settles"));
        times.push(start.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    (
        times[0],
        times[rounds / 2],
        last.expect("at least one round"),
    )
}

fn main() {
    let held = Surface::Fixed {
        carbon: WeightPercent::from_wt_pct(1.2),
    };
    println!("cost against points: 8 h at 927 °C, 1.20 wt% held, one thread");
    println!(
        "tolerance  points  steps   best ms  median ms  best ns per point and step  true error"
    );
    let truth = simulate::carbon(&setup(held.clone(), vec![ramp(927.0, 927.0, 8.0)], 1e-7));
    let truth = truth.expect("settles");
    for tolerance in [1e-2, 1e-3, 3e-4, 2e-4, 1e-4, 1e-5, 1e-6] {
        let case = setup(held.clone(), vec![ramp(927.0, 927.0, 8.0)], tolerance);
        let (best, median, run) = timed_ms(if tolerance > 5e-6 { 201 } else { 11 }, &case);
        let work = (run.depth_m.len() * (run.steps + run.refused)) as f64;
        println!(
            "{tolerance:9.0e} {:7} {:6} {best:9.3} {median:10.3} {:27.0} {:11.1e}",
            run.depth_m.len(),
            run.steps,
            best * 1e6 / work,
            true_error(&run, &truth)
        );
    }
    for tolerance in [1e-3, 1e-4] {
        println!("\nensemble of whole pack cycles (24.5 h), {tolerance:.0e} wt%, two threads");
        println!("members  seconds  ms per member");
        for count in [125, 250, 500, 1000] {
            let best = (0..3)
                .map(|_| ensemble(count, tolerance))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .expect("three rounds");
            assert!(best.1.is_finite());
            println!(
                "{count:7} {:8.3} {:10.3}",
                best.0,
                1e3 * best.0 / count as f64
            );
        }
    }
}
