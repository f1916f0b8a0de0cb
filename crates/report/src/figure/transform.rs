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
use super::place::{Curve, Paper, Place, Word};
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
    let mut paper = paper(&held);
    let levels = levels(&mut svg, &mut paper, &held, lines, Temperature::from_c(1.0));
    isothermal(&mut svg, &mut paper, &held, curves);
    name_levels(&mut svg, &mut paper, &held, &levels, units);
    let cooled = plot(HEAD + PLOT + BETWEEN);
    panel(
        &mut svg,
        &cooled,
        units,
        "Cooled; each way named by its rate at 700 °C (1292 °F)",
    );
    paper = self::paper(&cooled);
    // At the foot stand the names of the ways.
    let levels = self::levels(
        &mut svg,
        &mut paper,
        &cooled,
        lines,
        Temperature::from_c(WAYS_END_C),
    );
    ways(&mut svg, &mut paper, &cooled, curves);
    cooling(&mut svg, &mut paper, &cooled, curves);
    name_levels(&mut svg, &mut paper, &cooled, &levels, units);
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

/// The room of a plot for words.
const fn paper(plot: &Plot) -> Paper {
    Paper::new((
        (plot.left + 1.5, plot.top - 2.0),
        (plot.right - 1.0, plot.bottom - 1.0),
    ))
}

/// A temperature at which something begins.
type Level = (&'static str, Temperature);

/// The temperatures at which something begins, down to `lowest`, as rules.
fn levels(
    svg: &mut Svg,
    paper: &mut Paper,
    plot: &Plot,
    lines: &CurveLines,
    lowest: Temperature,
) -> Vec<Level> {
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
    all.retain(|(_, temperature, _)| *temperature >= lowest);
    for (_, temperature, dash) in &all {
        let y = plot.py(temperature.to_c());
        let (from, to) = ((plot.left, y), (plot.right, y));
        svg.line(from, to, Pen::dashed(Ink::Faint, 0.7, dash));
        paper.rule(vec![from, to]);
    }
    all.into_iter()
        .map(|(words, temperature, _)| (words, temperature))
        .collect()
}

/// The words of the levels on their rules, at the right where nothing is in the way. After the
/// curves are named, because these have the whole width to go to.
fn name_levels(svg: &mut Svg, paper: &mut Paper, plot: &Plot, levels: &[Level], units: UnitSystem) {
    let style = Type::new(TICK, Anchor::End).ink(Ink::Faint).rim();
    let all: Vec<f64> = levels.iter().map(|(_, t)| plot.py(t.to_c())).collect();
    for ((words, temperature), y) in levels.iter().zip(&all) {
        let words = format!("{words} {}", temperature.text_both(units));
        let mut tries = Vec::new();
        let mut x = plot.right - 4.0;
        while x > plot.left + 40.0 {
            for (cost, base) in [(0.0, y - 3.6), (4.0, y + TICK)] {
                // Nearer to another rule the words would be read as that one's.
                let middle = base - 0.3 * TICK;
                let own = (middle - y).abs();
                let misread = all.iter().any(|other| (middle - other).abs() < own - 0.01);
                let word = Word {
                    words: &words,
                    style,
                    at: (x, base),
                };
                let cost = cost + 0.05 * (plot.right - x) + if misread { 60.0 } else { 0.0 };
                tries.push((cost, word));
            }
            x -= 6.0;
        }
        paper.best(svg, tries.into_iter());
    }
}

const STARTS: Pen = Pen::full(Ink::Steel, 1.9);
const HALVES: Pen = Pen::dashed(Ink::Steel, 1.2, "5 2.5");
const ENDS: Pen = Pen::full(Ink::Text, 1.0);

fn isothermal(svg: &mut Svg, paper: &mut Paper, plot: &Plot, curves: &TransformationCurves) {
    let points = &curves.isothermal;
    let mut named = Vec::new();
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
        let runs = runs(points.len(), at);
        let own = put(svg, paper, &runs, pen);
        named.push((name, pen, own, runs));
    }
    let first = named[0].2;
    for product in Product::ALL {
        let at = |i: usize| {
            let point = &points[i];
            (point.first == Some(product)).then_some(())?;
            place(plot, point.start?, point.temperature)
        };
        name_at_nose(svg, paper, first, &runs(points.len(), at), product.word());
    }
    for (name, pen, own, runs) in named {
        // Best at the cold end, where the curves lie apart.
        let along: Vec<Place> = runs.into_iter().flatten().collect();
        let Some(end) = along.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)) else {
            continue;
        };
        let style = Type::new(TICK, Anchor::Start).ink(pen.ink).rim();
        paper.name(svg, own, &along, end, (name, style));
    }
}

/// The stretches of a curve that exist.
fn runs(count: usize, at: impl Fn(usize) -> Option<Place>) -> Curve {
    let mut all = vec![Vec::new()];
    for i in 0..count {
        match (at(i), all.last_mut()) {
            (Some(point), Some(run)) => run.push(point),
            _ => all.push(Vec::new()),
        }
    }
    all.retain(|run| run.len() > 1);
    all
}

/// Draws a curve and keeps words off it.
fn put(svg: &mut Svg, paper: &mut Paper, runs: &Curve, pen: Pen) -> usize {
    for run in runs {
        svg.path(run, pen);
    }
    paper.curve(runs.clone())
}

/// The name of a product, as near its earliest place as may be.
fn name_at_nose(svg: &mut Svg, paper: &mut Paper, own: usize, runs: &Curve, words: &str) {
    let along: Vec<Place> = runs.iter().flatten().copied().collect();
    let nose = along.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0));
    let Some(nose) = nose else { return };
    let style = Type::new(LABEL, Anchor::End).ink(Ink::Steel).bold().rim();
    paper.name(svg, own, &along, nose, (words, style));
}

/// The ways down, with rate and hardness at their feet.
fn ways(svg: &mut Svg, paper: &mut Paper, plot: &Plot, curves: &TransformationCurves) {
    let from = curves.lines.ae3.max(curves.lines.ae1);
    let rows = [plot.bottom - 26.0, plot.bottom - 15.0, plot.bottom - 4.0];
    for (y, words) in rows.into_iter().zip(["K/s at 700 °C", "leaves HV", "HRC"]) {
        let word = Word {
            words,
            style: Type::new(TICK, Anchor::Start).ink(Ink::Faint),
            at: (plot.left + 4.0, y),
        };
        word.put(svg);
        paper.take(word.frame());
    }
    let headed = plot.left + 4.0 + width_of("K/s at 700 °C", TICK);
    for wanted in WAYS_K_S {
        let Some(way) = nearest(&curves.cooling, wanted) else {
            continue;
        };
        let path = down(plot, way, from);
        svg.path(&path, Pen::full(Ink::Faint, 0.6));
        paper.rule(path.clone());
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
            let word = Word {
                words,
                style: Type::new(TICK, Anchor::Middle).rim(),
                at: (x, y),
            };
            word.put(svg);
            paper.take(word.frame());
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

fn cooling(svg: &mut Svg, paper: &mut Paper, plot: &Plot, curves: &TransformationCurves) {
    let all = &curves.cooling;
    let seen = |point: Option<CurvePoint>| {
        let point = point?;
        place(plot, point.time, point.temperature)
    };
    let mut starts = Vec::new();
    for product in Product::ALL {
        let runs = runs(all.len(), |i| seen(all[i].starts[product as usize]));
        let own = put(svg, paper, &runs, STARTS);
        starts.push((product.word(), own, runs));
    }
    let mut later = Vec::new();
    for (name, pen, of) in [
        (
            "50 %",
            HALVES,
            (|w| w.half) as fn(&CoolingCurve) -> Option<CurvePoint>,
        ),
        ("99 %", ENDS, |w| w.end),
    ] {
        let runs = runs(all.len(), |i| seen(of(&all[i])));
        let own = put(svg, paper, &runs, pen);
        later.push((name, pen, own, runs));
    }
    let martensite = runs(all.len(), |i| seen(all[i].martensite));
    let own = put(svg, paper, &martensite, STARTS);
    starts.push(("martensite", own, martensite));
    for (words, own, runs) in &starts {
        name_at_nose(svg, paper, *own, runs, words);
    }
    for (name, pen, own, runs) in later {
        let along: Vec<Place> = runs.into_iter().flatten().collect();
        let Some(end) = along.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)) else {
            continue;
        };
        let style = Type::new(TICK, Anchor::Start).ink(pen.ink).rim();
        paper.name(svg, own, &along, end, (name, style));
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
