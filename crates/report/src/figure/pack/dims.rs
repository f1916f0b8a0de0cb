//! Distances, dimensioned like a shop drawing: the box, to the walls, under and over, between.

use casewright_plan::outcome::{PackLayout, Placed};
use casewright_terms::{Length, UnitSystem};

use super::super::axis::TICK;
use super::super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use super::View;
use super::labels::{Labels, Spot};

/// A faint line from a piece to the dimension that measures from it.
fn extension(svg: &mut Svg, from: (f64, f64), to: (f64, f64)) {
    svg.line(from, to, Pen::full(Ink::Faint, 0.5));
}

fn pieces(pack: &PackLayout) -> impl Iterator<Item = &Placed> {
    pack.parts.iter().chain(&pack.coupons)
}

/// A distance as a bench reads it: whole millimetres, hundredths of an inch.
fn words(mm: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{mm:.0} mm"),
        UnitSystem::Inch => format!("{:.2} in", Length::from_mm(mm).to_in()),
    }
}

/// The box: length above the plan view, width and height at the left.
pub(super) fn box_sizes(
    svg: &mut Svg,
    plan: &View,
    side: &View,
    pack: &PackLayout,
    units: UnitSystem,
) {
    let [width, height, length] = pack.inside;
    let t = pack.wall.to_mm() * plan.scale;
    let right = plan.origin.0 + plan.inside.0;
    let both = format!(
        "{} ({})",
        words(length.to_mm(), units),
        words(length.to_mm(), units.other())
    );
    let top = plan.origin.1 - plan.inside.1 - t - 6.0;
    svg.dimension((plan.origin.0, top), (right, top), &both, TICK);
    let x = plan.origin.0 - t - 8.0;
    for (view, size) in [(plan, width), (side, height)] {
        svg.dimension(
            (x, view.origin.1),
            (x, view.origin.1 - view.inside.1),
            &words(size.to_mm(), units),
            TICK,
        );
    }
}

/// From the nearest piece to the end wall at the door and to a side wall, outside the box, and
/// which end is which.
pub(super) fn to_walls(svg: &mut Svg, plan: &View, pack: &PackLayout, units: UnitSystem) {
    let t = pack.wall.to_mm() * plan.scale;
    let (left, bottom) = (plan.origin.0, plan.origin.1 + t);
    let right = left + plan.inside.0;
    let row = Type::new(TICK, Anchor::Start);
    svg.text((left - t, bottom + 22.0), "◄ door", row);
    // One end says it where both do not fit.
    if plan.inside.0 > 70.0 {
        let style = Type::new(TICK, Anchor::End);
        svg.text((right + t, bottom + 22.0), "back ►", style);
    }
    let nearest =
        |axis: usize| pieces(pack).min_by(|a, b| a.at[axis].to_m().total_cmp(&b.at[axis].to_m()));
    if let Some(end) = nearest(1) {
        let (at, size) = plan.brick(end.at, end.size);
        let y = bottom + 7.0;
        extension(svg, (at.0, at.1 + size.1 + 1.0), (at.0, y + 2.0));
        extension(svg, (left, bottom), (left, y + 2.0));
        svg.dimension((left, y), (at.0, y), "", TICK);
        svg.text((at.0 + 5.0, y + 3.0), &words(end.at[1].to_mm(), units), row);
    }
    if let Some(low) = nearest(0) {
        let (at, size) = plan.brick(low.at, low.size);
        let x = right + t + 6.0;
        let y = at.1 + size.1;
        extension(svg, (at.0 + size.0 + 1.0, y), (x + 2.0, y));
        extension(svg, (right, plan.origin.1), (x + 2.0, plan.origin.1));
        svg.dimension((x, plan.origin.1), (x, y), "", TICK);
        let middle = (plan.origin.1 + y) / 2.0 + 3.0;
        svg.text((x + 4.0, middle), &words(low.at[0].to_mm(), units), row);
    }
}

/// Compound under and over the pieces.
pub(super) fn under_and_over(
    svg: &mut Svg,
    side: &View,
    pack: &PackLayout,
    units: UnitSystem,
    taken: &mut Labels,
) {
    let height = pack.inside[1].to_mm();
    let lowest = pieces(pack).min_by(|a, b| a.at[2].to_m().total_cmp(&b.at[2].to_m()));
    let top = |p: &Placed| (p.at[2] + p.size[2]).to_mm();
    let highest = pieces(pack).max_by(|a, b| top(a).total_cmp(&top(b)));
    let (Some(lowest), Some(highest)) = (lowest, highest) else {
        return;
    };
    let low = lowest.at[2].to_mm();
    let y = |mm: f64| side.origin.1 - mm * side.scale;
    for (piece, edge, from, to) in [
        (lowest, low, 0.0, low),
        (highest, top(highest), top(highest), height),
    ] {
        if to - from < 0.5 {
            continue;
        }
        let text = words(to - from, units);
        let room = width_of(&text, TICK);
        let (at, size) = side.brick(piece.at, piece.size);
        let middle = (y(from) + y(to)) / 2.0;
        // Over or under the piece itself, its words to the right of the line, to the left of it,
        // or beside the piece with an extension line.
        let ends = (side.origin.0 + 8.0, side.origin.0 + side.inside.0 - 8.0);
        let xs = [
            at.0 + size.0 / 2.0,
            at.0 + size.0 + 6.0,
            at.0 - 6.0,
            ends.1,
            ends.0,
        ];
        let spot = xs
            .into_iter()
            .flat_map(|x| [(x, 1.0), (x, -1.0)])
            .find(|(x, way)| {
                let centre = (x + way * (room / 2.0 + 5.0), middle);
                let spot = Spot::words(centre, &text, TICK);
                let line = Spot(x - 1.0, y(to), x + 1.0, y(from));
                taken.is_free(&spot) && taken.is_free(&line) && bare(side, pack, &spot)
            });
        let (x, way) = spot.unwrap_or((ends.1, -1.0));
        let y_edge = y(edge);
        if x < at.0 || x > at.0 + size.0 {
            let near = if x < at.0 { at.0 } else { at.0 + size.0 };
            extension(svg, (near, y_edge), (x, y_edge));
        }
        svg.dimension((x, y(from)), (x, y(to)), "", TICK);
        let centre = (x + way * (room / 2.0 + 5.0), middle);
        svg.text(
            (centre.0, middle + 3.0),
            &text,
            Type::new(TICK, Anchor::Middle).rim(),
        );
        taken.take(Spot::words(centre, &text, TICK));
        taken.take(Spot(x - 1.0, y(to), x + 1.0, y(from)));
    }
}

/// Whether no piece lies under a spot.
fn bare(view: &View, pack: &PackLayout, spot: &Spot) -> bool {
    pieces(pack).all(|p| {
        let (a, s) = view.brick(p.at, p.size);
        !Spot(a.0, a.1, a.0 + s.0, a.1 + s.1).meets(spot)
    })
}

/// The narrowest gap along the length between two parts that face each other, where its words find
/// a place.
pub(super) fn between(
    svg: &mut Svg,
    plan: &View,
    pack: &PackLayout,
    units: UnitSystem,
    taken: &mut Labels,
) {
    let Some((a, b, low, high)) = nearest_pair(pack) else {
        return;
    };
    let x = |mm: f64| plan.origin.0 + mm * plan.scale;
    let y = |mm: f64| plan.origin.1 - mm * plan.scale;
    let text = words(b - a, units);
    let middle = (x(a) + x(b)) / 2.0;
    // Below the pair, or above it.
    for (line, ends) in [(y(low) + 5.0, y(low)), (y(high) - 5.0, y(high))] {
        let below = line > ends;
        let centre = (middle, if below { line + 8.0 } else { line - 8.0 });
        let spot = Spot::words(centre, &text, TICK);
        if !taken.is_free(&spot) || !bare(plan, pack, &spot) {
            continue;
        }
        for end in [x(a), x(b)] {
            extension(
                svg,
                (end, ends),
                (end, line + if below { 3.0 } else { -3.0 }),
            );
        }
        svg.dimension((x(a), line), (x(b), line), "", TICK);
        svg.text(
            (centre.0, centre.1 + 3.0),
            &text,
            Type::new(TICK, Anchor::Middle).rim(),
        );
        taken.take(spot);
        return;
    }
}

/// From and to along the length, and both edges across, millimetres.
fn nearest_pair(pack: &PackLayout) -> Option<(f64, f64, f64, f64)> {
    let mut best: Option<(f64, f64, f64, f64)> = None;
    for a in &pack.parts {
        for b in &pack.parts {
            let from = a.at[1].to_mm() + a.size[1].to_mm();
            let to = b.at[1].to_mm();
            let low = a.at[0].to_mm().max(b.at[0].to_mm());
            let high = (a.at[0] + a.size[0])
                .to_mm()
                .min((b.at[0] + b.size[0]).to_mm());
            let better = best.is_none_or(|(f, t, l, _)| {
                to - from < t - f - 1e-9 || (to - from < t - f + 1e-9 && low < l)
            });
            if to > from + 0.5 && high > low && better {
                best = Some((from, to, low, high));
            }
        }
    }
    best
}
