//! The frame around every page: head, the way through the pages, and small pieces that many use.

use casewright_terms::{Diag, Severity};
use maud::{DOCTYPE, Markup, html};

use super::ask::{Ask, Reply};
use super::fault::Fault;
use super::lang::Lang;
use super::route::Route;
use super::serve::LANG_COOKIE;
use super::sign_in;
use super::site::Site;
use super::words::Word;

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[Route::form(
    "/language",
    "Chooses the language of the pages.",
    choose,
)];

/// Places that the head of every page leads to: address and word.
const PLACES: [(&str, Word); 4] = [
    ("/", Word::Jobs),
    ("/take-in", Word::NewJob),
    ("/handbook", Word::Handbook),
    ("/book", Word::ShopBook),
];

/// A whole page. `place` is the address in [`PLACES`] that the page belongs to; empty for none.
pub(crate) fn page(ask: &Ask, title: &str, place: &str, body: Markup) -> Markup {
    let lang = ask.lang;
    let version = env!("CARGO_PKG_VERSION");
    html! {
        (DOCTYPE)
        html lang=(lang.code()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " – Casewright" }
                link rel="icon" href={ "/assets/mark.svg?" (version) } type="image/svg+xml";
                link rel="stylesheet" href={ "/assets/paper.css?" (version) };
                script type="module" src={ "/assets/live.js?" (version) } {}
            }
            body {
                a.skip href="#page" { (lang.say(Word::SkipToPage)) }
                header.top {
                    a.name href="/" { "Casewright" }
                    nav aria-label=(lang.say(Word::Jobs)) {
                        ul {
                            @for (to, word) in PLACES {
                                li {
                                    a href=(to) aria-current=[(to == place).then_some("page")] {
                                        (lang.say(word))
                                    }
                                }
                            }
                        }
                    }
                }
                main id="page" tabindex="-1" { (body) }
                footer { (foot(ask)) }
            }
        }
    }
}

fn foot(ask: &Ask) -> Markup {
    let lang = ask.lang;
    html! {
        @if lang != Lang::En { p { (lang.say(Word::EngineEnglish)) } }
        form method="post" action="/language" {
            input type="hidden" name="back" value=(ask.address);
            label for="language" { (lang.say(Word::Language)) }
            select id="language" name="language" {
                @for known in Lang::ALL {
                    option value=(known.code()) lang=(known.code()) selected[known == lang] {
                        (known.name())
                    }
                }
            }
            button.quiet type="submit" { (lang.say(Word::Choose)) }
        }
        (sign_in::foot(ask))
        p.version { "Casewright " (env!("CARGO_PKG_VERSION")) }
    }
}

/// The band that says that nothing here is real.
pub(crate) fn invented(site: &Site, ask: &Ask) -> Markup {
    html! {
        @if site.demo { p.invented { (ask.lang.say(Word::Invented)) } }
    }
}

/// The address where it is within these pages, and the list of jobs where it is not: `//name` would
/// lead elsewhere.
pub(crate) fn within(back: &str) -> &str {
    if back.starts_with('/') && !back.starts_with("//") && !back.contains('\\') {
        back
    } else {
        "/"
    }
}

fn choose(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let lang = Lang::of(ask.form.get("language")).ok_or(Fault::Missing)?;
    let back = within(ask.form.get("back"));
    Ok(Reply::go(back).head(
        "set-cookie",
        format!(
            "{LANG_COOKIE}={}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Lax",
            lang.code()
        ),
    ))
}

/// Shape of a weight.
pub(crate) const fn shape(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "■",
        Severity::Warn => "▲",
        Severity::Note => "○",
    }
}

/// Complaints, each with its way out. The engine's words, so English.
pub(crate) fn findings(diags: &[Diag]) -> Markup {
    html! {
        ul.findings lang="en" {
            @for diag in diags {
                li class=(diag.severity.word()) {
                    span.shape aria-hidden="true" { (shape(diag.severity)) }
                    div {
                        strong.state { (diag.severity.word()) } " "
                        (diag.text())
                        @if !diag.accepted.is_empty() { p.accepted { (diag.accepted) } }
                    }
                }
            }
        }
    }
}
