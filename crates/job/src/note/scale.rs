//! Names of hardness scales and units of length as drawings write them.
//!
//! Finds them among tokens; does not say which number they belong to.

use casewright_terms::{Length, Scale};

use super::token::{Kind, Token};
use super::words;

/// A scale named in a note.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mark {
    /// Which.
    pub(super) name: ScaleName,
    /// Test force in kgf, where given.
    pub(super) force_kgf: Option<f64>,
}

/// A scale this house holds, or one that it cannot turn into readings.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ScaleName {
    /// Held.
    Known(Scale),
    /// Rebound, tensile strength, ball superficial and others, in the trade's word.
    Foreign(&'static str),
}

/// A unit behind a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    /// Millimetre.
    Mm,
    /// Micrometre.
    Um,
    /// Inch.
    Inch,
    /// Thousandth of an inch.
    Thou,
    /// Not a length; the word for the phrase.
    Other(Other),
}

/// Units of other things, so that their numbers are not taken for depths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Other {
    /// Temperature, °C.
    Celsius,
    /// Temperature, °F.
    Fahrenheit,
    /// Time.
    Time,
    /// Percent.
    Percent,
    /// Angle.
    Angle,
    /// Test force, gram-force.
    GramForce,
    /// Test force, kilogram-force.
    KilogramForce,
    /// Count of places, pieces.
    Count,
}

impl Unit {
    /// The length of a number in this unit.
    pub(super) fn length(self, value: f64) -> Option<Length> {
        match self {
            Self::Mm => Some(Length::from_mm(value)),
            Self::Um => Some(Length::from_um(value)),
            Self::Inch => Some(Length::from_in(value)),
            Self::Thou => Some(Length::from_thou(value)),
            Self::Other(_) => None,
        }
    }

    /// Whether the unit is one of length.
    pub(super) fn is_length(self) -> bool {
        !matches!(self, Self::Other(_))
    }
}

fn known(scale: Scale) -> Mark {
    Mark {
        name: ScaleName::Known(scale),
        force_kgf: None,
    }
}

fn foreign(word: &'static str) -> Mark {
    Mark {
        name: ScaleName::Foreign(word),
        force_kgf: None,
    }
}

/// Rockwell by its letter.
fn rockwell(letter: &str) -> Option<Mark> {
    Some(match letter {
        "C" => known(Scale::Hrc),
        "A" => known(Scale::Hra),
        "B" => known(Scale::Hrb),
        "D" => known(Scale::Hrd),
        "E" | "F" | "G" | "H" | "K" | "M" => foreign("a Rockwell scale not held here"),
        _ => return None,
    })
}

/// A superficial scale, `15N` to `45N`, at a number token.
fn superficial(tokens: &[Token], at: usize) -> Option<(Mark, usize)> {
    let number = tokens.get(at)?.number()?;
    let mut next = at + 1;
    if tokens.get(next).is_some_and(|t| t.is_sign('-') && t.glued) {
        next += 1;
    }
    let letter = tokens.get(next).filter(|t| t.glued)?;
    let mark = match (number.value as i64, letter.text.as_str()) {
        (15, "N") => known(Scale::Hr15n),
        (30, "N") => known(Scale::Hr30n),
        (45, "N") => known(Scale::Hr45n),
        (15 | 30 | 45, "T" | "TW" | "W" | "X" | "Y") => foreign("a superficial ball scale"),
        _ => return None,
    };
    (number.decimals == 0).then_some((mark, next + 1))
}

/// The scale named at token `at`, without the force, and the index behind it.
pub(super) fn scale(tokens: &[Token], at: usize) -> Option<(Mark, usize)> {
    let token = tokens.get(at)?;
    let text = |i: usize| tokens.get(i).map_or("", |t| t.text.as_str());
    if token.number().is_some() {
        return superficial(tokens, at);
    }
    let (mark, next) = match token.text.as_str() {
        "HRC" | "RC" | "HRCW" => (known(Scale::Hrc), at + 1),
        "HRA" | "RA" => (known(Scale::Hra), at + 1),
        "HRB" | "RB" | "HRBW" | "RKB" => (known(Scale::Hrb), at + 1),
        "HRD" | "RD" => (known(Scale::Hrd), at + 1),
        "ROC" | "RKC" | "RWC" => (known(Scale::Hrc), at + 1),
        "HR" | "R" => after_r(tokens, at)?,
        "ROCKWELL" | "ROCK" | "ROCKW" | "RKW" | "RKWL" | "RCKWL" => after_rockwell(tokens, at),
        "HV" | "HVN" | "VHN" | "VPN" | "DPH" | "DPN" | "VICKERS" | "VPH" => {
            (known(Scale::Hv), at + 1)
        }
        "HK" | "KHN" | "KNOOP" => (known(Scale::Hk), at + 1),
        "HB" | "HBW" | "BHN" | "BRINELL" | "HBS" | "BRIN" => (known(Scale::Hbw), at + 1),
        "SHORE" | "SCLEROSCOPE" | "SCLERO" | "HS" | "HSD" | "HSC" | "SCL" => {
            (foreign("a rebound hardness"), at + 1)
        }
        "HLD" | "LEEB" | "HL" => (foreign("a rebound hardness"), at + 1),
        "HM" | "MARTENS" | "MOHS" => (foreign("a scale not held here"), at + 1),
        "MPA" | "KSI" | "PSI" => (foreign("a tensile strength"), at + 1),
        "N" | "KP" | "DAN" | "KG" | "KGF" if text(at + 1) == "/" && text(at + 2) == "MM" => {
            let squared = usize::from(matches!(text(at + 3), "2"));
            (foreign("a tensile strength"), at + 3 + squared)
        }
        // `58/60 "C"`: the letter in quotes.
        "\"" if text(at + 1) == "C" && text(at + 2) == "\"" => (known(Scale::Hrc), at + 3),
        "C" if text(at + 1) == "SCALE" => (known(Scale::Hrc), at + 2),
        "A" if text(at + 1) == "SCALE" => (known(Scale::Hra), at + 2),
        _ => return None,
    };
    Some((mark, skip_scale_words(tokens, next)))
}

/// `H.R.C`, `R/C`, `R C`, `HR 15N`, `R15N`.
fn after_r(tokens: &[Token], at: usize) -> Option<(Mark, usize)> {
    let mut next = at + 1;
    while tokens
        .get(next)
        .is_some_and(|t| ['/', '.', '-', '"', '\''].iter().any(|&s| t.is_sign(s)))
    {
        next += 1;
    }
    if let Some(found) = superficial(tokens, next) {
        return Some(found);
    }
    let letter = tokens.get(next).filter(|t| t.kind == Kind::Word)?;
    // `R A` is too near to ordinary words; the others are not.
    let close = next > at + 1 || letter.glued || letter.text == "C";
    close
        .then(|| rockwell(&letter.text))
        .flatten()
        .map(|mark| (mark, next + 1))
}

/// `ROCKWELL C`, `ROCKWELL "C"`, `ROCKWELL HARDNESS C`, `ROCKWELL 15N`; C where no letter stands.
fn after_rockwell(tokens: &[Token], at: usize) -> (Mark, usize) {
    let mut next = at + 1;
    while tokens.get(next).is_some_and(|t| {
        t.is_word("HARDNESS")
            || t.is_word("SCALE")
            || ['"', '\'', '-', '.'].iter().any(|&s| t.is_sign(s))
    }) {
        next += 1;
    }
    if let Some(found) = superficial(tokens, next) {
        return found;
    }
    let letter = tokens.get(next).filter(|t| t.kind == Kind::Word);
    match letter.and_then(|t| rockwell(&t.text)) {
        Some(mark) => {
            let quoted = tokens
                .get(next + 1)
                .is_some_and(|t| t.is_sign('"') || t.is_sign('\''));
            (mark, next + 1 + usize::from(quoted))
        }
        None => (foreign("Rockwell without a letter"), at + 1),
    }
}

/// `SCALE`, `HARDNESS` and abbreviation points behind a scale go with it.
fn skip_scale_words(tokens: &[Token], mut at: usize) -> usize {
    while let Some(token) = tokens.get(at) {
        let point = token.is_sign('.')
            && token.glued
            && tokens
                .get(at + 1)
                .is_some_and(|t| t.number().is_some() || t.is_sign('-'));
        if !(point || token.is_word("SCALE") || token.is_word("NUMBER")) {
            break;
        }
        at += 1;
    }
    at
}

/// Test forces that Vickers and Knoop numbers carry, in kgf (ISO 6507-1, ISO 4545-1).
const FORCES_KGF: [f64; 18] = [
    0.01, 0.015, 0.02, 0.025, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 30.0, 50.0,
    100.0,
];

/// Whether a number is a force in kgf behind `HV` or `HK`.
pub(super) fn is_force_kgf(value: f64) -> bool {
    FORCES_KGF.contains(&value)
}

/// `IN BORE`, `IN THE THREADS`: the preposition in front of an area on the same line.
fn in_a_place(tokens: &[Token], at: usize) -> bool {
    let next = at + 1 + usize::from(tokens.get(at + 1).is_some_and(|t| t.is_word("THE")));
    tokens.get(next).is_some_and(|t| !t.new_line)
        && words::find(tokens, next).is_some_and(|(entry, _)| entry.meaning == words::Meaning::Area)
}

/// A force in grams behind Knoop or DPH numbers, in kgf.
pub(super) fn gram_force_kgf(value: f64) -> Option<f64> {
    [10.0, 25.0, 50.0, 100.0, 200.0, 300.0, 500.0, 1000.0]
        .contains(&value)
        // A thousand gram-force are one kilogram-force: both are forces, no quantity type holds them.
        .then_some(value / 1000.0)
}

/// The unit at token `at` behind a number, and the index behind it. `value` guards `IN`.
pub(super) fn unit(tokens: &[Token], at: usize, value: f64, whole: bool) -> Option<(Unit, usize)> {
    let token = tokens.get(at)?;
    let text = |i: usize| tokens.get(i).map_or("", |t| t.text.as_str());
    let glued = |i: usize| tokens.get(i).is_some_and(|t| t.glued);
    let one = |unit: Unit| Some((unit, at + 1));
    match token.text.as_str() {
        "MM" | "MILLIMETER" | "MILLIMETERS" | "MILLIMETRE" | "MILLIMETRES" => one(Unit::Mm),
        "M" if text(at + 1) == "/" && text(at + 2) == "M" => Some((Unit::Mm, at + 3)),
        "UM" | "MICRON" | "MICRONS" | "MICROMETER" | "MICROMETRE" | "MICRONES" => one(Unit::Um),
        // `58/60 "C"`: the quotes belong to the letter.
        "\"" if text(at + 1) == "C" && text(at + 2) == "\"" => None,
        "INCH" | "INCHES" | "INS" | "\"" | "ZOLL" | "POUCE" | "PULGADAS" => one(Unit::Inch),
        "'" if text(at + 1) == "'" && glued(at + 1) => Some((Unit::Inch, at + 2)),
        // Nobody makes a case of twenty inches: there `in` is the preposition.
        // So it is in front of a place: `.030-.040 IN BORE`.
        "IN" if in_a_place(tokens, at) => None,
        "IN" if value < 20.0 => {
            let point = tokens
                .get(at + 1)
                .is_some_and(|t| t.is_sign('.') && t.glued);
            Some((Unit::Inch, at + 1 + usize::from(point)))
        }
        "THOU" | "THOUS" | "THOUSANDTHS" | "THOUSANDTH" | "MIL" | "MILS" | "TH" | "THOUS'" => {
            let of = text(at + 1) == "OF" && matches!(text(at + 2), "AN" | "INCH");
            let skip = if of && text(at + 3) == "INCH" { 4 } else { 1 };
            Some((Unit::Thou, at + skip))
        }
        "°" => match text(at + 1) {
            "C" => Some((Unit::Other(Other::Celsius), at + 2)),
            "F" => Some((Unit::Other(Other::Fahrenheit), at + 2)),
            _ => one(Unit::Other(Other::Angle)),
        },
        "DEG" | "DEGREES" => match text(at + 1) {
            "C" => Some((Unit::Other(Other::Celsius), at + 2)),
            "F" => Some((Unit::Other(Other::Fahrenheit), at + 2)),
            _ => one(Unit::Other(Other::Angle)),
        },
        "F" if value >= 100.0 => one(Unit::Other(Other::Fahrenheit)),
        "C" if value >= 100.0 => one(Unit::Other(Other::Celsius)),
        "HR" if glued(at + 1) || matches!(text(at + 1), "15" | "30" | "45") => None,
        "H" | "HR" | "HRS" | "HOUR" | "HOURS" | "STD" | "HEURES" | "HORAS" | "MINUTES" | "MINS"
        | "MINUTEN"
            if whole || value < 100.0 =>
        {
            one(Unit::Other(Other::Time))
        }
        "%" | "PCT" | "PERCENT" => one(Unit::Other(Other::Percent)),
        "G" | "GF" | "GM" | "GMS" | "GRAM" | "GRAMS" => one(Unit::Other(Other::GramForce)),
        "KG" | "KGF" | "KILO" if text(at + 1) != "/" => one(Unit::Other(Other::KilogramForce)),
        "PLACES" | "PLCS" | "PL" | "PCS" | "OFF" | "X" | "PLACE" | "PIECES" | "HOLES" | "STK"
        | "ST"
            if whole =>
        {
            one(Unit::Other(Other::Count))
        }
        _ => None,
    }
}
