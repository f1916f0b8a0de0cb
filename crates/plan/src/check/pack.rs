//! The box and what is in it: room, cover, spacing, test pieces, the couple.

use casewright_terms::{Diag, Length};

use super::Rule;
use super::sight::{Sight, brick, sort};
use crate::outcome::{PackLayout, Placed, StepKind};

pub(super) const RULES: &[Rule] = &[
    the_box,
    box_in_chamber,
    parts_in_box,
    part_sizes,
    spacing,
    cover,
    cover_as_said,
    counts,
    coupons_by_volume,
    control,
    coupons_apart,
    couple_place,
    settling,
];

/// A tenth of a millimetre on a packing sketch is nothing.
fn slack() -> Length {
    Length::from_mm(0.1)
}

/// Half an inch, less what rounding to 12.5 mm takes [trade-practice].
fn least_gap() -> Length {
    Length::from_mm(12.4)
}

/// An inch, in the same way [trade-practice].
fn usual_gap() -> Length {
    Length::from_mm(24.9)
}

/// Over a narrow side of 200 mm (8 in) the middle lags by hours [trade-practice].
fn narrow() -> Length {
    Length::from_mm(203.3)
}

/// The box is the shop's, has the size the shop says, lets gas out and is not too wide.
fn the_box(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let Some(of_shop) = sight.pack_box() else {
        found.push(Diag::stop(
            "check-box",
            format!("The shop book has no box {}.", pack.box_id),
        ));
        return;
    };
    let sides = of_shop.inside.iter().zip(&pack.inside);
    let differs = sides
        .chain([(&of_shop.wall, &pack.wall)])
        .any(|(a, b)| (*a - *b).max(*b - *a) > slack());
    if differs {
        found.push(Diag::stop(
            "check-box",
            format!("Box {} has another size in the shop book.", pack.box_id),
        ));
    }
    // A gas-tight box bursts. [trade-practice]
    if of_shop.gas_tight {
        found.push(
            Diag::stop(
                "check-box-gas-tight",
                format!("Box {} is gas-tight.", pack.box_id),
            )
            .why("The pack makes gas: a tight box bursts.")
            .accepted("A luted lid that lets gas out."),
        );
    }
    let [width, height, length] = pack.inside;
    if width.min(height).min(length) > narrow() {
        found.push(
            Diag::warn("check-box-wide", format!("Box {} is wide.", pack.box_id))
                .why("With over 200 mm on its narrow side the middle is hot hours after the wall.")
                .accepted("A narrower box, or a couple in the middle of the pack."),
        );
    }
}

/// The box stands in the chamber, off the elements by a finger [trade-practice]; two
/// boxes of one load stand side by side on the floor.
fn box_in_chamber(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let outer = pack.inside.map(|side| side + pack.wall * 2.0);
    let loads: Vec<_> = sight.steps(StepKind::Carburize).collect();
    for furnace in loads.iter().filter_map(|step| sight.furnace(step)) {
        let [width, height, depth] = furnace.inside;
        let across = |w: Length, d: Length| {
            if w > Length::ZERO && d > Length::ZERO {
                ((width + slack()) / w).floor() * ((depth + slack()) / d).floor()
            } else {
                0.0
            }
        };
        let stand = across(outer[0], outer[2]).max(across(outer[2], outer[0]));
        if outer[1] > height || stand < 1.0 {
            found.push(
                Diag::stop(
                    "check-box-chamber",
                    format!("Box {} does not go into {}.", pack.box_id, furnace.id),
                )
                .accepted("A box whose outside fits the chamber."),
            );
        } else if stand * (loads.len().max(sight.plan.loads.len()) as f64) < f64::from(pack.boxes) {
            found.push(
                Diag::warn(
                    "check-box-loads",
                    format!(
                        "{} boxes do not stand in {} at once.",
                        pack.boxes, furnace.id
                    ),
                )
                .accepted("One heat for each load, with its own steps."),
            );
        }
    }
    let owned = sight.pack_box().map_or(0, |of_shop| of_shop.count);
    let heats = loads.len().max(sight.plan.loads.len()) as u64;
    if heats * u64::from(owned) < u64::from(pack.boxes) && heats > 0 && owned > 0 {
        found.push(Diag::warn(
            "check-box-loads",
            format!(
                "{heats} heats with {} boxes; the shop has {owned}.",
                pack.boxes
            ),
        ));
    }
}

/// Inside in the axes of the placed things: x along the width, y along the length, z up.
fn room(pack: &PackLayout) -> [Length; 3] {
    [pack.inside[0], pack.inside[2], pack.inside[1]]
}

pub(super) fn all(pack: &PackLayout) -> Vec<&Placed> {
    pack.parts.iter().chain(&pack.coupons).collect()
}

/// Everything lies inside.
fn parts_in_box(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let room = room(pack);
    for item in all(pack) {
        let outside = (0..3).any(|axis| {
            item.at[axis] < -slack()
                || item.at[axis] + item.size[axis] > room[axis] + slack()
                || item.size[axis] <= Length::ZERO
        });
        if outside {
            found.push(
                Diag::stop(
                    "check-pack-outside",
                    format!("{} sticks out of the box.", item.mark),
                )
                .accepted("Everything inside, under compound."),
            );
        }
    }
}

/// The brick drawn for a part holds the part.
fn part_sizes(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let part = brick(&sight.spec.part.shape);
    for item in &sight.plan.pack.parts {
        let mut drawn = item.size;
        sort(&mut drawn);
        if (0..3).any(|side| drawn[side] < part[side] - slack()) {
            found.push(Diag::stop(
                "check-pack-part-size",
                format!("{} is drawn smaller than the part is.", item.mark),
            ));
        }
    }
}

/// Free distance of two bricks; `None` where they run into each other.
fn gap(a: &Placed, b: &Placed) -> Option<Length> {
    let mut square = 0.0;
    let mut apart = false;
    for axis in 0..3 {
        let free = (b.at[axis] - (a.at[axis] + a.size[axis]))
            .max(a.at[axis] - (b.at[axis] + b.size[axis]))
            .to_m();
        apart |= free >= -slack().to_m();
        square += free.max(0.0) * free.max(0.0);
    }
    apart.then(|| Length::from_m(casewright_physics::numerics::fun::sqrt(square)))
}

/// Half an inch of compound between any two pieces [trade-practice].
fn spacing(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let items = all(&sight.plan.pack);
    for (index, first) in items.iter().enumerate() {
        for second in &items[index + 1..] {
            let pair = format!("{} and {}", first.mark, second.mark);
            match gap(first, second) {
                None => found.push(Diag::stop(
                    "check-pack-overlap",
                    format!("{pair} lie in the same place."),
                )),
                Some(gap) if gap < least_gap() => found.push(
                    Diag::stop(
                        "check-pack-spacing",
                        format!("{pair} are {:.0} mm apart.", gap.to_mm()),
                    )
                    .why("Where pieces are close, compound and gas do not reach: soft spots.")
                    .accepted("13 mm (1/2 in) or more."),
                ),
                Some(_) => {}
            }
        }
    }
}

/// Least compound under, beside and over what lies in the box.
fn actual_cover(pack: &PackLayout, items: &[&Placed]) -> [Length; 3] {
    let room = room(pack);
    let far = room[0].max(room[1]).max(room[2]);
    items.iter().fold([far; 3], |[below, wall, above], item| {
        let side = |axis: usize| item.at[axis].min(room[axis] - item.at[axis] - item.size[axis]);
        [
            below.min(item.at[2]),
            wall.min(side(0)).min(side(1)),
            above.min(room[2] - item.at[2] - item.size[2]),
        ]
    })
}

/// An inch below, to the walls and above; under half an inch stop; above, the compound shrinks and
/// bares the top, so an inch is the least there [trade-practice].
fn cover(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let [below, wall, above] = actual_cover(pack, &all(pack));
    for (place, free, stop, usual) in [
        ("below", below, least_gap(), usual_gap()),
        ("to the wall", wall, least_gap(), usual_gap()),
        ("above", above, usual_gap(), usual_gap()),
    ] {
        let seen = format!("{:.0} mm of compound {place}.", free.to_mm());
        if free < stop {
            found.push(
                Diag::stop("check-pack-cover", seen)
                    .why("Work near the wall or bared by shrinking compound comes out soft.")
                    .accepted("25 mm (1 in); above 50 mm (2 in) where shrinkage is not known."),
            );
        } else if free < usual {
            found
                .push(Diag::warn("check-pack-cover-thin", seen).accepted("25 mm (1 in) is usual."));
        }
    }
}

/// What the sheet says of the cover must be what the sketch shows.
fn cover_as_said(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let parts: Vec<_> = pack.parts.iter().collect();
    if parts.is_empty() {
        return;
    }
    let [below, wall, above] = actual_cover(pack, &parts);
    let said = &pack.cover;
    // A millimetre: sheets print whole ones.
    let room = Length::from_mm(1.0);
    let less = below < said.below - room || wall < said.wall - room || above < said.above - room;
    if less {
        found.push(
            Diag::warn(
                "check-pack-cover-said",
                "The sketch leaves less compound than the words say.",
            )
            .accepted("The same cover in both."),
        );
    }
}

/// Every part finds a place, and no box goes in without need.
fn counts(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let (each, wanted) = (pack.parts.len() as u64, u64::from(sight.spec.quantity));
    let boxes = u64::from(pack.boxes);
    if each * boxes < wanted {
        found.push(
            Diag::stop(
                "check-pack-count",
                format!("{boxes} boxes of {each} parts for {wanted} parts."),
            )
            .accepted("A place for every part."),
        );
    } else if boxes > 1 && each * (boxes - 1) >= wanted {
        found.push(Diag::warn(
            "check-pack-boxes",
            format!("{boxes} boxes where {} would do.", boxes - 1),
        ));
    }
}

/// One coupon in a box up to 4 L, two up to 10 L, three above [trade-practice].
fn coupons_by_volume(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let litres = pack.inside.iter().map(|side| side.to_m()).product::<f64>() * 1e3;
    let wanted = match litres {
        l if l <= 4.05 => 1,
        l if l <= 10.05 => 2,
        _ => 3,
    };
    let here = pack.coupons.len();
    let seen = format!("{here} coupons in a box of {litres:.1} L.");
    if here == 0 {
        found.push(
            Diag::stop("check-coupon-none", seen)
                .why("Nothing can be looked at before the work is hardened, and nothing proves the case.")
                .accepted(format!("{wanted} coupons.")),
        );
    } else if here < wanted {
        found.push(Diag::warn("check-coupon-few", seen).accepted(format!("{wanted} coupons.")));
    }
    for item in &pack.coupons {
        if !sight
            .plan
            .coupons
            .iter()
            .any(|coupon| coupon.mark == item.mark)
        {
            found.push(Diag::warn(
                "check-coupon-unknown",
                format!("Coupon {} is in the box and not in the list.", item.mark),
            ));
        }
    }
}

/// An untreated control of the same heat, outside the box [trade-practice].
fn control(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let mut controls = sight
        .plan
        .coupons
        .iter()
        .filter(|coupon| coupon.control)
        .peekable();
    if controls.peek().is_none() {
        found.push(
            Diag::warn("check-control-none", "No control that is not carburized.")
                .why("Without it nobody can say whether the case or the bar was hard.")
                .accepted("One untreated piece of the same heat."),
        );
    }
    for coupon in controls {
        if sight
            .plan
            .pack
            .coupons
            .iter()
            .any(|item| item.mark == coupon.mark)
        {
            found.push(Diag::stop(
                "check-control-packed",
                format!(
                    "Control {} is in the box and would be carburized.",
                    coupon.mark
                ),
            ));
        }
    }
}

/// Two coupons side by side tell of one place. An inch and a half from middle to middle is a
/// coupon's breadth and twice the least spacing. [trade-practice]
fn coupons_apart(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let coupons = &sight.plan.pack.coupons;
    let middle = |p: &Placed| [0, 1, 2].map(|i| (p.at[i] + p.size[i] * 0.5).to_m());
    let reach = coupons
        .iter()
        .flat_map(|a| coupons.iter().map(move |b| (middle(a), middle(b))))
        .map(|(a, b)| (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum::<f64>())
        .fold(0.0, f64::max);
    if coupons.len() > 1 && reach < 0.038 * 0.038 {
        found.push(
            Diag::note("check-coupon-near", "The coupons lie side by side.")
                .why("They tell of one place; the load has colder and hotter ones.")
                .accepted("One in the middle, one at the end, where the box has room."),
        );
    }
}

/// A couple is buried in compound inside the box, not drilled into the work.
fn couple_place(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let Some(at) = pack.couple else { return };
    let room = room(pack);
    if (0..3).any(|i| at[i] < Length::ZERO || at[i] > room[i]) {
        found.push(Diag::stop(
            "check-couple-outside",
            "The couple's place is outside the box.",
        ));
    }
    let steel = |p: &&Placed| (0..3).all(|i| at[i] > p.at[i] && at[i] < p.at[i] + p.size[i]);
    if let Some(piece) = all(pack).into_iter().find(steel) {
        found.push(
            Diag::stop(
                "check-couple-steel",
                format!("The couple's place is inside {}.", piece.mark),
            )
            .accepted("A place in the compound, near the middle of the box."),
        );
    }
}

/// Compound settles by up to 15 % of its height in a heat; what stands above that lies bare
/// unless the box is topped up [trade-practice].
fn settling(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let settled = pack.inside[1] * 0.85;
    let bare = |p: &&Placed| p.at[2] + p.size[2] > settled + slack();
    if let Some(piece) = all(pack).into_iter().find(bare) {
        found.push(
            Diag::warn(
                "check-pack-settles",
                format!(
                    "{} would lie bare when the compound has settled.",
                    piece.mark
                ),
            )
            .why("A bared piece loses its case and scales.")
            .accepted("More compound over it: 15 % of the box's height, 50 mm (2 in) at least."),
        );
    }
}
