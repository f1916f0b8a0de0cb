//! The shop book as it stands: runs, entries with what was said about them later, and whether the
//! chain is whole. Looks only.

use casewright_records::view::{Seen, seen};
use casewright_records::{Event, Look, Meaning, Person, Role, Run, Wanted, check};
use casewright_terms::Diag;
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::fault::Fault;
use super::lang::Lang;
use super::route::Route;
use super::site::Site;
use super::words::Word;
use super::words::floor::{Floor, role};
use super::{book, frame, furnace};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page(
        "/book",
        "The shop book: runs, entries, and whether the chain is whole.",
        page,
    ),
    Route::form("/book/sign", "Signs an entry as approved.", approved),
];

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
        (entry_table(lang, &entries, furnace::writer(ask).as_ref()))
        @if after > 0 {
            p { a.button.quiet href={ "/book?before=" (after + 1) } { (lang.say(Floor::Earlier)) } }
        }
    };
    Ok(Reply::page(frame::page(ask, title, "/book", body)))
}

/// Approves an entry under the name of who is signed in. The book refuses a student; the one who did a
/// thing is refused here, because a second name is what an approval is worth.
fn approved(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let refused = |diag: Diag| Fault::Input(vec![diag]);
    let by = furnace::writer(ask).ok_or_else(|| {
        refused(
            Diag::stop("entry-of-nobody", "Nobody is named who signs this.")
                .accepted("Say who writes, on the page of a run."),
        )
    })?;
    let number: u64 = ask.form.get("entry").parse().unwrap_or(0);
    let entry = site.look()?.entry(number)?.ok_or_else(|| {
        refused(
            Diag::stop("book-entry-unknown", format!("There is no entry {number}."))
                .accepted("Look up the number in the book."),
        )
    })?;
    if entry.content.by.name == by.name {
        return Err(refused(
            Diag::stop(
                "book-own-approval",
                format!("{} entered entry {number} and cannot approve it.", by.name),
            )
            .why("An approval is worth the second person behind it.")
            .accepted("Let another person sign in and approve."),
        ));
    }
    site.add(
        by,
        Event::Signature {
            of: number,
            of_hash: entry.hash,
            meaning: Meaning::Approved,
        },
        Vec::new(),
    )?;
    Ok(Reply::go(&format!("/book#entry-{number}")))
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
                                @if run.practice { span.second { (lang.say(Floor::Practice)) } br; }
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

fn entry_table(lang: Lang, entries: &[Seen], writer: Option<&Person>) -> Markup {
    html! {
        table.list {
            thead { tr {
                th scope="col" { (lang.say(Floor::Number)) }
                th scope="col" { (lang.say(Floor::What)) }
                th scope="col" { (lang.say(Floor::Who)) }
                th scope="col" { (lang.say(Floor::When)) }
            } }
            tbody { @for entry in entries { (entry_row(lang, entry, writer)) } }
        }
    }
}

/// Whether the book would take this person's approval; deviations, judgements and steps want one.
fn may_approve(writer: &Person, seen: &Seen) -> bool {
    let wants = matches!(
        seen.holds(),
        Some(Event::Deviation { .. } | Event::Judgement { .. } | Event::StepDone { .. })
    );
    let signed = seen
        .signatures
        .iter()
        .any(|signed| signed.by.name == writer.name && signed.meaning == Meaning::Approved);
    wants && !signed && writer.role != Role::Student && writer.name != seen.entry.content.by.name
}

fn entry_row(lang: Lang, seen: &Seen, writer: Option<&Person>) -> Markup {
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
                @if writer.is_some_and(|writer| may_approve(writer, seen)) {
                    form method="post" action="/book/sign" {
                        input type="hidden" name="entry" value=(content.number);
                        button.quiet type="submit" { (lang.say(Floor::Approve)) }
                    }
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
