//! Signing in and out.

use casewright_records::Person;
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::fault::Fault;
use super::frame;
use super::people::{NotIn, SESSION_COOKIE};
use super::route::Route;
use super::site::Site;
use super::words::floor::{Floor, role};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page("/sign-in", "Asks who is there.", page),
    Route::form("/sign-in", "Signs a person in.", signed_in),
    Route::form("/sign-out", "Ends the session.", signed_out),
];

/// Leads whoever is not signed in to the way in, and back afterwards.
pub(crate) fn show_the_way(ask: &Ask) -> Reply {
    Reply::go(&format!("/sign-in?back={}", escaped(&ask.address)))
}

/// Who is signed in, and the way out.
pub(crate) fn foot(ask: &Ask) -> Markup {
    let lang = ask.lang;
    html! {
        @if let Some(who) = &ask.signed_in {
            form method="post" action="/sign-out" {
                span { (lang.tell(Floor::SignedAs, &[&who.name, lang.say(role(who.role))])) }
                button.quiet type="submit" { (lang.say(Floor::SignOut)) }
            }
        }
    }
}

fn page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    if !site.people.any() {
        return Err(Fault::Missing);
    }
    Ok(form(ask, ask.query.get("back"), "", None))
}

fn form(ask: &Ask, back: &str, name: &str, wrong: Option<Floor>) -> Reply {
    let lang = ask.lang;
    let title = lang.say(Floor::SignIn);
    let body = html! {
        h1 { (title) }
        p { (lang.say(Floor::SignInWhy)) }
        @if let Some(wrong) = wrong {
            p.stop role="alert" { span.shape aria-hidden="true" { "■ " } strong { (lang.say(wrong)) } }
        }
        form.sheet method="post" action="/sign-in" {
            input type="hidden" name="back" value=(back);
            div.field {
                label for="name" { (lang.say(Floor::Name)) }
                input #name type="text" name="name" value=(name) required maxlength="80" autocomplete="username";
            }
            div.field {
                label for="password" { (lang.say(Floor::Password)) }
                input #password type="password" name="password" required maxlength="256" autocomplete="current-password";
            }
            button type="submit" { (title) }
        }
    };
    Reply::page(frame::page(ask, title, "", body))
}

fn signed_in(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let (name, back) = (ask.form.get("name"), ask.form.get("back"));
    let who: Person = match site.people.prove(name, ask.form.get("password")) {
        Ok(who) => who,
        Err(NotIn::Often) => {
            return Ok(form(ask, back, name, Some(Floor::SignInOften))
                .status(429)
                .head("retry-after", "60"));
        }
        Err(NotIn::Wrong) => {
            return Ok(form(ask, back, name, Some(Floor::SignInWrong)).status(401));
        }
    };
    // A session of before ends: nobody else's token lives on in this browser.
    if let Some(old) = ask.cookie(SESSION_COOKIE) {
        site.people.end(old)?;
    }
    let token = site.people.begin(&who)?;
    Ok(Reply::go(frame::within(back)).head(
        "set-cookie",
        format!("{SESSION_COOKIE}={token}; Path=/; HttpOnly; SameSite=Lax"),
    ))
}

fn signed_out(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    if let Some(token) = ask.cookie(SESSION_COOKIE) {
        site.people.end(token)?;
    }
    Ok(Reply::go("/sign-in").head(
        "set-cookie",
        format!("{SESSION_COOKIE}=; Path=/; Max-Age=0; HttpOnly; SameSite=Lax"),
    ))
}
