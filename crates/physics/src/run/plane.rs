//! Carbon over a section in two dimensions. Values only; reading them off is in
//! `model::carbon_plane::read`.

use casewright_terms::{Length, Remark, SourceKey};

use crate::model::carbon_plane::Reading;
use crate::setup::PlanePoint;

/// A stretch of the section's boundary.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlinePiece {
    /// Whether the medium reaches it.
    pub treated: bool,
    /// Its points in metres, ends included, fine enough to draw.
    pub points_m: Vec<[f64; 2]>,
}

/// Carbon over a section, on a mesh of triangles, with the numbers that say how well it was
/// computed. Where the section is its own mirror image only one side is solved and held.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaneRun {
    /// Points of the mesh in metres, in the frame of the section.
    pub points_m: Vec<[f64; 2]>,
    /// Total carbon at each point, in wt%.
    pub carbon_wt_pct: Vec<f64>,
    /// Triangles by their points, anticlockwise where y runs up.
    pub triangles: Vec<[u32; 3]>,
    /// Boundary of the part that is solved, mirrors and cuts through endless bodies left out.
    pub outline: Vec<OutlinePiece>,
    /// x of a mirror: the section is the same on both sides of it.
    pub mirror_x_m: Option<f64>,
    /// y of a mirror.
    pub mirror_y_m: Option<f64>,
    /// Lower left and upper right of what is solved, in metres.
    pub window_m: [[f64; 2]; 2],
    /// Carbon taken up by what is solved, per length of the part, in g/m.
    pub uptake_g_m: f64,
    /// Length of the treated boundary of what is solved, in metres.
    pub treated_m: f64,
    /// |uptake through the surface − gain inside| ÷ the larger of the two; 0 where they differ by
    /// less than the last digits of the carbon inside.
    pub balance_error: f64,
    /// Time steps taken.
    pub steps: usize,
    /// Steps that were tried and refused.
    pub refused: usize,
    /// Passes of the linear solver, all together.
    pub passes: usize,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
    /// What reading between the points needs.
    pub(crate) reading: Reading,
}

/// Carbon on a regular raster, for drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaneRaster {
    /// x of the columns, in metres.
    pub x_m: Vec<f64>,
    /// y of the rows, in metres.
    pub y_m: Vec<f64>,
    /// Whether there is steel, row after row.
    pub inside: Vec<bool>,
    /// Carbon in wt%, row after row; 0 where there is no steel.
    pub carbon_wt_pct: Vec<f64>,
}

/// Where along a ray the carbon has fallen to a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RayDepth {
    /// From the start of the ray.
    pub along: Length,
    /// From there to the nearest treated surface: the case depth in the usual sense.
    pub to_surface: Length,
}

/// A straight way through the steel of a section that a person would ask about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanePath {
    /// What it is called, in the trade's words.
    pub name: &'static str,
    /// Where it begins, on a treated face.
    pub from: PlanePoint,
    /// A point farther along it; the far face where it is a way across.
    pub towards: PlanePoint,
}
