use super::*;
use crate::setup::{
    Axis, BoxFurnace, PackedBed, Probe, Solid, SolidForm, Survey,
};
use casewright_terms::{Density, Length, Power, Temperature, TemperatureStep};

fn mm3(l: [f64; 3]) -> [Length; 3] {
    l.map(Length::from_mm)
}

pub(super) fn furnace(kw: f64) -> BoxFurnace {
    let k = TemperatureStep::from_k;
    BoxFurnace {
        chamber: mm3([300.0, 450.0, 250.0]),
        power: Power::from_kw(kw),
        survey: Survey {
            at: Temperature::from_c(927.0),
            door: k(-12.0),
            back: k(6.0),
            hearth: k(-3.0),
            roof: k(2.0),
        },
        couple_lag: Span::from_s(0.0),
        band: k(2.0),
        load_at: Temperature::from_c(25.0),
        exchange_factor: 1.0,
    }
}

pub(super) fn bed() -> PackedBed {
    PackedBed {
        bulk_density: Density::from_kg_m3(300.0),
        grain: Length::from_mm(4.0),
        moisture: Fraction::from_ratio(0.0),
        gap: Length::from_mm(0.0),
        factor: 1.0,
    }
}

pub(super) fn empty_box(inside: [f64; 3]) -> PackedBox {
    PackedBox {
        mark: "B1".to_owned(),
        inside: mm3(inside),
        wall: Length::from_mm(6.0),
        stands_at: None,
        bed: bed(),
        solids: Vec::new(),
        spread_steel: Fraction::from_ratio(0.0),
        probes: Vec::new(),
        exposure: [1.0; 6],
    }
}

/// Twelve upright pins of 16 × 70 mm in a box of 150 × 200 × 150 mm.
pub(super) fn pins() -> PackedBox {
    let mut packed = empty_box([150.0, 200.0, 150.0]);
    for j in 0..4 {
        for i in 0..3 {
            packed.solids.push(Solid {
                mark: format!("{}", 3 * j + i + 1),
                at: mm3([25.0 + 42.0 * f64::from(i), 25.0 + 44.0 * f64::from(j), 40.0]),
                size: mm3([16.0, 16.0, 70.0]),
                form: SolidForm::Round { about: Axis::Z },
            });
        }
    }
    packed.probes.push(Probe {
        mark: "couple".to_owned(),
        at: mm3([75.0, 100.0, 75.0]),
    });
    packed
}

pub(super) fn setup(packed: PackedBox, detail: BoxDetail) -> BoxSetup {
    BoxSetup {
        boxes: vec![packed],
        furnace: furnace(9.0),
        cold: Temperature::from_c(25.0),
        set: Temperature::from_c(927.0),
        rise: Span::from_s(0.0),
        hot_within: TemperatureStep::from_k(10.0),
        soak: Span::from_h(8.0),
        cooling: Cooling::InFurnace,
        detail,
    }
}

/// Four blocks of 40 mm and a bar along the box, in 200 × 250 × 150 mm.
fn blocks() -> PackedBox {
    let mut packed = empty_box([200.0, 250.0, 150.0]);
    for (i, at) in [[30.0, 30.0, 55.0], [130.0, 30.0, 55.0], [30.0, 180.0, 55.0], [130.0, 180.0, 55.0]]
        .into_iter()
        .enumerate()
    {
        packed.solids.push(Solid {
            mark: format!("{}", i + 1),
            at: mm3(at),
            size: mm3([40.0; 3]),
            form: SolidForm::Block,
        });
    }
    packed.solids.push(Solid {
        mark: "bar".to_owned(),
        at: mm3([88.0, 35.0, 60.0]),
        size: mm3([24.0, 180.0, 24.0]),
        form: SolidForm::Round { about: Axis::Y },
    });
    packed
}

fn hours(setup: &BoxSetup) -> f64 {
    hot_after(setup).unwrap().to_h()
}

#[test]
fn look() {
    for packed in [pins(), blocks(), empty_box([150.0, 200.0, 150.0])] {
    for detail in [BoxDetail::Coarse, BoxDetail::Standard, BoxDetail::Fine] {
        let setup = setup(packed.clone(), detail);
        #[expect(clippy::disallowed_methods, reason = "look")]
        let begin = std::time::Instant::now();
        let run = heat_boxes(&setup).unwrap();
        println!(
            "{detail:?}: {:?} hot {:.4} h soaks {:.3} ends {:.3} cells {} steps {}+{} passes {} balance {:.1e} work {:.2} heat {:.2} full {:.2}h",
            begin.elapsed(), run.hot_after.to_h(), run.soak_ends.to_h(), run.ends.to_h(), run.cells, run.steps, run.refused, run.passes, run.balance_error, run.work_kwh, run.heat_in_boxes_kwh, run.full_power.to_h()
        );
    }}
}
