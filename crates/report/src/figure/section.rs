//! The cross-section: a drawn slice of the part from the surface inward: after the box, after the
//! quench, after the draw and, where stock is taken off, as the grinder leaves it. Schematic: the shares of the marks follow the computed
//! shares of the volume at each depth, grains and needles are drawn too large to be seen at all.
//!
//! Nothing here is computed but places on the paper. The mosaic is made by [`super::grains`]; the
//! same values give the same bytes.

use casewright_job::spec::Spec;
use casewright_plan::inside::{Inside, Shares};
use casewright_plan::outcome::{DepthChain, Prediction};
use casewright_terms::{Length, UnitSystem};

use super::axis::{LABEL, Plot, TICK};
use super::grains::{self, Kind, Marks, Tone};
use super::svg::{Anchor, Ink, Pen, Svg, Type};
use crate::model::expected::limit_words;
use crate::show;

const WIDTH: f64 = 530.0;
const LEFT: f64 = 15.0;
const RIGHT: f64 = WIDTH - 5.0;
/// First strip's upper edge.
const TOP: f64 = 60.0;
/// Height of a strip.
pub(super) const STRIP: f64 = 62.0;
/// Between two strips: name of the state and the shares at the stations.
const BETWEEN: f64 = 42.0;
/// Size of the finest grain on the paper.
const GRAIN: f64 = 22.5;
/// Shares smaller than this have no words.
const WORDED: f64 = 0.045;

/// One strip.
struct Panel<'a> {
    title: String,
    shares: &'a Shares,
    grain: Length,
    drawn: bool,
    ground: bool,
}

/// The cross-section; `None` where nothing is known.
pub(crate) fn draw(
    spec: &Spec,
    chain: Option<&DepthChain>,
    p: &Prediction,
    inside: &Inside,
) -> Option<String> {
    if inside.depth_m.len() < 2 {
        return None;
    }
    let end_mm = super::profile::depth_end_mm(p).min(inside.deepest().to_mm());
    let off = chain.map_or(Length::ZERO, |c| c.stock.1);
    let panels = panels(inside, off, spec.units);
    let finest = inside.grain.min(inside.grain_in_box).to_mm().max(1e-4);
    let count = panels.len() as f64;
    let bottom = TOP + count * STRIP + (count - 1.0) * BETWEEN;
    let mut svg = Svg::new(
        WIDTH,
        bottom + 98.0,
        "Cross-section of the part by depth, schematic",
    );
    let plot = Plot {
        left: LEFT,
        right: RIGHT,
        top: TOP,
        bottom,
        x: (0.0, end_mm),
        y: (0.0, 1.0),
    };
    for (i, panel) in panels.iter().enumerate() {
        let top = TOP + i as f64 * (STRIP + BETWEEN);
        let spacing = GRAIN * (panel.grain.to_mm() / finest).min(1.8);
        let lookup = |x: f64| shares_at(inside, panel.shares, plot_mm(&plot, x));
        let marks = grains::mosaic(
            (LEFT, top),
            (RIGHT - LEFT, STRIP),
            spacing,
            panel.drawn,
            &lookup,
        );
        put(&mut svg, &marks);
        frame(&mut svg, top);
        stations(&mut svg, &plot, inside, panel, off, top);
        stock(&mut svg, &plot, off, panel, top);
    }
    limits(&mut svg, spec, &plot, p);
    axes(&mut svg, &plot, spec.units);
    key(&mut svg, bottom + 30.0, &panels);
    let times = GRAIN / (finest * (RIGHT - LEFT) / end_mm);
    for (row, words) in [
        "Schematic, not a photograph: areas follow the computed shares at each depth.".to_owned(),
        format!(
            "Grains (computed mean {:.0} µm before the quench) are drawn {times:.0} times too large for this scale.",
            inside.grain.to_um()
        ),
    ]
    .iter()
    .enumerate()
    {
        svg.text(
            (LEFT, bottom + 83.0 + 11.0 * row as f64),
            words,
            Type::new(TICK - 0.5, Anchor::Start).ink(Ink::Faint),
        );
    }
    Some(svg.finish())
}

fn panels(inside: &Inside, off: Length, units: UnitSystem) -> Vec<Panel<'_>> {
    let mut all = Vec::new();
    if let Some(boxed) = &inside.boxed {
        all.push(Panel {
            title: "After the box, cooled slowly".to_owned(),
            shares: boxed,
            grain: inside.grain_in_box,
            drawn: false,
            ground: false,
        });
    }
    all.push(Panel {
        title: format!(
            "As quenched from {}",
            show::temperature(inside.quenched_from, units).main
        ),
        shares: &inside.quenched,
        grain: inside.grain,
        drawn: false,
        ground: false,
    });
    let after = Panel {
        title: format!(
            "After the draw at {}: {}",
            show::temperature(inside.drawn_at, units).main,
            taken(inside)
        ),
        shares: &inside.drawn,
        grain: inside.grain,
        drawn: true,
        ground: false,
    };
    let finished = (off > Length::ZERO).then(|| Panel {
        title: format!(
            "Finished: {} per side ground off, the rest as drawn",
            show::depth(off, units).main
        ),
        shares: &inside.drawn,
        grain: inside.grain,
        drawn: true,
        ground: true,
    });
    all.push(after);
    all.extend(finished);
    all
}

/// What the draw did to the retained austenite, in words.
fn taken(inside: &Inside) -> String {
    let most = |shares: &Shares| {
        let all = shares.retained_austenite.iter().copied();
        100.0 * all.fold(0.0, f64::max)
    };
    let (before, after) = (most(&inside.quenched), most(&inside.drawn));
    // Less than a percent of the volume is below what the picture could show.
    if before - after < 1.0 {
        "the same shares, needles etch darker".to_owned()
    } else {
        format!("retained austenite {before:.0} → {after:.0} % at the most, needles etch darker")
    }
}

fn plot_mm(plot: &Plot, x: f64) -> f64 {
    plot.x.1 * (x - plot.left) / (plot.right - plot.left)
}

/// Shares at a depth in the order of [`grains::Shares`].
fn shares_at(inside: &Inside, shares: &Shares, mm: f64) -> grains::Shares {
    let depth_m = Length::from_mm(mm.max(0.0)).to_m();
    let read = |values: &[f64]| super::profile::at(&inside.depth_m, values, depth_m);
    grains::Shares {
        martensite: read(&shares.martensite),
        retained_austenite: read(&shares.retained_austenite),
        bainite: read(&shares.bainite),
        pearlite: read(&shares.pearlite),
        ferrite: read(&shares.ferrite),
        carbide: read(&shares.carbide),
    }
}

/// Puts marks on the paper in the order in which they cover each other.
fn put(svg: &mut Svg, marks: &Marks) {
    for kind in Kind::ORDER {
        let tone = if kind == Kind::Martensite && marks.drawn {
            Tone::Drawn
        } else {
            kind.tone()
        };
        svg.polygons(kind.name(), &marks.areas[kind as usize], tone);
    }
    for (tone, strokes) in &marks.strokes {
        svg.strokes(strokes, *tone);
    }
    svg.outlines(&marks.outlines);
    svg.polygons(Kind::Carbide.name(), &marks.dots, Kind::Carbide.tone());
}

fn frame(svg: &mut Svg, top: f64) {
    svg.rect(
        (LEFT, top),
        (RIGHT - LEFT, STRIP),
        None,
        Some(Pen::full(Ink::Text, 0.9)),
    );
    // The surface itself.
    svg.line((LEFT, top), (LEFT, top + STRIP), Pen::full(Ink::Text, 2.2));
}

/// Depths at which the shares are said, as parts of the picture.
const STATIONS: [f64; 5] = [0.015, 0.2, 0.42, 0.62, 0.84];

fn stations(svg: &mut Svg, plot: &Plot, inside: &Inside, panel: &Panel<'_>, off: Length, top: f64) {
    svg.text(
        (LEFT, top - 27.5),
        &panel.title,
        Type::new(LABEL, Anchor::Start).bold(),
    );
    for share in STATIONS {
        let mut x = LEFT + share * (RIGHT - LEFT);
        // What is gone is not told; the first station moves to the finished face.
        if panel.ground && plot_mm(plot, x) < off.to_mm() {
            if share > STATIONS[0] {
                continue;
            }
            x = plot.px(off.to_mm()) + STATIONS[0] * (RIGHT - LEFT);
        }
        let mm = plot_mm(plot, x);
        let found = shares_at(inside, panel.shares, mm);
        let mut named: Vec<(&str, f64)> = found
            .named()
            .into_iter()
            .filter(|(_, s)| *s >= WORDED)
            .collect();
        named.sort_by(|a, b| b.1.total_cmp(&a.1));
        let words: Vec<String> = named
            .iter()
            .take(3)
            .map(|(name, s)| format!("{name} {:.0}", s * 100.0))
            .collect();
        svg.line((x, top), (x, top - 3.0), Pen::full(Ink::Text, 0.7));
        for (row, line) in two_lines(&words).iter().enumerate() {
            svg.text(
                (x - 2.0, top - 13.0 + 8.5 * row as f64),
                line,
                Type::new(TICK - 1.0, Anchor::Start),
            );
        }
    }
}

/// The greatest share on the first line, the others on the second.
fn two_lines(words: &[String]) -> Vec<String> {
    match words {
        [] => Vec::new(),
        [one] => vec![format!("{one} %")],
        [first, rest @ ..] => vec![format!("{first} %"), format!("{} %", rest.join(", "))],
    }
}

/// What the grinder takes: a line through the strips, and gone in the finished one.
fn stock(svg: &mut Svg, plot: &Plot, off: Length, panel: &Panel<'_>, top: f64) {
    let off = off.to_mm().min(plot.x.1);
    if off <= 0.0 {
        return;
    }
    let right = plot.px(off);
    if !panel.ground {
        svg.line(
            (right, top),
            (right, top + STRIP),
            Pen::full(Ink::Paper, 2.6),
        );
        svg.line(
            (right, top),
            (right, top + STRIP),
            Pen::dashed(Ink::Text, 1.2, "3 2"),
        );
        return;
    }
    svg.rect((LEFT, top), (right - LEFT, STRIP), Some(Ink::Paper), None);
    svg.hatch(
        (LEFT, top),
        (right - LEFT, STRIP),
        4.0,
        Pen::full(Ink::Text, 0.7),
    );
    svg.rect(
        (LEFT, top),
        (right - LEFT, STRIP),
        None,
        Some(Pen::dashed(Ink::Text, 0.8, "3 2")),
    );
    // The finished surface.
    svg.line(
        (right, top),
        (right, top + STRIP),
        Pen::full(Ink::Text, 2.2),
    );
    svg.text(
        ((LEFT + right) / 2.0 + 3.0, top + STRIP - 4.0),
        "ground off",
        Type::new(TICK, Anchor::Start).up().rim(),
    );
}

/// Where the case ends, through all strips.
fn limits(svg: &mut Svg, spec: &Spec, plot: &Plot, p: &Prediction) {
    let Some(band) = p.case_depth else { return };
    let x = plot.px(band.mid.to_mm());
    if x > plot.right {
        return;
    }
    let strips = ((plot.bottom - plot.top + BETWEEN) / (STRIP + BETWEEN)).round() as usize;
    for i in 0..strips {
        let top = plot.top + i as f64 * (STRIP + BETWEEN);
        let (from, to) = (top, top + STRIP);
        svg.line((x, from), (x, to), Pen::full(Ink::Paper, 3.2));
        svg.line((x, from), (x, to), Pen::dashed(Ink::Text, 1.4, "6 2"));
    }
    svg.text(
        (x + 3.0, plot.bottom - 5.0),
        &format!(
            "{} at {}",
            limit_words(spec, p),
            show::depth(band.mid, spec.units).main
        ),
        Type::new(LABEL, Anchor::Start).bold().rim(),
    );
}

fn axes(svg: &mut Svg, plot: &Plot, units: UnitSystem) {
    let mm = Length::from_mm(1.0);
    let per = |u: UnitSystem| match u {
        UnitSystem::Metric => 1.0,
        UnitSystem::Inch => mm.to_mm() / mm.to_in(),
    };
    plot.axis_below(
        svg,
        per(units),
        &format!(
            "depth from the surface as hardened, {}",
            units.length_unit()
        ),
    );
    let upper = Plot { top: 15.0, ..*plot };
    upper.axis_above(svg, per(units.other()), units.other().length_unit());
}

/// What the marks are: a swatch and a word each, of what the strips show.
fn key(svg: &mut Svg, mut top: f64, panels: &[Panel<'_>]) {
    let (wide, high) = (22.0, 12.0);
    let shown = |name: &str| {
        panels.iter().any(|panel| {
            panel
                .shares
                .named()
                .iter()
                .any(|(n, values)| *n == name && values.iter().any(|v| *v >= 0.01))
        })
    };
    let mut entries: Vec<(&str, grains::Shares, bool)> = Vec::new();
    let pure = |kind: Kind| grains::Shares::pure(kind);
    for kind in Kind::ALL {
        if !shown(kind.name()) {
            continue;
        }
        if kind == Kind::Martensite {
            entries.push(("martensite as quenched", pure(kind), false));
            entries.push(("martensite drawn", pure(kind), true));
        } else {
            entries.push((kind.name(), pure(kind), false));
        }
    }
    let mut x = LEFT;
    for (words, shares, drawn) in entries {
        let carbide = shares.carbide > 0.5;
        let taken = wide + 4.0 + super::svg::width_of(words, TICK);
        if x + taken > RIGHT {
            x = LEFT;
            top += high + 5.0;
        }
        // A swatch all of carbide would be black: dots on a hard ground say it.
        let shares = if carbide {
            grains::Shares {
                carbide: 0.12,
                martensite: 0.88,
                ..grains::Shares::default()
            }
        } else {
            shares
        };
        let marks = grains::mosaic((x, top), (wide, high), 30.0, drawn, &|_| shares);
        put(svg, &marks);
        svg.rect(
            (x, top),
            (wide, high),
            None,
            Some(Pen::full(Ink::Text, 0.6)),
        );
        svg.text(
            (x + wide + 3.0, top + 9.3),
            words,
            Type::new(TICK, Anchor::Start),
        );
        x += taken + 8.0;
    }
}

/// Used by the tests of the drawn areas.
#[cfg(test)]
pub(super) const fn strip_top(i: usize) -> f64 {
    TOP + i as f64 * (STRIP + BETWEEN)
}

#[cfg(test)]
#[path = "section_tests.rs"]
mod tests;
