//! Heat content and conductivity of compound and steel as tables, so that a cell costs a look-up.
//!
//! Heat content is the integral of the heat capacity, summed finely, so no peak is stepped over and
//! none of its heat is lost; between two entries the capacity is their slope. Only tables: where
//! values come from is said by the laws.

use casewright_terms::quantity::ICE_POINT_K;

use crate::law::{packed_bed, steel_thermal};
use crate::setup::PackedBed;

const FROM_K: f64 = 240.0;
const STEP_K: f64 = 2.0;
const ENTRIES: usize = 721;
/// Points of the sum in one step.
const FINE: usize = 10;

/// Temperatures are kept inside the tables.
pub(super) const LEAST_K: f64 = FROM_K + 1.0;
/// See [`LEAST_K`].
pub(super) const GREATEST_K: f64 = FROM_K + STEP_K * (ENTRIES - 2) as f64;

/// One substance.
#[derive(Clone)]
pub(super) struct Curve {
    conductivity: Vec<f64>,
    content: Vec<f64>,
}

impl Curve {
    fn new(conductivity: impl Fn(f64) -> f64, capacity: impl Fn(f64) -> f64) -> Self {
        let at = |i: usize| FROM_K + STEP_K * i as f64;
        let mut content = vec![0.0];
        for i in 1..ENTRIES {
            let mean: f64 = (0..FINE)
                .map(|j| capacity(at(i - 1) + STEP_K * (j as f64 + 0.5) / FINE as f64))
                .sum::<f64>()
                / FINE as f64;
            content.push(content[i - 1] + STEP_K * mean);
        }
        Self {
            conductivity: (0..ENTRIES).map(|i| conductivity(at(i))).collect(),
            content,
        }
    }

    pub(super) fn constant(k_w_m_k: f64, c_j_m3_k: f64) -> Self {
        Self::new(|_| k_w_m_k, |_| c_j_m3_k)
    }

    pub(super) fn bed(bed: &PackedBed) -> Self {
        let (bulk, grain) = (bed.bulk_density.to_kg_m3(), bed.grain.to_m());
        let moisture = bed.moisture.to_ratio();
        Self::new(
            |t| bed.factor * packed_bed::conductivity_w_m_k(bulk, grain, t),
            |t| packed_bed::damp_heat_capacity_j_m3_k(bulk, moisture, t),
        )
    }

    pub(super) fn steel() -> Self {
        Self::new(
            |t| steel_thermal::heating_conductivity_w_m_k(t - ICE_POINT_K),
            |t| steel_thermal::DENSITY_KG_M3 * steel_thermal::specific_heat_j_kg_k(t - ICE_POINT_K),
        )
    }
}

/// What a cell needs to know of itself at a temperature.
#[derive(Clone, Copy)]
pub(super) struct Here {
    /// W/(m·K).
    pub(super) conductivity: f64,
    /// J/m³ above the table's begin.
    pub(super) content: f64,
    /// J/(m³·K).
    pub(super) capacity: f64,
}

/// A cell with these shares of steel in this bed: for conduction, and for content (which may be
/// over 1).
#[inline]
pub(super) fn here(bed: &Curve, steel: &Curve, (share, heavy): (f64, f64), t_k: f64) -> Here {
    let place = (t_k - FROM_K) / STEP_K;
    let i = (place.max(0.0) as usize).min(ENTRIES - 2);
    let rest = place - i as f64;
    let read = |curve: &Curve| {
        let (h, k) = (&curve.content, &curve.conductivity);
        let rise = h[i + 1] - h[i];
        Here {
            conductivity: k[i] + rest * (k[i + 1] - k[i]),
            content: h[i] + rest * rise,
            capacity: rise / STEP_K,
        }
    };
    if share <= 0.0 && heavy <= 0.0 {
        return read(bed);
    }
    if share >= 1.0 && heavy == 1.0 {
        return read(steel);
    }
    let (b, s) = (read(bed), read(steel));
    let rest = 1.0 - share;
    Here {
        conductivity: packed_bed::mixture_w_m_k(b.conductivity, s.conductivity, share),
        content: rest * b.content + heavy * s.content,
        capacity: rest * b.capacity + heavy * s.capacity,
    }
}
