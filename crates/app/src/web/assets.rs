//! Style sheet, modules and the mark, compiled in. Nothing is fetched from anywhere else.

use super::ask::{Ask, Reply};
use super::fault::Fault;
use super::route::Route;
use super::site::Site;

/// Name, kind and bytes of what is served.
const FILES: [(&str, &str, &[u8]); 7] = [
    (
        "paper.css",
        "text/css; charset=utf-8",
        include_bytes!("assets/paper.css"),
    ),
    (
        "live.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/live.js"),
    ),
    (
        "furnace.css",
        "text/css; charset=utf-8",
        include_bytes!("assets/furnace.css"),
    ),
    (
        "furnace.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/furnace.js"),
    ),
    (
        "mark.svg",
        "image/svg+xml",
        include_bytes!("assets/mark.svg"),
    ),
    // The faces that the drawings were measured with: others would let their words overlap.
    ("sans.ttf", "font/ttf", notosans::REGULAR_TTF),
    ("sans-bold.ttf", "font/ttf", notosans::BOLD_TTF),
];

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[Route::page(
    "/assets/{name}",
    "Style sheet and modules of the pages.",
    file,
)];

fn file(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let wanted = ask.parts.get("name");
    let (_, kind, bytes) = FILES
        .iter()
        .find(|(name, _, _)| *name == wanted)
        .ok_or(Fault::Missing)?;
    // The address carries the version, so that a new program brings its new sheet at once.
    Ok(Reply::bytes(kind, bytes.to_vec()).head("cache-control", "max-age=3600"))
}
