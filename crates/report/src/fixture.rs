//! A job made up for looking at the pages. Test data: every number here was written down or comes
//! from a simple formula, none was computed by the engine.

use casewright_job::note::reading::{
    DepthKind, HardnessRange, LengthRange, NoteReading, Phrase, Stage,
};
use casewright_job::shop::{Agitation, Medium, Shop, Staffed};
use casewright_job::spec::{
    Feature, FeatureKind, Part, PartShape, RouteWish, Spec, Steel, Stock, Wishes,
};
use casewright_plan::outcome::{
    Alternative, Caution, Coupon, DepthChain, DepthLimit, Moment, Nearest, PackLayout, Placed,
    Plan, PlanReport, Prediction, QuenchCheck, ScaleAdvice, Step, StepKind, Verdict,
};
use casewright_plan::outlook::Outlook;
use casewright_terms::{
    Band, Diag, Hardness, Length, Mass, Scale, Span, Temperature, TemperatureStep, UnitSystem,
    Vickers, Volume,
};

#[path = "fixture_curves.rs"]
mod fixture_curves;
#[path = "fixture_outlook.rs"]
mod fixture_outlook;

use fixture_curves::{edge, grow, profile};

fn mm(v: f64) -> Length {
    Length::from_mm(v)
}

fn band(low: f64, mid: f64, high: f64) -> Band<f64> {
    Band { low, mid, high }
}

fn mm_band(low: f64, mid: f64, high: f64) -> Band<Length> {
    band(low, mid, high).map(Length::from_mm)
}

fn hv_band(low: f64, mid: f64, high: f64) -> Band<Vickers> {
    band(low, mid, high).map(Vickers::from_hv)
}

/// The winch pawls, planned; `parts` of them.
pub(crate) fn pawls(parts: u32) -> (Spec, PlanReport) {
    let spec = spec(parts);
    let report = PlanReport {
        verdict: Verdict::Marginal,
        findings: vec![
            Diag::warn(
                "scatter-wide",
                "The note allows 0.40 mm from least to greatest depth; a pack of this size usually scatters by 0.25 mm.",
            )
            .why("The band of the prediction reaches 0.02 mm below the least depth.")
            .accepted("Look at coupon A before the quench; repack and go on if it is shallow."),
            Diag::note(
                "core-soft",
                "The core of plain steel stays near 27 HRC at this section even in water.",
            ),
        ],
        plan: Some(plan(parts)),
        prediction: Some(prediction()),
        alternatives: vec![
            Alternative {
                what: "direct quench from 840 °C".to_owned(),
                case_depth_after_grind: Some(mm(0.97)),
                surface: Some(Vickers::from_hv(705.0)),
                furnace_time: Some(Span::from_h(9.0)),
                chance: None,
                sensitivity: Vec::new(),
                way: None,
                why_not: "coarse grain, retained austenite up to 28 %".to_owned(),
            },
            Alternative {
                what: "900 °C for 9 h 30 min".to_owned(),
                case_depth_after_grind: Some(mm(0.95)),
                surface: Some(Vickers::from_hv(735.0)),
                furnace_time: Some(Span::from_h(14.0)),
                chance: None,
                sensitivity: Vec::new(),
                way: None,
                why_not: "the soak would end at 23:10, when nobody is there".to_owned(),
            },
        ],
        nearest: None,
        inside: None,
        traverse: None,
        doubts: vec![
            ("compound activity".to_owned(), 0.41),
            ("furnace uniformity (survey)".to_owned(), 0.27),
            ("hardness of low-carbon martensite".to_owned(), 0.18),
            ("time until the pack is hot".to_owned(), 0.14),
        ],
        outlook: fixture_outlook::outlook(),
        sources: vec!["agren-1986", "iso-18203", "maynier-1978", "trade-practice"],
    };
    (spec, report)
}

/// Thin plates whose cases would meet: a refusal.
pub(crate) fn refused() -> (Spec, PlanReport) {
    let (mut spec, mut report) = pawls(6);
    spec.name = "Latch plates".to_owned();
    spec.part.what = "latch plate".to_owned();
    spec.part.shape = PartShape::Plate {
        thickness: mm(3.0),
        width: mm(28.0),
        length: mm(90.0),
    };
    spec.part.features.clear();
    spec.stock.clear();
    spec.note.text = "CASE HARDEN 1.0 MM, 60 HRC MIN".to_owned();
    spec.note.phrases.truncate(1);
    spec.note.phrases[0].phrase = "CASE HARDEN 1.0 MM".to_owned();
    spec.note.phrases[0].understood = "depth at least 1.00 mm".to_owned();
    spec.note.phrases[0].assumed = Some("to 550 HV, because no limit is named".to_owned());
    spec.note.assumptions.clear();
    report.verdict = Verdict::CannotBeMet;
    report.findings = vec![
        Diag::stop(
            "cases-meet",
            "A case of 1.0 mm from both faces of a 3.0 mm plate leaves 1.0 mm of core, of which carbon takes the rest.",
        )
        .why("The part would be hard through, and brittle as a file.")
        .accepted("A case of 0.3 to 0.5 mm, or a plate of at least 6 mm."),
        Diag::warn("limit-unstated", "The note does not say to which hardness the depth is measured.")
            .accepted("550 HV was taken."),
    ];
    report.plan = None;
    report.prediction = None;
    report.alternatives.clear();
    report.doubts.clear();
    report.outlook = Outlook::default();
    report.nearest = Some(Nearest {
        what: "0.40 +0.20/0 mm to 550 HV on the same plate, 900 °C for 2 h, water quench, draw at 180 °C.".to_owned(),
        to_customer: "Your drawing asks for a case of 1.0 mm on a plate of 3.0 mm. Cases from both faces would meet and the plate would break like a file. We can make 0.40 to 0.60 mm to 550 HV and keep a tough core. Please confirm, or send a thicker blank.".to_owned(),
    });
    (spec, report)
}

/// Words that try to be markup, script, terminal codes and a page of text at once.
pub(crate) const HOSTILE: &str = "#panic() $x$ *bold* `raw` <script>alert(1)</script> & \"q\" 'q' \\ ]] } @ref \u{1b}[31m \u{202E}turned \u{0} // no";

/// The pawls with hostile words wherever a person's words go.
pub(crate) fn hostile() -> (Spec, PlanReport) {
    let (mut spec, mut report) = pawls(4);
    let long = "unbroken".repeat(40);
    spec.name = HOSTILE.to_owned();
    spec.number = Some(format!("{HOSTILE} {long}"));
    spec.part.what = HOSTILE.to_owned();
    spec.note.text = format!("{HOSTILE}\n{long}");
    spec.shop.name = HOSTILE.to_owned();
    for p in &mut spec.note.phrases {
        p.phrase = HOSTILE.to_owned();
        p.understood = long.clone();
    }
    if let Some(plan) = &mut report.plan {
        for s in &mut plan.steps {
            s.text = HOSTILE.to_owned();
            s.equipment = Some(HOSTILE.to_owned());
            if let Some(first) = s.record.first_mut() {
                first.0 = HOSTILE.to_owned();
            }
        }
        for c in &mut plan.coupons {
            c.mark = HOSTILE.to_owned();
        }
        for p in plan.pack.parts.iter_mut().chain(&mut plan.pack.coupons) {
            p.mark = HOSTILE.to_owned();
        }
        plan.pack.box_id = HOSTILE.to_owned();
    }
    (spec, report)
}

/// The pawls by two reheats with long texts: the longest sheet the trade asks for.
#[cfg(feature = "pdf")]
pub(crate) fn double() -> (Spec, PlanReport) {
    let (spec, mut report) = long_texts();
    if let Some(plan) = &mut report.plan {
        plan.route = RouteWish::Double;
        let again: Vec<Step> = plan.steps[3..5].to_vec();
        for (i, mut step) in again.into_iter().enumerate() {
            if let Some(t) = &mut step.temperature {
                *t = Temperature::from_c(880.0);
            }
            plan.steps.insert(3 + i, step);
        }
    }
    (spec, report)
}

/// The pawls with every sentence 40 % longer, as another language would have it.
pub(crate) fn long_texts() -> (Spec, PlanReport) {
    let (mut spec, mut report) = pawls(4);
    let stretch = |s: &mut String| {
        let words: Vec<String> = s.split_whitespace().map(str::to_owned).collect();
        let more = (words.len() * 2).div_ceil(5);
        for word in words.iter().take(more) {
            s.push(' ');
            s.push_str(word);
        }
    };
    spec.note
        .phrases
        .iter_mut()
        .for_each(|p| stretch(&mut p.understood));
    spec.note.assumptions.iter_mut().for_each(stretch);
    spec.defaults.iter_mut().for_each(stretch);
    report.findings.iter_mut().for_each(|d| {
        stretch(&mut d.seen);
        stretch(&mut d.accepted);
    });
    if let Some(plan) = &mut report.plan {
        for s in &mut plan.steps {
            stretch(&mut s.text);
            s.acceptance.iter_mut().for_each(stretch);
            s.stop_if.iter_mut().for_each(stretch);
            s.cautions.iter_mut().for_each(|c| stretch(&mut c.text));
        }
        plan.cautions.iter_mut().for_each(|c| stretch(&mut c.text));
        plan.coupons.iter_mut().for_each(|c| stretch(&mut c.proves));
        plan.test_scales
            .iter_mut()
            .for_each(|s| stretch(&mut s.why));
    }
    (spec, report)
}

fn spec(parts: u32) -> Spec {
    let phrase = |phrase: &str, understood: &str, assumed: Option<&str>| Phrase {
        phrase: phrase.to_owned(),
        span: 0..phrase.len(),
        understood: understood.to_owned(),
        assumed: assumed.map(str::to_owned),
    };
    Spec {
        name: "Winch pawls".to_owned(),
        number: Some("GS-114 rev B".to_owned()),
        quantity: parts,
        part: Part {
            what: "ratchet pawl".to_owned(),
            shape: PartShape::Plate {
                thickness: mm(14.0),
                width: mm(22.0),
                length: mm(60.0),
            },
            edge_radius: None,
            features: vec![Feature {
                kind: FeatureKind::Bore,
                name: "pivot hole".to_owned(),
                diameter: Some(mm(10.0)),
                web: Some(mm(6.0)),
                width: None,
                depth: None,
                radius: None,
                length: None,
                stays_soft: false,
                place: None,
            }],
        },
        steel: Steel::Grade {
            name: "C15E".to_owned(),
            place: None,
        },
        heat: None,
        note: NoteReading {
            text: "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind".to_owned(),
            phrases: vec![
                phrase(
                    "case harden",
                    "case-hardened on all faces",
                    Some("no face is left out, because none is named"),
                ),
                phrase(
                    "0.8 +0.4/0 CHD",
                    "depth 0.80 to 1.20 mm to a limit hardness",
                    None,
                ),
                phrase("550 HV", "limit hardness 550 HV", None),
                phrase(
                    "58-62 HRC after grind",
                    "surface 58 to 62 HRC on the finished face",
                    Some("the depth holds after grinding as well"),
                ),
            ],
            units: Some(UnitSystem::Metric),
            case_depth: Some(LengthRange {
                min: Some(mm(0.8)),
                max: Some(mm(1.2)),
            }),
            depth_kind: DepthKind::Effective,
            limit_hardness: Some(Hardness::new(Scale::Hv, 550.0)),
            stage: Stage::AfterGrind,
            stock_per_side: None,
            surface_hardness: Some(HardnessRange {
                scale: Scale::Hrc,
                force_kgf: None,
                min: Some(58.0),
                max: Some(62.0),
            }),
            core_hardness: None,
            file_hard: false,
            selective: Vec::new(),
            standards: vec!["ISO 18203".to_owned()],
            blocks: Vec::new(),
            assumptions: vec![
                "The depth holds after grinding, like the hardness beside it.".to_owned(),
            ],
            question: None,
        },
        answers: Vec::new(),
        stock: vec![Stock {
            face: "two flat faces".to_owned(),
            per_side: mm(0.12),
            bow: mm(0.03),
        }],
        shop: Shop {
            prices: None,
            learnt: Vec::new(),
            name: "Gannet Slip".to_owned(),
            furnaces: Vec::new(),
            boxes: Vec::new(),
            compounds: Vec::new(),
            tanks: Vec::new(),
            ovens: Vec::new(),
            scales: vec![Scale::Hrc, Scale::Hra, Scale::Hr15n, Scale::Hr30n],
            micro_hardness: false,
            file_set: true,
            hot_opening: None,
            cold: None,
            staffed: Staffed {
                by_weekday: [
                    Some((8 * 60, 18 * 60)),
                    Some((8 * 60, 21 * 60)),
                    Some((8 * 60, 18 * 60)),
                    Some((8 * 60, 18 * 60)),
                    Some((8 * 60, 16 * 60)),
                    None,
                    None,
                ],
            },
        },
        start: Some(jiff::civil::date(2026, 11, 24).at(8, 0, 0, 0)),
        unattended: false,
        units: UnitSystem::Metric,
        wishes: Wishes::default(),
        defaults: vec!["Water taken at 20 °C, as the shop file has it.".to_owned()],
        remarks: Vec::new(),
    }
}

fn moment(hours: f64) -> Moment {
    let start = jiff::civil::date(2026, 11, 24).at(8, 0, 0, 0);
    Moment {
        after: Span::from_h(hours),
        clock: start
            .checked_add(jiff::SignedDuration::from_secs(
                (hours * 3600.0).round() as i64
            ))
            .ok(),
    }
}

fn words(all: &[&str]) -> Vec<String> {
    all.iter().map(|s| (*s).to_owned()).collect()
}

fn step(kind: StepKind, from: f64, to: f64, text: &str) -> Step {
    Step {
        kind,
        text: text.to_owned(),
        temperature: None,
        tolerance: None,
        soak: None,
        begins: moment(from),
        ends: moment(to),
        equipment: None,
        acceptance: Vec::new(),
        stop_if: Vec::new(),
        hold_point: false,
        cautions: Vec::new(),
        record: Vec::new(),
    }
}

fn caution(code: &'static str, hazard: &str, text: &str) -> Caution {
    Caution {
        code,
        hazard: hazard.to_owned(),
        text: text.to_owned(),
    }
}

fn record(rows: &[(&str, &str)]) -> Vec<(String, String)> {
    rows.iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect()
}

fn steps() -> Vec<Step> {
    let heat = |s: &mut Step, c: f64, k: f64, h: f64, what: &str| {
        s.temperature = Some(Temperature::from_c(c));
        s.tolerance = Some(TemperatureStep::from_k(k));
        s.soak = Some(Span::from_h(h));
        s.equipment = Some(what.to_owned());
    };
    let mut pack = step(
        StepKind::Pack,
        0.0,
        0.75,
        "Clean and dry the parts. Pack them and the coupons as drawn, tap the box, lute the lid and leave one path for gas.",
    );
    pack.equipment = Some("box B2".to_owned());
    pack.acceptance = words(&["Distances as drawn, clay dry to the touch."]);
    pack.stop_if = words(&["plated, painted or oily parts", "damp compound"]);
    pack.hold_point = true;
    pack.record = record(&[("Box, full", "kg"), ("Compound lot", "")]);
    pack.cautions = vec![caution(
        "dust",
        "Dust",
        "Charcoal dust burns and is bad for the lungs: mask, damp cloth, no dry sweeping.",
    )];
    let mut carburize = step(
        StepKind::Carburize,
        0.75,
        9.0,
        "Load the box with the power off. Count the soak from when the pack couple reads 915 °C, not from when the furnace does.",
    );
    heat(&mut carburize, 925.0, 14.0, 6.5, "furnace F1");
    carburize.acceptance = words(&["Pack hot between 09:50 and 11:00."]);
    carburize.stop_if = words(&[
        "CO alarm: leave, open the doors",
        "a strong lasting flame at the seam",
    ]);
    carburize.record = record(&[
        ("Pack hot at", "clock"),
        ("Soak ends at", "clock"),
        ("Highest", "°C"),
    ]);
    carburize.cautions = vec![caution(
        "carbon-monoxide",
        "Carbon monoxide",
        "The box gives off CO. Extraction on, alarm fitted and in date; leave at the alarm. 50 ppm is the 8-hour limit, 200 ppm the ceiling.",
    )];
    let mut cool = step(
        StepKind::Cool,
        9.0,
        24.0,
        "Power off, door shut until 700 °C, then let the box stand in the furnace or outdoors on bricks. Open it cold.",
    );
    cool.acceptance =
        words(&["Box below 60 °C. Coupon A quenched from 790 °C and broken: ring 0.9 mm or more."]);
    cool.stop_if = words(&["the ring is shallow: repack and go on"]);
    cool.hold_point = true;
    cool.record = record(&[("Opened at", "°C"), ("Ring", "mm")]);
    cool.cautions = vec![caution(
        "open-hot",
        "Fire when opened",
        "Hot charcoal flares up in air. Open below 60 °C, outdoors or under the hood; embers go into a closed metal bin.",
    )];
    let mut reheat = step(
        StepKind::Reheat,
        24.5,
        25.5,
        "Wrap the parts in used compound and foil. Heat through, then soak.",
    );
    heat(&mut reheat, 790.0, 8.0, 0.4, "furnace F1");
    reheat.record = record(&[("Parts even at", "clock"), ("Drawn at", "clock")]);
    let mut quench = step(
        StepKind::Quench,
        25.5,
        25.6,
        "One at a time, end first, in 4 s or less from door to full cover. Move up and down until cold.",
    );
    quench.equipment = Some("water tank W1".to_owned());
    quench.acceptance = words(&["Bath 18 to 25 °C before, a new file slides on coupon B."]);
    quench.stop_if = words(&["bath above 35 °C"]);
    quench.hold_point = true;
    quench.record = record(&[
        ("Bath before", "°C"),
        ("Bath after", "°C"),
        ("Slowest transfer", "s"),
    ]);
    quench.cautions = vec![caution(
        "steam",
        "Steam and splash",
        "Dry tongs, face shield, leather, no synthetics. Nobody touches a screen during the pull; the second person counts.",
    )];
    let mut temper = step(
        StepKind::Temper,
        25.7,
        27.7,
        "Within the hour, before the parts are cold to the hand.",
    );
    heat(&mut temper, 175.0, 8.0, 1.75, "tempering oven T1");
    temper.record = record(&[
        ("In at", "clock"),
        ("Out at", "clock"),
        ("Check couple", "°C"),
    ]);
    let mut test = step(
        StepKind::Test,
        27.8,
        28.5,
        "Block first, then five readings on each part and the coupon; section coupon B for the depth.",
    );
    test.acceptance = words(&["59.0 to 62.5 HRC before grinding."]);
    test.stop_if = words(&["readings spread by more than 3 HRC: map the soft spots"]);
    test.hold_point = true;
    let mut grind = step(
        StepKind::Grind,
        28.5,
        30.0,
        "0.12 mm per side, sharp open wheel, flood, 0.01 mm a pass at the end.",
    );
    grind.acceptance = words(&["58 to 62 HRC, no burn after the etch."]);
    grind.record = record(&[("Taken off, face 1", "mm"), ("Taken off, face 2", "mm")]);
    grind.cautions = vec![caution(
        "nital",
        "Acid etch",
        "Nital up to 5 %, small batch, under the hood, never stoppered.",
    )];
    vec![pack, carburize, cool, reheat, quench, temper, test, grind]
}

fn plan(parts: u32) -> Plan {
    Plan {
        route: RouteWish::Single,
        temperature: Temperature::from_c(925.0),
        soak: Span::from_h(6.5),
        pack_hot_after: band(1.1, 1.6, 2.25).map(Span::from_h),
        steps: steps(),
        depth: DepthChain {
            finish_min: mm(0.8),
            finish_max: Some(mm(1.2)),
            stock: (mm(0.09), mm(0.15)),
            scatter: mm(0.10),
            make_min: mm(1.05),
            make_max: Some(mm(1.19)),
            aim: mm(1.12),
            limit: DepthLimit::Hardness(Hardness::new(Scale::Hv, 550.0)),
        },
        pack: pack(parts),
        pack_heat: None,
        pack_ways: Vec::new(),
        loads: Vec::new(),
        coupons: vec![
            Coupon {
                mark: "A".to_owned(),
                control: false,
                size: "dia 12 × 30 mm, C15E".to_owned(),
                place: "middle of the box".to_owned(),
                proves: "depth before the reheat: broken, ring measured".to_owned(),
            },
            Coupon {
                mark: "B".to_owned(),
                control: false,
                size: "dia 12 × 30 mm, C15E".to_owned(),
                place: "beside the wall, door end".to_owned(),
                proves: "depth and hardness after the whole cycle".to_owned(),
            },
            Coupon {
                mark: "K".to_owned(),
                control: true,
                size: "14 × 22 × 30 mm, C15E".to_owned(),
                place: "not in the box; reheated and quenched with the parts".to_owned(),
                proves: "what the steel does without carbon".to_owned(),
            },
        ],
        test_scales: scales(),
        quench: QuenchCheck {
            tank: "W1".to_owned(),
            medium: Medium::Water,
            agitation: Agitation::Good,
            mass: Mass::from_kg(0.145),
            rise: TemperatureStep::from_k(0.5),
            bath_after: Temperature::from_c(20.5),
            flash_margin: None,
        },
        furnace_curve: furnace_curve(),
        part_curve: part_curve(),
        cautions: vec![
            caution(
                "electric",
                "Electric shock",
                "Power off to load and unload. No wet floor in front of the furnace.",
            ),
            caution(
                "burn",
                "Burns",
                "Face shield, leather gloves and apron, natural fibres, clear path, second person.",
            ),
            caution(
                "lift",
                "Lifting",
                "The full box weighs 11 kg and glows. Tongs rated for it, path walked once cold.",
            ),
            caution(
                "bursting",
                "Bursting box",
                "Never weld, bolt or seal the lid gas-tight. Nothing wet goes in.",
            ),
        ],
        furnace_time: Span::from_h(8.25),
    }
}

fn scales() -> Vec<ScaleAdvice> {
    let row = |scale, valid, reading: Band<f64>, core, least: f64, why: &str| ScaleAdvice {
        scale,
        at_hand: scale != Scale::Hv,
        valid,
        reading: Some(reading),
        core_reading: core,
        least_case: Some(mm(least)),
        round_correction: None,
        why: why.to_owned(),
    };
    vec![
        row(
            Scale::Hr15n,
            true,
            band(89.2, 90.3, 91.1),
            Some(band(70.1, 73.0, 75.8)),
            0.2,
            "reads the case alone",
        ),
        row(
            Scale::Hr30n,
            true,
            band(75.6, 77.6, 79.2),
            Some(band(43.0, 47.1, 51.0)),
            0.38,
            "reads the case alone",
        ),
        row(
            Scale::Hra,
            true,
            band(80.1, 81.4, 82.3),
            Some(band(61.5, 63.8, 66.0)),
            0.64,
            "reads the case alone",
        ),
        row(
            Scale::Hrc,
            true,
            band(58.2, 60.2, 61.8),
            Some(band(22.0, 26.8, 31.0)),
            0.76,
            "between 0.76 and 1.2 mm the core gives a little: 1 HRC low is possible",
        ),
        row(
            Scale::Hv,
            true,
            band(680.0, 730.0, 775.0),
            Some(band(250.0, 276.0, 310.0)),
            0.1,
            "for the traverse, in a laboratory",
        ),
        row(
            Scale::Hrb,
            false,
            band(120.0, 120.0, 120.0),
            None,
            2.0,
            "the ball flattens on a hard case",
        ),
    ]
}

fn pack(parts: u32) -> PackLayout {
    let per_box = parts.min(8);
    let placed = |mark: String, x: f64, y: f64, z: f64, size: [f64; 3], round| Placed {
        mark,
        at: [mm(x), mm(y), mm(z)],
        size: size.map(Length::from_mm),
        round,
    };
    let mut all = Vec::new();
    for i in 0..per_box {
        let x = 32.0 + f64::from(i % 2) * 76.0;
        let y = 36.0 + f64::from(i / 2) * 40.0;
        let size = [60.0, 22.0, 14.0];
        all.push(placed((i + 1).to_string(), x, y, 30.0, size, false));
    }
    PackLayout {
        box_id: "B2".to_owned(),
        boxes: parts.div_ceil(8),
        inside: [mm(200.0), mm(150.0), mm(300.0)],
        wall: mm(6.0),
        parts: all,
        coupons: vec![
            placed("A".to_owned(), 94.0, 240.0, 31.0, [12.0, 30.0, 12.0], true),
            placed("B".to_owned(), 150.0, 245.0, 31.0, [12.0, 30.0, 12.0], true),
        ],
        couple: Some([mm(100.0), mm(150.0), mm(75.0)]),
        cover: casewright_plan::pack::cover(UnitSystem::Metric, mm(150.0)),
        compound: Volume::from_l(8.4),
        compound_mass: Mass::from_kg(4.2),
        fresh_mass: Mass::from_kg(0.9),
        compound_id: "HC-07, hardwood charcoal, barium-free".to_owned(),
        scoops: Vec::new(),
        top_up: Volume::from_l(1.3),
        shell_mass: Mass::from_kg(6.0),
        steel_mass: Mass::from_kg(1.1),
        lift: Mass::from_kg(11.3),
    }
}

fn furnace_curve() -> Vec<(f64, f64)> {
    vec![
        (0.0, 25.0),
        (1.1, 925.0),
        (8.25, 925.0),
        (12.0, 600.0),
        (18.0, 180.0),
        (23.2, 60.0),
        (23.75, 60.0),
        (24.2, 790.0),
        (24.75, 790.0),
        (24.8, 175.0),
        (26.95, 175.0),
    ]
}

fn part_curve() -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> = (0..=40)
        .map(|i| {
            let h = f64::from(i) * 0.0625;
            (h, 25.0 + 900.0 * (1.0 - grow(-(h / 0.75).powi(2))))
        })
        .collect();
    all.extend([
        (8.3, 925.0),
        (12.4, 600.0),
        (18.5, 180.0),
        (23.2, 55.0),
        (23.8, 40.0),
        (24.45, 790.0),
        (24.75, 790.0),
        (24.76, 22.0),
        (24.95, 22.0),
        (25.4, 175.0),
        (26.95, 175.0),
    ]);
    all
}

fn prediction() -> Prediction {
    let profile = profile();
    Prediction {
        case_depth: Some(mm_band(0.96, 1.11, 1.27)),
        case_depth_after_grind: Some(mm_band(0.84, 0.99, 1.15)),
        depth_550hv: Some(mm_band(0.96, 1.11, 1.27)),
        depth_50hrc: Some(mm_band(1.02, 1.17, 1.34)),
        total_depth: Some(mm_band(1.85, 2.05, 2.25)),
        surface: hv_band(680.0, 730.0, 775.0),
        surface_hrc: Some(band(58.2, 60.2, 61.8)),
        core: hv_band(250.0, 276.0, 310.0),
        core_hrc: Some(band(22.0, 26.8, 31.0)),
        surface_carbon_wt_pct: band(0.82, 0.91, 1.01),
        retained_austenite_pct: band(6.0, 10.0, 16.0),
        skin_stress: fixture_outlook::skin_stress(),
        loads: Vec::new(),
        growth_per_side: (mm(0.004), mm(0.012)),
        limit_hardness: Vickers::from_hv(550.0),
        profile,
        edges: vec![edge()],
    }
}

/// Bell-shaped carbon and a smooth fall of hardness: shapes for a picture, not results.
/// Two references with text and two keys without, so that both are seen.
pub(crate) fn references() -> std::collections::BTreeMap<String, String> {
    [
        (
            "agren-1986",
            "Ågren J., Scripta Metallurgica 20 (1986) 1507",
        ),
        (
            "iso-18203",
            "ISO 18203:2016, Steel: determination of the thickness of surface-hardened layers",
        ),
    ]
    .into_iter()
    .map(|(a, b)| (a.to_owned(), b.to_owned()))
    .collect()
}
