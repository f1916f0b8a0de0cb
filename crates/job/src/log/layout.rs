//! How a log is laid out: delimiter, where the time stands, which columns are readings, in what
//! unit. Decides nothing that the file leaves open; that is asked in `settle`.

use std::collections::BTreeMap;

use casewright_terms::Diag;

use super::cell::{self, Cell, Decimal, LogUnit};
use super::moment;
use super::text::{self, Delimiter};

/// Lines looked at to find the layout: more than any logger's head has.
const SAMPLE_LINES: usize = 400;
/// Columns in which a time may begin: behind a record number and a channel name.
const TIME_WITHIN: usize = 4;

/// Where the time stands, and in what form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum TimeAt {
    /// Date and clock in one field.
    Stamp(usize),
    /// Date and clock in two, AM or PM in a third.
    DateClock {
        date: usize,
        clock: usize,
        half: Option<usize>,
    },
    /// A clock alone.
    Clock { clock: usize, half: Option<usize> },
    /// Seconds (or milliseconds) since 1970.
    Epoch { at: usize, in_ms: bool },
    /// A spreadsheet's days since 1899-12-30.
    Serial(usize),
    /// Time since the start, in so many milliseconds.
    Elapsed { at: usize, unit_ms: u32 },
}

impl TimeAt {
    pub(super) fn holds(self, column: usize) -> bool {
        match self {
            Self::Stamp(at)
            | Self::Epoch { at, .. }
            | Self::Serial(at)
            | Self::Elapsed { at, .. } => at == column,
            Self::DateClock { date, clock, half } => {
                date == column || clock == column || half == Some(column)
            }
            Self::Clock { clock, half } => clock == column || half == Some(column),
        }
    }

    fn last(self) -> usize {
        match self {
            Self::Stamp(at)
            | Self::Epoch { at, .. }
            | Self::Serial(at)
            | Self::Elapsed { at, .. } => at,
            Self::DateClock { date, clock, half } => date.max(clock).max(half.unwrap_or(0)),
            Self::Clock { clock, half } => half.unwrap_or(clock),
        }
    }
}

/// A column of readings as it was found.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) at: usize,
    pub(super) name: String,
    /// Unit of temperature that the file gives, if it does.
    pub(super) unit: Option<LogUnit>,
    /// Another unit, or a name that is no temperature's.
    pub(super) other: Option<String>,
    /// Whether every cell is digits alone, as a fraction split off by its comma would be.
    pub(super) plain_digits: bool,
}

/// The layout.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub(super) delimiter: Delimiter,
    pub(super) time: TimeAt,
    pub(super) fields: usize,
    /// Number of lines before the first row.
    pub(super) head_lines: usize,
    /// The line of names.
    pub(super) names: Option<String>,
    /// What the names line has, where its number of names differs from the rows' fields because
    /// decimal commas split the numbers.
    pub(super) named_columns: Option<usize>,
    pub(super) columns: Vec<Found>,
    /// Names of columns that hold no readings.
    pub(super) left_out: Vec<String>,
}

/// Finds the layout.
pub(super) fn find(text: &str) -> Result<Layout, Diag> {
    let sample: Vec<&str> = text::lines(text)
        .take(SAMPLE_LINES)
        .map(|(line, _)| line)
        .collect();
    let forced = sample
        .first()
        .and_then(|line| line.trim().strip_prefix("sep="))
        .and_then(|sign| match sign {
            ";" => Some(Delimiter::Semicolon),
            "," => Some(Delimiter::Comma),
            "|" => Some(Delimiter::Bar),
            "\t" | "" => Some(Delimiter::Tab),
            _ => None,
        });
    let candidates = Delimiter::ALL
        .into_iter()
        .filter(|delimiter| forced.is_none_or(|forced| forced == *delimiter));
    let mut best: Option<(usize, Delimiter, TimeAt)> = None;
    for delimiter in candidates.clone() {
        if let Some((count, time)) = written_times(&sample, delimiter)
            && best.is_none_or(|(most, ..)| count > most)
        {
            best = Some((count, delimiter, time));
        }
    }
    if best.is_none() {
        for delimiter in candidates {
            if let Some((count, time)) = counted_times(&sample, delimiter)?
                && best.is_none_or(|(most, ..)| count > most)
            {
                best = Some((count, delimiter, time));
            }
        }
    }
    let Some((_, delimiter, time)) = best else {
        return Err(Diag::stop(
            "log-no-rows",
            "No row with a time and a reading was found.",
        )
        .why("A log has a time and at least one temperature in each row.")
        .accepted(
            "Give the logger's text export: a column with the date and time or with the elapsed \
             time (named with its unit, as in \"time (min)\"), and columns of readings.",
        ));
    };
    Ok(columns(&sample, delimiter, time))
}

/// Whether a field may be a reading or its lack.
fn reading(field: &str) -> bool {
    !field.is_empty()
        && [Decimal::Point, Decimal::Comma]
            .into_iter()
            .any(|decimal| matches!(cell::read(field, decimal), Cell::Number(..) | Cell::Fault))
}

/// The form in which most rows tell the time in words, and how many do.
fn written_times(sample: &[&str], delimiter: Delimiter) -> Option<(usize, TimeAt)> {
    let mut forms: BTreeMap<TimeAt, usize> = BTreeMap::new();
    let mut fields = Vec::new();
    for line in sample {
        text::split(line, delimiter, &mut fields);
        if let Some(time) = written_time(&fields)
            && fields
                .iter()
                .enumerate()
                .any(|(at, field)| !time.holds(at) && reading(field))
        {
            *forms.entry(time).or_default() += 1;
        }
    }
    let (time, count) = forms.into_iter().max_by_key(|(_, count)| *count)?;
    Some((count, time))
}

/// The form of the time in one row.
pub(super) fn written_time(fields: &[&str]) -> Option<TimeAt> {
    let half = |at: usize| {
        fields
            .get(at)
            .and_then(|word| moment::meridiem(word))
            .map(|_| at)
    };
    let is_date = |at: usize| {
        fields
            .get(at)
            .and_then(|field| moment::date(field))
            .is_some_and(|(_, rest)| rest.trim().is_empty())
    };
    let is_clock = |at: usize| {
        fields
            .get(at)
            .and_then(|field| moment::clock(field))
            .is_some()
    };
    (0..fields.len().min(TIME_WITHIN)).find_map(|at| {
        if moment::date_and_clock(fields[at]).is_some() {
            Some(TimeAt::Stamp(at))
        } else if is_date(at) && is_clock(at + 1) {
            Some(TimeAt::DateClock {
                date: at,
                clock: at + 1,
                half: half(at + 2),
            })
        } else if is_clock(at) && is_date(at + 1) {
            Some(TimeAt::DateClock {
                date: at + 1,
                clock: at,
                half: None,
            })
        } else if is_clock(at) {
            Some(TimeAt::Clock {
                clock: at,
                half: half(at + 1),
            })
        } else {
            None
        }
    })
}

/// Times that are plain numbers: since 1970, a spreadsheet's days, or since the start.
fn counted_times(sample: &[&str], delimiter: Delimiter) -> Result<Option<(usize, TimeAt)>, Diag> {
    for at in 0..2 {
        let (times, name) = counts(sample, delimiter, at);
        if times.len() < 2 {
            continue;
        }
        let name = name.as_str();
        let all = |low: f64, high: f64| times.iter().all(|value| (low..high).contains(value));
        // 2001 to 2100.
        if all(9.8e8, 4.1e9) {
            return Ok(Some((times.len(), TimeAt::Epoch { at, in_ms: false })));
        }
        if all(9.8e11, 4.1e12) {
            return Ok(Some((times.len(), TimeAt::Epoch { at, in_ms: true })));
        }
        let timely = time_name(name);
        let broken = times.iter().any(|day| day.fract() != 0.0);
        // 1998 to 2099.
        if timely && broken && all(36_000.0, 73_000.0) {
            return Ok(Some((times.len(), TimeAt::Serial(at))));
        }
        if timely {
            return match elapsed_unit(name) {
                Some(unit_ms) => Ok(Some((times.len(), TimeAt::Elapsed { at, unit_ms }))),
                None => Err(Diag::stop(
                    "log-time-unit",
                    format!("The column \"{name}\" counts time and does not say in what."),
                )
                .why("Seconds read as minutes make a soak sixty times as long.")
                .accepted("Name the unit in the head of the column, as in \"time (min)\".")),
            };
        }
    }
    Ok(None)
}

/// The numbers of a column in rows that have a reading beside it, and the name above them.
fn counts(sample: &[&str], delimiter: Delimiter, at: usize) -> (Vec<f64>, String) {
    let mut fields = Vec::new();
    let (mut times, mut name) = (Vec::new(), String::new());
    for line in sample {
        text::split(line, delimiter, &mut fields);
        let Some(field) = fields.get(at).copied().filter(|_| fields.len() > 1) else {
            continue;
        };
        let number =
            cell::number(field, Decimal::Point).or_else(|| cell::number(field, Decimal::Comma));
        let beside = || {
            fields
                .iter()
                .enumerate()
                .any(|(i, field)| i != at && reading(field))
        };
        match number {
            Some(number) if beside() => times.push(number),
            None if times.is_empty()
                && field.chars().any(char::is_alphabetic)
                && !time_form(field) =>
            {
                field.clone_into(&mut name);
            }
            _ => {}
        }
    }
    (times, name)
}

fn time_name(name: &str) -> bool {
    let lower = name.to_lowercase();
    [
        "time", "elapsed", "zeit", "temps", "tiempo", "date", "datum",
    ]
    .iter()
    .any(|word| lower.contains(word))
        || elapsed_unit(name).is_some() && lower.starts_with(['t', 'e'])
        || matches!(
            lower.as_str(),
            "s" | "sec" | "seconds" | "min" | "minutes" | "h" | "hours"
        )
}

/// The unit of a count of time, from the name's last word.
fn elapsed_unit(name: &str) -> Option<u32> {
    let lower = name.to_lowercase();
    let word = lower
        .rsplit(|c: char| !c.is_alphabetic())
        .find(|word| !word.is_empty())?;
    match word {
        "ms" | "msec" | "milliseconds" => Some(1),
        "s" | "sec" | "secs" | "second" | "seconds" => Some(1000),
        "min" | "mins" | "minute" | "minutes" | "minuten" => Some(60_000),
        "h" | "hr" | "hrs" | "hour" | "hours" | "std" => Some(3_600_000),
        _ => None,
    }
}

/// Whether a line is a row of this form.
fn is_row(fields: &[&str], time: TimeAt) -> bool {
    match time {
        TimeAt::Epoch { at, .. } | TimeAt::Serial(at) | TimeAt::Elapsed { at, .. } => {
            fields.get(at).is_some_and(|field| {
                cell::number(field, Decimal::Point).is_some()
                    || cell::number(field, Decimal::Comma).is_some()
            }) && fields.len() > time.last() + 1
        }
        _ => written_time(fields) == Some(time),
    }
}

fn columns(sample: &[&str], delimiter: Delimiter, time: TimeAt) -> Layout {
    let mut fields = Vec::new();
    let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
    let mut head_lines = None;
    for (index, line) in sample.iter().enumerate() {
        text::split(line, delimiter, &mut fields);
        if is_row(&fields, time) {
            head_lines.get_or_insert(index);
            *counts.entry(fields.len()).or_default() += 1;
        }
    }
    let head_lines = head_lines.unwrap_or(0);
    let width = counts
        .into_iter()
        .max_by_key(|(_, count)| *count)
        .map_or(0, |(width, _)| width);
    let head: Vec<Vec<String>> = sample[..head_lines]
        .iter()
        .map(|line| {
            text::split(line, delimiter, &mut fields);
            fields.iter().map(|field| (*field).to_owned()).collect()
        })
        .collect();
    let lettered = |row: &Vec<String>| row.iter().any(|name| name.chars().any(char::is_alphabetic));
    // A row of units may stand between the names and the rows.
    let units_only = |row: &Vec<String>| {
        lettered(row)
            && row.iter().all(|name| {
                name.is_empty()
                    || LogUnit::named(name.trim_matches(['[', ']', '(', ')'])).is_some()
                    || time_form(name)
            })
    };
    // Blanks part words too: there a line of names has as many as the rows, or it is a sentence.
    let wide = |row: &&Vec<String>| {
        let fits = delimiter != Delimiter::Blanks || row.len() == width;
        row.len() > time.last() + 1 && fits && lettered(row)
    };
    let units = head.iter().rev().find(wide).filter(|row| units_only(row));
    let names_at = head.iter().rposition(|row| wide(&row) && !units_only(row));
    let names = names_at.map(|at| &head[at]);
    let named_columns = names.map(|names| {
        let trailing = names
            .iter()
            .rev()
            .take_while(|name| name.is_empty())
            .count();
        names.len() - trailing
    });
    let default_unit = head.iter().find_map(|row| unit_of_all(&row.join(" ")));
    let mut layout = Layout {
        delimiter,
        time,
        fields: width,
        head_lines,
        names: names_at.map(|at| sample[at].trim().to_owned()),
        named_columns,
        columns: Vec::new(),
        left_out: Vec::new(),
    };
    let rows: Vec<Vec<&str>> = sample[head_lines..]
        .iter()
        .map(|line| {
            text::split(line, delimiter, &mut fields);
            fields.clone()
        })
        .filter(|row| row.len() == width && is_row(row, time))
        .collect();
    for at in (0..width).filter(|at| !time.holds(*at)) {
        let name = names
            .and_then(|names| names.get(at))
            .cloned()
            .unwrap_or_default();
        let unit_below = units
            .and_then(|units| units.get(at))
            .and_then(|unit| LogUnit::named(unit.trim_matches(['[', ']', '(', ')'])));
        match kind(&rows, at, &name, time) {
            Kind::Nothing => {}
            Kind::LeftOut => layout.left_out.push(called(&name, at)),
            Kind::Readings(in_cell) => {
                let other = other_name(&name);
                layout.columns.push(Found {
                    at,
                    unit: in_cell
                        .or(unit_below)
                        .or_else(|| unit_in_name(&name))
                        .or(default_unit.filter(|_| other.is_none())),
                    other,
                    name: called(&name, at),
                    plain_digits: rows.len() > 1 && split_off(&rows, at),
                });
            }
        }
    }
    layout
}

/// Whether the column is digits alone; the last row of all may be cut short.
fn split_off(rows: &[Vec<&str>], at: usize) -> bool {
    let odd =
        |row: &&Vec<&str>| row[at].is_empty() || !row[at].bytes().all(|byte| byte.is_ascii_digit());
    rows.iter().filter(odd).count() <= usize::from(rows.last().as_ref().is_some_and(odd))
}

fn called(name: &str, at: usize) -> String {
    if name.is_empty() {
        format!("column {}", at + 1)
    } else {
        name.to_owned()
    }
}

fn time_form(name: &str) -> bool {
    let lower = name.to_lowercase();
    let form = lower.chars().all(|c| "hmsyd:./- ap[]()".contains(c));
    form && lower.len() > 1
}

enum Kind {
    Readings(Option<LogUnit>),
    LeftOut,
    Nothing,
}

fn kind(rows: &[Vec<&str>], at: usize, name: &str, time: TimeAt) -> Kind {
    let (mut numbers, mut faults, mut others) = (0, 0, 0);
    let mut unit = None;
    let mut counting = true;
    let mut last: Option<f64> = None;
    for row in rows {
        let read = match cell::read(row[at], Decimal::Point) {
            Cell::Other => cell::read(row[at], Decimal::Comma),
            read => read,
        };
        match read {
            Cell::Number(value, in_cell) => {
                numbers += 1;
                unit = unit.or(in_cell);
                counting &= last.is_none_or(|before| value == before + 1.0);
                last = Some(value);
            }
            Cell::Fault if row[at].is_empty() => {}
            Cell::Fault => faults += 1,
            Cell::Other => others += 1,
        }
    }
    let numbered = at < time.last() && counting && numbers > 2;
    if numbers + faults + others == 0 && name.is_empty() {
        // The delimiter at the end of a line.
        Kind::Nothing
    } else if others > numbers || numbered || (numbers == 0 && others > 0) || record_name(name) {
        Kind::LeftOut
    } else {
        Kind::Readings(unit)
    }
}

fn record_name(name: &str) -> bool {
    let lower = name.to_lowercase();
    matches!(
        lower.trim_end_matches('.'),
        "#" | "no"
            | "nr"
            | "index"
            | "record"
            | "rec"
            | "sample"
            | "line"
            | "row"
            | "id"
            | "event"
            | "status"
            | "alarm"
            | "segment"
            | "seg"
            | "step"
            | "mode"
            | "door"
    )
}

/// A unit behind the name: in brackets, behind a slash or with a degree sign.
fn unit_in_name(name: &str) -> Option<LogUnit> {
    let bracket = name
        .rfind(['(', '[', '{'])
        .map(|at| name[at + 1..].trim_end_matches([')', ']', '}', ' ']));
    let behind = name.rfind('/').map(|at| &name[at + 1..]);
    let degree = name
        .find(['°', 'º', '˚', '℃', '℉', 'Â', '\u{fffd}'])
        .map(|at| &name[at..]);
    let lower = name.to_lowercase();
    let degree_word = lower.rfind("deg").map(|at| lower[at..].to_owned());
    let last = name
        .rsplit([' ', '_', '.', ','])
        .next()
        .filter(|word| word.len() > 3);
    [bracket, behind, degree, degree_word.as_deref(), last]
        .into_iter()
        .flatten()
        .find_map(LogUnit::named)
}

/// A line of the head that gives one unit for the whole file.
fn unit_of_all(line: &str) -> Option<LogUnit> {
    let lower = line.to_lowercase();
    let at = lower.find("unit")?;
    let behind = lower[at..]
        .find([':', '=', ' ', ','])
        .map(|colon| at + colon + 1)?;
    let word = lower[behind..].trim_matches([' ', ':', '=', ',', ';', '"']);
    LogUnit::named(word.split([' ', ',', ';']).next()?)
}

/// What a column is, where its name or unit is no temperature's.
fn other_name(name: &str) -> Option<String> {
    let lower = name.to_lowercase();
    let bracket = name
        .rfind(['(', '['])
        .map(|at| name[at + 1..].trim_end_matches([')', ']', ' ']));
    if let Some(unit) = bracket
        && matches!(
            unit,
            "%" | "mV"
                | "V"
                | "A"
                | "mA"
                | "W"
                | "kW"
                | "kWh"
                | "bar"
                | "mbar"
                | "Pa"
                | "ppm"
                | "rpm"
                | "s"
                | "min"
                | "h"
                | "%RH"
                | "Hz"
        )
    {
        return Some(unit.to_owned());
    }
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).collect();
    let odd = [
        "out", "output", "op", "power", "duty", "load", "humidity", "battery", "batt",
    ];
    (lower.contains('%') || words.iter().any(|word| odd.contains(word))).then(|| {
        if lower.contains('%') {
            "%".to_owned()
        } else {
            String::new()
        }
    })
}
