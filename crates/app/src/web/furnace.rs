//! A run at the furnace: one number, one state, one thing to do, readable across the shop. The number
//! follows from the times in the book; a module in the page only paints it between two looks. Without
//! that module the same forms work as plain forms.

use casewright_records::{Person, Role, Stamp};
use casewright_terms::Diag;
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::fault::Fault;
use super::lang::Lang;
use super::route::{Method, Param, Route};
use super::site::{Site, person};
use super::words::floor::{Floor, role};
use super::{frame, furnace_forms as forms, people};
use crate::cli::run::desk::{self, Move, Sending, View};
use crate::{wire, world};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page("/runs/{run}", "A run at the furnace.", page),
    Route::form("/runs/{run}/enter", "Enters something into a run.", entered),
    Route::form("/who", "Remembers who writes on this device.", who_is_here),
    Route {
        method: Method::Post,
        ..Route::api(
            "/api/runs/{run}/entries",
            "Enters something into a run; the same token enters it once.",
            ENTRY,
            entered_by_script,
        )
    },
];

const ENTRY: &[Param] = &[
    Param {
        name: "move",
        what: "what is entered: begin, hot, done, read, deviation, finish",
        must: true,
    },
    Param {
        name: "token",
        what: "the sender's own word, 8 to 64 letters or digits; a repeated one enters nothing",
        must: true,
    },
    Param {
        name: "ago_s",
        what: "how long ago it was made, in seconds; nothing where it is now",
        must: false,
    },
    Param {
        name: "by",
        what: "who writes; must be who is signed in, where anybody has to",
        must: false,
    },
    Param {
        name: "role",
        what: "as what: operator, student, instructor, inspector, lead",
        must: false,
    },
    Param {
        name: "what",
        what: "of a reading: pack, furnace, tank, transfer, before, after; of a deviation: what happened",
        must: false,
    },
    Param {
        name: "value",
        what: "digits of a reading, as in 918",
        must: false,
    },
    Param {
        name: "unit",
        what: "its unit: °C, °F, s, g, lb",
        must: false,
    },
    Param {
        name: "done",
        what: "of a deviation: what was done about it",
        must: false,
    },
    Param {
        name: "step",
        what: "number of the step, as in 2",
        must: false,
    },
];

/// The cookie that remembers who writes on a device, where nobody has to sign in.
const WHO_COOKIE: &str = "casewright-who";

/// Who writes: who is signed in, or where nobody has to, who was named on this device.
pub(crate) fn writer(ask: &Ask) -> Option<Person> {
    if ask.signed_in.is_some() {
        return ask.signed_in.clone();
    }
    let said = super::ask::Fields::read(ask.cookie(WHO_COOKIE)?);
    let name = said.given("name")?;
    Some(person(name, said.get("role")))
}

fn page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let name = ask.parts.get("run");
    let look = site.look()?;
    if casewright_records::Run::of(&look, name)?.is_none() {
        return Err(Fault::Missing);
    }
    let head = casewright_records::Look::head(&look)?.count;
    let view = desk::view(look, name)?;
    let lang = ask.lang;
    let writer = writer(ask);
    let title = lang.tell(Floor::RunOf, &[&view.run.name, &view.run.job]);
    let version = env!("CARGO_PKG_VERSION");
    let address = format!("/runs/{}", escaped(name));
    let body = html! {
        link rel="stylesheet" href={ "/assets/furnace.css?" (version) };
        script type="module" src={ "/assets/furnace.js?" (version) } {}
        (frame::invented(site, ask))
        div.furnace data-live={ (address) "/live" } data-page=(address) {
            @if view.run.practice { p.invented { (lang.say(Floor::Practice)) } }
            p.over { (title) }
            p #lost hidden { span.shape aria-hidden="true" { "▲ " } (lang.say(Floor::LiveLost)) }
            (forms::unsent(lang))
            section #now data-swap data-head=(head) aria-live="polite" {
                (now(lang, &view))
                (forms::act(lang, &view, writer.as_ref(), site.people.any()))
            }
            (forms::who(ask, writer.as_ref(), site.people.any()))
            @if writer.is_some() && view.run.ended.is_none() {
                (forms::quick(lang, &view, writer.as_ref()))
            }
            section #about data-swap { (about(lang, &view)) }
            section #clock data-swap { (clock(lang, &view)) }
            section #lately data-swap { (lately(lang, &view)) }
            p #awake .second hidden data-yes=(lang.say(Floor::Awake)) data-no=(lang.say(Floor::NotAwake)) {}
            p.notice { span.shape aria-hidden="true" { "▲ " } (lang.say(Floor::NoAlarm)) }
        }
    };
    Ok(Reply::page(frame::page(ask, &title, "", body)))
}

/// The one state of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// Something can begin.
    Ready,
    /// It runs and has time left.
    Running,
    /// Its time has come.
    Due,
    /// Somebody else must look.
    Hold,
    /// Every step is done.
    AllDone,
    /// It is over.
    Ended,
}

impl State {
    /// Of a run at a moment.
    pub(super) fn of(view: &View, now_us: i64) -> Self {
        if view.run.ended.is_some() {
            return Self::Ended;
        }
        if view.run.waiting().is_some() {
            return Self::Hold;
        }
        let Some(step) = &view.step else {
            return Self::AllDone;
        };
        if view.begun.is_none() && view.hot.is_none() {
            return Self::Ready;
        }
        let over = view.due.as_ref().is_some_and(|due| due.utc_us <= now_us);
        // A quench is counted up: nothing is due in it that a screen could call for.
        if over && step.kind != "quench" {
            Self::Due
        } else {
            Self::Running
        }
    }

    const fn shown(self) -> (&'static str, &'static str, Floor) {
        match self {
            Self::Ready => ("○", "note", Floor::StateReady),
            Self::Running => ("●", "go", Floor::StateRunning),
            Self::Due => ("▲", "warn", Floor::StateDue),
            Self::Hold => ("■", "stop", Floor::StateHold),
            Self::AllDone => ("●", "go", Floor::StateAllDone),
            Self::Ended => ("●", "note", Floor::StateEnded),
        }
    }
}

/// What is counted, and towards or from which moment.
pub(super) fn counted(view: &View, state: State) -> Option<(&'static str, Stamp)> {
    match state {
        State::Ended | State::AllDone => None,
        State::Hold => view
            .run
            .waiting()
            .map(|waiting| ("since", waiting.at.clone())),
        // What has not begun is late only by the plan's clock; nothing spoils by that.
        State::Ready => None,
        State::Running | State::Due => {
            let quench = view.step.as_ref().is_some_and(|step| step.kind == "quench");
            match (&view.due, &view.begun) {
                (Some(due), _) if !quench => Some(("left", due.clone())),
                (_, Some(begun)) => Some(("since", begun.clone())),
                _ => None,
            }
        }
    }
}

/// A time as hours and minutes, or minutes and seconds below an hour; whether it is the first.
pub(super) fn count_text(seconds: i64) -> (String, bool) {
    let seconds = seconds.abs();
    if seconds >= 3600 {
        (
            format!("{}:{:02}", seconds / 3600, seconds % 3600 / 60),
            true,
        )
    } else {
        (format!("{}:{:02}", seconds / 60, seconds % 60), false)
    }
}

/// Time of the day on the wall, with the day where it is another one.
pub(super) fn wall(stamp: &Stamp, now: &Stamp) -> String {
    let (text, today) = (stamp.to_string(), now.to_string());
    match (text.get(..10), today.get(..10), text.get(11..16)) {
        (Some(day), Some(today), Some(time)) if day == today => time.to_owned(),
        _ => text.get(..16).unwrap_or(&text).to_owned(),
    }
}

fn now(lang: Lang, view: &View) -> Markup {
    let now = world::now();
    let state = State::of(view, now.utc_us);
    let (shape, class, word) = state.shown();
    let counted = counted(view, state);
    html! {
        p.state-line class=(class) {
            span.shape aria-hidden="true" { (shape) } " " strong #state { (lang.say(word)) }
            @if let Some(number) = view.run.waiting().map(|held| held.step).or_else(|| view.step.as_ref().map(|step| step.number)) {
                span.step-no { (lang.tell(Floor::StepOf, &[&number.to_string(), &view.clock.len().to_string()])) }
            }
        }
        @if let Some((kind, at)) = &counted {
            @let away = (at.utc_us - now.utc_us).div_euclid(1_000_000);
            @let (text, hours) = count_text(away);
            @let late = *kind == "left" && away < 0;
            p.number #count data-kind=(kind) data-at=(at.utc_us / 1000) data-now=(now.utc_us / 1000)
                data-due-word=(lang.say(Floor::StateDue))
                data-left-h=(lang.say(Floor::LeftHours)) data-left-m=(lang.say(Floor::LeftMinutes))
                data-over-h=(lang.say(Floor::OverHours)) data-over-m=(lang.say(Floor::OverMinutes))
                data-since-h=(lang.say(Floor::SinceHours)) data-since-m=(lang.say(Floor::SinceMinutes)) {
                @if late { "+" } (text)
            }
            p.unit {
                span #unit { (lang.say(unit_word(kind, late, hours))) }
                " · "
                (lang.tell(if *kind == "since" { Floor::From } else { Floor::At }, &[&wall(at, &now)]))
            }
        } @else if let Some(step) = &view.step {
            p.number { (step.number) }
            p.unit lang="en" { (step.title) }
        }
        p.next { (next(lang, view, state)) }
        @if let Some(temperature) = view.step.as_ref().and_then(|step| step.temperature_c)
            && state != State::Hold {
            p.set { (lang.tell(Floor::SetTo, &[&both(lang, temperature)])) }
        }
    }
}

const fn unit_word(kind: &str, late: bool, hours: bool) -> Floor {
    match (kind.as_bytes(), late, hours) {
        (b"left", false, true) => Floor::LeftHours,
        (b"left", false, false) => Floor::LeftMinutes,
        (b"left", true, true) => Floor::OverHours,
        (b"left", true, false) => Floor::OverMinutes,
        (_, _, true) => Floor::SinceHours,
        (_, _, false) => Floor::SinceMinutes,
    }
}

/// A temperature in both scales.
fn both(lang: Lang, celsius: f64) -> String {
    let temperature = casewright_terms::Temperature::from_c(celsius);
    lang.number(&format!(
        "{:.0} °C ({:.0} °F)",
        temperature.to_c(),
        temperature.to_f()
    ))
}

fn next(lang: Lang, view: &View, state: State) -> String {
    if let Some(waiting) = view.run.waiting()
        && state == State::Hold
    {
        return lang.tell(
            Floor::NextLook,
            &[&waiting.by.name, &waiting.step.to_string()],
        );
    }
    let Some(step) = &view.step else {
        return lang
            .say(if state == State::Ended {
                Floor::NextNothing
            } else {
                Floor::NextFinish
            })
            .to_owned();
    };
    let number = step.number.to_string();
    let begun = view.begun.is_some();
    match (state, step.kind.as_str(), begun) {
        (State::Ended, _, _) => lang.say(Floor::NextNothing).to_owned(),
        (_, "carburize", _) if view.hot.is_some() => lang.say(Floor::NextSoak).to_owned(),
        (_, "carburize", true) => lang.say(Floor::NextHot).to_owned(),
        (_, "carburize", false) => lang.say(Floor::NextLoad).to_owned(),
        (_, "quench", true) => lang.say(Floor::NextQuenching).to_owned(),
        (_, "quench", false) => lang.say(Floor::NextQuench).to_owned(),
        (_, _, true) => lang.tell(Floor::NextRuns, &[&number]),
        (_, _, false) => lang.tell(Floor::NextStart, &[&number]),
    }
}

fn about(lang: Lang, view: &View) -> Markup {
    html! {
        @if let Some(step) = &view.step {
            details open {
                summary { (lang.say(Floor::OnSheet)) }
                p lang="en" { (step.text) }
                ul.sheet lang="en" {
                    @for seen in &step.acceptance { li { (lang.say(Floor::MustSee)) ": " (seen) } }
                    @for stop in &step.stop_if {
                        li.stop { span.shape aria-hidden="true" { "■ " } (lang.say(Floor::StopIf)) ": " (stop) }
                    }
                    @if step.kind == "carburize" && let Some(band) = &view.hot_band {
                        li { (lang.say(Floor::ActHot)) ": " (band) }
                    }
                }
                @if step.hold_point {
                    p { span.shape aria-hidden="true" { "■ " } (lang.say(Floor::HoldBehind)) }
                }
            }
        }
    }
}

fn clock(lang: Lang, view: &View) -> Markup {
    let now = world::now();
    let shown = |stamp: &Option<Stamp>| {
        stamp
            .as_ref()
            .map_or_else(|| "–".to_owned(), |stamp| wall(stamp, &now))
    };
    html! {
        h2 { (lang.say(Floor::Clock)) }
        table.list {
            thead { tr {
                th scope="col" { (lang.say(Floor::Step)) }
                th scope="col" { (lang.say(Floor::Begins)) }
                th scope="col" { (lang.say(Floor::Ends)) }
                th scope="col" { (lang.say(Floor::Who)) }
            } }
            tbody {
                @for line in &view.clock {
                    tr {
                        th scope="row" data-head=(lang.say(Floor::Step)) lang="en" {
                            span.shape aria-hidden="true" {
                                @match line.state { "done" => "● ", "running" => "▶ ", _ => "○ " }
                            }
                            (line.step) " " (line.what)
                        }
                        td.when data-head=(lang.say(Floor::Begins)) { (shown(&line.begins)) }
                        td.when data-head=(lang.say(Floor::Ends)) { (shown(&line.ends)) }
                        td data-head=(lang.say(Floor::Who)) {
                            @if let Some(done) = view.run.step(line.step) {
                                (done.by.name)
                                @if let Some(signed) = done.witness() { " · " (signed.by.name) }
                                @if done.afterwards { " · " (lang.say(Floor::Afterwards)) }
                            }
                            @if line.hold_point { " ■ " (lang.say(Floor::Hold)) }
                        }
                    }
                }
            }
        }
    }
}

/// Entries of a run that are shown at the furnace.
const LATELY: usize = 8;

fn lately(lang: Lang, view: &View) -> Markup {
    html! {
        h2 { (lang.say(Floor::Lately)) }
        @if view.run.facts.is_empty() { p { (lang.say(Floor::NothingYet)) } }
        ul.facts-list {
            @for fact in view.run.facts.iter().rev().take(LATELY) {
                li {
                    span lang="en" { (fact.event.told()) }
                    span.second {
                        " · " (fact.by.name) ", " (wall(&fact.at, &world::now()))
                        @if fact.afterwards { " · " (lang.say(Floor::Afterwards)) }
                        @if let Some(by) = fact.corrected_by {
                            " · " (lang.tell(Floor::CorrectedIn, &[&by.to_string()]))
                        }
                    }
                }
            }
        }
    }
}

fn who_is_here(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    if site.people.any() {
        return Err(Fault::Missing);
    }
    let name = ask.form.get("name");
    let kept = format!(
        "name={}&role={}",
        escaped(name),
        escaped(person(name, ask.form.get("role")).role.word())
    );
    Ok(Reply::go(frame::within(ask.form.get("back"))).head(
        "set-cookie",
        format!("{WHO_COOKIE}={kept}; Path=/; Max-Age=43200; HttpOnly; SameSite=Lax"),
    ))
}

fn entered(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    enter(site, ask)?;
    Ok(Reply::go(&format!(
        "/runs/{}",
        escaped(ask.parts.get("run"))
    )))
}

fn entered_by_script(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    #[derive(serde::Serialize)]
    struct Said {
        entry: u64,
        /// Whether it stood in the book already.
        repeated: bool,
        findings: Vec<wire::diag::Finding>,
    }
    let done = enter(site, ask)?;
    let none = crate::answer::Texts::default();
    Ok(Reply::json(wire::json(&Said {
        entry: done.entry,
        repeated: done.repeated,
        findings: wire::diag::findings(&done.diags, &none),
    })))
}

fn refused(diag: Diag) -> Fault {
    Fault::Input(vec![diag])
}

/// Who writes an entry. A queue on a shared device may hold what another person entered: it is not
/// written under the name of whoever is here now.
fn by(site: &Site, ask: &Ask, what: &Move) -> Result<Person, Fault> {
    if matches!(what, Move::Witness(_)) {
        return people::second(site, ask);
    }
    let named = ask.form.given("by");
    if site.people.any() {
        let here = ask.signed_in.clone().ok_or(Fault::SignIn)?;
        return match named {
            Some(name) if name != here.name => Err(refused(
                Diag::stop(
                    "entry-of-another",
                    format!("{name} made this entry, and {} is signed in.", here.name),
                )
                .why("An entry stands under the name of the one who made it.")
                .accepted(format!("Let {name} sign in on this device.")),
            )),
            _ => Ok(here),
        };
    }
    match named {
        Some(name) => Ok(person(name, ask.form.get("role"))),
        None => writer(ask).ok_or_else(|| {
            refused(
                Diag::stop("entry-of-nobody", "Nobody is named who writes this.")
                    .accepted("Say who writes, on the page of the run."),
            )
        }),
    }
}

fn enter(site: &Site, ask: &Ask) -> Result<desk::Entered, Fault> {
    let token = ask.form.get("token");
    let plain = (8..=64).contains(&token.len())
        && token
            .bytes()
            .all(|mark| mark.is_ascii_alphanumeric() || mark == b'-');
    if !plain {
        return Err(refused(
            Diag::stop("entry-token", "The entry has no word of its own.")
                .why("Sent twice it would stand in the book twice.")
                .accepted("Send 8 to 64 letters, digits and dashes as `token`."),
        ));
    }
    let what = read_move(ask)?;
    let by = by(site, ask, &what)?;
    let ago_s = match ask.form.given("ago_s") {
        None => 0.0,
        Some(text) => text.parse().unwrap_or(f64::NAN),
    };
    let sending = Sending {
        book: site.book(),
        run: ask.parts.get("run"),
        by: &by,
        token,
        ago_s,
    };
    Ok(desk::enter(&sending, &what)?)
}

fn read_move(ask: &Ask) -> Result<Move, Fault> {
    let step = ask.form.given("step").and_then(|step| step.parse().ok());
    let must = || {
        step.ok_or_else(|| {
            refused(
                Diag::stop("entry-step", "The entry does not say which step it is of.")
                    .accepted("Send the number of the step as `step`."),
            )
        })
    };
    Ok(match ask.form.get("move") {
        "begin" => Move::Begin(must()?),
        "hot" => Move::Hot,
        "done" => Move::Done(must()?),
        "witness" => Move::Witness(must()?),
        "read" => forms::reading(ask, step)?,
        "deviation" => Move::Deviation(
            ask.form.get("what").to_owned(),
            ask.form.get("done").to_owned(),
            step,
        ),
        "finish" => Move::Finish,
        other => {
            return Err(refused(
                Diag::stop("entry-move", format!("\"{other}\" can not be entered."))
                    .accepted("Send begin, hot, done, read, deviation or finish."),
            ));
        }
    })
}

/// Name and role of who writes, as hidden fields.
pub(super) fn signed(writer: Option<&Person>) -> Markup {
    html! {
        @if let Some(writer) = writer {
            input type="hidden" name="by" value=(writer.name);
            input type="hidden" name="role" value=(writer.role.word());
        }
    }
}

/// The roles to choose from.
pub(super) fn roles(lang: Lang, chosen: Role) -> Markup {
    html! {
        @for known in [Role::Operator, Role::Student, Role::Instructor, Role::Inspector, Role::Lead] {
            option value=(known.word()) selected[known == chosen] { (lang.say(role(known))) }
        }
    }
}
