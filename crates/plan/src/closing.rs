//! A soak that a late pack would carry past closing time. The furnace is not left alone: it goes off
//! at closing whatever the soak has reached, and how often that happens is a chance like any other.

use casewright_physics::numerics::fun;
use casewright_terms::{Band, Diag, Span};

use crate::doubt::Z_95;

/// Share of the packs that may be hot too late for the day to be planned: the other four of five let the
/// soak end in it. [trade-practice]
pub(crate) const MOST_LATE: f64 = 0.2;

/// The standard normal value that four of five lie under.
const Z_MOSTLY: f64 = 0.841_621_233_572_914_3;

/// The band of the time to heat with a late end that only so many packs pass.
pub(crate) fn mostly_by(hot: Band<Span>) -> Band<Span> {
    let wide = fun::ln((hot.high / hot.mid).max(1.0));
    Band {
        high: hot.mid * fun::exp(wide * Z_MOSTLY / Z_95),
        ..hot
    }
}

/// That the soak may have to be broken off.
pub(crate) fn finding(hot: Band<Span>, soak: Span) -> Diag {
    Diag::warn(
        "soak-may-run-late",
        format!(
            "A pack that heats late would carry the soak past closing time: up to {} from loading. Four of five packs are hot in time.",
            (hot.high + soak).text()
        ),
    )
    .why("The furnace is not left alone, so a late pack's soak is cut short and its case is shallower.")
    .accepted("At closing time the furnace goes off whatever the soak has reached; write down the hours soaked, and let the coupon decide whether the parts go on. Or load earlier, or allow an unattended soak where an independent high-limit cut-off is fitted.")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The late end moves towards the middle by the two normal values, and nothing else moves.
    #[test]
    fn the_late_end_is_that_of_four_packs_in_five() {
        let h = Span::from_h;
        let hot = Band {
            low: h(2.0),
            mid: h(3.0),
            high: h(4.5),
        };
        let by = mostly_by(hot);
        let share = fun::ln(by.high.to_h() / 3.0) / fun::ln(1.5);
        // 0.8416/1.6449, to rounding.
        assert!((share - 0.511_67).abs() < 1e-4, "{share}");
        assert_eq!((by.low, by.mid), (hot.low, hot.mid));
        let below = 0.5 * fun::erfc(-Z_MOSTLY * std::f64::consts::FRAC_1_SQRT_2);
        assert!((below + MOST_LATE - 1.0).abs() < 1e-9, "{below}");
    }
}
