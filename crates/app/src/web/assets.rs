//! Style sheet, modules and the mark, compiled in. Nothing is fetched from anywhere else.

use super::ask::{Ask, Reply};
use super::fault::Fault;
use super::route::Route;
use super::site::Site;

/// Name, kind and text of what is served.
const FILES: [(&str, &str, &str); 5] = [
    (
        "paper.css",
        "text/css; charset=utf-8",
        include_str!("assets/paper.css"),
    ),
    (
        "live.js",
        "text/javascript; charset=utf-8",
        include_str!("assets/live.js"),
    ),
    (
        "furnace.css",
        "text/css; charset=utf-8",
        include_str!("assets/furnace.css"),
    ),
    (
        "furnace.js",
        "text/javascript; charset=utf-8",
        include_str!("assets/furnace.js"),
    ),
    ("mark.svg", "image/svg+xml", include_str!("assets/mark.svg")),
];

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[Route::page(
    "/assets/{name}",
    "Style sheet and modules of the pages.",
    file,
)];

fn file(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let wanted = ask.parts.get("name");
    let (_, kind, text) = FILES
        .iter()
        .find(|(name, _, _)| *name == wanted)
        .ok_or(Fault::Missing)?;
    // The address carries the version, so that a new program brings its new sheet at once.
    Ok(Reply::bytes(kind, text.as_bytes().to_vec()).head("cache-control", "max-age=3600"))
}
