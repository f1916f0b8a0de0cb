//! What a job takes, in lines of words: for the terminal and for the sheet alike.

use casewright_plan::cost::{Cost, Money};
use casewright_terms::{Band, UnitSystem};

/// What it is, and how much.
#[must_use]
pub fn lines(cost: &Cost, units: UnitSystem) -> Vec<(&'static str, String)> {
    let mut list = Vec::new();
    let energy = cost.energy_kwh.map_or_else(
        || "energy not known".to_owned(),
        |band| format!("{} kWh", ends(band)),
    );
    list.push((
        "furnace",
        format!("{} in furnace and oven, {energy}", cost.furnace_time.text()),
    ));
    list.push((
        "compound",
        format!(
            "{} in the boxes of a load, about {} used up (between {} and {}); clay about {}",
            cost.compound.charge.text(units),
            cost.compound.used_up.mid.text(units),
            cost.compound.used_up.low.text(units),
            cost.compound.used_up.high.text(units),
            cost.clay.text(units)
        ),
    ));
    list.push((
        "hands",
        format!(
            "{} of work without the grinding; somebody there for {}",
            cost.hands_on.text(),
            cost.attended.text()
        ),
    ));
    if let Some(money) = &cost.money {
        list.push(("money", sums(money)));
    }
    list
}

fn sums(money: &Money) -> String {
    let word = &money.currency;
    let band = |sum: Option<Band<f64>>| {
        sum.map_or_else(|| "not known".to_owned(), |b| format!("{} {word}", fine(b)))
    };
    let work = money
        .work
        .map_or_else(|| "not known".to_owned(), |sum| format!("{sum:.2} {word}"));
    format!(
        "energy {}, compound {}, work {work}; in all {}, for one part {}",
        band(money.energy),
        band(money.compound),
        band(money.total),
        band(money.each)
    )
}

fn ends(band: Band<f64>) -> String {
    format!("{:.0} ({:.0}–{:.0})", band.mid, band.low, band.high)
}

fn fine(band: Band<f64>) -> String {
    format!("{:.2} ({:.2}–{:.2})", band.mid, band.low, band.high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_is_said_and_never_a_zero() {
        let band = |mid: f64| Band {
            low: mid * 0.8,
            mid,
            high: mid * 1.2,
        };
        let money = Money {
            currency: "EUR".to_owned(),
            energy: Some(band(10.0)),
            compound: None,
            work: Some(80.0),
            total: None,
            each: None,
        };
        assert_eq!(
            sums(&money),
            "energy 10.00 (8.00–12.00) EUR, compound not known, work 80.00 EUR; in all not known, for one part not known"
        );
    }
}
