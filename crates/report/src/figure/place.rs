//! Where words may stand: the room a word takes on the paper, and the search for a place beside a
//! curve where it touches no other word and no line, and can only be read as that curve's name.

use super::svg::{Anchor, Svg, Type, width_of};

/// A point on the paper.
pub(super) type Place = (f64, f64);

/// Upper left and lower right.
pub(super) type Frame = (Place, Place);

/// A bold word is wider: mean of the embedded sans, rounded up.
const BOLDER: f64 = 1.08;

/// A word at a place.
#[derive(Clone, Copy)]
pub(super) struct Word<'w> {
    pub(super) words: &'w str,
    pub(super) style: Type,
    pub(super) at: Place,
}

impl Word<'_> {
    /// What it takes of the paper.
    pub(super) fn frame(&self) -> Frame {
        let bold = if self.style.bold { BOLDER } else { 1.0 };
        let long = bold * width_of(self.words, self.style.size);
        let before = match self.style.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5 * long,
            Anchor::End => long,
        };
        let (rise, fall) = (0.8 * self.style.size, 0.25 * self.style.size);
        let (x, y) = self.at;
        if self.style.up {
            // Turned to read upwards: the start is at the bottom.
            ((x - rise, y + before - long), (x + fall, y + before))
        } else {
            ((x - before, y - rise), (x - before + long, y + fall))
        }
    }

    pub(super) fn put(&self, svg: &mut Svg) {
        svg.text(self.at, self.words, self.style);
    }
}

/// Whether two frames leave a point of paper between them.
pub(super) fn apart(a: &Frame, b: &Frame) -> bool {
    let (gap, ((ax0, ay0), (ax1, ay1)), ((bx0, by0), (bx1, by1))) = (1.0, a, b);
    ax1 + gap < *bx0 || bx1 + gap < *ax0 || ay1 + gap < *by0 || by1 + gap < *ay0
}

/// Whether a frame lies inside another.
pub(super) fn within(frame: &Frame, room: &Frame) -> bool {
    frame.0.0 >= room.0.0 && frame.0.1 >= room.0.1 && frame.1.0 <= room.1.0 && frame.1.1 <= room.1.1
}

pub(super) fn grown(frame: &Frame, by: f64) -> Frame {
    let (low, high) = *frame;
    ((low.0 - by, low.1 - by), (high.0 + by, high.1 + by))
}

pub(super) fn holds(frame: &Frame, p: Place) -> bool {
    let (low, high) = *frame;
    (low.0..=high.0).contains(&p.0) && (low.1..=high.1).contains(&p.1)
}

pub(super) fn distance(a: Place, b: Place) -> f64 {
    let (x, y) = (a.0 - b.0, a.1 - b.1);
    (x * x + y * y).sqrt()
}

/// From a frame to a place outside it.
pub(super) fn off_frame(frame: &Frame, p: Place) -> f64 {
    let (low, high) = *frame;
    distance(p, (p.0.clamp(low.0, high.0), p.1.clamp(low.1, high.1)))
}

/// Whether a stretch passes through a frame.
pub(super) fn crosses(a: Place, b: Place, frame: &Frame) -> bool {
    let (low, high) = *frame;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (p, d, l, h) in [
        (a.0, b.0 - a.0, low.0, high.0),
        (a.1, b.1 - a.1, low.1, high.1),
    ] {
        if d == 0.0 {
            if p < l || p > h {
                return false;
            }
        } else {
            let (one, two) = ((l - p) / d, (h - p) / d);
            from = from.max(one.min(two));
            to = to.min(one.max(two));
        }
    }
    from <= to
}

/// Points along a line, about `step` apart.
pub(super) fn dense(line: &[Place], step: f64) -> Vec<Place> {
    let mut all = Vec::new();
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let long = (b.0 - a.0).abs().max((b.1 - a.1).abs());
        let parts = (long / step).ceil().max(1.0);
        let mut k = 0.0;
        while k < parts {
            let t = k / parts;
            all.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
            k += 1.0;
        }
    }
    all.extend(line.last());
    all
}

/// A curve on the paper: the stretches of it that exist.
pub(super) type Curve = Vec<Vec<Place>>;

/// What a word pays for passing over a curve, for each stretch: more than any way along its own.
const OVER_CURVE: f64 = 60.0;
/// The same for a thin rule that a word with a rim may stand on.
const OVER_RULE: f64 = 8.0;
/// For being nearer to another curve than to its own.
const MISREAD: f64 = 150.0;
/// For each point away from where the word stands best.
const AWAY: f64 = 0.12;
/// From a curve to its name.
const GAP: f64 = 4.0;
/// From one place tried to the next.
const STEP: f64 = 4.0;

/// The words and lines that stand already.
pub(super) struct Paper {
    room: Frame,
    taken: Vec<Frame>,
    curves: Vec<Curve>,
    rules: Vec<Curve>,
}

impl Paper {
    pub(super) const fn new(room: Frame) -> Self {
        Self {
            room,
            taken: Vec::new(),
            curves: Vec::new(),
            rules: Vec::new(),
        }
    }

    /// A curve that no word may stand on.
    pub(super) fn curve(&mut self, curve: Curve) -> usize {
        self.curves.push(curve);
        self.curves.len() - 1
    }

    /// A thin line that words keep off where they can.
    pub(super) fn rule(&mut self, line: Vec<Place>) {
        self.rules.push(vec![line]);
    }

    /// Room that is taken.
    pub(super) fn take(&mut self, frame: Frame) {
        self.taken.push(frame);
    }

    /// The cheapest of some places for a word, put down; of equals the first.
    pub(super) fn best<'w>(
        &mut self,
        svg: &mut Svg,
        tries: impl Iterator<Item = (f64, Word<'w>)>,
    ) -> bool {
        let mut best: Option<(f64, Word<'w>)> = None;
        for (cost, word) in tries {
            let frame = word.frame();
            // Two names in a row need a blank between them.
            let wide = grown(&frame, 2.0);
            if !within(&frame, &self.room) || !self.taken.iter().all(|t| apart(t, &wide)) {
                continue;
            }
            let near = grown(&frame, 1.0);
            let cost = cost
                + OVER_CURVE * over(&self.curves, &near)
                + OVER_RULE * over(&self.rules, &near);
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, word));
            }
        }
        let Some((_, word)) = best else { return false };
        word.put(svg);
        self.take(word.frame());
        true
    }

    /// The name of a curve beside one of `along`, as near `wish` as may be. A name with no free
    /// place is left out: a heap of words names nothing.
    pub(super) fn name(
        &mut self,
        svg: &mut Svg,
        own: usize,
        along: &[Place],
        wish: Place,
        (words, style): (&str, Type),
    ) {
        let others: Vec<Place> = self
            .curves
            .iter()
            .enumerate()
            .filter(|(k, _)| *k != own)
            .flat_map(|(_, curve)| curve.iter().flat_map(|line| dense(line, 3.0)))
            .collect();
        let set = |anchor| Type { anchor, ..style };
        let level = 0.3 * style.size;
        let tries: Vec<(f64, Word<'_>)> = dense(along, STEP)
            .into_iter()
            .flat_map(|p| {
                // Right and left first, because words lie.
                [
                    (0.0, Anchor::Start, (p.0 + GAP, p.1 + level)),
                    (0.5, Anchor::End, (p.0 - GAP, p.1 + level)),
                    (1.0, Anchor::Start, (p.0 + GAP, p.1 - GAP)),
                    (1.0, Anchor::Start, (p.0 + GAP, p.1 + GAP + 2.0 * level)),
                    (1.0, Anchor::End, (p.0 - GAP, p.1 - GAP)),
                    (1.0, Anchor::End, (p.0 - GAP, p.1 + GAP + 2.0 * level)),
                    (1.5, Anchor::Middle, (p.0, p.1 - GAP)),
                    (1.5, Anchor::Middle, (p.0, p.1 + GAP + 2.0 * level)),
                ]
                .map(|(cost, anchor, at)| {
                    let style = set(anchor);
                    let word = Word { words, style, at };
                    let frame = word.frame();
                    let mine = off_frame(&frame, p);
                    let misread = others.iter().any(|q| off_frame(&frame, *q) < mine);
                    let cost =
                        cost + AWAY * distance(p, wish) + if misread { MISREAD } else { 0.0 };
                    (cost, word)
                })
            })
            .collect();
        self.best(svg, tries.into_iter());
    }
}

/// How many of some curves pass through a frame.
fn over(curves: &[Curve], frame: &Frame) -> f64 {
    curves
        .iter()
        .filter(|curve| {
            curve
                .iter()
                .any(|line| line.windows(2).any(|pair| crosses(pair[0], pair[1], frame)))
        })
        .count() as f64
}
