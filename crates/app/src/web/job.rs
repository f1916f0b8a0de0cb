//! A job: its note and how it was read, what is open, and what the book says of it. Also what every
//! page of a job shares: finding it, its plan, and the way between its pages.

use std::sync::Arc;

use casewright_job::note::reading::NoteReading;
use casewright_records::view::seen;
use casewright_records::{Event, Wanted};
use casewright_terms::Diag;
use maud::{Markup, PreEscaped, html};

use super::ask::{Ask, Reply, escaped};
use super::book::{self, JobEntry};
use super::desk::{self, JOB_TEXT, SHOP_TEXT, Stand, Work};
use super::fault::Fault;
use super::jobs::stage;
use super::lang::Lang;
use super::route::Route;
use super::site::Site;
use super::words::work::Work as W;
use super::{frame, svg};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page("/jobs/{job}", "A job's note and how it was read.", note),
    Route::page(
        "/jobs/{job}/entries",
        "What the book says of a job.",
        entries,
    ),
];

/// Most entries of one job that a page shows.
const MOST_ENTRIES: usize = 2000;

/// A job of the book with its texts.
pub(crate) struct Taken {
    /// What the book knows.
    pub(crate) entry: JobEntry,
    /// The job's text.
    pub(crate) job: String,
    /// The shop's; empty where none was kept.
    pub(crate) shop: String,
}

/// The job that the address names.
///
/// # Errors
/// Where there is none, or the book cannot be read.
pub(crate) fn taken(site: &Site, ask: &Ask) -> Result<Taken, Fault> {
    named(site, ask.parts.get("job"))
}

/// A job by its name.
///
/// # Errors
/// Where there is none, or the book cannot be read.
pub(crate) fn named(site: &Site, name: &str) -> Result<Taken, Fault> {
    let look = site.look()?;
    let entry = book::job(&look, name)?.ok_or(Fault::Missing)?;
    // The job's text is kept first, whatever its file was called.
    let first = entry
        .files
        .first()
        .map_or(JOB_TEXT, |file| &file.name)
        .to_owned();
    let job = entry.text(&look, &first)?.unwrap_or_default();
    let shop = match entry.text(&look, SHOP_TEXT)? {
        Some(shop) => shop,
        None => match entry.files.get(1).map(|file| file.name.clone()) {
            Some(second) => entry.text(&look, &second)?.unwrap_or_default(),
            None => String::new(),
        },
    };
    Ok(Taken { entry, job, shop })
}

/// The plan of the job, or the page that says how far it is.
///
/// # Errors
/// Where the job cannot be read or the program failed.
pub(crate) fn planned(
    site: &Site,
    ask: &Ask,
    taken: &Taken,
    place: W,
) -> Result<Result<Arc<Work>, Reply>, Fault> {
    match site.desk.ask(&taken.job, &taken.shop) {
        Ok(Stand::Ready(work)) => Ok(Ok(work)),
        Ok(Stand::Failed(words)) => Err(Fault::Inside(words)),
        Ok(Stand::Waiting(hundredths)) => Ok(Err(waiting(site, ask, taken, place, hundredths))),
        Err(diags) => Ok(Err(not_plannable(site, ask, taken, place, &diags))),
    }
}

fn waiting(site: &Site, ask: &Ask, taken: &Taken, place: W, hundredths: u32) -> Reply {
    let lang = ask.lang;
    let words = lang.tell(W::Planning, &[&hundredths.to_string()]);
    let body = html! {
        (head(site, ask, taken, place))
        h1 { (words) }
        progress max="100" value=(hundredths) aria-label=(words) {}
        p { (lang.say(W::PlanningMore)) }
    };
    Reply::page(frame::page(ask, &taken.entry.job, "/", body))
        .status(202)
        .head("refresh", "2")
}

fn not_plannable(site: &Site, ask: &Ask, taken: &Taken, place: W, diags: &[Diag]) -> Reply {
    let body = html! {
        (head(site, ask, taken, place))
        h1 { span.shape aria-hidden="true" { "■ " } (ask.lang.say(W::NotPlannable)) }
        (frame::findings(diags))
        p { a.button href={ "/take-in?mode=text&from=" (escaped(&taken.entry.job)) } {
            (ask.lang.say(W::TakeInChanged))
        } }
    };
    Reply::page(frame::page(ask, &taken.entry.job, "/", body))
}

/// Name, state and the way between the pages of a job.
pub(crate) fn head(site: &Site, ask: &Ask, taken: &Taken, place: W) -> Markup {
    let lang = ask.lang;
    let base = format!("/jobs/{}", escaped(&taken.entry.job));
    let places = [
        (base.clone(), W::Note),
        (format!("{base}/work-up"), W::WorkUp),
        (format!("{base}/ways"), W::Ways),
        (format!("{base}/sheet"), W::RunSheet),
        (format!("{base}/entries"), W::Entries),
    ];
    html! {
        (frame::invented(site, ask))
        p.over { (taken.entry.job) " · " (taken.entry.title) " · " (stage(lang, &taken.entry.stage)) }
        nav.within aria-label=(taken.entry.job) {
            ul {
                @for (to, word) in places {
                    li {
                        a href=(to) aria-current=[(word == place).then_some("page")] {
                            (lang.say(word))
                        }
                    }
                }
            }
        }
    }
}

/// The note as it was taken in, before any answer.
fn reading(taken: &Taken) -> NoteReading {
    let text = toml::from_str::<toml::Table>(&taken.job)
        .ok()
        .and_then(|table| {
            table
                .get("note")
                .and_then(|note| note.as_str().map(str::to_owned))
        })
        .unwrap_or_default();
    casewright_job::note::read(&text)
}

fn note(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let lang = ask.lang;
    let taken = taken(site, ask)?;
    let read = desk::read(&taken.job, &taken.shop);
    let note = match &read {
        Ok((spec, _)) => spec.note.clone(),
        Err(_) => reading(&taken),
    };
    let open = !note.blocks.is_empty();
    let title = match (&read, open) {
        (_, true) => W::OpenQuestions,
        (Ok(_), false) => W::NothingOpen,
        (Err(_), false) => W::NotPlannable,
    };
    let body = html! {
        (head(site, ask, &taken, W::Note))
        h1 {
            span.shape aria-hidden="true" { @if title == W::NothingOpen { "● " } @else { "■ " } }
            (lang.say(title))
        }
        h2 { (lang.say(W::NoteVerbatim)) }
        blockquote.note { (note.text) }
        (phrases(lang, &note))
        @if open { (questions(lang, &note)) }
        @match &read {
            Err(diags) => { (frame::findings(diags)) }
            Ok((spec, _)) => {
                @if !spec.remarks.is_empty() { (frame::findings(&spec.remarks)) }
                @if !spec.defaults.is_empty() {
                    details {
                        summary { (lang.say(W::Defaults)) }
                        ul lang="en" { @for line in &spec.defaults { li { (line) } } }
                    }
                }
            }
        }
        details {
            summary { (lang.say(W::JobFile)) }
            pre.scroll { (taken.job) }
        }
        p.no-print { a.button.quiet href={ "/take-in?mode=text&from=" (escaped(&taken.entry.job)) } {
            (lang.say(W::TakeInChanged))
        } }
    };
    Ok(Reply::page(frame::page(ask, &taken.entry.job, "/", body)))
}

/// How a note was read, phrase by phrase.
pub(crate) fn phrases(lang: Lang, note: &NoteReading) -> Markup {
    html! {
        h2 { (lang.say(W::HowRead)) }
        table.list {
            thead { tr {
                th scope="col" { (lang.say(W::Phrase)) }
                th scope="col" { (lang.say(W::Meaning)) }
            } }
            tbody lang="en" {
                @for phrase in &note.phrases {
                    tr {
                        th scope="row" { (phrase.phrase) }
                        td data-head=(lang.say(W::Meaning)) {
                            (phrase.understood)
                            @if let Some(assumed) = &phrase.assumed {
                                p.assumed { (lang.tell(W::Assumed, &[assumed])) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn questions(lang: Lang, note: &NoteReading) -> Markup {
    html! {
        h2 { (lang.say(W::OpenQuestions)) }
        ul.findings lang="en" {
            @for block in &note.blocks {
                li.stop {
                    span.shape aria-hidden="true" { "■" }
                    div { (block.text) " " code { (block.code) } }
                }
            }
        }
        @if let Some(question) = &note.question {
            h2 { (lang.say(W::WordsToSend)) }
            div.letter lang="en" { (question) }
        }
    }
}

fn entries(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let lang = ask.lang;
    let taken = taken(site, ask)?;
    let look = site.look()?;
    let mut all = seen(&look, Wanted::Job(&taken.entry.job), 0, MOST_ENTRIES)?;
    let runs: Vec<String> = all
        .iter()
        .filter_map(|seen| match &seen.entry.content.event {
            Event::RunStarted { run, .. } => Some(run.clone()),
            _ => None,
        })
        .collect();
    for run in &runs {
        all.extend(seen(&look, Wanted::Run(run), 0, MOST_ENTRIES)?);
    }
    all.sort_by_key(|seen| seen.entry.content.number);
    all.dedup_by_key(|seen| seen.entry.content.number);
    let body = html! {
        (head(site, ask, &taken, W::Entries))
        h1 { (stage(lang, &taken.entry.stage)) }
        table.list {
            thead { tr {
                @for word in [W::EntryNumber, W::When, W::Who, W::What] {
                    th scope="col" { (lang.say(word)) }
                }
            } }
            tbody {
                @for seen in &all {
                    tr {
                        th scope="row" { (seen.entry.content.number) }
                        td.when data-head=(lang.say(W::When)) { (seen.entry.content.at.to_string()) }
                        td data-head=(lang.say(W::Who)) { (seen.entry.content.by.name) }
                        td data-head=(lang.say(W::What)) lang="en" {
                            (seen.entry.content.event.told())
                            @if let Some(corrected) = &seen.corrected {
                                p.assumed { "see entry " (corrected.by) ": " (corrected.reason) }
                            }
                            @for signed in &seen.signatures {
                                p.second { (signed.meaning.word()) ": " (signed.by.name) }
                            }
                        }
                    }
                }
            }
        }
    };
    Ok(Reply::page(frame::page(ask, &taken.entry.job, "/", body)))
}

/// A drawing with its title; `wide` ones scroll on a phone instead of shrinking.
pub(crate) fn figure(lang: Lang, word: W, class: &str, drawing: Option<&String>) -> Markup {
    html! {
        @if let Some(drawing) = drawing {
            figure class=(class) {
                figcaption { (lang.say(word)) }
                div.scroll tabindex="0" role="group" aria-label=(lang.say(word)) {
                    (PreEscaped(svg::spoken(lang, drawing)))
                }
            }
        }
    }
}
