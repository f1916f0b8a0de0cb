//! Time of carbon runs in two dimensions, with nodes, steps and solver passes beside it.
//!
//! The block is the linear case that general-purpose tools were timed on: a quarter of 30 × 44 mm,
//! constant diffusivity, 8 h, 100 gaps each way. Their best there was NGSolve (linear elements,
//! 100 steps of a second-order method, direct solver): 0.59 s at an error of 2.9e-4 of the step,
//! on the same kind of machine, quiet. Rerun both side by side before quoting a ratio.

use casewright_physics::model::carbon_plane::block_against_closed;
use casewright_physics::setup::{
    Cycle, DiffusivityModel, Face, KeywayBody, PlaneGrid, PlaneSection, PlaneSetup, Ramp, Surface,
};
use casewright_physics::simulate;
use casewright_terms::{
    Composition, Length, Span, Temperature, TransferCoefficient, WeightPercent,
};
use criterion::{Criterion, criterion_group, criterion_main};

/// NGSolve 6.2, figures as above.
const PEER_S: f64 = 0.59;
const PEER_ERROR: f64 = 2.9e-4;

fn ramp(from_c: f64, to_c: f64, hours: f64) -> Ramp {
    Ramp {
        from: Temperature::from_c(from_c),
        to: Temperature::from_c(to_c),
        duration: Span::from_h(hours),
    }
}

fn setup(section: PlaneSection, surface: Surface, grid: PlaneGrid) -> PlaneSetup {
    PlaneSetup {
        composition: Composition::plain(WeightPercent::from_wt_pct(0.18)),
        section,
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle {
            pieces: vec![
                ramp(25.0, 927.0, 2.5),
                ramp(927.0, 927.0, 8.0),
                ramp(927.0, 25.0, 14.0),
            ],
        },
        tolerance: WeightPercent::from_wt_pct(1e-3),
        grid,
    }
}

fn block(c: &mut Criterion) {
    for tolerance in [1e-3, 1e-4] {
        let check = block_against_closed(100, tolerance).expect("the closed case settles");
        println!(
            "block, 100 x 100 gaps, control {tolerance:e}: error {:.1e} (peer {PEER_ERROR:.1e} in \
             {PEER_S} s), {} nodes, {} steps, {} passes",
            check.greatest_error, check.nodes, check.steps, check.passes
        );
        c.bench_function(&format!("block 100 x 100, control {tolerance:e}"), |b| {
            b.iter(|| block_against_closed(std::hint::black_box(100), tolerance))
        });
    }
}

fn cycles(c: &mut Criterion) {
    let mm = Length::from_mm;
    let t = Face::Treated;
    let bar = |radius| PlaneSection::Rectangle {
        width: mm(20.0),
        height: mm(30.0),
        corner_radius: mm(radius),
        faces: [t; 4],
    };
    let keyway = PlaneSection::Keyway {
        body: KeywayBody::Round { diameter: mm(20.0) },
        width: mm(6.0),
        depth: mm(3.5),
        fillet: mm(0.4),
        outside: t,
        slot: t,
    };
    let bore = PlaneSection::BoreNearWall {
        diameter: mm(6.0),
        wall: mm(3.0),
        bore: t,
        surface: t,
    };
    let pack = Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-7),
        begins: Temperature::from_c(727.0),
        full: Temperature::from_c(780.0),
    };
    let held = Surface::Fixed {
        carbon: WeightPercent::from_wt_pct(1.0),
    };
    let fixed = |n| PlaneGrid::Gaps { x: n, y: n };
    for (name, case) in [
        ("corner, held, 100 x 100", setup(bar(0.0), held, fixed(100))),
        (
            "corner, pack, 100 x 100",
            setup(bar(0.0), pack.clone(), fixed(100)),
        ),
        (
            "corner, pack, 50 x 50",
            setup(bar(0.0), pack.clone(), fixed(50)),
        ),
        (
            "corner, pack, 200 x 200",
            setup(bar(0.0), pack.clone(), fixed(200)),
        ),
        (
            "1 mm corner, pack, 100 x 100",
            setup(bar(1.0), pack.clone(), fixed(100)),
        ),
        (
            "1 mm corner, pack, by tolerance",
            setup(bar(1.0), pack.clone(), PlaneGrid::ByTolerance),
        ),
        (
            "bore near wall, pack, by tolerance",
            setup(bore, pack.clone(), PlaneGrid::ByTolerance),
        ),
        (
            "keyway in a round, pack, by tolerance",
            setup(keyway, pack.clone(), PlaneGrid::ByTolerance),
        ),
    ] {
        let run = simulate::carbon_plane(&case).expect("a valid setup settles");
        println!(
            "{name}: {} nodes, {} steps, {} refused, {} passes, balance {:.0e}",
            run.points_m.len(),
            run.steps,
            run.refused,
            run.passes,
            run.balance_error
        );
        c.bench_function(name, |b| {
            b.iter(|| simulate::carbon_plane(std::hint::black_box(&case)))
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = block, cycles
}
criterion_main!(benches);
