//! The picture of a section: its outline and lines of equal carbon, both sides of a mirror, cut to
//! the part that shows something and thinned to what a drawing can hold. Places nothing on paper.

use casewright_physics::run::PlaneRun;
use casewright_physics::setup::PlaneSection;
use casewright_terms::{Length, WeightPercent};

use super::Spot;
use crate::outcome::{CarbonLine, EdgeKind, EdgePicture, OutlineLine};

/// What a line of equal carbon stands for.
pub(super) use crate::outcome::CarbonLevel as Level;

/// A point left out moves its line by less than this: a tenth of a pen on a drawing ten times the
/// part's size.
const THIN_MM: f64 = 0.002;
/// Shorter pieces are crumbs of the cut.
const CRUMB_MM: f64 = 0.01;

type Point = [f64; 2];
type Line = Vec<Point>;

/// The picture of one run.
pub(super) fn draw(
    spot: &Spot,
    run: &PlaneRun,
    levels: &[(f64, Level)],
    reach: Length,
    ground: Length,
) -> EdgePicture {
    let window = window(spot, reach.to_mm());
    let outline = run
        .outline
        .iter()
        .flat_map(|piece| {
            shown(run, &piece.points_m, window)
                .into_iter()
                .map(|points_mm| OutlineLine {
                    treated: piece.treated,
                    points_mm,
                })
        })
        .collect();
    let lines = levels
        .iter()
        .map(|(carbon, level)| CarbonLine {
            carbon_wt_pct: *carbon,
            level: *level,
            lines_mm: run
                .contour(WeightPercent::from_wt_pct(*carbon))
                .iter()
                .flat_map(|line| shown(run, line, window))
                .collect(),
        })
        .filter(|line: &CarbonLine| !line.lines_mm.is_empty())
        .collect();
    // Stock is taken off the flats; an end is left as it is hardened.
    let ground = match spot.kind {
        EdgeKind::Corner if spot.body => ground,
        _ => Length::ZERO,
    };
    EdgePicture {
        window_mm: window,
        outline,
        lines,
        ground,
    }
}

/// Lower left and upper right of what is shown, in mm and in the section's frame.
fn window(spot: &Spot, reach: f64) -> [Point; 2] {
    let mm = Length::to_mm;
    match spot.cut {
        PlaneSection::PlateEdge { thickness, .. } => {
            let t = mm(thickness);
            // A thin plate is shown whole; of a thick one, one edge.
            let high = if t < 2.5 * reach { t } else { reach };
            [[0.0, 0.0], [1.3 * high.min(reach), high]]
        }
        PlaneSection::Web {
            thickness, height, ..
        } => {
            let half = mm(thickness) / 2.0;
            [
                [-half - 0.6 * reach, 0.0],
                [half + 0.6 * reach, mm(height) + 0.7 * reach],
            ]
        }
        PlaneSection::BoreNearWall { diameter, wall, .. } => {
            let half = (mm(diameter) / 2.0).min(1.5 * reach) + 0.3 * reach;
            [
                [-half, 0.0],
                [half, mm(wall) + half.min(mm(diameter) / 2.0)],
            ]
        }
        PlaneSection::Keyway { width, depth, .. } => {
            let half = mm(width) / 2.0 + reach;
            [[-half, 0.0], [half, mm(depth) + reach]]
        }
        PlaneSection::Rectangle { width, height, .. } => [[0.0, 0.0], [mm(width), mm(height)]],
        PlaneSection::TwoBores { web, .. } => {
            let half = mm(web) / 2.0 + reach;
            [[-half, -half], [half, half]]
        }
    }
}

/// A line of the solved side and its images behind the mirrors, cut to the window.
fn shown(run: &PlaneRun, line_m: &[Point], window: [Point; 2]) -> Vec<Line> {
    let line: Line = line_m
        .iter()
        .map(|p| p.map(|v| Length::from_m(v).to_mm()))
        .collect();
    let mut all = vec![line];
    for (axis, mirror) in [run.mirror_x_m, run.mirror_y_m].into_iter().enumerate() {
        let Some(mirror) = mirror.map(|v| Length::from_m(v).to_mm()) else {
            continue;
        };
        let images: Vec<Line> = all
            .iter()
            .map(|line| {
                let mut image = line.clone();
                for p in &mut image {
                    p[axis] = 2.0 * mirror - p[axis];
                }
                image
            })
            .collect();
        all.extend(images);
    }
    all.iter()
        .flat_map(|line| cut(line, window))
        .map(|line| thinned(&line))
        .filter(|line| length(line) > CRUMB_MM)
        .collect()
}

/// The pieces of a line inside a window.
fn cut(line: &[Point], [low, high]: [Point; 2]) -> Vec<Line> {
    let mut pieces: Vec<Line> = Vec::new();
    let mut open = false;
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for axis in 0..2 {
            let step = b[axis] - a[axis];
            let ends = [low[axis] - a[axis], high[axis] - a[axis]];
            if step == 0.0 {
                if ends[0] > 0.0 || ends[1] < 0.0 {
                    to = -1.0;
                }
                continue;
            }
            let (p, q) = (ends[0] / step, ends[1] / step);
            from = from.max(p.min(q));
            to = to.min(p.max(q));
        }
        if from >= to {
            open = false;
            continue;
        }
        let point = |t: f64| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
        match pieces.last_mut().filter(|_| open && from == 0.0) {
            Some(piece) => piece.push(point(to)),
            None => pieces.push(vec![point(from), point(to)]),
        }
        open = to == 1.0;
    }
    pieces
}

/// The line without points that do not bend it, by the rule of the farthest point.
fn thinned(line: &[Point]) -> Line {
    if line.len() < 3 {
        return line.to_vec();
    }
    let mut keep = vec![false; line.len()];
    let last = line.len() - 1;
    (keep[0], keep[last]) = (true, true);
    let mut spans = vec![(0, last)];
    while let Some((a, b)) = spans.pop() {
        let far = (a + 1..b)
            .map(|i| (off(line[i], line[a], line[b]), i))
            .fold(
                (0.0, a),
                |best, next| if next.0 > best.0 { next } else { best },
            );
        if far.0 > THIN_MM {
            keep[far.1] = true;
            spans.push((a, far.1));
            spans.push((far.1, b));
        }
    }
    line.iter()
        .zip(keep)
        .filter_map(|(p, keep)| keep.then_some(*p))
        .collect()
}

/// Distance of a point from a chord, or from its end where the chord has no length.
fn off(p: Point, a: Point, b: Point) -> f64 {
    let (along, to) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let long = (along[0] * along[0] + along[1] * along[1]).sqrt();
    if long < 1e-12 {
        (to[0] * to[0] + to[1] * to[1]).sqrt()
    } else {
        (along[0] * to[1] - along[1] * to[0]).abs() / long
    }
}

fn length(line: &[Point]) -> f64 {
    line.windows(2)
        .map(|w| {
            let (x, y) = (w[1][0] - w[0][0], w[1][1] - w[0][1]);
            (x * x + y * y).sqrt()
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_physics::numerics::fun;

    #[test]
    fn a_line_is_cut_at_the_window_and_comes_back_in() {
        // Binary fractions, so that the cuts are exact.
        let line = [
            [-0.5, 0.5],
            [0.5, 0.5],
            [1.5, 0.5],
            [2.0, 0.75],
            [0.0, 0.75],
        ];
        let pieces = cut(&line, [[0.0, 0.0], [1.0, 1.0]]);
        assert_eq!(
            pieces,
            vec![
                vec![[0.0, 0.5], [0.5, 0.5], [1.0, 0.5]],
                vec![[1.0, 0.75], [0.0, 0.75]]
            ]
        );
    }

    #[test]
    fn thinning_keeps_what_bends() {
        let arc: Line = (0..=90)
            .map(|i| {
                let angle = f64::from(i).to_radians();
                [fun::cos(angle), fun::sin(angle)]
            })
            .collect();
        let thin = thinned(&arc);
        // The sagitta of a chord is θ²/8: 0.002 mm on 1 mm allows 7.2°, so 13 chords or a few more.
        assert!((12..=26).contains(&thin.len()), "{}", thin.len());
        for p in &arc {
            let near = thin
                .windows(2)
                .map(|w| off(*p, w[0], w[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(near <= THIN_MM, "{near}");
        }
    }
}
