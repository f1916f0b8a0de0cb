use super::conduction::{Constant, cool};
use super::*;
use casewright_terms::Span;

fn water(shape_mm: f64) -> (QuenchSetup, Shape) {
    (
        QuenchSetup {
            quenchant: Quenchant::Water,
            stirring: Stirring::Good,
            bath: Temperature::from_c(20.0),
            transfer: Span::from_s(3.0),
            severity_factor: 1.0,
        },
        Shape::Cylinder {
            radius: Length::from_mm(shape_mm),
        },
    )
}

#[test]
fn heat_is_conserved() {
    let (setup, shape) = water(6.0);
    let run = quench(&setup, shape, Temperature::from_c(788.0)).unwrap();
    println!(
        "steps {} refused {} balance {:e}",
        run.steps, run.refused, run.balance_error
    );
    // Newton stops at 1e-8 K of about 700 K.
    assert!(run.balance_error < 1e-9, "{:e}", run.balance_error);
}

#[test]
fn thin_sections_follow_the_lumped_limit() {
    let body = Body::new(
        Shape::Plate {
            half_thickness: Length::from_mm(1.0),
        },
        21,
    )
    .unwrap();
    let mut steel = Constant {
        conductivity_w_m_k: 30.0,
        heat_capacity_j_m3_k: 4e6,
    };
    let stage = Stage {
        ambient_k: 300.0,
        drift_k_s: 0.0,
        film: Film::Constant { h_w_m2_k: 30.0 },
        lasts_s: Some(100.0),
    };
    let run = cool(&body, &mut steel, 1000.0, &[stage]).unwrap();
    let last = run.temperature_k[run.temperature_k.len() - 1];
    // ρ c L/h = 133.3 s; Biot 0.001 leaves Bi/3 of 0.03 % in the time constant.
    let exact = 300.0 + 700.0 * crate::numerics::fun::exp(-100.0 / 133.333_333);
    assert!((last - exact).abs() < 0.2, "{last} {exact}");
}

#[test]
fn smaller_parts_cool_faster() {
    let rate = |mm: f64| {
        let (setup, shape) = water(mm);
        let run = quench(&setup, shape, Temperature::from_c(850.0)).unwrap();
        run.rate_while_passing(Length::from_mm(mm), Temperature::from_c(700.0))
            .unwrap()
    };
    println!("core rates: {} {} {}", rate(3.0), rate(6.0), rate(12.5));
    assert!(rate(3.0) > rate(6.0) && rate(6.0) > rate(12.5));
}

#[test]
fn wrong_setups_are_refused() {
    let (mut setup, shape) = water(6.0);
    assert!(quench(&setup, shape, Temperature::from_c(10.0)).is_err());
    setup.severity_factor = 0.0;
    assert!(quench(&setup, shape, Temperature::from_c(800.0)).is_err());
}
