//! How a result fared against the note: one ruler for the planner's promise and for the shop's
//! readings. Takes values of one shape, whoever made them.

use casewright_physics::run::Layers;
use casewright_terms::{Length, Vickers, WeightPercent};

use crate::demand::Demand;
use crate::outcome::DepthLimit;

/// Carbon above the core's that ends a total depth, wt%. [sae-j423]
pub const TOTAL_DEPTH_OVER_CORE_WT_PCT: f64 = 0.04;

/// What was found on one part, predicted or measured. `None` is not known.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Observed {
    /// Depth to the note's limit, before grinding; zero where the surface does not hold it.
    pub depth_made: Option<Length>,
    /// Depth to the note's limit after grinding.
    pub depth_after_grind: Option<Length>,
    /// Hardness on the finished surface.
    pub surface: Option<Vickers>,
    /// Core hardness.
    pub core: Option<Vickers>,
}

/// How one clause fared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fared {
    /// Inside.
    Holds,
    /// Below its least.
    Low,
    /// Above its greatest.
    High,
    /// Not observed.
    NotShown,
    /// Not asked for.
    NotAsked,
}

/// How every clause fared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Evaluation {
    /// Case depth.
    pub depth: Fared,
    /// Surface hardness.
    pub surface: Fared,
    /// Core hardness.
    pub core: Fared,
}

impl Evaluation {
    /// Whether nothing asked for is missed or missing.
    #[must_use]
    pub fn meets(&self) -> bool {
        [self.depth, self.surface, self.core]
            .iter()
            .all(|fared| matches!(fared, Fared::Holds | Fared::NotAsked))
    }

    /// How many clauses are missed.
    #[must_use]
    pub fn misses(&self) -> usize {
        [self.depth, self.surface, self.core]
            .iter()
            .filter(|fared| matches!(fared, Fared::Low | Fared::High))
            .count()
    }
}

/// Holds an observation against the demand.
#[must_use]
pub fn evaluate(demand: &Demand, observed: &Observed) -> Evaluation {
    let depth = if demand.after_grind {
        observed.depth_after_grind
    } else {
        observed.depth_made
    };
    let clause = |asked: Option<(Option<Vickers>, Option<Vickers>)>, value: Option<Vickers>| match (
        asked, value,
    ) {
        (None, _) => Fared::NotAsked,
        (Some(_), None) => Fared::NotShown,
        (Some((min, max)), Some(value)) => within(
            value.to_hv(),
            min.map(Vickers::to_hv),
            max.map(Vickers::to_hv),
        ),
    };
    Evaluation {
        depth: depth.map_or(Fared::NotShown, |depth| {
            within(
                depth.to_m(),
                Some(demand.depth_min.to_m()),
                demand.depth_max.map(Length::to_m),
            )
        }),
        surface: clause(demand.surface.map(|d| (d.min, d.max)), observed.surface),
        core: clause(demand.core.map(|d| (d.min, d.max)), observed.core),
    }
}

fn within(value: f64, min: Option<f64>, max: Option<f64>) -> Fared {
    if min.is_some_and(|min| value < min) {
        Fared::Low
    } else if max.is_some_and(|max| value > max) {
        Fared::High
    } else {
        Fared::Holds
    }
}

/// What a simulated part shows, with `ground` taken off its surface.
#[must_use]
pub fn observe(
    layers: &Layers,
    demand: &Demand,
    core_carbon: WeightPercent,
    ground: Length,
) -> Observed {
    let made = depth_to_limit(
        layers,
        demand.limit,
        demand.limit_hv(),
        core_carbon,
        Length::ZERO,
    )
    .unwrap_or(Length::ZERO);
    let after = depth_to_limit(layers, demand.limit, demand.limit_hv(), core_carbon, ground)
        .unwrap_or(Length::ZERO);
    Observed {
        depth_made: Some(made),
        depth_after_grind: Some(after),
        surface: Some(hardness_at(layers, ground)),
        core: Some(layers.core()),
    }
}

/// Depth to a limit, counted from the surface that `ground` leaves; `None` where that surface does
/// not hold the limit.
#[must_use]
pub fn depth_to_limit(
    layers: &Layers,
    limit: DepthLimit,
    limit_hv: Vickers,
    core_carbon: WeightPercent,
    ground: Length,
) -> Option<Length> {
    let from_made_surface = match limit {
        DepthLimit::Hardness(_) => layers.depth_to_hardness(limit_hv, ground)?,
        DepthLimit::CoreCarbon => total_depth(layers, core_carbon)?,
    };
    (from_made_surface > ground).then(|| from_made_surface - ground)
}

/// Depth to core carbon + 0.04 wt%.
#[must_use]
pub fn total_depth(layers: &Layers, core_carbon: WeightPercent) -> Option<Length> {
    layers.depth_to_carbon(core_carbon + WeightPercent::from_wt_pct(TOTAL_DEPTH_OVER_CORE_WT_PCT))
}

/// Hardness at a depth, linear between layers.
#[must_use]
pub fn hardness_at(layers: &Layers, depth: Length) -> Vickers {
    Vickers::from_hv(at(&layers.depth_m, &layers.hardness_hv, depth.to_m()))
}

/// A value at a depth, linear between points and held at the ends.
///
/// # Panics
/// When there is no point.
#[must_use]
pub fn at(depth_m: &[f64], value: &[f64], x: f64) -> f64 {
    let i = depth_m.partition_point(|d| *d < x);
    if i == 0 {
        return value[0];
    }
    if i == depth_m.len() {
        return value[i - 1];
    }
    let t = (x - depth_m[i - 1]) / (depth_m[i] - depth_m[i - 1]);
    value[i - 1] + t * (value[i] - value[i - 1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demand::HardnessDemand;
    use casewright_job::note::reading::HardnessRange;
    use casewright_terms::{Hardness, Scale};

    fn demand() -> Demand {
        let hv = |v| Some(Vickers::from_hv(v));
        Demand {
            limit: DepthLimit::Hardness(Hardness::new(Scale::Hv, 550.0)),
            depth_min: Length::from_mm(0.8),
            depth_max: Some(Length::from_mm(1.2)),
            after_grind: true,
            surface: Some(HardnessDemand {
                written: HardnessRange {
                    scale: Scale::Hv,
                    force_kgf: None,
                    min: Some(650.0),
                    max: Some(750.0),
                },
                min: hv(650.0),
                max: hv(750.0),
            }),
            core: None,
        }
    }

    fn layers() -> Layers {
        // A straight fall from 800 HV and 1.0 wt% at the surface to 300 HV and 0.2 wt% at 2 mm.
        let depth_m: Vec<f64> = (0..=20).map(|i| f64::from(i) * 1e-4).collect();
        let n = depth_m.len();
        let line = |from: f64, to: f64| -> Vec<f64> {
            depth_m
                .iter()
                .map(|d| from + (to - from) * d / 2e-3)
                .collect()
        };
        Layers {
            carbon_wt_pct: line(1.0, 0.2),
            hardness_hv: line(800.0, 300.0),
            quenched_hv: line(820.0, 300.0),
            martensite: vec![1.0; n],
            retained_austenite: vec![0.0; n],
            bainite: vec![0.0; n],
            pearlite: vec![0.0; n],
            ferrite: vec![0.0; n],
            carbide: vec![0.0; n],
            depth_m,
        }
    }

    #[test]
    fn grinding_takes_its_share_of_the_case() {
        let seen = observe(
            &layers(),
            &demand(),
            WeightPercent::from_wt_pct(0.2),
            Length::from_mm(0.12),
        );
        // 550 HV stands at 1.0 mm on the straight line.
        assert!((seen.depth_made.unwrap().to_mm() - 1.0).abs() < 1e-9);
        assert!((seen.depth_after_grind.unwrap().to_mm() - 0.88).abs() < 1e-9);
        assert!((seen.surface.unwrap().to_hv() - 770.0).abs() < 1e-9);
        let fared = evaluate(&demand(), &seen);
        assert_eq!(
            (fared.depth, fared.surface, fared.core),
            (Fared::Holds, Fared::High, Fared::NotAsked)
        );
        assert_eq!(fared.misses(), 1);
    }

    #[test]
    fn a_surface_below_the_limit_has_no_case() {
        let seen = observe(
            &layers(),
            &demand(),
            WeightPercent::from_wt_pct(0.2),
            Length::from_mm(1.5),
        );
        assert_eq!(seen.depth_after_grind, Some(Length::ZERO));
    }

    #[test]
    fn total_depth_ends_just_above_the_core() {
        let total = total_depth(&layers(), WeightPercent::from_wt_pct(0.2)).unwrap();
        assert!((total.to_mm() - 1.9).abs() < 1e-9);
    }
}
