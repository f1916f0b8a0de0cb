//! Everything the engine says about one steel, on one card.
//!
//! It collects what `equilibrium` and the laws know; it holds no formula of its own. What is not
//! known stays `None`.

use casewright_terms::{
    Composition, Element, Fraction, Remark, SourceKey, Temperature, Valued, WeightPercent,
};

use crate::equilibrium::{self, Boundaries, Equilibrium, Partition, PhaseSet, acm, equilibrium};
use crate::law::hardenability::{self, JominyPoint};
use crate::law::{decomposition, martensite_start, transformation_temperature};

use super::jominy::{self, EndQuenchPoint, GRAIN_NUMBER};

/// Carbons closer than this are one, in wt%: the last digit a mill prints.
const SAME_WT_PCT: f64 = 0.005;

/// A quench ends here for `retained_austenite` (25 °C).
const ROOM_C: f64 = 25.0;

/// One phase on the card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CardPhase {
    /// `austenite`, `ferrite`, `cementite`, `graphite`, `m7c3` or `m23c6`.
    pub name: &'static str,
    /// Its share of all atoms.
    pub mole_fraction: Fraction,
    /// Carbon in it.
    pub carbon: WeightPercent,
}

/// What a formula of the literature says beside the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct CrossCheck {
    /// Whose formula, such as `Andrews 1965`.
    pub name: &'static str,
    /// Which quantity: the field of the card it stands beside.
    pub quantity: &'static str,
    /// Its value; `None` where the steel is too far from what the formula was made on.
    pub value: Option<Temperature>,
    /// Key of its source.
    pub source: SourceKey,
}

/// The card.
#[derive(Clone, Debug, PartialEq)]
pub struct SteelCard {
    /// The steel; its carbon is the base carbon.
    pub composition: Composition,
    /// Carbon that `acm`, `ms`, `carbon_activity`, `phases` and `retained_austenite` speak of.
    pub at_carbon: WeightPercent,
    /// Temperature that `carbon_activity` and `phases` speak of.
    pub at: Temperature,
    /// First austenite on heating, base carbon.
    pub ae1: Option<Temperature>,
    /// Austenite passes 10 mol% on heating, base carbon.
    pub ae1_10pct: Option<Temperature>,
    /// Last carbide dissolves, base carbon.
    pub carbide_gone: Option<Temperature>,
    /// Last ferrite gone, base carbon.
    pub ae3: Option<Temperature>,
    /// Last carbide dissolves at `at_carbon`; `None` where none can.
    pub acm: Option<Temperature>,
    /// Martensite start with `at_carbon` dissolved.
    pub ms: Option<Temperature>,
    /// Against graphite.
    pub carbon_activity: Option<f64>,
    /// Phases at `at` with `at_carbon`, most first.
    pub phases: Vec<CardPhase>,
    /// Austenite left after a quench to 25 °C with `at_carbon` dissolved.
    pub retained_austenite: Option<Fraction>,
    /// End-quench bar of the base steel; empty where it cannot be computed.
    pub jominy: Vec<EndQuenchPoint>,
    /// The same bar with `at_carbon` all through; empty where that is the base carbon.
    pub jominy_case: Vec<EndQuenchPoint>,
    /// What ASTM A255 calculates beside `jominy`; empty outside its scope.
    pub jominy_a255: Vec<JominyPoint>,
    /// Formulas of the literature beside the values above.
    pub cross_checks: Vec<CrossCheck>,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

/// Makes the card of a steel. Without `at_carbon` the base carbon stands for it.
#[must_use]
pub fn steel_card(
    composition: &Composition,
    at_carbon: Option<WeightPercent>,
    at: Temperature,
) -> SteelCard {
    let at_carbon = at_carbon.unwrap_or_else(|| composition.get(Element::C));
    let case = composition.with_carbon(at_carbon);
    let mut remarks = Vec::new();
    let mut base = Boundaries::new(composition, PhaseSet::STEEL, Partition::Full);
    let state = kept(equilibrium(&case, at, PhaseSet::STEEL), &mut remarks);
    let jominy = bar(composition, &mut remarks);
    let other = (at_carbon.to_wt_pct() - composition.wt_pct(Element::C)).abs() > SAME_WT_PCT;
    let jominy_case = if other {
        bar(&case, &mut remarks)
    } else {
        Vec::new()
    };
    let far = || martensite_start::FIT.withheld("Ms and kept austenite are", &case);
    let mut card = SteelCard {
        composition: *composition,
        at_carbon,
        at,
        ae1: kept(base.ae1(), &mut remarks).flatten(),
        ae1_10pct: kept(base.ae1_10pct(), &mut remarks).flatten(),
        carbide_gone: kept(base.carbide_gone(), &mut remarks).flatten(),
        ae3: kept(base.ae3(), &mut remarks).flatten(),
        acm: kept(acm(composition, at_carbon), &mut remarks).flatten(),
        ms: given(far(), &mut remarks, || {
            martensite_start::martensite_start(&case)
        }),
        carbon_activity: state.as_ref().map(|state| state.carbon_activity),
        phases: state.iter().flat_map(phases).collect(),
        retained_austenite: given(far(), &mut remarks, || {
            martensite_start::retained_austenite(&case, Temperature::from_c(ROOM_C))
        }),
        jominy,
        jominy_case,
        jominy_a255: hardenability::in_scope_points(composition, GRAIN_NUMBER)
            .into_value(&mut remarks),
        cross_checks: cross_checks(composition, &case, &mut remarks),
        remarks,
        sources: sources(),
    };
    card.remarks.sort();
    card.remarks.dedup();
    card
}

/// A result, or `None` with the failure among the remarks.
fn kept<T, E: std::fmt::Display>(
    result: Result<Valued<T>, E>,
    remarks: &mut Vec<Remark>,
) -> Option<T> {
    match result {
        Ok(valued) => Some(valued.into_value(remarks)),
        Err(failure) => {
            remarks.push(Remark::new("equilibrium-not-known", failure.to_string()));
            None
        }
    }
}

/// A value, or `None` with the reason among the remarks where the steel is too far from the fit.
fn given<T>(
    withheld: Option<Remark>,
    remarks: &mut Vec<Remark>,
    value: impl FnOnce() -> Valued<T>,
) -> Option<T> {
    match withheld {
        Some(remark) => {
            remarks.push(remark);
            None
        }
        None => Some(value().into_value(remarks)),
    }
}

fn phases(state: &Equilibrium) -> impl Iterator<Item = CardPhase> + '_ {
    state.phases.iter().map(|share| CardPhase {
        name: share.phase.name(),
        mole_fraction: share.mole_fraction,
        carbon: share.carbon(),
    })
}

/// The end-quench bar at the standard's distances, or nothing with the failure among the remarks.
fn bar(steel: &Composition, remarks: &mut Vec<Remark>) -> Vec<EndQuenchPoint> {
    if let Some(remark) = decomposition::FIT.withheld("End-quench hardness is", steel) {
        remarks.push(remark);
        return Vec::new();
    }
    let from = jominy::standard_temperature(steel);
    match jominy::end_quench(steel, GRAIN_NUMBER, from, &jominy::standard_distances()) {
        Ok(done) => {
            remarks.extend(done.remarks);
            done.points
        }
        Err(failure) => {
            remarks.push(Remark::new("end-quench-not-known", failure.to_string()));
            Vec::new()
        }
    }
}

/// What the literature's formulas say beside the engine's values.
fn cross_checks(
    base: &Composition,
    case: &Composition,
    remarks: &mut Vec<Remark>,
) -> Vec<CrossCheck> {
    use transformation_temperature as law;
    let mut check = |name, quantity: &'static str, value: Valued<Temperature>, source| {
        // A formula a little outside its range is still shown; its own remark says so.
        let of = if quantity == "ms" { case } else { base };
        let far = law::LOW_ALLOY.withheld("The literature's formulas are", of);
        CrossCheck {
            name,
            quantity,
            value: given(far, remarks, || value),
            source,
        }
    };
    vec![
        check(
            "Andrews 1965",
            "carbide_gone",
            law::ac1_andrews(base),
            "andrews-1965",
        ),
        check(
            "Grange 1961",
            "carbide_gone",
            law::ae1_grange(base),
            "grange-1961",
        ),
        check(
            "Andrews 1965",
            "ae3",
            law::ac3_andrews(base),
            "andrews-1965",
        ),
        check(
            "Andrews 1965, main terms",
            "ae3",
            law::ac3_andrews_main_terms(base),
            "andrews-1965",
        ),
        check("Grange 1961", "ae3", law::ae3_grange(base), "grange-1961"),
        check(
            "Andrews 1965, linear",
            "ms",
            law::ms_andrews_linear(case),
            "andrews-1965",
        ),
        check(
            "Andrews 1965, product",
            "ms",
            law::ms_andrews_product(case),
            "andrews-1965",
        ),
        check(
            "Steven and Haynes 1956",
            "ms",
            law::ms_steven_haynes(case),
            "steven-haynes-1956",
        ),
    ]
}

/// Keys of everything the card rests on.
fn sources() -> Vec<SourceKey> {
    let mut keys: Vec<SourceKey> = equilibrium::sources().to_vec();
    keys.extend(hardenability::SOURCES);
    keys.extend(jominy::sources());
    keys.extend([
        "andrews-1965",
        "grange-1961",
        "koistinen-marburger-1959",
        "steven-haynes-1956",
        "van-bohemen-2012",
    ]);
    keys.sort_unstable();
    keys.dedup();
    keys
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matter::{sources, steel};

    fn card(grade: &str, carbon: Option<f64>, at_c: f64) -> SteelCard {
        let middle = steel::find(grade).unwrap().middle();
        steel_card(
            &middle,
            carbon.map(WeightPercent::from_wt_pct),
            Temperature::from_c(at_c),
        )
    }

    #[test]
    fn a_carburizing_steel_has_every_field() {
        let card = card("8620", Some(0.80), 788.0);
        let ae1 = card.ae1.unwrap();
        let gone = card.carbide_gone.unwrap();
        let ae3 = card.ae3.unwrap();
        assert!(ae1 < card.ae1_10pct.unwrap() && ae1 < gone && gone < ae3);
        assert!(card.acm.unwrap() > gone);
        assert!(card.ms.unwrap() < ae1);
        assert_eq!(card.phases[0].name, "austenite");
        let all: f64 = card.phases.iter().map(|p| p.mole_fraction.to_ratio()).sum();
        assert!((all - 1.0).abs() < 1e-9, "{all}");
        assert_eq!(card.jominy.len(), card.jominy_case.len());
        assert!(!card.jominy_a255.is_empty() && !card.cross_checks.is_empty());
        // The case's steel is harder at the end and hardens deeper.
        let (core, case) = (&card.jominy, &card.jominy_case);
        assert!(case.iter().zip(core).all(|(a, b)| a.hardness > b.hardness));
    }

    #[test]
    fn the_end_quench_is_the_models_own() {
        let steel = steel::find("8620").unwrap().middle();
        let own = jominy::end_quench(
            &steel,
            GRAIN_NUMBER,
            jominy::standard_temperature(&steel),
            &jominy::standard_distances(),
        )
        .unwrap();
        assert_eq!(card("8620", None, 850.0).jominy, own.points);
        assert!(card("8620", None, 850.0).jominy_case.is_empty());
    }

    #[test]
    fn what_lies_outside_the_standard_gets_no_calculated_hardness() {
        // 18 % Cr and 8 % Ni: neither the standard nor the rates are made for it, and both say so.
        let wt = WeightPercent::from_wt_pct;
        let stainless = Composition::new(&[
            (Element::C, wt(0.05)),
            (Element::Mn, wt(1.5)),
            (Element::Si, wt(0.5)),
            (Element::Cr, wt(18.0)),
            (Element::Ni, wt(8.0)),
        ])
        .unwrap();
        let card = steel_card(&stainless, None, Temperature::from_c(850.0));
        let said = |code| card.remarks.iter().any(|r| r.code == code);
        assert!(card.jominy_a255.is_empty() && said("hardenability-above-scope"));
        assert!(card.jominy.is_empty() && said("value-withheld"));
    }

    #[test]
    fn every_grade_has_a_plausible_bar() {
        for record in steel::all() {
            let middle = record.middle();
            let card = steel_card(&middle, None, Temperature::from_c(850.0));
            let points = &card.jominy;
            if points.is_empty() {
                let withheld = card.remarks.iter().any(|r| r.code == "value-withheld");
                assert!(withheld, "{}: {:?}", record.name, card.remarks);
                continue;
            }
            assert_eq!(points.len(), 24, "{}: {:?}", record.name, card.remarks);
            let hv: Vec<f64> = points.iter().map(|p| p.hardness.to_hv()).collect();
            assert!(hv.iter().all(|v| v.is_finite()), "{}: {hv:?}", record.name);
            // Softer along the bar; where ferrite and bainite cross, by the scatter of the rate where
            // the record's steps meet 700 °C, a few HV.
            assert!(
                hv.windows(2).all(|w| w[1] <= w[0] + 8.0),
                "{}: {hv:.0?}",
                record.name
            );
            // From annealed iron to martensite: no phase of a steel lies outside.
            assert!(
                hv.iter().all(|v| (80.0..=950.0).contains(v)),
                "{}: {hv:.0?}",
                record.name
            );
        }
    }

    #[test]
    fn every_grade_gets_a_card_without_failure() {
        for record in steel::all() {
            let card = steel_card(&record.middle(), None, Temperature::from_c(850.0));
            let failed = card
                .remarks
                .iter()
                .find(|r| r.code == "equilibrium-not-known");
            assert!(failed.is_none(), "{}: {failed:?}", record.name);
            assert!(!card.phases.is_empty(), "{}", record.name);
        }
    }

    #[test]
    fn a_temperature_outside_the_tables_is_said() {
        let card = card("1018", None, 1400.0);
        assert!(card.carbon_activity.is_none() && card.phases.is_empty());
        assert!(
            card.remarks
                .iter()
                .any(|r| r.code == "equilibrium-not-known")
        );
        assert!(card.ae3.is_some(), "boundaries do not depend on it");
    }

    #[test]
    fn every_source_of_the_card_is_known() {
        for key in super::sources() {
            assert!(sources::source(key).is_some(), "{key}");
        }
    }
}
