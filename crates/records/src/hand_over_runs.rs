//! The tables of runs in what is handed over: every run on a line, its steps and its moments as
//! they hold now.

use crate::csv;
use crate::run::Run;
use crate::store::{Look, StoreError};

/// The tables by the names of their files.
pub(crate) fn pages(book: &impl Look) -> Result<Vec<(&'static str, String)>, StoreError> {
    let mut runs = csv::line(&[
        "run",
        "job",
        "plan_entry",
        "plan_code",
        "seed",
        "program",
        "started_utc",
        "by",
        "soak_set_h",
        "ended",
        "ended_utc",
        "because",
        "verdict",
    ]);
    let mut steps = csv::line(&[
        "run",
        "step",
        "what",
        "utc",
        "entered",
        "by",
        "role",
        "hold_point",
        "looked_at_by",
        "entry",
    ]);
    let mut times = csv::line(&["run", "step", "what", "utc", "entry"]);
    for (name, _) in Run::names(book)? {
        let Some(run) = Run::of(book, &name)? else {
            continue;
        };
        let made = run.plan.made.as_ref();
        let ended = run.ended.as_ref();
        runs.push_str(&csv::line(&[
            name.clone(),
            run.job.clone(),
            run.plan.entry.to_string(),
            run.plan.code.clone(),
            made.map(|made| made.seed.to_string()).unwrap_or_default(),
            made.map(|made| made.program.clone()).unwrap_or_default(),
            run.started.utc_text(),
            run.by.name.clone(),
            run.soak
                .as_ref()
                .map(|soak| soak.hours.to_string())
                .unwrap_or_default(),
            ended
                .map(|end| end.how.word().to_owned())
                .unwrap_or_default(),
            ended.map(|end| end.at.utc_text()).unwrap_or_default(),
            ended.map(|end| end.because.clone()).unwrap_or_default(),
            run.verdict()
                .map(|verdict| verdict.word().to_owned())
                .unwrap_or_default(),
        ]));
        for done in &run.steps {
            let entered = if done.afterwards {
                "afterwards"
            } else {
                "live"
            };
            steps.push_str(&csv::line(&[
                name.clone(),
                done.step.to_string(),
                done.what.clone(),
                done.at.utc_text(),
                entered.to_owned(),
                done.by.name.clone(),
                done.by.role.word().to_owned(),
                if done.hold_point { "yes" } else { "no" }.to_owned(),
                done.witness()
                    .map(|signed| signed.by.name.clone())
                    .unwrap_or_default(),
                done.entry.to_string(),
            ]));
        }
        for noted in &run.times {
            times.push_str(&csv::line(&[
                name.clone(),
                noted.step.to_string(),
                noted.what.clone(),
                noted.at.utc_text(),
                noted.entry.to_string(),
            ]));
        }
    }
    Ok(vec![
        ("runs.csv", runs),
        ("steps.csv", steps),
        ("times.csv", times),
    ])
}
