//! Why this box, this much compound and these test pieces.

use super::{View, Why, percent, said, why};
use crate::outcome::StepKind;
use crate::steps::COPPER_UM;

pub(super) fn reasons(view: &View<'_>, all: &mut Vec<Why>) {
    all.push(pack_box(view));
    all.push(cover(view));
    all.push(compound(view));
    all.push(coupons(view));
    all.extend(stop_off(view));
}

fn pack_box(view: &View<'_>) -> Why {
    let plan = view.plan;
    let pack = &plan.pack;
    let units = view.units();
    let wish = view
        .spec
        .wishes
        .pack_box
        .as_ref()
        .map(|id| format!("The job file asks for {id}."));
    let holds = format!(
        "{} holds {} of the {} parts with their compound and weighs {} packed.",
        pack.box_id,
        pack.parts.len(),
        view.spec.quantity,
        pack.lift.text(units)
    );
    let ours = plan.pack_ways.iter().find(|way| way.chosen);
    let other = plan.pack_ways.iter().find(|way| !way.chosen);
    let weighed = ours.zip(other).map(|(ours, other)| {
        let hot = |way: &crate::outcome::PackWay| {
            way.hot_after.map_or_else(
                || "never hot".to_owned(),
                |hot| format!("hot after {}", hot.text()),
            )
        };
        format!(
            "It is {}; weighed against it: {}, {}, {} to lift.",
            hot(ours),
            other.what,
            hot(other),
            other.lift.text(units)
        )
    });
    why(
        "box",
        "Box",
        format!(
            "{}, {} × {} × {} inside",
            match pack.boxes {
                1 => pack.box_id.clone(),
                n => format!("{n} × {}", pack.box_id),
            },
            pack.inside[0].size_text(units),
            pack.inside[1].size_text(units),
            pack.inside[2].size_text(units)
        ),
        said(&[wish, Some(holds), weighed]),
        &["trade-practice"],
        view.numbers(StepKind::Pack),
    )
    .teach("The smallest box that leaves compound all around is the best one: less to heat, less to lift, and parts that come to heat together.")
}

fn cover(view: &View<'_>) -> Why {
    let units = view.units();
    let cover = view.plan.pack.cover;
    let spread = view.plan.pack_heat.as_ref().and_then(|heat| {
        heat.spread_text(units)
            .map(|text| format!("Across this box the case comes to {text}."))
    });
    why(
        "cover",
        "Compound around the parts",
        format!(
            "{} under, {} over, {} to the walls, {} between",
            cover.below.size_text(units),
            cover.above.size_text(units),
            cover.wall.size_text(units),
            cover.between.size_text(units)
        ),
        said(&[
            Some(format!(
                "The pack sinks while it is hot, so most goes over the parts: {}; {} between pieces lets the gas reach every face.",
                cover.above.size_text(units),
                cover.between.size_text(units)
            )),
            spread,
        ]),
        &["trade-practice"],
        view.numbers(StepKind::Pack),
    )
    .teach("A part that touches another, or stands bare when the pack has sunk, stays soft there. Half an inch between and an inch to the walls are old figures, and twice that over the top where nobody knows how far the lot shrinks.")
}

fn compound(view: &View<'_>) -> Why {
    let units = view.units();
    let pack = &view.plan.pack;
    let share = pack.fresh_mass / pack.compound_mass;
    let fresh = match share {
        s if s < 0.10 => "less than the tenth that keeps used compound working",
        s if s <= 0.30 => "within the usual tenth to third",
        _ => "more than the usual third, so it gives freely at first",
    };
    why(
        "compound",
        "Compound for one box",
        format!(
            "{}, {} of {}",
            pack.compound.text(units),
            pack.compound_mass.text(units),
            pack.compound_id
        ),
        format!(
            "The box less its parts and test pieces, {} of steel, takes {}; {} of it is fresh, {fresh}; {} more stand ready for tamping and topping up.",
            pack.steel_mass.text(units),
            pack.compound.text(units),
            percent(share),
            pack.top_up.text(units)
        ),
        &["trade-practice"],
        view.numbers(StepKind::Pack),
    )
    .teach("Used compound has lost energiser and fines. Some fresh in every charge keeps it alive; all fresh over a long soak gives more carbon than a case can use.")
}

fn coupons(view: &View<'_>) -> Why {
    let units = view.units();
    let plan = view.plan;
    let marks: Vec<&str> = plan.coupons.iter().map(|c| c.mark.as_str()).collect();
    let [w, h, l] = plan.pack.inside.map(casewright_terms::Length::to_mm);
    let litres = w * h * l * 1e-6;
    let rides = plan.coupons.iter().filter(|c| !c.control).count();
    let places: Vec<String> = plan
        .coupons
        .iter()
        .map(|c| format!("{} {}", c.mark, c.place))
        .collect();
    let reads = plan.pack_heat.as_ref().and_then(|heat| {
        heat.coupon_text(units)
            .map(|text| format!("By their places they stand for the parts so: {text}."))
    });
    why(
        "coupons",
        "Test pieces",
        marks.join(", "),
        said(&[
            Some(format!(
                "{rides} in a box of {litres:.1} L, and an uncased control of the same bar: {}.",
                places.join("; ")
            )),
            reads,
        ]),
        &["handbook-pack-scatter", "trade-practice"],
        view.numbers(StepKind::Pack),
    )
    .teach("The case of a part can be seen only by cutting it. A coupon of the same bar, in the same box, through the same quench and temper is cut instead; broken before the work is reheated, it is the last moment at which a shallow case costs hours and not parts.")
}

fn stop_off(view: &View<'_>) -> Option<Why> {
    let soft: Vec<&str> = view
        .spec
        .part
        .features
        .iter()
        .filter(|feature| feature.stays_soft)
        .map(|feature| feature.name.as_str())
        .collect();
    if soft.is_empty() {
        return None;
    }
    Some(
        why(
            "stop-off",
            "Copper on what stays soft",
            casewright_terms::Length::from_um(COPPER_UM).depth_text_both(view.units()),
            format!(
                "{} must stay soft; carbon does not pass copper, and {} h at {} find every pinhole in a thinner plate.",
                soft.join(", "),
                (view.plan.furnace_time.to_h() * 10.0).round() / 10.0,
                view.t(view.plan.temperature)
            ),
            &["trade-practice"],
            view.numbers(StepKind::Pack),
        )
        .teach("What is carburized and then annealed soft is not what was never carburized. Plate, paint, or leave stock on and turn the case off before hardening."),
    )
}
