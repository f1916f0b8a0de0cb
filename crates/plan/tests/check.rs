//! The checker against a plan worked out by hand, against that plan spoilt in one place at a time,
//! and against what the planner makes of the examples.

#[path = "check/fixture.rs"]
mod fixture;
#[path = "check/spoilt.rs"]
mod spoilt;
#[path = "check/spoilt_edges.rs"]
mod spoilt_edges;
#[path = "check/spoilt_work.rs"]
mod spoilt_work;

use casewright_job::spec::Spec;
use casewright_plan::check::{check, check_report};
use casewright_plan::outcome::{PlanReport, Verdict};
use casewright_plan::outlook::Outlook;
use casewright_plan::{Options, SteelTable, propose};
use casewright_terms::{Diag, Severity};

use fixture::{World, sound, sound_in_oil};

fn look(world: &World) -> Vec<Diag> {
    check(&world.plan, Some(&world.prediction), &world.spec)
}

fn report(world: &World, verdict: Verdict) -> PlanReport {
    PlanReport {
        verdict,
        findings: Vec::new(),
        plan: Some(world.plan.clone()),
        prediction: Some(world.prediction.clone()),
        alternatives: Vec::new(),
        nearest: None,
        doubts: Vec::new(),
        outlook: Outlook::default(),
        inside: None,
        traverse: None,
        sources: Vec::new(),
    }
}

/// Not even a warning: otherwise a spoilt plan could be "caught" by what is always said.
#[test]
fn sound_plans_give_nothing() {
    for world in [sound(), sound_in_oil()] {
        assert_eq!(look(&world), Vec::new());
        assert_eq!(check(&world.plan, None, &world.spec), Vec::new());
    }
}

/// A spoilt plan: the family it belongs to, the sound plan it is made from, what is spoilt.
type Spoilt = (&'static str, fn() -> World, &'static spoilt::Case);

fn spoilt_plans() -> Vec<Spoilt> {
    let in_water: [(&str, &'static [spoilt::Case]); 12] = [
        ("heat", spoilt::HEAT),
        ("depth", spoilt::DEPTH),
        ("pack", spoilt::PACK),
        ("steps", spoilt_work::STEPS),
        ("clock", spoilt_work::TIMES),
        ("quench", spoilt_work::QUENCH),
        ("boxes", spoilt_work::BOXES),
        ("people", spoilt_work::PEOPLE),
        ("never", spoilt_work::NEVER),
        ("scales", spoilt_work::SCALES),
        ("forecast", spoilt_work::FORECAST),
        ("edges", spoilt_edges::EDGES),
    ];
    let water = in_water.into_iter().flat_map(|(family, cases)| {
        cases
            .iter()
            .map(move |case| (family, sound as fn() -> World, case))
    });
    let oil = spoilt_work::OIL
        .iter()
        .map(|case| ("oil", sound_in_oil as fn() -> World, case));
    water.chain(oil).collect()
}

#[test]
fn every_spoilt_plan_is_caught() {
    let mut missed = Vec::new();
    for (_, from, (code, severity, what, spoil)) in spoilt_plans() {
        let mut world = from();
        spoil(&mut world);
        let found = look(&world);
        let caught = found
            .iter()
            .any(|diag| diag.code == *code && diag.severity == *severity);
        if !caught {
            missed.push(format!("{code} ({what}): {found:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

/// The list that people read: `check/spoilt.txt`, one line a plan. No mistake stands in it twice.
#[test]
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads its golden file, and writes it when asked to"
)]
fn reg_the_list_of_spoilt_plans_is_the_one_that_is_tried() {
    let mut list = String::from("family   | must say                  | weight | what is wrong\n");
    let mut kinds = std::collections::BTreeSet::new();
    for (family, _, (code, severity, what, _)) in spoilt_plans() {
        assert!(kinds.insert((*code, *what, family)), "{code}, {what} twice");
        let weight = format!("{severity:?}").to_lowercase();
        list.push_str(&format!("{family:8} | {code:25} | {weight:6} | {what}\n"));
    }
    let codes: std::collections::BTreeSet<&str> = kinds.iter().map(|kind| kind.0).collect();
    assert!(codes.len() >= 45, "only {} kinds of mistake", codes.len());
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/check/spoilt.txt");
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, &list).expect("the list can be written");
    }
    let held = std::fs::read_to_string(&path).expect("the list is there");
    assert_eq!(held, list);
}

#[test]
fn findings_come_heaviest_first_and_say_something() {
    let mut world = sound();
    for (_, _, _, spoil) in spoilt_work::QUENCH.iter().chain(spoilt_work::SCALES) {
        spoil(&mut world);
    }
    let found = look(&world);
    assert!(found.len() > 10, "{found:?}");
    assert!(
        found
            .windows(2)
            .all(|pair| pair[0].severity >= pair[1].severity)
    );
    assert!(
        found
            .iter()
            .all(|diag| diag.code.starts_with("check-") && !diag.seen.is_empty())
    );
}

/// Plans nobody would make still get an answer and no panic.
#[test]
fn odd_plans_are_refused_and_do_not_panic() {
    use casewright_terms::{Length, Mass, Span, Temperature, Volume};
    let odd: [fn(&mut World); 9] = [
        |w| w.plan.steps.clear(),
        |w| w.prediction.profile = Default::default(),
        |w| w.plan.pack.inside = [Length::ZERO; 3],
        |w| {
            w.plan.pack.parts.clear();
            w.plan.pack.coupons.clear();
        },
        |w| w.spec.shop.tanks[0].volume = Volume::ZERO,
        |w| w.plan.part_curve = vec![(f64::INFINITY, f64::INFINITY), (0.0, f64::NAN)],
        |w| w.plan.soak = Span::from_h(1e12),
        |w| w.plan.temperature = Temperature::from_k(0.0),
        |w| w.plan.quench.mass = Mass::from_kg(-1.0),
    ];
    for (index, spoil) in odd.iter().enumerate() {
        let mut world = sound();
        spoil(&mut world);
        let stopped = look(&world)
            .iter()
            .any(|diag| diag.severity == Severity::Stop);
        assert!(stopped, "odd plan {index} passes");
    }
}

#[test]
fn the_verdict_follows_from_the_bands() {
    let mut world = sound();
    let says = |world: &World, verdict| {
        check_report(&report(world, verdict), &world.spec)
            .iter()
            .any(|diag| diag.code == "check-verdict")
    };
    assert!(!says(&world, Verdict::CanBeMet));
    world.prediction.case_depth_after_grind = fixture::band_mm(0.75, 1.00, 1.14);
    assert!(says(&world, Verdict::CanBeMet), "the band leaves the note");
    assert!(!says(&world, Verdict::Marginal), "the middle is inside");
    world.prediction.case_depth_after_grind = fixture::band_mm(0.6, 0.75, 0.9);
    assert!(says(&world, Verdict::Marginal), "the middle is outside");
    let mut empty = report(&world, Verdict::CanBeMet);
    empty.plan = None;
    assert_eq!(check_report(&empty, &world.spec)[0].code, "check-verdict");
}

/// A plan of the nearest misses the note on purpose; what would hurt is still found.
#[test]
fn the_nearest_is_checked_but_for_the_note() {
    let mut world = sound();
    world.plan.depth.finish_min = casewright_terms::Length::from_mm(0.7);
    world.spec.shop.compounds[0].dry = false;
    let found = check_report(&report(&world, Verdict::CannotBeMet), &world.spec);
    assert!(found.iter().all(|diag| diag.code != "check-note-finish"));
    assert!(found.iter().any(|diag| diag.code == "check-compound-damp"));
}

/// Its worth is that it does not share the planner's opinions.
#[test]
fn the_checker_does_not_use_the_planner() {
    const PLANNER: [&str; 13] = [
        "propose", "search", "steps", "recipe", "doubt", "predict", "gate", "pack", "cautions",
        "tank", "clock", "refusals", "pieces",
    ];
    const OWN: [&str; 16] = [
        include_str!("../src/check.rs"),
        include_str!("../src/check/boxes.rs"),
        include_str!("../src/check/charge.rs"),
        include_str!("../src/check/depth.rs"),
        include_str!("../src/check/edges.rs"),
        include_str!("../src/check/forecast.rs"),
        include_str!("../src/check/heat.rs"),
        include_str!("../src/check/never.rs"),
        include_str!("../src/check/pack.rs"),
        include_str!("../src/check/people.rs"),
        include_str!("../src/check/quench.rs"),
        include_str!("../src/check/scales.rs"),
        include_str!("../src/check/sight.rs"),
        include_str!("../src/check/steps.rs"),
        include_str!("../src/check/times.rs"),
        include_str!("../src/check/wanted.rs"),
    ];
    for text in OWN {
        for module in PLANNER {
            let path = format!("crate::{module}");
            assert!(!text.contains(&path), "{path} is used by the checker");
        }
        assert!(
            !text.contains("super::super"),
            "the checker reaches past its own folder"
        );
    }
}

fn example(job: &str) -> Spec {
    let shop = include_str!("../../../examples/gannet-slip/shop.toml");
    let (shop, _) = casewright_job::parse_shop("shop.toml", shop);
    let (draft, _) = casewright_job::parse("job.toml", job);
    casewright_job::resolve(draft, shop, &SteelTable).unwrap_or_else(|diags| panic!("{diags:?}"))
}

/// As the job stands, and with an unattended soak allowed, so that a job too long for the staffed
/// hours still shows its plan. The planner is a black box here.
#[test]
fn the_planners_plans_for_the_examples_hold() {
    let jobs = [
        (
            "winch-pawl",
            include_str!("../../../examples/winch-pawl/job.toml"),
        ),
        (
            "vang-pin",
            include_str!("../../../examples/vang-pin/job.toml"),
        ),
        (
            "latch-plate",
            include_str!("../../../examples/latch-plate/job.toml"),
        ),
        (
            "failed-lot",
            include_str!("../../../examples/failed-lot/job.toml"),
        ),
    ];
    let mut stops = Vec::new();
    let mut plans = 0;
    for ((name, job), unattended) in jobs.into_iter().flat_map(|job| [(job, false), (job, true)]) {
        let mut spec = example(job);
        spec.unattended = unattended;
        let report = propose(&spec, Options::USUAL);
        plans += usize::from(report.plan.is_some());
        for diag in check_report(&report, &spec) {
            println!(
                "{name} ({:?}, unattended {unattended}): {} {diag}",
                report.verdict, diag.code
            );
            if diag.severity == Severity::Stop {
                stops.push((name, unattended, diag.code));
            }
        }
    }
    assert_eq!(stops, []);
    // Three of the four jobs can be planned at all; without plans nothing was looked at.
    assert!(plans >= 3, "only {plans} plans");
}
