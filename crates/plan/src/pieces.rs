//! Pieces of a plan. Test pieces and scales: what rides in the box, what each piece proves, and which
//! hardness scales can honestly read this case. Curves and sources, as the report wants them.

use std::collections::BTreeSet;

use casewright_job::spec::Spec;
use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::model::testers;
use casewright_physics::run::Layers;
use casewright_terms::{Band, Diag, Length, Scale, SourceKey, Span, UnitSystem};

use crate::inside::Inside;
use crate::outcome::{Coupon, PackLayout, Prediction, ScaleAdvice};
use crate::pack::coupon_size;
use crate::search::Candidate;
use crate::setup;
use crate::traverse::Traverse;

/// The coupons of one box and the untreated control.
#[must_use]
pub fn coupons(spec: &Spec, layout: &PackLayout, steel: &str) -> Vec<Coupon> {
    let [diameter, length] = coupon_size(spec.units);
    let size = format!(
        "{} round × {}, {steel}, same heat as the parts where it can be had; mark stamped before the heat, not on the test face",
        diameter.size_text(spec.units),
        length.size_text(spec.units),
    );
    let last = layout.coupons.len().saturating_sub(1);
    let mut list: Vec<Coupon> = layout
        .coupons
        .iter()
        .enumerate()
        .map(|(i, placed)| {
            let (place, proves) = match i {
                _ if last == 0 => ("nearest the middle of the load", "case depth and hardness of the load, after the same quench and temper as the parts"),
                0 => ("nearest the middle of the load", "last to be hot, the least case; break this one first, before the parts are reheated"),
                _ if i == last => ("at the back-wall end of the box", "the hottest place, the greatest case"),
                _ => ("at the door end of the box", "the coldest place while the furnace holds"),
            };
            Coupon {
                mark: placed.mark.clone(),
                control: false,
                size: size.clone(),
                place: place.to_owned(),
                proves: proves.to_owned(),
            }
        })
        .collect();
    list.push(Coupon {
        mark: "U".to_owned(),
        control: true,
        size,
        place: "not packed: joins the parts at the reheat, the quench and the temper".to_owned(),
        proves: "that the bar is the steel it was bought as: it must come out as soft as the core"
            .to_owned(),
    });
    list
}

/// What each scale would read, for the tester's table.
///
/// `low` and `high` are the soft and the hard end of the profile's band.
#[must_use]
pub fn scales(
    spec: &Spec,
    nominal: &Layers,
    low: &Layers,
    high: &Layers,
    ground: Length,
) -> Vec<ScaleAdvice> {
    let round = setup::round_diameter(spec.part.shape);
    [
        Scale::Hrc,
        Scale::Hra,
        Scale::Hr15n,
        Scale::Hr30n,
        Scale::Hr45n,
        Scale::Hrb,
        Scale::Hv,
    ]
    .into_iter()
    .map(|scale| {
        let mid = testers::would_read(nominal, scale, ground, round);
        let reading = |layers: &Layers| testers::would_read(layers, scale, ground, round).reading;
        // Where an end of the band leaves the scale there is no reading: the middle in the place of
        // an end would promise a surer reading than it is.
        let band = |[mid, low, high]: [Option<f64>; 3]| {
            let (mid, low, high) = (mid?, low?, high?);
            Some(Band {
                low: low.min(mid),
                mid,
                high: high.max(mid),
            })
        };
        let surface = [mid.reading, reading(low), reading(high)];
        let leaves = mid.reading.is_some() && band(surface).is_none();
        let core = [nominal, low, high].map(|layers| scale_of(layers.core(), scale));
        ScaleAdvice {
            scale,
            at_hand: spec.shop.scales.contains(&scale)
                || (scale == Scale::Hv && spec.shop.micro_hardness),
            valid: mid.valid,
            reading: band(surface),
            core_reading: band(core),
            least_case: mid.least_case,
            round_correction: mid.round_correction,
            why: if leaves {
                format!(
                    "{}; a part of the band lies outside the scale, so no number is promised",
                    mid.why
                )
            } else {
                mid.why
            },
        }
    })
    .collect()
}

/// The heaviest valid scale at hand, which is the least disturbed by the skin; `None` where no
/// scale of the shop can read the case.
#[must_use]
pub fn best_scale(scales: &[ScaleAdvice]) -> Option<&ScaleAdvice> {
    const HEAVIEST_FIRST: [Scale; 6] = [
        Scale::Hrc,
        Scale::Hra,
        Scale::Hr45n,
        Scale::Hr30n,
        Scale::Hr15n,
        Scale::Hv,
    ];
    HEAVIEST_FIRST.iter().find_map(|scale| {
        scales
            .iter()
            .find(|s| s.scale == *scale && s.valid && s.at_hand)
    })
}

/// The finding that no scale of the shop can read this case, with the scales that could.
pub(crate) fn unreadable(
    spec: &Spec,
    scales: &[ScaleAdvice],
    prediction: &Prediction,
) -> Option<Diag> {
    let at_hand: Vec<&ScaleAdvice> = scales.iter().filter(|s| s.at_hand).collect();
    if at_hand.is_empty() || best_scale(scales).is_some() {
        return None;
    }
    let units = spec.units;
    let held: Vec<String> = at_hand
        .iter()
        .map(|s| match s.least_case {
            Some(least) => format!("{} needs {}", s.scale, least.depth_text_both(units)),
            None => format!("{} does not reach so hard a skin", s.scale),
        })
        .collect();
    let others: Vec<&str> = scales
        .iter()
        .filter(|s| s.valid)
        .map(|s| s.scale.symbol())
        .collect();
    let case = prediction.case_depth_after_grind.map_or_else(
        || "The case".to_owned(),
        |band| {
            format!(
                "The case of {} to {}",
                band.low.depth_text_both(units),
                band.high.depth_text_both(units)
            )
        },
    );
    let serve = if others.is_empty() {
        "A micro-hardness traverse of a coupon".to_owned()
    } else {
        format!("A tester with {}", others.join(" or "))
    };
    Some(
        Diag::warn(
            "scale-none-reads",
            format!(
                "{case} cannot be read by any scale of this shop: {}.",
                held.join("; ")
            ),
        )
        .why("A heavy scale presses through a thin case and reads the core: good work reads soft.")
        .accepted(format!(
            "{serve}, or a coupon sent out; agree the scale with the customer before the work."
        )),
    )
}

/// Depths of a taper or step grind that would bracket the case: from the surface in even steps.
#[must_use]
pub fn step_depths(depth: Length, units: UnitSystem) -> Vec<Length> {
    let step = match units {
        UnitSystem::Metric => Length::from_mm(0.1),
        UnitSystem::Inch => Length::from_thou(4.0),
    };
    let count = ((depth * 1.5) / step).ceil().clamp(4.0, 30.0) as usize;
    (1..=count).map(|i| step * i as f64).collect()
}

/// A cycle as points: hours from loading, °C.
pub(crate) fn curve(cycle: &casewright_physics::setup::Cycle) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    let mut at = Span::ZERO;
    for piece in &cycle.pieces {
        let from = (at.to_h(), piece.from.to_c());
        if points.last() != Some(&from) {
            points.push(from);
        }
        at = at + piece.duration;
        points.push((at.to_h(), piece.to.to_c()));
    }
    points
}

/// All sources that a plan rests on.
pub(crate) fn sources(
    best: &Candidate<'_>,
    edges: &[SourceKey],
    inside: Option<&Inside>,
    traverse: Option<&Traverse>,
) -> Vec<SourceKey> {
    let keys: BTreeSet<SourceKey> = best
        .simulated
        .chain
        .sources
        .iter()
        .chain(&best.simulated.heat.sources)
        .chain(&best.simulated.chain.carbon.sources)
        .chain(edges)
        .copied()
        .chain(["trade-practice"])
        .chain(inside.into_iter().flat_map(|inside| inside.sources.clone()))
        .chain(
            traverse
                .into_iter()
                .flat_map(|traverse| traverse.sources.clone()),
        )
        .collect();
    keys.into_iter().collect()
}
