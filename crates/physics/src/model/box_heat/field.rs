//! The cells of all boxes: what flows between them, and what comes in through their outer faces.
//!
//! Flows are of second order in space on even cells; a face between unlike cells has their
//! resistances in series. Time is not known here.

use casewright_terms::quantity::ICE_POINT_K;

use crate::law::packed_bed;
use crate::model::pack_heat::furnace::{CONVECTION_W_M2_K, EMISSIVITY, SHOP_K, STEFAN_BOLTZMANN};
use crate::numerics::blocks::{Block, Links, lay_out, outflow};
use crate::setup::{BoxSetup, PackedBox, Survey};

use super::grid::Grid;
use super::matter::{Curve, Here, here};

/// What is around the boxes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Around {
    /// The chamber, whose hot face is followed.
    Furnace,
    /// Still air of the shop.
    Air,
    /// A film of a constant coefficient to a constant temperature, for closed forms.
    Film { t_k: f64, w_m2_k: f64 },
}

/// A piece of a box's outside.
struct Outer {
    cell: usize,
    area_m2: f64,
    half_m: f64,
    exposure: f64,
    /// How much more than the hot face its surroundings have, per kelvin above the shop.
    more: f64,
}

/// A face between wall and compound with a gap in it.
struct Gap {
    axis: usize,
    /// The cell on the lower side.
    cell: usize,
    step: usize,
    area_m2: f64,
    gap_m: f64,
}

pub(super) struct Field {
    pub(super) grids: Vec<Grid>,
    pub(super) blocks: Vec<Block>,
    pub(super) length: usize,
    pub(super) volume_m3: Vec<f64>,
    /// Shares of steel: for conduction, for content.
    share: Vec<f64>,
    heavy: Vec<f64>,
    beds: Vec<Curve>,
    steel: Curve,
    outer: Vec<Outer>,
    gaps: Vec<Gap>,
    exchange_factor: f64,
    conductivity: Vec<f64>,
    /// Heat content of each cell at the last look, in J.
    pub(super) content_j: Vec<f64>,
    /// Heat capacity of each cell at the last look, in J/K.
    pub(super) capacity_j_k: Vec<f64>,
    /// Heat into each cell at the last look, in W.
    pub(super) gain_w: Vec<f64>,
    /// Heat into all boxes through their outside at the last look, in W.
    pub(super) through_w: f64,
    /// Links between cells and to the surroundings, and what the outside adds to the diagonal.
    pub(super) links: Links,
    pub(super) film_w_k: Vec<f64>,
    pub(super) node_w_k: f64,
}

impl Field {
    pub(super) fn new(setup: &BoxSetup, cell_m: &[f64]) -> Self {
        let beds = setup.boxes.iter().map(|b| Curve::bed(&b.bed)).collect();
        Self::of(setup, cell_m, (beds, Curve::steel()))
    }

    /// With constant compound and steel, for closed forms.
    pub(super) fn constant(
        setup: &BoxSetup,
        cell_m: f64,
        bed: (f64, f64),
        steel: (f64, f64),
    ) -> Self {
        let beds = setup.boxes.iter().map(|_| Curve::constant(bed.0, bed.1));
        let cells = vec![cell_m; setup.boxes.len()];
        let steel = Curve::constant(steel.0, steel.1);
        Self::of(setup, &cells, (beds.collect(), steel))
    }

    fn of(setup: &BoxSetup, cell_m: &[f64], (beds, steel): (Vec<Curve>, Curve)) -> Self {
        let grids: Vec<Grid> = setup
            .boxes
            .iter()
            .zip(cell_m)
            .map(|(packed, cell)| Grid::new(packed, *cell))
            .collect();
        let sizes: Vec<[usize; 3]> = grids.iter().map(Grid::size).collect();
        let (blocks, length) = lay_out(&sizes);
        let zero = || vec![0.0; length];
        let mut field = Self {
            volume_m3: zero(),
            share: zero(),
            heavy: zero(),
            beds,
            steel,
            outer: Vec::new(),
            gaps: Vec::new(),
            exchange_factor: setup.furnace.exchange_factor,
            conductivity: zero(),
            content_j: zero(),
            capacity_j_k: zero(),
            gain_w: zero(),
            through_w: 0.0,
            links: Links::new(length),
            film_w_k: zero(),
            node_w_k: 0.0,
            grids,
            blocks,
            length,
        };
        for (b, packed) in setup.boxes.iter().enumerate() {
            field.place(setup, b, packed);
        }
        field
    }

    fn place(&mut self, setup: &BoxSetup, b: usize, packed: &PackedBox) {
        let grid = &self.grids[b];
        let start = self.blocks[b].start;
        let size = grid.size();
        let strides = [1, size[0], size[0] * size[1]];
        let stands = stands_at(setup, packed).map(|c| c + packed.wall.to_m());
        let chamber = setup.furnace.chamber.map(|l| l.to_m());
        let gap_m = packed.bed.gap.to_m();
        for cell in 0..size.iter().product() {
            let at = grid.place(cell);
            let volume = grid.volume_m3(cell);
            self.volume_m3[start + cell] = volume;
            self.share[start + cell] = grid.steel[cell];
            self.heavy[start + cell] = grid.heavy[cell];
            for axis in 0..3 {
                let width = grid.width_m[axis][at[axis]];
                for end in [0, 1] {
                    let last = if end == 0 { 0 } else { size[axis] - 1 };
                    if at[axis] != last {
                        continue;
                    }
                    let mut place = [0, 1, 2].map(|a| stands[a] + grid.centre_m[a][at[a]]);
                    place[axis] += (f64::from(end) - 0.5) * width;
                    self.outer.push(Outer {
                        cell: start + cell,
                        area_m2: volume / width,
                        half_m: width / 2.0,
                        exposure: packed.exposure[2 * axis + end as usize],
                        more: excess(&setup.furnace.survey, chamber, place),
                    });
                }
                let meets_wall = grid.wall == 1 && (at[axis] == 0 || at[axis] + 2 == size[axis]);
                let beside = (0..3).filter(|a| *a != axis);
                let within = beside.clone().all(|a| at[a] > 0 && at[a] + 1 < size[a]);
                if gap_m > 0.0 && meets_wall && within {
                    self.gaps.push(Gap {
                        axis,
                        cell: start + cell,
                        step: strides[axis],
                        area_m2: volume / width,
                        gap_m,
                    });
                }
            }
        }
    }

    fn look(&self, block: usize, cell: usize, t_k: f64) -> Here {
        here(
            &self.beds[block],
            &self.steel,
            (self.share[cell], self.heavy[cell]),
            t_k,
        )
    }

    /// Sets contents, capacities, flows and links for these temperatures.
    pub(super) fn look_at(&mut self, t_k: &[f64], hot_k: f64, around: Around) {
        for b in 0..self.blocks.len() {
            let (start, end) = (self.blocks[b].start, self.blocks[b].end());
            for (cell, t) in t_k.iter().enumerate().take(end).skip(start) {
                let here = self.look(b, cell, *t);
                let volume = self.volume_m3[cell];
                self.conductivity[cell] = here.conductivity;
                self.content_j[cell] = here.content * volume;
                self.capacity_j_k[cell] = here.capacity * volume;
            }
        }
        self.link();
        for gap in &self.gaps {
            let g = &mut self.links.along[gap.axis][gap.cell];
            let mean_k = (t_k[gap.cell] + t_k[gap.cell + gap.step]) / 2.0;
            let across = gap.area_m2 * packed_bed::gap_w_m2_k(gap.gap_m, mean_k);
            *g = *g * across / (*g + across);
        }
        outflow(&self.blocks, &self.links, t_k, &mut self.gain_w);
        for gain in &mut self.gain_w {
            *gain = -*gain;
        }
        self.outside(t_k, hot_k, around);
    }

    fn link(&mut self) {
        let k = &self.conductivity;
        for (block, grid) in self.blocks.iter().zip(&self.grids) {
            let [wx, wy, wz] = &grid.width_m;
            let [nx, ny, nz] = block.size;
            let [gx, gy, gz] = &mut self.links.along;
            let layer = nx * ny;
            for z in 0..nz {
                for y in 0..ny {
                    let i = block.start + nx * (y + ny * z);
                    let here = &k[i..i + nx];
                    let area = 2.0 * wy[y] * wz[z];
                    for ((g, pair), w) in gx[i..].iter_mut().zip(here.windows(2)).zip(wx.windows(2))
                    {
                        *g = area * pair[0] * pair[1] / (w[0] * pair[1] + w[1] * pair[0]);
                    }
                    if y + 1 < ny {
                        across(
                            &mut gy[i..i + nx],
                            here,
                            &k[i + nx..],
                            wx,
                            wz[z],
                            (wy[y], wy[y + 1]),
                        );
                    }
                    if z + 1 < nz {
                        across(
                            &mut gz[i..i + nx],
                            here,
                            &k[i + layer..],
                            wx,
                            wy[y],
                            (wz[z], wz[z + 1]),
                        );
                    }
                }
            }
        }
    }

    fn outside(&mut self, t_k: &[f64], hot_k: f64, around: Around) {
        self.through_w = 0.0;
        self.node_w_k = 0.0;
        for face in &self.outer {
            self.film_w_k[face.cell] = 0.0;
            self.links.node[face.cell] = 0.0;
        }
        for face in &self.outer {
            let (cell, factor) = (face.cell, face.exposure * self.exchange_factor);
            let t = t_k[cell];
            // Coefficient, and the slopes of the flux with either temperature.
            let (there_k, film, slope, slope_there) = match around {
                Around::Furnace => {
                    let there_k = hot_k + face.more * (hot_k - SHOP_K);
                    let (h, a, b) = exchange(t, there_k);
                    (there_k, factor * h, factor * a, factor * b)
                }
                // The shop has no other box and no hearth to shade the faces.
                Around::Air => {
                    let (h, a, b) = exchange(t, SHOP_K);
                    (SHOP_K, h, a, b)
                }
                Around::Film { t_k, w_m2_k } => {
                    let h = w_m2_k * face.exposure;
                    (t_k, h, h, h)
                }
            };
            let half = face.half_m / self.conductivity[cell];
            let with = |h: f64| face.area_m2 * h / (1.0 + h * half);
            let q = with(film) * (there_k - t);
            self.gain_w[cell] += q;
            self.through_w += q;
            self.film_w_k[cell] += with(slope);
            if around == Around::Furnace {
                // The middle of the two slopes keeps the matrix symmetric; what that misses is made
                // good by the repetition.
                self.links.node[cell] +=
                    crate::numerics::fun::sqrt(with(slope) * with(slope_there));
                self.node_w_k += with(slope_there);
            }
        }
    }

    /// Temperatures that have these heat contents, starting from near ones; sets neither flows nor
    /// links.
    pub(super) fn settle(&self, content_j: &[f64], t_k: &mut [f64]) {
        for b in 0..self.blocks.len() {
            for cell in self.blocks[b].start..self.blocks[b].end() {
                let volume = self.volume_m3[cell];
                // The content is straight between the entries: a second look is exact, two more
                // are for crossing an entry.
                for _ in 0..4 {
                    let here = self.look(b, cell, t_k[cell]);
                    let miss = content_j[cell] - here.content * volume;
                    if miss == 0.0 {
                        break;
                    }
                    t_k[cell] += miss / (here.capacity * volume);
                }
            }
        }
    }

    /// Heat in all boxes at these temperatures, in J.
    pub(super) fn total_j(&self, t_k: &[f64]) -> f64 {
        (0..self.blocks.len())
            .flat_map(|b| (self.blocks[b].start..self.blocks[b].end()).map(move |cell| (b, cell)))
            .map(|(b, cell)| self.look(b, cell, t_k[cell]).content * self.volume_m3[cell])
            .sum()
    }
}

/// Links across y or z: `along` is the width across the remaining direction.
fn across(g: &mut [f64], here: &[f64], next: &[f64], wx: &[f64], along: f64, (w, v): (f64, f64)) {
    for (((g, a), b), wx) in g.iter_mut().zip(here).zip(next).zip(wx) {
        *g = 2.0 * wx * along * a * b / (w * b + v * a);
    }
}

/// Outer corner of a box in the chamber, in metres.
pub(super) fn stands_at(setup: &BoxSetup, packed: &PackedBox) -> [f64; 3] {
    if let Some(at) = packed.stands_at {
        return at.map(|l| l.to_m());
    }
    let outside = |a: usize| packed.inside[a].to_m() + 2.0 * packed.wall.to_m();
    let chamber = setup.furnace.chamber.map(|l| l.to_m());
    let middle = |a: usize| (chamber[a] - outside(a)) / 2.0;
    [middle(0), middle(1), 0.0]
}

/// What a place in the chamber has more than the hot face, per kelvin above the shop.
pub(super) fn excess(survey: &Survey, chamber_m: [f64; 3], place_m: [f64; 3]) -> f64 {
    let share = |axis: usize| (place_m[axis] / chamber_m[axis]).clamp(0.0, 1.0);
    let between = |a: f64, b: f64, s: f64| a + s * (b - a);
    let more_k = between(survey.door.to_k(), survey.back.to_k(), share(1))
        + between(survey.hearth.to_k(), survey.roof.to_k(), share(2));
    more_k / (survey.at.to_k() - ICE_POINT_K - 25.0)
}

/// Radiation and convection between two surfaces: the coefficient in W/(m²·K), and the slopes of
/// the flux with the first and the second temperature.
fn exchange(a_k: f64, b_k: f64) -> (f64, f64, f64) {
    let s = EMISSIVITY * STEFAN_BOLTZMANN;
    let (a2, b2) = (a_k * a_k, b_k * b_k);
    (
        s * (a2 + b2) * (a_k + b_k) + CONVECTION_W_M2_K,
        4.0 * s * a2 * a_k + CONVECTION_W_M2_K,
        4.0 * s * b2 * b_k + CONVECTION_W_M2_K,
    )
}
