//! Radii of edges and the sizes of webs and slots.

use casewright_job::print;
use casewright_terms::Length;

use crate::{changed, check, said, whole};

const WIDTH: &str = "width = \"40 mm\"";
const NOSE: &str = "kind = \"sharp corner\"\nname = \"nose\"";

#[test]
fn an_edge_is_read_in_any_unit_and_may_be_sharp() {
    for (written, mm) in [("0.3 mm", 0.3), ("0.012 in", 0.3048), ("0 mm", 0.0)] {
        let spec = whole(&changed(WIDTH, &format!("{WIDTH}\nedges = \"{written}\"")))
            .unwrap_or_else(|diags| panic!("{diags:#?}"));
        let read = spec.part.edge_radius.expect("given");
        assert!((read.to_mm() - mm).abs() < 1e-12, "{written}: {read:?}");
        assert!(!spec.defaults.iter().any(|line| line.contains("sharp")));
    }
    let spec = whole(crate::JOBS[0].1).unwrap_or_else(|diags| panic!("{diags:#?}"));
    assert_eq!(spec.part.edge_radius, None);
    assert!(
        spec.defaults
            .iter()
            .any(|line| line.contains("taken as sharp"))
    );
}

#[test]
fn an_edge_that_cannot_be_is_told_with_its_words() {
    let with = |value: &str| format!("{WIDTH}\nedges = {value}");
    check(WIDTH, &with("0.3"), "unit-missing", "0.3");
    check(WIDTH, &with("\"-1 mm\""), "value-out-of-range", "\"-1 mm\"");
    check(WIDTH, &with("\"60 mm\""), "value-out-of-range", "\"60 mm\"");
    // More than half of 14 mm.
    check(WIDTH, &with("\"8 mm\""), "edges-over-section", "\"8 mm\"");
    check(WIDTH, &with("\"0.3 kg\""), "quantity-wrong-kind", "kg");
}

#[test]
fn sizes_belong_to_their_kinds() {
    check(
        NOSE,
        &format!("{NOSE}\nwidth = \"3 mm\""),
        "size-not-of-feature",
        "width",
    );
    check(
        NOSE,
        &format!("{NOSE}\ndepth = \"3 mm\""),
        "size-not-of-feature",
        "depth",
    );
    let half_a_keyway = changed(NOSE, "kind = \"keyway\"\nname = \"slot\"\nwidth = \"3 mm\"");
    let all = said(&half_a_keyway);
    assert!(
        all.iter().any(|(_, code, _)| *code == "key-missing"),
        "{all:?}"
    );
}

#[test]
fn they_print_and_read_back() {
    let text = changed(
        NOSE,
        "kind = \"keyway\"\nname = \"slot\"\nwidth = \"5 mm\"\ndepth = \"0.1 in\"\nradius = \"0.4 mm\"",
    )
    .replacen(WIDTH, &format!("{WIDTH}\nedges = \"0.5 mm\""), 1);
    let spec = whole(&text).unwrap_or_else(|diags| panic!("{diags:#?}"));
    let slot = spec.part.features.last().expect("the slot");
    assert_eq!(slot.width, Some(Length::from_mm(5.0)));
    assert_eq!(slot.radius, Some(Length::from_mm(0.4)));
    let again = whole(&print::print(&spec)).unwrap_or_else(|diags| panic!("{diags:#?}"));
    assert_eq!(again.part.edge_radius, spec.part.edge_radius);
    let (a, b) = (slot, again.part.features.last().expect("the slot"));
    assert_eq!(
        (a.width, a.depth, a.radius, a.web),
        (b.width, b.depth, b.radius, b.web)
    );
}
