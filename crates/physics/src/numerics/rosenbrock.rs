//! One linearly implicit method for stiff systems M y' = F(t, y), with its step control.
//!
//! RODAS (Hairer and Wanner, Solving Ordinary Differential Equations II, 1996, IV.7 and IV.10):
//! six stages, order 4 with an embedded order 3, L-stable, stiffly accurate. Each step solves
//! with one matrix; there is no iteration that could fail to settle. Linear invariants of the
//! system (the mass in a closed body) are kept to rounding, because every stage keeps them. The
//! coefficients are recalled from the published code; `keeps_its_order` and
//! `is_damped_at_infinity` below would fail with a wrong digit that matters.

/// Stages.
const S: usize = 6;
/// Diagonal coefficient.
const GAMMA: f64 = 0.25;
/// Places of the stages within the step.
const ALPHA: [f64; S] = [0.0, 0.386, 0.21, 0.63, 1.0, 1.0];
/// Weights of the time derivative.
const DRIFT: [f64; S] = [0.25, -0.1043, 0.1035, -0.036_200_000_000_000_23, 0.0, 0.0];
/// Stage points from earlier stages.
const A: [&[f64]; S] = [
    &[],
    &[1.544],
    &[0.946_678_528_081_582_6, 0.255_701_169_898_328_4],
    &[
        3.314_825_187_068_521,
        2.896_124_015_972_201,
        0.998_641_913_997_781_7,
    ],
    &[
        1.221_224_509_226_641,
        6.019_134_481_288_629,
        12.537_083_329_320_87,
        -0.687_886_036_105_895,
    ],
    &[
        1.221_224_509_226_641,
        6.019_134_481_288_629,
        12.537_083_329_320_87,
        -0.687_886_036_105_895,
        1.0,
    ],
];
/// Coupling of the stage equations.
const C: [&[f64]; S] = [
    &[],
    &[-5.6688],
    &[-2.430_093_356_833_875, -0.206_359_915_709_191_5],
    &[
        -0.107_352_905_815_137_5,
        -9.594_562_251_023_355,
        -20.470_286_148_096_16,
    ],
    &[
        7.496_443_313_967_647,
        -10.246_804_314_643_52,
        -33.999_903_528_199_05,
        11.708_908_932_061_6,
    ],
    &[
        8.083_246_795_921_522,
        -7.981_132_988_064_893,
        -31.521_594_328_743_71,
        16.319_305_431_231_36,
        -6.058_818_238_834_054,
    ],
];

/// A system with a diagonal mass matrix.
pub trait System {
    /// Diagonal of M.
    fn mass(&self) -> &[f64];
    /// F at a time, in seconds.
    fn force(&mut self, t_s: f64, y: &[f64], out: &mut [f64]);
    /// Whether F depends on the state alone, not on time.
    fn steady(&self) -> bool;
    /// Derivative of F by time, given F `now`; returns `false` (and may leave `out` alone) where it
    /// is zero. A difference, where a system knows no better.
    fn drift(&mut self, t_s: f64, y: &[f64], now: &[f64], step_s: f64, out: &mut [f64]) -> bool {
        if self.steady() {
            return false;
        }
        // A difference over a hundred-thousandth of the step: what rounding and curvature leave is
        // a billionth of the stage.
        let d = 1e-5 * step_s;
        self.force(t_s + d, y, out);
        for (out, now) in out.iter_mut().zip(now) {
            *out = (*out - now) / d;
        }
        true
    }
    /// Prepares to solve with `shift` M − ∂F/∂y. `false` where that cannot be done.
    fn prepare(&mut self, t_s: f64, y: &[f64], shift: f64) -> bool;
    /// Solves with the matrix prepared last, in place.
    fn solve(&self, right: &mut [f64]);
    /// Size of an error estimate relative to what is wanted at the end `t_s` of the step: 1 is just
    /// acceptable.
    fn size(&self, t_s: f64, y: &[f64], error: &[f64]) -> f64;
    /// Puts a new state in order (bounds); `false` refuses the step.
    fn settle(&mut self, y: &mut [f64]) -> bool;
}

/// Counts of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Steps taken.
    pub steps: usize,
    /// Steps tried and refused.
    pub refused: usize,
}

/// Where and why stepping stopped short.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stuck {
    /// Time reached, in seconds.
    pub time_s: f64,
    /// Last step tried, in seconds.
    pub step_s: f64,
    /// `true` where the step shrank to nothing, `false` where the number of steps ran out.
    pub vanished: bool,
}

/// The method with its buffers.
#[derive(Clone, Debug, Default)]
pub struct Stepper {
    stages: [Vec<f64>; S],
    point: Vec<f64>,
    force: Vec<f64>,
    drift: Vec<f64>,
    new: Vec<f64>,
    /// Step that would be tried next, in seconds; set it before the first `advance`.
    pub next_step_s: f64,
    /// What was done so far.
    pub counts: Counts,
}

/// Most tries in one run.
const MOST_TRIES: usize = 200_000;
/// Bounds of the change from step to step.
const SHRINK: f64 = 0.1;
const GROW: f64 = 6.0;
const SAFETY: f64 = 0.9;

impl Stepper {
    /// One step of `h` seconds from `y` into `self.new`; returns the relative size of its error.
    fn attempt(&mut self, system: &mut impl System, t: f64, y: &[f64], h: f64) -> f64 {
        let n = y.len();
        for buffer in self.stages.iter_mut().chain([
            &mut self.point,
            &mut self.force,
            &mut self.drift,
            &mut self.new,
        ]) {
            buffer.resize(n, 0.0);
        }
        if !system.prepare(t, y, 1.0 / (h * GAMMA)) {
            return f64::INFINITY;
        }
        system.force(t, y, &mut self.force);
        let drifts = system.drift(t, y, &self.force, h, &mut self.drift);
        for i in 0..S {
            if i > 0 {
                self.gather(i, y);
                system.force(t + ALPHA[i] * h, &self.point, &mut self.force);
            }
            let (done, rest) = self.stages.split_at_mut(i);
            let stage = &mut rest[0];
            let drift = (drifts && DRIFT[i] != 0.0).then(|| (DRIFT[i] * h, &self.drift[..]));
            combine(stage, done, h, system.mass(), &self.force);
            if let Some((share, drift)) = drift {
                add(stage, share, drift);
            }
            system.solve(stage);
        }
        // Stiffly accurate: the last point plus the last stage is the answer, the last stage
        // is the error estimate.
        for ((new, point), last) in self
            .new
            .iter_mut()
            .zip(&self.point)
            .zip(&self.stages[S - 1])
        {
            *new = point + last;
        }
        system.size(t + h, &self.new, &self.stages[S - 1])
    }

    /// The point of stage `i` from the earlier stages, in one pass.
    fn gather(&mut self, i: usize, y: &[f64]) {
        let [k0, k1, k2, k3, k4, _] = &self.stages;
        let a = A[i];
        let n = y.len();
        let point = &mut self.point[..n];
        let (k0, k1, k2, k3, k4) = (&k0[..n], &k1[..n], &k2[..n], &k3[..n], &k4[..n]);
        match i {
            1 => (0..n).for_each(|p| point[p] = y[p] + a[0] * k0[p]),
            2 => (0..n).for_each(|p| point[p] = y[p] + a[0] * k0[p] + a[1] * k1[p]),
            3 => (0..n).for_each(|p| point[p] = y[p] + a[0] * k0[p] + a[1] * k1[p] + a[2] * k2[p]),
            4 => (0..n).for_each(|p| {
                point[p] = y[p] + a[0] * k0[p] + a[1] * k1[p] + a[2] * k2[p] + a[3] * k3[p];
            }),
            // The last point is the one before it and the stage made there.
            _ => (0..n).for_each(|p| point[p] += k4[p]),
        }
    }

    /// Takes the system from `from_s` to `to_s`, changing `y`, and adapts the step so that each
    /// step's error estimate has a size of at most 1.
    ///
    /// # Errors
    /// Where the step vanishes or their number runs out; `y` then is the last good state.
    pub fn advance(
        &mut self,
        system: &mut impl System,
        y: &mut [f64],
        from_s: f64,
        to_s: f64,
    ) -> Result<(), Stuck> {
        let mut t = from_s;
        let mut refused_before = false;
        while t < to_s {
            let left = to_s - t;
            let wish = self.next_step_s;
            // Do not leave a crumb for the last step.
            let last = wish >= left * (1.0 - 1e-10);
            let h = if last {
                left
            } else if wish > 0.5 * left {
                0.5 * left
            } else {
                wish
            };
            let size = self.attempt(system, t, y, h);
            let factor = if size.is_finite() {
                (SAFETY / super::fun::sqrt(super::fun::sqrt(size.max(1e-12)))).clamp(SHRINK, GROW)
            } else {
                SHRINK
            };
            if size <= 1.0 && system.settle(&mut self.new) {
                y.copy_from_slice(&self.new);
                t = if last { to_s } else { t + h };
                self.counts.steps += 1;
                // A step cut by the end says nothing against the longer wish.
                let proposed = h * if refused_before {
                    factor.min(1.0)
                } else {
                    factor
                };
                self.next_step_s = if last {
                    proposed.max(wish.min(to_s - from_s))
                } else {
                    proposed
                };
                refused_before = false;
            } else {
                self.counts.refused += 1;
                self.next_step_s = h * factor.min(0.5);
                refused_before = true;
                if self.next_step_s < 1e-13 * (to_s - from_s) {
                    return Err(Stuck {
                        time_s: t,
                        step_s: h,
                        vanished: true,
                    });
                }
            }
            if self.counts.steps + self.counts.refused > MOST_TRIES {
                return Err(Stuck {
                    time_s: t,
                    step_s: h,
                    vanished: false,
                });
            }
        }
        Ok(())
    }

    /// Takes `steps` equal steps without error control, for tests of order.
    #[cfg(test)]
    pub(crate) fn march(
        &mut self,
        system: &mut impl System,
        y: &mut [f64],
        from_s: f64,
        to_s: f64,
        steps: usize,
    ) {
        let h = (to_s - from_s) / steps as f64;
        for k in 0..steps {
            self.attempt(system, from_s + h * k as f64, y, h);
            y.copy_from_slice(&self.new);
        }
    }
}

/// Right-hand side of the next stage from those before it, in one pass.
#[inline]
fn combine(stage: &mut [f64], done: &[Vec<f64>], h: f64, mass: &[f64], force: &[f64]) {
    let n = stage.len();
    let (mass, force) = (&mass[..n], &force[..n]);
    let c: [f64; S] = std::array::from_fn(|j| C[done.len()].get(j).map_or(0.0, |c| c / h));
    match done {
        [] => stage.copy_from_slice(force),
        [k0] => {
            let k0 = &k0[..n];
            (0..n).for_each(|p| stage[p] = c[0] * k0[p] * mass[p] + force[p]);
        }
        [k0, k1] => {
            let (k0, k1) = (&k0[..n], &k1[..n]);
            (0..n).for_each(|p| stage[p] = (c[0] * k0[p] + c[1] * k1[p]) * mass[p] + force[p]);
        }
        [k0, k1, k2] => {
            let (k0, k1, k2) = (&k0[..n], &k1[..n], &k2[..n]);
            (0..n).for_each(|p| {
                let sum = c[0] * k0[p] + c[1] * k1[p] + c[2] * k2[p];
                stage[p] = sum * mass[p] + force[p];
            });
        }
        [k0, k1, k2, k3] => {
            let (k0, k1, k2, k3) = (&k0[..n], &k1[..n], &k2[..n], &k3[..n]);
            (0..n).for_each(|p| {
                let sum = c[0] * k0[p] + c[1] * k1[p] + c[2] * k2[p] + c[3] * k3[p];
                stage[p] = sum * mass[p] + force[p];
            });
        }
        [k0, k1, k2, k3, k4, ..] => {
            let (k0, k1, k2, k3) = (&k0[..n], &k1[..n], &k2[..n], &k3[..n]);
            let k4 = &k4[..n];
            (0..n).for_each(|p| {
                let sum = c[0] * k0[p] + c[1] * k1[p] + c[2] * k2[p] + c[3] * k3[p] + c[4] * k4[p];
                stage[p] = sum * mass[p] + force[p];
            });
        }
    }
}

/// `to += factor × from`.
#[inline]
fn add(to: &mut [f64], factor: f64, from: &[f64]) {
    for (t, f) in to.iter_mut().zip(from) {
        *t += factor * f;
    }
}

#[cfg(test)]
mod tests {
    use super::super::fun::{cos, sin};
    use super::*;

    /// y' = −λ (y − cos t) − sin t, with the answer cos t (Prothero and Robinson), plus the
    /// nonlinear y' = −y² with the answer 1/(1 + t).
    struct Pair {
        stiffness: f64,
        matrix: [f64; 2],
        mass: [f64; 2],
    }

    impl System for Pair {
        fn mass(&self) -> &[f64] {
            &self.mass
        }
        fn force(&mut self, t: f64, y: &[f64], out: &mut [f64]) {
            out[0] = -self.stiffness * (y[0] - cos(t)) - sin(t);
            out[1] = -2.0 * y[1] * y[1];
        }
        fn steady(&self) -> bool {
            false
        }

        fn drift(&mut self, t: f64, _: &[f64], _: &[f64], _: f64, out: &mut [f64]) -> bool {
            out[0] = -self.stiffness * sin(t) - cos(t);
            out[1] = 0.0;
            true
        }
        fn prepare(&mut self, _: f64, y: &[f64], shift: f64) -> bool {
            self.matrix = [shift + self.stiffness, 2.0 * shift + 4.0 * y[1]];
            true
        }
        fn solve(&self, right: &mut [f64]) {
            right[0] /= self.matrix[0];
            right[1] /= self.matrix[1];
        }
        fn size(&self, _: f64, _: &[f64], error: &[f64]) -> f64 {
            error.iter().fold(0.0_f64, |m, e| m.max(e.abs())) / 1e-6
        }
        fn settle(&mut self, _: &mut [f64]) -> bool {
            true
        }
    }

    fn pair(stiffness: f64) -> Pair {
        // The second equation is written with a mass of 2.
        Pair {
            stiffness,
            matrix: [0.0; 2],
            mass: [1.0, 2.0],
        }
    }

    fn march(stiffness: f64, steps: usize) -> [f64; 2] {
        let mut y = [1.0, 1.0];
        Stepper::default().march(&mut pair(stiffness), &mut y, 0.0, 2.0, steps);
        [(y[0] - cos(2.0)).abs(), (y[1] - 1.0 / 3.0).abs()]
    }

    /// Halving the step divides the error by 2⁴; 3.8 of 4 leaves room for the asymptotic range.
    #[test]
    fn keeps_its_order() {
        let (coarse, fine) = (march(1.0, 10), march(1.0, 20));
        for k in 0..2 {
            let order = super::super::fun::ln(coarse[k] / fine[k]) / std::f64::consts::LN_2;
            assert!(
                order > 3.8,
                "{k}: order {order}, errors {coarse:?} {fine:?}"
            );
        }
    }

    /// With a stiffness of 1e12 a step of 1 from a wrong start lands on the slow answer.
    #[test]
    fn is_damped_at_infinity() {
        let mut y = [5.0, 1.0];
        let mut stepper = Stepper::default();
        stepper.march(&mut pair(1e12), &mut y, 0.0, 1.0, 1);
        assert!((y[0] - cos(1.0)).abs() < 1e-6, "{}", y[0] - cos(1.0));
    }

    #[test]
    fn holds_the_tolerance_with_few_steps() {
        let mut y = [1.0, 1.0];
        let mut stepper = Stepper {
            next_step_s: 1e-3,
            ..Stepper::default()
        };
        stepper.advance(&mut pair(50.0), &mut y, 0.0, 2.0).unwrap();
        assert!((y[0] - cos(2.0)).abs() < 1e-5 && (y[1] - 1.0 / 3.0).abs() < 1e-5);
        // 77 when written; a broken step control shows as several times that.
        assert!(stepper.counts.steps < 120, "{:?}", stepper.counts);
    }
}
