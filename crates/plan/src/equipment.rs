//! Which furnace, box and compound serve the job: the least loads first, then the smallest box.

use casewright_job::shop::Furnace;
use casewright_job::spec::Spec;
use casewright_terms::{Diag, Length, Span, Temperature, UnitSystem};

use crate::outcome::PackWay;
use crate::pack;
use crate::pack::charge::{self, Charge};
use crate::pack::heat::Bed;
use crate::pack::weigh::{self, Weighed};
use crate::refusals;
use crate::setup;

/// A soak to weigh ways to pack with before the real one is known.
const USUAL_SOAK_H: f64 = 6.0;

/// A part this much longer than thick is said to sag where it lies. That long slender parts do is
/// [trade-practice]; where slender begins is a judgement.
const SAGS: f64 = 6.0;

/// Equipment chosen before the search.
#[derive(Debug)]
pub(crate) struct Equipment<'s> {
    pub(crate) furnace: &'s Furnace,
    pub(crate) charge: Charge<'s>,
    pub(crate) chosen: Weighed,
    /// Every way of the chosen furnace and charge, the chosen one among them.
    pub(crate) ways: Vec<Weighed>,
    /// Whether it was taken only because a cheaper way does not end in staffed hours.
    pub(crate) for_the_day: bool,
}

/// Chooses the equipment.
///
/// # Errors
/// What is missing or too small, all at once.
pub(crate) fn choose(spec: &Spec) -> Result<Equipment<'_>, Vec<Diag>> {
    let charges = charge::charges(spec);
    let first = charges
        .first()
        .ok_or_else(|| missing("compound", "no compound"))?;
    // The best charge that the stock can fill; where none can, the best, and the plan says so.
    let mut short = None;
    for charge in &charges {
        let Some(found) = best_way(spec, charge) else {
            break;
        };
        let usable = charge.lot.dry == first.lot.dry && charge.lot.energiser == first.lot.energiser;
        if usable && charge.suffices(needed(&found.chosen)) {
            return Ok(found);
        }
        short.get_or_insert(found);
    }
    short.ok_or_else(|| no_box(spec).into_iter().collect())
}

/// The finding that no box takes the part, where that is so.
pub(crate) fn no_box(spec: &Spec) -> Option<Diag> {
    let charge = charge::charges(spec).into_iter().next()?;
    let mut reasons = Vec::new();
    for furnace in furnaces(spec) {
        let (ways, small) = pack::layouts(spec, furnace, &charge);
        if !ways.is_empty() {
            return None;
        }
        reasons.extend(small.iter().map(|s| format!("box {}: {}", s.box_id, s.why)));
    }
    Some(
        Diag::stop(
            "no-box",
            format!("No box of this shop takes the part. {}", reasons.join("; ")),
        )
        .why("A part without cover all round carburizes unevenly or scales.")
        .accepted("A larger box that fits the furnace, or a smaller part."),
    )
}

fn furnaces(spec: &Spec) -> impl Iterator<Item = &Furnace> {
    let wish = &spec.wishes.furnace;
    spec.shop
        .furnaces
        .iter()
        .filter(move |f| wish.as_ref().is_none_or(|w| *w == f.id))
        .filter(|f| refusals::of_furnace(f, spec.unattended).is_empty())
}

/// The cheapest way of all furnaces with one charge; the first of equals.
fn best_way<'s>(spec: &'s Spec, charge: &Charge<'s>) -> Option<Equipment<'s>> {
    let soak = Span::from_h(USUAL_SOAK_H);
    let mut best: Option<(f64, Equipment<'s>)> = None;
    for furnace in furnaces(spec) {
        let (layouts, _) = pack::layouts(spec, furnace, charge);
        let set = usual(spec, furnace);
        let mut ways = weigh::heat_all(layouts, furnace, &charge.lot, set);
        let bed = |id: &str| Bed::of(spec.shop.boxes.iter().find(|b| b.id == id));
        weigh::look_closer(&mut ways, furnace, &charge.lot, bed, set, soak);
        let least = ways
            .iter()
            .map(|way| way.cost(soak))
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((index, cost)) = least else { continue };
        if best.as_ref().is_none_or(|(held, _)| cost < *held) {
            let chosen = ways[index].clone();
            let charge = charge.clone();
            best = Some((
                cost,
                Equipment {
                    furnace,
                    charge,
                    chosen,
                    ways,
                    for_the_day: false,
                },
            ));
        }
    }
    best.map(|(_, equipment)| equipment)
}

/// The temperature that ways are compared at.
pub(crate) fn usual(spec: &Spec, furnace: &Furnace) -> Temperature {
    let set = spec.wishes.temperature.unwrap_or(match spec.units {
        UnitSystem::Inch => Temperature::from_f(1700.0),
        UnitSystem::Metric => Temperature::from_c(925.0),
    });
    set.min(furnace.max)
}

/// Compound for the boxes that stand in the furnace together; a later load uses it again.
fn needed(way: &Weighed) -> casewright_terms::Volume {
    way.packed.layout.compound * f64::from(way.packed.at_once)
}

impl Equipment<'_> {
    /// The table of ways for a soak that is known: the chosen one first, then by cost.
    pub(crate) fn table(&self, spec: &Spec, soak: Span) -> Vec<PackWay> {
        // Of each box the parts close together; spread out only in the box that is taken.
        let taken = &self.chosen.packed.layout;
        let mut ways: Vec<&Weighed> = self
            .ways
            .iter()
            .filter(|way| {
                let layout = &way.packed.layout;
                way.packed.spread == self.chosen.packed.spread
                    || (layout.box_id == taken.box_id && layout.boxes == taken.boxes)
            })
            .collect();
        ways.sort_by(|a, b| {
            let key = |w: &Weighed| (w.packed != self.chosen.packed, w.cost(soak));
            let ((a_no, a_cost), (b_no, b_cost)) = (key(a), key(b));
            a_no.cmp(&b_no).then(a_cost.total_cmp(&b_cost))
        });
        ways.into_iter()
            .map(|way| way.row(&self.chosen, soak, spec.unattended, spec.units))
            .collect()
    }
}

fn missing(what: &'static str, seen: &str) -> Vec<Diag> {
    vec![
        Diag::stop(
            "shop-incomplete",
            format!("The shop has {seen} that serves this job."),
        )
        .why(format!("Without a {what} nothing can be packed."))
        .accepted(format!(
            "Add the {what} to the shop file, or drop the wish that names another one."
        )),
    ]
}

/// What is to be said about the load and its compound.
pub(crate) fn findings(spec: &Spec, equipment: &Equipment<'_>) -> Vec<Diag> {
    let layout = &equipment.chosen.packed.layout;
    let mut list = Vec::new();
    let narrow = layout
        .inside
        .iter()
        .copied()
        .fold(layout.inside[0], Length::min);
    if narrow > Length::from_mm(200.0) {
        list.push(
            Diag::warn(
                "box-wide",
                format!(
                    "Box {} is more than 200 mm (8 in) across its narrow side.",
                    layout.box_id
                ),
            )
            .why("Its middle is hot hours after its skin, so the parts inside differ.")
            .accepted("Split the load into smaller boxes."),
        );
    }
    list.extend(load_findings(spec, equipment));
    list.extend(charge_findings(equipment, spec.units));
    list
}

fn load_findings(spec: &Spec, equipment: &Equipment<'_>) -> Vec<Diag> {
    let (packed, layout) = (&equipment.chosen.packed, &equipment.chosen.packed.layout);
    let mut list = Vec::new();
    if packed.loads > 1 {
        list.push(
            Diag::note(
                "several-loads",
                format!(
                    "The parts need {} loads of {}.",
                    packed.loads,
                    layout.parts.len() as u32 * packed.at_once
                ),
            )
            .why("Each load is its own heat: its own coupons, its own clock, compound renewed by 12–30 %.")
            .accepted("The steps are those of the first load and are done again for each; the clock of every load stands with them."),
        );
    }
    if packed.at_once > 1 {
        list.push(
            Diag::note(
                "boxes-together",
                format!("{} boxes {} heat together.", packed.at_once, layout.box_id),
            )
            .why("They share the furnace's power, and the box nearest the door is the last to be hot; the plan's clock knows one box.")
            .accepted("Count the soak from the couple in the box nearest the door; coupons in every box."),
        );
    }
    if layout.lift.to_kg() > weigh::LIFT_BY_HAND_KG {
        list.push(
            Diag::warn(
                "lift-heavy",
                format!("A full box weighs {}.", layout.lift.text(spec.units)),
            )
            .why("Two people with tongs cannot put it into a hot furnace or take it out and keep their footing.")
            .accepted("A cart at hearth height or a hoist; or a smaller box, in more loads."),
        );
    }
    let sides = setup::brick(spec.part.shape);
    if packed.upright == Some(false) && sides[2] > sides[1] * SAGS {
        list.push(
            Diag::note("slender-lying", "Long slender parts lie on their side in this box.")
                .why("At heat a long part sags under its own weight; this box is too low to stand them up in.")
                .accepted("A bed of compound tamped along the whole length, or a higher box."),
        );
    }
    if let Some(diag) = gain(equipment, spec) {
        list.push(diag);
    }
    list
}

/// The nearest other way, in a sentence: what moving or splitting the load would change.
fn gain(equipment: &Equipment<'_>, spec: &Spec) -> Option<Diag> {
    let rows = equipment.table(spec, Span::from_h(USUAL_SOAK_H));
    let other = rows
        .iter()
        .find(|row| !row.chosen && !row.spread_out && row.hot_after.is_some())?;
    let day = if equipment.for_the_day {
        ", which heats and soaks within one staffed day"
    } else {
        ""
    };
    Some(
        Diag::note(
            "pack-choice",
            format!(
                "Packed in {}{day}. Next best, {}: {}.",
                equipment.chosen.what(),
                other.what,
                other.why
            ),
        )
        .why("Hours until the pack is hot, hours of watching, weight to lift and compound were weighed.")
        .accepted("Name another box under [wish] to plan with it."),
    )
}

fn charge_findings(equipment: &Equipment<'_>, units: UnitSystem) -> Vec<Diag> {
    let layout = &equipment.chosen.packed.layout;
    let mut list = Vec::new();
    let lot = &equipment.charge.lot;
    if lot.fresh.to_ratio() < 0.10 {
        list.push(
            Diag::warn(
                "compound-weak",
                format!("Compound {} has {:.0} % fresh.", lot.id, lot.fresh.to_pct()),
            )
            .why("Spent compound is the main reason why the second batch comes out shallower.")
            .accepted("Add fresh to 12–30 % of the charge."),
        );
    }
    if layout.scoops.len() > 1 {
        let of: Vec<String> = layout
            .scoops
            .iter()
            .map(|s| {
                format!(
                    "{} ({}) of {}",
                    s.volume.text(units),
                    s.mass.text(units),
                    s.lot
                )
            })
            .collect();
        list.push(
            Diag::note(
                "compound-mixed",
                format!(
                    "For each box mix {}: {:.0} % fresh.",
                    of.join(" and "),
                    lot.fresh.to_pct()
                ),
            )
            .why("Neither lot alone has a normal share of fresh compound; the forecast is that of the mixture.")
            .accepted("Mix dry, by measure, before packing."),
        );
    }
    if !equipment.charge.suffices(needed(&equipment.chosen)) {
        list.push(
            Diag::warn(
                "compound-short",
                format!(
                    "Compound {} does not fill the load: {} are needed, with {} to top up.",
                    lot.id,
                    needed(&equipment.chosen).text(units),
                    charge::top_up(needed(&equipment.chosen)).text(units)
                ),
            )
            .why("Parts without cover scale and carburize unevenly.")
            .accepted("Order more, or use a smaller box."),
        );
    }
    list
}

/// Hours from which a soak on new compound is long: a full day's. [trade-practice]
const LONG_SOAK_H: f64 = 8.0;

/// The caution about fresh compound, once the soak is known.
pub(crate) fn over_carbon(equipment: &Equipment<'_>, soak: Span) -> Option<Diag> {
    let lot = &equipment.charge.lot;
    let fresh = lot.fresh.to_ratio();
    if fresh <= charge::FRESH_NORMAL.1 {
        return None;
    }
    let seen = format!(
        "Compound {} is {:.0} % fresh, with a soak of {}.",
        lot.id,
        lot.fresh.to_pct(),
        soak.text()
    );
    let long_and_new = fresh > 0.9 && soak > Span::from_h(LONG_SOAK_H);
    let diag = if long_and_new {
        Diag::warn("compound-fresh", seen)
    } else {
        Diag::note("compound-fresh", seen)
    };
    Some(
        diag.why("Much fresh compound over a long soak piles up carbon: a net of carbides that chips and cracks in grinding. The forecast takes a charge of 20 % fresh as full strength and knows no stronger one.")
            .accepted("12–30 % fresh; look at an etched coupon before the work is ground."),
    )
}
