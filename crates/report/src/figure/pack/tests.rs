//! Marks and distances of drawn packs: inside the picture, none over another.

use casewright_plan::outcome::{Cover, PackLayout, Placed};
use casewright_terms::{Length, Mass, UnitSystem, Volume};

use super::super::svg::width_of;
use super::draw;
use super::labels::Spot;

/// Rows of equal pieces on their bed, with a coupon at the end of the first row.
fn packed(inside: [f64; 3], size: [f64; 3], [across, along, layers]: [usize; 3]) -> PackLayout {
    let mm = Length::from_mm;
    let mut all = Vec::new();
    for z in 0..layers {
        for x in 0..across {
            for y in 0..along {
                let at = [x, y, z].map(|n| n as f64);
                all.push(Placed {
                    mark: (all.len() + 1).to_string(),
                    at: [0, 1, 2].map(|i| mm(26.0 + at[i] * (size[i] + 13.0))),
                    size: size.map(mm),
                    round: true,
                });
            }
        }
    }
    let mut coupon = all.remove(along - 1);
    coupon.mark = "K1".to_owned();
    PackLayout {
        box_id: "B1".to_owned(),
        boxes: 1,
        inside: inside.map(mm),
        wall: mm(6.0),
        parts: all,
        coupons: vec![coupon],
        couple: Some([inside[0], inside[2], inside[1]].map(|side| mm(side * 0.5))),
        cover: Cover {
            below: mm(25.0),
            above: mm(50.0),
            wall: mm(25.0),
            between: mm(13.0),
        },
        compound: Volume::from_l(4.0),
        compound_mass: Mass::from_kg(2.0),
        fresh_mass: Mass::from_kg(0.4),
        compound_id: "K".to_owned(),
        scoops: Vec::new(),
        top_up: Volume::from_l(0.6),
        shell_mass: Mass::from_kg(8.0),
        steel_mass: Mass::from_kg(1.0),
        lift: Mass::from_kg(11.0),
    }
}

/// All words of a drawing with the place they take.
fn words(svg: &str) -> (Vec<(String, Spot)>, (f64, f64)) {
    let tree = roxmltree::Document::parse(svg).expect("well formed");
    let root = tree.root_element();
    let number = |node: &roxmltree::Node<'_, '_>, name: &str| -> f64 {
        node.attribute(name)
            .and_then(|v| v.parse().ok())
            .unwrap_or(0.0)
    };
    let found = tree
        .descendants()
        .filter(|node| node.has_tag_name("text") && node.attribute("aria-hidden").is_none())
        .map(|node| {
            let text = node.text().unwrap_or_default().to_owned();
            let size = number(&node, "font-size");
            let (x, y, w) = (
                number(&node, "x"),
                number(&node, "y"),
                width_of(&text, size),
            );
            let from = match node.attribute("text-anchor") {
                Some("middle") => -w / 2.0,
                Some("end") => -w,
                _ => 0.0,
            };
            let spot = if node.attribute("transform").is_some() {
                Spot(x - 0.72 * size, y - from - w, x, y - from)
            } else {
                Spot(x + from, y - 0.72 * size, x + from + w, y)
            };
            (text, spot)
        })
        .collect();
    (found, (number(&root, "width"), number(&root, "height")))
}

#[test]
fn no_mark_covers_another_or_leaves_the_picture() {
    for (inside, size, grid) in [
        ([150.0, 150.0, 200.0], [60.0, 80.0, 40.0], [1, 1, 1]),
        ([200.0, 150.0, 300.0], [60.0, 100.0, 40.0], [1, 2, 1]),
        ([150.0, 150.0, 200.0], [12.0, 12.0, 60.0], [3, 5, 1]),
        ([150.0, 150.0, 200.0], [8.0, 8.0, 30.0], [4, 7, 2]),
        ([200.0, 150.0, 300.0], [8.0, 30.0, 8.0], [6, 5, 2]),
        ([120.0, 400.0, 120.0], [20.0, 20.0, 120.0], [2, 2, 2]),
        ([90.0, 80.0, 600.0], [10.0, 200.0, 6.0], [1, 2, 1]),
    ] {
        for units in [UnitSystem::Metric, UnitSystem::Inch] {
            let svg = draw(&packed(inside, size, grid), None, units).expect("a drawing");
            let (found, (width, height)) = words(&svg);
            assert!(found.len() > 6, "{found:?}");
            for (i, (text, spot)) in found.iter().enumerate() {
                let inside = spot.0 >= 0.0 && spot.1 >= -1.0 && spot.2 <= width && spot.3 <= height;
                assert!(inside, "{text} at {spot:?} leaves {width} by {height}");
                for (other, place) in &found[i + 1..] {
                    // Words that stand in one line keep a point of paper between them.
                    let wide = Spot(spot.0 - 1.0, spot.1, spot.2 + 1.0, spot.3);
                    assert!(
                        !wide.meets(place),
                        "{text} and {other} at {spot:?}, {place:?}"
                    );
                }
            }
        }
    }
}
