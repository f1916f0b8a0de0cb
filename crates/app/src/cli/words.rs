//! Hardness, temperature and chemistry as people type them on a command line.
//!
//! A number without its unit or scale is never guessed: the complaint says what it could mean.

use casewright_physics::law::hardness_conversion;
use casewright_terms::{
    Composition, Diag, Element, Hardness, Length, Scale, Temperature, UnitSystem, WeightPercent,
};

/// A hardness as typed, with the test force where one was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TypedHardness {
    /// The hardness.
    pub(crate) hardness: Hardness,
    /// Force in kgf, as in `HV1`.
    pub(crate) force_kgf: Option<f64>,
}

/// Shop spellings beside the standard ones.
const SPELLINGS: [(&str, Scale); 8] = [
    ("RC", Scale::Hrc),
    ("RA", Scale::Hra),
    ("RB", Scale::Hrb),
    ("HB", Scale::Hbw),
    ("15N", Scale::Hr15n),
    ("30N", Scale::Hr30n),
    ("45N", Scale::Hr45n),
    ("HRBW", Scale::Hrb),
];

/// Reads `58HRC`, `58 HRC`, `HRC58`, `HRC 58`, `550 HV1`, `61,5 HRC`.
///
/// # Errors
/// No number, no scale, or a scale that is not known.
pub(crate) fn hardness(typed: &str) -> Result<TypedHardness, Diag> {
    let upper = typed.to_ascii_uppercase().replace(',', ".");
    let words: Vec<&str> = upper.split_whitespace().collect();
    let compact = words.concat();
    let read = scale_then_number(&words)
        .or_else(|| number_first(&compact))
        .or_else(|| scale_first(&compact));
    match read {
        Some(read) => Ok(read),
        None if compact.parse::<f64>().is_ok_and(f64::is_finite) => Err(Diag::stop(
            "hardness-without-scale",
            format!("{typed} is a number without a scale."),
        )
        .why("58 HRC is a hard case, 58 HRB is soft annealed steel.")
        .accepted(format!(
            "Write the scale with it, as in {compact}HRC or {compact}HV."
        ))),
        None if let Some(diag) = not_above_zero(&compact) => Err(diag),
        None => Err(Diag::stop(
            "hardness-not-read",
            format!("\"{typed}\" is no hardness that is known."),
        )
        .accepted(format!(
            "Write a number and a scale, as in 58HRC; scales are {}.",
            Scale::ALL.map(Scale::symbol).join(", ")
        ))),
    }
}

/// The complaint about a scale with zero or a number below it, as in `0HRC` and `-5HRC`.
fn not_above_zero(compact: &str) -> Option<Diag> {
    let spoken = compact.trim_start_matches('-');
    let digits = |text: &str| -> String {
        text.chars()
            .filter(|c| c.is_ascii_digit() || *c == '.')
            .collect()
    };
    // Read with a 1 before it, so that a zero is a number like any other.
    let number_then_scale = || {
        let end = spoken.find(|c: char| !c.is_ascii_digit() && c != '.')?;
        let (number, name) = spoken.split_at(end);
        number.parse::<f64>().ok()?;
        Some((scale(name)?.0, number.to_owned()))
    };
    let scale_then_number = || {
        let mut known = Scale::ALL.map(|scale| (scale.symbol(), scale)).to_vec();
        known.extend(SPELLINGS);
        known.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
        known.into_iter().find_map(|(name, scale)| {
            let number = spoken.strip_prefix(name)?.trim_start_matches('-');
            number.parse::<f64>().ok()?;
            Some((scale, digits(number)))
        })
    };
    let (scale, number) = number_then_scale().or_else(scale_then_number)?;
    let value: f64 = number.parse().ok()?;
    let below = compact.contains('-');
    if !(below || value == 0.0) {
        return None;
    }
    let sign = if below { "-" } else { "" };
    let range = hardness_conversion::range(scale);
    let other = match scale {
        Scale::Hrc => " Below 20 HRC the cone's scale is no reading: use HRB (at most 100) or HV.",
        Scale::Hrb => " Below 60 HRB use HV or HBW.",
        _ => "",
    };
    let symbol = scale.symbol();
    Some(
        Diag::stop(
            "hardness-no-reading",
            format!(
                "{sign}{} {symbol} is no reading.",
                number.trim_start_matches('-')
            ),
        )
        .why("A tester can show it, but the standard's scale does not reach there.")
        .accepted(match range {
            Some((low, high)) => format!("{symbol} is read from {low} to {high}.{other}"),
            None => format!("{symbol} is above 0.{other}"),
        }),
    )
}

/// `HRC 58`, `HV1 550`: a space tells the force from the value.
fn scale_then_number(words: &[&str]) -> Option<TypedHardness> {
    let [name, number] = words else { return None };
    let (scale, force_kgf) = scale(name)?;
    Some(TypedHardness {
        hardness: Hardness::new(scale, positive(number)?),
        force_kgf,
    })
}

/// `58HRC`, `550HV1`, `89HR15N`.
fn number_first(compact: &str) -> Option<TypedHardness> {
    let end = compact
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .filter(|end| *end > 0)?;
    // `89 15N` runs together as `8915N`: only a space could tell, so it is refused here.
    let value = positive(&compact[..end])?;
    let (scale, force_kgf) = scale(&compact[end..])?;
    Some(TypedHardness {
        hardness: Hardness::new(scale, value),
        force_kgf,
    })
}

/// `HRC58`, `HR15N89`; run together, a force cannot be told from the value and is not taken.
fn scale_first(compact: &str) -> Option<TypedHardness> {
    let mut known: Vec<(&str, Scale)> = Scale::ALL.map(|scale| (scale.symbol(), scale)).to_vec();
    known.extend(SPELLINGS);
    // The longest spelling first, so that `HRBW` is not read as `HRB`.
    known.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
    known.into_iter().find_map(|(name, scale)| {
        let value = positive(compact.strip_prefix(name)?)?;
        Some(TypedHardness {
            hardness: Hardness::new(scale, value),
            force_kgf: None,
        })
    })
}

/// A scale with or without its force: `HV`, `HV1`, `HK0.5`.
fn scale(written: &str) -> Option<(Scale, Option<f64>)> {
    let plain = |name: &str| {
        Scale::from_symbol(name).or_else(|| {
            SPELLINGS
                .iter()
                .find(|(known, _)| *known == name)
                .map(|(_, scale)| *scale)
        })
    };
    if let Some(scale) = plain(written) {
        return Some((scale, None));
    }
    let (name, force) = written.split_at_checked(2)?;
    let scale = plain(name).filter(|scale| matches!(scale, Scale::Hv | Scale::Hk))?;
    Some((scale, Some(positive(force)?)))
}

fn positive(text: &str) -> Option<f64> {
    // Rust reads `inf`, `nan` and `1e3` as numbers; a person types digits.
    if text.is_empty() || !text.chars().all(|c| c.is_ascii_digit() || c == '.') {
        return None;
    }
    text.parse()
        .ok()
        .filter(|value: &f64| value.is_finite() && *value > 0.0)
}

/// Reads `1450F`, `1450 °F`, `788C`, `1061 K`.
///
/// # Errors
/// No number, no unit, or a temperature no furnace and no steel knows.
pub(crate) fn temperature(typed: &str) -> Result<Temperature, Diag> {
    let compact: String = typed
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '°')
        .collect::<String>()
        .to_ascii_uppercase()
        .replace(',', ".");
    let not_read = || {
        Diag::stop(
            "temperature-not-read",
            format!("\"{typed}\" is no temperature."),
        )
        .accepted("Write a number and its unit, as in 1450F or 788C.")
    };
    let split = compact
        .find(|c: char| c.is_ascii_alphabetic())
        .unwrap_or(compact.len());
    let (number, unit) = compact.split_at(split);
    let signed_digits = number.strip_prefix('-').unwrap_or(number);
    if signed_digits.is_empty()
        || !signed_digits
            .chars()
            .all(|c| c.is_ascii_digit() || c == '.')
    {
        return Err(not_read());
    }
    let value: f64 = number.parse().map_err(|_| not_read())?;
    if !value.is_finite() || value.abs() > 1e4 {
        return Err(not_read());
    }
    let temperature = match unit {
        "F" => Temperature::from_f(value),
        "C" => Temperature::from_c(value),
        "K" => Temperature::from_k(value),
        "" => return Err(without_unit(typed, value)),
        _ => return Err(not_read()),
    };
    if (0.0..=1800.0).contains(&temperature.to_k()) {
        Ok(temperature)
    } else {
        Err(Diag::stop(
            "temperature-out-of-bounds",
            format!(
                "{} is not a temperature of solid steel.",
                temperature.text_both(UnitSystem::Metric)
            ),
        )
        .accepted("Check the unit: 1700F is 927C."))
    }
}

fn without_unit(typed: &str, value: f64) -> Diag {
    let fahrenheit = Temperature::from_f(value).text_both(UnitSystem::Inch);
    let celsius = Temperature::from_c(value).text_both(UnitSystem::Metric);
    Diag::stop(
        "temperature-without-unit",
        format!("{typed} is a temperature without a unit."),
    )
    .why(format!("It may be {fahrenheit} or {celsius}."))
    .accepted(format!("Write {typed}F or {typed}C."))
}

/// Reads `C=0.18 Mn=0.75`, with commas or semicolons between as well, and decimal commas.
///
/// # Errors
/// Every part that is not an element with its content, and contents that make no steel.
pub(crate) fn composition(typed: &str) -> Result<Composition, Vec<Diag>> {
    let mut contents = Vec::new();
    let mut diags = Vec::new();
    for part in parts(typed) {
        match element(&part) {
            Ok(content) => contents.push(content),
            Err(diag) => diags.push(diag),
        }
    }
    if !diags.is_empty() {
        return Err(diags);
    }
    if !contents.iter().any(|(element, _)| *element == Element::C) {
        return Err(vec![
            Diag::stop(
                "composition-without-carbon",
                format!("\"{typed}\" gives no carbon."),
            )
            .accepted("Add it, as in C=0.18."),
        ]);
    }
    Composition::new(&contents).map_err(|problems| {
        problems
            .iter()
            .map(|problem| {
                Diag::stop(
                    "composition-impossible",
                    format!("The chemistry is none: {problem}."),
                )
                .accepted("Contents are in weight percent; the balance is iron.")
            })
            .collect()
    })
}

/// Splits between elements; a comma between digits is a decimal mark.
fn parts(typed: &str) -> Vec<String> {
    let marks: Vec<char> = typed.chars().collect();
    let mut spaced = String::new();
    for (index, mark) in marks.iter().enumerate() {
        let decimal = *mark == ','
            && index > 0
            && marks[index - 1].is_ascii_digit()
            && marks.get(index + 1).is_some_and(char::is_ascii_digit);
        match mark {
            ',' if decimal => spaced.push('.'),
            ',' | ';' => spaced.push(' '),
            _ => spaced.push(*mark),
        }
    }
    // `C = 0.18` is one part.
    let joined = spaced.split_whitespace().collect::<Vec<_>>().join(" ");
    joined
        .replace(" =", "=")
        .replace("= ", "=")
        .split(' ')
        .filter(|part| !part.is_empty())
        .map(str::to_owned)
        .collect()
}

fn element(part: &str) -> Result<(Element, WeightPercent), Diag> {
    let not_read = |seen: String| {
        Diag::stop("composition-not-read", seen).accepted("Write pairs such as C=0.18 Mn=0.75.")
    };
    let Some((symbol, content)) = part.split_once('=') else {
        return Err(not_read(format!(
            "\"{part}\" is not an element with its content."
        )));
    };
    let element = Element::from_symbol(symbol)
        .ok_or_else(|| not_read(format!("\"{symbol}\" is no element that is known here.")))?;
    let content = content.trim_end_matches('%');
    let plain = !content.is_empty() && content.chars().all(|c| c.is_ascii_digit() || c == '.');
    let value = content
        .parse()
        .ok()
        .filter(|_| plain)
        .and_then(WeightPercent::checked)
        .ok_or_else(|| {
            not_read(format!(
                "\"{content}\" is no content of {symbol} in percent."
            ))
        })?;
    Ok((element, value))
}

/// Reads a carbon content in weight percent, as `0.80`.
///
/// # Errors
/// No number, or more than cementite holds.
pub(crate) fn carbon(typed: &str) -> Result<WeightPercent, Diag> {
    let text = typed.trim().trim_end_matches('%').replace(',', ".");
    let plain = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || c == '.');
    text.parse::<f64>()
        .ok()
        .filter(|value| plain && (0.0..=6.67).contains(value))
        .map(WeightPercent::from_wt_pct)
        .ok_or_else(|| {
            Diag::stop(
                "carbon-not-read",
                format!("\"{typed}\" is no carbon content."),
            )
            .accepted("Write weight percent from 0 to 6.67, as in 0.80.")
        })
}

/// Reads a carbon at a depth, as `0.40 wt% at 1.0 mm` or `0.4 % C at 0.040 in`.
///
/// # Errors
/// No ` at ` between them, or one of the two is not read.
pub(crate) fn carbon_at_depth(typed: &str) -> Result<(WeightPercent, Length), Diag> {
    let example =
        "Write a carbon and a depth, as in \"0.40 wt% at 1.0 mm\" or \"0.40 wt% at 0.040 in\".";
    let lower = typed.to_ascii_lowercase();
    let Some((carbon, depth)) = lower.split_once(" at ").or_else(|| lower.split_once('@')) else {
        return Err(Diag::stop(
            "target-not-read",
            format!("\"{typed}\" is no carbon at a depth."),
        )
        .accepted(example));
    };
    let number = carbon
        .trim()
        .trim_end_matches('c')
        .trim()
        .trim_end_matches("wt%")
        .trim_end_matches("wt.%")
        .trim_end_matches('%')
        .trim();
    let carbon = self::carbon(number)?;
    let depth = casewright_job::units::read::<Length>(depth.trim()).map_err(|slip| *slip.diag)?;
    Ok((carbon, depth.value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hardness_is_read_as_people_type_it() {
        for (typed, scale, value, force) in [
            ("58HRC", Scale::Hrc, 58.0, None),
            ("58 HRC", Scale::Hrc, 58.0, None),
            ("HRC58", Scale::Hrc, 58.0, None),
            ("HRC 58", Scale::Hrc, 58.0, None),
            ("hrc 61,5", Scale::Hrc, 61.5, None),
            ("Rc 60", Scale::Hrc, 60.0, None),
            ("550HV", Scale::Hv, 550.0, None),
            ("550 HV1", Scale::Hv, 550.0, Some(1.0)),
            ("HV1 550", Scale::Hv, 550.0, Some(1.0)),
            ("600 HK0.5", Scale::Hk, 600.0, Some(0.5)),
            ("HR15N 89", Scale::Hr15n, 89.0, None),
            ("89 HR15N", Scale::Hr15n, 89.0, None),
            ("89HR15N", Scale::Hr15n, 89.0, None),
            ("230 HB", Scale::Hbw, 230.0, None),
        ] {
            let read = hardness(typed).unwrap_or_else(|diag| panic!("{typed}: {diag}"));
            assert_eq!(read.hardness, Hardness::new(scale, value), "{typed}");
            assert_eq!(read.force_kgf, force, "{typed}");
        }
    }

    #[test]
    fn what_is_no_hardness_is_refused() {
        for (typed, code) in [
            ("58", "hardness-without-scale"),
            ("", "hardness-not-read"),
            ("HRC", "hardness-not-read"),
            ("58 HRX", "hardness-not-read"),
            ("-5 HRC", "hardness-no-reading"),
            ("HRC -5", "hardness-no-reading"),
            ("0 HRC", "hardness-no-reading"),
            ("HRC0", "hardness-no-reading"),
            ("nan HRC", "hardness-not-read"),
            ("1e3 HV", "hardness-not-read"),
            ("5.8.1 HRC", "hardness-not-read"),
            ("é58HRC", "hardness-not-read"),
        ] {
            assert_eq!(hardness(typed).unwrap_err().code, code, "{typed}");
        }
    }

    #[test]
    fn a_carbon_at_a_depth_is_read_in_both_units() {
        for typed in [
            "0.40 wt% at 25.4 mm",
            "0.40 wt% at 1 in",
            "0,4 % C at 1.0 inch",
            "0.4@25.4mm",
        ] {
            let (carbon, depth) = carbon_at_depth(typed).unwrap();
            assert!((carbon.to_wt_pct() - 0.4).abs() < 1e-12, "{typed}");
            assert!((depth.to_mm() - 25.4).abs() < 1e-9, "{typed}");
        }
        for (typed, code) in [
            ("0.40 wt%", "target-not-read"),
            ("much at 1 mm", "carbon-not-read"),
            ("9 wt% at 1 mm", "carbon-not-read"),
        ] {
            assert_eq!(carbon_at_depth(typed).unwrap_err().code, code, "{typed}");
        }
        assert!(
            carbon_at_depth("0.4 wt% at 1.0").is_err(),
            "a depth has a unit"
        );
    }

    #[test]
    fn temperatures_need_their_unit() {
        assert!((temperature("1450F").unwrap().to_c() - 787.777_8).abs() < 1e-3);
        assert_eq!(
            temperature("1450 °F").unwrap(),
            temperature("1450f").unwrap()
        );
        assert_eq!(temperature("927C").unwrap(), Temperature::from_c(927.0));
        assert_eq!(temperature("1200 K").unwrap(), Temperature::from_k(1200.0));
        let bare = temperature("1450").unwrap_err();
        assert_eq!(bare.code, "temperature-without-unit");
        assert!(bare.why.contains("788 °C"), "{bare}");
        for typed in ["", "F", "hot", "1e9F", "nanC", "--5C", "5000C", "-300C"] {
            assert!(temperature(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn chemistries_are_read_as_people_type_them() {
        let expected = Composition::new(&[
            (Element::C, WeightPercent::from_wt_pct(0.18)),
            (Element::Mn, WeightPercent::from_wt_pct(0.75)),
        ])
        .unwrap();
        for typed in [
            "C=0.18 Mn=0.75",
            "C=0.18, Mn=0.75",
            "C=0.18,Mn=0.75",
            "C=0,18; Mn=0,75",
            "C = 0.18 Mn = 0.75 %",
            "C=.18 MN=.75%",
        ] {
            let typed = typed.trim_end_matches(" %");
            assert_eq!(composition(typed).unwrap(), expected, "{typed}");
        }
        for (typed, count) in [
            ("", 1),
            ("C", 1),
            ("C=x Mo", 2),
            ("Mn=1", 1),
            ("C=60", 1),
            ("C=0.1 C=0.2", 1),
        ] {
            assert_eq!(composition(typed).unwrap_err().len(), count, "{typed}");
        }
    }
}
