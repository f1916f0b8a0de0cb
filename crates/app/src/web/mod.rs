//! The shop's own pages: jobs, plans and the handbook in a browser on this machine, and the same as
//! JSON for scripts.
//!
//! A page is a plain function from a question ([`ask::Ask`]) and the shop ([`site::Site`]) to a reply.
//! Between two questions nothing is kept but the shop book; what was planned once is remembered by the
//! hash of its text and can be forgotten at any time. No formula and no decision lives here.
//!
//! A page module has one `ROUTES`; [`routes`] lists the modules, and from that list come the router
//! and the API's own description. Adding a page: docs/guides/screens.md.

mod api;
mod ask;
mod assets;
mod book;
mod desk;
mod fault;
mod frame;
mod furnace;
mod furnace_forms;
pub(crate) mod gate;
mod handbook;
mod job;
mod jobs;
mod lang;
mod ledger;
mod live;
mod new_job;
pub(crate) mod people;
pub(crate) mod practice;
mod route;
pub(crate) mod serve;
mod sheet;
mod sign_in;
pub(crate) mod site;
mod svg;
mod ways;
mod words;
mod workup;

#[cfg(test)]
mod floor_tests;
#[cfg(test)]
mod tests;

use route::Route;

/// Every page and every answer, module by module.
pub(crate) fn routes() -> impl Iterator<Item = &'static Route> {
    [
        assets::ROUTES,
        frame::ROUTES,
        furnace::ROUTES,
        jobs::ROUTES,
        ledger::ROUTES,
        sign_in::ROUTES,
        new_job::ROUTES,
        job::ROUTES,
        workup::ROUTES,
        ways::ROUTES,
        sheet::ROUTES,
        handbook::ROUTES,
        api::ROUTES,
    ]
    .into_iter()
    .flatten()
}
