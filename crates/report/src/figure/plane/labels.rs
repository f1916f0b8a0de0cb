//! Words on the map: each where it belongs, none on another or on a line.

use casewright_physics::run::PlaneRun;
use casewright_terms::WeightPercent;
use casewright_terms::quantity::format_trimmed;

use super::view::{Line, Place, Side, View};
use super::{WORDS, Wish};
use crate::figure::place::{
    Frame, Word, apart, crosses, distance, grown, holds, off_frame, within,
};
use crate::figure::svg::{Anchor, Ink, Pen, Svg, Type};

/// From one label to the next, in points.
const APART: f64 = 10.0;
/// From the drawing's edge to a label.
const AWAY: f64 = 15.0;
/// Lines shorter than this, in points, have no label of their own.
const SHORT: f64 = 14.0;
/// What the hatching of a stopped-off face takes beside it, in points.
const HATCH: f64 = 6.5;
/// A face with more feet than this, three points apart, is long enough for words of its own.
const LONG_FEET: usize = 30;
/// From one word on a face to the next of the same kind, in points.
const FAR_WORDS: f64 = 110.0;
/// A carbon this near the core's is the core's, in wt%.
const CORE_WT_PCT: f64 = 0.01;

/// The labels that stand already.
pub(super) struct Labels<'v> {
    view: &'v View,
    taken: Vec<Frame>,
}

impl<'v> Labels<'v> {
    pub(super) fn new(view: &'v View) -> Self {
        Self {
            view,
            taken: Vec::new(),
        }
    }

    fn set(&mut self, svg: &mut Svg, word: &Word<'_>) {
        self.taken.push(word.frame());
        word.put(svg);
    }

    /// Whether a word stands clear of all others, inside the room for words.
    fn clear(&self, frame: &Frame) -> bool {
        within(frame, &self.view.room()) && self.taken.iter().all(|taken| apart(taken, frame))
    }

    /// `mirror` at one end of each centre line.
    pub(super) fn mirrors(&mut self, svg: &mut Svg) {
        for side in self.view.mirrors.clone() {
            let (from, to) = self.view.ends(side);
            let (at, anchor) = match side {
                Side::Left => ((to.0 + 4.0, to.1 + 9.0), Anchor::Start),
                Side::Right => ((to.0 - 4.0, to.1 + 9.0), Anchor::End),
                Side::Top => ((from.0, from.1 - 4.0), Anchor::Start),
                Side::Bottom => ((from.0, from.1 + 10.0), Anchor::Start),
            };
            let style = Type::new(WORDS - 1.0, anchor).ink(Ink::Faint);
            let word = Word {
                words: "mirror",
                style,
                at,
            };
            self.set(svg, &word);
        }
    }

    /// Each line of equal carbon labelled where it leaves the drawing or meets a face.
    pub(super) fn lines(
        &mut self,
        svg: &mut Svg,
        run: &PlaneRun,
        drawn: &[(WeightPercent, Vec<Line>)],
        heavy: WeightPercent,
    ) {
        let all: Vec<(WeightPercent, &Line)> = drawn
            .iter()
            .flat_map(|(level, lines)| lines.iter().map(|line| (*level, line)))
            .collect();
        let lines: Vec<Line> = all.iter().map(|(_, line)| (*line).clone()).collect();
        for (side, members) in assign(self.view, &lines) {
            let members = members.into_iter().map(|k| all[k]);
            match side {
                Some(side) => {
                    let ends = members
                        .filter_map(|(level, line)| Some((level, end_on(self.view, line, side)?)))
                        .collect();
                    self.along(svg, side, ends, heavy);
                }
                None => {
                    // Ends of other lines: a label nearer to one of those would be read as its.
                    let ends: Vec<Place> = lines
                        .iter()
                        .flat_map(|line| [line.points.first(), line.points.last()])
                        .flatten()
                        .map(|end| self.view.paper(*end))
                        .collect();
                    for (level, line) in members {
                        let placed = [&ends[..], &[]]
                            .into_iter()
                            .any(|ends| self.beyond(svg, run, (level, line), heavy, ends));
                        if !placed {
                            self.on_line(svg, run, (level, line), drawn, heavy);
                        }
                    }
                }
            }
        }
    }

    /// A label beyond the face that a line ends on, with a leader to it.
    fn beyond(
        &mut self,
        svg: &mut Svg,
        run: &PlaneRun,
        (level, line): (WeightPercent, &Line),
        heavy: WeightPercent,
        ends: &[Place],
    ) -> bool {
        if line.points.first() == line.points.last() {
            return false;
        }
        let words = wt_pct(level);
        for away in [13.0, 18.0, 25.0, 34.0, 45.0] {
            for end in [line.points.last(), line.points.first()]
                .into_iter()
                .flatten()
            {
                let end = self.view.paper(*end);
                for way in COMPASS {
                    let (style, at) = ray_label(end, way, away, level == heavy);
                    let word = Word {
                        words: &words,
                        style,
                        at,
                    };
                    let leader = [1.5, away - 2.0].map(|d| along_ray(end, way, d));
                    let free = (3..=10).all(|k| {
                        let p = along_ray(end, way, away * f64::from(k) / 10.0);
                        self.view.carbon(run, p).is_none()
                            && self.taken.iter().all(|taken| !holds(taken, p))
                    });
                    let frame = word.frame();
                    let own = off_frame(&frame, end);
                    let free = free && ends.iter().all(|other| off_frame(&frame, *other) >= own);
                    if free && self.clear(&frame) && self.off_steel(run, &grown(&frame, HATCH)) {
                        svg.path(&leader, Pen::full(Ink::Steel, 0.5));
                        self.set(svg, &word);
                        return true;
                    }
                }
            }
        }
        false
    }

    /// Labels along one side, kept apart, each with a leader to its line.
    fn along(
        &mut self,
        svg: &mut Svg,
        side: Side,
        mut ends: Vec<(WeightPercent, Place)>,
        heavy: WeightPercent,
    ) {
        let upright = matches!(side, Side::Left | Side::Right);
        let place = |p: &Place| if upright { p.1 } else { p.0 };
        ends.sort_by(|a, b| place(&a.1).total_cmp(&place(&b.1)));
        let (low, high) = self.view.room();
        let (low, high) = if upright {
            (low.1, high.1)
        } else {
            (low.0, high.0)
        };
        let mut spots: Vec<f64> = ends.iter().map(|(_, end)| place(end)).collect();
        spread(&mut spots, low + APART, high - APART);
        for ((level, end), spot) in ends.iter().zip(&spots) {
            let words = wt_pct(*level);
            let (out, anchor) = match side {
                Side::Left => (-1.0, Anchor::End),
                Side::Right => (1.0, Anchor::Start),
                Side::Top => (-1.0, Anchor::Start),
                Side::Bottom => (1.0, Anchor::End),
            };
            let mut style = Type::new(WORDS, anchor).ink(Ink::Steel);
            if *level == heavy {
                style = style.bold();
            }
            let step = |d: f64, along: f64| {
                if upright {
                    (end.0 + out * d, along)
                } else {
                    (along, end.1 + out * d)
                }
            };
            let leader = [
                step(1.5, place(end)),
                step(4.0, place(end)),
                step(AWAY - 2.0, *spot),
            ];
            svg.path(&leader, Pen::full(Ink::Steel, 0.5));
            let foot = step(AWAY, *spot);
            let at = if upright {
                (foot.0, foot.1 + 0.3 * WORDS)
            } else {
                style = style.up();
                (foot.0 + 0.3 * WORDS, foot.1)
            };
            let word = Word {
                words: &words,
                style,
                at,
            };
            self.set(svg, &word);
            // The leader is no place for words either.
            let (a, b) = (leader[0], leader[2]);
            self.taken
                .push(((a.0.min(b.0), a.1.min(b.1)), (a.0.max(b.0), a.1.max(b.1))));
        }
    }

    /// A label on a closed line, at the first place where it touches no other line.
    fn on_line(
        &mut self,
        svg: &mut Svg,
        run: &PlaneRun,
        (level, line): (WeightPercent, &Line),
        drawn: &[(WeightPercent, Vec<Line>)],
        heavy: WeightPercent,
    ) {
        let words = wt_pct(level);
        let mut style = Type::new(WORDS, Anchor::Middle).ink(Ink::Steel).rim();
        if level == heavy {
            style = style.bold();
        }
        for at in self.view.paper_line(&line.points) {
            let word = Word {
                words: &words,
                style,
                at: (at.0, at.1 + 0.3 * WORDS),
            };
            let frame = word.frame();
            let others = drawn.iter().filter(|(other, _)| *other != level);
            let steel = samples(&frame).all(|p| self.view.carbon(run, p).is_some());
            if steel && self.clear(&frame) && self.off_lines(&frame, others) {
                self.set(svg, &word);
                return;
            }
        }
    }

    /// Whether no line passes through a frame.
    fn off_lines<'d>(
        &self,
        frame: &Frame,
        drawn: impl Iterator<Item = &'d (WeightPercent, Vec<Line>)>,
    ) -> bool {
        let mut all = drawn.flat_map(|(_, lines)| lines);
        !all.any(|line| {
            let points = self.view.paper_line(&line.points);
            points
                .windows(2)
                .any(|pair| crosses(pair[0], pair[1], frame))
        })
    }

    /// `treated` and `stopped off` beside the faces: once where all are treated, else on every
    /// long piece.
    pub(super) fn faces(&mut self, svg: &mut Svg, run: &PlaneRun) {
        let mixed = run.outline.iter().any(|piece| !piece.treated);
        let mut pieces: Vec<(bool, Vec<(Place, Place)>)> = Vec::new();
        for piece in &run.outline {
            for line in self.view.clipped(std::slice::from_ref(&piece.points_m)) {
                pieces.push((piece.treated, self.view.feet(run, &line.points, 3.0)));
            }
        }
        pieces.sort_by_key(|(_, feet)| std::cmp::Reverse(feet.len()));
        let mut said: [Vec<Place>; 2] = [Vec::new(), Vec::new()];
        for (treated, mut feet) in pieces {
            let known = &said[usize::from(treated)];
            if !known.is_empty() {
                // Another face of the same kind: only a straight one, away from the words.
                let long = feet.len() > LONG_FEET;
                feet.retain(|(foot, out)| {
                    out.0.abs().min(out.1.abs()) < 0.1
                        && known.iter().all(|at| distance(*at, *foot) > FAR_WORDS)
                });
                if !(mixed && long) || feet.is_empty() {
                    continue;
                }
            }
            if let Some(at) = self.face(svg, run, treated, &feet) {
                said[usize::from(treated)].push(at);
            }
        }
    }

    fn face(
        &mut self,
        svg: &mut Svg,
        run: &PlaneRun,
        treated: bool,
        feet: &[(Place, Place)],
    ) -> Option<Place> {
        let words = if treated { "treated" } else { "stopped off" };
        let away = if treated { 5.0 } else { 11.0 };
        // From the middle of the piece outward.
        let middle = feet.len() / 2;
        let order = (0..feet.len()).map(|k| {
            let step = k.div_ceil(2);
            if k % 2 == 0 {
                (middle + step).min(feet.len() - 1)
            } else {
                middle.saturating_sub(step)
            }
        });
        for k in order {
            let (foot, out) = feet[k];
            let (x, y) = (foot.0 + away * out.0, foot.1 + away * out.1);
            let plain = Type::new(WORDS, Anchor::Middle);
            let sideways = out.0.abs() > out.1.abs();
            let turned = Word {
                words,
                style: plain.up(),
                at: (
                    if out.0 > 0.0 {
                        x + 0.8 * WORDS
                    } else {
                        x - 0.25 * WORDS
                    },
                    y,
                ),
            };
            let beside = Word {
                words,
                style: Type::new(
                    WORDS,
                    if out.0 > 0.0 {
                        Anchor::Start
                    } else {
                        Anchor::End
                    },
                ),
                at: (x, y + 0.3 * WORDS),
            };
            let over = Word {
                words,
                style: plain,
                at: (
                    x,
                    if out.1 > 0.0 {
                        y + 0.8 * WORDS
                    } else {
                        y - 0.25 * WORDS
                    },
                ),
            };
            let tries = if sideways {
                [turned, beside, over]
            } else {
                [over, beside, turned]
            };
            for word in tries {
                let frame = word.frame();
                if self.clear(&frame) && self.off_steel(run, &frame) {
                    self.set(svg, &word);
                    return Some(foot);
                }
            }
        }
        None
    }

    fn off_steel(&self, run: &PlaneRun, frame: &Frame) -> bool {
        samples(frame).all(|at| self.view.carbon(run, at).is_none())
    }

    /// The core's carbon, deep inside, where no line is near.
    pub(super) fn core(
        &mut self,
        svg: &mut Svg,
        wish: &Wish<'_>,
        drawn: &[(WeightPercent, Vec<Line>)],
    ) {
        let core = wish.core.to_wt_pct();
        let words = format!("core {}", wt_pct(wish.core));
        let style = Type::new(WORDS, Anchor::Middle);
        let (low, high) = self.view.frame();
        const TRIES: u32 = 24;
        let mut best: Option<(f64, Place)> = None;
        for i in 1..TRIES {
            for j in 1..TRIES {
                let part = |k: u32| f64::from(k) / f64::from(TRIES);
                let at = (
                    low.0 + part(i) * (high.0 - low.0),
                    low.1 + part(j) * (high.1 - low.1),
                );
                let frame = Word {
                    words: &words,
                    style,
                    at,
                }
                .frame();
                let inside = samples(&frame).all(|p| {
                    self.view
                        .carbon(wish.run, p)
                        .is_some_and(|c| (c - core).abs() < CORE_WT_PCT)
                });
                if !(inside && self.clear(&frame) && self.off_lines(&frame, drawn.iter())) {
                    continue;
                }
                // As near the middle of the drawing as may be.
                let middle = (0.5 * (low.0 + high.0), 0.5 * (low.1 + high.1));
                let off = distance(at, middle);
                if best.is_none_or(|(least, _)| off < least) {
                    best = Some((off, at));
                }
            }
        }
        if let Some((_, at)) = best {
            let word = Word {
                words: &words,
                style,
                at,
            };
            self.set(svg, &word);
        }
    }
}

/// Which lines are labelled on which side, by their place in the list; `None` for those that do
/// not leave the drawing. The side that most leave by comes first, so that labels stand together.
pub(super) fn assign(view: &View, lines: &[Line]) -> Vec<(Option<Side>, Vec<usize>)> {
    let mut open: Vec<usize> = (0..lines.len())
        .filter(|k| {
            let points = view.paper_line(&lines[*k].points);
            let long: f64 = points.windows(2).map(|p| distance(p[0], p[1])).sum();
            long >= SHORT
        })
        .collect();
    let mut groups = Vec::new();
    while !open.is_empty() {
        let leaving = |side: Side| {
            open.iter()
                .filter(|k| end_on(view, &lines[**k], side).is_some())
                .count()
        };
        let best = Side::ALL
            .into_iter()
            .rev()
            .max_by_key(|side| leaving(*side))
            .filter(|side| leaving(*side) > 0);
        let Some(side) = best else {
            groups.push((None, open));
            break;
        };
        let (here, rest): (Vec<usize>, Vec<usize>) = open
            .into_iter()
            .partition(|k| end_on(view, &lines[*k], side).is_some());
        groups.push((Some(side), here));
        open = rest;
    }
    groups
}

fn end_on(view: &View, line: &Line, side: Side) -> Option<Place> {
    [line.points.first(), line.points.last()]
        .into_iter()
        .flatten()
        .find(|end| view.side_of(**end) == Some(side))
        .map(|end| view.paper(*end))
}

/// Directions that a label may stand in from the end of its line: right and left first, because
/// words lie.
const COMPASS: [Place; 12] = [
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.9, -0.44),
    (0.9, 0.44),
    (-0.9, -0.44),
    (-0.9, 0.44),
    (0.6, -0.8),
    (0.6, 0.8),
    (-0.6, -0.8),
    (-0.6, 0.8),
    (0.0, -1.0),
    (0.0, 1.0),
];

fn along_ray(from: Place, way: Place, d: f64) -> Place {
    (from.0 + d * way.0, from.1 + d * way.1)
}

fn ray_label(end: Place, way: Place, away: f64, bold: bool) -> (Type, Place) {
    let anchor = match way.0 {
        x if x > 0.1 => Anchor::Start,
        x if x < -0.1 => Anchor::End,
        _ => Anchor::Middle,
    };
    let mut style = Type::new(WORDS, anchor).ink(Ink::Steel);
    if bold {
        style = style.bold();
    }
    let foot = along_ray(end, way, away);
    (style, (foot.0, foot.1 + (0.3 + 0.5 * way.1) * WORDS))
}

/// Carbon with its unit; two decimals at least, so that labels line up.
pub(super) fn wt_pct(carbon: WeightPercent) -> String {
    let value = carbon.to_wt_pct();
    let trimmed = format_trimmed(value, 3);
    if trimmed.len() < 4 {
        format!("{value:.2} wt%")
    } else {
        format!("{trimmed} wt%")
    }
}

/// Corners, middles of sides and the middle of a frame, and some between.
fn samples(frame: &Frame) -> impl Iterator<Item = Place> + '_ {
    let (low, high) = *frame;
    (0..=6).flat_map(move |i| {
        (0..=2).map(move |j| {
            (
                low.0 + (high.0 - low.0) * f64::from(i) / 6.0,
                low.1 + (high.1 - low.1) * f64::from(j) / 2.0,
            )
        })
    })
}

/// Moves places apart without changing their order, within limits as far as they leave room.
fn spread(places: &mut [f64], low: f64, high: f64) {
    for k in 1..places.len() {
        places[k] = places[k].max(places[k - 1] + APART);
    }
    // Back from the far end, and half of the shift is shared out by a second pass.
    let mut limit = high;
    for place in places.iter_mut().rev() {
        *place = place.min(limit);
        limit = *place - APART;
    }
    let mut limit = low;
    for place in places.iter_mut() {
        *place = place.max(limit);
        limit = *place + APART;
    }
}
