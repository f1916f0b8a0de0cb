//! What the testers are worth: their check blocks, and the error that is left.

use casewright_job::evidence::{Block, Item, TestScale, What};
use casewright_physics::law::reading_doubt::{mean_doubt, permitted_error, scatter};
use casewright_terms::{Diag, Force, Scale};

use super::Bench;

/// Error of the tester of one item on its scale.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Error {
    /// Half-width (90 %) in units of the scale.
    pub(super) half: f64,
    /// Why readings of this tester do not count; `None` where they do.
    pub(super) refused: Option<String>,
}

/// Errors of all items, by their place in the list.
pub(super) struct Testers(Vec<Option<Error>>);

impl Testers {
    /// Error for the readings of an item; the permitted one where nothing is known.
    pub(super) fn of(&self, item: usize, scale: TestScale, reading: f64) -> Error {
        self.0.get(item).cloned().flatten().unwrap_or(Error {
            half: permitted_error(scale.scale, force(scale), reading),
            refused: None,
        })
    }
}

/// The force of a scale that needs one.
pub(super) fn force(scale: TestScale) -> Option<Force> {
    scale.force_kgf.map(Force::from_kgf)
}

/// Scale and mean reading of an item that was read with a tester.
fn read_on(item: &Item) -> Option<(TestScale, f64)> {
    let mean = |values: &[f64]| {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        sorted.iter().sum::<f64>() / sorted.len().max(1) as f64
    };
    match &item.what {
        What::Hardness(read) => Some((read.scale, mean(&read.values))),
        What::Traverse(read) => Some((read.scale, mean(&read.values))),
        What::StepGrind(read) => Some((read.scale, mean(&read.values.concat()))),
        What::TaperGrind(read) => Some((read.scale, mean(&read.values))),
        What::Ring(_) | What::FileTest(_) | What::WeightGain(_) | What::Structure(_) => None,
    }
}

/// Looks at the check block of every item's tester.
pub(super) fn check(bench: &Bench<'_>, findings: &mut Vec<Diag>) -> Testers {
    let mut unchecked: Vec<(Scale, &Item)> = Vec::new();
    let mut errors = Vec::new();
    for item in &bench.evidence.items {
        let error =
            read_on(item).map(
                |(scale, reading)| match block_for(bench, item, scale, reading) {
                    Some(block) => judged(item, block, reading, findings),
                    None => {
                        if !unchecked.iter().any(|(known, _)| *known == scale.scale) {
                            unchecked.push((scale.scale, item));
                        }
                        Error {
                            half: permitted_error(scale.scale, force(scale), reading),
                            refused: None,
                        }
                    }
                },
            );
        errors.push(error);
    }
    for (scale, item) in unchecked {
        findings.push(
            Diag::warn(
                "tester-unchecked",
                format!("No check block is given for the {scale} readings."),
            )
            .why("A tester that nobody checked may be off by all that its standard permits; that doubt is taken.")
            .accepted("Five readings on a certified block near the lot's hardness, the same day, as a [[tester.block]].")
            .at(item.place.clone()),
        );
    }
    Testers(errors)
}

/// The block of the item's tester on its scale that is nearest to the reading, of the same day where
/// there is one.
fn block_for<'e>(
    bench: &Bench<'e>,
    item: &Item,
    scale: TestScale,
    reading: f64,
) -> Option<&'e Block> {
    let tester = bench.evidence.tester(item.tester.as_deref()?)?;
    let same_force = |block: &Block| {
        block.scale.scale == scale.scale
            && match (block.scale.force_kgf, scale.force_kgf) {
                (Some(a), Some(b)) => (a - b).abs() < 1e-9 * b.abs().max(1.0),
                (None, None) => true,
                _ => false,
            }
    };
    tester
        .blocks
        .iter()
        .filter(|block| same_force(block) && !block.readings.is_empty())
        .min_by(|a, b| {
            let rank = |block: &Block| {
                let other_day = block.date.is_some() && block.date != item.date;
                (other_day, (block.nominal - reading).abs())
            };
            let (a, b) = (rank(a), rank(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        })
}

fn judged(item: &Item, block: &Block, reading: f64, findings: &mut Vec<Diag>) -> Error {
    let scale = block.scale;
    let permitted = permitted_error(scale.scale, force(scale), block.nominal);
    let mut sorted = block.readings.clone();
    sorted.sort_by(f64::total_cmp);
    let mean = sorted.iter().sum::<f64>() / sorted.len() as f64;
    let bias = mean - block.nominal;
    // Half of what the tester is permitted where the block's certificate gives no tolerance.
    let tolerance = block.tolerance.unwrap_or(0.5 * permitted);
    let doubt = mean_doubt(&sorted, scatter(scale.scale, force(scale), block.nominal));
    if bias.abs() > permitted + tolerance {
        findings.push(
            Diag::stop(
                "tester-off",
                format!(
                    "{}: on a block of {:.1} {scale} the tester read {mean:.1}.",
                    item.name, block.nominal
                ),
            )
            .why("It is further off than its standard permits; what it read of the lot proves nothing.")
            .accepted("Readings taken again on a tester that agrees with its block.")
            .at(block.place.clone()),
        );
        return Error {
            half: bias.abs() + tolerance,
            refused: Some(format!("the tester was {:+.1} off on its block", bias)),
        };
    }
    let far = match scale.scale {
        Scale::Hv | Scale::Hk | Scale::Hbw => 0.3 * reading,
        _ => 12.0,
    };
    if (block.nominal - reading).abs() > far {
        findings.push(
            Diag::note(
                "block-far",
                format!(
                    "{}: the block of {:.1} {scale} is far from the readings about {reading:.1}.",
                    item.name, block.nominal
                ),
            )
            .why("A tester can be right in one range and off in another.")
            .accepted("A block in the range of the readings.")
            .at(block.place.clone()),
        );
    }
    if let (Some(block_day), Some(day)) = (block.date, item.date)
        && block_day != day
    {
        findings.push(
            Diag::note(
                "block-other-day",
                format!("{}: read on {day}, the block on {block_day}.", item.name),
            )
            .why("A check counts for the day it was made.")
            .accepted("A block check on the day of the readings.")
            .at(block.place.clone()),
        );
    }
    Error {
        half: bias.hypot(tolerance).hypot(doubt),
        refused: None,
    }
}
