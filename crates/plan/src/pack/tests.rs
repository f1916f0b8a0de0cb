use super::*;
use proptest::prelude::*;

fn mm(values: [f64; 3]) -> [Length; 3] {
    values.map(Length::from_mm)
}

/// The box is given as width, height, length; places as x, y (along the length), z.
fn axes(inside: [Length; 3]) -> [Length; 3] {
    [inside[0], inside[2], inside[1]]
}

fn load(part: [f64; 3], parts: usize, coupons: usize) -> Load {
    Load {
        part: mm(part),
        round: false,
        parts,
        coupon: coupon_size(UnitSystem::Metric),
        coupons,
        spread: Spread::Close,
    }
}

fn metric(inside: [Length; 3]) -> Room {
    Room::new(inside, cover(UnitSystem::Metric, inside[1]))
}

/// A micron: sums of millimetres are not exact in binary.
fn micron() -> Length {
    Length::from_um(1.0)
}

/// The first rule that an arrangement breaks.
fn broken(inside: [Length; 3], cover: Cover, arranged: &Arranged) -> Option<String> {
    let all: Vec<&Placed> = arranged.parts.iter().chain(&arranged.coupons).collect();
    let room = axes(inside);
    let low = [cover.wall, cover.wall, cover.below];
    let high = [cover.wall, cover.wall, cover.above];
    for (i, a) in all.iter().enumerate() {
        for axis in 0..3 {
            if a.at[axis] < low[axis] - micron()
                || a.at[axis] + a.size[axis] > room[axis] - high[axis] + micron()
            {
                return Some(format!("{a:?} without its cover"));
            }
        }
        for b in &all[i + 1..] {
            let apart = (0..3).any(|axis| {
                let gap = (b.at[axis] - a.at[axis] - a.size[axis])
                    .max(a.at[axis] - b.at[axis] - b.size[axis]);
                gap >= cover.between - micron()
            });
            if !apart {
                return Some(format!("{a:?} and {b:?} stand too near"));
            }
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn cover_and_spacing_hold_and_the_same_comes_out_twice(
        inside in [80.0..320.0f64, 90.0..260.0f64, 80.0..420.0f64],
        part in [3.0..90.0f64, 3.0..90.0f64, 3.0..160.0f64],
        parts in 1usize..70,
        coupons in 0usize..4,
        loose in any::<bool>(),
    ) {
        let inside = mm(inside);
        let cover = cover(UnitSystem::Metric, inside[1]);
        let mut load = load(part, parts, coupons);
        if loose { load.spread = Spread::Loose; }
        let arranged = Room::new(inside, cover).arrange(&load);
        prop_assert_eq!(broken(inside, cover, &arranged), None);
        prop_assert!(arranged.parts.len() <= parts);
        if !arranged.parts.is_empty() {
            prop_assert_eq!(arranged.coupons.len(), coupons);
        }
        prop_assert_eq!(&Room::new(inside, cover).arrange(&load), &arranged);
        let pieces: Vec<&Placed> = arranged.parts.iter().chain(&arranged.coupons).collect();
        if let Some(at) = couple::place(inside, &pieces) {
            let inside_steel = pieces.iter().any(|p| (0..3).all(|i| {
                at[i] > p.at[i] && at[i] < p.at[i] + p.size[i]
            }));
            prop_assert!(!inside_steel, "couple in the steel at {:?}", at);
        }
    }
}

#[test]
fn as_many_parts_as_fit_and_no_more() {
    let room = metric(mm([150.0, 150.0, 200.0]));
    let most = room.arrange(&load([60.0, 40.0, 14.0], 500, 1)).parts.len();
    assert!((1..500).contains(&most));
    // One that fits when a fuller box is asked for fits alone too.
    assert_eq!(
        room.arrange(&load([60.0, 40.0, 14.0], most, 1)).parts.len(),
        most
    );
}

#[test]
fn a_thing_that_fills_the_room_leaves_no_place_for_a_coupon() {
    let room = metric(mm([100.0, 125.0, 100.0]));
    assert_eq!(room.arrange(&load([50.0; 3], 1, 0)).parts.len(), 1);
    assert!(room.arrange(&load([50.0; 3], 1, 1)).parts.is_empty());
    assert!(room.arrange(&load([51.0; 3], 1, 0)).parts.is_empty());
}

#[test]
fn slender_parts_stand_where_the_height_allows() {
    let pins = load([12.0, 12.0, 60.0], 12, 2);
    let high = metric(mm([150.0, 150.0, 200.0])).arrange(&pins);
    assert_eq!((high.parts.len(), high.upright), (12, Some(true)));
    assert!(
        high.parts
            .iter()
            .all(|p| p.size[2] == Length::from_mm(60.0))
    );
    let low = metric(mm([150.0, 120.0, 200.0])).arrange(&pins);
    assert_eq!((low.parts.len(), low.upright), (12, Some(false)));
    let cubes = metric(mm([200.0, 150.0, 300.0])).arrange(&load([40.0; 3], 4, 2));
    assert_eq!(cubes.upright, None);
}

/// The first coupon rides nearer the middle of the box than any other, the last nearest the back.
#[test]
fn coupons_see_the_middle_and_the_ends() {
    let inside = mm([200.0, 150.0, 300.0]);
    for (part, parts) in [
        ([14.0, 40.0, 60.0], 6),
        ([12.0, 12.0, 60.0], 40),
        ([60.0, 60.0, 60.0], 2),
    ] {
        let arranged = metric(inside).arrange(&load(part, parts, 3));
        assert_eq!(arranged.coupons.len(), 3, "{part:?}");
        let y = |i: usize| (arranged.coupons[i].at[1] + arranged.coupons[i].size[1] * 0.5).to_mm();
        assert!(y(1) < y(0) && y(0) < y(2), "{} {} {}", y(1), y(0), y(2));
    }
}
