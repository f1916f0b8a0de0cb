use super::*;
use crate::setup::{BathSetup, QuenchSetup, Quenchant, Shape, Stirring};
use casewright_terms::{Mass, Volume, WeightPercent};

fn wt(x: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(x)
}

fn mm(x: f64) -> Length {
    Length::from_mm(x)
}

fn point(x: f64, y: f64) -> PlanePoint {
    PlanePoint { x: mm(x), y: mm(y) }
}

fn setup(body: QuenchBody, places: QuenchPlaces) -> QuenchPartSetup {
    QuenchPartSetup {
        composition: Composition::new(&[
            (Element::C, wt(0.20)),
            (Element::Mn, wt(0.80)),
            (Element::Si, wt(0.25)),
            (Element::Ni, wt(0.55)),
            (Element::Cr, wt(0.50)),
            (Element::Mo, wt(0.20)),
        ])
        .unwrap(),
        body,
        profile: vec![(mm(0.0), wt(0.85)), (mm(1.0), wt(0.20))],
        from: Temperature::from_c(843.0),
        quench: QuenchSetup {
            quenchant: Quenchant::FastOil,
            stirring: Stirring::Good,
            bath: Temperature::from_c(60.0),
            transfer: Span::from_s(4.0),
            severity_factor: 1.0,
        },
        grain_number: 8.0,
        places,
        bath: None,
    }
}

fn bar(width: f64, height: f64) -> QuenchBody {
    QuenchBody::Bar {
        width: mm(width),
        height: mm(height),
    }
}

#[test]
fn a_corner_cools_faster_than_a_face() {
    let places = QuenchPlaces::Points(vec![point(0.5, 0.5), point(12.5, 0.5), point(12.5, 12.5)]);
    let run = quench_part(&setup(bar(25.0, 25.0), places)).unwrap();
    println!("{} steps, balance {:e}", run.steps, run.balance_error);
    for p in &run.places {
        println!(
            "{:?} {:?} {:?} {:?}",
            p.entering.to_c(),
            p.rate_at_700_k_s,
            p.cooling_800_500,
            p.hardness
        );
    }
    let rates: Vec<f64> = run
        .places
        .iter()
        .map(|p| p.rate_at_700_k_s.unwrap())
        .collect();
    assert!(
        rates[0] > 1.3 * rates[1] && rates[1] > rates[2],
        "{rates:?}"
    );
    // Newton stops at 1e-8 K of about 800 K.
    assert!(run.balance_error < 1e-9, "{:e}", run.balance_error);
}

#[test]
fn a_wide_bar_is_a_plate_in_the_middle() {
    let places = QuenchPlaces::Points(vec![point(100.0, 1.0), point(100.0, 5.0)]);
    let wide = quench_part(&setup(bar(200.0, 10.0), places)).unwrap();
    let shape = Shape::Plate {
        half_thickness: mm(5.0),
    };
    let depths = QuenchPlaces::Depths(vec![mm(1.0), mm(5.0)]);
    let plate = quench_part(&setup(QuenchBody::Round(shape), depths)).unwrap();
    for (a, b) in wide.places.iter().zip(&plate.places) {
        let (a, b) = (
            a.cooling_800_500.unwrap().to_s(),
            b.cooling_800_500.unwrap().to_s(),
        );
        // Meshes of 13 and 21 nodes.
        assert!((a / b - 1.0).abs() < 0.01, "{a} {b}");
    }
}

#[test]
fn a_finer_section_changes_little() {
    let setup = setup(bar(25.0, 25.0), QuenchPlaces::Points(vec![point(0.5, 0.5)]));
    let lines = Lines::at(&setup.composition, setup.from, Shifts::NONE).unwrap();
    let shared = SteelLines::new(&setup.composition);
    let part = Part {
        setup: &setup,
        lines: &lines,
        shared: &shared,
    };
    let time = |along: usize| {
        let quarter = Quarter::new(mm(25.0), mm(25.0), along).unwrap();
        let run = part.cool(&quarter.body).unwrap();
        let around = quarter.around(mm(0.5), mm(0.5));
        let n = quarter.body.len();
        let curve: Vec<f64> = run
            .temperature_k
            .chunks_exact(n)
            .map(|row| around.iter().map(|(i, w)| w * row[*i]).sum())
            .collect();
        between(&run.time_s, &curve, 800.0, 500.0).unwrap().to_s()
    };
    let (coarse, fine) = (time(ALONG), time(ALONG * 3 / 2));
    println!("{coarse} {fine}");
    assert!((coarse / fine - 1.0).abs() < 0.01, "{coarse} {fine}");
}

#[test]
fn a_slow_walk_to_the_bath_is_told() {
    let depths = QuenchPlaces::Depths(vec![mm(0.0)]);
    let shape = Shape::Plate {
        half_thickness: mm(2.0),
    };
    let mut slow = setup(QuenchBody::Round(shape), depths);
    slow.from = Temperature::from_c(790.0);
    slow.quench.transfer = Span::from_s(25.0);
    slow.bath = Some(BathSetup {
        volume: Volume::from_l(10.0),
        parts: Mass::from_kg(2.0),
        dumped: Vec::new(),
        flash_point: None,
    });
    let run = quench_part(&slow).unwrap();
    let codes: Vec<&str> = run.remarks.iter().map(|r| r.code).collect();
    println!(
        "{codes:?} {:?} {:?}",
        run.places[0].entering.to_c(),
        run.bath
    );
    assert_eq!(codes, ["enters-cold", "bath-small", "flash-unknown"]);
}

#[test]
fn wrong_setups_are_refused() {
    let corner = QuenchPlaces::Points(vec![point(0.5, 0.5)]);
    assert!(quench_part(&setup(bar(0.001, 25.0), corner.clone())).is_err());
    assert!(
        quench_part(&setup(
            bar(25.0, 25.0),
            QuenchPlaces::Points(vec![point(26.0, 1.0)])
        ))
        .is_err()
    );
    assert!(quench_part(&setup(bar(25.0, 25.0), QuenchPlaces::Depths(vec![mm(1.0)]))).is_err());
    let shape = Shape::Sphere { radius: mm(4.0) };
    assert!(quench_part(&setup(QuenchBody::Round(shape), corner)).is_err());
    assert!(
        quench_part(&setup(
            QuenchBody::Round(shape),
            QuenchPlaces::Depths(Vec::new())
        ))
        .is_err()
    );
}
