//! The transformation curves of one austenite: held at one temperature above, cooled below, over the
//! logarithm of time. The ways down are drawn and named by their rate at 700 °C, with the hardness
//! that each leaves.

use casewright_physics::law::decomposition::Product;
use casewright_physics::numerics::fun::{log10, pow};
use casewright_physics::run::{CoolingCurve, CurveLines, CurvePoint, TransformationCurves};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Span, Temperature, UnitSystem};

use super::axis::{LABEL, Plot, TICK};
use super::cycle::temperature_axes;
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};

const WIDTH: f64 = 620.0;
/// Height of one panel's plot.
const PLOT: f64 = 262.0;
/// From the top of the paper to the first plot, and between the plots.
const HEAD: f64 = 62.0;
const BETWEEN: f64 = 66.0;
/// Height of a line at the foot.
const LINE: f64 = 12.5;
/// Decimal logarithms of the first and the last second drawn.
const DECADES: (i32, i32) = (-1, 6);
/// A way down is drawn to here; below stand its name and its hardness.
const WAYS_END_C: f64 = 112.0;
/// Ways that are drawn, in K/s at 700 °C: the nearest computed ones.
const WAYS_K_S: [f64; 9] = [0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0];
/// Room at the right for the words of the levels.
const LEVEL_WORDS: f64 = 190.0;
/// Labels of lines nearer than this are moved apart.
const APART: f64 = 10.5;

/// Draws the curves of a steel called `name`.
#[must_use]
pub fn transformation(name: &str, curves: &TransformationCurves, units: UnitSystem) -> String {
    let notes = foot(curves);
    let height = HEAD + 2.0 * PLOT + BETWEEN + 44.0 + LINE * notes.len() as f64;
    let title = format!(
        "{name} with {} wt% C dissolved, grain {}",
        format_trimmed(curves.carbon.to_wt_pct(), 2),
        format_trimmed(curves.grain_number, 1)
    );
    let mut svg = Svg::new(WIDTH, height, &format!("Transformation curves of {title}"));
    svg.text((14.0, 20.0), &title, Type::new(13.0, Anchor::Start).bold());
    let lines = &curves.lines;
    let top_c = lines.ae3.to_c().max(lines.ae1.to_c());
    let plot = |top: f64| Plot {
        left: 46.0,
        right: WIDTH - 46.0,
        top,
        bottom: top + PLOT,
        x: (f64::from(DECADES.0), f64::from(DECADES.1)),
        y: (0.0, ((top_c + 40.0) / 100.0).ceil() * 100.0),
    };
    let held = plot(HEAD);
    panel(&mut svg, &held, units, "Held at one temperature");
    levels(&mut svg, &held, lines, units, Temperature::from_c(1.0));
    isothermal(&mut svg, &held, curves);
    let cooled = plot(HEAD + PLOT + BETWEEN);
    panel(
        &mut svg,
        &cooled,
        units,
        "Cooled; each way named by its rate at 700 °C (1292 °F)",
    );
    // At the foot stand the names of the ways.
    levels(
        &mut svg,
        &cooled,
        lines,
        units,
        Temperature::from_c(WAYS_END_C),
    );
    ways(&mut svg, &cooled, curves);
    cooling(&mut svg, &cooled, curves);
    for (i, words) in notes.iter().enumerate() {
        let y = cooled.bottom + 50.0 + LINE * i as f64;
        svg.text(
            (14.0, y),
            words,
            Type::new(TICK, Anchor::Start).ink(Ink::Faint),
        );
    }
    svg.finish()
}

/// Place of a time across; `None` before the first second drawn.
fn across(plot: &Plot, time: Span) -> Option<f64> {
    (time.to_s() > 0.0)
        .then(|| log10(time.to_s()))
        .filter(|log| *log >= plot.x.0 && *log <= plot.x.1)
        .map(|log| plot.px(log))
}

fn place(plot: &Plot, time: Span, temperature: Temperature) -> Option<(f64, f64)> {
    Some((across(plot, time)?, plot.py(temperature.to_c())))
}

/// Frame, axes and name of a panel.
fn panel(svg: &mut Svg, plot: &Plot, units: UnitSystem, name: &str) {
    for decade in DECADES.0..=DECADES.1 {
        let x = plot.px(f64::from(decade));
        svg.line((x, plot.top), (x, plot.bottom), Pen::full(Ink::Shade, 0.7));
        svg.line(
            (x, plot.bottom),
            (x, plot.bottom + 3.0),
            Pen::full(Ink::Text, 0.7),
        );
        svg.text(
            (x, plot.bottom + 12.5),
            &decade_words(decade),
            Type::new(TICK, Anchor::Middle),
        );
    }
    let top = [(60.0, "1 min"), (3600.0, "1 h"), (86_400.0, "1 day")];
    for (seconds, words) in top {
        if let Some(x) = across(plot, Span::from_s(seconds)) {
            svg.line(
                (x, plot.top),
                (x, plot.top - 3.0),
                Pen::full(Ink::Faint, 0.6),
            );
            svg.text(
                (x, plot.top - 5.0),
                words,
                Type::new(TICK, Anchor::Middle).ink(Ink::Faint),
            );
        }
    }
    plot.frame(svg);
    temperature_axes(svg, plot, units);
    svg.text(
        ((plot.left + plot.right) / 2.0, plot.bottom + 25.0),
        "seconds",
        Type::new(LABEL, Anchor::Middle),
    );
    svg.text(
        (plot.left, plot.top - 16.0),
        name,
        Type::new(10.5, Anchor::Start).bold(),
    );
}

fn decade_words(decade: i32) -> String {
    match decade {
        -2 => "0.01".to_owned(),
        -1 => "0.1".to_owned(),
        0 => "1".to_owned(),
        1 => "10".to_owned(),
        2 => "100".to_owned(),
        n => {
            let digits: String = n
                .to_string()
                .chars()
                .map(|c| match c {
                    '3' => '³',
                    '4' => '⁴',
                    '5' => '⁵',
                    '6' => '⁶',
                    other => other,
                })
                .collect();
            format!("10{digits}")
        }
    }
}

/// The temperatures at which something begins, down to `lowest`, as rules with their words at the
/// right.
fn levels(svg: &mut Svg, plot: &Plot, lines: &CurveLines, units: UnitSystem, lowest: Temperature) {
    let mut all = vec![
        ("Ae3", lines.ae3, "6 3"),
        ("Ae1", lines.ae1, "6 3"),
        ("Bs", lines.bainite, "2 2"),
        ("Ms", lines.martensite, "6 2 1 2"),
        ("half martensite", lines.half_martensite, "1 3"),
        ("90 %", lines.most_martensite, "1 3"),
    ];
    if (lines.ae3.to_c() - lines.ae1.to_c()).abs() < 0.5 {
        all.remove(0);
    }
    let mut last = f64::NEG_INFINITY;
    for (words, temperature, dash) in all {
        if temperature < lowest {
            continue;
        }
        let y = plot.py(temperature.to_c());
        svg.line(
            (plot.left, y),
            (plot.right, y),
            Pen::dashed(Ink::Faint, 0.7, dash),
        );
        let at = (y - 2.5).max(last + APART);
        last = at;
        svg.text(
            (plot.right - 4.0, at),
            &format!("{words} {}", temperature.text_both(units)),
            Type::new(TICK, Anchor::End).ink(Ink::Faint).rim(),
        );
    }
}

const STARTS: Pen = Pen::full(Ink::Steel, 1.9);
const HALVES: Pen = Pen::dashed(Ink::Steel, 1.2, "5 2.5");
const ENDS: Pen = Pen::full(Ink::Text, 1.0);

fn isothermal(svg: &mut Svg, plot: &Plot, curves: &TransformationCurves) {
    let points = &curves.isothermal;
    let mut taken = Vec::new();
    for (name, pen, time) in [
        ("1 %", STARTS, 0_usize),
        ("50 %", HALVES, 1),
        ("99 %", ENDS, 2),
    ] {
        let at = |i: usize| {
            let point = &points[i];
            let time = [point.start, point.half, point.end][time]?;
            place(plot, time, point.temperature)
        };
        runs(svg, points.len(), at, pen);
        // Named at the cold end, or where the curve leaves for the words of the levels.
        let end = (0..points.len())
            .rev()
            .filter_map(at)
            .find(|p| clear(plot, *p));
        if let Some((x, y)) = end {
            name_apart(svg, &mut taken, (x + 4.0, y + 3.0), name, pen.ink);
        }
    }
    for product in Product::ALL {
        let earliest = points
            .iter()
            .filter(|point| point.first == Some(product))
            .filter_map(|point| place(plot, point.start?, point.temperature))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((x, y)) = earliest {
            name_left(svg, plot, (x, y), product.word());
        }
    }
}

/// Whether a place is left of the words of the levels.
fn clear(plot: &Plot, (x, _): (f64, f64)) -> bool {
    x < plot.right - LEVEL_WORDS
}

/// Draws the stretches of a curve that exist.
fn runs(svg: &mut Svg, count: usize, at: impl Fn(usize) -> Option<(f64, f64)>, pen: Pen) {
    let mut run = Vec::new();
    for i in 0..count {
        match at(i) {
            Some(point) => run.push(point),
            None => svg.path(&std::mem::take(&mut run), pen),
        }
    }
    svg.path(&run, pen);
}

/// A word left of a curve's nose, or right of it where there is no room.
fn name_left(svg: &mut Svg, plot: &Plot, (x, y): (f64, f64), words: &str) {
    let room = x - plot.left > width_of(words, LABEL) + 8.0;
    let (x, anchor) = if room {
        (x - 5.0, Anchor::End)
    } else {
        (x + 7.0, Anchor::Start)
    };
    svg.text(
        (x, y + 3.0),
        words,
        Type::new(LABEL, anchor).ink(Ink::Steel).bold().rim(),
    );
}

/// A short word, moved down until it touches none of the earlier ones.
fn name_apart(
    svg: &mut Svg,
    taken: &mut Vec<(f64, f64, f64)>,
    (x, mut y): (f64, f64),
    words: &str,
    ink: Ink,
) {
    let wide = width_of(words, TICK) + 2.0;
    while taken
        .iter()
        .any(|(a, b, w)| x < a + w && *a < x + wide && (y - b).abs() < APART)
    {
        y += APART;
    }
    taken.push((x, y, wide));
    svg.text((x, y), words, Type::new(TICK, Anchor::Start).ink(ink).rim());
}

/// The ways down, with rate and hardness at their feet.
fn ways(svg: &mut Svg, plot: &Plot, curves: &TransformationCurves) {
    let from = curves.lines.ae3.max(curves.lines.ae1);
    let rows = [plot.bottom - 26.0, plot.bottom - 15.0, plot.bottom - 4.0];
    for (y, words) in rows.into_iter().zip(["K/s at 700 °C", "leaves HV", "HRC"]) {
        svg.text(
            (plot.left + 4.0, y),
            words,
            Type::new(TICK, Anchor::Start).ink(Ink::Faint),
        );
    }
    let headed = plot.left + 4.0 + width_of("K/s at 700 °C", TICK);
    for wanted in WAYS_K_S {
        let Some(way) = nearest(&curves.cooling, wanted) else {
            continue;
        };
        let path = down(plot, way, from);
        svg.path(&path, Pen::full(Ink::Faint, 0.6));
        let Some((x, _)) = path.last().copied() else {
            continue;
        };
        let words = [
            show_rate(way.rate_k_s),
            format!("{:.0}", way.hardness.to_hv()),
            way.hrc
                .map_or_else(|| "–".to_owned(), |hrc| format!("{hrc:.0}")),
        ];
        if x - width_of(&words[0], TICK) / 2.0 < headed + 4.0 {
            continue;
        }
        for (y, words) in rows.into_iter().zip(&words) {
            svg.text((x, y), words, Type::new(TICK, Anchor::Middle).rim());
        }
    }
}

fn nearest(cooling: &[CoolingCurve], rate_k_s: f64) -> Option<&CoolingCurve> {
    let off = |way: &CoolingCurve| log10(way.rate_k_s / rate_k_s).abs();
    cooling.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// Two significant figures.
fn show_rate(rate: f64) -> String {
    let decimals = match rate {
        r if r >= 9.5 => 0,
        r if r >= 0.95 => 1,
        r if r >= 0.095 => 2,
        _ => 3,
    };
    format_trimmed(rate, decimals)
}

fn down(plot: &Plot, way: &CoolingCurve, from: Temperature) -> Vec<(f64, f64)> {
    let mut path = Vec::new();
    let steps = 40 * (DECADES.1 - DECADES.0);
    for i in 0..=steps {
        let log = plot.x.0 + f64::from(i) / 40.0;
        let time = Span::from_s(pow(10.0, log));
        let temperature = way.at(from, time);
        if temperature.to_c() < WAYS_END_C {
            break;
        }
        path.push((plot.px(log), plot.py(temperature.to_c())));
    }
    path
}

fn cooling(svg: &mut Svg, plot: &Plot, curves: &TransformationCurves) {
    let all = &curves.cooling;
    let seen = |point: Option<CurvePoint>| {
        let point = point?;
        place(plot, point.time, point.temperature)
    };
    for product in Product::ALL {
        let at = |i: usize| seen(all[i].starts[product as usize]);
        runs(svg, all.len(), at, STARTS);
        // Pearlite lies behind the others at its nose and is named at its slow end.
        let slow_end = (0..all.len()).filter_map(at).find(|p| clear(plot, *p));
        match (product, (0..all.len()).rev().find_map(at), slow_end) {
            (Product::Pearlite, _, Some((x, y))) => svg.text(
                (x + 6.0, y + 3.0),
                product.word(),
                Type::new(LABEL, Anchor::Start).ink(Ink::Steel).bold().rim(),
            ),
            (_, Some(nose), _) => name_left(svg, plot, nose, product.word()),
            _ => {}
        }
    }
    let mut taken = Vec::new();
    for (name, pen, of) in [
        (
            "50 %",
            HALVES,
            (|w| w.half) as fn(&CoolingCurve) -> Option<CurvePoint>,
        ),
        ("99 %", ENDS, |w| w.end),
    ] {
        let at = |i: usize| seen(of(&all[i]));
        runs(svg, all.len(), at, pen);
        if let Some(end) = (0..all.len()).rev().find_map(at) {
            name_apart(svg, &mut taken, (end.0 + 4.0, end.1 + 8.0), name, pen.ink);
        }
    }
    let martensite = |i: usize| seen(all[i].martensite);
    runs(svg, all.len(), martensite, STARTS);
    if let Some((x, y)) = (0..all.len()).rev().find_map(martensite) {
        name_left(svg, plot, (x.max(plot.left + 2.0), y + 10.0), "martensite");
    }
}

/// What has to be said under the picture, in lines that fit.
fn foot(curves: &TransformationCurves) -> Vec<String> {
    let mut notes = vec![
        "Firm: 1 % transformed. Dashed: half. Thin: 99 %. Times are good to a factor of two to three. Ae1 and Ae3 are \
         those the rates were fitted with."
            .to_owned(),
    ];
    if let Some(rate) = curves.critical_rate_k_s {
        notes.push(format!(
            "Nothing but martensite and its austenite from {} K/s at 700 °C; half of it from {}.",
            show_rate(rate),
            curves.half_martensite_rate_k_s.map_or_else(
                || "slower than any here".to_owned(),
                |r| format!("{} K/s", show_rate(r))
            )
        ));
    }
    notes.extend(
        curves
            .remarks
            .iter()
            .map(|remark| format!("▲ {}", remark.text)),
    );
    notes.iter().flat_map(|note| wrapped(note)).collect()
}

fn wrapped(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if width_of(line, TICK) + width_of(word, TICK) < WIDTH - 60.0 => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests;
