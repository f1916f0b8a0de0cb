use casewright_physics::run::TransformationCurves;
use casewright_physics::setup::CurvesSetup;
use casewright_physics::{matter::steel, simulate};
use casewright_terms::{Temperature, UnitSystem, WeightPercent};

use super::transformation;

fn curves(grade: &str, carbon: f64) -> TransformationCurves {
    simulate::curves(&CurvesSetup {
        composition: steel::find(grade).expect("a grade").middle(),
        carbon: WeightPercent::from_wt_pct(carbon),
        grain_number: 7.0,
        from: Temperature::from_c(927.0),
    })
    .expect("curves")
}

#[test]
fn the_picture_is_well_formed_and_names_what_it_shows() {
    for (grade, carbon) in [("1018", 0.18), ("1018", 0.8), ("8620", 0.9), ("4140", 0.4)] {
        let svg = transformation(grade, &curves(grade, carbon), UnitSystem::Metric);
        let page = roxmltree::Document::parse(&svg).expect("well formed");
        let words: Vec<&str> = page.descendants().filter_map(|n| n.text()).collect();
        let shown = |what: &str| words.iter().any(|w| w.contains(what));
        for what in [
            grade,
            "°C",
            "°F",
            "Ms ",
            "Bs ",
            "Ae1 ",
            "martensite",
            "K/s at 700 °C",
        ] {
            assert!(shown(what), "{grade} {carbon}: {what}");
        }
        // The case is outside the fit and says so under the picture.
        assert_eq!(shown("▲"), carbon > 0.8, "{grade} {carbon}");
        let height: f64 = page
            .root_element()
            .attribute("height")
            .unwrap()
            .parse()
            .unwrap();
        for node in page.descendants().filter(|n| n.has_tag_name("text")) {
            let at = |k: &str| node.attribute(k).and_then(|v| v.parse::<f64>().ok());
            if let (Some(x), Some(y)) = (at("x"), at("y")) {
                assert!((0.0..=super::WIDTH).contains(&x) && (0.0..=height).contains(&y));
            }
        }
    }
}

#[test]
fn a_hostile_name_stays_a_name() {
    let svg = transformation("</text><script>", &curves("8620", 0.2), UnitSystem::Inch);
    assert!(!svg.contains("<script"));
}

#[test]
fn no_two_words_of_the_picture_overlap() {
    for (grade, carbon) in [("8620", 0.8), ("16MnCr5", 0.2), ("1018", 0.2)] {
        let svg = transformation(grade, &curves(grade, carbon), UnitSystem::Metric);
        let page = roxmltree::Document::parse(&svg).expect("well formed");
        let mut frames: Vec<(String, super::super::place::Frame)> = page
            .descendants()
            .filter(|node| node.has_tag_name("text") && node.attribute("transform").is_none())
            .filter_map(|node| {
                let number = |k: &str| node.attribute(k)?.parse::<f64>().ok();
                let (words, size) = (node.text()?, number("font-size")?);
                let anchor = match node.attribute("text-anchor")? {
                    "start" => super::Anchor::Start,
                    "middle" => super::Anchor::Middle,
                    _ => super::Anchor::End,
                };
                let style = super::Type::new(size, anchor);
                let at = (number("x")?, number("y")?);
                Some((words.to_owned(), super::Word { words, style, at }.frame()))
            })
            .collect();
        // A word with a rim is drawn twice, one on the other.
        frames.dedup();
        assert!(frames.len() > 40, "{grade} {carbon}: {}", frames.len());
        for (i, (one, a)) in frames.iter().enumerate() {
            for (other, b) in &frames[i + 1..] {
                // Rows of a table stand a line apart: letters touch only where frames share more
                // than their rims.
                let shared = |a0: f64, a1: f64, b0: f64, b1: f64| a1.min(b1) - a0.max(b0);
                let (x, y) = (
                    shared(a.0.0, a.1.0, b.0.0, b.1.0),
                    shared(a.0.1, a.1.1, b.0.1, b.1.1),
                );
                assert!(
                    x < 0.5 || y < 0.5,
                    "{grade} {carbon}: \"{one}\" on \"{other}\""
                );
            }
        }
    }
}
