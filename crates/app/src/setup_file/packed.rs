//! Reads a setup of packed boxes: furnace, heat, and boxes with their solids and couples.
//!
//! What can be meant at all is held here; what fits and what the models can do is said by them.

use casewright_physics::setup::{
    Axis, BoxDetail, BoxFurnace, BoxSetup, Cooling, PackedBed, PackedBox, Probe, Solid, SolidForm,
    Survey,
};
use casewright_terms::{
    Density, Diag, Fraction, Length, Power, Span, Temperature, TemperatureStep,
};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::walk::{Table, Walk};
use super::{HOURS, ROOM_C, TEMPERATURE_C, syntax};

/// Sides and places, in mm.
const PLACE_MM: std::ops::RangeInclusive<f64> = 0.0..=5000.0;
const ANY: std::ops::RangeInclusive<f64> = 0.0..=1e6;
const STEP_K: std::ops::RangeInclusive<f64> = -200.0..=200.0;
/// The couple and the controller of a furnace whose owner does not say.
const BAND_K: f64 = 2.0;
/// Common charcoal compound.
const BULK_KG_M3: f64 = 300.0;
const GRAIN_MM: f64 = 4.0;

/// Whether a text is a setup of packed boxes.
pub(crate) fn is_packed(text: &str) -> bool {
    DeTable::parse_recoverable(text)
        .0
        .get_ref()
        .contains_key("box")
}

/// Reads a setup of packed boxes.
///
/// # Errors
/// All complaints, in the order they were found.
pub(crate) fn read_packed(file: &str, text: &str) -> Result<BoxSetup, Vec<Diag>> {
    let (root, faults) = DeTable::parse_recoverable(text);
    let mut walk = Walk::new(file);
    let setup = whole(&mut walk, root.get_ref());
    let mut diags = walk.diags;
    if !faults.is_empty() {
        // What could not be read is not missing.
        diags.retain(|diag| diag.code != "missing-key");
        diags.extend(faults.iter().map(|fault| syntax(file, fault)));
    }
    match setup {
        Some(setup) if diags.is_empty() => Ok(setup),
        _ => Err(diags),
    }
}

fn whole<'t>(walk: &mut Walk<'t>, body: &'t DeTable<'t>) -> Option<BoxSetup> {
    let root = Table {
        name: "",
        span: (0, 0),
        body,
    };
    walk.only(root, &["box", "furnace", "heat"]);
    let furnace = furnace(walk, root);
    let heat = heat(walk, root);
    let boxes: Vec<Option<PackedBox>> = tables(walk, root, "box")
        .into_iter()
        .enumerate()
        .map(|(i, table)| packed(walk, table, i + 1))
        .collect();
    let (furnace, heat) = (furnace?, heat?);
    Some(BoxSetup {
        boxes: boxes.into_iter().collect::<Option<Vec<_>>>()?,
        furnace,
        ..heat
    })
}

fn furnace<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<BoxFurnace> {
    let table = walk.table(
        root,
        "furnace",
        "A table `[furnace]` with `chamber_mm` and `power_kw`.",
    )?;
    walk.only(
        table,
        &[
            "chamber_mm",
            "power_kw",
            "survey",
            "couple_lag_s",
            "band_k",
            "load_at_c",
            "exchange_factor",
        ],
    );
    let chamber = lengths(walk, table, "chamber_mm");
    let power_kw = walk.number(table, "power_kw", &(0.01..=10_000.0));
    let survey = if table.body.contains_key("survey") {
        let survey = walk.table(table, "survey", "")?;
        walk.only(survey, &["at_c", "door_k", "back_k", "hearth_k", "roof_k"]);
        let at_c = walk.number(survey, "at_c", &TEMPERATURE_C);
        let mut step = |key| {
            TemperatureStep::from_k(walk.number_if_given(survey, key, &STEP_K).unwrap_or(0.0))
        };
        Some(Survey {
            door: step("door_k"),
            back: step("back_k"),
            hearth: step("hearth_k"),
            roof: step("roof_k"),
            at: Temperature::from_c(at_c?),
        })
    } else {
        None
    };
    let mut or = |key, bounds, other| walk.number_if_given(table, key, bounds).unwrap_or(other);
    let none = TemperatureStep::ZERO;
    Some(BoxFurnace {
        couple_lag: Span::from_s(or("couple_lag_s", &ANY, 0.0)),
        band: TemperatureStep::from_k(or("band_k", &ANY, BAND_K)),
        load_at: Temperature::from_c(or("load_at_c", &TEMPERATURE_C, ROOM_C)),
        exchange_factor: or("exchange_factor", &ANY, 1.0),
        chamber: chamber?,
        power: Power::from_kw(power_kw?),
        survey: survey.unwrap_or(Survey {
            at: Temperature::from_c(900.0),
            door: none,
            back: none,
            hearth: none,
            roof: none,
        }),
    })
}

/// The programme; furnace and boxes are put in by the caller.
fn heat<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<BoxSetup> {
    let table = walk.table(
        root,
        "heat",
        "A table `[heat]` with `set_c`, `soak_hours` and `cooling`.",
    )?;
    walk.only(
        table,
        &[
            "set_c",
            "cold_c",
            "rise_hours",
            "hot_within_k",
            "soak_hours",
            "cooling",
            "drop_to_c",
            "drop_hours",
            "detail",
        ],
    );
    let set_c = walk.number(table, "set_c", &TEMPERATURE_C);
    let soak = walk.number(table, "soak_hours", &HOURS);
    let cooling = match walk.word(table, "cooling", &["in-furnace", "in-air", "drop"]) {
        Some("in-furnace") => Some(Cooling::InFurnace),
        Some("in-air") => Some(Cooling::InAir),
        Some("drop") => {
            let to = walk.number(table, "drop_to_c", &TEMPERATURE_C);
            let hold = walk.number(table, "drop_hours", &HOURS);
            to.zip(hold).map(|(to, hold)| Cooling::DropThenQuench {
                to: Temperature::from_c(to),
                hold: Span::from_h(hold),
            })
        }
        _ => None,
    };
    let detail = if table.body.contains_key("detail") {
        match walk.word(table, "detail", &["coarse", "standard", "fine"])? {
            "coarse" => BoxDetail::Coarse,
            "fine" => BoxDetail::Fine,
            _ => BoxDetail::Standard,
        }
    } else {
        BoxDetail::Standard
    };
    let mut or = |key, bounds, other| walk.number_if_given(table, key, bounds).unwrap_or(other);
    let none = TemperatureStep::ZERO;
    let (cold, rise) = (
        or("cold_c", &TEMPERATURE_C, ROOM_C),
        or("rise_hours", &HOURS, 0.0),
    );
    let within = or("hot_within_k", &ANY, 10.0);
    let set = Temperature::from_c(set_c?);
    Some(BoxSetup {
        boxes: Vec::new(),
        // Replaced by the caller; a survey without differences says nothing.
        furnace: BoxFurnace {
            chamber: [Length::from_mm(1.0); 3],
            power: Power::from_kw(1.0),
            survey: Survey {
                at: set,
                door: none,
                back: none,
                hearth: none,
                roof: none,
            },
            couple_lag: Span::ZERO,
            band: none,
            load_at: set,
            exchange_factor: 1.0,
        },
        cold: Temperature::from_c(cold),
        set,
        rise: Span::from_h(rise),
        hot_within: TemperatureStep::from_k(within),
        soak: Span::from_h(soak?),
        cooling: cooling?,
        detail,
    })
}

fn packed<'t>(walk: &mut Walk<'t>, table: Table<'t>, number: usize) -> Option<PackedBox> {
    walk.only(
        table,
        &[
            "mark",
            "inside_mm",
            "wall_mm",
            "stands_at_mm",
            "compound",
            "solids",
            "couples",
            "spread_steel_pct",
            "exposure",
        ],
    );
    let mark = mark(walk, table, &format!("box {number}"));
    let inside = lengths(walk, table, "inside_mm");
    let wall = walk.number(table, "wall_mm", &PLACE_MM);
    let stands_at = if table.body.contains_key("stands_at_mm") {
        Some(lengths(walk, table, "stands_at_mm")?)
    } else {
        None
    };
    let bed = bed(walk, table);
    let spread = walk
        .number_if_given(table, "spread_steel_pct", &(0.0..=100.0))
        .unwrap_or(0.0);
    let exposure = if table.body.contains_key("exposure") {
        list::<6>(walk, table, "exposure", &(0.0..=2.0))
    } else {
        Some([1.0; 6])
    };
    let solids: Vec<_> = tables(walk, table, "solids")
        .into_iter()
        .enumerate()
        .map(|(i, own)| solid(walk, own, i + 1))
        .collect();
    let probes: Vec<_> = tables(walk, table, "couples")
        .into_iter()
        .enumerate()
        .map(|(i, own)| {
            walk.only(own, &["mark", "at_mm"]);
            let mark = self::mark(walk, own, &format!("couple {}", i + 1));
            lengths(walk, own, "at_mm").map(|at| Probe { mark, at })
        })
        .collect();
    Some(PackedBox {
        mark,
        inside: inside?,
        wall: Length::from_mm(wall?),
        stands_at,
        bed: bed?,
        solids: solids.into_iter().collect::<Option<Vec<_>>>()?,
        spread_steel: Fraction::from_ratio(spread / 100.0),
        probes: probes.into_iter().collect::<Option<Vec<_>>>()?,
        exposure: exposure?,
    })
}

fn bed<'t>(walk: &mut Walk<'t>, table: Table<'t>) -> Option<PackedBed> {
    let empty = Table {
        name: "compound",
        span: table.span,
        body: table.body,
    };
    let own = if table.body.contains_key("compound") {
        let own = walk.table(table, "compound", "")?;
        walk.only(
            own,
            &["bulk_kg_m3", "grain_mm", "moisture_pct", "gap_mm", "factor"],
        );
        own
    } else {
        empty
    };
    let mut or = |key, other| walk.number_if_given(own, key, &ANY).unwrap_or(other);
    Some(PackedBed {
        bulk_density: Density::from_kg_m3(or("bulk_kg_m3", BULK_KG_M3)),
        grain: Length::from_mm(or("grain_mm", GRAIN_MM)),
        moisture: Fraction::from_ratio(or("moisture_pct", 0.0) / 100.0),
        gap: Length::from_mm(or("gap_mm", 0.0)),
        factor: or("factor", 1.0),
    })
}

fn solid<'t>(walk: &mut Walk<'t>, table: Table<'t>, number: usize) -> Option<Solid> {
    walk.only(table, &["mark", "at_mm", "size_mm", "round_about"]);
    let mark = mark(walk, table, &number.to_string());
    let (at, size) = (
        lengths(walk, table, "at_mm"),
        lengths(walk, table, "size_mm"),
    );
    let form = if table.body.contains_key("round_about") {
        let about = match walk.word(table, "round_about", &["x", "y", "z"])? {
            "x" => Axis::X,
            "y" => Axis::Y,
            _ => Axis::Z,
        };
        SolidForm::Round { about }
    } else {
        SolidForm::Block
    };
    Some(Solid {
        mark,
        at: at?,
        size: size?,
        form,
    })
}

fn mark<'t>(walk: &mut Walk<'t>, table: Table<'t>, other: &str) -> String {
    match table
        .body
        .get("mark")
        .map(|value| (value.get_ref(), value.span()))
    {
        None => other.to_owned(),
        Some((DeValue::String(text), _)) => text.as_ref().to_owned(),
        Some((found, span)) => {
            walk.wrong_kind("mark", "a text in quotes", found, span);
            other.to_owned()
        }
    }
}

fn lengths<'t>(walk: &mut Walk<'t>, table: Table<'t>, key: &str) -> Option<[Length; 3]> {
    list::<3>(walk, table, key, &PLACE_MM).map(|l| l.map(Length::from_mm))
}

fn list<'t, const N: usize>(
    walk: &mut Walk<'t>,
    table: Table<'t>,
    key: &str,
    bounds: &std::ops::RangeInclusive<f64>,
) -> Option<[f64; N]> {
    let value = walk.value(table, key, &format!("A list of {N} numbers."))?;
    let DeValue::Array(items) = value.get_ref() else {
        walk.wrong_kind(
            key,
            &format!("a list of {N} numbers"),
            value.get_ref(),
            value.span(),
        );
        return None;
    };
    if items.len() != N {
        walk.complain(
            Diag::stop(
                "list-length",
                format!("`{key}` has {} numbers.", items.len()),
            )
            .accepted(format!("It takes {N}.")),
            value.span(),
        );
        return None;
    }
    let read: Vec<f64> = items
        .iter()
        .filter_map(|item| walk.bounded(item, key, bounds))
        .collect();
    read.try_into().ok()
}

/// A table, or a list of them, under a key; none where the key is not there.
fn tables<'t>(walk: &mut Walk<'t>, table: Table<'t>, key: &'t str) -> Vec<Table<'t>> {
    let Some(value) = table.body.get(key) else {
        return Vec::new();
    };
    let one = |value: &'t Spanned<DeValue<'t>>| match value.get_ref() {
        DeValue::Table(body) => Some(Table {
            name: key,
            span: (value.span().start, value.span().end),
            body,
        }),
        _ => None,
    };
    let found = match value.get_ref() {
        DeValue::Array(items) => items.iter().map(one).collect(),
        _ => one(value).map(|table| vec![table]),
    };
    found.unwrap_or_else(|| {
        walk.wrong_kind(
            key,
            "a table or a list of tables",
            value.get_ref(),
            value.span(),
        );
        Vec::new()
    })
}
