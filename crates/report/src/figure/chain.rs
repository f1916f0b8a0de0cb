//! The depth chain as a ruler: finished depth, stock, scatter, the depth to make and the aim.

use casewright_job::spec::Spec;
use casewright_plan::outcome::{DepthChain, DepthLimit};
use casewright_terms::{Band, Length, UnitSystem};

use super::axis::{LABEL, Plot, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use crate::show;

const WIDTH: f64 = 540.0;
const HEIGHT: f64 = 150.0;

/// The ruler. `expected` is the predicted depth before grinding.
pub(crate) fn draw(spec: &Spec, chain: &DepthChain, expected: Option<Band<Length>>) -> String {
    let units = spec.units;
    let off = chain.stock.1;
    let end = [
        Some(chain.aim),
        chain.make_max,
        chain.finish_max.map(|m| m + off),
        expected.map(|b| b.high),
        Some(chain.make_min),
    ]
    .into_iter()
    .flatten()
    .map(Length::to_mm)
    .fold(0.1_f64, f64::max)
        * 1.18;
    let plot = Plot {
        left: 128.0,
        right: WIDTH - 14.0,
        top: 20.0,
        bottom: HEIGHT - 34.0,
        x: (0.0, end),
        y: (0.0, 1.0),
    };
    let mut svg = Svg::new(
        WIDTH,
        HEIGHT,
        "From the finished depth to the depth aimed at",
    );
    ground(&mut svg, &plot, off);
    aim(
        &mut svg,
        &plot,
        chain.aim,
        &show::depth(chain.aim, units).main,
    );
    let rows = [34.0, 58.0, 82.0, 104.0];
    let finish_max = chain.finish_max.map(|m| m + off);
    row_name(&mut svg, &plot, rows[0], "the note, finished");
    bar(
        &mut svg,
        &plot,
        rows[0],
        (chain.finish_min + off, finish_max),
        &show::depth_range(Some(chain.finish_min), chain.finish_max, units).main,
        Ink::Note,
    );
    row_name(&mut svg, &plot, rows[1], "to make, before grinding");
    bar(
        &mut svg,
        &plot,
        rows[1],
        (chain.make_min, chain.make_max),
        &show::depth_range(Some(chain.make_min), chain.make_max, units).main,
        Ink::Text,
    );
    scatter(&mut svg, &plot, rows[1], chain, units);
    if let Some(band) = expected {
        row_name(&mut svg, &plot, rows[2], "expected, with its band");
        doubt(
            &mut svg,
            &plot,
            rows[2],
            band,
            &show::depth(band.mid, units).main,
        );
    }
    aim(
        &mut svg,
        &plot,
        chain.aim,
        &show::depth(chain.aim, units).main,
    );
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

/// The stock from the surface inwards, hatched.
fn ground(svg: &mut Svg, plot: &Plot, off: Length) {
    svg.line(
        (plot.left, plot.top - 4.0),
        (plot.left, plot.bottom),
        Pen::full(Ink::Text, 1.4),
    );
    if off <= Length::ZERO {
        return;
    }
    let right = plot.px(off.to_mm());
    svg.hatch(
        (plot.left, plot.top - 4.0),
        (right - plot.left, plot.bottom - plot.top + 4.0),
        5.0,
        Pen::full(Ink::Faint, 0.6),
    );
    svg.line(
        (right, plot.top - 4.0),
        (right, plot.bottom),
        Pen::full(Ink::Text, 0.9),
    );
    svg.text(
        (plot.left + 2.0, plot.top - 8.0),
        "ground off",
        Type::new(TICK, Anchor::Start),
    );
}

/// A bar from one depth to another; an open end becomes an arrow.
fn bar(svg: &mut Svg, plot: &Plot, y: f64, ends: (Length, Option<Length>), words: &str, ink: Ink) {
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
        (middle, y - 5.0),
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
    svg.text(
        (low.0, y + 12.0),
        &format!(
            "scatter {} each way",
            show::depth(chain.scatter, units).main
        ),
        Type::new(8.0, Anchor::Start).ink(Ink::Faint).rim(),
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
fn aim(svg: &mut Svg, plot: &Plot, depth: Length, words: &str) {
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
        &format!("aim {words}"),
        Type::new(LABEL, Anchor::Middle).bold().rim(),
    );
}

fn axis(svg: &mut Svg, plot: &Plot, chain: &DepthChain, units: UnitSystem) {
    let limit = match chain.limit {
        DepthLimit::Hardness(h) => format!("to {h}"),
        DepthLimit::CoreCarbon => "to core carbon + 0.04 wt%".to_owned(),
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
    plot.axis_below(
        svg,
        per,
        &format!(
            "depth {limit}, from the surface as hardened, {}",
            units.length_unit()
        ),
    );
}
