//! Reads the setup of a carbon run: a TOML text in physics' own words.
//!
//! The text stands here and not in `job`, because it speaks of physics and `job` knows none. All
//! complaints come at once. Bounds are those of the reader (what can be meant at all); what the
//! models can do is said by the models.

mod cycle;
pub(crate) mod log;
mod medium;
mod packed;
pub(crate) mod part;
mod section;
mod steel;
mod walk;

pub(crate) use packed::{is_packed, read_packed};

use std::ops::RangeInclusive;

use casewright_physics::medium::Caution;
use casewright_physics::setup::{
    CarbonSetup, DiffusivityModel, PlaneGrid, PlaneSection, PlaneSetup, Shape, Surface,
};
use casewright_terms::{
    Composition, Diag, Length, Severity, Temperature, TemperatureStep, TransferCoefficient,
    WeightPercent,
};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use cycle::cycle;
pub(crate) use section::{MapWish, kind as section_kind};
use steel::steel;
pub(crate) use steel::unknown_grade;
use walk::{Table, Walk};

/// A setup as read.
#[derive(Debug)]
pub(crate) struct SetupFile {
    /// What to simulate.
    pub(crate) asked: Asked,
    /// What the surface meets in a diffuse whose length is looked for, where the setup says it.
    pub(crate) diffuse: Option<Surface>,
    /// What to beware of with the media of the setup.
    pub(crate) cautions: Vec<Caution>,
    /// Defaults that were taken.
    pub(crate) notes: Vec<Diag>,
}

/// A run against depth, or over a section.
#[derive(Debug)]
pub(crate) enum Asked {
    /// Carbon against depth.
    Depth {
        /// The run.
        carbon: CarbonSetup,
        /// Depths the answer is wanted at; `None` for the solver's own points.
        output_depth_mm: Option<Vec<f64>>,
    },
    /// Carbon over a section.
    Section {
        /// The run.
        plane: PlaneSetup,
        /// What is asked of its map.
        map: MapWish,
    },
}

/// What `[shape]` describes.
#[derive(Clone, Copy)]
enum Body {
    Line(Shape),
    Plane(PlaneSection),
}

/// Finds the chemistry of a grade, or names that look like it.
pub(crate) type Grades<'g> = &'g dyn Fn(&str) -> Result<Composition, Vec<String>>;

/// A part thinner than a hair or thicker than an armful is not heat-treated in a box.
const SIZE_MM: RangeInclusive<f64> = 0.01..=1000.0;
/// From nothing to cementite, which holds 6.67 wt% carbon.
const CARBON_WT_PCT: RangeInclusive<f64> = 0.0..=6.67;
/// From the absolute zero to just below the melting of a plain steel.
const TEMPERATURE_C: RangeInclusive<f64> = -273.15..=1480.0;
/// A pack is soaked for hours or days; a piece of more than forty days is a slip.
const HOURS: RangeInclusive<f64> = 0.0..=1000.0;
/// Gas, pack and salt lie between 1e-9 and 1e-6 m/s; the bounds are a thousand times wider.
const COEFFICIENT_M_S: RangeInclusive<f64> = 1e-12..=1e-3;
/// Finer than 1e-7 wt% is below the doubt of every constant by four digits; coarser than 0.05 wt%
/// says nothing about a case.
const TOLERANCE_WT_PCT: RangeInclusive<f64> = 1e-7..=0.05;
/// Error that is asked for where the setup does not say: a hundredth of the least carbon step
/// (0.04 wt% over the core) that a case depth is defined by, rounded down.
const TOLERANCE_DEFAULT_WT_PCT: f64 = 1e-4;
/// The same for a section, in which a line of equal carbon is read to a hundredth of wt% and the
/// mesh grows with the square of what is asked.
const TOLERANCE_PLANE_WT_PCT: f64 = 1e-3;
/// A log of a minute's step over a week.
const MOST_PIECES: usize = 10_000;
/// Enough for every curve that is drawn.
const MOST_DEPTHS: usize = 10_000;
/// Where the setup does not say: the part goes in cold.
const ROOM_C: f64 = 25.0;

/// Reads a setup.
///
/// # Errors
/// All complaints, in the order they were found.
#[cfg(test)]
pub(crate) fn read(file: &str, text: &str, grades: Grades<'_>) -> Result<SetupFile, Vec<Diag>> {
    read_with(file, text, grades, log::Logs::new())
}

/// Reads a setup whose cycle may name logs.
///
/// # Errors
/// All complaints, in the order they were found.
pub(crate) fn read_with(
    file: &str,
    text: &str,
    grades: Grades<'_>,
    logs: log::Logs,
) -> Result<SetupFile, Vec<Diag>> {
    let (root, faults) = DeTable::parse_recoverable(text);
    let mut walk = Walk::new(file);
    walk.logs = logs;
    let mut notes = Vec::new();
    let setup = whole(&mut walk, root.get_ref(), grades, &mut notes);
    notes.append(&mut walk.notes);
    let mut diags = walk.diags;
    if !faults.is_empty() {
        // What could not be read is not missing.
        diags.retain(|diag| diag.code != "missing-key");
        diags.extend(faults.iter().map(|fault| syntax(file, fault)));
    }
    match setup {
        Some(mut setup) if diags.is_empty() => {
            setup.notes = notes;
            Ok(setup)
        }
        _ => {
            assert!(
                !diags.is_empty(),
                "a setup that is not read has a complaint"
            );
            Err(diags)
        }
    }
}

fn syntax(file: &str, fault: &toml::de::Error) -> Diag {
    let message = fault.message().replace('\n', ", ");
    let span = fault.span().unwrap_or(0..0);
    Diag::stop(
        "not-toml",
        format!("The text cannot be read on here: {message}."),
    )
    .accepted("Lines are `key = value`; words stand in quotes; tables begin with `[name]`.")
    .at(casewright_terms::Place {
        file: file.to_owned(),
        span,
    })
}

fn whole<'t>(
    walk: &mut Walk<'t>,
    body: &'t DeTable<'t>,
    grades: Grades<'_>,
    notes: &mut Vec<Diag>,
) -> Option<SetupFile> {
    let root = Table {
        name: "",
        span: (0, 0),
        body,
    };
    walk.only(
        root,
        &[
            "steel",
            "shape",
            "carbon",
            "cycle",
            "map",
            "output_depth_mm",
            "tolerance_wt_pct",
        ],
    );
    let composition = steel(walk, root, grades);
    let shape = shape(walk, root);
    let carbon = carbon(walk, root, notes);
    let cycle = cycle(walk, root);
    // What follows `[carbon]` without a head of its own belongs to it, as TOML has it; both places
    // are taken, because both are written.
    let asked = |key: &str| match root.body.get("carbon").map(|carbon| carbon.get_ref()) {
        Some(DeValue::Table(body)) if body.get(key).is_some() => Table {
            name: "carbon",
            span: (0, 0),
            body,
        },
        _ => root,
    };
    let tolerance = walk.number_if_given(
        asked("tolerance_wt_pct"),
        "tolerance_wt_pct",
        &TOLERANCE_WT_PCT,
    );
    let (line, map) = match shape {
        Some(Body::Plane(_)) => {
            not_here(
                walk,
                asked("output_depth_mm"),
                "output_depth_mm",
                PLANE_DEPTHS,
            );
            (None, section::map(walk, root))
        }
        Some(Body::Line(line)) => {
            not_here(walk, root, "map", LINE_MAP);
            (Some(line), None)
        }
        // The shape has its own complaint; nothing can be said about what is asked of it.
        None => (None, None),
    };
    let output_depth_mm = match shape {
        Some(Body::Plane(_)) => None,
        _ => depths(walk, asked("output_depth_mm"), line),
    };
    let (diffusivity, surface, diffuse) = carbon?;
    let cautions = cautions([Some(&surface), diffuse.as_ref()]);
    let tolerance = |default| WeightPercent::from_wt_pct(tolerance.unwrap_or(default));
    let asked = match shape? {
        Body::Line(shape) => Asked::Depth {
            carbon: CarbonSetup {
                composition: composition?,
                shape,
                diffusivity,
                diffusivity_factor: 1.0,
                surface,
                cycle: cycle?,
                tolerance: tolerance(TOLERANCE_DEFAULT_WT_PCT),
                saturation_shift: TemperatureStep::ZERO,
            },
            output_depth_mm,
        },
        Body::Plane(section) => Asked::Section {
            plane: PlaneSetup {
                composition: composition?,
                section,
                diffusivity,
                diffusivity_factor: 1.0,
                surface,
                cycle: cycle?,
                tolerance: tolerance(TOLERANCE_PLANE_WT_PCT),
                grid: PlaneGrid::ByTolerance,
            },
            map: map?,
        },
    };
    Some(SetupFile {
        asked,
        diffuse,
        cautions,
        notes: Vec::new(),
    })
}

/// What to ask for in a section instead of depths.
const PLANE_DEPTHS: (&str, &str) = (
    "A section has no single depth; its answer holds the carbon over x and y and the depths along \
     named ways.",
    "Leave it out; `[map]` with `depth_to_wt_pct` says which carbon the depths are counted to.",
);
/// Shapes that have a map.
const LINE_MAP: (&str, &str) = (
    "Carbon that changes with the depth alone has no map.",
    "Leave it out, or give `[shape]` a section: `rectangle`, `plate-edge`, `bore`, `two-bores`, \
     `keyway`, `web`.",
);

/// Complains about a key that means nothing for this shape.
fn not_here<'t>(walk: &mut Walk<'t>, table: Table<'t>, key: &str, (why, accepted): (&str, &str)) {
    if let Some((written, _)) = table.body.iter().find(|(name, _)| name.get_ref() == key) {
        walk.complain(
            Diag::stop(
                "not-for-this-shape",
                format!("`{key}` is not for this shape."),
            )
            .why(why)
            .accepted(accepted),
            written.span(),
        );
    }
}

/// Cautions of all media in these surfaces, each once.
fn cautions<'s>(surfaces: impl IntoIterator<Item = Option<&'s Surface>>) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    let mut rest: Vec<&Surface> = surfaces.into_iter().flatten().collect();
    rest.reverse();
    while let Some(surface) = rest.pop() {
        match surface {
            Surface::Medium(medium) => {
                for caution in medium.medium().cautions() {
                    if !all.contains(&caution) {
                        all.push(caution);
                    }
                }
            }
            Surface::Program(turns) => rest.extend(turns.iter().rev().map(|(_, turn)| turn)),
            _ => {}
        }
    }
    all
}

fn shape<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<Body> {
    let table = walk.table(
        root,
        "shape",
        "A table `[shape]` with `kind` and its sizes.",
    )?;
    let length =
        |walk: &mut Walk<'t>, key: &str| walk.number(table, key, &SIZE_MM).map(Length::from_mm);
    let kinds: Vec<&'static str> = ["plate", "cylinder", "sphere", "tube"]
        .into_iter()
        .chain(section::KINDS)
        .collect();
    let kind = walk.word(table, "kind", &kinds)?;
    if section::KINDS.contains(&kind) {
        return section::read(walk, table, kind).map(Body::Plane);
    }
    let line = match kind {
        "plate" => {
            walk.only(table, &["kind", "half_thickness_mm"]);
            let half_thickness = length(walk, "half_thickness_mm")?;
            Some(Shape::Plate { half_thickness })
        }
        "cylinder" => {
            walk.only(table, &["kind", "radius_mm"]);
            let radius = length(walk, "radius_mm")?;
            Some(Shape::Cylinder { radius })
        }
        "sphere" => {
            walk.only(table, &["kind", "radius_mm"]);
            let radius = length(walk, "radius_mm")?;
            Some(Shape::Sphere { radius })
        }
        _ => {
            walk.only(table, &["kind", "inner_radius_mm", "outer_radius_mm"]);
            let inner_radius = length(walk, "inner_radius_mm");
            let outer_radius = length(walk, "outer_radius_mm");
            tube(walk, table, inner_radius?, outer_radius?)
        }
    };
    line.map(Body::Line)
}

fn tube<'t>(
    walk: &mut Walk<'t>,
    table: Table<'t>,
    inner_radius: Length,
    outer_radius: Length,
) -> Option<Shape> {
    if inner_radius < outer_radius {
        return Some(Shape::Tube {
            inner_radius,
            outer_radius,
        });
    }
    let at = |key| table.body.get(key).map_or(0..0, Spanned::span);
    let place = walk.place(at("outer_radius_mm"));
    walk.complain(
        Diag::stop(
            "tube-inside-out",
            format!(
                "The tube's inner radius {} mm is not smaller than its outer radius {} mm.",
                inner_radius.to_mm(),
                outer_radius.to_mm()
            ),
        )
        .accepted("Both are radii, half of the diameters; check which is which.")
        .also(place, "the outer radius"),
        at("inner_radius_mm"),
    );
    None
}

fn carbon<'t>(
    walk: &mut Walk<'t>,
    root: Table<'t>,
    notes: &mut Vec<Diag>,
) -> Option<(DiffusivityModel, Surface, Option<Surface>)> {
    let table = walk.table(root, "carbon", "A table `[carbon]` with `surface`.")?;
    walk.only(
        table,
        &[
            "diffusivity",
            "surface",
            "diffuse",
            "output_depth_mm",
            "tolerance_wt_pct",
        ],
    );
    let diffusivity = if table.body.get("diffusivity").is_some() {
        walk.word(
            table,
            "diffusivity",
            &["agren-1986", "tibbetts-1980", "alloy"],
        )
        .map(|word| match word {
            "agren-1986" => DiffusivityModel::Agren1986,
            "tibbetts-1980" => DiffusivityModel::Tibbetts1980,
            _ => DiffusivityModel::Alloy,
        })
    } else {
        notes.push(
            Diag::note(
                "default-taken",
                "No `diffusivity` is given; \"agren-1986\" was taken.",
            )
            .at(walk.place(table.span.0..table.span.1)),
        );
        Some(DiffusivityModel::Agren1986)
    };
    let boost = surface(walk, table, "surface", notes);
    let diffuse = match table.body.get("diffuse") {
        Some(_) => Some(surface(walk, table, "diffuse", notes)?),
        None => None,
    };
    Some((diffusivity?, boost?, diffuse))
}

fn surface<'t>(
    walk: &mut Walk<'t>,
    carbon: Table<'t>,
    key: &'t str,
    notes: &mut Vec<Diag>,
) -> Option<Surface> {
    let table = walk.table(
        carbon,
        key,
        "Write `surface = { kind = \"fixed\", carbon_wt_pct = 1.20 }` or another kind.",
    )?;
    let temperature = |walk: &mut Walk<'t>, key: &str| {
        walk.number(table, key, &TEMPERATURE_C)
            .map(Temperature::from_c)
    };
    let coefficient = |walk: &mut Walk<'t>| {
        walk.number(table, "coefficient_m_s", &COEFFICIENT_M_S)
            .map(TransferCoefficient::from_m_s)
    };
    let content = |walk: &mut Walk<'t>, key: &str| {
        walk.number(table, key, &CARBON_WT_PCT)
            .map(WeightPercent::from_wt_pct)
    };
    let kinds: Vec<&'static str> = ["fixed", "transfer", "pack", "sealed"]
        .into_iter()
        .chain(medium::KINDS)
        .collect();
    match walk.word(table, "kind", &kinds)? {
        "fixed" => {
            walk.only(table, &["kind", "carbon_wt_pct"]);
            let carbon = content(walk, "carbon_wt_pct")?;
            Some(Surface::Fixed { carbon })
        }
        "transfer" => {
            walk.only(
                table,
                &["kind", "potential_wt_pct", "coefficient_m_s", "above_c"],
            );
            let potential = content(walk, "potential_wt_pct");
            let coefficient = coefficient(walk);
            let above = temperature(walk, "above_c");
            Some(Surface::Transfer {
                potential: potential?,
                coefficient: coefficient?,
                above: above?,
            })
        }
        "pack" => {
            walk.only(table, &["kind", "coefficient_m_s", "begins_c", "full_c"]);
            let coefficient = coefficient(walk);
            let begins = temperature(walk, "begins_c");
            let full = temperature(walk, "full_c");
            pack(walk, table, coefficient?, begins?, full?)
        }
        "sealed" => {
            walk.only(table, &["kind"]);
            Some(Surface::Sealed)
        }
        kind => medium::read(walk, table, kind, notes),
    }
}

fn pack<'t>(
    walk: &mut Walk<'t>,
    table: Table<'t>,
    coefficient: TransferCoefficient,
    begins: Temperature,
    full: Temperature,
) -> Option<Surface> {
    if begins < full {
        return Some(Surface::Pack {
            coefficient,
            begins,
            full,
        });
    }
    let at = |key| table.body.get(key).map_or(0..0, Spanned::span);
    let place = walk.place(at("full_c"));
    walk.complain(
        Diag::stop(
            "fade-in-reversed",
            "The exchange would be full before it begins.",
        )
        .accepted("`begins_c` must be lower than `full_c`, as in 700 and 760.")
        .also(place, "full from here"),
        at("begins_c"),
    );
    None
}

fn depths<'t>(walk: &mut Walk<'t>, asked: Table<'t>, shape: Option<Shape>) -> Option<Vec<f64>> {
    depth_list(walk, asked, "output_depth_mm", shape)
}

/// A list of depths in the shape, where the key is there.
fn depth_list<'t>(
    walk: &mut Walk<'t>,
    asked: Table<'t>,
    key: &'static str,
    shape: Option<Shape>,
) -> Option<Vec<f64>> {
    let value = asked.body.get(key)?;
    let DeValue::Array(list) = value.get_ref() else {
        walk.wrong_kind(key, "a list of numbers", value.get_ref(), value.span());
        return None;
    };
    if list.is_empty() || list.len() > MOST_DEPTHS {
        walk.complain(
            Diag::stop(
                "depth-list",
                format!("{} depths are asked for.", list.len()),
            )
            .accepted(format!(
                "From 1 to {MOST_DEPTHS} are taken; without the key all of the solver's points \
                     are given."
            )),
            value.span(),
        );
        return None;
    }
    let deepest_mm = shape.map_or(*SIZE_MM.end(), deepest_mm);
    let read: Vec<f64> = list
        .iter()
        .filter_map(|depth| walk.bounded(depth, key, &(0.0..=deepest_mm)))
        .collect();
    (read.len() == list.len()).then_some(read)
}

/// Greatest depth from the outer surface that is still steel.
fn deepest_mm(shape: Shape) -> f64 {
    match shape {
        Shape::Plate { half_thickness } => half_thickness.to_mm(),
        Shape::Cylinder { radius } | Shape::Sphere { radius } => radius.to_mm(),
        Shape::Tube {
            inner_radius,
            outer_radius,
        } => (outer_radius - inner_radius).to_mm(),
    }
}

/// What the models refuse about a setup, as a complaint about the file.
pub(crate) fn refused(file: &str, what: &str) -> Diag {
    Diag::new(
        "setup-refused",
        Severity::Stop,
        format!("The setup cannot be simulated: {what}"),
    )
    .at(casewright_terms::Place {
        file: file.to_owned(),
        span: 0..0,
    })
}

#[cfg(test)]
mod tests;
