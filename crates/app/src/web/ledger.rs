//! The shop book as it stands: runs, entries with what was said about them later, and whether the
//! chain is whole. Looks only.

use casewright_records::view::{Seen, seen};
use casewright_records::{Look, Run, Wanted, check};
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::fault::Fault;
use super::lang::Lang;
use super::route::Route;
use super::site::Site;
use super::words::Word;
use super::words::floor::{Floor, role};
use super::{book, frame};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[Route::page(
    "/book",
    "The shop book: runs, entries, and whether the chain is whole.",
    page,
)];

/// Entries on one page.
const ON_A_PAGE: u64 = 100;

fn page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let lang = ask.lang;
    let look = site.look()?;
    let head = look.head()?;
    // `before` is the number above the first one shown.
    let before = ask
        .query
        .given("before")
        .and_then(|number| number.parse().ok())
        .map_or(head.count + 1, |number: u64| number.min(head.count + 1));
    let after = before.saturating_sub(ON_A_PAGE + 1);
    let most = usize::try_from(before.saturating_sub(after + 1)).unwrap_or(0);
    let mut entries = if most == 0 {
        Vec::new()
    } else {
        seen(&look, Wanted::All, after, most)?
    };
    entries.reverse();
    let mut runs = Vec::new();
    for (name, _) in Run::names(&look)? {
        runs.extend(Run::of(&look, &name)?);
    }
    runs.reverse();
    let title = lang.say(Word::ShopBook);
    let body = html! {
        (frame::invented(site, ask))
        p.over { (book::shop(&look)?) }
        h1 { (title) }
        (whole(lang, &look)?)
        h2 { (lang.say(Floor::Runs)) }
        (run_table(lang, &runs))
        h2 { (lang.say(Floor::Entries)) }
        (entry_table(lang, &entries))
        @if after > 0 {
            p { a.button.quiet href={ "/book?before=" (after + 1) } { (lang.say(Floor::Earlier)) } }
        }
    };
    Ok(Reply::page(frame::page(ask, title, "/book", body)))
}

fn whole(lang: Lang, look: &impl Look) -> Result<Markup, Fault> {
    let report = check(look, None)?;
    let head = look.head()?;
    let hash = head.hash.to_string();
    Ok(html! {
        @if report.troubles.is_empty() {
            p { span.stand.go { span.shape aria-hidden="true" { "● " } }
                (lang.tell(Floor::CheckWhole, &[&head.count.to_string(), hash.get(..12).unwrap_or(&hash)])) }
        } @else {
            p.stop { span.shape aria-hidden="true" { "■ " } strong { (lang.say(Floor::CheckBroken)) } }
            ul lang="en" { @for trouble in &report.troubles { li { (trouble.what) } } }
        }
    })
}

fn run_table(lang: Lang, runs: &[Run]) -> Markup {
    html! {
        @if runs.is_empty() { p { (lang.say(Floor::NoRuns)) } } @else {
            table.list {
                thead { tr {
                    th scope="col" { (lang.say(Floor::Run)) }
                    th scope="col" { (lang.say(Word::Job)) }
                    th scope="col" { (lang.say(Floor::StartedAt)) }
                    th scope="col" { (lang.say(Floor::State)) }
                } }
                tbody {
                    @for run in runs {
                        tr {
                            th scope="row" data-head=(lang.say(Floor::Run)) {
                                a href={ "/runs/" (escaped(&run.name)) } { (run.name) }
                            }
                            td data-head=(lang.say(Word::Job)) { (run.job) }
                            td.when data-head=(lang.say(Floor::StartedAt)) { (run.started.to_string()) }
                            td data-head=(lang.say(Floor::State)) {
                                @if run.ended.is_some() { "● " (lang.say(Floor::StateEnded)) }
                                @else if run.waiting().is_some() { "■ " (lang.say(Floor::StateHold)) }
                                @else { "● " (lang.say(Floor::StateRunning)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn entry_table(lang: Lang, entries: &[Seen]) -> Markup {
    html! {
        table.list {
            thead { tr {
                th scope="col" { (lang.say(Floor::Number)) }
                th scope="col" { (lang.say(Floor::What)) }
                th scope="col" { (lang.say(Floor::Who)) }
                th scope="col" { (lang.say(Floor::When)) }
            } }
            tbody { @for entry in entries { (entry_row(lang, entry)) } }
        }
    }
}

fn entry_row(lang: Lang, seen: &Seen) -> Markup {
    let content = &seen.entry.content;
    html! {
        tr id={ "entry-" (content.number) } {
            th scope="row" data-head=(lang.say(Floor::Number)) { (content.number) }
            td data-head=(lang.say(Floor::What)) {
                @match &seen.corrected {
                    None => { span lang="en" { (content.event.told()) } }
                    Some(corrected) => {
                        del lang="en" { (content.event.told()) }
                        br;
                        @match &corrected.instead {
                            Some(event) => {
                                span lang="en" { (event.told()) } " "
                                span.second { (lang.tell(Floor::Corrected, &[&corrected.by.to_string(), &corrected.reason])) }
                            }
                            None => {
                                span.second { (lang.tell(Floor::Withdrawn, &[&corrected.by.to_string(), &corrected.reason])) }
                            }
                        }
                    }
                }
                @for signed in &seen.signatures {
                    br;
                    span.second lang="en" { (signed.by.name) ": " (signed.meaning.word()) }
                }
            }
            td data-head=(lang.say(Floor::Who)) { (content.by.name) ", " (lang.say(role(content.by.role))) }
            td.when data-head=(lang.say(Floor::When)) {
                (seen.happened().to_string())
                @if matches!(content.entered, casewright_records::Entered::Afterwards { .. }) {
                    " · " (lang.say(Floor::Afterwards))
                }
            }
        }
    }
}
