//! From the nominal run and the ensemble to what is promised: every value with its 90 % band, the
//! profile with its band, and the softest and hardest plausible part for the testers.

use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::run::Layers;
use casewright_terms::{Band, Element, Length, Scale, Vickers};

use crate::demand::Demand;
use crate::doubt::ninety_band;
use crate::evaluate::{at, depth_to_limit, hardness_at, total_depth};
use crate::outcome::{DepthLimit, Prediction, Profile};
use crate::recipe::{Matter, Simulated};

/// 550 HV, the default limit of ISO 18203.
const LIMIT_ISO_HV: f64 = 550.0;
/// 50 HRC = 513 HV, the usual limit of SAE J423. [sae-j423], [astm-e140]
const LIMIT_SAE_HV: f64 = 513.0;
/// Depths of the profile: dense near the surface.
const PROFILE_POINTS: usize = 81;

/// What the ensemble says.
#[derive(Clone, Debug)]
pub struct Ensemble<'a> {
    /// The plan itself.
    pub nominal: &'a Simulated,
    /// The members.
    pub members: &'a [(usize, Simulated)],
    /// Metal ground off, per side.
    pub ground: Length,
    /// What must be met.
    pub demand: &'a Demand,
    /// Body and chemistry.
    pub matter: &'a Matter,
}

impl Ensemble<'_> {
    /// The band of one number of each run.
    fn band(&self, value: impl Fn(&Simulated) -> f64) -> Band<f64> {
        let mid = value(self.nominal);
        let mut values: Vec<f64> = self.members.iter().map(|(_, run)| value(run)).collect();
        if values.is_empty() {
            return Band::exact(mid);
        }
        let (low, high) = ninety_band(&mut values);
        // The nominal run is one of the plausible ones; it never stands outside its own band.
        Band {
            low: low.min(mid),
            mid,
            high: high.max(mid),
        }
    }

    /// A depth in each run; members whose surface does not hold the limit count as no case.
    fn depth(&self, value: impl Fn(&Simulated) -> Option<Length>) -> Option<Band<Length>> {
        value(self.nominal)?;
        let band = self.band(|run| value(run).unwrap_or(Length::ZERO).to_m());
        Some(band.map(Length::from_m))
    }

    /// Depth to the note's limit on the surface that `ground` leaves, for one run.
    #[must_use]
    pub fn limit_depth(&self, run: &Simulated, ground: Length) -> Option<Length> {
        let core = self.matter.composition.get(Element::C);
        depth_to_limit(
            &run.chain.layers,
            self.demand.limit,
            self.demand.limit_hv(),
            core,
            ground,
        )
    }

    fn hardness_depth(&self, run: &Simulated, hv: f64) -> Option<Length> {
        let limit = Vickers::from_hv(hv);
        let core = self.matter.composition.get(Element::C);
        depth_to_limit(
            &run.chain.layers,
            DepthLimit::Hardness(casewright_terms::Hardness::new(Scale::Hv, hv)),
            limit,
            core,
            Length::ZERO,
        )
    }

    /// The prediction.
    #[must_use]
    pub fn predict(&self) -> Prediction {
        let core_carbon = self.matter.composition.get(Element::C);
        let surface = self
            .band(|run| hardness_at(&run.chain.layers, self.ground).to_hv())
            .map(Vickers::from_hv);
        let core = self
            .band(|run| run.chain.layers.core().to_hv())
            .map(Vickers::from_hv);
        let growth = self.nominal.chain.growth_per_side;
        Prediction {
            case_depth: self.depth(|run| self.limit_depth(run, Length::ZERO)),
            case_depth_after_grind: self.depth(|run| self.limit_depth(run, self.ground)),
            depth_550hv: self.depth(|run| self.hardness_depth(run, LIMIT_ISO_HV)),
            depth_50hrc: self.depth(|run| self.hardness_depth(run, LIMIT_SAE_HV)),
            total_depth: self.depth(|run| total_depth(&run.chain.layers, core_carbon)),
            surface,
            surface_hrc: hrc(surface),
            core,
            core_hrc: hrc(core),
            surface_carbon_wt_pct: self.band(|run| run.chain.layers.carbon_wt_pct[0]),
            retained_austenite_pct: self.band(|run| {
                let layers = &run.chain.layers;
                let below = layers
                    .depth_m
                    .iter()
                    .zip(&layers.retained_austenite)
                    .filter(|(depth, _)| **depth >= self.ground.to_m())
                    .map(|(_, austenite)| *austenite);
                100.0 * below.fold(0.0, f64::max)
            }),
            growth_per_side: growth,
            limit_hardness: self.demand.limit_hv(),
            profile: self.profile(),
            edges: Vec::new(),
        }
    }

    fn depths(&self) -> Vec<f64> {
        let layers = &self.nominal.chain.layers;
        let end = layers.depth_m.last().copied().unwrap_or(0.0);
        // The middle of a thick part is a long flat line: the picture ends at three total depths.
        let core = self.matter.composition.get(Element::C);
        let shown = total_depth(layers, core).map_or(end, |d| (3.0 * d.to_m()).min(end));
        let last = (PROFILE_POINTS - 1) as f64;
        let mut depths: Vec<f64> = (0..PROFILE_POINTS)
            .map(|i| {
                let t = i as f64 / last;
                shown * t * (0.4 + 0.6 * t)
            })
            .collect();
        if shown < end {
            depths.push(end);
        }
        depths
    }

    fn profile(&self) -> Profile {
        let depth_m = self.depths();
        let nominal = &self.nominal.chain.layers;
        let on = |values: &[f64]| -> Vec<f64> {
            depth_m
                .iter()
                .map(|d| at(&nominal.depth_m, values, *d))
                .collect()
        };
        let band = |of: fn(&Layers) -> &Vec<f64>| -> (Vec<f64>, Vec<f64>) {
            depth_m
                .iter()
                .map(|d| {
                    let b = self.band(|run| {
                        let layers = &run.chain.layers;
                        at(&layers.depth_m, of(layers), *d)
                    });
                    (b.low, b.high)
                })
                .unzip()
        };
        let (hardness_low_hv, hardness_high_hv) = band(|layers| &layers.hardness_hv);
        let (carbon_low_wt_pct, carbon_high_wt_pct) = band(|layers| &layers.carbon_wt_pct);
        Profile {
            carbon_wt_pct: on(&nominal.carbon_wt_pct),
            carbon_low_wt_pct,
            carbon_high_wt_pct,
            hardness_hv: on(&nominal.hardness_hv),
            hardness_low_hv,
            hardness_high_hv,
            martensite: on(&nominal.martensite),
            retained_austenite: on(&nominal.retained_austenite),
            bainite: on(&nominal.bainite),
            pearlite: on(&nominal.pearlite),
            ferrite: on(&nominal.ferrite),
            carbide: on(&nominal.carbide),
            depth_mm: depth_m.iter().map(|d| Length::from_m(*d).to_mm()).collect(),
        }
    }

    /// The nominal layers with the hardness of the band's soft or hard end, for the testers.
    #[must_use]
    pub fn layers_at(&self, profile: &Profile, hard: bool) -> Layers {
        let nominal = &self.nominal.chain.layers;
        let depth_m: Vec<f64> = profile
            .depth_mm
            .iter()
            .map(|d| Length::from_mm(*d).to_m())
            .collect();
        let edge = if hard {
            &profile.hardness_high_hv
        } else {
            &profile.hardness_low_hv
        };
        let hardness_hv = nominal
            .depth_m
            .iter()
            .map(|d| at(&depth_m, edge, *d))
            .collect();
        Layers {
            hardness_hv,
            ..nominal.clone()
        }
    }
}

/// A band in HRC; `None` as soon as one end leaves the scale.
fn hrc(band: Band<Vickers>) -> Option<Band<f64>> {
    let read = |hv| scale_of(hv, Scale::Hrc);
    Some(Band {
        low: read(band.low)?,
        mid: read(band.mid)?,
        high: read(band.high)?,
    })
}
