//! The furnace around the boxes: hot face, lining behind it, couple and controller.
//!
//! The lining is that of the mixture model, see [`crate::model::pack_heat`]. All of it is linear in
//! the temperature of the hot face, so it is eliminated, and the boxes see one node. The controller
//! gives full power at the band below its set point and none at it. It holds no clock.

use crate::model::pack_heat::furnace::{
    EXTRA_AREA, LINING_CELLS, LINING_J_M3_K, LINING_M, LINING_W_M_K, SHELL_W_M2_K, SHOP_K, lining,
};
use crate::numerics::tridiagonal::Factor;
use crate::setup::BoxFurnace;

/// Lining cells behind the hot face.
pub(super) const BEHIND: usize = LINING_CELLS - 1;

/// Temperatures, or their rates, of everything but the boxes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lining {
    /// The hot face, then the cells behind it.
    pub(super) hot: f64,
    pub(super) behind: [f64; BEHIND],
    pub(super) couple: f64,
}

impl Lining {
    /// `self` + `factor` × `other`.
    pub(super) fn plus(mut self, factor: f64, other: &Self) -> Self {
        self.hot += factor * other.hot;
        for (a, b) in self.behind.iter_mut().zip(&other.behind) {
            *a += factor * b;
        }
        self.couple += factor * other.couple;
        self
    }
}

pub(super) struct Chamber {
    capacity_j_k: [f64; LINING_CELLS],
    /// From each cell to the one behind it, the last to the shop.
    link_w_k: [f64; LINING_CELLS],
    power_w: f64,
    band_k: f64,
    lag_s: f64,
}

/// The state for a hot face, and how the balance of the hot face changes with it.
pub(super) struct Answer {
    pub(super) lining: Lining,
    pub(super) rates: Lining,
    /// Slope of what the hot face loses to lining and controller, in W/K.
    pub(super) slope_w_k: f64,
}

impl Chamber {
    pub(super) fn new(furnace: &BoxFurnace) -> Self {
        let s = furnace.chamber.map(|l| l.to_m());
        let area = EXTRA_AREA * 2.0 * (s[0] * s[1] + s[1] * s[2] + s[2] * s[0]);
        let (centres, widths) = lining();
        let last = LINING_CELLS - 1;
        Self {
            capacity_j_k: widths.map(|w| area * LINING_J_M3_K * w),
            link_w_k: std::array::from_fn(|i| {
                if i < last {
                    area * LINING_W_M_K / (centres[i + 1] - centres[i])
                } else {
                    area / (widths[last] / 2.0 / LINING_W_M_K + 1.0 / SHELL_W_M2_K)
                }
            }),
            power_w: furnace.power.to_w(),
            band_k: furnace.band.to_k(),
            lag_s: furnace.couple_lag.to_s(),
        }
    }

    /// A furnace that was held at a temperature: straight fall through the lining.
    pub(super) fn held_at(t_k: f64) -> Lining {
        let flux = (t_k - SHOP_K) / (LINING_M / LINING_W_M_K + 1.0 / SHELL_W_M2_K);
        let (centres, _) = lining();
        Lining {
            hot: t_k - flux * centres[0] / LINING_W_M_K,
            behind: std::array::from_fn(|i| t_k - flux * centres[i + 1] / LINING_W_M_K),
            couple: t_k - flux * centres[0] / LINING_W_M_K,
        }
    }

    /// Capacity of the hot face, in J/K.
    pub(super) fn hot_j_k(&self) -> f64 {
        self.capacity_j_k[0]
    }

    /// Heat of the lining above nothing, in J.
    #[cfg(test)]
    pub(super) fn content_j(&self, lining: &Lining) -> f64 {
        let behind = self.capacity_j_k[1..].iter().zip(&lining.behind);
        self.capacity_j_k[0] * lining.hot + behind.map(|(c, t)| c * t).sum::<f64>()
    }

    /// Heat into the shop, in W.
    pub(super) fn loss_w(&self, lining: &Lining) -> f64 {
        self.link_w_k[LINING_CELLS - 1] * (lining.behind[BEHIND - 1] - SHOP_K)
    }

    fn power(&self, couple_k: f64, set_k: f64) -> (f64, f64) {
        let wanted = self.power_w * (set_k - couple_k) / self.band_k;
        if wanted >= self.power_w {
            (self.power_w, 0.0)
        } else if wanted <= 0.0 {
            (0.0, 0.0)
        } else {
            (wanted, self.power_w / self.band_k)
        }
    }

    pub(super) fn at_full(&self, power_w: f64) -> bool {
        power_w >= self.power_w
    }

    /// Rates of change at a state, with the heat the boxes take, in W.
    pub(super) fn rates(&self, lining: &Lining, set_k: f64, taken_w: f64) -> (Lining, f64) {
        let at = |i: usize| {
            if i == 0 {
                lining.hot
            } else {
                lining.behind[i - 1]
            }
        };
        let flow = |i: usize| {
            let next = if i + 1 < LINING_CELLS {
                at(i + 1)
            } else {
                SHOP_K
            };
            self.link_w_k[i] * (at(i) - next)
        };
        let couple = if self.lag_s > 0.0 {
            lining.couple
        } else {
            lining.hot
        };
        let (power_w, _) = self.power(couple, set_k);
        let rates = Lining {
            hot: (power_w - taken_w - flow(0)) / self.capacity_j_k[0],
            behind: std::array::from_fn(|i| (flow(i) - flow(i + 1)) / self.capacity_j_k[i + 1]),
            couple: if self.lag_s > 0.0 {
                (lining.hot - lining.couple) / self.lag_s
            } else {
                0.0
            },
        };
        (rates, power_w)
    }

    /// The lining and couple that satisfy `state = base + step × rates` for this hot face.
    pub(super) fn answer(
        &self,
        base: &Lining,
        hot_k: f64,
        set_k: f64,
        taken_w: f64,
        step_s: f64,
    ) -> Answer {
        let (mut lower, mut diagonal, mut upper) = ([0.0; BEHIND], [0.0; BEHIND], [0.0; BEHIND]);
        let (mut x, mut response) = ([0.0; BEHIND], [0.0; BEHIND]);
        for i in 0..BEHIND {
            let (k_in, k_out) = (self.link_w_k[i], self.link_w_k[i + 1]);
            let storage = self.capacity_j_k[i + 1] / step_s;
            lower[i] = if i == 0 { 0.0 } else { -k_in };
            upper[i] = if i + 1 < BEHIND { -k_out } else { 0.0 };
            diagonal[i] = storage + k_in + k_out;
            x[i] = storage * base.behind[i];
        }
        x[0] += self.link_w_k[0] * hot_k;
        x[BEHIND - 1] += self.link_w_k[BEHIND] * SHOP_K;
        response[0] = self.link_w_k[0];
        let mut factor = Factor::default();
        factor.set(&lower, &diagonal, &upper);
        factor.solve(&mut x);
        factor.solve(&mut response);
        let (couple, follows) = if self.lag_s > 0.0 {
            let share = step_s / self.lag_s;
            (
                (base.couple + share * hot_k) / (1.0 + share),
                share / (1.0 + share),
            )
        } else {
            (hot_k, 1.0)
        };
        let (_, steep) = self.power(couple, set_k);
        let lining = Lining {
            hot: hot_k,
            behind: x,
            couple,
        };
        let (rates, _) = self.rates(&lining, set_k, taken_w);
        Answer {
            lining,
            rates,
            slope_w_k: steep * follows + self.link_w_k[0] * (1.0 - response[0]),
        }
    }
}
