//! Judging: the example lots, odd readings, and what must hold for any readings.

use casewright_job::evidence::{Evidence, What, parse};
use casewright_job::spec::Spec;
use casewright_plan::SteelTable;
use casewright_plan::judge::{ClauseKind, Fared, Judgement, Rule, Verdict, judge};
use casewright_terms::{Diag, Length};
use proptest::prelude::*;

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");
const PAWL: (&str, &str) = (
    include_str!("../../../examples/winch-pawl/job.toml"),
    include_str!("../../../examples/winch-pawl/evidence.toml"),
);
const PIN: (&str, &str) = (
    include_str!("../../../examples/vang-pin/job.toml"),
    include_str!("../../../examples/vang-pin/evidence.toml"),
);
const LATCH: (&str, &str) = (
    include_str!("../../../examples/latch-plate/job.toml"),
    include_str!("../../../examples/latch-plate/evidence.toml"),
);
const FAILED: (&str, &str) = (
    include_str!("../../../examples/failed-lot/job.toml"),
    include_str!("../../../examples/failed-lot/evidence.toml"),
);

fn spec(text: &str) -> Spec {
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", text);
    casewright_job::resolve(draft, shop, &SteelTable).expect("an example resolves")
}

#[track_caller]
fn evidence(text: &str) -> Evidence {
    let (read, diags) = parse("evidence.toml", text);
    read.unwrap_or_else(|| panic!("{diags:#?}\n{text}"))
}

fn try_judge(job: &str, text: &str, rule: Rule) -> Result<Judgement, Vec<Diag>> {
    judge(&spec(job), &evidence(text), None, rule)
}

#[track_caller]
fn judged((job, text): (&str, &str)) -> Judgement {
    try_judge(job, text, Rule::Simple).expect("the note can be judged")
}

fn fared(judged: &Judgement, kind: impl Fn(&ClauseKind) -> bool) -> Fared {
    judged
        .clauses
        .iter()
        .find(|clause| kind(&clause.kind))
        .unwrap_or_else(|| panic!("{:#?}", judged.clauses))
        .fared
}

fn says(judged: &Judgement, code: &str) -> bool {
    judged.findings.iter().any(|diag| diag.code == code)
}

/// A job whose case is 0.3 to 0.5 mm, and one reading of its surface.
fn one_reading(case: &str, reading: &str) -> Judgement {
    let job = PAWL.0.replace(
        "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind",
        &format!("case harden CHD 550 HV {case}, 58-62 HRC"),
    );
    let cut = job.find("# What is ground off").expect("the stock section");
    let text = format!(
        "[[specimen]]\nmark = \"P\"\nkind = \"part\"\nstate = \"tempered\"\n{TRAVERSE}[[hardness]]\nspecimen = \"P\"\n{reading}\n"
    );
    try_judge(&job[..cut], &text, Rule::Simple).expect("the note can be judged")
}

/// A case of 0.40 mm.
const TRAVERSE: &str = "[[traverse]]\nspecimen = \"P\"\nscale = \"HV0.3\"\ndepths = \"0.1 0.2 0.3 0.4 0.5 0.6 0.8 1.3 mm\"\nvalues = [705, 690, 640, 550.5, 430, 340, 260, 230]\nspacing = \"0.2 mm\"\n";

#[test]
fn the_example_lots_fare_as_their_story_says() {
    let pawl = judged(PAWL);
    assert_eq!(pawl.verdict, Verdict::Meets, "{:#?}", pawl.clauses);
    assert!(pawl.missing.is_empty());
    // 550 HV between 1.05 and 1.15 mm on K1, near 1.16 mm on K2 by ground steps.
    let depth = pawl.case_depth.unwrap();
    assert!((depth.mid.to_mm() - 1.12).abs() < 0.03, "{depth:?}");
    assert!(depth.low < depth.mid && depth.mid < depth.high);

    let pin = judged(PIN);
    assert_eq!(pin.verdict, Verdict::NotShown, "{:#?}", pin.clauses);
    assert_eq!(pin.missing.len(), 1);
    assert!(matches!(&pin.missing[0].clause, ClauseKind::SoftArea(what) if what == "threaded end"));
    assert!(pin.missing[0].test.contains("file"), "{:?}", pin.missing);

    let latch = judged(LATCH);
    assert_eq!(latch.verdict, Verdict::DoesNotMeet);
    assert_eq!(
        fared(&latch, |kind| matches!(kind, ClauseKind::CaseDepth(_))),
        Fared::High
    );

    let failed = judged(FAILED);
    assert_eq!(failed.verdict, Verdict::DoesNotMeet);
    assert_eq!(
        fared(&failed, |kind| *kind == ClauseKind::SurfaceHardness),
        Fared::Low
    );
    assert!(says(&failed, "scales-rise") && says(&failed, "skin-soft"));
    let wrapped = failed.read.iter().filter(|one| one.specimen == "K1");
    assert!(
        wrapped
            .into_iter()
            .all(|one| one.name.starts_with("ring") || one.left_out.is_some())
    );
}

#[test]
fn the_missing_file_on_the_thread_settles_the_pin() {
    let file = |result: &str| {
        let text = format!(
            "{}\n[[file]]\nspecimen = \"P2\"\nfile_hrc = 50\nresult = \"{result}\"\nat = \"soft area\"\nspot = \"threaded end\"\n",
            PIN.1
        );
        judged((PIN.0, &text)).verdict
    };
    assert_eq!(file("cuts"), Verdict::Meets);
    assert_eq!(file("skates"), Verdict::DoesNotMeet);
    assert_eq!(file("scratches"), Verdict::NotShown);
}

#[test]
fn a_guarded_judgement_asks_more() {
    let guarded = try_judge(PAWL.0, PAWL.1, Rule::Guarded).unwrap();
    assert_eq!(guarded.verdict, Verdict::Meets, "{:#?}", guarded.clauses);
    let near = PAWL.1.replace(
        "values = [60.5, 60.0, 61.0, 60.5, 60.0]",
        "values = [58.2, 58.1, 58.4, 58.2, 58.1]",
    );
    let simple = judged((PAWL.0, &near));
    assert_eq!(simple.verdict, Verdict::Meets);
    assert!(simple.clauses.iter().any(|clause| clause.close));
    // The curves of K1 still show it; the part alone does not.
    let alone: String = near.split("[[traverse]]").next().unwrap().to_owned();
    let of = |rule| {
        let judged = try_judge(PAWL.0, &alone, rule).unwrap();
        fared(&judged, |kind| *kind == ClauseKind::SurfaceHardness)
    };
    assert_eq!(of(Rule::Simple), Fared::Holds);
    assert_eq!(of(Rule::Guarded), Fared::NotShown);
}

#[test]
fn a_scale_too_heavy_for_the_case_neither_fails_nor_passes_it() {
    let judged = one_reading("0.3-0.5 mm", "scale = \"HRC\"\nvalues = [50.0, 49.5]");
    assert!(says(&judged, "scale-too-heavy"), "{:#?}", judged.findings);
    let text = judged
        .findings
        .iter()
        .find(|diag| diag.code == "scale-too-heavy")
        .unwrap()
        .text();
    assert!(
        text.contains("By the contact model the surface itself is about"),
        "{text}"
    );
    let surface = fared(&judged, |kind| *kind == ClauseKind::SurfaceHardness);
    assert_eq!(surface, Fared::NotShown, "{:#?}", judged.clauses);
    // The light scale on the same case decides: 90 is 59.5 HRC.
    let light = one_reading(
        "0.3-0.5 mm",
        "scale = \"15N\"\nvalues = [90.0, 90.2, 90.1, 90.0, 90.1]",
    );
    assert!(!says(&light, "scale-too-heavy"));
}

/// 650 HV10 is an indent of 0.17 mm across; one and a half of that is 0.25 mm of the 0.40 mm case,
/// HV30 asks 0.44 mm.
#[test]
fn a_heavy_vickers_force_sinks_through_too() {
    let at = |scale: &str| {
        let reading = format!("scale = \"{scale}\"\nvalues = [650, 652, 655]");
        says(&one_reading("0.3-0.5 mm", &reading), "scale-too-heavy")
    };
    assert!(!at("HV10") && at("HV30"));
}

#[test]
fn a_total_depth_is_shown_by_a_ring_and_not_by_a_traverse() {
    let job = PAWL.0.replace(
        "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind",
        "CASE DEPTH TOTAL 1.2-1.6 mm, 58-62 HRC AFTER GRIND",
    );
    let of = |kind: &str, depths: &str| {
        let text = PAWL
            .1
            .replace("kind = \"fracture\"", &format!("kind = \"{kind}\""));
        let text = text.replace("1.75 1.85 1.80 mm", depths);
        let judged = try_judge(&job, &text, Rule::Simple).unwrap();
        fared(&judged, |kind| matches!(kind, ClauseKind::CaseDepth(_)))
    };
    // 1.50 mm less 0.12 of stock is inside; 1.75 less 0.12 is above, by 0.03 mm.
    assert_eq!(of("etched", "1.48 1.52 1.50 mm"), Fared::Holds);
    assert_eq!(of("etched", "1.75 1.76 1.75 mm"), Fared::High);
    // Broken faces are read by eye only: not surely above.
    assert_eq!(of("fracture", "1.75 1.76 1.75 mm"), Fared::NotShown);
}

#[test]
fn numbers_off_their_scale_are_flagged_and_still_show_a_side() {
    let soft = one_reading(
        "0.3-0.5 mm",
        "scale = \"HRC\"\nvalues = [15.0, 14.0]\nat = \"core\"",
    );
    assert!(says(&soft, "hrc-below-scale"));
    let ball = one_reading(
        "0.3-0.5 mm",
        "scale = \"HRB\"\nvalues = [104.0]\nat = \"core\"",
    );
    assert!(says(&ball, "hrb-above-scale"));
    let job = PIN.0;
    let text = PIN
        .1
        .replace("values = [31.0, 30.5, 31.5]", "values = [15.0, 15.5, 14.5]");
    let judged = judged((job, &text));
    assert_eq!(
        fared(&judged, |kind| *kind == ClauseKind::CoreHardness),
        Fared::Low
    );
}

#[test]
fn testers_and_pieces_that_prove_nothing_are_left_out() {
    let off = PAWL.1.replace(
        "readings = [60.2, 60.5, 60.4, 60.3, 60.6]",
        "readings = [57.2, 57.5, 57.4, 57.3, 57.6]",
    );
    let judgement = judged((PAWL.0, &off));
    assert!(says(&judgement, "tester-off"));
    let first = judgement
        .read
        .iter()
        .find(|one| one.name == "hardness 1")
        .unwrap();
    assert!(first.left_out.is_some());

    let heat = PAWL.1.replace("heat = \"4471-B\"", "heat = \"9999-X\"");
    let judgement = judged((PAWL.0, &heat));
    assert!(says(&judgement, "piece-other-steel"));
    assert_eq!(
        fared(&judgement, |kind| matches!(kind, ClauseKind::CaseDepth(_))),
        Fared::NotShown
    );

    let raw = PAWL
        .1
        .replace("state = \"tempered\"", "state = \"quenched\"");
    assert_eq!(judged((PAWL.0, &raw)).verdict, Verdict::NotShown);

    let other = PAWL.1.replace("GS-0141", "GS-0999");
    let refused = try_judge(PAWL.0, &other, Rule::Simple).unwrap_err();
    assert_eq!(refused[0].code, "evidence-other-job");
}

#[test]
fn a_wrong_indent_is_named_and_widens_the_doubt() {
    let odd = PAWL.1.replace("671, 632, 571, 524", "671, 632, 430, 524");
    let (plain, judgement) = (judged(PAWL), judged((PAWL.0, &odd)));
    assert!(
        says(&judgement, "traverse-outlier"),
        "{:#?}",
        judgement.findings
    );
    assert!(!says(&plain, "traverse-outlier"));
    let width = |judgement: &Judgement| {
        let depth = judgement.case_depth.unwrap();
        (depth.high - depth.low).to_mm()
    };
    assert!(width(&judgement) > width(&plain));
}

#[test]
fn a_traverse_that_never_falls_is_a_bound() {
    let latch = judged(LATCH);
    assert!(latch.case_depth.is_none());
    let short = PAWL.1.replace(" 1.05 1.15 1.25 1.35 1.45 3.30 mm", " mm");
    let short = short
        .replace(", 571, 524, 470, 421, 368, 232]", "]")
        .replace(", 566, 512, 463, 409, 361, 228]", "]");
    let cut = short.find("# The other coupon").unwrap();
    let judgement = judged((PAWL.0, &short[..cut]));
    // Holds the limit to 0.95 mm, 0.83 mm after grinding: the least is shown, the greatest is not.
    assert_eq!(
        fared(&judgement, |kind| matches!(kind, ClauseKind::CaseDepth(_))),
        Fared::NotShown
    );
}

/// A slant of 1 in 20 is a step grind with one reading at each depth.
#[test]
fn a_slant_reads_as_the_steps_at_its_depths() {
    let cut = PAWL.1.find("# Two bands").unwrap();
    let of = |section: &str| {
        let text = format!("{}{section}", &PAWL.1[..cut]);
        judged((PAWL.0, &text)).case_depth.unwrap()
    };
    let values = "values = [90.4, 90.5, 90.3, 89.4, 88.3, 86.6, 85.2, 83.3]";
    let steps = of(&format!(
        "[[step_grind]]\nspecimen = \"K2\"\nscale = \"15N\"\nremoved = \"0.3 0.5 0.7 0.9 1.0 1.1 1.2 1.3 mm\"\n{values}\n"
    ));
    let slant = of(&format!(
        "[[taper_grind]]\nspecimen = \"K2\"\nscale = \"15N\"\nslope = 0.05\nalong = \"6 10 14 18 20 22 24 26 mm\"\n{values}\n"
    ));
    // A nanometre: 0.05 has no exact double.
    assert!(
        (steps.mid - slant.mid).to_m().abs() < 1e-9,
        "{steps:?} {slant:?}"
    );
    assert!((1.0..1.3).contains(&steps.mid.to_mm()), "{steps:?}");
}

#[test]
fn a_piece_that_lost_weight_is_told_of() {
    let text = PAWL
        .1
        .replace("after = \"88.381 g\"", "after = \"88.100 g\"");
    let judged = judged((PAWL.0, &text));
    assert!(says(&judged, "weight-lost"));
    // It is no reason to doubt what the traverse shows.
    assert_eq!(judged.verdict, Verdict::Meets);
}

fn depths_in_inches(text: &str) -> String {
    text.lines()
        .map(|line| {
            match line
                .strip_prefix("depths = \"")
                .and_then(|l| l.strip_suffix(" mm\""))
            {
                Some(numbers) => {
                    let inches: Vec<String> = numbers
                        .split_whitespace()
                        .map(|n| format!("{:?}", Length::from_mm(n.parse().unwrap()).to_in()))
                        .collect();
                    format!("depths = \"{} in\"", inches.join(" "))
                }
                None => line.to_owned(),
            }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn the_unit_of_the_file_does_not_matter() {
    let (mm, inch) = (judged(PAWL), judged((PAWL.0, &depths_in_inches(PAWL.1))));
    assert_eq!(mm.verdict, inch.verdict);
    let (a, b) = (mm.case_depth.unwrap(), inch.case_depth.unwrap());
    // A nanometre: what decimals lose on the way through inches.
    for (a, b) in [(a.low, b.low), (a.mid, b.mid), (a.high, b.high)] {
        assert!((a - b).to_m().abs() < 1e-9, "{a:?} {b:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn the_order_of_reading_does_not_matter(seed in any::<u64>()) {
        let plain = evidence(PAWL.1);
        let mut mixed = plain.clone();
        let mut state = seed | 1;
        let mut next = |n: usize| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as usize % n.max(1)
        };
        for i in (1..mixed.items.len()).rev() {
            mixed.items.swap(i, next(i + 1));
        }
        for i in (1..mixed.specimens.len()).rev() {
            mixed.specimens.swap(i, next(i + 1));
        }
        for item in &mut mixed.items {
            if let What::Hardness(read) = &mut item.what {
                for i in (1..read.values.len()).rev() {
                    read.values.swap(i, next(i + 1));
                }
            }
        }
        let job = spec(PAWL.0);
        let (a, b) = (
            judge(&job, &plain, None, Rule::Simple).unwrap(),
            judge(&job, &mixed, None, Rule::Simple).unwrap(),
        );
        prop_assert_eq!(a.verdict, b.verdict);
        prop_assert_eq!(a.case_depth, b.case_depth);
        let fates = |judgement: &Judgement| judgement.clauses.iter().map(|c| c.fared).collect::<Vec<_>>();
        prop_assert_eq!(fates(&a), fates(&b));
    }

    /// A reading moved towards the middle of the note is a better one.
    #[test]
    fn a_better_reading_never_turns_meets_into_does_not_meet(
        values in prop::collection::vec(56.0f64..64.0, 1..6),
        which in 0usize..6,
        share in 0.0f64..1.0,
        guarded in any::<bool>(),
    ) {
        let job = spec(PAWL.0);
        let rule = if guarded { Rule::Guarded } else { Rule::Simple };
        let of = |values: &[f64]| {
            let mut read = evidence(PAWL.1);
            for item in &mut read.items {
                if let (What::Hardness(surface), "hardness 1") = (&mut item.what, item.name.as_str()) {
                    surface.values = values.to_vec();
                }
            }
            judge(&job, &read, None, rule).unwrap().verdict
        };
        let before = of(&values);
        let mut better = values.clone();
        let i = which % better.len();
        better[i] += share * (60.0 - better[i]);
        let after = of(&better);
        prop_assert!(
            !(before == Verdict::Meets && after == Verdict::DoesNotMeet),
            "{values:?} {better:?}"
        );
    }

    /// A deeper case never turns too shallow.
    #[test]
    fn a_deeper_traverse_is_never_judged_shallower(shift in 0.0f64..0.3) {
        let job = spec(PAWL.0);
        let of = |by: f64| {
            let mut read = evidence(PAWL.1);
            for item in &mut read.items {
                if let What::Traverse(traverse) = &mut item.what {
                    for depth in &mut traverse.depths {
                        *depth = *depth + Length::from_mm(by);
                    }
                }
            }
            judge(&job, &read, None, Rule::Simple).unwrap().case_depth.unwrap()
        };
        let (plain, deep) = (of(0.0), of(shift));
        prop_assert!(deep.mid >= plain.mid);
    }
}
