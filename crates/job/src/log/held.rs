//! What a log shows about heat: holes between rows, time above a temperature. What lies in a hole
//! is not known and is counted as that. Judges no soak.

use casewright_terms::{Span, Temperature};

use super::Log;

/// A hole is longer than this many usual steps...
const HOLE_STEPS: i64 = 3;
/// ...and than this, so that a log at one row a second is not full of holes [trade-practice].
const HOLE_LEAST_MS: i64 = 60_000;

/// A stretch without rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Line of the row before it.
    pub after_line: u32,
    /// Line of the row behind it.
    pub before_line: u32,
    /// How long.
    pub length: Span,
    /// Whether it is about an hour, as where a clock was put forward: then there may be no hole.
    pub about_an_hour: bool,
}

/// How long a channel was above a temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// The temperature.
    pub above: Temperature,
    /// Time surely above, straight lines between rows.
    pub time: Span,
    /// Time in which the channel had no reading.
    pub not_known: Span,
    /// When it first came above, from the first row.
    pub first: Option<Span>,
    /// When it was last above, from the first row.
    pub last: Option<Span>,
}

impl Log {
    /// From the first row to the last.
    #[must_use]
    pub fn length(&self) -> Span {
        self.times_ms
            .last()
            .map_or(Span::ZERO, |last| seconds(*last))
    }

    /// The usual step between rows; zero for a single row.
    #[must_use]
    pub fn interval(&self) -> Span {
        seconds(self.median_ms())
    }

    fn median_ms(&self) -> i64 {
        let mut steps: Vec<i64> = self
            .times_ms
            .windows(2)
            .map(|pair| pair[1] - pair[0])
            .collect();
        if steps.is_empty() {
            return 0;
        }
        let middle = steps.len() / 2;
        *steps.select_nth_unstable(middle).1
    }

    /// The longest step that is not taken for a hole.
    #[must_use]
    pub fn hole_from(&self) -> Span {
        seconds(self.hole_ms())
    }

    fn hole_ms(&self) -> i64 {
        (HOLE_STEPS * self.median_ms()).max(HOLE_LEAST_MS)
    }

    /// All holes between rows, in order.
    #[must_use]
    pub fn gaps(&self) -> Vec<Gap> {
        let limit = self.hole_ms();
        let median = self.median_ms();
        self.times_ms
            .windows(2)
            .zip(self.row_lines.windows(2))
            .filter(|(pair, _)| pair[1] - pair[0] > limit)
            .map(|(pair, lines)| Gap {
                after_line: lines[0],
                before_line: lines[1],
                length: seconds(pair[1] - pair[0]),
                about_an_hour: (pair[1] - pair[0] - 3_600_000 - median).abs() <= median.max(60_000),
            })
            .collect()
    }

    /// Time above a temperature; `None` for a channel that is no temperature.
    #[must_use]
    pub fn held(&self, channel: usize, above: Temperature) -> Option<Held> {
        let unit = self.channels[channel].unit?;
        let limit = self.hole_ms();
        let level = above.to_k();
        let (mut time_ms, mut known_ms) = (0.0, 0);
        let (mut first, mut last) = (None, None);
        let mut before: Option<(i64, f64)> = None;
        for (now_ms, value) in self.times_ms.iter().zip(&self.channels[channel].values) {
            let Some(value) = value else { continue };
            let now = (*now_ms, unit.temperature(*value).to_k());
            if let Some(was) = before
                && now.0 - was.0 <= limit
            {
                known_ms += now.0 - was.0;
                if let Some((from, to)) = part_above(was, now, level) {
                    time_ms += to - from;
                    first.get_or_insert(from);
                    last = Some(to);
                }
            }
            before = Some(now);
        }
        let whole = self.times_ms.last().copied().unwrap_or(0);
        let span = |ms: f64| Span::from_s(ms / 1000.0);
        Some(Held {
            above,
            time: span(time_ms),
            not_known: seconds(whole - known_ms),
            first: first.map(span),
            last: last.map(span),
        })
    }

    /// Least and greatest reading of a channel with their lines; `None` where it has none.
    #[must_use]
    pub fn extremes(&self, channel: usize) -> Option<((f64, u32), (f64, u32))> {
        let mut found: Option<((f64, u32), (f64, u32))> = None;
        for (value, line) in self.channels[channel].values.iter().zip(&self.row_lines) {
            let Some(value) = *value else { continue };
            let (least, most) = found.get_or_insert(((value, *line), (value, *line)));
            if value < least.0 {
                *least = (value, *line);
            }
            if value > most.0 {
                *most = (value, *line);
            }
        }
        found
    }
}

fn seconds(ms: i64) -> Span {
    Span::from_s(ms as f64 / 1000.0)
}

/// The part of a straight piece that lies above the level, in milliseconds.
fn part_above(was: (i64, f64), now: (i64, f64), level: f64) -> Option<(f64, f64)> {
    let (from, to) = (was.0 as f64, now.0 as f64);
    let crossing = || from + (to - from) * (level - was.1) / (now.1 - was.1);
    match (was.1 > level, now.1 > level) {
        (true, true) => Some((from, to)),
        (true, false) => Some((from, crossing())),
        (false, true) => Some((crossing(), to)),
        (false, false) => None,
    }
}
