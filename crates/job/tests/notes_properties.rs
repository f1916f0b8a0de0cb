//! What holds for every text: no panic, every byte in one phrase, no reversed range let through,
//! and canonical notes in many styles give their values back.

use casewright_job::note::reading::{DepthKind, NoteReading, Stage};
use casewright_job::note::{blocks, read};
use casewright_terms::Scale;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// A runner whose cases are the same on every machine and in every run.
fn runner(cases: u32) -> TestRunner {
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
}

/// The phrases follow each other without gap or overlap from the first byte to the last.
fn tiles(reading: &NoteReading) {
    let mut at = 0;
    for phrase in &reading.phrases {
        assert_eq!(
            phrase.span.start, at,
            "gap or overlap in {:?}",
            reading.text
        );
        at = phrase.span.end;
        assert_eq!(reading.text[phrase.span.clone()].trim(), phrase.phrase);
        assert!(!phrase.understood.is_empty());
    }
    assert_eq!(
        at,
        reading.text.len(),
        "bytes left over in {:?}",
        reading.text
    );
}

/// What holds for the values of any reading.
fn sound(reading: &NoteReading) {
    tiles(reading);
    assert_eq!(reading.question.is_some(), !reading.blocks.is_empty());
    for (k, block) in reading.blocks.iter().enumerate() {
        assert!(blocks::find(block.code).is_some());
        assert!(
            reading.blocks[..k].iter().all(|b| b.code != block.code),
            "a code stands once"
        );
    }
    if !reading.blocks.is_empty() {
        return;
    }
    let depth = reading
        .case_depth
        .expect("a note without open points has a depth");
    assert!(depth.min.is_some() || depth.max.is_some());
    assert!(
        depth.min.zip(depth.max).is_none_or(|(a, b)| a <= b),
        "{reading:?}"
    );
    assert_ne!(reading.depth_kind, DepthKind::Unstated);
    assert_eq!(
        reading.limit_hardness.is_some(),
        reading.depth_kind == DepthKind::Effective
    );
    assert!(reading.units.is_some());
    for range in [reading.surface_hardness, reading.core_hardness]
        .into_iter()
        .flatten()
    {
        assert!(
            range.min.zip(range.max).is_none_or(|(a, b)| a <= b),
            "{reading:?}"
        );
    }
    let ungraspable = reading
        .phrases
        .iter()
        .any(|p| p.understood == "not read" && p.phrase.chars().any(|c| c.is_ascii_digit()));
    assert!(
        !ungraspable,
        "a number was left unread without a question: {:?}",
        reading.text
    );
}

#[test]
fn any_text_is_read_soundly() {
    runner(3000)
        .run(&"\\PC{0,80}|(.|\n){0,60}", |text| {
            sound(&read(&text));
            Ok(())
        })
        .expect("every text");
}

/// Pieces of notes, thrown together without sense.
const FRAGMENTS: &[&str] = &[
    "CASE",
    "harden",
    "CARBURIZE",
    "ECD",
    "CHD",
    "Eht",
    "TOTAL",
    "CORE",
    "SURF",
    "HRC",
    "RC",
    "HV1",
    "HV",
    "15N",
    "KHN500",
    "550",
    "58-62",
    ".030",
    "-",
    ".040",
    "030",
    "1,200",
    "0,8",
    "+0,4",
    "/0",
    "±",
    "+/-",
    "1/32",
    "58/62",
    "MIN",
    "MAX",
    "TO",
    "AT",
    "(",
    ")",
    "AFTER GRIND",
    "before grind",
    "STOCK",
    "PER SIDE",
    "ON DIA",
    "THREADS",
    "SOFT",
    "MASK",
    "NO CASE",
    "mm",
    "IN",
    "\"",
    "THOU",
    "%",
    "C",
    "°F",
    "8620",
    "AMS 2759/7",
    "JIS G 0557",
    "CD-H0.3-E0.8",
    ",",
    ";",
    ".",
    "\n",
    "AND",
    "NOT",
    "…",
    "ß",
    "½",
    "０",
    "\u{200f}",
    "\0",
    "🔥",
    "é",
    "N/mm²",
    "≥",
    "@",
    "=",
    "HR",
    "R/C",
    "1",
    "0",
    "99999999999999999999",
    "..",
    "/",
];

#[test]
fn fragments_in_any_order_are_read_soundly() {
    let notes = prop::collection::vec((prop::sample::select(FRAGMENTS), any::<bool>()), 0..24);
    runner(12_000)
        .run(&notes, |parts| {
            let text: String = parts
                .iter()
                .map(|(word, gap)| format!("{word}{}", if *gap { " " } else { "" }))
                .collect();
            sound(&read(&text));
            Ok(())
        })
        .expect("every heap of fragments");
}

#[test]
fn hostile_texts_are_read_soundly() {
    let long = "CASE HARDEN .030-.040 ECD RC 58-62 77 ".repeat(27_000);
    let full = "CASE HARDEN .030-.040 ECD RC 58-62 77 ".repeat(400);
    assert!(long.len() > 1_000_000);
    let texts = [
        "",
        " ",
        "\0\0\0",
        "\u{200f}\u{202e}",
        "🔥🔥",
        "((((((",
        "----",
        "....",
        "HRC",
        ".",
        "1",
        "HV",
        "C",
        "CASE",
        &"(".repeat(50_000),
        &"9".repeat(100_000),
        &"1/".repeat(50_000),
        &"MIN ".repeat(20_000),
        &"THREADS, ".repeat(20_000),
        &"CASE ".repeat(20_000),
        &"ECD CORE ".repeat(20_000),
        &"1/".repeat(8_000),
        &"THREADS, ".repeat(1_800),
        &"CASE ".repeat(3_000),
        &full,
        &long,
    ];
    for text in texts {
        sound(&read(text));
    }
}

/// What a rendered note should give back.
#[derive(Clone, Debug)]
struct Canon {
    text: String,
    depth_mm: (f64, Option<f64>),
    total: bool,
    limit: (Scale, f64),
    stage: Stage,
    stock_mm: Option<f64>,
    surface: (Scale, f64, Option<f64>),
    core: Option<(f64, f64)>,
}

/// Picks by a number from a list.
fn pick<'a>(seed: &mut u64, list: &[&'a str]) -> &'a str {
    list[draw(seed, list.len() as u64) as usize]
}

/// A small generator of our own, so that each style can depend on the draws before it.
fn draw(seed: &mut u64, below: u64) -> u64 {
    // Constants of Knuth's MMIX generator.
    *seed = seed
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 33) % below
}

/// A depth in inch with its text.
fn inch_depth(seed: &mut u64) -> (String, f64, Option<f64>) {
    let low = 10 + draw(seed, 50);
    let high = low + 5 + draw(seed, 20);
    let dot = |thou: u64| format!(".{thou:03}");
    let zero = |thou: u64| format!("0.{thou:03}");
    let text = match draw(seed, 11) {
        0 => format!("{}-{}", dot(low), dot(high)),
        1 => format!("{} - {}", zero(low), zero(high)),
        2 => format!("{}/{}", dot(low), dot(high)),
        3 => format!("{} TO {} IN", dot(low), dot(high)),
        4 => format!("{}\"-{}\"", zero(low), zero(high)),
        5 => format!("{low}-{high} THOU"),
        6 => format!("{}–{} in.", dot(low), dot(high)),
        7 => format!("{} MIN {} MAX", dot(low), dot(high)),
        8 => format!("{low}/1000 TO {high}/1000"),
        9 => format!("{} +{}/-0", dot(low), dot(high - low)),
        _ => return (format!("{} MIN", dot(low)), low as f64 * 0.0254, None),
    };
    (text, low as f64 * 0.0254, Some(high as f64 * 0.0254))
}

/// A depth in millimetres with its text.
fn mm_depth(seed: &mut u64) -> (String, f64, Option<f64>) {
    let low = (3 + draw(seed, 15)) as f64 / 10.0;
    let plus = (2 + draw(seed, 6)) as f64 / 10.0;
    let high = low + plus;
    let comma = |v: f64| format!("{v:.1}").replace('.', ",");
    let text = match draw(seed, 10) {
        0 => format!("{low:.1} +{plus:.1}/0 mm"),
        1 => format!("{}+{}", comma(low), comma(plus)),
        2 => format!("{low:.1}-{high:.1} mm"),
        3 => format!("{} … {} mm", comma(low), comma(high)),
        4 => format!("{} +{}/0", comma(low), comma(plus)),
        5 => format!("{low:.1} mm to {high:.1} mm"),
        6 => format!("{low:.1} +{plus:.1} -0 mm"),
        7 => format!("= {} bis {} mm", comma(low), comma(high)),
        8 => format!("{low:.1}/{high:.1} mm"),
        _ => return (format!("≥ {low:.1} mm"), low, None),
    };
    (text, low, Some(high))
}

/// A hardness in one of the ways it is written.
fn hardness(seed: &mut u64, low: u64, width: u64) -> (String, Option<f64>) {
    let high = low + width;
    let text = match draw(seed, 13) {
        0 => format!("HRC {low}-{high}"),
        1 => format!("{low}-{high} HRC"),
        2 => format!("RC {low}/{high}"),
        3 => format!("Rc{low}-{high}"),
        4 => format!("{low}+{width} HRC"),
        5 => format!("{low} +{width}/0 HRC"),
        6 => format!("R/C {low} TO {high}"),
        7 => format!("ROCKWELL C {low} TO {high}"),
        8 => format!("{low}/{high} HRC"),
        9 => format!("HRC {low} - HRC {high}"),
        10 => format!("({low}+{width}) HRC"),
        11 => format!("{low} HRC MIN {high} HRC MAX"),
        _ => return (format!("{low} HRC MIN"), None),
    };
    (text, Some(high as f64))
}

fn canon(mut seed: u64) -> Canon {
    let s = &mut seed;
    let inch = draw(s, 2) == 0;
    let total = draw(s, 4) == 0;
    let (depth, low_mm, high_mm) = if inch { inch_depth(s) } else { mm_depth(s) };
    let (kind, limit) = match (inch, total) {
        (_, true) => (
            pick(s, &["TOTAL CASE DEPTH", "TOTAL CASE", "TCD"]).to_owned(),
            (Scale::Hrc, 0.0),
        ),
        (true, false) => match draw(s, 3) {
            0 => ("ECD AT 50 HRC".to_owned(), (Scale::Hrc, 50.0)),
            1 => (
                "EFFECTIVE CASE DEPTH (HRC 50)".to_owned(),
                (Scale::Hrc, 50.0),
            ),
            _ => (
                pick(
                    s,
                    &["ECD", "E.C.D.", "EFF. CASE DEPTH", "Effective case depth"],
                )
                .to_owned(),
                (Scale::Hrc, 50.0),
            ),
        },
        (false, false) => match draw(s, 3) {
            0 => ("CHD 610 HV1".to_owned(), (Scale::Hv, 610.0)),
            1 => ("Eht 550 HV1".to_owned(), (Scale::Hv, 550.0)),
            _ => (
                pick(s, &["CHD", "Eht", "EHT"]).to_owned(),
                (Scale::Hv, 550.0),
            ),
        },
    };
    // A total depth in mm must carry its unit, for no ISO word speaks for it.
    let depth = if !inch && total && !depth.contains("mm") && !depth.contains(',') {
        format!("{depth} mm")
    } else {
        depth
    };
    let least = 56 + draw(s, 4);
    let (surface, surface_high) = hardness(s, least, 4);
    let core = (draw(s, 3) == 0).then(|| (28 + draw(s, 5), 4 + draw(s, 6)));
    let (stage_words, stage) = match draw(s, 3) {
        0 => (
            pick(
                s,
                &[
                    "AFTER GRIND",
                    "after grinding",
                    "after finish grinding",
                    "nach dem Schleifen",
                ],
            ),
            Stage::AfterGrind,
        ),
        1 => (
            pick(
                s,
                &["BEFORE GRIND", "prior to grinding", "vor dem Schleifen"],
            ),
            Stage::BeforeGrind,
        ),
        _ => ("", Stage::Unstated),
    };
    // German words in an inch note would be contradictory habits.
    let stage_words = if inch && stage_words.contains("dem") {
        if stage == Stage::AfterGrind {
            "AFTER GRIND"
        } else {
            "BEFORE GRIND"
        }
    } else {
        stage_words
    };
    let stock = (stage != Stage::Unstated && draw(s, 2) == 0).then(|| {
        if inch {
            let thou = 2 + draw(s, 12);
            let text = if draw(s, 2) == 0 {
                format!("GRIND STOCK .{thou:03}/SIDE")
            } else {
                format!(".{:03} STOCK ON DIA", 2 * thou)
            };
            (text, thou as f64 * 0.0254)
        } else {
            let hundredths = 5 + draw(s, 30);
            let mm = hundredths as f64 / 100.0;
            let text = if draw(s, 2) == 0 {
                format!(
                    "Schleifaufmaß {} je Seite",
                    format!("{mm:.2}").replace('.', ",")
                )
            } else {
                format!("grinding stock {mm:.2} mm per side")
            };
            (text, mm)
        }
    });
    let mut parts = vec![
        format!("{kind} {depth} {stage_words}"),
        format!(
            "{} {surface}",
            pick(s, &["SURFACE", "SURF", "", "Surface hardness:"])
        ),
    ];
    let mut core_range = None;
    if let Some((low, width)) = core {
        let (text, high) = hardness(s, low, width);
        // A least core alone has no upper end; keep to ranges here.
        if let Some(high) = high {
            parts.push(format!("CORE {text}"));
            core_range = Some((low as f64, high));
        }
    }
    if let Some((text, _)) = &stock {
        parts.push(text.clone());
    }
    for k in (1..parts.len()).rev() {
        let with = draw(s, k as u64 + 1) as usize;
        parts.swap(k, with);
    }
    let joint = pick(s, &[", ", "; ", "\n", ". "]);
    let head = pick(
        s,
        &[
            "CARBURIZE ",
            "CASE HARDEN: ",
            "Case-hardened and tempered, ",
            "1. MATL 8620\n2. CARBURIZE AT 1700F\n3. ",
        ],
    );
    let text = format!("{head}{}", parts.join(joint));
    let surface_low = first_number(&surface);
    Canon {
        text,
        depth_mm: (low_mm, high_mm),
        total,
        limit,
        stage,
        stock_mm: stock.map(|(_, mm)| mm),
        surface: (Scale::Hrc, surface_low, surface_high),
        core: core_range,
    }
}

/// The first whole number of a rendered hardness.
fn first_number(text: &str) -> f64 {
    let digits: String = text
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    digits.parse().expect("rendered with a number")
}

#[test]
fn canonical_notes_give_their_values_back() {
    // A nanometre, far under anything written, far over the rounding of the conversion.
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let mut failures = Vec::new();
    const CASES: u64 = 6000;
    for n in 0..CASES {
        let canon = canon(n * 7919 + 13);
        let reading = read(&canon.text);
        sound(&reading);
        let depth = reading.case_depth.unwrap_or_default();
        let surface = reading.surface_hardness;
        let ok = reading.blocks.is_empty()
            && depth.min.is_some_and(|d| near(d.to_mm(), canon.depth_mm.0))
            && depth.max.map(|d| d.to_mm()).zip(canon.depth_mm.1).map_or(
                depth.max.is_none() == canon.depth_mm.1.is_none(),
                |(a, b)| near(a, b),
            )
            && reading.depth_kind
                == if canon.total {
                    DepthKind::Total
                } else {
                    DepthKind::Effective
                }
            && (canon.total
                || reading
                    .limit_hardness
                    .is_some_and(|h| (h.scale, h.value) == canon.limit))
            && reading.stage == canon.stage
            && reading
                .stock_per_side
                .map(|l| l.to_mm())
                .zip(canon.stock_mm)
                .map_or(
                    reading.stock_per_side.is_none() == canon.stock_mm.is_none(),
                    |(a, b)| near(a, b),
                )
            && surface.is_some_and(|h| {
                (h.scale, h.min, h.max) == (canon.surface.0, Some(canon.surface.1), canon.surface.2)
            })
            && reading.core_hardness.map(|h| (h.min, h.max))
                == canon.core.map(|(a, b)| (Some(a), Some(b)));
        if !ok {
            failures.push(format!("{canon:?}\n   blocks {:?}\n   depth {:?} {:?} limit {:?} stage {:?} stock {:?}\n   surface {:?} core {:?}", reading.blocks, reading.case_depth, reading.depth_kind, reading.limit_hardness, reading.stage, reading.stock_per_side, reading.surface_hardness, reading.core_hardness));
        }
    }
    assert!(
        failures.is_empty(),
        "{} of {CASES} notes differ:\n{}",
        failures.len(),
        failures[..failures.len().min(8)].join("\n")
    );
}
