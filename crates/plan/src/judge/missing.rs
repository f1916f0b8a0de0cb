//! What is missing for each clause that is not shown, and the cheapest test that this shop can make.

use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::law::indentation::least_case;
use casewright_terms::{Hardness, Length, Scale, Vickers};

use super::{Bench, Clause, ClauseKind, Fared, Missing, Quantity, Read, Value};

/// Clauses that are not shown, each with its test.
pub(super) fn list(bench: &Bench<'_>, clauses: &[Clause], read: &[Read]) -> Vec<Missing> {
    clauses
        .iter()
        .filter(|clause| clause.fared == Fared::NotShown)
        .map(|clause| Missing {
            clause: clause.kind.clone(),
            what: what(clause, read, super::combine::asked(bench.demand)),
            test: test(bench, &clause.kind),
        })
        .collect()
}

/// What is missing: nothing was read, nothing counts, or what counts is too doubtful.
fn what(clause: &Clause, read: &[Read], depth: Quantity) -> String {
    if !clause.found.is_empty() {
        return format!(
            "{} was read ({}), which does not decide it.",
            clause.by.join(", "),
            clause.found
        );
    }
    let quantity = match clause.kind {
        ClauseKind::CaseDepth(_) => depth,
        ClauseKind::SurfaceHardness | ClauseKind::FileHard | ClauseKind::HardArea(_) => {
            Quantity::Surface
        }
        ClauseKind::CoreHardness => Quantity::Core,
        ClauseKind::SoftArea(_) => Quantity::Area,
    };
    let reasons: Vec<String> = read
        .iter()
        .filter(|one| one.quantity == quantity)
        .filter_map(|one| {
            let why = one.left_out.as_ref()?;
            Some(format!("{} does not count: {why}", one.name))
        })
        .collect();
    let file_only = matches!(clause.kind, ClauseKind::SurfaceHardness)
        && read.iter().any(|one| {
            one.quantity == quantity
                && one.left_out.is_none()
                && matches!(one.value, Value::File(..))
        });
    match (reasons.is_empty(), file_only) {
        (true, true) => "Only a file was used, which gives no number.".to_owned(),
        (true, false) => "Nothing was read.".to_owned(),
        (false, _) => format!("{}.", super::piece::capital(&reasons.join("; "))),
    }
}

fn test(bench: &Bench<'_>, kind: &ClauseKind) -> String {
    let units = bench.spec.units;
    match kind {
        ClauseKind::CaseDepth(_) => depth_test(bench),
        ClauseKind::SurfaceHardness => {
            let ground = bench.demand.after_grind && !bench.spec.stock.is_empty();
            let on = if ground {
                let stock = bench
                    .spec
                    .stock
                    .iter()
                    .map(|s| s.per_side)
                    .reduce(Length::max);
                format!(
                    "on the ground face of a part, or on a coupon with {} ground off",
                    stock.unwrap_or(Length::ZERO).depth_text(units)
                )
            } else {
                "on a part or a coupon as tempered".to_owned()
            };
            match surface_scale(bench) {
                Some(scale) => {
                    format!("Five {scale} readings {on}, after a block check the same day.")
                }
                None => {
                    format!("The shop has no scale for this case: a coupon sent out for HV, {on}.")
                }
            }
        }
        ClauseKind::CoreHardness => {
            let scale = if bench.shop_has(Scale::Hrc) {
                "HRC"
            } else {
                "the shop's scale"
            };
            format!(
                "A coupon of the lot cut through and ground flat, or the uncased control that was hardened with it: three {scale} readings in the middle."
            )
        }
        ClauseKind::FileHard => "A file of 60 HRC drawn over the tempered surface.".to_owned(),
        ClauseKind::SoftArea(what) => {
            if bench.spec.shop.file_set {
                format!("A file of 55 HRC or less drawn over the {what} of a part: it must cut.")
            } else {
                format!(
                    "Any file drawn over the {what} of a part: it must cut; or a hardness reading there."
                )
            }
        }
        ClauseKind::HardArea(what) => {
            format!("A file of 60 HRC drawn over the {what} of a part: it must skate.")
        }
    }
}

fn depth_test(bench: &Bench<'_>) -> String {
    if bench.spec.shop.micro_hardness {
        return "A coupon of the lot cut, polished and traversed with HV1 in two bands, from the surface to three case depths.".to_owned();
    }
    let light = [Scale::Hr15n, Scale::Hr30n, Scale::Hra]
        .into_iter()
        .find(|scale| bench.shop_has(*scale));
    match light {
        Some(scale) => format!(
            "A tempered coupon of the lot ground down in steps of 0.1 mm (0.004 in) with two {scale} readings on each, until they fall well below the limit. Where the band is narrow: a coupon sent out for a traverse with HV1."
        ),
        None => {
            "A tempered coupon of the lot sent out for a traverse with HV1 in two bands.".to_owned()
        }
    }
}

/// The note's scale where it can read the case, or the heaviest one of the shop that can.
fn surface_scale(bench: &Bench<'_>) -> Option<Scale> {
    let demand = bench.demand.surface?;
    let middle = demand.middle(Vickers::from_hv(30.0))?;
    let case = bench.demand.depth_min;
    let reads = |scale: Scale| {
        let reading = scale_of(middle, scale)?;
        let need = least_case(Hardness::new(scale, reading))?;
        (case >= need.value.refuse_below && bench.shop_has(scale)).then_some(scale)
    };
    [
        demand.written.scale,
        Scale::Hrc,
        Scale::Hra,
        Scale::Hr45n,
        Scale::Hr30n,
        Scale::Hr15n,
    ]
    .into_iter()
    .find_map(reads)
}

impl Bench<'_> {
    /// Whether the shop's tester reads a scale.
    fn shop_has(&self, scale: Scale) -> bool {
        self.spec.shop.scales.contains(&scale)
    }
}
