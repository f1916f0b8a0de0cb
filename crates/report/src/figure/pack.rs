//! The pack, to scale: plan view and side view, parts numbered, test pieces as filled triangles,
//! distances dimensioned like a shop drawing.

use casewright_plan::outcome::{PackLayout, Placed};
use casewright_terms::{Length, UnitSystem};

use super::axis::{LABEL, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};

/// Half a page wide; the facts stand beside it.
const WIDTH: f64 = 266.0;
const MARGIN_LEFT: f64 = 24.0;
const MARGIN_RIGHT: f64 = 8.0;
/// Greatest scale, points of paper per millimetre of box.
const SCALE_MAX: f64 = 1.5;
/// Room for both views, one above the other.
const HEIGHT_MAX: f64 = 330.0;

/// One view: which axes of the box run across and up the paper, and where it stands.
struct View {
    /// Paper position of the inside corner, lower left.
    origin: (f64, f64),
    scale: f64,
    /// Axis that runs up the paper: 0 is x (width), 2 is z (height).
    up: usize,
}

impl View {
    /// Paper rectangle (upper left corner, size) of a brick.
    fn brick(&self, at: [Length; 3], size: [Length; 3]) -> ((f64, f64), (f64, f64)) {
        let (w, h) = (
            size[1].to_mm() * self.scale,
            size[self.up].to_mm() * self.scale,
        );
        let x = self.origin.0 + at[1].to_mm() * self.scale;
        let y = self.origin.1 - at[self.up].to_mm() * self.scale - h;
        ((x, y), (w, h))
    }
}

/// Both views, or `None` where the box has no size.
pub(crate) fn draw(pack: &PackLayout, units: UnitSystem) -> Option<String> {
    // Inside is width, height, length in the layout; places are x (width), y (length), z (height).
    let [width, height, length] = pack.inside;
    if width <= Length::ZERO || height <= Length::ZERO || length <= Length::ZERO {
        return None;
    }
    let wall = pack.wall.to_mm();
    let gaps = 38.0 + 44.0 + 30.0;
    let scale = ((WIDTH - MARGIN_LEFT - MARGIN_RIGHT) / (length.to_mm() + 2.0 * wall))
        .min((HEIGHT_MAX - gaps) / (width.to_mm() + height.to_mm() + 4.0 * wall))
        .min(SCALE_MAX);
    let plan_bottom = 38.0 + (width.to_mm() + wall) * scale;
    let side_bottom = plan_bottom + 44.0 + (wall * 2.0 + height.to_mm()) * scale;
    let total_height = side_bottom + wall * scale + 26.0;
    let mut svg = Svg::new(
        WIDTH,
        total_height,
        "The pack in the box, plan view and side view",
    );
    let left = MARGIN_LEFT + wall * scale;
    let plan = View {
        origin: (left, plan_bottom),
        scale,
        up: 0,
    };
    let side = View {
        origin: (left, side_bottom),
        scale,
        up: 2,
    };
    shell(&mut svg, &plan, pack, true);
    contents(&mut svg, &plan, pack);
    shell(&mut svg, &side, pack, false);
    contents(&mut svg, &side, pack);
    dimensions(&mut svg, &plan, &side, pack, units);
    title(&mut svg, left, 9.0, "Plan view, from above, lid off");
    let side_top = side_bottom - (height.to_mm() + 2.0 * wall) * scale;
    title(
        &mut svg,
        left,
        side_top - 8.0,
        "Side view, cut along the length",
    );
    if !pack.coupons.is_empty() {
        let y = total_height - 4.0;
        triangle(&mut svg, (left + 4.0, y - 3.0), 4.5);
        svg.text(
            (left + 12.0, y),
            "test piece",
            Type::new(TICK, Anchor::Start),
        );
    }
    Some(svg.finish())
}

fn title(svg: &mut Svg, x: f64, y: f64, words: &str) {
    svg.text((x, y), words, Type::new(LABEL, Anchor::Start).bold());
}

/// Walls, and the lid in the side view; dots stand for the compound.
fn shell(svg: &mut Svg, view: &View, pack: &PackLayout, plan: bool) {
    let [width, height, length] = pack.inside;
    let wall = pack.wall;
    let tall = if plan { width } else { height };
    let inside_at = (view.origin.0, view.origin.1 - tall.to_mm() * view.scale);
    let inside = (length.to_mm() * view.scale, tall.to_mm() * view.scale);
    let t = wall.to_mm() * view.scale;
    let (outer_at, outer) = if plan {
        (
            (inside_at.0 - t, inside_at.1 - t),
            (inside.0 + 2.0 * t, inside.1 + 2.0 * t),
        )
    } else {
        (
            (inside_at.0 - t, inside_at.1),
            (inside.0 + 2.0 * t, inside.1 + t),
        )
    };
    svg.rect(
        outer_at,
        outer,
        Some(Ink::Shade),
        Some(Pen::full(Ink::Text, 1.0)),
    );
    svg.rect(
        inside_at,
        inside,
        Some(Ink::Paper),
        Some(Pen::full(Ink::Text, 0.8)),
    );
    dots(svg, inside_at, inside);
    if !plan {
        // The lid lies over the walls; the clay seals the seam, never gas-tight.
        let lid = (
            (outer_at.0 - 3.0, inside_at.1 - t - 1.0),
            (outer.0 + 6.0, t + 1.0),
        );
        svg.rect(
            lid.0,
            lid.1,
            Some(Ink::Shade),
            Some(Pen::full(Ink::Text, 1.0)),
        );
    }
}

/// A sparse, regular dotting.
fn dots(svg: &mut Svg, at: (f64, f64), size: (f64, f64)) {
    let pen = Pen::dashed(Ink::Faint, 0.8, "0.8 8.2");
    let mut y = at.1 + 5.0;
    let mut odd = false;
    while y < at.1 + size.1 - 2.0 {
        let shift = if odd { 8.5 } else { 4.0 };
        svg.line((at.0 + shift, y), (at.0 + size.0 - 2.0, y), pen);
        odd = !odd;
        y += 6.5;
    }
}

/// Far things first, so that near ones cover them.
fn contents(svg: &mut Svg, view: &View, pack: &PackLayout) {
    let depth_axis = if view.up == 0 { 2 } else { 0 };
    let mut all: Vec<(&Placed, bool)> = pack
        .parts
        .iter()
        .map(|p| (p, false))
        .chain(pack.coupons.iter().map(|c| (c, true)))
        .collect();
    let near = |p: &Placed| {
        let value = p.at[depth_axis].to_mm() + p.size[depth_axis].to_mm();
        // From above the highest is nearest; from the side the lowest x is.
        if depth_axis == 2 {
            value
        } else {
            -p.at[depth_axis].to_mm()
        }
    };
    all.sort_by(|a, b| near(a.0).total_cmp(&near(b.0)));
    for (placed, _) in &all {
        let (at, size) = view.brick(placed.at, placed.size);
        let pen = Pen::full(Ink::Text, 1.1);
        let axis = longest(placed);
        let end_on = placed.round && axis == depth_axis;
        if end_on {
            let centre = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
            svg.ellipse(centre, (size.0 / 2.0, size.1 / 2.0), pen);
        } else {
            svg.rect(at, size, Some(Ink::Paper), Some(pen));
            if placed.round {
                centre_line(svg, at, size);
            }
        }
    }
    // Marks from the nearest backwards: what stands behind another keeps its mark for the other view.
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (placed, coupon) in all.into_iter().rev() {
        let (at, size) = view.brick(placed.at, placed.size);
        let centre = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
        let free = taken
            .iter()
            .all(|t| (t.0 - centre.0).abs() > 9.0 || (t.1 - centre.1).abs() > 9.0);
        if free {
            mark(svg, at, size, &placed.mark, coupon);
            taken.push(centre);
        }
    }
}

fn longest(p: &Placed) -> usize {
    (0..3)
        .max_by(|a, b| p.size[*a].to_mm().total_cmp(&p.size[*b].to_mm()))
        .unwrap_or(0)
}

fn centre_line(svg: &mut Svg, at: (f64, f64), size: (f64, f64)) {
    let pen = Pen::dashed(Ink::Faint, 0.5, "8 2 2 2");
    if size.0 >= size.1 {
        let y = at.1 + size.1 / 2.0;
        svg.line((at.0 - 3.0, y), (at.0 + size.0 + 3.0, y), pen);
    } else {
        let x = at.0 + size.0 / 2.0;
        svg.line((x, at.1 - 3.0), (x, at.1 + size.1 + 3.0), pen);
    }
}

/// The number in a part; a filled triangle with its mark at a test piece.
fn mark(svg: &mut Svg, at: (f64, f64), size: (f64, f64), words: &str, coupon: bool) {
    let centre = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
    if coupon {
        let r = (size.0.min(size.1) / 2.2).clamp(3.0, 7.0);
        triangle(svg, centre, r);
        let y = if size.1 > 24.0 {
            centre.1 + r + 9.0
        } else {
            at.1 + size.1 + 8.5
        };
        svg.text(
            (centre.0, y),
            &crate::show::clipped(words, 12),
            Type::new(8.0, Anchor::Middle).bold().rim(),
        );
        return;
    }
    let mut type_size = 12.0_f64;
    while type_size > 6.0 && (width_of(words, type_size) > size.0 - 2.0 || type_size > size.1 - 1.0)
    {
        type_size -= 1.0;
    }
    if width_of(words, type_size) <= size.0 && type_size <= size.1 + 1.0 {
        svg.text(
            (centre.0, centre.1 + type_size * 0.36),
            words,
            Type::new(type_size, Anchor::Middle).bold(),
        );
    }
}

fn triangle(svg: &mut Svg, c: (f64, f64), r: f64) {
    svg.area(
        &[
            (c.0, c.1 - r),
            (c.0 + r * 0.95, c.1 + r * 0.75),
            (c.0 - r * 0.95, c.1 + r * 0.75),
        ],
        Ink::Text,
    );
}

fn dimensions(svg: &mut Svg, plan: &View, side: &View, pack: &PackLayout, units: UnitSystem) {
    let [width, height, length] = pack.inside;
    let t = pack.wall.to_mm() * plan.scale;
    let right = plan.origin.0 + length.to_mm() * plan.scale;
    let text = |l: Length| format!("{} ({})", l.size_text(units), other(l, units));
    // Length above the plan view, width and height at the left.
    let top = plan.origin.1 - width.to_mm() * plan.scale - t - 6.0;
    svg.dimension((plan.origin.0, top), (right, top), &text(length), TICK);
    let x = plan.origin.0 - t - 8.0;
    svg.dimension(
        (x, plan.origin.1),
        (x, plan.origin.1 - width.to_mm() * plan.scale),
        &width.size_text(units),
        TICK,
    );
    svg.dimension(
        (x, side.origin.1),
        (x, side.origin.1 - height.to_mm() * side.scale),
        &height.size_text(units),
        TICK,
    );
    covers(svg, plan, side, pack, units);
}

fn other(l: Length, units: UnitSystem) -> String {
    l.size_text(units.other())
}

/// Under and over the parts, and the nearest distances to the end wall and between pieces.
fn covers(svg: &mut Svg, plan: &View, side: &View, pack: &PackLayout, units: UnitSystem) {
    let [_, height, _] = pack.inside;
    let all = || pack.parts.iter().chain(&pack.coupons);
    let low = all().map(|p| p.at[2].to_mm()).fold(f64::INFINITY, f64::min);
    let high = all()
        .map(|p| p.at[2].to_mm() + p.size[2].to_mm())
        .fold(0.0_f64, f64::max);
    if !low.is_finite() {
        return;
    }
    let x = side.origin.0 + quiet_place(pack, 34.0 / side.scale) * side.scale;
    let y = |mm: f64| side.origin.1 - mm * side.scale;
    for (a, b) in [(0.0, low), (high, height.to_mm())] {
        if b - a > 0.5 {
            let words = Length::from_mm(b - a).size_text(units);
            svg.dimension((x, y(a)), (x, y(b)), "", TICK);
            svg.text(
                (x - 5.0, (y(a) + y(b)) / 2.0 + 3.0),
                &words,
                Type::new(TICK, Anchor::End).rim(),
            );
        }
    }
    if let Some((a, b, up)) = nearest_pair(pack) {
        let x = |mm: f64| plan.origin.0 + mm * plan.scale;
        let y = plan.origin.1 - up * plan.scale;
        for end in [a, b] {
            svg.line(
                (x(end), y - 8.0),
                (x(end), y + 3.0),
                Pen::full(Ink::Faint, 0.5),
            );
        }
        svg.dimension((x(a), y), (x(b), y), "", TICK);
        svg.text(
            ((x(a) + x(b)) / 2.0, y + 11.0),
            &Length::from_mm(b - a).size_text(units),
            Type::new(TICK, Anchor::Middle).rim(),
        );
    }
}

/// Where along the length, mm, a dimension with `room` for its words on the left stands farthest
/// from every piece.
fn quiet_place(pack: &PackLayout, room: f64) -> f64 {
    let length = pack.inside[2].to_mm();
    let distance = |x: f64| {
        pack.parts
            .iter()
            .chain(&pack.coupons)
            .map(|p| {
                let (from, to) = (p.at[1].to_mm(), p.at[1].to_mm() + p.size[1].to_mm());
                (from - x).max(x - room - to)
            })
            .fold(length, f64::min)
    };
    let mut best = length - 6.0;
    if best <= room + 4.0 {
        return best;
    }
    for i in 0..=24 {
        let x = (room + 4.0) + (length - 6.0 - room - 4.0) * f64::from(i) / 24.0;
        if distance(x) > distance(best) + 1.0 {
            best = x;
        }
    }
    best
}

/// The narrowest gap along the length between two parts that face each other: from, to (along
/// the length) and where across (just outside both), millimetres.
fn nearest_pair(pack: &PackLayout) -> Option<(f64, f64, f64)> {
    let mut best: Option<(f64, f64, f64)> = None;
    for a in &pack.parts {
        for b in &pack.parts {
            let from = a.at[1].to_mm() + a.size[1].to_mm();
            let to = b.at[1].to_mm();
            let low = a.at[0].to_mm().max(b.at[0].to_mm());
            let high = (a.at[0] + a.size[0])
                .to_mm()
                .min((b.at[0] + b.size[0]).to_mm());
            let under = low - 5.0;
            let better = best.is_none_or(|(f, t, u)| {
                to - from < t - f - 1e-9 || (to - from < t - f + 1e-9 && under < u)
            });
            if to > from + 0.5 && high > low && better {
                best = Some((from, to, under));
            }
        }
    }
    best
}
