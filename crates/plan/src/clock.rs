//! Wall-clock times: which hours somebody is there, and the earliest time a stretch of work fits.
//!
//! Local times of the shop; a change to or from summer time inside a job is not corrected here.

use casewright_job::shop::Staffed;
use casewright_terms::Span;
use jiff::ToSpan;
use jiff::civil::DateTime;

use crate::outcome::Moment;

/// How far ahead a fitting window is looked for.
const HORIZON_DAYS: i64 = 21;
/// Steps in which start times are tried.
const STEP_MINUTES: i64 = 15;

/// Whether work must be watched all through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Watch {
    /// Somebody is there from begin to end.
    Throughout,
    /// Somebody is there at both ends; the time between may be unattended.
    AtEnds,
    /// Nobody needs to be there.
    Never,
}

/// A clock that may or may not know the wall time.
#[derive(Clone, Debug)]
pub struct Clock {
    start: Option<DateTime>,
    now: Moment,
    staffed: Staffed,
}

/// No window in the next three weeks is long enough.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoWindow;

impl Clock {
    /// A clock at the earliest start of the job.
    #[must_use]
    pub fn new(start: Option<DateTime>, staffed: &Staffed) -> Self {
        let now = Moment {
            after: Span::ZERO,
            clock: start,
        };
        Self {
            start,
            now,
            staffed: *staffed,
        }
    }

    /// The present moment.
    #[must_use]
    pub fn now(&self) -> Moment {
        self.now
    }

    /// Takes the next stretch of work and moves the clock to its end. Where no wall time is known
    /// the work follows at once.
    ///
    /// # Errors
    /// When no window of the next three weeks holds it; the clock then stands where it stood.
    pub fn take(&mut self, duration: Span, watch: Watch) -> Result<(Moment, Moment), NoWindow> {
        self.take_ending(&[duration], watch)
    }

    /// The same for work whose end is not sure: somebody must be there at each of its possible
    /// ends. The clock moves to the first of them, the planned one.
    ///
    /// # Errors
    /// As [`Self::take`].
    ///
    /// # Panics
    /// When no end is given.
    pub fn take_ending(
        &mut self,
        ends: &[Span],
        watch: Watch,
    ) -> Result<(Moment, Moment), NoWindow> {
        let begins = match self.now.clock {
            None => self.now,
            Some(at) => {
                let begin = self.earliest(at, ends, watch).ok_or(NoWindow)?;
                self.moment_at(begin)
            }
        };
        let ends = self.later(begins, ends[0]);
        self.now = ends;
        Ok((begins, ends))
    }

    /// A moment some time after another.
    #[must_use]
    pub fn later(&self, from: Moment, by: Span) -> Moment {
        later(from, by)
    }

    fn moment_at(&self, at: DateTime) -> Moment {
        let start = self.start.unwrap_or(at);
        Moment {
            after: Span::from_min(minutes_between(start, at) as f64),
            clock: Some(at),
        }
    }

    fn earliest(&self, from: DateTime, ends: &[Span], watch: Watch) -> Option<DateTime> {
        if watch == Watch::Never {
            return Some(from);
        }
        let minutes: Vec<i64> = ends.iter().map(|end| end.to_min().ceil() as i64).collect();
        let steps = HORIZON_DAYS * 24 * 60 / STEP_MINUTES;
        // The first try is the moment itself; the next ones stand on the quarter hour.
        let past_quarter = i64::from(from.minute()) % STEP_MINUTES;
        let first_quarter = add_minutes(from, (STEP_MINUTES - past_quarter) % STEP_MINUTES);
        std::iter::once(from)
            .chain((0..steps).map(|step| add_minutes(first_quarter, step * STEP_MINUTES)))
            .find(|begin| {
                minutes.iter().all(|minutes| {
                    let end = add_minutes(*begin, *minutes);
                    match watch {
                        Watch::Throughout => self.within_one_window(*begin, end),
                        Watch::AtEnds => self.staffed_at(*begin) && self.staffed_at(end),
                        Watch::Never => true,
                    }
                })
            })
    }

    fn window(&self, at: DateTime) -> Option<(u16, u16)> {
        self.staffed.by_weekday[(at.weekday().to_monday_zero_offset()) as usize]
    }

    fn staffed_at(&self, at: DateTime) -> bool {
        let minute = minute_of_day(at);
        self.window(at)
            .is_some_and(|(opens, closes)| minute >= opens && minute <= closes)
    }

    fn within_one_window(&self, begin: DateTime, end: DateTime) -> bool {
        begin.date() == end.date() && self.staffed_at(begin) && self.staffed_at(end)
    }

    /// The longest stretch in which somebody is there, on any weekday.
    #[must_use]
    pub fn longest_window(staffed: &Staffed) -> Span {
        let longest = staffed
            .by_weekday
            .iter()
            .flatten()
            .map(|(opens, closes)| closes - opens)
            .max();
        Span::from_min(f64::from(longest.unwrap_or(0)))
    }
}

/// A moment some time after another.
#[must_use]
pub fn later(from: Moment, by: Span) -> Moment {
    Moment {
        after: from.after + by,
        clock: from
            .clock
            .map(|at| add_minutes(at, by.to_min().round() as i64)),
    }
}

/// Whether somebody is there at a moment; `None` where no clock is known.
pub(crate) fn staffed(hours: &Staffed, at: Moment) -> Option<bool> {
    let clock = Clock::new(None, hours);
    at.clock.map(|at| clock.staffed_at(at))
}

fn minute_of_day(at: DateTime) -> u16 {
    at.hour() as u16 * 60 + at.minute() as u16
}

/// Adds minutes; at the end of the calendar it stays where it is, far from any real job.
fn add_minutes(at: DateTime, minutes: i64) -> DateTime {
    at.checked_add(minutes.minutes()).unwrap_or(at)
}

fn minutes_between(from: DateTime, to: DateTime) -> i64 {
    from.duration_until(to).as_secs() / 60
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn weekdays() -> Staffed {
        let day = Some((7 * 60, 21 * 60 + 30));
        Staffed {
            by_weekday: [day, day, day, day, day, None, None],
        }
    }

    #[test]
    fn a_long_soak_waits_for_the_morning() {
        // Monday 30 November 2026, 15:10.
        let mut clock = Clock::new(Some(date(2026, 11, 30).at(15, 10, 0, 0)), &weekdays());
        let (begins, ends) = clock.take(Span::from_h(11.0), Watch::Throughout).unwrap();
        assert_eq!(begins.clock.unwrap(), date(2026, 12, 1).at(7, 0, 0, 0));
        assert_eq!(ends.clock.unwrap(), date(2026, 12, 1).at(18, 0, 0, 0));
        assert!((begins.after.to_h() - 15.833_333).abs() < 1e-3);
    }

    #[test]
    fn nothing_begins_on_a_weekend() {
        let mut clock = Clock::new(Some(date(2026, 12, 4).at(21, 0, 0, 0)), &weekdays());
        let (begins, _) = clock.take(Span::from_h(1.0), Watch::Throughout).unwrap();
        assert_eq!(begins.clock.unwrap(), date(2026, 12, 7).at(7, 0, 0, 0));
    }

    #[test]
    fn a_soak_longer_than_any_window_is_refused_unless_unattended() {
        let mut clock = Clock::new(Some(date(2026, 11, 30).at(8, 0, 0, 0)), &weekdays());
        assert_eq!(
            clock.take(Span::from_h(15.0), Watch::Throughout),
            Err(NoWindow)
        );
        let (begins, ends) = clock.take(Span::from_h(16.0), Watch::AtEnds).unwrap();
        assert_eq!(begins.clock.unwrap(), date(2026, 11, 30).at(15, 0, 0, 0));
        assert_eq!(ends.clock.unwrap(), date(2026, 12, 1).at(7, 0, 0, 0));
    }

    #[test]
    fn without_a_start_times_are_relative() {
        let mut clock = Clock::new(None, &weekdays());
        clock.take(Span::from_h(40.0), Watch::Throughout).unwrap();
        assert_eq!(clock.now().after, Span::from_h(40.0));
        assert_eq!(clock.now().clock, None);
    }
}
