use super::*;
use crate::law::transformation_temperature::tests::nominal;

#[test]
fn martensite_rises_to_saturation() {
    let mut last = 0.0;
    for step in 0..=2000 {
        let hv = martensite_hv(f64::from(step) * 0.001);
        // 0.001 % C never makes more than 1.2 HV: no jump at the joins.
        assert!(hv > last || hv > 909.9, "falls at {step}");
        assert!(step == 0 || hv - last < 1.2, "jumps at {step}");
        last = hv;
    }
    assert!(last <= SATURATION_HV);
}

#[test]
fn the_join_has_one_slope() {
    let slope = |from: f64, to: f64| (martensite_hv(to) - martensite_hv(from)) / (to - from);
    let (below, above) = (slope(0.599, 0.5999), slope(0.6001, 0.601));
    // Differences over a thousandth, a thousandth apart, on branches that bend by 5 to 9 HV per
    // thousandth: up to 10 HV in 730.
    assert!((below / above - 1.0).abs() < 0.015, "{below} {above}");
}

#[test]
fn val_high_carbon_martensite() {
    // [krauss-2015], [yurioka-1987] and a quadratic of the same family: the mean of the three at each
    // carbon; they differ among themselves by up to 35 HV, so 20 HV to each side of the mean.
    for (c, mean) in [(0.8, 871.0), (0.9, 893.0), (1.0, 895.0)] {
        assert!(
            (martensite_hv(c) - mean).abs() < 20.0,
            "{c}: {}",
            martensite_hv(c)
        );
    }
}

#[test]
fn soft_phases_are_ordered_and_continuous() {
    for name in ["1018", "8620", "4140", "9310"] {
        for rate in [0.001, 0.1, 1.0, 10.0, 100.0, 1000.0] {
            let mut last = (0.0, 0.0);
            for step in 10..=120 {
                let carbon = WeightPercent::from_wt_pct(f64::from(step) * 0.01);
                let soft = SoftHardness::new(&nominal(name).with_carbon(carbon));
                let (pearlite, bainite) = (soft.ferrite_pearlite_hv(rate), soft.bainite_hv(rate));
                assert!(pearlite <= bainite, "{name} {rate} {step}");
                assert!(bainite <= martensite_hv(carbon.to_wt_pct()));
                assert!(pearlite >= last.0 - 1e-9, "{name} {rate} {step}: pearlite");
                assert!(bainite >= last.1 - 1e-9, "{name} {rate} {step}: bainite");
                // 0.01 % C never makes more than 12 HV: no jump at 0.5, 0.77 or 0.8 %.
                assert!(
                    step == 10 || pearlite - last.0 < 12.0,
                    "{name} {rate} {step}"
                );
                assert!(
                    step == 10 || bainite - last.1 < 12.0,
                    "{name} {rate} {step}"
                );
                last = (pearlite, bainite);
            }
        }
    }
}

#[test]
fn eutectoid_pearlite_is_in_its_range() {
    // [pearlite-hardness-hyzak-bernstein-1976]: coarse about 250, fine about 400 HV.
    let soft = SoftHardness::new(&nominal("1080"));
    for (rate, low, high) in [
        (0.03, 230.0, 260.0),
        (1.0, 280.0, 320.0),
        (50.0, 350.0, 400.0),
    ] {
        let hv = soft.ferrite_pearlite_hv(rate);
        assert!((low..=high).contains(&hv), "{rate}: {hv}");
    }
}

#[test]
fn mixtures_are_weighted() {
    // 0.9 % C with 17 % austenite: 0.83 × 898 + 0.17 × 230; exact arithmetic.
    let hard = martensite_hv(0.9);
    let hv = mixture_hv(&[(0.83, hard), (0.17, RETAINED_AUSTENITE_HV)]);
    assert!((hv - (0.83 * hard + 39.1)).abs() < 1e-9);
}

#[test]
fn ranges_are_said() {
    let case = nominal("8620").with_carbon(WeightPercent::from_wt_pct(0.9));
    assert_eq!(
        bainite_hardness(&case, 10.0).remarks[0].code,
        "bainite-hardness-extrapolated"
    );
    assert_eq!(
        ferrite_pearlite_hardness(&case, 0.0).remarks[0].code,
        "soft-hardness-rate-held"
    );
    assert!(bainite_hardness(&nominal("8620"), 10.0).remarks.is_empty());
}
