//! The run sheet: as a page that prints, and as the PDF that the command line writes.

use casewright_report::Sheet;
use maud::{Markup, html};

use super::ask::{Ask, Reply, escaped};
use super::fault::Fault;
use super::frame;
use super::job::{figure, head, planned, taken};
use super::lang::Lang;
use super::route::{Param, Route};
use super::site::Site;
use super::words::work::Work as W;
use super::workup::nothing_to_work_from;
use crate::cli::PaperName;
use crate::cli::planned::{HAS_PDF, pdf};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page(
        "/jobs/{job}/sheet",
        "The run sheet, to be looked at and printed.",
        page,
    ),
    Route {
        takes: &[Param {
            name: "paper",
            what: "a4 or letter",
            must: false,
        }],
        ..Route::page("/jobs/{job}/sheet.pdf", "The run sheet as a PDF.", as_pdf)
    },
];

fn as_pdf(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let taken = taken(site, ask)?;
    let work = match planned(site, ask, &taken, W::RunSheet)? {
        Ok(work) => work,
        Err(reply) => return Ok(reply),
    };
    if !HAS_PDF {
        return Err(Fault::Missing);
    }
    let paper = if ask.query.get("paper") == "letter" {
        PaperName::Letter
    } else {
        PaperName::A4
    };
    let bytes =
        pdf(&work.planned.sheet, paper, false).map_err(|fault| Fault::Inside(fault.to_string()))?;
    Ok(Reply::bytes("application/pdf", bytes)
        .head("content-disposition", "inline; filename=\"run-sheet.pdf\""))
}

fn page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let taken = taken(site, ask)?;
    let work = match planned(site, ask, &taken, W::RunSheet)? {
        Ok(work) => work,
        Err(reply) => return Ok(reply),
    };
    let lang = ask.lang;
    let sheet = &work.planned.sheet;
    let base = format!("/jobs/{}/sheet.pdf", escaped(&taken.entry.job));
    let body = html! {
        (head(site, ask, &taken, W::RunSheet))
        @if HAS_PDF {
            p.no-print {
                a.button href={ (base) "?paper=a4" } { (lang.say(W::PdfA4)) } " "
                a.button.quiet href={ (base) "?paper=letter" } { (lang.say(W::PdfLetter)) }
            }
        } @else { p.second.no-print { (lang.say(W::NoPdf)) } }
        @if sheet.has_plan() { (told(lang, sheet)) } @else { (nothing_to_work_from(lang, &work)) }
    };
    Ok(Reply::page(frame::page(ask, &taken.entry.job, "/", body)))
}

fn told(lang: Lang, sheet: &Sheet) -> Markup {
    let head = &sheet.head;
    html! {
        h1 { (head.job) }
        p.second { (lang.tell(W::SheetCode, &[&format!("{} ({})", head.code, head.code_words)])) }
        dl.facts lang="en" {
            @for (what, value) in [("number", &head.number), ("part", &head.part), ("how many", &head.quantity),
                ("steel", &head.material), ("heat", &head.heat), ("shop", &head.shop), ("route", &head.route)] {
                @if !value.is_empty() { dt { (what) } dd { (lang.number(value)) } }
            }
        }
        blockquote.note { (sheet.note) }
        @if !sheet.cautions.is_empty() {
            h2 { "▲ " (lang.say(W::Cautions)) }
            ul lang="en" {
                @for caution in &sheet.cautions { li { strong { (caution.hazard) } ". " (lang.number(&caution.text)) } }
            }
        }
        h2 { (lang.say(W::Steps)) }
        ol.steps lang="en" { @for step in &sheet.steps { li { (one(lang, step)) } } }
        (figure(lang, W::PackPicture, "wide", sheet.figures.pack.as_ref()))
        (figure(lang, W::CyclePicture, "wide", sheet.figures.cycle.as_ref()))
    }
}

fn one(lang: Lang, step: &casewright_report::model::StepRow) -> Markup {
    html! {
        h3 {
            (step.number) ". " (step.kind)
            @if let Some(at) = &step.temperature { " · " (lang.number(&at.line())) }
            @if !step.soak.is_empty() { " · " (lang.number(&step.soak)) }
        }
        p.second { (step.window.line()) @if !step.equipment.is_empty() { " · " (step.equipment) } }
        p { (lang.number(&step.text)) }
        @for line in &step.acceptance { p { "○ " (lang.say(W::MustBeSeen)) ": " (lang.number(line)) } }
        @for line in &step.stop_if { p { "■ " (lang.say(W::StopIf)) ": " (lang.number(line)) } }
        div {
            @for blank in &step.record { span.box { (blank.label) @if !blank.unit.is_empty() { ", " (blank.unit) } } }
            @if step.hold_point { span.box { "■ " (lang.say(W::SecondPerson)) } }
        }
    }
}
