//! The steel as written: a grade, or the chemistry of a mill certificate.

use casewright_terms::{Composition, Diag, Element, Fraction, Place, WeightPercent};
use serde_spanned::Spanned;
use toml::de::DeValue;

use super::Draft;
use crate::suggest;
use crate::text::{At, Scribe, Section, clipped, wrong_type};
use crate::units;

pub(super) const STEEL_KEYS: &[&str] = &["grade", "label", "heat", "composition"];
/// Symbols of all elements, and iron, which is told to stay out.
const ELEMENT_KEYS: &[&str] = &[
    "C", "Mn", "Si", "Cr", "Ni", "Mo", "Cu", "V", "W", "Al", "B", "P", "S", "N", "Pb", "Ti", "Nb",
    "Fe",
];
const ELEMENT_NAMES: &[(&str, &str)] = &[
    ("carbon", "C"),
    ("manganese", "Mn"),
    ("silicon", "Si"),
    ("chromium", "Cr"),
    ("nickel", "Ni"),
    ("molybdenum", "Mo"),
    ("copper", "Cu"),
    ("vanadium", "V"),
    ("tungsten", "W"),
    ("aluminium", "Al"),
    ("aluminum", "Al"),
    ("boron", "B"),
    ("phosphorus", "P"),
    ("sulphur", "S"),
    ("sulfur", "S"),
    ("nitrogen", "N"),
    ("lead", "Pb"),
    ("titanium", "Ti"),
    ("niobium", "Nb"),
    ("columbium", "Nb"),
    ("Cb", "Nb"),
];

/// The steel as written.
#[derive(Clone, Debug, Default)]
pub(crate) struct SteelDraft {
    pub(crate) grade: Option<At<String>>,
    pub(crate) label: Option<String>,
    pub(crate) heat: Option<String>,
    pub(crate) composition: Option<At<Composition>>,
}

pub(super) fn read(draft: &mut Draft, scribe: &mut Scribe<'_>, top: &Section<'_>) {
    let example = "a [steel] section with grade = \"8620\", or with the mill certificate's [steel.composition]";
    let why = "The steel decides the medium, the core and whether it can be case-hardened at all.";
    if let Some(value) = top.table.get("steel")
        && let DeValue::String(grade) = value.get_ref()
    {
        scribe.push_at(
            Diag::stop(
                "value-wrong-type",
                format!("steel is the text \"{}\".", clipped(grade)),
            )
            .accepted(format!(
                "Write a [steel] section with grade = \"{}\".",
                clipped(grade)
            )),
            value.span(),
        );
        return;
    }
    let Some(section) = scribe.sub(top, "steel", "[steel]", STEEL_KEYS) else {
        scribe.missing(top, "steel", why, example);
        return;
    };
    let grade = scribe.line_or_number(&section, "grade");
    let label = scribe.line(&section, "label").map(|at| at.value);
    let heat = scribe.line_or_number(&section, "heat").map(|at| at.value);
    let composition = match scribe.sub(
        &section,
        "composition",
        "[steel.composition]",
        ELEMENT_KEYS_ANY,
    ) {
        Some(table) => composition(scribe, &table),
        None => None,
    };
    if !section.has("grade") && !section.has("composition") {
        scribe.missing(
            &section,
            "grade",
            why,
            "grade = \"8620\", or the mill certificate as [steel.composition]",
        );
    }
    draft.steel = SteelDraft {
        grade,
        label,
        heat,
        composition,
    };
}

/// Elements are checked one by one below, with words of their own for a wrong one.
const ELEMENT_KEYS_ANY: &[&str] = ELEMENT_KEYS;

fn composition(scribe: &mut Scribe<'_>, table: &Section<'_>) -> Option<At<Composition>> {
    // Unknown elements were complained about when the table was opened; names get a better hint.
    for diag in &mut scribe.diags {
        let name = diag.seen.split('"').nth(1).unwrap_or("").to_owned();
        if diag.code == "key-unknown" && diag.seen.contains("[steel.composition]") {
            diag.code = "element-unknown";
            diag.why = "A content that is left out would be taken as zero.".to_owned();
            let symbol = ELEMENT_NAMES
                .iter()
                .find(|(word, _)| word.eq_ignore_ascii_case(&name))
                .map(|(_, symbol)| *symbol)
                .or_else(|| suggest::nearest(&name, ELEMENT_KEYS.iter().copied()));
            if let Some(symbol) = symbol {
                diag.accepted = format!("Write {symbol}.");
            }
        }
    }
    let mut contents: Vec<(Element, f64, Place)> = Vec::new();
    let mut good = true;
    for (key, value) in table.table {
        let word: &str = key.get_ref();
        if word == "Fe" {
            scribe.push_at(
                Diag::stop("element-iron", "Iron is the balance of the rest.")
                    .accepted("Leave it out."),
                key.span(),
            );
            continue;
        }
        let Some(element) = Element::from_symbol(word) else {
            good = false;
            continue;
        };
        match content(scribe, element, value) {
            Some(share) => contents.push((element, share, scribe.place(value.span()))),
            None => good = false,
        }
    }
    let carbon = contents.iter().find(|(element, ..)| *element == Element::C);
    if !table.has("C") {
        scribe.missing(
            table,
            "C",
            "Core carbon decides the core's hardness and where the case ends.",
            "C = 0.18, the number of the mill certificate",
        );
        good = false;
    }
    if let Some((_, share, place)) = carbon.cloned() {
        good &= check_carbon(scribe, share, place, &contents);
    }
    for (element, share, place) in &contents {
        check_element(scribe, *element, *share, place);
    }
    if !good {
        return None;
    }
    let list: Vec<(Element, WeightPercent)> = contents
        .iter()
        .map(|(element, share, _)| (*element, WeightPercent::from_wt_pct(*share)))
        .collect();
    match Composition::new(&list) {
        Ok(composition) => Some(scribe.at(composition, table.header.clone())),
        Err(problems) => {
            for problem in problems {
                scribe.push_at(
                    Diag::stop("composition-impossible", format!("{problem}."))
                        .why("That is no steel's chemistry.")
                        .accepted("Copy the mill certificate's numbers in weight percent."),
                    table.header.clone(),
                );
            }
            None
        }
    }
}

/// One content in weight percent: a number, or a text with or without the sign.
fn content(scribe: &mut Scribe<'_>, element: Element, value: &Spanned<DeValue<'_>>) -> Option<f64> {
    let symbol = element.symbol();
    let share = match value.get_ref() {
        DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
            .ok()
            .map(|n| n as f64),
        DeValue::Float(number) => number.as_str().replace('_', "").parse::<f64>().ok(),
        DeValue::String(text) => return content_text(scribe, symbol, value, text),
        other => {
            let diag = wrong_type(symbol, other, "a number in weight percent, such as 0.18");
            scribe.push_at(diag, value.span());
            return None;
        }
    };
    match share {
        Some(share) => in_bounds(scribe, symbol, share, value),
        None => {
            scribe.push_at(
                Diag::stop(
                    "content-unreadable",
                    format!("{symbol} is not a number that can be read."),
                )
                .accepted("Write for example 0.18."),
                value.span(),
            );
            None
        }
    }
}

fn content_text(
    scribe: &mut Scribe<'_>,
    symbol: &str,
    value: &Spanned<DeValue<'_>>,
    text: &str,
) -> Option<f64> {
    let trimmed = text.trim();
    let inner = trimmed.trim_start_matches(['-', '+']);
    let hint = if trimmed.starts_with(['<', '>', '≤']) || trimmed.eq_ignore_ascii_case("trace") {
        Some((
            "It is a limit, not a content.",
            "Leave the element out where the certificate gives only an upper limit.",
        ))
    } else if inner.contains(['-', '–', '…']) {
        Some((
            "It is a range; a mill certificate has one number.",
            "Write that number, or give the grade where there is no certificate.",
        ))
    } else {
        None
    };
    if let Some((why, accepted)) = hint {
        scribe.push_at(
            Diag::stop(
                "content-not-one-number",
                format!("{symbol} = \"{}\".", clipped(text)),
            )
            .why(why)
            .accepted(accepted),
            value.span(),
        );
        return None;
    }
    let with_sign = if trimmed.ends_with(|c: char| c.is_ascii_digit()) {
        format!("{trimmed} %")
    } else {
        trimmed.to_owned()
    };
    match units::read::<Fraction>(&with_sign) {
        // The number is kept as written: a percent that goes through a ratio loses its last digit.
        Ok(written) => {
            let share = written.value.to_pct();
            let plain = format!("{share:.9e}").parse().unwrap_or(share);
            in_bounds(scribe, symbol, plain, value)
        }
        Err(mut slip) => {
            slip.span = 0..text.len();
            scribe.push_slip(symbol, value, text, slip);
            None
        }
    }
}

fn in_bounds(
    scribe: &mut Scribe<'_>,
    symbol: &str,
    share: f64,
    value: &Spanned<DeValue<'_>>,
) -> Option<f64> {
    if (0.0..=50.0).contains(&share) {
        return Some(share);
    }
    scribe.push_at(
        Diag::stop("content-out-of-range", format!("{symbol} = {share} %."))
            .why("No steel holds that.")
            .accepted("Contents are weight percent from 0 to 50."),
        value.span(),
    );
    None
}

/// Least carbon that is believed of a steel, wt%: below it the number is a fraction or a slip.
const LEAST_CARBON: f64 = 0.01;
/// Carburizing steels have 0.08–0.25 %; below this a misplaced point is likelier than a steel.
const LOW_CARBON: f64 = 0.05;
/// Above this it hardens through (trade-practice).
const THROUGH_HARDENING_CARBON: f64 = 0.35;
/// End of steel: more is cast iron.
const MOST_CARBON: f64 = 2.1;

fn check_carbon(
    scribe: &mut Scribe<'_>,
    share: f64,
    place: Place,
    contents: &[(Element, f64, Place)],
) -> bool {
    let others: f64 = contents.iter().map(|(_, share, _)| share).sum::<f64>() - share;
    let text = |n: f64| casewright_terms::quantity::format_trimmed(n, 4);
    if share < LEAST_CARBON {
        let fraction = others < 0.1 && share > 0.0;
        let accepted = if fraction {
            format!(
                "Contents are weight percent. Did you mean {}?",
                text(share * 100.0)
            )
        } else {
            format!(
                "Did you mean {}? Contents are weight percent.",
                text((share * 100.0).max(0.1))
            )
        };
        scribe.push(
            Diag::stop(
                "carbon-too-low",
                format!("C = {} % is hardly any carbon.", text(share)),
            )
            .why("A case-hardening steel has 0.08 to 0.25 % in its core.")
            .accepted(accepted)
            .at(place),
        );
        return false;
    }
    if share > MOST_CARBON {
        scribe.push(
            Diag::stop(
                "carbon-too-high",
                format!("C = {} % is cast iron, not steel.", text(share)),
            )
            .why("It would melt and crack where steel takes a case.")
            .accepted(format!(
                "Did you mean {}? Contents are weight percent.",
                text(share / 100.0)
            ))
            .at(place),
        );
        return false;
    }
    if share < LOW_CARBON {
        scribe.push(
            Diag::warn("carbon-low", format!("C = {} % is unusually low for the core.", text(share)))
                .why("A point that slipped one place turns 0.20 into 0.02, and the core would be predicted far too soft.")
                .accepted(format!("Check the certificate: {}?", text(share * 10.0)))
                .at(place),
        );
    } else if share > THROUGH_HARDENING_CARBON {
        scribe.push(
            Diag::warn(
                "carbon-through-hardening",
                format!("C = {} % hardens through by itself.", text(share)),
            )
            .why("Carburized it gets no tough core; it can crack in the quench.")
            .accepted(
                "Check the certificate, or ask whether this steel is to be case-hardened at all.",
            )
            .at(place),
        );
    }
    true
}

fn check_element(scribe: &mut Scribe<'_>, element: Element, share: f64, place: &Place) {
    // Limits of case-hardening grades with a margin; above them lie the free-cutting grades.
    let (limit, code, why) = match element {
        Element::P => (
            0.06,
            "phosphorus-high",
            "Phosphorus makes the case brittle, and 0.04 % is the usual limit; a point may have slipped.",
        ),
        Element::S => (
            0.06,
            "sulphur-high",
            "That is a free-cutting steel: its sulphide threads open as cracks in the quench.",
        ),
        Element::Pb => (
            0.05,
            "leaded",
            "Lead fumes at carburizing heat, and a leaded case chips.",
        ),
        Element::Mn => (
            2.5,
            "manganese-high",
            "No case-hardening steel holds so much; a point may have slipped.",
        ),
        Element::B => (
            0.01,
            "boron-high",
            "Boron steels hold a few thousandths of a percent; a point may have slipped.",
        ),
        Element::N => (
            0.05,
            "nitrogen-high",
            "Steel holds a hundredth of a percent; a point may have slipped.",
        ),
        _ => return,
    };
    if share > limit {
        let shown = casewright_terms::quantity::format_trimmed(share, 4);
        scribe.push(
            Diag::warn(code, format!("{} = {shown} % is high.", element.symbol()))
                .why(why)
                .accepted("Check the certificate.")
                .at(place.clone()),
        );
    }
}
