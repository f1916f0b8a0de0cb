//! The job file and the shop file: what is said about which words, and that nothing panics.

mod cases;
mod edges;
mod examples;
mod hostile;
mod property;
mod shopfile;

use casewright_job::spec::{GradeBook, Spec, Steel};
use casewright_job::{parse, parse_shop, resolve};
use casewright_terms::{Diag, Severity};

pub(crate) const SHOP: &str = include_str!("../../../../examples/gannet-slip/shop.toml");
pub(crate) const JOBS: [(&str, &str); 4] = [
    (
        "winch-pawl",
        include_str!("../../../../examples/winch-pawl/job.toml"),
    ),
    (
        "vang-pin",
        include_str!("../../../../examples/vang-pin/job.toml"),
    ),
    (
        "latch-plate",
        include_str!("../../../../examples/latch-plate/job.toml"),
    ),
    (
        "failed-lot",
        include_str!("../../../../examples/failed-lot/job.toml"),
    ),
];

/// A steel table of three grades.
pub(crate) struct Grades;

impl GradeBook for Grades {
    fn find(&self, written: &str) -> Option<String> {
        ["C15E", "8620", "1018"]
            .into_iter()
            .find(|name| name.eq_ignore_ascii_case(written.trim()))
            .map(str::to_owned)
    }

    fn near(&self, written: &str) -> Vec<String> {
        let names = ["C15E", "8620", "1018"].into_iter();
        names
            .filter(|name| name.chars().next() == written.chars().next())
            .map(str::to_owned)
            .collect()
    }
}

/// Reads and resolves against the demo shop.
pub(crate) fn whole(text: &str) -> Result<Spec, Vec<Diag>> {
    let (draft, _) = parse("job.toml", text);
    let (shop, said) = parse_shop("shop.toml", SHOP);
    assert!(said.is_empty(), "{said:#?}");
    resolve(draft, shop, &Grades)
}

/// Everything said about a text: severity, code and the words underlined.
pub(crate) fn said(text: &str) -> Vec<(Severity, &'static str, String)> {
    let diags = match whole(text) {
        Ok(spec) => spec.remarks,
        Err(diags) => diags,
    };
    diags
        .into_iter()
        .map(|diag| {
            assert!(!diag.seen.is_empty(), "{diag:?}");
            let place = diag.place.clone();
            let words = place.map_or(String::new(), |place| text[place.span].to_owned());
            (diag.severity, diag.code, words)
        })
        .collect()
}

/// The winch-pawl job with one text replaced by another.
pub(crate) fn changed(from: &str, to: &str) -> String {
    let text = JOBS[0].1;
    assert_eq!(text.matches(from).count(), 1, "\"{from}\" must stand once");
    text.replacen(from, to, 1)
}

/// The one diagnostic of a changed job, which must be the only one.
pub(crate) fn only(from: &str, to: &str) -> Diag {
    let text = changed(from, to);
    let diags = match whole(&text) {
        Ok(spec) => spec.remarks,
        Err(diags) => diags,
    };
    assert_eq!(diags.len(), 1, "{to}: {diags:#?}");
    diags.into_iter().next().unwrap()
}

/// Code and underlined words of the one diagnostic of a changed job.
pub(crate) fn check(from: &str, to: &str, code: &str, underlined: &str) {
    let text = changed(from, to);
    let diag = only(from, to);
    let place = diag.place.clone().expect("a place");
    assert_eq!(
        (diag.code, &text[place.span]),
        (code, underlined),
        "{to}: {diag:#?}"
    );
    assert!(
        !diag.why.is_empty() || !diag.accepted.is_empty(),
        "{diag:#?}"
    );
}

/// A job without the places, which differ between two texts of one job.
pub(crate) fn placeless(mut spec: Spec) -> Spec {
    for feature in &mut spec.part.features {
        feature.place = None;
    }
    match &mut spec.steel {
        Steel::Grade { place, .. } | Steel::Chemistry { place, .. } => *place = None,
    }
    spec.defaults.clear();
    spec.remarks.clear();
    spec
}
