//! Where things go in the box: spacing and cover rules, how many boxes, compound, weight to lift.
//!
//! Bricks on shelves, parts and coupons in one pass. It does not look for the densest packing:
//! a bench packs in rows, and a row can be drawn and followed.

use casewright_job::shop::{CompoundLot, Furnace, PackBox};
use casewright_job::spec::Spec;
use casewright_terms::{Fraction, Length, Mass, UnitSystem, Volume};

use crate::outcome::{Cover, PackLayout, Placed};
use crate::setup::{self, STEEL_KG_M3};

/// Cover and spacing in the job's own round units: 25 mm (1 in) under the work and to the walls,
/// 13 mm (½ in) between pieces, 50 mm (2 in) over it because the compound shrinks by an unknown
/// amount. [trade-practice]
#[must_use]
pub fn cover(units: UnitSystem) -> Cover {
    let [side, between, above] = match units {
        UnitSystem::Metric => [25.0, 13.0, 50.0].map(Length::from_mm),
        UnitSystem::Inch => [1.0, 0.5, 2.0].map(Length::from_in),
    };
    Cover {
        below: side,
        above,
        wall: side,
        between,
    }
}

/// Air to leave between the box and the chamber on each side, so that it stands clear of the
/// elements. [trade-practice]
const CHAMBER_CLEARANCE_MM: f64 = 20.0;

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
    /// Share of the inside that is steel.
    pub steel_fraction: Fraction,
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

/// Packs the job's parts into one kind of box.
///
/// # Errors
/// When the box does not fit the furnace, or not even one part fits the box with its cover.
pub fn pack(
    spec: &Spec,
    pack_box: &PackBox,
    furnace: &Furnace,
    lot: &CompoundLot,
) -> Result<Packed, TooSmall> {
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
    let coupons = coupons_for(pack_box.inside);
    let sides = setup::brick(spec.part.shape);
    let round = setup::round_diameter(spec.part.shape).is_some();
    let cover = cover(spec.units);
    let [coupon_diameter, coupon_length] = coupon_size(spec.units);
    let coupon = [coupon_diameter, coupon_length, coupon_diameter];
    let room = Room::new(pack_box.inside, cover);
    let best = orientations(sides)
        .into_iter()
        .map(|size| room.shelves(size, coupon, round, spec.quantity as usize, coupons))
        .max_by_key(|(parts, placed_coupons)| (placed_coupons.len(), parts.len()))
        .unwrap_or_default();
    let (parts, placed_coupons) = best;
    if parts.is_empty() {
        return Err(too_small(format!(
            "no part fits inside with {:.0} mm of compound under and beside it and {:.0} mm over it",
            cover.below.to_mm(),
            cover.above.to_mm()
        )));
    }
    if placed_coupons.len() < coupons {
        return Err(too_small(
            "there is no room for the coupons beside a part".to_owned(),
        ));
    }
    let in_one_box = parts.len() as u32;
    let needed = spec.quantity.div_ceil(in_one_box);
    let at_once = boxes_at_once(outside, furnace.inside)
        .min(pack_box.count)
        .max(1);
    let loads = needed.div_ceil(at_once);

    let part_volume = setup::volume(spec.part.shape);
    let coupon_volume =
        coupon_diameter * coupon_diameter * coupon_length * std::f64::consts::FRAC_PI_4;
    let steel = part_volume * f64::from(in_one_box) + coupon_volume * placed_coupons.len() as f64;
    let inside = pack_box.inside[0] * pack_box.inside[1] * pack_box.inside[2];
    let compound = (inside - steel).max(Volume::ZERO);
    let compound_mass = lot.bulk_density * compound;
    let shell = outside[0] * outside[1] * outside[2] - inside;
    let lift = Mass::from_kg((shell + steel).to_m3() * STEEL_KG_M3) + compound_mass;
    Ok(Packed {
        layout: PackLayout {
            box_id: pack_box.id.clone(),
            boxes: needed,
            inside: pack_box.inside,
            wall: pack_box.wall,
            parts,
            coupons: placed_coupons,
            cover,
            compound,
            compound_mass,
            fresh_mass: compound_mass * lot.fresh.to_ratio(),
            compound_id: lot.id.clone(),
            lift,
        },
        loads,
        steel_fraction: Fraction::from_ratio((steel / inside).clamp(0.0, 1.0)),
    })
}

fn fits_chamber(outside: [Length; 3], chamber: [Length; 3]) -> bool {
    let clearance = Length::from_mm(2.0 * CHAMBER_CLEARANCE_MM);
    let fits = |w: Length, l: Length| w + clearance <= chamber[0] && l + clearance <= chamber[2];
    outside[1] + clearance * 0.5 <= chamber[1]
        && (fits(outside[0], outside[2]) || fits(outside[2], outside[0]))
}

/// Boxes standing side by side on the hearth, in the better of the two directions.
fn boxes_at_once(outside: [Length; 3], chamber: [Length; 3]) -> u32 {
    let clearance = Length::from_mm(CHAMBER_CLEARANCE_MM);
    let along =
        |room: Length, side: Length| ((room - clearance) / (side + clearance)).floor().max(0.0);
    let count = |w: Length, l: Length| along(chamber[0], w) * along(chamber[2], l);
    count(outside[0], outside[2]).max(count(outside[2], outside[0])) as u32
}

/// The ways a brick can lie with its edges along the box: each order of its sides once.
fn orientations(sides: [Length; 3]) -> Vec<[Length; 3]> {
    const ORDERS: [[usize; 3]; 6] = [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ];
    let mut found: Vec<[Length; 3]> = Vec::new();
    for order in ORDERS {
        let turned = order.map(|i| sides[i]);
        if !found.contains(&turned) {
            found.push(turned);
        }
    }
    found
}

/// `true` stands for a coupon: spread evenly from first to last.
fn queue(parts: usize, coupons: usize) -> Vec<bool> {
    let total = parts + coupons;
    let mut order = vec![false; total];
    for i in 0..coupons {
        let at = if coupons == 1 {
            total / 2
        } else {
            i * (total - 1) / (coupons - 1)
        };
        order[at] = true;
    }
    order
}

/// The part of the box that steel may stand in: from, to along x, y and z.
struct Room {
    x: (Length, Length),
    y: (Length, Length),
    z: (Length, Length),
    between: Length,
}

impl Room {
    /// `inside` is width, height, length, as boxes are given.
    fn new(inside: [Length; 3], cover: Cover) -> Self {
        Self {
            x: (cover.wall, inside[0] - cover.wall),
            y: (cover.wall, inside[2] - cover.wall),
            z: (cover.below, inside[1] - cover.above),
            between: cover.between,
        }
    }

    /// Fills rows along x, rows along y, layers along z. A coupon opens, halves and ends the row
    /// order, so that it rides near a corner, the middle and the far corner.
    fn shelves(
        &self,
        part: [Length; 3],
        coupon: [Length; 3],
        round: bool,
        parts_wanted: usize,
        coupons_wanted: usize,
    ) -> (Vec<Placed>, Vec<Placed>) {
        // Take parts away until parts and coupons all fit; a box that holds thousands of small parts
        // is bisected, not counted down.
        let (mut least, mut most) = (0, parts_wanted.min(10_000));
        let mut best = None;
        while least <= most {
            let count = least + (most - least) / 2;
            match self.fill(&queue(count, coupons_wanted), part, coupon, round) {
                Some(placed) => {
                    best = Some(placed);
                    least = count + 1;
                }
                None if count == 0 => break,
                None => most = count - 1,
            }
        }
        let (mut parts, mut coupons) = best.unwrap_or_default();
        self.centre(parts.iter_mut().chain(&mut coupons));
        (parts, coupons)
    }

    /// Moves the load to the middle of the box, so that every side has the same cover at least.
    fn centre<'p>(&self, placed: impl Iterator<Item = &'p mut Placed>) {
        let all: Vec<&mut Placed> = placed.collect();
        let end = |axis: usize, from: Length| {
            all.iter()
                .map(|p| p.at[axis] + p.size[axis])
                .fold(from, Length::max)
        };
        let shift_x = (self.x.1 - end(0, self.x.0)) * 0.5;
        let shift_y = (self.y.1 - end(1, self.y.0)) * 0.5;
        for thing in all {
            thing.at[0] = thing.at[0] + shift_x;
            thing.at[1] = thing.at[1] + shift_y;
        }
    }

    fn fill(
        &self,
        order: &[bool],
        part: [Length; 3],
        coupon: [Length; 3],
        round: bool,
    ) -> Option<(Vec<Placed>, Vec<Placed>)> {
        let (mut parts, mut coupons) = (Vec::new(), Vec::new());
        let (mut x, mut y, mut z) = (self.x.0, self.y.0, self.z.0);
        let (mut row, mut layer) = (Length::ZERO, Length::ZERO);
        for &is_coupon in order {
            let size = if is_coupon { coupon } else { part };
            if x + size[0] > self.x.1 {
                (x, y, row) = (self.x.0, y + row + self.between, Length::ZERO);
            }
            if y + size[1] > self.y.1 {
                (x, y, row) = (self.x.0, self.y.0, Length::ZERO);
                (z, layer) = (z + layer + self.between, Length::ZERO);
            }
            let fits =
                x + size[0] <= self.x.1 && y + size[1] <= self.y.1 && z + size[2] <= self.z.1;
            if !fits {
                return None;
            }
            let (list, mark) = if is_coupon {
                let mark = format!("K{}", coupons.len() + 1);
                (&mut coupons, mark)
            } else {
                let mark = (parts.len() + 1).to_string();
                (&mut parts, mark)
            };
            list.push(Placed {
                mark,
                at: [x, y, z],
                size,
                round: is_coupon || round,
            });
            row = row.max(size[1]);
            layer = layer.max(size[2]);
            x = x + size[0] + self.between;
        }
        Some((parts, coupons))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(values: [f64; 3]) -> [Length; 3] {
        values.map(Length::from_mm)
    }

    #[test]
    fn rules_of_cover_and_spacing_hold_for_every_pair() {
        let inside = mm([200.0, 150.0, 300.0]);
        let cover = cover(UnitSystem::Metric);
        let coupon = mm([12.0, 50.0, 12.0]);
        let (parts, coupons) =
            Room::new(inside, cover).shelves(mm([14.0, 40.0, 60.0]), coupon, false, 12, 2);
        assert_eq!((parts.len(), coupons.len()), (12, 2));
        let all: Vec<&Placed> = parts.iter().chain(&coupons).collect();
        for (i, a) in all.iter().enumerate() {
            // The box is given as width, height, length; places as x, y (along the length), z.
            let box_xyz = [inside[0], inside[2], inside[1]];
            let ends = [cover.wall, cover.wall, cover.below];
            let tops = [cover.wall, cover.wall, cover.above];
            for axis in 0..3 {
                assert!(a.at[axis] >= ends[axis], "{a:?}");
                assert!(
                    a.at[axis] + a.size[axis] <= box_xyz[axis] - tops[axis],
                    "{a:?}"
                );
            }
            for b in &all[i + 1..] {
                let apart = (0..3).any(|axis| {
                    a.at[axis] + a.size[axis] + cover.between <= b.at[axis] + Length::from_um(1.0)
                        || b.at[axis] + b.size[axis] + cover.between
                            <= a.at[axis] + Length::from_um(1.0)
                });
                assert!(apart, "{a:?} and {b:?} stand too near");
            }
        }
    }

    #[test]
    fn as_many_parts_as_fit_and_no_more() {
        let inside = mm([150.0, 150.0, 200.0]);
        let room = Room::new(inside, cover(UnitSystem::Metric));
        let (parts, coupons) = room.shelves(
            mm([60.0, 40.0, 14.0]),
            mm([12.0, 50.0, 12.0]),
            false,
            500,
            1,
        );
        assert!(parts.len() < 500 && !parts.is_empty());
        assert_eq!(coupons.len(), 1);
    }

    #[test]
    fn coupons_stand_first_middle_last() {
        let order = queue(7, 3);
        assert_eq!(order.iter().filter(|c| **c).count(), 3);
        assert!(order[0] && order[9]);
    }
}
