//! The work-up of a job: verdict, what it will give, the pictures, and what one change of the plan
//! does. A change is answered by the planner's study of the plan; nothing is reckoned here.

use std::sync::Arc;
use std::time::Duration;

use casewright_plan::Verdict;
use casewright_plan::study::Trial;
use casewright_report::figure::readoff;
use casewright_report::model::{Finding, Mark};
use casewright_report::{Sheet, show};
use casewright_terms::{Diag, UnitSystem};
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::desk::Work;
use super::fault::Fault;
use super::frame;
use super::job::{figure, head, planned, taken};
use super::lang::Lang;
use super::route::Route;
use super::site::Site;
use super::words::work::Work as W;
use crate::cli::planned::Planned;
use crate::cli::tries;
use crate::world;

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page(
        "/jobs/{job}/work-up",
        "A job's plan and what it will give.",
        page,
    ),
    Route::page(
        "/jobs/{job}/work-up/answer",
        "The part of the work-up that a change moves, for the page to put in place.",
        part,
    ),
];

/// What was asked for behind the question mark, and what came of it.
struct Change {
    what: String,
    value: String,
    outcome: Option<(Result<Trial, Diag>, Duration)>,
}

fn change(ask: &Ask, work: &Work) -> Change {
    let what = ask.query.get("what").to_owned();
    let value = ask.query.get("value").to_owned();
    let outcome = (!what.is_empty() && !value.is_empty()).then(|| {
        world::timed(|| {
            tries::read(&format!("{what}={value}")).and_then(|try_one| work.study.change(&try_one))
        })
    });
    Change {
        what,
        value,
        outcome,
    }
}

fn page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let taken = taken(site, ask)?;
    let work = match planned(site, ask, &taken, W::WorkUp)? {
        Ok(work) => work,
        Err(reply) => return Ok(reply),
    };
    let lang = ask.lang;
    let change = change(ask, &work);
    let sheet = &work.planned.sheet;
    let base = format!("/jobs/{}/work-up", escaped(&taken.entry.job));
    let body = html! {
        (head(site, ask, &taken, W::WorkUp))
        @if sheet.has_plan() || work.planned.report.plan.is_some() {
            (try_forms(lang, &base, &work, &change))
        }
        div #answer aria-live="polite" data-address={ (base) "/answer" } { (answer(lang, &work, &change, &base)) }
        (as_planned(lang, &work))
    };
    Ok(Reply::page(frame::page(ask, &taken.entry.job, "/", body)))
}

fn part(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let taken = taken(site, ask)?;
    let work = match planned(site, ask, &taken, W::WorkUp)? {
        Ok(work) => work,
        Err(reply) => return Ok(reply),
    };
    let base = format!("/jobs/{}/work-up", escaped(&taken.entry.job));
    let change = change(ask, &work);
    Ok(Reply::page(answer(ask.lang, &work, &change, &base)))
}

/// A value that may be changed: its name in a try, its word, what the plan has, and the step of the
/// buttons in the unit it is written in.
struct Dial {
    name: &'static str,
    word: W,
    value: String,
    step: f64,
}

fn dials(work: &Work) -> Vec<Dial> {
    let Ok(plan) = work.study.as_planned() else {
        return Vec::new();
    };
    let units = work.planned.spec.units;
    let (heat_step, stock_step) = match units {
        UnitSystem::Metric => (5.0, 0.01),
        UnitSystem::Inch => (10.0, 0.001),
    };
    let mut all = vec![
        Dial {
            name: "hours",
            word: W::Soak,
            value: format!("{:.2} h", plan.soak.to_h()),
            step: 0.25,
        },
        Dial {
            name: "temperature",
            word: W::Heat,
            value: show::temperature(plan.temperature, units).main,
            step: heat_step,
        },
    ];
    if let Some(reheat) = plan.reheat {
        all.push(Dial {
            name: "reheat",
            word: W::Reheat,
            value: show::temperature(reheat, units).main,
            step: heat_step,
        });
    }
    all.push(Dial {
        name: "temper",
        word: W::Temper,
        value: show::temperature(plan.temper, units).main,
        step: heat_step,
    });
    if let Some(stock) = work.planned.spec.stock.first() {
        all.push(Dial {
            name: "stock",
            word: W::Stock,
            value: show::depth(stock.per_side, units).main,
            step: stock_step,
        });
    }
    all
}

fn try_forms(lang: Lang, base: &str, work: &Work, change: &Change) -> Markup {
    let tanks: Vec<&str> = work
        .planned
        .spec
        .shop
        .tanks
        .iter()
        .map(|tank| tank.id.as_str())
        .collect();
    let now = work
        .study
        .as_planned()
        .map(|plan| plan.tank)
        .unwrap_or_default();
    let chosen = if change.what == "tank" {
        &change.value
    } else {
        &now
    };
    html! {
        section.try.no-print aria-labelledby="try" {
            h2 #try { (lang.say(W::TryOne)) }
            p.hint.second { (lang.say(W::TryHint)) }
            div.row {
                @for dial in dials(work) {
                    form.dial method="get" action=(base) data-step=(dial.step) {
                        input type="hidden" name="what" value=(dial.name);
                        label for={ "dial-" (dial.name) } { (lang.say(dial.word)) }
                        div.turn {
                            button.quiet.less type="button" hidden aria-label={ (lang.say(dial.word)) ": " (lang.say(W::Less)) } { "−" }
                            input type="text" id={ "dial-" (dial.name) } name="value" autocomplete="off"
                                data-plan=(lang.number(&dial.value))
                                value=(if change.what == dial.name { change.value.clone() } else { lang.number(&dial.value) });
                            button.quiet.more type="button" hidden aria-label={ (lang.say(dial.word)) ": " (lang.say(W::More)) } { "+" }
                        }
                        button.quiet.send type="submit" { (lang.say(W::Try)) }
                    }
                }
                @if tanks.len() > 1 {
                    form.dial method="get" action=(base) {
                        input type="hidden" name="what" value="tank";
                        label for="dial-tank" { (lang.say(W::Tank)) }
                        div.turn {
                            select id="dial-tank" name="value" data-plan=(now) {
                                @for tank in tanks {
                                    option value=(tank) selected[tank == chosen.as_str()] { (tank) }
                                }
                            }
                        }
                        button.quiet.send type="submit" { (lang.say(W::Try)) }
                    }
                }
            }
        }
    }
}

/// What a change moves: verdict, values, chances, findings and the pictures against depth.
fn answer(lang: Lang, work: &Arc<Work>, change: &Change, base: &str) -> Markup {
    let plan = &work.planned;
    match &change.outcome {
        None => html! {
            p.over { (lang.say(W::AsPlanned)) }
            (told(lang, plan, false))
        },
        Some((Err(diag), _)) => html! {
            (frame::findings(std::slice::from_ref(diag)))
            p { a href=(base) { (lang.say(W::BackToPlan)) } }
            (told(lang, plan, false))
        },
        Some((Ok(trial), took)) => {
            let shown = tried(work, trial);
            html! {
                p.over {
                    (lang.number(&lang.tell(W::Changed, &[&trial.what]))) " "
                    span.took { (lang.tell(W::Took, &[&took.as_millis().to_string()])) } " "
                    a href=(base) { (lang.say(W::BackToPlan)) }
                }
                (told(lang, &shown, true))
            }
        }
    }
}

/// The plan as it would be shown with the change: the same model, from the change's own values. What
/// the change does not say anew (steps, pack, ways) is left out.
fn tried(work: &Work, trial: &Trial) -> Planned {
    let mut report = work.planned.report.clone();
    report.verdict = trial.verdict;
    report.findings.clone_from(&trial.findings);
    report.prediction = Some(trial.prediction.clone());
    report.outlook.chances.clone_from(&trial.chances);
    report.outlook.chance_all = trial.chance_all;
    report.outlook.chance_found = None;
    report.inside = None;
    report.alternatives = Vec::new();
    if let Some(plan) = &mut report.plan {
        plan.depth = trial.depth.clone();
    }
    Planned::made(trial.spec.clone(), report)
}

fn told(lang: Lang, planned: &Planned, tried: bool) -> Markup {
    let sheet = &planned.sheet;
    html! {
        h1.answer lang="en" {
            span.shape aria-hidden="true" { (sheet.verdict.mark.shape()) }
            span { (sheet.verdict.word) }
        }
        @if tried { p { (lang.say(tried_words(planned.report.verdict))) } }
        @else { p lang="en" { (sheet.verdict.sentence) } }
        (values(lang, sheet))
        (curves(lang, planned))
        @if let Some(nearest) = &sheet.nearest {
            @if !tried {
                h2 { (lang.say(W::Nearest)) }
                p lang="en" { (lang.number(&nearest.what)) }
                h3 { (lang.say(W::WordsToSend)) }
                div.letter lang="en" { (nearest.to_customer) }
            }
        }
        @if !sheet.outlook.chances.is_empty() {
            h2 { (lang.say(W::Chances)) }
            ul lang="en" { @for line in &sheet.outlook.chances { li { (lang.number(line)) } } }
        }
        @if !sheet.findings.is_empty() {
            h2 { (lang.say(W::Findings)) }
            (findings(lang, &sheet.findings))
        }
    }
}

/// What a verdict means for a change: the plan's own sentence would speak of the shop and all ways.
const fn tried_words(verdict: Verdict) -> W {
    match verdict {
        Verdict::CanBeMet => W::TryMeets,
        Verdict::Marginal => W::TryMarginal,
        Verdict::CannotBeMet => W::TryFails,
    }
}

fn values(lang: Lang, sheet: &Sheet) -> Markup {
    html! {
        @if !sheet.predictions.is_empty() {
            h2 { (lang.say(W::Expected)) }
            dl.values {
                @for row in &sheet.predictions {
                    div {
                        dt lang="en" { (row.what) }
                        dd.mid { (lang.number(&row.value.mid.main)) }
                        dd { (lang.number(&row.value.range.main)) }
                        @if !row.value.range.other.is_empty() {
                            dd.other { (lang.number(&row.value.range.other)) }
                        }
                        @if !row.asked.is_empty() {
                            dd.asked { (lang.number(&lang.tell(W::Asked, &[&row.asked]))) }
                        }
                    }
                }
            }
        }
    }
}

/// Findings of the report's model.
pub(crate) fn findings(lang: Lang, all: &[Finding]) -> Markup {
    html! {
        ul.findings lang="en" {
            @for finding in all {
                li class=(class(finding.mark)) {
                    span.shape aria-hidden="true" { (finding.mark.shape()) }
                    div {
                        strong.state { (finding.word) } " " (lang.number(&finding.text))
                        @if !finding.accepted.is_empty() {
                            p.accepted { (lang.number(&finding.accepted)) }
                        }
                    }
                }
            }
        }
    }
}

const fn class(mark: Mark) -> &'static str {
    match mark {
        Mark::Go => "note",
        Mark::Look => "warn",
        Mark::Stop => "stop",
    }
}

/// The pictures against depth and the same as numbers; the module that reads values off looks them up
/// in the table.
fn curves(lang: Lang, planned: &Planned) -> Markup {
    let Some(prediction) = &planned.report.prediction else {
        return html! {};
    };
    let frame = readoff::frame(prediction);
    let rows = readoff::rows(prediction, planned.spec.units);
    let figures = &planned.sheet.figures;
    html! {
        div.curves data-width=(frame.width) data-left=(frame.left) data-right=(frame.right)
            data-end=(frame.end_mm) {
            p.second.no-print { (lang.say(W::ReadOff)) }
            div.pair {
                (figure(lang, W::HardnessPicture, "read", figures.hardness.as_ref()))
                (figure(lang, W::CarbonPicture, "read", figures.carbon.as_ref()))
                (figure(lang, W::PhasesPicture, "read", figures.phases.as_ref()))
            }
            p.value role="status" {}
            details {
                summary { (lang.say(W::TableOfNumbers)) }
                div.scroll tabindex="0" role="group" aria-label=(lang.say(W::TableOfNumbers)) {
                    table.numbers {
                        thead { tr {
                            @for word in [W::Depth, W::Carbon, W::Hardness, W::Band, W::Martensite, W::Austenite, W::Bainite, W::Pearlite, W::Ferrite, W::Carbide] {
                                th.figure scope="col" { (lang.say(word)) }
                            }
                        } }
                        tbody {
                            @for row in &rows {
                                tr data-depth=(row.depth_mm) {
                                    th.figure scope="row" { (lang.number(&row.depth.line())) }
                                    td.figure { (lang.number(&row.carbon)) }
                                    td.figure { (row.hardness) }
                                    td.figure { (row.range) }
                                    @for share in &row.phases { td.figure { (share) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What stands as planned, whatever is tried.
fn as_planned(lang: Lang, work: &Work) -> Markup {
    let figures = &work.planned.sheet.figures;
    let reasons = casewright_plan::why::reasons(&work.planned.spec, &work.planned.report);
    let sheet = &work.planned.sheet;
    html! {
        @if figures.cycle.is_some() || figures.chain.is_some() {
            h2 { (lang.say(W::AsPlanned)) }
            (figure(lang, W::CyclePicture, "wide", figures.cycle.as_ref()))
            (figure(lang, W::ChainPicture, "wide", figures.chain.as_ref()))
            (figure(lang, W::PackPicture, "wide", figures.pack.as_ref()))
            (figure(lang, W::SectionPicture, "wide metal", figures.section.as_ref()))
            (figure(lang, W::EdgePicture, "wide", figures.edge.as_ref()))
        }
        @if !reasons.is_empty() {
            h2 { (lang.say(W::WhyEach)) }
            div lang="en" {
                @for why in &reasons {
                    details {
                        summary { (why.what) ": " (lang.number(&why.value)) }
                        p { (lang.number(&why.because)) }
                        p.second { (why.teaching) }
                        p.second.small { (sources(sheet, &why.sources)) }
                    }
                }
            }
        }
    }
}

fn sources(sheet: &Sheet, keys: &[&'static str]) -> String {
    let known = |key: &&&'static str| {
        sheet
            .sources
            .iter()
            .find(|row| row.key == **key && !row.reference.is_empty())
            .map_or_else(
                || (**key).to_owned(),
                |row| format!("[{}] {}", row.key, row.reference),
            )
    };
    keys.iter()
        .map(|key| known(&key))
        .collect::<Vec<_>>()
        .join(" · ")
}

/// The job's findings, for pages beside this one.
pub(crate) fn nothing_to_work_from(lang: Lang, work: &Work) -> Markup {
    html! {
        h1 { span.shape aria-hidden="true" { "■ " } (lang.say(W::NoPlan)) }
        (findings(lang, &work.planned.sheet.findings))
        @if let Some(nearest) = &work.planned.sheet.nearest {
            h2 { (lang.say(W::Nearest)) }
            p lang="en" { (lang.number(&nearest.what)) }
        }
    }
}
