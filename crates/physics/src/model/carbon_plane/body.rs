//! The discrete section: fluxes, their derivatives, the balance, and the march through the legs.
//!
//! Same physics as `model::carbon::body`, on a graph of nodes instead of a row of them.

use std::cell::RefCell;

use crate::model::carbon::body::{Conditions, Problem, moves};
use crate::model::carbon::legs::Leg;
use crate::model::carbon::pace::Pace;
use crate::model::carbon::supply::Supply;
use crate::numerics::chebyshev::{Basis, FEW};
use crate::numerics::rosenbrock::{Counts, Stepper, System};
use crate::numerics::sparse::Solver;
use crate::numerics::triangles::Triangles;
use crate::run::Failure;

/// Error left in a stage by the linear solver, in tolerances. The stages enter with factors of up
/// to 34, so the step sees a few thousandths of a tolerance (`linear_solver_is_exact_enough`).
const LINEAR_SHARE: f64 = 1e-4;

/// One step's error estimate over the tolerance: with 1, steps add a tenth of the tolerance to the
/// true error. The row of nodes takes 3; here the mesh of a round boundary has a larger part.
const STEP_SHARE: f64 = 1.0;

/// The answer in bare numbers.
#[derive(Clone, Debug)]
pub(super) struct Solved {
    pub y: Vec<f64>,
    /// Site fraction × square metre taken up, by the integrated flux.
    pub uptake_m2: f64,
    /// The same from the gain inside.
    pub gain_m2: f64,
    pub counts: Counts,
    pub passes: usize,
}

/// What the solver changes while it solves.
#[derive(Default)]
struct Work {
    solver: Solver,
    z: Vec<f64>,
    outflow: Vec<f64>,
    failed: bool,
}

/// Nodes, and last the uptake.
struct Body<'a> {
    problem: &'a Problem,
    mesh: &'a Triangles,
    basis: Basis<FEW>,
    fit_range: (f64, f64),
    bounds: (f64, f64),
    leg: Leg,
    supply: Supply,
    now: Conditions,
    mass: Vec<f64>,
    held: bool,
    /// Treated nodes.
    treated: Vec<usize>,
    phi: Vec<f64>,
    shift: f64,
    added: Vec<f64>,
    slack: Vec<f64>,
    /// Derivative of the inflow through the surface by z, for each treated node.
    fed: Vec<f64>,
    linear_share: f64,
    work: RefCell<Work>,
}

impl<'a> Body<'a> {
    fn new(problem: &'a Problem, mesh: &'a Triangles, linear_share: f64) -> Self {
        let n = mesh.len();
        let mut mass = mesh.volume_m2.clone();
        mass.push(1.0);
        let leg = Leg {
            start_s: 0.0,
            end_s: 0.0,
            from_k: 1000.0,
            to_k: 1000.0,
            beta_m_s: (0.0, 0.0),
            open: false,
        };
        let (basis, fit_range) = (Basis::short(), problem.fit_range());
        let mut now = problem.conditions(&basis, fit_range, &leg, 0.0);
        now.at_s = f64::NAN;
        Self {
            bounds: bounds(problem),
            treated: (0..n).filter(|i| mesh.open_m[*i] > 0.0).collect(),
            phi: vec![0.0; n],
            shift: 0.0,
            added: vec![0.0; n],
            slack: vec![0.0; n],
            fed: Vec::new(),
            work: RefCell::default(),
            held: false,
            supply: problem.supply,
            problem,
            mesh,
            basis,
            fit_range,
            leg,
            now,
            mass,
            linear_share,
        }
    }

    /// Enters a leg: the surface may be set, which counts as uptake.
    fn enter(&mut self, leg: Leg, y: &mut [f64]) {
        let n = self.mesh.len();
        self.leg = leg;
        self.supply = self.problem.supply_in(&leg);
        self.now.at_s = f64::NAN;
        self.held = false;
        if let (Supply::Held { y: held }, true) = (self.supply, leg.open) {
            self.held = true;
            for &i in &self.treated {
                y[n] += self.mass[i] * (held - y[i]);
                y[i] = held;
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
    }

    /// Net inflow of each node and, last, of the section.
    fn inflow(&mut self, t_s: f64, y: &[f64], out: &mut [f64]) {
        self.update(t_s);
        let n = self.mesh.len();
        let now = &self.now;
        for (phi, y) in self.phi.iter_mut().zip(y) {
            *phi = now.d.integral(now.matrix(*y).0);
        }
        self.mesh.graph.outflow(&self.phi, &mut out[..n]);
        for out in &mut out[..n] {
            *out = -*out;
        }
        let mut taken = 0.0;
        for &i in &self.treated {
            if self.held {
                taken -= out[i];
                out[i] = 0.0;
            } else {
                let flux = self.mesh.open_m[i] * now.fed(self.supply, y[i]).0;
                out[i] += flux;
                taken += flux;
            }
        }
        out[n] = taken;
    }

    /// Puts what a step left outside the bounds back in and takes the same amount evenly from
    /// what all others are above (or below) the bound: carbon is kept, symmetry too. `false`
    /// where more than the tolerance lies outside.
    fn bound(&self, y: &mut [f64]) -> bool {
        let n = self.mesh.len();
        let (low, high) = self.bounds;
        let slack = self.problem.tolerance_y;
        let (least, most) = y[..n]
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
                (a.min(*v), b.max(*v))
            });
        // Written so that NaN fails.
        if !(least >= low - slack && most <= high + slack) {
            return false;
        }
        for (bound, sign) in [(low, 1.0), (high, -1.0)] {
            let (mut lacking, mut there) = (0.0, 0.0);
            for i in (0..n).filter(|i| !self.is_held(*i)) {
                let above = sign * (y[i] - bound) * self.mass[i];
                if above < 0.0 {
                    lacking -= above;
                } else {
                    there += above;
                }
            }
            if lacking == 0.0 {
                continue;
            }
            if lacking > there {
                return false;
            }
            let kept = 1.0 - lacking / there;
            for i in (0..n).filter(|i| !self.is_held(*i)) {
                let above = sign * (y[i] - bound);
                y[i] = bound + sign * above.max(0.0) * kept;
            }
        }
        true
    }

    fn is_held(&self, i: usize) -> bool {
        self.held && self.mesh.open_m[i] > 0.0
    }
}

/// Least and most total carbon that can occur: a pack or a boost never takes carbon out, so nothing
/// falls below the core, even where the cold pack's potential lies lower.
fn bounds(problem: &Problem) -> (f64, f64) {
    let (low, high) = problem.range();
    if problem.gives_only() {
        (problem.core_y, high)
    } else {
        (low, high)
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

    /// The unknown of the linear system is z = (dΦ/dy) x, which makes it symmetric: conductances
    /// do not change, the diagonal is shift × volume ÷ (dΦ/dy). Where carbide holds the matrix at
    /// its limit dΦ/dy is zero and the row is closed: z is zero there, and x follows from the
    /// balance of the node.
    fn prepare(&mut self, t_s: f64, y: &[f64], shift: f64) -> bool {
        self.update(t_s);
        self.shift = shift;
        let now = &self.now;
        let allowed = self.linear_share * self.problem.tolerance_y * shift;
        for (i, y) in y[..self.mesh.len()].iter().enumerate() {
            let (matrix, slope) = now.matrix(*y);
            let d = if slope > 0.0 {
                slope * now.d.value(matrix)
            } else {
                0.0
            };
            self.added[i] = if d > 0.0 {
                shift * self.mass[i] / d
            } else {
                f64::INFINITY
            };
            self.slack[i] = allowed * self.mass[i];
        }
        self.fed.clear();
        for &i in &self.treated {
            if self.held {
                self.added[i] = f64::INFINITY;
                continue;
            }
            let (matrix, slope) = now.matrix(y[i]);
            let fed = if slope > 0.0 {
                let by_y = -now.fed(self.supply, y[i]).1;
                self.mesh.open_m[i] * by_y / (slope * now.d.value(matrix))
            } else {
                0.0
            };
            self.added[i] += fed;
            self.fed.push(fed);
        }
        let work = self.work.get_mut();
        work.failed = false;
        work.solver.prepare(&self.mesh.graph, &self.added)
    }

    fn solve(&self, right: &mut [f64]) {
        let n = self.mesh.len();
        let mut work = self.work.borrow_mut();
        let Work {
            solver,
            z,
            outflow,
            failed,
        } = &mut *work;
        // First guess: what each node would do alone.
        z.clear();
        z.extend(right[..n].iter().zip(&self.added).map(|(r, a)| r / a));
        outflow.resize(n, 0.0);
        *failed |= !solver.solve(&self.mesh.graph, &right[..n], &self.slack, z);
        self.mesh.graph.outflow(z, outflow);
        // The stage itself is what the fluxes of z bring to each node: whatever the solver left
        // over, nothing is lost between nodes.
        let mut taken = 0.0;
        for (k, &i) in self.treated.iter().enumerate() {
            if self.held {
                taken += outflow[i];
            } else {
                let given = self.fed[k] * z[i];
                taken -= given;
                right[i] -= given;
            }
        }
        for i in 0..n {
            right[i] = (right[i] - outflow[i]) / (self.shift * self.mass[i]);
        }
        if self.held {
            for &i in &self.treated {
                right[i] = 0.0;
            }
        }
        right[n] = (right[n] + taken) / self.shift;
    }

    fn size(&self, _: f64, _: &[f64], error: &[f64]) -> f64 {
        let n = self.mesh.len();
        let worst = error[..n].iter().fold(0.0_f64, |m, e| m.max(e.abs()));
        // A sum finds what a maximum ignores: NaN.
        if self.work.borrow().failed || !error.iter().sum::<f64>().is_finite() {
            return f64::INFINITY;
        }
        worst / (STEP_SHARE * self.problem.tolerance_y)
    }

    fn settle(&mut self, y: &mut [f64]) -> bool {
        self.bound(y)
    }
}

/// Solves the problem on a mesh.
pub(super) fn solve(problem: &Problem, mesh: &Triangles) -> Result<Solved, Failure> {
    solve_with(problem, mesh, LINEAR_SHARE)
}

/// The same with another share for the linear solver.
pub(super) fn solve_with(
    problem: &Problem,
    mesh: &Triangles,
    linear_share: f64,
) -> Result<Solved, Failure> {
    let n = mesh.len();
    let mut y = vec![problem.core_y; n + 1];
    y[n] = 0.0;
    let mut stepper = Stepper::default();
    let mut body = Body::new(problem, mesh, linear_share);
    let finest_m = finest(mesh);
    let (_, high) = problem.range();
    let mut pace = Pace::default();
    for leg in problem.legs.iter().filter(|leg| moves(leg)) {
        let before = body.supply;
        body.enter(*leg, &mut y);
        let turns = body.supply != before;
        pace.enter(problem, leg, high, turns, finest_m, &mut stepper);
        #[cfg(test)]
        if let Some(steps) = problem.equal_steps {
            stepper.march(&mut body, &mut y, leg.start_s, leg.end_s, steps);
            continue;
        }
        stepper
            .advance(&mut body, &mut y, leg.start_s, leg.end_s)
            .map_err(|stuck| Failure::NotSettled {
                stage: "carbon in two dimensions",
                detail: if body.work.borrow().failed {
                    "the linear solver did not converge"
                } else if stuck.vanished {
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
    let uptake_m2 = y.pop().unwrap_or(0.0);
    let gain_m2 = mesh
        .volume_m2
        .iter()
        .zip(&y)
        .map(|(v, y)| v * (y - problem.core_y))
        .sum();
    Ok(Solved {
        y,
        uptake_m2,
        gain_m2,
        counts: stepper.counts,
        passes: body.work.into_inner().solver.passes,
    })
}

fn finest(mesh: &Triangles) -> f64 {
    let gap = |lines: &[f64]| {
        lines
            .windows(2)
            .map(|w| w[1] - w[0])
            .fold(f64::INFINITY, f64::min)
    };
    gap(&mesh.x_m).min(gap(&mesh.y_m))
}
