//! A stay at one temperature: the march of [`super::skin`] over a hold, bare or protected.

use casewright_terms::{Length, Remark, Span, Temperature};

use super::skin::{self, Left, Leg, March, Section, Ways};
use crate::law::carbon_activity::to_wt_pct;
use crate::law::scaling::steel_lost;
use crate::numerics::fun::exp;
use crate::numerics::interpolate::linear_clamped;
use crate::run::Failure;

/// Steps of a bare stay: twice as many move the carbon by less than 0.4 % of the step at the surface
/// (rows `bare-similarity-*`).
pub(crate) const BARE_STEPS: u32 = 60;
/// Steps of a protected stay, where nothing is steep.
const CLOSED_STEPS: u32 = 16;
/// First spacing of the mesh under a bare surface, in metres: a tenth of the rim of ferrite that a
/// quarter of an hour makes.
pub(crate) const BARE_FIRST_M: f64 = 2e-6;
/// Nodes of that mesh.
pub(crate) const BARE_NODES: usize = 140;

/// A carbon profile: depths from the surface to the middle, and total carbon there.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Depths {
    pub(crate) depth_m: Vec<f64>,
    pub(crate) carbon_wt_pct: Vec<f64>,
}

/// What a stay did.
#[derive(Clone, Debug)]
pub(crate) struct Stayed {
    /// On the depths that were given, counted from the surface as it is now.
    pub(crate) carbon_wt_pct: Vec<f64>,
    /// Steel turned to scale.
    pub(crate) lost_m: f64,
    /// Site fraction × metre lost.
    pub(crate) lost_y_m: f64,
    pub(crate) balance_error: f64,
}

/// How the part stands in the furnace.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hold {
    pub(crate) temperature: Temperature,
    pub(crate) soak: Span,
    pub(crate) bare: bool,
}

/// The carbon after a hold; `ways` is `None` where nothing moves.
pub(crate) fn stay(
    before: &Depths,
    section: Section,
    hold: Hold,
    ways: Option<&Ways>,
    remarks: &mut Vec<Remark>,
) -> Result<Stayed, Failure> {
    let half_m = before.depth_m[before.depth_m.len() - 1];
    let lost_m = if hold.bare {
        let lost = steel_lost(hold.temperature, hold.soak).into_value(remarks);
        lost.min(Length::from_m(half_m / 2.0)).to_m()
    } else {
        0.0
    };
    let Some(ways) = ways else {
        return Ok(eaten(before, lost_m));
    };
    let steps = if hold.bare { BARE_STEPS } else { CLOSED_STEPS };
    let soak_s = hold.soak.to_s();
    let mut march = march(before, section, hold.bare);
    let mut then = 0.0;
    for share in skin::by_root(steps) {
        let leg = Leg {
            lasts_s: soak_s * (share - then),
            lost_m: skin::lost_after(lost_m, share),
        };
        if !march.go(ways, leg) {
            return Err(not_settled(then * soak_s));
        }
        then = share;
    }
    Ok(read(before, lost_m, &march.left()))
}

/// The profile ready to march: on a mesh of its own where the surface is bare.
pub(crate) fn march(before: &Depths, section: Section, bare: bool) -> March {
    if !bare {
        return March::new(section, &before.depth_m, &before.carbon_wt_pct, false);
    }
    let half_m = before.depth_m[before.depth_m.len() - 1];
    let depth_m = graded(half_m, BARE_FIRST_M, BARE_NODES);
    let carbon: Vec<f64> = depth_m
        .iter()
        .map(|d| linear_clamped(&before.depth_m, &before.carbon_wt_pct, *d))
        .collect();
    March::new(section, &depth_m, &carbon, true)
}

/// Where carbon does not move, scale only shortens the profile.
fn eaten(before: &Depths, lost_m: f64) -> Stayed {
    let at = |d: &f64| linear_clamped(&before.depth_m, &before.carbon_wt_pct, d + lost_m);
    Stayed {
        carbon_wt_pct: before.depth_m.iter().map(at).collect(),
        lost_m,
        lost_y_m: 0.0,
        balance_error: 0.0,
    }
}

/// What is left, on the depths of `before` from the surface as it is now.
pub(crate) fn read(before: &Depths, lost_m: f64, left: &Left) -> Stayed {
    let depth_m: Vec<f64> = left.place_m.iter().map(|p| p - left.place_m[0]).collect();
    let carbon: Vec<f64> = left.y.iter().map(|y| to_wt_pct(*y)).collect();
    Stayed {
        carbon_wt_pct: before
            .depth_m
            .iter()
            .map(|d| linear_clamped(&depth_m, &carbon, *d))
            .collect(),
        lost_m,
        lost_y_m: left.lost_y_m,
        balance_error: left.balance_error,
    }
}

pub(crate) fn not_settled(time_s: f64) -> Failure {
    Failure::NotSettled {
        stage: "reheat",
        detail: "the carbon under the surface did not settle".to_owned(),
        time_s,
        step_s: 0.0,
        steps: 0,
    }
}

/// `gaps` + 1 depths from 0 to `half_m`, growing by one ratio from about `first_m`.
pub(crate) fn graded(half_m: f64, first_m: f64, gaps: usize) -> Vec<f64> {
    let n = gaps as f64;
    // First spacing of (e^(b i/n) − 1)/(e^b − 1) is b/n/(e^b − 1): solve for b by bisection.
    let wanted = first_m / half_m;
    let (mut low, mut high) = (0.1, 12.0);
    for _ in 0..60 {
        let b: f64 = (low + high) / 2.0;
        if b / n / (exp(b) - 1.0) > wanted {
            low = b;
        } else {
            high = b;
        }
    }
    let whole = exp(low) - 1.0;
    let mut depth: Vec<f64> = (0..=gaps)
        .map(|i| half_m * (exp(low * i as f64 / n) - 1.0) / whole)
        .collect();
    depth[gaps] = half_m;
    depth
}
