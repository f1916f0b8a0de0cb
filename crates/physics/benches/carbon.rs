//! Time of one carbon run, with its steps and points beside it.

use casewright_physics::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use casewright_physics::simulate;
use casewright_terms::{
    Composition, Length, Span, Temperature, TemperatureStep, TransferCoefficient, WeightPercent,
};
use criterion::{Criterion, criterion_group, criterion_main};

fn ramp(from_c: f64, to_c: f64, hours: f64) -> Ramp {
    Ramp {
        from: Temperature::from_c(from_c),
        to: Temperature::from_c(to_c),
        duration: Span::from_h(hours),
    }
}

fn setup(surface: Surface, pieces: Vec<Ramp>) -> CarbonSetup {
    CarbonSetup {
        composition: Composition::plain(WeightPercent::from_wt_pct(0.18)),
        shape: Shape::Plate {
            half_thickness: Length::from_mm(10.0),
        },
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle { pieces },
        tolerance: WeightPercent::from_wt_pct(1e-4),
        saturation_shift: TemperatureStep::ZERO,
    }
}

fn runs(c: &mut Criterion) {
    let pack = Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-7),
        begins: Temperature::from_c(727.0),
        full: Temperature::from_c(780.0),
    };
    let held = Surface::Fixed {
        carbon: WeightPercent::from_wt_pct(1.2),
    };
    let cycle = vec![
        ramp(25.0, 927.0, 2.5),
        ramp(927.0, 927.0, 8.0),
        ramp(927.0, 25.0, 14.0),
    ];
    let mut loose = setup(pack.clone(), cycle.clone());
    loose.tolerance = WeightPercent::from_wt_pct(1e-3);
    for (name, case) in [
        (
            "8 h at 927 C, held surface, 1e-4 wt%",
            setup(held, vec![ramp(927.0, 927.0, 8.0)]),
        ),
        ("whole pack cycle, 1e-4 wt%", setup(pack, cycle)),
        ("whole pack cycle, 1e-3 wt%", loose),
    ] {
        let run = simulate::carbon(&case).expect("a valid setup settles");
        println!(
            "{name}: {} points, {} steps, {} refused",
            run.depth_m.len(),
            run.steps,
            run.refused
        );
        c.bench_function(name, |b| {
            b.iter(|| simulate::carbon(std::hint::black_box(&case)))
        });
    }
}

criterion_group!(benches, runs);
criterion_main!(benches);
