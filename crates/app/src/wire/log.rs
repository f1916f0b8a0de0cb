//! A furnace log on the wire.

use std::collections::BTreeMap;

use casewright_job::log::{Fate, Gap, Held, Log};
use serde::Serialize;

use super::number;

/// The answer of `log`.
#[derive(Debug, Serialize)]
pub(crate) struct Read {
    rows: usize,
    lines: u64,
    encoding: &'static str,
    delimiter: &'static str,
    decimal: &'static str,
    dates: Option<&'static str>,
    /// Wall clock of the first row, without a zone; `null` where rows have no date.
    start: Option<String>,
    length_s: f64,
    interval_s: f64,
    /// By fate: how many lines, and which, as ranges with both ends.
    fates: BTreeMap<&'static str, Lines>,
    unreadable: Vec<Reason>,
    faults: BTreeMap<String, u64>,
    clock_steps: Vec<Step>,
    hole_from_s: f64,
    holes: Vec<Hole>,
    longest_hole_s: Option<f64>,
    channels: Vec<Channel>,
    columns_left_out: Vec<String>,
    findings: Vec<super::diag::Finding>,
}

#[derive(Debug, Serialize)]
struct Lines {
    lines: u64,
    ranges: Vec<(u32, u32)>,
}

#[derive(Debug, Serialize)]
struct Reason {
    line: u32,
    text: String,
}

#[derive(Debug, Serialize)]
struct Step {
    line: u32,
    by_s: f64,
}

#[derive(Debug, Serialize)]
struct Hole {
    after_line: u32,
    before_line: u32,
    length_s: f64,
    about_an_hour: bool,
}

#[derive(Debug, Serialize)]
struct Channel {
    name: String,
    /// Unit in the file; `null` for what names none.
    unit: Option<String>,
    temperature: bool,
    least_c: Option<f64>,
    greatest_c: Option<f64>,
    above: Vec<Above>,
}

#[derive(Debug, Serialize)]
struct Above {
    above_c: f64,
    time_s: f64,
    not_known_s: f64,
    first_s: Option<f64>,
    last_s: Option<f64>,
}

impl Read {
    /// From a log, the times above by channel, and its holes.
    pub(crate) fn of(log: &Log, held: &[Vec<Held>], gaps: &[Gap]) -> Self {
        let lengths = gaps.iter().map(|gap| number(gap.length.to_s()));
        Self {
            rows: log.rows(),
            lines: log.lines,
            encoding: log.encoding.name(),
            delimiter: log.delimiter.word(),
            decimal: log.decimal.word(),
            dates: log.dates.map(|order| order.word()),
            start: log.start_ms.map(wall),
            length_s: number(log.length().to_s()),
            interval_s: number(log.interval().to_s()),
            fates: log.fates.iter().map(lines).collect(),
            unreadable: log
                .reasons
                .iter()
                .map(|(line, reason)| Reason {
                    line: *line,
                    text: reason.text(),
                })
                .collect(),
            faults: log.faults.clone(),
            clock_steps: log
                .clock_steps
                .iter()
                .map(|step| Step {
                    line: step.line,
                    by_s: number(step.by_ms as f64 / 1000.0),
                })
                .collect(),
            hole_from_s: number(log.hole_from().to_s()),
            longest_hole_s: lengths.reduce(f64::max),
            holes: gaps
                .iter()
                .map(|gap| Hole {
                    after_line: gap.after_line,
                    before_line: gap.before_line,
                    length_s: number(gap.length.to_s()),
                    about_an_hour: gap.about_an_hour,
                })
                .collect(),
            channels: held
                .iter()
                .enumerate()
                .map(|(index, held)| channel(log, index, held))
                .collect(),
            columns_left_out: log.left_out.clone(),
            findings: super::diag::findings(&log.notes, &crate::answer::Texts::default()),
        }
    }
}

fn lines((fate, lines): &(Fate, casewright_job::log::Lines)) -> (&'static str, Lines) {
    (
        fate.word(),
        Lines {
            lines: lines.count,
            ranges: lines.ranges.clone(),
        },
    )
}

fn channel(log: &Log, index: usize, held: &[Held]) -> Channel {
    let channel = &log.channels[index];
    let ends = channel.unit.zip(log.extremes(index));
    let (least_c, greatest_c) = match ends {
        Some((unit, ((least, _), (greatest, _)))) => (
            Some(number(unit.temperature(least).to_c())),
            Some(number(unit.temperature(greatest).to_c())),
        ),
        None => (None, None),
    };
    Channel {
        name: channel.name.clone(),
        unit: channel
            .unit
            .map(|unit| unit.symbol().to_owned())
            .or_else(|| channel.other_unit.clone()),
        temperature: channel.unit.is_some(),
        least_c,
        greatest_c,
        above: held
            .iter()
            .map(|held| Above {
                above_c: number(held.above.to_c()),
                time_s: number(held.time.to_s()),
                not_known_s: number(held.not_known.to_s()),
                first_s: held.first.map(|span| number(span.to_s())),
                last_s: held.last.map(|span| number(span.to_s())),
            })
            .collect(),
    }
}

/// A wall clock without a zone, as in `2026-11-25T10:00:00`.
pub(crate) fn wall(ms: i64) -> String {
    let text = casewright_records::Stamp::utc(ms * 1000).utc_text();
    text.get(..19).unwrap_or(&text).to_owned()
}
