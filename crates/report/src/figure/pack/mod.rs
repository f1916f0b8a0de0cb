//! The pack, to scale: plan view and side view, parts numbered, test pieces as filled triangles,
//! the couple's place, distances dimensioned like a shop drawing.
//!
//! Here are the views, the box and what lies in it; `labels` sets the marks so that none covers
//! another, `dims` the distances.

use casewright_plan::outcome::{PackHeat, PackLayout, Placed};
use casewright_terms::{Length, UnitSystem};

use super::axis::{LABEL, TICK};
use super::svg::{Anchor, Ink, Pen, Svg, Type};

mod dims;
mod ends;
mod labels;

use ends::Ends;
use labels::Labels;

/// Half a page wide; the facts stand beside it.
const WIDTH: f64 = 266.0;
const MARGIN_LEFT: f64 = 24.0;
/// Room for the distance to the side wall, outside the box.
const MARGIN_RIGHT: f64 = 46.0;
/// Greatest scale, points of paper per millimetre of box.
const SCALE_MAX: f64 = 1.5;
/// Room for both views, one above the other.
const HEIGHT_MAX: f64 = 318.0;
/// Above the plan view: its title and the length.
const ABOVE_PLAN: f64 = 38.0;
/// Between the views: distance to the end wall, door and back, title.
const BETWEEN: f64 = 46.0;
/// Below the side view: the signs explained, two lines.
const BELOW: f64 = 34.0;
/// One line more, where the parts with the least and the greatest case are marked.
const ENDS_LINE: f64 = 11.0;
/// How far the compound may settle in a heat, of its height: the greatest shrinkage of a run.
/// [trade-practice]
const SETTLES: f64 = 0.15;

/// One view: which axes of the box run across and up the paper, and where it stands.
struct View {
    /// Paper position of the inside corner, lower left.
    origin: (f64, f64),
    /// Inside length and height on paper.
    inside: (f64, f64),
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

    /// The axis that runs into the paper.
    fn depth(&self) -> usize {
        if self.up == 0 { 2 } else { 0 }
    }

    /// The greater, the nearer to the eye: from above the highest, from the side the lowest x.
    fn near(&self, p: &Placed) -> f64 {
        let axis = self.depth();
        if axis == 2 {
            (p.at[axis] + p.size[axis]).to_mm()
        } else {
            -p.at[axis].to_mm()
        }
    }
}

/// Both views, or `None` where the box has no size.
pub(crate) fn draw(
    pack: &PackLayout,
    heat: Option<&PackHeat>,
    units: UnitSystem,
) -> Option<String> {
    let ends = heat.and_then(Ends::of);
    let below = BELOW + if ends.is_some() { ENDS_LINE } else { 0.0 };
    // Inside is width, height, length in the layout; places are x (width), y (length), z (height).
    let [width, height, length] = pack.inside.map(Length::to_mm);
    if width <= 0.0 || height <= 0.0 || length <= 0.0 {
        return None;
    }
    let wall = pack.wall.to_mm();
    let scale = ((WIDTH - MARGIN_LEFT - MARGIN_RIGHT) / (length + 2.0 * wall))
        .min((HEIGHT_MAX - ABOVE_PLAN - BETWEEN - below) / (width + height + 4.0 * wall))
        .min(SCALE_MAX);
    let plan_bottom = ABOVE_PLAN + (width + wall) * scale;
    let side_bottom = plan_bottom + BETWEEN + (wall * 2.0 + height) * scale;
    let total_height = side_bottom + wall * scale + below;
    let mut svg = Svg::new(
        WIDTH,
        total_height,
        "The pack in the box, plan view and side view",
    );
    let left = MARGIN_LEFT + wall * scale;
    let view = |bottom: f64, tall: f64, up: usize| View {
        origin: (left, bottom),
        inside: (length * scale, tall * scale),
        scale,
        up,
    };
    let plan = view(plan_bottom, width, 0);
    let side = view(side_bottom, height, 2);
    shell(&mut svg, &plan, pack, true);
    shell(&mut svg, &side, pack, false);
    settling(&mut svg, &side);
    let mut all_marked = true;
    let mut marked = [false; 2];
    for view in [&plan, &side] {
        let hidden = contents(&mut svg, view, pack);
        let mut taken = Labels::inside(view);
        if view.up == 0 {
            dims::between(&mut svg, view, pack, units, &mut taken);
        } else {
            dims::under_and_over(&mut svg, view, pack, units, &mut taken);
        }
        all_marked &= taken.marks(&mut svg, view, pack, &hidden) || view.up == 2;
        couple(&mut svg, view, pack);
        if let Some(ends) = &ends {
            let new = ends.mark(&mut svg, view, pack, &hidden);
            marked = [marked[0] || new[0], marked[1] || new[1]];
        }
    }
    dims::box_sizes(&mut svg, &plan, &side, pack, units);
    dims::to_walls(&mut svg, &plan, pack, units);
    title(&mut svg, left, 9.0, "Plan view, from above, lid off");
    let side_top = side_bottom - (height + 2.0 * wall) * scale;
    title(
        &mut svg,
        left,
        side_top - 8.0,
        "Side view, cut along the length",
    );
    let legend_at = total_height - below + BELOW;
    legend(&mut svg, (left, legend_at), pack, all_marked);
    if let Some(ends) = &ends {
        ends.legend(&mut svg, (left, total_height), marked);
    }
    Some(svg.finish())
}

fn title(svg: &mut Svg, x: f64, y: f64, words: &str) {
    svg.text((x, y), words, Type::new(LABEL, Anchor::Start).bold());
}

/// The signs in words, and how the parts are counted where not every one shows its number.
fn legend(svg: &mut Svg, (left, bottom): (f64, f64), pack: &PackLayout, all_marked: bool) {
    let y = bottom - 15.0;
    let mut x = left;
    if !pack.coupons.is_empty() {
        triangle(svg, (x + 4.0, y - 3.0), 4.5);
        svg.text((x + 12.0, y), "test piece", Type::new(TICK, Anchor::Start));
        x += 68.0;
    }
    if pack.couple.is_some() {
        cross(svg, (x + 4.0, y - 3.0));
        svg.text((x + 12.0, y), "couple", Type::new(TICK, Anchor::Start));
        x += 54.0;
    }
    let dash = Pen::dashed(Ink::Text, 0.6, "4 2.5");
    svg.line((x, y - 3.0), (x + 14.0, y - 3.0), dash);
    svg.text(
        (x + 18.0, y),
        "settles to here",
        Type::new(TICK, Anchor::Start),
    );
    if !all_marked {
        svg.text(
            (6.0, bottom - 3.0),
            "Numbers run row by row from the door, lowest layer first.",
            Type::new(TICK - 1.0, Anchor::Start),
        );
    }
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
        for (x, out) in [(outer_at.0, -1.0), (outer_at.0 + outer.0, 1.0)] {
            let y = inside_at.1;
            let clay = [(x, y - 1.0), (x + 4.5 * out, y - 1.0), (x, y + 5.0)];
            svg.area(&clay, Ink::Faint);
        }
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

/// Down to where the compound may settle; the work must stay covered below it.
fn settling(svg: &mut Svg, side: &View) {
    let y = side.origin.1 - side.inside.1 * (1.0 - SETTLES);
    let pen = Pen::dashed(Ink::Text, 0.6, "4 2.5");
    svg.line((side.origin.0, y), (side.origin.0 + side.inside.0, y), pen);
}

/// Far things first, so that near ones cover them. Gives which pieces are covered in their middle,
/// parts first, then coupons.
fn contents(svg: &mut Svg, view: &View, pack: &PackLayout) -> Vec<bool> {
    let all: Vec<&Placed> = pack.parts.iter().chain(&pack.coupons).collect();
    let hidden: Vec<bool> = all
        .iter()
        .map(|p| {
            let (at, size) = view.brick(p.at, p.size);
            let middle = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
            all.iter().any(|other| {
                let (o, s) = view.brick(other.at, other.size);
                view.near(other) > view.near(p) + 0.1
                    && (o.0..o.0 + s.0).contains(&middle.0)
                    && (o.1..o.1 + s.1).contains(&middle.1)
            })
        })
        .collect();
    let mut order: Vec<usize> = (0..all.len()).collect();
    order.sort_by(|a, b| view.near(all[*a]).total_cmp(&view.near(all[*b])));
    for i in order {
        piece(svg, view, all[i], Pen::full(Ink::Text, 1.1), true);
    }
    // A test piece behind others shows as a hidden edge: it is looked for.
    for (i, coupon) in pack.coupons.iter().enumerate() {
        if hidden[pack.parts.len() + i] {
            piece(svg, view, coupon, Pen::dashed(Ink::Text, 0.8, "3 2"), false);
        }
    }
    hidden
}

/// A ball is round from every side, a bar only from its end.
fn piece(svg: &mut Svg, view: &View, placed: &Placed, pen: Pen, solid: bool) {
    let (at, size) = view.brick(placed.at, placed.size);
    let sides = placed.size.map(Length::to_mm);
    let ball = (sides[0] - sides[1]).abs() < 0.01 && (sides[1] - sides[2]).abs() < 0.01;
    if placed.round && (ball || longest(placed) == view.depth()) {
        let centre = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
        svg.ellipse(centre, (size.0 / 2.0, size.1 / 2.0), pen);
        return;
    }
    svg.rect(at, size, solid.then_some(Ink::Paper), Some(pen));
    if placed.round && solid {
        centre_line(svg, at, size);
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

/// Where the couple is buried.
fn couple(svg: &mut Svg, view: &View, pack: &PackLayout) {
    if let Some(at) = pack.couple {
        let (c, _) = view.brick(at, [Length::ZERO; 3]);
        cross(svg, c);
    }
}

fn cross(svg: &mut Svg, c: (f64, f64)) {
    let (pen, r) = (Pen::full(Ink::Text, 1.0), 3.2);
    svg.ellipse(c, (r, r), pen);
    let d = r * std::f64::consts::FRAC_1_SQRT_2;
    svg.line((c.0 - d, c.1 - d), (c.0 + d, c.1 + d), pen);
    svg.line((c.0 - d, c.1 + d), (c.0 + d, c.1 - d), pen);
}

#[cfg(test)]
mod tests;
