//! Steps in time: the trapezoid to a point within the step, then the second backward formula
//! (TR-BDF2; Bank et al. 1985), of second order and damping what is stiff.
//!
//! Both stages have one matrix. Each is solved for heat contents by repeated linear systems; what
//! the last of them misses goes into the contents and the temperatures follow from those, so heat
//! is kept to rounding whatever the solver leaves. When to stop is not known here.

use crate::numerics::blocks::Solver;

use super::chamber::{Chamber, Lining};
use super::field::{Around, Field};
use super::matter::{GREATEST_K, LEAST_K};

/// 2 − √2: where the first stage ends.
const GAMMA: f64 = 0.585_786_437_626_904_9;
/// γ/2: share of the step that is implicit, in both stages.
const D: f64 = GAMMA / 2.0;
/// √2/4: weight of the start and the middle in the whole step.
const W: f64 = 0.353_553_390_593_273_8;
/// Third derivative times step cubed: what the method misses in a step, as a factor.
const MISS: f64 = 0.040_440_114_519_881;
/// Most linear systems in one stage; most stages need two or three.
const MOST_SYSTEMS: usize = 14;
/// A system is solved to this share of what it began with, where the tolerance is smaller.
const FORCING: f64 = 0.1;

/// Boxes and furnace at one time.
#[derive(Clone, Debug, Default)]
pub(super) struct State {
    pub(super) time_s: f64,
    pub(super) t_k: Vec<f64>,
    content_j: Vec<f64>,
    gain_w: Vec<f64>,
    pub(super) lining: Lining,
    rates: Lining,
    pub(super) power_w: f64,
    through_w: f64,
    loss_w: f64,
    /// Sums since the begin, in J: electrical work, heat into the boxes, loss of the lining.
    pub(super) work_j: f64,
    pub(super) through_j: f64,
    pub(super) loss_j: f64,
}

/// Why a step was not made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Refused {
    /// A stage did not settle.
    NotSettled,
    /// The error is this many times what is allowed.
    Error(f64),
}

pub(super) struct Engine {
    pub(super) field: Field,
    chamber: Chamber,
    solver: Solver,
    pub(super) state: State,
    /// Time and temperatures of the step before, for the estimate of the error.
    before: Option<(f64, Vec<f64>)>,
    /// Capacities at the begin of the last step: weights of the error.
    weight: Vec<f64>,
    slack: Vec<f64>,
    right: Vec<f64>,
    change: Vec<f64>,
    added: Vec<f64>,
    /// Largest miss of a cell, in kelvin, that counts as solved.
    tolerance_k: f64,
}

/// What a stage asks for: contents and lining to start from, and the implicit time.
struct Stage<'a> {
    content_j: &'a [f64],
    lining: &'a Lining,
    step_s: f64,
}

impl Engine {
    pub(super) fn new(
        field: Field,
        chamber: Chamber,
        (cold_k, lining): (f64, Lining),
        tolerance_k: f64,
    ) -> Self {
        let zero = || vec![0.0; field.length];
        let state = State {
            t_k: vec![cold_k; field.length],
            content_j: zero(),
            gain_w: zero(),
            lining,
            ..State::default()
        };
        Self {
            chamber,
            solver: Solver::default(),
            state,
            before: None,
            weight: zero(),
            slack: zero(),
            right: zero(),
            change: zero(),
            added: zero(),
            tolerance_k,
            field,
        }
    }

    pub(super) fn passes(&self) -> usize {
        self.solver.passes
    }

    /// Forgets the step before: what comes next does not follow on it.
    pub(super) fn forget(&mut self) {
        self.before = None;
    }

    pub(super) fn chamber(&self) -> &Chamber {
        &self.chamber
    }

    /// Looks anew at contents and flows: at the begin, and when what is around has changed.
    pub(super) fn begin(&mut self, around: Around, set_k: f64) {
        let state = &mut self.state;
        self.field.look_at(&state.t_k, state.lining.hot, around);
        state.content_j.copy_from_slice(&self.field.content_j);
        state.gain_w.copy_from_slice(&self.field.gain_w);
        state.through_w = self.field.through_w;
        (state.rates, state.power_w) = (Lining::default(), 0.0);
        state.loss_w = 0.0;
        if around == Around::Furnace {
            (state.rates, state.power_w) =
                self.chamber.rates(&state.lining, set_k, state.through_w);
            state.loss_w = self.chamber.loss_w(&state.lining);
        }
        self.before = None;
    }

    /// One step; the state changes only where it is accepted. Gives the error over the allowed one
    /// where it could be told.
    pub(super) fn step(
        &mut self,
        around: Around,
        set_k: impl Fn(f64) -> f64,
        step_s: f64,
        allowed_k: f64,
    ) -> Result<Option<f64>, Refused> {
        let begin = std::mem::take(&mut self.state);
        let outcome = self.stages(&begin, around, set_k, step_s, allowed_k);
        match outcome {
            Ok((state, error)) => {
                self.before = Some((begin.time_s, begin.t_k));
                self.state = state;
                Ok(error)
            }
            Err(refused) => {
                self.state = begin;
                Err(refused)
            }
        }
    }

    fn stages(
        &mut self,
        begin: &State,
        around: Around,
        set_k: impl Fn(f64) -> f64,
        step_s: f64,
        allowed_k: f64,
    ) -> Result<(State, Option<f64>), Refused> {
        let implicit_s = D * step_s;
        let plus = |factor: f64, gains: &[&[f64]]| -> Vec<f64> {
            (0..begin.content_j.len())
                .map(|i| begin.content_j[i] + factor * gains.iter().map(|g| g[i]).sum::<f64>())
                .collect()
        };
        let base = plus(implicit_s, &[&begin.gain_w]);
        let lining = begin.lining.plus(implicit_s, &begin.rates);
        let stage = Stage {
            content_j: &base,
            lining: &lining,
            step_s: implicit_s,
        };
        let time_s = begin.time_s + GAMMA * step_s;
        let guess = self.guess(begin, GAMMA * step_s, None);
        let middle = self.solve(&stage, begin, guess, around, (set_k(time_s), time_s))?;
        let w_s = W * step_s;
        let base = plus(w_s, &[&begin.gain_w, &middle.gain_w]);
        let lining = begin
            .lining
            .plus(w_s, &begin.rates)
            .plus(w_s, &middle.rates);
        let stage = Stage {
            content_j: &base,
            lining: &lining,
            step_s: implicit_s,
        };
        let time_s = begin.time_s + step_s;
        let guess = self.guess(begin, step_s, Some(&middle.t_k));
        let mut end = self.solve(&stage, begin, guess, around, (set_k(time_s), time_s))?;
        let sum = |a: f64, b: f64, c: f64| w_s * (a + b) + implicit_s * c;
        end.work_j = begin.work_j + sum(begin.power_w, middle.power_w, end.power_w);
        end.through_j = begin.through_j + sum(begin.through_w, middle.through_w, end.through_w);
        end.loss_j = begin.loss_j + sum(begin.loss_w, middle.loss_w, end.loss_w);
        let error = self.error_k(begin, &middle, &end).map(|e| e / allowed_k);
        match error {
            Some(error) if error > 1.0 => Err(Refused::Error(error)),
            error => Ok((end, error)),
        }
    }

    /// Temperatures to begin a stage with, `ahead_s` after the step's begin.
    fn guess(&self, begin: &State, ahead_s: f64, middle: Option<&[f64]>) -> Vec<f64> {
        if let Some(middle) = middle {
            let factor = 1.0 / GAMMA - 1.0;
            return begin
                .t_k
                .iter()
                .zip(middle)
                .map(|(a, b)| b + factor * (b - a))
                .collect();
        }
        let Some((time_s, before)) = &self.before else {
            return begin.t_k.clone();
        };
        let factor = (ahead_s / (begin.time_s - time_s)).min(3.0);
        begin
            .t_k
            .iter()
            .zip(before)
            .map(|(a, b)| a + factor * (a - b))
            .collect()
    }

    /// Finds the state with `content = base + step × gain`.
    fn solve(
        &mut self,
        stage: &Stage<'_>,
        begin: &State,
        mut t_k: Vec<f64>,
        around: Around,
        (set_k, time_s): (f64, f64),
    ) -> Result<State, Refused> {
        let in_furnace = around == Around::Furnace;
        let mut hot_k = stage.lining.hot;
        for round in 0..MOST_SYSTEMS {
            for t in &mut t_k {
                *t = t.clamp(LEAST_K, GREATEST_K);
            }
            hot_k = hot_k.clamp(LEAST_K, GREATEST_K);
            self.field.look_at(&t_k, hot_k, around);
            let field = &self.field;
            let mut worst_k = 0.0_f64;
            for b in &field.blocks {
                for i in b.start..b.end() {
                    let miss_j =
                        stage.content_j[i] + stage.step_s * field.gain_w[i] - field.content_j[i];
                    worst_k = worst_k.max(miss_j.abs() / field.capacity_j_k[i]);
                    self.right[i] = miss_j / stage.step_s;
                }
            }
            let answer =
                self.chamber
                    .answer(stage.lining, hot_k, set_k, field.through_w, stage.step_s);
            let (mut node, mut node_right) = (1.0, 0.0);
            if in_furnace {
                let storage = self.chamber.hot_j_k() / stage.step_s;
                node = storage + answer.slope_w_k + field.node_w_k;
                node_right = storage * (stage.lining.hot + stage.step_s * answer.rates.hot - hot_k);
                worst_k = worst_k.max(node_right.abs() / node);
            }
            if !worst_k.is_finite() {
                break;
            }
            if worst_k <= self.tolerance_k {
                return Ok(self.finish(stage, begin, t_k, answer.lining, around, (set_k, time_s)));
            }
            if round == 0 {
                self.weight.copy_from_slice(&field.capacity_j_k);
            }
            let slack_k = (FORCING * worst_k).max(0.3 * self.tolerance_k);
            for (i, t) in t_k.iter().enumerate() {
                let mut capacity = field.capacity_j_k[i];
                if round > 2 {
                    // Past a peak of the capacity the slope alone swings to and fro; what the cell
                    // has taken up on its way does not.
                    let way_k = t - begin.t_k[i];
                    if way_k.abs() > 1e-3 {
                        let chord = (field.content_j[i] - begin.content_j[i]) / way_k;
                        capacity = capacity.max(chord);
                    }
                }
                self.added[i] = capacity / stage.step_s + field.film_w_k[i];
                self.slack[i] = slack_k * field.capacity_j_k[i] / stage.step_s;
            }
            if !self
                .solver
                .prepare(&field.blocks, &field.links, &self.added, node)
            {
                break;
            }
            let change = self.solver.solve(
                &field.blocks,
                &field.links,
                (&self.right, node_right),
                (&self.slack, slack_k * node),
                &mut self.change,
            );
            let Some(change) = change else { break };
            for (t, change) in t_k.iter_mut().zip(&self.change) {
                *t += change;
            }
            if in_furnace {
                hot_k += change;
            }
        }
        Err(Refused::NotSettled)
    }

    fn finish(
        &self,
        stage: &Stage<'_>,
        begin: &State,
        mut t_k: Vec<f64>,
        found: Lining,
        around: Around,
        (set_k, time_s): (f64, f64),
    ) -> State {
        let gain_w = self.field.gain_w.clone();
        let content_j: Vec<f64> = stage
            .content_j
            .iter()
            .zip(&gain_w)
            .map(|(base, gain)| base + stage.step_s * gain)
            .collect();
        self.field.settle(&content_j, &mut t_k);
        let in_furnace = around == Around::Furnace;
        let mut closed_w = 0.0;
        let (lining, rates) = if in_furnace {
            let (mut rates, power_w) = self.chamber.rates(&found, set_k, self.field.through_w);
            // What the hot face misses is put on the power, which the controller would set right.
            let rise = (found.hot - stage.lining.hot) / stage.step_s;
            closed_w = power_w + self.chamber.hot_j_k() * (rise - rates.hot);
            rates.hot = rise;
            (found, rates)
        } else {
            (begin.lining, Lining::default())
        };
        State {
            time_s,
            t_k,
            content_j,
            gain_w,
            lining,
            rates,
            power_w: closed_w,
            through_w: self.field.through_w,
            loss_w: if in_furnace {
                self.chamber.loss_w(&found)
            } else {
                0.0
            },
            ..State::default()
        }
    }

    /// Error of a step, in kelvin: root of the mean square over all heat capacity of what the
    /// method misses, by the third differences of four times (or, in a first step, by the second
    /// differences of three, which is more).
    fn error_k(&self, begin: &State, middle: &State, end: &State) -> Option<f64> {
        let (t0, t1, t2) = (begin.time_s, middle.time_s, end.time_s);
        let step = t2 - t0;
        let (mut sum, mut weight) = (0.0, 0.0);
        let mut add = |w: f64, e: f64| {
            sum += w * e * e;
            weight += w;
        };
        for b in &self.field.blocks {
            for i in b.start..b.end() {
                let (a, m, e) = (begin.t_k[i], middle.t_k[i], end.t_k[i]);
                let late = (e - m) / (t2 - t1);
                let early = (m - a) / (t1 - t0);
                let second = (late - early) / step;
                let miss = match &self.before {
                    Some((time, before)) => {
                        let earlier = (a - before[i]) / (t0 - time);
                        let second_before = (early - earlier) / (t1 - time);
                        6.0 * MISS * (second - second_before) / (t2 - time) * step.powi(3)
                    }
                    None => 2.0 * MISS * second * step * step,
                };
                add(self.weight[i], miss);
            }
        }
        (weight > 0.0).then(|| crate::numerics::fun::sqrt(sum / weight))
    }
}
