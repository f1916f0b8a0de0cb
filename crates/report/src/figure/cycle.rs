//! The cycle on the wall clock: furnace and part, the steps as numbered bars, hold points as
//! flags, night shaded, staffed hours marked.

use casewright_job::spec::Spec;
use casewright_plan::outcome::{Plan, Step, StepKind};
use casewright_terms::UnitSystem;

use super::axis::{LABEL, Plot, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use crate::model::kind_word;
use crate::show;

const WIDTH: f64 = 540.0;
const HEIGHT: f64 = 196.0;
/// Night in the picture, hours of the day; a convention of the drawing only.
const NIGHT: (f64, f64) = (20.0, 6.0);

/// The picture, or `None` where there is no curve.
pub(crate) fn draw(spec: &Spec, plan: &Plan) -> Option<String> {
    let load = plan
        .steps
        .iter()
        .find(|s| s.kind == StepKind::Carburize)
        .map_or(0.0, |s| s.begins.after.to_h());
    let furnace = shifted(&plan.furnace_curve, load);
    let part = shifted(&plan.part_curve, load);
    let hot: Vec<&Step> = plan
        .steps
        .iter()
        .filter(|s| !matches!(s.kind, StepKind::Test | StepKind::Grind))
        .collect();
    let ends = hot
        .iter()
        .map(|s| s.ends.after.to_h())
        .chain(furnace.0.last().copied())
        .fold(0.0_f64, f64::max);
    if furnace.0.len() < 2 || ends <= 0.0 {
        return None;
    }
    let hottest = furnace
        .1
        .iter()
        .chain(&part.1)
        .fold(100.0_f64, |a, b| a.max(*b));
    let plot = Plot {
        left: 42.0,
        right: WIDTH - 40.0,
        top: 38.0,
        bottom: HEIGHT - 46.0,
        x: (0.0, ends),
        y: (0.0, (hottest / 100.0).ceil() * 100.0),
    };
    let mut svg = Svg::new(WIDTH, HEIGHT, "Temperature against the clock");
    let start = start_of(&hot);
    if let Some(start) = start {
        nights(&mut svg, &plot, start);
        staffed(&mut svg, &plot, spec, start);
    }
    svg.path(
        &plot.curve(&furnace.0, &furnace.1),
        Pen::dashed(Ink::Text, 1.1, "5 2"),
    );
    svg.path(&plot.curve(&part.0, &part.1), Pen::full(Ink::Steel, 1.9));
    names(&mut svg, &plot, &furnace, &part);
    bars(&mut svg, &plot, &hot);
    plot.frame(&mut svg);
    legend(
        &mut svg,
        &plot,
        hot.iter().any(|s| s.hold_point),
        start.is_some(),
    );
    time_axis(&mut svg, &plot, start);
    temperature_axes(&mut svg, &plot, spec.units);
    Some(svg.finish())
}

type Curve = (Vec<f64>, Vec<f64>);

fn shifted(curve: &[(f64, f64)], by: f64) -> Curve {
    curve.iter().map(|(h, c)| (h + by, *c)).unzip()
}

/// Wall-clock time at zero hours, where the plan has one.
fn start_of(steps: &[&Step]) -> Option<jiff::civil::DateTime> {
    let first = steps.first()?;
    let clock = first.begins.clock?;
    let back = jiff::SignedDuration::from_secs(first.begins.after.to_s().round() as i64);
    clock.checked_sub(back).ok()
}

fn hour_of_day(start: jiff::civil::DateTime) -> f64 {
    f64::from(start.hour()) + f64::from(start.minute()) / 60.0
}

fn nights(svg: &mut Svg, plot: &Plot, start: jiff::civil::DateTime) {
    let first = -hour_of_day(start) - 24.0 + NIGHT.0;
    let mut begin = first;
    while begin < plot.x.1 {
        let end = begin + 24.0 - NIGHT.0 + NIGHT.1;
        let (a, b) = (begin.max(plot.x.0), end.min(plot.x.1));
        if b > a {
            let at = (plot.px(a), plot.top);
            let size = (plot.px(b) - plot.px(a), plot.bottom - plot.top);
            svg.rect(at, size, Some(Ink::Shade), None);
            svg.text(
                (at.0 + size.0 / 2.0, plot.top + 11.0),
                "night",
                Type::new(TICK, Anchor::Middle).ink(Ink::Faint),
            );
        }
        begin += 24.0;
    }
}

/// A bar just above the time axis over the hours in which somebody is there.
fn staffed(svg: &mut Svg, plot: &Plot, spec: &Spec, start: jiff::civil::DateTime) {
    let mut day = start.date();
    let mut midnight = -hour_of_day(start);
    while midnight < plot.x.1 {
        let weekday = usize::try_from(day.weekday().to_monday_zero_offset()).unwrap_or(0);
        if let Some((from, to)) = spec.shop.staffed.by_weekday.get(weekday).copied().flatten() {
            let a = (midnight + f64::from(from) / 60.0).max(plot.x.0);
            let b = (midnight + f64::from(to) / 60.0).min(plot.x.1);
            if b > a {
                let at = (plot.px(a), plot.bottom - 4.0);
                svg.rect(at, (plot.px(b) - plot.px(a), 4.0), Some(Ink::Text), None);
            }
        }
        midnight += 24.0;
        match day.tomorrow() {
            Ok(next) => day = next,
            Err(_) => break,
        }
    }
}

fn names(svg: &mut Svg, plot: &Plot, furnace: &Curve, part: &Curve) {
    // The furnace is named at its first plateau, the part where it lags most behind.
    let hottest = furnace.1.iter().fold(0.0_f64, |a, b| a.max(*b));
    if let Some(i) = furnace.1.iter().position(|c| *c >= hottest - 1.0) {
        svg.text(
            (plot.px(furnace.0[i]) + 4.0, plot.py(hottest) - 4.0),
            "furnace",
            Type::new(LABEL, Anchor::Start).rim(),
        );
    }
    let lag = |h: f64, c: f64| {
        let i = furnace
            .0
            .partition_point(|t| *t < h)
            .min(furnace.1.len() - 1);
        furnace.1[i] - c
    };
    let spot = part
        .0
        .iter()
        .zip(&part.1)
        .filter(|(_, c)| **c > hottest * 0.3 && **c < hottest * 0.85)
        .max_by(|a, b| lag(*a.0, *a.1).total_cmp(&lag(*b.0, *b.1)));
    if let Some((h, c)) = spot {
        svg.text(
            (plot.px(*h) + 6.0, plot.py(*c) + 8.0),
            "part",
            Type::new(LABEL, Anchor::Start).ink(Ink::Steel).bold().rim(),
        );
    }
}

/// The steps as bars with their numbers above the plot; a flag at the end of each hold point.
fn bars(svg: &mut Svg, plot: &Plot, steps: &[&Step]) {
    let pen = Pen::full(Ink::Text, 0.8);
    for (i, step) in steps.iter().enumerate() {
        let a = plot.px(step.begins.after.to_h());
        let b = plot.px(step.ends.after.to_h()).max(a + 1.5);
        let y = plot.top - 16.0;
        svg.rect((a, y), (b - a, 12.0), Some(Ink::Paper), Some(pen));
        let number = format!("{}", i + 1);
        let full = format!("{number} {}", kind_word(step.kind));
        let words = if width_of(&full, TICK) + 4.0 < b - a {
            &full
        } else {
            &number
        };
        if width_of(words, TICK) <= b - a + 1.0 {
            svg.text(
                ((a + b) / 2.0, y + 9.2),
                words,
                Type::new(TICK, Anchor::Middle),
            );
        }
        if step.hold_point {
            let pole = plot.top - 36.0;
            svg.line(
                (b, pole),
                (b, plot.bottom),
                Pen::dashed(Ink::Text, 0.6, "1 2"),
            );
            svg.line((b, pole), (b, y + 12.0), Pen::full(Ink::Text, 1.0));
            svg.area(
                &[(b, pole), (b - 9.0, pole + 4.0), (b, pole + 8.0)],
                Ink::Text,
            );
        }
    }
}

/// What flag, bar and shade mean, below the axis.
fn legend(svg: &mut Svg, plot: &Plot, holds: bool, clock: bool) {
    let y = plot.bottom + 40.0;
    let mut x = plot.left;
    let word = |svg: &mut Svg, x: f64, words: &str| {
        svg.text((x, y), words, Type::new(TICK, Anchor::Start));
        x + width_of(words, TICK) + 18.0
    };
    if holds {
        svg.area(&[(x + 9.0, y - 8.0), (x, y - 4.0), (x + 9.0, y)], Ink::Text);
        x = word(svg, x + 13.0, "hold point: a second person signs");
    }
    if clock {
        svg.rect((x, y - 5.5), (16.0, 4.0), Some(Ink::Text), None);
        x = word(svg, x + 20.0, "somebody is there");
        svg.rect((x, y - 8.0), (16.0, 9.0), Some(Ink::Shade), None);
        word(svg, x + 20.0, "night");
    }
}

/// Hours in round steps; with a clock the ticks stand on full hours of the day.
fn time_axis(svg: &mut Svg, plot: &Plot, start: Option<jiff::civil::DateTime>) {
    let room = ((plot.right - plot.left) / 46.0).floor().max(1.0);
    let step = [0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0, 48.0, 96.0]
        .into_iter()
        .find(|s| plot.x.1 / s <= room)
        .unwrap_or(192.0);
    let offset = start.map_or(0.0, hour_of_day);
    let mut n = (offset / step).ceil();
    while n * step - offset <= plot.x.1 {
        let hours = n * step - offset;
        let x = plot.px(hours);
        svg.line(
            (x, plot.bottom),
            (x, plot.bottom + 3.0),
            Pen::full(Ink::Text, 0.7),
        );
        let words = match start {
            Some(start) => {
                let seconds = (hours * 3600.0).round() as i64;
                start
                    .checked_add(jiff::SignedDuration::from_secs(seconds))
                    .map(|t| t.strftime("%H:%M").to_string())
                    .unwrap_or_default()
            }
            None => format!("{} h", casewright_terms::quantity::format_trimmed(hours, 1)),
        };
        svg.text(
            (x, plot.bottom + 12.5),
            &words,
            Type::new(TICK, Anchor::Middle),
        );
        n += 1.0;
    }
    let name = match start {
        Some(start) => format!("clock time, from {}", show::day_and_time(start)),
        None => "hours after the start".to_owned(),
    };
    svg.text(
        ((plot.left + plot.right) / 2.0, plot.bottom + 25.0),
        &name,
        Type::new(LABEL, Anchor::Middle),
    );
}

/// The job's unit at the left, the other at the right.
pub(super) fn temperature_axes(svg: &mut Svg, plot: &Plot, units: UnitSystem) {
    for (side_units, right) in [(units, false), (units.other(), true)] {
        let (low, high) = match side_units {
            UnitSystem::Metric => plot.y,
            UnitSystem::Inch => (
                casewright_terms::Temperature::from_c(plot.y.0).to_f(),
                casewright_terms::Temperature::from_c(plot.y.1).to_f(),
            ),
        };
        let (all, _) = super::axis::ticks(low, high, 5);
        let (x, out, anchor, ink) = if right {
            (plot.right, 3.0, Anchor::Start, Ink::Faint)
        } else {
            (plot.left, -3.0, Anchor::End, Ink::Text)
        };
        for t in all {
            let y = plot.bottom - (t - low) / (high - low) * (plot.bottom - plot.top);
            svg.line((x, y), (x + out, y), Pen::full(ink, 0.7));
            svg.text(
                (x + out * 1.7, y + 3.2),
                &format!("{t:.0}"),
                Type::new(TICK, anchor).ink(ink),
            );
        }
        svg.text(
            (x, plot.bottom + 25.0),
            side_units.temperature_unit(),
            Type::new(LABEL, anchor).ink(ink),
        );
    }
    svg.line(
        (plot.right, plot.top),
        (plot.right, plot.bottom),
        Pen::full(Ink::Faint, 0.5),
    );
}
