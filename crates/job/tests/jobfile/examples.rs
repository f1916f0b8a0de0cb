//! The demo jobs: they read without a complaint, and a printed job is the same job.

use casewright_job::print;
use casewright_terms::Severity;

use crate::{JOBS, placeless, whole};

#[test]
fn the_demo_jobs_read_without_warning() {
    for (name, text) in JOBS {
        let spec = whole(text).unwrap_or_else(|diags| panic!("{name}: {diags:#?}"));
        let loud: Vec<_> = spec
            .remarks
            .iter()
            .filter(|diag| diag.severity != Severity::Note)
            .collect();
        assert!(loud.is_empty(), "{name}: {loud:#?}");
        assert!(
            text.contains("invented"),
            "{name} must say that it is invented"
        );
    }
}

#[test]
fn no_demo_job_leaves_the_note_open() {
    for (name, text) in JOBS {
        let spec = whole(text).unwrap();
        assert!(
            spec.note.blocks.is_empty(),
            "{name}: {:#?}",
            spec.note.blocks
        );
    }
}

#[test]
fn the_vang_pin_note_is_verbatim_and_its_stock_halved() {
    let spec = whole(JOBS[1].1).unwrap();
    assert_eq!(
        spec.note.text,
        "CARBURIZE .030-.040 ECD, RC 58-62, CORE 25-40"
    );
    // Half of an f64 is exact; the rest is the rounding of one conversion.
    assert!((spec.stock[0].per_side.to_in() - 0.005).abs() < 1e-15);
}

#[test]
fn printed_jobs_are_the_same_jobs() {
    for (name, text) in JOBS {
        let spec = whole(text).unwrap();
        let printed = print(&spec);
        let again = whole(&printed).unwrap_or_else(|diags| panic!("{name}: {diags:#?}\n{printed}"));
        assert_eq!(print(&again), printed, "{name}");
        assert_eq!(placeless(again), placeless(spec), "{name}\n{printed}");
    }
}
