//! Furnace and logger files: what arrives from a controller's card, a bench logger or a table
//! typed by hand. Every line has one fate, and what can be read in two ways is asked.
//!
//! Judges no heat treatment and computes no depth; the original bytes are kept by whoever keeps
//! records.

mod cell;
mod held;
mod layout;
mod moment;
mod rows;
mod settle;
mod show;
mod text;
mod trace;

use std::collections::BTreeMap;

use casewright_terms::{Diag, Temperature};

pub use cell::{Decimal, LogUnit};
pub use held::{Gap, Held};
pub use moment::DateOrder;
pub use text::{Delimiter, Encoding};
pub use trace::{Hole, Trace};

/// Largest log that is read, in bytes: two million rows with some channels.
pub const LARGEST_LOG_BYTES: usize = 256 << 20;
/// No common couple of these furnaces reads higher in °C, so a column above it is likely °F.
const HIGHEST_C: f64 = 1400.0;

/// What a person answered to questions that the file leaves open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Answers {
    /// Which of the numbers of a date comes first.
    pub dates: Option<DateOrder>,
    /// What marks the decimals.
    pub decimal: Option<Decimal>,
    /// Unit of the temperatures.
    pub unit: Option<LogUnit>,
    /// Whether a clock that falls behind was put back while the furnace went on.
    pub clock_put_back: bool,
}

impl Answers {
    /// Nothing was asked yet.
    pub const NONE: Self = Self {
        dates: None,
        decimal: None,
        unit: None,
        clock_put_back: false,
    };
}

/// What became of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// A row, every reading a number.
    Read,
    /// A row in which at least one reading is the sign of a fault; the others are used.
    Fault,
    /// Not read, for a reason.
    Unreadable,
    /// A row that came late or is dated by mistake; not used.
    OutOfOrder,
    /// A row for a time that has one; not used.
    Duplicate,
    /// Head of the file, or the same head again.
    Head,
    /// Empty, a remark, or a mark such as Begin and End.
    Remark,
}

impl Fate {
    /// All.
    pub const ALL: [Self; 7] = [
        Self::Read,
        Self::Fault,
        Self::Unreadable,
        Self::OutOfOrder,
        Self::Duplicate,
        Self::Head,
        Self::Remark,
    ];

    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Fault => "fault",
            Self::Unreadable => "unreadable",
            Self::OutOfOrder => "out_of_order",
            Self::Duplicate => "duplicate",
            Self::Head => "head",
            Self::Remark => "remark",
        }
    }

    const fn is_row(self) -> bool {
        matches!(self, Self::Read | Self::Fault)
    }
}

/// Why a line could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// No time where the others have one, or one in no calendar.
    NoTime,
    /// Fewer fields than the other rows.
    TooFewFields,
    /// More fields than the other rows: two lines run together.
    TooManyFields,
    /// Neither number nor fault.
    NotANumber {
        /// In which column.
        column: String,
    },
    /// The last line, which may have lost its end.
    Cut,
    /// Bytes that no text has.
    ControlMarks,
}

impl Reason {
    /// The reason in words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::NoTime => "no time that can be read".to_owned(),
            Self::TooFewFields => "fewer fields than the other rows".to_owned(),
            Self::TooManyFields => "more fields than the other rows".to_owned(),
            Self::NotANumber { column } => format!("no number under {column}"),
            Self::Cut => "the last line has no end and may have lost digits".to_owned(),
            Self::ControlMarks => "bytes that no text has".to_owned(),
        }
    }
}

/// Lines of one fate: how many, and which, as ranges with both ends.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lines {
    /// How many.
    pub count: u64,
    /// Which.
    pub ranges: Vec<(u32, u32)>,
}

/// A place where the clock was put back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockStep {
    /// First line behind it.
    pub line: u32,
    /// By how much the times from there on were moved.
    pub by_ms: i64,
}

/// A column of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Its name in the file.
    pub name: String,
    /// Unit, where it is a temperature.
    pub unit: Option<LogUnit>,
    /// Another unit, where the file names one.
    pub other_unit: Option<String>,
    values: Vec<Option<f64>>,
}

impl Channel {
    /// The number of a row in the channel's own unit.
    #[must_use]
    pub fn value(&self, row: usize) -> Option<f64> {
        self.values.get(row).copied().flatten()
    }

    /// The temperature of a row.
    #[must_use]
    pub fn temperature(&self, row: usize) -> Option<Temperature> {
        Some(self.unit?.temperature(self.value(row)?))
    }
}

/// A log, read.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// How the bytes were read.
    pub encoding: Encoding,
    /// What stands between fields.
    pub delimiter: Delimiter,
    /// What marks the decimals.
    pub decimal: Decimal,
    /// How dates were read, where there are any.
    pub dates: Option<DateOrder>,
    /// Columns of readings.
    pub channels: Vec<Channel>,
    /// Names of columns that hold no readings.
    pub left_out: Vec<String>,
    /// Wall clock of the first row, milliseconds since 1970-01-01 00:00 as the file's clock showed
    /// it; nothing where rows have no date.
    pub start_ms: Option<i64>,
    /// Number of lines in the file.
    pub lines: u64,
    /// Fate of the lines, in the order of [`Fate::ALL`].
    pub fates: Vec<(Fate, Lines)>,
    /// Why lines could not be read, the first two hundred.
    pub reasons: Vec<(u32, Reason)>,
    /// Signs of faults as they stood, with their number.
    pub faults: BTreeMap<String, u64>,
    /// Where the clock was put back.
    pub clock_steps: Vec<ClockStep>,
    /// What was noticed.
    pub notes: Vec<Diag>,
    times_ms: Vec<i64>,
    row_lines: Vec<u32>,
}

impl Log {
    /// Number of rows that are used.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.times_ms.len()
    }

    /// Time of a row since the first.
    ///
    /// # Panics
    /// When there is no such row.
    #[must_use]
    pub fn time(&self, row: usize) -> casewright_terms::Span {
        casewright_terms::Span::from_s(self.times_ms[row] as f64 / 1000.0)
    }

    /// Line of a row in the file.
    ///
    /// # Panics
    /// When there is no such row.
    #[must_use]
    pub fn line(&self, row: usize) -> u32 {
        self.row_lines[row]
    }

    /// How many lines had the fate.
    ///
    /// # Panics
    /// Never: every fate is counted.
    #[must_use]
    pub fn count(&self, fate: Fate) -> u64 {
        self.fates
            .iter()
            .find(|(known, _)| *known == fate)
            .map(|(_, lines)| lines.count)
            .expect("every fate is counted")
    }
}

/// Reads a log.
///
/// # Errors
/// All questions that the file leaves open, or why it is no log.
pub fn read(bytes: &[u8], answers: &Answers) -> Result<Log, Vec<Diag>> {
    if bytes.len() > LARGEST_LOG_BYTES {
        return Err(vec![
            Diag::stop(
                "log-too-large",
                format!(
                    "The file has {} bytes; at most {LARGEST_LOG_BYTES} are read.",
                    bytes.len()
                ),
            )
            .accepted("Split it by days, or let the logger write fewer rows."),
        ]);
    }
    let (text, encoding) = text::decode(bytes).map_err(|diag| vec![diag])?;
    let mut layout = layout::find(&text).map_err(|diag| vec![diag])?;
    if layout.columns.is_empty() {
        return Err(vec![
            Diag::stop("log-no-channel", "No column holds readings.")
                .accepted("Give a log with at least one column of numbers beside the time."),
        ]);
    }
    let settled = settle::settle(&text, &mut layout, answers)?;
    let walked = rows::walk(&text, &layout, &settled, answers).map_err(|diag| vec![diag])?;
    let first = walked.times_ms.first().copied();
    let Some(first) = first else {
        return Err(vec![
            Diag::stop("log-no-rows", "No row could be read.")
                .accepted("Look at the file: each row needs a time and readings."),
        ]);
    };
    let mut notes = settled.notes.clone();
    if encoding == Encoding::Windows1252 {
        notes.push(Diag::note(
            "log-western",
            "The file is not UTF-8 and was read as Windows-1252; digits are the same in both.",
        ));
    }
    let fates = Fate::ALL
        .into_iter()
        .map(|fate| (fate, gathered(&walked.fates, fate)))
        .collect();
    let channels = layout
        .columns
        .iter()
        .zip(&settled.units)
        .zip(walked.values)
        .map(|((column, unit), values)| Channel {
            name: column.name.clone(),
            unit: *unit,
            other_unit: column.other.clone().filter(|unit| !unit.is_empty()),
            values,
        })
        .collect();
    let mut log = Log {
        encoding,
        delimiter: layout.delimiter,
        decimal: settled.decimal,
        dates: settled.order,
        channels,
        left_out: layout.left_out,
        start_ms: walked.dated.then_some(first),
        lines: walked.fates.len() as u64,
        fates,
        reasons: walked.reasons,
        faults: walked.faults,
        clock_steps: walked.steps,
        notes,
        times_ms: walked.times_ms.iter().map(|ms| ms - first).collect(),
        row_lines: walked.lines,
    };
    if settled.glued {
        log.decimal = Decimal::Comma;
    }
    doubtful(&mut log, answers)?;
    Ok(log)
}

fn gathered(fates: &[Fate], wanted: Fate) -> Lines {
    let mut lines = Lines::default();
    for (index, _) in fates
        .iter()
        .enumerate()
        .filter(|(_, fate)| **fate == wanted)
    {
        let line = index as u32 + 1;
        lines.count += 1;
        match lines.ranges.last_mut() {
            Some((_, last)) if *last + 1 == line => *last = line,
            _ => lines.ranges.push((line, line)),
        }
    }
    lines
}

/// Readings that are numbers and cannot be right.
fn doubtful(log: &mut Log, answers: &Answers) -> Result<(), Vec<Diag>> {
    let mut stops = Vec::new();
    for index in 0..log.channels.len() {
        let Some(unit) = log.channels[index].unit else {
            continue;
        };
        let name = log.channels[index].name.clone();
        let Some((_, (most, line))) = log.extremes(index) else {
            log.notes.push(Diag::warn(
                "log-dead-channel",
                format!("{name} has no reading at all."),
            ));
            continue;
        };
        let hot = unit == LogUnit::Celsius && most > HIGHEST_C;
        if hot && answers.unit.is_none() {
            stops.push(
                Diag::stop(
                    "log-unit-doubtful",
                    format!("{name} reaches {most} in line {line}, and the file says °C."),
                )
                .why("No furnace of this kind gets there; in °F it is a common heat.")
                .accepted("Say the unit: --unit F if the head is wrong, --unit C if it is right."),
            );
        }
        for line in spikes(log, index, unit).into_iter().take(5) {
            log.notes.push(
                Diag::warn(
                    "log-spike",
                    format!("{name} leaps in line {line} and is back at once."),
                )
                .why("A furnace cannot do that; a loose lead can."),
            );
        }
        if let Some((from, to)) = frozen(log, index, unit) {
            log.notes.push(
                Diag::warn(
                    "log-frozen",
                    format!("{name} does not move from line {from} to line {to} while another channel does."),
                )
                .why("A couple that is off or an input that hangs looks like a perfect soak."),
            );
        }
    }
    if stops.is_empty() { Ok(()) } else { Err(stops) }
}

/// A single reading this far from both its neighbours, which agree, is no heat.
const SPIKE_K: f64 = 50.0;

fn spikes(log: &Log, channel: usize, unit: LogUnit) -> Vec<u32> {
    let kelvin = |row: usize| {
        log.channels[channel]
            .value(row)
            .map(|value| unit.temperature(value).to_k())
    };
    (1..log.rows().saturating_sub(1))
        .filter(|row| {
            let (Some(before), Some(now), Some(after)) =
                (kelvin(row - 1), kelvin(*row), kelvin(row + 1))
            else {
                return false;
            };
            (now - before).abs() > SPIKE_K
                && (now - after).abs() > SPIKE_K
                && (before - after).abs() < SPIKE_K / 5.0
                && log.times_ms[row + 1] - log.times_ms[row - 1] < 600_000
        })
        .map(|row| log.row_lines[row])
        .collect()
}

/// Still for this long, while another channel moves, is suspicious [trade-practice].
const FROZEN_MS: i64 = 20 * 60_000;
/// Still means within this of itself.
const FROZEN_K: f64 = 0.1;
/// Moving means by more than this.
const MOVING_K: f64 = 20.0;

fn frozen(log: &Log, channel: usize, unit: LogUnit) -> Option<(u32, u32)> {
    let own = &log.channels[channel];
    let mut start = 0;
    for row in 0..=log.rows() {
        let still = row < log.rows()
            && match (own.value(start), own.value(row)) {
                (Some(a), Some(b)) => {
                    (unit.temperature(a).to_k() - unit.temperature(b).to_k()).abs() < FROZEN_K
                }
                _ => false,
            };
        if still {
            continue;
        }
        let end = row.saturating_sub(1);
        if end > start
            && log.times_ms[end] - log.times_ms[start] >= FROZEN_MS
            && others_move(log, channel, start, end)
        {
            return Some((log.row_lines[start], log.row_lines[end]));
        }
        start = row;
    }
    None
}

fn others_move(log: &Log, channel: usize, from: usize, to: usize) -> bool {
    log.channels.iter().enumerate().any(|(index, other)| {
        let Some(unit) = other.unit.filter(|_| index != channel) else {
            return false;
        };
        let ends = (other.value(from), other.value(to));
        matches!(ends, (Some(a), Some(b))
            if (unit.temperature(a).to_k() - unit.temperature(b).to_k()).abs() > MOVING_K)
    })
}
