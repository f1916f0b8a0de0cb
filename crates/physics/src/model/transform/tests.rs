use super::*;
use crate::law::decomposition::{FerriteActivation, LiCoefficients, Starts};
use crate::law::phase_hardness::{RETAINED_AUSTENITE_HV, SoftHardness, martensite_hv};
use casewright_terms::{Composition, Element, Temperature, WeightPercent};

fn steel(contents: &[(Element, f64)]) -> Composition {
    let list: Vec<_> = contents
        .iter()
        .map(|(e, w)| (*e, WeightPercent::from_wt_pct(*w)))
        .collect();
    Composition::new(&list).unwrap()
}

fn plain() -> Composition {
    steel(&[(Element::C, 0.18), (Element::Mn, 0.75), (Element::Si, 0.20)])
}

/// A straight fall from 900 °C at a rate.
fn fall(steel: &Composition, carbon: f64, rate_k_s: f64) -> Phases {
    let start = austenitise(
        steel,
        WeightPercent::from_wt_pct(carbon),
        Temperature::from_c(900.0),
    )
    .unwrap();
    let shared = SteelLines::new(steel);
    let kinetics = Kinetics::new(&shared, start.carbon.to_wt_pct(), 8.0, 1.0);
    let n = 400;
    let curve: Vec<f64> = (0..=n)
        .map(|i| 1173.15 - 875.0 * f64::from(i) / f64::from(n))
        .collect();
    let time: Vec<f64> = curve.iter().map(|t| (1173.15 - t) / rate_k_s).collect();
    follow(&kinetics, &start, &time, &curve, 298.15)
}

fn sum(p: &Phases) -> f64 {
    p.martensite + p.retained_austenite + p.bainite + p.pearlite + p.ferrite + p.carbide
}

#[test]
fn shares_add_up_to_one() {
    for carbon in [0.05, 0.18, 0.5, 0.8, 1.0, 1.4] {
        for rate in [0.01, 0.3, 5.0, 60.0, 800.0] {
            let p = fall(&plain(), carbon, rate);
            assert!((sum(&p) - 1.0).abs() < 1e-12, "{carbon} {rate} {p:?}");
        }
    }
}

#[test]
fn slow_cooling_is_soft_and_fast_cooling_hard() {
    let slow = fall(&plain(), 0.18, 0.05);
    println!("{slow:?}");
    assert!(slow.martensite < 0.01 && slow.ferrite > 0.6 && slow.pearlite > 0.1);
    let fast = fall(&plain(), 0.8, 1000.0);
    println!("{fast:?}");
    assert!(fast.martensite > 0.85);
}

#[test]
fn val_eutectoid_critical_rate() {
    // [atlas-recalled] 1080: martensite alone needs 140 to 200 K/s, read to ±30 %.
    let critical = (10..60)
        .map(|i| 10.0 * f64::from(i))
        .find(|rate| fall(&plain(), 0.8, *rate).pearlite < 0.01)
        .unwrap();
    println!("critical {critical}");
    assert!((98.0..=260.0).contains(&critical), "{critical}");
}

#[test]
fn reheat_holds_what_the_lines_allow() {
    let at = |c: f64, t: f64| {
        austenitise(
            &plain(),
            WeightPercent::from_wt_pct(c),
            Temperature::from_c(t),
        )
        .unwrap()
    };
    let case = at(1.1, 788.0);
    // [equilibrium-run] 1018: last carbide gone at 750.8 °C with 0.8 and at 827.1 °C with 1.0 wt%;
    // 0.898 on the straight line between, which the curved one leaves by less than 0.01.
    assert!((case.carbon.to_wt_pct() - 0.898).abs() < 0.01, "{case:?}");
    assert!(case.carbide > 0.02 && case.carbide < 0.04);
    let core = at(0.18, 788.0);
    println!("{core:?}");
    assert!(core.ferrite > 0.2 && core.ferrite < 0.6);
    assert_eq!(at(0.18, 870.0).ferrite, 0.0);
    assert_eq!(at(0.5, 650.0).austenite, 0.0);
}

fn alloy() -> Composition {
    steel(&[
        (Element::C, 0.20),
        (Element::Mn, 0.80),
        (Element::Si, 0.25),
        (Element::Cr, 0.50),
        (Element::Ni, 0.55),
        (Element::Mo, 0.20),
    ])
}

#[test]
fn val_ferrite_left_by_a_reheat() {
    // [calphad-2026] 1018 and 8620 at 788 °C: ferrite by mass and carbon of the austenite in two
    // databases, 1018 with 0.02 % Si more. Beyond their interval 0.015 of ferrite, which the project
    // allows for fractions, and the carbon that goes with it.
    for (steel, ferrite, carbon) in [
        (plain(), [0.4302, 0.4432], [0.3086, 0.3154]),
        (alloy(), [0.2266, 0.2454], [0.2562, 0.2622]),
    ] {
        let own = steel.wt_pct(Element::C);
        let start = austenitise(
            &steel,
            WeightPercent::from_wt_pct(own),
            Temperature::from_c(788.0),
        )
        .unwrap();
        println!("{start:?}");
        let within = |v: f64, [a, b]: [f64; 2], by: f64| (a - by..=b + by).contains(&v);
        assert!(within(start.ferrite, ferrite, 0.015), "{start:?}");
        assert!(within(start.carbon.to_wt_pct(), carbon, 0.005), "{start:?}");
    }
}

#[test]
fn ferrite_of_a_reheat_follows_the_equilibrium() {
    use crate::equilibrium::{Phase, PhaseSet, equilibrium};
    // Read between five tie lines; 0.005 is a third of what the project allows for fractions.
    let temperature = Temperature::from_c(788.0);
    for c in [0.04, 0.07, 0.1, 0.15, 0.19, 0.23, 0.26, 0.29, 0.31] {
        for of in [plain(), alloy()] {
            let carbon = WeightPercent::from_wt_pct(c);
            let exact = equilibrium(&of.with_carbon(carbon), temperature, PhaseSet::STEEL)
                .unwrap()
                .value;
            let exact = exact
                .get(Phase::Ferrite)
                .map_or(0.0, |share| share.mass_fraction.to_ratio());
            let ours = austenitise(&of, carbon, temperature).unwrap().ferrite;
            assert!((ours - exact).abs() < 0.005, "{c}: {ours} for {exact}");
        }
    }
}

#[test]
fn full_equilibrium_keeps_the_ferrite_that_is_measured() {
    use crate::equilibrium::{Boundaries, Partition, PhaseSet};
    // Andrews' Ac3, measured on heating (±17 K), stands above the ferrite line of carbon alone and
    // beside that of full equilibrium: why a reheat of minutes is not taken as para-equilibrium.
    let ae3 = |of| {
        let found = Boundaries::new(&alloy(), PhaseSet::STEEL, of).ae3();
        found.unwrap().value.unwrap().to_c()
    };
    let measured = crate::law::transformation_temperature::ac3_andrews(&alloy())
        .value
        .to_c();
    let (full, para) = (ae3(Partition::Full), ae3(Partition::CarbonOnly));
    println!("Ae3 {full:.1}, para {para:.1}, Andrews {measured:.1} °C");
    assert!((full - measured).abs() < 17.0 && full - para > 15.0 && para < measured - 5.0);
}

#[test]
fn carbon_is_kept_between_the_phases_of_a_reheat() {
    // Ferrite's carbon at this temperature is below 0.015 wt%: what is not in the austenite.
    for c in [0.02, 0.1, 0.18, 0.25, 0.3, 0.32, 0.5] {
        let start = austenitise(
            &plain(),
            WeightPercent::from_wt_pct(c),
            Temperature::from_c(788.0),
        )
        .unwrap();
        let rest = c - start.austenite * start.carbon.to_wt_pct();
        assert!((-1e-12..0.015).contains(&rest), "{c}: {rest} {start:?}");
    }
}

#[test]
fn slower_kinetics_leave_more_martensite() {
    let start = austenitise(
        &plain(),
        WeightPercent::from_wt_pct(0.8),
        Temperature::from_c(850.0),
    )
    .unwrap();
    let run = |factor: f64| {
        let shared = SteelLines::new(&plain());
        let kinetics = Kinetics::new(&shared, 0.8, 8.0, factor);
        let curve: Vec<f64> = (0..300).map(|i| 1100.0 - 2.5 * f64::from(i)).collect();
        let time: Vec<f64> = (0..300).map(|i| f64::from(i) * 2.5 / 60.0).collect();
        follow(&kinetics, &start, &time, &curve, 298.15).martensite
    };
    assert!(run(0.5) <= run(1.0) && run(1.0) <= run(3.0) && run(0.5) < run(3.0));
}

/// Hardness in HRC (below 20 by the formula, for the mean only) on a bar cooled at 700 °C at a
/// known rate and by Newton's law around it.
fn end_quench_hrc(s: &Composition, from_c: f64, rate: f64, ferrite: FerriteActivation) -> f64 {
    let c = s.wt_pct(Element::C);
    let shared = SteelLines::new(s);
    let lines = LiCoefficients::with(s, 8.0, Starts::li(s), ferrite);
    let kinetics = Kinetics::with_lines(&shared, c, lines, 1.0);
    let start = austenitise(
        s,
        WeightPercent::from_wt_pct(c),
        Temperature::from_c(from_c),
    )
    .unwrap();
    let steps = 600;
    let celsius = (0..=steps).map(|i| from_c - (from_c - 30.0) * f64::from(i) / f64::from(steps));
    let (time, curve): (Vec<f64>, Vec<f64>) = celsius
        .map(|t| {
            (
                675.0 / rate * crate::numerics::fun::ln((from_c - 25.0) / (t - 25.0)),
                t + 273.15,
            )
        })
        .unzip();
    let p = follow(&kinetics, &start, &time, &curve, 298.15);
    let with = |c: f64| SoftHardness::new(&s.with_carbon(WeightPercent::from_wt_pct(c)));
    let hv = p.martensite * martensite_hv(p.martensite_carbon_wt_pct)
        + p.retained_austenite * RETAINED_AUSTENITE_HV
        + p.bainite * with(c).bainite_hv(rate)
        + (p.ferrite + p.pearlite) * with(p.soft_carbon_wt_pct).ferrite_pearlite_hv(rate);
    // Interpolating fit of the conversion table, good to 0.2 HRC.
    (100.0 * hv - 14_500.0) / (hv + 223.0)
}

/// Cooling rates at 700 °C at the sixteenths, in °F/s [jominy-rates].
const RATES_F_S: [f64; 16] = [
    490.0, 305.0, 195.0, 125.0, 77.0, 56.0, 42.0, 33.0, 26.0, 21.4, 18.0, 16.3, 14.0, 12.4, 11.0,
    10.0,
];

/// (grade, middle chemistry, austenitising °C, (sixteenth, highest, lowest HRC)).
type Band = (
    &'static str,
    Vec<(Element, f64)>,
    f64,
    Vec<(usize, f64, f64)>,
);

fn bands() -> Vec<Band> {
    use Element::{C, Cr, Mn, Mo, Ni, Si};
    vec![
        (
            "8620H",
            vec![
                (C, 0.20),
                (Mn, 0.775),
                (Si, 0.25),
                (Ni, 0.55),
                (Cr, 0.5),
                (Mo, 0.2),
            ],
            925.0,
            vec![
                (1, 48.0, 41.0),
                (2, 47.0, 37.0),
                (3, 44.0, 32.0),
                (4, 41.0, 27.0),
                (5, 37.0, 23.0),
                (6, 34.0, 21.0),
            ],
        ),
        (
            "4118H",
            vec![(C, 0.20), (Mn, 0.80), (Si, 0.25), (Cr, 0.5), (Mo, 0.115)],
            925.0,
            vec![
                (1, 48.0, 41.0),
                (2, 46.0, 36.0),
                (3, 41.0, 27.0),
                (4, 35.0, 23.0),
                (5, 31.0, 20.0),
            ],
        ),
        (
            "4620H",
            vec![(C, 0.20), (Mn, 0.55), (Si, 0.25), (Ni, 1.75), (Mo, 0.25)],
            925.0,
            vec![
                (1, 48.0, 41.0),
                (2, 45.0, 35.0),
                (3, 42.0, 27.0),
                (4, 39.0, 24.0),
                (5, 34.0, 21.0),
            ],
        ),
        (
            "4140H",
            vec![(C, 0.405), (Mn, 0.875), (Si, 0.225), (Cr, 0.975), (Mo, 0.2)],
            845.0,
            vec![
                (1, 60.0, 53.0),
                (4, 59.0, 51.0),
                (8, 57.0, 47.0),
                (12, 55.0, 39.0),
                (16, 53.0, 35.0),
            ],
        ),
        (
            "1522H",
            vec![(C, 0.21), (Mn, 1.25), (Si, 0.225)],
            925.0,
            vec![
                (1, 50.0, 41.0),
                (2, 47.0, 32.0),
                (3, 45.0, 22.0),
                (4, 39.0, 20.0),
            ],
        ),
        (
            "16MnCr5",
            vec![(C, 0.165), (Mn, 1.15), (Si, 0.25), (Cr, 0.95)],
            925.0,
            // [en-10084] at 1.5, 3, 5, 7, 9, 13 mm put to the nearest sixteenths.
            vec![
                (1, 47.0, 39.0),
                (2, 46.0, 36.0),
                (3, 44.5, 32.0),
                (4, 42.0, 29.0),
                (6, 39.0, 24.0),
                (8, 35.0, 19.0),
            ],
        ),
    ]
}

/// Points inside their band, all points, and the mean square distance from the band's middle.
fn inside(ferrite: FerriteActivation, print: bool) -> (usize, usize, f64) {
    let (mut good, mut all, mut square) = (0, 0, 0.0);
    for (name, contents, from_c, points) in bands() {
        let s = steel(&contents);
        for (sixteenth, high, low) in points {
            let hrc = end_quench_hrc(&s, from_c, RATES_F_S[sixteenth - 1] / 1.8, ferrite);
            if print {
                println!("{name} J{sixteenth}: {hrc:.1} in {low} to {high}");
            }
            // Half a unit: bands are printed in whole numbers.
            good += usize::from(hrc >= low - 0.5 && hrc <= high + 0.5);
            all += 1;
            square += (hrc - (high + low) / 2.0).powi(2);
        }
    }
    (good, all, square / all as f64)
}

#[test]
fn val_end_quench_bands() {
    // [sae-j1268], [en-10084]; the bar's curve is Newton's, so this settles coefficients only.
    let (good, all, square) = inside(FerriteActivation::Cal27500, true);
    let (fast_good, _, fast_square) = inside(FerriteActivation::Cal23500, false);
    println!(
        "27 500: {good} of {all}, mean square {square:.1}; 23 500: {fast_good}, {fast_square:.1}"
    );
    // Eight of ten points, as hardenability models are judged.
    assert!(good * 10 >= all * 8, "{good} of {all}");
    // The decision for 27 500 cal/mol: more points inside and nearer the middle.
    assert!(good > fast_good && square < fast_square);
}

#[test]
fn val_plain_core_near_calculated_hardenability() {
    // [astm-a255] 1018: J1 43, J2 21 HRC (divider at DI 0.39 in). Plain steel falls so steeply there
    // that a tenth of an inch of distance is 10 HRC.
    let plain = plain();
    for (sixteenth, published) in [(1, 43.0), (2, 21.0)] {
        let hrc = end_quench_hrc(
            &plain,
            925.0,
            RATES_F_S[sixteenth - 1] / 1.8,
            FerriteActivation::Cal27500,
        );
        println!("1018 J{sixteenth} {hrc:.1} against {published}");
        assert!((hrc - published).abs() < 10.0, "J{sixteenth} {hrc}");
    }
}
