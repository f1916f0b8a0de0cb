//! Conduction in the brick of compound: one eighth of it, implicit along one axis at a time.

use crate::law::packed_bed::Bed;
use crate::numerics::tridiagonal::Factor;

/// Cells from a wall to the middle along each axis.
const N: usize = 6;
const CELLS: usize = N * N * N;
/// The property tables run from this temperature in these steps, in kelvin.
const TABLE_FROM_K: f64 = 250.0;
const TABLE_STEP_K: f64 = 20.0;
const TABLE: usize = 64;

/// One eighth of the brick; the middle is the last cell of each axis.
pub(crate) struct Brick {
    half_m: [f64; 3],
    t_k: Vec<f64>,
    conductivity: [f64; TABLE],
    capacity: [f64; TABLE],
    factor: Factor,
}

impl Brick {
    pub(crate) fn new(inside_m: [f64; 3], bed: &Bed, start_k: f64) -> Self {
        let at = |i: usize| TABLE_FROM_K + TABLE_STEP_K * i as f64;
        Self {
            half_m: inside_m.map(|l| l / 2.0),
            t_k: vec![start_k; CELLS],
            conductivity: std::array::from_fn(|i| bed.conductivity_w_m_k(at(i))),
            // The peak of the steel at 735 °C is narrower than the table's step: averaged over it.
            capacity: std::array::from_fn(|i| {
                (0..20)
                    .map(|j| {
                        bed.heat_capacity_j_m3_k(
                            at(i) + TABLE_STEP_K * (f64::from(j) / 20.0 - 0.475),
                        )
                    })
                    .sum::<f64>()
                    / 20.0
            }),
            factor: Factor::default(),
        }
    }

    /// A bed of constant properties, for closed forms.
    pub(crate) fn constant(inside_m: [f64; 3], k_w_m_k: f64, c_j_m3_k: f64, start_k: f64) -> Self {
        Self {
            half_m: inside_m.map(|l| l / 2.0),
            t_k: vec![start_k; CELLS],
            conductivity: [k_w_m_k; TABLE],
            capacity: [c_j_m3_k; TABLE],
            factor: Factor::default(),
        }
    }

    /// Temperature in the middle: the last cell, carried half a cell on by the parabola along each
    /// axis.
    pub(crate) fn middle_k(&self) -> f64 {
        let last = CELLS - 1;
        let here = self.t_k[last];
        [N * N, N, 1].iter().fold(here, |sum, stride| {
            sum + (here - self.t_k[last - stride]) / 8.0
        })
    }

    /// Conductance from the wall into the outer cells, over the whole box, in W/K.
    pub(crate) fn wall_conductance_w_k(&self, wall_k: f64) -> f64 {
        let k = look_up(&self.conductivity, wall_k);
        (0..3)
            .map(|axis| k / self.half_cell(axis) * self.face_m2(axis))
            .sum()
    }

    /// Mean temperature of the outer cells by their conductance to the wall.
    pub(crate) fn outer_k(&self) -> f64 {
        let (mut sum, mut weight) = (0.0, 0.0);
        for axis in 0..3 {
            let w = self.face_m2(axis) / self.half_cell(axis) / (N * N) as f64;
            for first in lines(axis) {
                sum += w * self.t_k[first];
                weight += w;
            }
        }
        sum / weight
    }

    fn half_cell(&self, axis: usize) -> f64 {
        self.half_m[axis] / N as f64 / 2.0
    }

    /// Area of both faces across an axis.
    fn face_m2(&self, axis: usize) -> f64 {
        8.0 * self.half_m[(axis + 1) % 3] * self.half_m[(axis + 2) % 3]
    }

    /// One step with the wall at a temperature; gives the heat taken up by the whole brick, in J.
    pub(crate) fn step(&mut self, wall_k: f64, step_s: f64) -> f64 {
        let cell_m3 = 8.0 * self.half_m.iter().product::<f64>() / CELLS as f64;
        let capacity: Vec<f64> = self
            .t_k
            .iter()
            .map(|t| look_up(&self.capacity, *t))
            .collect();
        let mut taken_j = 0.0;
        let mut x = [0.0; N];
        let (mut lower, mut diagonal, mut upper) = ([0.0; N], [0.0; N], [0.0; N]);
        for axis in 0..3 {
            let stride = stride(axis);
            let h = self.half_m[axis] / N as f64;
            for first in lines(axis) {
                let mut left = 2.0 * look_up(&self.conductivity, wall_k) / (h * h);
                for i in 0..N {
                    let cell = first + i * stride;
                    let right = if i + 1 < N {
                        let mean = (self.t_k[cell] + self.t_k[cell + stride]) / 2.0;
                        look_up(&self.conductivity, mean) / (h * h)
                    } else {
                        0.0
                    };
                    let storage = capacity[cell] / step_s;
                    x[i] = storage * self.t_k[cell] + if i == 0 { left * wall_k } else { 0.0 };
                    lower[i] = -left;
                    upper[i] = -right;
                    diagonal[i] = storage + left + right;
                    left = right;
                }
                self.factor.set(&lower, &diagonal, &upper);
                self.factor.solve(&mut x);
                for (i, new) in x.iter().enumerate() {
                    let cell = first + i * stride;
                    taken_j += capacity[cell] * cell_m3 * (new - self.t_k[cell]);
                    self.t_k[cell] = *new;
                }
            }
        }
        taken_j
    }
}

const fn stride(axis: usize) -> usize {
    [N * N, N, 1][axis]
}

/// First cells (at the wall) of all lines along an axis.
fn lines(axis: usize) -> impl Iterator<Item = usize> {
    let (a, b) = (stride((axis + 1) % 3), stride((axis + 2) % 3));
    (0..N * N).map(move |i| (i / N) * a + (i % N) * b)
}

fn look_up(table: &[f64; TABLE], t_k: f64) -> f64 {
    let place = ((t_k - TABLE_FROM_K) / TABLE_STEP_K).clamp(0.0, (TABLE - 1) as f64 - 1e-9);
    let i = place as usize;
    table[i] + (place - i as f64) * (table[i + 1] - table[i])
}
