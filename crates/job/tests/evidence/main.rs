//! The evidence file: what is said about which words, that nothing panics, and that printing loses
//! nothing.

mod cases;
mod property;

use casewright_job::evidence::{Evidence, parse};
use casewright_terms::{Diag, Place, Severity};

pub(crate) const FILES: [(&str, &str); 4] = [
    (
        "winch-pawl",
        include_str!("../../../../examples/winch-pawl/evidence.toml"),
    ),
    (
        "vang-pin",
        include_str!("../../../../examples/vang-pin/evidence.toml"),
    ),
    (
        "latch-plate",
        include_str!("../../../../examples/latch-plate/evidence.toml"),
    ),
    (
        "failed-lot",
        include_str!("../../../../examples/failed-lot/evidence.toml"),
    ),
];

/// A small whole file to change.
pub(crate) const SMALL: &str = r#"
by = "E. Sandpiper"
[[specimen]]
mark = "K1"
kind = "coupon"
state = "tempered"
diameter = "12 mm"
[[hardness]]
specimen = "K1"
scale = "HRC"
values = [60.5, 61]
[[traverse]]
specimen = "K1"
scale = "HV1"
depths = "0.1 0.2 0.3 mm"
values = [700, 650, 400]
"#;

/// Everything said about a text: severity, code and the words underlined.
pub(crate) fn said(text: &str) -> Vec<(Severity, &'static str, String)> {
    let (_, diags) = parse("e.toml", text);
    diags.iter().map(|diag| shown(text, diag)).collect()
}

fn shown(text: &str, diag: &Diag) -> (Severity, &'static str, String) {
    assert!(!diag.seen.is_empty(), "{diag:?}");
    assert!(diag.text().len() < 2000, "{diag:?}");
    let place = diag.place.clone();
    let words = place.map_or(String::new(), |place| text[place.span].to_owned());
    (diag.severity, diag.code, words)
}

/// The one complaint about the small file with one text replaced by another.
#[track_caller]
pub(crate) fn check(from: &str, to: &str, code: &str, underlined: &str) {
    assert_eq!(SMALL.matches(from).count(), 1, "\"{from}\" must stand once");
    let text = SMALL.replacen(from, to, 1);
    let all = said(&text);
    assert_eq!(all.len(), 1, "{to}: {all:#?}");
    assert_eq!((all[0].1, all[0].2.as_str()), (code, underlined), "{to}");
}

/// Evidence without its places, which differ between two texts of the same.
pub(crate) fn placeless(mut evidence: Evidence) -> Evidence {
    let nowhere = || Place {
        file: String::new(),
        span: 0..0,
    };
    for piece in &mut evidence.specimens {
        piece.place = nowhere();
    }
    for tester in &mut evidence.testers {
        tester.place = nowhere();
        for block in &mut tester.blocks {
            block.place = nowhere();
        }
    }
    for item in &mut evidence.items {
        item.place = nowhere();
    }
    evidence.remarks.clear();
    evidence
}
