//! Cautions of this job at this step. They never replace local codes, the
//! instructor's procedure or licensed practice.

use casewright_job::shop::{CompoundLot, Energiser, Medium};
use casewright_terms::Mass;

use crate::outcome::{Caution, StepKind};
use crate::pack::weigh::{LIFT_ALONE_KG, LIFT_BY_HAND_KG};

/// Stands on every sheet.
pub const DEFERENCE: &str = "Follow your local codes, your employer's or school's authorised procedure and your instructor; where they differ from this sheet, they win. Students work only under the instructor's written procedure.";

fn caution(code: &'static str, hazard: &str, text: impl Into<String>) -> Caution {
    Caution {
        code,
        hazard: hazard.to_owned(),
        text: text.into(),
    }
}

/// What a step's cautions depend on.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// Liquid of the quench.
    pub medium: Medium,
    /// Compound in the box.
    pub lot: &'a CompoundLot,
    /// Weight of the packed box.
    pub lift: Mass,
    /// Whether the box is opened hot and the parts quenched straight from it.
    pub direct: bool,
    /// Whether the soak runs on with nobody there.
    pub unattended: bool,
}

/// Cautions of one step.
#[must_use]
pub fn for_step(kind: StepKind, scene: Scene<'_>) -> Vec<Caution> {
    match kind {
        StepKind::Pack => packing(scene),
        StepKind::Carburize => soaking(scene),
        StepKind::Cool => opening(scene),
        StepKind::Reheat => vec![
            caution(
                "burn",
                "Hot work",
                "Face shield, leather gloves and apron, natural-fibre clothes; power off before the door opens; path to the tank clear and dry.",
            ),
            caution(
                "dry-tongs",
                "Steam",
                "Tongs, basket and wires are dry and warmed before they go near the furnace or the tank.",
            ),
        ],
        StepKind::Quench => quenching(scene),
        StepKind::Temper => vec![caution(
            "untempered",
            "Cracking",
            "A hardened case that waits can crack and throw a splinter: temper within the hour, no straightening, no grinding before.",
        )],
        StepKind::Test => vec![caution(
            "nital",
            "Acid",
            "If you etch: nital of 5 % or less, small batches, under the hood, goggles and gloves; never stored in a stoppered bottle.",
        )],
        StepKind::Grind => vec![caution(
            "wheel",
            "Grinding wheel",
            "Ring-test the wheel, guard shut, goggles; grind only tempered parts, light cuts, plenty of coolant.",
        )],
    }
}

fn packing(scene: Scene<'_>) -> Vec<Caution> {
    let mut list = vec![
        caution(
            "vent",
            "Bursting box",
            "The lid is luted, never welded or bolted gas-tight; the lute must be able to let gas out. Nothing wet goes into the box; dry the lute slowly.",
        ),
        caution(
            "dust",
            "Dust",
            "Charcoal dust and dry clay: mask on, no dry sweeping, no flame. Never asbestos.",
        ),
    ];
    if has_barium(scene.lot.energiser) {
        list.push(caution(
            "barium",
            "Poison: barium carbonate",
            "Poisonous if swallowed: gloves and mask, no food or drink, wash hands, keep acids away, dispose of it by its safety data sheet. Soluble barium limit 0.5 mg/m³ (US value; yours may be stricter).",
        ));
    }
    if scene.lift.to_kg() > LIFT_ALONE_KG {
        let how = if scene.lift.to_kg() > LIFT_BY_HAND_KG {
            "a cart at hearth height or a hoist, never by hand when hot"
        } else {
            "two people or a cart, and tongs rated for it; hot, plan the path and where it is set down first"
        };
        list.push(caution(
            "lift",
            "Heavy box",
            format!(
                "The packed box weighs about {:.0} kg ({:.0} lb): {how}.",
                scene.lift.to_kg(),
                scene.lift.to_lb()
            ),
        ));
    }
    list
}

fn soaking(scene: Scene<'_>) -> Vec<Caution> {
    let mut list = vec![
        caution(
            "carbon-monoxide",
            "Carbon monoxide",
            "The pack gives off carbon monoxide: extraction on, a CO alarm fitted and in date, leave at the alarm. US values: 50 ppm over 8 h, 35 ppm with 200 ppm ceiling recommended, 1200 ppm dangerous at once; yours may be stricter.",
        ),
        caution(
            "electric",
            "Electricity and heat",
            "Power off while loading; box clear of the elements; a small blue flame at the seam is normal at first, a steady strong jet means the lute has failed.",
        ),
    ];
    if scene.unattended {
        list.push(caution(
            "unattended",
            "Unattended furnace",
            "Part of the soak runs with nobody there: only with the independent high-limit cut-off proven, a call list posted and permission in writing. An alarm on a phone is not a safety device.",
        ));
    }
    list
}

fn opening(scene: Scene<'_>) -> Vec<Caution> {
    if scene.direct {
        vec![
            caution(
                "open-hot",
                "Opening a hot box",
                "Under the hood or outdoors only, face away from the lid: the gas burns when air comes in. Embers fall: dry floor, metal bin, no compound into the tank.",
            ),
            caution(
                "carbon-monoxide",
                "Carbon monoxide",
                "Extraction on; leave at the alarm.",
            ),
        ]
    } else {
        vec![caution(
            "open-cold",
            "Opening the box",
            "Open below 200 °C (400 °F), outdoors or under the hood. Charcoal can glow again hours later: into a closed metal bin.",
        )]
    }
}

fn quenching(scene: Scene<'_>) -> Vec<Caution> {
    let mut list = vec![caution(
        "splash",
        "Hot work at the tank",
        "Face shield down, straight in end first, fully under before you let go; second person at the extinguisher, nobody else near.",
    )];
    match scene.medium {
        Medium::SlowOil | Medium::FastOil => list.push(caution(
            "oil-fire",
            "Oil fire",
            "Lid and extinguisher for oil at hand, never water on oil, no wet tongs or parts: water in the oil boils over. Keep the bath at least 28 °C (50 °F) under its flash point. A load that jams half under must go down or come out at once.",
        )),
        Medium::Water | Medium::Brine | Medium::Polymer => list.push(caution(
            "steam",
            "Steam",
            "Stand back from the steam; no hot compound into the water.",
        )),
        Medium::Air => {}
    }
    list
}

/// Cautions of the whole job, for the panel on the sheet.
#[must_use]
pub fn for_job(scene: Scene<'_>) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    for kind in [
        StepKind::Pack,
        StepKind::Carburize,
        StepKind::Cool,
        StepKind::Reheat,
        StepKind::Quench,
        StepKind::Temper,
        StepKind::Test,
        StepKind::Grind,
    ] {
        if kind == StepKind::Reheat && scene.direct {
            continue;
        }
        for item in for_step(kind, scene) {
            if !all.iter().any(|known| known.code == item.code) {
                all.push(item);
            }
        }
    }
    all.push(caution(
        "first-aid",
        "First aid",
        "Know the eyewash, the extinguisher and the emergency number before you light up. Burns: cool running water for 20 minutes.",
    ));
    all.push(caution("deference", "Who decides", DEFERENCE));
    all
}

/// Whether the energiser is poisonous barium carbonate.
#[must_use]
pub fn has_barium(energiser: Energiser) -> bool {
    matches!(
        energiser,
        Energiser::BariumCarbonate | Energiser::MixedWithBarium
    )
}
