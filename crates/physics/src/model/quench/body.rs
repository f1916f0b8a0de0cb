//! The section as nodes with control volumes, graded towards the cooled surface.

use crate::run::Failure;
use crate::setup::Shape;

/// Last spacing over first spacing.
const GRADING: f64 = 8.0;

/// What joins two nodes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    pub(crate) from: usize,
    /// Greater than `from`.
    pub(crate) to: usize,
    /// Area of the face between them over its length, in 1/m.
    pub(crate) area_per_length_m: f64,
}

/// Nodes, volumes and face areas, all per area of the outer surface.
#[derive(Clone, Debug)]
pub(crate) struct Body {
    /// Depth of the nodes in metres, first on the surface.
    pub(crate) depth_m: Vec<f64>,
    /// Volume of each node per outer area, in metres.
    pub(crate) volume_m: Vec<f64>,
    /// What joins the nodes.
    pub(crate) links: Vec<Link>,
    /// Nodes that meet the surroundings, with their area.
    pub(crate) skin: Vec<(usize, f64)>,
    /// Largest difference between the numbers of two linked nodes: 1 for a row.
    pub(crate) band: usize,
    /// Whether the last node lies on an inner surface that is cooled too.
    pub(crate) has_bore: bool,
}

impl Body {
    pub(crate) fn new(shape: Shape, nodes: usize) -> Result<Self, Failure> {
        let (depth_m, radius_m, power, inner) = match shape {
            Shape::Plate { half_thickness } => (half_thickness.to_m(), f64::INFINITY, 0, false),
            Shape::Cylinder { radius } => (radius.to_m(), radius.to_m(), 1, false),
            Shape::Sphere { radius } => (radius.to_m(), radius.to_m(), 2, false),
            Shape::Tube {
                inner_radius,
                outer_radius,
            } => {
                if inner_radius.to_m() <= 0.0 {
                    return Err(Failure::Setup {
                        what: format!(
                            "the bore's radius of {} mm must be above 0",
                            inner_radius.to_mm()
                        ),
                    });
                }
                (
                    outer_radius.to_m() - inner_radius.to_m(),
                    outer_radius.to_m(),
                    1,
                    true,
                )
            }
        };
        if !(1e-5..=2.0).contains(&depth_m) {
            return Err(Failure::Setup {
                what: format!(
                    "a section of {:.3} mm from surface to middle is not between 0.01 and 2000 mm",
                    depth_m * 1e3
                ),
            });
        }
        let depths = if inner {
            both_sides(depth_m, 2 * nodes - 1)
        } else {
            graded(depth_m, nodes)
        };
        Ok(Self::build(depths, radius_m, power, inner))
    }

    fn build(depth_m: Vec<f64>, radius_m: f64, power: i32, inner: bool) -> Self {
        let n = depth_m.len();
        let area = |x: f64| {
            if power == 0 {
                1.0
            } else {
                ((radius_m - x) / radius_m).max(0.0).powi(power)
            }
        };
        // Volume from the surface down to x, per outer area.
        let down_to = |x: f64| {
            if power == 0 {
                x
            } else {
                let whole = f64::from(power + 1);
                radius_m / whole * (1.0 - ((radius_m - x) / radius_m).max(0.0).powi(power + 1))
            }
        };
        let face = |i: usize| (depth_m[i] + depth_m[i + 1]) / 2.0;
        let mut faces: Vec<f64> = vec![0.0];
        faces.extend((0..n - 1).map(face));
        faces.push(depth_m[n - 1]);
        Self {
            volume_m: faces
                .windows(2)
                .map(|f| down_to(f[1]) - down_to(f[0]))
                .collect(),
            links: (0..n - 1)
                .map(|i| Link {
                    from: i,
                    to: i + 1,
                    area_per_length_m: area(face(i)) / (depth_m[i + 1] - depth_m[i]),
                })
                .collect(),
            skin: [(0, 1.0)]
                .into_iter()
                .chain(inner.then(|| (n - 1, area(depth_m[n - 1]))))
                .collect(),
            band: 1,
            has_bore: inner,
            depth_m,
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.depth_m.len()
    }

    /// Whole volume per outer area, in metres.
    pub(crate) fn whole_m(&self) -> f64 {
        self.volume_m.iter().sum()
    }
}

/// Depths growing geometrically from the surface.
pub(super) fn graded(depth_m: f64, nodes: usize) -> Vec<f64> {
    let ratio = crate::numerics::fun::pow(GRADING, 1.0 / (nodes - 2) as f64);
    let mut x = vec![0.0];
    let mut step = 1.0;
    for i in 1..nodes {
        x.push(x[i - 1] + step);
        step *= ratio;
    }
    let scale = depth_m / x[nodes - 1];
    x.iter_mut().for_each(|v| *v *= scale);
    x[nodes - 1] = depth_m;
    x
}

/// Depths graded towards both walls.
fn both_sides(depth_m: f64, nodes: usize) -> Vec<f64> {
    let half = graded(depth_m / 2.0, nodes / 2 + 1);
    let mut x = half.clone();
    x.extend(half.iter().rev().skip(1).map(|v| depth_m - v));
    x
}
