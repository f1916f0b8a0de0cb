//! The chance that the shop's own readings show the note met: a member of the ensemble that meets it
//! may read as a miss, and the other way round, because a tester and a reader scatter too. That
//! scatter belongs to the reading and not to the part, so it is in no band.

use casewright_job::spec::Spec;
use casewright_physics::numerics::quasi;
use casewright_terms::{Length, Vickers};

use crate::cloud::Cloud;
use crate::demand::Demand;
use crate::doubt::Z_95;
use crate::evaluate::{self, Observed};
use crate::predict::Reader;

/// A tester that its block passes reads within ±1 HRC of the truth at 60 HRC, which is ±25 HV there:
/// the 90 % of the mean of a few readings, as a share of the hardness. [astm-e18]
const TESTER: f64 = 0.035;
/// A depth by a traverse of the coupon in the shop's own micro-hardness tester. [trade-practice]
const TRAVERSE_MM: f64 = 0.05;
/// A sawn, etched coupon under a loupe. [trade-practice]
const LOUPE_MM: f64 = 0.1;

/// Share of the members whose readings meet the note; `None` without a member.
pub(crate) fn chance_found(spec: &Spec, demand: &Demand, cloud: &Cloud, seed: u64) -> Option<f64> {
    let depth_mm = if spec.shop.micro_hardness {
        TRAVERSE_MM
    } else {
        LOUPE_MM
    };
    // A sequence of its own: readings know nothing of what they read, and no band moves with them.
    let readings = quasi::Sequence::new(3, seed.wrapping_add(1));
    let mut found = 0_usize;
    for (index, row) in cloud.rows().iter().enumerate() {
        let point = readings.point(index as u64);
        let z = |i: usize| {
            quasi::inverse_normal(point[i].clamp(1e-9, 1.0 - 1e-9)).unwrap_or(0.0) / Z_95
        };
        let is = Reader::observed(row);
        let depth = |depth: Option<Length>| depth.map(|d| d + Length::from_mm(depth_mm * z(0)));
        let hard = |hv: Option<Vickers>, i: usize| hv.map(|hv| hv * (1.0 + TESTER * z(i)));
        let read = Observed {
            depth_made: depth(is.depth_made),
            depth_after_grind: depth(is.depth_after_grind),
            surface: hard(is.surface, 1),
            core: hard(is.core, 2),
        };
        found += usize::from(evaluate::evaluate(demand, &read).meets());
    }
    let members = cloud.rows().len();
    (members > 0).then(|| found as f64 / members as f64)
}
