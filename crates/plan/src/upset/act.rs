//! A mishap done to the plan's recipe, and run.

use casewright_physics::run::PackHeatRun;
use casewright_physics::setup::{BoxDetail, Cycle, PowerCut, Ramp};
use casewright_physics::simulate;
use casewright_terms::{Diag, Span};

use super::Upset;
use crate::again::{Again, Slip, did_not_run};
use crate::members::Seen;
use crate::pack::heat::{Bed, Scene, at};
use crate::recipe::Departure;

/// Damp compound is taken to hand over carbon at the lower end of what is held likely for a dry one:
/// half as fast. [pack-transfer-estimate] How wet it was is never known.
pub(super) const DAMP_FEEDS: f64 = 0.5;
/// A cut furnace is followed this long past the planned end of the soak, so that a longer soak can be
/// read from the same run.
const PAST_H: f64 = 6.0;
/// A cut so short that it is none: what a cut is compared with.
const BLINK_MIN: f64 = 0.1;
/// A soak that is shortened is never shorter than this.
const LEAST_SOAK_H: f64 = 0.05;

/// What the part shows after a mishap, and the recipe that it was run with.
pub(super) fn seen<'s>(again: &Again<'s>, upset: Upset) -> Result<(Slip<'s>, Seen), Diag> {
    let mut tank = again.recipe.tank.clone();
    match upset {
        Upset::Bath(bath) => tank.bath = bath,
        Upset::Transfer(transfer) => tank.transfer = transfer,
        _ => {
            let slip = slipped(again, upset)?;
            let run = again.run(&slip).map_err(|failure| did_not_run(&failure))?;
            let seen = again.see(&run);
            return Ok((slip, seen));
        }
    }
    // The changed tank lives no longer than the run: the slip that is handed on is the plan's own.
    let mut recipe = again.recipe.clone();
    recipe.tank = &tank;
    let run = again
        .run(&Slip {
            recipe,
            departure: Departure::NONE,
            followed: None,
            packed_again: None,
            tempered: true,
        })
        .map_err(|failure| did_not_run(&failure))?;
    Ok((again.slip(), again.see(&run)))
}

/// The recipe with a mishap that does not touch the tank.
fn slipped<'s>(again: &Again<'s>, upset: Upset) -> Result<Slip<'s>, Diag> {
    let mut slip = again.slip();
    let recipe = &mut slip.recipe;
    let shorter = |by: Span| (recipe.soak - by).max(Span::from_h(LEAST_SOAK_H));
    match upset {
        Upset::PowerCut { after, lasts } => {
            slip.followed = Some(cut(again, PowerCut { after, lasts })?);
        }
        Upset::LateStart(by) => recipe.soak = shorter(by),
        Upset::LatePull(by) => recipe.soak = shorter(Span::ZERO - by),
        Upset::SetWrong(by) => recipe.temperature = recipe.temperature + by,
        Upset::FurnaceOff(by) => slip.departure.furnace = by,
        Upset::WeakCompound(feeds) => slip.departure.transfer = feeds.to_ratio(),
        Upset::DampCompound => slip.departure.transfer = DAMP_FEEDS,
        Upset::NoTemper => slip.tempered = false,
        Upset::Temper(temperature) => recipe.temper.temperature = temperature,
        Upset::Bath(_) | Upset::Transfer(_) => {}
    }
    Ok(slip)
}

/// The boxes run with the power away, followed past the planned end of the soak.
fn cut(again: &Again<'_>, cut: PowerCut) -> Result<PackHeatRun, Diag> {
    let recipe = &again.recipe;
    let Some(known) = &recipe.packed.heat else {
        return Err(Diag::stop(
            "cut-without-boxes",
            "The boxes of this plan could not be run in three dimensions.",
        )
        .why("How fast a box cools without power is read from that run.")
        .accepted("See the plan's finding about its boxes."));
    };
    if cut.after >= recipe.soak {
        return Err(Diag::stop(
            "cut-after-soak",
            format!(
                "The cut begins {} after the pack is hot, when the soak of {} is over.",
                cut.after.text(),
                recipe.soak.text()
            ),
        )
        .accepted("An hour within the soak, counted from when the pack is hot."));
    }
    let pack_box = again
        .spec
        .shop
        .boxes
        .iter()
        .find(|b| b.id == again.plan.pack.box_id);
    let scene = Scene {
        packed: &recipe.packed,
        furnace: recipe.furnace,
        lot: recipe.lot,
        bed: Bed::of(pack_box),
    };
    let past = recipe.soak + Span::from_h(PAST_H);
    let setup = scene.setup(
        recipe.temperature,
        past,
        recipe.cooling,
        BoxDetail::Standard,
    );
    let blink = PowerCut {
        lasts: Span::from_min(BLINK_MIN),
        ..cut
    };
    let run = |cut: PowerCut| simulate::packed_boxes_with_cut(&setup, cut);
    let (with, without) = rayon::join(|| run(cut), || run(blink));
    let with = with.map_err(|failure| did_not_run(&failure))?;
    let without = without.map_err(|failure| did_not_run(&failure))?;
    let own = crate::recipe::Recipe {
        soak: past,
        ..recipe.clone()
    };
    let plan = own
        .heat(&Departure::NONE)
        .map_err(|failure| did_not_run(&failure))?;
    // Two runs of one fineness: what is not the cut's own falls out of their difference, which is laid
    // on the plan's run.
    let part = laid_on(&plan.part, &known.mean_of(&with), &known.mean_of(&without));
    Ok(PackHeatRun {
        furnace: with.furnace,
        part,
        remarks: with.remarks,
        ..plan
    })
}

/// A cycle with the difference of two others laid on it.
fn laid_on(plan: &Cycle, with: &Cycle, without: &Cycle) -> Cycle {
    let ends = |cycle: &Cycle| {
        let mut now = 0.0;
        let pieces = cycle.pieces.iter();
        pieces
            .map(|piece| {
                now += piece.duration.to_s();
                now
            })
            .collect::<Vec<f64>>()
    };
    let mut times = vec![0.0];
    times.extend([plan, with, without].into_iter().flat_map(ends));
    let last = ends(plan).last().copied().unwrap_or(0.0);
    times.retain(|t| *t <= last);
    times.sort_by(f64::total_cmp);
    times.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
    let read = |t: f64| {
        let t = Span::from_s(t);
        at(plan, t) + (at(with, t) - at(without, t))
    };
    Cycle {
        pieces: times
            .windows(2)
            .map(|t| Ramp {
                from: read(t[0]),
                to: read(t[1]),
                duration: Span::from_s(t[1] - t[0]),
            })
            .collect(),
    }
}
