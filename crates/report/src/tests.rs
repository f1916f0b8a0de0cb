//! The whole report of made-up jobs against files read by people: what is said is unchanged.
//! `UPDATE_GOLDEN=1 cargo test -p casewright-report` rewrites them; read the difference.

use std::path::Path;

use casewright_job::spec::Spec;
use casewright_plan::outcome::PlanReport;
use casewright_terms::UnitSystem;

use crate::figure::Figures;
use crate::model::Sheet;
use crate::text::Sources;
use crate::{fixture, text};

fn sheet(job: &(Spec, PlanReport)) -> Sheet {
    let printed = Some(jiff::civil::date(2026, 11, 23).at(16, 40, 0, 0));
    Sheet::build(&job.0, &job.1, printed, "0.0.0", &fixture::references())
}

#[expect(
    clippy::disallowed_methods,
    reason = "a test reads its golden file, and writes it when asked to"
)]
fn golden(name: &str, actual: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, actual).expect("golden file can be written");
    }
    let expected = std::fs::read_to_string(&path).expect("golden file is there");
    for (n, (a, b)) in expected.lines().zip(actual.lines()).enumerate() {
        assert_eq!(a, b, "{name}, line {}", n + 1);
    }
    assert_eq!(expected.lines().count(), actual.lines().count(), "{name}");
}

#[test]
fn reg_text_of_a_planned_job() {
    golden(
        "pawls.txt",
        &text::render(&sheet(&fixture::pawls(4)), Sources::Listed),
    );
}

#[test]
fn reg_text_of_a_planned_job_in_inch() {
    let mut job = fixture::pawls(4);
    job.0.units = UnitSystem::Inch;
    golden(
        "pawls-inch.txt",
        &text::render(&sheet(&job), Sources::Counted),
    );
}

#[test]
fn reg_text_of_a_refusal() {
    golden(
        "refused.txt",
        &text::render(&sheet(&fixture::refused()), Sources::Counted),
    );
}

#[test]
fn reg_model_of_a_planned_job() {
    // Drawings have their own tests; their coordinates would drown what is said.
    let mut sheet = sheet(&fixture::pawls(4));
    sheet.figures = Figures::default();
    golden("pawls-model.txt", &format!("{sheet:#?}\n"));
}

#[test]
fn lines_of_text_fit_the_terminal() {
    let jobs = [
        fixture::pawls(40),
        fixture::refused(),
        fixture::hostile(),
        fixture::long_texts(),
    ];
    for job in &jobs {
        for line in text::render(&sheet(job), Sources::Listed).lines() {
            let width = line.chars().count();
            assert!(width <= text::WIDTH, "{width}: {line}");
            assert!(
                !line.chars().any(char::is_control),
                "control character: {line:?}"
            );
        }
    }
}

#[test]
fn the_code_follows_what_is_said_and_not_when_it_was_printed() {
    let job = fixture::pawls(4);
    let code = |job: &(Spec, PlanReport), printed, version: &str| {
        Sheet::build(&job.0, &job.1, printed, version, &fixture::references())
            .head
            .code
    };
    let first = code(&job, None, "0.0.0");
    let later = Some(jiff::civil::date(2027, 1, 1).at(0, 0, 0, 0));
    assert_eq!(first, code(&job, later, "9.9.9"));
    let mut other = job.clone();
    if let Some(plan) = &mut other.1.plan {
        plan.steps[1].soak = Some(casewright_terms::Span::from_h(7.0));
    }
    assert_ne!(first, code(&other, None, "0.0.0"));
}

#[test]
fn drawings_are_well_formed_and_carry_no_foreign_element() {
    let jobs = [
        fixture::pawls(1),
        fixture::pawls(40),
        fixture::hostile(),
        fixture::long_texts(),
    ];
    for job in &jobs {
        let figures = sheet(job).figures;
        let all = [
            &figures.carbon,
            &figures.hardness,
            &figures.phases,
            &figures.cycle,
            &figures.pack,
            &figures.chain,
            &figures.edge,
        ];
        for svg in all {
            let svg = svg.as_ref().expect("every drawing of a plan is there");
            let document = roxmltree::Document::parse(svg).expect("well formed");
            for node in document.descendants().filter(roxmltree::Node::is_element) {
                let name = node.tag_name().name();
                let known = [
                    "svg", "line", "polyline", "polygon", "rect", "ellipse", "text",
                ];
                assert!(known.contains(&name), "{name}");
            }
            assert!(
                !svg.contains("NaN") && !svg.contains("inf"),
                "a number got lost"
            );
        }
    }
}

#[test]
fn drawings_say_what_they_must() {
    let figures = sheet(&fixture::pawls(4)).figures;
    let has = |svg: &Option<String>, words: &[&str]| {
        let svg = svg.as_ref().expect("drawn");
        for w in words {
            assert!(svg.contains(w), "{w} is missing");
        }
    };
    has(
        &figures.hardness,
        &[
            "550 HV, the note&#39;s limit",
            "50 HRC",
            "ground off",
            "total 2.05 mm",
            ">in<",
        ],
    );
    has(
        &figures.carbon,
        &["total 2.05 mm", "550 HV at 1.11 mm", "core 0.15 wt%"],
    );
    has(
        &figures.cycle,
        &[
            "furnace",
            "part",
            "night",
            "hold point",
            "somebody is there",
        ],
    );
    has(
        &figures.pack,
        &[
            "Plan view",
            "Side view",
            "300 mm (11.81 in)",
            "test piece",
            "couple",
            "door",
            "settles to here",
        ],
    );
    has(
        &figures.chain,
        &[
            "aim 1.12 mm",
            "0.12 ± 0.03 off",
            "≥ 0.80 mm",
            "≤ 1.20 mm",
            "wheel stops at 0.28",
            "scatter 0.10 mm",
        ],
    );
    has(
        &figures.edge,
        &[
            "sharp edge, as hardened",
            "0.41 wt%: case limit",
            "0.88 wt%: saturated",
            "edge 1.16, face 1.00 wt%",
            "1.00 mm (0.039 in)",
        ],
    );
}

#[test]
fn a_plan_without_clock_or_curves_is_drawn_as_far_as_it_goes() {
    let mut job = fixture::pawls(2);
    if let Some(plan) = &mut job.1.plan {
        for s in &mut plan.steps {
            s.begins.clock = None;
            s.ends.clock = None;
        }
        plan.depth.finish_max = None;
        plan.depth.make_max = None;
        plan.part_curve.clear();
        plan.pack.parts.clear();
        plan.pack.coupons.clear();
    }
    if let Some(p) = &mut job.1.prediction {
        p.profile = casewright_plan::outcome::Profile::default();
        p.case_depth = None;
    }
    let figures = sheet(&job).figures;
    assert!(figures.hardness.is_none() && figures.carbon.is_none() && figures.phases.is_none());
    let cycle = figures.cycle.expect("the furnace is known");
    assert!(cycle.contains("hours after the start") && !cycle.contains("night"));
    assert!(figures.pack.is_some() && figures.chain.is_some());
}
