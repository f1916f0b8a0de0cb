//! The carbon profile on the layers, and what the stays in the furnace make of it.

use casewright_terms::{Length, Remark};

use crate::model::reheat::{Depths, Hold, Section, Ways, graded, stay};
use crate::numerics::interpolate::linear_clamped;
use crate::run::{CarbonRun, Failure};
use crate::setup::Austenitise;

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
        let depth_m = graded(half_m, FIRST_M, LAYERS);
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

    /// Takes the profile through a stay in the furnace; depths then count from the surface under
    /// the scale.
    pub(super) fn soak(
        &mut self,
        heat: &Austenitise,
        section: Section,
        ways: Option<&Ways>,
        remarks: &mut Vec<Remark>,
    ) -> Result<(), Failure> {
        let before = Depths {
            depth_m: std::mem::take(&mut self.depth_m),
            carbon_wt_pct: std::mem::take(&mut self.carbon_wt_pct),
        };
        let hold = Hold {
            temperature: heat.temperature,
            soak: heat.soak,
            bare: heat.bare,
        };
        let stayed = stay(&before, section, hold, ways, remarks)?;
        self.lost_m += stayed.lost_m;
        self.depth_m = before.depth_m;
        self.carbon_wt_pct = stayed.carbon_wt_pct;
        if heat.bare {
            remarks.push(Remark::new(
                "bare-reheat",
                format!(
                    "the bare reheat at {:.0} °C for {} turns about {:.0} µm of steel to scale per side and draws carbon from the skin; depths count from the surface under the scale",
                    heat.temperature.to_c(),
                    heat.soak.text(),
                    Length::from_m(stayed.lost_m).to_mm() * 1e3
                ),
            ));
        }
        Ok(())
    }
}
