//! The forms at the furnace: the one big act, a reading, what went another way, who writes. Each
//! carries a token of its own, so that a double tap enters one thing; acts that cannot be taken back
//! want a second tap.

use casewright_records::{Measured, Person, Role, Unit};
use casewright_terms::Diag;
use maud::{Markup, html};

use super::ask::{Ask, escaped};
use super::fault::Fault;
use super::furnace::{roles, signed};
use super::lang::Lang;
use super::people::random_word;
use super::words::floor::{Floor, role};
use crate::cli::run::desk::{Move, View};

/// What can be read at a furnace: its code, its name in the book, its word, its units.
const READINGS: [(&str, &str, Floor, &[Unit]); 6] = [
    ("pack", "pack couple", Floor::ReadPack, DEGREES),
    ("furnace", "furnace", Floor::ReadFurnace, DEGREES),
    ("tank", "quench tank", Floor::ReadTank, DEGREES),
    (
        "transfer",
        "transfer, door to tank",
        Floor::ReadTransfer,
        &[Unit::Second],
    ),
    ("before", "compound before", Floor::ReadBefore, MASSES),
    ("after", "compound after", Floor::ReadAfter, MASSES),
];
const DEGREES: &[Unit] = &[Unit::Celsius, Unit::Fahrenheit];
const MASSES: &[Unit] = &[Unit::Gram, Unit::Pound];

/// Entries that wait on the device; shown by the page's module.
pub(super) fn unsent(lang: Lang) -> Markup {
    html! {
        section #unsent hidden role="status" data-refused=(lang.say(Floor::Refused)) data-discard=(lang.say(Floor::Discard))
            data-yes=(lang.say(Floor::Yes)) {
            p.state-line.warn {
                span.shape aria-hidden="true" { "▲ " }
                strong #unsent-count data-text=(lang.say(Floor::Unsent)) {}
            }
            p { (lang.say(Floor::UnsentWhy)) }
            ul #unsent-list {}
            button #send-now type="button" { (lang.say(Floor::SendNow)) }
        }
    }
}

/// The one act that comes next.
pub(super) fn act(lang: Lang, view: &View, writer: Option<&Person>, must_sign: bool) -> Markup {
    if view.run.ended.is_some() {
        return html! {};
    }
    if let Some(waiting) = view.run.waiting() {
        return witness(lang, view, waiting.step, must_sign);
    }
    let Some(step) = &view.step else {
        return big(
            lang,
            view,
            writer,
            "finish",
            None,
            lang.say(Floor::ActFinish),
        );
    };
    let number = Some(step.number);
    let done = lang.tell(Floor::ActDone, &[&step.number.to_string()]);
    match (step.kind.as_str(), view.begun.is_some(), view.hot.is_some()) {
        ("carburize", _, true) => big(
            lang,
            view,
            writer,
            "done",
            number,
            lang.say(Floor::ActSoakEnd),
        ),
        ("carburize", true, _) => big(lang, view, writer, "hot", number, lang.say(Floor::ActHot)),
        ("carburize", ..) => big(
            lang,
            view,
            writer,
            "begin",
            number,
            lang.say(Floor::ActLoad),
        ),
        (_, true, _) => big(lang, view, writer, "done", number, &done),
        (kind, false, _) => {
            let begin = if kind == "quench" {
                Floor::ActCount
            } else {
                Floor::ActBegin
            };
            html! {
                (big(lang, view, writer, "begin", number, lang.say(begin)))
                (big(lang, view, writer, "done", number, &done))
            }
        }
    }
}

/// A big button that asks once more.
fn big(
    lang: Lang,
    view: &View,
    writer: Option<&Person>,
    what: &str,
    step: Option<u32>,
    words: &str,
) -> Markup {
    if writer.is_none() {
        return html! {};
    }
    html! {
        details.big {
            summary { (words) }
            form method="post" action={ "/runs/" (escaped(&view.run.name)) "/enter" } data-entry=(words) {
                (hidden(what, step, writer))
                button.huge type="submit" { (lang.say(Floor::Yes)) }
            }
        }
    }
}

fn hidden(what: &str, step: Option<u32>, writer: Option<&Person>) -> Markup {
    html! {
        input type="hidden" name="move" value=(what);
        input type="hidden" name="token" value=(random_word());
        @if let Some(step) = step { input type="hidden" name="step" value=(step); }
        (signed(writer))
    }
}

/// The second person at a hold point. Never kept on the device: it may hold a password.
fn witness(lang: Lang, view: &View, step: u32, must_sign: bool) -> Markup {
    html! {
        form.second-person method="post" action={ "/runs/" (escaped(&view.run.name)) "/enter" } {
            (hidden("witness", Some(step), None))
            div.field {
                label for="second" { (lang.say(Floor::SecondName)) }
                input #second type="text" name="second" required maxlength="80" autocomplete="off";
            }
            @if must_sign {
                div.field {
                    label for="second-password" { (lang.say(Floor::Password)) }
                    input #second-password type="password" name="second_password" required autocomplete="off";
                }
            } @else {
                div.field {
                    label for="second-role" { (lang.say(Floor::As)) }
                    select #second-role name="second_role" { (roles(lang, Role::Instructor)) }
                }
            }
            button.huge type="submit" { (lang.say(Floor::SecondSigns)) }
        }
    }
}

/// Who writes: who is signed in, or a form to say it.
pub(super) fn who(ask: &Ask, writer: Option<&Person>, must_sign: bool) -> Markup {
    let lang = ask.lang;
    html! {
        @if let Some(writer) = writer {
            p.who { (lang.say(Floor::WhoWrites)) ": " strong { (writer.name) } ", " (lang.say(role(writer.role))) }
        }
        @if !must_sign {
            @let form = html! {
                form.who-form method="post" action="/who" {
                    input type="hidden" name="back" value=(ask.address);
                    div.row {
                        div.field {
                            label for="who-name" { (lang.say(Floor::Name)) }
                            input #who-name type="text" name="name" required maxlength="80"
                                value=[writer.map(|writer| writer.name.as_str())];
                        }
                        div.field {
                            label for="who-role" { (lang.say(Floor::As)) }
                            select #who-role name="role" {
                                (roles(lang, writer.map_or(Role::Operator, |writer| writer.role)))
                            }
                        }
                    }
                    button.tall type="submit" { (lang.say(Floor::Keep)) }
                }
            };
            @if writer.is_some() {
                details { summary { (lang.say(Floor::WhoWrites)) } (form) }
            } @else {
                h2 { (lang.say(Floor::WhoFirst)) }
                (form)
            }
        }
    }
}

/// A reading, and what went another way.
pub(super) fn quick(lang: Lang, view: &View, writer: Option<&Person>) -> Markup {
    let step = view.step.as_ref().map(|step| step.number);
    let action = format!("/runs/{}/enter", escaped(&view.run.name));
    html! {
        details #quick {
            summary.tall { (lang.say(Floor::Quick)) }
            form method="post" action=(action) data-entry=(lang.say(Floor::Quick)) {
                (hidden("read", step, writer))
                div.field {
                    label for="what" { (lang.say(Floor::ReadWhat)) }
                    select #what name="what" {
                        @for (code, _, word, units) in READINGS {
                            option value=(code) { (lang.say(word)) " (" (symbols(units)) ")" }
                        }
                    }
                }
                div.row {
                    div.field {
                        label for="value" { (lang.say(Floor::Value)) }
                        input #value type="text" name="value" inputmode="decimal" autocomplete="off" required maxlength="12";
                    }
                    div.field {
                        label for="unit-of" { (lang.say(Floor::UnitWord)) }
                        select #unit-of name="unit" {
                            @for unit in [Unit::Celsius, Unit::Fahrenheit, Unit::Second, Unit::Gram, Unit::Pound] {
                                option value=(unit.symbol()) { (unit.symbol()) }
                            }
                        }
                    }
                }
                button.huge type="submit" { (lang.say(Floor::Enter)) }
            }
        }
        details #other {
            summary.tall { (lang.say(Floor::WentOther)) }
            form method="post" action=(action) data-entry=(lang.say(Floor::WentOther)) {
                (hidden("deviation", step, writer))
                div.field {
                    label for="happened" { (lang.say(Floor::WhatHappened)) }
                    textarea #happened name="what" rows="2" required maxlength="2000" {}
                }
                div.field {
                    label for="about-it" { (lang.say(Floor::WhatDone)) }
                    textarea #about-it name="done" rows="2" required maxlength="2000" {}
                }
                button.huge type="submit" { (lang.say(Floor::Enter)) }
            }
        }
    }
}

fn symbols(units: &[Unit]) -> String {
    let symbols: Vec<&str> = units.iter().map(|unit| unit.symbol()).collect();
    symbols.join(", ")
}

/// Temperatures that can be read at such a furnace, in °C: from a cold shop to where the couple melts.
const TEMPERATURES_C: std::ops::RangeInclusive<f64> = -30.0..=1250.0;

/// A reading as typed, held against what can be read there.
pub(super) fn reading(ask: &Ask, step: Option<u32>) -> Result<Move, Fault> {
    let (_, name, _, units) = READINGS
        .into_iter()
        .find(|(code, ..)| *code == ask.form.get("what"))
        .ok_or_else(|| {
            Fault::Input(vec![
                Diag::stop("entry-reading", "It is not said what was read.")
                    .accepted("Send pack, furnace, tank, transfer, before or after as `what`."),
            ])
        })?;
    let unit = Unit::from_symbol(ask.form.get("unit"));
    let value = ask.form.get("value");
    let wrong = |said: String, accepted: String| {
        Err(Fault::Input(vec![
            Diag::stop("entry-value", said)
                .why("A wrong number in the book costs more than a second look.")
                .accepted(accepted),
        ]))
    };
    let Some(unit) = unit.filter(|unit| units.contains(unit)) else {
        return wrong(
            format!(
                "\"{} {}\" is no unit of {name}.",
                value,
                ask.form.get("unit")
            ),
            format!("Choose one of {}.", symbols(units)),
        );
    };
    let Ok(measured) = Measured::new(value, unit) else {
        return wrong(
            format!("\"{value}\" is no number."),
            "Write digits, as in 918 or 1.2.".to_owned(),
        );
    };
    if let Some(temperature) = measured.temperature()
        && !TEMPERATURES_C.contains(&temperature.to_c())
    {
        return wrong(
            format!("{name} at {measured} cannot be read."),
            "Check the digits and whether the instrument shows °C or °F.".to_owned(),
        );
    }
    if measured.temperature().is_none() && measured.value() < 0.0 {
        return wrong(
            format!("{name} is below zero: {measured}."),
            "Check the digits.".to_owned(),
        );
    }
    Ok(Move::Read(
        name.to_owned(),
        format!("{value}{}", unit.symbol()),
        step,
    ))
}
