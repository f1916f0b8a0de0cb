//! Why the box is as hot as it is, for so long, and what it hands over.

use casewright_job::spec::RouteWish as Route;
use casewright_physics::law::case_depth_rules::harris_time;
use casewright_physics::numerics::fun;
use casewright_terms::{Length, TemperatureStep};

use super::{View, Why, percent, said, why};
use crate::outcome::StepKind;

/// Hotter or colder by this in the comparison of hours.
const STEP_K: f64 = 25.0;
/// A coat with more carbon than this tends to a brittle net of carbide, with less than the first it
/// stays short of full hardness, in wt%. [trade-practice]
const USUAL_SURFACE: (f64, f64) = (0.75, 1.0);

pub(super) fn reasons(view: &View<'_>, all: &mut Vec<Why>) {
    all.push(temperature(view));
    all.push(hot(view));
    all.push(soak(view));
    all.push(surface_carbon(view));
    all.push(cooling(view));
}

fn temperature(view: &View<'_>) -> Why {
    let plan = view.plan;
    let at = plan.temperature;
    let asked = view
        .spec
        .wishes
        .temperature
        .map(|wish| format!("The job file asks for {}.", view.t(wish)));
    // The same total case by the handbook's rule, a step colder and hotter.
    let depth = Length::from_mm(1.0);
    let factor = |step: f64| {
        let there = harris_time(at + TemperatureStep::from_k(step), depth)?.value;
        Some(there / harris_time(at, depth)?.value)
    };
    let rule = factor(-STEP_K).zip(factor(STEP_K)).map(|(cold, warm)| {
        let step = TemperatureStep::from_k(STEP_K).text_both(view.units());
        format!(
            "Hours follow from the heat: by the handbook's rule the same case takes {cold:.2} times as long {step} colder and {warm:.2} times as long {step} hotter."
        )
    });
    // What the planner itself found at another heat, all else as planned.
    let ours = crate::ways::of_plan(plan);
    let other = view.report.alternatives.iter().find_map(|a| {
        let way = a.way.as_ref()?;
        let alike = way.tank == ours.tank
            && way.route == ours.route
            && way.reheats == ours.reheats
            && way.temperature != at;
        alike.then(|| {
            format!(
                "At {} the soak would be {} instead of {}.",
                view.t(way.temperature),
                way.soak.text(),
                plan.soak.text()
            )
        })
    });
    let furnace = view
        .steps(StepKind::Carburize)
        .find_map(|(_, step)| step.equipment.clone())
        .and_then(|id| view.spec.shop.furnaces.iter().find(|f| f.id == id));
    let limit = furnace.map(|f| {
        format!(
            "{} may go to {}; every step up costs grain and box.",
            f.id,
            view.t(f.max)
        )
    });
    why(
        "carburizing-temperature",
        "Carburizing temperature",
        view.t(at),
        said(&[asked, rule, other, limit]),
        &["harris-1943", "agren-1986", "trade-practice"],
        view.numbers(StepKind::Carburize),
    )
    .teach("Carbon wanders through hot steel much as warmth wanders through a wall, only far slower, and it wanders the faster the hotter the steel is. The trade stays between about 815 and 955 °C: colder, a useful case takes days; hotter, the grain of the steel grows coarse, the box scales away and the furnace suffers.")
}

fn hot(view: &View<'_>) -> Why {
    let plan = view.plan;
    let band = plan.pack_hot_after;
    let set = plan.temperature.to_c();
    // The furnace's own reading is there long before the middle of the box.
    let furnace = plan
        .furnace_curve
        .iter()
        .find(|(_, celsius)| *celsius >= set - 1.0)
        .map(|(hours, _)| {
            format!(
                "The furnace itself stands at its set value after {hours:.1} h, but {} of box, steel and compound lag behind: the last part is hot after {}, {} to {} nine times out of ten.",
                plan.pack.lift.text(view.units()),
                band.mid.text(),
                band.low.text(),
                band.high.text()
            )
        });
    let heat = plan.pack_heat.as_ref();
    let doubt = heat.and_then(|heat| {
        let (what, span) = heat.doubts.first()?;
        let learnt = if heat.learnt {
            "The bed was learnt from a couple's log."
        } else {
            "No couple's log of this box was given, so the bed is a guess."
        };
        Some(format!(
            "{learnt} The most of the doubt is {what}, {} alone.",
            span.text()
        ))
    });
    let couple = heat
        .and_then(|heat| heat.couple_reads)
        .map(|reads| format!("The buried couple then reads {}.", view.t(reads)));
    why(
        "pack-hot",
        "Hours until the pack is hot",
        format!("{} from loading", band.mid.text()),
        said(&[furnace, doubt, couple]),
        &["bed-assumed", "box-prior-assumed", "trade-practice"],
        view.numbers(StepKind::Carburize),
    )
    .teach("Carburizing compound is charcoal, and charcoal keeps heat out as well as it keeps it in. Hours that are counted from when the furnace is hot are hours in which the parts in the middle are still cold; this is the commonest reason for a case that came out shallow.")
}

fn soak(view: &View<'_>) -> Why {
    let plan = view.plan;
    let expected = view.prediction.case_depth.map(|band| {
        format!(
            "{} from when the pack is hot brings the case to {} before grinding, {} nine times out of ten; {} is aimed at.",
            plan.soak.text(),
            view.depth(band.mid),
            view.depths(band),
            view.depth(plan.depth.aim)
        )
    });
    let half_hour = view
        .report
        .outlook
        .sensitivity
        .iter()
        .find(|change| change.what.starts_with("soak") && change.what.ends_with("longer"))
        .and_then(|change| {
            let depth = change.depth?;
            Some(format!(
                "{}{} makes it {} deeper",
                change.what[..1].to_uppercase(),
                &change.what[1..],
                view.depth(depth)
            ))
        });
    // Depth grows with the root of the time.
    let tenth = fun::sqrt(1.1) - 1.0;
    let root = match half_hour {
        Some(words) => format!(
            "{words}; depth grows with the root of the time, so a tenth more hours is only {} more depth.",
            percent(tenth)
        ),
        None => format!(
            "Depth grows with the root of the time, so a tenth more hours is only {} more depth.",
            percent(tenth)
        ),
    };
    why(
        "soak",
        "Soak",
        plan.soak.text(),
        said(&[expected, Some(root)]),
        &["agren-1986", "crank-1975"],
        view.numbers(StepKind::Carburize),
    )
    .teach("The deeper carbon has come, the longer is its way: twice the depth takes about four times the hours. A rule of so much depth per hour therefore holds at one depth only.")
}

fn surface_carbon(view: &View<'_>) -> Why {
    let band = view.prediction.surface_carbon_wt_pct;
    let lot = &view.plan.pack.compound_id;
    let share = view.plan.pack.fresh_mass / view.plan.pack.compound_mass;
    let usual = if band.mid < USUAL_SURFACE.0 {
        format!(
            "under the usual {} to {:.1} wt%, so the surface hardens short of what carbon could give",
            USUAL_SURFACE.0, USUAL_SURFACE.1
        )
    } else if band.mid > USUAL_SURFACE.1 {
        format!(
            "over the usual {} to {:.1} wt%, so carbide and austenite stay in the skin",
            USUAL_SURFACE.0, USUAL_SURFACE.1
        )
    } else {
        format!(
            "inside the usual {} to {:.1} wt%",
            USUAL_SURFACE.0, USUAL_SURFACE.1
        )
    };
    let given = format!(
        "{lot}, {} of it fresh, hands over so much in these hours that the surface ends at {:.2} wt% ({:.2} to {:.2}), {usual}.",
        percent(share),
        band.mid,
        band.low,
        band.high
    );
    let start = view
        .inside
        .map(|inside| format!("The steel came with {:.2} wt%.", inside.core_carbon_wt_pct));
    let finished = view.skin.as_ref().map(|skin| {
        format!(
            "The finished face, {} further in, has {:.2} wt%.",
            view.depth(skin.depth),
            skin.carbon_wt_pct
        )
    });
    why(
        "surface-carbon",
        "Carbon at the surface",
        format!("{:.2} wt% as carburized", band.mid),
        said(&[Some(given), start, finished]),
        &["pack-transfer-estimate", "trade-practice"],
        view.numbers(StepKind::Carburize),
    )
    .teach("In a pack nobody sets the carbon: charcoal and its energiser give carbon oxide, and steel takes from it what the gas can give and the steel can hold. The hand has two levers only, how much of the compound is fresh and how hot the box is.")
}

fn cooling(view: &View<'_>) -> Why {
    let plan = view.plan;
    let (number, lasts, to) =
        view.steps(StepKind::Cool)
            .next()
            .map_or((None, None, None), |(number, step)| {
                (
                    Some(number),
                    Some(step.ends.after - step.begins.after),
                    step.temperature,
                )
            });
    let lasts = lasts.map(|span| span.text()).unwrap_or_default();
    let grain = view.inside.map(|inside| {
        format!(
            "Grain is {:.0} µm in the box and {:.0} µm before the quench.",
            inside.grain_in_box.to_um(),
            inside.grain.to_um()
        )
    });
    let (value, because) = if plan.route == Route::Direct {
        let to = to.map(|t| view.t(t)).unwrap_or_default();
        let kept = view.skin.as_ref().map(|skin| {
            let austenite = share_of(&skin.phases, "retained austenite");
            format!(
                "The finished face then keeps {} of retained austenite.",
                percent(austenite)
            )
        });
        (
            format!("down to {to}, {lasts} in all"),
            said(&[
                Some(format!(
                    "Quenched straight from {} the case would keep more austenite and the part bend more; {to} still holds the carbon dissolved.",
                    view.t(plan.temperature)
                )),
                kept,
                grain,
            ]),
        )
    } else {
        (
            format!("in the closed box, in air, {lasts}"),
            said(&[
                Some(format!(
                    "After {} at {} the steel is coarse and the box too hot to open; cooled in it the parts keep their carbon, can be looked at, and a reheat makes the grain fine again.",
                    plan.soak.text(),
                    view.t(plan.temperature)
                )),
                grain,
            ]),
        )
    };
    why(
        "cooling",
        "How the box cools",
        value,
        because,
        &["astm-e112", "trade-practice"],
        number.into_iter().collect(),
    )
    .teach("A box opened hot lets air at steel that is full of carbon: the skin burns off first where it matters most. Closed, the case even grows a little while the box cools.")
}

/// Share of a phase among the told ones.
pub(super) fn share_of(phases: &[(&'static str, f64)], name: &str) -> f64 {
    phases
        .iter()
        .find(|(phase, _)| *phase == name)
        .map_or(0.0, |(_, share)| *share)
}
