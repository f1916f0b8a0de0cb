//! The map of a section: carbon in two dimensions, true to scale.
//!
//! Pale fills between lines of equal carbon, each line labelled where it leaves the drawing;
//! treated faces heavy, stopped-off faces hatched on the outside, mirrors as centre lines, one
//! scale for every direction in millimetres and inches. It reads off a run and chooses the cut-out;
//! it computes no carbon.

mod labels;
#[cfg(test)]
mod tests;
mod view;

use casewright_physics::run::PlaneRun;
use casewright_physics::setup::{KeywayBody, PlaneSection};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Length, UnitSystem, WeightPercent};

use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use labels::Labels;
use view::View;

/// What to draw.
#[derive(Clone, Copy, Debug)]
pub struct Wish<'r> {
    /// The run.
    pub run: &'r PlaneRun,
    /// The section it was made for.
    pub section: &'r PlaneSection,
    /// Carbon of the core.
    pub core: WeightPercent,
    /// Lines of equal carbon.
    pub lines: &'r [WeightPercent],
    /// The line that depths are counted to, drawn heavier.
    pub depth_to: WeightPercent,
}

/// Size of words and of the title.
const WORDS: f64 = 8.0;
const TITLE: f64 = 10.0;
/// Tone of the palest and of the darkest fill: all stay pale enough for a line to stand on.
const TONES: (f64, f64) = (0.14, 0.5);
/// Steps between lines, in wt%: the finer where the whole rise is small.
const STEPS_WT_PCT: [f64; 5] = [0.02, 0.05, 0.1, 0.2, 0.5];
/// Lines that a case has room for.
const MOST_LINES: f64 = 6.0;
/// A rise below this is no case, in wt%.
const FLAT_WT_PCT: f64 = 0.02;
/// Above all carbon: cementite holds 6.67 wt%.
const ABOVE_ALL_WT_PCT: f64 = 100.0;

/// Lines of equal carbon that suit a run: round numbers between core and skin, and the one asked
/// for.
#[must_use]
pub fn lines(run: &PlaneRun, core: WeightPercent, asked: WeightPercent) -> Vec<WeightPercent> {
    let (core, most) = (core.to_wt_pct(), run.greatest().0.to_wt_pct());
    let rise = most - core;
    if rise < FLAT_WT_PCT {
        return Vec::new();
    }
    let step = STEPS_WT_PCT
        .into_iter()
        .find(|step| rise / step <= MOST_LINES)
        .unwrap_or(STEPS_WT_PCT[STEPS_WT_PCT.len() - 1]);
    let first = (core / step).floor() as usize;
    let last = (most / step).ceil() as usize;
    let near = 0.2 * step;
    let mut lines: Vec<f64> = (first..=last)
        .map(|k| k as f64 * step)
        .filter(|line| *line > core + near && *line < most - near)
        .collect();
    let asked = asked.to_wt_pct();
    if asked > core && asked < most {
        // Another line too near to the one asked for would only blur it.
        lines.retain(|line| (line - asked).abs() > near);
        lines.push(asked);
    }
    lines.sort_by(f64::total_cmp);
    lines.into_iter().map(WeightPercent::from_wt_pct).collect()
}

/// Draws the map.
#[must_use]
pub fn draw(wish: &Wish<'_>) -> String {
    let mut levels = wish.lines.to_vec();
    levels.sort_by(|a, b| a.to_wt_pct().total_cmp(&b.to_wt_pct()));
    let heading = [heading(wish.section), depths(wish.run, wish.depth_to)];
    let widest = heading
        .iter()
        .map(|line| width_of(line, WORDS))
        .fold(0.0, f64::max);
    let view = View::new(wish, &levels, widest);
    let mut svg = Svg::new(view.width, view.height, "Carbon in the section");
    svg.rect(
        (0.0, 0.0),
        (view.width, view.height),
        Some(Ink::Paper),
        None,
    );
    let title = Type::new(TITLE, Anchor::Start).bold();
    svg.text((view.left_words, 14.0), "Carbon in the section", title);
    for (k, line) in heading.iter().enumerate() {
        let at = (view.left_words, 27.0 + 11.0 * k as f64);
        svg.text(at, line, Type::new(WORDS, Anchor::Start));
    }
    fills(&mut svg, wish.run, &view, &levels);
    let drawn: Vec<(WeightPercent, Vec<view::Line>)> = levels
        .iter()
        .map(|level| (*level, view.clipped(&wish.run.contour(*level))))
        .collect();
    for (level, lines) in &drawn {
        let width = if *level == wish.depth_to { 1.8 } else { 0.8 };
        for line in lines {
            svg.path(&view.paper_line(&line.points), Pen::full(Ink::Steel, width));
        }
    }
    outline(&mut svg, wish.run, &view);
    view.edges(&mut svg, wish.run);
    let mut labels = Labels::new(&view);
    labels.mirrors(&mut svg);
    labels.lines(&mut svg, wish.run, &drawn, wish.depth_to);
    labels.faces(&mut svg, wish.run);
    labels.core(&mut svg, wish, &drawn);
    view.scale(&mut svg);
    svg.finish()
}

/// Bands between the lines, the core palest.
fn fills(svg: &mut Svg, run: &PlaneRun, view: &View, levels: &[WeightPercent]) {
    let (least, most) = (
        WeightPercent::ZERO,
        WeightPercent::from_wt_pct(ABOVE_ALL_WT_PCT),
    );
    let mut rims = vec![least];
    rims.extend(levels.iter().copied().filter(|level| *level > least));
    rims.push(most);
    let bands = rims.len() - 1;
    for (k, pair) in rims.windows(2).enumerate() {
        let loops: Vec<Vec<(f64, f64)>> = run
            .area_between(pair[0], pair[1])
            .iter()
            .map(|line| view.paper_line(&view.clipped_area(line)))
            .collect();
        if k == 0 {
            svg.loops(&loops, Ink::Shade, 0.7);
        } else {
            let share = if bands > 2 {
                (k - 1) as f64 / (bands - 2) as f64
            } else {
                0.0
            };
            svg.loops(&loops, Ink::Steel, TONES.0 + share * (TONES.1 - TONES.0));
        }
    }
}

/// Treated faces heavy; stopped-off faces thin, hatched on the side without steel.
fn outline(svg: &mut Svg, run: &PlaneRun, view: &View) {
    for piece in &run.outline {
        for line in view.clipped(std::slice::from_ref(&piece.points_m)) {
            let points = view.paper_line(&line.points);
            if piece.treated {
                svg.path(&points, Pen::full(Ink::Text, 2.6));
            } else {
                svg.path(&points, Pen::full(Ink::Text, 0.9));
                for (foot, out) in view.feet(run, &line.points, 5.0) {
                    // Slanted, as section lining of another body is.
                    let slant = (out.0 - 0.7 * out.1, out.1 + 0.7 * out.0);
                    let tip = (foot.0 + 5.0 * slant.0, foot.1 + 5.0 * slant.1);
                    svg.line(foot, tip, Pen::full(Ink::Text, 0.6));
                }
            }
        }
    }
}

fn mm(length: Length) -> String {
    format!("{} mm", format_trimmed(length.to_mm(), 3))
}

fn radius(length: Length, what: &str) -> String {
    if length > Length::ZERO {
        format!("{what} rounded {}", mm(length))
    } else {
        format!("{what} sharp")
    }
}

/// The section in a line.
fn heading(section: &PlaneSection) -> String {
    match *section {
        PlaneSection::Rectangle {
            width,
            height,
            corner_radius,
            ..
        } => format!(
            "Bar {} × {}, {}",
            mm(width),
            mm(height),
            radius(corner_radius, "corners")
        ),
        PlaneSection::PlateEdge {
            thickness,
            corner_radius,
            ..
        } => format!(
            "End of a plate {} thick, {}",
            mm(thickness),
            radius(corner_radius, "corners")
        ),
        PlaneSection::BoreNearWall { diameter, wall, .. } => {
            format!("Bore {} with {} of metal over it", mm(diameter), mm(wall))
        }
        PlaneSection::TwoBores { diameters, web, .. } => format!(
            "Bores {} and {} with a web of {}",
            mm(diameters[0]),
            mm(diameters[1]),
            mm(web)
        ),
        PlaneSection::Keyway {
            body,
            width,
            depth,
            fillet,
            ..
        } => {
            let body = match body {
                KeywayBody::Flat => "a flat".to_owned(),
                KeywayBody::Round { diameter } => format!("a round of {}", mm(diameter)),
            };
            format!(
                "Slot {} wide, {} deep in {body}, {}",
                mm(width),
                mm(depth),
                radius(fillet, "inner corners")
            )
        }
        PlaneSection::Web {
            thickness,
            height,
            fillet,
            tip_radius,
            ..
        } => format!(
            "Web {} thick, {} high, {}, {}",
            mm(thickness),
            mm(height),
            radius(fillet, "root"),
            radius(tip_radius, "tip")
        ),
    }
}

/// How deep the line asked for lies.
fn depths(run: &PlaneRun, carbon: WeightPercent) -> String {
    let carbon_words = labels::wt_pct(carbon);
    match run.depth_range(carbon) {
        Some((least, greatest)) => {
            let text = |units| {
                let (least, greatest) = (least.depth_text(units), greatest.depth_text(units));
                match least.split_once(' ') {
                    Some((number, _)) if least != greatest => format!("{number} to {greatest}"),
                    _ => greatest,
                }
            };
            format!(
                "{carbon_words} lies {} ({}) from the nearest treated face",
                text(UnitSystem::Metric),
                text(UnitSystem::Inch)
            )
        }
        None => format!("No line of {carbon_words} runs through the section"),
    }
}
