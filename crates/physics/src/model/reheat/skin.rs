//! Carbon in the section while it stands in the furnace for a quench.
//!
//! **Unknown**: total carbon as site fraction on nodes from the surface to the middle.
//! **Equation**: ∂y/∂t = div grad Φ(y), with Φ the integral of the diffusivity over the carbon that
//! can move at this temperature: it grows in ferrite, stands still where ferrite and austenite lie
//! side by side, grows in austenite, and stands still again where carbide holds the austenite at its
//! limit. So a rim of ferrite under air, a core of ferrite and austenite, and carbide that minutes do
//! not dissolve come out of one equation.
//! **Surface**: closed where the part is protected; free of carbon under a scale that eats into the
//! steel where it is bare [birks-2006]. The mesh moves with the surface and keeps the middle, so the
//! balance stays closed: what the scale takes is taken through the mesh's motion.
//! **Method**: finite volumes, backward Euler in the root of time (the scale and the rim both grow
//! with it), Newton with the exact slope of Φ.
//! **What it does not do**: nothing moves below Ac1; metals do not move; the scale's own carbon
//! monoxide is taken to escape, which is the upper end of the loss.

use crate::law::carbon_activity::{to_site_fraction, to_wt_pct};
use crate::law::diffusivity::{agren_m2_s, tibbetts_m2_s};
use crate::law::ferrite_carbon::ferrite_m2_s;
use crate::model::transform::Lines;
use crate::numerics::chebyshev::{Basis, Polynomial};
use crate::numerics::fun::sqrt;
use crate::numerics::tridiagonal::Factor;
use crate::setup::{DiffusivityModel, Shape};

/// Newton stops here, as site fraction: 1e-11 wt%.
const NEWTON_Y: f64 = 5e-13;
/// Steps of Newton before the time step is cut; kinks take a dozen at most.
const MOST_NEWTON: usize = 60;
/// Cuts of a time step by half before giving up.
const MOST_CUTS: u32 = 12;
/// Most carbon that the fit of the diffusivity covers, as site fraction (1.9 wt%).
const MOST_Y: f64 = 0.09;

/// How carbon moves at one temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ways {
    /// Carbon of ferrite beside austenite; 0 where there is no ferrite.
    ferrite_y: f64,
    /// Carbon of austenite beside ferrite.
    austenite_y: f64,
    /// Carbon of austenite beside carbide.
    limit_y: f64,
    ferrite_m2_s: f64,
    austenite: Polynomial,
    /// Integral of the austenite's diffusivity up to `austenite_y`.
    below: f64,
}

impl Ways {
    /// For a steel whose lines are known; `None` where there is no austenite for carbon to move in.
    pub(crate) fn new(lines: &Lines, t_k: f64, law: DiffusivityModel, factor: f64) -> Option<Self> {
        if !lines.austenitic() {
            return None;
        }
        let (ferrite, austenite) = lines.rim().unwrap_or((0.0, 0.0));
        // The alloy's factor on the diffusivity is within a few percent of one and is left out here.
        let d = |y: f64| match law {
            DiffusivityModel::Agren1986 | DiffusivityModel::Alloy => agren_m2_s(t_k, y),
            DiffusivityModel::Tibbetts1980 => tibbetts_m2_s(t_k, to_wt_pct(y)),
        };
        Some(Self::with(
            (to_site_fraction(ferrite), to_site_fraction(austenite)),
            to_site_fraction(lines.most()),
            ferrite_m2_s(t_k),
            Basis::new().fit(0.0, MOST_Y, |y| factor * d(y)),
        ))
    }

    fn with(
        (ferrite_y, austenite_y): (f64, f64),
        limit_y: f64,
        ferrite_m2_s: f64,
        austenite: Polynomial,
    ) -> Self {
        Self {
            ferrite_y,
            austenite_y,
            limit_y,
            ferrite_m2_s,
            austenite,
            below: austenite.integral(austenite_y),
        }
    }

    /// Nothing moves: below Ac1.
    pub(crate) fn still() -> Self {
        Self::of_constants((0.0, 0.0), 0.0, 0.0)
    }

    /// Constant diffusivities: for closed solutions.
    pub(crate) fn of_constants(rim_y: (f64, f64), ferrite_m2_s: f64, austenite_m2_s: f64) -> Self {
        let fit = Basis::new().fit(0.0, MOST_Y, |_| austenite_m2_s);
        Self::with(rim_y, MOST_Y, ferrite_m2_s, fit)
    }

    /// Φ and its slope.
    fn drive(&self, y: f64) -> (f64, f64) {
        let rim = self.ferrite_m2_s * self.ferrite_y;
        if y < self.ferrite_y {
            (self.ferrite_m2_s * y, self.ferrite_m2_s)
        } else if y < self.austenite_y {
            (rim, 0.0)
        } else {
            let held = y.min(self.limit_y).min(MOST_Y);
            let slope = if y > held {
                0.0
            } else {
                self.austenite.value(y)
            };
            (rim + self.austenite.integral(held) - self.below, slope)
        }
    }
}

/// The section from its surface to its middle, before any scale.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Section {
    /// From the surface to the middle.
    half_m: f64,
    /// Of the outer surface; not used for a plate.
    radius_m: f64,
    /// 0 plate, 1 cylinder, 2 sphere.
    power: i32,
}

impl Section {
    /// A tube is mirrored in the middle of its wall.
    pub(crate) fn new(shape: Shape, half_m: f64) -> Self {
        let (radius_m, power) = match shape {
            Shape::Plate { .. } => (1.0, 0),
            Shape::Cylinder { radius } => (radius.to_m(), 1),
            Shape::Sphere { radius } => (radius.to_m(), 2),
            Shape::Tube { outer_radius, .. } => (outer_radius.to_m(), 1),
        };
        Self {
            half_m,
            radius_m,
            power,
        }
    }

    fn area(&self, depth_m: f64) -> f64 {
        if self.power == 0 {
            return 1.0;
        }
        ((self.radius_m - depth_m) / self.radius_m)
            .max(0.0)
            .powi(self.power)
    }

    /// Volume from the old surface to a depth, per old surface.
    fn down_to(&self, depth_m: f64) -> f64 {
        if self.power == 0 {
            return depth_m;
        }
        let whole = f64::from(self.power + 1);
        let left = ((self.radius_m - depth_m) / self.radius_m)
            .max(0.0)
            .powi(self.power + 1);
        self.radius_m / whole * (1.0 - left)
    }
}

/// A stretch of the stay in the furnace.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leg {
    pub(crate) lasts_s: f64,
    /// Steel turned to scale at the end of it, counted from the old surface; 0 where protected.
    pub(crate) lost_m: f64,
}

/// What is left.
#[derive(Clone, Debug)]
pub(crate) struct Left {
    /// Site fraction at the nodes.
    pub(crate) y: Vec<f64>,
    /// Depth of the nodes from the old surface.
    pub(crate) place_m: Vec<f64>,
    /// Site fraction × metre lost per old surface.
    pub(crate) lost_y_m: f64,
    /// |what went out − what is missing| over what was there.
    pub(crate) balance_error: f64,
}

/// Carbon on its way.
pub(crate) struct March {
    section: Section,
    /// Place of the nodes between surface (0) and middle (1).
    share: Vec<f64>,
    bare: bool,
    lost_m: f64,
    y: Vec<f64>,
    began_y_m: f64,
    out_y_m: f64,
    work: Work,
}

#[derive(Default)]
struct Work {
    y: Vec<f64>,
    phi: Vec<f64>,
    slope: Vec<f64>,
    /// Conductance of the face to the right, and volume swept by it.
    link: Vec<f64>,
    swept: Vec<f64>,
    volume: Vec<f64>,
    before: Vec<f64>,
    lower: Vec<f64>,
    diagonal: Vec<f64>,
    upper: Vec<f64>,
    right: Vec<f64>,
    factor: Factor,
}

impl March {
    /// `depth_m` from the surface (first, 0) to the middle; `carbon_wt_pct` there.
    pub(crate) fn new(
        section: Section,
        depth_m: &[f64],
        carbon_wt_pct: &[f64],
        bare: bool,
    ) -> Self {
        let half_m = section.half_m;
        let y: Vec<f64> = carbon_wt_pct.iter().map(|c| to_site_fraction(*c)).collect();
        let mut march = Self {
            section,
            share: depth_m.iter().map(|d| d / half_m).collect(),
            bare,
            lost_m: 0.0,
            began_y_m: 0.0,
            out_y_m: 0.0,
            y,
            work: Work::default(),
        };
        let volume = march.volumes(0.0);
        march.began_y_m = total(&volume, &march.y);
        if bare {
            march.out_y_m += volume[0] * march.y[0];
            march.y[0] = 0.0;
        }
        march
    }

    fn place(&self, i: usize, lost_m: f64) -> f64 {
        lost_m + self.share[i] * (self.section.half_m - lost_m)
    }

    fn face(&self, i: usize, lost_m: f64) -> f64 {
        (self.place(i, lost_m) + self.place(i + 1, lost_m)) / 2.0
    }

    fn volumes(&self, lost_m: f64) -> Vec<f64> {
        let n = self.share.len();
        let mut from = self.section.down_to(lost_m);
        (0..n)
            .map(|i| {
                let to = if i + 1 < n {
                    self.section.down_to(self.face(i, lost_m))
                } else {
                    self.section.down_to(self.section.half_m)
                };
                let volume = to - from;
                from = to;
                volume
            })
            .collect()
    }

    /// One leg; `false` where it did not settle.
    pub(crate) fn go(&mut self, ways: &Ways, leg: Leg) -> bool {
        let from_m = self.lost_m;
        let mut done = 0.0;
        let mut cut = 0;
        while done < 1.0 {
            let part = 1.0 / f64::from(1_u32 << cut);
            let next = (done + part).min(1.0);
            let lost_m = from_m + (leg.lost_m - from_m).max(0.0) * next;
            if self.step(ways, part * leg.lasts_s, lost_m) {
                done = next;
            } else if cut < MOST_CUTS {
                cut += 1;
            } else {
                return false;
            }
        }
        true
    }

    /// One implicit step that ends with the surface at `lost_m`.
    fn step(&mut self, ways: &Ways, step_s: f64, lost_m: f64) -> bool {
        self.lay_out(lost_m);
        let first = usize::from(self.bare);
        let n = self.y.len();
        let mut work = std::mem::take(&mut self.work);
        let w = &mut work;
        w.y.clone_from(&self.y);
        let mut settled = false;
        for _ in 0..MOST_NEWTON {
            for i in 0..n {
                (w.phi[i], w.slope[i]) = ways.drive(w.y[i]);
            }
            for i in 0..n {
                let (g_left, swept_left) = if i > 0 {
                    (step_s * w.link[i - 1], w.swept[i - 1])
                } else {
                    (0.0, 0.0)
                };
                let (g_right, swept_right) = if i + 1 < n {
                    (step_s * w.link[i], w.swept[i])
                } else {
                    (0.0, 0.0)
                };
                let mut rest = w.before[i] - (w.volume[i] + swept_left) * w.y[i];
                w.lower[i] = 0.0;
                w.upper[i] = 0.0;
                if i > 0 {
                    rest += g_left * (w.phi[i - 1] - w.phi[i]);
                    w.lower[i] = -g_left * w.slope[i - 1];
                }
                if i + 1 < n {
                    rest += g_right * (w.phi[i + 1] - w.phi[i]) + swept_right * w.y[i + 1];
                    w.upper[i] = -g_right * w.slope[i + 1] - swept_right;
                }
                w.diagonal[i] = w.volume[i] + swept_left + (g_left + g_right) * w.slope[i];
                w.right[i] = rest;
            }
            if first == 1 {
                (w.lower[0], w.diagonal[0], w.upper[0], w.right[0]) = (0.0, 1.0, 0.0, 0.0);
            }
            if !w.factor.set(&w.lower, &w.diagonal, &w.upper) {
                break;
            }
            w.factor.solve(&mut w.right);
            let mut largest: f64 = 0.0;
            for i in 0..n {
                w.y[i] += w.right[i];
                largest = largest.max(w.right[i].abs());
            }
            if !largest.is_finite() {
                break;
            }
            if largest < NEWTON_Y {
                settled = true;
                break;
            }
        }
        if settled {
            if first == 1 {
                let (phi, _) = ways.drive(w.y[1]);
                self.out_y_m += step_s * w.link[0] * phi + w.swept[0] * w.y[1];
            }
            std::mem::swap(&mut self.y, &mut w.y);
            self.lost_m = lost_m;
        }
        self.work = work;
        settled
    }

    /// Volumes, faces and what the mesh sweeps until the surface is at `lost_m`.
    fn lay_out(&mut self, lost_m: f64) {
        let n = self.y.len();
        let old = self.volumes(self.lost_m);
        let mut w = std::mem::take(&mut self.work);
        w.volume = self.volumes(lost_m);
        w.before = old.iter().zip(&self.y).map(|(v, y)| v * y).collect();
        for list in [
            &mut w.phi,
            &mut w.slope,
            &mut w.lower,
            &mut w.diagonal,
            &mut w.upper,
            &mut w.right,
        ] {
            list.resize(n, 0.0);
        }
        w.link.clear();
        w.swept.clear();
        for i in 0..n - 1 {
            let (was, is) = (self.face(i, self.lost_m), self.face(i, lost_m));
            let gap = self.place(i + 1, lost_m) - self.place(i, lost_m);
            w.link.push(self.section.area(is) / gap);
            w.swept
                .push(self.section.down_to(is) - self.section.down_to(was));
        }
        self.work = w;
    }

    /// The end.
    pub(crate) fn left(self) -> Left {
        let is_y_m = total(&self.volumes(self.lost_m), &self.y);
        let missing = self.began_y_m - is_y_m;
        let place_m = (0..self.y.len())
            .map(|i| self.place(i, self.lost_m))
            .collect();
        Left {
            place_m,
            lost_y_m: missing,
            balance_error: if self.began_y_m > 0.0 {
                (missing - self.out_y_m).abs() / self.began_y_m
            } else {
                0.0
            },
            y: self.y,
        }
    }
}

fn total(volume: &[f64], y: &[f64]) -> f64 {
    volume.iter().zip(y).map(|(v, y)| v * y).sum()
}

/// Times that cut a stay so that the root of time advances evenly: shares of the whole, rising to 1.
pub(crate) fn by_root(steps: u32) -> impl Iterator<Item = f64> {
    (1..=steps).map(move |k| {
        let share = f64::from(k) / f64::from(steps);
        share * share
    })
}

/// Steel lost after a share of a stay at one temperature, when all of it is `whole_m`.
pub(crate) fn lost_after(whole_m: f64, share: f64) -> f64 {
    whole_m * sqrt(share)
}
