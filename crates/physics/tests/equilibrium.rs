//! What must hold for the equilibrium of any steel: balances, signs, limits, and that functions
//! that say the same thing say the same number.

use casewright_physics::equilibrium::{
    AusteniteCarbon, Boundaries, EquilibriumFailure, Partition, Phase, PhaseSet, SaturationTable,
    acm, equilibrium, para_equilibrium, saturation_carbide, saturation_graphite,
};
use casewright_physics::matter::steel;
use casewright_terms::{Composition, Element, Remark, Temperature, TemperatureStep, WeightPercent};
use proptest::prelude::*;

const KNOWN: [Element; 6] = [
    Element::C,
    Element::Mn,
    Element::Si,
    Element::Cr,
    Element::Ni,
    Element::Mo,
];

fn of(contents: [f64; 6]) -> Composition {
    let contents: Vec<_> = KNOWN
        .into_iter()
        .zip(contents)
        .map(|(e, w)| (e, WeightPercent::from_wt_pct(w)))
        .collect();
    Composition::new(&contents).expect("contents of a steel")
}

/// Any steel inside the assessments, elements absent as often as present.
fn steels() -> impl Strategy<Value = Composition> {
    let or_none = |most: f64| prop_oneof![Just(0.0), 0.0..most];
    (
        0.0..2.0_f64,
        or_none(3.0),
        or_none(2.5),
        or_none(13.0),
        or_none(10.0),
        or_none(2.0),
    )
        .prop_map(|(c, mn, si, cr, ni, mo)| of([c, mn, si, cr, ni, mo]))
}

fn sets() -> impl Strategy<Value = PhaseSet> {
    prop_oneof![
        Just(PhaseSet::STEEL),
        Just(PhaseSet::CEMENTITE_ONLY),
        Just(PhaseSet::ALL),
    ]
}

/// Shares add up to one, and what is in the phases adds up to the steel.
fn check_balance(
    steel: &Composition,
    state: &casewright_physics::equilibrium::Equilibrium,
) -> Result<(), TestCaseError> {
    let moles: f64 = state
        .phases
        .iter()
        .map(|p| p.mole_fraction.to_ratio())
        .sum();
    let mass: f64 = state
        .phases
        .iter()
        .map(|p| p.mass_fraction.to_ratio())
        .sum();
    // Newton's last step leaves the square of 1e-7; the rest is rounding.
    prop_assert!((moles - 1.0).abs() < 1e-11, "{moles}");
    prop_assert!((mass - 1.0).abs() < 1e-11, "{mass}");
    for element in KNOWN {
        let inside: f64 = state
            .phases
            .iter()
            .map(|p| p.mass_fraction.to_ratio() * p.content(element).to_wt_pct())
            .sum();
        let wanted = steel.wt_pct(element);
        // Contents below 1e-3 wt% are left out.
        let left_out = if wanted < 1e-3 { 1e-3 } else { 0.0 };
        prop_assert!(
            (inside - wanted).abs() < 1e-9 + left_out,
            "{element:?} {inside} {wanted}"
        );
    }
    prop_assert!(
        state
            .phases
            .iter()
            .all(|p| p.mole_fraction.to_ratio() > 0.0)
    );
    prop_assert!(state.carbon_activity > 0.0 && state.carbon_activity.is_finite());
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn every_steel_settles_and_balances(steel in steels(), t_c in 450.0..1200.0_f64, set in sets()) {
        let state = equilibrium(&steel, Temperature::from_c(t_c), set);
        prop_assert!(state.is_ok(), "{steel:?} {t_c}: {state:?}");
        check_balance(&steel, &state.unwrap().value)?;
    }

    #[test]
    fn para_settles_and_keeps_the_metals(steel in steels(), t_c in 450.0..1200.0_f64) {
        let state = para_equilibrium(&steel, Temperature::from_c(t_c), PhaseSet::STEEL);
        prop_assert!(state.is_ok(), "{steel:?} {t_c}: {state:?}");
        let state = state.unwrap().value;
        check_balance(&steel, &state)?;
        let ratio = |of: f64, iron: f64| of / iron;
        // Contents below 1e-3 wt% count as iron.
        let known: f64 = KNOWN.iter().map(|e| steel.wt_pct(*e)).filter(|w| *w >= 1e-3).sum();
        let trace = if steel.wt_pct(Element::C) < 1e-3 { steel.wt_pct(Element::C) } else { 0.0 };
        let base = 100.0 - known - trace;
        for share in state.phases.iter().filter(|p| p.phase != Phase::Graphite) {
            for element in &KNOWN[1..] {
                let wanted = steel.wt_pct(*element);
                if wanted >= 1e-3 {
                    let here = ratio(share.content(*element).to_wt_pct(), share.iron().to_wt_pct());
                    prop_assert!((here - ratio(wanted, base)).abs() < 1e-9, "{element:?}");
                }
            }
        }
    }

    /// More freedom never costs energy: with more phases allowed, carbon is bound no weaker, so
    /// graphite holds the activity down to one.
    #[test]
    fn graphite_holds_the_activity_at_or_below_one(steel in steels(), t_c in 450.0..1150.0_f64) {
        let state = equilibrium(&steel, Temperature::from_c(t_c), PhaseSet::ALL);
        let state = state.map_err(|e| TestCaseError::fail(e.to_string()))?.value;
        // A phase enters when it gains 1e-10 RT.
        prop_assert!(state.carbon_activity < 1.0 + 1e-9, "{}", state.carbon_activity);
        if state.get(Phase::Graphite).is_some() {
            prop_assert!((state.carbon_activity - 1.0).abs() < 1e-9);
        }
    }

    /// The factor is the slope of the activity, and the activity is that of the phases.
    #[test]
    fn factor_is_the_slope_of_the_activity(steel in steels(), t_c in 700.0..1200.0_f64, y in 0.001..0.08_f64) {
        let t = Temperature::from_c(t_c);
        let carbon = AusteniteCarbon::at(&steel, t).unwrap().value.carbon(y);
        let steel = steel.with_carbon(carbon);
        let austenite = AusteniteCarbon::at(&steel, t).unwrap().value;
        let y = austenite.u_fraction(carbon);
        let step = 1e-6;
        let up = austenite.ln_activity(y * (1.0 + step));
        let down = austenite.ln_activity(y * (1.0 - step));
        let slope = (up - down) / (2.0 * step);
        // Rounding 1e-15 over the step; curvature of order 1 times the step squared.
        prop_assert!((slope - austenite.factor(y)).abs() < 1e-8);
        prop_assert!(austenite.factor(y) > 0.0);
        prop_assert!((austenite.carbon(y) - carbon).to_wt_pct().abs() < 1e-12);
        let set = PhaseSet::CEMENTITE_ONLY.without(Phase::Ferrite).without(Phase::Cementite);
        let alone = equilibrium(&steel, t, set).unwrap().value;
        // Steel's trace contents are cut at 1e-3 wt% in both; the fit of p and q leaves out the
        // magnetic term of austenite, up to 1e-5 (Ni at 10 %).
        let ratio = alone.carbon_activity / austenite.activity(carbon);
        prop_assert!((ratio - 1.0).abs() < 3e-5, "{ratio}");
    }

    /// Hostile contents give an error or a value, never a panic or NaN.
    #[test]
    fn any_composition_is_answered(wt in prop::collection::vec(0.0..49.0_f64, 6), share in 0.0..1.0_f64, t_k in 1.0..3000.0_f64) {
        let sum: f64 = wt.iter().sum::<f64>().max(1e-9);
        let scaled: Vec<f64> = wt.iter().map(|w| w / sum * 49.9 * share).collect();
        let steel = of([scaled[0], scaled[1], scaled[2], scaled[3], scaled[4], scaled[5]]);
        let t = Temperature::from_k(t_k);
        if let Ok(state) = equilibrium(&steel, t, PhaseSet::ALL) {
            prop_assert!(state.value.carbon_activity.is_finite());
        }
        let _ = saturation_graphite(&steel, t);
        let _ = saturation_carbide(&steel, t, PhaseSet::STEEL);
    }
}

proptest! {
    // Each case is several searches.
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Saturation with carbide and Acm are two readings of one line.
    #[test]
    fn saturation_and_acm_are_inverse(
        mn in 0.2..1.5_f64, si in 0.1..0.5_f64, cr in 0.0..1.8_f64, ni in 0.0..3.5_f64,
        mo in 0.0..0.4_f64, t_c in 800.0..950.0_f64,
    ) {
        let metals = [mn, si, cr, ni, mo];
        let core = 0.2;
        let steel = of([core, mn, si, cr, ni, mo]);
        let t = Temperature::from_c(t_c);
        let line = saturation_carbide(&steel, t, PhaseSet::STEEL).unwrap().value;
        // Carbon that comes in thins the metals out, their ratios stay.
        let thinner = (100.0 - line.carbon.to_wt_pct()) / (100.0 - core);
        let [mn, si, cr, ni, mo] = metals.map(|w| w * thinner);
        let back = acm(&of([core, mn, si, cr, ni, mo]), line.carbon).unwrap().value;
        prop_assert!(back.is_some());
        // Boundaries are given to 1e-3 K.
        prop_assert!((back.unwrap() - t).to_k().abs() < 3e-3, "{back:?} {t_c}");
    }

    /// Boundaries are in order, and just beside them the phase is there or not.
    #[test]
    fn boundaries_part_what_they_say(
        c in 0.05..0.6_f64, mn in 0.2..1.5_f64, si in 0.1..0.5_f64, cr in 0.0..1.8_f64,
        ni in 0.0..2.0_f64, mo in 0.0..0.4_f64,
    ) {
        let steel = of([c, mn, si, cr, ni, mo]);
        let mut found = Boundaries::new(&steel, PhaseSet::STEEL, Partition::Full);
        let ae3 = found.ae3().unwrap().value.unwrap();
        let half = found.ae1_10pct().unwrap().value.unwrap();
        prop_assert!(half < ae3);
        let step = casewright_terms::TemperatureStep::from_k(0.01);
        let ferrite = |t| equilibrium(&steel, t, PhaseSet::STEEL).unwrap().value.get(Phase::Ferrite).is_some();
        prop_assert!(ferrite(ae3 - step) && !ferrite(ae3 + step));
        if let Some(ae1) = found.ae1().unwrap().value {
            prop_assert!(ae1 < half);
            let austenite = |t| equilibrium(&steel, t, PhaseSet::STEEL).unwrap().value.get(Phase::Austenite).is_some();
            prop_assert!(austenite(ae1 + step) && !austenite(ae1 - step));
        }
    }
}

#[test]
fn what_cannot_be_computed_is_refused_with_its_limit() {
    let steel = of([0.2, 0.8, 0.25, 0.5, 0.5, 0.2]);
    let hot = equilibrium(&steel, Temperature::from_c(1400.0), PhaseSet::STEEL).unwrap_err();
    assert!(matches!(hot, EquilibriumFailure::OutsideTemperature { .. }));
    let iron = of([0.2, 0.0, 30.0, 0.0, 0.0, 0.0]);
    let wild = equilibrium(&iron, Temperature::from_c(800.0), PhaseSet::STEEL).unwrap_err();
    assert!(wild.to_string().contains("Si is 30 %"), "{wild}");
    assert!(
        Boundaries::new(&iron, PhaseSet::STEEL, Partition::Full)
            .ae3()
            .is_err()
    );
}

/// A content that is none, or far outside: refused with its element, by all that take a steel.
#[test]
fn contents_that_are_no_steel_are_refused() {
    let t = Temperature::from_c(900.0);
    let steel = of([0.2, 0.8, 0.25, 0.5, 0.5, 0.2]);
    for carbon in [-0.1, 5.5, 60.0] {
        let bad = steel.with_carbon(WeightPercent::from_wt_pct(carbon));
        let why = equilibrium(&bad, t, PhaseSet::STEEL).unwrap_err();
        assert!(
            why.to_string().contains(&format!("C is {carbon} %")),
            "{why}"
        );
        assert!(AusteniteCarbon::at(&bad, t).is_err(), "{carbon}");
        assert!(SaturationTable::new(&bad, TemperatureStep::ZERO).is_err());
    }
    // More than half that is not iron never becomes a composition, nor does what is no number.
    let contents = |w: [f64; 2]| {
        let [cr, ni] = w.map(WeightPercent::from_wt_pct);
        Composition::new(&[(Element::Cr, cr), (Element::Ni, ni)])
    };
    assert!(contents([30.0, 30.0]).is_err() && contents([60.0, 60.0]).is_err());
    assert!(contents([-1.0, 0.0]).is_err());
    assert!(WeightPercent::checked(f64::NAN).is_none());
    // Beyond what is assessed but not absurd: an answer, with a remark.
    let odd = of([0.2, 0.8, 0.25, 26.0, 0.0, 0.0]);
    let state = equilibrium(&odd, t, PhaseSet::STEEL).unwrap();
    let said = |r: &Remark| r.code == "equilibrium-outside-assessment" && r.text.contains("Cr");
    assert!(state.remarks.iter().any(said), "{:?}", state.remarks);
}

#[test]
fn leaving_the_assessment_is_said() {
    let tool = steel::find("D2").unwrap().middle();
    let t = Temperature::from_c(1000.0);
    let state = equilibrium(&tool, t, PhaseSet::STEEL).unwrap();
    assert!(
        state
            .remarks
            .iter()
            .any(|r| r.code == "equilibrium-element-left-out")
    );
    assert!(state.value.get(Phase::M7c3).is_some(), "{:?}", state.value);
}

#[test]
fn order_of_alloys_on_the_activity_is_the_textbooks() {
    // Chromium and molybdenum bind carbon, silicon and nickel push it out (Gunnarson 1967 has the
    // same signs).
    let t = Temperature::from_c(927.0);
    let at = |contents| {
        AusteniteCarbon::at(&of(contents), t)
            .unwrap()
            .value
            .activity(WeightPercent::from_wt_pct(0.8))
    };
    let plain = at([0.8, 0.0, 0.0, 0.0, 0.0, 0.0]);
    assert!(at([0.8, 0.0, 0.0, 1.0, 0.0, 0.0]) < plain);
    assert!(at([0.8, 0.0, 0.0, 0.0, 0.0, 0.5]) < plain);
    assert!(at([0.8, 1.0, 0.0, 0.0, 0.0, 0.0]) < plain);
    assert!(at([0.8, 0.0, 0.5, 0.0, 0.0, 0.0]) > plain);
    assert!(at([0.8, 0.0, 0.0, 0.0, 3.0, 0.0]) > plain);
}

/// Another solver on the same Gibbs energies: pycalphad 0.11.2 on the rows of
/// `data/thermo/steel.toml`, five phases allowed (source `calphad-2026`). Temperature in °C, steel,
/// shares of austenite, ferrite, cementite, M7C3, M23C6.
#[test]
fn val_another_solver_finds_the_same_phases() {
    let rows: [(f64, [f64; 6], [f64; 5]); 9] = [
        (
            640.0,
            [0.10, 0.55, 0.25, 1.20, 3.25, 0.11],
            [0.06489, 0.92127, 0.0, 0.01385, 0.0],
        ),
        (
            640.0,
            [0.90, 0.55, 0.25, 1.20, 3.25, 0.11],
            [0.10431, 0.74120, 0.15449, 0.0, 0.0],
        ),
        (
            720.0,
            [0.20, 0.55, 0.25, 0.50, 1.80, 0.25],
            [0.45318, 0.54682, 0.0, 0.0, 0.0],
        ),
        (
            720.0,
            [0.18, 0.70, 0.20, 1.65, 1.55, 0.30],
            [0.22324, 0.75617, 0.0, 0.00947, 0.01112],
        ),
        (
            720.0,
            [0.90, 0.70, 0.20, 1.65, 1.55, 0.30],
            [0.85769, 0.06197, 0.04988, 0.0, 0.03046],
        ),
        (
            640.0,
            [0.20, 0.60, 0.25, 0.00, 3.50, 0.25],
            [0.17858, 0.80038, 0.01785, 0.00319, 0.0],
        ),
        (
            720.0,
            [0.195, 1.25, 0.20, 1.15, 0.0, 0.0],
            [0.19223, 0.79348, 0.0, 0.01428, 0.0],
        ),
        (
            760.0,
            [1.50, 0.35, 0.35, 12.0, 0.0, 0.95],
            [0.0, 0.76680, 0.0, 0.18421, 0.04900],
        ),
        (
            850.0,
            [1.50, 0.35, 0.35, 12.0, 0.0, 0.95],
            [0.80785, 0.0, 0.0, 0.16175, 0.03040],
        ),
    ];
    let phases = [
        Phase::Austenite,
        Phase::Ferrite,
        Phase::Cementite,
        Phase::M7c3,
        Phase::M23c6,
    ];
    for (t_c, contents, wanted) in rows {
        let state = equilibrium(&of(contents), Temperature::from_c(t_c), PhaseSet::STEEL);
        let state = state.unwrap().value;
        for (phase, share) in phases.into_iter().zip(wanted) {
            let ours = state.mole_fraction(phase).to_ratio();
            assert_eq!(ours > 0.0, share > 0.0, "{phase:?} {t_c} {contents:?}");
            // Atomic masses differ in the fifth digit (Fe 55.847, Ni 58.69, Mo 95.94 there), and
            // the lever rule near a boundary magnifies that about tenfold.
            assert!(
                (ours - share).abs() < 2e-4,
                "{phase:?} {t_c} {contents:?}: {ours} {share}"
            );
        }
    }
}
