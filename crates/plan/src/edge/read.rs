//! One section: simulated with the plan's cycle and pack, then read off.
//!
//! Phases come from the one-dimensional chain, given the carbon of the place: the plan's own quench
//! and temper, with the cooling of the part's face (of the web, where there is one). An edge cools
//! faster than its face, so bainite and pearlite are never fewer there than said; retained austenite
//! and undissolved carbide hang on the carbon.

use casewright_physics::model::chain::harden;
use casewright_physics::model::transform::austenitise;
use casewright_physics::run::{CarbonRun, ChainRun, Failure, PlaneRun};
use casewright_physics::setup::{
    ChainSetup, KeywayBody, PlaneGrid, PlanePoint, PlaneSection, PlaneSetup, Shape,
};
use casewright_physics::simulate;
use casewright_terms::{Element, Length, Remark, SourceKey, Temperature, Vickers, WeightPercent};

use super::findings::NETWORK_WT_PCT;
use super::{Spot, picture};
use crate::evaluate::{TOTAL_DEPTH_OVER_CORE_WT_PCT, at};
use crate::outcome::{Edge, EdgeKind};

/// Error asked of the carbon in a section. The saturation it is held against is known to a few
/// hundredths of a percent, and the pack to less; a tenth of that is enough and costs a fifth of
/// what the one-dimensional run's tolerance would.
pub(crate) const TOLERANCE_WT_PCT: f64 = 4e-3;
/// Samples of a line across a web.
const SAMPLES: u32 = 60;
/// Radii that are tried in turn on an edge with too much carbon: what an edge is broken to with a
/// file or on a wheel before packing. [trade-practice]
const BROKEN_MM: [f64; 3] = [0.5, 1.0, 2.0];
/// More carbon than any austenite holds, to find what it does hold.
const PLENTY_WT_PCT: f64 = 4.0;

/// What the plan's one-dimensional run says of the part, and how it was set up.
pub(crate) struct Case<'a> {
    /// The plan's run.
    pub(crate) setup: &'a ChainSetup,
    /// What it gave.
    pub(crate) chain: &'a ChainRun,
    /// Depth to the note's limit as hardened.
    pub(crate) case_depth: Option<Length>,
    /// Depth to core carbon + 0.04 wt%.
    pub(crate) total_depth: Option<Length>,
    /// Greatest stock ground off a face.
    pub(crate) ground: Length,
}

/// A place, with what the engine had to remark.
pub(crate) struct Seen {
    pub(crate) edge: Edge,
    pub(crate) remarks: Vec<Remark>,
    pub(crate) sources: Vec<SourceKey>,
}

impl Case<'_> {
    fn core(&self) -> WeightPercent {
        self.setup.carbon.composition.get(Element::C)
    }

    /// Carbon at which the case ends: what the plan's own profile holds out of the box, as the
    /// section does, at its depth to the limit. The reheat moves it a little in both alike.
    pub(crate) fn limit_carbon(&self) -> Option<f64> {
        let depth = self.case_depth.filter(|d| *d > Length::ZERO)?;
        let boxed = &self.chain.carbon;
        Some(at(&boxed.depth_m, &boxed.carbon_wt_pct, depth.to_m()))
    }

    /// What the part is quenched from.
    fn quenched_from(&self) -> Option<Temperature> {
        let last = self.setup.reheats.last().map(|heat| heat.temperature);
        last.or(self.setup.direct_from)
    }

    /// What austenite of this steel holds where it is quenched from; the rest stays carbide.
    fn saturation(&self) -> Option<f64> {
        let steel = &self.setup.carbon.composition;
        let plenty = WeightPercent::from_wt_pct(PLENTY_WT_PCT);
        let hot = austenitise(steel, plenty, self.quenched_from()?).ok()?;
        Some(hot.carbon.to_wt_pct())
    }

    pub(crate) fn plane(&self, cut: PlaneSection) -> Result<PlaneRun, Failure> {
        let carbon = &self.setup.carbon;
        simulate::carbon_plane(&PlaneSetup {
            composition: carbon.composition,
            section: cut,
            diffusivity: carbon.diffusivity,
            diffusivity_factor: carbon.diffusivity_factor,
            surface: carbon.surface.clone(),
            cycle: carbon.cycle.clone(),
            tolerance: WeightPercent::from_wt_pct(TOLERANCE_WT_PCT),
            grid: PlaneGrid::ByTolerance,
        })
    }

    /// Simulates a place and reads it off.
    pub(crate) fn forecast(&self, spot: &Spot) -> Result<Seen, Failure> {
        let run = self.plane(spot.cut)?;
        let (greatest, _) = run.greatest();
        let greatest = greatest.to_wt_pct();
        let saturation = self.saturation();
        let skin = self.hardened_skin(greatest)?;
        let layers = &self.chain.layers;
        // Out of the box, as the section is; what the reheat does then it does to both.
        let face = self.chain.carbon.carbon_wt_pct[0];
        let limit = self.limit_carbon();
        let ends = Ends::of(&spot.cut, &run);
        let middle = ends
            .across
            .and_then(|(a, b)| run.least_between(a, b).map(|(c, depth)| (c, depth, a, b)));
        let middle_hardness = match middle {
            Some((_, depth, a, b)) => Some(self.hardened_middle(spot, &run, (a, b), depth)?),
            None => None,
        };
        let along = |(from, towards): (PlanePoint, PlanePoint)| {
            let limit = WeightPercent::from_wt_pct(limit?);
            run.depth_to_carbon(from, towards, limit)
        };
        let wanted = NETWORK_WT_PCT.max(saturation.unwrap_or(0.0));
        // No radius brings an edge under its own face.
        let broken = if greatest > wanted && face < wanted {
            self.broken(spot, wanted)?
        } else {
            None
        };
        let levels = self.levels(spot, limit, saturation);
        let edge = Edge {
            feature: spot.feature.clone(),
            kind: spot.kind,
            radius: spot.radius,
            section: spot.section,
            surface_carbon_wt_pct: greatest,
            face_carbon_wt_pct: face,
            saturation_wt_pct: saturation,
            quenched_from: self.quenched_from(),
            carbide_pct: 100.0 * skin.layers.carbide[0],
            face_carbide_pct: 100.0 * layers.carbide[0],
            retained_austenite_pct: 100.0 * skin.layers.retained_austenite[0],
            least_carbon_wt_pct: middle.map(|(carbon, ..)| carbon.to_wt_pct()),
            middle_hardness,
            limit_carbon_wt_pct: limit,
            depth_mid_face: ends.face.and_then(along).map(|d| d.to_surface),
            depth_corner: ends.diagonal.and_then(along).map(|d| d.along),
            broken,
            picture: picture::draw(spot, &run, &levels, self.reach(), self.ground),
        };
        // The one-dimensional run says the same of the cycle and the steel.
        let known = &self.chain.carbon.remarks;
        let mut remarks = run.remarks;
        remarks.retain(|remark| !known.iter().any(|k| k.code == remark.code));
        Ok(Seen {
            edge,
            remarks,
            sources: run.sources,
        })
    }

    /// How much of a thick body the picture shows.
    fn reach(&self) -> Length {
        let deepest = self.total_depth.or(self.case_depth);
        deepest.unwrap_or(Length::from_mm(1.0)) * 1.5
    }

    /// The lines that are drawn.
    fn levels(
        &self,
        spot: &Spot,
        limit: Option<f64>,
        saturation: Option<f64>,
    ) -> Vec<(f64, picture::Level)> {
        let mut levels = Vec::new();
        if let Some(carbon) = limit {
            levels.push((carbon, picture::Level::CaseLimit));
        }
        if let Some(carbon) = saturation {
            levels.push((carbon, picture::Level::Saturation));
        }
        let core = self.core().to_wt_pct();
        levels.push((core + TOTAL_DEPTH_OVER_CORE_WT_PCT, picture::Level::Total));
        // Round figures where there is room between the lines that mean something; in a web there
        // is none.
        let round: &[f64] = match spot.kind {
            EdgeKind::Corner => &[0.8, 0.4, 0.6],
            EdgeKind::Web | EdgeKind::Wall | EdgeKind::Keyway => &[],
        };
        for carbon in round.iter().copied() {
            let clear = |other: &(f64, picture::Level)| (other.0 - carbon).abs() > 0.12;
            if levels.iter().all(clear) && levels.len() < 4 {
                levels.push((carbon, picture::Level::Carbon));
            }
        }
        levels.sort_by(|a, b| b.0.total_cmp(&a.0));
        levels
    }

    /// The face's profile, raised so that its skin holds as much as the edge: for what is in the
    /// skin there.
    fn hardened_skin(&self, greatest: f64) -> Result<ChainRun, Failure> {
        let layers = &self.chain.carbon;
        let core = self.core().to_wt_pct();
        let face = layers.carbon_wt_pct[0];
        let raise = if face - core > 1e-3 {
            (greatest - core) / (face - core)
        } else {
            1.0
        };
        let carbon_wt_pct = layers
            .carbon_wt_pct
            .iter()
            .map(|c| core + (c - core) * raise)
            .collect();
        harden(
            &CarbonRun {
                carbon_wt_pct,
                ..layers.clone()
            },
            self.setup,
        )
    }

    /// Hardness where the least carbon is on the line across a web: a plate of the web's thickness,
    /// quenched and tempered like the part.
    fn hardened_middle(
        &self,
        spot: &Spot,
        run: &PlaneRun,
        (from, to): (PlanePoint, PlanePoint),
        depth: Length,
    ) -> Result<Vickers, Failure> {
        let half = spot.section * 0.5;
        let long = distance(from, to);
        let share = if long > Length::ZERO {
            depth / long
        } else {
            0.5
        };
        let share = share.clamp(0.05, 0.95);
        let (mut depth_m, mut carbon_wt_pct) = (Vec::new(), Vec::new());
        for k in 0..=SAMPLES {
            let t = f64::from(k) / f64::from(SAMPLES);
            let point = between(from, to, t * share);
            if let Some(carbon) = run.at(point) {
                depth_m.push(half.to_m() * t);
                carbon_wt_pct.push(carbon.to_wt_pct());
            }
        }
        let carbide_wt_pct = vec![0.0; depth_m.len()];
        let shape = Shape::Plate {
            half_thickness: half,
        };
        let mut setup = self.setup.clone();
        setup.carbon.shape = shape;
        setup.quench_shape = shape;
        let carbon = CarbonRun {
            depth_m,
            carbon_wt_pct,
            carbide_wt_pct,
            ..self.chain.carbon.clone()
        };
        Ok(harden(&carbon, &setup)?.layers.core())
    }

    /// The same edge broken to the least usual radius that brings its carbon under `wanted`, or to
    /// the greatest that the section bears: what it would do.
    fn broken(&self, spot: &Spot, wanted: f64) -> Result<Option<(Length, f64)>, Failure> {
        let mut best = None;
        for radius in BROKEN_MM.map(Length::from_mm) {
            let PlaneSection::PlateEdge {
                thickness,
                end,
                flats,
                ..
            } = spot.cut
            else {
                return Ok(None);
            };
            if radius <= spot.radius || thickness <= radius * 2.0 {
                continue;
            }
            let cut = PlaneSection::PlateEdge {
                thickness,
                corner_radius: radius,
                end,
                flats,
            };
            let run = self.plane(cut)?;
            let carbon = run.greatest().0.to_wt_pct();
            best = Some((radius, carbon));
            if carbon <= wanted {
                break;
            }
        }
        Ok(best)
    }
}

/// The lines that are read off.
struct Ends {
    /// From the face inward, far from the edge.
    face: Option<(PlanePoint, PlanePoint)>,
    /// From the edge inward, halving its angle.
    diagonal: Option<(PlanePoint, PlanePoint)>,
    /// From surface to surface, where two cases come nearest.
    across: Option<(PlanePoint, PlanePoint)>,
}

impl Ends {
    fn of(cut: &PlaneSection, run: &PlaneRun) -> Self {
        let m = |x: f64, y: f64| PlanePoint {
            x: Length::from_m(x),
            y: Length::from_m(y),
        };
        let far = run.window_m[1];
        // A sharp corner's tip, or the middle of its rounding.
        let tip = |r: f64| r * (1.0 - std::f64::consts::FRAC_1_SQRT_2);
        match *cut {
            PlaneSection::PlateEdge {
                thickness,
                corner_radius,
                ..
            } => {
                let (t, a) = (thickness.to_m(), tip(corner_radius.to_m()));
                let reach = (t / 2.0).min(far[0]);
                Self {
                    face: Some((m(far[0], 0.0), m(far[0], t / 2.0))),
                    diagonal: Some((m(a, a), m(reach, reach))),
                    across: Some((m(far[0], 0.0), m(far[0], t))),
                }
            }
            PlaneSection::Web {
                thickness,
                height,
                tip_radius,
                ..
            } => {
                let (half, h) = (thickness.to_m() / 2.0, height.to_m());
                let a = tip(tip_radius.to_m());
                let reach = half.min(h);
                Self {
                    face: Some((m(-half, h / 2.0), m(0.0, h / 2.0))),
                    diagonal: Some((m(a - half, a), m(reach - half, reach))),
                    across: Some((m(-half, h / 2.0), m(half, h / 2.0))),
                }
            }
            PlaneSection::BoreNearWall { wall, .. } => {
                let wall = wall.to_m();
                Self {
                    face: Some((m(far[0], 0.0), m(far[0], far[1]))),
                    diagonal: None,
                    across: Some((m(0.0, 0.0), m(0.0, wall))),
                }
            }
            PlaneSection::Keyway { body, width, .. } => {
                let half = width.to_m() / 2.0;
                let y = match body {
                    KeywayBody::Flat => 0.0,
                    KeywayBody::Round { diameter } => {
                        let r = diameter.to_m() / 2.0;
                        r - (r * r - half * half).max(0.0).sqrt()
                    }
                };
                let reach = half.max(1e-3);
                Self {
                    face: None,
                    diagonal: Some((m(half, y), m(half + reach, y + reach))),
                    across: None,
                }
            }
            PlaneSection::Rectangle { .. } | PlaneSection::TwoBores { .. } => Self {
                face: None,
                diagonal: None,
                across: None,
            },
        }
    }
}

fn between(a: PlanePoint, b: PlanePoint, t: f64) -> PlanePoint {
    PlanePoint {
        x: a.x + (b.x - a.x) * t,
        y: a.y + (b.y - a.y) * t,
    }
}

fn distance(a: PlanePoint, b: PlanePoint) -> Length {
    let (x, y) = ((b.x - a.x).to_m(), (b.y - a.y).to_m());
    Length::from_m((x * x + y * y).sqrt())
}
