//! Symmetric systems on blocks of cells with six neighbours each, and one node that all may touch;
//! conjugate gradients with an incomplete factor.
//!
//! The off-diagonal part is minus conductances. A block's cells run along x first, then y, then z.
//! Around each block lie rows of padding with no conductance, so that no cell needs a question
//! about its neighbours. The common node comes last in the factor, with all its entries kept. It
//! knows nothing of heat.

/// Where a block's cells are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Block {
    /// First cell.
    pub start: usize,
    /// Cells along x, y, z.
    pub size: [usize; 3],
}

impl Block {
    /// Cells of one layer across z.
    #[must_use]
    pub fn layer(&self) -> usize {
        self.size[0] * self.size[1]
    }

    /// One past the last cell.
    #[must_use]
    pub fn end(&self) -> usize {
        self.start + self.layer() * self.size[2]
    }

    /// First cell of each row along x.
    fn rows(&self) -> impl DoubleEndedIterator<Item = usize> + '_ {
        (0..self.size[1] * self.size[2]).map(|row| self.start + row * self.size[0])
    }
}

/// Places blocks of these sizes one behind the other with their padding; gives them and the
/// length of all vectors.
#[must_use]
pub fn lay_out(sizes: &[[usize; 3]]) -> (Vec<Block>, usize) {
    let mut at = 0;
    let blocks = sizes
        .iter()
        .map(|size| {
            let pad = size[0] * size[1];
            let block = Block {
                start: at + pad,
                size: *size,
            };
            at = block.end() + pad;
            block
        })
        .collect();
    (blocks, at)
}

/// Conductances from each cell to the next along x, y and z; zero at a block's end and in padding.
#[derive(Clone, Debug, Default)]
pub struct Links {
    /// Along x, y, z.
    pub along: [Vec<f64>; 3],
    /// Minus the entry between each cell and the common node.
    pub node: Vec<f64>,
}

impl Links {
    /// None yet, for vectors of this length.
    #[must_use]
    pub fn new(length: usize) -> Self {
        let zero = || vec![0.0; length];
        Self {
            along: [zero(), zero(), zero()],
            node: zero(),
        }
    }
}

/// What flows out of each cell to its neighbours when `x` drives; summed it is zero to rounding.
pub fn outflow(blocks: &[Block], links: &Links, x: &[f64], out: &mut [f64]) {
    let [gx, gy, gz] = &links.along;
    for block in blocks {
        let (n, layer) = (block.size[0], block.layer());
        for i in block.rows() {
            let here = &x[i..i + n];
            let (west, east) = (&x[i - 1..i - 1 + n], &x[i + 1..i + 1 + n]);
            let (south, north) = (&x[i - n..i], &x[i + n..i + 2 * n]);
            let (below, above) = (&x[i - layer..i - layer + n], &x[i + layer..i + layer + n]);
            let (xl, xr) = (&gx[i - 1..i - 1 + n], &gx[i..i + n]);
            let (yl, yr) = (&gy[i - n..i], &gy[i..i + n]);
            let (zl, zr) = (&gz[i - layer..i - layer + n], &gz[i..i + n]);
            let out = &mut out[i..i + n];
            for k in 0..n {
                let t = here[k];
                out[k] = xl[k] * (t - west[k])
                    + xr[k] * (t - east[k])
                    + yl[k] * (t - south[k])
                    + yr[k] * (t - north[k])
                    + zl[k] * (t - below[k])
                    + zr[k] * (t - above[k]);
            }
        }
    }
}

/// Share of the dropped fill that is lumped on the diagonal (Gustafsson 1978).
const LUMPED: f64 = 0.95;
/// Most passes of one solve; ten times what the stiffest case of the tests takes.
const MOST_PASSES: usize = 400;

/// The matrix with its factor and buffers.
#[derive(Clone, Debug, Default)]
pub struct Solver {
    diagonal: Vec<f64>,
    inverse: Vec<f64>,
    /// Conductance from the cell before along x, over this cell's pivot.
    from_west: Vec<f64>,
    node_diagonal: f64,
    node_inverse: f64,
    residual: Vec<f64>,
    direction: Vec<f64>,
    image: Vec<f64>,
    better: Vec<f64>,
    /// Passes made so far.
    pub passes: usize,
}

impl Solver {
    /// Prepares the matrix whose cells have `added` on the diagonal beside their links to other
    /// cells, and whose node has `node_diagonal`. `false` where a pivot is not positive.
    pub fn prepare(
        &mut self,
        blocks: &[Block],
        links: &Links,
        added: &[f64],
        node_diagonal: f64,
    ) -> bool {
        let length = added.len();
        for buffer in [
            &mut self.diagonal,
            &mut self.inverse,
            &mut self.from_west,
            &mut self.residual,
            &mut self.direction,
            &mut self.image,
            &mut self.better,
        ] {
            buffer.resize(length, 0.0);
        }
        let [gx, gy, gz] = &links.along;
        let mut node_pivot = node_diagonal;
        let mut sound = true;
        for block in blocks {
            let (n, layer) = (block.size[0], block.layer());
            for i in block.start..block.end() {
                let (w, s, b) = (gx[i - 1], gy[i - n], gz[i - layer]);
                self.diagonal[i] = added[i] + w + s + b + gx[i] + gy[i] + gz[i];
                let taken = |k: f64, j: usize| {
                    let dropped = gx[j] + gy[j] + gz[j] - k;
                    k * (k + LUMPED * dropped) * self.inverse[j]
                };
                let rest =
                    self.diagonal[i] - taken(w, i - 1) - taken(s, i - n) - taken(b, i - layer);
                // A row that breaks down keeps its own diagonal: slower there, but never wrong.
                let pivot = if rest > 0.0 { rest } else { self.diagonal[i] };
                let inverse = 1.0 / pivot;
                sound &= inverse > 0.0 && inverse.is_finite();
                self.inverse[i] = inverse;
                self.from_west[i] = w * inverse;
                node_pivot -= links.node[i] * links.node[i] * inverse;
            }
        }
        self.node_diagonal = node_diagonal;
        self.node_inverse = 1.0
            / if node_pivot > 0.0 {
                node_pivot
            } else {
                node_diagonal
            };
        sound && self.node_inverse > 0.0 && self.node_inverse.is_finite()
    }

    /// Solves from nothing; `x` and the node's value are the answer. Stops when no row misses by
    /// more than its slack. `None` where it does not get there.
    pub fn solve(
        &mut self,
        blocks: &[Block],
        links: &Links,
        (right, node_right): (&[f64], f64),
        (slack, node_slack): (&[f64], f64),
        x: &mut [f64],
    ) -> Option<f64> {
        x.fill(0.0);
        let mut node = 0.0;
        self.residual.copy_from_slice(right);
        let mut node_residual = node_right;
        let (mut strength, mut node_direction) = self.improve(blocks, links, node_residual);
        self.direction.copy_from_slice(&self.better);
        for _ in 0..MOST_PASSES {
            let missed = node_residual.abs() > node_slack
                || self.residual.iter().zip(slack).any(|(r, s)| r.abs() > *s);
            if !missed {
                return Some(node);
            }
            self.passes += 1;
            let (curvature, node_image) = self.multiply(blocks, links, node_direction);
            let step = strength / curvature;
            if !step.is_finite() {
                return None;
            }
            for (((x, r), d), a) in x
                .iter_mut()
                .zip(&mut self.residual)
                .zip(&self.direction)
                .zip(&self.image)
            {
                *x += step * d;
                *r -= step * a;
            }
            node += step * node_direction;
            node_residual -= step * node_image;
            let (new, node_better) = self.improve(blocks, links, node_residual);
            let kept = new / strength;
            strength = new;
            for (d, p) in self.direction.iter_mut().zip(&self.better) {
                *d = p + kept * *d;
            }
            node_direction = node_better + kept * node_direction;
        }
        None
    }

    /// Image of the direction; gives their product and the node's image.
    fn multiply(&mut self, blocks: &[Block], links: &Links, node: f64) -> (f64, f64) {
        let [gx, gy, gz] = &links.along;
        let (mut product, mut node_image) = (0.0, self.node_diagonal * node);
        let x = &self.direction;
        for block in blocks {
            let (n, layer) = (block.size[0], block.layer());
            for i in block.rows() {
                let here = &x[i..i + n];
                let (west, east) = (&x[i - 1..i - 1 + n], &x[i + 1..i + 1 + n]);
                let (south, north) = (&x[i - n..i], &x[i + n..i + 2 * n]);
                let (below, above) = (&x[i - layer..i - layer + n], &x[i + layer..i + layer + n]);
                let (xl, xr) = (&gx[i - 1..i - 1 + n], &gx[i..i + n]);
                let (yl, yr) = (&gy[i - n..i], &gy[i..i + n]);
                let (zl, zr) = (&gz[i - layer..i - layer + n], &gz[i..i + n]);
                let diagonal = &self.diagonal[i..i + n];
                let touch = &links.node[i..i + n];
                let image = &mut self.image[i..i + n];
                for k in 0..n {
                    image[k] = diagonal[k] * here[k]
                        - xl[k] * west[k]
                        - xr[k] * east[k]
                        - yl[k] * south[k]
                        - yr[k] * north[k]
                        - zl[k] * below[k]
                        - zr[k] * above[k]
                        - touch[k] * node;
                }
                for k in 0..n {
                    product += here[k] * image[k];
                    node_image -= touch[k] * here[k];
                }
            }
        }
        (product + node * node_image, node_image)
    }

    /// Applies the factor to the residual; gives their product and the node's part.
    fn improve(&mut self, blocks: &[Block], links: &Links, node_residual: f64) -> (f64, f64) {
        let [gx, gy, gz] = &links.along;
        let mut node = node_residual;
        for block in blocks {
            let (n, layer) = (block.size[0], block.layer());
            for i in block.rows() {
                let (done, row) = self.better.split_at_mut(i);
                let row = &mut row[..n];
                let (south, below) = (&done[i - n..], &done[i - layer..i - layer + n]);
                let (ys, zs) = (&gy[i - n..i], &gz[i - layer..i - layer + n]);
                let inverse = &self.inverse[i..i + n];
                let residual = &self.residual[i..i + n];
                for k in 0..n {
                    row[k] = inverse[k] * (residual[k] + ys[k] * south[k] + zs[k] * below[k]);
                }
                // Each cell waits for the one before: one product and one sum.
                let west = &self.from_west[i..i + n];
                let touch = &links.node[i..i + n];
                let mut before = 0.0;
                for k in 0..n {
                    before = row[k] + west[k] * before;
                    row[k] = before;
                }
                for k in 0..n {
                    node += touch[k] * row[k];
                }
            }
        }
        let node = node * self.node_inverse;
        let mut product = node * node_residual;
        for block in blocks {
            let (n, layer) = (block.size[0], block.layer());
            for i in block.rows().rev() {
                let (row, later) = self.better.split_at_mut(i + n);
                let row = &mut row[i..];
                let (north, above) = (&later[..n], &later[layer - n..layer]);
                let (yn, za) = (&gy[i..i + n], &gz[i..i + n]);
                let inverse = &self.inverse[i..i + n];
                let touch = &links.node[i..i + n];
                for k in 0..n {
                    row[k] += inverse[k] * (yn[k] * north[k] + za[k] * above[k] + touch[k] * node);
                }
                let east = &gx[i..i + n];
                let residual = &self.residual[i..i + n];
                let mut before = 0.0;
                for k in (0..n).rev() {
                    before = row[k] + inverse[k] * east[k] * before;
                    row[k] = before;
                }
                for k in 0..n {
                    product += residual[k] * row[k];
                }
            }
        }
        (product, node)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With the answer chosen, the right side follows from the matrix written out; the solver must
    /// find the answer to the slack over the least diagonal.
    #[test]
    fn finds_the_answer_on_two_blocks_with_a_node() {
        let (blocks, length) = lay_out(&[[5, 4, 3], [3, 6, 2]]);
        let mut links = Links::new(length);
        let (mut answer, mut added) = (vec![0.0; length], vec![0.0; length]);
        let mut touch = 0.0;
        for b in &blocks {
            for z in 0..b.size[2] {
                for y in 0..b.size[1] {
                    for x in 0..b.size[0] {
                        let i = b.start + x + b.size[0] * (y + b.size[1] * z);
                        answer[i] = ((i * 37) % 11) as f64;
                        added[i] = 0.5;
                        for (axis, last) in [x, y, z].into_iter().enumerate() {
                            if last + 1 < b.size[axis] {
                                links.along[axis][i] = 1.0 + ((i + 3 * axis) % 5) as f64;
                            }
                        }
                        if x == 0 {
                            links.node[i] = 2.0;
                            added[i] += 2.0;
                            touch += 2.0;
                        }
                    }
                }
            }
        }
        let (node, node_diagonal) = (3.5, 1.0 + touch);
        let mut right = vec![0.0; length];
        outflow(&blocks, &links, &answer, &mut right);
        let flow: f64 = right.iter().sum();
        // Rounding of 96 terms up to 250.
        assert!(flow.abs() < 1e-11, "{flow:e}");
        let mut node_right = node_diagonal * node;
        for i in 0..length {
            right[i] += added[i] * answer[i] - links.node[i] * node;
            node_right -= links.node[i] * answer[i];
        }
        let mut solver = Solver::default();
        assert!(solver.prepare(&blocks, &links, &added, node_diagonal));
        let mut x = vec![0.0; length];
        let slack = vec![1e-11; length];
        let found = solver
            .solve(
                &blocks,
                &links,
                (&right, node_right),
                (&slack, 1e-11),
                &mut x,
            )
            .expect("it gets there");
        let worst = x
            .iter()
            .zip(&answer)
            .fold((found - node).abs(), |m, (a, b)| m.max((a - b).abs()));
        // ‖A⁻¹‖∞ is at most 1/0.5.
        assert!(worst <= 2.1e-11, "{worst:e}");
        assert!(solver.passes < 40, "{}", solver.passes);
    }
}
