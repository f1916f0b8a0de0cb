//! Symmetric sparse matrices whose off-diagonal part stays while the diagonal changes, solved by
//! conjugate gradients with an incomplete factor.
//!
//! The off-diagonal part is minus the conductances of a graph. The factor keeps that part as it is
//! and changes only the diagonal (Meijerink and van der Vorst 1977, the variant of no fill), so
//! preparing costs one division per row. Rows can be closed: their unknown is zero.

/// Conductances between nodes, every row with its neighbours ascending.
#[derive(Clone, Debug, Default)]
pub struct Graph {
    start: Vec<u32>,
    /// Where the neighbours above the row itself begin.
    upper: Vec<u32>,
    neighbour: Vec<u32>,
    conductance: Vec<f64>,
    sum: Vec<f64>,
    /// Sum over the greater neighbours only.
    upper_sum: Vec<f64>,
}

impl Graph {
    /// From edges `(i, j, conductance)`, each named once with `i < j`, sorted.
    ///
    /// # Panics
    /// When an edge names a node out of range or with `i >= j`.
    #[must_use]
    pub fn new(nodes: usize, edges: &[(u32, u32, f64)]) -> Self {
        let mut start = vec![0_u32; nodes + 1];
        for &(i, j, _) in edges {
            assert!(
                i < j && (j as usize) < nodes,
                "edge {i}-{j} of {nodes} nodes"
            );
            start[i as usize + 1] += 1;
            start[j as usize + 1] += 1;
        }
        for i in 0..nodes {
            start[i + 1] += start[i];
        }
        let mut upper = start[..nodes].to_vec();
        for &(_, j, _) in edges {
            upper[j as usize] += 1;
        }
        let mut neighbour = vec![0; 2 * edges.len()];
        let mut conductance = vec![0.0; 2 * edges.len()];
        // Smaller neighbours before `upper`, greater ones from there; both ascend, because the
        // edges are sorted.
        let (mut below, mut above) = (start[..nodes].to_vec(), upper.clone());
        let mut put = |next: &mut u32, other: u32, k: f64| {
            (neighbour[*next as usize], conductance[*next as usize]) = (other, k);
            *next += 1;
        };
        for &(i, j, k) in edges {
            put(&mut below[j as usize], i, k);
            put(&mut above[i as usize], j, k);
        }
        let part = |from: u32, to: u32| conductance[from as usize..to as usize].iter().sum();
        let sum = (0..nodes).map(|i| part(start[i], start[i + 1])).collect();
        let upper_sum = (0..nodes).map(|i| part(upper[i], start[i + 1])).collect();
        Self {
            start,
            upper,
            neighbour,
            conductance,
            sum,
            upper_sum,
        }
    }

    /// How many nodes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.sum.len()
    }

    /// `true` without nodes.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.sum.is_empty()
    }

    /// Neighbours of a node with the conductances to them.
    pub fn row(&self, i: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let range = self.start[i] as usize..self.start[i + 1] as usize;
        self.neighbour[range.clone()]
            .iter()
            .zip(&self.conductance[range])
            .map(|(j, k)| (*j as usize, *k))
    }

    #[inline]
    fn part(&self, from: u32, to: u32, x: &[f64]) -> f64 {
        let range = from as usize..to as usize;
        self.neighbour[range.clone()]
            .iter()
            .zip(&self.conductance[range])
            .map(|(j, k)| k * x[*j as usize])
            .sum()
    }

    /// What flows out of each node when `x` drives: Σ k (xᵢ − xⱼ). Summed over all nodes it is
    /// zero to rounding.
    #[inline]
    pub fn outflow(&self, x: &[f64], out: &mut [f64]) {
        for i in 0..self.sum.len() {
            let range = self.start[i] as usize..self.start[i + 1] as usize;
            let here = x[i];
            out[i] = self.neighbour[range.clone()]
                .iter()
                .zip(&self.conductance[range])
                .map(|(j, k)| k * (here - x[*j as usize]))
                .sum();
        }
    }
}

/// The matrix `diagonal + graph` with its incomplete factor and the buffers of the solver.
#[derive(Clone, Debug, Default)]
pub struct Solver {
    diagonal: Vec<f64>,
    inverse: Vec<f64>,
    /// Conductances times the inverse of their row.
    scaled: Vec<f64>,
    residual: Vec<f64>,
    direction: Vec<f64>,
    image: Vec<f64>,
    preconditioned: Vec<f64>,
    /// Passes made so far.
    pub passes: usize,
}

/// Share of the dropped fill that is lumped on the diagonal (Gustafsson 1978): with 1 the factor
/// can break down where conductances are negative, with 0 passes grow with the number of rows.
const LUMPED: f64 = 0.95;
/// Most passes of one solve; ten times what the stiffest case of the tests takes.
const MOST_PASSES: usize = 1000;

impl Solver {
    /// Sets what stands on the diagonal beside the graph's own sum; an infinite entry closes the
    /// row. `false` where the factor does not exist.
    pub fn prepare(&mut self, graph: &Graph, added: &[f64]) -> bool {
        self.diagonal.clear();
        self.diagonal
            .extend(added.iter().zip(&graph.sum).map(|(a, s)| a + s));
        self.inverse.clear();
        self.scaled.clear();
        for (i, added) in added.iter().enumerate() {
            let range = graph.start[i] as usize..graph.start[i + 1] as usize;
            if *added == f64::INFINITY {
                self.diagonal[i] = 0.0;
                self.inverse.push(0.0);
                self.scaled.resize(range.end, 0.0);
                continue;
            }
            let lower = range.start..graph.upper[i] as usize;
            let taken: f64 = graph.neighbour[lower.clone()]
                .iter()
                .zip(&graph.conductance[lower])
                .map(|(j, k)| {
                    let j = *j as usize;
                    let dropped = graph.upper_sum[j] - k;
                    k * (k + LUMPED * dropped) * self.inverse[j]
                })
                .sum();
            let rest = self.diagonal[i] - taken;
            // A row that breaks down keeps its own diagonal: slower there, but never wrong.
            let inverse = 1.0 / if rest > 0.0 { rest } else { self.diagonal[i] };
            if !(inverse > 0.0 && inverse.is_finite()) {
                return false;
            }
            self.inverse.push(inverse);
            self.scaled
                .extend(graph.conductance[range].iter().map(|k| k * inverse));
        }
        true
    }

    /// Solves in place of `x`, which holds the guess; stops when no row misses by more than
    /// `slack[i]`. `false` where it does not get there.
    pub fn solve(&mut self, graph: &Graph, right: &[f64], slack: &[f64], x: &mut [f64]) -> bool {
        let n = graph.len();
        for buffer in [
            &mut self.residual,
            &mut self.direction,
            &mut self.image,
            &mut self.preconditioned,
        ] {
            buffer.resize(n, 0.0);
        }
        for (x, inverse) in x.iter_mut().zip(&self.inverse) {
            if *inverse == 0.0 {
                *x = 0.0;
            }
        }
        for i in 0..n {
            let pull = graph.part(graph.start[i], graph.start[i + 1], x);
            self.residual[i] = if self.inverse[i] == 0.0 {
                0.0
            } else {
                right[i] - self.diagonal[i] * x[i] + pull
            };
        }
        if self.close_enough(slack) {
            return true;
        }
        let mut strength = self.precondition(graph);
        self.direction.copy_from_slice(&self.preconditioned);
        for _ in 0..MOST_PASSES {
            self.passes += 1;
            let curvature = self.multiply(graph);
            let step = strength / curvature;
            if !step.is_finite() {
                return false;
            }
            let mut miss = false;
            for ((((x, r), d), a), s) in x
                .iter_mut()
                .zip(&mut self.residual)
                .zip(&self.direction)
                .zip(&self.image)
                .zip(slack)
            {
                *x += step * d;
                *r -= step * a;
                miss |= r.abs() > *s;
            }
            if !miss {
                return true;
            }
            let new = self.precondition(graph);
            let kept = new / strength;
            strength = new;
            for (d, p) in self.direction.iter_mut().zip(&self.preconditioned) {
                *d = p + kept * *d;
            }
        }
        false
    }

    fn close_enough(&self, slack: &[f64]) -> bool {
        self.residual.iter().zip(slack).all(|(r, s)| r.abs() <= *s)
    }

    /// Image of the direction, zero in closed rows; returns their product.
    fn multiply(&mut self, graph: &Graph) -> f64 {
        let mut product = 0.0;
        let rows = self.image.iter_mut().zip(&self.direction);
        for (i, ((image, d), (diagonal, inverse))) in rows
            .zip(self.diagonal.iter().zip(&self.inverse))
            .enumerate()
        {
            *image = if *inverse == 0.0 {
                0.0
            } else {
                diagonal * d - graph.part(graph.start[i], graph.start[i + 1], &self.direction)
            };
            product += d * *image;
        }
        product
    }

    /// Applies the factor to the residual; returns their product. Each row waits for the one
    /// before it, so that neighbour comes last and costs one product and one sum.
    fn precondition(&mut self, graph: &Graph) -> f64 {
        let w = &mut self.preconditioned;
        let rows = self.inverse.iter().zip(&self.residual);
        for (i, (inverse, r)) in rows.enumerate() {
            let range = graph.start[i] as usize..graph.upper[i] as usize;
            let mut sum = inverse * r;
            for (j, k) in graph.neighbour[range.clone()]
                .iter()
                .zip(&self.scaled[range])
            {
                sum += k * w[*j as usize];
            }
            w[i] = sum;
        }
        let mut product = 0.0;
        for (i, r) in self.residual.iter().enumerate().rev() {
            let range = graph.upper[i] as usize..graph.start[i + 1] as usize;
            let mut sum = w[i];
            for (j, k) in graph.neighbour[range.clone()]
                .iter()
                .zip(&self.scaled[range])
                .rev()
            {
                sum += k * w[*j as usize];
            }
            w[i] = sum;
            product += r * sum;
        }
        product
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of nodes with uneven conductances, held in one corner.
    fn square(n: u32) -> Graph {
        let mut edges = Vec::new();
        for j in 0..n {
            for i in 0..n {
                let here = j * n + i;
                if i + 1 < n {
                    edges.push((here, here + 1, 1.0 + f64::from((i + j) % 3)));
                }
                if j + 1 < n {
                    edges.push((here, here + n, 2.0));
                }
            }
        }
        Graph::new((n * n) as usize, &edges)
    }

    /// With the answer chosen, the right side follows; the solver must find the answer to the
    /// slack asked over the least diagonal.
    #[test]
    fn finds_the_answer() {
        let graph = square(20);
        let n = graph.len();
        let mut added = vec![0.5; n];
        added[7] = f64::INFINITY;
        let answer: Vec<f64> = (0..n)
            .map(|i| if i == 7 { 0.0 } else { ((i * 37) % 11) as f64 })
            .collect();
        let mut right = vec![0.0; n];
        graph.outflow(&answer, &mut right);
        for i in 0..n {
            right[i] += if i == 7 { 3.0 } else { 0.5 * answer[i] };
        }
        let mut solver = Solver::default();
        assert!(solver.prepare(&graph, &added));
        let mut x = vec![0.0; n];
        assert!(solver.solve(&graph, &right, &vec![1e-11; n], &mut x));
        let worst = x
            .iter()
            .zip(&answer)
            .fold(0.0_f64, |m, (a, b)| m.max((a - b).abs()));
        // ‖A⁻¹‖∞ is 1/0.5.
        assert!(worst <= 2.1e-11, "{worst:e}");
        assert!(solver.passes < 60, "{}", solver.passes);
    }

    #[test]
    fn outflow_sums_to_nothing() {
        let graph = square(15);
        let x: Vec<f64> = (0..graph.len()).map(|i| ((i * 53) % 17) as f64).collect();
        let mut out = vec![0.0; graph.len()];
        graph.outflow(&x, &mut out);
        // Rounding of 225 terms of size up to 100.
        assert!(out.iter().sum::<f64>().abs() < 1e-11);
    }
}
