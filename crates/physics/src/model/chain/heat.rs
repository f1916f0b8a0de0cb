//! What the heat before the quench leaves in doubt: grain, and carbide that had no time.
//!
//! The chain takes the grain it is given and the carbide of full equilibrium; here both are held
//! against the time at heat, and what does not fit is said.

use casewright_terms::{Length, Remark, Temperature, WeightPercent};

use crate::law::austenite_grain::{astm_number, unpinned, unpinned_over};
use crate::law::carbide_dissolution::shortest;
use crate::law::decomposition;
use crate::law::martensite_start::martensite_start;
use crate::model::transform::Lines;
use crate::setup::ChainSetup;

/// Numbers by which a grain must be coarser before it is said: one is the plan's own doubt.
const COARSER: f64 = 1.5;
/// Radius of a carbide grain that the box leaves [trade-practice]; films are thicker.
const CARBIDE_UM: f64 = 1.0;
/// Carbon of the austenite that pearlite becomes at once, in wt%: the eutectoid.
const AROUND_WT_PCT: f64 = 0.76;

/// Remarks on the heat before the last quench; `highest_wt_pct` is the most carbon of any layer.
pub(super) fn remarks(setup: &ChainSetup, lines: &Lines, highest_wt_pct: f64) -> Vec<Remark> {
    let mut all: Vec<Remark> = [grain(setup), carbide(setup, lines, highest_wt_pct)]
        .into_iter()
        .flatten()
        .collect();
    all.extend(outside_fits(setup, lines, highest_wt_pct));
    all
}

/// Rates for the steel with its own carbon (the case's is said by the chain), martensite for the most
/// carbon that is dissolved.
fn outside_fits(setup: &ChainSetup, lines: &Lines, highest_wt_pct: f64) -> Vec<Remark> {
    let steel = &setup.carbon.composition;
    let mut all = decomposition::range_remarks(steel, setup.grain_number);
    let dissolved = lines.split(highest_wt_pct).carbon;
    martensite_start(&steel.with_carbon(dissolved)).into_value(&mut all);
    all
}

fn grain(setup: &ChainSetup) -> Option<Remark> {
    let steel = &setup.carbon.composition;
    // New grains come with each heat through the change; a direct quench keeps those of the box.
    let d = match setup.reheats.last() {
        Some(heat) => unpinned(steel, heat.temperature, heat.soak),
        None => {
            let austenite = crate::law::transformation_temperature::ac1_andrews(steel).value;
            unpinned_over(steel, &setup.carbon.cycle, austenite)
        }
    };
    let number = astm_number(d)?;
    (number < setup.grain_number - COARSER).then(|| {
        Remark::new(
            "grain-if-not-held",
            format!(
                "grain {:.0} is reckoned with, as a steel made fine-grained holds it; one that is not would reach {number:.0} ({:.0} µm) in this heat, harden deeper and be more brittle",
                setup.grain_number,
                d.to_um()
            ),
        )
    })
}

fn carbide(setup: &ChainSetup, lines: &Lines, highest_wt_pct: f64) -> Option<Remark> {
    let heat = setup.reheats.last()?;
    if !lines.austenitic() || highest_wt_pct <= AROUND_WT_PCT {
        return None;
    }
    let needed = shortest(
        Length::from_um(CARBIDE_UM),
        Temperature::from_k(heat.temperature.to_k()),
        WeightPercent::from_wt_pct(lines.most().min(highest_wt_pct)),
        WeightPercent::from_wt_pct(AROUND_WT_PCT),
    )?;
    (heat.soak < needed).then(|| {
        Remark::new(
            "soak-short-for-carbide",
            format!(
                "carbide of 2 µm needs at least {} at {:.0} °C to dissolve, the soak is {}: the case may hold less carbon in solution than reckoned with, and harden less deep",
                needed.text(),
                heat.temperature.to_c(),
                heat.soak.text()
            ),
        )
    })
}
