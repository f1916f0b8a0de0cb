//! The example lot, made lots, and what must always hold.

use std::sync::LazyLock;

use casewright_job::evidence::{self, Evidence, What};
use casewright_job::spec::Spec;

use super::*;
use crate::{Options, SteelTable, propose};

const SHOP: &str = include_str!("../../../../examples/gannet-slip/shop.toml");
const JOB: &str = include_str!("../../../../examples/failed-lot/job.toml");
const EVIDENCE: &str = include_str!("../../../../examples/failed-lot/evidence.toml");

/// Enough for a band; nothing here hangs on the third figure of its width.
const FEW: Options = Options {
    seed: 1,
    members: 64,
    runs: 64,
};

static LOT: LazyLock<(Spec, PlanReport)> = LazyLock::new(|| {
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", JOB);
    let spec = casewright_job::resolve(draft, shop, &SteelTable)
        .unwrap_or_else(|diags| panic!("{diags:?}"));
    let report = propose(&spec, FEW);
    (spec, report)
});

fn failed() -> Evidence {
    let (read, diags) = evidence::parse("evidence.toml", EVIDENCE);
    read.unwrap_or_else(|| panic!("{diags:?}"))
}

fn told(evidence: &Evidence, seen: &[Seen]) -> Diagnosis {
    let (spec, report) = &*LOT;
    diagnose(spec, report, evidence, seen).unwrap_or_else(|diags| panic!("{diags:?}"))
}

fn chance(diagnosis: &Diagnosis, cause: Cause) -> f64 {
    let own = diagnosis.suspects.iter().find(|s| s.cause == cause);
    own.map_or(0.0, |s| s.chance)
}

fn print(diagnosis: &Diagnosis) {
    println!("{:?}", diagnosis.outcome);
    for suspect in diagnosis.suspects.iter().take(6) {
        println!(
            "{:.4} {:?} {:?}",
            suspect.chance, suspect.cause, suspect.amount
        );
        println!("   + {:#?}", suspect.speaks_for);
        println!("   - {:#?}", suspect.speaks_against);
        println!("   = {:?}", suspect.remedy);
    }
    for held in &diagnosis.held {
        println!("{:?}", held);
    }
    for test in &diagnosis.tests {
        println!(
            "{} {:.2} bits {:.0} % {:?}",
            test.code,
            test.bits,
            100.0 * test.share,
            test.expected
        );
    }
    println!("{:#?}", diagnosis.patterns);
}

/// The run taken up again from the plan's values is the plan's own.
#[test]
fn the_scene_is_the_plans_own_run() {
    let (spec, report) = &*LOT;
    let demand = Demand::of(spec).unwrap();
    let scene = Scene::of(spec, report, &demand).unwrap();
    let layers = scene
        .harden(&scene.carbon, &scene::InBox::PLAN, &scene::After::PLAN)
        .unwrap();
    let profile = &report.prediction.as_ref().unwrap().profile;
    for (mm, hv) in profile.depth_mm.iter().zip(&profile.hardness_hv) {
        let depth = casewright_terms::Length::from_mm(*mm);
        let own = crate::evaluate::hardness_at(&layers, depth).to_hv();
        // The carbon is asked for to 0.002 wt%, which is 3 HV on the steepest part; curves are drawn
        // by straight lines between layers, another 3 HV.
        assert!((own - hv).abs() < 6.0, "{mm} mm: {own} {hv}");
    }
}

/// By readings on the tester alone: no file, no ring, no word of the run.
#[test]
fn the_failed_lot_was_reheated_bare() {
    let mut bare = failed();
    bare.items
        .retain(|item| matches!(item.what, What::Hardness(_)));
    for item in &mut bare.items {
        item.remark = None;
    }
    let diagnosis = told(&bare, &[]);
    print(&diagnosis);
    assert_eq!(diagnosis.suspects[0].cause, Cause::BareReheat);
    // The next cause has at most half of it, or it would not be told.
    assert_eq!(diagnosis.outcome, Outcome::Told(Cause::BareReheat));
}
