//! Which furnace, box and compound serve the job: the least loads first, then the smallest box.

use casewright_job::shop::{CompoundLot, Energiser, Furnace};
use casewright_job::spec::Spec;
use casewright_terms::{Diag, Length};

use crate::pack::{self, Packed};

/// Equipment chosen before the search.
pub(crate) struct Equipment<'s> {
    pub(crate) furnace: &'s Furnace,
    pub(crate) lot: &'s CompoundLot,
    pub(crate) packed: Packed,
}

/// Chooses the equipment.
///
/// # Errors
/// What is missing or too small, all at once.
pub(crate) fn choose(spec: &Spec) -> Result<Equipment<'_>, Vec<Diag>> {
    let shop = &spec.shop;
    let wish = &spec.wishes;
    let wanted = |mark: &str, wish: &Option<String>| wish.as_ref().is_none_or(|w| w == mark);
    let lot = shop
        .compounds
        .iter()
        .filter(|lot| wanted(&lot.id, &wish.compound))
        // Strongest usable lot first: dry, not cyanide, and with a normal share of fresh compound.
        .max_by(|a, b| lot_rank(a).total_cmp(&lot_rank(b)))
        .ok_or_else(|| missing("compound", "no compound"))?;
    let mut best: Option<Equipment<'_>> = None;
    let mut reasons = Vec::new();
    for furnace in shop
        .furnaces
        .iter()
        .filter(|f| wanted(&f.id, &wish.furnace))
    {
        for pack_box in shop.boxes.iter().filter(|b| wanted(&b.id, &wish.pack_box)) {
            match pack::pack(spec, pack_box, furnace, lot) {
                Ok(packed) => {
                    let better = best
                        .as_ref()
                        .is_none_or(|held| load_rank(&packed) < load_rank(&held.packed));
                    if better {
                        best = Some(Equipment {
                            furnace,
                            lot,
                            packed,
                        });
                    }
                }
                Err(small) => reasons.push(format!("box {}: {}", small.box_id, small.why)),
            }
        }
    }
    best.ok_or_else(|| {
        vec![
            Diag::stop(
                "no-box",
                format!("No box of this shop takes the part. {}", reasons.join("; ")),
            )
            .why("A part without cover all round carburizes unevenly or scales.")
            .accepted("A larger box that fits the furnace, or a smaller part."),
        ]
    })
}

/// Fewest loads first, then the smallest box: a small box is hot sooner.
fn load_rank(packed: &Packed) -> (u32, u64) {
    let layout = &packed.layout;
    let inside = (layout.inside[0] * layout.inside[1] * layout.inside[2]).to_mm3();
    (packed.loads, inside as u64 * u64::from(layout.boxes))
}

fn lot_rank(lot: &CompoundLot) -> f64 {
    let usable = if lot.dry && lot.energiser != Energiser::Cyanide {
        10.0
    } else {
        0.0
    };
    let energised = if lot.energiser == Energiser::None {
        0.0
    } else {
        1.0
    };
    // A charge of 12–30 % fresh is the trade's normal one; all-new over-carburizes on a long soak.
    let fresh = lot.fresh.to_ratio();
    usable + energised - (fresh - 0.2).abs()
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
pub(crate) fn findings(equipment: &Equipment<'_>) -> Vec<Diag> {
    let layout = &equipment.packed.layout;
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
    if equipment.packed.loads > 1 {
        list.push(
            Diag::note(
                "several-loads",
                format!(
                    "The parts need {} loads of {}.",
                    equipment.packed.loads,
                    layout.parts.len()
                ),
            )
            .why("Each load is its own heat: its own coupons, its own clock.")
            .accepted("The plan and its times are those of one load."),
        );
    }
    let lot = equipment.lot;
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
    if lot
        .stock
        .is_some_and(|stock| stock < layout.compound * f64::from(layout.boxes))
    {
        list.push(
            Diag::warn(
                "compound-short",
                format!("Compound {} does not fill the box.", lot.id),
            )
            .why("Parts without cover scale and carburize unevenly.")
            .accepted("Order more, or use a smaller box."),
        );
    }
    list
}
