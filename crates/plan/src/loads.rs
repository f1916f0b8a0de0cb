//! What Vickers and Knoop testers would read on the finished surface with every test force, and from
//! which force on they read the core too.

use casewright_physics::law::indentation::{KNOOP_FORCES_KGF, VICKERS_FORCES_KGF, designation};
use casewright_physics::model::testers;
use casewright_physics::run::Layers;
use casewright_terms::{Band, Force, Length, Scale};

/// One test force.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadReading {
    /// Vickers or Knoop.
    pub scale: Scale,
    /// Test force.
    pub force: Force,
    /// Whether it reads the case and nothing else.
    pub valid: bool,
    /// What it would read, with its band; `None` where an end leaves the scale.
    pub reading: Option<Band<f64>>,
    /// Least hard layer that it may be used on at that hardness.
    pub least_case: Option<Length>,
    /// Why, in words.
    pub why: String,
    /// Doubts about the indent itself, in words.
    pub notes: Vec<String>,
}

impl LoadReading {
    /// As a report writes it: HV0.5, HK0.1.
    #[must_use]
    pub fn name(&self) -> String {
        designation(self.scale, self.force)
    }
}

/// All test forces on the plan's own layers and on the soft and the hard end of their band.
#[must_use]
pub fn readings([nominal, soft, hard]: [&Layers; 3], ground: Length) -> Vec<LoadReading> {
    let forces = |scale: Scale, kgf: &'static [f64]| kgf.iter().map(move |kgf| (scale, *kgf));
    forces(Scale::Hv, &VICKERS_FORCES_KGF)
        .chain(forces(Scale::Hk, &KNOOP_FORCES_KGF))
        .map(|(scale, kgf)| {
            let force = Force::from_kgf(kgf);
            let read = |layers| testers::would_read_with(layers, scale, force, ground, None);
            let mid = read(nominal);
            let ends = [read(soft).reading, read(hard).reading];
            LoadReading {
                scale,
                force,
                valid: mid.valid,
                reading: match (mid.reading, ends) {
                    (Some(mid), [Some(low), Some(high)]) => Some(Band {
                        low: low.min(mid),
                        mid,
                        high: high.max(mid),
                    }),
                    _ => None,
                },
                least_case: mid.least_case,
                why: mid.why,
                notes: mid.remarks.into_iter().map(|remark| remark.text).collect(),
            }
        })
        .collect()
}

/// The heaviest Vickers force that reads the case and nothing else.
#[must_use]
pub fn heaviest(readings: &[LoadReading]) -> Option<&LoadReading> {
    readings
        .iter()
        .filter(|reading| reading.scale == Scale::Hv && reading.valid)
        .max_by(|a, b| a.force.to_kgf().total_cmp(&b.force.to_kgf()))
}
