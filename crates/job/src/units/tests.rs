//! Every shape of quantity a shop writes, and every shape that must be asked about.

use casewright_terms::{
    Density, Fraction, Length, Mass, Power, Span, Temperature, TemperatureStep, UnitSystem, Volume,
};
use proptest::prelude::*;

use super::{Exact, Quantity, read, read_triple};

fn value<Q: Quantity + std::fmt::Debug>(text: &str) -> Q {
    read::<Q>(text)
        .unwrap_or_else(|s| panic!("{text}: {:?}", s))
        .value
}

/// The code and the underlined words.
fn slip<Q: Quantity + std::fmt::Debug>(text: &str) -> (&'static str, &str) {
    let slip = read::<Q>(text).unwrap_err();
    (slip.diag.code, &text[slip.span])
}

#[test]
fn lengths_in_every_dress() {
    for (text, mm) in [
        ("14 mm", 14.0),
        ("14mm", 14.0),
        ("0.750 in", 19.05),
        (".005 in", 0.127),
        ("0,8 mm", 0.8),
        ("3/4 in", 19.05),
        ("3/4\"", 19.05),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ("1½ in", 38.1),
        ("30 thou", 0.762),
        ("127 µm", 0.127),
        ("2 cm", 20.0),
        ("1 ft", 304.8),
        ("  14\u{a0}mm ", 14.0),
        ("0,125 in", 3.175),
        ("5. in.", 127.0),
    ] {
        let got = value::<Length>(text).to_mm();
        // One part in 10^12: a few roundings of an f64.
        assert!((got - mm).abs() <= 1e-12 * mm, "{text}: {got}");
    }
}

#[test]
fn a_point_and_a_difference_are_two_things() {
    assert!((value::<Temperature>("1700 °F").to_f() - 1700.0).abs() < 1e-9);
    assert!((value::<Temperature>("1450F").to_f() - 1450.0).abs() < 1e-9);
    assert_eq!(value::<Temperature>("927 C"), Temperature::from_c(927.0));
    assert_eq!(value::<Temperature>("-10 ºC"), Temperature::from_c(-10.0));
    assert_eq!(value::<TemperatureStep>("±14 °C").to_k(), 14.0);
    assert_eq!(value::<TemperatureStep>("+/-14 C").to_k(), 14.0);
    assert!((value::<TemperatureStep>("25 °F").to_k() - 13.888_888).abs() < 1e-5);
    assert_eq!(slip::<Temperature>("±14 °C").0, "quantity-plus-minus");
}

#[test]
fn the_other_kinds() {
    assert_eq!(value::<Span>("8 h").to_h(), 8.0);
    assert_eq!(value::<Span>("1 h 30 min").to_min(), 90.0);
    assert_eq!(value::<Span>("1h30min").to_min(), 90.0);
    assert_eq!(value::<Power>("9 kW").to_w(), 9000.0);
    assert_eq!(value::<Volume>("60 L").to_l(), 60.0);
    assert!((value::<Volume>("16 gal").to_gal() - 16.0).abs() < 1e-12);
    assert!((value::<Mass>("2 lb").to_lb() - 2.0).abs() < 1e-12);
    assert_eq!(value::<Fraction>("15 %"), Fraction::from_pct(15.0));
    assert_eq!(value::<Fraction>("1/3").to_ratio(), 1.0 / 3.0);
    // 35 lb/ft³ × 16.018463 kg/m³ per lb/ft³.
    assert!((value::<Density>("35 lb/ft3").to_kg_m3() - 560.646).abs() < 0.001);
}

#[test]
fn what_is_not_clear_is_asked_about_and_underlined() {
    assert_eq!(slip::<Length>("1,200 mm"), ("number-unclear", "1,200"));
    assert_eq!(slip::<Length>("1,200.5 mm"), ("number-unclear", "1,200.5"));
    assert_eq!(slip::<Length>("1.2.3 mm"), ("number-unclear", "1.2.3"));
    assert_eq!(slip::<Length>("1 200 mm"), ("number-unclear", "1 200"));
    assert_eq!(slip::<Length>("3/0 in"), ("number-unclear", "3/0"));
    assert_eq!(slip::<Length>("14"), ("unit-missing", "14"));
    assert_eq!(slip::<Length>("30 mil"), ("unit-unclear", "mil"));
    assert_eq!(slip::<Length>("14 kg"), ("quantity-wrong-kind", "kg"));
    assert_eq!(slip::<Length>("14 mmm"), ("unit-unknown", "mmm"));
    assert_eq!(slip::<Length>("thick"), ("quantity-no-number", "thick"));
    assert_eq!(slip::<Length>(""), ("quantity-no-number", ""));
    assert_eq!(slip::<Length>("14 mm 3"), ("unit-unknown", "mm 3"));
    assert_eq!(slip::<Temperature>("900 deg"), ("unit-unclear", "deg"));
    assert_eq!(slip::<Span>("30 m"), ("quantity-wrong-kind", "m"));
    assert_eq!(slip::<Span>("1 h 30"), ("unit-missing", "1 h 30"));
    assert_eq!(slip::<Fraction>("0.2").0, "unit-missing");
    assert_eq!(slip::<Length>(&"9".repeat(100)).0, "quantity-too-long");
}

#[test]
fn hints_name_the_likely_unit_first() {
    let hint = |text: &str| read::<Length>(text).unwrap_err().diag.accepted;
    assert!(hint("0.750").starts_with("Write \"0.750 in\""));
    assert!(hint("14").starts_with("Write \"14 mm\""));
    assert!(hint("14 mmm").contains("Did you mean \"mm\"?"));
    let seen = read::<Length>("14 kg").unwrap_err().diag.seen;
    assert!(
        seen.contains("is a mass") && seen.contains("a length is wanted"),
        "{seen}"
    );
}

#[test]
fn triples_share_a_unit() {
    let mm = |text: &str| read_triple(text).unwrap().map(|w| w.value.to_mm().round());
    assert_eq!(mm("300 x 250 x 450 mm"), [300.0, 250.0, 450.0]);
    assert_eq!(mm("12 in × 250 mm × 450 mm"), [305.0, 250.0, 450.0]);
    assert_eq!(
        read_triple("300 x 250 mm").unwrap_err().diag.code,
        "triple-wanted"
    );
    assert_eq!(read_triple("300 x 2,500 x 4 mm").unwrap_err().span, 6..11);
}

#[test]
fn a_metric_size_stays_metric_in_an_inch_job() {
    let text = |mm: f64| Length::from_mm(mm).exact(UnitSystem::Inch);
    assert_eq!(text(300.0), "300 mm");
    assert_eq!(Length::from_in(0.75).exact(UnitSystem::Inch), "0.75 in");
    assert_eq!(Length::from_mm(127.0).exact(UnitSystem::Metric), "127 mm");
    assert_eq!(
        Length::from_in(1.0 / 32.0).exact(UnitSystem::Metric),
        "0.79375 mm"
    );
}

proptest! {
    #[test]
    fn reading_never_panics(text in "\\PC{0,30}") {
        let _ = read::<Length>(&text);
        let _ = read::<Span>(&text);
        let _ = read::<Temperature>(&text);
        let _ = read::<Fraction>(&text);
        let _ = read_triple(&text);
    }

    #[test]
    fn near_misses_never_panic(text in "[-+±0-9.,/ ½xXmMiInNhHkKgGcCfF°%\"']{0,24}") {
        let _ = read::<Length>(&text);
        let _ = read::<Span>(&text);
        let _ = read::<TemperatureStep>(&text);
        let _ = read_triple(&text);
    }

    #[test]
    fn exact_text_gives_the_same_bits(x in 1e-6f64..1e4, inch in any::<bool>()) {
        let units = if inch { UnitSystem::Inch } else { UnitSystem::Metric };
        prop_assert_eq!(value::<Length>(&Length::from_m(x).exact(units)), Length::from_m(x));
        prop_assert_eq!(value::<Temperature>(&Temperature::from_k(x).exact(units)), Temperature::from_k(x));
        prop_assert_eq!(value::<TemperatureStep>(&TemperatureStep::from_k(x).exact(units)), TemperatureStep::from_k(x));
        prop_assert_eq!(value::<Volume>(&Volume::from_m3(x).exact(units)), Volume::from_m3(x));
        prop_assert_eq!(value::<Density>(&Density::from_kg_m3(x).exact(units)), Density::from_kg_m3(x));
        prop_assert_eq!(value::<Fraction>(&Fraction::from_ratio(x).exact(units)), Fraction::from_ratio(x));
        prop_assert_eq!(value::<Span>(&Span::from_s(x).exact(units)), Span::from_s(x));
        prop_assert_eq!(value::<Power>(&Power::from_w(x).exact(units)), Power::from_w(x));
    }

    #[test]
    fn short_numbers_stay_short(hundredths in 1u32..100_000) {
        let mm = f64::from(hundredths) / 100.0;
        prop_assert_eq!(Length::from_mm(mm).exact(UnitSystem::Metric), format!("{mm} mm"));
    }
}
