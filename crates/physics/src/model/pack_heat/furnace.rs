//! The furnace around the box: lining, power limit, box wall; or still air.
//!
//! Assumed of every small box furnace (source key `furnace-assumed`): 100 mm of insulating
//! firebrick of 0.25 W/(m·K) and 6e5 J/(m³·K), an area one tenth larger than the chamber's inside
//! for door and edges, hot face and elements at one temperature.

use casewright_terms::quantity::ICE_POINT_K;

use crate::law::steel_thermal;
use crate::numerics::tridiagonal::Factor;
use crate::setup::PackHeatSetup;

use super::Brick;

pub(crate) const LINING_M: f64 = 0.1;
pub(crate) const LINING_W_M_K: f64 = 0.25;
pub(crate) const LINING_J_M3_K: f64 = 6e5;
pub(crate) const LINING_CELLS: usize = 8;
const LINING_GRADING: f64 = 1.5;
pub(crate) const EXTRA_AREA: f64 = 1.1;
pub(crate) const SHELL_W_M2_K: f64 = 10.0;
pub(crate) const SHOP_K: f64 = 25.0 + ICE_POINT_K;
/// Oxidised steel in a brick chamber [radiation-handbook].
pub(crate) const EMISSIVITY: f64 = 0.8;
pub(crate) const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
/// Natural convection in a furnace and around a hot box [radiation-handbook].
pub(crate) const CONVECTION_W_M2_K: f64 = 10.0;

/// Where the box stands.
#[derive(Clone, Copy, Debug)]
pub(super) enum Around {
    /// In the furnace with its controller at this temperature.
    Furnace { set_k: f64 },
    /// In the still air of the shop.
    Air,
}

/// Wall and lining as one chain of nodes: the box wall first, then the lining from its hot face.
pub(super) struct Furnace {
    t_k: [f64; LINING_CELLS + 1],
    box_m2: f64,
    wall_m3: f64,
    lining_m2: f64,
    power_w: f64,
    /// Heat the wall still owes the brick from the last step, in J.
    owed_j: f64,
    factor: Factor,
}

impl Furnace {
    pub(super) fn new(setup: &PackHeatSetup) -> Self {
        let area = |s: [f64; 3]| 2.0 * (s[0] * s[1] + s[1] * s[2] + s[2] * s[0]);
        let wall = setup.wall.to_m();
        let inside = setup.box_inside.map(|l| l.to_m());
        let outside = inside.map(|l| l + 2.0 * wall);
        let volume = |s: [f64; 3]| s[0] * s[1] * s[2];
        // A furnace held at its loading temperature: straight fall through the lining.
        let load_k = setup.load_at.to_k();
        let resistance = LINING_M / LINING_W_M_K;
        let flux = (load_k - SHOP_K) / (resistance + 1.0 / SHELL_W_M2_K);
        let (centres, _) = lining();
        let mut t_k = [SHOP_K; LINING_CELLS + 1];
        for (t, depth) in t_k[1..].iter_mut().zip(centres) {
            *t = load_k - flux * depth / LINING_W_M_K;
        }
        Self {
            t_k,
            box_m2: area(outside),
            wall_m3: volume(outside) - volume(inside),
            lining_m2: EXTRA_AREA * area(setup.chamber.map(|l| l.to_m())),
            power_w: setup.power.to_w(),
            owed_j: 0.0,
            factor: Factor::default(),
        }
    }

    /// Temperature of the hot face, which is what the furnace's couple shows.
    pub(super) fn temperature_k(&self) -> f64 {
        self.t_k[1]
    }

    pub(super) fn wall_k(&self) -> f64 {
        self.t_k[0]
    }

    /// One step of furnace, wall and brick; gives the share of the power used.
    pub(super) fn step(&mut self, brick: &mut Brick, around: Around, step_s: f64) -> f64 {
        let conductance = brick.wall_conductance_w_k(self.t_k[0]);
        let outer_k = brick.outer_k();
        let wall_j_k = self.wall_m3
            * steel_thermal::DENSITY_KG_M3
            * steel_thermal::specific_heat_j_kg_k(self.t_k[0] - ICE_POINT_K)
            / step_s;
        let wall_right = wall_j_k * self.t_k[0] + conductance * outer_k - self.owed_j / step_s;
        let share = match around {
            Around::Furnace { set_k } => {
                self.chain(wall_j_k + conductance, wall_right, set_k, step_s)
            }
            Around::Air => {
                let link = self.box_m2 * exchange_w_m2_k(self.t_k[0], SHOP_K);
                self.t_k[0] = (wall_right + link * SHOP_K) / (wall_j_k + conductance + link);
                0.0
            }
        };
        let planned_j = conductance * (self.t_k[0] - outer_k) * step_s;
        let taken_j = brick.step(self.t_k[0], step_s);
        self.owed_j = taken_j - planned_j;
        share
    }

    /// Solves wall and lining with as much power as the controller asks for and the furnace has.
    fn chain(&mut self, wall_diagonal: f64, wall_right: f64, set_k: f64, step_s: f64) -> f64 {
        const M: usize = LINING_CELLS + 1;
        let link = self.box_m2 * exchange_w_m2_k(self.t_k[0], self.t_k[1]);
        let (centres, widths) = lining();
        let (mut lower, mut diagonal, mut upper) = ([0.0; M], [0.0; M], [0.0; M]);
        let mut base = [0.0; M];
        diagonal[0] = wall_diagonal + link;
        upper[0] = -link;
        base[0] = wall_right;
        for i in 0..LINING_CELLS {
            let row = i + 1;
            let storage = self.lining_m2 * LINING_J_M3_K * widths[i] / step_s;
            lower[row] = if i == 0 { -link } else { upper[row - 1] };
            upper[row] = if i + 1 < LINING_CELLS {
                -self.lining_m2 * LINING_W_M_K / (centres[i + 1] - centres[i])
            } else {
                0.0
            };
            base[row] = storage * self.t_k[row];
            diagonal[row] = storage - lower[row] - upper[row];
        }
        let shell =
            self.lining_m2 / (widths[LINING_CELLS - 1] / 2.0 / LINING_W_M_K + 1.0 / SHELL_W_M2_K);
        diagonal[M - 1] += shell;
        base[M - 1] += shell * SHOP_K;
        self.factor.set(&lower, &diagonal, &upper);
        self.factor.solve(&mut base);
        // The answer is linear in the power, which enters at the hot face.
        let mut response = [0.0; M];
        response[1] = 1.0;
        self.factor.solve(&mut response);
        let power_w = ((set_k - base[1]) / response[1]).clamp(0.0, self.power_w);
        for i in 0..M {
            self.t_k[i] = base[i] + power_w * response[i];
        }
        power_w / self.power_w
    }
}

/// Centres and widths of the lining's cells, thin at the hot face.
pub(crate) fn lining() -> ([f64; LINING_CELLS], [f64; LINING_CELLS]) {
    let mut widths = [1.0; LINING_CELLS];
    for i in 1..LINING_CELLS {
        widths[i] = widths[i - 1] * LINING_GRADING;
    }
    let scale = LINING_M / widths.iter().sum::<f64>();
    let mut centres = [0.0; LINING_CELLS];
    let mut edge = 0.0;
    for i in 0..LINING_CELLS {
        widths[i] *= scale;
        centres[i] = edge + widths[i] / 2.0;
        edge += widths[i];
    }
    (centres, widths)
}

/// Radiation and convection between two surfaces, per area and kelvin.
pub(crate) fn exchange_w_m2_k(a_k: f64, b_k: f64) -> f64 {
    EMISSIVITY * STEFAN_BOLTZMANN * (a_k * a_k + b_k * b_k) * (a_k + b_k) + CONVECTION_W_M2_K
}
