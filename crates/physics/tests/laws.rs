//! Properties of the closed-form laws that must hold for any steel that can be written down.

use casewright_physics::law::decomposition::{
    KirkaldyCoefficients, LiCoefficients, Product, range_remarks,
};
use casewright_physics::law::hardenability::{ideal_diameter, initial_hardness, jominy_points};
use casewright_physics::law::hardness_conversion::{convert, hv_of, scale_of};
use casewright_physics::law::indentation::{cylinder_correction, least_case, traverse_plan};
use casewright_physics::law::martensite_start::{
    martensite_rate_per_k, martensite_start, retained_austenite,
};
use casewright_physics::law::phase_hardness::{
    bainite_hardness, ferrite_pearlite_hardness, martensite_hardness,
};
use casewright_physics::law::tempering::{lost_share, tempered_martensite};
use casewright_physics::law::transformation_temperature as temperature;
use casewright_physics::law::volume_change::{Phase, linear_strain};
use casewright_terms::{
    Composition, Element, Force, Hardness, Length, Scale, Span, Temperature, Vickers, WeightPercent,
};
use proptest::prelude::*;

/// Any composition that [`Composition::new`] accepts: shares of a sum up to 50 %, half of the
/// elements absent, and the sum small as often as large.
fn any_steel() -> impl Strategy<Value = Composition> {
    let share = prop_oneof![Just(0.0), 0.0..1.0_f64];
    let sum = prop_oneof![0.0..3.0_f64, 0.0..49.9_f64];
    (prop::collection::vec(share, Element::ALL.len()), sum).prop_map(|(shares, sum)| {
        let total = shares.iter().sum::<f64>().max(1e-9);
        let contents: Vec<_> = Element::ALL
            .into_iter()
            .zip(shares)
            .map(|(e, share)| (e, WeightPercent::from_wt_pct(share / total * sum)))
            .collect();
        Composition::new(&contents).expect("the sum stays below half")
    })
}

/// A steel of the low-alloy kind, for claims that hold inside the ranges of the fits.
fn low_alloy_steel() -> impl Strategy<Value = Composition> {
    (
        0.3..1.6_f64,
        0.1..0.6_f64,
        0.0..3.0_f64,
        0.0..1.5_f64,
        0.0..0.5_f64,
    )
        .prop_map(|(mn, si, ni, cr, mo)| {
            let w = WeightPercent::from_wt_pct;
            Composition::new(&[
                (Element::C, w(0.2)),
                (Element::Mn, w(mn)),
                (Element::Si, w(si)),
                (Element::Ni, w(ni)),
                (Element::Cr, w(cr)),
                (Element::Mo, w(mo)),
            ])
            .expect("low-alloy contents are sound")
        })
}

fn with_carbon(steel: &Composition, carbon: f64) -> Composition {
    steel.with_carbon(WeightPercent::from_wt_pct(carbon))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    // The quantity types refuse what is not finite, so reaching the end is the claim.
    #[test]
    fn temperatures_exist_for_any_steel(steel in any_steel()) {
        for formula in [
            temperature::ac1_andrews, temperature::ac3_andrews, temperature::ac3_andrews_main_terms,
            temperature::ms_andrews_linear, temperature::ms_andrews_product,
            temperature::ms_steven_haynes, temperature::bs_steven_haynes,
            temperature::bs_van_bohemen, temperature::bs_kirkaldy, temperature::bs_li,
            temperature::ae1_grange, temperature::ae3_grange, martensite_start,
        ] {
            prop_assert!(formula(&steel).value.to_k() >= 0.0);
        }
    }

    #[test]
    fn austenite_left_is_a_share(steel in any_steel(), celsius in -100.0..1500.0_f64) {
        let left = retained_austenite(&steel, Temperature::from_c(celsius)).value.to_ratio();
        prop_assert!((0.0..=1.0).contains(&left));
        prop_assert!(martensite_rate_per_k(&steel).value > 0.0);
        let colder = retained_austenite(&steel, Temperature::from_c(celsius - 1.0));
        prop_assert!(colder.value.to_ratio() <= left);
    }

    #[test]
    fn carbon_keeps_austenite(steel in low_alloy_steel(), carbon in 0.1..1.2_f64) {
        let left = |c| retained_austenite(&with_carbon(&steel, c), Temperature::from_c(25.0));
        prop_assert!(left(carbon + 0.01).value >= left(carbon).value);
    }

    #[test]
    fn kinetics_are_finite(
        steel in any_steel(),
        celsius in -100.0..1500.0_f64,
        grain in -2.0..15.0_f64,
        x in 0.0..=1.0_f64,
    ) {
        let t_k = Temperature::from_c(celsius).to_k();
        let li = LiCoefficients::new(&steel, grain);
        let kirkaldy = KirkaldyCoefficients::new(&steel, grain);
        for product in Product::ALL {
            let speed = li.speed_per_s(product, t_k);
            prop_assert!(speed.is_finite() && speed >= 0.0);
            prop_assert!(li.rate_per_s(product, x, t_k).is_finite());
            prop_assert!(li.incubation_per_s(product, t_k).is_finite());
            for time in [li.tau_s(product, x, t_k), kirkaldy.tau_s(product, x, t_k)] {
                prop_assert!(time.is_none_or(|t| t.is_finite() && t >= 0.0));
            }
        }
        let _ = range_remarks(&steel, grain);
    }

    #[test]
    fn hardness_of_any_steel_is_ordered(steel in any_steel(), rate in -1.0..1e5_f64) {
        let pearlite = ferrite_pearlite_hardness(&steel, rate).value;
        let bainite = bainite_hardness(&steel, rate).value;
        let martensite = martensite_hardness(steel.get(Element::C)).value;
        prop_assert!(pearlite.to_hv() > 0.0);
        prop_assert!(pearlite <= bainite && bainite <= martensite);
        prop_assert!(martensite.to_hv() <= 910.0);
    }

    #[test]
    fn softer_phases_harden_with_carbon(
        steel in low_alloy_steel(), carbon in 0.1..1.1_f64, rate in 0.01..500.0_f64,
    ) {
        let (less, more) = (with_carbon(&steel, carbon), with_carbon(&steel, carbon + 0.01));
        prop_assert!(
            ferrite_pearlite_hardness(&more, rate).value.to_hv()
                >= ferrite_pearlite_hardness(&less, rate).value.to_hv() - 1e-9
        );
        prop_assert!(
            bainite_hardness(&more, rate).value.to_hv()
                >= bainite_hardness(&less, rate).value.to_hv() - 1e-9
        );
    }

    #[test]
    fn hardenability_of_any_steel(steel in any_steel(), grain in -2.0..15.0_f64) {
        prop_assert!(ideal_diameter(&steel, grain).value.to_m() >= 0.0);
        prop_assert!(initial_hardness(steel.get(Element::C)).value.value.is_finite());
        let points = jominy_points(&steel, grain).value;
        let readings: Vec<f64> = points.iter().filter_map(|p| p.hrc).collect();
        prop_assert!(readings.iter().all(|r| (20.0..=68.0).contains(r)));
        prop_assert!(readings.iter().all(|r| *r <= readings[0]));
    }

    #[test]
    fn a_temper_only_takes(
        carbon in 0.0..50.0_f64, celsius in -100.0..1500.0_f64, hours in 0.0..100.0_f64,
        quenched in 0.0..1000.0_f64,
    ) {
        let carbon = WeightPercent::from_wt_pct(carbon);
        let at = |celsius: f64, hours: f64| {
            lost_share(carbon, Temperature::from_c(celsius), Span::from_h(hours)).value.to_ratio()
        };
        prop_assert!((0.0..1.0).contains(&at(celsius, hours)));
        prop_assert!(at(celsius + 1.0, hours) >= at(celsius, hours));
        prop_assert!(at(celsius, hours + 0.1) >= at(celsius, hours));
        let after = tempered_martensite(
            Vickers::from_hv(quenched), carbon, Temperature::from_c(celsius), Span::from_h(hours),
        );
        prop_assert!(after.value.to_hv() <= quenched);
    }

    #[test]
    fn conversions_never_panic_and_come_back(value in -100.0..2000.0_f64) {
        for scale in Scale::ALL {
            let reading = Hardness::new(scale, value);
            let conversion = convert(reading);
            let reached = conversion.to.iter().any(|(to, number)| *to != scale && number.is_some());
            prop_assert_eq!(conversion.valid, reached);
            prop_assert!(!conversion.valid || hv_of(reading).is_some());
            prop_assert_eq!(conversion.to.len(), Scale::ALL.len());
            if conversion.valid {
                prop_assert_eq!(conversion.on(scale), Some(value));
            }
            for (_, number) in conversion.to {
                prop_assert!(number.is_none_or(f64::is_finite));
            }
            let _ = least_case(reading);
        }
    }

    #[test]
    fn scales_rise_with_vickers(hv in 107.0..939.0_f64) {
        // Brinell and Knoop change table at 238 HV, where the two of the standard do not meet.
        for scale in Scale::ALL {
            if matches!(scale, Scale::Hbw | Scale::Hk) && (237.0..=238.0).contains(&hv) {
                continue;
            }
            let (low, high) = (Vickers::from_hv(hv), Vickers::from_hv(hv + 1.0));
            if let (Some(low), Some(high)) = (scale_of(low, scale), scale_of(high, scale)) {
                prop_assert!(high > low, "{} at {}", scale, hv);
            }
        }
    }

    #[test]
    fn tests_of_any_part(value in 0.0..100.0_f64, mm in 0.0..500.0_f64, hv in 50.0..1000.0_f64) {
        for scale in Scale::ALL {
            if let Ok(found) = cylinder_correction(Hardness::new(scale, value), Length::from_mm(mm)) {
                prop_assert!((0.0..=12.5).contains(&found.value));
            }
        }
        let plan = traverse_plan(Vickers::from_hv(hv), Force::from_kgf(1.0));
        prop_assert!(plan.is_some_and(|p| p.spacing > p.diagonal && p.first_depth > p.diagonal));
    }

    #[test]
    fn strains_keep_their_order(carbon in 0.0..1.2_f64) {
        let strain = |phase| linear_strain(phase, WeightPercent::from_wt_pct(carbon)).value;
        prop_assert!(strain(Phase::Austenite) < strain(Phase::Annealed));
        prop_assert!(strain(Phase::Annealed) <= strain(Phase::Bainite));
        prop_assert!(strain(Phase::Bainite) <= strain(Phase::Martensite));
    }
}
