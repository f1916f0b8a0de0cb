//! `log`: a furnace or logger file, what was read of it and how long it was hot.

use std::path::PathBuf;

use casewright_job::log::{self, Answers, DateOrder, Decimal, Fate, Gap, Held, Log, LogUnit};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Span, Temperature, UnitSystem};
use clap::{Args, ValueEnum};

use super::words;
use crate::answer::{Answer, Texts, Trouble};
use crate::show::table::{self, numbers};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Temperatures that are told where none is asked for: the low, the usual and the high end of
/// carburizing in a pack, in °C.
const USUAL_C: [f64; 3] = [850.0, 900.0, 925.0];
/// Lines told of a fate on the terminal; the JSON has all.
const RANGES_TOLD: usize = 6;

/// Options of `log`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The logger's text file.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Tell the time above this, as in 1650F; may be given several times.
    #[arg(long, value_name = "TEMPERATURE")]
    above: Vec<String>,
    #[command(flatten)]
    open: Open,
}

/// Answers to what a log leaves open.
#[derive(Debug, Args)]
pub(super) struct Open {
    /// Which number of a date comes first, where the file leaves it open.
    #[arg(long, value_enum)]
    dates: Option<Dates>,
    /// What marks the decimals, where the file leaves it open.
    #[arg(long, value_enum)]
    decimal: Option<Mark>,
    /// Unit of the temperatures, where the file names none or a wrong one.
    #[arg(long, value_enum, ignore_case = true)]
    unit: Option<Unit>,
    /// What to make of a clock that falls behind.
    #[arg(long, value_enum)]
    clock: Option<Clock>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Dates {
    /// 25.11.2026.
    #[value(name = "day-first")]
    Day,
    /// 11/25/2026.
    #[value(name = "month-first")]
    Month,
    /// 26-11-25.
    #[value(name = "year-first")]
    Year,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Mark {
    /// 927,5.
    Comma,
    /// 927.5.
    Point,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Unit {
    /// Degrees Celsius.
    C,
    /// Degrees Fahrenheit.
    F,
    /// Kelvin.
    K,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Clock {
    /// It was put back while the furnace went on: count on from the row before.
    PutBack,
}

impl Open {
    /// The answers.
    pub(super) fn answers(&self) -> Answers {
        Answers {
            dates: self.dates.map(|dates| match dates {
                Dates::Day => DateOrder::DayFirst,
                Dates::Month => DateOrder::MonthFirst,
                Dates::Year => DateOrder::YearFirst,
            }),
            decimal: self.decimal.map(|mark| match mark {
                Mark::Comma => Decimal::Comma,
                Mark::Point => Decimal::Point,
            }),
            unit: self.unit.map(|unit| match unit {
                Unit::C => LogUnit::Celsius,
                Unit::F => LogUnit::Fahrenheit,
                Unit::K => LogUnit::Kelvin,
            }),
            clock_put_back: matches!(self.clock, Some(Clock::PutBack)),
        }
    }
}

/// What was read of a log, as JSON text: with the time above one temperature.
pub(super) fn reading_json(log: &Log, above: Temperature) -> String {
    let held: Vec<Vec<Held>> = (0..log.channels.len())
        .map(|channel| log.held(channel, above).into_iter().collect())
        .collect();
    wire::json(&wire::log::Read::of(log, &held, &log.gaps()))
}

/// Reads the log.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let above = match &options.above[..] {
        [] => USUAL_C.map(Temperature::from_c).to_vec(),
        typed => typed
            .iter()
            .map(|typed| words::temperature(typed))
            .collect::<Result<_, _>>()
            .map_err(Trouble::input)?,
    };
    let bytes = world::read_log(&options.file).map_err(Trouble::input)?;
    let log = log::read(&bytes, &options.open.answers()).map_err(|diags| Trouble::Input {
        diags,
        texts: Texts::default(),
    })?;
    let held: Vec<Vec<Held>> = (0..log.channels.len())
        .map(|channel| above.iter().filter_map(|t| log.held(channel, *t)).collect())
        .collect();
    let gaps = log.gaps();
    let json = wire::json(&wire::log::Read::of(&log, &held, &gaps));
    let text = told(&log, &held, &gaps);
    let notes = log.notes.clone();
    Ok(Answer::done(text, json).with_diags(notes, Texts::default()))
}

fn told(log: &Log, held: &[Vec<Held>], gaps: &[Gap]) -> String {
    let start = log
        .start_ms
        .map(|ms| format!(", from {}", wire::log::wall(ms)))
        .unwrap_or_default();
    let mut out = format!(
        "{} rows over {}{start}; usually one every {}\n",
        log.rows(),
        duration(log.length()),
        duration(log.interval())
    );
    let read = format!(
        "{}, fields parted by {}, decimal {}{}",
        log.encoding.name(),
        log.delimiter.word(),
        log.decimal.word(),
        log.dates
            .map(|order| format!(", dates {}", order.word()))
            .unwrap_or_default()
    );
    out.push_str(&hanging("Read as: ", &read));
    for (fate, lines) in log.fates.iter().filter(|(_, lines)| lines.count > 0) {
        if *fate == Fate::Read {
            out.push_str(&hanging("● ", &format!("{} lines read", lines.count)));
            continue;
        }
        let mark = if matches!(fate, Fate::Head | Fate::Remark) {
            "  "
        } else {
            "▲ "
        };
        let name = match fate {
            Fate::Fault => "with a fault in place of a reading",
            Fate::Unreadable => "that cannot be read",
            Fate::OutOfOrder => "out of order, not used",
            Fate::Duplicate => "told twice, used once",
            Fate::Head => "of head",
            _ => "empty or remarks",
        };
        let which: Vec<String> = lines
            .ranges
            .iter()
            .take(RANGES_TOLD)
            .map(|(from, to)| {
                if from == to {
                    from.to_string()
                } else {
                    format!("{from}–{to}")
                }
            })
            .collect();
        let more = if lines.ranges.len() > RANGES_TOLD {
            ", …"
        } else {
            ""
        };
        let line = format!("{} {name}: line {}{more}", lines.count, which.join(", "));
        out.push_str(&hanging(mark, &line));
    }
    for (line, reason) in log.reasons.iter().take(RANGES_TOLD) {
        out.push_str(&hanging("  ", &format!("line {line}: {}", reason.text())));
    }
    for step in &log.clock_steps {
        let by = duration(Span::from_s(step.by_ms as f64 / 1000.0));
        out.push_str(&hanging(
            "▲ ",
            &format!(
                "The clock was put back at line {}; times from there on are moved by {by}",
                step.line
            ),
        ));
    }
    out.push_str(&holes(gaps, log));
    out.push('\n');
    out.push_str(&heat(log, held));
    out
}

fn holes(gaps: &[Gap], log: &Log) -> String {
    let longest = gaps
        .iter()
        .max_by(|a, b| a.length.to_s().total_cmp(&b.length.to_s()));
    let Some(longest) = longest else {
        return hanging(
            "● ",
            &format!(
                "No hole: no two rows are more than {} apart",
                duration(log.hole_from())
            ),
        );
    };
    let hour = if longest.about_an_hour {
        " (about an hour: a clock that was put forward looks like this)"
    } else {
        ""
    };
    hanging(
        "▲ ",
        &format!(
            "{} holes; the longest {} between lines {} and {}{hour}",
            gaps.len(),
            duration(longest.length),
            longest.after_line,
            longest.before_line
        ),
    )
}

fn heat(log: &Log, held: &[Vec<Held>]) -> String {
    let mut rows = Vec::new();
    for (index, channel) in log.channels.iter().enumerate() {
        let Some(unit) = channel.unit else { continue };
        let Some(((least, _), (most, _))) = log.extremes(index) else {
            continue;
        };
        let system = match unit {
            LogUnit::Fahrenheit => UnitSystem::Inch,
            _ => UnitSystem::Metric,
        };
        let both = |value: f64| unit.temperature(value).text_both(system);
        for (nth, held) in held[index].iter().enumerate() {
            let only_first = |text: String| if nth == 0 { text } else { String::new() };
            rows.push(vec![
                only_first(channel.name.clone()),
                only_first(both(least)),
                only_first(both(most)),
                held.above.text_both(system),
                duration(held.time),
                duration(held.not_known),
            ]);
        }
    }
    let columns = [
        table::words("channel"),
        table::words("least"),
        table::words("greatest"),
        table::words("above"),
        numbers("for"),
        numbers("not known"),
    ];
    let mut out = table::text(&columns, &rows);
    let others: Vec<&str> = log
        .channels
        .iter()
        .filter(|channel| channel.unit.is_none())
        .map(|channel| channel.name.as_str())
        .chain(log.left_out.iter().map(String::as_str))
        .collect();
    if !others.is_empty() {
        out.push_str(&hanging("No temperatures: ", &others.join(", ")));
    }
    out
}

/// A duration as a person says it: hours and minutes, or seconds where it is short.
fn duration(span: Span) -> String {
    let seconds = span.to_s();
    if seconds < 120.0 {
        return format!("{} s", format_trimmed(seconds, 1));
    }
    let minutes = (seconds / 60.0).round();
    let (hours, minutes) = ((minutes / 60.0).floor(), minutes % 60.0);
    if hours > 0.0 {
        format!("{hours:.0} h {minutes:02.0} min")
    } else {
        format!("{minutes:.0} min")
    }
}
