//! Walks over all lines: each becomes a row or is counted for what else it is. The clock must go
//! forward; where it does not, the row is a stray, a double, or the clock was put back.

use casewright_terms::Diag;

use super::cell::{self, Cell, Decimal, LogUnit};
use super::layout::{Layout, TimeAt};
use super::moment::{self, DAY_MS, DateOrder, RawDate};
use super::settle::Settled;
use super::text;
use super::{Answers, ClockStep, Fate, Reason};

/// A spreadsheet's day 0 is this many days before 1970-01-01.
const SERIAL_AT_1970: f64 = 25_569.0;
/// A drop by more than half a day on a clock without a date is midnight.
const MIDNIGHT_MS: i64 = DAY_MS / 2;
/// A jump ahead by so many usual intervals that is taken back by the next row is a stray.
const STRAY_INTERVALS: i64 = 20;
/// A zero between readings above this is a broken couple and no winter night: no furnace falls to
/// the ice point between two rows.
const ZERO_BETWEEN_C: f64 = 60.0;

/// What the walk gives.
pub(super) struct Walked {
    pub(super) fates: Vec<Fate>,
    pub(super) reasons: Vec<(u32, Reason)>,
    pub(super) times_ms: Vec<i64>,
    pub(super) lines: Vec<u32>,
    /// By column, then by row.
    pub(super) values: Vec<Vec<Option<f64>>>,
    pub(super) faults: std::collections::BTreeMap<String, u64>,
    pub(super) steps: Vec<ClockStep>,
    pub(super) dated: bool,
}

/// How many reasons are kept with their lines; all are counted.
const REASONS_KEPT: usize = 200;

struct Walk<'a> {
    layout: &'a Layout,
    settled: &'a Settled,
    out: Walked,
    last_date: Option<(RawDate, Option<i64>)>,
    /// Days added at midnight, where rows have no date.
    midnights: i64,
    /// Added to every time since the clock was put back.
    shift_ms: i64,
    typical_ms: i64,
    pending: Option<Row>,
    /// Time and readings of the line that was looked at last.
    looked: (i64, Vec<Option<f64>>),
}

struct Row {
    line: u32,
    /// As the clock showed it, without the shift.
    ms: i64,
    values: Vec<Option<f64>>,
    fate: Fate,
}

/// Reads all rows.
pub(super) fn walk(
    text: &str,
    layout: &Layout,
    settled: &Settled,
    answers: &Answers,
) -> Result<Walked, Diag> {
    let mut walk = Walk {
        layout,
        settled,
        out: Walked {
            fates: Vec::new(),
            reasons: Vec::new(),
            times_ms: Vec::new(),
            lines: Vec::new(),
            values: vec![Vec::new(); layout.columns.len()],
            faults: std::collections::BTreeMap::new(),
            steps: Vec::new(),
            dated: matches!(
                layout.time,
                TimeAt::Stamp(_)
                    | TimeAt::DateClock { .. }
                    | TimeAt::Epoch { .. }
                    | TimeAt::Serial(_)
            ),
        },
        last_date: None,
        midnights: 0,
        shift_ms: 0,
        typical_ms: 0,
        pending: None,
        looked: (0, Vec::new()),
    };
    walk.typical_ms = walk.typical(text);
    let mut fields = Vec::new();
    let mut last_whole: Option<usize> = None;
    for (index, (line, ended)) in text::lines(text).enumerate() {
        let number = index as u32 + 1;
        let fate = walk.fate(number, line, &mut fields);
        // A last line without an end may have lost digits, and 92 is as good a number as 927.
        let cut = !ended && fate.is_row() && last_whole != Some(decimals(&fields));
        let fate = if cut {
            walk.unreadable(number, Reason::Cut)
        } else {
            fate
        };
        if fate.is_row() {
            last_whole = Some(decimals(&fields)).filter(|count| *count > 0);
        }
        walk.out.fates.push(fate);
        if !fate.is_row() {
            continue;
        }
        let row = Row {
            line: number,
            ms: walk.looked.0,
            values: walk.looked.1.clone(),
            fate,
        };
        walk.place(row);
    }
    if let Some(stray) = walk.pending.take() {
        walk.mark(stray.line, Fate::OutOfOrder);
    }
    match walk.out.steps.first() {
        Some(step) if !answers.clock_put_back => Err(put_back(step, walk.out.steps.len())),
        _ => Ok(walk.out),
    }
}

/// Digits behind the decimal mark of a row's last field; 0 where it has none.
fn decimals(fields: &[&str]) -> usize {
    let Some(last) = fields.last() else { return 0 };
    let digits = last.bytes().rev().take_while(u8::is_ascii_digit).count();
    let before = last.len() - digits;
    if before > 0 && matches!(last.as_bytes()[before - 1], b'.' | b',') {
        digits
    } else {
        0
    }
}

fn put_back(step: &ClockStep, count: usize) -> Diag {
    let hours = step.by_ms as f64 / 3_600_000.0;
    let likely = if (step.by_ms - 3_600_000).abs() < 120_000 {
        " It is about one hour, as at the end of summer time."
    } else if (step.by_ms - 12 * 3_600_000).abs() < 600_000 {
        " It is about twelve hours, as on a clock that shows no AM and PM."
    } else {
        ""
    };
    Diag::stop(
        "log-clock-back",
        format!(
            "From line {} on the clock is {hours:.2} h behind the rows before it{}.{likely}",
            step.line,
            if count > 1 {
                format!(", and it falls back {count} times in all")
            } else {
                String::new()
            }
        ),
    )
    .why("Read as it stands, hours of the soak would be counted twice or not at all.")
    .accepted(
        "If the clock was put back while the furnace went on: --clock put-back counts on from the \
         row before. Else export the log again.",
    )
}

impl Walk<'_> {
    /// The usual step between rows, from the first ones.
    fn typical(&mut self, text: &str) -> i64 {
        let mut steps = Vec::new();
        let mut fields = Vec::new();
        let mut last: Option<i64> = None;
        for (line, _) in text::lines(text).skip(self.layout.head_lines).take(300) {
            text::split(line, self.layout.delimiter, &mut fields);
            let Some(now) = self.time(&fields) else {
                continue;
            };
            if let Some(before) = last
                && now > before
            {
                steps.push(now - before);
            }
            last = Some(now);
        }
        self.last_date = None;
        steps.sort_unstable();
        steps.get(steps.len() / 2).copied().unwrap_or(60_000)
    }

    fn unreadable(&mut self, line: u32, reason: Reason) -> Fate {
        if self.out.reasons.len() < REASONS_KEPT {
            self.out.reasons.push((line, reason));
        }
        Fate::Unreadable
    }

    /// What a line is by itself. Leaves its fields.
    fn fate<'t>(&mut self, number: u32, line: &'t str, fields: &mut Vec<&'t str>) -> Fate {
        fields.clear();
        if (number as usize) <= self.layout.head_lines {
            return Fate::Head;
        }
        let bare = line.trim();
        if bare.is_empty() || bare.starts_with('#') || bare.starts_with("//") {
            return Fate::Remark;
        }
        if self.layout.names.as_deref() == Some(bare) {
            return Fate::Head;
        }
        if line.contains('\0') {
            return self.unreadable(number, Reason::ControlMarks);
        }
        text::split(line, self.layout.delimiter, fields);
        // A delimiter too many at the end holds nothing.
        while fields.len() > self.layout.fields && fields.last() == Some(&"") {
            fields.pop();
        }
        self.looked.1.clear();
        let Some(ms) = self.time(fields) else {
            if !bare.bytes().any(|byte| byte.is_ascii_digit()) {
                return Fate::Remark;
            }
            return self.unreadable(number, Reason::NoTime);
        };
        self.looked.0 = ms;
        if fields.len() != self.layout.fields {
            let reason = if fields.len() < self.layout.fields {
                Reason::TooFewFields
            } else {
                Reason::TooManyFields
            };
            return self.unreadable(number, reason);
        }
        let mut fault = false;
        for index in 0..self.layout.columns.len() {
            match self.cell(fields, index) {
                Cell::Number(value, _) => self.looked.1.push(Some(value)),
                Cell::Fault => {
                    fault = true;
                    self.looked.1.push(None);
                    let at = self.layout.columns[index].at;
                    let word: String = fields[at].chars().take(24).collect();
                    let word = if word.is_empty() {
                        "(empty)".to_owned()
                    } else {
                        word
                    };
                    *self.out.faults.entry(word).or_default() += 1;
                }
                Cell::Other => {
                    let column = self.layout.columns[index].name.clone();
                    return self.unreadable(number, Reason::NotANumber { column });
                }
            }
        }
        if fault { Fate::Fault } else { Fate::Read }
    }

    /// A cell, with numbers that mark a fault told as one.
    fn cell(&self, fields: &[&str], index: usize) -> Cell {
        let column = &self.layout.columns[index];
        let unit = self.settled.units[index];
        let read = if self.settled.glued {
            let (whole, fraction) = (fields[column.at], fields[column.at + 1]);
            let digits = !fraction.is_empty() && fraction.bytes().all(|b| b.is_ascii_digit());
            match cell::number(&format!("{whole}.{fraction}"), Decimal::Point) {
                Some(value) if digits => Cell::Number(value, None),
                _ => Cell::Other,
            }
        } else {
            cell::read(fields[column.at], self.settled.decimal)
        };
        match (read, unit) {
            (Cell::Number(_, Some(said)), Some(_)) if column.unit.is_some_and(|u| u != said) => {
                // Another unit than the rest of the column.
                Cell::Other
            }
            (Cell::Number(value, _), Some(unit)) if cell::fault_number(value, unit) => Cell::Fault,
            (Cell::Number(value, _), Some(unit)) if self.lone_zero(index, value, unit) => {
                Cell::Fault
            }
            (read, _) => read,
        }
    }

    /// A zero right behind a hot reading.
    fn lone_zero(&self, index: usize, value: f64, unit: LogUnit) -> bool {
        value == 0.0
            && self.out.values[index]
                .iter()
                .rev()
                .find_map(|value| *value)
                .is_some_and(|before| unit.temperature(before).to_c() > ZERO_BETWEEN_C)
    }

    /// The time of a row in milliseconds; since 1970 where it has a date.
    fn time(&mut self, fields: &[&str]) -> Option<i64> {
        match self.layout.time {
            TimeAt::Stamp(at) => {
                let (raw, clock) = moment::date_and_clock(fields.get(at)?)?;
                self.dated(raw, clock)
            }
            TimeAt::DateClock { date, clock, half } => {
                let (raw, rest) = moment::date(fields.get(date)?)?;
                let clock = clock_of(fields, clock, half)?;
                rest.trim().is_empty().then_some(())?;
                self.dated(raw, clock)
            }
            TimeAt::Clock { clock, half } => clock_of(fields, clock, half).map(|clock| clock.ms),
            TimeAt::Epoch { at, in_ms } => {
                let value = self.count(fields.get(at)?)?;
                let ms = if in_ms { value } else { value * 1000.0 };
                (0.0..4.2e12).contains(&ms).then(|| ms.round() as i64)
            }
            TimeAt::Serial(at) => {
                let days = self.count(fields.get(at)?)? - SERIAL_AT_1970;
                // A spreadsheet's double holds a day to better than a millisecond.
                (0.0..50_000.0)
                    .contains(&days)
                    .then(|| (days * DAY_MS as f64).round() as i64)
            }
            TimeAt::Elapsed { at, unit_ms } => {
                let value = self.count(fields.get(at)?)? * f64::from(unit_ms);
                (0.0..1e12).contains(&value).then(|| value.round() as i64)
            }
        }
    }

    fn count(&self, field: &str) -> Option<f64> {
        cell::number(field, self.settled.decimal).or_else(|| cell::number(field, Decimal::Point))
    }

    fn dated(&mut self, raw: RawDate, clock: moment::Clock) -> Option<i64> {
        if self.last_date.is_none_or(|(known, _)| known != raw) {
            let order = self.settled.order.unwrap_or(DateOrder::YearFirst);
            self.last_date = Some((raw, raw.days(order)));
        }
        let days = self.last_date.and_then(|(_, days)| days)?;
        // Past 24:00 it is no time of a day.
        (clock.ms <= DAY_MS).then_some(())?;
        let ahead = i64::from(clock.offset_min.unwrap_or(0)) * 60_000;
        Some(days * DAY_MS + clock.ms - ahead)
    }

    fn mark(&mut self, line: u32, fate: Fate) {
        self.out.fates[line as usize - 1] = fate;
    }

    /// Puts a row in its place in time.
    fn place(&mut self, mut row: Row) {
        row.ms += self.midnights * DAY_MS;
        let Some(&last) = self.out.times_ms.last() else {
            self.push(row);
            return;
        };
        let mut ms = row.ms + self.shift_ms;
        let clock_only = matches!(self.layout.time, TimeAt::Clock { .. });
        if clock_only && last - ms > MIDNIGHT_MS {
            self.midnights += 1;
            row.ms += DAY_MS;
            ms += DAY_MS;
        }
        if ms > last {
            if let Some(stray) = self.pending.take() {
                self.mark(stray.line, Fate::OutOfOrder);
            }
            self.push(row);
        } else if ms == last || self.is_double(ms, &row) {
            // Told twice, or faster than the clock shows.
            self.mark(row.line, Fate::Duplicate);
        } else if self.last_was_ahead(ms) {
            self.drop_last();
            self.push(row);
        } else if self.fills_a_hole(ms) {
            self.mark(row.line, Fate::OutOfOrder);
        } else if let Some(first) = self.pending.take() {
            // Two rows behind: the clock itself is. Counting goes on from the last row.
            let by_ms = last + self.typical_ms - (first.ms + self.shift_ms);
            self.out.steps.push(ClockStep {
                line: first.line,
                by_ms,
            });
            self.shift_ms += by_ms;
            self.push(first);
            self.place_again(row);
        } else {
            self.pending = Some(row);
        }
    }

    /// The row behind the one at which the clock was put back.
    fn place_again(&mut self, row: Row) {
        let ms = row.ms + self.shift_ms;
        if self.out.times_ms.last().is_none_or(|last| ms > *last) {
            self.push(row);
        } else {
            self.pending = Some(row);
        }
    }

    fn push(&mut self, row: Row) {
        self.out.times_ms.push(row.ms + self.shift_ms);
        self.out.lines.push(row.line);
        for (column, value) in self.out.values.iter_mut().zip(row.values) {
            column.push(value);
        }
        debug_assert!(row.fate.is_row());
    }

    fn is_double(&self, ms: i64, row: &Row) -> bool {
        self.out.times_ms.binary_search(&ms).is_ok_and(|at| {
            self.out
                .values
                .iter()
                .zip(&row.values)
                .all(|(column, value)| column[at] == *value)
        })
    }

    /// Whether the row before this one had jumped far ahead, and this one goes on from the one
    /// before that.
    fn last_was_ahead(&self, ms: i64) -> bool {
        let [.., before, last] = self.out.times_ms[..] else {
            return false;
        };
        last - before > STRAY_INTERVALS * self.typical_ms
            && ms > before
            && ms - before <= 5 * self.typical_ms
    }

    fn drop_last(&mut self) {
        self.out.times_ms.pop();
        for column in &mut self.out.values {
            column.pop();
        }
        if let Some(line) = self.out.lines.pop() {
            self.mark(line, Fate::OutOfOrder);
        }
    }

    /// Whether a row is missing where this one belongs.
    fn fills_a_hole(&self, ms: i64) -> bool {
        let Err(at) = self.out.times_ms.binary_search(&ms) else {
            return false;
        };
        let Some(before) = at.checked_sub(1).map(|at| self.out.times_ms[at]) else {
            return false;
        };
        // Between these two at least one usual row is missing.
        2 * (self.out.times_ms[at] - before) > 3 * self.typical_ms
    }
}

fn clock_of(fields: &[&str], at: usize, half: Option<usize>) -> Option<moment::Clock> {
    let field = fields.get(at)?;
    match half {
        None => moment::clock(field),
        Some(half) => moment::clock(&format!("{field} {}", fields.get(half)?)),
    }
}
