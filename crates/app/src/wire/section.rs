//! A run over a section on the wire. Places are in millimetres in the frame of the section.

use std::time::Duration;

use casewright_physics::medium::Caution;
use casewright_physics::run::PlaneRun;
use casewright_physics::setup::PlanePoint;
use casewright_terms::{Composition, Length, WeightPercent};
use serde::Serialize;

use super::diag::{CautionLine, RemarkLine, cautions, remarks};
use super::number;
use super::steel::Contents;
use crate::cli::section::{Ways, solved};
use crate::setup_file::MapWish;

/// What an answer is made from.
pub(crate) struct Given<'r> {
    pub(crate) kind: &'static str,
    pub(crate) run: &'r PlaneRun,
    pub(crate) wish: &'r MapWish,
    pub(crate) lines: &'r [WeightPercent],
    pub(crate) ways: &'r Ways,
    pub(crate) composition: &'r Composition,
    pub(crate) cautions: &'r [Caution],
    pub(crate) wall: Duration,
}

/// The answer of `simulate` for a section.
#[derive(Debug, Serialize)]
pub(crate) struct Map {
    section: &'static str,
    /// Which part of it the raster and the lines hold: `quarter`, `half` or `whole`.
    solved: &'static str,
    mirror_x_mm: Option<f64>,
    mirror_y_mm: Option<f64>,
    x_mm: Vec<f64>,
    y_mm: Vec<f64>,
    /// Row after row of `y_mm`, column after column of `x_mm`; `null` where there is no steel.
    carbon_wt_pct: Vec<Vec<Option<f64>>>,
    contours: Vec<Contour>,
    outline: Vec<Stretch>,
    depth_to_wt_pct: f64,
    depth_least_mm: Option<f64>,
    depth_greatest_mm: Option<f64>,
    depths: Vec<DepthLine>,
    necks: Vec<Neck>,
    carbon_greatest_wt_pct: f64,
    carbon_least_wt_pct: f64,
    /// Of the part that is solved.
    carbon_uptake_g_m: f64,
    treated_mm: f64,
    balance_error: f64,
    steps: usize,
    steps_refused: usize,
    points: usize,
    wall_s: f64,
    composition_wt_pct: Contents,
    remarks: Vec<RemarkLine>,
    cautions: Vec<CautionLine>,
    sources: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct Contour {
    carbon_wt_pct: f64,
    lines: Vec<Vec<[f64; 2]>>,
}

#[derive(Debug, Serialize)]
struct Stretch {
    treated: bool,
    points_mm: Vec<[f64; 2]>,
}

#[derive(Debug, Serialize)]
struct DepthLine {
    path: &'static str,
    from_mm: [f64; 2],
    towards_mm: [f64; 2],
    surface_carbon_wt_pct: Option<f64>,
    /// To the nearest treated surface.
    depth_mm: Option<f64>,
    along_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Neck {
    path: &'static str,
    from_mm: [f64; 2],
    to_mm: [f64; 2],
    carbon_least_wt_pct: f64,
    /// From the first end.
    at_mm: f64,
}

fn mm(length: Length) -> f64 {
    number(length.to_mm())
}

fn bare_mm(length_m: f64) -> f64 {
    mm(Length::from_m(length_m))
}

fn spots(points_m: &[[f64; 2]]) -> Vec<[f64; 2]> {
    points_m.iter().map(|point| point.map(bare_mm)).collect()
}

fn spot(point: PlanePoint) -> [f64; 2] {
    [mm(point.x), mm(point.y)]
}

fn wt_pct(carbon: WeightPercent) -> f64 {
    number(carbon.to_wt_pct())
}

impl Map {
    /// From a run and what was read off it.
    pub(crate) fn of(given: &Given<'_>) -> Self {
        let run = given.run;
        let depths = run.depth_range(given.wish.depth_to);
        let (x_mm, y_mm, carbon) = raster(run, given.wish.points);
        Self {
            section: given.kind,
            solved: solved(run),
            mirror_x_mm: run.mirror_x_m.map(bare_mm),
            mirror_y_mm: run.mirror_y_m.map(bare_mm),
            x_mm,
            y_mm,
            carbon_wt_pct: carbon,
            contours: given.lines.iter().map(|line| contour(run, *line)).collect(),
            outline: run
                .outline
                .iter()
                .map(|piece| Stretch {
                    treated: piece.treated,
                    points_mm: spots(&piece.points_m),
                })
                .collect(),
            depth_to_wt_pct: wt_pct(given.wish.depth_to),
            depth_least_mm: depths.map(|(least, _)| mm(least)),
            depth_greatest_mm: depths.map(|(_, greatest)| mm(greatest)),
            depths: depth_lines(given.ways),
            necks: necks(given.ways),
            carbon_greatest_wt_pct: wt_pct(run.greatest().0),
            carbon_least_wt_pct: wt_pct(run.least().0),
            carbon_uptake_g_m: number(run.uptake_g_m),
            treated_mm: bare_mm(run.treated_m),
            balance_error: number(run.balance_error),
            steps: run.steps,
            steps_refused: run.refused,
            points: run.points_m.len(),
            wall_s: number(given.wall.as_secs_f64()),
            composition_wt_pct: Contents::of(given.composition),
            remarks: remarks(&run.remarks),
            cautions: cautions(given.cautions),
            sources: run.sources.clone(),
        }
    }
}

/// The raster, with as many points along the longer side as were asked for and the same pitch
/// along the other.
fn raster(run: &PlaneRun, points: usize) -> (Vec<f64>, Vec<f64>, Vec<Vec<Option<f64>>>) {
    let [low, high] = run.window_m;
    let sides = [high[0] - low[0], high[1] - low[1]];
    let longer = sides[0].max(sides[1]);
    let [columns, rows] = sides.map(|side| (points as f64 * side / longer).round() as usize);
    let raster = run.raster(columns, rows);
    let carbon = raster
        .carbon_wt_pct
        .chunks(raster.x_m.len())
        .zip(raster.inside.chunks(raster.x_m.len()))
        .map(|(carbon, inside)| {
            carbon
                .iter()
                .zip(inside)
                .map(|(carbon, inside)| inside.then(|| number(*carbon)))
                .collect()
        })
        .collect();
    let places = |values_m: &[f64]| values_m.iter().map(|v| bare_mm(*v)).collect();
    (places(&raster.x_m), places(&raster.y_m), carbon)
}

fn contour(run: &PlaneRun, carbon: WeightPercent) -> Contour {
    Contour {
        carbon_wt_pct: wt_pct(carbon),
        lines: run.contour(carbon).iter().map(|line| spots(line)).collect(),
    }
}

fn depth_lines(ways: &Ways) -> Vec<DepthLine> {
    ways.inward
        .iter()
        .map(|way| DepthLine {
            path: way.path.name,
            from_mm: spot(way.path.from),
            towards_mm: spot(way.path.towards),
            surface_carbon_wt_pct: way.start.map(wt_pct),
            depth_mm: way.depth.map(|(_, depth)| mm(depth)),
            along_mm: way.depth.map(|(along, _)| mm(along)),
        })
        .collect()
}

fn necks(ways: &Ways) -> Vec<Neck> {
    ways.across
        .iter()
        .map(|(path, least, at)| Neck {
            path: path.name,
            from_mm: spot(path.from),
            to_mm: spot(path.towards),
            carbon_least_wt_pct: wt_pct(*least),
            at_mm: mm(*at),
        })
        .collect()
}
