//! The quench of one part, with what goes into the bath beside it. Values only.

use casewright_terms::{Composition, Length, Mass, Temperature, Volume, WeightPercent};

use super::{PlanePoint, QuenchSetup, Shape};

/// What is quenched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum QuenchBody {
    /// A body in which only the depth counts.
    Round(Shape),
    /// A long bar of rectangular section, cooled alike on all four faces.
    Bar {
        /// Along x.
        width: Length,
        /// Along y.
        height: Length,
    },
}

/// Where an answer is wanted.
#[derive(Clone, Debug, PartialEq)]
pub enum QuenchPlaces {
    /// Depths from the outer surface.
    Depths(Vec<Length>),
    /// Points of a bar's section, from its corner inward.
    Points(Vec<PlanePoint>),
}

/// Something that goes into the bath hot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dumped {
    /// Its mass.
    pub mass: Mass,
    /// Its temperature when it goes in.
    pub temperature: Temperature,
    /// Whether it is steel (fixture, box) or charcoal compound.
    pub steel: bool,
}

/// The bath as a vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct BathSetup {
    /// Liquid in it.
    pub volume: Volume,
    /// All parts that go in at once.
    pub parts: Mass,
    /// What goes in with them.
    pub dumped: Vec<Dumped>,
    /// Flash point of an oil.
    pub flash_point: Option<Temperature>,
}

/// A quench of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct QuenchPartSetup {
    /// The steel; its carbon is the core's.
    pub composition: Composition,
    /// The body.
    pub body: QuenchBody,
    /// Carbon by depth from the nearest surface, ascending; the last one holds to the middle.
    /// Without a point it is the core's all through.
    pub profile: Vec<(Length, WeightPercent)>,
    /// Temperature of the part when it leaves the furnace.
    pub from: Temperature,
    /// Liquid, movement, temperature, delay.
    pub quench: QuenchSetup,
    /// ASTM grain number of the austenite.
    pub grain_number: f64,
    /// Where answers are wanted.
    pub places: QuenchPlaces,
    /// The vessel, where the rise is wanted.
    pub bath: Option<BathSetup>,
}
