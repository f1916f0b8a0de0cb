//! Time of packed boxes in three dimensions: a load of twelve pins over its whole cycle at each
//! detail, and a brick of constant properties beside a general solver (`benches/peers/brick.py`).

use casewright_physics::setup::{
    Axis, BoxDetail, BoxFurnace, BoxSetup, Cooling, PackedBed, PackedBox, Solid, SolidForm, Survey,
};
use casewright_physics::{model::box_heat, simulate};
use casewright_terms::{Density, Fraction, Length, Power, Span, Temperature, TemperatureStep};
use criterion::{Criterion, criterion_group, criterion_main};

fn mm3(l: [f64; 3]) -> [Length; 3] {
    l.map(Length::from_mm)
}

fn load(detail: BoxDetail) -> BoxSetup {
    let k = TemperatureStep::from_k;
    let pin = |n: u32| Solid {
        mark: (n + 1).to_string(),
        at: mm3([
            25.0 + 42.0 * f64::from(n % 3),
            25.0 + 44.0 * f64::from(n / 3),
            40.0,
        ]),
        size: mm3([16.0, 16.0, 70.0]),
        form: SolidForm::Round { about: Axis::Z },
    };
    BoxSetup {
        boxes: vec![PackedBox {
            mark: "B1".to_owned(),
            inside: mm3([150.0, 200.0, 150.0]),
            wall: Length::from_mm(6.0),
            stands_at: None,
            bed: PackedBed {
                bulk_density: Density::from_kg_m3(300.0),
                grain: Length::from_mm(4.0),
                moisture: Fraction::from_ratio(0.0),
                gap: Length::ZERO,
                factor: 1.0,
            },
            solids: (0..12).map(pin).collect(),
            spread_steel: Fraction::from_ratio(0.0),
            probes: Vec::new(),
            exposure: [1.0; 6],
        }],
        furnace: BoxFurnace {
            chamber: mm3([300.0, 450.0, 250.0]),
            power: Power::from_kw(9.0),
            survey: Survey {
                at: Temperature::from_c(927.0),
                door: k(-12.0),
                back: k(6.0),
                hearth: k(-3.0),
                roof: k(2.0),
            },
            couple_lag: Span::ZERO,
            band: k(2.0),
            load_at: Temperature::from_c(25.0),
            exchange_factor: 1.0,
        },
        cold: Temperature::from_c(25.0),
        set: Temperature::from_c(927.0),
        rise: Span::ZERO,
        hot_within: k(10.0),
        soak: Span::from_h(8.0),
        cooling: Cooling::InFurnace,
        detail,
    }
}

fn boxes(c: &mut Criterion) {
    for detail in [BoxDetail::Coarse, BoxDetail::Standard] {
        let setup = load(detail);
        let run = simulate::packed_boxes(&setup).expect("a valid setup settles");
        println!(
            "{detail:?}: hot after {:.3} h, {} cells, {} steps, {} refused, {} passes, balance {:.0e}",
            run.hot_after.to_h(),
            run.cells,
            run.steps,
            run.refused,
            run.passes,
            run.balance_error
        );
        c.bench_function(&format!("twelve pins, whole cycle, {detail:?}"), |b| {
            b.iter(|| simulate::packed_boxes(std::hint::black_box(&setup)))
        });
        c.bench_function(&format!("twelve pins, until hot, {detail:?}"), |b| {
            b.iter(|| box_heat::hot_after(std::hint::black_box(&setup)))
        });
    }
}

fn brick(c: &mut Criterion) {
    for (cells, allowed_k) in [(10, 1.0), (20, 0.2)] {
        let error = box_heat::brick_against_series(cells, allowed_k).expect("the brick settles");
        println!(
            "brick, {cells} cells a side, {allowed_k} K a step: error {error:.1e} of the step"
        );
        c.bench_function(
            &format!("brick, {cells} cells a side, {allowed_k} K a step"),
            |b| b.iter(|| box_heat::brick_against_series(std::hint::black_box(cells), allowed_k)),
        );
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = boxes, brick
}
criterion_main!(benches);
