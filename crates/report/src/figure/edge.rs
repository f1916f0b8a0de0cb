//! A slice through an edge, a web or a wall, to scale, with lines of equal carbon, each named on
//! the line. The place with the most to say is drawn; what is ground off is hatched away.

use casewright_plan::outcome::{CarbonLevel, CarbonLine, Edge, EdgeKind, Prediction};
use casewright_terms::{Length, UnitSystem};

use super::axis::TICK;
use super::place::{self, Place, Word};
use super::svg::{Anchor, Ink, Pen, Svg, Type, width_of};
use crate::show;

const WIDTH: f64 = 196.0;
const HEIGHT: f64 = 236.0;
/// Room for the drawing: left, right, top, bottom.
const ROOM: (f64, f64, f64, f64) = (6.0, WIDTH - 6.0, 34.0, HEIGHT - 62.0);

/// Draws the place with the most to say; `None` where no section was run.
pub(crate) fn draw(p: &Prediction, units: UnitSystem) -> Option<String> {
    let edge = most_telling(&p.edges)?;
    let frame = Frame::of(edge)?;
    let mut svg = Svg::new(
        WIDTH,
        HEIGHT,
        "A slice through the edge, with lines of equal carbon",
    );
    steel(&mut svg, &frame, edge);
    ground(&mut svg, &frame, edge);
    for line in &edge.picture.lines {
        for piece in &line.lines_mm {
            svg.path(&frame.all(piece), pen(line.level));
        }
    }
    surface(&mut svg, &frame, edge);
    labels(&mut svg, &frame, edge);
    words(&mut svg, edge, units);
    scale(&mut svg, &frame, units);
    Some(svg.finish())
}

/// A web whose cases meet before an edge; of equals the first, which is the body's.
fn most_telling(edges: &[Edge]) -> Option<&Edge> {
    // How far the middle is on its way from the core to the case; a mere edge has no such middle.
    let met = |e: &Edge| match (e.kind, e.least_carbon_wt_pct, e.limit_carbon_wt_pct) {
        (EdgeKind::Web | EdgeKind::Wall, Some(least), Some(limit)) => least / limit,
        _ => 0.0,
    };
    // Half way to the case the middle is no tough core any more.
    let web = edges
        .iter()
        .filter(|e| met(e) > 0.5)
        .max_by(|a, b| met(a).total_cmp(&met(b)));
    web.or_else(|| edges.first())
}

/// From the section's frame to the paper: one scale both ways, y downwards on the paper.
struct Frame {
    low: [f64; 2],
    size: [f64; 2],
    per_mm: f64,
    left: f64,
}

impl Frame {
    fn of(edge: &Edge) -> Option<Self> {
        let [low, high] = edge.picture.window_mm;
        let size = [high[0] - low[0], high[1] - low[1]];
        if !(size[0] > 0.0 && size[1] > 0.0) {
            return None;
        }
        let (left, right, top, bottom) = ROOM;
        let per_mm = ((right - left) / size[0]).min((bottom - top) / size[1]);
        Some(Self {
            low,
            size,
            per_mm,
            left: (left + right - size[0] * per_mm) / 2.0,
        })
    }

    fn at(&self, p: [f64; 2]) -> (f64, f64) {
        (
            self.left + (p[0] - self.low[0]) * self.per_mm,
            ROOM.2 + (p[1] - self.low[1]) * self.per_mm,
        )
    }

    fn all(&self, line: &[[f64; 2]]) -> Vec<(f64, f64)> {
        line.iter().map(|p| self.at(*p)).collect()
    }

    fn right(&self) -> f64 {
        self.left + self.size[0] * self.per_mm
    }

    fn bottom(&self) -> f64 {
        ROOM.2 + self.size[1] * self.per_mm
    }
}

const fn pen(level: CarbonLevel) -> Pen {
    match level {
        CarbonLevel::CaseLimit => Pen::full(Ink::Steel, 1.8),
        CarbonLevel::Saturation => Pen::dashed(Ink::Note, 1.3, "5 2.5"),
        CarbonLevel::Total => Pen::dashed(Ink::Text, 0.8, "6 2 1 2"),
        CarbonLevel::Carbon => Pen::full(Ink::Faint, 0.8),
    }
}

/// The steel of a plain edge, pale; other sections are told by their outline.
fn steel(svg: &mut Svg, frame: &Frame, edge: &Edge) {
    if edge.kind != EdgeKind::Corner || edge.radius > Length::ZERO {
        return;
    }
    let (x0, y0, x1, y1) = (frame.left, ROOM.2, frame.right(), frame.bottom());
    svg.area(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)], Ink::Shade);
}

/// The stock of the flats. In the frame of an edge they run along x; the lower one is at the window's
/// edge where the whole thickness is shown.
fn ground(svg: &mut Svg, frame: &Frame, edge: &Edge) {
    let deep = edge.picture.ground.to_mm() * frame.per_mm;
    if deep <= 0.5 {
        return;
    }
    let wide = frame.right() - frame.left;
    let fine = Pen::full(Ink::Faint, 0.5);
    let cut = Pen::full(Ink::Text, 0.7);
    let mut strip = |top: f64, line: f64| {
        svg.hatch((frame.left, top), (wide, deep), 3.5, fine);
        svg.line((frame.left, line), (frame.right(), line), cut);
    };
    strip(ROOM.2, ROOM.2 + deep);
    let whole = (frame.size[1] - edge.section.to_mm()).abs() < 1e-6;
    if whole {
        strip(frame.bottom() - deep, frame.bottom() - deep);
    }
}

fn surface(svg: &mut Svg, frame: &Frame, edge: &Edge) {
    for line in &edge.picture.outline {
        let pen = if line.treated {
            Pen::full(Ink::Text, 1.8)
        } else {
            Pen::dashed(Ink::Text, 1.8, "2 2")
        };
        svg.path(&frame.all(&line.points_mm), pen);
    }
}

/// Each line's name, on the line or, where the slice is too narrow for names, beside it.
fn labels(svg: &mut Svg, frame: &Frame, edge: &Edge) {
    let lines: Vec<Named<'_>> = edge
        .picture
        .lines
        .iter()
        .map(|line| {
            let points = line
                .lines_mm
                .iter()
                .flat_map(|l| place::dense(&frame.all(l), LETTER));
            (line, points.collect())
        })
        .collect();
    let long = lines
        .iter()
        .map(|(line, _)| width_of(&name(line), TICK))
        .fold(0.0, f64::max);
    let half = lines
        .iter()
        .flat_map(|(line, _)| two_rows(line))
        .map(|row| width_of(&row, TICK))
        .fold(0.0, f64::max);
    let wide = frame.right() - frame.left;
    if wide < 2.0 * long && WIDTH - 2.0 - frame.right() >= half + BESIDE {
        beside(svg, frame, &lines);
    } else {
        on_lines(svg, frame, &lines);
    }
}

/// A line with points along it, no farther apart than a letter.
type Named<'e> = (&'e CarbonLine, Vec<Place>);

const LETTER: f64 = 3.0;
/// From the slice to a name beside it.
const BESIDE: f64 = 8.0;

/// Names on the lines, where they cover least of the others.
fn on_lines(svg: &mut Svg, frame: &Frame, lines: &[Named<'_>]) {
    let room = (
        (frame.left + 2.0, ROOM.2 - 3.0),
        (frame.right() - 2.0, frame.bottom() + 3.0),
    );
    let mut taken: Vec<place::Frame> = Vec::new();
    for (i, (line, points)) in lines.iter().enumerate() {
        let name = name(line);
        let mut best: Option<(f64, Word<'_>)> = None;
        for (x, y) in points.iter().step_by(2) {
            let word = Word {
                words: &name,
                style: Type::new(TICK, Anchor::Middle)
                    .ink(pen(line.level).ink)
                    .rim(),
                at: (*x, y + 0.33 * TICK),
            };
            let spot = word.frame();
            if !place::within(&spot, &room) {
                continue;
            }
            let on_names = taken.iter().filter(|t| !place::apart(t, &spot)).count() as f64;
            let on_lines = lines
                .iter()
                .enumerate()
                .filter(|(j, _)| *j != i)
                .flat_map(|(_, (_, others))| others)
                .filter(|p| place::holds(&spot, **p))
                .count() as f64;
            // Along the flat a name reads best; of equals the place farthest from the edge.
            let score = 1000.0 * on_names + on_lines - x / WIDTH;
            if best.as_ref().is_none_or(|b| score < b.0) {
                best = Some((score, word));
            }
        }
        let Some((_, word)) = best else { continue };
        word.put(svg);
        taken.push(word.frame());
    }
}

/// Names in two rows at the right of a narrow slice, each led to its line.
fn beside(svg: &mut Svg, frame: &Frame, lines: &[Named<'_>]) {
    let step = (frame.bottom() - ROOM.2) / lines.len().max(1) as f64;
    for (i, (line, points)) in lines.iter().enumerate() {
        let y = ROOM.2 + (i as f64 + 0.5) * step;
        // The line's run in the right half at the height of its name; a line that does not come
        // there is named where it comes nearest.
        let middle = 0.5 * (frame.left + frame.right());
        let off = |p: &Place| (p.1 - y).abs() + 3.0 * (middle - p.0).max(0.0);
        let Some(foot) = points.iter().min_by(|a, b| off(a).total_cmp(&off(b))) else {
            continue;
        };
        let ink = pen(line.level).ink;
        let left = frame.right() + BESIDE;
        svg.line(*foot, (left - 2.0, y), Pen::full(ink, 0.5));
        svg.rect((foot.0 - 1.3, foot.1 - 1.3), (2.6, 2.6), Some(ink), None);
        let rows = two_rows(line);
        let first = y + 0.33 * TICK - 0.5 * TICK * (rows.len() - 1) as f64;
        for (k, row) in rows.iter().enumerate() {
            svg.text(
                (left, first + 1.05 * TICK * k as f64),
                row,
                Type::new(TICK, Anchor::Start).ink(ink),
            );
        }
    }
}

/// A name with its carbon and what it stands for in a row each.
fn two_rows(line: &CarbonLine) -> Vec<String> {
    name(line).split(": ").map(str::to_owned).collect()
}

fn name(line: &CarbonLine) -> String {
    let carbon = format!("{:.2} wt%", line.carbon_wt_pct);
    match line.level {
        CarbonLevel::CaseLimit => format!("{carbon}: case limit"),
        CarbonLevel::Saturation => format!("{carbon}: saturated"),
        CarbonLevel::Total => format!("{carbon}: total"),
        CarbonLevel::Carbon => carbon,
    }
}

/// What place it is, above; the numbers, below.
fn words(svg: &mut Svg, edge: &Edge, units: UnitSystem) {
    let plain = Type::new(TICK, Anchor::Start);
    let head = show::clipped(&edge.feature, 30);
    svg.text((ROOM.0, 11.0), &head, plain.bold());
    let shape = match edge.kind {
        EdgeKind::Corner | EdgeKind::Keyway if edge.radius > Length::ZERO => {
            format!("edge broken {}", show::size(edge.radius, units).line())
        }
        EdgeKind::Corner | EdgeKind::Keyway => "sharp edge, as hardened".to_owned(),
        EdgeKind::Web | EdgeKind::Wall => {
            format!("{} thick", show::size(edge.section, units).line())
        }
    };
    svg.text((ROOM.0, 23.0), &shape, plain);
    for (i, row) in rows(edge, units).iter().enumerate() {
        svg.text((ROOM.0, HEIGHT - 36.0 + 11.0 * i as f64), row, plain);
    }
}

fn rows(edge: &Edge, units: UnitSystem) -> Vec<String> {
    let mut rows = vec![format!(
        "carbon: edge {:.2}, face {:.2} wt%",
        edge.surface_carbon_wt_pct, edge.face_carbon_wt_pct
    )];
    let depth = |d: Length| show::depth(d, units).line();
    match (edge.kind, edge.least_carbon_wt_pct) {
        (EdgeKind::Web | EdgeKind::Wall, Some(least)) => {
            let hardness = edge
                .middle_hardness
                .map(|hv| format!(", {}", show::vickers(hv)))
                .unwrap_or_default();
            rows.push(format!("middle: {least:.2} wt%{hardness}"));
        }
        _ => {
            if let Some(face) = edge.depth_mid_face {
                rows.push(format!("case, face: {}", depth(face)));
            }
        }
    }
    if let Some(corner) = edge.depth_corner {
        rows.push(format!("along the corner: {}", depth(corner)));
    } else if edge.picture.ground > Length::ZERO {
        rows.push(format!("hatched: {} off", depth(edge.picture.ground)));
    }
    rows
}

/// A bar of one millimetre (or forty thousandths), half or a tenth of it where the scale asks.
fn scale(svg: &mut Svg, frame: &Frame, units: UnitSystem) {
    let whole = match units {
        UnitSystem::Metric => Length::from_mm(1.0),
        UnitSystem::Inch => Length::from_in(0.040),
    };
    let share = if whole.to_mm() * frame.per_mm > 110.0 {
        0.5
    } else if whole.to_mm() * frame.per_mm < 8.0 {
        5.0
    } else {
        1.0
    };
    let long = whole * share;
    let y = HEIGHT - 51.0;
    let right = ROOM.1;
    let left = right - long.to_mm() * frame.per_mm;
    let pen = Pen::full(Ink::Text, 0.9);
    svg.line((left, y), (right, y), pen);
    for x in [left, right] {
        svg.line((x, y - 2.5), (x, y + 2.5), pen);
    }
    let words = show::depth(long, units).line();
    svg.text((left - 4.0, y + 3.0), &words, Type::new(TICK, Anchor::End));
}

/// One line for the terminal: the place and its numbers.
pub(crate) fn line(edge: &Edge, units: UnitSystem) -> String {
    let mut parts = vec![format!(
        "{:.2} wt% carbon at the edge, {:.2} on the face",
        edge.surface_carbon_wt_pct, edge.face_carbon_wt_pct
    )];
    if let (Some(saturation), Some(from)) = (edge.saturation_wt_pct, edge.quenched_from) {
        parts.push(format!(
            "the steel holds {saturation:.2} at {}",
            show::temperature(from, units).line()
        ));
    }
    if let (Some(face), Some(corner)) = (edge.depth_mid_face, edge.depth_corner) {
        parts.push(format!(
            "case {} on the face, {} along the corner",
            show::depth(face, units).line(),
            show::depth(corner, units).line()
        ));
    }
    if let (EdgeKind::Web | EdgeKind::Wall, Some(least)) = (edge.kind, edge.least_carbon_wt_pct) {
        let hardness = edge
            .middle_hardness
            .map(|hv| format!(", {}", show::vickers(hv)))
            .unwrap_or_default();
        parts.push(format!("middle {least:.2} wt%{hardness}"));
    }
    format!("{}: {}", edge.feature, parts.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn edge() -> Edge {
        let (_, report) = fixture::pawls(1);
        report.prediction.expect("planned").edges.remove(0)
    }

    #[test]
    fn a_web_whose_cases_meet_is_drawn_before_the_edge() {
        let with = |least: f64| Edge {
            feature: "rib".to_owned(),
            kind: EdgeKind::Web,
            least_carbon_wt_pct: Some(least),
            ..edge()
        };
        let drawn = |web: Edge| {
            let all = [edge(), web];
            most_telling(&all).map(|e| e.feature.clone())
        };
        assert_eq!(drawn(with(0.35)).as_deref(), Some("rib"));
        assert_eq!(drawn(with(0.16)).as_deref(), Some("edges"));
    }

    #[test]
    fn the_slice_is_to_scale_and_inside_its_room() {
        let edge = edge();
        let frame = Frame::of(&edge).expect("it has a size");
        let [low, high] = edge.picture.window_mm;
        let (a, b) = (frame.at(low), frame.at(high));
        let (wide, tall) = (
            (b.0 - a.0) / (high[0] - low[0]),
            (b.1 - a.1) / (high[1] - low[1]),
        );
        assert!((wide - tall).abs() < 1e-9, "{wide} {tall}");
        assert!(a.0 >= ROOM.0 - 1e-9 && b.0 <= ROOM.1 + 1e-9);
        assert!(a.1 >= ROOM.2 - 1e-9 && b.1 <= ROOM.3 + 1e-9);
    }

    #[test]
    fn a_narrow_web_has_its_names_beside_it() {
        let mut edge = edge();
        edge.kind = EdgeKind::Web;
        edge.picture.window_mm = [[0.0, 0.0], [1.0, 2.6]];
        let frame = Frame::of(&edge).expect("it has a size");
        let mut svg = Svg::new(WIDTH, HEIGHT, "test");
        labels(&mut svg, &frame, &edge);
        let document = svg.finish();
        let parsed = roxmltree::Document::parse(&document).expect("well formed");
        let names: Vec<(f64, &str)> = parsed
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .map(|n| {
                let x = n.attribute("x").and_then(|v| v.parse().ok());
                (x.unwrap_or(f64::NAN), n.text().unwrap_or_default())
            })
            .collect();
        for wanted in ["0.88 wt%", "saturated", "0.41 wt%", "case limit", "total"] {
            assert!(names.iter().any(|(_, words)| *words == wanted), "{wanted}");
        }
        for (x, words) in names {
            let end = x + width_of(words, TICK);
            assert!(x > frame.right() && end <= WIDTH, "{words}: {x} to {end}");
        }
    }

    #[test]
    fn names_keep_clear_of_each_other() {
        let mut edge = edge();
        // Two lines as near as a hard case brings them.
        let mut twin = edge.picture.lines[0].clone();
        twin.carbon_wt_pct = 0.80;
        twin.level = CarbonLevel::Carbon;
        for p in twin.lines_mm.iter_mut().flatten() {
            p[0] += 0.05;
            p[1] += 0.05;
        }
        edge.picture.lines.insert(1, twin);
        let frame = Frame::of(&edge).expect("it has a size");
        let mut svg = Svg::new(WIDTH, HEIGHT, "test");
        labels(&mut svg, &frame, &edge);
        let document = svg.finish();
        let places: Vec<(f64, f64)> = roxmltree::Document::parse(&document)
            .expect("well formed")
            .descendants()
            .filter(|n| n.has_tag_name("text") && n.attribute("aria-hidden").is_none())
            .map(|n| {
                let read = |key| {
                    n.attribute(key)
                        .and_then(|v| v.parse().ok())
                        .unwrap_or(f64::NAN)
                };
                (read("x"), read("y"))
            })
            .collect();
        assert_eq!(places.len(), 4, "every line has its name");
        for (i, a) in places.iter().enumerate() {
            for b in &places[..i] {
                // A line of letters high, or a name wide.
                let apart = (a.1 - b.1).abs() > TICK || (a.0 - b.0).abs() > 60.0;
                assert!(apart, "{places:?}");
            }
        }
    }
}
