//! Carbon in a section, in two dimensions, over a whole temperature cycle.
//!
//! **Physics**: that of [`super::carbon`], word for word: the same unknown, the same law tables,
//! surface rules and legs. `∂y/∂t = ∇·(D(T, m) ∇m)` with the matrix carbon `m`.
//!
//! **Method**: linear finite elements with lumped mass on a graded grid whose cells are fitted to
//! round boundaries (see [`crate::numerics::triangles`]); on straight boundaries that is the
//! five-point finite-volume scheme. The flux is the difference of ∫D dm times a conductance that
//! never changes. RODAS in time with error control, the stages solved by conjugate gradients with
//! an incomplete factor; what the solver leaves over is error of the carbon, never a loss of it.
//! Second order in space on straight and on round boundaries, fourth in time.
//!
//! **What it does not do**: what the one-dimensional engine does not do; thin layers that a late
//! change of the surface leaves in the skin (a fast cooling) have nodes of their own at straight
//! faces, but are averaged over the first gap on round ones, which no grid line follows; where
//! carbide forms on cooling, its edge is taken to lie on a node, first order there; and at sharp
//! inner corners (a slot without a fillet) the mesh converges more slowly, because the gradient
//! there has no bound.

mod body;
mod fill;
mod grid;
mod paths;
mod read;
mod section;
#[cfg(test)]
mod tests;

pub use read::Reading;

use casewright_terms::{Length, Remark, TemperatureStep};

use crate::law::carbon_activity::{to_site_fraction, to_wt_pct};
use crate::law::diffusivity::held_share;
use crate::model::carbon::body::{Problem, spread_m2};
use crate::model::carbon::fit::Law;
use crate::model::carbon::legs::Leg;
use crate::model::carbon::outcome::{
    GRAMS_PER_M3, balance_error, problem, refuse, remarks, sources,
};
use crate::model::carbon::saturation_of;
use crate::model::carbon::supply::{Supplies, Supply};
use crate::numerics::fun::sqrt;
use crate::numerics::lines::{Growth, NO_SKIN};
use crate::numerics::mesh::{Grading, Section};
use crate::numerics::triangles::Triangles;
use crate::run::{Failure, OutlinePiece, PlaneRun};
use crate::setup::{CarbonSetup, PlaneGrid, PlaneSection, PlaneSetup, Shape};
use body::{Solved, solve};
use section::Part;

/// Diffusion lengths at which an endless body is cut: erfc(4) of the surface step gets there,
/// 2e-8, and meets a mirror.
const FAR: f64 = 8.0;
/// A rounding below this share of the finest gap is drawn sharp.
const SHARP: f64 = 0.1;
/// Gaps that can be asked for.
const GAPS: (usize, usize) = (2, 2000);
/// Cut of endless bodies in which nothing moves, in metres.
const COLD_FAR_M: f64 = 1e-3;

/// Follows carbon through the whole cycle in a section.
///
/// # Errors
/// [`Failure::Setup`] for a setup that cannot be simulated, [`Failure::NotSettled`] where the
/// time steps vanish or run out.
pub fn carbonise_plane(setup: &PlaneSetup) -> Result<PlaneRun, Failure> {
    let line = line(setup);
    let table = saturation_of(&line)?;
    let mut problem = problem(&line, &table)?;
    let (mesh, part, mut notes) = layout(setup, &mut problem)?;
    let solved = solve(&problem, &mesh)?;
    let most_y = solved.y.iter().fold(0.0_f64, |m, y| m.max(*y));
    let mut all = remarks(&line, &problem, &table, most_y);
    all.append(&mut notes);
    let mut keys = sources(&line, &problem, &table);
    keys.extend([
        "hairer-wanner-1996",
        "macneal-1953",
        "meijerink-vorst-1977",
        "gustafsson-1978",
    ]);
    Ok(PlaneRun {
        remarks: all,
        sources: keys,
        ..assemble(mesh, part, &solved)
    })
}

/// The same problem in one dimension; its shape is a stand-in.
fn line(setup: &PlaneSetup) -> CarbonSetup {
    CarbonSetup {
        composition: setup.composition,
        shape: Shape::Plate {
            half_thickness: Length::from_mm(10.0),
        },
        diffusivity: setup.diffusivity,
        diffusivity_factor: setup.diffusivity_factor,
        surface: setup.surface.clone(),
        cycle: setup.cycle.clone(),
        tolerance: setup.tolerance,
        saturation_shift: TemperatureStep::ZERO,
    }
}

/// Region and mesh, with remarks about them.
fn layout(
    setup: &PlaneSetup,
    problem: &mut Problem,
) -> Result<(Triangles, Part, Vec<Remark>), Failure> {
    let gaps = match setup.grid {
        PlaneGrid::ByTolerance => None,
        PlaneGrid::Gaps { x, y } => {
            let fits = |n: usize| (GAPS.0..=GAPS.1).contains(&n);
            if !(fits(x) && fits(y)) {
                return Err(refuse(format!(
                    "a grid of {x} by {y} gaps is asked for; {} to {} each way can be simulated",
                    GAPS.0, GAPS.1
                )));
            }
            Some((x, y))
        }
    };
    let length_m = sqrt(spread_m2(problem));
    let far_m = if length_m > 0.0 {
        FAR * length_m
    } else {
        COLD_FAR_M
    };
    let finest_m = growth(problem, far_m).finest_m;
    let part = section::part(&setup.section, far_m, SHARP * finest_m)?;
    let [low, high] = part.region.window;
    problem.section = Section::Plate {
        half_m: 0.5 * (high[0] - low[0]).min(high[1] - low[1]),
    };
    let (mesh, coarser) = grid::mesh(&part.region, growth(problem, far_m), gaps);
    if !mesh.volume_m2.iter().all(|v| *v > 0.0) {
        return Err(refuse(format!(
            "the section is too fine in places for {} nodes; a neck or rounding of more than a \
             thousandth of the section can be simulated",
            mesh.len()
        )));
    }
    let mut notes = Vec::new();
    if coarser > 1.0 {
        let text = format!(
            "the section would need more than {} nodes for the tolerance; the mesh is {coarser:.1} \
             times coarser and its error about {:.0} times the tolerance",
            grid::MOST_NODES,
            coarser * coarser
        );
        notes.push(Remark::new("plane-mesh-limited", text));
    }
    if section::drawn_sharp(&setup.section, SHARP * finest_m) {
        let text = format!(
            "a rounding of less than {:.1} µm is taken as sharp",
            SHARP * finest_m * 1e6
        );
        notes.push(Remark::new("plane-rounding-sharp", text));
    }
    if section::sharp_inside(&setup.section) {
        let text = "an inner corner is sharp: carbon within a few tenths of a millimetre of it is \
                    less sure than the tolerance says";
        notes.push(Remark::new("plane-inner-corner-sharp", text));
    }
    Ok((mesh, part, notes))
}

/// Gaps of the section over those of a row: a round boundary and the corner add to the error.
const FINER: f64 = 0.76;

fn growth(problem: &Problem, window_m: f64) -> Growth {
    let (finest_m, reach_m) = match problem.grading() {
        Grading::Towards { finest_m, reach_m } => (FINER * finest_m, reach_m),
        // The edge of carbide stands on nodes here (see the module's head): its own nodes are left
        // out.
        Grading::Layered { layers } => (FINER * layers[0].0, layers[0].1),
        // Nothing moves.
        Grading::Uniform { gaps } => (window_m / gaps as f64, window_m),
    };
    let mut skin_m = NO_SKIN;
    for (place, layer) in skin_m.iter_mut().zip(problem.late_layers()) {
        *place = layer;
    }
    Growth {
        finest_m,
        reach_m,
        skin_m,
    }
}

/// The run but for remarks and sources.
fn assemble(mesh: Triangles, part: Part, solved: &Solved) -> PlaneRun {
    let inside = mesh.volume_m2.iter().zip(&solved.y);
    let balance_error = balance_error(
        solved.uptake_m2,
        solved.gain_m2,
        inside.map(|(v, y)| v * y).sum(),
    );
    let carbon_wt_pct: Vec<f64> = solved.y.iter().map(|y| to_wt_pct(*y)).collect();
    let reading = Reading::new(&mesh, part.region.clone(), &carbon_wt_pct);
    let outline = part
        .region
        .pieces
        .iter()
        .map(|piece| OutlinePiece {
            treated: piece.open,
            points_m: piece.line.points(),
        })
        .collect();
    PlaneRun {
        carbon_wt_pct,
        outline,
        mirror_x_m: part.mirror_x_m,
        mirror_y_m: part.mirror_y_m,
        window_m: part.region.window,
        uptake_g_m: solved.uptake_m2 * GRAMS_PER_M3,
        treated_m: mesh.open_m.iter().sum(),
        balance_error,
        steps: solved.counts.steps,
        refused: solved.counts.refused,
        passes: solved.passes,
        remarks: Vec::new(),
        sources: Vec::new(),
        triangles: mesh.corners,
        points_m: mesh.points,
        reading,
    }
}

/// What the closed case below gave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockCheck {
    /// Nodes.
    pub nodes: usize,
    /// Time steps.
    pub steps: usize,
    /// Passes of the linear solver.
    pub passes: usize,
    /// Largest difference from the product solution over the nodes, relative to the surface step.
    pub greatest_error: f64,
    /// Relative error of the balance.
    pub balance_error: f64,
}

/// A quarter of a 30 × 44 mm block, D = 1.7e-11 m²/s, 8 h, the surface held: against the product
/// of two slab solutions [crank-1975], with `gaps` gaps each way and an error control of
/// `tolerance` relative to the surface step. Steel and its laws play no part.
///
/// # Errors
/// As [`carbonise_plane`].
pub fn block_against_closed(gaps: usize, tolerance: f64) -> Result<BlockCheck, Failure> {
    const D_M2_S: f64 = 1.7e-11;
    const TIME_S: f64 = 8.0 * 3600.0;
    const HALF_M: [f64; 2] = [15e-3, 22e-3];
    // Any step will do: the case is linear.
    let (core_y, held_y) = (0.0, to_site_fraction(1.0));
    let mut problem = Problem {
        section: Section::Plate { half_m: HALF_M[0] },
        law: Law::Constant { d_m2_s: D_M2_S },
        factor: 1.0,
        supply: Supply::Held { y: held_y },
        supplies: Supplies::default(),
        legs: vec![Leg {
            start_s: 0.0,
            end_s: TIME_S,
            from_k: 1200.0,
            to_k: 1200.0,
            beta_m_s: (0.0, 0.0),
            open: true,
        }],
        core_y,
        tolerance_y: tolerance * held_y,
        limits: None,
        grading: None,
        #[cfg(test)]
        equal_steps: None,
    };
    let [width, height] = HALF_M.map(|half| Length::from_m(2.0 * half));
    let faces = [crate::setup::Face::Treated; 4];
    let section = PlaneSection::Rectangle {
        width,
        height,
        corner_radius: Length::from_m(0.0),
        faces,
    };
    let part = section::part(&section, 1.0, 0.0)?;
    problem.section = Section::Plate {
        half_m: 0.5 * HALF_M[0],
    };
    let growth = growth(&problem, HALF_M[0]);
    let (mesh, _) = grid::mesh(&part.region, growth, Some((gaps, gaps)));
    let solved = solve(&problem, &mesh)?;
    let spread_m = sqrt(D_M2_S * TIME_S);
    let missing = |x: f64, half: f64| {
        let image = |k: f64| {
            held_share(2.0 * k * half + x, spread_m)
                + held_share(2.0 * (k + 1.0) * half - x, spread_m)
        };
        1.0 - image(0.0) + image(1.0) - image(2.0) + image(3.0)
    };
    let greatest_error = mesh
        .points
        .iter()
        .zip(&solved.y)
        .map(|(p, y)| {
            let exact = 1.0 - missing(p[0], HALF_M[0]) * missing(p[1], HALF_M[1]);
            (y / held_y - exact).abs()
        })
        .fold(0.0, f64::max);
    Ok(BlockCheck {
        nodes: mesh.len(),
        steps: solved.counts.steps,
        passes: solved.passes,
        greatest_error,
        balance_error: (solved.uptake_m2 / solved.gain_m2 - 1.0).abs(),
    })
}
