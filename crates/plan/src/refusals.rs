//! What the shop's own things and a few words of the job forbid, before anything is computed.
//!
//! A thing that is refused is left out of every choice; the job is refused where nothing of its kind
//! is left. What hangs on the heat of the load, such as how warm a bath gets, is judged later.

use casewright_job::shop::{
    CompoundLot, Energiser, Furnace, HotOpening, Lute, Medium, PackBox, QuenchTank,
};
use casewright_job::spec::{RouteWish, Spec};
use casewright_terms::{Diag, Length, Mass, Severity, Span};

use crate::setup;
use crate::tank;

/// Refusals of a whole job, all at once.
pub(crate) fn of_job(spec: &Spec) -> Vec<Diag> {
    let mut list = of_words(spec);
    list.extend(of_opening(spec));
    let shop = &spec.shop;
    list.extend(none_left(&shop.furnaces, &spec.wishes.furnace, |f| {
        (&f.id, of_furnace(f, spec.unattended))
    }));
    list.extend(none_left(&shop.boxes, &spec.wishes.pack_box, |b| {
        (&b.id, of_box(b))
    }));
    list.extend(none_left(&shop.compounds, &spec.wishes.compound, |lot| {
        (&lot.id, of_lot(lot))
    }));
    let wet: Vec<QuenchTank> = shop
        .tanks
        .iter()
        .filter(|tank| tank.medium != Medium::Air)
        .cloned()
        .collect();
    if wet.is_empty() {
        list.push(
            Diag::stop("no-tank", "The shop has no liquid to quench in.")
                .why("A carburized case that cools in air stays soft.")
                .accepted("A tank of water, brine or quench oil in the shop file."),
        );
    }
    list.extend(none_left(&wet, &spec.wishes.tank, |tank| {
        (&tank.id, of_tank(spec, tank))
    }));
    list
}

/// The refusals of all things of a kind that the job may use, or nothing where one of them serves.
fn none_left<T>(
    things: &[T],
    wish: &Option<String>,
    look: impl Fn(&T) -> (&String, Vec<Diag>),
) -> Vec<Diag> {
    let looked: Vec<Vec<Diag>> = things
        .iter()
        .map(look)
        .filter(|(id, _)| wish.as_ref().is_none_or(|wish| wish == *id))
        .map(|(_, found)| found)
        .collect();
    if looked.iter().any(Vec::is_empty) {
        Vec::new()
    } else {
        looked.into_iter().flatten().collect()
    }
}

/// Words that no plan is made with, wherever the job has them.
pub(crate) fn of_words(spec: &Spec) -> Vec<Diag> {
    let features = spec.part.features.iter().map(|feature| &feature.name);
    let faces = spec.stock.iter().map(|stock| &stock.face);
    let texts: Vec<String> = [&spec.note.text, &spec.part.what]
        .into_iter()
        .chain(features)
        .chain(faces)
        .map(|text| text.to_lowercase())
        .collect();
    let said = |word: &str| texts.iter().any(|text| text.contains(word));
    let mut list = Vec::new();
    if said("asbest") {
        list.push(asbestos("The job speaks of asbestos."));
    }
    if said("prussiate") || said("ferrocyanid") {
        list.push(cyanide("The job speaks of a cyanide salt."));
    }
    list
}

fn asbestos(seen: impl Into<String>) -> Diag {
    Diag::stop("refused-asbestos", seen)
        .why("Its fibres kill those who breathe them, years later; old texts plug and lute with it.")
        .accepted("Fire clay for lutes and plugs, copper or stop-off paint on faces; old asbestos is taken away by those licensed for it.")
}

fn cyanide(seen: impl Into<String>) -> Diag {
    Diag::stop("refused-cyanide", seen)
        .why("Cyanide kills, by its dust and by the gas it gives with acid; it has no place in a small shop's box.")
        .accepted("Use a charcoal compound with a carbonate energiser; have the old powder taken away as hazardous waste.")
}

/// A direct quench opens the box at red heat.
fn of_opening(spec: &Spec) -> Option<Diag> {
    let wished = spec.wishes.route == Some(RouteWish::Direct);
    (wished && !may_open_hot(spec)).then(|| {
        Diag::stop(
            "refused-open-hot",
            "A direct quench is wished, and the shop opens its boxes indoors without a hood.",
        )
        .why("Carbon monoxide fills the room and the gas over the compound burns when air comes in.")
        .accepted("Cool in the closed box and reheat (route = \"single\"), or open under a hood or outdoors and say so (hot_opening in the shop file).")
    })
}

/// Whether a box may be opened while it is hot.
pub(crate) fn may_open_hot(spec: &Spec) -> bool {
    spec.shop.hot_opening != Some(HotOpening::Indoors)
}

/// What a compound is refused for.
pub(crate) fn of_lot(lot: &CompoundLot) -> Vec<Diag> {
    let mut list = Vec::new();
    if lot.energiser == Energiser::Cyanide {
        list.push(cyanide(format!(
            "Compound {} holds cyanide or ferrocyanide.",
            lot.id
        )));
    }
    if !lot.dry {
        list.push(
            Diag::stop("refused-damp", format!("Compound {} is damp.", lot.id))
                .why("Steam can burst the lute, scales the work and spoils the case.")
                .accepted("Dry it spread out at 110–150 °C (230–300 °F) under extraction, then plan again."),
        );
    }
    list
}

/// What a box is refused for.
pub(crate) fn of_box(pack_box: &PackBox) -> Vec<Diag> {
    let mut list = Vec::new();
    if pack_box.gas_tight {
        list.push(
            Diag::stop("refused-gas-tight", format!("Box {} is closed gas-tight.", pack_box.id))
                .why("The pack gives off gas all through the heat; a welded or bolted box becomes a bomb.")
                .accepted("Use a box with a loose lid luted with fire clay, which lets gas out."),
        );
    }
    if pack_box.lute == Some(Lute::Asbestos) {
        list.push(asbestos(format!(
            "The lid of box {} is luted with asbestos.",
            pack_box.id
        )));
    }
    list
}

/// What a furnace is refused for.
pub(crate) fn of_furnace(furnace: &Furnace, unattended: bool) -> Vec<Diag> {
    if !unattended || furnace.independent_high_limit {
        return Vec::new();
    }
    vec![
        Diag::stop(
            "refused-unattended",
            format!("An unattended soak is allowed for this job, but {} has no independent high-limit cut-off.", furnace.id),
        )
        .why("A stuck contactor or a failed couple then runs the furnace away with nobody there.")
        .accepted("Fit an independent cut-off, or plan the soak inside staffed hours (unattended = false)."),
    ]
}

/// From the door into the liquid: ten seconds are usual, five for work under [`THIN_MM`]; in twice
/// the time a small part falls under the heat that hardens it. [trade-practice]
const TRANSFER_S: (f64, f64) = (20.0, 10.0);
/// See [`TRANSFER_S`].
const THIN_MM: f64 = 6.0;

/// What a tank is refused for before any work has warmed it.
pub(crate) fn of_tank(spec: &Spec, tank: &QuenchTank) -> Vec<Diag> {
    let mut list: Vec<Diag> = tank::findings(tank, &tank::check(tank, Mass::ZERO, 0.0))
        .into_iter()
        .filter(|diag| diag.severity == Severity::Stop)
        .collect();
    let thin = setup::section(spec.part.shape) < Length::from_mm(THIN_MM);
    let most = Span::from_s(if thin { TRANSFER_S.1 } else { TRANSFER_S.0 });
    if tank.transfer > most {
        list.push(
            Diag::stop(
                "refused-transfer",
                format!(
                    "It takes {} from the furnace door into {}.",
                    tank.transfer.text(),
                    tank.id
                ),
            )
            .why("The parts fall under their hardening heat on the way: soft skin, soft spots.")
            .accepted(format!(
                "{} at most, better half of it: the tank beside the furnace, a clear path, a basket.",
                most.text()
            )),
        );
    }
    list
}
