//! A moment as the book keeps it: UTC, and what the clock on the wall showed. Reads no clock.

use std::fmt;

use jiff::Timestamp;
use jiff::tz::Offset;
use serde::{Deserialize, Serialize};

/// A moment. The instant is exact; zone and offset say how it was read off the wall, so that an
/// hour that came twice can still be told apart.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stamp {
    /// Microseconds since 1970-01-01 00:00 UTC.
    pub utc_us: i64,
    /// Minutes the wall clock was ahead of UTC.
    pub offset_min: i16,
    /// Name of the zone, as in `America/New_York`; `UTC` where none is known.
    pub zone: String,
}

impl Stamp {
    /// A moment in UTC.
    #[must_use]
    pub fn utc(utc_us: i64) -> Self {
        Self {
            utc_us,
            offset_min: 0,
            zone: "UTC".to_owned(),
        }
    }

    /// Whether the instant and the offset are such that a calendar can show them.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.wall().is_some()
    }

    fn wall(&self) -> Option<jiff::civil::DateTime> {
        let instant = Timestamp::from_microsecond(self.utc_us).ok()?;
        let offset = Offset::from_seconds(i32::from(self.offset_min) * 60).ok()?;
        Some(offset.to_datetime(instant))
    }

    /// The instant in UTC, as in `2026-11-25T17:30:00.000000Z`.
    #[must_use]
    pub fn utc_text(&self) -> String {
        Timestamp::from_microsecond(self.utc_us)
            .map_or_else(|_| format!("{} us", self.utc_us), |at| format!("{at:.6}"))
    }
}

impl fmt::Display for Stamp {
    /// The wall clock with its offset, as in `2026-11-25 12:30:00 -05:00`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(wall) = self.wall() else {
            return write!(f, "{} us", self.utc_us);
        };
        let sign = if self.offset_min < 0 { '-' } else { '+' };
        let minutes = self.offset_min.unsigned_abs();
        write!(
            f,
            "{} {:02}:{:02}:{:02} {sign}{:02}:{:02}",
            wall.date(),
            wall.hour(),
            wall.minute(),
            wall.second(),
            minutes / 60,
            minutes % 60
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wall_and_the_instant_are_both_told() {
        let stamp = Stamp {
            utc_us: 1_795_627_800_000_000,
            offset_min: -300,
            zone: "America/New_York".to_owned(),
        };
        assert_eq!(stamp.utc_text(), "2026-11-25T17:30:00.000000Z");
        assert_eq!(stamp.to_string(), "2026-11-25 12:30:00 -05:00");
        assert!(!Stamp::utc(i64::MAX).is_plain());
    }
}
