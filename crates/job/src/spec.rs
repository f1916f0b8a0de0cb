//! What must hold: the job after its text has been read, checked and completed with defaults.

use casewright_terms::{Composition, Diag, Length, Place, UnitSystem};

use crate::note::NoteReading;
use crate::shop::Shop;

/// One job: a note, a steel, parts of one kind, a shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Spec {
    /// Short name of the job.
    pub name: String,
    /// Customer's or shop's number, where given.
    pub number: Option<String>,
    /// How many parts.
    pub quantity: u32,
    /// The part.
    pub part: Part,
    /// The steel, as wished.
    pub steel: Steel,
    /// Heat (melt) number of the steel, where given: mixed heats must not share one lot result.
    pub heat: Option<String>,
    /// The note as read, with the job file's answers already applied (answered blocks are gone).
    pub note: NoteReading,
    /// Answers that were applied to the note.
    pub answers: Vec<Answer>,
    /// Stock removed after hardening, per side, by face; empty where nothing is ground.
    pub stock: Vec<Stock>,
    /// The shop.
    pub shop: Shop,
    /// When work may start at the earliest; `None` leaves clock times relative.
    pub start: Option<jiff::civil::DateTime>,
    /// Whether somebody with the standing to do so allows an unattended soak.
    pub unattended: bool,
    /// Units of the job.
    pub units: UnitSystem,
    /// Route, medium, box and temperature the person insists on, where given.
    pub wishes: Wishes,
    /// Each default that was taken, in words.
    pub defaults: Vec<String>,
    /// Warnings and notes from reading.
    pub remarks: Vec<Diag>,
}

/// The part: a simple body and what is cut into it.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What it is, in the shop's words.
    pub what: String,
    /// The body.
    pub shape: PartShape,
    /// Radius to which the body's edges are broken; `None` where it is not said, which is taken as
    /// sharp.
    pub edge_radius: Option<Length>,
    /// What is cut into it.
    pub features: Vec<Feature>,
}

/// A simple body. All lengths are full sizes (diameters, thicknesses), not halves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PartShape {
    /// A plate, cased from both faces.
    Plate {
        /// Thickness.
        thickness: Length,
        /// Width.
        width: Length,
        /// Length.
        length: Length,
    },
    /// A round bar, cased from outside.
    Bar {
        /// Diameter.
        diameter: Length,
        /// Length.
        length: Length,
    },
    /// A tube, cased from both walls.
    Tube {
        /// Outer diameter.
        outer: Length,
        /// Inner diameter.
        inner: Length,
        /// Length.
        length: Length,
    },
    /// A ball.
    Sphere {
        /// Diameter.
        diameter: Length,
    },
    /// A rectangular block, cased on all faces; `a` is the least side.
    Block {
        /// Least side.
        a: Length,
        /// Middle side.
        b: Length,
        /// Greatest side.
        c: Length,
    },
}

/// Something cut into the body.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// What kind.
    pub kind: FeatureKind,
    /// Name in the shop's words.
    pub name: String,
    /// Diameter of a bore or thread.
    pub diameter: Option<Length>,
    /// Least wall, web or land that the feature leaves.
    pub web: Option<Length>,
    /// Across a keyway.
    pub width: Option<Length>,
    /// Depth of a keyway; height of a thin web over its floor.
    pub depth: Option<Length>,
    /// Fillet in a keyway's corners or at a thin web's foot, or radius of a corner.
    pub radius: Option<Length>,
    /// Length or depth along the part.
    pub length: Option<Length>,
    /// Whether it must stay soft.
    pub stays_soft: bool,
    /// Where it stands in the job file.
    pub place: Option<Place>,
}

/// Kinds of features.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FeatureKind {
    /// A hole that is cased on its wall unless stopped off.
    Bore,
    /// A hole that does not go through.
    BlindHole,
    /// A thin wall or land.
    ThinWeb,
    /// A thread.
    Thread,
    /// A keyway or slot.
    Keyway,
    /// A sharp corner or edge.
    SharpCorner,
}

/// The steel as the job names it.
#[derive(Clone, Debug, PartialEq)]
pub enum Steel {
    /// A grade by its canonical name; the middle of its range is used.
    Grade {
        /// Canonical name.
        name: String,
        /// Where it stands.
        place: Option<Place>,
    },
    /// The chemistry of a mill certificate.
    Chemistry {
        /// What the steel is called, where said.
        label: String,
        /// Canonical grade it is sold as, where that grade is known.
        grade: Option<String>,
        /// The chemistry.
        composition: Composition,
        /// Where it stands.
        place: Option<Place>,
    },
}

/// Metal removed from one face after hardening.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Which face, in the shop's words.
    pub face: String,
    /// How much, per side.
    pub per_side: Length,
    /// How far a bow can shift it from side to side.
    pub bow: Length,
}

/// The customer's or instructor's answer to a block of the note.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Code of the block.
    pub code: String,
    /// The answer as written.
    pub value: String,
    /// Who said so, when.
    pub by: String,
}

/// What the person insists on.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Wishes {
    /// Route: `direct`, `single` or `double`.
    pub route: Option<RouteWish>,
    /// Mark of the tank.
    pub tank: Option<String>,
    /// Mark of the box.
    pub pack_box: Option<String>,
    /// Mark of the furnace.
    pub furnace: Option<String>,
    /// Mark of the compound lot.
    pub compound: Option<String>,
    /// Carburizing temperature.
    pub temperature: Option<casewright_terms::Temperature>,
    /// Tempering temperature.
    pub temper: Option<casewright_terms::Temperature>,
}

/// A route from the box to the quench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteWish {
    /// Quenched from the box after a short drop.
    Direct,
    /// Cooled in the box, reheated once, quenched.
    Single,
    /// Cooled in the box, quenched from the core's and then from the case's temperature.
    Double,
}

/// The job file's view of the steel table, so that a wrong grade is found with all other mistakes.
pub trait GradeBook {
    /// The canonical name of a grade written in any accepted way.
    fn find(&self, written: &str) -> Option<String>;
    /// Canonical names that look like it, best first.
    fn near(&self, written: &str) -> Vec<String>;
    /// What of a chemistry lies outside the range of a grade, in words, element by element; empty
    /// for a book that holds names only.
    fn outside(&self, name: &str, composition: &Composition) -> Vec<String> {
        let _ = (name, composition);
        Vec::new()
    }
}
