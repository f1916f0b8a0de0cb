//! How far two published assessments of a steel's equilibrium are apart: the least doubt anybody
//! may claim. It knows nothing of how far both are from the truth.

use casewright_terms::{Composition, Element};

/// Doubts of the equilibrium of one steel, each as the half-width that is to hold 90 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// Temperature at which the last carbide of a case dissolves, in K.
    pub acm_k: f64,
    /// Temperature at which the last ferrite dissolves, in K.
    pub ae3_k: f64,
    /// Activity of carbon in austenite, as a factor either way.
    pub activity_ratio: f64,
}

/// Difference of the databases' Acm in a plain carbon steel, in K. [equilibrium-run]
const ACM_PLAIN_K: f64 = 1.0;
/// What each wt% of chromium adds to it: 5120 differs by 20 K at 0.8 wt% carbon. [equilibrium-run]
const ACM_PER_CHROMIUM_K: f64 = 24.0;
/// Greatest difference of Ae3 in the three steels, 0.18 to 1.2 wt% carbon. [equilibrium-run]
const AE3_K: f64 = 4.5;
/// Difference of the activities in a plain carbon steel. [equilibrium-run]
const ACTIVITY_PLAIN: f64 = 0.001;
/// What each wt% of chromium adds to it: 5120 differs by 1.4 %. [equilibrium-run]
const ACTIVITY_PER_CHROMIUM: f64 = 0.017;

/// The doubt about a steel's equilibrium: an envelope, linear in chromium, of the differences of
/// two open databases for 1018, 8620 and 5120. What it says of steels with more than 1 % chromium
/// is extrapolated, and alloys other than chromium add nothing because nothing is known.
#[must_use]
pub fn doubt(composition: &Composition) -> Doubt {
    let chromium = composition.wt_pct(Element::Cr).max(0.0);
    Doubt {
        acm_k: ACM_PLAIN_K + ACM_PER_CHROMIUM_K * chromium,
        ae3_k: AE3_K,
        activity_ratio: 1.0 + ACTIVITY_PLAIN + ACTIVITY_PER_CHROMIUM * chromium,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_terms::WeightPercent;

    /// `equilibrium-run`: greatest differences of the two databases, Acm and Ae3 in K at 0.8 to
    /// 1.2 and 0.18 to 1.2 wt% carbon, activity at 850 to 1000 °C. The doubt must cover them and be
    /// no more than 2 K, 3.5 K and 0.7 % wider: a straight line in chromium misses by that.
    #[test]
    #[expect(
        clippy::approx_constant,
        reason = "3.14 K is a difference of temperatures"
    )]
    fn val_doubt_covers_the_two_databases() {
        for (name, chromium, acm_k, ae3_k, activity) in [
            ("1018", 0.0, 0.64, 2.77, 0.0006),
            ("8620", 0.5, 11.35, 3.14, 0.0027),
            ("5120", 0.8, 20.12, 4.45, 0.0139),
        ] {
            let chromium = WeightPercent::from_wt_pct(chromium);
            let steel = Composition::new(&[(Element::Cr, chromium)]).unwrap();
            let doubt = doubt(&steel);
            let over = [
                doubt.acm_k - acm_k,
                doubt.ae3_k - ae3_k,
                doubt.activity_ratio - 1.0 - activity,
            ];
            for (over, most) in over.into_iter().zip([2.0, 3.5, 0.007]) {
                assert!((0.0..most).contains(&over), "{name}: {over:?} of {most}");
            }
        }
    }
}
