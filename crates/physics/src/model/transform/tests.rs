use super::*;
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
    // [atlas-it-diagrams] 1080: martensite alone needs 140 to 200 K/s, read to ±30 %.
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

#[test]
fn the_slower_the_more_ferrite() {
    // Down to furnace cooling: ferrite nears the lever rule's amount and never falls behind by more
    // than the spread of the steps, a percent.
    let ferrite: Vec<f64> = [3.0, 1.0, 0.3, 0.1, 0.03, 0.01, 0.003, 0.0003]
        .into_iter()
        .map(|rate| fall(&plain(), 0.18, rate).ferrite)
        .collect();
    println!("{ferrite:.3?}");
    assert!(
        ferrite.windows(2).all(|w| w[1] > w[0] - 0.01),
        "{ferrite:?}"
    );
    assert!(ferrite[7] > 0.75);
}
