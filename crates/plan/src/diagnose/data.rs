//! The evidence as numbers to be held against a computed lot: means of readings with their scatter, and
//! what was seen with a file, on a ring, on a balance or under a microscope.

use casewright_job::evidence::{
    Evidence, FileResult, FileTest, Item, RingKind, Specimen, SpecimenKind, State, Structure,
    Surface, TestScale, What, Where,
};
use casewright_physics::law::reading_doubt::{permitted_error, scatter};
use casewright_terms::{Force, Length};

use super::scene::Scene;

/// What a piece went through with the lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Class {
    /// It was in the box.
    pub(super) boxed: bool,
    /// It was reheated, quenched and tempered with the work.
    pub(super) hardened: bool,
}

/// Where a reading was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Spot {
    /// On the surface, so much of it gone.
    Surface(Length),
    /// On a face finished by grinding, so much gone by the plan.
    Finished(Length),
    /// On a section, at a depth.
    Depth(Length),
    /// In the core.
    Core,
    /// On an area that was to stay soft.
    Soft,
}

/// One mean of readings at one place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Datum {
    /// Name of the item it is of.
    pub(super) name: String,
    /// Mark of the piece.
    pub(super) piece: String,
    pub(super) class: Class,
    /// Tester, so that what it is off is common to its readings.
    pub(super) tester: String,
    pub(super) scale: TestScale,
    pub(super) spot: Spot,
    /// Diameter where the dial was read on a round and nothing was added.
    pub(super) round: Option<Length>,
    /// Mean of the readings.
    pub(super) value: f64,
    /// How many.
    pub(super) count: usize,
    /// Sum of squares about the mean.
    pub(super) squares: f64,
    /// Scatter of one reading.
    pub(super) scatter: f64,
}

/// A check of a tester: how far it is off.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Check {
    pub(super) tester: String,
    pub(super) scale: TestScale,
    /// Mean reading less the block's number.
    pub(super) off: f64,
    /// Standard deviation of that.
    pub(super) doubt: f64,
    /// The block's number.
    pub(super) nominal: f64,
}

/// What was seen without a tester.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Sight {
    pub(super) name: String,
    pub(super) piece: String,
    pub(super) class: Class,
    pub(super) what: Look,
}

/// One look.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Look {
    File {
        result: FileResult,
        file_hrc: f64,
        spot: Spot,
    },
    /// Total depth as seen, with its standard deviation, in mm.
    Ring {
        mm: f64,
        doubt_mm: f64,
    },
    /// Carbon taken up in g/m², with its standard deviation.
    Uptake {
        g_m2: f64,
        doubt: f64,
    },
    Structure(Structure),
}

/// All of it.
#[derive(Clone, Debug, PartialEq, Default)]
pub(super) struct Data {
    pub(super) readings: Vec<Datum>,
    pub(super) checks: Vec<Check>,
    pub(super) sights: Vec<Sight>,
    /// What was left out, with why.
    pub(super) left_out: Vec<(String, String)>,
}

/// A file without a number. [trade-practice]
const USUAL_FILE_HRC: f64 = 62.0;
/// Doubt of a ring as seen, in mm: etched, broken. [trade-practice]
const ETCHED_MM: f64 = 0.08;
const FRACTURE_MM: f64 = 0.15;
/// A weighing on a bench balance, in g. [trade-practice]
const WEIGHING_G: f64 = 0.005;
/// Where the file does not say which tester.
const UNNAMED: &str = "";

impl Data {
    /// Reads the evidence. The order of the readings does not matter: everything is sorted.
    pub(super) fn of(scene: &Scene<'_>, evidence: &Evidence) -> Self {
        let mut data = Self::default();
        for item in &evidence.items {
            match class(evidence, item) {
                Ok(class) => data.take(scene, item, class),
                Err(why) => data.left_out.push((item.name.clone(), why)),
            }
        }
        for tester in &evidence.testers {
            for block in &tester.blocks {
                let (mean, _) = mean(&block.readings);
                let one = scatter(block.scale.scale, force(block.scale), block.nominal);
                let count = block.readings.len().max(1) as f64;
                let block_doubt = block.tolerance.unwrap_or(one) / Z_90;
                if mean.is_finite() {
                    data.checks.push(Check {
                        tester: tester.id.clone(),
                        scale: block.scale,
                        off: mean - block.nominal,
                        doubt: (one / count.sqrt()).hypot(block_doubt),
                        nominal: block.nominal,
                    });
                }
            }
        }
        data.sort();
        data
    }

    fn sort(&mut self) {
        let key = |d: &Datum| (d.piece.clone(), d.tester.clone(), d.scale.to_string());
        let place = |spot: &Spot| match spot {
            Spot::Surface(gone) => (0, gone.to_m()),
            Spot::Finished(gone) => (1, gone.to_m()),
            Spot::Depth(depth) => (2, depth.to_m()),
            Spot::Core => (3, 0.0),
            Spot::Soft => (4, 0.0),
        };
        self.readings.sort_by(|a, b| {
            let (x, y) = (place(&a.spot), place(&b.spot));
            key(a)
                .cmp(&key(b))
                .then(x.0.cmp(&y.0))
                .then(x.1.total_cmp(&y.1))
                .then(a.value.total_cmp(&b.value))
                .then(a.count.cmp(&b.count))
        });
        self.sights.sort_by(|a, b| {
            (&a.piece, format!("{:?}", a.what)).cmp(&(&b.piece, format!("{:?}", b.what)))
        });
        self.checks.sort_by(|a, b| {
            (&a.tester, a.scale.to_string())
                .cmp(&(&b.tester, b.scale.to_string()))
                .then(a.off.total_cmp(&b.off))
        });
        self.left_out.sort();
    }

    /// Whether there is anything to go by.
    pub(super) fn is_empty(&self) -> bool {
        self.readings.is_empty() && self.sights.is_empty()
    }

    /// Whether an area that was to stay soft was looked at.
    pub(super) fn on_soft_area(&self) -> bool {
        let on = |look: &Look| {
            matches!(
                look,
                Look::File {
                    spot: Spot::Soft,
                    ..
                }
            )
        };
        self.readings.iter().any(|d| d.spot == Spot::Soft)
            || self.sights.iter().any(|s| on(&s.what))
    }

    /// Pieces that were in the box and were read, in order.
    pub(super) fn boxed_pieces(&self) -> Vec<String> {
        let mut marks: Vec<String> = self
            .readings
            .iter()
            .filter(|d| d.class.boxed)
            .map(|d| d.piece.clone())
            .collect();
        marks.dedup();
        marks
    }

    fn take(&mut self, scene: &Scene<'_>, item: &Item, class: Class) {
        let reader = Reader { item, class };
        match &item.what {
            What::Hardness(read) => {
                let spot = match read.at {
                    Where::Surface => on_surface(scene, &read.surface),
                    Where::Core => Spot::Core,
                    Where::SoftArea => Spot::Soft,
                };
                let round = read.round.filter(|_| !read.corrected);
                let datum = reader.datum(read.scale, spot, round, &read.values);
                self.readings.extend(datum);
            }
            What::Traverse(read) => {
                for (depth, value) in read.depths.iter().zip(&read.values) {
                    let spot = Spot::Depth(*depth);
                    self.readings
                        .extend(reader.datum(read.scale, spot, None, &[*value]));
                }
            }
            What::StepGrind(read) => {
                for (gone, values) in read.removed.iter().zip(&read.values) {
                    let spot = Spot::Surface(*gone);
                    self.readings
                        .extend(reader.datum(read.scale, spot, None, values));
                }
            }
            What::TaperGrind(read) => {
                for (along, value) in read.along.iter().zip(&read.values) {
                    let spot = Spot::Surface(*along * read.slope);
                    self.readings
                        .extend(reader.datum(read.scale, spot, None, &[*value]));
                }
            }
            What::FileTest(test) => self.sights.push(reader.sight(file(scene, test))),
            What::Ring(ring) => {
                let mm: Vec<f64> = ring.depths.iter().map(|d| d.to_mm()).collect();
                let usual = match ring.kind {
                    RingKind::Etched => ETCHED_MM,
                    RingKind::Fracture => FRACTURE_MM,
                };
                let doubt_mm = ring.doubt.map_or(usual, |d| d.to_mm() / Z_90);
                self.sights.push(reader.sight(Look::Ring {
                    mm: mean(&mm).0,
                    doubt_mm,
                }));
            }
            What::WeightGain(gain) => {
                let m2 = gain.area.to_m2().max(1e-9);
                let error = gain.error.map_or(WEIGHING_G, |e| e.to_g() / Z_90);
                self.sights.push(reader.sight(Look::Uptake {
                    g_m2: (gain.after - gain.before).to_g() / m2,
                    doubt: error * std::f64::consts::SQRT_2 / m2,
                }));
            }
            What::Structure(seen) => {
                self.sights
                    .push(reader.sight(Look::Structure(seen.clone())));
            }
        }
    }
}

struct Reader<'e> {
    item: &'e Item,
    class: Class,
}

impl Reader<'_> {
    fn datum(
        &self,
        scale: TestScale,
        spot: Spot,
        round: Option<Length>,
        values: &[f64],
    ) -> Option<Datum> {
        let (value, squares) = mean(values);
        value.is_finite().then(|| Datum {
            name: self.item.name.clone(),
            piece: self.item.specimen.clone(),
            class: self.class,
            tester: self
                .item
                .tester
                .clone()
                .unwrap_or_else(|| UNNAMED.to_owned()),
            scale,
            spot,
            round,
            value,
            count: values.len(),
            squares,
            scatter: scatter(scale.scale, force(scale), value),
        })
    }

    fn sight(&self, what: Look) -> Sight {
        Sight {
            name: self.item.name.clone(),
            piece: self.item.specimen.clone(),
            class: self.class,
            what,
        }
    }
}

/// Half-width of 90 % in standard deviations.
pub(super) const Z_90: f64 = 1.645;

/// The force of a scale that needs one.
pub(super) fn force(scale: TestScale) -> Option<Force> {
    scale.force_kgf.map(Force::from_kgf)
}

/// Standard deviation of what a verified tester may be off.
pub(super) fn tester_doubt(scale: TestScale, reading: f64) -> f64 {
    permitted_error(scale.scale, force(scale), reading) / Z_90
}

fn on_surface(scene: &Scene<'_>, surface: &Surface) -> Spot {
    match surface {
        Surface::AsHardened => Spot::Surface(Length::ZERO),
        Surface::Removed(gone) => Spot::Surface(*gone),
        Surface::Finished(face) => Spot::Finished(scene.stock(face.as_deref())),
    }
}

fn file(scene: &Scene<'_>, test: &FileTest) -> Look {
    Look::File {
        result: test.result,
        file_hrc: test.file_hrc.unwrap_or(USUAL_FILE_HRC),
        spot: match test.at {
            Where::Surface => on_surface(scene, &test.surface),
            Where::Core => Spot::Core,
            Where::SoftArea => Spot::Soft,
        },
    }
}

/// Mean and sum of squares about it, in rising order so that the order of reading leaves no trace.
fn mean(values: &[f64]) -> (f64, f64) {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mean = sorted.iter().sum::<f64>() / sorted.len() as f64;
    let squares = sorted.iter().map(|x| (x - mean) * (x - mean)).sum();
    (mean, squares)
}

/// What the piece of an item went through with the lot, or why it tells nothing about it.
fn class(evidence: &Evidence, item: &Item) -> Result<Class, String> {
    let Some(piece) = evidence.specimen(&item.specimen) else {
        return Err("its piece is not described".to_owned());
    };
    let boxed = in_box(piece)?;
    let by_sight = matches!(
        item.what,
        What::Ring(_) | What::WeightGain(_) | What::Structure(_)
    );
    if piece.state != State::Tempered && !by_sight {
        return Err(format!("{} was read before its temper", piece.mark));
    }
    let hardened = match (piece.kind, piece.hardened_with_lot) {
        (_, Some(known)) => known,
        (SpecimenKind::Part, None) => true,
        (_, None) => {
            return Err(format!(
                "it is not said whether {} was hardened with the work",
                piece.mark
            ));
        }
    };
    Ok(Class { boxed, hardened })
}

fn in_box(piece: &Specimen) -> Result<bool, String> {
    match (piece.kind, piece.carburized_with_lot) {
        (SpecimenKind::Control, _) => Ok(false),
        (SpecimenKind::Part, None) | (_, Some(true)) => Ok(true),
        (_, Some(false)) => Err(format!("{} was not in the box with the work", piece.mark)),
        (_, None) => Err(format!(
            "it is not said whether {} was in the box with the work",
            piece.mark
        )),
    }
}
