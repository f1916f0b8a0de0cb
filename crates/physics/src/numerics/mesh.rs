//! Control volumes along one depth, for plates, cylinders, spheres and tubes.
//!
//! The mesh is vertex-centred: the first node lies on the outer surface, the last on the mirror,
//! the axis, the centre, or the inner wall of a tube, and faces lie half-way between nodes. So a
//! surface value is a value of the mesh, not an extrapolation. Areas and volumes are per unit of
//! outer surface area. Depth is counted inward from the outer surface, in metres.

use super::fun::{atan, tan};

/// The body, by its sizes in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(missing_docs, reason = "sizes in metres, named by what they are")]
pub enum Section {
    Plate { half_m: f64 },
    Cylinder { radius_m: f64 },
    Sphere { radius_m: f64 },
    Tube { inner_m: f64, outer_m: f64 },
}

impl Section {
    /// Depth of the last node: to the mirror, the axis, the centre or the inner wall.
    #[must_use]
    pub fn depth_m(self) -> f64 {
        match self {
            Self::Plate { half_m } => half_m,
            Self::Cylinder { radius_m } | Self::Sphere { radius_m } => radius_m,
            Self::Tube { inner_m, outer_m } => outer_m - inner_m,
        }
    }

    /// Area at a depth, relative to the outer surface.
    #[must_use]
    pub fn area(self, depth_m: f64) -> f64 {
        match self {
            Self::Plate { .. } => 1.0,
            Self::Cylinder { radius_m: outer_m } | Self::Tube { outer_m, .. } => {
                (outer_m - depth_m) / outer_m
            }
            Self::Sphere { radius_m } => {
                let ratio = (radius_m - depth_m) / radius_m;
                ratio * ratio
            }
        }
    }

    /// Volume between two depths per unit of outer surface, in metres.
    #[must_use]
    pub fn volume_m(self, from_m: f64, to_m: f64) -> f64 {
        let thickness = to_m - from_m;
        match self {
            Self::Plate { .. } => thickness,
            Self::Cylinder { radius_m: outer_m } | Self::Tube { outer_m, .. } => {
                thickness * (2.0 * outer_m - from_m - to_m) / (2.0 * outer_m)
            }
            Self::Sphere { radius_m: r } => {
                let (a, b) = (r - from_m, r - to_m);
                thickness * (a * a + a * b + b * b) / (3.0 * r * r)
            }
        }
    }
}

/// How nodes are spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Grading {
    /// Equal gaps.
    Uniform {
        /// How many gaps.
        gaps: usize,
    },
    /// Finest at the treated surface (both walls of a tube); the gap grows as
    /// 1 + (depth/reach)², so the number of gaps stays bounded however thick the body is.
    Towards {
        /// Gap at the surface, in metres.
        finest_m: f64,
        /// Depth at which the gap has doubled, in metres.
        reach_m: f64,
    },
    /// The same for several depths of different reach under one surface: the nodes of all are
    /// laid over each other, so that each finds at least its own.
    Layered {
        /// Gap at the surface and depth at which it has doubled, in metres, of each; one that is
        /// not there has an endless gap.
        layers: [(f64, f64); LAYERS],
    },
}

/// Most depths of different reach under one surface.
pub const LAYERS: usize = 4;

/// Nodes, faces and volumes.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Depth of each node, ascending from 0, in metres.
    pub depth_m: Vec<f64>,
    /// Distance from node `i` to node `i + 1`, in metres.
    pub gap_m: Vec<f64>,
    /// Area of the face between them, relative to the outer surface.
    pub face_area: Vec<f64>,
    /// Volume that belongs to each node, per unit of outer surface, in metres.
    pub volume_m: Vec<f64>,
    /// Area at the last node, relative to the outer surface: that of a tube's inner wall, the
    /// mirror's of a plate, 0 on an axis.
    pub last_area: f64,
}

/// Fewest gaps on each treated side.
const FEWEST: usize = 4;
/// Most gaps on each treated side; reached only by absurd wishes.
const MOST: usize = 20_000;

impl Mesh {
    /// Builds the mesh.
    ///
    /// # Panics
    /// When a size is not positive: the caller checks setups.
    #[must_use]
    pub fn new(section: Section, grading: Grading) -> Self {
        let total = section.depth_m();
        assert!(
            total > 0.0 && total.is_finite(),
            "depth must be positive, got {total} m"
        );
        let depth_m = match section {
            Section::Tube { .. } => mirrored(total, grading),
            _ => one_sided(total, grading),
        };
        Self::from_nodes(section, depth_m)
    }

    /// Builds the mesh on given nodes, which must ascend from 0 to the section's depth.
    ///
    /// # Panics
    /// When there are fewer than two nodes or they do not ascend.
    #[must_use]
    pub fn from_nodes(section: Section, depth_m: Vec<f64>) -> Self {
        assert!(depth_m.len() >= 2, "a mesh needs two nodes");
        let gap_m: Vec<f64> = depth_m.windows(2).map(|w| w[1] - w[0]).collect();
        assert!(gap_m.iter().all(|g| *g > 0.0), "nodes must ascend");
        let faces: Vec<f64> = depth_m.windows(2).map(|w| 0.5 * (w[0] + w[1])).collect();
        let face_area = faces.iter().map(|f| section.area(*f)).collect();
        let last = depth_m[depth_m.len() - 1];
        let volume_m = (0..depth_m.len())
            .map(|i| {
                let from = if i == 0 { 0.0 } else { faces[i - 1] };
                let to = faces.get(i).copied().unwrap_or(last);
                section.volume_m(from, to)
            })
            .collect();
        Self {
            last_area: section.area(last),
            depth_m,
            gap_m,
            face_area,
            volume_m,
        }
    }

    /// How many nodes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.depth_m.len()
    }

    /// Never: a mesh has two nodes at least.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.depth_m.is_empty()
    }
}

/// Nodes from 0 to `total`, graded from 0.
fn one_sided(total: f64, grading: Grading) -> Vec<f64> {
    match grading {
        Grading::Uniform { gaps } => {
            let gaps = gaps.clamp(1, MOST);
            (0..=gaps)
                .map(|k| total * (k as f64 / gaps as f64))
                .collect()
        }
        Grading::Towards { finest_m, reach_m } => {
            let angle = atan(total / reach_m);
            let wanted = (angle * reach_m / finest_m).ceil();
            let gaps = (wanted as usize).clamp(FEWEST, MOST);
            let mut nodes: Vec<f64> = (0..gaps)
                .map(|k| reach_m * tan(angle * k as f64 / gaps as f64))
                .collect();
            nodes.push(total);
            nodes
        }
        Grading::Layered { layers } => layered(total, &layers),
    }
}

/// Nodes at equal steps of the gaps counted from the surface.
fn layered(total: f64, layers: &[(f64, f64)]) -> Vec<f64> {
    let counted = |x: f64| -> f64 {
        let gaps = |(finest, reach): &(f64, f64)| atan(x / reach) * reach / finest;
        layers.iter().map(gaps).sum()
    };
    let density = |x: f64| -> f64 {
        let per_m = |(finest, reach): &(f64, f64)| 1.0 / (finest * (1.0 + (x / reach).powi(2)));
        layers.iter().map(per_m).sum()
    };
    let all = counted(total);
    let gaps = (all.ceil() as usize).clamp(FEWEST, MOST);
    let mut nodes = Vec::with_capacity(gaps + 1);
    let mut x = 0.0;
    for k in 0..gaps {
        let wanted = all * k as f64 / gaps as f64;
        // The count is concave, so Newton from below never passes the place; where a node stands
        // exactly does not matter, only that the places ascend smoothly.
        for _ in 0..NEWTON {
            let step = (wanted - counted(x)) / density(x);
            x += step;
            if step.abs() < 1e-9 * x {
                break;
            }
        }
        nodes.push(x);
    }
    nodes.push(total);
    nodes
}

/// Steps of the search for a node; from the node before it four are enough.
const NEWTON: usize = 30;

/// Nodes from wall to wall, graded from both.
fn mirrored(total: f64, grading: Grading) -> Vec<f64> {
    if let Grading::Uniform { .. } = grading {
        return one_sided(total, grading);
    }
    let half = one_sided(0.5 * total, grading);
    let other = half[..half.len() - 1].iter().rev().map(|x| total - x);
    half.iter().copied().chain(other).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const BODIES: [Section; 4] = [
        Section::Plate { half_m: 0.01 },
        Section::Cylinder { radius_m: 0.01 },
        Section::Sphere { radius_m: 0.01 },
        Section::Tube {
            inner_m: 0.004,
            outer_m: 0.01,
        },
    ];

    #[test]
    fn volumes_add_up_to_the_body() {
        let grading = Grading::Towards {
            finest_m: 2e-5,
            reach_m: 1e-3,
        };
        let ri = 0.4_f64;
        let exact = [0.01, 0.01 / 2.0, 0.01 / 3.0, 0.01 * (1.0 - ri * ri) / 2.0];
        for (body, exact) in BODIES.into_iter().zip(exact) {
            let mesh = Mesh::new(body, grading);
            let sum: f64 = mesh.volume_m.iter().sum();
            // Rounding only.
            assert!((sum / exact - 1.0).abs() < 1e-13, "{body:?}");
            assert_eq!(mesh.depth_m[0], 0.0);
            assert_eq!(*mesh.depth_m.last().unwrap(), body.depth_m());
        }
    }

    #[test]
    fn gaps_are_finest_where_asked_and_bounded_in_number() {
        let grading = Grading::Towards {
            finest_m: 2e-5,
            reach_m: 1e-3,
        };
        let thin = Mesh::new(Section::Plate { half_m: 0.003 }, grading);
        let thick = Mesh::new(Section::Plate { half_m: 3.0 }, grading);
        assert!(thin.gap_m[0] <= 2e-5);
        // π/2 × reach ÷ finest = 79.
        assert!(thick.len() <= 80, "{}", thick.len());
        let layers = [
            (2e-5, 1e-3),
            (2e-6, 1e-5),
            (1e-5, 1e-4),
            (f64::INFINITY, 1.0),
        ];
        let fine = Mesh::new(Section::Plate { half_m: 3.0 }, Grading::Layered { layers });
        // Densities add up: 5e4 + 5e5 + 1e5 to the metre.
        assert!((fine.gap_m[0] * 6.5e5 - 1.0).abs() < 0.1);
        // π/2 × (50 + 5 + 10).
        assert_eq!(fine.len(), 104);
        let one = [(2e-5, 1e-3), layers[3], layers[3], layers[3]];
        let same = Mesh::new(
            Section::Plate { half_m: 0.003 },
            Grading::Layered { layers: one },
        );
        let off = same
            .depth_m
            .iter()
            .zip(&thin.depth_m)
            .map(|(a, b)| (a - b).abs());
        assert!(same.len() == thin.len() && off.fold(0.0, f64::max) < 1e-11);
        let tube = Mesh::new(BODIES[3], grading);
        let n = tube.gap_m.len();
        assert!((tube.gap_m[0] - tube.gap_m[n - 1]).abs() < 1e-15);
        assert!((tube.last_area - 0.4).abs() < 1e-15);
    }
}
