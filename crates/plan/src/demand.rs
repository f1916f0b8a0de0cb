//! What the note demands, in the planner's terms: one depth range, one limit, one stage, and the
//! hardness bounds in HV. Makes no choice; what is open in the note is a finding, not a guess.

use casewright_job::note::reading::{DepthKind, HardnessRange, Stage};
use casewright_job::spec::Spec;
use casewright_physics::law::hardness_conversion::hv_of;
use casewright_terms::{Diag, Hardness, Length, Scale, Vickers};

use crate::outcome::{DepthChain, DepthLimit};

/// The bounds of one hardness clause in HV; `None` is an open end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HardnessDemand {
    /// The clause as written.
    pub written: HardnessRange,
    /// Least, in HV.
    pub min: Option<Vickers>,
    /// Greatest, in HV.
    pub max: Option<Vickers>,
}

impl HardnessDemand {
    /// Whether a hardness satisfies the clause.
    #[must_use]
    pub fn holds(&self, value: Vickers) -> bool {
        self.min.is_none_or(|min| value >= min) && self.max.is_none_or(|max| value <= max)
    }

    /// The middle of the clause, or its closed end moved by `inward` where the other is open.
    #[must_use]
    pub fn middle(&self, inward: Vickers) -> Option<Vickers> {
        match (self.min, self.max) {
            (Some(min), Some(max)) => Some((min + max) * 0.5),
            (Some(min), None) => Some(min + inward),
            (None, Some(max)) => Some(max - inward),
            (None, None) => None,
        }
    }
}

/// Everything a plan must meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// What ends the case.
    pub limit: DepthLimit,
    /// Least depth as written.
    pub depth_min: Length,
    /// Greatest depth as written.
    pub depth_max: Option<Length>,
    /// Whether the written depth is the finished one.
    pub after_grind: bool,
    /// Surface hardness.
    pub surface: Option<HardnessDemand>,
    /// Core hardness.
    pub core: Option<HardnessDemand>,
}

/// Default limit of an effective depth by ISO 18203, used only where the note names none and the
/// reader did not fill it either.
const DEFAULT_LIMIT: Hardness = Hardness::new(Scale::Hv, 550.0);

impl Demand {
    /// Reads the demand out of a spec.
    ///
    /// # Errors
    /// What is missing or cannot be compared, all at once.
    pub fn of(spec: &Spec) -> Result<Self, Vec<Diag>> {
        let note = &spec.note;
        let mut problems: Vec<Diag> = Vec::new();
        let mut clause = |what: &str, range: Option<HardnessRange>| {
            range.and_then(|range| match hardness_demand(range) {
                Ok(demand) => Some(demand),
                Err(seen) => {
                    problems.push(
                        Diag::stop("hardness-not-comparable", format!("{what}: {seen}."))
                            .why("The prediction and the readings could not be held against it.")
                            .accepted("Give the hardness in HV, HRC, HRA, HR15N, HR30N, HR45N, HRB or HBW within that scale's range."),
                    );
                    None
                }
            })
        };
        let surface = clause("Surface hardness", note.surface_hardness);
        let core = clause("Core hardness", note.core_hardness);
        let depth = note.case_depth.unwrap_or_default();
        let depth_min = match (depth.min, depth.max) {
            (Some(min), _) => Some(min),
            // A note that only bounds the case from above still wants a case: aim at three
            // quarters of the bound and let the checker show it.
            (None, Some(max)) => Some(max * 0.5),
            (None, None) => None,
        };
        let Some(depth_min) = depth_min else {
            problems.push(
                Diag::stop("no-depth", "The note gives no case depth.")
                    .why("Hours and temperature follow from the depth; without it there is nothing to plan.")
                    .accepted("Ask the customer for a depth with its kind and limit, such as CHD 550 HV 0.8 +0.4/0 mm."),
            );
            return Err(problems);
        };
        let limit = match note.depth_kind {
            DepthKind::Total => DepthLimit::CoreCarbon,
            DepthKind::Effective | DepthKind::Unstated => {
                DepthLimit::Hardness(note.limit_hardness.unwrap_or(DEFAULT_LIMIT))
            }
        };
        if problems.is_empty() {
            Ok(Self {
                limit,
                depth_min,
                depth_max: depth.max,
                after_grind: note.stage == Stage::AfterGrind,
                surface,
                core,
            })
        } else {
            Err(problems)
        }
    }

    /// The limit in HV; for a total depth the ISO default, which is only drawn, not judged.
    #[must_use]
    pub fn limit_hv(&self) -> Vickers {
        match self.limit {
            DepthLimit::Hardness(limit) => {
                hv_of(limit).map_or(Vickers::from_hv(DEFAULT_LIMIT.value), |valued| valued.value)
            }
            DepthLimit::CoreCarbon => Vickers::from_hv(DEFAULT_LIMIT.value),
        }
    }

    /// The chain from the finished depth to the depth to make, per side.
    #[must_use]
    pub fn depth_chain(&self, spec: &Spec) -> DepthChain {
        let most = spec
            .stock
            .iter()
            .map(|s| s.per_side + s.bow)
            .fold(Length::ZERO, Length::max);
        // Least and greatest of the faces that are ground: the note's greatest depth is judged there,
        // and what a face that is not ground keeps is said by itself (`unground-faces`). A bow takes
        // from one side what it leaves on the other.
        let least = spec
            .stock
            .iter()
            .map(|s| (s.per_side - s.bow).max(Length::ZERO))
            .reduce(Length::min)
            .unwrap_or(Length::ZERO);
        let scatter = scatter(self.depth_min);
        let (make_min, make_max) = if self.after_grind {
            (self.depth_min + most, self.depth_max.map(|max| max + least))
        } else {
            (self.depth_min, self.depth_max)
        };
        let aim = match make_max {
            Some(max) => (make_min + max) * 0.5,
            None => make_min + scatter * 1.5,
        };
        let finish = |depth: Length, stock: Length| (depth - stock).max(Length::ZERO);
        DepthChain {
            finish_min: if self.after_grind {
                self.depth_min
            } else {
                finish(make_min, most)
            },
            finish_max: if self.after_grind {
                self.depth_max
            } else {
                make_max.map(|max| finish(max, least))
            },
            stock: (least, most),
            scatter,
            make_min,
            make_max,
            aim,
            limit: self.limit,
        }
    }
}

/// Scatter inside one load, one way: ±0.125 mm for shallow cases, an eighth of the depth for
/// deeper ones. [handbook-pack-scatter], recalled: about 0.25 mm in total at 925 °C, widening with
/// depth.
#[must_use]
pub fn scatter(depth: Length) -> Length {
    (depth * 0.125).max(Length::from_mm(0.125))
}

fn hardness_demand(range: HardnessRange) -> Result<HardnessDemand, String> {
    let bound = |value: Option<f64>| match value {
        None => Ok(None),
        Some(value) => hv_of(Hardness::new(range.scale, value))
            .map(|valued| Some(valued.value))
            .ok_or_else(|| {
                format!(
                    "{value} {} is outside the range of its scale's table",
                    range.scale
                )
            }),
    };
    Ok(HardnessDemand {
        written: range,
        min: bound(range.min)?,
        max: bound(range.max)?,
    })
}
