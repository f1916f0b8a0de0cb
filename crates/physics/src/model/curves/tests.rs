use super::*;
use crate::verify::laws::nominal;

fn curves(name: &str, carbon: f64) -> TransformationCurves {
    transformation_curves(&CurvesSetup {
        composition: nominal(name),
        carbon: WeightPercent::from_wt_pct(carbon),
        grain_number: 7.0,
        from: Temperature::from_c(927.0),
    })
    .unwrap()
}

fn earliest(curves: &TransformationCurves, product: Product) -> Option<(f64, f64)> {
    curves
        .isothermal
        .iter()
        .filter(|p| p.first == Some(product))
        .filter_map(|p| Some((p.start?.to_s(), p.temperature.to_c())))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

#[test]
fn times_come_in_order() {
    for (name, carbon) in [("1018", 0.18), ("1018", 0.8), ("8620", 0.9), ("4140", 0.4)] {
        let all = curves(name, carbon);
        assert!(all.isothermal.len() > 40, "{name} {}", all.isothermal.len());
        for point in &all.isothermal {
            let times: Vec<f64> = [point.start, point.half, point.end]
                .into_iter()
                .flatten()
                .map(Span::to_s)
                .collect();
            assert!(times.windows(2).all(|w| w[0] <= w[1]), "{name} {point:?}");
            assert!(
                point.first.is_some() || point.start.is_none(),
                "{name} {point:?}"
            );
        }
        let sum = |p: &Phases| {
            p.martensite + p.retained_austenite + p.bainite + p.pearlite + p.ferrite + p.carbide
        };
        for way in &all.cooling {
            assert!((sum(&way.phases) - 1.0).abs() < 1e-12, "{name} {way:?}");
            assert!(way.hardness.to_hv() > 50.0);
        }
        // Faster is never less martensitic; 1e-9 is rounding.
        let shares: Vec<f64> = all
            .cooling
            .iter()
            .map(|w| w.phases.martensite + w.phases.retained_austenite)
            .collect();
        assert!(
            shares.windows(2).all(|w| w[1] >= w[0] - 2e-3),
            "{name} {shares:.3?}"
        );
    }
}

#[test]
fn val_pearlite_of_1080_as_in_the_atlas() {
    // [atlas-it-diagrams] 1080 begins at 0.6 to 1 s near 545 °C and ends at 5 to 7 s. Ours is known
    // to come twice as late (docs/theory/decomposition.md): a factor of 2.5 either way.
    let all = curves("1018", 0.8);
    let (time_s, celsius) = earliest(&all, Product::Pearlite).unwrap();
    println!("pearlite {time_s:.2} s at {celsius:.0} °C");
    assert!((0.8 / 2.5..=0.8 * 2.5).contains(&time_s), "{time_s}");
    assert!((505.0..=585.0).contains(&celsius), "{celsius}");
}

#[test]
fn critical_rates_follow_the_steel() {
    let rate = |name, carbon| curves(name, carbon).critical_rate_k_s.unwrap();
    // Alloy hardens on slower ways, and so does a case against its core.
    let (plain, alloy) = (rate("1018", 0.8), rate("8620", 0.8));
    println!("critical: 1018 {plain:.1}, 8620 {alloy:.1} K/s at 0.8 % C");
    assert!(alloy < plain / 2.0);
    let all = curves("4140", 0.40);
    let (whole, half) = (
        all.critical_rate_k_s.unwrap(),
        all.half_martensite_rate_k_s.unwrap(),
    );
    assert!(half < whole);
}

#[test]
fn what_is_outside_is_said() {
    let codes = |c: &TransformationCurves| c.remarks.iter().map(|r| r.code).collect::<Vec<_>>();
    let inside = curves("8620", 0.6);
    assert_eq!(codes(&inside), Vec::<&str>::new());
    let case = curves("8620", 1.0);
    assert!(codes(&case).contains(&"kinetics-above-fit"));
    assert!(codes(&case).contains(&"curves-no-carbide"));
    let left = transformation_curves(&CurvesSetup {
        composition: nominal("1018"),
        carbon: WeightPercent::from_wt_pct(1.2),
        grain_number: 8.0,
        from: Temperature::from_c(788.0),
    })
    .unwrap();
    assert!(codes(&left).contains(&"curves-carbide-left"));
    // The carbide line at 788 °C, see `reheat_holds_what_the_lines_allow`.
    assert!((left.carbon.to_wt_pct() - 0.898).abs() < 0.01);
}

#[test]
fn what_cannot_be_is_refused() {
    let mut setup = CurvesSetup {
        composition: nominal("1018"),
        carbon: WeightPercent::from_wt_pct(3.0),
        grain_number: 7.0,
        from: Temperature::from_c(927.0),
    };
    assert!(transformation_curves(&setup).is_err());
    setup.carbon = WeightPercent::from_wt_pct(0.8);
    setup.grain_number = 40.0;
    assert!(transformation_curves(&setup).is_err());
}

#[test]
fn finer_steps_change_nothing_that_is_read() {
    // Times are read to a tenth from a logarithmic scale; the kinetics are good to a factor of 2.
    let steel = nominal("8620");
    let shared = SteelLines::new(&steel);
    for carbon in [0.2, 0.5, 0.9] {
        let kinetics = Kinetics::new(&shared, carbon, 7.0, 1.0);
        for celsius in [480.0, 560.0, 620.0, 680.0] {
            let at = |ratio| hold(&kinetics, celsius + ICE_POINT_K, ratio);
            let (coarse, fine) = (at(RATIO), at(1.01));
            for (a, b) in [
                (coarse.start, fine.start),
                (coarse.half, fine.half),
                (coarse.end, fine.end),
            ] {
                if let (Some(a), Some(b)) = (a, b) {
                    assert!(
                        (a / b - 1.0).abs() < 0.10,
                        "{carbon} {celsius}: {a:?} {b:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_way_down_passes_700_at_its_rate() {
    // Two seconds of Newton's way at 5 K/s; the curvature over 0.01 s is far below 1e-3 K/s.
    let from_k = 820.0 + ICE_POINT_K;
    let at_s = newton_s(from_k, 5.0, NAMED_AT_C + ICE_POINT_K);
    let slope = (newton_k(from_k, 5.0, at_s - 0.005) - newton_k(from_k, 5.0, at_s + 0.005)) / 0.01;
    assert!((slope - 5.0).abs() < 1e-3, "{slope}");
}
