//! Dates and clock times as loggers write them, read field by field. Which of three numbers is
//! the day is decided for the file as a whole, elsewhere.

/// Milliseconds in a day.
pub(super) const DAY_MS: i64 = 86_400_000;

/// Order of day, month and year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DateOrder {
    /// Day, month, year.
    DayFirst,
    /// Month, day, year.
    MonthFirst,
    /// Year, month, day.
    YearFirst,
}

impl DateOrder {
    /// All.
    pub(super) const ALL: [Self; 3] = [Self::DayFirst, Self::MonthFirst, Self::YearFirst];

    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::DayFirst => "day-first",
            Self::MonthFirst => "month-first",
            Self::YearFirst => "year-first",
        }
    }
}

/// Three numbers of a date as they stand, with the month's place where it was a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct RawDate {
    parts: [u16; 3],
    /// Which part is known to be the year, by four digits.
    year: Option<u8>,
    /// Which part is the month, by its name.
    month: Option<u8>,
}

impl RawDate {
    /// Days since 1970-01-01 under the order; `None` where the calendar has no such day or the
    /// order does not fit the way it is written.
    pub(super) fn days(self, order: DateOrder) -> Option<i64> {
        let [a, b, c] = self.parts;
        let ((year, year_at), (month, month_at), day) = match order {
            DateOrder::DayFirst => ((c, 2), (b, 1), a),
            DateOrder::MonthFirst => ((c, 2), (a, 0), b),
            DateOrder::YearFirst => ((a, 0), (b, 1), c),
        };
        if self.year.is_some_and(|at| at != year_at) || self.month.is_some_and(|at| at != month_at)
        {
            return None;
        }
        let year = if self.year.is_none() {
            if year > 99 {
                return None;
            }
            2000 + year
        } else {
            year
        };
        days(year, month, day)
    }

    /// The three numbers as they stand.
    pub(super) const fn parts(self) -> [u16; 3] {
        self.parts
    }

    /// Whether the year has two digits.
    pub(super) const fn short_year(self) -> bool {
        self.year.is_none()
    }
}

/// Days since 1970-01-01 of a day of the calendar.
fn days(year: u16, month: u16, day: u16) -> Option<i64> {
    let date = jiff::civil::Date::new(
        i16::try_from(year).ok()?,
        i8::try_from(month).ok()?,
        i8::try_from(day).ok()?,
    )
    .ok()?;
    // Before 1970 no logger had a file to write.
    (year >= 1970).then(|| {
        let since = date - jiff::civil::date(1970, 1, 1);
        i64::from(since.get_days())
    })
}

/// Reads a date at the start of the text and gives what follows.
pub(super) fn date(text: &str) -> Option<(RawDate, &str)> {
    let bytes = text.as_bytes();
    if bytes.len() >= 8 && bytes[..8].iter().all(u8::is_ascii_digit) {
        // 20261125, alone or before a clock time.
        if bytes.get(8).is_some_and(u8::is_ascii_digit) {
            return None;
        }
        let part = |range: std::ops::Range<usize>| text[range].parse().ok();
        let parts = [part(0..4)?, part(4..6)?, part(6..8)?];
        let raw = RawDate {
            parts,
            year: Some(0),
            month: None,
        };
        return raw.days(DateOrder::YearFirst).map(|_| (raw, &text[8..]));
    }
    let mut parts = [0; 3];
    let (mut year, mut month) = (None, None);
    let mut rest = text;
    for (index, part) in parts.iter_mut().enumerate() {
        if index > 0 {
            let trimmed = rest.trim_start_matches(['/', '-', '.', ' ', ',']);
            if trimmed.len() == rest.len() {
                return None;
            }
            rest = trimmed;
        }
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        match digits {
            1 | 2 => *part = rest[..digits].parse().ok()?,
            4 if index != 1 && year.is_none() => {
                *part = rest[..4].parse().ok()?;
                year = Some(index as u8);
            }
            0 if index < 2 && month.is_none() => {
                let letters: usize = rest
                    .chars()
                    .take_while(|c| c.is_alphabetic())
                    .map(char::len_utf8)
                    .sum();
                *part = month_named(&rest[..letters])?;
                month = Some(index as u8);
                rest = &rest[letters..];
                continue;
            }
            _ => return None,
        }
        rest = &rest[digits..];
    }
    Some((RawDate { parts, year, month }, rest))
}

/// Month by the start of its name in English, German, Spanish or French.
fn month_named(name: &str) -> Option<u16> {
    const NAMES: [&[&str]; 12] = [
        &["jan", "ene"],
        &["feb", "fév", "fev"],
        &["mar", "mär", "mrz"],
        &["apr", "abr", "avr"],
        &["may", "mai"],
        &["jun", "juin"],
        &["jul", "juil"],
        &["aug", "ago", "aoû", "aou"],
        &["sep"],
        &["oct", "okt"],
        &["nov"],
        &["dec", "dez", "dic", "déc"],
    ];
    let lower = name.to_lowercase();
    if lower.chars().count() < 3 {
        return None;
    }
    // Juin and juil begin alike with June's and July's other names only in their first two letters.
    NAMES
        .iter()
        .position(|names| names.iter().any(|start| lower.starts_with(start)))
        .map(|at| at as u16 + 1)
        .or_else(|| lower.starts_with("juin").then_some(6))
}

/// A clock time: milliseconds since midnight (or since the start, where hours pass 23), and how it
/// was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Clock {
    pub(super) ms: i64,
    /// Minutes ahead of UTC, where a zone stands behind it.
    pub(super) offset_min: Option<i32>,
}

/// Reads `10:05`, `10:05:30`, `10:05:30.250`, `10:05:30 PM`, `10:05:30Z`, `10:05:30+01:00`; the
/// whole text.
pub(super) fn clock(text: &str) -> Option<Clock> {
    let text = text.trim();
    let (hours, rest) = text.split_once(':')?;
    let number = |text: &str, most: usize| -> Option<i64> {
        let plain = (1..=most).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| text.parse().ok()).flatten()
    };
    let hours = number(hours, 4)?;
    let minutes = number(rest.get(..2)?, 2)?;
    let mut rest = &rest[2..];
    let mut ms = 0;
    if let Some(behind) = rest.strip_prefix(':') {
        let seconds = number(behind.get(..2)?, 2)?;
        if seconds > 59 {
            return None;
        }
        ms = seconds * 1000;
        rest = &behind[2..];
        if let Some(fraction) = rest.strip_prefix(['.', ',']) {
            let digits = fraction.bytes().take_while(u8::is_ascii_digit).count();
            if digits == 0 || digits > 9 {
                return None;
            }
            let scaled: String = format!("{:0<3}", &fraction[..digits])[..3].to_owned();
            ms += scaled.parse::<i64>().ok()?;
            rest = &fraction[digits..];
        }
    }
    if minutes > 59 {
        return None;
    }
    let (hours, offset_min) = ending(hours, rest)?;
    Some(Clock {
        ms: ms + (hours * 60 + minutes) * 60_000,
        offset_min,
    })
}

/// What stands behind the digits: nothing, AM or PM, or a zone.
fn ending(hours: i64, rest: &str) -> Option<(i64, Option<i32>)> {
    let rest = rest.trim();
    if rest.is_empty() {
        return Some((hours, None));
    }
    if rest == "Z" || rest == "z" {
        return Some((hours, Some(0)));
    }
    if let Some(sign) = rest.strip_prefix(['+', '-']) {
        let digits: String = sign.chars().filter(|c| *c != ':').collect();
        let plain = matches!(digits.len(), 2 | 4) && digits.bytes().all(|b| b.is_ascii_digit());
        let (hour, minute) = (plain.then_some(())).and_then(|()| {
            let minute = digits.get(2..).filter(|m| !m.is_empty()).unwrap_or("0");
            Some((
                digits[..2].parse::<i32>().ok()?,
                minute.parse::<i32>().ok()?,
            ))
        })?;
        let ahead = hour * 60 + minute;
        let ahead = if rest.starts_with('-') { -ahead } else { ahead };
        return (hour < 15 && minute < 60).then_some((hours, Some(ahead)));
    }
    meridiem(rest).and_then(|after_noon| {
        // Twelve comes before one on this clock.
        (1..=12)
            .contains(&hours)
            .then(|| (hours % 12 + if after_noon { 12 } else { 0 }, None))
    })
}

/// Whether the word is AM (false) or PM (true).
pub(super) fn meridiem(word: &str) -> Option<bool> {
    match word.trim() {
        "AM" | "am" | "a.m." | "A.M." | "a" | "A" | "Am" => Some(false),
        "PM" | "pm" | "p.m." | "P.M." | "p" | "P" | "Pm" => Some(true),
        _ => None,
    }
}

/// A date and a clock time in one field.
pub(super) fn date_and_clock(text: &str) -> Option<(RawDate, Clock)> {
    let (raw, rest) = date(text)?;
    let rest = rest.strip_prefix(['T', 't', '_']).or_else(|| {
        let trimmed = rest.trim_start_matches([' ', ',', '\u{a0}', '\u{202f}']);
        (trimmed.len() < rest.len()).then_some(trimmed)
    })?;
    Some((raw, clock(rest)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clocks_of_every_kind() {
        let hms = |h: i64, m: i64, s: i64| ((h * 60 + m) * 60 + s) * 1000;
        for (text, ms) in [
            ("10:05", hms(10, 5, 0)),
            ("9:05:07", hms(9, 5, 7)),
            ("10:05:30.25", hms(10, 5, 30) + 250),
            ("10:05:30,1234", hms(10, 5, 30) + 123),
            ("12:00:01 AM", hms(0, 0, 1)),
            ("12:00 pm", hms(12, 0, 0)),
            ("1:02:03p.m.", hms(13, 2, 3)),
            ("103:00:00", hms(103, 0, 0)),
        ] {
            assert_eq!(clock(text).map(|clock| clock.ms), Some(ms), "{text}");
        }
        assert_eq!(clock("10:05:30+01:00").unwrap().offset_min, Some(60));
        assert_eq!(clock("10:05Z").unwrap().offset_min, Some(0));
        for text in [
            "", "10", "10:", "10:5", "10:61", "10:00:75", "13:00 PM", "10:00x", "927.5",
        ] {
            assert_eq!(clock(text), None, "{text}");
        }
    }

    #[test]
    fn dates_keep_what_they_leave_open() {
        let days = |text: &str, order| date(text).and_then(|(raw, _)| raw.days(order));
        use DateOrder::{DayFirst, MonthFirst, YearFirst};
        let day = days("2026-11-25", YearFirst).unwrap();
        // 2026-11-25 is 20 782 days after 1970-01-01 (reckoned by hand: 56 years with 14 leap
        // days, and day 329 of the year).
        assert_eq!(day, 56 * 365 + 14 + 328);
        for (text, order) in [
            ("25.11.2026", DayFirst),
            ("11/25/2026", MonthFirst),
            ("25-Nov-2026", DayFirst),
            ("Nov 25, 2026", MonthFirst),
            ("25/11/26", DayFirst),
            ("26/11/25", YearFirst),
            ("20261125", YearFirst),
            ("25 dez 2026", DayFirst),
        ] {
            let expected = if text.contains("dez") { day + 30 } else { day };
            assert_eq!(days(text, order), Some(expected), "{text}");
        }
        for (text, order) in [
            ("11/25/2026", DayFirst),
            ("25.11.2026", YearFirst),
            ("2026-11-25", DayFirst),
            ("25-Nov-2026", MonthFirst),
            ("30.02.2026", DayFirst),
        ] {
            assert_eq!(days(text, order), None, "{text}");
        }
        assert!(date_and_clock("2026-11-25T10:00:00Z").is_some());
        assert!(date_and_clock("25.11.26 10:00").is_some());
        assert!(date_and_clock("25.11.26").is_none());
    }
}
