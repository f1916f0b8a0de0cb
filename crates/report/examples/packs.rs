//! Draws made-up packs as SVG, to a folder: `packs FOLDER`. For looking at the drawing; test data.

#![expect(
    clippy::disallowed_methods,
    reason = "an example at the rim: it writes its pictures to look at"
)]

#[path = "../src/fixture.rs"]
#[expect(dead_code, reason = "one of its fixtures is enough here")]
mod fixture;

use casewright_job::spec::PartShape;
use casewright_plan::pack::{charge, layouts};
use casewright_report::Sheet;
use casewright_terms::{Length, UnitSystem};

/// The invented shop; a second small box, so that two of a kind can stand together.
const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::path::PathBuf::from(std::env::args().nth(1).ok_or("say to which folder")?);
    let mm = Length::from_mm;
    let bar = |d: f64, l: f64| PartShape::Bar {
        diameter: mm(d),
        length: mm(l),
    };
    let plate = |t: f64, w: f64, l: f64| PartShape::Plate {
        thickness: mm(t),
        width: mm(w),
        length: mm(l),
    };
    let block = PartShape::Block {
        a: mm(70.0),
        b: mm(90.0),
        c: mm(180.0),
    };
    for (name, shape, quantity, units) in [
        ("block", block, 1, UnitSystem::Metric),
        ("plates", plate(10.0, 60.0, 80.0), 6, UnitSystem::Metric),
        ("pins", bar(14.0, 65.0), 12, UnitSystem::Inch),
        ("small-pins", bar(8.0, 30.0), 40, UnitSystem::Metric),
        ("sixty", bar(10.0, 40.0), 60, UnitSystem::Metric),
        ("boxes", plate(12.0, 50.0, 70.0), 30, UnitSystem::Metric),
        (
            "balls",
            PartShape::Sphere { diameter: mm(30.0) },
            9,
            UnitSystem::Inch,
        ),
    ] {
        let (mut spec, mut report) = fixture::pawls(4);
        spec.part.shape = shape;
        spec.quantity = quantity;
        spec.units = units;
        let (shop, diags) = casewright_job::parse_shop("shop.toml", SHOP);
        spec.shop = shop.ok_or_else(|| format!("{diags:?}"))?;
        spec.shop.boxes[0].count = 2;
        spec.shop.furnaces[0].inside[2] = mm(520.0);
        let charge = charge::charges(&spec)
            .into_iter()
            .next()
            .ok_or("no compound")?;
        let furnace = spec.shop.furnaces.first().ok_or("no furnace")?;
        let (ways, _) = layouts(&spec, furnace, &charge);
        for (i, way) in ways.into_iter().enumerate() {
            if let Some(plan) = &mut report.plan {
                plan.pack = way.layout;
            }
            let sheet = Sheet::build(&spec, &report, None, "0.1.0", &fixture::references());
            let svg = sheet.figures.pack.ok_or("no drawing")?;
            std::fs::write(folder.join(format!("{name}-{i}.svg")), svg)?;
        }
    }
    Ok(())
}
