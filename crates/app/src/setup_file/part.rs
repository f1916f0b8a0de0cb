//! Reads what happens to one part: a setup with `[quench]` or with `[reheat]`.
//!
//! Steel, shape and cycle are written as in a carbon setup and read by the same functions.

use std::ops::RangeInclusive;

use casewright_physics::setup::{
    BathSetup, Cover, CycleOf, DiffusivityModel, Dumped, PlanePoint, QuenchBody, QuenchPartSetup,
    QuenchPlaces, QuenchSetup, Quenchant, ReheatSetup, Shape, Stirring,
};
use casewright_terms::{
    Diag, HeatTransfer, Length, Mass, Span, Temperature, TemperatureStep, Volume, WeightPercent,
};
use toml::de::{DeTable, DeValue};

use super::log::Logs;
use super::walk::{Table, Walk};
use super::{CARBON_WT_PCT, Grades, MOST_DEPTHS, SIZE_MM, TEMPERATURE_C, syntax};

/// From the surface to the middle of the largest part.
const DEPTH_MM: RangeInclusive<f64> = 0.0..=1000.0;
/// A minute and more is no transfer but a cooling in air; an hour is a slip.
const TRANSFER_S: RangeInclusive<f64> = 0.0..=3600.0;
/// ASTM numbers as the kinetics take them.
const GRAIN: RangeInclusive<f64> = -2.0..=16.0;
/// A cup to a swimming pool.
const LITRES: RangeInclusive<f64> = 0.1..=1e5;
/// A needle to a lorry's axle.
const KILOGRAMS: RangeInclusive<f64> = 0.0..=1e4;
/// From nothing to a blast of air.
const CONVECTION: RangeInclusive<f64> = 0.0..=1000.0;
/// Where the setup does not say: ASTM 8, fine-grained carburizing steel.
const GRAIN_DEFAULT: f64 = 8.0;
/// Oxidised steel in a brick chamber.
const EMISSIVITY_DEFAULT: f64 = 0.8;
/// Still air in a furnace, in W/(m²·K).
const CONVECTION_DEFAULT: f64 = 10.0;
/// Where the setup does not say: the part goes in cold.
const ROOM_C: f64 = 25.0;

/// What a setup asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Asked {
    Quench,
    Reheat,
}

/// A quench as read.
#[derive(Debug)]
pub(crate) struct QuenchFile {
    pub(crate) setup: QuenchPartSetup,
    pub(crate) notes: Vec<Diag>,
}

/// A reheat as read.
#[derive(Debug)]
pub(crate) struct ReheatFile {
    pub(crate) setup: ReheatSetup,
    /// Depths the answer is wanted at; `None` for the model's own points.
    pub(crate) depths_mm: Option<Vec<f64>>,
    pub(crate) notes: Vec<Diag>,
}

/// Whether the setup is about one part's quench or reheat; `None` for any other.
pub(crate) fn asked(text: &str) -> Option<Asked> {
    let (root, _) = DeTable::parse_recoverable(text);
    let has = |key: &str| root.get_ref().get(key).is_some();
    match (has("quench"), has("reheat")) {
        (true, false) => Some(Asked::Quench),
        (false, true) => Some(Asked::Reheat),
        // Both at once is for the whole chain to answer, and the reader says what it knows.
        _ => None,
    }
}

/// Reads a quench.
///
/// # Errors
/// All complaints.
pub(crate) fn quench(file: &str, text: &str, grades: Grades<'_>) -> Result<QuenchFile, Vec<Diag>> {
    let (setup, notes) = read(file, text, Logs::new(), |walk, root| {
        read_quench(walk, root, grades)
    })?;
    Ok(QuenchFile { setup, notes })
}

/// Reads a reheat.
///
/// # Errors
/// All complaints.
pub(crate) fn reheat(
    file: &str,
    text: &str,
    grades: Grades<'_>,
    logs: Logs,
) -> Result<ReheatFile, Vec<Diag>> {
    let ((setup, depths_mm), notes) = read(file, text, logs, |walk, root| {
        read_reheat(walk, root, grades)
    })?;
    Ok(ReheatFile {
        setup,
        depths_mm,
        notes,
    })
}

fn read<T>(
    file: &str,
    text: &str,
    logs: Logs,
    inner: impl for<'t> FnOnce(&mut Walk<'t>, Table<'t>) -> Option<T>,
) -> Result<(T, Vec<Diag>), Vec<Diag>> {
    let (root, faults) = DeTable::parse_recoverable(text);
    let mut walk = Walk::new(file);
    walk.logs = logs;
    let table = Table {
        name: "",
        span: (0, 0),
        body: root.get_ref(),
    };
    let setup = inner(&mut walk, table);
    let mut diags = walk.diags;
    if !faults.is_empty() {
        // What could not be read is not missing.
        diags.retain(|diag| diag.code != "missing-key");
        diags.extend(faults.iter().map(|fault| syntax(file, fault)));
    }
    match setup {
        Some(setup) if diags.is_empty() => Ok((setup, walk.notes)),
        _ => {
            assert!(
                !diags.is_empty(),
                "a setup that is not read has a complaint"
            );
            Err(diags)
        }
    }
}

fn read_quench<'t>(
    walk: &mut Walk<'t>,
    root: Table<'t>,
    grades: Grades<'_>,
) -> Option<QuenchPartSetup> {
    walk.only(root, &["steel", "shape", "quench", "bath"]);
    let composition = super::steel(walk, root, grades);
    let body = body(walk, root);
    let table = walk.table(root, "quench", "A table `[quench]` with `medium`.")?;
    walk.only(
        table,
        &[
            "medium",
            "movement",
            "bath_c",
            "from_c",
            "transfer_s",
            "grain_number",
            "profile",
            "depths_mm",
            "points_mm",
        ],
    );
    let media = ["water", "brine", "slow-oil", "fast-oil", "polymer", "air"];
    let quenchant = walk.word(table, "medium", &media).map(|word| match word {
        "water" => Quenchant::Water,
        "brine" => Quenchant::Brine,
        "slow-oil" => Quenchant::SlowOil,
        "fast-oil" => Quenchant::FastOil,
        "polymer" => Quenchant::Polymer,
        _ => Quenchant::Air,
    });
    let stirring = walk
        .word(table, "movement", &["still", "mild", "good", "strong"])
        .map(|word| match word {
            "still" => Stirring::Still,
            "mild" => Stirring::Mild,
            "good" => Stirring::Good,
            _ => Stirring::Strong,
        });
    let bath = walk.number(table, "bath_c", &TEMPERATURE_C);
    let from = walk.number(table, "from_c", &TEMPERATURE_C);
    let transfer = walk.number(table, "transfer_s", &TRANSFER_S);
    let grain = walk.number_if_given(table, "grain_number", &GRAIN);
    if table.body.get("grain_number").is_none() {
        defaulted(
            walk,
            table,
            "grain_number",
            "8, fine-grained carburizing steel",
        );
    }
    let profile = profile(walk, table);
    let places = places(walk, table, body?);
    let vessel = match root.body.get("bath") {
        Some(_) => Some(vessel(walk, root, from)?),
        None => None,
    };
    Some(QuenchPartSetup {
        composition: composition?,
        body: body?,
        profile: profile?,
        from: Temperature::from_c(from?),
        quench: QuenchSetup {
            quenchant: quenchant?,
            stirring: stirring?,
            bath: Temperature::from_c(bath?),
            transfer: Span::from_s(transfer?),
            severity_factor: 1.0,
        },
        grain_number: grain.unwrap_or(GRAIN_DEFAULT),
        places: places?,
        bath: vessel,
    })
}

/// A body of one dimension, or a long bar of rectangular section.
fn body<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<QuenchBody> {
    let kind = match root.body.get("shape").map(|shape| shape.get_ref()) {
        Some(DeValue::Table(body)) => body.get("kind").map(|kind| kind.get_ref()),
        _ => None,
    };
    let is_bar = matches!(kind, Some(DeValue::String(kind)) if kind.as_ref() == "bar");
    if !is_bar {
        return line(walk, root).map(QuenchBody::Round);
    }
    let table = walk.table(root, "shape", "")?;
    walk.only(table, &["kind", "width_mm", "height_mm"]);
    let width = walk.number(table, "width_mm", &SIZE_MM);
    let height = walk.number(table, "height_mm", &SIZE_MM);
    Some(QuenchBody::Bar {
        width: Length::from_mm(width?),
        height: Length::from_mm(height?),
    })
}

/// A body in which only the depth counts.
fn line<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<Shape> {
    match super::shape(walk, root)? {
        super::Body::Line(shape) => Some(shape),
        super::Body::Plane(_) => {
            let span = root.body.get("shape").map_or(0..0, toml::Spanned::span);
            walk.complain(
                Diag::stop("section-here", "A section is followed for its carbon only.")
                    .accepted("`plate`, `cylinder`, `sphere` or `tube`; for a quench also `bar`."),
                span,
            );
            None
        }
    }
}

fn defaulted(walk: &mut Walk<'_>, table: Table<'_>, key: &str, taken: &str) {
    let place = walk.place(table.span.0..table.span.1);
    walk.notes.push(
        Diag::note(
            "default-taken",
            format!("No `{key}` is given; {taken} was taken."),
        )
        .at(place),
    );
}

/// Carbon by depth; without the key the core's all through.
fn profile<'t>(walk: &mut Walk<'t>, table: Table<'t>) -> Option<Vec<(Length, WeightPercent)>> {
    let Some(value) = table.body.get("profile") else {
        return Some(Vec::new());
    };
    let wanted = "pairs of depth in mm and carbon in wt%, as in [[0.0, 0.9], [1.0, 0.2]]";
    let pairs = pairs(walk, table, "profile", wanted, (&DEPTH_MM, &CARBON_WT_PCT))?;
    if let Some(k) = (1..pairs.len()).find(|k| pairs[*k].0 <= pairs[*k - 1].0) {
        walk.complain(
            Diag::stop(
                "profile-order",
                format!(
                    "The depth {} mm does not come after {} mm.",
                    pairs[k].0,
                    pairs[k - 1].0
                ),
            )
            .accepted("Depths that rise from the surface inward."),
            value.span(),
        );
        return None;
    }
    Some(
        pairs
            .into_iter()
            .map(|(depth, carbon)| (Length::from_mm(depth), WeightPercent::from_wt_pct(carbon)))
            .collect(),
    )
}

/// A list of pairs of numbers.
fn pairs<'t>(
    walk: &mut Walk<'t>,
    table: Table<'t>,
    key: &'t str,
    wanted: &str,
    bounds: (&RangeInclusive<f64>, &RangeInclusive<f64>),
) -> Option<Vec<(f64, f64)>> {
    let value = walk.value(table, key, wanted)?;
    let DeValue::Array(list) = value.get_ref() else {
        walk.wrong_kind(key, wanted, value.get_ref(), value.span());
        return None;
    };
    if list.is_empty() || list.len() > MOST_DEPTHS {
        walk.complain(
            Diag::stop(
                "list-length",
                format!("`{key}` has {} entries.", list.len()),
            )
            .accepted(format!("From 1 to {MOST_DEPTHS} are taken.")),
            value.span(),
        );
        return None;
    }
    let mut read = Vec::with_capacity(list.len());
    for pair in list {
        match pair.get_ref() {
            DeValue::Array(two) if two.len() == 2 => {
                let first = walk.bounded(&two[0], key, bounds.0);
                let second = walk.bounded(&two[1], key, bounds.1);
                read.extend(first.zip(second));
            }
            other => walk.wrong_kind(key, wanted, other, pair.span()),
        }
    }
    (read.len() == list.len()).then_some(read)
}

fn places<'t>(walk: &mut Walk<'t>, table: Table<'t>, body: QuenchBody) -> Option<QuenchPlaces> {
    match body {
        QuenchBody::Bar { .. } => {
            let wanted = "points from the corner inward in mm, as in [[0.5, 0.5], [12.5, 0.5]]";
            let points = pairs(walk, table, "points_mm", wanted, (&DEPTH_MM, &DEPTH_MM))?;
            let point = |(x, y)| PlanePoint {
                x: Length::from_mm(x),
                y: Length::from_mm(y),
            };
            Some(QuenchPlaces::Points(
                points.into_iter().map(point).collect(),
            ))
        }
        QuenchBody::Round(shape) => {
            let wanted = "Depths from the surface in mm, as in [0.0, 0.5, 1.0].";
            walk.value(table, "depths_mm", wanted)?;
            let depths = super::depth_list(walk, table, "depths_mm", Some(shape))?;
            Some(QuenchPlaces::Depths(
                depths.into_iter().map(Length::from_mm).collect(),
            ))
        }
    }
}

fn vessel<'t>(walk: &mut Walk<'t>, root: Table<'t>, from_c: Option<f64>) -> Option<BathSetup> {
    let table = walk.table(root, "bath", "")?;
    walk.only(
        table,
        &[
            "litres",
            "parts_kg",
            "fixture_kg",
            "fixture_c",
            "box_kg",
            "box_c",
            "compound_kg",
            "compound_c",
            "flash_c",
        ],
    );
    let litres = walk.number(table, "litres", &LITRES);
    let parts = walk.number(table, "parts_kg", &KILOGRAMS);
    let flash = walk.number_if_given(table, "flash_c", &TEMPERATURE_C);
    let mut dumped = Vec::new();
    for (kg, celsius, steel) in [
        ("fixture_kg", "fixture_c", true),
        ("box_kg", "box_c", true),
        ("compound_kg", "compound_c", false),
    ] {
        let mass = walk.number_if_given(table, kg, &KILOGRAMS);
        let hot = walk
            .number_if_given(table, celsius, &TEMPERATURE_C)
            .or(from_c);
        if let (Some(mass), Some(hot)) = (mass, hot) {
            dumped.push(Dumped {
                mass: Mass::from_kg(mass),
                temperature: Temperature::from_c(hot),
                steel,
            });
        }
    }
    Some(BathSetup {
        volume: Volume::from_l(litres?),
        parts: Mass::from_kg(parts?),
        dumped,
        flash_point: flash.map(Temperature::from_c),
    })
}

fn read_reheat<'t>(
    walk: &mut Walk<'t>,
    root: Table<'t>,
    grades: Grades<'_>,
) -> Option<(ReheatSetup, Option<Vec<f64>>)> {
    walk.only(root, &["steel", "shape", "reheat", "cycle"]);
    let composition = super::steel(walk, root, grades);
    let shape = line(walk, root);
    let cycle = super::cycle(walk, root);
    let table = walk.table(root, "reheat", "A table `[reheat]` with `cover`.")?;
    walk.only(
        table,
        &[
            "cover",
            "cycle_of",
            "start_c",
            "emissivity",
            "convection_w_m2_k",
            "profile",
            "depths_mm",
        ],
    );
    let cover = walk
        .word(table, "cover", &["bare", "protected"])
        .map(|word| match word {
            "bare" => Cover::Bare,
            _ => Cover::Protected,
        });
    let cycle_of = walk
        .word(table, "cycle_of", &["furnace", "part"])
        .map(|word| match word {
            "furnace" => CycleOf::Furnace,
            _ => CycleOf::Part,
        });
    let start = walk.number_if_given(table, "start_c", &TEMPERATURE_C);
    let emissivity = walk.number_if_given(table, "emissivity", &(0.01..=1.0));
    let convection = walk.number_if_given(table, "convection_w_m2_k", &CONVECTION);
    if cycle_of == Some(CycleOf::Furnace) {
        for (key, taken) in [
            ("emissivity", "0.8, oxidised steel in a brick chamber,"),
            ("convection_w_m2_k", "10 W/(m²·K), still air,"),
        ] {
            if table.body.get(key).is_none() {
                defaulted(walk, table, key, taken);
            }
        }
    }
    let profile = profile(walk, table);
    let depths = match table.body.get("depths_mm") {
        Some(_) => Some(super::depth_list(walk, table, "depths_mm", shape)?),
        None => None,
    };
    let cycle = cycle?;
    // A part that wrote its own log was as hot as its first reading says.
    let first = cycle.pieces.first().map(|piece| piece.from);
    let start = match (start, cycle_of) {
        (Some(start), _) => Temperature::from_c(start),
        (None, Some(CycleOf::Part)) => first.unwrap_or(Temperature::from_c(ROOM_C)),
        (None, _) => Temperature::from_c(ROOM_C),
    };
    let setup = ReheatSetup {
        composition: composition?,
        shape: shape?,
        profile: profile?,
        cover: cover?,
        start,
        cycle,
        cycle_of: cycle_of?,
        emissivity: emissivity.unwrap_or(EMISSIVITY_DEFAULT),
        convection: HeatTransfer::from_w_m2_k(convection.unwrap_or(CONVECTION_DEFAULT)),
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        ae3_shift: TemperatureStep::ZERO,
        saturation_shift: TemperatureStep::ZERO,
    };
    Some((setup, depths))
}
