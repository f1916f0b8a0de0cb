//! What a setup of packed boxes may hold. Each refusal says what was seen and what would be taken.

use std::ops::RangeInclusive;

use casewright_terms::Length;

use crate::run::Failure;
use crate::setup::{BoxDetail, BoxSetup, Cooling, PackedBox, PowerCut, Solid};

use super::field::{Field, stands_at};

/// Most cells of all boxes together: half a minute.
const MOST_CELLS: usize = 400_000;
const MOST_BOXES: usize = 12;
/// Solids may touch; more than a tenth of a millimetre into each other is a slip.
const TOUCH_M: f64 = 1e-4;

pub(super) fn check(setup: &BoxSetup) -> Result<(), Failure> {
    let furnace = &setup.furnace;
    if !(1..=MOST_BOXES).contains(&setup.boxes.len()) {
        return refuse(format!(
            "{} boxes are not between 1 and {MOST_BOXES}",
            setup.boxes.len()
        ));
    }
    for side in furnace.chamber {
        between("a chamber side", side.to_mm(), "mm", 50.0..=5000.0)?;
    }
    between("a furnace", furnace.power.to_kw(), "kW", 0.1..=1000.0)?;
    between(
        "a couple's lag",
        furnace.couple_lag.to_s(),
        "s",
        0.0..=3600.0,
    )?;
    between(
        "the exchange factor",
        furnace.exchange_factor,
        "",
        0.05..=20.0,
    )?;
    let (set, load) = (setup.set.to_c(), furnace.load_at.to_c());
    between("a set temperature", set, "°C", 100.0..=1150.0)?;
    between("loading at", load, "°C", 0.0..=1200.0)?;
    between("boxes put in at", setup.cold.to_c(), "°C", 0.0..=set)?;
    between(
        "the survey's temperature",
        furnace.survey.at.to_c(),
        "°C",
        100.0..=1200.0,
    )?;
    let survey = furnace.survey;
    for step in [survey.door, survey.back, survey.hearth, survey.roof] {
        between(
            "a difference in the chamber",
            step.to_k(),
            "K",
            -100.0..=100.0,
        )?;
    }
    let within = setup.hot_within.to_k();
    between("hot within", within, "K", 1.0..=50.0)?;
    // The furnace rests below its set point by up to the band.
    between(
        "the controller's band",
        furnace.band.to_k(),
        "K",
        0.1..=within / 2.0,
    )?;
    between("a soak", setup.soak.to_h(), "h", 0.0..=200.0)?;
    between("a rise", setup.rise.to_h(), "h", 0.0..=100.0)?;
    if let Cooling::DropThenQuench { to, hold } = setup.cooling {
        between("a drop to", to.to_c(), "°C", 100.0..=set)?;
        between("a hold after the drop", hold.to_h(), "h", 0.0..=200.0)?;
    }
    if let BoxDetail::Given { cell, step_error } = setup.detail {
        between("a cell", cell.to_mm(), "mm", 0.5..=200.0)?;
        between(
            "the error allowed in a step",
            step_error.to_k(),
            "K",
            1e-4..=20.0,
        )?;
    }
    for packed in &setup.boxes {
        check_box(setup, packed)?;
    }
    for (i, a) in setup.boxes.iter().enumerate() {
        for b in &setup.boxes[i + 1..] {
            let (at, other) = (stands_at(setup, a), stands_at(setup, b));
            let (size, other_size) = (outside(a), outside(b));
            if meet(at, size, other, other_size) {
                return refuse(format!(
                    "boxes {} and {} stand in each other",
                    a.mark, b.mark
                ));
            }
        }
    }
    Ok(())
}

/// A cut begins in the soak, and has a length that a night holds twice.
pub(super) fn check_cut(cut: PowerCut) -> Result<(), Failure> {
    let after = cut.after.to_h();
    between("a power cut after hot", after, "h", 0.0..=120.0)?;
    between("a power cut", cut.lasts.to_min(), "min", 0.1..=1440.0)
}

pub(super) fn check_cells(field: &Field) -> Result<(), Failure> {
    let cells: usize = field.blocks.iter().map(|b| b.end() - b.start).sum();
    if cells > MOST_CELLS {
        return refuse(format!(
            "{cells} cells are more than {MOST_CELLS}; a larger cell, or small parts taken as spread steel, would be accepted"
        ));
    }
    Ok(())
}

fn check_box(setup: &BoxSetup, packed: &PackedBox) -> Result<(), Failure> {
    let mark = &packed.mark;
    for side in packed.inside {
        between(
            &format!("a side of box {mark}"),
            side.to_mm(),
            "mm",
            20.0..=2000.0,
        )?;
    }
    between(
        &format!("the wall of box {mark}"),
        packed.wall.to_mm(),
        "mm",
        0.5..=100.0,
    )?;
    let bed = packed.bed;
    between(
        "a bulk density",
        bed.bulk_density.to_kg_m3(),
        "kg/m³",
        20.0..=3000.0,
    )?;
    between("a grain", bed.grain.to_mm(), "mm", 0.01..=100.0)?;
    between(
        "a moisture",
        bed.moisture.to_ratio() * 100.0,
        "%",
        0.0..=50.0,
    )?;
    between("a gap", bed.gap.to_mm(), "mm", 0.0..=50.0)?;
    between("the factor on the bed", bed.factor, "", 0.05..=20.0)?;
    between(
        "spread steel",
        packed.spread_steel.to_ratio() * 100.0,
        "%",
        0.0..=70.0,
    )?;
    for share in packed.exposure {
        between("an exposure", share, "", 0.0..=2.0)?;
    }
    let chamber = setup.furnace.chamber.map(|l| l.to_m());
    let (corner, size) = (stands_at(setup, packed), outside(packed));
    if (0..3).any(|a| corner[a] < -TOUCH_M || corner[a] + size[a] > chamber[a] + TOUCH_M) {
        let mm = |l: [f64; 3]| {
            l.map(|l| format!("{:.0}", Length::from_m(l).to_mm()))
                .join(" × ")
        };
        return refuse(format!(
            "box {mark} of {} mm outside at {} mm does not fit a chamber of {} mm",
            mm(size),
            mm(corner),
            mm(chamber)
        ));
    }
    let inside = packed.inside.map(|l| l.to_m());
    for solid in &packed.solids {
        let (at, size) = bounds(solid);
        if (0..3).any(|a| {
            !(size[a] >= 1e-3 && at[a] >= -TOUCH_M && at[a] + size[a] <= inside[a] + TOUCH_M)
        }) {
            return refuse(format!(
                "{} does not lie within box {mark}; each side must be 1 mm at least, and its corner and size inside the box",
                solid.mark
            ));
        }
    }
    for (i, a) in packed.solids.iter().enumerate() {
        for b in &packed.solids[i + 1..] {
            let ((at, size), (other, other_size)) = (bounds(a), bounds(b));
            if meet(at, size, other, other_size) {
                return refuse(format!(
                    "{} and {} in box {mark} lie in each other; the blocks around them must be apart",
                    a.mark, b.mark
                ));
            }
        }
    }
    for probe in &packed.probes {
        let at = probe.at.map(|l| l.to_m());
        if (0..3).any(|a| !(at[a] >= 0.0 && at[a] <= inside[a])) {
            return refuse(format!("{} is not inside box {mark}", probe.mark));
        }
    }
    Ok(())
}

fn bounds(solid: &Solid) -> ([f64; 3], [f64; 3]) {
    (solid.at.map(|l| l.to_m()), solid.size.map(|l| l.to_m()))
}

fn outside(packed: &PackedBox) -> [f64; 3] {
    packed.inside.map(|l| l.to_m() + 2.0 * packed.wall.to_m())
}

fn meet(a: [f64; 3], size: [f64; 3], b: [f64; 3], other: [f64; 3]) -> bool {
    (0..3).all(|i| a[i] + size[i] > b[i] + TOUCH_M && b[i] + other[i] > a[i] + TOUCH_M)
}

fn between(what: &str, value: f64, unit: &str, range: RangeInclusive<f64>) -> Result<(), Failure> {
    if range.contains(&value) {
        return Ok(());
    }
    let (low, high) = (range.start(), range.end());
    let unit = if unit.is_empty() {
        String::new()
    } else {
        format!(" {unit}")
    };
    refuse(format!(
        "{what} of {value:.4}{unit} is not between {low} and {high}{unit}"
    ))
}

fn refuse(what: String) -> Result<(), Failure> {
    Err(Failure::Setup { what })
}
