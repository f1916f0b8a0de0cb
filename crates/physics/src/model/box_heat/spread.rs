//! Case depth of each part by its own temperature: the spread across the box.

use casewright_terms::WeightPercent;

use crate::model::carbon::carbonise;
use crate::run::{BoxRun, Failure, PartDepth};
use crate::setup::CarbonSetup;

/// Depth to a carbon in every part, each with the temperature it had; the setup's own cycle is not
/// used.
///
/// # Errors
/// See [`carbonise`].
pub fn depths(
    run: &BoxRun,
    setup: &CarbonSetup,
    carbon: WeightPercent,
) -> Result<Vec<PartDepth>, Failure> {
    run.parts
        .iter()
        .map(|part| {
            let own = CarbonSetup {
                cycle: part.mean.cycle.clone(),
                ..setup.clone()
            };
            Ok(PartDepth {
                box_mark: part.mean.box_mark.clone(),
                mark: part.mean.mark.clone(),
                depth: carbonise(&own)?.depth_to_carbon(carbon),
            })
        })
        .collect()
}
