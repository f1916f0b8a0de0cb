//! Where parts and coupons stand in one box: straight rows and layers that a bench can follow.
//!
//! It does not look for the densest packing. Parts stand in one grid of equal cells; a coupon takes
//! the cells that it needs out of the same grid, so that it rides between parts. The others stand at
//! the ends of the box where there is room beside the grid, or else take cells too; where the grid
//! has no cell (one large block), the first stands beside the work as well.

use casewright_terms::Length;

use crate::outcome::{Cover, Placed};

/// Parts beyond this many are never asked for: no box of a small shop holds them.
const MOST_PARTS: usize = 10_000;
/// Beside more parts than this a place for a coupon is not looked for outside the grid.
const MOST_BESIDE: usize = 60;
/// A part this much longer than its middle side stands upright where the height allows it: lying
/// it can sag under its own weight [trade-practice]; the ratio itself is a judgement.
const SLENDER: f64 = 3.0;

/// How parts stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// As near as the spacing rule allows, gathered in the middle.
    Close,
    /// Spread out as far as the cover to the walls allows: nearer the walls, where heat comes first.
    Loose,
}

/// What is to be put into one box.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    /// Sides of the brick around a part.
    pub part: [Length; 3],
    /// Whether the part is round about its longest side.
    pub round: bool,
    /// How many at most.
    pub parts: usize,
    /// Coupon: diameter, length.
    pub coupon: [Length; 2],
    /// How many coupons.
    pub coupons: usize,
    /// How parts stand to each other.
    pub spread: Spread,
}

/// Parts and coupons in their places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Arranged {
    /// Parts, numbered row by row from the door, lowest layer first.
    pub parts: Vec<Placed>,
    /// Coupons: nearest the middle first, nearest the back last.
    pub coupons: Vec<Placed>,
    /// Whether long slender parts stand upright; `None` where the part is not slender.
    pub upright: Option<bool>,
    layers: usize,
}

/// The part of the box that steel may stand in, along x (width), y (length, door at 0), z (up).
pub struct Room {
    from: [Length; 3],
    to: [Length; 3],
    between: Length,
}

/// Cells of one grid along x, y, z.
type Cells = [usize; 3];

impl Room {
    /// `inside` is width, height, length, as boxes are given.
    #[must_use]
    pub fn new(inside: [Length; 3], cover: Cover) -> Self {
        Self {
            from: [cover.wall, cover.wall, cover.below],
            to: [
                inside[0] - cover.wall,
                inside[2] - cover.wall,
                inside[1] - cover.above,
            ],
            between: cover.between,
        }
    }

    /// As many of the parts as fit, with all coupons; nothing where not even one part fits so.
    #[must_use]
    pub fn arrange(&self, load: &Load) -> Arranged {
        let mut best: Option<Arranged> = None;
        for size in orientations(load.part) {
            let Some(found) = self.most(size, load) else {
                continue;
            };
            if best.as_ref().is_none_or(|held| rank(&found) > rank(held)) {
                best = Some(found);
            }
        }
        best.unwrap_or_default()
    }

    /// Takes parts away until parts and coupons all fit; bisected, not counted down.
    fn most(&self, size: [Length; 3], load: &Load) -> Option<Arranged> {
        let (mut least, mut most) = (1, load.parts.min(MOST_PARTS));
        let mut best = None;
        while least <= most {
            let count = least + (most - least) / 2;
            let found = self
                .between_and_at_ends(size, load, count)
                .or_else(|| self.grid(size, load, count))
                .or_else(|| self.beside(size, load, count));
            match found {
                Some(found) => {
                    best = Some(found);
                    least = count + 1;
                }
                None => most = count - 1,
            }
        }
        best
    }

    fn space(&self, axis: usize) -> Length {
        self.to[axis] - self.from[axis]
    }

    /// How many pieces of this side stand in a row along the axis.
    fn fit(&self, axis: usize, side: Length) -> usize {
        // A micron of room: sums of millimetres are not exact in binary.
        let space = self.space(axis) + self.between + Length::from_um(1.0);
        (space / (side + self.between)).floor().clamp(0.0, 1e4) as usize
    }

    /// Everything in one grid of equal cells.
    fn grid(&self, size: [Length; 3], load: &Load, count: usize) -> Option<Arranged> {
        let most: Cells = [0, 1, 2].map(|axis| self.fit(axis, size[axis]));
        if most.contains(&0) {
            return None;
        }
        let blocks = self.blocks(size, load.coupon, most)?;
        let block_cells: usize = blocks.1.iter().product();
        let total = count + load.coupons * block_cells;
        grids(most, total)
            .into_iter()
            .take(64)
            .find_map(|cells| self.fill(size, load, count, cells, &blocks))
    }

    /// The way a coupon lies in the grid with the fewest cells: its size and the cells.
    fn blocks(
        &self,
        size: [Length; 3],
        [diameter, length]: [Length; 2],
        most: Cells,
    ) -> Option<([Length; 3], Cells)> {
        let along = [1, 0, 2].map(|axis| {
            let mut coupon = [diameter; 3];
            coupon[axis] = length;
            let cells = [0, 1, 2].map(|i| {
                let pitch = size[i] + self.between;
                ((coupon[i] + self.between - Length::from_um(1.0)) / pitch)
                    .ceil()
                    .max(1.0) as usize
            });
            (coupon, cells)
        });
        along
            .into_iter()
            .filter(|(_, cells)| (0..3).all(|i| cells[i] <= most[i]))
            .min_by_key(|(_, cells)| cells.iter().product::<usize>())
    }

    fn fill(
        &self,
        size: [Length; 3],
        load: &Load,
        count: usize,
        cells: Cells,
        (coupon, block): &([Length; 3], Cells),
    ) -> Option<Arranged> {
        let mut taken = vec![false; cells.iter().product()];
        let at = |c: Cells| (c[2] * cells[1] + c[1]) * cells[0] + c[0];
        let mut origins: Vec<Cells> = Vec::new();
        for target in targets(load.coupons) {
            let origin = nearest_block(cells, *block, target, |c| taken[at(c)])?;
            for_block(origin, *block, |c| taken[at(c)] = true);
            origins.push(origin);
        }
        if taken.iter().filter(|t| !**t).count() < count {
            return None;
        }
        let pitch = self.pitch(size, cells, load.spread);
        let corner = [0, 1, 2].map(|axis| {
            let used = pitch[axis] * (cells[axis] - 1) as f64 + size[axis];
            // In the middle across; on its bed of compound in height.
            let spare = if axis == 2 { 0.0 } else { 0.5 };
            self.from[axis] + (self.space(axis) - used) * spare
        });
        let place = |c: Cells| [0, 1, 2].map(|i| corner[i] + pitch[i] * c[i] as f64);
        let mut parts = Vec::with_capacity(count);
        let (mut k, mut layers) = (0, 0);
        while parts.len() < count {
            if !taken[k] {
                let c = [
                    k % cells[0],
                    k / cells[0] % cells[1],
                    k / cells[0] / cells[1],
                ];
                layers = c[2] + 1;
                let mark = (parts.len() + 1).to_string();
                parts.push(placed(mark, place(c), size, load.round));
            }
            k += 1;
        }
        let coupons = origins
            .iter()
            .enumerate()
            .map(|(i, origin)| {
                let low = place(*origin);
                let mut mid = low;
                for axis in 0..3 {
                    let room = pitch[axis] * (block[axis] - 1) as f64 + size[axis];
                    // On the same bed as the parts; across, in the middle of its cells.
                    let spare = if axis == 2 { 0.0 } else { 0.5 };
                    mid[axis] = low[axis] + (room - coupon[axis]) * spare;
                }
                placed(format!("K{}", i + 1), mid, *coupon, true)
            })
            .collect();
        Some(Arranged {
            upright: upright(size),
            parts,
            coupons,
            layers,
        })
    }

    /// Distance from one cell to the next.
    fn pitch(&self, size: [Length; 3], cells: Cells, spread: Spread) -> [Length; 3] {
        [0, 1, 2].map(|axis| {
            let least = size[axis] + self.between;
            if spread == Spread::Loose && axis < 2 && cells[axis] > 1 {
                let most = (self.space(axis) - size[axis]) / (cells[axis] - 1) as f64;
                most.max(least)
            } else {
                least
            }
        })
    }

    /// Parts in a grid, coupons beside it: for work so large that a coupon finds no cell.
    fn beside(&self, size: [Length; 3], load: &Load, count: usize) -> Option<Arranged> {
        if count > MOST_BESIDE {
            return None;
        }
        let most: Cells = [0, 1, 2].map(|axis| self.fit(axis, size[axis]));
        if most.contains(&0) {
            return None;
        }
        let none = ([Length::ZERO; 3], [1; 3]);
        let alone = Load {
            coupons: 0,
            ..*load
        };
        let grid = grids(most, count)
            .into_iter()
            .take(8)
            .find_map(|cells| self.fill(size, &alone, count, cells, &none))?;
        // In the middle first; where that leaves no strip, against the cover of a wall.
        for push in [None, Some(0), Some(1)] {
            let mut held = grid.clone();
            if let Some(axis) = push {
                let low = held
                    .parts
                    .iter()
                    .map(|p| p.at[axis])
                    .fold(self.to[axis], Length::min);
                for part in &mut held.parts {
                    part.at[axis] = part.at[axis] - (low - self.from[axis]);
                }
            }
            if self.add_coupons(&mut held, load).is_some() {
                return Some(held);
            }
        }
        None
    }

    /// The first coupon between the parts, the others at the ends of the box, where it is coldest and
    /// hottest.
    fn between_and_at_ends(
        &self,
        size: [Length; 3],
        load: &Load,
        count: usize,
    ) -> Option<Arranged> {
        if count > MOST_BESIDE || load.coupons < 2 {
            return None;
        }
        let first = Load {
            coupons: 1,
            ..*load
        };
        let mut held = self.grid(size, &first, count)?;
        self.add_coupons(&mut held, load)?;
        Some(held)
    }

    fn add_coupons(&self, held: &mut Arranged, load: &Load) -> Option<()> {
        for target in targets(load.coupons).split_off(held.coupons.len()) {
            let aim = [0, 1, 2].map(|i| self.from[i] + self.space(i) * target[i]);
            let mut best: Option<(f64, [Length; 3], [Length; 3])> = None;
            for axis in [1, 0, 2] {
                let mut coupon = [load.coupon[0]; 3];
                coupon[axis] = load.coupon[1];
                let [xs, ys, zs] = [0, 1, 2].map(|i| self.stands(i, coupon[i], held));
                for (x, y, z) in crossed(&xs, &ys, &zs) {
                    let at = [x, y, z];
                    let off = (0..3)
                        .map(|i| {
                            ((at[i] + coupon[i] * 0.5 - aim[i]).to_m() / self.space(i).to_m())
                                .powi(2)
                        })
                        .sum::<f64>();
                    if best.is_none_or(|(held, _, _)| off < held - 1e-12)
                        && self.is_free(at, coupon, held)
                    {
                        best = Some((off, at, coupon));
                    }
                }
            }
            let (_, at, coupon) = best?;
            let mark = format!("K{}", held.coupons.len() + 1);
            held.coupons.push(placed(mark, at, coupon, true));
        }
        Some(())
    }

    /// Places along an axis that are worth a look: the ends and middle of the room, and next to
    /// or in line with what stands there.
    fn stands(&self, axis: usize, side: Length, held: &Arranged) -> Vec<Length> {
        let (from, to) = (self.from[axis], self.to[axis]);
        let mut list = vec![from, to - side, (from + to - side) * 0.5];
        for p in held.parts.iter().chain(&held.coupons) {
            let (low, high) = (p.at[axis], p.at[axis] + p.size[axis]);
            list.extend([
                low,
                high - side,
                (low + high - side) * 0.5,
                high + self.between,
                low - self.between - side,
            ]);
        }
        list.retain(|at| {
            *at >= from - Length::from_um(1.0) && *at + side <= to + Length::from_um(1.0)
        });
        list.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
        list.dedup_by(|a, b| (*a - *b) < Length::from_um(10.0));
        list
    }

    fn is_free(&self, at: [Length; 3], size: [Length; 3], held: &Arranged) -> bool {
        held.parts.iter().chain(&held.coupons).all(|p| {
            (0..3).any(|i| {
                let gap = (p.at[i] - at[i] - size[i]).max(at[i] - p.at[i] - p.size[i]);
                gap >= self.between - Length::from_um(1.0)
            })
        })
    }
}

fn crossed<'l>(
    xs: &'l [Length],
    ys: &'l [Length],
    zs: &'l [Length],
) -> impl Iterator<Item = (Length, Length, Length)> + 'l {
    xs.iter().flat_map(move |x| {
        ys.iter()
            .flat_map(move |y| zs.iter().map(move |z| (*x, *y, *z)))
    })
}

/// The more the better: parts; slender ones upright in one layer; few layers; lying low; the long
/// side along the box.
fn rank(
    a: &Arranged,
) -> (
    usize,
    bool,
    std::cmp::Reverse<usize>,
    std::cmp::Reverse<u64>,
    bool,
) {
    let size = a.parts.first().map_or([Length::ZERO; 3], |p| p.size);
    let stands = a.upright == Some(true) && a.layers == 1;
    (
        a.parts.len(),
        stands,
        std::cmp::Reverse(a.layers),
        std::cmp::Reverse(size[2].to_um().max(0.0) as u64),
        size[1] >= size[0],
    )
}

/// Whether a slender part stands; `None` where it is not slender.
fn upright(size: [Length; 3]) -> Option<bool> {
    let mut sides = size;
    sides.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
    (sides[2] > sides[1] * SLENDER).then(|| size[2] == sides[2])
}

/// Where coupons are wanted, as shares of the load: the middle is last to be hot, the back of the
/// chamber is hottest, the door side coldest. [trade-practice]
fn targets(coupons: usize) -> Vec<[f64; 3]> {
    const MIDDLE: [f64; 3] = [0.5; 3];
    const DOOR: [f64; 3] = [0.0; 3];
    const BACK: [f64; 3] = [1.0; 3];
    match coupons {
        0 => vec![],
        1 => vec![MIDDLE],
        2 => vec![MIDDLE, BACK],
        n => {
            let mut list = vec![MIDDLE];
            list.extend((2..n).map(|_| DOOR));
            list.push(BACK);
            list
        }
    }
}

/// Grids that hold so many cells: few layers first, then few cells too many, then even sides.
fn grids(most: Cells, total: usize) -> Vec<Cells> {
    let mut list = Vec::new();
    for layers in 1..=most[2] {
        for rows in 1..=most[1].min(total) {
            let columns = total.div_ceil(layers * rows).max(1);
            if columns <= most[0] {
                list.push([columns, rows, layers]);
                // One column more may be what lets a coupon's block in.
                if columns < most[0] {
                    list.push([columns + 1, rows, layers]);
                }
            }
        }
    }
    // At least one row more than a row of blocks is tried by the larger grids at the end.
    list.push(most);
    list.sort_by_key(|c| (c[2], c.iter().product::<usize>(), c[0].abs_diff(c[1])));
    list.dedup();
    list
}

/// The free block of cells nearest to a target given as shares of the grid.
fn nearest_block(
    cells: Cells,
    block: Cells,
    target: [f64; 3],
    taken: impl Fn(Cells) -> bool,
) -> Option<Cells> {
    let mut best: Option<(f64, Cells)> = None;
    let ends = [0, 1, 2].map(|i| (cells[i] + 1).checked_sub(block[i]));
    let [Some(ex), Some(ey), Some(ez)] = ends else {
        return None;
    };
    for z in 0..ez {
        for y in 0..ey {
            for x in 0..ex {
                let origin = [x, y, z];
                let off: f64 = (0..3)
                    .map(|i| {
                        let middle = origin[i] as f64 + block[i] as f64 / 2.0;
                        (middle - target[i] * cells[i] as f64).powi(2)
                    })
                    .sum();
                if best.is_none_or(|(held, _)| off < held - 1e-9) {
                    let mut free = true;
                    for_block(origin, block, |c| free &= !taken(c));
                    if free {
                        best = Some((off, origin));
                    }
                }
            }
        }
    }
    best.map(|(_, origin)| origin)
}

fn for_block(origin: Cells, block: Cells, mut each: impl FnMut(Cells)) {
    for z in 0..block[2] {
        for y in 0..block[1] {
            for x in 0..block[0] {
                each([origin[0] + x, origin[1] + y, origin[2] + z]);
            }
        }
    }
}

fn placed(mark: String, at: [Length; 3], size: [Length; 3], round: bool) -> Placed {
    Placed {
        mark,
        at,
        size,
        round,
    }
}

/// The ways a brick can lie with its edges along the box: each order of its sides once.
fn orientations(sides: [Length; 3]) -> Vec<[Length; 3]> {
    const ORDERS: [[usize; 3]; 6] = [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ];
    let mut found: Vec<[Length; 3]> = Vec::new();
    for order in ORDERS {
        let turned = order.map(|i| sides[i]);
        if !found.contains(&turned) {
            found.push(turned);
        }
    }
    found
}
