//! What the finished runs of a book have taught: gathers each run's texts, cycle and evidence, and lets
//! the planner learn from them. Derived anew each time; the book keeps no second truth.

use std::path::Path;

use casewright_job::evidence::{self, Evidence};
use casewright_plan::judge::{self, Rule};
use casewright_plan::learn::{Actual, Learned, Lesson, learn, lesson};
use casewright_records::{Book, Event, Look, Run, RunEnd};
use casewright_terms::{Diag, Span, UnitSystem};
use serde::Deserialize;

use super::{find, look, next, stored};
use crate::answer::{Answer, Texts, Trouble};
use crate::show::table::{self, numbers, words};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// What a book has taught, and which of its runs teach nothing.
pub(crate) struct Taught {
    pub(crate) learned: Learned,
    /// Runs left out, with the reason.
    pub(crate) left_out: Vec<(String, String)>,
    /// Runs used, with what of their cycle was known beyond the plan.
    pub(crate) used: Vec<(String, String)>,
    units: UnitSystem,
}

/// Learns from a book, without the runs that are named.
///
/// # Errors
/// Where the book cannot be read, and for a run that it does not have.
pub(crate) fn of_book(path: &Path, without: &[String]) -> Result<Taught, Trouble> {
    let book = look(path)?;
    for name in without {
        find(&book, name)?;
    }
    let mut taught = Taught {
        learned: learn(&[]),
        left_out: Vec::new(),
        used: Vec::new(),
        units: UnitSystem::Metric,
    };
    let mut lessons: Vec<Lesson> = Vec::new();
    for (name, _) in Run::names(&book)? {
        if without.contains(&name) {
            let reason = "left out as asked".to_owned();
            taught.left_out.push((name, reason));
            continue;
        }
        let run = find(&book, &name)?;
        match world::with_progress("learning", || of_run(&book, &run)) {
            Ok((lesson, cycle, units)) => {
                taught.units = units;
                taught.used.push((name, cycle));
                lessons.push(lesson);
            }
            Err(reason) => taught.left_out.push((name, reason)),
        }
    }
    taught.learned = learn(&lessons);
    Ok(taught)
}

/// The lesson of a run, how its cycle was known, and its job's units; or why it has none.
fn of_run(book: &Book, run: &Run) -> Result<(Lesson, String, UnitSystem), String> {
    if run.verdict().is_none() {
        return Err("not judged yet".to_owned());
    }
    if run
        .ended
        .as_ref()
        .is_some_and(|e| e.how == RunEnd::Abandoned)
    {
        return Err("given up".to_owned());
    }
    let evidence = evidence_of(book, run)?;
    let trouble = |trouble: Trouble| match trouble {
        Trouble::Input { diags, .. } => diags
            .first()
            .map_or_else(String::new, |diag| diag.seen.clone()),
        _ => "its texts cannot be read".to_owned(),
    };
    let mut spec = stored::spec(book, run).map_err(trouble)?;
    // What an earlier plan had been taught is evidence already: each job is held against the
    // reckoning without any.
    spec.shop.learnt.clear();
    let plan = stored::Plan::of(run).map_err(trouble)?;
    let mut kit = plan.kit(&spec).map_err(|diag| diag.seen)?;
    let by_log = by_log(run);
    let mut cycle = "as planned";
    if by_log.is_some() {
        cycle = "by its log";
    } else if let Some(soak) = &run.soak {
        kit.way.soak = Span::from_h(soak.hours);
        cycle = "soak as set during the run";
    }
    let hot_after = hot_after(run, &plan).filter(|_| by_log.is_none());
    let followed = kit
        .follow()
        .map_err(|fault| format!("cannot be reckoned again: {fault}"))?;
    let judged = judge::judge(&spec, &evidence, None, Rule::Simple).map_err(|diags| {
        let first = diags.first().map(|diag| diag.seen.clone());
        first.unwrap_or_else(|| "its evidence cannot be judged".to_owned())
    })?;
    let date: String = run.started.to_string().chars().take(10).collect();
    let actual = Actual { hot_after, by_log };
    let lesson = lesson(
        &followed,
        &run.name,
        Some(&date),
        actual,
        (&evidence, &judged),
    )
    .map_err(|fault| format!("cannot be reckoned again: {fault}"))?;
    if lesson.rows.is_empty() {
        return Err("no reading of its evidence counts".to_owned());
    }
    Ok((lesson, cycle.to_owned(), spec.units))
}

/// The last evidence file that was kept with the run and can be read.
fn evidence_of(book: &Book, run: &Run) -> Result<Evidence, String> {
    let files = run.facts.iter().rev().filter(|fact| {
        matches!(
            fact.event,
            Event::Judgement { .. } | Event::FileAttached { .. }
        )
    });
    for file in files.flat_map(|fact| &fact.files) {
        if !file.name.to_ascii_lowercase().ends_with(".toml") {
            continue;
        }
        let bytes = book.attachment(&file.sha256).ok().flatten();
        let text = bytes.and_then(|bytes| casewright_job::decode(&bytes, &file.name).ok());
        let Some(text) = text else { continue };
        if let (Some(evidence), _) = evidence::parse(&file.name, &text) {
            return Ok(evidence);
        }
    }
    Err("no evidence file is kept with it".to_owned())
}

/// From loading to hot, where both moments were entered.
fn hot_after(run: &Run, plan: &stored::Plan) -> Option<Span> {
    let step = plan.number_of("carburize")?;
    let (begun, hot) = (run.time(step, next::BEGUN)?, run.time(step, next::HOT)?);
    let span = Span::from_s((hot.at.utc_us - begun.at.utc_us) as f64 / 1e6);
    (span > Span::ZERO).then_some(span)
}

#[derive(Deserialize)]
struct Proof {
    depth_planned_mm: f64,
    depth_logged_mm: f64,
}

/// What the last log that was judged makes of the depth, over the planned cycle's.
fn by_log(run: &Run) -> Option<f64> {
    run.facts.iter().rev().find_map(|fact| {
        let Event::LogAttached { judged_json, .. } = &fact.event else {
            return None;
        };
        let proofs: Vec<Proof> = serde_json::from_str(judged_json.as_ref()?).ok()?;
        let proof = proofs.first()?;
        let ratio = proof.depth_logged_mm / proof.depth_planned_mm;
        (ratio.is_finite() && ratio > 0.0).then_some(ratio)
    })
}

/// `shop learnt`: what it has taught, as sentences, as a table and as lines for the shop file.
pub(crate) fn answer(path: &Path, without: &[String]) -> Result<Answer, Trouble> {
    let taught = of_book(path, without)?;
    let json = wire::json(&wire::learnt::Line::of(
        &taught.learned,
        &taught.used,
        &taught.left_out,
        taught.units,
    ));
    Ok(Answer::done(told(&taught), json).with_diags(taught.learned.findings, Texts::default()))
}

fn told(taught: &Taught) -> String {
    let learned = &taught.learned;
    let mut out = String::new();
    if learned.values.is_empty() {
        out.push_str(&hanging(
            "▲ ",
            "Nothing is learnt yet: no run of this book is judged, with its evidence file kept. Plans doubt as they do without it.",
        ));
    }
    for one in &learned.together {
        out.push_str(&hanging("● ", &one.sentence(taught.units)));
    }
    if !learned.factors.is_empty() {
        out.push('\n');
        out.push_str(&factors(learned));
    }
    for (tester, offset, doubt) in &learned.testers {
        out.push_str(&hanging(
            "  ",
            &format!(
                "Tester {tester} reads {offset:+.2} of what its checks leave open (±{doubt:.2}); it is not taken as the parts'."
            ),
        ));
    }
    if !taught.used.is_empty() {
        out.push('\n');
        out.push_str(&jobs(taught));
    }
    for (run, reason) in &taught.left_out {
        out.push_str(&hanging("○ ", &format!("{run} teaches nothing: {reason}.")));
    }
    if !learned.values.is_empty() {
        out.push_str("\nFor the shop file, all of it and in this order; `plan --book` takes it from the book itself:\n");
        out.push_str(&casewright_job::print::learnt_lines(&learned.values));
    }
    out
}

fn factors(learned: &Learned) -> String {
    let rows = learned.factors.iter().map(|one| {
        let value = |x: f64| format!("{x:.2}");
        vec![
            format!("{} {}", wire::learnt::subject(one.about), one.mark),
            wire::learnt::words(one.what).to_owned(),
            value(one.value.1),
            format!("{} to {}", value(one.value.0), value(one.value.2)),
            format!("{} to {}", value(one.prior.0), value(one.prior.1)),
            one.unit.to_owned(),
        ]
    });
    let columns = [
        words("of"),
        words("what"),
        numbers("now"),
        words("90 %"),
        words("without evidence"),
        words("in"),
    ];
    table::text(&columns, &rows.collect::<Vec<_>>())
}

fn jobs(taught: &Taught) -> String {
    let rows = taught.learned.counted.iter().map(|job| {
        let cycle = taught.used.iter().find(|(run, _)| *run == job.run);
        vec![
            job.run.clone(),
            job.depth.map_or_else(
                || "none".to_owned(),
                |ratio| format!("{:+.0} %", (ratio - 1.0) * 100.0),
            ),
            format!("{:.2}", job.weight),
            format!("{:.0} %", job.right * 100.0),
            cycle.map_or_else(String::new, |(_, cycle)| cycle.clone()),
        ]
    });
    let columns = [
        words("run"),
        numbers("depth off"),
        numbers("weight"),
        numbers("readings right"),
        words("cycle"),
    ];
    table::text(&columns, &rows.collect::<Vec<_>>())
}

/// Puts what a book has taught into a job's shop, in place of what its shop file says.
pub(crate) fn into_shop(
    path: &Path,
    spec: &mut casewright_job::spec::Spec,
) -> Result<String, Trouble> {
    let taught = of_book(path, &[])?;
    let runs = taught.learned.counted.len();
    if !spec.shop.learnt.is_empty() && !taught.learned.values.is_empty() {
        spec.remarks.push(
            Diag::note(
                "learnt-from-book",
                "The shop file has learnt values too; those of the book are taken.",
            )
            .why("The same jobs would count twice."),
        );
    }
    if !taught.learned.values.is_empty() {
        spec.shop.learnt.clone_from(&taught.learned.values);
    }
    Ok(if runs == 0 {
        "Nothing is learnt from the book yet: none of its runs is judged with its evidence kept."
            .to_owned()
    } else {
        format!(
            "Planned with what {runs} judged runs of the book have taught; `casewright shop learnt` says what that is."
        )
    })
}
