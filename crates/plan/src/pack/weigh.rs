//! What each way to pack costs: hours until hot, hours that somebody must be there, weight to lift,
//! compound. All ways are compared by the mixture, the best of them by the boxes in three
//! dimensions, where the last part to be hot counts.

use casewright_job::shop::{CompoundLot, Furnace};
use casewright_physics::law::{packed_bed, steel_thermal};
use casewright_physics::model::pack_heat;
use casewright_physics::setup::{Cooling, PackHeatSetup};
use casewright_terms::{Fraction, Mass, Span, Temperature, UnitSystem, Volume};
use rayon::prelude::*;

use super::Packed;
use super::heat::{self, Bed, Scene};
use super::room::Spread;
use crate::outcome::PackWay;

/// Packing, luting and drying the lute of the first box, and of each further one. [trade-practice]
const PACK_H: f64 = 1.5;
const PACK_MORE_H: f64 = 0.5;
/// A furnace is cold when a box goes in.
const ROOM_C: f64 = 25.0;
/// Above this a box is carried by two or on a cart; above the second it is for a hoist or a cart
/// only: boxes of 10 to 40 kg are what shops lift hot. [trade-practice]
pub const LIFT_ALONE_KG: f64 = 15.0;
/// See [`LIFT_ALONE_KG`].
pub const LIFT_BY_HAND_KG: f64 = 40.0;

/// A way with its heat-up.
#[derive(Clone, Debug)]
pub struct Weighed {
    /// The way.
    pub packed: Packed,
    /// From loading to hot; an error of physics as words where the furnace cannot do it.
    pub hot: Result<Span, String>,
}

/// Heats every way at the set temperature. Ways that differ only in where the parts stand share
/// one computation.
#[must_use]
pub fn heat_all(
    ways: Vec<Packed>,
    furnace: &Furnace,
    lot: &CompoundLot,
    set: Temperature,
) -> Vec<Weighed> {
    let mut list: Vec<Weighed> = Vec::with_capacity(ways.len());
    for packed in ways {
        let twin = list.iter().find(|held| {
            let (a, b) = (&held.packed, &packed);
            a.layout.box_id == b.layout.box_id
                && a.at_once == b.at_once
                && a.layout.parts.len() == b.layout.parts.len()
        });
        let hot = twin.map_or_else(
            || mixture(&packed, furnace, lot, set),
            |held| held.hot.clone(),
        );
        list.push(Weighed { packed, hot });
    }
    list
}

/// Ways that are run in three dimensions, at most.
const LOOKED_AT: usize = 3;

/// The best ways by the mixture, run in three dimensions: time to heat of the last part by its own
/// place, at the door or behind another box. What the best of them gained or lost on the mixture is
/// taken for those that were not run, so that all hours of the table are of one kind.
pub(crate) fn look_closer(
    list: &mut [Weighed],
    furnace: &Furnace,
    lot: &CompoundLot,
    bed: impl Fn(&str) -> Bed + Sync,
    set: Temperature,
    soak: Span,
) {
    let mut order: Vec<usize> = (0..list.len()).filter(|i| list[*i].hot.is_ok()).collect();
    order.sort_by(|a, b| {
        list[*a]
            .cost(soak)
            .total_cmp(&list[*b].cost(soak))
            .then(a.cmp(b))
    });
    let looked: Vec<(usize, Option<Span>)> = order
        .par_iter()
        .take(LOOKED_AT)
        .map(|i| {
            let packed = &list[*i].packed;
            let scene = Scene {
                packed,
                furnace,
                lot,
                bed: bed(&packed.layout.box_id),
            };
            (*i, heat::hot_after(&scene, set).ok())
        })
        .collect();
    let gains = looked.iter().filter_map(|(i, hot)| {
        let held = list[*i].hot.as_ref().ok()?;
        Some((*hot)? / *held)
    });
    let Some(gain) = gains.clone().next() else {
        return;
    };
    for (i, way) in list.iter_mut().enumerate() {
        let own = looked
            .iter()
            .find(|(k, _)| *k == i)
            .and_then(|(_, hot)| *hot);
        if let Ok(held) = &mut way.hot {
            *held = own.unwrap_or(*held * gain);
        }
    }
}

fn mixture(
    packed: &Packed,
    furnace: &Furnace,
    lot: &CompoundLot,
    set: Temperature,
) -> Result<Span, String> {
    let run = pack_heat::heat_pack(&PackHeatSetup {
        box_inside: packed.layout.inside,
        wall: packed.layout.wall,
        steel_fraction: packed.steel_fraction,
        bulk_density: lot.bulk_density,
        grain: lot.grain,
        power: furnace.power,
        chamber: furnace.inside,
        load_at: Temperature::from_c(ROOM_C),
        set,
        soak: Span::ZERO,
        cooling: Cooling::InAir,
        bed_factor: 1.0,
    })
    .map_err(|failure| failure.to_string())?;
    Ok(run.hot_after + others(packed, furnace, lot, set))
}

/// What the other boxes of a load add to the heat-up, at most: the heat they take at the furnace's
/// full power. Heat capacities at half the rise, where they stand for the whole of it.
fn others(packed: &Packed, furnace: &Furnace, lot: &CompoundLot, set: Temperature) -> Span {
    let more = f64::from(packed.at_once.saturating_sub(1));
    if more < 1.0 {
        return Span::ZERO;
    }
    let rise_k = set.to_c() - ROOM_C;
    let middle = Temperature::from_c(ROOM_C + 0.5 * rise_k);
    let none = Fraction::from_ratio(0.0);
    let conductivity = packed_bed::effective_conductivity(lot.bulk_density, lot.grain, middle);
    let diffusivity = packed_bed::diffusivity(lot.bulk_density, lot.grain, none, middle);
    // Heat capacity by volume is conductivity over diffusivity.
    let bed_j_m3_k = conductivity.value.to_w_m_k() / diffusivity.value.to_m2_s();
    let steel_j_kg_k = steel_thermal::heating_specific_heat_j_kg_k(middle).value;
    let layout = &packed.layout;
    let steel_kg = (layout.shell_mass + layout.steel_mass).to_kg();
    let heat_j = (bed_j_m3_k * layout.compound.to_m3() + steel_j_kg_k * steel_kg) * rise_k;
    Span::from_s(more * heat_j / furnace.power.to_w())
}

/// Time to pack the boxes of one load.
#[must_use]
pub fn packing_time(packed: &Packed) -> Span {
    let more = f64::from(packed.at_once.saturating_sub(1));
    Span::from_h(PACK_H + PACK_MORE_H * more)
}

impl Weighed {
    /// Hours in which somebody is there for all loads: packing, and heat and soak unless those may
    /// run unattended.
    fn staffed(&self, hot: Span, soak: Span, unattended: bool) -> Span {
        let watched = if unattended { Span::ZERO } else { hot + soak };
        (packing_time(&self.packed) + watched) * f64::from(self.packed.loads)
    }

    /// The cost of the way, in hours of a shop that would rather wait than lift: the less the
    /// better. The weights are a judgement: an hour for a box that two must carry, a day for one
    /// that nobody should, five minutes for a litre of compound.
    pub(crate) fn cost(&self, soak: Span) -> f64 {
        let Ok(hot) = self.hot else {
            return f64::INFINITY;
        };
        let lift = self.packed.layout.lift.to_kg();
        let lifting = if lift > LIFT_BY_HAND_KG {
            24.0
        } else if lift > LIFT_ALONE_KG {
            1.0
        } else {
            0.0
        };
        let litres = self.packed.layout.compound.to_l() * f64::from(self.packed.at_once);
        // Near the wall a part is hot sooner than its neighbour in the middle: parts differ more.
        let uneven = if self.packed.spread == Spread::Loose {
            0.1
        } else {
            0.0
        };
        let lying = if self.packed.upright == Some(false) {
            0.25
        } else {
            0.0
        };
        self.staffed(hot, soak, false).to_h() + lifting + litres / 12.0 + uneven + lying
    }

    /// The way in words.
    #[must_use]
    pub fn what(&self) -> String {
        let (packed, layout) = (&self.packed, &self.packed.layout);
        let boxes = match (packed.at_once, packed.loads) {
            (1, 1) => format!("one box {}", layout.box_id),
            (n, 1) => format!("{n} boxes {} together", layout.box_id),
            (1, loads) => format!("box {} in {loads} loads", layout.box_id),
            (n, loads) => format!("{n} boxes {} together, in {loads} loads", layout.box_id),
        };
        match packed.spread {
            Spread::Close => boxes,
            Spread::Loose => format!("{boxes}, parts spread out to the walls"),
        }
    }

    /// A row of the table of ways.
    #[must_use]
    pub fn row(&self, chosen: &Self, soak: Span, unattended: bool, units: UnitSystem) -> PackWay {
        let (packed, layout) = (&self.packed, &self.packed.layout);
        let is_chosen = *packed == chosen.packed;
        let hot = self.hot.as_ref().ok().copied();
        PackWay {
            what: self.what(),
            box_id: layout.box_id.clone(),
            boxes: layout.boxes,
            loads: packed.loads,
            parts_in_box: layout.parts.len(),
            spread_out: packed.spread == Spread::Loose,
            hot_after: hot,
            furnace_time: hot.map(|hot| (hot + soak) * f64::from(packed.loads)),
            staffed: hot.map(|hot| self.staffed(hot, soak, unattended)),
            lift: layout.lift,
            compound: layout.compound * f64::from(packed.at_once),
            chosen: is_chosen,
            why: if is_chosen {
                "taken".to_owned()
            } else {
                self.against(chosen, soak, units)
            },
        }
    }

    /// What sets it apart from the chosen way, the gains as well as the losses.
    fn against(&self, chosen: &Self, soak: Span, units: UnitSystem) -> String {
        let (Ok(hot), Ok(held)) = (&self.hot, &chosen.hot) else {
            return self
                .hot
                .as_ref()
                .err()
                .cloned()
                .unwrap_or_else(|| "the plan's own way does not come to heat".to_owned());
        };
        let mut words = Vec::new();
        // Under five minutes and half a kilogram nobody sees a difference.
        let later = *hot - *held;
        if later > Span::from_min(5.0) {
            words.push(format!("hot {} later", later.text()));
        } else if later < -Span::from_min(5.0) {
            words.push(format!("hot {} sooner", (-later).text()));
        }
        let there = self.staffed(*hot, soak, false) - chosen.staffed(*held, soak, false);
        let loads = i64::from(self.packed.loads) - i64::from(chosen.packed.loads);
        if loads != 0 {
            let (n, word) = (
                loads.unsigned_abs(),
                if loads > 0 { "more" } else { "fewer" },
            );
            let span = if there < Span::ZERO { -there } else { there };
            let sign = if there < Span::ZERO { "less" } else { "more" };
            words.push(format!(
                "{n} {} {word}, {} {sign} of packing and watching",
                if n == 1 { "load" } else { "loads" },
                span.text()
            ));
        }
        let (own, its) = (self.packed.layout.lift, chosen.packed.layout.lift);
        let half = Mass::from_kg(0.5);
        if own > its + half {
            words.push(format!("{} heavier to lift", (own - its).text(units)));
        } else if own + half < its {
            words.push(format!("{} lighter to lift", (its - own).text(units)));
        }
        let litres = |w: &Self| w.packed.layout.compound.to_l() * f64::from(w.packed.at_once);
        let more = litres(self) - litres(chosen);
        if more.abs() > 0.5 {
            let word = if more > 0.0 { "more" } else { "less" };
            let volume = Volume::from_l(more.abs()).text(units);
            words.push(format!("{volume} {word} compound"));
        }
        if self.packed.spread == Spread::Loose {
            words.push(
                "parts near the walls are hot sooner than those in the middle, so they differ more"
                    .to_owned(),
            );
        }
        if words.is_empty() {
            words.push("no gain over the plan".to_owned());
        }
        words.join("; ")
    }
}
