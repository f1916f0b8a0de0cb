//! A mishap done to the plan's recipe, and run.

use casewright_physics::run::PackHeatRun;
use casewright_physics::setup::{BoxDetail, PowerCut};
use casewright_physics::simulate;
use casewright_terms::{Diag, Span};

use super::Upset;
use crate::again::{Again, Slip, did_not_run};
use crate::members::Seen;
use crate::pack::heat::{Bed, Scene};
use crate::recipe::Departure;

/// Damp compound is taken to hand over carbon at the lower end of what is held likely for a dry one:
/// half as fast. [pack-transfer-estimate] How wet it was is never known.
pub(super) const DAMP_FEEDS: f64 = 0.5;
/// A cut furnace is followed this long past the planned end of the soak, so that a longer soak can be
/// read from the same run.
const PAST_H: f64 = 6.0;
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
    let run =
        simulate::packed_boxes_with_cut(&setup, cut).map_err(|failure| did_not_run(&failure))?;
    let part = known.mean_of(&run);
    let hot = run.hot_after;
    Ok(PackHeatRun {
        furnace: run.furnace,
        part,
        hot_after: hot,
        soak_ends: run.soak_ends,
        ends: run.ends,
        remarks: run.remarks,
        sources: run.sources,
    })
}
