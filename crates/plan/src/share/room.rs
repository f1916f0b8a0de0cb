//! The parts of several jobs in one box: each job takes a stretch of its length, with the spacing of
//! parts between two stretches.

use std::sync::Arc;

use casewright_job::shop::PackBox;
use casewright_physics::run::Failure;
use casewright_physics::setup::{BoxDetail, Cooling};
use casewright_terms::{Fraction, Length, Mass, Span, Temperature, Volume};

use crate::again::Again;
use crate::outcome::{PackLayout, Placed};
use crate::pack::heat::{Bed, HeatUp, Scene};
use crate::pack::room::{Arranged, Load, Room, Spread};
use crate::pack::{Packed, charge, couple, coupon_size, cover, fits_chamber};
use crate::setup::{self, STEEL_KG_M3};

/// A stretch is found to the millimetre.
const STRETCH_MM: f64 = 1.0;

/// Job letters in the order asked.
pub(super) fn letter(i: usize) -> char {
    char::from(b'A' + (i % 26) as u8)
}

/// All parts in one box of the shop, the smallest that takes them; or why none does.
pub(super) fn in_one_box(agains: &[&Again<'_>]) -> Result<Packed, String> {
    let shop = &agains[0].spec.shop;
    let mut boxes: Vec<&PackBox> = shop.boxes.iter().filter(|b| !b.gas_tight).collect();
    let wished = agains.iter().find_map(|a| a.spec.wishes.pack_box.as_ref());
    if let Some(wished) = wished {
        boxes.retain(|b| b.id == *wished);
    }
    let litres = |b: &PackBox| (b.inside[0] * b.inside[1] * b.inside[2]).to_l();
    boxes.sort_by(|a, b| litres(a).total_cmp(&litres(b)));
    let mut why = Vec::new();
    for pack_box in boxes {
        match packed(agains, pack_box) {
            Ok(packed) => return Ok(packed),
            Err(reason) => why.push(format!("box {}: {reason}", pack_box.id)),
        }
    }
    Err(format!(
        "no box of the shop takes all the parts with their cover ({})",
        why.join("; ")
    ))
}

fn packed(agains: &[&Again<'_>], pack_box: &PackBox) -> Result<Packed, String> {
    let first = agains[0];
    let units = first.spec.units;
    let furnace = first.recipe.furnace;
    let outside = pack_box.inside.map(|side| side + pack_box.wall * 2.0);
    if !fits_chamber(outside, furnace.inside) {
        return Err("it does not fit the furnace".to_owned());
    }
    let cover = cover(units, pack_box.inside[1]);
    let [width, height, length] = pack_box.inside;
    // Two stretches share one spacing where each alone has cover to a wall.
    let shared = cover.wall * 2.0 - cover.between;
    let mut at = Length::ZERO;
    let (mut parts, mut coupons) = (Vec::new(), Vec::new());
    let mut steel = Volume::ZERO;
    let mut upright = None;
    let (mut bricks, mut fills) = (0.0, 0.0);
    for (i, again) in agains.iter().enumerate() {
        let part = again.spec.part.shape;
        let load = Load {
            part: setup::brick(part),
            round: setup::round_diameter(part).is_some(),
            parts: again.spec.quantity as usize,
            coupon: coupon_size(units),
            coupons: 1,
            spread: Spread::Close,
        };
        let arrange = |stretch: Length| Room::new([width, height, stretch], cover).arrange(&load);
        let whole = |arranged: &Arranged| arranged.parts.len() == load.parts;
        let room = length - at;
        let found = arrange(room);
        if !whole(&found) {
            return Err(format!(
                "{} of the {} of {} find room beside the others",
                found.parts.len(),
                load.parts,
                again.spec.name
            ));
        }
        let (mut least, mut most) = (0.0, room.to_mm());
        while most - least > STRETCH_MM {
            let middle = f64::midpoint(least, most);
            if whole(&arrange(Length::from_mm(middle))) {
                most = middle;
            } else {
                least = middle;
            }
        }
        let stretch = Length::from_mm(most);
        let arranged = arrange(stretch);
        let moved = |piece: &Placed, mark: String| Placed {
            mark,
            at: [piece.at[0], piece.at[1] + at, piece.at[2]],
            ..piece.clone()
        };
        let name = letter(i);
        let own = arranged.parts.iter();
        parts.extend(own.map(|p| moved(p, format!("{name}{}", p.mark))));
        let own = arranged.coupons.iter();
        coupons.extend(own.map(|p| moved(p, format!("{name}-{}", p.mark))));
        upright = upright.or(arranged.upright);
        let volume = setup::volume(part) * f64::from(again.spec.quantity);
        let [a, b, c] = setup::brick(part);
        steel = steel + volume;
        bricks += (a * b * c).to_m3() * f64::from(again.spec.quantity) * form(again);
        fills += volume.to_m3();
        at = at + stretch - shared;
    }
    Ok(complete(
        agains,
        pack_box,
        Pieces {
            parts,
            coupons,
            steel,
            upright,
            part_fill: (fills / bricks.max(1e-12)).clamp(0.0, 1.0),
        },
    ))
}

/// Share of its brick that a round takes.
fn form(again: &Again<'_>) -> f64 {
    match setup::round_diameter(again.spec.part.shape) {
        Some(_) => std::f64::consts::FRAC_PI_4,
        None => 1.0,
    }
}

struct Pieces {
    parts: Vec<Placed>,
    coupons: Vec<Placed>,
    steel: Volume,
    upright: Option<bool>,
    part_fill: f64,
}

fn complete(agains: &[&Again<'_>], pack_box: &PackBox, pieces: Pieces) -> Packed {
    let first = agains[0];
    let plan = &first.recipe.packed;
    let product = |sides: [Length; 3]| sides[0] * sides[1] * sides[2];
    let inside = product(pack_box.inside);
    let outside = product(pack_box.inside.map(|side| side + pack_box.wall * 2.0));
    let [diameter, length] = coupon_size(first.spec.units);
    let coupon = diameter * diameter * length * std::f64::consts::FRAC_PI_4;
    let steel = pieces.steel + coupon * pieces.coupons.len() as f64;
    let compound = (inside - steel).max(Volume::ZERO);
    let share = |of: Mass| {
        let charge = plan.layout.compound_mass.to_kg().max(1e-9);
        first.recipe.lot.bulk_density * compound * (of.to_kg() / charge)
    };
    let compound_mass = first.recipe.lot.bulk_density * compound;
    let of_steel = |volume: Volume| Mass::from_kg(volume.to_m3() * STEEL_KG_M3);
    let (shell_mass, steel_mass) = (of_steel(outside - inside), of_steel(steel));
    let all: Vec<&Placed> = pieces.parts.iter().chain(&pieces.coupons).collect();
    let couple = first
        .recipe
        .furnace
        .pack_couple
        .then(|| couple::place(pack_box.inside, &all))
        .flatten();
    Packed {
        layout: PackLayout {
            box_id: pack_box.id.clone(),
            boxes: 1,
            inside: pack_box.inside,
            wall: pack_box.wall,
            couple,
            cover: cover(first.spec.units, pack_box.inside[1]),
            compound,
            compound_mass,
            fresh_mass: share(plan.layout.fresh_mass),
            compound_id: plan.layout.compound_id.clone(),
            scoops: Vec::new(),
            top_up: charge::top_up(compound),
            shell_mass,
            steel_mass,
            lift: shell_mass + steel_mass + compound_mass,
            parts: pieces.parts,
            coupons: pieces.coupons,
        },
        loads: 1,
        at_once: 1,
        spread: Spread::Close,
        upright: pieces.upright,
        steel_fraction: Fraction::from_ratio((steel / inside).clamp(0.0, 1.0)),
        part_fill: pieces.part_fill,
        heat: None,
        learnt: plan.learnt.clone(),
    }
}

/// The shared box run once at a set temperature, with the plan's own doubt about the hour of hot.
///
/// # Errors
/// When the engine does not take the box.
pub(super) fn heated(
    again: &Again<'_>,
    packed: &Packed,
    set: Temperature,
    soak: Span,
    cooling: Cooling,
) -> Result<Packed, Failure> {
    let pack_box = again
        .spec
        .shop
        .boxes
        .iter()
        .find(|b| b.id == packed.layout.box_id);
    let scene = Scene {
        packed,
        furnace: again.recipe.furnace,
        lot: again.recipe.lot,
        bed: Bed::of(pack_box),
    };
    let setup = scene.setup(set, soak, cooling, BoxDetail::Standard);
    let known = again.plan.pack_hot_after;
    let heat = HeatUp::taken_up(&scene, &setup, known)?.with_band_of(known);
    let mut packed = packed.clone();
    packed.heat = Some(Arc::new(heat));
    Ok(packed)
}

/// The shared box as one job's parts see it.
pub(super) fn of_job(packed: &Packed, i: usize) -> Packed {
    let name = letter(i);
    let others = packed
        .layout
        .parts
        .iter()
        .filter(|p| !p.mark.starts_with(name));
    let coupons = packed.layout.coupons.iter();
    let left_out = others
        .chain(coupons)
        .map(|piece| piece.mark.clone())
        .collect();
    let mut own = packed.clone();
    own.heat = own.heat.map(|heat| Arc::new(heat.without(left_out)));
    own
}
