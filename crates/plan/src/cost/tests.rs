//! What a sum of costs may be made of.

use super::*;
use casewright_terms::Temperature;

fn band(low: f64, mid: f64, high: f64) -> Band<f64> {
    Band { low, mid, high }
}

fn prices(energy: Option<f64>, compound: Option<f64>, hour: Option<f64>) -> Prices {
    Prices {
        currency: "EUR".to_owned(),
        energy_per_kwh: energy,
        compound_per_kg: compound,
        hour,
    }
}

fn compound_used() -> Compound {
    Compound {
        charge: Mass::from_kg(2.0),
        used_up: Band {
            low: Mass::from_kg(0.2),
            mid: Mass::from_kg(0.4),
            high: Mass::from_kg(0.6),
        },
    }
}

#[test]
fn a_total_is_made_only_where_every_price_is_known() {
    let energy = Some(band(20.0, 30.0, 40.0));
    let sum =
        |prices: &Prices, energy| money(prices, 4, energy, &compound_used(), Span::from_h(3.0));
    let all = sum(&prices(Some(0.5), Some(10.0), Some(40.0)), energy);
    // 30 kWh at 0.5, 0.4 kg at 10 and 3 h at 40.
    assert_eq!(all.total, Some(band(132.0, 139.0, 146.0)));
    assert_eq!(all.each.map(|b| b.mid), Some(34.75));
    let no_hour = sum(&prices(Some(0.5), Some(10.0), None), energy);
    assert_eq!(
        (no_hour.work, no_hour.total, no_hour.each),
        (None, None, None)
    );
    assert_eq!(no_hour.energy.map(|b| b.mid), Some(15.0));
    // An energy that is not known has no price, and no total.
    let no_energy = sum(&prices(Some(0.5), Some(10.0), Some(40.0)), None);
    assert_eq!((no_energy.energy, no_energy.total), (None, None));
}

#[test]
fn one_unknown_heat_leaves_no_sum() {
    let heat = |energy_kwh| Heat {
        kind: StepKind::Reheat,
        furnace: "F1".to_owned(),
        lasts: Span::from_h(1.0),
        energy_kwh,
    };
    let known = heat(Some(band(1.0, 2.0, 3.0)));
    assert_eq!(
        energy::sum(&[known.clone(), known.clone()]),
        Some(band(2.0, 4.0, 6.0))
    );
    assert_eq!(energy::sum(&[known, heat(None)]), None);
}

/// The trade's round figure for steel at hardening heat is 0.71 kJ/kg/K over 770 K; the law counts
/// the transformation, which the figure rounds off: within 10 %. [trade-practice]
#[test]
fn val_heat_of_steel_against_the_trades_round_figure() {
    let own = energy::taken_up_kwh(Mass::from_kg(100.0), Temperature::from_c(795.0));
    let trade = 100.0 * 0.71e3 * 770.0 / 3.6e6;
    assert!(
        (own / trade - 1.0).abs() < 0.10,
        "{own} against {trade} kWh"
    );
}
