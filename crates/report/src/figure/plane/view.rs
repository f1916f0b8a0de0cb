//! Which part of the section is drawn, where it stands on the paper, and how lines are cut to it.

use casewright_physics::run::PlaneRun;
use casewright_physics::setup::{PlanePoint, PlaneSection};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Length, WeightPercent};

use super::{WORDS, Wish};
use crate::figure::svg::{Anchor, Ink, Pen, Svg, Type, width_of};

/// Greatest drawing, in points.
const MOST: (f64, f64) = (430.0, 380.0);
/// Heads: title and two lines.
const HEAD: f64 = 46.0;
/// Feet: two scales.
const FOOT: f64 = 44.0;
/// Room beside the drawing for words on a face, and for labels of lines.
const MARGIN: f64 = 26.0;
const MARGIN_LABELS: f64 = 62.0;
const MARGIN_FACES: f64 = 52.0;
/// What is drawn of an endless body beyond the feature, in depths of the outermost line.
const BEYOND: f64 = 1.8;
/// A mirror farther away than this many depths is cut off: the lines would run together.
const FARTHEST: f64 = 10.0;
/// A face this near to an edge, as a share of the section, runs along it where it is parallel.
const GRAZES: f64 = 2e-3;
/// Depth that stands in where there is no line, in metres.
const NO_DEPTH_M: f64 = 1e-3;
/// Points to a millimetre at full size.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

pub(super) type Place = (f64, f64);

/// A side of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
    Top,
    Bottom,
}

impl Side {
    pub(super) const ALL: [Self; 4] = [Self::Right, Self::Left, Self::Bottom, Self::Top];
}

/// A line cut to the drawing.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub(super) points: Vec<[f64; 2]>,
}

/// The cut-out and its place on the paper.
#[derive(Clone, Debug)]
pub(super) struct View {
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
    /// y runs up the paper.
    up: bool,
    /// Points per metre.
    pub(super) scale: f64,
    origin: Place,
    pub(super) size: Place,
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left_words: f64,
    pub(super) mirrors: Vec<Side>,
    /// Sides on which the steel goes on beyond the drawing.
    cuts: Vec<Side>,
}

impl View {
    pub(super) fn new(wish: &Wish<'_>, levels: &[WeightPercent], words: f64) -> Self {
        let run = wish.run;
        let up = matches!(
            wish.section,
            PlaneSection::Rectangle { .. } | PlaneSection::PlateEdge { .. }
        );
        let (low, high, cuts) = cut_out(run, deepest_m(run, levels), up);
        let sides = [high[0] - low[0], high[1] - low[1]];
        let scale = (MOST.0 / sides[0]).min(MOST.1 / sides[1]);
        let size = (sides[0] * scale, sides[1] * scale);
        let mut view = Self {
            low,
            high,
            up,
            scale,
            origin: (MARGIN_LABELS, HEAD + MARGIN_LABELS),
            size,
            width: 0.0,
            height: 0.0,
            left_words: 8.0,
            mirrors: Vec::new(),
            cuts: Vec::new(),
        };
        view.mirrors = view.sides_of([
            [0, 1].map(|end| run.mirror_x_m == Some([low, high][end][0])),
            [0, 1].map(|end| run.mirror_y_m == Some([low, high][end][1])),
        ]);
        view.cuts = view.sides_of(cuts);
        // Labels stand only on sides that lines are labelled on.
        let mut margins = [MARGIN; 4];
        let lines: Vec<Line> = levels
            .iter()
            .flat_map(|level| view.clipped(&run.contour(*level)))
            .collect();
        for (side, _) in super::labels::assign(&view, &lines) {
            match side {
                Some(side) => margins[side as usize] = MARGIN_LABELS,
                // Lines that end on a face are labelled beyond it, wherever that is.
                None => margins = margins.map(|margin| margin.max(MARGIN_FACES)),
            }
        }
        let margin = |side: Side| margins[side as usize];
        view.origin = (margin(Side::Left), HEAD + margin(Side::Top));
        view.width = (margin(Side::Left) + size.0 + margin(Side::Right))
            .max(words + 2.0 * view.left_words)
            .max(300.0);
        view.height = view.origin.1 + size.1 + margin(Side::Bottom) + FOOT;
        view
    }

    /// A place of the section on the paper.
    pub(super) fn paper(&self, p: [f64; 2]) -> Place {
        let y = if self.up {
            self.high[1] - p[1]
        } else {
            p[1] - self.low[1]
        };
        (
            self.origin.0 + (p[0] - self.low[0]) * self.scale,
            self.origin.1 + y * self.scale,
        )
    }

    pub(super) fn paper_line(&self, points: &[[f64; 2]]) -> Vec<Place> {
        points.iter().map(|p| self.paper(*p)).collect()
    }

    /// A place on the paper in the section; `None` outside the drawing.
    fn section(&self, at: Place) -> Option<[f64; 2]> {
        let (x, y) = (at.0 - self.origin.0, at.1 - self.origin.1);
        if !(0.0..=self.size.0).contains(&x) || !(0.0..=self.size.1).contains(&y) {
            return None;
        }
        let y = y / self.scale;
        let y = if self.up {
            self.high[1] - y
        } else {
            self.low[1] + y
        };
        Some([self.low[0] + x / self.scale, y])
    }

    /// Carbon at a place on the paper; `None` where no steel is drawn.
    pub(super) fn carbon(&self, run: &PlaneRun, at: Place) -> Option<f64> {
        let p = self.section(at)?;
        run.at(point(p)).map(WeightPercent::to_wt_pct)
    }

    /// Upper left and lower right corner of the drawing.
    pub(super) fn frame(&self) -> (Place, Place) {
        let (x, y) = self.origin;
        ((x, y), (x + self.size.0, y + self.size.1))
    }

    /// Where words may stand: below the heads, above the scales.
    pub(super) fn room(&self) -> (Place, Place) {
        ((2.0, HEAD), (self.width - 2.0, self.height - FOOT))
    }

    /// The side a place lies on.
    pub(super) fn side_of(&self, p: [f64; 2]) -> Option<Side> {
        let ((x0, y0), (x1, y1)) = self.frame();
        let at = self.paper(p);
        let on = |a: f64, b: f64| (a - b).abs() < 0.05;
        match () {
            () if on(at.0, x1) => Some(Side::Right),
            () if on(at.0, x0) => Some(Side::Left),
            () if on(at.1, y1) => Some(Side::Bottom),
            () if on(at.1, y0) => Some(Side::Top),
            () => None,
        }
    }

    /// The sides that are flagged by axis, low end first.
    fn sides_of(&self, flags: [[bool; 2]; 2]) -> Vec<Side> {
        let y = if self.up {
            [Side::Bottom, Side::Top]
        } else {
            [Side::Top, Side::Bottom]
        };
        [[Side::Left, Side::Right], y]
            .into_iter()
            .flatten()
            .zip(flags.into_iter().flatten())
            .filter_map(|(side, flag)| flag.then_some(side))
            .collect()
    }

    /// Both ends of a side, from the left or from the top.
    pub(super) fn ends(&self, side: Side) -> (Place, Place) {
        let ((x0, y0), (x1, y1)) = self.frame();
        match side {
            Side::Left => ((x0, y0), (x0, y1)),
            Side::Right => ((x1, y0), (x1, y1)),
            Side::Top => ((x0, y0), (x1, y0)),
            Side::Bottom => ((x0, y1), (x1, y1)),
        }
    }

    /// Lines cut to the drawing.
    pub(super) fn clipped(&self, lines: &[Vec<[f64; 2]>]) -> Vec<Line> {
        let mut cut = Vec::new();
        for line in lines {
            let mut points: Vec<[f64; 2]> = Vec::new();
            for pair in line.windows(2) {
                let Some((from, to)) = self.within(pair[0], pair[1]) else {
                    push(&mut cut, &mut points);
                    continue;
                };
                if points.last() != Some(&from) {
                    push(&mut cut, &mut points);
                    points.push(from);
                }
                points.push(to);
            }
            push(&mut cut, &mut points);
        }
        cut
    }

    /// The part of a stretch inside the drawing.
    fn within(&self, a: [f64; 2], b: [f64; 2]) -> Option<([f64; 2], [f64; 2])> {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for axis in 0..2 {
            let d = b[axis] - a[axis];
            for (limit, sign) in [(self.low[axis], -1.0), (self.high[axis], 1.0)] {
                // sign × (a + t d) ≤ sign × limit
                let (run, room) = (sign * d, sign * (limit - a[axis]));
                if run == 0.0 {
                    if room < 0.0 {
                        return None;
                    }
                } else if run > 0.0 {
                    to = to.min(room / run);
                } else {
                    from = from.max(room / run);
                }
            }
        }
        if from >= to {
            return None;
        }
        let at = |t: f64| match t {
            0.0 => a,
            1.0 => b,
            t => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])],
        };
        Some((at(from), at(to)))
    }

    /// A closed area cut to the drawing, side after side.
    pub(super) fn clipped_area(&self, area: &[[f64; 2]]) -> Vec<[f64; 2]> {
        let mut area = area.to_vec();
        for axis in 0..2 {
            for (limit, sign) in [(self.low[axis], -1.0), (self.high[axis], 1.0)] {
                let over = |p: [f64; 2]| sign * (p[axis] - limit);
                let mut cut = Vec::with_capacity(area.len());
                for (k, p) in area.iter().enumerate() {
                    let before = area[(k + area.len() - 1) % area.len()];
                    let (a, b) = (over(before), over(*p));
                    if (a > 0.0) != (b > 0.0) {
                        let t = a / (a - b);
                        let mut rim = [
                            before[0] + t * (p[0] - before[0]),
                            before[1] + t * (p[1] - before[1]),
                        ];
                        rim[axis] = limit;
                        cut.push(rim);
                    }
                    if b <= 0.0 {
                        cut.push(*p);
                    }
                }
                area = cut;
            }
        }
        area
    }

    /// Places along a line every `step` points, each with the direction out of the steel.
    pub(super) fn feet(&self, run: &PlaneRun, line: &[[f64; 2]], step: f64) -> Vec<(Place, Place)> {
        let points = self.paper_line(line);
        let mut feet = Vec::new();
        let mut left = 0.5 * step;
        for pair in points.windows(2) {
            let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            let long = (dx * dx + dy * dy).sqrt();
            if long == 0.0 {
                continue;
            }
            let way = (dx / long, dy / long);
            while left <= long {
                let foot = (pair[0].0 + left * way.0, pair[0].1 + left * way.1);
                let out = [(way.1, -way.0), (-way.1, way.0)].into_iter().find(|out| {
                    let at = |d: f64| (foot.0 + d * out.0, foot.1 + d * out.1);
                    self.carbon(run, at(1.5)).is_none() && self.carbon(run, at(-1.5)).is_some()
                });
                feet.extend(out.map(|out| (foot, out)));
                left += step;
            }
            left -= long;
        }
        feet
    }

    /// Mirrors as centre lines; cuts through the steel as a row of dots.
    pub(super) fn edges(&self, svg: &mut Svg, run: &PlaneRun) {
        for side in Side::ALL {
            let (from, to) = self.ends(side);
            let long = (to.0 - from.0) + (to.1 - from.1);
            let way = ((to.0 - from.0) / long, (to.1 - from.1) / long);
            let at = |s: f64| (from.0 + s * way.0, from.1 + s * way.1);
            if self.mirrors.contains(&side) {
                let pen = Pen::dashed(Ink::Text, 0.7, "10 2 2 2");
                svg.line(at(-9.0), at(long + 9.0), pen);
            } else if self.cuts.contains(&side) {
                self.cut_edge(svg, run, side, &at, long);
            }
        }
    }

    fn cut_edge(
        &self,
        svg: &mut Svg,
        run: &PlaneRun,
        side: Side,
        at: &dyn Fn(f64) -> Place,
        long: f64,
    ) {
        // Only where there is steel just inside.
        let inward = match side {
            Side::Left => (0.5, 0.0),
            Side::Right => (-0.5, 0.0),
            Side::Top => (0.0, 0.5),
            Side::Bottom => (0.0, -0.5),
        };
        let steel = |s: f64| {
            let p = at(s);
            self.carbon(run, (p.0 + inward.0, p.1 + inward.1)).is_some()
        };
        let count = long.floor() as usize;
        let mut start: Option<f64> = None;
        for k in 0..=count {
            let s = k as f64 * long / count.max(1) as f64;
            match (steel(s), start) {
                (true, None) => start = Some(s),
                (false, Some(from)) => {
                    svg.line(at(from), at(s), Pen::dashed(Ink::Faint, 0.8, "1.5 3"));
                    start = None;
                }
                _ => {}
            }
        }
        if let Some(from) = start {
            svg.line(at(from), at(long), Pen::dashed(Ink::Faint, 0.8, "1.5 3"));
        }
    }

    /// One scale in each unit, true in every direction.
    pub(super) fn scale(&self, svg: &mut Svg) {
        let x = self.left_words + 4.0;
        let y = self.height - FOOT + 14.0;
        self.bar(svg, (x, y), Length::from_mm(1.0), "mm");
        self.bar(svg, (x, y + 20.0), Length::from_in(1.0), "in");
        let times = self.scale * Length::from_mm(1.0).to_m() / POINTS_PER_MM;
        let words = if times >= 1.0 {
            format!("drawn {} times its size", format_trimmed(times, 1))
        } else {
            format!("drawn at 1 : {}", format_trimmed(1.0 / times, 1))
        };
        let at = (self.width - 8.0, y + 20.0);
        svg.text(at, &words, Type::new(WORDS, Anchor::End).ink(Ink::Faint));
    }

    fn bar(&self, svg: &mut Svg, at: Place, unit: Length, name: &str) {
        let per_unit = unit.to_m() * self.scale;
        // The longest of 1, 2, 5 times a power of ten that stays below 130 points.
        let mut step = 1e-4;
        for decade in [1e-4, 1e-3, 1e-2, 0.1, 1.0, 10.0, 100.0] {
            for digit in [1.0, 2.0, 5.0] {
                if digit * decade * per_unit <= 130.0 {
                    step = digit * decade;
                }
            }
        }
        let long = step * per_unit;
        let pen = Pen::full(Ink::Text, 0.8);
        svg.line(at, (at.0 + long, at.1), pen);
        for part in [0.0, 0.5, 1.0] {
            let x = at.0 + part * long;
            let tall = if part == 0.5 { 3.0 } else { 5.0 };
            svg.line((x, at.1 - tall), (x, at.1), pen);
        }
        let words = format!("{} {name}", format_trimmed(step, 4));
        svg.text(
            (at.0 + long + 5.0, at.1 + 1.0),
            &words,
            Type::new(WORDS, Anchor::Start),
        );
        debug_assert!(width_of(&words, WORDS) < 60.0);
    }
}

fn push(cut: &mut Vec<Line>, points: &mut Vec<[f64; 2]>) {
    if points.len() > 1 {
        cut.push(Line {
            points: std::mem::take(points),
        });
    }
    points.clear();
}

fn point(p: [f64; 2]) -> PlanePoint {
    PlanePoint {
        x: Length::from_m(p[0]),
        y: Length::from_m(p[1]),
    }
}

/// Greatest depth of the outermost line.
fn deepest_m(run: &PlaneRun, levels: &[WeightPercent]) -> f64 {
    levels
        .iter()
        .find_map(|level| run.depth_range(*level))
        .map_or(NO_DEPTH_M, |(_, greatest)| greatest.to_m())
}

/// Lower left and upper right of what is drawn: the whole of a bar, of an endless body the feature
/// and what the carbon reaches around it.
fn cut_out(run: &PlaneRun, deep_m: f64, bar: bool) -> ([f64; 2], [f64; 2], [[bool; 2]; 2]) {
    let [mut low, mut high] = run.window_m;
    let window = run.window_m;
    let mirrors = [run.mirror_x_m, run.mirror_y_m];
    // An edge is endless where neither a mirror nor a face of the part runs along it or grazes it,
    // as the round of a bar does.
    let endless = |axis: usize, edge: f64| {
        let near = GRAZES * (window[1][axis] - window[0][axis]);
        let grazes = |pair: &[[f64; 2]]| {
            let (d, across) = (
                pair[1][axis] - pair[0][axis],
                pair[1][1 - axis] - pair[0][1 - axis],
            );
            pair.iter().any(|p| (p[axis] - edge).abs() < near) && d.abs() < 0.3 * across.abs()
        };
        mirrors[axis] != Some(edge)
            && !run
                .outline
                .iter()
                .any(|piece| piece.points_m.windows(2).any(grazes))
    };
    let ends: [[bool; 2]; 2] = [0, 1].map(|axis| {
        [
            endless(axis, window[0][axis]),
            endless(axis, window[1][axis]),
        ]
    });
    let on_end = |p: &[f64; 2]| {
        (0..2).any(|axis| {
            (ends[axis][0] && p[axis] == window[0][axis])
                || (ends[axis][1] && p[axis] == window[1][axis])
        })
    };
    let feature: Vec<[f64; 2]> = run
        .outline
        .iter()
        .flat_map(|piece| piece.points_m.iter().copied())
        .filter(|p| !on_end(p))
        .collect();
    for axis in 0..2 {
        let least = feature
            .iter()
            .map(|p| p[axis])
            .fold(f64::INFINITY, f64::min);
        let most = feature
            .iter()
            .map(|p| p[axis])
            .fold(f64::NEG_INFINITY, f64::max);
        if !(least.is_finite() && most.is_finite()) {
            continue;
        }
        let beyond = (BEYOND * deep_m).max(0.25 * (most - least));
        if ends[axis][0] {
            low[axis] = low[axis].max(least - beyond);
        }
        if ends[axis][1] {
            high[axis] = high[axis].min(most + beyond);
        }
        let far = low[axis] + FARTHEST * deep_m;
        if bar && mirrors[axis] == Some(high[axis]) && high[axis] > far {
            high[axis] = far;
        }
    }
    let cuts = [0, 1].map(|axis| {
        [
            ends[axis][0] || low[axis] > window[0][axis],
            ends[axis][1] || high[axis] < window[1][axis],
        ]
    });
    (low, high, cuts)
}
