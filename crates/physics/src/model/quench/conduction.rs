//! Implicit conduction with a material that may transform.
//!
//! On a row of nodes or on a grid of them: the body says what is linked and what meets the
//! surroundings. Two-stage diagonally implicit Runge–Kutta (second order, stiffly accurate) on the enthalpy of
//! each node, Newton to 1e-8 K, steps from the difference to the embedded first-order answer.

use crate::law::quench_transfer::TransferCurve;
use crate::law::steel_thermal;
use crate::numerics::banded::Banded;
use crate::numerics::tridiagonal::Factor;
use crate::run::Failure;
use casewright_terms::quantity::ICE_POINT_K;

use super::{Body, QuenchRun};

/// 1 − 1/√2: the diagonal coefficient that makes two stages second order and L-stable.
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;
/// Weight of the difference between the stages in the error estimate.
const ESTIMATE: f64 = 0.25;
/// Wanted error estimate per step in kelvin; the true error of the second-order answer is far less.
const STEP_TOLERANCE_K: f64 = 1.5;
/// Largest change of any node in one step, in kelvin: keeps the kinetics resolved.
const LARGEST_CHANGE_K: f64 = 20.0;
/// Largest rise that one step's hand-over of latent heat may make, in kelvin; the rest follows.
const LARGEST_RISE_K: f64 = 6.0;
/// Width of the change from dry to wet: nine tenths of it pass within 300 K.
const JET_WIDTH_K: f64 = 50.0;
/// W/(m²·K⁴), exact by the definition of the units.
pub(crate) const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
const NEWTON_K: f64 = 1e-8;
const MOST_STEPS: usize = 20_000;
const MOST_TIME_S: f64 = 2e6;
/// The part counts as cold (or as hot, in a furnace) when no node is this far from its
/// surroundings, in kelvin.
const COLD_K: f64 = 5.0;

/// What a node is made of. Energies are per volume.
pub(crate) trait Material {
    /// Conductivity in W/(m·K).
    fn conductivity_w_m_k(&self, node: usize, t_k: f64) -> f64;
    /// Slope of [`Self::enthalpy_j_m3`] in J/(m³·K).
    fn slope_j_m3_k(&self, node: usize, t_k: f64) -> f64;
    /// Enthalpy in J/m³ against any fixed zero, the state frozen at the step's start.
    fn enthalpy_j_m3(&self, node: usize, t_k: f64) -> f64;
    /// Takes the state over a step; gives the heat released that [`Self::enthalpy_j_m3`] does not
    /// contain, in J/m³.
    fn advance(&mut self, node: usize, from_k: f64, to_k: f64, step_s: f64) -> f64;
}

/// Austenite that stays austenite.
pub(crate) struct PlainAustenite;

impl Material for PlainAustenite {
    fn conductivity_w_m_k(&self, _: usize, t_k: f64) -> f64 {
        steel_thermal::conductivity_w_m_k(1.0, t_k)
    }
    fn slope_j_m3_k(&self, _: usize, t_k: f64) -> f64 {
        steel_thermal::heat_capacity_j_m3_k(1.0, t_k)
    }
    fn enthalpy_j_m3(&self, _: usize, t_k: f64) -> f64 {
        steel_thermal::sensible_j_m3(1.0, t_k)
    }
    fn advance(&mut self, _: usize, _: f64, _: f64, _: f64) -> f64 {
        0.0
    }
}

/// Constant properties, for closed forms.
pub(crate) struct Constant {
    pub(crate) conductivity_w_m_k: f64,
    pub(crate) heat_capacity_j_m3_k: f64,
}

impl Material for Constant {
    fn conductivity_w_m_k(&self, _: usize, _: f64) -> f64 {
        self.conductivity_w_m_k
    }
    fn slope_j_m3_k(&self, _: usize, _: f64) -> f64 {
        self.heat_capacity_j_m3_k
    }
    fn enthalpy_j_m3(&self, _: usize, t_k: f64) -> f64 {
        self.heat_capacity_j_m3_k * t_k
    }
    fn advance(&mut self, _: usize, _: f64, _: f64, _: f64) -> f64 {
        0.0
    }
}

/// Heat transfer at the surface.
pub(crate) enum Film {
    Curve(TransferCurve),
    Constant {
        h_w_m2_k: f64,
    },
    /// A furnace: radiation of grey walls and convection.
    Furnace {
        emissivity: f64,
        convection_w_m2_k: f64,
    },
    /// A jet that wets where the surface passes `wets_c`, over some 200 K.
    Jet {
        dry_w_m2_k: f64,
        wet_w_m2_k: f64,
        wets_c: f64,
    },
}

impl Film {
    fn flux_w_m2(&self, surface_k: f64, ambient_k: f64) -> f64 {
        let h = match self {
            Self::Curve(curve) => curve.at_w_m2_k(surface_k - ICE_POINT_K),
            Self::Constant { h_w_m2_k } => *h_w_m2_k,
            Self::Furnace {
                emissivity,
                convection_w_m2_k,
            } => {
                let squares = surface_k * surface_k + ambient_k * ambient_k;
                emissivity * STEFAN_BOLTZMANN * squares * (surface_k + ambient_k)
                    + convection_w_m2_k
            }
            Self::Jet {
                dry_w_m2_k,
                wet_w_m2_k,
                wets_c,
            } => {
                let above = (surface_k - ICE_POINT_K - wets_c) / JET_WIDTH_K;
                dry_w_m2_k + (wet_w_m2_k - dry_w_m2_k) / (1.0 + crate::numerics::fun::exp(above))
            }
        };
        h * (surface_k - ambient_k)
    }
}

/// A surrounding and how long the part stays in it; the last stage without a time ends when cold.
pub(crate) struct Stage {
    /// At the beginning of the stage.
    pub(crate) ambient_k: f64,
    /// How fast the surroundings change; with a drift the stage needs a time.
    pub(crate) drift_k_s: f64,
    pub(crate) film: Film,
    pub(crate) lasts_s: Option<f64>,
}

/// Cools the body through the stages.
pub(crate) fn cool(
    body: &Body,
    material: &mut impl Material,
    from_k: f64,
    stages: &[Stage],
) -> Result<QuenchRun, Failure> {
    let mut solver = Solver::new(body, from_k);
    for (index, stage) in stages.iter().enumerate() {
        solver.run_stage(material, stage, index + 1 == stages.len())?;
    }
    let scale = solver.left_j_m2.abs().max(solver.lost_j_m2.abs());
    let mass_kg_m2 = body.whole_m() * steel_thermal::DENSITY_KG_M3;
    Ok(QuenchRun {
        time_s: solver.times_s,
        depth_m: body.depth_m.clone(),
        temperature_k: solver.record_k,
        heat_to_bath_j_kg: solver.last_stage_j_m2 / mass_kg_m2,
        balance_error: if scale > 0.0 {
            (solver.left_j_m2 - solver.lost_j_m2).abs() / scale
        } else {
            0.0
        },
        steps: solver.steps,
        refused: solver.refused,
        remarks: Vec::new(),
    })
}

struct Solver<'a> {
    body: &'a Body,
    t_k: Vec<f64>,
    /// Heat that the next step hands to the enthalpy, in J/m³.
    waiting_j_m3: Vec<f64>,
    /// Heat released beyond what one step may hand on, in J/m³.
    held_back_j_m3: Vec<f64>,
    time_s: f64,
    steps: usize,
    refused: usize,
    left_j_m2: f64,
    lost_j_m2: f64,
    last_stage_j_m2: f64,
    times_s: Vec<f64>,
    record_k: Vec<f64>,
    work: Work,
}

#[derive(Default)]
struct Work {
    start_j_m3: Vec<f64>,
    base_j_m2: Vec<f64>,
    gain: [Vec<f64>; 2],
    out_w_m2: [f64; 2],
    t_k: Vec<f64>,
    right: Vec<f64>,
    matrix: Matrix,
}

/// The linear system of a Newton step, symmetric.
#[derive(Default)]
struct Matrix {
    diagonal: Vec<f64>,
    /// Entry of each link, on both sides of the diagonal.
    beside: Vec<f64>,
    row: (Vec<f64>, Vec<f64>, Factor),
    grid: Banded,
}

impl Matrix {
    /// `false` where the matrix cannot be factorised.
    fn solve(&mut self, body: &Body, right: &mut [f64]) -> bool {
        if body.band == 1 {
            let (lower, upper, factor) = &mut self.row;
            for (link, entry) in body.links.iter().zip(&self.beside) {
                upper[link.from] = *entry;
                lower[link.to] = *entry;
            }
            if !factor.set(lower, &self.diagonal, upper) {
                return false;
            }
            factor.solve(right);
            return true;
        }
        self.grid.clear(body.len(), body.band);
        for (i, entry) in self.diagonal.iter().enumerate() {
            self.grid.add(i, i, *entry);
        }
        for (link, entry) in body.links.iter().zip(&self.beside) {
            self.grid.add(link.to, link.from, *entry);
        }
        if !self.grid.factor() {
            return false;
        }
        self.grid.solve(right);
        true
    }
}

impl<'a> Solver<'a> {
    fn new(body: &'a Body, from_k: f64) -> Self {
        let n = body.len();
        let zeros = || vec![0.0; n];
        Self {
            body,
            t_k: vec![from_k; n],
            waiting_j_m3: zeros(),
            held_back_j_m3: zeros(),
            time_s: 0.0,
            steps: 0,
            refused: 0,
            left_j_m2: 0.0,
            lost_j_m2: 0.0,
            last_stage_j_m2: 0.0,
            times_s: vec![0.0],
            record_k: vec![from_k; n],
            work: Work {
                start_j_m3: zeros(),
                base_j_m2: zeros(),
                gain: [zeros(), zeros()],
                out_w_m2: [0.0; 2],
                t_k: zeros(),
                right: zeros(),
                matrix: Matrix {
                    diagonal: zeros(),
                    beside: vec![0.0; body.links.len()],
                    row: (zeros(), zeros(), Factor::default()),
                    grid: Banded::default(),
                },
            },
        }
    }

    fn run_stage(
        &mut self,
        material: &mut impl Material,
        stage: &Stage,
        last: bool,
    ) -> Result<(), Failure> {
        let begin_s = self.time_s;
        let before_j_m2 = self.left_j_m2;
        let end_s = stage.lasts_s.map_or(f64::INFINITY, |s| begin_s + s);
        let mut step_s: f64 = 1e-3;
        while self.time_s < end_s {
            if stage.lasts_s.is_none()
                && self
                    .t_k
                    .iter()
                    .all(|t| (*t - stage.ambient_k).abs() < COLD_K)
            {
                break;
            }
            // The rest is cut in two where a full step would leave a sliver.
            let rest_s = end_s - self.time_s;
            let try_s = if step_s >= rest_s {
                rest_s
            } else {
                step_s.min(rest_s / 2.0).max(step_s.min(rest_s))
            };
            match self.try_step(material, stage, self.time_s - begin_s, try_s) {
                Some(error_k) if error_k <= 1.0 => {
                    let slow_down = self.accept(material, try_s);
                    if try_s >= rest_s {
                        self.time_s = end_s;
                    }
                    step_s = try_s
                        * (0.9 / crate::numerics::fun::sqrt(error_k.max(1e-4))).clamp(0.3, 1.8)
                        * slow_down;
                }
                Some(error_k) => {
                    self.refused += 1;
                    step_s = try_s * (0.9 / crate::numerics::fun::sqrt(error_k)).clamp(0.1, 0.7);
                }
                None => {
                    self.refused += 1;
                    step_s = try_s * 0.25;
                }
            }
            if self.steps + self.refused > MOST_STEPS || step_s < 1e-9 || self.time_s > MOST_TIME_S
            {
                return Err(Failure::NotSettled {
                    stage: "quench",
                    detail: format!(
                        "the part is {:.0} °C at the surface and not cold",
                        self.t_k[0] - ICE_POINT_K
                    ),
                    time_s: self.time_s,
                    step_s,
                    steps: self.steps,
                });
            }
        }
        if last {
            self.last_stage_j_m2 = self.left_j_m2 - before_j_m2;
        }
        Ok(())
    }

    /// Tries a step: the error over what is allowed (at most 1 is good), `None` where Newton failed.
    fn try_step(
        &mut self,
        material: &impl Material,
        stage: &Stage,
        since_s: f64,
        step_s: f64,
    ) -> Option<f64> {
        let body = self.body;
        let w = &mut self.work;
        for i in 0..body.len() {
            w.start_j_m3[i] = material.enthalpy_j_m3(i, self.t_k[i]);
            w.base_j_m2[i] = 0.0;
            w.t_k[i] = self.t_k[i];
        }
        for k in 0..2 {
            // The first stage stands at γ of the step, the second at its end.
            let at_s = since_s + step_s * if k == 0 { GAMMA } else { 1.0 };
            let around = Around {
                film: &stage.film,
                ambient_k: stage.ambient_k + stage.drift_k_s * at_s,
            };
            if !solve_stage(body, material, &around, step_s, k, w, &self.waiting_j_m3) {
                return None;
            }
            for i in 0..body.len() {
                w.base_j_m2[i] += step_s * (1.0 - GAMMA) * w.gain[0][i] * f64::from(k == 0);
            }
        }
        let mut error: f64 = 0.0;
        for i in 0..body.len() {
            let capacity = body.volume_m[i] * material.slope_j_m3_k(i, w.t_k[i]);
            let estimate = step_s * ESTIMATE * (w.gain[0][i] - w.gain[1][i]).abs() / capacity;
            let change = (w.t_k[i] - self.t_k[i]).abs() / LARGEST_CHANGE_K;
            // Squared, because the step follows the root of the error.
            error = error.max(estimate / STEP_TOLERANCE_K).max(change * change);
        }
        error.is_finite().then_some(error)
    }

    /// Takes the tried step; gives a factor at most 1 on the next one where much heat was released.
    fn accept(&mut self, material: &mut impl Material, step_s: f64) -> f64 {
        let w = &self.work;
        self.left_j_m2 += step_s * ((1.0 - GAMMA) * w.out_w_m2[0] + GAMMA * w.out_w_m2[1]);
        let mut slow_down: f64 = 1.0;
        for i in 0..self.body.len() {
            let (old, new) = (self.t_k[i], w.t_k[i]);
            self.lost_j_m2 += self.body.volume_m[i]
                * (w.start_j_m3[i] + self.waiting_j_m3[i] - material.enthalpy_j_m3(i, new));
            let released = material.advance(i, old, new, step_s);
            let most = LARGEST_RISE_K * material.slope_j_m3_k(i, new);
            let due = released + self.held_back_j_m3[i];
            self.waiting_j_m3[i] = due.min(most);
            self.held_back_j_m3[i] = due - self.waiting_j_m3[i];
            if released > most {
                slow_down = slow_down.min((most / released).max(0.3));
            }
            self.t_k[i] = new;
        }
        self.time_s += step_s;
        self.steps += 1;
        self.times_s.push(self.time_s);
        self.record_k.extend_from_slice(&self.t_k);
        slow_down
    }
}

/// The surroundings at one time.
struct Around<'a> {
    film: &'a Film,
    ambient_k: f64,
}

/// One implicit stage by Newton; fills `gain[k]` (W per outer area), `out_w_m2[k]` and `t_k`.
fn solve_stage(
    body: &Body,
    material: &impl Material,
    around: &Around<'_>,
    step_s: f64,
    k: usize,
    w: &mut Work,
    waiting_j_m3: &[f64],
) -> bool {
    let n = body.len();
    let weight_s = GAMMA * step_s;
    let flux = |t_k: f64| around.film.flux_w_m2(t_k, around.ambient_k);
    for _ in 0..25 {
        for (i, waiting) in waiting_j_m3.iter().enumerate() {
            w.gain[k][i] = body.volume_m[i] * waiting / step_s;
            w.matrix.diagonal[i] = body.volume_m[i] * material.slope_j_m3_k(i, w.t_k[i]);
        }
        for (link, beside) in body.links.iter().zip(&mut w.matrix.beside) {
            let (a, b) = (link.from, link.to);
            let mean = (w.t_k[a] + w.t_k[b]) / 2.0;
            let k_w_m_k =
                (material.conductivity_w_m_k(a, mean) + material.conductivity_w_m_k(b, mean)) / 2.0;
            let conductance = k_w_m_k * link.area_per_length_m;
            let passed = conductance * (w.t_k[a] - w.t_k[b]);
            w.gain[k][a] -= passed;
            w.gain[k][b] += passed;
            *beside = -weight_s * conductance;
            w.matrix.diagonal[a] -= *beside;
            w.matrix.diagonal[b] -= *beside;
        }
        let mut out = 0.0;
        for &(i, area) in &body.skin {
            let here = area * flux(w.t_k[i]);
            out += here;
            w.gain[k][i] -= here;
            let slope = flux(w.t_k[i] + 0.5) - flux(w.t_k[i] - 0.5);
            w.matrix.diagonal[i] += weight_s * area * slope;
        }
        w.out_w_m2[k] = out;
        for i in 0..n {
            let stored = body.volume_m[i] * (material.enthalpy_j_m3(i, w.t_k[i]) - w.start_j_m3[i]);
            w.right[i] = weight_s * w.gain[k][i] + w.base_j_m2[i] - stored;
        }
        if !w.matrix.solve(body, &mut w.right) {
            return false;
        }
        let mut largest: f64 = 0.0;
        for i in 0..n {
            w.t_k[i] += w.right[i].clamp(-200.0, 200.0);
            largest = largest.max(w.right[i].abs());
        }
        if !largest.is_finite() {
            return false;
        }
        if largest < NEWTON_K {
            return true;
        }
    }
    false
}
