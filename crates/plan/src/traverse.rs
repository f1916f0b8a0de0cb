//! The hardness traverse on a cut coupon: test force, rows, depths, what to expect at each, and
//! between which two indents the case ends.
//!
//! It plans a measurement. What the measurement says is judged from what is read, not from here.

use casewright_physics::law::indentation::TraversePlan as Rules;
use casewright_physics::law::indentation::{self, traverse_plan, vickers_diagonal};
use casewright_terms::{Band, Force, Length, SourceKey, UnitSystem, Vickers};

use crate::demand::Demand;
use crate::evaluate::at;
use crate::outcome::{DepthLimit, Prediction};

/// Forces of a case-depth traverse, heaviest first, in kgf. [iso-18203]
const FORCES_KGF: [f64; 4] = [1.0, 0.5, 0.3, 0.1];
/// The first indent stands within this share of the case. [trade-practice]
const FIRST_WITHIN: f64 = 0.25;
/// Below this case and above this core hardness the rule of 550 HV does not hold. [iso-18203]
const LEAST_CASE_MM: f64 = 0.3;
/// See [`LEAST_CASE_MM`].
const CORE_HV_MOST: f64 = 450.0;
/// Where the core is looked at, in case depths. [iso-18203]
const CORE_AT_CASES: f64 = 3.0;
/// Steps beyond the band of the case depth, so that the limit is bracketed.
const BEYOND: f64 = 2.0;
/// Most indents of one traverse.
const MOST: usize = 40;

/// One indent.
#[derive(Clone, Debug, PartialEq)]
pub struct Indent {
    /// Depth of its centre from the surface as hardened.
    pub depth: Length,
    /// Row it stands in, from 1.
    pub row: usize,
    /// Along the surface from the first row.
    pub across: Length,
    /// Hardness expected.
    pub expected: Band<Vickers>,
    /// Diagonal expected.
    pub diagonal: Length,
}

/// A traverse, complete.
#[derive(Clone, Debug, PartialEq)]
pub struct Traverse {
    /// The coupon that is cut.
    pub piece: String,
    /// Test force.
    pub force: Force,
    /// How many times it is made, each at another place of the section.
    pub bands: usize,
    /// Rows that one traverse is staggered in.
    pub rows: usize,
    /// From row to row, along the surface.
    pub row_distance: Length,
    /// Least distance of neighbours, centre to centre.
    pub spacing: Length,
    /// From depth to depth.
    pub step: Length,
    /// Accuracy wanted of each depth, either way.
    pub depth_accuracy: Length,
    /// The indents, by depth; the last one looks at the core.
    pub indents: Vec<Indent>,
    /// Hardness that ends the case.
    pub limit: Vickers,
    /// Depth expected to that hardness.
    pub case_depth: Band<Length>,
    /// The two indents, by their place in the list from 0, between which the middle of that lies.
    pub falls_between: (usize, usize),
    /// What else must be known, in sentences.
    pub notes: Vec<String>,
    /// Sources of the rules.
    pub sources: Vec<SourceKey>,
}

/// Plans the traverse; `None` where the surface never holds the limit.
#[must_use]
pub fn plan(
    demand: &Demand,
    prediction: &Prediction,
    piece: &str,
    units: UnitSystem,
) -> Option<Traverse> {
    let (limit, case) = match demand.limit {
        DepthLimit::Hardness(_) => (demand.limit_hv(), prediction.case_depth?),
        DepthLimit::CoreCarbon => (Vickers::from_hv(550.0), prediction.depth_550hv?),
    };
    let expected = Expected::of(prediction);
    let deepest = Length::from_mm(*prediction.profile.depth_mm.last()?);
    let hardest = expected.at(Length::ZERO).high;
    let (force, first) = choose_force(hardest, case.mid)?;
    let step = match units {
        UnitSystem::Metric => Length::from_mm(0.1),
        // The nearest round figure below a tenth of a millimetre.
        UnitSystem::Inch => Length::from_in(0.0035),
    };
    let grid = step * 0.5;
    let first = up_to(first, grid);
    let last = (up_to(case.high, step) + step * BEYOND).min(deepest);
    let mut depths: Vec<Length> = (0..MOST)
        .map(|i| first + step * i as f64)
        .take_while(|depth| *depth <= last)
        .collect();
    let after = depths.iter().position(|depth| *depth > case.mid)?;
    let core_at = (case.mid * CORE_AT_CASES).min(deepest * 0.9);
    if core_at > last {
        depths.push(up_to(core_at, grid));
    }
    let softest = depths
        .iter()
        .map(|depth| expected.at(*depth).low)
        .reduce(|a, b| if a.to_hv() < b.to_hv() { a } else { b })?;
    let rules = traverse_plan(softest, force)?;
    let rows = (rules.spacing / step).ceil().clamp(2.0, 6.0) as usize;
    let row_distance = up_to(rules.spacing, grid);
    let indents = depths
        .iter()
        .enumerate()
        .map(|(i, depth)| {
            let hardness = expected.at(*depth);
            Some(Indent {
                depth: *depth,
                row: i % rows + 1,
                across: row_distance * (i % rows) as f64,
                diagonal: vickers_diagonal(hardness.mid, force)?,
                expected: hardness,
            })
        })
        .collect::<Option<Vec<Indent>>>()?;
    let notes = notes(demand, case, expected.at(core_at).mid, &rules, units);
    Some(Traverse {
        piece: piece.to_owned(),
        force,
        bands: rules.bands,
        rows,
        row_distance,
        spacing: rules.spacing,
        step,
        depth_accuracy: rules.depth_accuracy,
        indents,
        limit,
        case_depth: case,
        falls_between: (after.saturating_sub(1), after),
        notes,
        sources: indentation::SOURCES
            .into_iter()
            .filter(|key| ["iso-6507", "astm-e384", "iso-18203"].contains(key))
            .chain(["trade-practice"])
            .collect(),
    })
}

/// The heaviest force whose first indent still stands well inside the case: a large indent is read
/// more surely. With it, the least depth of that first indent. The lightest where none does.
fn choose_force(hardest: Vickers, case: Length) -> Option<(Force, Length)> {
    let tries: Vec<(Force, Length)> = FORCES_KGF
        .iter()
        .filter_map(|kgf| {
            let force = Force::from_kgf(*kgf);
            Some((force, traverse_plan(hardest, force)?.first_depth))
        })
        .collect();
    tries
        .iter()
        .find(|(_, first)| *first <= case * FIRST_WITHIN)
        .or(tries.last())
        .copied()
}

/// The next multiple of `grid` that is not less.
fn up_to(length: Length, grid: Length) -> Length {
    // A millionth of room, so that a length on the grid stays where it is.
    grid * ((length / grid) - 1e-6).ceil().max(1.0)
}

fn notes(
    demand: &Demand,
    case: Band<Length>,
    core: Vickers,
    rules: &Rules,
    units: UnitSystem,
) -> Vec<String> {
    let mut notes: Vec<String> = rules.remarks.iter().map(|r| r.text.clone()).collect();
    if demand.limit == DepthLimit::CoreCarbon {
        notes.push(
            "The note asks for total depth, which is a matter of carbon; the traverse gives the depth to 550 HV and shows where the hardness comes to rest."
                .to_owned(),
        );
    }
    if case.mid < Length::from_mm(LEAST_CASE_MM) {
        notes.push(format!(
            "The case is below {}: the standard's rule for case depth is not made for it; agree on method and limit with the customer.",
            Length::from_mm(LEAST_CASE_MM).depth_text(units)
        ));
    }
    if core.to_hv() >= CORE_HV_MOST {
        notes.push(format!(
            "At three case depths {:.0} HV are expected, not below 450 HV: a limit above 550 HV must be agreed, in steps of 25 HV.",
            core.to_hv()
        ));
    }
    notes
}

/// Hardness expected at a depth, by the profile of the prediction.
struct Expected<'a> {
    depth_m: Vec<f64>,
    prediction: &'a Prediction,
}

impl<'a> Expected<'a> {
    fn of(prediction: &'a Prediction) -> Self {
        let depth_m = prediction
            .profile
            .depth_mm
            .iter()
            .map(|d| Length::from_mm(*d).to_m())
            .collect();
        Self {
            depth_m,
            prediction,
        }
    }

    fn at(&self, depth: Length) -> Band<Vickers> {
        let read = |values: &[f64]| Vickers::from_hv(at(&self.depth_m, values, depth.to_m()));
        let profile = &self.prediction.profile;
        Band {
            low: read(&profile.hardness_low_hv),
            mid: read(&profile.hardness_hv),
            high: read(&profile.hardness_high_hv),
        }
    }
}

impl Traverse {
    /// Least distance between any two indents of one traverse.
    #[must_use]
    pub fn nearest_neighbours(&self) -> Option<Length> {
        let mut least: Option<f64> = None;
        for (i, a) in self.indents.iter().enumerate() {
            for b in &self.indents[i + 1..] {
                let (x, y) = ((a.depth - b.depth).to_m(), (a.across - b.across).to_m());
                let apart = x.hypot(y);
                least = Some(least.map_or(apart, |l| l.min(apart)));
            }
        }
        least.map(Length::from_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_on_the_grid_stays() {
        let grid = Length::from_mm(0.05);
        assert!((up_to(Length::from_mm(0.15), grid).to_mm() - 0.15).abs() < 1e-9);
        assert!((up_to(Length::from_mm(0.129), grid).to_mm() - 0.15).abs() < 1e-9);
        assert!((up_to(Length::ZERO, grid).to_mm() - 0.05).abs() < 1e-9);
    }

    #[test]
    fn a_thin_case_takes_a_lighter_force() {
        let hard = Vickers::from_hv(720.0);
        let force = |mm: f64| choose_force(hard, Length::from_mm(mm)).unwrap().0.to_kgf();
        // HV1 at 720 HV: diagonal 50.7 µm, first indent at 0.127 mm, a quarter of 0.51 mm.
        assert!((force(0.6) - 1.0).abs() < 1e-9);
        assert!((force(0.45) - 0.5).abs() < 1e-9);
        assert!((force(0.1) - 0.1).abs() < 1e-9);
    }
}
