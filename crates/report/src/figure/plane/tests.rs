//! The map as a drawing: well formed, its words inside and apart.

use casewright_physics::setup::{
    Cycle, DiffusivityModel, Face, KeywayBody, PlaneGrid, PlaneSection, PlaneSetup, Ramp, Surface,
};
use casewright_physics::simulate;
use casewright_terms::{Composition, Length, Span, Temperature, WeightPercent};

use super::{Wish, draw, lines};
use crate::figure::svg::width_of;
use Face::{StopOff, Treated};

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn wt(value: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(value)
}

fn sections() -> Vec<(&'static str, PlaneSection)> {
    let bar = |corner_radius, faces| PlaneSection::Rectangle {
        width: mm(18.0),
        height: mm(14.0),
        corner_radius,
        faces,
    };
    let keyway = |body, fillet| PlaneSection::Keyway {
        body,
        width: mm(6.0),
        depth: mm(3.5),
        fillet,
        outside: Treated,
        slot: Treated,
    };
    let bore = |wall, surface| PlaneSection::BoreNearWall {
        diameter: mm(8.0),
        wall,
        bore: Treated,
        surface,
    };
    vec![
        ("sharp corner", bar(mm(0.0), [Treated; 4])),
        ("rounded corner", bar(mm(2.0), [Treated; 4])),
        (
            "two faces stopped off",
            bar(mm(2.0), [Treated, StopOff, Treated, StopOff]),
        ),
        ("bore near a wall", bore(mm(2.5), Treated)),
        ("wall stopped off", bore(mm(6.0), StopOff)),
        (
            "two bores",
            PlaneSection::TwoBores {
                diameters: [mm(6.0), mm(4.0)],
                web: mm(2.0),
                bores: [Treated; 2],
            },
        ),
        (
            "keyway",
            keyway(KeywayBody::Round { diameter: mm(20.0) }, mm(0.4)),
        ),
        ("slot in a flat", keyway(KeywayBody::Flat, mm(0.0))),
        (
            "web",
            PlaneSection::Web {
                thickness: mm(3.0),
                height: mm(8.0),
                fillet: mm(1.0),
                tip_radius: mm(0.5),
                tip: StopOff,
                sides: Treated,
                floor: Treated,
            },
        ),
        (
            "plate edge",
            PlaneSection::PlateEdge {
                thickness: mm(6.0),
                corner_radius: mm(0.5),
                end: Treated,
                flats: [Treated, StopOff],
            },
        ),
    ]
}

fn drawn(section: PlaneSection, surface: Surface) -> String {
    let core = wt(0.2);
    let hot = Temperature::from_c(927.0);
    let setup = PlaneSetup {
        composition: Composition::plain(core),
        section,
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle {
            pieces: vec![Ramp {
                from: hot,
                to: hot,
                duration: Span::from_h(5.0),
            }],
        },
        // Coarse: these tests look at the drawing.
        tolerance: wt(0.01),
        grid: PlaneGrid::ByTolerance,
    };
    let run = simulate::carbon_plane(&setup).expect("the section runs");
    let depth_to = wt(0.4);
    draw(&Wish {
        run: &run,
        section: &setup.section,
        core,
        lines: &lines(&run, core, depth_to),
        depth_to,
    })
}

fn held() -> Surface {
    Surface::Fixed { carbon: wt(1.0) }
}

/// Left, top, right, bottom of a text, by the widths that the drawing itself goes by.
fn frame(text: &roxmltree::Node<'_, '_>) -> [f64; 4] {
    let number = |name: &str| -> f64 {
        let written = text.attribute(name).expect("every text has a place");
        written.parse().expect("a number")
    };
    let (x, y, size) = (number("x"), number("y"), number("font-size"));
    let long = width_of(text.text().unwrap_or_default(), size);
    let before = match text.attribute("text-anchor") {
        Some("middle") => 0.5 * long,
        Some("end") => long,
        _ => 0.0,
    };
    if text.attribute("transform").is_some() {
        [
            x - 0.8 * size,
            y + before - long,
            x + 0.2 * size,
            y + before,
        ]
    } else {
        [
            x - before,
            y - 0.8 * size,
            x - before + long,
            y + 0.2 * size,
        ]
    }
}

#[test]
fn words_stay_inside_and_off_each_other() {
    for (name, section) in sections() {
        let svg = drawn(section, held());
        let document = roxmltree::Document::parse(&svg).expect("well formed");
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}");
        let root = document.root_element();
        let side = |name: &str| -> f64 { root.attribute(name).unwrap().parse().unwrap() };
        let (width, height) = (side("width"), side("height"));
        let texts: Vec<(String, [f64; 4])> = document
            .descendants()
            .filter(|node| node.has_tag_name("text") && node.attribute("aria-hidden").is_none())
            .map(|node| (node.text().unwrap_or_default().to_owned(), frame(&node)))
            .collect();
        for (k, (words, [x0, y0, x1, y1])) in texts.iter().enumerate() {
            let inside = *x0 >= 0.0 && *y0 >= 0.0 && *x1 <= width && *y1 <= height;
            assert!(inside, "{name}: {words} leaves the drawing");
            for (other, [u0, v0, u1, v1]) in &texts[k + 1..] {
                let apart = x1 <= u0 || u1 <= x0 || y1 <= v0 || v1 <= y0;
                assert!(apart, "{name}: {words} stands on {other}");
            }
        }
        let said = |words: &str| texts.iter().any(|(text, _)| text.contains(words));
        assert!(
            said("0.40 wt%") && said("treated") && said(" in") && said(" mm"),
            "{name}"
        );
        assert_eq!(
            said("stopped off"),
            name.contains("stopped") || matches!(name, "web" | "plate edge"),
            "{name}"
        );
        assert_eq!(said("mirror"), svg.contains("10 2 2 2"), "{name}");
    }
}

#[test]
fn every_line_has_its_label() {
    let svg = drawn(sections()[0].1, held());
    for label in ["0.40 wt%", "0.60 wt%", "0.80 wt%"] {
        assert!(svg.contains(&format!(">{label}<")), "{label} in {svg}");
    }
}

#[test]
fn a_section_without_a_case_is_drawn_and_says_so() {
    let svg = drawn(sections()[0].1, Surface::Sealed);
    roxmltree::Document::parse(&svg).expect("well formed");
    assert!(svg.contains("No line of 0.40 wt%"), "{svg}");
    assert!(svg.contains("core 0.20 wt%"), "{svg}");
}
