//! Time of one equilibrium, of a steel's boundaries, and of an activity in the hot loop.

use std::hint::black_box;

use casewright_physics::equilibrium::{
    AusteniteCarbon, Boundaries, Partition, PhaseSet, equilibrium, para_equilibrium,
};
use casewright_physics::matter::steel;
use casewright_terms::{Temperature, WeightPercent};
use criterion::{Criterion, criterion_group, criterion_main};

fn phases(c: &mut Criterion) {
    let mut group = c.benchmark_group("equilibrium");
    for (grade, carbon, celsius) in [
        ("1018", 0.18, 788.0),
        ("8620", 0.20, 788.0),
        ("8620", 1.00, 788.0),
        ("8620", 0.20, 600.0),
        ("18CrNiMo7-6", 0.80, 850.0),
    ] {
        let steel = steel::find(grade)
            .expect("a grade of the table")
            .middle()
            .with_carbon(WeightPercent::from_wt_pct(carbon));
        let t = Temperature::from_c(celsius);
        group.bench_function(format!("{grade} {carbon} C {celsius} °C"), |b| {
            b.iter(|| equilibrium(black_box(&steel), black_box(t), PhaseSet::STEEL));
        });
    }
    let steel = steel::find("8620").expect("a grade of the table").middle();
    let t = Temperature::from_c(788.0);
    group.bench_function("para, 8620 at 788 °C", |b| {
        b.iter(|| para_equilibrium(black_box(&steel), black_box(t), PhaseSet::STEEL));
    });
    group.bench_function("four boundaries of 8620", |b| {
        b.iter(|| {
            let mut all = Boundaries::new(black_box(&steel), PhaseSet::STEEL, Partition::Full);
            (all.ae1(), all.ae1_10pct(), all.carbide_gone(), all.ae3())
        });
    });
    group.bench_function("activity, prepared for one temperature", |b| {
        let austenite = AusteniteCarbon::at(&steel, t)
            .expect("inside the tables")
            .value;
        b.iter(|| austenite.ln_activity(black_box(0.04)));
    });
    group.finish();
}

criterion_group!(benches, phases);
criterion_main!(benches);
