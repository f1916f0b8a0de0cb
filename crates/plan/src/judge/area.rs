//! Test files: what a file's bite says. It never decides a number.

use casewright_job::evidence::{What, Where};

use super::piece::{self, Need};
use super::{Bench, Quantity, Read, Standing, Value};

/// Every file test.
pub(super) fn files(bench: &Bench<'_>) -> Vec<Read> {
    let mut all = Vec::new();
    for (index, item) in bench.evidence.items.iter().enumerate() {
        let What::FileTest(test) = &item.what else {
            continue;
        };
        let need = match test.at {
            Where::Surface => Need::Finished,
            Where::Core | Where::SoftArea => Need::Core,
        };
        let quantity = match test.at {
            Where::Surface => Quantity::Surface,
            Where::Core => Quantity::Core,
            Where::SoftArea => Quantity::Area,
        };
        let left_out = piece::of(bench.evidence, item).and_then(|p| piece::unfit(bench, p, need));
        let marked = test.file_hrc.map_or("an unmarked file".to_owned(), |hrc| {
            format!("a file of {hrc:.0} HRC")
        });
        all.push(Read {
            item: index,
            name: item.name.clone(),
            specimen: item.specimen.clone(),
            quantity,
            value: Value::File(test.result, test.file_hrc),
            common: 0.0,
            standing: Standing::Indirect,
            left_out,
            how: format!("{marked}, by hand"),
            place: item.place.clone(),
        });
    }
    all
}
