//! How runs are shown: the list, where one stands, and what is said after each entry.

use std::path::Path;

use casewright_records::{Event, Receipt, Run, Stamp};
use casewright_terms::Diag;

use super::next::{self, Standing, State};
use super::{find, look, stored};
use crate::answer::{Answer, Texts, Trouble};
use crate::show::table::{self, numbers, words};
use crate::show::wrap::hanging;
use crate::wire;

/// `run list`.
pub(super) fn list(book: &Path) -> Result<Answer, Trouble> {
    let book = look(book)?;
    let mut rows = Vec::new();
    let mut lines = Vec::new();
    for (name, _) in Run::names(&book)? {
        let run = find(&book, &name)?;
        // A run whose plan was entered by hand is listed all the same.
        let plan = stored::Plan::of(&run).ok();
        let next = plan.as_ref().map(|plan| Standing::of(&run, plan));
        let state = run.ended.as_ref().map_or("open", |end| end.how.word());
        let step = next.as_ref().and_then(|standing| standing.next_step);
        rows.push(vec![
            name,
            run.job.clone(),
            run.started.to_string(),
            state.to_owned(),
            step.map_or_else(|| "–".to_owned(), |step| step.to_string()),
            run.plan.code.clone(),
        ]);
        lines.push(wire::run::ListLine::of(&run, state, step));
    }
    let text = if rows.is_empty() {
        "No run was started in this book yet.\n".to_owned()
    } else {
        let columns = [
            words("run"),
            words("job"),
            words("started"),
            words("state"),
            numbers("next step"),
            words("plan"),
        ];
        table::text(&columns, &rows)
    };
    Ok(Answer::done(
        text,
        wire::json(&wire::run::List { runs: lines }),
    ))
}

/// `run show`.
pub(super) fn show(book: &Path, name: &str) -> Result<Answer, Trouble> {
    let book = look(book)?;
    let run = find(&book, name)?;
    let plan = stored::Plan::of(&run)?;
    let standing = Standing::of(&run, &plan);
    let mut text = format!(
        "Run {} of job {}, plan {} (entry {})\n",
        run.name, run.job, run.plan.code, run.plan.entry
    );
    text.push_str(&next_lines(&standing));
    if let Some(step) = standing.next_step.and_then(|number| plan.step(number))
        && run.ended.is_none()
        && run.waiting().is_none()
    {
        for seen in &step.acceptance {
            text.push_str(&hanging("  must be seen: ", seen));
        }
        for stop in &step.stop_if {
            text.push_str(&hanging("  stop if: ", stop));
        }
        if step.kind == "carburize"
            && let Some(band) = next::hot_band(&plan)
        {
            text.push_str(&hanging("  pack hot: ", &band));
        }
    }
    if let Some(soak) = &run.soak {
        let line = format!(
            "{:.2} h from when the pack is hot, set in entry {}: {}",
            soak.hours, soak.entry, soak.because
        );
        text.push_str(&hanging("Soak: ", &line));
    }
    text.push('\n');
    text.push_str(&clock_table(&run, &standing));
    text.push_str(&facts(&run));
    Ok(Answer::done(
        text,
        wire::json(&wire::run::Shown::of(
            &run,
            &standing_line(&standing),
            &lines(&standing),
        )),
    ))
}

fn next_lines(standing: &Standing) -> String {
    let mut text = hanging("Next: ", &standing.next);
    if let Some(due) = &standing.due {
        text.push_str(&format!("      at {due}\n"));
    }
    if let Some(command) = &standing.command {
        text.push_str(&format!(
            "      casewright {command} --by NAME --role ROLE\n"
        ));
    }
    text
}

fn clock_table(run: &Run, standing: &Standing) -> String {
    let shown = |stamp: &Option<Stamp>| {
        stamp.as_ref().map_or_else(
            || "–".to_owned(),
            |stamp| {
                let text = stamp.to_string();
                // Day and minute; the seconds and the zone stand in the JSON.
                text.get(..16).unwrap_or(&text).to_owned()
            },
        )
    };
    let rows: Vec<Vec<String>> = standing
        .lines
        .iter()
        .map(|line| {
            let done = run.step(line.step);
            let who = done.map_or_else(String::new, |done| {
                let seen = done
                    .witness()
                    .map(|signed| format!(", seen by {}", signed.by.name))
                    .unwrap_or_default();
                let late = if done.afterwards {
                    ", entered later"
                } else {
                    ""
                };
                format!("{}{seen}{late}", done.by.name)
            });
            let hold = match (line.hold_point, done) {
                (true, Some(done)) if done.waits_for_witness => "■ waits",
                (true, _) => "hold point",
                _ => "",
            };
            let mark = match line.state {
                State::Done => "●",
                State::Running => "▶",
                State::Ahead => " ",
            };
            vec![
                format!("{mark} {}", line.step),
                line.what.clone(),
                shown(&line.begins),
                shown(&line.hot),
                shown(&line.ends),
                hold.to_owned(),
                who,
            ]
        })
        .collect();
    let columns = [
        words("step"),
        words("what"),
        words("begins"),
        words("pack hot"),
        words("ends"),
        words("hold"),
        words("by"),
    ];
    table::text(&columns, &rows)
}

fn facts(run: &Run) -> String {
    let mut text = String::new();
    for fact in &run.facts {
        let late = if fact.afterwards {
            format!(", entered afterwards for {}", fact.at)
        } else {
            format!(", {}", fact.at)
        };
        let corrected = fact
            .corrected_by
            .map(|by| format!(" [as corrected in entry {by}]"))
            .unwrap_or_default();
        let files: String = fact
            .files
            .iter()
            .map(|file| format!(" [file {}]", file.name))
            .collect();
        let mark = if matches!(fact.event, Event::Deviation { .. }) {
            "▲ "
        } else {
            "  "
        };
        let line = format!(
            "{} {}{corrected}{files} ({}{late})",
            fact.entry,
            fact.event.told(),
            fact.by.name
        );
        text.push_str(&hanging(mark, &line));
    }
    text
}

/// What is said after an entry.
pub(super) fn after(
    run: &Run,
    standing: &Standing,
    receipt: &Receipt,
    said: &str,
    diags: Vec<Diag>,
) -> Answer {
    let mut text = hanging("● ", said);
    text.push_str(&format!("  entry {} {}\n", receipt.number, receipt.hash));
    text.push_str(&next_lines(standing));
    let json = wire::json(&wire::run::After::of(
        run,
        receipt,
        said,
        &standing_line(standing),
        &lines(standing),
        &diags,
    ));
    Answer::done(text, json).with_diags(diags, Texts::default())
}

/// The standing on the wire.
pub(super) fn standing_line(standing: &Standing) -> wire::run::NextLine {
    wire::run::NextLine {
        step: standing.next_step,
        text: standing.next.clone(),
        command: standing.command.clone(),
        due: standing.due.as_ref().map(wire::run::Clock::of),
    }
}

/// The clock on the wire.
pub(super) fn lines(standing: &Standing) -> Vec<wire::run::StepLine> {
    standing
        .lines
        .iter()
        .map(|line| wire::run::StepLine {
            step: line.step,
            what: line.what.clone(),
            state: line.state.word(),
            hold_point: line.hold_point,
            begins: line.begins.as_ref().map(wire::run::Clock::of),
            hot: line.hot.as_ref().map(wire::run::Clock::of),
            ends: line.ends.as_ref().map(wire::run::Clock::of),
        })
        .collect()
}
