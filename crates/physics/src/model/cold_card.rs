//! What a sub-zero treatment does to the fully hardened case of one steel: retained austenite and
//! hardness before and after, for the steel card.
//!
//! All carbon dissolved, nothing but martensite and austenite. A part's own layers go through
//! `chain::harden_cold`.

use casewright_terms::{Composition, Element, Fraction, Remark, SourceKey, Temperature, Vickers};

use crate::law::martensite_start::{
    FIT, martensite_rate_per_k, martensite_start, retained_austenite,
};
use crate::law::phase_hardness::{RETAINED_AUSTENITE_HV, martensite_hardness, mixture_hv};
use crate::law::retained_austenite::{left_by_cold_ratio, stabilised_k};
use crate::setup::SubZero;

/// The quench ends here (25 °C).
const ROOM_C: f64 = 25.0;
/// Coldest that is looked at: boiling nitrogen, in °C.
const COLDEST_C: f64 = -196.0;

/// Share of austenite and hardness at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it")]
pub struct CaseState {
    pub retained_austenite: Fraction,
    pub hardness: Vickers,
}

/// The case before and after the cold, as quenched.
#[derive(Clone, Debug, PartialEq)]
pub struct ColdCard {
    /// The treatment.
    pub treatment: SubZero,
    /// After a quench to 25 °C.
    pub before: CaseState,
    /// After the cold, back at room temperature, before any temper.
    pub after: CaseState,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
}

/// Keys of the sources behind it.
pub const SOURCES: [SourceKey; 3] = [
    "austenite-stabilisation-assumed",
    "koistinen-marburger-1959",
    "van-bohemen-2012",
];

/// Treats the case of `steel`, whose carbon is that of the case, all of it dissolved.
///
/// # Errors
/// A remark where the treatment is none or the steel is too far from what the laws are made on.
pub fn cold_card(steel: &Composition, treatment: SubZero) -> Result<ColdCard, Remark> {
    let (celsius, wait_s) = (treatment.temperature.to_c(), treatment.wait.to_s());
    if !(COLDEST_C..=ROOM_C).contains(&celsius) || wait_s < 0.0 {
        return Err(Remark::new(
            "cold-outside",
            format!(
                "A cold treatment at {celsius:.0} °C is not between {COLDEST_C:.0} °C (boiling nitrogen) and the end of the quench at {ROOM_C:.0} °C."
            ),
        ));
    }
    if let Some(far) = FIT.withheld("Kept austenite is", steel) {
        return Err(far);
    }
    let mut remarks = Vec::new();
    let room = Temperature::from_c(ROOM_C);
    let kept = retained_austenite(steel, room)
        .into_value(&mut remarks)
        .to_ratio();
    let per_k = martensite_rate_per_k(steel).into_value(&mut remarks);
    let begins = martensite_start(steel).into_value(&mut remarks).min(room);
    let left = left_by_cold_ratio(per_k, begins.to_k(), treatment.temperature.to_k(), wait_s);
    let martensite = martensite_hardness(steel.get(Element::C))
        .into_value(&mut remarks)
        .to_hv();
    let state = |austenite: f64| CaseState {
        retained_austenite: Fraction::from_ratio(austenite),
        hardness: Vickers::from_hv(mixture_hv(&[
            (1.0 - austenite, martensite),
            (austenite, RETAINED_AUSTENITE_HV),
        ])),
    };
    remarks.push(Remark::new(
        "sub-zero-stabilised",
        format!(
            "A wait of {} before the cold is reckoned to hold the austenite {:.0} K further down; that number is an assumption. A temper before the cold holds far more.",
            treatment.wait.text(),
            stabilised_k(wait_s)
        ),
    ));
    remarks.push(Remark::new(
        "sub-zero-brittle",
        "What turns in the cold is untempered and swells in a hard skin: sharp edges and thin places can crack. Temper at once when it is back at room temperature.",
    ));
    remarks.sort();
    remarks.dedup();
    Ok(ColdCard {
        treatment,
        before: state(kept),
        after: state(kept * left),
        remarks,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matter::{sources, steel};
    use casewright_terms::{Span, WeightPercent};

    fn card(carbon: f64, cold_c: f64, wait_h: f64) -> Result<ColdCard, Remark> {
        let case = steel::find("8620")
            .unwrap()
            .middle()
            .with_carbon(WeightPercent::from_wt_pct(carbon));
        cold_card(
            &case,
            SubZero {
                temperature: Temperature::from_c(cold_c),
                wait: Span::from_h(wait_h),
            },
        )
    }

    #[test]
    fn the_cold_takes_austenite_and_hardens_and_less_after_a_wait() {
        let kept = |card: &ColdCard| card.after.retained_austenite.to_ratio();
        let (soon, late) = (
            card(1.0, -75.0, 0.1).unwrap(),
            card(1.0, -75.0, 24.0).unwrap(),
        );
        let deep = card(1.0, -196.0, 0.1).unwrap();
        assert!(kept(&deep) < kept(&soon) && kept(&soon) < kept(&late));
        assert!(kept(&late) < late.before.retained_austenite.to_ratio());
        assert!(soon.after.hardness.to_hv() > soon.before.hardness.to_hv());
    }

    #[test]
    fn no_cold_changes_nothing() {
        // At the end of the quench there is nothing further to go.
        let none = card(1.0, 25.0, 0.0).unwrap();
        assert_eq!(none.before, none.after);
    }

    #[test]
    fn a_case_whose_martensite_begins_below_the_room_begins_there() {
        // 2.0 wt%: Ms is below 25 °C, so the quench leaves austenite alone and the cold first has to
        // reach Ms.
        let card = card(2.0, -20.0, 0.0).unwrap();
        assert!((card.before.retained_austenite.to_ratio() - 1.0).abs() < 1e-12);
        assert!(card.after.retained_austenite.to_ratio() > 0.3, "{card:?}");
    }

    #[test]
    fn what_is_no_cold_is_refused() {
        for (celsius, wait) in [(40.0, 1.0), (-250.0, 1.0), (-75.0, -1.0)] {
            assert_eq!(card(1.0, celsius, wait).unwrap_err().code, "cold-outside");
        }
        for key in SOURCES {
            assert!(sources::source(key).is_some(), "{key}");
        }
    }
}
