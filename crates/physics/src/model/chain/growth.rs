//! Growth per side from the change of volume.

use casewright_terms::Length;

use crate::law::volume_change::{Phase, mixture_linear_strain};
use crate::model::quench::Body;
use crate::numerics::interpolate::linear_clamped;
use crate::run::Layers;

/// Free strain to real growth: the layers hold each other, flow while hot and bow; parts grow by
/// a third to twice the mean [trade-practice].
const LEAST: f64 = 0.33;
/// See [`LEAST`].
const MOST: f64 = 2.0;

/// Low and high growth per side: mean free strain of the section times its half depth.
pub(super) fn per_side(layers: &Layers, body: &Body) -> (Length, Length) {
    let half_m = layers.depth_m[layers.len() - 1];
    let mean_m = half_m * mean_strain(layers, body);
    let (a, b) = (LEAST * mean_m, MOST * mean_m);
    (Length::from_m(a.min(b)), Length::from_m(a.max(b)))
}

/// Mean free strain of the section, by volume.
pub(super) fn mean_strain(layers: &Layers, body: &Body) -> f64 {
    let half_m = layers.depth_m[layers.len() - 1];
    let strain: Vec<f64> = (0..layers.len()).map(|i| strain(layers, i)).collect();
    let (mut sum, mut weight) = (0.0, 0.0);
    for (depth, volume) in body.depth_m.iter().zip(&body.volume_m) {
        let depth = if *depth > half_m {
            2.0 * half_m - depth
        } else {
            *depth
        };
        sum += volume * linear_clamped(&layers.depth_m, &strain, depth);
        weight += volume;
    }
    sum / weight
}

/// Linear strain of a layer against the annealed steel.
pub(super) fn strain(layers: &Layers, i: usize) -> f64 {
    let annealed = layers.pearlite[i] + layers.ferrite[i] + layers.carbide[i];
    mixture_linear_strain(
        &[
            (layers.martensite[i], Phase::Martensite),
            (layers.retained_austenite[i], Phase::Austenite),
            (layers.bainite[i], Phase::Bainite),
            (annealed, Phase::Annealed),
        ],
        layers.carbon_wt_pct[i],
    )
}
