//! Everything the papers of a run say, gathered from the book: the run as it holds now, every
//! correction beside it, and the kept evidence judged once more. Decides nothing.

use casewright_job::spec::{Spec, Steel};
use casewright_plan::judge::{Fared, Judgement};
use casewright_records::run::Fact;
use casewright_records::view::{Seen, Signed, seen};
use casewright_records::{Book, Event, Look, Meaning, Run, Stamp, Unit, Verdict, Wanted};
use casewright_report::record::{
    Clause, Coupon, Deviation, Equipment, Facts, Judged, LogFact, Signature, State, Step,
    Superseded,
};
use casewright_terms::UnitSystem;
use serde::Deserialize;

use super::{judge, next, readings, stored};
use crate::answer::Trouble;

/// Gathers them.
///
/// # Errors
/// A book that cannot be read, and a run whose job is not kept with it.
pub(super) fn facts(book: &Book, run: &Run) -> Result<Facts, Trouble> {
    let plan = stored::Plan::of(run)?;
    let spec = stored::spec(book, run)?;
    let anew = judge::anew(book, run, &spec)?;
    let all = seen(book, Wanted::Run(&run.name), 0, usize::MAX)?;
    let head = book.head()?;
    let mut facts = Facts {
        issuer: issuer(book)?,
        run: run.name.clone(),
        job: run.job.clone(),
        part: format!("{}, {}", spec.name, spec.part.what),
        quantity: spec.quantity,
        steel: steel(&spec),
        heat: spec.heat.clone(),
        note: spec.note.text.clone(),
        answers: spec
            .answers
            .iter()
            .map(|answer| format!("{}: {} ({})", answer.code, answer.value, answer.by))
            .collect(),
        practice: run.practice,
        plan: format!(
            "{}, entry {}, program {}",
            run.plan.code,
            run.plan.entry,
            run.plan
                .made
                .as_ref()
                .map_or("unknown", |made| made.program.as_str())
        ),
        finished: run
            .ended
            .as_ref()
            .filter(|end| end.how == casewright_records::RunEnd::Finished)
            .map(|end| minute(&end.at)),
        pack: pack(&plan),
        steps: steps(run, &plan, &spec),
        equipment: equipment(run, &plan, &spec),
        logs: logs(run, plan.units()),
        deviations: deviations(run),
        superseded: superseded(run, &all),
        corrections: corrections(book, &all)?,
        signatures: signatures(book, &all)?,
        last_entry: last_entry(book, &all)?,
        head: (head.count, head.hash.to_string()),
        whole: book.check(None)?.troubles.is_empty(),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        ..Facts::default()
    };
    let told = |item: &str| run.told(item).map(|(_, words)| words.to_owned());
    facts.address = told("address");
    facts.customer = told("customer");
    facts.order = told("order");
    facts.drawing = told("drawing");
    facts.mill_certificate = told("mill-certificate");
    facts.specification = told("specification");
    facts.visual = told("visual");
    if let Some((judgement, evidence)) = &anew {
        facts.pieces = readings::pieces(evidence);
        facts.testers = readings::testers(evidence);
        facts.tests = readings::tests(judgement, evidence, spec.units);
    }
    facts.coupons = coupons(run, &plan, &facts);
    facts.judged = judged(book, run, anew.as_ref().map(|(judgement, _)| judgement))?;
    Ok(facts)
}

/// The wall clock to the minute, with its offset: seconds add nothing on paper.
fn minute(stamp: &Stamp) -> String {
    let text = stamp.to_string();
    match (text.get(..16), text.rsplit_once(' ')) {
        (Some(day), Some((_, offset))) => format!("{day} {offset}"),
        _ => text,
    }
}

fn issuer(book: &Book) -> Result<String, Trouble> {
    let first = book.entry(1)?;
    Ok(match first.map(|entry| entry.content.event) {
        Some(Event::BookOpened { shop }) => shop,
        _ => String::new(),
    })
}

fn steel(spec: &Spec) -> String {
    match &spec.steel {
        Steel::Grade { name, .. } => name.clone(),
        Steel::Chemistry { label, grade, .. } => {
            let name = grade.clone().or_else(|| Some(label.clone()));
            name.map_or_else(
                || "by the chemistry in the job file".to_owned(),
                |name| format!("{name}, by its own chemistry"),
            )
        }
    }
}

fn pack(plan: &stored::Plan) -> Vec<(String, String)> {
    let Some(pack) = &plan.pack else {
        return Vec::new();
    };
    vec![(
        "box, compound".to_owned(),
        format!(
            "{} × {}, compound {}",
            pack.boxes, pack.box_id, pack.compound
        ),
    )]
}

fn steps(run: &Run, plan: &stored::Plan, spec: &Spec) -> Vec<Step> {
    let units = plan.units();
    plan.steps
        .iter()
        .zip(1_u32..)
        .map(|(sheet, number)| {
            let done = run.step(number);
            let late = |late: bool| if late { ", entered later" } else { "" };
            let mut read = Vec::new();
            if sheet.kind == "carburize"
                && let Some(hot) = run.time(number, next::HOT)
            {
                read.push(format!("pack hot {}", minute(&hot.at)));
            }
            let mut temperature_read = false;
            for fact in &run.facts {
                if let Event::ReadingTaken {
                    step: Some(step),
                    what,
                    measured,
                    ..
                } = &fact.event
                    && *step == number
                {
                    temperature_read |= matches!(measured.unit(), Unit::Celsius | Unit::Fahrenheit);
                    read.push(format!(
                        "{what} {measured} ({}{})",
                        minute(&fact.at),
                        late(fact.afterwards)
                    ));
                }
            }
            Step {
                number,
                kind: sheet.kind.clone(),
                set: set(sheet, plan, spec, units),
                done: done.map(|done| format!("{}{}", done.what, late(done.afterwards))),
                begun: run.time(number, next::BEGUN).map(|noted| minute(&noted.at)),
                ended: done.map(|done| minute(&done.at)),
                by: done.map_or_else(String::new, |done| done.by.name.clone()),
                hold_point: sheet.hold_point,
                witness: done
                    .filter(|done| !done.waits_for_witness)
                    .and_then(|done| done.witness())
                    .map(|signed| signed.by.name.clone()),
                equipment: sheet.equipment.clone(),
                read,
                temperature_read,
            }
        })
        .collect()
}

/// What the plan set, in short: the heat, or the words of the sheet.
fn set(sheet: &stored::Step, plan: &stored::Plan, spec: &Spec, units: UnitSystem) -> String {
    use casewright_terms::{Span, Temperature, TemperatureStep};
    let Some(celsius) = sheet.temperature_c else {
        return first_words(&sheet.text);
    };
    let mut text = Temperature::from_c(celsius).text(units);
    let tank = spec
        .shop
        .tanks
        .iter()
        .find(|tank| sheet.kind == "quench" && sheet.equipment.as_deref() == Some(&tank.id));
    if let Some(tank) = tank {
        text = format!("{} at {text}", casewright_plan::tank::name(tank.medium));
    }
    if let Some(kelvin) = sheet.temperature_tolerance_k {
        text.push_str(&format!(
            " ± {}",
            TemperatureStep::from_k(kelvin).text(units)
        ));
    }
    let soak = if sheet.kind == "carburize" {
        plan.soak_h
    } else {
        sheet.soak_h
    };
    if let Some(hours) = soak {
        text.push_str(&format!(", {}", Span::from_h(hours).text()));
        if sheet.kind == "carburize" {
            text.push_str(" from when the pack is hot");
        }
    }
    text
}

/// The first sentence of an instruction, cut between words where it is long: the sheet has the rest.
fn first_words(text: &str) -> String {
    const MOST: usize = 90;
    let first = text.split_once(". ").map_or(text, |(first, _)| first);
    if first.chars().count() <= MOST {
        return first.to_owned();
    }
    let mut out = String::new();
    for word in first.split_whitespace() {
        if out.chars().count() + word.chars().count() >= MOST {
            break;
        }
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
    }
    out.push_str(" …");
    out
}

fn equipment(run: &Run, plan: &stored::Plan, spec: &Spec) -> Vec<Equipment> {
    let mut all: Vec<Equipment> = Vec::new();
    for step in &plan.steps {
        let Some(id) = &step.equipment else { continue };
        if let Some(known) = all.iter_mut().find(|known| known.id == *id) {
            if !known.what.contains(&step.kind) {
                known.what.push_str(&format!(", {}", step.kind));
            }
            continue;
        }
        let shop = &spec.shop;
        let furnace = shop
            .furnaces
            .iter()
            .chain(&shop.ovens)
            .find(|f| f.id == *id);
        all.push(Equipment {
            id: id.clone(),
            what: step.kind.clone(),
            heated: furnace.is_some(),
            calibrated: run
                .told(&format!("calibrated {id}"))
                .map(|(_, words)| words.to_owned()),
        });
    }
    all
}

/// What was kept of a log's judgement.
#[derive(Deserialize)]
struct Proof {
    channel: String,
    couple: String,
    proven: bool,
    why_not: Vec<String>,
    within_s: f64,
    over_s: f64,
    under_s: f64,
    not_known_s: f64,
    depth_planned_mm: f64,
    depth_logged_mm: f64,
}

fn logs(run: &Run, units: UnitSystem) -> Vec<LogFact> {
    use casewright_terms::{Length, Span};
    let mut all = Vec::new();
    for fact in &run.facts {
        let Event::LogAttached {
            source,
            judged_json,
            ..
        } = &fact.event
        else {
            continue;
        };
        let proofs: Vec<Proof> = judged_json
            .as_ref()
            .and_then(|json| serde_json::from_str(json).ok())
            .unwrap_or_default();
        let span = |seconds: f64| Span::from_s(seconds).text();
        let depth = |mm: f64| Length::from_mm(mm).depth_text(units);
        let says = proofs
            .iter()
            .map(|proof| {
                let what = if proof.couple == "pack" {
                    "couple in the pack"
                } else {
                    "furnace's own couple, which proves nothing about the pack"
                };
                let why = if proof.why_not.is_empty() {
                    String::new()
                } else {
                    format!("; not proven: {}", proof.why_not.join("; "))
                };
                // A furnace's own couple says nothing about the pack, so no depth is told from it.
                let depths = if proof.couple == "pack" {
                    format!(
                        "; depth to the limit reckoned from it {}, planned {}",
                        depth(proof.depth_logged_mm),
                        depth(proof.depth_planned_mm)
                    )
                } else {
                    String::new()
                };
                format!(
                    "{} ({what}): in the band {}, over it {}, under it {}, not known {}{depths}{why}",
                    proof.channel,
                    span(proof.within_s),
                    span(proof.over_s),
                    span(proof.under_s),
                    span(proof.not_known_s)
                )
            })
            .collect();
        all.push(LogFact {
            entry: fact.entry,
            source: source.clone(),
            file: file(fact).unwrap_or_default(),
            proven: proofs
                .iter()
                .any(|proof| proof.couple == "pack" && proof.proven),
            says,
        });
    }
    all
}

/// Name and hash of the first file of an entry.
fn file(fact: &Fact) -> Option<String> {
    let file = fact.files.first()?;
    Some(format!("{}, SHA-256 {}", file.name, file.sha256))
}

fn deviations(run: &Run) -> Vec<Deviation> {
    run.facts
        .iter()
        .filter(|fact| matches!(fact.event, Event::Deviation { .. }))
        .map(|fact| {
            let told = fact.event.told();
            let approved = |signed: &&Signed| {
                signed.meaning == Meaning::Approved
                    && !signed.before_correction
                    && signed.by.name != fact.by.name
            };
            Deviation {
                entry: fact.entry,
                what: told.strip_prefix("deviation: ").unwrap_or(&told).to_owned(),
                by: fact.by.name.clone(),
                approved: fact
                    .signatures
                    .iter()
                    .find(approved)
                    .map(|signed| signed.by.name.clone()),
            }
        })
        .collect()
}

fn coupons(run: &Run, plan: &stored::Plan, facts: &Facts) -> Vec<Coupon> {
    plan.coupons
        .iter()
        .map(|coupon| {
            let mark = &coupon.mark;
            let mut became = Vec::new();
            for fact in &run.facts {
                if let Event::CouponReading { coupon, .. } = &fact.event
                    && coupon == mark
                {
                    became.push(format!("{} (entry {})", fact.event.told(), fact.entry));
                }
            }
            if facts
                .tests
                .iter()
                .any(|test| test.piece.eq_ignore_ascii_case(mark))
            {
                became.push("read, see below".to_owned());
            }
            if let Some((_, words)) = run.told(&format!("coupon {mark}")) {
                became.push(words.to_owned());
            }
            Coupon {
                mark: mark.clone(),
                at: if coupon.control {
                    format!("uncased control, {}", coupon.place)
                } else {
                    coupon.place.clone()
                },
                became: (!became.is_empty()).then(|| became.join("; ")),
            }
        })
        .collect()
}

fn judged(book: &Book, run: &Run, anew: Option<&Judgement>) -> Result<Option<Judged>, Trouble> {
    let Some(fact) = run.judgement() else {
        return Ok(None);
    };
    let Event::Judgement {
        verdict, because, ..
    } = &fact.event
    else {
        return Ok(None);
    };
    let hash = book.entry(fact.entry)?.map(|entry| entry.hash.to_string());
    Ok(Some(Judged {
        entry: fact.entry,
        hash: hash.unwrap_or_default(),
        at: minute(&fact.at),
        by: fact.by.name.clone(),
        verdict: verdict.word().to_owned(),
        because: because.clone(),
        rule: anew.map_or_else(
            || "by nobody: no evidence is kept".to_owned(),
            |judgement| readings::rule(judgement.rule).to_owned(),
        ),
        evidence: file(fact),
        anew: anew.map(|judgement| judgement.verdict.word().to_owned()),
        clauses: anew.map_or_else(Vec::new, clauses),
    }))
}

fn clauses(judgement: &Judgement) -> Vec<Clause> {
    judgement
        .clauses
        .iter()
        .map(|clause| Clause {
            what: clause.kind.words(),
            asked: clause.asked.clone(),
            state: match clause.fared {
                Fared::Holds => State::Holds,
                Fared::Low | Fared::High => State::Missed,
                Fared::NotShown => State::Open,
            },
            fared: match clause.fared {
                Fared::Holds => "shown to hold",
                Fared::Low => "below its least",
                Fared::High => "above its greatest",
                Fared::NotShown => "not shown",
            }
            .to_owned(),
            found: clause.found.clone(),
            by: clause.by.clone(),
            close: clause.close,
        })
        .collect()
}

/// Every other judgement of the run, also one that was withdrawn: a miss does not go away by that.
fn superseded(run: &Run, all: &[Seen]) -> Vec<Superseded> {
    let last = run.judgement().map(|fact| fact.entry);
    all.iter()
        .filter(|seen| Some(seen.entry.content.number) != last)
        .filter_map(|seen| {
            let Event::Judgement { verdict, .. } = &seen.entry.content.event else {
                return None;
            };
            Some(Superseded {
                entry: seen.entry.content.number,
                told: seen.entry.content.event.told(),
                missed: *verdict == Verdict::DoesNotMeet,
            })
        })
        .collect()
}

/// Every correction and withdrawal with the words before it.
fn corrections(book: &Book, all: &[Seen]) -> Result<Vec<String>, Trouble> {
    let mut lines = Vec::new();
    for seen in all {
        let content = &seen.entry.content;
        let mut said = content.event.told();
        for later in book.entries(Wanted::About(content.number), 0, usize::MAX)? {
            let Event::Correction {
                reason, instead, ..
            } = &later.content.event
            else {
                continue;
            };
            let (number, by) = (later.content.number, &later.content.by.name);
            let now = match instead {
                Some(event) => {
                    let now = event.told();
                    let at = match &later.content.entered {
                        casewright_records::Entered::Afterwards { happened } => {
                            format!(", at {}", minute(happened))
                        }
                        casewright_records::Entered::Live => String::new(),
                    };
                    format!("corrected in entry {number} by {by} ({reason}) to \"{now}\"{at}")
                }
                None => format!("withdrawn in entry {number} by {by} ({reason})"),
            };
            lines.push(format!("Entry {} said \"{said}\"; {now}.", content.number));
            if let Some(event) = instead {
                said = event.told();
            }
        }
        if let Event::FactTold { run, item, .. } = &content.event {
            let newer = all.iter().any(|other| {
                other.entry.content.number > content.number
                    && matches!(&other.entry.content.event, Event::FactTold { run: r, item: i, .. } if r == run && i == item)
            });
            if newer {
                lines.push(format!(
                    "Entry {} said \"{}\"; told anew later.",
                    content.number,
                    content.event.told()
                ));
            }
        }
    }
    Ok(lines)
}

fn signatures(book: &Book, all: &[Seen]) -> Result<Vec<Signature>, Trouble> {
    let mut signed = Vec::new();
    for seen in all {
        let content = &seen.entry.content;
        for one in &seen.signatures {
            let at = book.entry(one.entry)?.map(|entry| entry.content.at);
            signed.push(Signature {
                entry: one.entry,
                of: content.number,
                what: short(&content.event),
                name: one.by.name.clone(),
                role: one.by.role.word().to_owned(),
                meaning: one.meaning.word().to_owned(),
                at: at.map(|at| minute(&at)).unwrap_or_default(),
                before_correction: one.before_correction,
            });
        }
    }
    signed.sort_by_key(|signature| signature.entry);
    Ok(signed)
}

/// What was signed, short enough for a cell.
fn short(event: &Event) -> String {
    match event {
        Event::Judgement { verdict, .. } => format!("judged {}", verdict.word()),
        other => casewright_report::show::clipped(&other.told(), 60),
    }
}

/// The last entry about the run that a paper shows: everything but signatures and kept pictures.
fn last_entry(book: &Book, all: &[Seen]) -> Result<u64, Trouble> {
    let mut last = 0;
    for seen in all {
        let content = &seen.entry.content;
        if !matches!(content.event, Event::FileAttached { .. }) {
            last = last.max(content.number);
        }
        for later in book.entries(Wanted::About(content.number), 0, usize::MAX)? {
            if matches!(later.content.event, Event::Correction { .. }) {
                last = last.max(later.content.number);
            }
        }
    }
    Ok(last)
}
