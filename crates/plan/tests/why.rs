//! Every number of a plan has its reason, every reason this job's numbers and a source; the plan's
//! way is counted like the ways beside it; the picture's states follow each other.

use std::sync::LazyLock;

use casewright_job::spec::{RouteWish, Spec};
use casewright_physics::law::retained_austenite;
use casewright_physics::matter::sources;
use casewright_plan::outcome::{Plan, PlanReport, StepKind};
use casewright_plan::why::{Why, reasons};
use casewright_plan::{Options, SteelTable, chain, propose, ways};

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");

/// Smaller than a plan is made with: reasons are read from whatever the plan says.
const FEW: Options = Options {
    seed: 1,
    members: 64,
    runs: 24,
};

fn planned(job: &str) -> (Spec, PlanReport) {
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", job);
    let spec = casewright_job::resolve(draft, shop, &SteelTable)
        .unwrap_or_else(|diags| panic!("{diags:?}"));
    let report = propose(&spec, FEW);
    (spec, report)
}

/// The pawl has stock and a box cooled in air, the pin inches and a choice of routes; the last is
/// drawn hot, so that the draw takes retained austenite.
static JOBS: LazyLock<Vec<(&'static str, Spec, PlanReport)>> = LazyLock::new(|| {
    let pawl = include_str!("../../../examples/winch-pawl/job.toml");
    let pin = include_str!("../../../examples/vang-pin/job.toml");
    let hot = "name = \"hot draw\"\nquantity = 2\nnote = \"CHD 550 HV1 = 0,8 +0,4/0\"\nstart = \"2026-12-01 07:30\"\nshop = \"shop.toml\"\n[part]\nwhat = \"thing\"\nshape = \"bar\"\ndiameter = \"25 mm\"\nlength = \"80 mm\"\n[steel]\ngrade = \"8620\"\n[wish]\ntemper = \"240 C\"\n";
    [("pawl", pawl), ("pin", pin), ("hot", hot)]
        .into_iter()
        .map(|(name, job)| {
            let (spec, report) = planned(job);
            (name, spec, report)
        })
        .collect()
});

fn plan(report: &PlanReport) -> &Plan {
    report.plan.as_ref().expect("a plan")
}

#[test]
fn every_number_of_a_step_has_a_reason() {
    for (name, spec, report) in JOBS.iter() {
        let all = reasons(spec, report);
        let explained = |number: usize, text: &str| {
            let mut of_step = all.iter().filter(|why| why.steps.contains(&number));
            of_step.any(|why| why.value.contains(text))
        };
        for (i, step) in plan(report).steps.iter().enumerate() {
            let number = i + 1;
            assert!(
                all.iter().any(|why| why.steps.contains(&number)),
                "{name}: nothing explains step {number}"
            );
            if let Some(t) = step.temperature {
                let text = t.text(spec.units);
                assert!(explained(number, &text), "{name}, step {number}: {text}");
            }
            if let Some(soak) = step.soak {
                assert!(
                    explained(number, &soak.text()),
                    "{name}, step {number}: {}",
                    soak.text()
                );
            }
        }
    }
}

#[test]
fn the_promised_numbers_are_there_once() {
    for (name, spec, report) in JOBS.iter() {
        let all = reasons(spec, report);
        let count = |key: &str| all.iter().filter(|why| why.key == key).count();
        for key in [
            "depth-to-make",
            "case-depth",
            "surface-hardness",
            "core-hardness",
            "box",
            "cover",
            "compound",
            "coupons",
            "carburizing-temperature",
            "pack-hot",
            "soak",
            "surface-carbon",
            "cooling",
            "quench-medium",
            "quench-movement",
            "bath",
            "transfer",
            "temper-temperature",
            "temper-time",
            "test-scale",
            "growth",
        ] {
            assert_eq!(count(key), 1, "{name}: {key}");
        }
        assert_eq!(
            count("stock"),
            usize::from(!spec.stock.is_empty()),
            "{name}"
        );
        let reheats = ways::of_plan(plan(report)).reheats.len();
        assert_eq!(count("reheat-temperature"), reheats.min(1), "{name}");
    }
}

#[test]
fn every_reason_names_a_source_that_is_registered() {
    for (_, spec, report) in JOBS.iter() {
        for why in reasons(spec, report) {
            assert!(!why.sources.is_empty(), "{}", why.key);
            for key in &why.sources {
                assert!(
                    sources::all().any(|source| source.key == *key),
                    "{}: {key}",
                    why.key
                );
            }
        }
    }
}

#[test]
fn reasons_hold_this_jobs_numbers_and_read_as_sentences() {
    for (name, spec, report) in JOBS.iter() {
        for why in reasons(spec, report) {
            let words = &why.because;
            assert!(words.chars().any(|c| c.is_ascii_digit()), "{name}: {why:?}");
            assert!(words.ends_with('.'), "{name}: {words}");
            assert!(!words.contains("..") && !words.contains("  "), "{words}");
            assert!(!why.teaching.is_empty(), "{}", why.key);
        }
    }
}

#[test]
fn another_plan_has_other_reasons() {
    let because = |all: &[Why], key: &str| {
        let found = all.iter().find(|why| why.key == key);
        found.map(|why| why.because.clone()).expect("there")
    };
    let (_, spec, report) = &JOBS[0];
    let before = reasons(spec, report);
    let mut other = report.clone();
    let moved = other.plan.as_mut().expect("a plan");
    moved.soak = moved.soak * 2.0;
    moved.depth.finish_min = moved.depth.finish_min * 0.5;
    let after = reasons(spec, &other);
    for key in ["soak", "depth-to-make", "stock"] {
        assert_ne!(because(&before, key), because(&after, key), "{key}");
    }
}

/// The plan's own hours and those of the ways beside it are counted by two different routines; what
/// is not furnace time is the same where all but the box heat is the same.
#[test]
fn a_plan_takes_what_its_steps_take() {
    let mut compared = 0;
    for (name, _, report) in JOBS.iter() {
        let ours = ways::of_plan(plan(report));
        assert!(ours.hours_in_all > plan(report).furnace_time, "{name}");
        for other in &report.alternatives {
            let (Some(way), Some(furnace)) = (&other.way, other.furnace_time) else {
                continue;
            };
            let alike = way.route == ours.route
                && way.reheats == ours.reheats
                && way.tank == ours.tank
                && way.route != RouteWish::Direct
                && plan(report).loads.len() == 1;
            if !alike {
                continue;
            }
            let its = way.hours_in_all - furnace;
            let mine = ours.hours_in_all - plan(report).furnace_time;
            // The box cools a little longer from a hotter soak.
            assert!(
                (its.to_h() - mine.to_h()).abs() < 0.35,
                "{name}: {its:?} against {mine:?} of {}",
                other.what
            );
            compared += 1;
        }
    }
    assert!(compared > 0, "nothing was compared");
}

#[test]
fn the_planned_stock_leaves_what_the_prediction_says() {
    let (_, spec, report) = &JOBS[0];
    let prediction = report.prediction.as_ref().expect("expected");
    let followed = chain::faces(spec, &plan(report).depth, Some(prediction));
    assert!(followed.predicted && !followed.faces.is_empty());
    let finished = prediction.case_depth_after_grind.expect("a case");
    let worst = followed
        .faces
        .iter()
        .map(|face| face.left.low.to_mm())
        .fold(f64::INFINITY, f64::min);
    // The prediction takes the greatest local stock off everywhere; its bands are drawn run by run.
    assert!(
        (worst - finished.low.to_mm()).abs() < 0.02,
        "{worst} against {finished:?}"
    );
    let grind = plan(report)
        .steps
        .iter()
        .find(|s| s.kind == StepKind::Grind);
    let text = &grind.expect("a grind").text;
    for face in &followed.faces {
        assert!(text.contains(&face.face), "{text}");
        assert!(text.contains(&face.keep.depth_text(spec.units)), "{text}");
    }
}

/// What the draw does to the shares is what its law says of the retained austenite, and no more.
#[test]
fn the_shares_as_quenched_are_those_before_the_draw() {
    for (name, _, report) in JOBS.iter() {
        let inside = report.inside.as_ref().expect("inside");
        let temper = plan(report)
            .steps
            .iter()
            .rfind(|step| step.kind == StepKind::Temper)
            .expect("a temper");
        let left = retained_austenite::left_by_temper_ratio(
            temper.temperature.expect("set").to_k(),
            temper.soak.expect("held").to_s(),
        );
        let (before, after) = (&inside.quenched, &inside.drawn);
        for i in 0..inside.depth_m.len() {
            let off = after.retained_austenite[i] - left * before.retained_austenite[i];
            // Both stand on the engine's own layers; only their depths are interpolated.
            assert!(off.abs() < 2e-3, "{name}, layer {i}: off by {off}");
            let whole: f64 = before.named().iter().map(|(_, shares)| shares[i]).sum();
            assert!((whole - 1.0).abs() < 1e-6, "{name}: {whole}");
        }
        let most = before
            .retained_austenite
            .iter()
            .copied()
            .fold(0.0, f64::max);
        if *name == "hot" {
            let kept = after.retained_austenite.iter().copied().fold(0.0, f64::max);
            assert!(most > 0.02 && kept < 0.9 * most, "{most} and {kept}");
        }
    }
}
