//! What things cost: all of it may be left out, and what is left out is not known.

use casewright_terms::Diag;
use toml::de::DeValue;

use super::PRICES_KEYS;
use crate::shop::Prices;
use crate::text::{Scribe, Section, wrong_type};

/// No price of a kilowatt-hour, a kilogram or an hour is higher in any currency that a sheet can hold.
const MOST: f64 = 1e9;
/// Longest currency word: a sign, a code or a short name.
const LONGEST_WORD: usize = 12;

pub(super) fn prices(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Option<Prices> {
    let section = scribe.sub(top, "prices", "[prices]", PRICES_KEYS)?;
    let energy_per_kwh = price(scribe, &section, "energy_per_kwh");
    let compound_per_kg = price(scribe, &section, "compound_per_kg");
    let hour = price(scribe, &section, "hour");
    let currency = scribe.line(&section, "currency");
    if currency.is_none() {
        scribe.missing(
            &section,
            "currency",
            "A sum without its currency is read as somebody else's money.",
            "currency = \"EUR\"",
        );
    }
    let currency = currency?;
    if currency.value.chars().count() > LONGEST_WORD {
        scribe.push(
            Diag::stop(
                "currency-too-long",
                format!(
                    "currency has {} characters.",
                    currency.value.chars().count()
                ),
            )
            .why("It stands behind every sum.")
            .accepted(format!(
                "A word of at most {LONGEST_WORD} characters, such as \"EUR\" or \"$\"."
            ))
            .at(currency.place),
        );
        return None;
    }
    Some(Prices {
        currency: currency.value,
        energy_per_kwh,
        compound_per_kg,
        hour,
    })
}

/// A price: a number without quotes, zero or more.
fn price(scribe: &mut Scribe<'_>, section: &Section<'_>, key: &str) -> Option<f64> {
    let value = section.table.get(key)?;
    let number = match value.get_ref() {
        DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
            .ok()
            .map(|n| n as f64),
        DeValue::Float(number) => number.as_str().replace('_', "").parse::<f64>().ok(),
        other => {
            let diag = wrong_type(key, other, "a number without quotes, such as 0.30");
            scribe.push_at(diag, value.span());
            return None;
        }
    };
    // Zero is a price too: a shop may have its power for nothing.
    if let Some(price) = number.filter(|price| (0.0..=MOST).contains(price)) {
        return Some(price);
    }
    let written = scribe.text.get(value.span()).unwrap_or("").to_owned();
    scribe.push_at(
        Diag::stop("price-out-of-range", format!("{key} = {written}."))
            .why("The cost of the job would be no cost.")
            .accepted("A price from 0 to 1e9; leave the key out where it is not known."),
        value.span(),
    );
    None
}
