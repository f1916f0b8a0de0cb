//! What the person insists on.

use casewright_terms::{Diag, Temperature};

use super::Draft;
use crate::spec::RouteWish;
use crate::text::{At, Scribe, Section};

pub(super) const WISH_KEYS: &[&str] = &[
    "route",
    "tank",
    "box",
    "furnace",
    "compound",
    "temperature",
    "temper",
];

pub(crate) const ROUTES: &[(&str, RouteWish)] = &[
    ("direct", RouteWish::Direct),
    ("single", RouteWish::Single),
    ("double", RouteWish::Double),
];

/// The wishes as written.
#[derive(Clone, Debug, Default)]
pub(crate) struct WishDraft {
    pub(crate) route: Option<RouteWish>,
    pub(crate) tank: Option<At<String>>,
    pub(crate) pack_box: Option<At<String>>,
    pub(crate) furnace: Option<At<String>>,
    pub(crate) compound: Option<At<String>>,
    pub(crate) temperature: Option<At<Temperature>>,
    pub(crate) temper: Option<At<Temperature>>,
}

pub(super) fn read(draft: &mut Draft, scribe: &mut Scribe<'_>, top: &Section<'_>) {
    let Some(section) = scribe.sub(top, "wish", "[wish]", WISH_KEYS) else {
        return;
    };
    draft.wishes = WishDraft {
        route: scribe.choice(&section, "route", ROUTES).map(|at| at.value),
        tank: scribe.line_or_number(&section, "tank"),
        pack_box: scribe.line_or_number(&section, "box"),
        furnace: scribe.line_or_number(&section, "furnace"),
        compound: scribe.line_or_number(&section, "compound"),
        temperature: temperature(scribe, &section),
        temper: temper(scribe, &section),
    };
}

/// Limits of practice (trade-practice): nothing useful below 700 °C, slow below 871 °C (1600 °F),
/// grain and box suffer above 954 °C (1750 °F), refused above 982 °C (1800 °F).
fn temperature(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<Temperature>> {
    let at = scribe.measure::<Temperature>(section, "temperature")?;
    let value = at.value.value;
    let (celsius, fahrenheit) = (value.to_c(), value.to_f());
    let written = scribe
        .text
        .get(at.place.span.clone())
        .unwrap_or("")
        .to_owned();
    if celsius < 700.0 {
        // The number read in the other unit: 900 °F was meant as 900 °C.
        let hint = if (815.0..=955.0).contains(&fahrenheit) {
            format!("Did you mean \"{fahrenheit:.0} °C\"? ")
        } else {
            String::new()
        };
        scribe.push(
            Diag::stop("wish-too-cold", format!("temperature = {written} is {}.", value.text_both(casewright_terms::UnitSystem::Metric)))
                .why("Below 700 °C (1300 °F) steel takes up no carbon worth the name: there would be no case.")
                .accepted(format!("{hint}Charcoal packs run at 870 to 955 °C (1600 to 1750 °F)."))
                .at(at.place),
        );
        return None;
    }
    if fahrenheit > 1800.5 {
        let hint = if (1500.0..=1800.0).contains(&celsius) {
            format!("Did you mean \"{celsius:.0} °F\"? ")
        } else {
            String::new()
        };
        scribe.push(
            Diag::stop("wish-too-hot", format!("temperature = {written} is {}.", value.text_both(casewright_terms::UnitSystem::Metric)))
                .why("Grain grows coarse, the box scales through, and thermocouples and elements suffer.")
                .accepted(format!("{hint}Charcoal packs run at 870 to 955 °C (1600 to 1750 °F)."))
                .at(at.place),
        );
        return None;
    }
    if !(1500.0..=1750.5).contains(&fahrenheit) {
        scribe.push(
            Diag::warn(
                "wish-unusual-temperature",
                format!("temperature = {written} is outside the usual range."),
            )
            .why("Colder takes days for a case; hotter grows grain and burns the box.")
            .accepted("Charcoal packs run at 870 to 955 °C (1600 to 1750 °F).")
            .at(at.place.clone()),
        );
    }
    Some(At {
        value,
        place: at.place,
    })
}

/// Usual tempers of cases are 135–232 °C (275–450 °F); outside they are confirmed
/// (trade-practice). From 650 °C no hardness is left.
fn temper(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<Temperature>> {
    let at = scribe.measure::<Temperature>(section, "temper")?;
    let range = (Temperature::from_c(80.0), Temperature::from_c(650.0));
    let value = at.value.value;
    let place = at.place.clone();
    let kept = scribe.within(
        "temper",
        at,
        range,
        "Usual is 150 to 200 °C (300 to 400 °F); up to 650 °C",
        "Colder does nothing, hotter undoes the quench.",
    )?;
    if !(274.5..=450.5).contains(&value.to_f()) {
        scribe.push(
            Diag::warn(
                "wish-unusual-temper",
                format!(
                    "A temper at {} is unusual for a case.",
                    value.text_both(casewright_terms::UnitSystem::Metric)
                ),
            )
            .why("Below 135 °C the case stays brittle; above 230 °C it goes soft.")
            .accepted("Usual is 150 to 200 °C (300 to 400 °F).")
            .at(place),
        );
    }
    Some(kept)
}
