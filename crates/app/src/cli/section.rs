//! `simulate` for a section: carbon in two dimensions, told, put on the wire, drawn.

use std::path::Path;

use casewright_physics::run::{PlanePath, PlaneRun};
use casewright_physics::setup::PlaneSetup;
use casewright_physics::simulate;
use casewright_report::figure::plane;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Element, Length, UnitSystem, WeightPercent};

use super::simulate::{Source, beware, remarks_and_sources};
use crate::answer::{Answer, Trouble};
use crate::setup_file::{MapWish, SetupFile, section_kind};
use crate::show::number::significant;
use crate::show::table::{self, numbers, words};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Runs a section; the map is drawn where a file is named.
pub(super) fn run(
    source: &Source,
    setup: &SetupFile,
    plane: &PlaneSetup,
    wish: &MapWish,
    map: Option<&Path>,
) -> Result<Answer, Trouble> {
    let (outcome, wall) = world::timed(|| {
        world::with_progress("following the carbon through the section", || {
            simulate::carbon_plane(plane)
        })
    });
    let run = outcome.map_err(|failure| source.failed(failure))?;
    let core = plane.composition.get(Element::C);
    let lines = wish
        .lines
        .clone()
        .unwrap_or_else(|| plane::lines(&run, core, wish.depth_to));
    let ways = ways(&run, plane, wish.depth_to);
    let json = wire::json(&wire::section::Map::of(&wire::section::Given {
        kind: section_kind(&plane.section),
        run: &run,
        wish,
        lines: &lines,
        ways: &ways,
        composition: &plane.composition,
        cautions: &setup.cautions,
        wall,
    }));
    let mut text = told(&run, wish, &ways);
    if let Some(path) = map {
        let drawn = plane::draw(&plane::Wish {
            run: &run,
            section: &plane.section,
            core,
            lines: &lines,
            depth_to: wish.depth_to,
        });
        world::write_file(path, drawn.as_bytes())?;
        text.push_str(&hanging("Map: ", &path.display().to_string()));
    }
    text.push_str(&remarks_and_sources(&run.remarks, &run.sources));
    text.push_str(&beware(&setup.cautions));
    Ok(Answer::done(text, json).with_diags(setup.notes.clone(), source.texts.clone()))
}

/// A named way and what was read along it.
pub(crate) struct Way {
    /// The way.
    pub(crate) path: PlanePath,
    /// Carbon where it begins.
    pub(crate) start: Option<WeightPercent>,
    /// Where the carbon has fallen to the value asked for: along the way, and to the nearest
    /// treated surface.
    pub(crate) depth: Option<(Length, Length)>,
}

/// What was read along all ways, and across the necks: least carbon and where.
pub(crate) struct Ways {
    /// From the faces inward.
    pub(crate) inward: Vec<Way>,
    /// From face to face.
    pub(crate) across: Vec<(PlanePath, WeightPercent, Length)>,
}

fn ways(run: &PlaneRun, plane: &PlaneSetup, depth_to: WeightPercent) -> Ways {
    let inward = run.paths(&plane.section).into_iter().map(|path| Way {
        path,
        start: run.at(path.from),
        depth: run
            .depth_to_carbon(path.from, path.towards, depth_to)
            .map(|depth| (depth.along, depth.to_surface)),
    });
    let across = run.necks(&plane.section).into_iter().filter_map(|path| {
        let (least, at) = run.least_between(path.from, path.towards)?;
        Some((path, least, at))
    });
    Ways {
        inward: inward.collect(),
        across: across.collect(),
    }
}

fn told(run: &PlaneRun, wish: &MapWish, ways: &Ways) -> String {
    let carbon = format!("{:.2}", wish.depth_to.to_wt_pct());
    let rows: Vec<Vec<String>> = ways
        .inward
        .iter()
        .map(|way| {
            let start = way
                .start
                .map_or_else(|| "–".to_owned(), |c| format!("{:.3}", c.to_wt_pct()));
            let mut row = vec![way.path.name.to_owned(), start];
            match way.depth {
                Some((along, depth)) => row.extend([
                    format!("{:.3}", depth.to_mm()),
                    format!("{:.4}", depth.to_in()),
                    format!("{:.3}", along.to_mm()),
                ]),
                None => row.extend(["–".to_owned(), "–".to_owned(), "–".to_owned()]),
            }
            row
        })
        .collect();
    let mut out = format!(
        "Depth to {carbon} wt% carbon, to the nearest treated surface and along the way\n\n"
    );
    out.push_str(&table::text(
        &[
            words("way inward"),
            numbers("surface, wt%"),
            numbers("depth, mm"),
            numbers("depth, in"),
            numbers("along, mm"),
        ],
        &rows,
    ));
    out.push('\n');
    let both = |length: Length| length.depth_text_both(UnitSystem::Metric);
    match run.depth_range(wish.depth_to) {
        Some((least, greatest)) => out.push_str(&format!(
            "Over the section the line of {carbon} wt% lies {} to {} deep.\n",
            both(least),
            both(greatest)
        )),
        None => out.push_str(&format!(
            "No line of {carbon} wt% runs through the section.\n"
        )),
    }
    for (path, least, at) in &ways.across {
        out.push_str(&format!(
            "Least carbon, {}: {:.3} wt%, {} from the first face.\n",
            path.name,
            least.to_wt_pct(),
            both(*at)
        ));
    }
    let ((most, at), (least, _)) = (run.greatest(), run.least());
    out.push_str(&format!(
        "Carbon from {:.3} to {:.3} wt%, the greatest at x {:.2}, y {:.2} mm.\n",
        least.to_wt_pct(),
        most.to_wt_pct(),
        at.x.to_mm(),
        at.y.to_mm()
    ));
    let taken_up = format!(
        "{} g per metre of length through {} mm of treated face in the {} of the \
         section that is solved; balance error {}; {} steps, {} points",
        significant(run.uptake_g_m, 5),
        format_trimmed(Length::from_m(run.treated_m).to_mm(), 2),
        solved(run),
        significant(run.balance_error, 2),
        run.steps,
        run.points_m.len()
    );
    out.push_str(&hanging("Carbon taken up: ", &taken_up));
    out
}

/// Which part of the section a run holds.
pub(crate) fn solved(run: &PlaneRun) -> &'static str {
    match (run.mirror_x_m, run.mirror_y_m) {
        (Some(_), Some(_)) => "quarter",
        (None, None) => "whole",
        _ => "half",
    }
}
