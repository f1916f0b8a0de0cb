//! Sections in two dimensions, and what to simulate in them. Values only.
//!
//! A section is cut across a long part; nothing changes along it. Each section says where its
//! origin lies and which way x and y run; results are in the same frame.

use casewright_terms::{Composition, Length, WeightPercent};

use super::{Cycle, DiffusivityModel, Surface};

/// Whether a face meets the medium.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// Open to the medium.
    Treated,
    /// Painted, plated or plugged: no carbon passes.
    StopOff,
}

/// A point of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanePoint {
    /// Along the section's x.
    pub x: Length,
    /// Along the section's y.
    pub y: Length,
}

/// A section through a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlaneSection {
    /// A rectangular bar. Origin in its lower left corner, x along the width, y along the height.
    Rectangle {
        /// Along x.
        width: Length,
        /// Along y.
        height: Length,
        /// Radius of all four corners; 0 is sharp.
        corner_radius: Length,
        /// Left, right, bottom, top.
        faces: [Face; 4],
    },
    /// The end of a plate that goes on for ever. Origin in the lower corner of the end, x into the
    /// plate, y across its thickness.
    PlateEdge {
        /// Along y.
        thickness: Length,
        /// Radius of both corners of the end; 0 is sharp.
        corner_radius: Length,
        /// The end.
        end: Face,
        /// Lower and upper flat.
        flats: [Face; 2],
    },
    /// A round bore under a flat surface of a thick body. Origin on the surface above the bore's
    /// axis, x along the surface, y into the body.
    BoreNearWall {
        /// Of the bore.
        diameter: Length,
        /// Metal between bore and surface where it is thinnest.
        wall: Length,
        /// The bore's wall.
        bore: Face,
        /// The flat surface.
        surface: Face,
    },
    /// Two round bores in a thick body. Origin in the middle of the web between them, x from axis
    /// to axis.
    TwoBores {
        /// Left and right.
        diameters: [Length; 2],
        /// Metal between them where it is thinnest.
        web: Length,
        /// Left and right.
        bores: [Face; 2],
    },
    /// A slot in a flat surface or in a round bar. Origin where the slot's middle line meets the
    /// surface (the circle's top), x along the surface, y into the body.
    Keyway {
        /// What it is cut into.
        body: KeywayBody,
        /// Across the slot.
        width: Length,
        /// From the surface (the circle's top) to the slot's floor.
        depth: Length,
        /// Radius in both inner corners; 0 is sharp.
        fillet: Length,
        /// The surface the slot is cut into.
        outside: Face,
        /// Walls and floor of the slot.
        slot: Face,
    },
    /// A thin web (rib, tooth) standing on a thick body. Origin in the middle of the web's tip, x
    /// across it, y from the tip towards the body.
    Web {
        /// Across the web.
        thickness: Length,
        /// From tip to floor.
        height: Length,
        /// Radius between web and floor; 0 is sharp.
        fillet: Length,
        /// Radius of both corners of the tip; 0 is sharp.
        tip_radius: Length,
        /// The end face.
        tip: Face,
        /// Both sides.
        sides: Face,
        /// The surface of the body on both sides of the web.
        floor: Face,
    },
}

/// What a keyway is cut into.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KeywayBody {
    /// A thick body with a flat surface.
    Flat,
    /// A round bar.
    Round {
        /// Of the bar.
        diameter: Length,
    },
}

/// How fine the mesh is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlaneGrid {
    /// As fine as the tolerance asks.
    ByTolerance,
    /// This many gaps along x and y of the part of the section that is solved (a quarter of a bar
    /// with equal faces, for example), graded the same way.
    Gaps {
        /// Along x.
        x: usize,
        /// Along y.
        y: usize,
    },
}

/// A carbon run in a section.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaneSetup {
    /// The steel; its carbon is the core's.
    pub composition: Composition,
    /// The section.
    pub section: PlaneSection,
    /// Diffusivity.
    pub diffusivity: DiffusivityModel,
    /// Factor on the diffusivity, 1 for the fit itself (the doubt about it).
    pub diffusivity_factor: f64,
    /// Condition on every treated face.
    pub surface: Surface,
    /// Temperature of the part.
    pub cycle: Cycle,
    /// Largest error wanted in the carbon.
    pub tolerance: WeightPercent,
    /// How fine the mesh is.
    pub grid: PlaneGrid,
}
