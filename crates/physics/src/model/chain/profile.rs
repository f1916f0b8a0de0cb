//! The carbon profile on the layers, and what a bare reheat takes from it.

use casewright_terms::{Diffusivity, Length, Remark, WeightPercent};

use crate::law::diffusivity::agren_1986;
use crate::law::scaling::{carbon_left, steel_lost};
use crate::numerics::fun::exp;
use crate::numerics::interpolate::linear_clamped;
use crate::run::CarbonRun;
use crate::setup::{Austenitise, CarbonSetup};

/// Spaces between the layers from the surface to the middle: a hundred depths.
const LAYERS: usize = 99;
/// Wanted spacing at the surface, in metres.
const FIRST_M: f64 = 12e-6;

/// Carbon on the layers.
pub(super) struct Profile {
    pub(super) depth_m: Vec<f64>,
    pub(super) carbon_wt_pct: Vec<f64>,
    /// Steel turned to scale so far, in metres.
    pub(super) lost_m: f64,
}

impl Profile {
    pub(super) fn new(carbon: &CarbonRun, half_m: f64) -> Self {
        let depth_m = graded(half_m);
        let carbon_wt_pct = depth_m
            .iter()
            .map(|d| linear_clamped(&carbon.depth_m, &carbon.carbon_wt_pct, *d).max(0.0))
            .collect();
        Self {
            depth_m,
            carbon_wt_pct,
            lost_m: 0.0,
        }
    }

    pub(super) fn at(&self, depth_m: f64) -> f64 {
        linear_clamped(&self.depth_m, &self.carbon_wt_pct, depth_m)
    }

    pub(super) fn highest(&self) -> f64 {
        self.carbon_wt_pct.iter().fold(0.0, |a, b| a.max(*b))
    }

    /// Takes the carbon of a bare reheat; depths then count from the receded surface.
    pub(super) fn lose_carbon(
        &mut self,
        heat: &Austenitise,
        setup: &CarbonSetup,
        remarks: &mut Vec<Remark>,
    ) {
        let lost = steel_lost(heat.temperature, heat.soak).into_value(remarks);
        let half_m = self.depth_m[self.depth_m.len() - 1];
        let lost = lost.min(Length::from_m(half_m / 2.0));
        // At the mean carbon of the lost zone.
        let mean = WeightPercent::from_wt_pct(self.carbon_wt_pct[0] / 2.0);
        let d = agren_1986(heat.temperature, mean).into_value(remarks)
            * setup.diffusivity_factor.clamp(0.01, 100.0);
        let left: Vec<f64> = self
            .depth_m
            .iter()
            .map(|depth| self.left_at(depth + lost.to_m(), lost, d, heat))
            .collect();
        self.carbon_wt_pct = left;
        self.lost_m += lost.to_m();
        remarks.push(Remark::new(
            "bare-reheat",
            format!(
                "the bare reheat at {:.0} °C for {} turns about {:.0} µm of steel to scale per side and draws carbon from the skin; depths count from the surface under the scale",
                heat.temperature.to_c(),
                heat.soak.text(),
                lost.to_mm() * 1e3
            ),
        ));
    }

    fn left_at(&self, depth_m: f64, lost: Length, d: Diffusivity, heat: &Austenitise) -> f64 {
        let before = WeightPercent::from_wt_pct(self.at(depth_m));
        carbon_left(before, Length::from_m(depth_m), lost, d, heat.soak).to_wt_pct()
    }
}

/// Depths that begin with about [`FIRST_M`] and grow by one ratio to the middle.
fn graded(half_m: f64) -> Vec<f64> {
    let n = LAYERS as f64;
    // First spacing of (e^(b i/n) − 1)/(e^b − 1) is b/n/(e^b − 1): solve for b by bisection.
    let wanted = FIRST_M / half_m;
    let (mut low, mut high) = (0.1, 12.0);
    for _ in 0..60 {
        let b: f64 = (low + high) / 2.0;
        if b / n / (exp(b) - 1.0) > wanted {
            low = b
        } else {
            high = b
        }
    }
    let whole = exp(low) - 1.0;
    let mut depth: Vec<f64> = (0..=LAYERS)
        .map(|i| half_m * (exp(low * i as f64 / n) - 1.0) / whole)
        .collect();
    depth[LAYERS] = half_m;
    depth
}
