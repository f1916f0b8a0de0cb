//! Furnaces, ovens, boxes, compound lots and tanks, each checked by itself.

use casewright_terms::{
    Density, Diag, Fraction, Length, Mass, Place, Power, Span, Temperature, TemperatureStep, Volume,
};

use super::{BOX_KEYS, COMPOUND_KEYS, FURNACE_KEYS, TANK_KEYS, default_taken, flag_or_no};
use crate::shop::{
    Agitation, CompoundLot, Energiser, Furnace, LearntBed, Lute, Medium, PackBox, QuenchTank,
};
use crate::text::{At, Scribe, Section};
use crate::units::Quantity;

/// Bulk density taken where none is given: charcoal pellets with carbonate, loose
/// (trade-practice; weigh a litre of the lot to know better).
const USUAL_BULK_KG_M3: f64 = 550.0;
/// Grain size taken where none is given: the middle of the usual 3–6 mm (trade-practice).
const USUAL_GRAIN_MM: f64 = 4.5;
/// Door to immersion taken where none is given: the trade's outer limit (trade-practice).
const USUAL_TRANSFER_S: f64 = 10.0;

pub(super) fn furnaces(
    scribe: &mut Scribe<'_>,
    top: &Section<'_>,
    key: &str,
    name: &'static str,
) -> Vec<At<Furnace>> {
    let sections = scribe.list(top, key, name, FURNACE_KEYS);
    sections
        .iter()
        .filter_map(|section| furnace(scribe, section))
        .collect()
}

fn furnace(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<Furnace>> {
    let oven = section.name == "[[oven]]";
    let id = id(scribe, section);
    let inside = inside(scribe, section);
    let power = needed(
        scribe,
        section,
        "power",
        "It decides how long the box takes to heat.",
        "power = \"9 kW\"",
        (Power::from_kw(0.2), Power::from_kw(500.0)),
        "Between 0.2 kW and 500 kW",
    );
    let survey = needed(
        scribe,
        section,
        "survey",
        "A furnace that is 14 °C out makes the case several percent deeper or shallower; the doubt is carried into the plan.",
        "survey = \"±14 °C\", the greatest deviation found in the working space",
        (TemperatureStep::from_k(0.5), TemperatureStep::from_k(60.0)),
        "A deviation between ±0.5 °C and ±60 °C",
    );
    let range = if oven {
        (80.0, 1300.0)
    } else {
        (700.0, 1400.0)
    };
    let max = needed(
        scribe,
        section,
        "max",
        "The plan must not set it higher.",
        "max = \"1100 °C\"",
        (Temperature::from_c(range.0), Temperature::from_c(range.1)),
        if oven {
            "An oven's greatest temperature between 80 °C (176 °F) and 1300 °C"
        } else {
            "A furnace's greatest temperature between 700 °C (1300 °F, below which no carbon enters) and 1400 °C (2550 °F)"
        },
    );
    // An oven is neither run overnight at heat nor packed.
    let independent_high_limit = flag(
        scribe,
        section,
        "independent_high_limit",
        "has no independent high-limit cut-off",
        oven,
    );
    let pack_couple = flag(
        scribe,
        section,
        "pack_couple",
        "has no couple that can be buried in the pack",
        oven,
    );
    Some(At {
        value: Furnace {
            id: id?,
            inside: inside?,
            power: power?,
            survey: survey?,
            max: max?,
            independent_high_limit,
            pack_couple,
        },
        place: place(scribe, section),
    })
}

fn flag(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    words: &str,
    silent: bool,
) -> bool {
    if silent && !section.has(key) {
        return false;
    }
    let words = format!("{} {words}", called(section));
    flag_or_no(scribe, section, key, &words)
}

pub(crate) const LUTES: &[(&str, Lute)] = &[
    ("fire clay", Lute::FireClay),
    ("refractory cement", Lute::RefractoryCement),
    ("asbestos", Lute::Asbestos),
];

pub(super) fn boxes(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Vec<At<PackBox>> {
    let sections = scribe.list(top, "box", "[[box]]", BOX_KEYS);
    sections
        .iter()
        .filter_map(|section| {
            let id = id(scribe, section);
            let inside = inside(scribe, section);
            let wall = needed(
                scribe,
                section,
                "wall",
                "The wall is steel that must be heated too, and it scales away.",
                "wall = \"6 mm\"",
                (Length::from_mm(0.5), Length::from_mm(60.0)),
                "A wall between 0.5 mm and 60 mm",
            );
            let heats = scribe.count(
                section,
                "heats",
                0..=10_000,
                "It is the number of heats the box has seen.",
            );
            let gas_tight = flag_or_no(
                scribe,
                section,
                "gas_tight",
                &format!(
                    "{} is taken to have a loose lid that can be luted",
                    called(section)
                ),
            );
            let lute = scribe.choice(section, "lute", LUTES);
            let count = scribe.count(
                section,
                "count",
                1..=1000,
                "It is how many boxes of this kind there are.",
            );
            if count.is_none() && !section.has("count") {
                default_taken(
                    scribe,
                    section,
                    format!("There is one of {}: count is not given.", called(section)),
                );
            }
            let bed = learnt_bed(scribe, section);
            Some(At {
                value: PackBox {
                    id: id?,
                    inside: inside?,
                    wall: wall?,
                    heats: heats.map(|at| at.value),
                    gas_tight,
                    lute: lute.map(|at| at.value),
                    count: count.map_or(1, |at| at.value),
                    bed,
                },
                place: place(scribe, section),
            })
        })
        .collect()
}

/// What a couple's log has taught about the bed of a box: both keys or neither.
fn learnt_bed(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<LearntBed> {
    let range = |low: f64, high: f64| (Fraction::from_pct(low), Fraction::from_pct(high));
    let factor = optional(
        scribe,
        section,
        "bed_factor",
        range(10.0, 1000.0),
        "Between 10 % and 1000 %; `simulate` with a couple's log prints it",
    );
    let doubt = optional(
        scribe,
        section,
        "bed_doubt",
        range(1.0, 200.0),
        "Between 1 % and 200 %; `simulate` with a couple's log prints it",
    );
    let lone = match (section.has("bed_factor"), section.has("bed_doubt")) {
        (true, false) => Some(("bed_factor", "bed_doubt")),
        (false, true) => Some(("bed_doubt", "bed_factor")),
        _ => None,
    };
    if let Some((held, missing)) = lone {
        scribe.push_at(
            Diag::stop("bed-half", format!("{held} is given without {missing}."))
                .why("A factor whose doubt nobody knows would make the hour the pack is hot look surer than it is.")
                .accepted("Both, as printed by `simulate` with a couple's log; or neither."),
            Scribe::key_span(section, held),
        );
    }
    Some(LearntBed {
        factor: factor?.to_ratio(),
        doubt: doubt?,
    })
}

pub(crate) const ENERGISERS: &[(&str, Energiser)] = &[
    ("none", Energiser::None),
    ("barium carbonate", Energiser::BariumCarbonate),
    ("sodium carbonate", Energiser::SodiumCarbonate),
    ("calcium carbonate", Energiser::CalciumCarbonate),
    ("mixed with barium", Energiser::MixedWithBarium),
    ("mixed without barium", Energiser::MixedWithoutBarium),
    ("cyanide", Energiser::Cyanide),
];

pub(super) fn compounds(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Vec<At<CompoundLot>> {
    let sections = scribe.list(top, "compound", "[[compound]]", COMPOUND_KEYS);
    sections
        .iter()
        .filter_map(|section| compound(scribe, section))
        .collect()
}

fn compound(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<CompoundLot>> {
    let id = id(scribe, section);
    let energiser = scribe.choice(section, "energiser", ENERGISERS);
    if energiser.is_none() {
        scribe.missing(section, "energiser", "Barium is poisonous and must be on the safety panel; plain charcoal is slow and uneven.", "energiser = \"mixed without barium\", as the sack or its data sheet says");
    }
    let kind = energiser.as_ref().map(|at| at.value);
    if let Some(at) = energiser
        .as_ref()
        .filter(|at| at.value == Energiser::Cyanide)
    {
        scribe.push(
            Diag::warn("compound-cyanide", "This lot holds a cyanide or ferrocyanide.")
                .why("Heat, damp or any acid sets free prussic acid, which kills; no plan is made with it.")
                .accepted("Take it out of use, keep it closed and dry, and have it collected as hazardous waste.")
                .at(at.place.clone()),
        );
    }
    let share = (Fraction::ZERO, Fraction::from_ratio(1.0));
    let energiser_fraction = match kind {
        Some(Energiser::None) => optional(
            scribe,
            section,
            "energiser_fraction",
            share,
            "Between 0 % and 100 %",
        )
        .or(Some(Fraction::ZERO)),
        _ => needed(
            scribe,
            section,
            "energiser_fraction",
            "Strong compound over-carburizes, weak compound leaves the case shallow.",
            "energiser_fraction = \"15 %\"",
            share,
            "Between 0 % and 100 %",
        ),
    };
    contradictory_energiser(scribe, section, kind, energiser_fraction);
    let fresh = needed(
        scribe,
        section,
        "fresh",
        "Spent compound is the main reason why the second batch comes out shallower.",
        "fresh = \"100 %\" for a new lot, \"20 %\" where a fifth was renewed",
        share,
        "Between 0 % and 100 %",
    );
    let bulk_density = optional(
        scribe,
        section,
        "bulk_density",
        (Density::from_kg_m3(150.0), Density::from_kg_m3(1500.0)),
        "Between 0.15 kg/L and 1.5 kg/L",
    )
    .unwrap_or_else(|| {
        said(
            scribe,
            section,
            "bulk_density",
            "its loose weight is taken as 0.55 kg/L",
        );
        Density::from_kg_m3(USUAL_BULK_KG_M3)
    });
    let grain = optional(
        scribe,
        section,
        "grain",
        (Length::from_mm(0.1), Length::from_mm(50.0)),
        "Between 0.1 mm and 50 mm",
    )
    .unwrap_or_else(|| {
        said(scribe, section, "grain", "its grain is taken as 4.5 mm");
        Length::from_mm(USUAL_GRAIN_MM)
    });
    let dry = scribe.flag(section, "dry");
    if dry.is_none() {
        said(
            scribe,
            section,
            "dry",
            "it is taken as dry; damp compound scales the work and lifts the lid with steam",
        );
    }
    let stock = optional(
        scribe,
        section,
        "stock",
        (Volume::ZERO, Volume::from_l(100_000.0)),
        "Up to 100 000 L",
    );
    Some(At {
        value: CompoundLot {
            id: id?,
            energiser: kind?,
            energiser_fraction: energiser_fraction?,
            fresh: fresh?,
            bulk_density,
            grain,
            dry: dry.is_none_or(|at| at.value),
            stock,
        },
        place: place(scribe, section),
    })
}

fn contradictory_energiser(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    kind: Option<Energiser>,
    fraction: Option<Fraction>,
) {
    let (Some(kind), Some(fraction)) = (kind, fraction) else {
        return;
    };
    if (kind == Energiser::None) == (fraction == Fraction::ZERO) {
        return;
    }
    let said = if kind == Energiser::None {
        "The lot has no energiser and yet a share of it."
    } else {
        "The lot has an energiser and yet none of it."
    };
    let (share, name) = (
        Scribe::key_span(section, "energiser_fraction"),
        scribe.place(Scribe::key_span(section, "energiser")),
    );
    let diag = Diag::stop("compound-contradiction", said)
        .why("Plain charcoal and energised compound carburize at different speeds.")
        .accepted("Correct one of the two.")
        .also(name, "the energiser");
    scribe.push_at(diag, share);
}

pub(crate) const MEDIA: &[(&str, Medium)] = &[
    ("water", Medium::Water),
    ("brine", Medium::Brine),
    ("slow oil", Medium::SlowOil),
    ("fast oil", Medium::FastOil),
    ("polymer", Medium::Polymer),
    ("air", Medium::Air),
];

pub(crate) const AGITATIONS: &[(&str, Agitation)] = &[
    ("still", Agitation::Still),
    ("mild", Agitation::Mild),
    ("good", Agitation::Good),
    ("strong", Agitation::Strong),
];

pub(super) fn tanks(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Vec<At<QuenchTank>> {
    let sections = scribe.list(top, "tank", "[[tank]]", TANK_KEYS);
    sections
        .iter()
        .filter_map(|section| tank(scribe, section))
        .collect()
}

fn tank(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<At<QuenchTank>> {
    let id = id(scribe, section);
    let medium = scribe.choice(section, "medium", MEDIA);
    if medium.is_none() {
        scribe.missing(
            section,
            "medium",
            "Plain steel needs water, alloy steel cracks in it.",
            "medium = \"fast oil\"",
        );
    }
    let kind = medium.map(|at| at.value);
    let volume_range = (Volume::from_l(1.0), Volume::from_l(50_000.0));
    let volume_said = "Between 1 L and 50 000 L";
    let volume = match kind {
        Some(Medium::Air) => optional(
            scribe,
            section,
            "volume",
            (Volume::ZERO, volume_range.1),
            volume_said,
        )
        .or(Some(Volume::ZERO)),
        _ => needed(
            scribe,
            section,
            "volume",
            "Too little liquid grows hot: soft work from water, fire from oil.",
            "volume = \"60 L\"",
            volume_range,
            volume_said,
        ),
    };
    let (range, said_range) = match kind {
        Some(Medium::Water | Medium::Brine | Medium::Polymer) => {
            ((-20.0, 95.0), "For this liquid -20 °C to 95 °C")
        }
        Some(Medium::SlowOil | Medium::FastOil) => ((0.0, 250.0), "For oil 0 °C to 250 °C"),
        _ => ((-40.0, 250.0), "Between -40 °C and 250 °C"),
    };
    let bath = needed(
        scribe,
        section,
        "bath",
        "Warm water holds a vapour blanket and leaves soft spots; warm oil quenches better than cold.",
        "bath = \"20 °C\"",
        (Temperature::from_c(range.0), Temperature::from_c(range.1)),
        said_range,
    );
    let agitation = scribe.choice(section, "agitation", AGITATIONS);
    if agitation.is_none() {
        said(scribe, section, "agitation", "it is taken as still");
    }
    let flash_point = flash_point(scribe, section, kind, bath);
    let over_work = optional(
        scribe,
        section,
        "over_work",
        (Length::ZERO, Length::from_mm(5000.0)),
        "Between 0 and 5 m of liquid over the work",
    );
    let water = water_in_oil(scribe, section, kind);
    let air_blown = scribe.flag(section, "air_blown").is_some_and(|at| at.value);
    let fixture = optional(
        scribe,
        section,
        "fixture",
        (Mass::ZERO, Mass::from_kg(500.0)),
        "Up to 500 kg of basket, hooks and wire",
    );
    let transfer = optional(
        scribe,
        section,
        "transfer",
        (Span::from_s(0.5), Span::from_s(120.0)),
        "Between 0.5 s and 120 s",
    )
    .unwrap_or_else(|| {
        said(
            scribe,
            section,
            "transfer",
            "door to immersion is taken as 10 s",
        );
        Span::from_s(USUAL_TRANSFER_S)
    });
    Some(At {
        value: QuenchTank {
            id: id?,
            medium: kind?,
            volume: volume?,
            bath: bath?,
            agitation: agitation.map_or(Agitation::Still, |at| at.value),
            flash_point,
            transfer,
            over_work,
            water,
            air_blown,
            fixture,
        },
        place: place(scribe, section),
    })
}

fn water_in_oil(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    kind: Option<Medium>,
) -> Option<Fraction> {
    let water = optional(
        scribe,
        section,
        "water",
        (Fraction::ZERO, Fraction::from_pct(100.0)),
        "Between 0 % and 100 %",
    );
    let oil = matches!(kind, Some(Medium::SlowOil | Medium::FastOil));
    if !oil && kind.is_some() && section.has("water") {
        scribe.push_at(
            Diag::warn(
                "water-in-no-oil",
                "Water is given for a liquid that is no oil.",
            )
            .accepted("Correct the medium, or leave water out."),
            Scribe::key_span(section, "water"),
        );
        return None;
    }
    water
}

fn flash_point(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    kind: Option<Medium>,
    bath: Option<Temperature>,
) -> Option<Temperature> {
    let oil = matches!(kind, Some(Medium::SlowOil | Medium::FastOil));
    let range = (Temperature::from_c(60.0), Temperature::from_c(400.0));
    let said = "Between 60 °C (140 °F) and 400 °C (750 °F)";
    let flash = if oil {
        needed(
            scribe,
            section,
            "flash_point",
            "Oil must stay 28 °C (50 °F) below its flash point, or the tank burns.",
            "flash_point = \"180 °C\", from the oil's data sheet",
            range,
            said,
        )
    } else {
        optional(scribe, section, "flash_point", range, said)
    };
    if !oil && kind.is_some() && section.has("flash_point") {
        scribe.push_at(
            Diag::warn(
                "flash-point-of-no-oil",
                "A flash point is given for a liquid that is no oil.",
            )
            .accepted("Correct the medium, or leave flash_point out."),
            Scribe::key_span(section, "flash_point"),
        );
    }
    if let (Some(flash), Some(bath)) = (flash, bath)
        && bath >= flash
    {
        let other = scribe.place(Scribe::key_span(section, "flash_point"));
        let diag = Diag::stop(
            "bath-above-flash",
            "The bath stands at or above its flash point.",
        )
        .why("It would burn before any work goes in.")
        .accepted("Correct one of the two.")
        .also(other, "the flash point");
        scribe.push_at(diag, Scribe::key_span(section, "bath"));
    }
    flash
}

fn id(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<String> {
    let id = scribe.line_or_number(section, "id");
    if id.is_none() {
        scribe.missing(
            section,
            "id",
            "The run sheet must say which one to use.",
            "id = \"F1\", the mark painted on it",
        );
    }
    id.map(|at| at.value)
}

fn inside(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<[Length; 3]> {
    let Some(at) = scribe.triple(section, "inside") else {
        scribe.missing(
            section,
            "inside",
            "It decides what fits and how long the heat takes to reach the middle.",
            "inside = \"300 x 250 x 450 mm\" (width, height, depth)",
        );
        return None;
    };
    let sides = at.value.map(|w| w.value);
    if sides
        .iter()
        .all(|side| (20.0..=5000.0).contains(&side.to_mm()))
    {
        return Some(sides);
    }
    let written = scribe
        .text
        .get(at.place.span.clone())
        .unwrap_or("")
        .to_owned();
    scribe.push(
        Diag::stop("value-out-of-range", format!("inside = {written}."))
            .why("No box and no tool-room furnace has such a size; a unit has slipped.")
            .accepted("Sides between 20 mm and 5 m (0.8 in to 16 ft) are accepted.")
            .at(at.place),
    );
    None
}

fn needed<Q: Quantity + PartialOrd>(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    why: &str,
    example: &str,
    range: (Q, Q),
    said: &str,
) -> Option<Q> {
    let Some(at) = scribe.measure::<Q>(section, key) else {
        scribe.missing(section, key, why, example);
        return None;
    };
    scribe.within(key, at, range, said, why).map(|at| at.value)
}

fn optional<Q: Quantity + PartialOrd>(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    range: (Q, Q),
    said: &str,
) -> Option<Q> {
    let at = scribe.measure::<Q>(section, key)?;
    scribe.within(key, at, range, said, "").map(|at| at.value)
}

/// Tells of a default for one thing, unless the key is there and was complained about.
fn said(scribe: &mut Scribe<'_>, section: &Section<'_>, key: &str, words: &str) {
    if !section.has(key) {
        let words = format!("Of {} {key} is not given: {words}.", called(section));
        default_taken(scribe, section, words);
    }
}

/// `box B1` where it has a mark, else its section's name.
fn called(section: &Section<'_>) -> String {
    let plain = section.name.trim_matches(['[', ']']);
    match section.table.get("id").and_then(|id| id.get_ref().as_str()) {
        Some(id) => format!("{plain} {}", crate::text::clipped(id)),
        None => format!("a {plain}"),
    }
}

fn place(scribe: &Scribe<'_>, section: &Section<'_>) -> Place {
    scribe.place(section.header.clone())
}
