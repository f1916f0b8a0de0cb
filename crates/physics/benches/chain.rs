//! Time of a quench, of hardening one carbon run, of the whole chain and of heating one box.

use std::hint::black_box;

use casewright_physics::model::chain::{harden, run_chain};
use casewright_physics::model::curves::transformation_curves;
use casewright_physics::model::pack_heat::heat_pack;
use casewright_physics::model::quench::quench;
use casewright_physics::model::quench_part::quench_part;
use casewright_physics::model::steel_card::steel_card;
use casewright_physics::model::testers::would_read;
use casewright_physics::setup::{
    Austenitise, CarbonSetup, ChainSetup, Cooling, CurvesSetup, Cycle, DiffusivityModel,
    PackHeatSetup, PlanePoint, QuenchBody, QuenchPartSetup, QuenchPlaces, QuenchSetup, Quenchant,
    Ramp, Shape, Stirring, Surface, Temper,
};
use casewright_terms::{
    Composition, Density, Element, Fraction, Length, Power, Scale, Span, Temperature,
    TemperatureStep, TransferCoefficient, WeightPercent,
};
use criterion::{Criterion, criterion_group, criterion_main};

/// A 12 mm round of plain steel: 8 h at 927 °C, 788 °C into stirred water, 1 h at 204 °C.
fn job() -> ChainSetup {
    let hot = Temperature::from_c(927.0);
    let wt = WeightPercent::from_wt_pct;
    let shape = Shape::Cylinder {
        radius: Length::from_mm(6.0),
    };
    ChainSetup {
        carbon: CarbonSetup {
            composition: Composition::new(&[
                (Element::C, wt(0.18)),
                (Element::Mn, wt(0.75)),
                (Element::Si, wt(0.20)),
            ])
            .expect("a plain steel"),
            shape,
            diffusivity: DiffusivityModel::Agren1986,
            diffusivity_factor: 1.0,
            surface: Surface::Pack {
                coefficient: TransferCoefficient::from_m_s(1e-7),
                begins: Temperature::from_c(700.0),
                full: Temperature::from_c(760.0),
            },
            cycle: Cycle {
                pieces: vec![Ramp {
                    from: hot,
                    to: hot,
                    duration: Span::from_h(8.0),
                }],
            },
            tolerance: wt(1e-4),
            saturation_shift: TemperatureStep::ZERO,
        },
        reheats: vec![Austenitise {
            temperature: Temperature::from_c(788.0),
            soak: Span::from_min(15.0),
            bare: false,
        }],
        direct_from: None,
        quench: QuenchSetup {
            quenchant: Quenchant::Water,
            stirring: Stirring::Good,
            bath: Temperature::from_c(20.0),
            transfer: Span::from_s(3.0),
            severity_factor: 1.0,
        },
        temper: Some(Temper {
            temperature: Temperature::from_c(204.0),
            soak: Span::from_h(1.0),
        }),
        grain_number: 8.0,
        quench_shape: shape,
        kinetics_factor: 1.0,
        hardness_shift: 0.0,
        ae3_shift: TemperatureStep::ZERO,
    }
}

fn pack() -> PackHeatSetup {
    let mm = Length::from_mm;
    PackHeatSetup {
        box_inside: [mm(150.0), mm(150.0), mm(200.0)],
        wall: mm(6.0),
        steel_fraction: Fraction::from_ratio(0.12),
        bulk_density: Density::from_kg_m3(300.0),
        grain: mm(4.0),
        power: Power::from_kw(9.0),
        chamber: [mm(300.0), mm(250.0), mm(450.0)],
        load_at: Temperature::from_c(25.0),
        set: Temperature::from_c(927.0),
        soak: Span::from_h(8.0),
        cooling: Cooling::InFurnace,
        bed_factor: 1.0,
    }
}

/// The same steel as a square bar with a case, quenched in the same bath.
fn bar(job: &ChainSetup) -> QuenchPartSetup {
    let (mm, wt) = (Length::from_mm, WeightPercent::from_wt_pct);
    let point = |x, y| PlanePoint { x: mm(x), y: mm(y) };
    QuenchPartSetup {
        composition: job.carbon.composition,
        body: QuenchBody::Bar {
            width: mm(25.0),
            height: mm(25.0),
        },
        profile: vec![(mm(0.0), wt(0.85)), (mm(1.0), wt(0.18))],
        from: Temperature::from_c(850.0),
        quench: job.quench,
        grain_number: 8.0,
        places: QuenchPlaces::Points(vec![point(0.5, 0.5), point(12.5, 0.5)]),
        bath: None,
    }
}

fn chain(c: &mut Criterion) {
    let setup = job();
    let run = run_chain(&setup).expect("the job runs");
    let from = Temperature::from_c(788.0);
    let cooling = quench(&setup.quench, setup.quench_shape, from).expect("the quench runs");
    println!(
        "quench: {} steps, {} refused; layers: {}",
        cooling.steps,
        cooling.refused,
        run.layers.len()
    );
    c.bench_function("quench, austenite only", |b| {
        b.iter(|| quench(black_box(&setup.quench), setup.quench_shape, from));
    });
    c.bench_function("quench a 25 mm square bar in two dimensions", |b| {
        let bar = bar(&setup);
        b.iter(|| quench_part(black_box(&bar)));
    });
    c.bench_function("harden after half an hour bare", |b| {
        let mut bare = setup.clone();
        bare.reheats[0].bare = true;
        bare.reheats[0].soak = Span::from_min(30.0);
        b.iter(|| harden(black_box(&run.carbon), &bare));
    });
    c.bench_function("harden one carbon run", |b| {
        b.iter(|| harden(black_box(&run.carbon), &setup))
    });
    c.bench_function("whole chain", |b| b.iter(|| run_chain(black_box(&setup))));
    c.bench_function("heat one pack", |b| {
        let setup = pack();
        b.iter(|| heat_pack(black_box(&setup)));
    });
    c.bench_function("transformation curves", |b| {
        let curves = CurvesSetup {
            composition: setup.carbon.composition,
            carbon: WeightPercent::from_wt_pct(0.8),
            grain_number: 7.0,
            from: Temperature::from_c(927.0),
        };
        b.iter(|| transformation_curves(black_box(&curves)));
    });
    c.bench_function("one steel card", |b| {
        let case = Some(WeightPercent::from_wt_pct(0.8));
        b.iter(|| steel_card(black_box(&setup.carbon.composition), case, from));
    });
    c.bench_function("one tester reading", |b| {
        b.iter(|| would_read(black_box(&run.layers), Scale::Hrc, Length::ZERO, None));
    });
}

criterion_group!(benches, chain);
criterion_main!(benches);
