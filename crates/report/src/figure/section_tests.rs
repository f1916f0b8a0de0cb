//! The drawn areas against the shares they stand for, measured on the finished SVG.

use super::*;
use casewright_terms::{Span, Temperature};

use crate::fixture;

/// What lies behind the profile: shapes for a picture, not results.
fn made_up() -> Inside {
    let p = fixture::pawls(4).1.prediction.expect("expected").profile;
    let n = p.depth_mm.len();
    // The made-up shares do not add up to one; a picture needs them to.
    let whole = |i: usize| {
        p.martensite[i]
            + p.retained_austenite[i]
            + p.bainite[i]
            + p.pearlite[i]
            + p.ferrite[i]
            + p.carbide[i]
    };
    let part = |values: &[f64]| (0..n).map(|i| values[i] / whole(i)).collect::<Vec<f64>>();
    let ferrite: Vec<f64> = p
        .carbon_wt_pct
        .iter()
        .map(|c| (1.0 - c / 0.76).max(0.0))
        .collect();
    let carbide: Vec<f64> = p
        .carbon_wt_pct
        .iter()
        .map(|c| ((c - 0.76) / 5.9).max(0.0))
        .collect();
    Inside {
        depth_m: p
            .depth_mm
            .iter()
            .map(|d| Length::from_mm(*d).to_m())
            .collect(),
        moments: vec![Span::from_h(4.0), Span::from_h(10.5), Span::from_h(24.0)],
        carbon_wt_pct: vec![
            vec![0.15; n],
            p.carbon_wt_pct.clone(),
            p.carbon_wt_pct.clone(),
        ],
        core_carbon_wt_pct: 0.15,
        boxed: Some(Shares {
            martensite: vec![0.0; n],
            retained_austenite: vec![0.0; n],
            bainite: vec![0.0; n],
            pearlite: (0..n).map(|i| 1.0 - ferrite[i] - carbide[i]).collect(),
            ferrite,
            carbide,
        }),
        quenched: Shares {
            martensite: part(&p.martensite),
            retained_austenite: part(&p.retained_austenite),
            bainite: part(&p.bainite),
            pearlite: part(&p.pearlite),
            ferrite: part(&p.ferrite),
            carbide: part(&p.carbide),
        },
        // A draw that takes two thirds of the austenite.
        drawn: Shares {
            martensite: part(&p.martensite),
            retained_austenite: part(&p.retained_austenite)
                .iter()
                .map(|share| share / 3.0)
                .collect(),
            bainite: part(&p.bainite)
                .iter()
                .zip(part(&p.retained_austenite))
                .map(|(bainite, austenite)| bainite + austenite * 2.0 / 3.0)
                .collect(),
            pearlite: part(&p.pearlite),
            ferrite: part(&p.ferrite),
            carbide: part(&p.carbide),
        },
        quenched_hv: p.hardness_hv.iter().map(|h| 1.12 * h).collect(),
        drawn_hv: p.hardness_hv.clone(),
        dissolved_wt_pct: p.carbon_wt_pct.clone(),
        carbide_left: p.carbide.clone(),
        ferrite_left: vec![0.0; n],
        martensite_start_c: p.carbon_wt_pct.iter().map(|c| 480.0 - 300.0 * c).collect(),
        counted_from: Temperature::from_c(790.0),
        counted_to: Temperature::from_c(500.0),
        cooling_s: vec![Some(5.0); n],
        needed_s: vec![Some(9.0); n],
        quenched_from: Temperature::from_c(790.0),
        drawn_at: Temperature::from_c(180.0),
        grain_in_box: Length::from_um(32.0),
        grain: Length::from_um(22.0),
        sources: vec!["astm-e112"],
    }
}

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
    let inside = made_up();
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
    let off = report.plan.as_ref().expect("planned").depth.stock.1;
    let panels = panels(&inside, off, UnitSystem::Metric);
    // Box, quench, draw, finished.
    assert_eq!(panels.len(), 4);
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
                // A band holds six to ten grains: what is saved up for the next grain, and a grain
                // that the band's edge cuts, are each up to half of a grain. The greatest seen is 0.05;
                // half as much again is left for other profiles.
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
    assert!(first.len() < 200_000, "{} bytes", first.len());
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
        ..made_up()
    };
    let p = report.prediction.as_ref().expect("expected");
    let svg = draw(&spec, None, p, &inside).expect("drawn");
    assert!(!svg.contains("After the box") && svg.contains("As quenched from"));
}
