//! Answers to open points: each code takes its documented answers, and nothing else.

use casewright_job::note::reading::{DepthKind, NoteReading, Rule, Stage};
use casewright_job::note::{apply_answers, block_stage, blocks, read};
use casewright_job::spec::Answer;
use casewright_terms::{Diag, Hardness, Scale};

fn answered(text: &str, answers: &[(&str, &str)]) -> (NoteReading, Vec<Diag>) {
    let answers: Vec<Answer> = answers
        .iter()
        .map(|(code, value)| Answer {
            code: (*code).to_owned(),
            value: (*value).to_owned(),
            by: "R. Tern, 3 May".to_owned(),
        })
        .collect();
    apply_answers(read(text), &answers)
}

fn codes(reading: &NoteReading) -> Vec<&'static str> {
    reading.blocks.iter().map(|b| b.code).collect()
}

/// The note opens exactly these points, and the answers close them all.
fn closes(text: &str, answers: &[(&str, &str)]) -> NoteReading {
    let open = codes(&read(text));
    for (code, _) in answers {
        assert!(open.contains(code), "{text:?} opens {open:?}, not {code}");
    }
    let (reading, complaints) = answered(text, answers);
    assert!(complaints.is_empty(), "{complaints:?}");
    assert!(
        reading.blocks.is_empty(),
        "{text:?} keeps {:?}",
        reading.blocks
    );
    assert!(reading.question.is_none());
    for (code, _) in answers {
        assert!(
            reading
                .assumptions
                .iter()
                .any(|a| a.starts_with(code) && a.ends_with("answered by R. Tern, 3 May")),
            "{:?}",
            reading.assumptions
        );
    }
    reading
}

#[test]
fn every_code_takes_its_answer() {
    let r = closes(
        "CASE HARDEN .020-.030 DP RC 58-62",
        &[("depth-kind", "effective 550 HV")],
    );
    assert_eq!(
        (r.depth_kind, r.limit_hardness),
        (DepthKind::Effective, Some(Hardness::new(Scale::Hv, 550.0)))
    );
    let r = closes(
        "CASE HARDEN .020-.030 DP RC 58-62",
        &[("depth-kind", "total")],
    );
    assert_eq!((r.depth_kind, r.limit_hardness), (DepthKind::Total, None));
    let r = closes(
        "CASE HARDEN AND GRIND. .020-.030 ECD. 58-62 HRC.",
        &[("stage", "after-grind")],
    );
    assert_eq!(r.stage, Stage::AfterGrind);
    let r = closes(
        "Case harden 0.8-1.2 effective 550 HV depth, 58-62 HRC after grind. XQ 7",
        &[("unread-number", "no requirement")],
    );
    assert_eq!(
        r.case_depth.and_then(|d| d.min).map(|l| l.to_mm()),
        Some(0.8)
    );
    let r = closes("ECD .8-1.2, 550 HV limit, HRC 58-62", &[("unit", "mm")]);
    // A conversion from mm and back: the last bit may differ, a nanometre does not.
    assert!((r.case_depth.and_then(|d| d.max).expect("max").to_mm() - 1.2).abs() < 1e-6);
    let r = closes(
        "CASE HARDEN .030-.040 ECD 58-62",
        &[("hardness-scale", "HRC")],
    );
    assert_eq!(r.surface_hardness.map(|h| h.scale), Some(Scale::Hrc));
    let r = closes("CASE HARDEN .030 ECD", &[("depth-tolerance", "min")]);
    assert!(
        r.case_depth
            .is_some_and(|d| d.min.is_some() && d.max.is_none())
    );
    closes(
        "CASE HARDEN .030 ECD",
        &[("depth-tolerance", ".025-.035 in")],
    );
    closes(
        "ECD 030-040, 58 HRC MIN",
        &[("number-form", "0.030-0.040 in")],
    );
    closes(
        "CARBURIZE .300-.400 IN ECD RC 58-62",
        &[("depth-range", ".030-.040 in")],
    );
    closes(
        "CARBURIZE .130-.150 IN ECD RC 58-62",
        &[("depth-range", "as written")],
    );
    closes(
        "ECD .040-.030, 58 HRC MIN",
        &[("range-reversed", ".030-.040 in")],
    );
    closes(
        "Case harden, effective depth 0.8-1.2 mm, 58-62 HRC",
        &[("limit-hardness", "550 HV")],
    );
    closes(
        "ECD .030-.040 IN (0.30-0.40 MM) HRC 58-62",
        &[("depth-conflict", ".030-.040 in")],
    );
    let r = closes(
        "ECD .030-.040 AFTER GRIND, LEAVE .010 FOR GRINDING",
        &[("stock", "on diameter")],
    );
    assert!((r.stock_per_side.expect("stock").to_in() - 0.005).abs() < 1e-9);
    closes(
        "ECD .030-.040 AFTER GRIND, LEAVE .010 FOR GRINDING",
        &[("stock", "0.12 mm per side")],
    );
    closes(
        "CASE HARDEN .030-.040 ECD, SHORE 75-85",
        &[("scale-not-convertible", "58-62 HRC")],
    );
    closes(
        "CASE HARDEN .030-.040 ECD, SHORE 75-85",
        &[("scale-not-convertible", "no requirement")],
    );
    closes(
        "ECD .030-.040, 58-62 HRC, 55-58 HRC",
        &[("surface-conflict", "58-62 HRC")],
    );
    closes("ECD .030-.040 HRC 69-71", &[("surface-range", "60-64 HRC")]);
    closes(
        "ECD .030-.040, 58-62 HRC, CORE 25-30 HRC, CORE 35-40 HRC",
        &[("core-conflict", "25-40 HRC")],
    );
    closes(
        "ECD .030-.040 SURFACE HRC 58-62 CORE HRC 60-64",
        &[("core-above-surface", "no requirement")],
    );
    closes(
        "CASE HARDEN .012-.018 ECD, HRC 58-62, ACCEPTANCE ON HRC ONLY",
        &[("scale-too-heavy", "90 HR15N min")],
    );
    let r = closes(
        "CASE HARDEN BORE .030-.040 ECD RC 58-62. NO CASE IN BORE.",
        &[("area-conflict", "must-not")],
    );
    assert!(r.selective.iter().all(|s| s.rule == Rule::MustNot));
    closes(
        "VACUUM CARBURIZE ECD .030-.040 RC 58-62",
        &[("other-process", "pack carburize")],
    );
    closes(
        "CARBURIZE PER AMS 2759/7, ECD .030-.040, HRC 58-62",
        &[("spec-excludes-pack", "waived")],
    );
    closes("CASE HARDEN, CHD, 58-62 HRC", &[("no-depth", "0.8-1.2 mm")]);
}

#[test]
fn an_answer_runs_through_all_rules_again() {
    // `.30` answered in inch is 7.6 mm deep, which is asked about in turn.
    let (reading, complaints) = answered("CASE HARDEN .30-.40 ECD RC 58-62", &[("unit", "inch")]);
    assert!(complaints.is_empty());
    assert_eq!(codes(&reading), ["depth-range"]);
}

#[test]
fn unknown_codes_and_unreadable_answers_say_what_is_accepted() {
    let (reading, complaints) = answered(
        "CASE HARDEN .020-.030 DP RC 58-62",
        &[("depth", "effective"), ("depth-kind", "deep")],
    );
    assert_eq!(codes(&reading), ["depth-kind"]);
    assert_eq!(complaints.len(), 2);
    assert_eq!(complaints[0].code, "answer-unknown");
    assert!(complaints[0].accepted.contains("depth-kind"));
    assert_eq!(complaints[1].code, "answer-unreadable");
    assert!(complaints[1].accepted.contains("effective 550 HV"));
}

#[test]
fn stock_of_the_job_opens_the_stage_and_an_answer_closes_it() {
    let note = "CARBURIZE .030-.040 ECD, RC 58-62, CORE 25-40";
    assert!(read(note).blocks.is_empty());
    let asked = block_stage(read(note));
    assert_eq!(codes(&asked), [blocks::STAGE]);
    assert!(asked.question.is_some());
    let answer = Answer {
        code: "stage".to_owned(),
        value: "after-grind".to_owned(),
        by: "R. Tern".to_owned(),
    };
    let (settled, complaints) = apply_answers(asked.clone(), &[answer]);
    assert!(complaints.is_empty() && settled.blocks.is_empty());
    assert_eq!(settled.stage, Stage::AfterGrind);
    let (still, _) = apply_answers(asked, &[]);
    assert_eq!(codes(&still), [blocks::STAGE]);
    assert!(
        block_stage(read("CHD 0.8-1.2 mm after grind"))
            .blocks
            .is_empty()
    );
}
