//! What was read on a lot: hardness, traverses, ground steps, rings, files, weights, structures;
//! on which piece, with which tester, by whom and when. Values only; `read` fills them from an
//! evidence file, `print` writes them back.
//!
//! Says nothing about what the readings prove: that is the judge's.

mod list;
pub mod print;
pub mod read;
mod sections;

use casewright_terms::{Area, Diag, Fraction, Length, Mass, Place, Scale, UnitSystem};

pub use print::print;
pub use read::parse;

/// Everything one evidence file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Number of the job it belongs to, where given.
    pub job: Option<String>,
    /// Name of the run in the shop book, where given.
    pub run: Option<String>,
    /// Units of the file, by its first length.
    pub units: UnitSystem,
    /// Pieces that readings were taken on.
    pub specimens: Vec<Specimen>,
    /// Testers with what their check blocks said.
    pub testers: Vec<Tester>,
    /// What was read, in the order of the text.
    pub items: Vec<Item>,
    /// Warnings and notes from reading.
    pub remarks: Vec<Diag>,
}

impl Evidence {
    /// The piece of that mark.
    #[must_use]
    pub fn specimen(&self, mark: &str) -> Option<&Specimen> {
        self.specimens
            .iter()
            .find(|piece| piece.mark.eq_ignore_ascii_case(mark))
    }

    /// The tester of that mark.
    #[must_use]
    pub fn tester(&self, id: &str) -> Option<&Tester> {
        self.testers
            .iter()
            .find(|tester| tester.id.eq_ignore_ascii_case(id))
    }
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpecimenKind {
    /// One of the parts themselves.
    Part,
    /// A test piece cased with the work.
    Coupon,
    /// The same steel, hardened with the work but not cased.
    Control,
}

/// How far through the route a piece was when it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Carburized and cooled, not hardened.
    Carburized,
    /// Quenched, not tempered.
    Quenched,
    /// Quenched and tempered.
    Tempered,
}

/// A piece that readings were taken on.
#[derive(Clone, Debug, PartialEq)]
pub struct Specimen {
    /// Its mark.
    pub mark: String,
    /// What it is.
    pub kind: SpecimenKind,
    /// How far it had come.
    pub state: State,
    /// Grade of its steel, as written; `None` is not known.
    pub steel: Option<String>,
    /// Heat (melt) number of its steel; `None` is not known.
    pub heat: Option<String>,
    /// Whether it was in the box with the work; always for a part, `None` is not known.
    pub carburized_with_lot: Option<bool>,
    /// Whether it went through the same reheat, quench and temper; `None` is not known.
    pub hardened_with_lot: Option<bool>,
    /// Where in the box it was.
    pub position: Option<String>,
    /// Diameter where it is round; `None` for a flat piece.
    pub diameter: Option<Length>,
    /// Thickness of a flat piece, or of its thinnest wall.
    pub thickness: Option<Length>,
    /// Where it stands in the file.
    pub place: Place,
}

/// A tester and its check blocks.
#[derive(Clone, Debug, PartialEq)]
pub struct Tester {
    /// Its mark.
    pub id: String,
    /// Whose it is, what it is.
    pub what: Option<String>,
    /// Check-block results, in the order of the text.
    pub blocks: Vec<Block>,
    /// Where it stands in the file.
    pub place: Place,
}

/// A scale, with its test force in kgf where the scale's name leaves that open (HV1, HK0.5).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestScale {
    /// The scale.
    pub scale: Scale,
    /// The force in kgf.
    pub force_kgf: Option<f64>,
}

impl std::fmt::Display for TestScale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.scale)?;
        match self.force_kgf {
            Some(force) => write!(f, "{force}"),
            None => Ok(()),
        }
    }
}

/// One check on a reference block.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Its scale.
    pub scale: TestScale,
    /// Hardness on the block's certificate.
    pub nominal: f64,
    /// The block's own tolerance, either way, where the certificate gives one.
    pub tolerance: Option<f64>,
    /// What the tester read on it.
    pub readings: Vec<f64>,
    /// When.
    pub date: Option<jiff::civil::Date>,
    /// Where it stands in the file.
    pub place: Place,
}

/// One thing that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its name: kind and number in the file, such as `traverse 1`.
    pub name: String,
    /// Mark of the piece.
    pub specimen: String,
    /// Who read it.
    pub by: Option<String>,
    /// When.
    pub date: Option<jiff::civil::Date>,
    /// Mark of the tester.
    pub tester: Option<String>,
    /// Words of whoever read it.
    pub remark: Option<String>,
    /// What was read.
    pub what: What,
    /// Where it stands in the file.
    pub place: Place,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// Readings on a surface, a core or an area.
    Hardness(Readings),
    /// Micro-hardness against depth on a cut section.
    Traverse(Traverse),
    /// Readings on steps ground into the case.
    StepGrind(StepGrind),
    /// Readings along a flat ground at a slant.
    TaperGrind(TaperGrind),
    /// The case seen on a broken or an etched face.
    Ring(Ring),
    /// A test file.
    FileTest(FileTest),
    /// Mass taken up in the box.
    WeightGain(WeightGain),
    /// What a microscope showed.
    Structure(Structure),
}

impl What {
    /// The word of its section in the file, such as `step_grind`.
    #[must_use]
    pub const fn section(&self) -> &'static str {
        match self {
            Self::Hardness(_) => "hardness",
            Self::Traverse(_) => "traverse",
            Self::StepGrind(_) => "step_grind",
            Self::TaperGrind(_) => "taper_grind",
            Self::Ring(_) => "ring",
            Self::FileTest(_) => "file",
            Self::WeightGain(_) => "weight",
            Self::Structure(_) => "structure",
        }
    }

    /// The kind in words, such as `step grind`.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Hardness(_) => "hardness",
            Self::Traverse(_) => "traverse",
            Self::StepGrind(_) => "step grind",
            Self::TaperGrind(_) => "taper grind",
            Self::Ring(_) => "ring",
            Self::FileTest(_) => "file test",
            Self::WeightGain(_) => "weight gain",
            Self::Structure(_) => "structure",
        }
    }
}

/// What a hardness reading is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// The cased surface.
    Surface,
    /// The core: a cut face, or an uncased control.
    Core,
    /// An area that is to stay soft.
    SoftArea,
}

/// How much of the hardened surface is gone where a reading was taken.
#[derive(Clone, Debug, PartialEq)]
pub enum Surface {
    /// Nothing: as hardened.
    AsHardened,
    /// This much per side was polished or ground off first.
    Removed(Length),
    /// The finished face of a part, ground to the drawing; which one, where said.
    Finished(Option<String>),
}

/// Readings at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// The scale.
    pub scale: TestScale,
    /// Each reading, never only the mean.
    pub values: Vec<f64>,
    /// What they are about.
    pub at: Where,
    /// Where on the piece, or which area, in words.
    pub spot: Option<String>,
    /// The state of the surface.
    pub surface: Surface,
    /// Diameter of the round they were taken on; `None` is a flat.
    pub round: Option<Length>,
    /// Whether a correction for the round is in the numbers already.
    pub corrected: bool,
}

/// How a traverse runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Direction {
    /// Straight in from the surface, in one or more rows.
    Perpendicular,
    /// Along a section cut at a slant; the depths in the file are true depths already.
    Oblique,
}

/// One band of a traverse: hardness against depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Traverse {
    /// HV or HK with its force.
    pub scale: TestScale,
    /// Depth per side of each indent's centre below the surface as hardened.
    pub depths: Vec<Length>,
    /// Reading at each.
    pub values: Vec<f64>,
    /// How it runs.
    pub direction: Direction,
    /// Least distance of two indents, centre to centre, where said.
    pub spacing: Option<Length>,
    /// Error of each depth, either way, where said.
    pub depth_error: Option<Length>,
    /// Metal per side that was gone before the section was cut; depths are counted from the surface
    /// as hardened all the same.
    pub ground_before: Length,
}

/// Readings on ground steps.
#[derive(Clone, Debug, PartialEq)]
pub struct StepGrind {
    /// The scale.
    pub scale: TestScale,
    /// Metal removed per side at each step; the first may be 0.
    pub removed: Vec<Length>,
    /// Readings on each step.
    pub values: Vec<Vec<f64>>,
    /// Error of each depth, either way, where said.
    pub depth_error: Option<Length>,
}

/// Readings along a ground slant.
#[derive(Clone, Debug, PartialEq)]
pub struct TaperGrind {
    /// The scale.
    pub scale: TestScale,
    /// Distance of each reading from where the slant leaves the surface, along the slant.
    pub along: Vec<Length>,
    /// Reading at each.
    pub values: Vec<f64>,
    /// Depth per length along the slant: 1 in 20 is 0.05.
    pub slope: f64,
    /// Error of each depth, either way, where said.
    pub depth_error: Option<Length>,
}

/// How a ring was made visible.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RingKind {
    /// A piece quenched and broken.
    Fracture,
    /// A cut face, polished and etched.
    Etched,
}

/// The case as seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// How it was made visible.
    pub kind: RingKind,
    /// Depth per side of the ring, at each place it was read.
    pub depths: Vec<Length>,
    /// Doubt of one reading, either way, where said.
    pub doubt: Option<Length>,
    /// The etch.
    pub etch: Option<String>,
}

/// What a file did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileResult {
    /// It bites and takes metal off.
    Cuts,
    /// It glides and takes nothing.
    Skates,
    /// It just scratches.
    Scratches,
}

/// A test file.
#[derive(Clone, Debug, PartialEq)]
pub struct FileTest {
    /// The file's own hardness in HRC, from its handle; `None` for an unmarked file.
    pub file_hrc: Option<f64>,
    /// What it did.
    pub result: FileResult,
    /// Surface or an area that is to stay soft.
    pub at: Where,
    /// Where, in words.
    pub spot: Option<String>,
    /// The state of the surface.
    pub surface: Surface,
}

/// Mass before and after the box.
#[derive(Clone, Debug, PartialEq)]
pub struct WeightGain {
    /// Before packing.
    pub before: Mass,
    /// After the box, brushed clean, before any reheat.
    pub after: Mass,
    /// Area that the compound could reach.
    pub area: Area,
    /// Error of one weighing, either way, where said.
    pub error: Option<Mass>,
}

/// Carbide at the grains' borders.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Network {
    /// None seen.
    None,
    /// Single carbides at the borders.
    Traces,
    /// Broken lines.
    Broken,
    /// Closed cells.
    Closed,
}

/// What a microscope showed; `None` is not looked for.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Structure {
    /// Carbide network in the case.
    pub network: Option<Network>,
    /// Retained austenite near the surface, estimated.
    pub retained_austenite: Option<Fraction>,
    /// Depth of a skin that lost carbon; zero where looked for and not found.
    pub decarburized: Option<Length>,
    /// Depth of a white, unetched layer or skin; zero where looked for and not found.
    pub white_layer: Option<Length>,
    /// Etch and magnification.
    pub how: Option<String>,
}
