//! Quantities as people write them: `14 mm`, `3/4 in`, `0,8 mm`, `30 thou`, `1 h 30 min`, `±14 °C`.
//!
//! A number without its unit is never guessed. Holds no conversion factor: those stand in `terms`.

mod exact;
mod number;
mod unit;

use std::ops::Range;

use casewright_terms::{
    Area, Density, Diag, Fraction, Length, Mass, Power, Span, Temperature, TemperatureStep, Volume,
};

pub(crate) use exact::{Exact, grams};
pub use unit::{Kind, Unit};

use crate::suggest;
use number::{Number, Sign};

/// Longest text that is taken for a quantity, in characters.
const LONGEST: usize = 80;

/// Why a text is not the quantity that was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// The complaint, without a place.
    pub diag: Box<Diag>,
    /// Which bytes of the text are meant.
    pub span: Range<usize>,
}

/// A quantity with the unit it was written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written<Q> {
    /// The quantity.
    pub value: Q,
    /// Its unit; the first one where several stand in a row (`1 h 30 min`).
    pub unit: Unit,
}

/// A quantity that can be read from text.
pub trait Quantity: Sized + Copy {
    /// What kind of quantity it is.
    const KIND: Kind;
    /// The quantity from a number in a unit; `None` where the unit measures something else.
    fn from_unit(value: f64, unit: Unit) -> Option<Self>;
}

/// Implements `Quantity` from the named constructors in `terms`.
macro_rules! quantity {
    ($type:ident, $kind:ident, |$v:ident| { $($unit:ident => $value:expr),+ $(,)? }) => {
        impl Quantity for $type {
            const KIND: Kind = Kind::$kind;
            fn from_unit($v: f64, unit: Unit) -> Option<Self> {
                match unit {
                    $(Unit::$unit => Some($value),)+
                    _ => None,
                }
            }
        }
    };
}

quantity!(Length, Length, |v| {
    Millimetre => Length::from_mm(v),
    Micrometre => Length::from_um(v),
    Centimetre => Length::from_mm(v * 10.0),
    Metre => Length::from_m(v),
    Inch => Length::from_in(v),
    Thou => Length::from_thou(v),
    Foot => Length::from_in(v * 12.0),
});
quantity!(Temperature, Temperature, |v| {
    Celsius => Temperature::from_c(v),
    Fahrenheit => Temperature::from_f(v),
    Kelvin => Temperature::from_k(v),
});
quantity!(TemperatureStep, Step, |v| {
    Celsius => TemperatureStep::from_k(v),
    Fahrenheit => TemperatureStep::from_f(v),
    Kelvin => TemperatureStep::from_k(v),
});
quantity!(Area, Area, |v| {
    SquareMillimetre => square(Length::from_mm(1.0)) * v,
    SquareCentimetre => square(Length::from_mm(10.0)) * v,
    SquareMetre => Area::from_m2(v),
    SquareInch => square(Length::from_in(1.0)) * v,
});
quantity!(Mass, Mass, |v| {
    Milligram => Mass::from_g(v / 1000.0),
    Gram => Mass::from_g(v),
    Kilogram => Mass::from_kg(v),
    Pound => Mass::from_lb(v),
    Ounce => Mass::from_lb(v / 16.0),
});
quantity!(Volume, Volume, |v| {
    Litre => Volume::from_l(v),
    Millilitre => Volume::from_l(v / 1000.0),
    Gallon => Volume::from_gal(v),
    CubicMetre => Volume::from_m3(v),
});
quantity!(Power, Power, |v| {
    Watt => Power::from_w(v),
    Kilowatt => Power::from_kw(v),
});
quantity!(Span, Span, |v| {
    Second => Span::from_s(v),
    Minute => Span::from_min(v),
    Hour => Span::from_h(v),
    Day => Span::from_h(v * 24.0),
});
quantity!(Density, Density, |v| {
    KilogramPerCubicMetre => Density::from_kg_m3(v),
    KilogramPerLitre => Density::from_g_cm3(v),
    PoundPerCubicFoot => pounds_per_cubic_foot(v),
});
quantity!(Fraction, Share, |v| {
    Percent => Fraction::from_pct(v),
    PartsOfOne => Fraction::from_ratio(v),
});

fn square(side: Length) -> Area {
    side * side
}

fn pounds_per_cubic_foot(value: f64) -> Density {
    let foot = Length::from_in(12.0);
    Density::from_kg_m3(Mass::from_lb(value).to_kg() / (foot * foot * foot).to_m3())
}

/// Reads one quantity.
///
/// # Errors
/// The first thing in the text that keeps it from being that quantity.
pub fn read<Q: Quantity>(text: &str) -> Result<Written<Q>, Slip> {
    if text.chars().count() > LONGEST {
        return Err(slip(
            Diag::stop(
                "quantity-too-long",
                format!("This text is longer than {LONGEST} characters."),
            )
            .why("A size or a temperature is a number and a unit, nothing else.")
            .accepted(format!("Write for example {}.", Q::KIND.examples())),
            0..text.len(),
        ));
    }
    let pieces = split(text, Q::KIND)?;
    let mut total: Option<(f64, Unit)> = None;
    let several = pieces.len() > 1;
    for piece in &pieces {
        let unit = unit_of(text, piece, Q::KIND)?;
        if Q::from_unit(piece.number.value, unit).is_none() {
            return Err(wrong_kind(text, Q::KIND, unit, piece));
        }
        total = Some(match total {
            None => (piece.number.value, unit),
            // Only spans come in pieces; the sum is kept in the first piece's unit.
            Some((sum, first)) => (sum + piece.number.value * ratio(unit, first), first),
        });
    }
    let Some((value, unit)) = total else {
        return Err(no_number(text, Q::KIND));
    };
    if several && pieces.iter().any(|piece| piece.number.value < 0.0) {
        return Err(slip(
            Diag::stop(
                "quantity-unclear",
                format!("\"{text}\" has a minus inside."),
            )
            .accepted(format!("Write for example {}.", Q::KIND.examples())),
            0..text.len(),
        ));
    }
    let value = Q::from_unit(value, unit).ok_or_else(|| no_number(text, Q::KIND))?;
    Ok(Written { value, unit })
}

/// Reads a triple of lengths such as `300 x 250 x 450 mm`; one unit at the end serves all.
///
/// # Errors
/// As for [`read`], or there are not three lengths.
pub fn read_triple(text: &str) -> Result<[Written<Length>; 3], Slip> {
    let mut parts: Vec<(usize, &str)> = Vec::new();
    let mut from = 0;
    for (at, c) in text.char_indices() {
        if matches!(c, 'x' | 'X' | '×' | '*') {
            parts.push((from, &text[from..at]));
            from = at + c.len_utf8();
        }
    }
    parts.push((from, &text[from..]));
    if parts.len() != 3 || text.chars().count() > LONGEST {
        return Err(slip(
            Diag::stop(
                "triple-wanted",
                "Three lengths are wanted here: width, height and depth.",
            )
            .accepted("Write \"300 x 250 x 450 mm\" or [\"300 mm\", \"250 mm\", \"450 mm\"]."),
            0..text.len(),
        ));
    }
    let last = read_at::<Length>(parts[2])?;
    let mut lengths = [last; 3];
    for (slot, &(offset, part)) in lengths.iter_mut().zip(&parts[..2]) {
        let whole = split(part, Kind::Length).map_err(|s| shifted(s, offset))?;
        *slot = match whole.as_slice() {
            [only] if only.unit.is_empty() => Written {
                value: Length::from_unit(only.number.value, last.unit)
                    .ok_or_else(|| no_number(part, Kind::Length))?,
                unit: last.unit,
            },
            _ => read_at::<Length>((offset, part))?,
        };
    }
    Ok(lengths)
}

fn read_at<Q: Quantity>((offset, part): (usize, &str)) -> Result<Written<Q>, Slip> {
    read::<Q>(part).map_err(|s| shifted(s, offset))
}

fn shifted(mut slip: Slip, by: usize) -> Slip {
    slip.span = slip.span.start + by..slip.span.end + by;
    slip
}

/// A number and the bytes of the word after it.
struct Piece {
    number: Number,
    unit: Range<usize>,
}

/// Cuts a text into numbers and the words after them; several only where that is a span of time.
fn split(text: &str, kind: Kind) -> Result<Vec<Piece>, Slip> {
    let mut pieces: Vec<Piece> = Vec::new();
    let mut from = 0;
    while !text[from..].trim().is_empty() {
        let number = number::read(text, from)?.ok_or_else(|| no_number(&text[from..], kind))?;
        check_sign(text, kind, &number)?;
        let rest = number.end;
        let end = match text[rest..].find(|c: char| c.is_ascii_digit()) {
            Some(next) if kind == Kind::Span => rest + next,
            _ => text.len(),
        };
        let word = text[rest..end].trim();
        let start = rest + (text[rest..end].len() - text[rest..end].trim_start().len());
        pieces.push(Piece {
            number,
            unit: start..start + word.len(),
        });
        from = end;
    }
    if pieces.is_empty() {
        return Err(no_number(text, kind));
    }
    Ok(pieces)
}

fn check_sign(text: &str, kind: Kind, number: &Number) -> Result<(), Slip> {
    if number.sign != Sign::PlusMinus || kind == Kind::Step {
        return Ok(());
    }
    Err(slip(
        Diag::stop(
            "quantity-plus-minus",
            format!("\"{}\" is a deviation either way, not {}.", text.trim(), kind.noun()),
        )
        .why("A point on the scale and a difference are two things: 50 °F is 10 °C as a point and 28 °C as a difference.")
        .accepted(format!("Write for example {}.", kind.examples())),
        0..text.len(),
    ))
}

fn unit_of(text: &str, piece: &Piece, kind: Kind) -> Result<Unit, Slip> {
    let word = &text[piece.unit.clone()];
    if word.is_empty() {
        if kind == Kind::Share && piece.number.fraction {
            return Ok(Unit::PartsOfOne);
        }
        return Err(slip(
            unit_missing(text.trim(), piece.number.value, kind),
            0..text.len(),
        ));
    }
    match Unit::from_word(word) {
        Ok(unit) => Ok(unit),
        Err(Some(asks)) => Err(slip(
            Diag::stop(
                "unit-unclear",
                format!("\"{word}\" can mean two things: {asks}."),
            )
            .why("Taken the wrong way the size is out by a factor of forty.")
            .accepted(format!("Write for example {}.", kind.examples())),
            piece.unit.clone(),
        )),
        Err(None) => {
            let near = suggest::nearest(word, unit::spellings(kind));
            let hint = near.map_or(String::new(), |near| format!("Did you mean \"{near}\"? "));
            Err(slip(
                Diag::stop(
                    "unit-unknown",
                    format!("\"{word}\" is not a unit of {}.", kind.name()),
                )
                .accepted(format!("{hint}Write for example {}.", kind.examples())),
                piece.unit.clone(),
            ))
        }
    }
}

/// The complaint about a number that stands alone, with the likely unit as hint.
pub(crate) fn unit_missing(written: &str, value: f64, kind: Kind) -> Diag {
    let hint = kind
        .likely(value)
        .iter()
        .map(|unit| format!("\"{written} {unit}\""))
        .collect::<Vec<_>>()
        .join(" or ");
    Diag::stop("unit-missing", format!("{written} has no unit."))
        .why(kind.why_unit())
        .accepted(format!("Write {hint}."))
}

fn wrong_kind(text: &str, wanted: Kind, unit: Unit, piece: &Piece) -> Slip {
    let hint = if wanted == Kind::Span && unit == Unit::Metre {
        "For minutes write \"min\". "
    } else {
        ""
    };
    slip(
        Diag::stop(
            "quantity-wrong-kind",
            format!(
                "\"{}\" is {}; {} is wanted here.",
                text.trim(),
                unit.kind().noun(),
                wanted.noun()
            ),
        )
        .accepted(format!("{hint}Write for example {}.", wanted.examples())),
        piece.unit.clone(),
    )
}

fn no_number(text: &str, kind: Kind) -> Slip {
    slip(
        Diag::stop(
            "quantity-no-number",
            format!("\"{}\" has no number where one is wanted.", text.trim()),
        )
        .accepted(format!(
            "Write {}, for example {}.",
            kind.noun(),
            kind.examples()
        )),
        0..text.len(),
    )
}

pub(crate) fn slip(diag: Diag, span: Range<usize>) -> Slip {
    Slip {
        diag: Box::new(diag),
        span,
    }
}

/// How many of one unit of time make another.
fn ratio(unit: Unit, first: Unit) -> f64 {
    match (Span::from_unit(1.0, unit), Span::from_unit(1.0, first)) {
        (Some(a), Some(b)) => a / b,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests;
