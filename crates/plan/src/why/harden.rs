//! Why the parts are heated again, quenched and drawn as they are.

use casewright_physics::law::hardness_conversion::scale_of;
use casewright_terms::{Scale, Span, Vickers};

use super::heat::share_of;
use super::{View, Why, percent, said, seconds, why};
use crate::outcome::{Step, StepKind};
use crate::tank;

pub(super) fn reasons(view: &View<'_>, all: &mut Vec<Why>) {
    let reheats: Vec<(usize, &Step)> = view.steps(StepKind::Reheat).collect();
    let count = reheats.len();
    for (i, (number, step)) in reheats.into_iter().enumerate() {
        let key = |name: &str| {
            if i == 0 {
                name.to_owned()
            } else {
                format!("{name}-{}", i + 1)
            }
        };
        all.push(reheat(
            view,
            key("reheat-temperature"),
            number,
            step,
            i + 1 == count,
        ));
        all.push(hold(view, key("reheat-hold"), number, step));
    }
    all.push(medium(view));
    all.push(movement(view));
    all.push(bath(view));
    all.extend(transfer(view));
    if let Some((number, step)) = view.steps(StepKind::Temper).next() {
        all.push(temper(view, number, step));
        all.push(temper_time(view, number, step));
    }
}

fn reheat(view: &View<'_>, key: String, number: usize, step: &Step, last: bool) -> Why {
    let at = step.temperature.map(|t| view.t(t)).unwrap_or_default();
    let because = if last {
        let skin = view.skin.as_ref().map(|skin| {
            format!(
                "At {at} the austenite of the finished face holds {:.2} of its {:.2} wt% of carbon; {} stays carbide and {} retained austenite after the quench.",
                skin.dissolved_wt_pct,
                skin.carbon_wt_pct,
                percent(skin.carbide_left),
                percent(share_of(&skin.phases, "retained austenite"))
            )
        });
        let core = view.inside.and_then(|inside| {
            let left = *inside.ferrite_left.last()?;
            Some(if left < 0.005 {
                "Hotter would keep more austenite and coarsen the grain; the core is austenite as well.".to_owned()
            } else {
                format!(
                    "Hotter would keep more austenite and coarsen the grain; {} of the core stays ferrite and with it soft and tough.",
                    percent(left)
                )
            })
        });
        said(&[skin, core])
    } else {
        format!(
            "The first heat, {at}, makes the core austenite throughout, so that the grain that grew at {} in the box is broken up; what it does to the case the next heat puts right.",
            view.t(view.plan.temperature)
        )
    };
    let mut reason = why(
        "",
        "Reheat temperature",
        at,
        because,
        &[
            "gustafson-1985",
            "koistinen-marburger-1959",
            "van-bohemen-2012",
            "trade-practice",
        ],
        vec![number],
    )
    .teach("A case is steel of another kind than its core and wants another heat: around 760 to 815 °C the case is right and the core not yet all austenite; hotter the core is right and the case keeps too much austenite. One reheat is a choice between the two, two reheats are one for each.");
    reason.key = key;
    reason
}

fn hold(view: &View<'_>, key: String, number: usize, step: &Step) -> Why {
    let section = view.section();
    let soak = step.soak.unwrap_or(Span::ZERO);
    let whole = step.ends.after - step.begins.after;
    let mut reason = why(
        "",
        "Hold at the reheat",
        soak.text(),
        format!(
            "Half an hour per inch of section and ten minutes at least; the least section is {}. The part needs {} in the furnace before that until it is hot through.",
            section.size_text(view.units()),
            (whole - soak).text()
        ),
        &["radiation-handbook", "trade-practice"],
        vec![number],
    )
    .teach("Steel that has come to heat is austenite within minutes; the hold is for the carbide to dissolve and for the section to be even. Longer only costs carbon, scale and grain.");
    reason.key = key;
    reason
}

fn medium(view: &View<'_>) -> Why {
    let quench = &view.plan.quench;
    let speed = view.skin.as_ref().and_then(|skin| {
        let (from, to) = skin.counted;
        let took = skin.cooling?;
        Some(match skin.needed {
            Some(needed) => format!(
                "The finished face falls from {} to {} in {}; this steel with this carbon allows {} for nine tenths martensite, {:.1} times as long.",
                view.t(from),
                view.t(to),
                seconds(took),
                seconds(needed),
                needed / took
            ),
            None => format!(
                "The finished face falls from {} to {} in {}, and no likely speed of cooling would change what it becomes.",
                view.t(from),
                view.t(to),
                seconds(took)
            ),
        })
    });
    let other = view.report.alternatives.iter().find_map(|a| {
        let way = a.way.as_ref()?;
        (way.tank != quench.tank).then(|| {
            format!(
                "Weighed against it: {} in {}; {}.",
                tank::name(way.medium),
                way.tank,
                a.why_not
            )
        })
    });
    why(
        "quench-medium",
        "Quench",
        format!("{} ({})", tank::name(quench.medium), quench.tank),
        said(&[speed, other]),
        &["li-1998", "quench-composite", "trade-practice"],
        view.numbers(StepKind::Quench),
    )
    .teach("Martensite is what austenite becomes when it has no time for anything else. How much time it has depends on its alloy: plain steel gives a second or two and wants water or brine, alloyed steel gives ten and more and would crack in water.")
}

fn movement(view: &View<'_>) -> Why {
    let quench = &view.plan.quench;
    let share = view
        .report
        .outlook
        .spreads
        .iter()
        .find(|spread| spread.cause == crate::doubt::Cause::Quench)
        .map(|spread| {
            format!(
                "Bath and carry are {} of the spread in depth and {} of that in surface hardness here.",
                percent(spread.share),
                percent(spread.share_surface)
            )
        });
    why(
        "quench-movement",
        "Movement in the bath",
        tank::movement(quench.agitation).to_owned(),
        said(&[
            Some(format!(
                "Steam or vapour sits on the work first and keeps the bath off; moving {} of hot steel tears it away, and {} is reckoned with {}.",
                quench.mass.text(view.units()),
                quench.tank,
                tank::movement(quench.agitation)
            )),
            share,
        ]),
        &["quench-composite", "grossmann-1940"],
        view.numbers(StepKind::Quench),
    )
    .teach("Soft spots after a good quench are most often places where vapour stood. Up and down along the part's own length is right; stirring in a circle bends slim parts.")
}

fn bath(view: &View<'_>) -> Why {
    let quench = &view.plan.quench;
    let tank = view.spec.shop.tanks.iter().find(|t| t.id == quench.tank);
    let before = tank.map_or(quench.bath_after - quench.rise, |tank| tank.bath);
    let litres = tank.map(|tank| {
        format!(
            "{} of hot steel warm the {} of {} by {}, to {}.",
            quench.mass.text(view.units()),
            tank.volume.text(view.units()),
            quench.tank,
            quench.rise.text_both(view.units()),
            view.t(quench.bath_after)
        )
    });
    let flash = quench.flash_margin.map(|margin| {
        format!(
            "That leaves {} to the limit under its flash point.",
            margin.text_both(view.units())
        )
    });
    why(
        "bath",
        "Bath before the quench",
        view.t(before),
        said(&[litres, flash]),
        if tank::is_oil(quench.medium) {
            &["us-29-cfr-1910-125", "trade-practice"]
        } else {
            &["water-tables", "trade-practice"]
        },
        view.numbers(StepKind::Quench),
    )
    .teach("A bath that warms while it quenches grows slower in water, where the vapour stays on longer, and dangerous in oil. About eight litres for each kilogram of hot steel keep both in bounds.")
}

fn transfer(view: &View<'_>) -> Option<Why> {
    let quench = &view.plan.quench;
    let tank = view.spec.shop.tanks.iter().find(|t| t.id == quench.tank)?;
    let start = view.inside.map(|inside| {
        format!(
            "The part leaves the furnace at {}",
            view.t(inside.quenched_from)
        )
    });
    let start = start.unwrap_or_else(|| "The part leaves the furnace hot".to_owned());
    Some(
        why(
            "transfer",
            "From furnace to bath",
            tank.transfer.text(),
            format!(
                "{start} and loses heat to the air all the way; the plan reckons with {} to {}, and a slower way can begin to soften the thinnest places.",
                tank.transfer.text(),
                tank.id
            ),
            &["radiation-handbook", "trade-practice"],
            view.numbers(StepKind::Quench),
        )
        .teach("Five seconds is a good figure for thin work and ten for anything else; a dry run with a cold part shows what the shop really takes."),
    )
}

fn hardness(value: f64) -> String {
    let hv = Vickers::from_hv(value);
    match scale_of(hv, Scale::Hrc) {
        Some(hrc) => format!("{value:.0} HV ({hrc:.1} HRC)"),
        None => format!("{value:.0} HV"),
    }
}

fn temper(view: &View<'_>, number: usize, step: &Step) -> Why {
    let at = step.temperature.map(|t| view.t(t)).unwrap_or_default();
    let asked = view
        .spec
        .wishes
        .temper
        .map(|wish| format!("The job file asks for {}.", view.t(wish)));
    let drawn = view.skin.as_ref().map(|skin| {
        format!(
            "The finished face is {} as quenched and {} after {at}.",
            hardness(skin.quenched_hv),
            hardness(skin.drawn_hv)
        )
    });
    let note = view.spec.note.surface_hardness.map(|range| {
        format!(
            "The note asks {}, which the draw has to meet with room on both sides.",
            range_text(range)
        )
    });
    why(
        "temper-temperature",
        "Temper",
        at,
        said(&[asked, drawn, note]),
        &["hollomon-jaffe-1945", "case-temper-fit", "case-temper-anchors"],
        vec![number],
    )
    .teach("Martensite as quenched is hard as glass and breaks like it. 150 to 200 °C take the worst of the stress for a point or two of hardness; hotter takes hardness fast.")
}

/// A hardness clause in words.
pub(super) fn range_text(range: casewright_job::note::reading::HardnessRange) -> String {
    let scale = range.scale;
    match (range.min, range.max) {
        (Some(min), Some(max)) => format!("{min} to {max} {scale}"),
        (Some(min), None) => format!("{min} {scale} at least"),
        (None, Some(max)) => format!("{max} {scale} at most"),
        (None, None) => "no bound".to_owned(),
    }
}

fn temper_time(view: &View<'_>, number: usize, step: &Step) -> Why {
    let section = view.section();
    why(
        "temper-time",
        "Time at the temper",
        step.soak.unwrap_or(Span::ZERO).text(),
        format!(
            "An hour, and an hour more per inch of section, to the next quarter: the least section is {}, {:.2} in.",
            section.size_text(view.units()),
            section.to_in()
        ),
        &["trade-practice"],
        vec![number],
    )
    .teach("Heat counts far more than time here: twice the hours soften about as much as ten degrees more. The time is there so that the middle of the part has been as hot as its skin.")
}
