//! One value cell: a number in the file's own way, with or without its unit, or the sign of a
//! fault. A fault never becomes a number.

use casewright_terms::Temperature;

/// What marks the decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// A comma.
    Comma,
    /// A point.
    Point,
}

impl Decimal {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Point => "point",
        }
    }

    const fn signs(self) -> (char, char) {
        match self {
            Self::Comma => (',', '.'),
            Self::Point => ('.', ','),
        }
    }
}

/// Unit of a temperature in a log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogUnit {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Kelvin.
    Kelvin,
}

impl LogUnit {
    /// The symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
            Self::Kelvin => "K",
        }
    }

    /// The temperature of a finite number in this unit.
    #[must_use]
    pub fn temperature(self, value: f64) -> Temperature {
        match self {
            Self::Celsius => Temperature::from_c(value),
            Self::Fahrenheit => Temperature::from_f(value),
            Self::Kelvin => Temperature::from_k(value),
        }
    }

    /// The unit that a text names by itself, its degree sign spoilt or not.
    pub(super) fn named(text: &str) -> Option<Self> {
        let bare: String = text
            .chars()
            .filter(|c| c.is_ascii_alphabetic())
            .collect::<String>()
            .to_ascii_lowercase();
        // What is left of a degree sign that was read in another encoding, and nothing else.
        let odd = text
            .chars()
            .all(|c| c.is_ascii_alphabetic() || " .°º˚Â�?℃℉\u{a0}".contains(c));
        match (odd, bare.as_str()) {
            (true, "c" | "degc" | "celsius" | "degreesc" | "centigrade" | "gradc") => {
                Some(Self::Celsius)
            }
            (true, "f" | "degf" | "fahrenheit" | "degreesf") => Some(Self::Fahrenheit),
            (true, "k" | "kelvin") => Some(Self::Kelvin),
            (true, "") if text.contains('℃') => Some(Self::Celsius),
            (true, "") if text.contains('℉') => Some(Self::Fahrenheit),
            _ => None,
        }
    }
}

/// A cell, read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell {
    Number(f64, Option<LogUnit>),
    Fault,
    Other,
}

/// Words and signs by which loggers say that there is no reading, in small letters.
const FAULTS: [&str; 37] = [
    "open", "opn", "*oc*", "oc", "o.c.", "err", "error", "fault", "fail", "nan", "n/a", "na",
    "#n/a", "null", "none", "over", "under", "ovr", "udr", "ofl", "ufl", "+over", "-over", "+oor",
    "-oor", "hhhh", "llll", "uuuu", "inf", "-inf", "+inf", "burnout", "no data", "bad", "invalid",
    "sbr", "s.br",
];

/// Numbers that loggers write for a broken couple, in any unit.
const FAULT_NUMBERS: [f64; 9] = [
    -999.0, -9999.0, 9999.0, 99999.0, -99999.0, 32767.0, -32768.0, 65535.0, -999.9,
];

/// Numbers at the end of a couple's table, by unit: exactly these are no readings
/// [trade-practice].
const FAULT_ENDS: [(LogUnit, f64); 8] = [
    (LogUnit::Celsius, 1370.0),
    (LogUnit::Celsius, 1372.0),
    (LogUnit::Celsius, -200.0),
    (LogUnit::Celsius, -270.0),
    (LogUnit::Fahrenheit, 2498.0),
    (LogUnit::Fahrenheit, 2501.0),
    (LogUnit::Fahrenheit, 2502.0),
    (LogUnit::Fahrenheit, -328.0),
];

/// No furnace of this trade is hotter; a reading above is none.
const HOTTEST_C: f64 = 2500.0;

/// Reads a cell.
pub(super) fn read(text: &str, decimal: Decimal) -> Cell {
    let text = text.trim();
    if let Some(value) = number(text, decimal) {
        return Cell::Number(value, None);
    }
    if is_fault(text) {
        return Cell::Fault;
    }
    // A number with its unit behind it.
    let split = text
        .char_indices()
        .find(|(_, c)| c.is_alphabetic() || "°º˚Â�?℃℉".contains(*c))
        .map(|(at, _)| at);
    if let Some(at) = split
        && let Some(value) = number(text[..at].trim_end(), decimal)
        && let Some(unit) = LogUnit::named(&text[at..])
    {
        return Cell::Number(value, Some(unit));
    }
    Cell::Other
}

/// Whether the text says that there is no reading.
pub(super) fn is_fault(text: &str) -> bool {
    if text.is_empty() || text.chars().all(|c| "-*.?_ —–<>".contains(c)) {
        return true;
    }
    if text.len() > 24 {
        return false;
    }
    let lower = text.to_lowercase();
    FAULTS.contains(&lower.as_str())
        // "Err 5", "ERR-04", "E-14", "Error: open"
        || ["error",
            "err", "open", "fault", "burnout", "over", "under"].iter().any(|word| {
            lower.strip_prefix(word).is_some_and(|rest| {
                rest.starts_with(|c: char| !c.is_alphanumeric()) || rest.parse::<u32>().is_ok()
            })
        })
}

/// Whether a number is the sign of a fault, or no temperature at all.
pub(super) fn fault_number(value: f64, unit: LogUnit) -> bool {
    FAULT_NUMBERS.contains(&value) || FAULT_ENDS.contains(&(unit, value)) || impossible(value, unit)
}

fn impossible(value: f64, unit: LogUnit) -> bool {
    let kelvin = unit.temperature(value).to_k();
    kelvin < 0.0 || kelvin > Temperature::from_c(HOTTEST_C).to_k()
}

/// A plain number with that decimal mark; the other mark, blanks and apostrophes may group
/// thousands.
pub(super) fn number(text: &str, decimal: Decimal) -> Option<f64> {
    let unsigned = text.strip_prefix(['-', '+', '−']).unwrap_or(text);
    if !unsigned.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',')
        || text.len() > 40
    {
        return None;
    }
    // Nearly every cell of a long log is digits with at most one point.
    if decimal == Decimal::Point
        && unsigned.len() < 16
        && text.is_ascii()
        && unsigned
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.')
    {
        return text.parse().ok();
    }
    let (mark, group) = decimal.signs();
    let (whole, fraction) = match unsigned.split_once(mark) {
        Some((whole, fraction)) => (whole, fraction),
        None => (unsigned, ""),
    };
    let (fraction, power) = match fraction.split_once(['e', 'E']) {
        Some((fraction, power)) => (fraction, power),
        None => (fraction, ""),
    };
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let grouped = |c: char| c == group || matches!(c, ' ' | '\'' | '\u{a0}' | '\u{202f}');
    let plain: String;
    let whole = if digits(whole) {
        whole
    } else {
        let parts: Vec<&str> = whole.split(grouped).collect();
        let (first, others) = parts.split_first()?;
        let fits = (1..=3).contains(&first.len())
            && digits(first)
            && others.iter().all(|part| part.len() == 3 && digits(part));
        if !fits {
            return None;
        }
        plain = parts.concat();
        &plain
    };
    if !digits(fraction) || (whole.is_empty() && fraction.is_empty()) {
        return None;
    }
    let power_fits = power.is_empty()
        || (power.trim_start_matches(['-', '+']).len() <= 3
            && digits(power.trim_start_matches(['-', '+']))
            && !power.trim_start_matches(['-', '+']).is_empty());
    if !power_fits {
        return None;
    }
    let sign = if unsigned.len() < text.len() && !text.starts_with('+') {
        "-"
    } else {
        ""
    };
    let power = if power.is_empty() { "0" } else { power };
    format!("{sign}0{whole}.{fraction}0e{power}")
        .parse()
        .ok()
        .filter(|value: &f64| value.is_finite())
}

/// What a cell tells about the file's decimal mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    Nothing,
    Surely(Decimal),
    /// One mark with three digits behind it: thousands or thousandths. The bool says whether
    /// there are two digits or more in front, so that thousands would be 10 000 and up.
    Perhaps(Decimal, bool),
}

/// Looks at the marks of a cell.
pub(super) fn marks(text: &str) -> Told {
    let text = text.trim().trim_start_matches(['-', '+']);
    if !text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return Told::Nothing;
    }
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .unwrap_or(text.len());
    let text = &text[..end];
    let count = |mark: char| text.matches(mark).count();
    match (count(','), count('.')) {
        (0, 0) => Told::Nothing,
        (0, 1) => one(text, '.', Decimal::Point),
        (1, 0) => one(text, ',', Decimal::Comma),
        // More than one of a kind can only group thousands.
        (0, _) => Told::Surely(Decimal::Comma),
        (_, 0) => Told::Surely(Decimal::Point),
        _ if text.rfind(',') > text.rfind('.') => Told::Surely(Decimal::Comma),
        _ => Told::Surely(Decimal::Point),
    }
}

fn one(text: &str, mark: char, decimal: Decimal) -> Told {
    let (whole, fraction) = text.split_once(mark).unwrap_or((text, ""));
    if fraction.len() != 3 || whole.is_empty() || whole.len() > 3 || whole.starts_with('0') {
        Told::Surely(decimal)
    } else {
        Told::Perhaps(decimal, whole.len() > 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_both_ways_and_faults_are_never_numbers() {
        use Decimal::{Comma, Point};
        for (text, decimal, value) in [
            ("927.5", Point, 927.5),
            ("927,5", Comma, 927.5),
            ("1,700.5", Point, 1700.5),
            ("1.700,5", Comma, 1700.5),
            ("1 700,5", Comma, 1700.5),
            ("-3", Point, -3.0),
            ("+.5", Point, 0.5),
            ("9.275E+02", Point, 927.5),
        ] {
            assert_eq!(number(text, decimal), Some(value), "{text}");
        }
        for text in [
            "", "-", "1,70.5", "12,3", "1.2.3", "nan", "inf", "0x10", "1e5000", "9 27",
        ] {
            assert_eq!(number(text, Point), None, "{text}");
        }
        for text in [
            "",
            "----",
            "OPEN",
            "*OC*",
            "NaN",
            "Err 5",
            "ERR-04",
            "+OVER",
            "n/a",
            "--.-",
            "ERROR: open",
            "HHHH",
        ] {
            assert_eq!(read(text, Point), Cell::Fault, "{text}");
        }
        for text in ["RUN", "927.5 x", "=cmd|", "overheated", "10:00"] {
            assert_eq!(read(text, Point), Cell::Other, "{text}");
        }
        assert_eq!(
            read("1700 °F", Point),
            Cell::Number(1700.0, Some(LogUnit::Fahrenheit))
        );
        assert_eq!(
            read("927,5Â°C", Comma),
            Cell::Number(927.5, Some(LogUnit::Celsius))
        );
        assert!(
            fault_number(1372.0, LogUnit::Celsius) && !fault_number(1372.0, LogUnit::Fahrenheit)
        );
        assert!(fault_number(-300.0, LogUnit::Celsius) && !fault_number(0.0, LogUnit::Celsius));
    }

    #[test]
    fn marks_tell_what_they_can() {
        use Decimal::{Comma, Point};
        for (text, told) in [
            ("927", Told::Nothing),
            ("927,5", Told::Surely(Comma)),
            ("1,700.5", Told::Surely(Point)),
            ("1.700,5 °C", Told::Surely(Comma)),
            ("1,700", Told::Perhaps(Comma, false)),
            ("927.125", Told::Perhaps(Point, true)),
            ("0.125", Told::Surely(Point)),
            ("1,234,567", Told::Surely(Point)),
        ] {
            assert_eq!(marks(text), told, "{text}");
        }
    }
}
