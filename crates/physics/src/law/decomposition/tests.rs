use super::*;
use crate::law::transformation_temperature::tests::nominal;
use crate::verify::laws::nose;

#[test]
fn val_nose_of_1080_pearlite() {
    // [atlas-it-diagrams]: 0.5 to 1 s at 540-550 °C; a factor 1.5 in time and 25 K for reading.
    // Of Li as published; the refit stands 1.6 times later, see `decomposition-atlas`.
    let (time_s, celsius) = nose("1080", Product::Pearlite, FerriteActivation::default());
    assert!((0.33..=1.5).contains(&time_s), "{time_s}");
    assert!((515.0..=575.0).contains(&celsius), "{celsius}");
}

#[test]
fn rate_and_time_agree() {
    // The rate form integrated from 1 % must arrive at τ(X) − τ(1 %); midpoint rule with 10 000
    // steps, so a relative 1e-4; the stored S(1 %) is held to 1e-6 of the integral's own error.
    let kinetics = LiCoefficients::new(&nominal("8620"), 8.0);
    let t_k = 873.15;
    for product in [Product::Ferrite, Product::Pearlite] {
        let steps = 10_000;
        let width = (0.9 - 0.01) / f64::from(steps);
        let time: f64 = (0..steps)
            .map(|i| width / kinetics.rate_per_s(product, 0.01 + width * (f64::from(i) + 0.5), t_k))
            .sum();
        let tau = |x| kinetics.tau_s(product, x, t_k).unwrap();
        let expected = tau(0.9) - tau(0.01);
        assert!((time / expected - 1.0).abs() < 1e-4, "{product:?}");
        let incubation = 1.0 / kinetics.incubation_per_s(product, t_k);
        assert!((incubation / tau(0.01) - 1.0).abs() < 1e-6);
    }
}

#[test]
fn nothing_forms_above_its_start() {
    let kinetics = LiCoefficients::new(&nominal("8620"), 8.0);
    let above = kinetics.starts().ae3_k + 1.0;
    for product in Product::ALL {
        assert_eq!(kinetics.tau_s(product, 0.5, above), None);
        assert_eq!(kinetics.incubation_per_s(product, above), 0.0);
    }
}

#[test]
fn finer_grain_and_less_alloy_are_faster() {
    let t_k = 873.15;
    let speed =
        |name, grain| LiCoefficients::new(&nominal(name), grain).speed_per_s(Product::Ferrite, t_k);
    assert!(speed("8620", 9.0) > speed("8620", 7.0));
    assert!(speed("1018", 8.0) > speed("8620", 8.0));
}

#[test]
fn shapes_vanish_at_the_ends() {
    for x in [-1.0, 0.0, 1.0, 2.0] {
        assert_eq!(li_shape(x), 0.0);
        assert_eq!(kirkaldy_shape(x), 0.0);
    }
    assert_eq!(li_integral(0.0), 0.0);
    // Gauss on a function with a mild logarithm at the end: seven digits.
    // Rounded to a hundredth: it only sets a number of steps.
    assert!((li_integral(1.0) - Growth::Li.whole()).abs() < 0.01);
    assert!((kirkaldy_integral(1.0, 0.0) - Growth::Kirkaldy.whole()).abs() < 0.01);
    assert!((li_integral(0.01) - shape::LI_INTEGRAL_AT_1_PCT).abs() < 1e-7);
    assert!((kirkaldy_integral(0.01, 0.0) - shape::KIRKALDY_INTEGRAL_AT_1_PCT).abs() < 1e-6);
}

#[test]
fn the_case_is_said_to_be_outside() {
    let case = nominal("8620").with_carbon(casewright_terms::WeightPercent::from_wt_pct(0.9));
    assert_eq!(range_remarks(&case, 8.0)[0].code, "kinetics-above-fit");
    assert!(range_remarks(&nominal("8620"), 8.0).is_empty());
}

#[test]
fn published_li_is_still_there() {
    let steel = nominal("8620");
    let published = LiCoefficients::refitted(&steel, 8.0, Refit::PUBLISHED);
    let by_name =
        LiCoefficients::with(&steel, 8.0, Starts::li(&steel), FerriteActivation::Cal27500);
    assert_eq!(published, by_name);
}

#[test]
fn the_refit_leaves_the_first_percent_where_its_factors_say() {
    // At the pivots (0.40 C, 0.75 Mn) and without alloy only pearlite moves, by exp(0.5); the
    // change of growth must not move the time to 1 %. Rounding of the stored integrals: 1e-5.
    use casewright_terms::WeightPercent as W;
    let steel = casewright_terms::Composition::new(&[
        (Element::C, W::from_wt_pct(0.40)),
        (Element::Mn, W::from_wt_pct(0.75)),
    ])
    .unwrap();
    let tau = |refit, product| {
        LiCoefficients::refitted(&steel, 8.0, refit)
            .tau_s(product, 0.01, 823.15)
            .unwrap()
    };
    for (product, factor) in [(Product::Ferrite, 1.0), (Product::Pearlite, fun::exp(0.5))] {
        let ratio = tau(Refit::USED, product) / tau(Refit::PUBLISHED, product);
        assert!((ratio / factor - 1.0).abs() < 1e-5, "{product:?} {ratio}");
    }
}
