//! Compound and weight: the lots are fit and hold enough, the scoops add up, the lift is honest, and
//! every load has its time.

use casewright_job::shop::{CompoundLot, Energiser};
use casewright_terms::{Diag, Mass, Span};

use super::Rule;
use super::pack::all;
use super::sight::{STEEL_KG_M3, Sight};
use crate::outcome::PackLayout;

pub(super) const RULES: &[Rule] = &[compound_fit, compound_amount, lift_weighed, loads];

/// The compound is the shop's, dry, free of cyanide, and not spent [trade-practice].
fn compound_fit(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let strange: Vec<&str> = pack
        .scoops
        .iter()
        .map(|scoop| scoop.lot.as_str())
        .filter(|id| sight.lot(id).is_none())
        .collect();
    if pack.scoops.is_empty() || !strange.is_empty() {
        let id = strange.first().copied().unwrap_or(&pack.compound_id);
        found.push(Diag::stop(
            "check-compound",
            format!("The shop book has no compound {id}."),
        ));
    }
    for lot in sight.compounds() {
        lot_fit(lot, found);
    }
    let fresh = pack.fresh_mass / pack.compound_mass;
    // A half percent: shares are written whole.
    if fresh < 0.095 {
        found.push(
            Diag::warn(
                "check-compound-spent",
                format!("The charge is {:.0} % fresh.", 100.0 * fresh),
            )
            .why("Spent compound makes thin and uneven cases.")
            .accepted("12 to 30 % new."),
        );
    }
}

fn lot_fit(lot: &CompoundLot, found: &mut Vec<Diag>) {
    if !lot.dry {
        found.push(
            Diag::stop("check-compound-damp", format!("Lot {} is damp.", lot.id))
                .why("Steam scales the work and can throw the lid.")
                .accepted("Dry compound."),
        );
    }
    if lot.energiser == Energiser::Cyanide {
        found.push(
            Diag::stop(
                "check-compound-cyanide",
                format!("Lot {} holds cyanide.", lot.id),
            )
            .why("It kills.")
            .accepted("A carbonate-energised compound."),
        );
    }
}

/// Steel volume in one box, in cubic metres.
fn steel_m3(pack: &PackLayout) -> f64 {
    all(pack)
        .into_iter()
        .map(|item| Sight::placed_volume(item).to_m3())
        .sum()
}

/// The compound fills what the steel leaves. Loose compound settles and shrinks by 5 to 15 %
/// [trade-practice], so up to 1.25 times the room is honest; 0.85 leaves the top bare.
fn compound_amount(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let inside: f64 = pack.inside.iter().map(|side| side.to_m()).product();
    let left = inside - steel_m3(pack);
    let share = pack.compound.to_m3() / left.max(1e-9);
    let seen = format!(
        "{:.1} L of compound for {:.1} L of room.",
        pack.compound.to_l(),
        left * 1e3
    );
    if share > 1.25 {
        found.push(Diag::stop("check-compound-much", seen).why("It does not go in."));
    } else if share < 0.85 {
        found.push(Diag::stop("check-compound-little", seen).why("The top pieces would lie bare."));
    }
    scoops_add_up(sight, found);
}

/// The scoops are what the sums say, by the shop's own densities and shares, and the bins hold them.
fn scoops_add_up(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let (mut mass, mut fresh, mut litres) = (0.0, 0.0, 0.0);
    for scoop in &pack.scoops {
        let Some(lot) = sight.lot(&scoop.lot) else {
            return;
        };
        let own = (lot.bulk_density * scoop.volume).to_kg();
        mass += own;
        fresh += own * lot.fresh.to_ratio();
        litres += scoop.volume.to_l();
        if let Some(stock) = lot.stock
            && scoop.volume > stock
        {
            found.push(
                Diag::stop(
                    "check-compound-stock",
                    format!("Lot {} has {:.0} L left.", lot.id, stock.to_l()),
                )
                .why("It does not fill one box."),
            );
        }
    }
    // A hundredth: volumes are printed to a tenth of a litre, and boxes hold several litres.
    if (litres - pack.compound.to_l()).abs() > 0.01 * pack.compound.to_l() + 0.05 {
        found.push(Diag::stop(
            "check-compound-scoops",
            format!(
                "The lots give {litres:.1} L, the box is said to take {:.1} L.",
                pack.compound.to_l()
            ),
        ));
    }
    // A tenth: a litre weighed loose or tapped differs by that much.
    if !(0.9..=1.1).contains(&(pack.compound_mass.to_kg() / mass.max(1e-9))) {
        found.push(Diag::warn(
            "check-compound-mass",
            format!(
                "{:.2} kg of compound; its volume weighs {mass:.2} kg.",
                pack.compound_mass.to_kg()
            ),
        ));
    }
    if (pack.fresh_mass.to_kg() - fresh).abs() > 0.02 * mass + 0.02 {
        found.push(Diag::warn(
            "check-compound-fresh",
            "The fresh part of the compound does not follow from the lots' shares.",
        ));
    }
    // The greatest shrinkage of a run is 15 % [trade-practice]; the least is a third of that.
    if pack.top_up < pack.compound * 0.05 {
        found.push(
            Diag::warn(
                "check-compound-top-up",
                "Hardly any compound is set aside to top up.",
            )
            .why("Compound settles in the heat and bares the top pieces.")
            .accepted("15 % of the charge, beside the box."),
        );
    }
}

/// Weight of box, work and compound; a lift over 15 kg needs its caution [trade-practice].
fn lift_weighed(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let pack = &sight.plan.pack;
    let inside: f64 = pack.inside.iter().map(|side| side.to_m()).product();
    let outside: f64 = pack
        .inside
        .iter()
        .map(|side| side.to_m() + 2.0 * pack.wall.to_m())
        .product();
    let steel = (outside - inside + steel_m3(pack)) * STEEL_KG_M3;
    let own = Mass::from_kg(steel) + pack.compound_mass;
    let ratio = pack.lift / own;
    // A quarter: lids, rims, feet and holes are not in our sum.
    if !(0.75..=1.25).contains(&ratio) {
        found.push(
            Diag::warn(
                "check-lift",
                format!("The lift is said to be {:.1} kg.", pack.lift.to_kg()),
            )
            .accepted(format!("About {:.1} kg.", own.to_kg())),
        );
    }
    let parts = pack.shell_mass + pack.steel_mass + pack.compound_mass;
    // Three figures are each rounded to a tenth of a kilogram on the page.
    if (parts - pack.lift).to_kg().abs() > 0.3 {
        found.push(Diag::warn(
            "check-lift-sum",
            format!(
                "Box, steel and compound weigh {:.1} kg together, the lift {:.1} kg.",
                parts.to_kg(),
                pack.lift.to_kg()
            ),
        ));
    }
    let heavy = pack.lift.max(own) > Mass::from_kg(15.0);
    let told = sight.cautions().any(|caution| {
        let text = format!("{} {}", caution.hazard, caution.text).to_lowercase();
        ["lift", "two people", "heavy"]
            .iter()
            .any(|word| text.contains(word))
    });
    if heavy && !told {
        found.push(
            Diag::stop(
                "check-caution-lift",
                format!(
                    "A lift of {:.0} kg without a caution.",
                    pack.lift.max(own).to_kg()
                ),
            )
            .accepted("Two people or a cart over 15 kg."),
        );
    }
}

/// Each part goes in some load, and one load follows the other.
fn loads(sight: &Sight<'_>, found: &mut Vec<Diag>) {
    let loads = &sight.plan.loads;
    let parts: u64 = loads.iter().map(|load| u64::from(load.parts)).sum();
    let wanted = u64::from(sight.spec.quantity);
    if !loads.is_empty() && parts != wanted {
        found.push(
            Diag::stop(
                "check-load-count",
                format!("The loads take {parts} parts of {wanted}."),
            )
            .accepted("A load for every part."),
        );
    }
    let minute = Span::from_min(1.0);
    let backwards = loads.iter().any(|load| {
        load.loaded.after < load.packed_from.after || load.soak_ends.after < load.loaded.after
    });
    let overlap = loads
        .windows(2)
        .any(|pair| pair[1].loaded.after < pair[0].tempered.after - minute);
    if backwards || overlap {
        found.push(
            Diag::stop(
                "check-load-overlap",
                "A load is in the furnace before the last is done.",
            )
            .why("One furnace heats one load, and reheats it too.")
            .accepted("One after the other."),
        );
    }
}
