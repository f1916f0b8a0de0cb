use super::*;
use casewright_terms::{Density, Fraction, Length, Power, Temperature};

fn gannet(bed_factor: f64) -> PackHeatSetup {
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
        bed_factor,
    }
}

#[test]
fn a_small_box_is_hot_after_hours_not_minutes() {
    for factor in [packed_bed::BED_FACTOR_LOW, 1.0, packed_bed::BED_FACTOR_HIGH] {
        let run = heat_pack(&gannet(factor)).unwrap();
        println!(
            "{factor}: hot {:.2} h, end {:.1} h, pieces {} {}",
            run.hot_after.to_h(),
            run.ends.to_h(),
            run.part.pieces.len(),
            run.furnace.pieces.len()
        );
        let total: f64 = run.part.pieces.iter().map(|p| p.duration.to_s()).sum();
        // Sums of the same numbers in another order.
        assert!((total - run.ends.to_s()).abs() < 1e-6 * total);
        assert!(run.part.pieces.len() <= 48 && run.hot_after.to_h() > 1.0);
    }
}

#[test]
fn hot_loading_and_power_save_time() {
    let base = heat_pack(&gannet(1.0)).unwrap().hot_after.to_h();
    let hot = heat_pack(&PackHeatSetup {
        load_at: Temperature::from_c(927.0),
        ..gannet(1.0)
    })
    .unwrap();
    let weak = heat_pack(&PackHeatSetup {
        power: Power::from_kw(4.0),
        ..gannet(1.0)
    })
    .unwrap();
    println!(
        "cold {base:.2} hot {:.2} weak {:.2}",
        hot.hot_after.to_h(),
        weak.hot_after.to_h()
    );
    assert!(hot.hot_after.to_h() < base && base < weak.hot_after.to_h());
    assert!(
        weak.remarks
            .iter()
            .any(|r| r.code == "furnace-at-full-power")
    );
}

#[test]
fn coolings_end_where_they_should() {
    let air = heat_pack(&PackHeatSetup {
        cooling: Cooling::InAir,
        ..gannet(1.0)
    })
    .unwrap();
    let furnace = heat_pack(&gannet(1.0)).unwrap();
    println!(
        "air {:.1} h furnace {:.1} h",
        (air.ends - air.soak_ends).to_h(),
        (furnace.ends - furnace.soak_ends).to_h()
    );
    assert!(air.ends.to_s() < furnace.ends.to_s());
    let drop = Cooling::DropThenQuench {
        to: Temperature::from_c(840.0),
        hold: Span::from_min(30.0),
    };
    let drop = heat_pack(&PackHeatSetup {
        cooling: drop,
        ..gannet(1.0)
    })
    .unwrap();
    let last = drop.part.pieces.last().unwrap().to.to_c();
    println!(
        "drop {:.2} h to {last:.0}",
        (drop.ends - drop.soak_ends).to_h()
    );
    // Within the 10 K of "there" above, and the controller's undershoot of nothing below.
    assert!((839.0..=850.5).contains(&last), "{last}");
}

#[test]
fn impossible_wishes_are_refused_with_the_limit() {
    let small = PackHeatSetup {
        power: Power::from_kw(0.3),
        ..gannet(1.0)
    };
    assert!(
        heat_pack(&small)
            .unwrap_err()
            .to_string()
            .contains("not over after")
    );
    let mm = Length::from_mm;
    let large = PackHeatSetup {
        box_inside: [mm(400.0); 3],
        ..gannet(1.0)
    };
    assert!(
        heat_pack(&large)
            .unwrap_err()
            .to_string()
            .contains("does not fit")
    );
}

#[test]
fn the_brick_follows_the_product_of_series() {
    // Slab series, 30 terms, product of three; walls jump at time zero.
    let slab = |fo: f64| -> f64 {
        (0..30)
            .map(|n| {
                let l = (f64::from(n) + 0.5) * std::f64::consts::PI;
                let sign = if n % 2 == 0 { 2.0 } else { -2.0 };
                sign / l * crate::numerics::fun::exp(-l * l * fo)
            })
            .sum()
    };
    let sides = [0.1, 0.15, 0.2];
    let (k, c) = (0.25, 5e5);
    let mut brick = Brick::constant(sides, k, c, 0.0 + 300.0);
    let step_s = 10.0;
    let mut heat = 0.0;
    for _ in 0..360 {
        heat += brick.step(1300.0, step_s);
    }
    let exact: f64 = sides
        .iter()
        .map(|s| slab(k / c * 3600.0 / (s * s / 4.0)))
        .product();
    let ours = (1300.0 - brick.middle_k()) / 1000.0;
    // First order in time (10 s of 3600), second in space (1/6 of a half side).
    assert!((ours - exact).abs() < 0.006, "{ours} {exact}");
    assert!(heat > 0.0 && heat < c * sides.iter().product::<f64>() * 1000.0);
}
