//! The list of jobs and where each stands.

use casewright_records::Verdict;
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::book::{self, JobEntry, Stage};
use super::fault::Fault;
use super::frame;
use super::lang::Lang;
use super::route::Route;
use super::site::Site;
use super::words::Word;

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[Route::page("/", "Jobs and where each stands.", list)];

fn list(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let lang = ask.lang;
    let look = site.look()?;
    let shop = book::shop(&look)?;
    let jobs = book::jobs(&look)?;
    let body = html! {
        (frame::invented(site, ask))
        p.over { (shop) }
        h1 {
            @match jobs.len() {
                0 => (lang.say(Word::JobsNone)),
                1 => (lang.say(Word::JobsOne)),
                many => (lang.tell(Word::JobsMany, &[&many.to_string()])),
            }
        }
        @if !jobs.is_empty() { (table(lang, &jobs)) }
        p { a.button href="/take-in" { (lang.say(Word::NewJob)) } }
    };
    Ok(Reply::page(frame::page(
        ask,
        lang.say(Word::Jobs),
        "/",
        body,
    )))
}

fn table(lang: Lang, jobs: &[JobEntry]) -> Markup {
    html! {
        table.list {
            thead {
                tr {
                    th scope="col" { (lang.say(Word::Job)) }
                    th scope="col" { (lang.say(Word::WhatItIs)) }
                    th scope="col" { (lang.say(Word::WhereItStands)) }
                    th scope="col" { (lang.say(Word::Since)) }
                }
            }
            tbody {
                @for job in jobs {
                    tr {
                        th scope="row" data-head=(lang.say(Word::Job)) {
                            a href={ "/jobs/" (escaped(&job.job)) } { (job.job) }
                        }
                        td data-head=(lang.say(Word::WhatItIs)) { (job.title) }
                        td data-head=(lang.say(Word::WhereItStands)) { (stage(lang, &job.stage)) }
                        td.when data-head=(lang.say(Word::Since)) { (job.since.to_string()) }
                    }
                }
            }
        }
    }
}

/// Where a job stands: shape and words.
pub(crate) fn stage(lang: Lang, stage: &Stage) -> Markup {
    let (shape, class, text) = match stage {
        Stage::TakenIn => ("○", "note", lang.say(Word::StageTakenIn).to_owned()),
        Stage::Planned => ("○", "note", lang.say(Word::StagePlanned).to_owned()),
        Stage::Running(None) => ("●", "go", lang.say(Word::StageStarted).to_owned()),
        Stage::Running(Some(step)) => (
            "●",
            "go",
            lang.tell(Word::StageRunning, &[&step.to_string()]),
        ),
        Stage::Judged(Verdict::Meets) => ("●", "go", lang.say(Word::StageMeets).to_owned()),
        Stage::Judged(Verdict::DoesNotMeet) => ("■", "stop", lang.say(Word::StageFails).to_owned()),
        Stage::Judged(Verdict::NotShown) => ("▲", "warn", lang.say(Word::StageNotShown).to_owned()),
    };
    html! {
        span class={ "stand " (class) } {
            span.shape aria-hidden="true" { (shape) } " " (text)
        }
    }
}
