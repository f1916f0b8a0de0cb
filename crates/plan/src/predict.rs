//! From the nominal run and the ensemble to what is promised: every value with its 90 % band, the
//! profile with its band, and the softest and hardest plausible part for the testers.

use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::run::Layers;
use casewright_terms::{Band, Element, Length, Scale, Span, Vickers};

use crate::cloud::{Cloud, Kind};
use crate::demand::Demand;
use crate::evaluate::{Observed, at, depth_to_limit, hardness_at, total_depth};
use crate::outcome::{DepthLimit, Prediction, Profile};
use crate::recipe::{Matter, Simulated};
use crate::{loads, skin};

/// 550 HV, the default limit of ISO 18203.
const LIMIT_ISO_HV: f64 = 550.0;
/// 50 HRC = 513 HV, the usual limit of SAE J423. [sae-j423], [astm-e140]
const LIMIT_SAE_HV: f64 = 513.0;
/// Depths of the profile: dense near the surface.
const PROFILE_POINTS: usize = 81;

/// Columns of a member's row; the profile's hardness and then its carbon follow after them.
pub(crate) mod column {
    /// Depth to the note's limit, before grinding. 0 where the surface does not hold the limit.
    pub(crate) const CASE: usize = 0;
    /// The same after grinding.
    pub(crate) const CASE_AFTER_GRIND: usize = 1;
    /// Depth to 550 HV.
    pub(crate) const TO_550HV: usize = 2;
    /// Depth to 50 HRC.
    pub(crate) const TO_50HRC: usize = 3;
    /// Total depth.
    pub(crate) const TOTAL: usize = 4;
    /// Hardness of the finished surface, HV.
    pub(crate) const SURFACE: usize = 5;
    /// Hardness of the core, HV.
    pub(crate) const CORE: usize = 6;
    /// Carbon at the surface, wt%.
    pub(crate) const SURFACE_CARBON: usize = 7;
    /// Greatest retained austenite of the finished case, percent.
    pub(crate) const AUSTENITE: usize = 8;
    /// From loading to the pack being hot, s.
    pub(crate) const HOT_AFTER: usize = 9;
    /// Free length of the skin after the quench over that of its section.
    pub(crate) const STRETCH: usize = 10;
    /// Here the profile begins.
    pub(crate) const PROFILE: usize = 11;
    /// What the note judges, most important first.
    pub(crate) const KEY: [usize; 3] = [CASE, SURFACE, CORE];
}

/// How a run is read into a row of numbers.
#[derive(Clone, Debug)]
pub struct Reader<'a> {
    /// The plan itself.
    pub nominal: &'a Simulated,
    /// Metal ground off, per side.
    pub ground: Length,
    /// What must be met.
    pub demand: &'a Demand,
    /// Body and chemistry.
    pub matter: &'a Matter,
    /// Depths of the profile, see [`Reader::depths_of`]; rows can be compared where these are the same.
    pub depths_m: Vec<f64>,
}

/// What the ensemble says.
#[derive(Clone, Debug)]
pub struct Ensemble<'a> {
    /// How its rows were read.
    pub reader: &'a Reader<'a>,
    /// The members.
    pub cloud: &'a Cloud,
}

impl Reader<'_> {
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

    fn total(&self, run: &Simulated) -> Option<Length> {
        total_depth(&run.chain.layers, self.matter.composition.get(Element::C))
    }

    /// A run as a row, see [`column`]. A surface that does not hold a limit counts as no case.
    #[must_use]
    pub fn row(&self, run: &Simulated) -> Vec<f64> {
        let layers = &run.chain.layers;
        let metres = |depth: Option<Length>| depth.unwrap_or(Length::ZERO).to_m();
        let ground = self.ground.to_m();
        let austenite = layers
            .depth_m
            .iter()
            .zip(&layers.retained_austenite)
            .filter(|(depth, _)| **depth >= ground)
            .fold(0.0_f64, |most, (_, austenite)| most.max(*austenite));
        let mut row = vec![
            metres(self.limit_depth(run, Length::ZERO)),
            metres(self.limit_depth(run, self.ground)),
            metres(self.hardness_depth(run, LIMIT_ISO_HV)),
            metres(self.hardness_depth(run, LIMIT_SAE_HV)),
            metres(self.total(run)),
            hardness_at(layers, self.ground).to_hv(),
            layers.core().to_hv(),
            layers.carbon_wt_pct[0],
            100.0 * austenite,
            run.heat.hot_after.to_s(),
            1.0 + run.chain.surface_stress.strain_mismatch,
        ];
        let depths = &self.depths_m;
        for values in [&layers.hardness_hv, &layers.carbon_wt_pct] {
            row.extend(depths.iter().map(|d| at(&layers.depth_m, values, *d)));
        }
        row
    }

    /// What the numbers of a row may be.
    #[must_use]
    pub fn kinds(&self) -> Vec<Kind> {
        let mut kinds = vec![Kind::Positive; column::PROFILE + 2 * self.depths_m.len()];
        kinds[column::AUSTENITE] = Kind::Percent;
        kinds
    }

    /// A row as the note sees it.
    #[must_use]
    pub fn observed(row: &[f64]) -> Observed {
        Observed {
            depth_made: Some(Length::from_m(row[column::CASE])),
            depth_after_grind: Some(Length::from_m(row[column::CASE_AFTER_GRIND])),
            surface: Some(Vickers::from_hv(row[column::SURFACE])),
            core: Some(Vickers::from_hv(row[column::CORE])),
        }
    }

    /// Depths of a profile that shows all of a run's case.
    #[must_use]
    pub fn depths_of(nominal: &Simulated, matter: &Matter) -> Vec<f64> {
        let layers = &nominal.chain.layers;
        let end = layers.depth_m.last().copied().unwrap_or(0.0);
        // The middle of a thick part is a long flat line: the picture ends at three total depths.
        let core = matter.composition.get(Element::C);
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
}

impl Ensemble<'_> {
    /// The band of a column about the plan's own value.
    fn band(&self, column: usize, mid: f64) -> Band<f64> {
        let (low, high) = self.cloud.band(column).unwrap_or((mid, mid));
        // The nominal run is one of the plausible ones; it never stands outside its own band.
        Band {
            low: low.min(mid),
            mid,
            high: high.max(mid),
        }
    }

    /// A depth; members whose surface does not hold the limit count as no case.
    fn depth(&self, column: usize, nominal: Option<Length>) -> Option<Band<Length>> {
        Some(self.band(column, nominal?.to_m()).map(Length::from_m))
    }

    /// When the pack is hot: wide as its prior; only a couple's log may narrow it.
    #[must_use]
    pub fn hot_after(&self) -> Band<Span> {
        let mid = self.reader.nominal.heat.hot_after.to_s();
        self.band(column::HOT_AFTER, mid).map(Span::from_s)
    }

    /// The prediction.
    #[must_use]
    pub fn predict(&self) -> Prediction {
        let (reader, run) = (self.reader, self.reader.nominal);
        let row = reader.row(run);
        let plain = |column: usize| self.band(column, row[column]);
        let surface = plain(column::SURFACE).map(Vickers::from_hv);
        let core = plain(column::CORE).map(Vickers::from_hv);
        let profile = self.profile();
        let [soft, hard] = [false, true].map(|hard| self.layers_at(&profile, hard));
        Prediction {
            skin_stress: skin::judge(
                &run.chain.surface_stress,
                plain(column::STRETCH).map(|stretch| stretch - 1.0),
            ),
            loads: loads::readings([&run.chain.layers, &soft, &hard], reader.ground),
            case_depth: self.depth(column::CASE, reader.limit_depth(run, Length::ZERO)),
            case_depth_after_grind: self.depth(
                column::CASE_AFTER_GRIND,
                reader.limit_depth(run, reader.ground),
            ),
            depth_550hv: self.depth(column::TO_550HV, reader.hardness_depth(run, LIMIT_ISO_HV)),
            depth_50hrc: self.depth(column::TO_50HRC, reader.hardness_depth(run, LIMIT_SAE_HV)),
            total_depth: self.depth(column::TOTAL, reader.total(run)),
            surface,
            surface_hrc: hrc(surface),
            core,
            core_hrc: hrc(core),
            surface_carbon_wt_pct: plain(column::SURFACE_CARBON),
            retained_austenite_pct: plain(column::AUSTENITE),
            growth_per_side: run.chain.growth_per_side,
            limit_hardness: reader.demand.limit_hv(),
            profile,
            edges: Vec::new(),
        }
    }

    fn profile(&self) -> Profile {
        let depth_m = self.reader.depths_m.clone();
        let nominal = &self.reader.nominal.chain.layers;
        let on = |values: &[f64]| -> Vec<f64> {
            depth_m
                .iter()
                .map(|d| at(&nominal.depth_m, values, *d))
                .collect()
        };
        let band = |from: usize, values: &[f64]| -> (Vec<f64>, Vec<f64>) {
            on(values)
                .into_iter()
                .enumerate()
                .map(|(i, mid)| {
                    let b = self.band(from + i, mid);
                    (b.low, b.high)
                })
                .unzip()
        };
        let hardness_from = column::PROFILE;
        let carbon_from = hardness_from + depth_m.len();
        let (hardness_low_hv, hardness_high_hv) = band(hardness_from, &nominal.hardness_hv);
        let (carbon_low_wt_pct, carbon_high_wt_pct) = band(carbon_from, &nominal.carbon_wt_pct);
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
        let nominal = &self.reader.nominal.chain.layers;
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
