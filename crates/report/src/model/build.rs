//! Makes the report model from the values of `job` and `plan`.

use casewright_job::shop::{Agitation, Medium};
use casewright_job::spec::{FeatureKind, Part, PartShape, RouteWish, Spec, Steel};
use casewright_plan::outcome::{
    Caution, PackLayout, Plan, PlanReport, QuenchCheck, ScaleAdvice, Step, StepKind, Verdict,
};
use casewright_terms::{Diag, Severity, UnitSystem};

use super::expected;
use super::parts::{
    AlternativeRow, Blank, CautionRow, CouponRow, DoubtRow, Finding, Mark, NearestView, NoteRow,
    PackView, QuenchRow, ScaleRow, SourceRow, StepRow, TraverseView, VerdictView,
};
use super::{Head, References, Sheet};
use crate::figure::Figures;
use crate::show::{self, Shown};
use crate::{code, text};

pub(super) fn sheet(
    spec: &Spec,
    report: &PlanReport,
    printed_at: Option<jiff::civil::DateTime>,
    version: &str,
    references: &References,
) -> Sheet {
    let units = spec.units;
    let plan = report.plan.as_ref();
    let cost = casewright_plan::cost::of(spec, report);
    let mut sheet = Sheet {
        cost: cost.map_or_else(Vec::new, |cost| crate::cost::lines(&cost, units)),
        head: head(spec, plan, printed_at, version),
        units,
        note: spec.note.text.clone(),
        note_rows: note_rows(spec),
        assumptions: assumptions(spec),
        verdict: verdict(report.verdict),
        findings: findings(spec, report),
        predictions: report
            .prediction
            .as_ref()
            .map(|p| expected::rows(spec, p))
            .unwrap_or_default(),
        skin: report
            .prediction
            .as_ref()
            .map_or_else(Vec::new, |p| crate::skin::sentences(spec, p)),
        edges: report.prediction.as_ref().map_or_else(Vec::new, |p| {
            let line = |edge| crate::figure::edge::line(edge, units);
            p.edges.iter().map(line).collect()
        }),
        chain: plan
            .map(|p| super::chain::rows(&p.depth, spec, report.prediction.as_ref()))
            .unwrap_or_default(),
        steps: plan.map(|p| steps(p, units)).unwrap_or_default(),
        pack: plan.map(|p| pack(p, units)),
        coupons: plan.map(coupons).unwrap_or_default(),
        quench: plan.map(|p| quench(&p.quench, units)).unwrap_or_default(),
        scales: plan
            .map(|p| p.test_scales.iter().map(|s| scale(s, units)).collect())
            .unwrap_or_default(),
        traverse: report.traverse.as_ref().map(|t| TraverseView {
            scale: crate::story::force_name(t.force),
            sentences: crate::traverse::sentences(t, units),
            rows: crate::traverse::rows(t, units),
            bands: t.bands,
        }),
        cautions: plan.map(cautions).unwrap_or_default(),
        nearest: report.nearest.as_ref().map(|n| NearestView {
            what: n.what.clone(),
            to_customer: n.to_customer.clone(),
        }),
        question: spec.note.question.clone(),
        alternatives: alternatives(report, units),
        ways: super::ways::rows(report, units),
        doubts: report
            .doubts
            .iter()
            .map(|(what, share)| DoubtRow {
                what: what.clone(),
                share: format!("{:.0} %", share * 100.0),
            })
            .collect(),
        outlook: super::outlook::view(report, units),
        sources: report
            .sources
            .iter()
            .map(|key| SourceRow {
                key: (*key).to_owned(),
                reference: references.get(*key).cloned().unwrap_or_default(),
            })
            .collect(),
        figures: Figures::draw(spec, report),
    };
    // The code stands for what the sheet says, not for when or by which version it was printed.
    let code = code::of(&text::substance(&sheet, text::Sources::Listed));
    sheet.head.code = code.characters;
    sheet.head.code_words = code.words;
    sheet
}

fn head(
    spec: &Spec,
    plan: Option<&Plan>,
    printed_at: Option<jiff::civil::DateTime>,
    version: &str,
) -> Head {
    Head {
        job: spec.name.clone(),
        number: spec.number.clone().unwrap_or_default(),
        part: part(&spec.part, spec.units),
        features: features(&spec.part, spec.units),
        quantity: spec.quantity.to_string(),
        material: steel(&spec.steel),
        heat: spec.heat.clone().unwrap_or_default(),
        shop: spec.shop.name.clone(),
        stock: spec
            .stock
            .iter()
            .map(|s| {
                format!(
                    "{}: {} per side",
                    s.face,
                    show::depth(s.per_side, spec.units).line()
                )
            })
            .collect(),
        route: plan.map(|p| route(p.route).to_owned()).unwrap_or_default(),
        printed: printed_at.map(show::date_and_time).unwrap_or_default(),
        version: version.to_owned(),
        code: String::new(),
        code_words: String::new(),
    }
}

fn part(part: &Part, units: UnitSystem) -> String {
    let size = |lengths: &[casewright_terms::Length]| {
        let one = |u: UnitSystem| {
            let numbers: Vec<String> = lengths.iter().map(|l| l.size_text(u)).collect();
            let unit = format!(" {}", u.length_unit());
            let last = numbers.len() - 1;
            numbers
                .iter()
                .enumerate()
                .map(|(i, n)| {
                    if i == last {
                        n.as_str()
                    } else {
                        n.trim_end_matches(unit.as_str())
                    }
                })
                .collect::<Vec<_>>()
                .join(" × ")
        };
        format!("{} ({})", one(units), one(units.other()))
    };
    let shape = match part.shape {
        PartShape::Plate {
            thickness,
            width,
            length,
        } => format!("plate {}", size(&[thickness, width, length])),
        PartShape::Bar { diameter, length } => {
            format!("bar, dia × length {}", size(&[diameter, length]))
        }
        PartShape::Tube {
            outer,
            inner,
            length,
        } => format!(
            "tube, outer × inner dia × length {}",
            size(&[outer, inner, length])
        ),
        PartShape::Sphere { diameter } => format!("ball, dia {}", size(&[diameter])),
        PartShape::Block { a, b, c } => format!("block {}", size(&[a, b, c])),
    };
    format!("{}, {shape}", part.what)
}

fn features(part: &Part, units: UnitSystem) -> Vec<String> {
    part.features
        .iter()
        .map(|f| {
            let kind = match f.kind {
                FeatureKind::Bore => "bore",
                FeatureKind::BlindHole => "blind hole",
                FeatureKind::ThinWeb => "thin web",
                FeatureKind::Thread => "thread",
                FeatureKind::Keyway => "keyway",
                FeatureKind::SharpCorner => "sharp corner",
            };
            let mut line = format!("{} ({kind}", f.name);
            for (label, value) in [("dia", f.diameter), ("wall", f.web), ("length", f.length)] {
                if let Some(value) = value {
                    line.push_str(&format!(", {label} {}", show::size(value, units).main));
                }
            }
            line.push(')');
            if f.stays_soft {
                line.push_str(" STAYS SOFT");
            }
            line
        })
        .collect()
}

fn steel(steel: &Steel) -> String {
    match steel {
        Steel::Grade { name, .. } => format!("{name} (middle of the grade's range)"),
        Steel::Chemistry { label, grade, .. } => match grade {
            Some(grade) if label.is_empty() => format!("{grade}, by certificate"),
            Some(grade) if grade != label => format!("{label} (sold as {grade}), by certificate"),
            _ => format!("{label}, by certificate"),
        },
    }
}

/// A route in words.
pub(crate) fn route(route: RouteWish) -> &'static str {
    match route {
        RouteWish::Direct => "direct quench from the box",
        RouteWish::Single => "cool in the box, one reheat, quench",
        RouteWish::Double => "cool in the box, two reheats, each quenched",
    }
}

fn note_rows(spec: &Spec) -> Vec<NoteRow> {
    spec.note
        .phrases
        .iter()
        .map(|p| NoteRow {
            phrase: p.phrase.clone(),
            understood: p.understood.clone(),
            assumed: p.assumed.clone().unwrap_or_default(),
        })
        .collect()
}

fn assumptions(spec: &Spec) -> Vec<String> {
    // What a phrase already says of itself is not said again.
    let said = |a: &String| {
        spec.note
            .phrases
            .iter()
            .any(|p| p.assumed.as_ref() == Some(a))
    };
    let mut all: Vec<String> = spec
        .note
        .assumptions
        .iter()
        .filter(|a| !said(a))
        .cloned()
        .collect();
    all.extend(
        spec.answers
            .iter()
            .map(|a| format!("{}: {} (said by {})", a.code, a.value, a.by)),
    );
    all.extend(spec.defaults.iter().cloned());
    all
}

fn verdict(verdict: Verdict) -> VerdictView {
    let (mark, word, sentence, workable) = match verdict {
        Verdict::CanBeMet => (
            Mark::Go,
            "CAN BE MET",
            "The whole band of the prediction lies inside the note.",
            true,
        ),
        Verdict::Marginal => (
            Mark::Look,
            "MARGINAL",
            "The middle of the prediction lies inside the note, a part of its band does not.",
            true,
        ),
        Verdict::CannotBeMet => (
            Mark::Stop,
            "CANNOT BE MET",
            "No plan for this shop meets the note. Do not start.",
            false,
        ),
    };
    VerdictView {
        mark,
        word,
        sentence,
        workable,
    }
}

fn findings(spec: &Spec, report: &PlanReport) -> Vec<Finding> {
    let mut all: Vec<&Diag> = report.findings.iter().collect();
    // The planner may hand the reader's remarks on; each is shown once.
    for remark in &spec.remarks {
        if !all
            .iter()
            .any(|d| d.code == remark.code && d.seen == remark.seen)
        {
            all.push(remark);
        }
    }
    all.sort_by_key(|d| std::cmp::Reverse(d.severity));
    all.into_iter()
        .map(|d| Finding {
            mark: match d.severity {
                Severity::Stop => Mark::Stop,
                Severity::Warn => Mark::Look,
                Severity::Note => Mark::Go,
            },
            word: d.severity.word(),
            code: d.code,
            text: d.text(),
            accepted: d.accepted.clone(),
        })
        .collect()
}

/// A step's name in a word.
pub(crate) fn kind(kind: StepKind) -> &'static str {
    match kind {
        StepKind::Pack => "Pack",
        StepKind::Carburize => "Carburize",
        StepKind::Cool => "Cool",
        StepKind::Reheat => "Reheat",
        StepKind::Quench => "Quench",
        StepKind::Temper => "Temper",
        StepKind::Test => "Test",
        StepKind::Grind => "Grind",
    }
}

fn steps(plan: &Plan, units: UnitSystem) -> Vec<StepRow> {
    plan.steps
        .iter()
        .enumerate()
        .map(|(i, s)| step(i + 1, s, units))
        .collect()
}

fn step(number: usize, s: &Step, units: UnitSystem) -> StepRow {
    StepRow {
        number,
        kind: kind(s.kind),
        text: s.text.clone(),
        temperature: s.temperature.map(|t| show::temperature(t, units)),
        tolerance: s.tolerance.map(|t| show::tolerance(t, units)),
        soak: s.soak.map(|t| t.text()).unwrap_or_default(),
        window: show::window(s.begins, s.ends),
        equipment: s.equipment.clone().unwrap_or_default(),
        acceptance: s.acceptance.clone(),
        stop_if: s.stop_if.clone(),
        hold_point: s.hold_point,
        record: s
            .record
            .iter()
            .map(|(label, unit)| Blank {
                label: label.clone(),
                unit: unit.clone(),
            })
            .collect(),
    }
}

fn pack(plan: &Plan, units: UnitSystem) -> PackView {
    let pack = &plan.pack;
    let boxes = match pack.boxes {
        1 => String::new(),
        n => format!("{n} boxes of this kind, "),
    };
    let inside = Shown {
        main: box_size(pack, units),
        other: box_size(pack, units.other()),
    };
    PackView {
        title: format!(
            "Box {}: {boxes}{} and {} in each",
            pack.box_id,
            counted(pack.parts.len(), "part", "parts"),
            counted(pack.coupons.len(), "test piece", "test pieces"),
        ),
        facts: pack_facts(plan, inside, units),
        ways: plan
            .pack_ways
            .iter()
            .map(|way| {
                let hot = way
                    .hot_after
                    .map_or_else(|| "not hot".to_owned(), |hot| format!("hot {}", hot.text()));
                format!(
                    "{}: {hot}, {} to lift, {} of compound; {}",
                    way.what,
                    show::mass(way.lift, units).line(),
                    show::volume(way.compound, units).line(),
                    way.why
                )
            })
            .collect(),
    }
}

fn pack_facts(plan: &Plan, inside: Shown, units: UnitSystem) -> Vec<QuenchRow> {
    let pack = &plan.pack;
    let row = |what, value| QuenchRow { what, value };
    let mut facts = vec![
        row("Inside, w × h × l", inside),
        row("Under the parts", show::size(pack.cover.below, units)),
        row("Over the parts", show::size(pack.cover.above, units)),
        row("To the walls", show::size(pack.cover.wall, units)),
        row("Between pieces", show::size(pack.cover.between, units)),
        row("Compound lot", Shown::plain(pack.compound_id.clone())),
        row("Compound, loose volume", show::volume(pack.compound, units)),
    ];
    if pack.scoops.len() > 1 {
        facts.extend(pack.scoops.iter().map(|scoop| {
            let volume = show::volume(scoop.volume, units).line();
            row("of which", Shown::plain(format!("{}: {volume}", scoop.lot)))
        }));
    }
    facts.extend([
        row("Compound, mass", show::mass(pack.compound_mass, units)),
        row("of which fresh", show::mass(pack.fresh_mass, units)),
        row("Lift: box, steel, compound", show::mass(pack.lift, units)),
    ]);
    if let Some(heat) = &plan.pack_heat {
        facts.push(row("Hot", Shown::plain(heat.clock_text())));
        if let Some(reads) = heat.couple_reads {
            facts.push(row(
                "Wait for the couple to read",
                show::temperature(reads, units),
            ));
        }
        let words = [
            ("Depth across the box", heat.spread_text(units)),
            ("Least case, greatest case", heat.ends_text()),
            ("Coupons stand", heat.coupon_text(units)),
        ];
        facts.extend(
            words
                .into_iter()
                .filter_map(|(what, text)| Some(row(what, Shown::plain(text?)))),
        );
    }
    if plan.loads.len() > 1 {
        facts.extend(plan.loads.iter().map(|load| {
            let window = show::window(load.loaded, load.soak_ends).line();
            let parts = counted(load.parts as usize, "part", "parts");
            row(
                "Load, in the furnace",
                Shown::plain(format!("{}: {parts}, {window}", load.number)),
            )
        }));
    }
    facts
}

fn box_size(pack: &PackLayout, units: UnitSystem) -> String {
    let unit = format!(" {}", units.length_unit());
    let [w, h, l] = pack.inside.map(|x| x.size_text(units));
    format!(
        "{} × {} × {l}",
        w.trim_end_matches(&unit),
        h.trim_end_matches(&unit)
    )
}

/// A count with its word.
pub(crate) fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

fn coupons(plan: &Plan) -> Vec<CouponRow> {
    plan.coupons
        .iter()
        .map(|c| CouponRow {
            mark: c.mark.clone(),
            kind: if c.control { "control" } else { "coupon" },
            size: c.size.clone(),
            place: c.place.clone(),
            proves: c.proves.clone(),
        })
        .collect()
}

fn quench(q: &QuenchCheck, units: UnitSystem) -> Vec<QuenchRow> {
    let medium = match q.medium {
        Medium::Water => "water",
        Medium::Brine => "brine",
        Medium::SlowOil => "slow oil",
        Medium::FastOil => "fast oil",
        Medium::Polymer => "water with polymer",
        Medium::Air => "still air",
    };
    let agitation = match q.agitation {
        Agitation::Still => "still",
        Agitation::Mild => "moved gently",
        Agitation::Good => "moved well",
        Agitation::Strong => "driven hard",
    };
    let mut rows = vec![
        QuenchRow {
            what: "Tank",
            value: Shown::plain(format!("{}: {medium}, {agitation}", q.tank)),
        },
        QuenchRow {
            what: "Hot mass at once",
            value: show::mass(q.mass, units),
        },
        QuenchRow {
            what: "Rise of the bath",
            value: show::step(q.rise, units),
        },
        QuenchRow {
            what: "Bath after the quench",
            value: show::temperature(q.bath_after, units),
        },
    ];
    if let Some(margin) = q.flash_margin {
        rows.push(QuenchRow {
            what: "Left to the flash limit",
            value: show::step(margin, units),
        });
    }
    rows
}

fn scale(s: &ScaleAdvice, units: UnitSystem) -> ScaleRow {
    ScaleRow {
        // The table's Vickers row is read with the usual force; other forces stand beside it.
        scale: match s.scale {
            casewright_terms::Scale::Hv => "HV1",
            scale => scale.symbol(),
        },
        at_hand: s.at_hand,
        valid: s.valid,
        word: match (s.valid, s.at_hand) {
            (true, true) => "use",
            (true, false) => "not in this shop",
            (false, _) => "do not use",
        },
        reading: s.reading.map(|b| show::reading_band(b, s.scale)),
        core: s.core_reading.map(|b| show::reading_band(b, s.scale)),
        least_case: s.least_case.map(|l| show::depth(l, units)),
        round: s
            .round_correction
            .map(|c| format!("{c:+.1} on the round"))
            .unwrap_or_default(),
        why: s.why.clone(),
    }
}

/// The job's cautions, then those of the steps; each code and text once, with its steps.
fn cautions(plan: &Plan) -> Vec<CautionRow> {
    let mut rows: Vec<CautionRow> = Vec::new();
    let mut add = |c: &Caution, step: Option<usize>| match rows
        .iter_mut()
        .find(|r| r.code == c.code && r.text == c.text)
    {
        Some(row) => row.steps.extend(step.filter(|_| !row.steps.is_empty())),
        None => rows.push(CautionRow {
            code: c.code,
            hazard: c.hazard.clone(),
            text: c.text.clone(),
            steps: step.into_iter().collect(),
        }),
    };
    for c in &plan.cautions {
        add(c, None);
    }
    for (i, s) in plan.steps.iter().enumerate() {
        for c in &s.cautions {
            add(c, Some(i + 1));
        }
    }
    rows
}

fn alternatives(report: &PlanReport, units: UnitSystem) -> Vec<AlternativeRow> {
    report
        .alternatives
        .iter()
        .map(|a| AlternativeRow {
            what: a.what.clone(),
            depth: a
                .case_depth_after_grind
                .map(|d| show::depth(d, units))
                .unwrap_or_default(),
            surface: a.surface.map(show::vickers).unwrap_or_default(),
            hours: a.furnace_time.map(|t| t.text()).unwrap_or_default(),
            chance: a
                .chance
                .map(|p| format!("chance about {:.0} %", 100.0 * p))
                .unwrap_or_default(),
            why_not: a.why_not.clone(),
        })
        .collect()
}
