//! The plan beside the ways that were not taken.

use maud::html;

use super::ask::{Ask, Reply};
use super::fault::Fault;
use super::frame;
use super::job::{figure, head, planned, taken};
use super::route::Route;
use super::site::Site;
use super::words::work::Work as W;
use super::workup::nothing_to_work_from;

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[Route::page(
    "/jobs/{job}/ways",
    "The plan beside the ways that were not taken.",
    page,
)];

fn page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let taken = taken(site, ask)?;
    let work = match planned(site, ask, &taken, W::Ways)? {
        Ok(work) => work,
        Err(reply) => return Ok(reply),
    };
    let lang = ask.lang;
    let sheet = &work.planned.sheet;
    let heads = [
        W::Way,
        W::Route,
        W::Heat,
        W::Soak,
        W::Reheat,
        W::Quench,
        W::Hours,
        W::Depth,
        W::Chance,
        W::WhyNot,
    ];
    let body = html! {
        (head(site, ask, &taken, W::Ways))
        @if sheet.ways.is_empty() && sheet.alternatives.is_empty() {
            @if work.planned.report.plan.is_none() { (nothing_to_work_from(lang, &work)) }
            @else { h1 { (lang.say(W::NoOtherWay)) } }
        } @else {
            h1 { (lang.say(W::WaysPicture)) }
            (figure(lang, W::WaysPicture, "wide", sheet.figures.ways.as_ref()))
            @if !sheet.ways.is_empty() {
                div.scroll {
                    table.list {
                        thead { tr { @for word in heads { th scope="col" { (lang.say(word)) } } } }
                        tbody lang="en" {
                            @for way in &sheet.ways {
                                tr {
                                    th scope="row" { (way.name) }
                                    @for (word, value) in heads.into_iter().skip(1).zip([
                                        way.route.to_owned(), way.heat.line(), way.soak.clone(),
                                        way.reheats.clone(), way.quench.clone(), way.hours.clone(),
                                        way.depth.line(), way.chance.clone(), way.why_not.clone(),
                                    ]) {
                                        @if value.is_empty() { td.none {} }
                                        @else { td data-head=(lang.say(word)) { (lang.number(&value)) } }
                                    }
                                }
                            }
                        }
                    }
                }
            } @else {
                ul lang="en" {
                    @for other in &sheet.alternatives {
                        li { (other.what) ": " (lang.number(&other.depth.line())) ". " (lang.number(&other.why_not)) }
                    }
                }
            }
        }
    };
    Ok(Reply::page(frame::page(ask, &taken.entry.job, "/", body)))
}
