//! A mosaic of grains whose marks cover given shares of the area: needles of martensite with pale
//! austenite between them, ferrite along the boundaries and as whole grains, colonies of lamellae,
//! feathered bainite, dots of carbide.
//!
//! Grains are the cells of a disturbed hexagonal lattice. Each grain is divided by straight cuts, so
//! that areas are exact; a share too small to be seen in every grain is saved up and given to one
//! grain in several. It knows no depth and no steel.

use casewright_physics::numerics::fun::{cos, sin, sqrt};

type Point = (f64, f64);
type Polygon = Vec<Point>;

/// What an area stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Martensite,
    Austenite,
    Bainite,
    Pearlite,
    Ferrite,
    Carbide,
}

impl Kind {
    pub(super) const ALL: [Self; 6] = [
        Self::Martensite,
        Self::Austenite,
        Self::Bainite,
        Self::Pearlite,
        Self::Ferrite,
        Self::Carbide,
    ];
    /// Areas in the order in which later ones cover earlier ones; dots come after the strokes.
    pub(super) const ORDER: [Self; 5] = [
        Self::Ferrite,
        Self::Martensite,
        Self::Austenite,
        Self::Bainite,
        Self::Pearlite,
    ];

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Martensite => "martensite",
            Self::Austenite => "retained austenite",
            Self::Bainite => "bainite",
            Self::Pearlite => "pearlite",
            Self::Ferrite => "ferrite",
            Self::Carbide => "carbide",
        }
    }

    pub(super) const fn tone(self) -> Tone {
        match self {
            Self::Martensite => Tone::Needle,
            Self::Austenite => Tone::Pale,
            Self::Bainite => Tone::Feather,
            Self::Pearlite => Tone::Colony,
            Self::Ferrite => Tone::White,
            Self::Carbide => Tone::Dot,
        }
    }
}

/// Tones, each with its own grey.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tone {
    White,
    Pale,
    Needle,
    Drawn,
    Feather,
    Colony,
    Dot,
    NeedleLine,
    DrawnLine,
    FeatherLine,
    Lamella,
}

/// Shares of the area; they add up to 1.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Shares {
    pub(super) martensite: f64,
    pub(super) retained_austenite: f64,
    pub(super) bainite: f64,
    pub(super) pearlite: f64,
    pub(super) ferrite: f64,
    pub(super) carbide: f64,
}

impl Shares {
    pub(super) fn named(&self) -> [(&'static str, f64); 6] {
        [
            ("martensite", self.martensite),
            ("austenite", self.retained_austenite),
            ("bainite", self.bainite),
            ("pearlite", self.pearlite),
            ("ferrite", self.ferrite),
            ("carbide", self.carbide),
        ]
    }

    pub(super) fn pure(kind: Kind) -> Self {
        let one = |of: Kind| if of == kind { 1.0 } else { 0.0 };
        Self {
            martensite: one(Kind::Martensite),
            retained_austenite: one(Kind::Austenite),
            bainite: one(Kind::Bainite),
            pearlite: one(Kind::Pearlite),
            ferrite: one(Kind::Ferrite),
            carbide: one(Kind::Carbide),
        }
    }
}

/// Everything to be drawn.
#[derive(Debug, Default)]
pub(super) struct Marks {
    /// Areas by [`Kind`].
    pub(super) areas: [Vec<Polygon>; 6],
    pub(super) strokes: Vec<(Tone, Vec<(Point, Point)>)>,
    /// Austenite grains.
    pub(super) outlines: Vec<Polygon>,
    pub(super) dots: Vec<Polygon>,
    /// Whether the martensite was drawn.
    pub(super) drawn: bool,
}

/// Fills a rectangle. `shares` gives what belongs at a place across.
pub(super) fn mosaic(
    at: Point,
    size: Point,
    spacing: f64,
    drawn: bool,
    shares: &dyn Fn(f64) -> Shares,
) -> Marks {
    let mut made = Maker {
        marks: Marks {
            drawn,
            ..Marks::default()
        },
        saved: Saved::default(),
        needles: Vec::new(),
        feathers: Vec::new(),
        lamellae: Vec::new(),
    };
    for (number, cell) in cells(at, size, spacing).into_iter().enumerate() {
        made.grain(number as u32, &cell, shares);
    }
    let needle = if drawn {
        Tone::DrawnLine
    } else {
        Tone::NeedleLine
    };
    made.marks.strokes = vec![
        (needle, made.needles),
        (Tone::FeatherLine, made.feathers),
        (Tone::Lamella, made.lamellae),
    ];
    made.marks
}

/// Areas owed to a kind that no grain has been given yet.
#[derive(Default)]
struct Saved {
    ferrite: f64,
    bainite: f64,
    pearlite: f64,
    carbide: f64,
}

struct Maker {
    marks: Marks,
    saved: Saved,
    needles: Vec<(Point, Point)>,
    feathers: Vec<(Point, Point)>,
    lamellae: Vec<(Point, Point)>,
}

/// Least and most of a grain that a colony takes, so that it can be seen as one.
const COLONY: (f64, f64) = (0.2, 1.0);
/// Ferrite along the boundaries covers at most this of a grain; more is given as whole grains.
const RIM_MOST: f64 = 0.55;
/// Least rim that can be seen.
const RIM_LEAST: f64 = 0.05;
/// Area of one dot of carbide.
const DOT: f64 = 1.1;

impl Maker {
    fn grain(&mut self, number: u32, cell: &Polygon, shares: &dyn Fn(f64) -> Shares) {
        let area = area_of(cell);
        if area < 0.5 {
            return;
        }
        let middle = centroid(cell);
        let here = shares(middle.0);
        self.marks.outlines.push(cell.clone());
        // Dots lie on top of all others, so these share what the dots leave; each loses alike.
        let under = (1.0 - here.carbide).max(1e-6);
        self.saved.ferrite += area * here.ferrite / under;
        self.saved.bainite += area * here.bainite / under;
        self.saved.pearlite += area * here.pearlite / under;
        let hard = here.martensite + here.retained_austenite;
        let mut rest = self.ferrite(cell, middle, area, here.ferrite);
        let turn = hash(number, 7) * std::f64::consts::PI;
        if !rest.is_empty() {
            let soft_only = hard < 0.02;
            rest = self.colony(
                rest,
                area,
                Kind::Bainite,
                turn,
                soft_only && here.pearlite < 0.02,
            );
        }
        if !rest.is_empty() {
            rest = self.colony(rest, area, Kind::Pearlite, turn + 2.0, hard < 0.02);
        }
        if !rest.is_empty() {
            let needles = here.martensite / hard.max(1e-9);
            self.needles_in(&rest, number, needles);
        }
        self.dots(cell, number, area, here.carbide, hard < 0.02);
    }

    /// Ferrite along the boundary, or the whole grain; gives what is left of it.
    fn ferrite(&mut self, cell: &Polygon, middle: Point, area: f64, share: f64) -> Polygon {
        let owed = self.saved.ferrite;
        let whole = share > RIM_MOST && owed > 0.8 * area;
        let give = if whole {
            area
        } else if owed < RIM_LEAST * area {
            return cell.clone();
        } else {
            owed.min(RIM_MOST * area)
        };
        self.saved.ferrite -= give;
        self.marks.areas[Kind::Ferrite as usize].push(cell.clone());
        if whole {
            return Vec::new();
        }
        let scale = sqrt(1.0 - give / area);
        cell.iter()
            .map(|p| {
                (
                    middle.0 + (p.0 - middle.0) * scale,
                    middle.1 + (p.1 - middle.1) * scale,
                )
            })
            .collect()
    }

    /// A colony cut off the rest, where enough is owed; `all` gives it whatever is left.
    fn colony(&mut self, rest: Polygon, grain: f64, kind: Kind, turn: f64, all: bool) -> Polygon {
        let left = area_of(&rest);
        let owed = if kind == Kind::Bainite {
            &mut self.saved.bainite
        } else {
            &mut self.saved.pearlite
        };
        let give = if all {
            left
        } else if *owed < (COLONY.0 * grain).min(left) {
            return rest;
        } else {
            owed.min(COLONY.1 * left)
        };
        *owed -= give;
        let direction = (cos(turn), sin(turn));
        let (piece, rest) = if give >= 0.98 * left {
            (rest, Vec::new())
        } else {
            cut_area(&rest, direction, give)
        };
        let (lines, spacing, tilt) = if kind == Kind::Bainite {
            (&mut self.feathers, 3.2, 0.5)
        } else {
            (&mut self.lamellae, 2.6, 1.1)
        };
        hatch(&piece, turn + tilt, spacing, kind == Kind::Bainite, lines);
        self.marks.areas[kind as usize].push(piece);
        rest
    }

    /// Packets of needles with austenite between them.
    fn needles_in(&mut self, rest: &Polygon, number: u32, share: f64) {
        let turn = hash(number, 1) * std::f64::consts::PI;
        let across = (cos(turn), sin(turn));
        let split = area_of(rest) * (0.35 + 0.3 * hash(number, 2));
        let (one, two) = cut_area(rest, across, split);
        for (k, packet) in [one, two].into_iter().enumerate() {
            if area_of(&packet) < 1.0 {
                continue;
            }
            let angle = turn + 0.6 + 1.05 * k as f64;
            self.packet(&packet, number * 2 + k as u32, angle, share);
        }
    }

    /// One packet: the ground is martensite, wedges of austenite are cut out of it, and the needles'
    /// edges are drawn.
    fn packet(&mut self, packet: &Polygon, number: u32, angle: f64, share: f64) {
        self.marks.areas[Kind::Martensite as usize].push(packet.clone());
        let normal = (cos(angle), sin(angle));
        let (low, high) = extent(packet, normal);
        let width = high - low;
        let count = (width / 4.0).round().clamp(2.0, 8.0) as usize;
        for k in 0..count {
            let from = low + width * k as f64 / count as f64;
            let to = low + width * (k + 1) as f64 / count as f64;
            let slice = clip(&clip(packet, normal, from, true), normal, to, false);
            let whole = area_of(&slice);
            if whole < 0.2 {
                continue;
            }
            // A cut a little askew makes a needle of the one side and a wedge of the other.
            let lean = (hash(number, 10 + k as u32) - 0.5) * 0.5;
            let askew = (cos(angle + lean), sin(angle + lean));
            let pale = (1.0 - share) * whole;
            if pale > 0.12 {
                let (wedge, _) = cut_area(&slice, askew, pale);
                self.marks.areas[Kind::Austenite as usize].push(wedge);
            } else if let Some(edge) = chord(&slice, askew, 0.5) {
                self.needles.push(edge);
            }
            if k > 0
                && let Some(edge) = chord_at(packet, normal, from)
            {
                self.needles.push(edge);
            }
        }
    }

    /// Dots: along the boundary where carbide came out of slow cooling, else all over the grain.
    fn dots(&mut self, cell: &Polygon, number: u32, area: f64, share: f64, along: bool) {
        self.saved.carbide += area * share;
        let middle = centroid(cell);
        let radius = sqrt(DOT / DOT_SHAPE);
        let mut k = 0;
        while self.saved.carbide >= DOT && k < 60 {
            self.saved.carbide -= DOT;
            let edge = hash(number, 100 + k) * cell.len() as f64;
            let i = (edge as usize).min(cell.len() - 1);
            let (a, b) = (cell[i], cell[(i + 1) % cell.len()]);
            let t = edge - i as f64;
            let rim = (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
            let reach = if along {
                0.93
            } else {
                0.9 * sqrt(hash(number, 300 + k))
            };
            let at = (
                middle.0 + reach * (rim.0 - middle.0),
                middle.1 + reach * (rim.1 - middle.1),
            );
            self.marks.dots.push(hexagon(at, radius));
            k += 1;
        }
    }
}

/// Area of a hexagon of radius one.
const DOT_SHAPE: f64 = 2.598_076;

fn hexagon(at: Point, radius: f64) -> Polygon {
    let h = 0.866_025 * radius;
    [
        (radius, 0.0),
        (radius / 2.0, h),
        (-radius / 2.0, h),
        (-radius, 0.0),
        (-radius / 2.0, -h),
        (radius / 2.0, -h),
    ]
    .into_iter()
    .map(|(x, y)| (at.0 + x, at.1 + y))
    .collect()
}

/// A number from 0 to 1 that belongs to a grain and a purpose: the same on every machine.
fn hash(number: u32, purpose: u32) -> f64 {
    let mut h = number
        .wrapping_mul(0x9E37_79B1)
        .wrapping_add(purpose.wrapping_mul(0x85EB_CA77));
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    f64::from(h) / f64::from(u32::MAX)
}

/// Cells of a disturbed hexagonal lattice, cut at the rectangle; column after column, so that what is
/// owed is paid near where it was owed.
fn cells(at: Point, size: Point, spacing: f64) -> Vec<Polygon> {
    let pitch = spacing * 0.866_025;
    let columns = (size.0 / pitch).ceil() as i32 + 2;
    let rows = (size.1 / spacing).ceil() as i32 + 2;
    let seed = |column: i32, row: i32| -> Point {
        let number = ((column + 50) * 1000 + row + 50).unsigned_abs();
        let shift = if column.rem_euclid(2) == 0 { 0.0 } else { 0.5 };
        let wobble = |purpose| (hash(number, purpose) - 0.5) * 0.62 * spacing;
        (
            at.0 + (f64::from(column) + 0.3) * pitch + wobble(21),
            at.1 + (f64::from(row) + shift) * spacing + wobble(22),
        )
    };
    let frame = vec![
        at,
        (at.0 + size.0, at.1),
        (at.0 + size.0, at.1 + size.1),
        (at.0, at.1 + size.1),
    ];
    let mut all = Vec::new();
    for column in -2..=columns {
        for row in -2..=rows {
            let own = seed(column, row);
            let mut cell = frame.clone();
            for dc in -3..=3 {
                for dr in -3..=3 {
                    if (dc, dr) == (0, 0) || cell.is_empty() {
                        continue;
                    }
                    let other = seed(column + dc, row + dr);
                    let away = (own.0 - other.0, own.1 - other.1);
                    let middle = ((own.0 + other.0) / 2.0, (own.1 + other.1) / 2.0);
                    let level = middle.0 * away.0 + middle.1 * away.1;
                    cell = clip(&cell, away, level, true);
                }
            }
            if cell.len() >= 3 {
                all.push(cell);
            }
        }
    }
    all
}

fn dot(a: Point, b: Point) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

/// The part of a convex polygon where `normal · p` is at least `level` (or at most, if not `above`).
fn clip(polygon: &[Point], normal: Point, level: f64, above: bool) -> Polygon {
    let sign = if above { 1.0 } else { -1.0 };
    let side = |p: Point| sign * (dot(p, normal) - level);
    let mut out = Vec::with_capacity(polygon.len() + 1);
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        let (sa, sb) = (side(a), side(b));
        if sa >= 0.0 {
            out.push(a);
        }
        if (sa > 0.0 && sb < 0.0) || (sa < 0.0 && sb > 0.0) {
            let t = sa / (sa - sb);
            out.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
        }
    }
    if out.len() < 3 { Vec::new() } else { out }
}

fn area_of(polygon: &[Point]) -> f64 {
    let mut sum = 0.0;
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        sum += a.0 * b.1 - b.0 * a.1;
    }
    sum.abs() / 2.0
}

/// Mean of the corners: good enough for a point well inside a convex cell.
fn centroid(polygon: &[Point]) -> Point {
    let n = polygon.len().max(1) as f64;
    let sum = polygon
        .iter()
        .fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    (sum.0 / n, sum.1 / n)
}

fn extent(polygon: &[Point], normal: Point) -> (f64, f64) {
    polygon
        .iter()
        .map(|p| dot(*p, normal))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
            (a.min(v), b.max(v))
        })
}

/// Cuts a piece of the wanted area off the low side; gives the piece and the rest.
fn cut_area(polygon: &[Point], normal: Point, wanted: f64) -> (Polygon, Polygon) {
    let (mut low, mut high) = extent(polygon, normal);
    // Thirty halvings of a picture's width are far below its last decimal.
    for _ in 0..30 {
        let level = (low + high) / 2.0;
        if area_of(&clip(polygon, normal, level, false)) < wanted {
            low = level;
        } else {
            high = level;
        }
    }
    let level = (low + high) / 2.0;
    (
        clip(polygon, normal, level, false),
        clip(polygon, normal, level, true),
    )
}

/// The stretch of a straight line inside a polygon.
fn chord_at(polygon: &[Point], normal: Point, level: f64) -> Option<(Point, Point)> {
    let mut ends = Vec::new();
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        let (sa, sb) = (dot(a, normal) - level, dot(b, normal) - level);
        if (sa < 0.0) != (sb < 0.0) {
            let t = sa / (sa - sb);
            ends.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
        }
    }
    (ends.len() == 2).then(|| (ends[0], ends[1]))
}

fn chord(polygon: &[Point], normal: Point, share: f64) -> Option<(Point, Point)> {
    let (low, high) = extent(polygon, normal);
    chord_at(polygon, normal, low + share * (high - low))
}

/// Parallel strokes through a piece; feathers reach only part of the way.
fn hatch(
    piece: &[Point],
    angle: f64,
    spacing: f64,
    feathered: bool,
    out: &mut Vec<(Point, Point)>,
) {
    let normal = (cos(angle), sin(angle));
    let (low, high) = extent(piece, normal);
    let count = ((high - low) / spacing).floor().clamp(1.0, 40.0) as usize;
    let step = (high - low) / (count as f64 + 1.0);
    for k in 1..=count {
        let Some((a, b)) = chord_at(piece, normal, low + step * k as f64) else {
            continue;
        };
        if feathered {
            let t = if k % 2 == 0 { 0.62 } else { 0.85 };
            out.push((a, (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))));
        } else {
            out.push((a, b));
        }
    }
}
