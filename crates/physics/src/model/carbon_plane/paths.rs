//! The ways through a section that a person asks about: mid-face, corner, bore, neck.
//!
//! Geometry only; the depths along them are read by `read`.

use std::f64::consts::FRAC_1_SQRT_2;

use casewright_terms::{Length, WeightPercent};

use crate::numerics::fun::sqrt;
use crate::numerics::root::brent;
use crate::run::{PlanePath, PlaneRun};
use crate::setup::{Face, KeywayBody, PlanePoint, PlaneSection};

use Face::Treated;

/// Part of a rounding that its middle lies inward of the sharp corner, along each axis.
const INWARD: f64 = 1.0 - FRAC_1_SQRT_2;

/// Parts of a chord that the depth is looked at between: an eighth of a chord of the mesh at the
/// slope of one is some micrometres.
const PARTS: u32 = 8;

fn point(x: f64, y: f64) -> PlanePoint {
    PlanePoint {
        x: Length::from_m(x),
        y: Length::from_m(y),
    }
}

/// Paths under way; those from faces that are stopped off are left out.
#[derive(Default)]
struct Paths(Vec<PlanePath>);

impl Paths {
    fn along(&mut self, name: &'static str, open: bool, from: (f64, f64), way: (f64, f64)) {
        if open {
            self.0.push(PlanePath {
                name,
                from: point(from.0, from.1),
                towards: point(from.0 + way.0, from.1 + way.1),
            });
        }
    }
}

impl PlaneRun {
    /// Ways from treated faces into the steel of this section, the one this run was made for.
    #[must_use]
    pub fn paths(&self, section: &PlaneSection) -> Vec<PlanePath> {
        let mut paths = Paths::default();
        // As far from the feature as the run goes: the plain flat.
        let far_x = self.window_m[1][0];
        match *section {
            PlaneSection::Rectangle {
                width,
                height,
                corner_radius,
                faces,
            } => bar(
                &mut paths,
                (width.to_m(), height.to_m()),
                corner_radius.to_m(),
                faces,
            ),
            PlaneSection::PlateEdge {
                thickness,
                corner_radius,
                end,
                flats: [lower, upper],
            } => {
                let (h, r) = (thickness.to_m(), INWARD * corner_radius.to_m());
                paths.along(
                    "middle of the end",
                    end == Treated,
                    (0.0, 0.5 * h),
                    (h, 0.0),
                );
                let corner = [end, lower].contains(&Treated);
                paths.along("corner, diagonal", corner, (r, r), (h, h));
                paths.along(
                    "flat, far from the end",
                    lower == Treated,
                    (far_x, 0.0),
                    (0.0, h),
                );
                if upper != lower {
                    let corner = [end, upper].contains(&Treated);
                    paths.along("upper corner, diagonal", corner, (r, h - r), (h, -h));
                    let open = upper == Treated;
                    paths.along("upper flat, far from the end", open, (far_x, h), (0.0, -h));
                }
            }
            PlaneSection::BoreNearWall {
                diameter,
                wall,
                bore,
                surface,
            } => {
                let (d, wall) = (diameter.to_m(), wall.to_m());
                let (bore, surface) = (bore == Treated, surface == Treated);
                paths.along("surface over the bore", surface, (0.0, 0.0), (0.0, wall));
                paths.along("bore towards the surface", bore, (0.0, wall), (0.0, -wall));
                paths.along(
                    "surface, far from the bore",
                    surface,
                    (far_x, 0.0),
                    (0.0, wall),
                );
                paths.along(
                    "bore away from the surface",
                    bore,
                    (0.0, wall + d),
                    (0.0, d),
                );
            }
            PlaneSection::TwoBores {
                diameters: [left, right],
                web,
                bores,
            } => {
                let (half, d) = (0.5 * web.to_m(), right.to_m());
                let away = half + d;
                let open = bores.map(|face| face == Treated);
                paths.along(
                    "right bore towards the left",
                    open[1],
                    (half, 0.0),
                    (-half, 0.0),
                );
                paths.along(
                    "right bore away from the left",
                    open[1],
                    (away, 0.0),
                    (d, 0.0),
                );
                if left != right || open[0] != open[1] {
                    let away = -half - left.to_m();
                    paths.along(
                        "left bore towards the right",
                        open[0],
                        (-half, 0.0),
                        (half, 0.0),
                    );
                    paths.along(
                        "left bore away from the right",
                        open[0],
                        (away, 0.0),
                        (-half, 0.0),
                    );
                }
            }
            PlaneSection::Keyway { .. } => keyway(&mut paths, section, far_x),
            PlaneSection::Web {
                thickness,
                height,
                fillet,
                tip_radius,
                tip,
                sides,
                floor,
            } => {
                let (half, h) = (0.5 * thickness.to_m(), height.to_m());
                let (f, r) = (INWARD * fillet.to_m(), INWARD * tip_radius.to_m());
                let open = |faces: [Face; 2]| faces.contains(&Treated);
                paths.along("middle of the tip", tip == Treated, (0.0, 0.0), (0.0, h));
                paths.along(
                    "tip corner, diagonal",
                    open([tip, sides]),
                    (half - r, r),
                    (-h, h),
                );
                paths.along(
                    "side, half way up",
                    sides == Treated,
                    (half, 0.5 * h),
                    (-half, 0.0),
                );
                paths.along(
                    "root, diagonal",
                    open([sides, floor]),
                    (half + f, h - f),
                    (-h, h),
                );
                paths.along(
                    "floor, far from the web",
                    floor == Treated,
                    (far_x, h),
                    (0.0, h),
                );
            }
        }
        paths.0
    }

    /// Ways across the thin places of this section, from face to face.
    #[must_use]
    pub fn necks(&self, section: &PlaneSection) -> Vec<PlanePath> {
        let mut paths = Paths::default();
        match *section {
            PlaneSection::BoreNearWall { wall, .. } => {
                paths.along("wall over the bore", true, (0.0, 0.0), (0.0, wall.to_m()));
            }
            PlaneSection::TwoBores { web, .. } => {
                let web = web.to_m();
                paths.along("web between the bores", true, (-0.5 * web, 0.0), (web, 0.0));
            }
            PlaneSection::Web {
                thickness, height, ..
            } => {
                let (t, h) = (thickness.to_m(), height.to_m());
                paths.along("web, half way up", true, (-0.5 * t, 0.5 * h), (t, 0.0));
            }
            PlaneSection::Rectangle { width, height, .. } => {
                let (w, h) = (width.to_m(), height.to_m());
                if w <= h {
                    paths.along("across the width", true, (0.0, 0.5 * h), (w, 0.0));
                } else {
                    paths.along("across the height", true, (0.5 * w, 0.0), (0.0, h));
                }
            }
            PlaneSection::PlateEdge { thickness, .. } => {
                let from = (self.window_m[1][0], 0.0);
                paths.along("across the plate", true, from, (0.0, thickness.to_m()));
            }
            PlaneSection::Keyway { .. } => {}
        }
        paths.0
    }

    /// Smallest and greatest distance from the line of this carbon to the nearest treated
    /// surface; `None` where there is no such line or nothing is treated.
    #[must_use]
    pub fn depth_range(&self, carbon: WeightPercent) -> Option<(Length, Length)> {
        // Between two points of a line the nearest face may change, and there the line lies deepest.
        let places = self.contour(carbon).into_iter().flat_map(|line| {
            let between: Vec<[f64; 2]> = line
                .windows(2)
                .flat_map(|chord| {
                    (1..PARTS).filter_map(|k| {
                        let share = f64::from(k) / f64::from(PARTS);
                        self.on_line([chord[0], chord[1]], share, carbon)
                    })
                })
                .collect();
            line.into_iter().chain(between)
        });
        let depths = places.filter_map(|[x, y]| self.depth_at(point(x, y)));
        depths.fold(None, |range, depth| match range {
            None => Some((depth, depth)),
            Some((low, high)) => Some((
                if depth < low { depth } else { low },
                if depth > high { depth } else { high },
            )),
        })
    }
}

impl PlaneRun {
    /// Where the line of this carbon passes a chord of it, at a share of the chord's length; `None`
    /// where it is not within a quarter of that length.
    fn on_line(
        &self,
        [a, b]: [[f64; 2]; 2],
        share: f64,
        carbon: WeightPercent,
    ) -> Option<[f64; 2]> {
        let d = [b[0] - a[0], b[1] - a[1]];
        // Across the chord, in lengths of it.
        let at = |t: f64| {
            [
                a[0] + share * d[0] - t * d[1],
                a[1] + share * d[1] + t * d[0],
            ]
        };
        let over = |t: f64| {
            let [x, y] = at(t);
            self.at(point(x, y))
                .map_or(f64::NAN, |found| (found - carbon).to_wt_pct())
        };
        // A millionth of a chord is below any reading.
        brent(-0.25, 0.25, 1e-6, over).ok().map(at)
    }
}

fn bar(paths: &mut Paths, (w, h): (f64, f64), radius: f64, faces: [Face; 4]) {
    let [left, right, bottom, top] = faces.map(|face| face == Treated);
    let r = INWARD * radius;
    paths.along("middle of the left face", left, (0.0, 0.5 * h), (w, 0.0));
    paths.along(
        "middle of the bottom face",
        bottom,
        (0.5 * w, 0.0),
        (0.0, h),
    );
    paths.along(
        "lower left corner, diagonal",
        left || bottom,
        (r, r),
        (w, w),
    );
    let (twin_x, twin_y) = (left == right, bottom == top);
    if !twin_x {
        paths.along("middle of the right face", right, (w, 0.5 * h), (-w, 0.0));
        let corner = right || bottom;
        paths.along("lower right corner, diagonal", corner, (w - r, r), (-w, w));
    }
    if !twin_y {
        paths.along("middle of the top face", top, (0.5 * w, h), (0.0, -h));
        let corner = left || top;
        paths.along("upper left corner, diagonal", corner, (r, h - r), (w, -w));
    }
    if !twin_x && !twin_y {
        let corner = right || top;
        paths.along(
            "upper right corner, diagonal",
            corner,
            (w - r, h - r),
            (-w, -w),
        );
    }
}

fn keyway(paths: &mut Paths, section: &PlaneSection, far_x: f64) {
    let PlaneSection::Keyway {
        body,
        width,
        depth,
        fillet,
        outside,
        slot,
    } = *section
    else {
        return;
    };
    let (half, depth) = (0.5 * width.to_m(), depth.to_m());
    let f = INWARD * fillet.to_m();
    let (outside, slot) = (outside == Treated, slot == Treated);
    // Where the slot's wall meets the surface, half way between the two inward, and the plain surface
    // far from it.
    let (edge_y, inward) = match body {
        KeywayBody::Flat => {
            paths.along(
                "surface, far from the slot",
                outside,
                (far_x, 0.0),
                (0.0, depth),
            );
            (0.0, (half, half))
        }
        KeywayBody::Round { diameter } => {
            let r = 0.5 * diameter.to_m();
            paths.along("round, beside the slot", outside, (r, r), (-r, 0.0));
            let rise = sqrt(r * r - half * half);
            (r - rise, (r - half, rise))
        }
    };
    paths.along(
        "edge of the slot, diagonal",
        outside || slot,
        (half, edge_y),
        inward,
    );
    let wall_y = 0.5 * (edge_y + depth);
    paths.along(
        "wall of the slot, half way down",
        slot,
        (half, wall_y),
        (half, 0.0),
    );
    let inner = (half - f, depth - f);
    paths.along("inner corner, diagonal", slot, inner, (half, half));
    paths.along(
        "floor of the slot, middle",
        slot,
        (0.0, depth),
        (0.0, depth),
    );
}
