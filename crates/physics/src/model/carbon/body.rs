//! The discrete body: fluxes, their derivatives, the balance, and the march through the legs.

use super::edges::{self, FaceEdge};
use super::fading::Fading;
use super::fit::{Law, Limits};

use super::legs::{Leg, MOVES_FROM_C};
use super::pace::Pace;
use super::supply::{self, Supply, boost};
use crate::numerics::chebyshev::{Basis, FEW, Polynomial};
use crate::numerics::mesh::{Grading, Mesh, Section};
use crate::numerics::rosenbrock::{Counts, Stepper, System};
use crate::numerics::tridiagonal::Factor;
use crate::run::Failure;
use casewright_terms::quantity::ICE_POINT_K;

/// A problem in bare numbers.
#[derive(Clone, Debug)]
pub(crate) struct Problem {
    pub section: Section,
    pub law: Law,
    pub factor: f64,
    /// What holds throughout where there are no turns.
    pub supply: Supply,
    /// Turns of a program, and the curves of media.
    pub supplies: supply::Supplies,
    pub legs: Vec<Leg>,
    pub core_y: f64,
    /// Largest error wanted, as site fraction.
    pub tolerance_y: f64,
    /// Saturation lines; without them the matrix takes any carbon (closed solutions).
    pub limits: Option<Limits>,
    /// A mesh chosen by a test instead of by the tolerance.
    pub grading: Option<Grading>,
    /// Equal steps per leg chosen by a test instead of error control.
    #[cfg(test)]
    pub equal_steps: Option<usize>,
}

/// The answer in bare numbers.
#[derive(Clone, Debug)]
pub(crate) struct Solved {
    pub mesh: Mesh,
    pub y: Vec<f64>,
    /// Site fraction × metre taken up per outer surface, by the integrated flux.
    pub uptake_m: f64,
    /// The same from the gain inside.
    pub gain_m: f64,
    pub counts: Counts,
    /// Times the tolerance, where the steps settled only with the carbide's edge on the nodes.
    pub coarser: Option<f64>,
}

/// One step's error estimate over the tolerance. The estimate is that of the third-order answer,
/// the step is of fourth order, and early errors are smoothed away: with 3, steps add a third of
/// the tolerance to the true error at most, and the mesh the rest
/// (`true_error_stays_within_the_tolerance`, worst 0.89).
const STEP_SHARE: f64 = 3.0;
/// The same before carbide that may come: it keeps the errors that it finds.
const STEP_SHARE_BEFORE: f64 = 1.0;
/// The same while there is carbide: each node that the edge passes is a bend in time, which the
/// estimate, made for smooth answers, sees too late. With a half the worst of nine dense references is
/// 3.3 tolerances, with this 1.5 (`carbon_dense.rs`); a fifth does not better it.
const STEP_SHARE_CARBIDE: f64 = 0.3;
/// Half the width of the rounded corner at saturation, in tolerances.
pub(crate) const BLEND: f64 = 2.0;
/// Share of it that a row of nodes needs. With the whole the skins of a thin plate and of a bar err by
/// 1.2 and 2 tolerances (`carbon_dense.rs`); with half of it the solver of sections leaves a tenth of a
/// tolerance over (`linear_solver_is_exact_enough`).
const ROW_BLEND: f64 = 0.5;

/// Integral of the fastest diffusivity over the hot legs, in m².
pub(crate) fn spread_m2(problem: &Problem) -> f64 {
    let (_, high) = problem.range();
    let d = |t_k: f64| problem.factor * problem.law.d_m2_s(t_k, high);
    problem
        .legs
        .iter()
        .filter(|leg| moves(leg))
        .map(|leg| leg.integral(d))
        .sum()
}

/// Whether carbon moves in this leg (it lies on one side of the limit).
pub(crate) fn moves(leg: &Leg) -> bool {
    0.5 * (leg.from_k + leg.to_k) >= MOVES_FROM_C + ICE_POINT_K
}

/// Stretches of temperature into which a ramp is cut to bound what happens on it.
const PARTS: usize = 16;

/// Ends of the stretches of a leg; one without width where the temperature stands.
fn parts(leg: &Leg) -> impl Iterator<Item = [f64; 2]> + use<> {
    let (from_k, step_k) = (leg.from_k, (leg.to_k - leg.from_k) / PARTS as f64);
    let count = if step_k == 0.0 { 1 } else { PARTS };
    (0..count).map(move |k| [k, k + 1].map(|k| from_k + step_k * k as f64))
}

impl Problem {
    /// Least and most matrix carbon that can occur.
    pub(crate) fn range(&self) -> (f64, f64) {
        let (mut low, mut high) = (self.core_y, self.core_y);
        let mut take = |y: f64| {
            low = low.min(y);
            high = high.max(y);
        };
        for leg in self.legs.iter().filter(|leg| leg.open && moves(leg)) {
            for ends in parts(leg) {
                for t_k in ends {
                    // What is given may fall while the limit rises; one end's potential under the
                    // other end's limit bounds all between.
                    let given = match self.supply_in(leg) {
                        Supply::Held { y } => {
                            take(y);
                            continue;
                        }
                        Supply::Pack => {
                            take(self.pack_y(t_k));
                            continue;
                        }
                        Supply::Sealed => continue,
                        Supply::Fed { potential_y } => self.fed_y(t_k, potential_y),
                        Supply::Curve { index } => {
                            self.supplies.curves[index].potential_y(t_k, supply::MOST_Y)
                        }
                        Supply::Flux { .. } => supply::MOST_Y,
                    };
                    ends.iter()
                        .for_each(|limit_k| take(self.most(*limit_k, given)));
                }
            }
        }
        (low, high)
    }

    /// What stands at the surface in a leg.
    pub(crate) fn supply_in(&self, leg: &Leg) -> Supply {
        let turns = &self.supplies.turns;
        if turns.is_empty() {
            return self.supply;
        }
        let middle_s = 0.5 * (leg.start_s + leg.end_s);
        turns
            .iter()
            .find(|turn| middle_s < turn.end_s)
            .map_or(Supply::Sealed, |turn| turn.supply)
    }

    /// Whether carbon is never taken out of the body.
    pub(crate) fn gives_only(&self) -> bool {
        let never_takes = |supply: Supply| supply.gives_only() || supply == Supply::Sealed;
        let turns = &self.supplies.turns;
        if turns.is_empty() {
            never_takes(self.supply)
        } else {
            turns.iter().all(|turn| never_takes(turn.supply))
        }
    }

    /// What the matrix takes of a potential.
    fn capped(&self, t_k: f64, y: f64) -> f64 {
        let blend = BLEND * self.tolerance_y;
        self.limits
            .map_or(y, |limits| rounded_min(y, limits.matrix(t_k), blend).0)
    }

    /// Most total carbon that goes with a potential: to the end of the rounded corner.
    fn most(&self, t_k: f64, y: f64) -> f64 {
        let blend = BLEND * self.tolerance_y;
        self.limits
            .map_or(y, |limits| y.min(limits.matrix(t_k) + blend))
    }

    /// Site fraction that the steel takes of a potential, limits apart.
    pub(crate) fn fed_y(&self, t_k: f64, potential_y: f64) -> f64 {
        self.supplies.taken_y(t_k, potential_y)
    }

    fn pack_y(&self, t_k: f64) -> f64 {
        self.limits.map_or(self.core_y, |limits| limits.pack(t_k))
    }

    /// How fast saturation sinks in a leg, at a temperature.
    fn sinking(&self, leg: &Leg, t_k: f64) -> f64 {
        let rate_k_s = (leg.to_k - leg.from_k) / (leg.end_s - leg.start_s);
        // Also where a leg has no length.
        if rate_k_s.is_nan() || rate_k_s >= 0.0 {
            return 0.0;
        }
        self.limits.map_or(0.0, |limits| {
            // Half a kelvin either way: the line is smooth over tens of kelvin.
            let by_k = limits.matrix(t_k + 0.5) - limits.matrix(t_k - 0.5);
            (-rate_k_s * by_k).max(0.0)
        })
    }

    /// What holds at a time of a leg; D is fitted on a range of site fractions.
    pub(crate) fn conditions(
        &self,
        basis: &Basis<FEW>,
        fit_range: (f64, f64),
        leg: &Leg,
        t_s: f64,
    ) -> Conditions {
        let t_k = leg.temperature_k(t_s);
        let limit = self
            .limits
            .map_or(f64::INFINITY, |limits| limits.matrix(t_k));
        let (beta, potential) = match self.supply_in(leg) {
            Supply::Fed { potential_y } => {
                let y = self.fed_y(t_k, potential_y);
                (leg.beta_m_s(t_s), self.capped(t_k, y))
            }
            Supply::Pack => (leg.beta_m_s(t_s), self.capped(t_k, self.pack_y(t_k))),
            Supply::Curve { index } if leg.open => {
                let curve = &self.supplies.curves[index];
                let y = curve.potential_y(t_k, limit.min(supply::MOST_Y));
                (curve.beta_m_s(t_k), self.capped(t_k, y))
            }
            // The rate stands in the place of β. It ends where the rounded corner of saturation
            // begins: carbide that a boost leaves is not followed.
            Supply::Flux { y_m_s } if leg.open => {
                (y_m_s, limit.min(supply::MOST_Y) - BLEND * self.tolerance_y)
            }
            Supply::Held { .. } | Supply::Sealed | Supply::Curve { .. } | Supply::Flux { .. } => {
                (0.0, 0.0)
            }
        };
        Conditions {
            at_s: t_s,
            d: self.law.fit(basis, t_k, self.factor, fit_range),
            limit,
            sinking: self.sinking(leg, t_k),
            blend: BLEND * self.tolerance_y,
            beta,
            potential,
        }
    }

    /// Range on which D is fitted: what can occur, and a little more for stages between steps.
    pub(crate) fn fit_range(&self) -> (f64, f64) {
        Self::widened(self.range())
    }

    fn widened((low, high): (f64, f64)) -> (f64, f64) {
        let margin = 0.02 * (high - low) + 1e-6;
        ((low - margin).max(0.0), high + margin)
    }
}

/// What holds at one time.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Conditions {
    pub at_s: f64,
    pub d: Polynomial<FEW>,
    pub limit: f64,
    /// How fast it sinks, 1/s; 0 where it stands or rises.
    pub sinking: f64,
    /// Half the width over which the matrix comes to the limit.
    pub blend: f64,
    pub beta: f64,
    pub potential: f64,
}

impl Conditions {
    /// Matrix carbon of a total, and its derivative.
    #[inline]
    pub(crate) fn matrix(&self, y: f64) -> (f64, f64) {
        rounded_min(y, self.limit, self.blend)
    }

    /// Whether no node is near saturation: the loops over the nodes then have no branches and
    /// several nodes are done at once.
    #[inline]
    pub(crate) fn all_dissolved(&self, y: &[f64]) -> bool {
        let corner = self.limit - self.blend;
        y.iter().fold(true, |all, y| all & (*y <= corner))
    }

    /// Flux into a surface of total carbon `y`, and its derivative.
    #[inline]
    pub(crate) fn fed(&self, supply: Supply, y: f64) -> (f64, f64) {
        let (matrix, slope) = self.matrix(y);
        if matches!(supply, Supply::Flux { .. }) {
            let (flux, by_matrix) = boost(self.beta, self.potential, matrix);
            return (flux, by_matrix * slope);
        }
        let flux = self.beta * (self.potential - matrix);
        if supply.gives_only() && flux < 0.0 {
            (0.0, 0.0)
        } else {
            (flux, -slope * self.beta)
        }
    }
}

/// The lesser of `y` and `limit`, and its derivative by `y`. The corner is rounded over `blend`
/// to either side: where carbide just holds a thin body at saturation, a sharp one would make
/// the steps chatter.
#[inline]
fn rounded_min(y: f64, limit: f64, blend: f64) -> (f64, f64) {
    // Without branches, so that several nodes are done at once.
    let over = (y - limit + blend).max(0.0).min(2.0 * blend);
    let beyond = (y - limit - blend).max(0.0);
    let share = over / (2.0 * blend);
    (y - 0.5 * over * share - beyond, 1.0 - share)
}

/// The body as a system of equations: nodes, and last the uptake.
struct Body<'a> {
    problem: &'a Problem,
    mesh: &'a Mesh,
    basis: Basis<FEW>,
    /// Range of the fit of D.
    fit_range: (f64, f64),
    /// No state leaves these.
    bounds: (f64, f64),
    leg: Leg,
    supply: Supply,
    now: Conditions,
    /// Volumes, and 1 for the uptake.
    mass: Vec<f64>,
    /// Face area over gap.
    conductance: Vec<f64>,
    treated_last: f64,
    held: bool,
    /// Whether carbide may form, which keeps what errors it meets.
    may_freeze: bool,
    fading: Fading,
    matrix: Matrix,
    phi: Vec<f64>,
    edges: Vec<FaceEdge>,
    /// Whether the carbide's edge is placed between nodes.
    between: bool,
}

#[derive(Default)]
struct Matrix {
    lower: Vec<f64>,
    diagonal: Vec<f64>,
    upper: Vec<f64>,
    factor: Factor,
    shift: f64,
    /// Derivative of the uptake by the first two and last two nodes.
    uptake: [f64; 4],
}

impl<'a> Body<'a> {
    fn new(problem: &'a Problem, mesh: &'a Mesh) -> Self {
        let n = mesh.len();
        let mut mass = mesh.volume_m.clone();
        mass.push(1.0);
        let bounds = problem.range();
        let fit_range = Problem::widened(bounds);
        let leg = Leg {
            start_s: 0.0,
            end_s: 0.0,
            from_k: 1000.0,
            to_k: 1000.0,
            beta_m_s: (0.0, 0.0),
            open: false,
        };
        let basis = Basis::short();
        let d = problem
            .law
            .fit(&basis, leg.from_k, problem.factor, fit_range);
        let tube = matches!(problem.section, Section::Tube { .. });
        Self {
            now: Conditions {
                at_s: f64::NAN,
                d,
                limit: f64::INFINITY,
                sinking: 0.0,
                blend: BLEND * problem.tolerance_y,
                beta: 0.0,
                potential: 0.0,
            },
            conductance: mesh
                .face_area
                .iter()
                .zip(&mesh.gap_m)
                .map(|(a, h)| a / h)
                .collect(),
            treated_last: if tube { mesh.last_area } else { 0.0 },
            matrix: Matrix {
                lower: vec![0.0; n],
                diagonal: vec![0.0; n],
                upper: vec![0.0; n],
                ..Matrix::default()
            },
            phi: vec![0.0; n],
            edges: Vec::new(),
            between: true,
            problem,
            mesh,
            basis,
            fit_range,
            may_freeze: problem.carbide_may_form(bounds.1),
            fading: Fading::new(problem, bounds.1),
            bounds,
            leg,
            supply: problem.supply,
            mass,
            held: false,
        }
    }

    /// Enters a leg: the surface may be set, which counts as uptake.
    fn enter(&mut self, leg: Leg, y: &mut [f64]) {
        let n = self.mesh.len();
        self.leg = leg;
        self.fading.enter(self.problem, &leg);
        self.supply = self.problem.supply_in(&leg);
        self.now.at_s = f64::NAN;
        self.held = false;
        if let (Supply::Held { y: held }, true) = (self.supply, leg.open) {
            self.held = true;
            y[n] += self.mass[0] * (held - y[0]);
            y[0] = held;
            if self.treated_last > 0.0 {
                y[n] += self.mass[n - 1] * (held - y[n - 1]);
                y[n - 1] = held;
            }
        }
    }

    fn update(&mut self, t_s: f64) {
        if self.now.at_s == t_s || (self.leg.steady() && !self.now.at_s.is_nan()) {
            return;
        }
        self.now = self
            .problem
            .conditions(&self.basis, self.fit_range, &self.leg, t_s);
        self.now.blend *= ROW_BLEND;
    }

    /// Net inflow of each node and, last, of the body.
    fn inflow(&mut self, t_s: f64, y: &[f64], out: &mut [f64]) {
        self.update(t_s);
        let n = self.mesh.len();
        let (now, mesh) = (&self.now, self.mesh);
        let nodes = self.phi.iter_mut().zip(y);
        let dissolved = now.all_dissolved(&y[..n]);
        if dissolved {
            nodes.for_each(|(phi, y)| *phi = now.d.integral(*y));
        } else {
            nodes.for_each(|(phi, y)| *phi = now.d.integral(now.matrix(*y).0));
            if self.between {
                edges::find(now, mesh, &self.conductance, &y[..n], &mut self.edges);
            }
            for edge in &self.edges {
                self.phi[edge.other] = now.d.integral(edge.matrix);
            }
        }
        let mut before = 0.0;
        for ((out, pair), c) in out
            .iter_mut()
            .zip(self.phi.windows(2))
            .zip(&self.conductance)
        {
            let flux = c * (pair[0] - pair[1]);
            *out = before - flux;
            before = flux;
        }
        out[n - 1] = before;
        if !dissolved {
            for edge in &self.edges {
                let more = (edge.share.factor - 1.0) * edge.flux;
                out[edge.full] -= more;
                out[edge.other] += more;
            }
        }
        if self.held {
            let (first, last) = (out[0], out[n - 1]);
            out[0] = 0.0;
            out[n] = -first;
            if self.treated_last > 0.0 {
                out[n - 1] = 0.0;
                out[n] -= last;
            }
        } else {
            let fed = |y: f64| now.fed(self.supply, y).0;
            let (first, last) = (fed(y[0]), self.treated_last * fed(y[n - 1]));
            out[0] += first;
            out[n - 1] += last;
            out[n] = first + last;
        }
    }

    /// Moves what lies over or under the bounds into the neighbour, conserving carbon; what
    /// arrives at a held node came through the surface. `false` where it is more than the
    /// tolerance, or does not fit.
    fn bound(&self, y: &mut [f64]) -> bool {
        let n = self.mesh.len();
        let (low, high) = self.bounds;
        let (least, most) = y[..n]
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
                (a.min(*v), b.max(*v))
            });
        if least >= low && most <= high {
            return true;
        }
        let slack = self.problem.tolerance_y;
        // Written so that NaN fails.
        if !(least >= low - slack && most <= high + slack) {
            return false;
        }
        for inward in [false, true] {
            for k in 0..n {
                let (i, next) = if inward {
                    (k, k + 1)
                } else {
                    (n - 1 - k, (n - 1).wrapping_sub(k + 1))
                };
                let kept = y[i].clamp(low, high);
                let over = (y[i] - kept) * self.mass[i];
                if over == 0.0 {
                    continue;
                }
                if next < n {
                    y[i] = kept;
                    let held =
                        self.held && (next == 0 || (next == n - 1 && self.treated_last > 0.0));
                    if held {
                        y[n] -= over;
                    } else {
                        y[next] += over / self.mass[next];
                    }
                }
            }
        }
        y[..n].iter().all(|v| (low..=high).contains(v))
    }
}

impl System for Body<'_> {
    fn mass(&self) -> &[f64] {
        &self.mass
    }

    fn force(&mut self, t_s: f64, y: &[f64], out: &mut [f64]) {
        self.inflow(t_s, y, out);
    }

    fn steady(&self) -> bool {
        self.leg.steady()
    }

    fn prepare(&mut self, t_s: f64, y: &[f64], shift: f64) -> bool {
        self.update(t_s);
        let n = self.mesh.len();
        let (now, mesh) = (&self.now, self.mesh);
        let nodes = self.phi.iter_mut().zip(y);
        let dissolved = now.all_dissolved(&y[..n]);
        if dissolved {
            self.edges.clear();
            nodes.for_each(|(d, y)| *d = now.d.value(*y));
        } else {
            nodes.for_each(|(d, y)| {
                let (matrix, slope) = now.matrix(*y);
                *d = slope * now.d.value(matrix);
            });
            if self.between {
                edges::find(now, mesh, &self.conductance, &y[..n], &mut self.edges);
            }
            for edge in &self.edges {
                // What the full node adds to this matrix stands still with it.
                self.phi[edge.other] = edge.slope * now.d.value(edge.matrix);
            }
        }
        let d = &self.phi;
        let m = &mut self.matrix;
        m.shift = shift;
        let mut before = 0.0;
        for i in 0..n {
            let after = self.conductance.get(i).copied().unwrap_or(0.0);
            m.diagonal[i] = shift * self.mass[i] + (before + after) * d[i];
            m.lower[i] = if i > 0 { -before * d[i - 1] } else { 0.0 };
            m.upper[i] = if i + 1 < n { -after * d[i + 1] } else { 0.0 };
            before = after;
        }
        for edge in &self.edges {
            let (i, j, share) = (edge.full, edge.other, edge.share);
            let more = edge.conductance * (share.factor - 1.0);
            let by_full = more * d[i] + edge.flux * share.by_over;
            // The lack sinks as the carbon rises.
            let by_other = -more * d[j] - edge.flux * share.by_lack * edge.slope;
            m.diagonal[i] += by_full;
            m.diagonal[j] -= by_other;
            if i < j {
                m.upper[i] += by_other;
                m.lower[j] -= by_full;
            } else {
                m.lower[i] += by_other;
                m.upper[j] -= by_full;
            }
        }
        m.uptake = [0.0; 4];
        if self.held {
            // What leaves a held node came in through the surface.
            m.uptake[1] = m.upper[0];
            (m.diagonal[0], m.upper[0]) = (1.0, 0.0);
            if self.treated_last > 0.0 {
                m.uptake[2] = m.lower[n - 1];
                (m.diagonal[n - 1], m.lower[n - 1]) = (1.0, 0.0);
            }
        } else {
            let fed = |y: f64| -now.fed(self.supply, y).1;
            let (first, last) = (fed(y[0]), self.treated_last * fed(y[n - 1]));
            m.diagonal[0] += first;
            m.diagonal[n - 1] += last;
            (m.uptake[0], m.uptake[3]) = (-first, -last);
        }
        m.factor.set(&m.lower, &m.diagonal, &m.upper)
    }

    fn solve(&self, right: &mut [f64]) {
        let n = self.mesh.len();
        if self.held {
            right[0] = 0.0;
            if self.treated_last > 0.0 {
                right[n - 1] = 0.0;
            }
        }
        let (nodes, uptake) = right.split_at_mut(n);
        self.matrix.factor.solve(nodes);
        let u = &self.matrix.uptake;
        let coupled = u[0] * nodes[0] + u[1] * nodes[1] + u[2] * nodes[n - 2] + u[3] * nodes[n - 1];
        uptake[0] = (uptake[0] + coupled) / self.matrix.shift;
    }

    fn size(&self, t_s: f64, y: &[f64], error: &[f64]) -> f64 {
        let n = self.mesh.len();
        let worst = error[..n].iter().fold(0.0_f64, |m, e| m.max(e.abs()));
        // A sum finds what a maximum ignores: NaN.
        if !error.iter().sum::<f64>().is_finite() {
            return f64::INFINITY;
        }
        let share = if !self.may_freeze {
            STEP_SHARE
        } else if self.now.all_dissolved(&y[..n]) {
            STEP_SHARE_BEFORE
        } else {
            STEP_SHARE_CARBIDE
        };
        worst / (share * self.fading.allowance(t_s) * self.problem.tolerance_y)
    }

    fn settle(&mut self, y: &mut [f64]) -> bool {
        self.bound(y)
    }
}

/// What is tried where an edge of carbide that goes back and forth between two nodes stops the steps:
/// the tolerance, which also rounds the corner of saturation, times this.
const LOOSER: [f64; 3] = [1.0, 4.0, 16.0];

/// Solves the problem. Where the steps will not settle, it is solved again with the carbide's edge on
/// the nodes (first order beside the edge), and then with a wider tolerance; the answer says which.
pub(crate) fn solve(problem: &Problem) -> Result<Solved, Failure> {
    let first = solve_with(problem, true);
    if first.is_ok() {
        return first;
    }
    for looser in LOOSER {
        let wider = Problem {
            tolerance_y: problem.tolerance_y * looser,
            ..problem.clone()
        };
        if let Ok(solved) = solve_with(&wider, false) {
            return Ok(Solved {
                coarser: Some(looser),
                ..solved
            });
        }
    }
    first
}

fn solve_with(problem: &Problem, between: bool) -> Result<Solved, Failure> {
    let mesh = Mesh::new(problem.section, problem.grading());
    let n = mesh.len();
    let mut y = vec![problem.core_y; n + 1];
    y[n] = 0.0;
    let mut stepper = Stepper::default();
    let mut body = Body::new(problem, &mesh);
    body.between = between;
    let mut pace = Pace::default();
    for leg in problem.legs.iter().filter(|leg| moves(leg)) {
        let before = body.supply;
        body.enter(*leg, &mut y);
        let turns = body.supply != before;
        pace.enter(
            problem,
            leg,
            body.bounds.1,
            turns,
            mesh.gap_m[0],
            &mut stepper,
        );
        #[cfg(test)]
        if let Some(steps) = problem.equal_steps {
            stepper.march(&mut body, &mut y, leg.start_s, leg.end_s, steps);
            continue;
        }
        stepper
            .advance(&mut body, &mut y, leg.start_s, leg.end_s)
            .map_err(|stuck| Failure::NotSettled {
                stage: "carbon",
                detail: if stuck.vanished {
                    "the time step shrank to nothing"
                } else {
                    "too many steps"
                }
                .to_string(),
                time_s: stuck.time_s,
                step_s: stuck.step_s,
                steps: stepper.counts.steps,
            })?;
    }
    let uptake_m = y.pop().unwrap_or(0.0);
    let gain_m = mesh
        .volume_m
        .iter()
        .zip(&y)
        .map(|(v, y)| v * (y - problem.core_y))
        .sum();
    Ok(Solved {
        mesh,
        y,
        uptake_m,
        gain_m,
        counts: stepper.counts,
        coarser: None,
    })
}
