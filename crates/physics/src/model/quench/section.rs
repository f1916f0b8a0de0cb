//! The section of a long rectangular bar as nodes: a quarter of it, because all four faces cool
//! alike, graded towards both cooled faces.

use casewright_terms::Length;

use super::body::{Body, Link, graded};
use crate::run::Failure;

/// Nodes along each side of the quarter: half as many again move the corner's time to 500 °C by less
/// than 1 % (`a_finer_section_changes_little`).
pub(crate) const ALONG: usize = 13;

/// A quarter of the section: x and y from the corner to the middle.
pub(crate) struct Quarter {
    pub(crate) x_m: Vec<f64>,
    pub(crate) y_m: Vec<f64>,
    /// The nodes row by row, x fastest.
    pub(crate) body: Body,
}

impl Quarter {
    pub(crate) fn new(width: Length, height: Length, along: usize) -> Result<Self, Failure> {
        for (name, side) in [("width", width), ("height", height)] {
            if !(2e-5..=4.0).contains(&side.to_m()) {
                return Err(Failure::Setup {
                    what: format!(
                        "a bar's {name} of {:.3} mm is not between 0.02 and 4000 mm",
                        side.to_mm()
                    ),
                });
            }
        }
        let x_m = graded(width.to_m() / 2.0, along);
        let y_m = graded(height.to_m() / 2.0, along);
        let (wide, high) = (widths(&x_m), widths(&y_m));
        let open_m = width.to_m() / 2.0 + height.to_m() / 2.0;
        let n = along;
        let mut body = Body {
            depth_m: Vec::with_capacity(n * n),
            volume_m: Vec::with_capacity(n * n),
            links: Vec::with_capacity(2 * n * n),
            skin: Vec::with_capacity(2 * n),
            band: n,
            has_bore: false,
        };
        for j in 0..n {
            for i in 0..n {
                let here = j * n + i;
                body.depth_m.push(x_m[i].min(y_m[j]));
                body.volume_m.push(wide[i] * high[j] / open_m);
                let mut link = |to: usize, area_per_length: f64| {
                    body.links.push(Link {
                        from: here,
                        to,
                        area_per_length_m: area_per_length / open_m,
                    });
                };
                if i + 1 < n {
                    link(here + 1, high[j] / (x_m[i + 1] - x_m[i]));
                }
                if j + 1 < n {
                    link(here + n, wide[i] / (y_m[j + 1] - y_m[j]));
                }
                // Left face and lower face; the corner has a share of both.
                let open = if i == 0 { high[j] } else { 0.0 } + if j == 0 { wide[i] } else { 0.0 };
                if open > 0.0 {
                    body.skin.push((here, open / open_m));
                }
            }
        }
        Ok(Self { x_m, y_m, body })
    }

    /// Nodes around a point from the corner inward, with their weights; points beyond the middle are
    /// mirrored.
    pub(crate) fn around(&self, x: Length, y: Length) -> [(usize, f64); 4] {
        let (i, u) = place(&self.x_m, x.to_m());
        let (j, v) = place(&self.y_m, y.to_m());
        let n = self.x_m.len();
        [
            (j * n + i, (1.0 - u) * (1.0 - v)),
            (j * n + i + 1, u * (1.0 - v)),
            ((j + 1) * n + i, (1.0 - u) * v),
            ((j + 1) * n + i + 1, u * v),
        ]
    }
}

/// Gap that holds a place, and the share of the way through it.
fn place(lines_m: &[f64], at_m: f64) -> (usize, f64) {
    let n = lines_m.len();
    let whole = 2.0 * lines_m[n - 1];
    let at_m = at_m.min(whole - at_m).max(0.0);
    let right = lines_m.partition_point(|x| *x < at_m).clamp(1, n - 1);
    let share = (at_m - lines_m[right - 1]) / (lines_m[right] - lines_m[right - 1]);
    (right - 1, share.clamp(0.0, 1.0))
}

/// Width of the control volume of each line.
fn widths(lines_m: &[f64]) -> Vec<f64> {
    let n = lines_m.len();
    (0..n)
        .map(|i| {
            let left = if i > 0 { lines_m[i - 1] } else { lines_m[0] };
            let right = if i + 1 < n {
                lines_m[i + 1]
            } else {
                lines_m[i]
            };
            (right - left) / 2.0
        })
        .collect()
}
