//! The members of a plan's ensemble as far as the note sees them, and the same members moved with the
//! middle run to where a mishap takes it.
//!
//! How a band is carried: a mishap is run once, in the middle of all doubts. Every member's depth is
//! then changed in the ratio by which the middle's changed, and its hardness and austenite by the
//! same difference. What this leaves out is that a doubt may weigh more or less after the mishap
//! than before; `tests/upset.rs` says how far that is. Where the middle run holds no case at all there
//! is no ratio, and no band and no chance is given.

use casewright_terms::{Band, Length, Vickers};

use crate::cloud::Cloud;
use crate::demand::Demand;
use crate::doubt::ninety_band;
use crate::evaluate::{self, Observed};
use crate::predict::column;

/// What is kept of a row.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[expect(missing_docs, reason = "the names say it, unit included")]
pub struct Seen {
    pub case_m: f64,
    pub after_grind_m: f64,
    pub surface_hv: f64,
    pub core_hv: f64,
    pub austenite_pct: f64,
}

impl Seen {
    /// Of a row of `predict::column`.
    pub(crate) fn of(row: &[f64]) -> Self {
        Self {
            case_m: row[column::CASE],
            after_grind_m: row[column::CASE_AFTER_GRIND],
            surface_hv: row[column::SURFACE],
            core_hv: row[column::CORE],
            austenite_pct: row[column::AUSTENITE],
        }
    }

    /// As the note sees it.
    #[must_use]
    pub fn observed(&self) -> Observed {
        Observed {
            depth_made: Some(Length::from_m(self.case_m)),
            depth_after_grind: Some(Length::from_m(self.after_grind_m)),
            surface: Some(Vickers::from_hv(self.surface_hv)),
            core: Some(Vickers::from_hv(self.core_hv)),
        }
    }

    /// Whether the note is met.
    #[must_use]
    pub fn meets(&self, demand: &Demand) -> bool {
        evaluate::evaluate(demand, &self.observed()).meets()
    }
}

/// All of them; empty where the plan has no ensemble.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Members {
    rows: Vec<Seen>,
}

impl Members {
    pub(crate) fn of(cloud: &Cloud) -> Self {
        Self {
            rows: cloud.rows().iter().map(|row| Seen::of(row)).collect(),
        }
    }

    /// The members with the middle moved from one place to another; `None` where either end of the
    /// move holds no case.
    #[must_use]
    pub fn moved(&self, from: &Seen, to: &Seen) -> Option<Self> {
        if from.case_m <= 0.0 || to.case_m <= 0.0 || to.after_grind_m <= 0.0 {
            return None;
        }
        let ratio = to.case_m / from.case_m;
        let rows = self.rows.iter().map(|row| {
            let case_m = row.case_m * ratio;
            // What is ground off is the same for all: it stands between the two depths. A member
            // whose ground surface held no case before does not get one by being moved.
            let after_grind_m = if row.after_grind_m > 0.0 {
                (row.after_grind_m + (case_m - row.case_m)).max(0.0)
            } else {
                0.0
            };
            Seen {
                case_m,
                after_grind_m,
                surface_hv: (row.surface_hv + to.surface_hv - from.surface_hv).max(0.0),
                core_hv: (row.core_hv + to.core_hv - from.core_hv).max(0.0),
                austenite_pct: (row.austenite_pct + to.austenite_pct - from.austenite_pct)
                    .clamp(0.0, 100.0),
            }
        });
        Some(Self {
            rows: rows.collect(),
        })
    }

    /// Share of the members that meets the note; `None` without members.
    #[must_use]
    pub fn chance(&self, demand: &Demand) -> Option<f64> {
        let meeting = self.rows.iter().filter(|row| row.meets(demand)).count();
        (!self.rows.is_empty()).then(|| meeting as f64 / self.rows.len() as f64)
    }

    /// The 90 % band of a value about the middle's own; `None` without members.
    #[must_use]
    pub fn band(&self, mid: f64, value: impl Fn(&Seen) -> f64) -> Option<Band<f64>> {
        let mut values: Vec<f64> = self.rows.iter().map(value).collect();
        let (low, high) = (!values.is_empty()).then(|| ninety_band(&mut values))?;
        // The middle run is one of the plausible ones; it never stands outside its own band.
        Some(Band {
            low: low.min(mid),
            mid,
            high: high.max(mid),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(case_mm: f64, hv: f64) -> Seen {
        Seen {
            case_m: case_mm * 1e-3,
            after_grind_m: (case_mm - 0.1) * 1e-3,
            surface_hv: hv,
            core_hv: 300.0,
            austenite_pct: 10.0,
        }
    }

    #[test]
    fn moving_to_the_same_place_changes_nothing_and_a_lost_case_has_no_band() {
        let members = Members {
            rows: vec![seen(0.9, 700.0), seen(1.1, 720.0)],
        };
        let mid = seen(1.0, 710.0);
        let same = members.moved(&mid, &mid).unwrap();
        assert_eq!(same, members);
        let half = members.moved(&mid, &seen(0.5, 700.0)).unwrap();
        // 0.9 mm by half is 0.45 mm, less the 0.1 mm of the grind; 10 HV softer.
        assert!((half.rows[0].after_grind_m - 0.35e-3).abs() < 1e-12);
        assert!((half.rows[0].surface_hv - 690.0).abs() < 1e-12);
        assert_eq!(members.moved(&mid, &Seen::default()), None);
    }
}
