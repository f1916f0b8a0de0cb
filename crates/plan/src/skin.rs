//! The stress in the skin as the plan tells it: its sign, how far that can be trusted, and why.
//!
//! Physics judges the sign; here it is held against the spread of the ensemble. No number in MPa.

use casewright_physics::run::{StressSign, SurfaceStress};
use casewright_terms::{Band, Span};

/// The kinetics are good to a factor of two: an order of changes that stands by less is not sure.
/// [kinetics-refit]
const ORDER_DOUBT: f64 = 2.0;

/// How far a sign can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trust {
    /// Order and swelling agree, and neither turns within its doubt.
    Sure,
    /// They agree for the plan itself; within the doubts one of them may not.
    Likely,
    /// They disagree, or there is too little of either.
    Open,
}

/// Stress in the skin after quench and temper.
#[derive(Clone, Debug, PartialEq)]
pub struct SkinStress {
    /// Its sign.
    pub sign: StressSign,
    /// How far that can be trusted.
    pub trust: Trust,
    /// Why, in words.
    pub reason: String,
    /// When half of the skin's austenite was gone, from the start of the quench.
    pub skin_changes_at: Option<Span>,
    /// The same in the middle.
    pub core_changes_at: Option<Span>,
    /// Linear free strain of the skin less the section's mean, with its band.
    pub strain_mismatch: Band<f64>,
}

/// Holds the judgement of the plan's own run against the spread.
#[must_use]
pub fn judge(stress: &SurfaceStress, mismatch: Band<f64>) -> SkinStress {
    let least = SurfaceStress::LEAST_STRAIN;
    // Where one of the two never gets half way there is no order to turn.
    let order_stands = stress
        .order()
        .is_none_or(|order| order.max(1.0 / order) >= ORDER_DOUBT);
    let strain_stands = match stress.sign {
        StressSign::Compression => mismatch.low >= least,
        StressSign::Tension => mismatch.high <= -least,
        StressSign::Unsure => false,
    };
    let trust = match stress.sign {
        StressSign::Unsure => Trust::Open,
        // A skin that shrinks is torn in whatever order things change.
        StressSign::Tension if strain_stands => Trust::Sure,
        _ if strain_stands && order_stands => Trust::Sure,
        _ => Trust::Likely,
    };
    SkinStress {
        sign: stress.sign,
        trust,
        reason: stress.reason(),
        skin_changes_at: stress.surface_changes_at,
        core_changes_at: stress.core_changes_at,
        strain_mismatch: mismatch,
    }
}

impl SkinStress {
    /// Sign and trust in a few words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match (self.sign, self.trust) {
            (StressSign::Compression, Trust::Sure) => "compressive",
            (StressSign::Compression, _) => "compressive, likely",
            (StressSign::Tension, Trust::Sure) => "tensile",
            (StressSign::Tension, _) => "tensile, likely",
            (StressSign::Unsure, _) => "open",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stress(sign: StressSign, times: [f64; 2], strain: f64) -> SurfaceStress {
        SurfaceStress {
            sign,
            surface_changes_at: Some(Span::from_s(times[0])),
            core_changes_at: Some(Span::from_s(times[1])),
            strain_mismatch: strain,
        }
    }

    #[test]
    fn a_sign_is_sure_where_order_and_swelling_stand_in_their_doubts() {
        let band = |low: f64, mid: f64, high: f64| Band { low, mid, high };
        let pressed = |times| stress(StressSign::Compression, times, 2e-3);
        let firm = band(1e-3, 2e-3, 3e-3);
        assert_eq!(judge(&pressed([9.0, 3.0]), firm).trust, Trust::Sure);
        // Half as long again is within a factor of two of nothing.
        assert_eq!(judge(&pressed([4.5, 3.0]), firm).trust, Trust::Likely);
        let wide = band(-1e-4, 2e-3, 3e-3);
        assert_eq!(judge(&pressed([9.0, 3.0]), wide).trust, Trust::Likely);
        let torn = stress(StressSign::Tension, [3.1, 3.0], -2e-3);
        let all_below = band(-3e-3, -2e-3, -1e-3);
        assert_eq!(judge(&torn, all_below).trust, Trust::Sure);
        let open = stress(StressSign::Unsure, [3.0, 3.0], 0.0);
        assert_eq!(judge(&open, band(-1e-3, 0.0, 1e-3)).trust, Trust::Open);
        assert!(judge(&open, firm).reason.contains("not sure"));
    }
}
