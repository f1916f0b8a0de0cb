//! Where things go in the box: spacing and cover rules, how many boxes, compound, weight to lift.
//!
//! [`layouts`] lists every complete way to pack the job; [`weigh`] says what each costs. Which one
//! is taken is decided in `equipment`.

use std::sync::Arc;

use casewright_job::shop::{Furnace, PackBox};
use casewright_job::spec::{PartShape, Spec};
use casewright_physics::numerics::fun;
use casewright_terms::{Fraction, Length, Mass, UnitSystem, Volume};

use crate::beliefs::Beliefs;
use crate::outcome::{Cover, PackLayout, Placed};
use crate::refusals;
use crate::setup::{self, STEEL_KG_M3};

pub mod charge;
pub mod couple;
pub mod heat;
pub mod room;
pub mod spread;
pub mod weigh;

use charge::Charge;
use heat::HeatUp;
use room::{Arranged, Load, Room, Spread};

/// Cover and spacing in the job's own round units: 25 mm (1 in) under the work and to the walls,
/// 13 mm (½ in) between pieces, 50 mm (2 in) over it because the compound shrinks by an unknown
/// amount. In a high box it settles by more than that: 15 % of the height at most. [trade-practice]
#[must_use]
pub fn cover(units: UnitSystem, height: Length) -> Cover {
    let [side, between, above] = match units {
        UnitSystem::Metric => [25.0, 13.0, 50.0].map(Length::from_mm),
        UnitSystem::Inch => [1.0, 0.5, 2.0].map(Length::from_in),
    };
    Cover {
        below: side,
        above: above.max(height * charge::SETTLES),
        wall: side,
        between,
    }
}

/// Air to leave between the box and the chamber on each side, so that it stands clear of the
/// elements. [trade-practice]
pub(crate) const CHAMBER_CLEARANCE_MM: f64 = 20.0;

/// Coupon bar, diameter and length in the job's round units: the lower end of the trade's 12–25 mm
/// by 25–75 mm, so that it takes little room. [trade-practice]
#[must_use]
pub fn coupon_size(units: UnitSystem) -> [Length; 2] {
    match units {
        UnitSystem::Metric => [12.0, 50.0].map(Length::from_mm),
        UnitSystem::Inch => [0.5, 2.0].map(Length::from_in),
    }
}

/// A box with the work in it, ready to be weighed against the furnace and the person lifting it.
#[derive(Clone, Debug, PartialEq)]
pub struct Packed {
    /// The layout of one box.
    pub layout: PackLayout,
    /// Loads one after another, where fewer boxes exist than are needed.
    pub loads: u32,
    /// Boxes that stand in the furnace together.
    pub at_once: u32,
    /// How the parts stand to each other.
    pub spread: Spread,
    /// Whether long slender parts stand; `None` where the part is not slender.
    pub upright: Option<bool>,
    /// Share of the inside that is steel.
    pub steel_fraction: Fraction,
    /// Steel of a part over the block or the round that its brick holds: a ball or a tube fills it
    /// only in part.
    pub part_fill: f64,
    /// How it heats, once the boxes have been run; the mixture stands in for it until then.
    pub heat: Option<Arc<HeatUp>>,
    /// What the shop's own jobs have taught; `None` where they have taught nothing.
    pub learnt: Option<Arc<Beliefs>>,
}

/// Why a box does not serve.
#[derive(Clone, Debug, PartialEq)]
pub struct TooSmall {
    /// Mark of the box.
    pub box_id: String,
    /// What is missing.
    pub why: String,
}

/// How many coupons a box needs besides the untreated control: one up to 4 L, two up to 10 L,
/// three above. [trade-practice]
#[must_use]
pub fn coupons_for(inside: [Length; 3]) -> usize {
    let litres = (inside[0] * inside[1] * inside[2]).to_l();
    if litres <= 4.0 {
        1
    } else if litres <= 10.0 {
        2
    } else {
        3
    }
}

/// Every way to pack the job into this furnace's boxes: each kind of box with as few boxes as will
/// do, with one more where that many stand together, and with the parts spread out to the walls.
/// Complete layouts, in the order of the shop file; and why the other boxes do not serve.
#[must_use]
pub fn layouts(
    spec: &Spec,
    furnace: &Furnace,
    charge: &Charge<'_>,
) -> (Vec<Packed>, Vec<TooSmall>) {
    let (mut list, mut small) = (Vec::new(), Vec::new());
    let wish = &spec.wishes.pack_box;
    let wanted =
        |b: &&PackBox| wish.as_ref().is_none_or(|w| *w == b.id) && refusals::of_box(b).is_empty();
    for pack_box in spec.shop.boxes.iter().filter(wanted) {
        match of_box(spec, pack_box, furnace, charge) {
            Ok(ways) => list.extend(ways),
            Err(why) => small.push(why),
        }
    }
    (list, small)
}

/// The ways to pack the job into one kind of box.
///
/// # Errors
/// When the box does not fit the furnace, or not even one part fits the box with its cover.
fn of_box(
    spec: &Spec,
    pack_box: &PackBox,
    furnace: &Furnace,
    charge: &Charge<'_>,
) -> Result<Vec<Packed>, TooSmall> {
    let too_small = |why: String| TooSmall {
        box_id: pack_box.id.clone(),
        why,
    };
    let outside = pack_box.inside.map(|side| side + pack_box.wall * 2.0);
    if !fits_chamber(outside, furnace.inside) {
        return Err(too_small(format!(
            "its outside does not fit the chamber of {} with {CHAMBER_CLEARANCE_MM:.0} mm of air around it",
            furnace.id
        )));
    }
    let cover = cover(spec.units, pack_box.inside[1]);
    let room = Room::new(pack_box.inside, cover);
    let load = |parts: usize, coupons: usize, spread: Spread| Load {
        part: setup::brick(spec.part.shape),
        round: setup::round_diameter(spec.part.shape).is_some(),
        parts,
        coupon: coupon_size(spec.units),
        coupons,
        spread,
    };
    let coupons = coupons_for(pack_box.inside);
    let most = room
        .arrange(&load(spec.quantity as usize, coupons, Spread::Close))
        .parts
        .len();
    if most == 0 {
        let alone = room.arrange(&load(1, 0, Spread::Close));
        return Err(too_small(if alone.parts.is_empty() {
            format!(
                "no part fits inside with {} of compound under and beside it and {} over it",
                cover.below.size_text(spec.units),
                cover.above.size_text(spec.units)
            )
        } else {
            "there is no room for the coupons beside a part".to_owned()
        }));
    }
    let together = boxes_at_once(outside, furnace.inside)
        .min(pack_box.count)
        .max(1);
    let least = spec.quantity.div_ceil(most as u32).max(1);
    let mut list = Vec::new();
    // One box more than needed is a way only where it joins the others in the furnace.
    let more = (least < together && spec.quantity > least).then_some(least + 1);
    for boxes in std::iter::once(least).chain(more) {
        let each = spec.quantity.div_ceil(boxes) as usize;
        for spread in [Spread::Close, Spread::Loose] {
            let arranged = room.arrange(&load(each, coupons, spread));
            // Fewer boxes than were asked for when parts are shared out evenly.
            let boxes = spec.quantity.div_ceil(each as u32);
            let new = arranged.parts.len() == each
                && list.iter().all(|held: &Packed| {
                    held.layout.boxes != boxes || held.layout.parts != arranged.parts
                });
            if new {
                let packed = complete(spec, (pack_box, furnace), charge, arranged, boxes, together);
                list.push(Packed { spread, ..packed });
            }
        }
    }
    Ok(list)
}

/// Compound, weights and loads of an arrangement.
fn complete(
    spec: &Spec,
    (pack_box, furnace): (&PackBox, &Furnace),
    charge: &Charge<'_>,
    arranged: Arranged,
    boxes: u32,
    together: u32,
) -> Packed {
    let [diameter, length] = coupon_size(spec.units);
    let coupon_volume = diameter * diameter * length * std::f64::consts::FRAC_PI_4;
    let steel = setup::volume(spec.part.shape) * arranged.parts.len() as f64
        + coupon_volume * arranged.coupons.len() as f64;
    let product = |sides: [Length; 3]| sides[0] * sides[1] * sides[2];
    let inside = product(pack_box.inside);
    let outside = product(pack_box.inside.map(|side| side + pack_box.wall * 2.0));
    let compound = (inside - steel).max(Volume::ZERO);
    let scoops = charge.scoops(compound);
    let compound_mass: Mass = scoops.iter().map(|scoop| scoop.mass).sum();
    let of_steel = |volume: Volume| Mass::from_kg(volume.to_m3() * STEEL_KG_M3);
    let (shell_mass, steel_mass) = (of_steel(outside - inside), of_steel(steel));
    let pieces: Vec<&Placed> = arranged.parts.iter().chain(&arranged.coupons).collect();
    let couple = furnace
        .pack_couple
        .then(|| couple::place(pack_box.inside, &pieces))
        .flatten();
    let at_once = boxes.min(together);
    Packed {
        layout: PackLayout {
            box_id: pack_box.id.clone(),
            boxes,
            inside: pack_box.inside,
            wall: pack_box.wall,
            parts: arranged.parts,
            coupons: arranged.coupons,
            couple,
            cover: cover(spec.units, pack_box.inside[1]),
            compound,
            compound_mass,
            fresh_mass: charge::fresh(&scoops),
            compound_id: charge.lot.id.clone(),
            scoops,
            top_up: charge::top_up(compound),
            shell_mass,
            steel_mass,
            lift: shell_mass + steel_mass + compound_mass,
        },
        loads: boxes.div_ceil(together),
        at_once,
        spread: Spread::Close,
        upright: arranged.upright,
        steel_fraction: Fraction::from_ratio((steel / inside).clamp(0.0, 1.0)),
        part_fill: part_fill(spec.part.shape),
        heat: None,
        learnt: Beliefs::of(spec),
    }
}

fn part_fill(part: PartShape) -> f64 {
    let [a, b, c] = setup::brick(part);
    let form = match setup::round_diameter(part) {
        Some(_) => std::f64::consts::FRAC_PI_4,
        None => 1.0,
    };
    (setup::volume(part) / (a * b * c * form)).clamp(0.0, 1.0)
}

/// A piece as the heat sees it: corner, size, and whether it is round about its longest side. What
/// does not fill its form is drawn in about its middle until its steel is right.
pub(crate) fn setup_of_piece(
    piece: &Placed,
    part_fill: f64,
    is_part: bool,
) -> ([Length; 3], [Length; 3], bool) {
    // Within a hundredth the form is the part itself.
    let scale = if is_part && part_fill < 0.99 {
        fun::cbrt(part_fill.max(1e-3))
    } else {
        1.0
    };
    let size = piece.size.map(|side| side * scale);
    let at = [0, 1, 2].map(|k| piece.at[k] + (piece.size[k] - size[k]) * 0.5);
    (at, size, piece.round)
}

pub(crate) fn fits_chamber(outside: [Length; 3], chamber: [Length; 3]) -> bool {
    let clearance = Length::from_mm(2.0 * CHAMBER_CLEARANCE_MM);
    let fits = |w: Length, l: Length| w + clearance <= chamber[0] && l + clearance <= chamber[2];
    outside[1] + clearance * 0.5 <= chamber[1]
        && (fits(outside[0], outside[2]) || fits(outside[2], outside[0]))
}

/// Boxes standing side by side on the hearth: how many across and along, and whether they are
/// turned with their length across the chamber. The better of the two directions; of equals the
/// length from the door to the back.
fn rows(outside: [Length; 3], chamber: [Length; 3]) -> (u32, u32, bool) {
    let clearance = Length::from_mm(CHAMBER_CLEARANCE_MM);
    let along = |room: Length, side: Length| {
        ((room - clearance) / (side + clearance)).floor().max(0.0) as u32
    };
    let count = |w: Length, l: Length| (along(chamber[0], w), along(chamber[2], l));
    let (straight, across) = (count(outside[0], outside[2]), count(outside[2], outside[0]));
    if across.0 * across.1 > straight.0 * straight.1 {
        (across.0, across.1, true)
    } else {
        (straight.0, straight.1, false)
    }
}

fn boxes_at_once(outside: [Length; 3], chamber: [Length; 3]) -> u32 {
    let (across, along, _) = rows(outside, chamber);
    across * along
}

/// Where the boxes of one load stand in the chamber, along x, y (door to back), z.
#[derive(Clone, Debug)]
pub(crate) struct ChamberGrid {
    /// Whether their length runs across the chamber.
    pub(crate) turned: bool,
    /// Outer corner of each.
    pub(crate) corners: Vec<[Length; 3]>,
    /// Share of the free exchange that each one's faces have: left, right, door, back, bottom, top.
    pub(crate) exposure: Vec<[f64; 6]>,
}

/// The boxes gathered in the middle of the hearth, a clearance apart, side by side first.
pub(crate) fn chamber_grid(layout: &PackLayout, boxes: u32, chamber: [Length; 3]) -> ChamberGrid {
    let outside = layout.inside.map(|side| side + layout.wall * 2.0);
    let (across, _, turned) = rows(outside, chamber);
    let gap = Length::from_mm(CHAMBER_CLEARANCE_MM);
    let [w, h, l] = outside;
    let (x, y) = if turned { (l, w) } else { (w, l) };
    let boxes = boxes.max(1);
    let columns = across.clamp(1, boxes);
    let depth = boxes.div_ceil(columns);
    let from = |room: Length, side: Length, n: u32| {
        (room - side * f64::from(n) - gap * f64::from(n - 1)) * 0.5
    };
    let (x0, y0) = (from(chamber[0], x, columns), from(chamber[2], y, depth));
    // Heat comes into the gap between two boxes by its mouth only, at the sides and above, and both
    // faces share it.
    let through = |wide: Length| {
        let mouth = gap * (wide + h * 2.0);
        (mouth / (wide * h * 2.0)).clamp(0.05, 1.0)
    };
    let (beside, behind) = (through(y), through(x));
    let place = |i: u32| (i % columns, i / columns);
    let stands = |c: u32, r: u32| c < columns && r * columns + c < boxes;
    ChamberGrid {
        turned,
        corners: (0..boxes)
            .map(|i| {
                let (c, r) = place(i);
                [
                    x0 + (x + gap) * f64::from(c),
                    y0 + (y + gap) * f64::from(r),
                    Length::ZERO,
                ]
            })
            .collect(),
        exposure: (0..boxes)
            .map(|i| {
                let (c, r) = place(i);
                let shaded = |other: bool, share: f64| if other { share } else { 1.0 };
                [
                    shaded(c > 0, beside),
                    shaded(stands(c + 1, r), beside),
                    shaded(r > 0, behind),
                    shaded(stands(c, r + 1), behind),
                    1.0,
                    1.0,
                ]
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests;
