//! The depth chain as a ruler, from the surface as hardened: what must be made, what is expected, and
//! for each ground face what its own stock takes, what is left against the note's limits counted from
//! the finished face, and how far the wheel may go.

use casewright_job::spec::Spec;
use casewright_plan::chain::{self, Face, FaceChain};
use casewright_plan::outcome::{DepthChain, DepthLimit, Prediction};
use casewright_terms::{Band, Length, UnitSystem};

use super::axis::{LABEL, Plot, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use crate::show;
use crate::text::harmless;

const WIDTH: f64 = 540.0;
/// Above the first row.
const TOP: f64 = 16.0;
/// From row to row.
const ROW: f64 = 19.0;
/// A face's row: words above, words below.
const FACE: f64 = 32.0;
/// Axis and its words.
const BELOW: f64 = 16.0;
/// Faces that are drawn; the step names them all.
const FACES_MOST: usize = 3;

/// The ruler.
pub(crate) fn draw(spec: &Spec, chain: &DepthChain, prediction: Option<&Prediction>) -> String {
    let units = spec.units;
    let followed = chain::faces(spec, chain, prediction);
    let shown = &followed.faces[..followed.faces.len().min(FACES_MOST)];
    let end = [
        Some(chain.aim),
        chain.make_max,
        chain.finish_max.map(|m| m + chain.stock.1),
        Some(followed.made.high),
        Some(chain.make_min),
    ]
    .into_iter()
    .flatten()
    .map(Length::to_mm)
    .fold(0.1_f64, f64::max)
        * 1.16;
    let expected = usize::from(followed.predicted);
    let faces = shown.len().max(1) as f64;
    let bottom = TOP + ROW * (1 + expected) as f64 + FACE * faces + 4.0;
    let plot = Plot {
        left: 128.0,
        right: WIDTH - 14.0,
        top: TOP,
        bottom,
        x: (0.0, end),
        y: (0.0, 1.0),
    };
    let mut svg = Svg::new(
        WIDTH,
        bottom + BELOW,
        "From the finished depth to the depth aimed at",
    );
    svg.line(
        (plot.left, plot.top - 4.0),
        (plot.left, plot.bottom),
        Pen::full(Ink::Text, 1.4),
    );
    aim(&mut svg, &plot, chain.aim, units);
    svg.text(
        (0.0, plot.top - 6.0),
        "Made, ground off, left",
        Type::new(LABEL + 0.5, Anchor::Start).bold(),
    );
    let mut y = TOP + 14.0;
    row_name(&mut svg, &plot, y, "to make, before grinding");
    bar(
        &mut svg,
        &plot,
        y,
        (chain.make_min, chain.make_max),
        &show::depth_range(Some(chain.make_min), chain.make_max, units).main,
    );
    scatter(&mut svg, &plot, y, chain, units);
    if followed.predicted {
        y += ROW;
        row_name(&mut svg, &plot, y, "expected, with its band");
        doubt(
            &mut svg,
            &plot,
            y,
            followed.made,
            &show::depth(followed.made.mid, units).main,
        );
    }
    y += 24.0;
    if shown.is_empty() {
        not_ground(&mut svg, &plot, y, chain, units);
    }
    for face in shown {
        ground(&mut svg, &plot, y, chain, &followed, face, units);
        y += FACE;
    }
    axis(&mut svg, &plot, chain, units);
    svg.finish()
}

fn row_name(svg: &mut Svg, plot: &Plot, y: f64, words: &str) {
    svg.text(
        (plot.left - 8.0, y + 3.5),
        words,
        Type::new(TICK, Anchor::End),
    );
}

/// The note's limits, counted from a finished face.
fn note(svg: &mut Svg, plot: &Plot, y: f64, chain: &DepthChain, off: Length, units: UnitSystem) {
    let pen = Pen::full(Ink::Note, 2.0);
    let limits =
        std::iter::once(("≥", chain.finish_min)).chain(chain.finish_max.map(|max| ("≤", max)));
    for (sign, limit) in limits {
        let x = plot.px((limit + off).to_mm());
        svg.line((x, y - 8.0), (x, y + 8.0), pen);
        svg.text(
            (x, y + 16.0),
            &format!("{sign} {}", show::depth(limit, units).main),
            Type::new(8.5, Anchor::Middle).ink(Ink::Note).bold().rim(),
        );
    }
}

fn not_ground(svg: &mut Svg, plot: &Plot, y: f64, chain: &DepthChain, units: UnitSystem) {
    row_name(svg, plot, y, "the note; nothing is ground");
    let end = chain.finish_max.unwrap_or(chain.aim);
    svg.line(
        (plot.px(chain.finish_min.to_mm()), y),
        (plot.px(end.to_mm()), y),
        Pen::full(Ink::Note, 1.2),
    );
    note(svg, plot, y, chain, Length::ZERO, units);
}

/// One face: stock hatched, the case that is left, the limits from there and the wheel's end.
fn ground(
    svg: &mut Svg,
    plot: &Plot,
    y: f64,
    chain: &DepthChain,
    followed: &FaceChain,
    face: &Face,
    units: UnitSystem,
) {
    row_name(svg, plot, y, &show::clipped(&harmless(&face.face), 24));
    let off = plot.px(face.stock.to_mm());
    let (low, high) = (
        plot.px((face.stock + face.left.low).to_mm()),
        plot.px((face.stock + face.left.high).to_mm()),
    );
    svg.hatch(
        (plot.left, y - 5.5),
        (off - plot.left, 11.0),
        4.0,
        Pen::full(Ink::Text, 0.6),
    );
    svg.rect(
        (plot.left, y - 5.5),
        (off - plot.left, 11.0),
        None,
        Some(Pen::full(Ink::Text, 0.8)),
    );
    // What is left: sure as far as the low end, then with the doubt.
    svg.rect(
        (off, y - 4.0),
        ((low - off).max(0.0), 8.0),
        Some(Ink::Steel),
        None,
    );
    svg.rect(
        (low.max(off), y - 4.0),
        ((high - low.max(off)).max(0.0), 8.0),
        Some(Ink::Band),
        Some(Pen::full(Ink::Steel, 0.8)),
    );
    if face.bow > Length::ZERO {
        let (a, b) = (plot.px(face.local.0.to_mm()), plot.px(face.local.1.to_mm()));
        svg.line((a, y), (b, y), Pen::full(Ink::Paper, 3.0));
        svg.line((a, y), (b, y), Pen::full(Ink::Text, 1.2));
        for x in [a, b] {
            svg.line((x, y - 3.0), (x, y + 3.0), Pen::full(Ink::Text, 1.2));
        }
    }
    let bow = if face.bow > Length::ZERO {
        format!(" ± {}", number(face.bow, units))
    } else {
        String::new()
    };
    svg.text(
        (plot.left + 2.0, y - 8.5),
        &format!("{}{bow} off", number(face.stock, units)),
        Type::new(8.5, Anchor::Start).rim(),
    );
    note(svg, plot, y, chain, face.stock, units);
    // As far as the wheel may go where the case came out in the middle.
    let wheel = plot.px(face.most.mid.to_mm());
    svg.area(
        &[
            (wheel, y - 4.0),
            (wheel - 4.0, y - 11.0),
            (wheel + 4.0, y - 11.0),
        ],
        Ink::Text,
    );
    svg.line(
        (wheel, y - 4.0),
        (wheel, y + 4.0),
        Pen::full(Ink::Paper, 2.6),
    );
    svg.line(
        (wheel, y - 4.0),
        (wheel, y + 4.0),
        Pen::full(Ink::Text, 1.0),
    );
    let made = if followed.predicted {
        "as expected"
    } else {
        "as aimed"
    };
    let words = format!(
        "wheel stops at {} if made {made}, {} at the low end",
        number(face.most.mid, units),
        show::depth(face.most.low, units).main
    );
    let room = plot.right - width_of(&words, 8.5);
    svg.text(
        ((wheel + 7.0).min(room), y - 8.5),
        &words,
        Type::new(8.5, Anchor::Start).bold().rim(),
    );
}

/// A depth without its unit.
fn number(depth: Length, units: UnitSystem) -> String {
    let words = show::depth(depth, units).main;
    let unit = format!(" {}", units.length_unit());
    words.trim_end_matches(unit.as_str()).to_owned()
}

/// A bar from one depth to another; an open end becomes an arrow.
fn bar(svg: &mut Svg, plot: &Plot, y: f64, ends: (Length, Option<Length>), words: &str) {
    let ink = Ink::Text;
    let a = plot.px(ends.0.to_mm());
    let open = ends.1.is_none();
    let b = ends.1.map_or(plot.right, |m| plot.px(m.to_mm()));
    let pen = Pen::full(ink, 2.2);
    svg.line((a, y), (b, y), pen);
    svg.line((a, y - 6.0), (a, y + 6.0), pen);
    if open {
        svg.area(&[(b, y), (b - 8.0, y - 4.0), (b - 8.0, y + 4.0)], ink);
    } else {
        svg.line((b, y - 6.0), (b, y + 6.0), pen);
    }
    let middle = ((a + b) / 2.0).min(plot.right - width_of(words, LABEL) / 2.0);
    svg.text(
        (middle, y - 4.0),
        words,
        Type::new(LABEL, Anchor::Middle).ink(ink).bold().rim(),
    );
}

/// The part of the allowed range that scatter in the load takes at either end.
fn scatter(svg: &mut Svg, plot: &Plot, y: f64, chain: &DepthChain, units: UnitSystem) {
    if chain.scatter <= Length::ZERO {
        return;
    }
    let s = chain.scatter.to_mm();
    let low = (
        plot.px(chain.make_min.to_mm() - s),
        plot.px(chain.make_min.to_mm()),
    );
    let pen = Pen::dashed(Ink::Faint, 1.2, "2 2");
    svg.line((low.0, y), (low.1, y), pen);
    if let Some(max) = chain.make_max {
        svg.line(
            (plot.px(max.to_mm()), y),
            (plot.px(max.to_mm() + s), y),
            pen,
        );
    }
    let words = format!(
        "scatter {} each way",
        show::depth(chain.scatter, units).main
    );
    svg.text(
        (low.0 - 4.0, y + 3.0),
        &words,
        Type::new(8.5, Anchor::End).ink(Ink::Faint).rim(),
    );
}

fn doubt(svg: &mut Svg, plot: &Plot, y: f64, band: Band<Length>, words: &str) {
    let [low, mid, high] = [band.low, band.mid, band.high].map(|d| plot.px(d.to_mm()));
    let pen = Pen::full(Ink::Steel, 1.2);
    svg.rect(
        (low, y - 4.0),
        (high - low, 8.0),
        Some(Ink::Band),
        Some(pen),
    );
    svg.line((mid, y - 6.0), (mid, y + 6.0), Pen::full(Ink::Steel, 2.2));
    svg.text(
        (
            (high + 6.0).min(plot.right - width_of(words, LABEL)),
            y + 3.5,
        ),
        words,
        Type::new(LABEL, Anchor::Start).ink(Ink::Steel).bold().rim(),
    );
}

/// An arrow head on the axis.
fn aim(svg: &mut Svg, plot: &Plot, depth: Length, units: UnitSystem) {
    let x = plot.px(depth.to_mm());
    svg.line(
        (x, plot.top - 2.0),
        (x, plot.bottom),
        Pen::dashed(Ink::Text, 0.8, "4 2"),
    );
    let y = plot.bottom;
    svg.area(&[(x, y), (x - 5.0, y - 9.0), (x + 5.0, y - 9.0)], Ink::Text);
    svg.text(
        (x, plot.top - 6.0),
        &format!("aim {}", show::depth(depth, units).main),
        Type::new(LABEL, Anchor::Middle).bold().rim(),
    );
}

fn axis(svg: &mut Svg, plot: &Plot, chain: &DepthChain, units: UnitSystem) {
    let limit = match chain.limit {
        DepthLimit::Hardness(h) => format!("to {h}"),
        DepthLimit::CoreCarbon => "to core C + 0.04 %".to_owned(),
    };
    svg.line(
        (plot.left, plot.bottom),
        (plot.right, plot.bottom),
        Pen::full(Ink::Text, 0.9),
    );
    let mm = Length::from_mm(1.0);
    let per = match units {
        UnitSystem::Metric => 1.0,
        UnitSystem::Inch => mm.to_mm() / mm.to_in(),
    };
    plot.axis_below(svg, per, "");
    svg.text(
        (plot.left - 18.0, plot.bottom + 11.0),
        &format!("depth {limit}, {}", units.length_unit()),
        Type::new(TICK, Anchor::End),
    );
}
