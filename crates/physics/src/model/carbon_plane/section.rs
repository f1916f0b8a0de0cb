//! From a section in the trade's words to a region with its boundary, mirrors and grid.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

use casewright_terms::Length;

use crate::model::carbon::outcome::{between, refuse};
use crate::numerics::fun::{atan2, sqrt};
use crate::numerics::outline::{Line, Piece, Point, Region, Void};
use crate::run::Failure;
use crate::setup::{Face, KeywayBody, PlaneSection};

/// A region that is solved, and where it is mirrored.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Part {
    pub region: Region,
    pub mirror_x_m: Option<f64>,
    pub mirror_y_m: Option<f64>,
}

/// Sizes that can be simulated, in metres.
const SIZE_M: (f64, f64) = (1e-6, 10.0);

fn size(name: &str, value: Length) -> Result<f64, Failure> {
    between(name, value.to_m(), SIZE_M, "m").map(|()| value.to_m())
}

/// A radius from 0 (sharp) to a limit; what is below `sharp_m` is sharp.
fn radius(name: &str, value: Length, most_m: f64, sharp_m: f64) -> Result<f64, Failure> {
    // A limit met to rounding is met.
    between(name, value.to_m(), (0.0, most_m * (1.0 + 1e-12)), "m")?;
    let r = value.to_m().min(most_m);
    Ok(if r < sharp_m { 0.0 } else { r })
}

/// Whether a rounding that is asked for is too small to be drawn.
pub(super) fn drawn_sharp(section: &PlaneSection, sharp_m: f64) -> bool {
    let radii = match *section {
        PlaneSection::Rectangle { corner_radius, .. }
        | PlaneSection::PlateEdge { corner_radius, .. } => vec![corner_radius],
        PlaneSection::Keyway { fillet, .. } => vec![fillet],
        PlaneSection::Web {
            fillet, tip_radius, ..
        } => vec![fillet, tip_radius],
        PlaneSection::BoreNearWall { .. } | PlaneSection::TwoBores { .. } => Vec::new(),
    };
    let too_small = |r: &Length| r.to_m() > 0.0 && r.to_m() < sharp_m;
    radii.iter().any(too_small)
}

/// Whether an inner corner that carbon passes by is sharp.
pub(super) fn sharp_inside(section: &PlaneSection) -> bool {
    match *section {
        PlaneSection::Keyway { fillet, slot, .. } => fillet.to_m() == 0.0 && slot == Face::Treated,
        PlaneSection::Web {
            fillet,
            sides,
            floor,
            ..
        } => fillet.to_m() == 0.0 && (sides, floor) != (Face::StopOff, Face::StopOff),
        _ => false,
    }
}

#[derive(Default)]
struct Outline {
    voids: Vec<Void>,
    pieces: Vec<Piece>,
}

impl Outline {
    fn straight(&mut self, from: Point, to: Point, face: Face) {
        if from != to {
            let open = face == Face::Treated;
            self.pieces.push(Piece {
                line: Line::Straight { from, to },
                open,
            });
        }
    }

    fn round(&mut self, (centre, radius_m): (Point, f64), (from, to): (f64, f64), face: Face) {
        if radius_m > 0.0 {
            let open = face == Face::Treated;
            let line = Line::Round {
                centre,
                radius_m,
                from,
                to,
            };
            self.pieces.push(Piece { line, open });
        }
    }

    /// A quarter circle between two faces; where they differ each has its half.
    fn between(&mut self, circle: (Point, f64), from: f64, [first, second]: [Face; 2]) {
        if first == second {
            self.round(circle, (from, from + FRAC_PI_2), first);
        } else {
            let middle = from + FRAC_PI_4;
            self.round(circle, (from, middle), first);
            self.round(circle, (middle, from + FRAC_PI_2), second);
        }
    }

    fn part(self, window: [Point; 2], mirror_x_m: Option<f64>, mirror_y_m: Option<f64>) -> Part {
        Part {
            region: Region {
                window,
                voids: self.voids,
                pieces: self.pieces,
            },
            mirror_x_m,
            mirror_y_m,
        }
    }
}

/// Makes the region. Endless bodies are cut `far_m` from what is drawn; roundings of less than
/// `sharp_m` are sharp.
pub(super) fn part(section: &PlaneSection, far_m: f64, sharp_m: f64) -> Result<Part, Failure> {
    match *section {
        PlaneSection::Rectangle {
            width,
            height,
            corner_radius,
            faces,
        } => {
            let (w, h) = (size("width", width)?, size("height", height)?);
            let r = radius("corner radius", corner_radius, 0.5 * w.min(h), sharp_m)?;
            let [left, right, bottom, top] = faces;
            Ok(bar((w, Some(right)), h, r, [left, bottom, top]))
        }
        PlaneSection::PlateEdge {
            thickness,
            corner_radius,
            end,
            flats,
        } => {
            let h = size("thickness", thickness)?;
            let r = radius("corner radius", corner_radius, 0.5 * h, sharp_m)?;
            Ok(bar((r + far_m, None), h, r, [end, flats[0], flats[1]]))
        }
        PlaneSection::BoreNearWall {
            diameter,
            wall,
            bore,
            surface,
        } => {
            let (r, wall) = (0.5 * size("diameter", diameter)?, size("wall", wall)?);
            let mut outline = Outline::default();
            let centre = [0.0, wall + r];
            let right = r + far_m;
            outline.voids.push(Void::Disc {
                centre,
                radius_m: r,
            });
            outline.straight([0.0, 0.0], [right, 0.0], surface);
            outline.round((centre, r), (-FRAC_PI_2, FRAC_PI_2), bore);
            let window = [[0.0, 0.0], [right, wall + 2.0 * r + far_m]];
            Ok(outline.part(window, Some(0.0), None))
        }
        PlaneSection::TwoBores {
            diameters,
            web,
            bores,
        } => {
            let left = 0.5 * size("left diameter", diameters[0])?;
            let right = 0.5 * size("right diameter", diameters[1])?;
            let web = size("web", web)?;
            Ok(two_bores([left, right], web, bores, far_m))
        }
        PlaneSection::Keyway { .. } => keyway(section, far_m, sharp_m),
        PlaneSection::Web { .. } => web(section, far_m, sharp_m),
    }
}

/// A rectangle whose right side may be endless; equal opposite faces make a mirror.
fn bar(
    (width, right): (f64, Option<Face>),
    height: f64,
    r: f64,
    [left, bottom, top]: [Face; 3],
) -> Part {
    let mirror_x = (right == Some(left)).then_some(0.5 * width);
    let mirror_y = (bottom == top).then_some(0.5 * height);
    let (x1, y1) = (mirror_x.unwrap_or(width), mirror_y.unwrap_or(height));
    let right = if mirror_x.is_some() { None } else { right };
    let upper = mirror_y.is_none();
    let mut outline = Outline::default();
    let (far_x, far_y) = (
        if right.is_some() { width - r } else { x1 },
        if upper { height - r } else { y1 },
    );
    outline.straight([0.0, r], [0.0, far_y], left);
    outline.straight([r, 0.0], [far_x, 0.0], bottom);
    if upper {
        outline.straight([r, height], [far_x, height], top);
    }
    if let Some(right) = right {
        outline.straight([width, r], [width, far_y], right);
    }
    let mut corner = |corner: Point, centre: Point, from: f64, faces: [Face; 2]| {
        if r > 0.0 {
            outline.voids.push(Void::Corner { corner, centre });
            outline.between((centre, r), from, faces);
        }
    };
    // Angles run anticlockwise with y up: the lower left corner spans 180 to 270 degrees.
    corner([0.0, 0.0], [r, r], PI, [left, bottom]);
    if upper {
        corner([0.0, height], [r, height - r], FRAC_PI_2, [top, left]);
    }
    if let Some(right) = right {
        corner([width, 0.0], [width - r, r], -FRAC_PI_2, [bottom, right]);
        if upper {
            let centre = [width - r, height - r];
            corner([width, height], centre, 0.0, [right, top]);
        }
    }
    outline.part([[0.0, 0.0], [x1, y1]], mirror_x, mirror_y)
}

fn two_bores([left, right]: [f64; 2], web: f64, bores: [Face; 2], far_m: f64) -> Part {
    let equal = left == right && bores[0] == bores[1];
    let mut outline = Outline::default();
    let mut bore = |centre: Point, radius_m: f64, face: Face| {
        outline.voids.push(Void::Disc { centre, radius_m });
        outline.round((centre, radius_m), (0.0, PI), face);
    };
    bore([0.5 * web + right, 0.0], right, bores[1]);
    if !equal {
        bore([-0.5 * web - left, 0.0], left, bores[0]);
    }
    let from = if equal {
        0.0
    } else {
        -0.5 * web - 2.0 * left - far_m
    };
    let to = [0.5 * web + 2.0 * right + far_m, left.max(right) + far_m];
    outline.part([[from, 0.0], to], equal.then_some(0.0), Some(0.0))
}

fn keyway(section: &PlaneSection, far_m: f64, sharp_m: f64) -> Result<Part, Failure> {
    let PlaneSection::Keyway {
        body,
        width,
        depth,
        fillet,
        outside,
        slot,
    } = *section
    else {
        unreachable!("called for keyways only")
    };
    let (half, depth) = (0.5 * size("slot width", width)?, size("slot depth", depth)?);
    let mut outline = Outline::default();
    let (start_y, window) = match body {
        KeywayBody::Flat => {
            let right = half + far_m;
            outline.straight([half, 0.0], [right, 0.0], outside);
            (0.0, [[0.0, 0.0], [right, depth + far_m]])
        }
        KeywayBody::Round { diameter } => {
            let r = 0.5 * size("bar diameter", diameter)?;
            if half >= 0.95 * r || depth >= 1.9 * r {
                return Err(refuse(format!(
                    "a slot {} m wide and {depth} m deep leaves no bar of {} m diameter; at most \
                     95 % of the diameter can be simulated",
                    2.0 * half,
                    2.0 * r
                )));
            }
            let start_y = r - sqrt(r * r - half * half);
            let centre = [0.0, r];
            let from = atan2(start_y - r, half);
            outline.voids.push(Void::OutsideDisc {
                centre,
                radius_m: r,
            });
            outline.round((centre, r), (from, FRAC_PI_2), outside);
            (start_y, [[0.0, 0.0], [r, 2.0 * r]])
        }
    };
    let wall = depth - start_y;
    if wall <= 0.0 {
        return Err(refuse(format!(
            "the slot is {depth} m deep, less than the {start_y} m the round falls off over its \
             width"
        )));
    }
    let f = radius("fillet", fillet, half.min(0.95 * wall), sharp_m)?;
    rounded_slot(&mut outline, half, depth, f);
    outline.straight([half, start_y], [half, depth - f], slot);
    outline.round(([half - f, depth - f], f), (0.0, FRAC_PI_2), slot);
    outline.straight([0.0, depth], [half - f, depth], slot);
    Ok(outline.part(window, Some(0.0), None))
}

/// The slot as two boxes and a disc in the inner corner.
fn rounded_slot(outline: &mut Outline, half: f64, depth: f64, f: f64) {
    let low = [-half, -depth];
    let high = [half, depth - f];
    outline.voids.push(Void::Box { low, high });
    if f > 0.0 {
        let high = [half - f, depth];
        outline.voids.push(Void::Box { low, high });
        outline.voids.push(Void::Disc {
            centre: [half - f, depth - f],
            radius_m: f,
        });
    }
}

fn web(section: &PlaneSection, far_m: f64, sharp_m: f64) -> Result<Part, Failure> {
    let PlaneSection::Web {
        thickness,
        height,
        fillet,
        tip_radius,
        tip,
        sides,
        floor,
    } = *section
    else {
        unreachable!("called for webs only")
    };
    let (half, height) = (
        0.5 * size("web thickness", thickness)?,
        size("web height", height)?,
    );
    let rt = radius("tip radius", tip_radius, half.min(0.5 * height), sharp_m)?;
    let f = radius("fillet", fillet, height - rt, sharp_m)?;
    let right = half + f + far_m;
    let mut outline = Outline::default();
    let (below, beyond) = (-height, 2.0 * right);
    outline.voids.push(Void::Box {
        low: [half, below],
        high: [beyond, height - f],
    });
    if f > 0.0 {
        outline.voids.push(Void::Box {
            low: [half + f, below],
            high: [beyond, height],
        });
        outline.voids.push(Void::Disc {
            centre: [half + f, height - f],
            radius_m: f,
        });
    }
    if rt > 0.0 {
        outline.voids.push(Void::Corner {
            corner: [half, 0.0],
            centre: [half - rt, rt],
        });
    }
    outline.straight([0.0, 0.0], [half - rt, 0.0], tip);
    outline.between(([half - rt, rt], rt), -FRAC_PI_2, [tip, sides]);
    outline.straight([half, rt], [half, height - f], sides);
    outline.between(([half + f, height - f], f), FRAC_PI_2, [floor, sides]);
    outline.straight([half + f, height], [right, height], floor);
    let window = [[0.0, 0.0], [right, height + far_m]];
    Ok(outline.part(window, Some(0.0), None))
}
