//! The drawn areas against the shares they stand for, measured on the finished SVG.

use super::*;
use crate::fixture;

/// A polygon as drawn, with what it stands for.
type Area = (String, Vec<(f64, f64)>);

/// Numbers of a path as [`Svg`] writes it: `-` and blanks part them, and a point may begin one.
fn numbers(text: &str) -> Vec<f64> {
    text.replace('-', " -")
        .split_whitespace()
        .map(|n| n.parse().expect("a number"))
        .collect()
}

/// All marked areas, in the order in which later ones cover earlier ones.
fn areas(svg: &str) -> Vec<Area> {
    let document = roxmltree::Document::parse(svg).expect("well formed");
    let mut all = Vec::new();
    for path in document.descendants().filter(|n| n.has_tag_name("path")) {
        let Some(mark) = path.attribute("data-mark") else {
            continue;
        };
        let d = path.attribute("d").expect("a path has its steps");
        for piece in d.split('z').filter(|piece| !piece.is_empty()) {
            let (start, steps) = piece[1..].split_once('l').expect("steps");
            let start = numbers(start);
            let mut at = (start[0], start[1]);
            let mut polygon = vec![at];
            for step in numbers(steps).chunks(2) {
                at = (at.0 + step[0], at.1 + step[1]);
                polygon.push(at);
            }
            all.push((mark.to_owned(), polygon));
        }
    }
    all
}

fn inside_of(polygon: &[(f64, f64)], p: (f64, f64)) -> bool {
    let mut within = false;
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        if (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (p.1 - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            within = !within;
        }
    }
    within
}

const SIDE: f64 = 1.6;

fn picture() -> (String, Inside) {
    let (spec, mut report) = fixture::pawls(4);
    let inside = fixture::inside();
    report.inside = Some(inside.clone());
    let p = report.prediction.as_ref().expect("expected");
    let chain = report.plan.as_ref().map(|plan| &plan.depth);
    (draw(&spec, chain, p, &inside).expect("drawn"), inside)
}

#[test]
fn drawn_areas_follow_the_shares_in_every_band_of_depth() {
    let (svg, inside) = picture();
    let marked = areas(&svg);
    let (_, report) = fixture::pawls(4);
    let end = super::super::profile::depth_end_mm(report.prediction.as_ref().expect("expected"));
    let panels = panels(&inside, UnitSystem::Metric);
    for (i, panel) in panels.iter().enumerate() {
        let top = strip_top(i);
        let here: Vec<&Area> = marked
            .iter()
            .filter(|(_, polygon)| polygon[0].1 >= top - 0.1 && polygon[0].1 <= top + STRIP + 0.1)
            .collect();
        for band in 0..8 {
            let wide = (RIGHT - LEFT) / 8.0;
            let from = LEFT + wide * f64::from(band);
            let mut found = [0.0; 6];
            let mut wanted = [0.0; 6];
            let mut points = 0.0;
            let columns = (wide / SIDE) as usize;
            let rows = (STRIP / SIDE) as usize;
            for column in 0..columns {
                let x = from + SIDE * (column as f64 + 0.5);
                let shares = shares_at(&inside, panel.shares, end * (x - LEFT) / (RIGHT - LEFT));
                for row in 0..rows {
                    let y = top + SIDE * (row as f64 + 0.5);
                    points += 1.0;
                    for (k, (_, share)) in shares.named().iter().enumerate() {
                        wanted[k] += share;
                    }
                    let name = here
                        .iter()
                        .rev()
                        .find(|(_, polygon)| inside_of(polygon, (x, y)))
                        .map(|(name, _)| name.as_str());
                    if let Some(k) = Kind::ALL.iter().position(|kind| Some(kind.name()) == name) {
                        found[k] += 1.0;
                    }
                }
            }
            let total: f64 = found.iter().sum();
            // Rounded corners leave hairlines of paper.
            assert!(total > 0.985 * points, "{total} of {points} points marked");
            for (k, kind) in Kind::ALL.iter().enumerate() {
                let (drawn, share) = (found[k] / points, wanted[k] / points);
                // A band holds about ten grains: a colony saved up for the next grain, and a grain
                // that the band's edge cuts, are each up to half of a grain, which is 5 % of a band;
                // both together rarely reach 7 %.
                assert!(
                    (drawn - share).abs() <= 0.075,
                    "{} in strip {i}, band {band}: drawn {drawn:.3}, computed {share:.3}",
                    kind.name()
                );
            }
        }
    }
}

#[test]
fn the_picture_is_the_same_every_time_and_small() {
    let (first, _) = picture();
    assert!(first == picture().0);
    // A page's figure: what a mail and a PDF bear.
    assert!(first.len() < 150_000, "{} bytes", first.len());
    for words in [
        "Schematic",
        "ground off",
        "550 HV at",
        "After the box",
        "pearlite",
        ">in<",
    ] {
        assert!(first.contains(words), "{words}");
    }
}

#[test]
fn a_direct_quench_has_no_strip_of_the_box() {
    let (spec, report) = fixture::pawls(4);
    let inside = Inside {
        boxed: None,
        ..fixture::inside()
    };
    let p = report.prediction.as_ref().expect("expected");
    let svg = draw(&spec, None, p, &inside).expect("drawn");
    assert!(!svg.contains("After the box") && svg.contains("After the quench"));
}
