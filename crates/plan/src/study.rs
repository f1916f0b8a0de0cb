//! A planned job that can be asked "and what if only this were different?". One thing is changed, all
//! else stays as planned, and what comes of it is read in a few hundredths of a second: the plan's own
//! members are moved by what the change does to a few of them, see `Cloud::changed`.
//!
//! It plans nothing anew: whether another soak, route or box would now be better is for `propose`. A
//! study owns all it needs, so that it can be kept, copied and asked from any thread.

use std::sync::Arc;

use casewright_job::note::reading::{HardnessRange, LengthRange};
use casewright_job::shop::{CompoundLot, Furnace, QuenchTank};
use casewright_job::spec::{RouteWish as Route, Spec, Stock};
use casewright_physics::matter::steel::SteelRecord;
use casewright_physics::setup::{Austenitise, Cooling, Temper};
use casewright_terms::{Diag, Length, Severity, Span, Temperature, UnitSystem};

use crate::cloud::Cloud;
use crate::demand::Demand;
use crate::doubt::Doubts;
use crate::outcome::{DepthChain, PlanReport, Prediction, Verdict};
use crate::outlook::{self, Chance};
use crate::pack::Packed;
use crate::predict::{Ensemble, Reader, column};
use crate::propose::{self, Options};
use crate::recipe::{Departure, Matter, Recipe, Simulated};
use crate::watch::Watch;
use crate::{findings, gate, tank};

/// A soak that is asked for must lie between these; outside nothing of a plan holds any more.
const SOAK_H: (f64, f64) = (0.25, 48.0);
/// Heats that are asked for must lie between these, °C: below nothing is austenite, above no box lasts.
const HEAT_C: (f64, f64) = (650.0, 1050.0);
/// The same for the temper, °C.
const TEMPER_C: (f64, f64) = (100.0, 650.0);

/// One thing that is different.
#[derive(Clone, Debug, PartialEq)]
pub enum Try {
    /// Hours at heat, counted from when the pack is hot.
    Soak(Span),
    /// The box's heat.
    Temperature(Temperature),
    /// The heat before the last quench.
    Reheat(Temperature),
    /// The temper's heat.
    Temper(Temperature),
    /// Another tank, by its mark or by what is in it.
    Tank(String),
    /// Metal taken off after hardening, per side, on every cased face.
    Stock(Length),
    /// Another case depth in the note.
    Depth(LengthRange),
    /// Another surface hardness in the note.
    Surface(HardnessRange),
    /// Another core hardness in the note.
    Core(HardnessRange),
}

/// What comes of it, all else as planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// What is different, in words.
    pub what: String,
    /// The job with the change.
    pub spec: Spec,
    /// From the note's depth to the one aimed at, with the change.
    pub depth: DepthChain,
    /// Hours at heat.
    pub soak: Span,
    /// The box's heat.
    pub temperature: Temperature,
    /// The heat before the last quench, where there is one.
    pub reheat: Option<Temperature>,
    /// The temper's heat.
    pub temper: Temperature,
    /// Mark of the tank.
    pub tank: String,
    /// From loading to the end of the soak.
    pub furnace_time: Span,
    /// Every value with its band; edges are not followed again and are left out.
    pub prediction: Prediction,
    /// How likely each clause is met.
    pub chances: Vec<Chance>,
    /// How likely all of them are met by one part.
    pub chance_all: Option<f64>,
    /// Against the note.
    pub verdict: Verdict,
    /// What there is to say of it.
    pub findings: Vec<Diag>,
    /// Members that were simulated once more.
    pub runs: usize,
    /// How far the others may err in depth by that, root mean square.
    pub depth_error: Option<Length>,
}

/// What of a plan's making serves to answer further questions.
#[derive(Clone, Debug)]
pub(crate) struct Held {
    pub(crate) way: Way,
    pub(crate) simulated: Simulated,
    pub(crate) depths_m: Vec<f64>,
    pub(crate) record: Option<&'static SteelRecord>,
    pub(crate) seed: u64,
    pub(crate) cloud: Cloud,
}

/// A recipe that owns its things.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    route: Route,
    temperature: Temperature,
    soak: Span,
    furnace: Furnace,
    tank: QuenchTank,
    lot: CompoundLot,
    packed: Packed,
    cooling: Cooling,
    reheats: Vec<Austenitise>,
    temper: Temper,
}

impl Way {
    pub(crate) fn of(recipe: &Recipe<'_>) -> Self {
        Self {
            route: recipe.route,
            temperature: recipe.temperature,
            soak: recipe.soak,
            furnace: recipe.furnace.clone(),
            tank: recipe.tank.clone(),
            lot: recipe.lot.clone(),
            packed: recipe.packed.clone(),
            cooling: recipe.cooling,
            reheats: recipe.reheats.clone(),
            temper: recipe.temper,
        }
    }

    fn recipe(&self) -> Recipe<'_> {
        Recipe {
            route: self.route,
            temperature: self.temperature,
            soak: self.soak,
            furnace: &self.furnace,
            tank: &self.tank,
            lot: &self.lot,
            packed: self.packed.clone(),
            cooling: self.cooling,
            reheats: self.reheats.clone(),
            temper: self.temper,
        }
    }
}

/// A planned job.
#[derive(Clone, Debug)]
pub struct Study {
    made: Arc<Made>,
}

#[derive(Debug)]
struct Made {
    spec: Spec,
    matter: Option<Matter>,
    report: PlanReport,
    held: Option<Held>,
}

/// A change carried out: what is asked for, and how.
struct Changed {
    spec: Spec,
    way: Way,
    /// Whether the part comes out otherwise.
    runs: bool,
    /// Whether its numbers are to be read otherwise.
    reads: bool,
}

impl Study {
    /// Plans the job and keeps what further questions need.
    #[must_use]
    pub fn of(spec: &Spec, options: Options) -> Self {
        Self::watched(spec, options, &Watch::nobody())
    }

    /// The same, told to somebody who waits.
    #[must_use]
    pub fn watched(spec: &Spec, options: Options, watch: &Watch<'_>) -> Self {
        let (report, held) = propose::held(spec, options, watch);
        Self {
            made: Arc::new(Made {
                spec: spec.clone(),
                matter: Matter::of(spec),
                report,
                held,
            }),
        }
    }

    /// The plan.
    #[must_use]
    pub fn report(&self) -> &PlanReport {
        &self.made.report
    }

    /// The job.
    #[must_use]
    pub fn spec(&self) -> &Spec {
        &self.made.spec
    }

    /// What the plan itself comes to, in the same words as a change of it.
    ///
    /// # Errors
    /// That there is no plan.
    pub fn as_planned(&self) -> Result<Trial, Diag> {
        let held = self.held()?;
        self.look(
            "as planned".to_owned(),
            &Changed {
                spec: self.made.spec.clone(),
                way: held.way.clone(),
                runs: false,
                reads: false,
            },
        )
    }

    /// What comes of one change.
    ///
    /// # Errors
    /// That there is no plan, that the change cannot be made in this shop, or what physics could not do.
    pub fn change(&self, change: &Try) -> Result<Trial, Diag> {
        let changed = self.apply(change)?;
        self.look(change.words(self.made.spec.units), &changed)
    }

    fn held(&self) -> Result<&Held, Diag> {
        self.made.held.as_ref().ok_or_else(|| {
            Diag::stop(
                "nothing-to-change",
                "There is no plan of which one thing could be different.",
            )
            .why("The planning ended before a way was found; its findings say why.")
            .accepted("Clear up what the findings name, and plan again.")
        })
    }

    fn apply(&self, change: &Try) -> Result<Changed, Diag> {
        let held = self.held()?;
        let mut spec = self.made.spec.clone();
        let mut way = held.way.clone();
        let (mut runs, mut reads) = (true, true);
        match change {
            Try::Soak(soak) => {
                within("hours", soak.to_h(), SOAK_H, "h")?;
                way.soak = *soak;
            }
            Try::Temperature(at) => {
                within("temperature", at.to_c(), HEAT_C, "°C")?;
                if *at > way.furnace.max {
                    return Err(too_hot(&way.furnace, *at, spec.units));
                }
                way.temperature = *at;
                if let Cooling::DropThenQuench { to, hold } = way.cooling {
                    way.cooling = Cooling::DropThenQuench {
                        to: to.min(*at),
                        hold,
                    };
                }
            }
            Try::Reheat(at) => {
                within("reheat", at.to_c(), HEAT_C, "°C")?;
                let Some(last) = way.reheats.last_mut() else {
                    return Err(Diag::stop(
                        "no-reheat",
                        "The plan quenches straight from the box: there is no reheat to change.",
                    )
                    .accepted("Change the temperature, or plan with [wish] route = \"single\"."));
                };
                last.temperature = *at;
            }
            Try::Temper(at) => {
                within("temper", at.to_c(), TEMPER_C, "°C")?;
                way.temper.temperature = *at;
            }
            Try::Tank(asked) => way.tank = find_tank(&spec, asked)?.clone(),
            Try::Stock(per_side) => {
                within("stock", per_side.to_mm(), (0.0, 10.0), "mm")?;
                runs = false;
                if spec.stock.is_empty() {
                    spec.stock.push(Stock {
                        face: "cased faces".to_owned(),
                        per_side: *per_side,
                        bow: Length::ZERO,
                    });
                }
                for stock in &mut spec.stock {
                    stock.per_side = *per_side;
                }
            }
            Try::Depth(range) => {
                (runs, reads) = (false, false);
                spec.note.case_depth = Some(*range);
            }
            Try::Surface(range) => {
                (runs, reads) = (false, false);
                spec.note.surface_hardness = Some(*range);
            }
            Try::Core(range) => {
                (runs, reads) = (false, false);
                spec.note.core_hardness = Some(*range);
            }
        }
        Ok(Changed {
            spec,
            way,
            runs,
            reads,
        })
    }

    fn look(&self, what: String, changed: &Changed) -> Result<Trial, Diag> {
        let held = self.held()?;
        let spec = &changed.spec;
        let (Some(matter), Ok(demand)) = (&self.made.matter, Demand::of(spec)) else {
            return Err(Diag::stop(
                "trial-not-read",
                "The note with this change cannot be read.",
            )
            .accepted(
                "A depth with a least value, and hardness in a scale that can be compared.",
            ));
        };
        let chain = demand.depth_chain(spec);
        let recipe = changed.way.recipe();
        let simulated = if changed.runs {
            recipe
                .simulate(matter, &Departure::NONE)
                .map_err(|failure| {
                    Diag::stop(
                        "trial-not-run",
                        format!("The change could not be simulated: {failure}."),
                    )
                    .accepted("A change nearer to the plan.")
                })?
        } else {
            held.simulated.clone()
        };
        let reader = Reader {
            nominal: &simulated,
            ground: chain.stock.1,
            demand: &demand,
            matter,
            depths_m: held.depths_m.clone(),
        };
        let moved = if changed.runs || changed.reads {
            let doubts = Doubts::of(&recipe, matter, held.record_open(spec), held.seed);
            let again = |draw: &crate::doubt::Draw| {
                let run = recipe.simulate(matter, &doubts.departure(draw)).ok()?;
                Some(reader.row(&run))
            };
            Some(held.cloud.changed(again).ok_or_else(|| {
                Diag::stop(
                    "trial-not-run",
                    "Too few trial runs of the change settled for a band.",
                )
                .accepted("A change nearer to the plan.")
            })?)
        } else {
            None
        };
        let cloud = moved.as_ref().map_or(&held.cloud, |(cloud, _)| cloud);
        let prediction = Ensemble {
            reader: &reader,
            cloud,
        }
        .predict();
        let (chances, chance_all) = outlook::chances(&demand, cloud);
        let mut list = findings::prediction_findings(spec, &demand, &prediction);
        list.extend(findings::chain_findings(spec, &chain));
        list.extend(
            prediction
                .total_depth
                .and_then(|total| gate::section(spec, total.mid)),
        );
        let bath = tank::check(
            recipe.tank,
            propose::hot_mass(spec, &recipe),
            simulated.chain.heat_to_bath_j_kg,
        );
        list.extend(tank::findings(recipe.tank, &bath));
        list.extend(findings::remark_findings(&simulated.chain.remarks));
        let mut verdict = findings::judge(&demand, &prediction, &list);
        if verdict != Verdict::CanBeMet {
            list.extend(findings::verdict_reasons(
                spec,
                &demand,
                &prediction,
                verdict,
            ));
        }
        if list.iter().any(|diag| diag.severity == Severity::Stop) {
            verdict = Verdict::CannotBeMet;
        }
        list.sort_by_key(|diag| std::cmp::Reverse(diag.severity));
        Ok(Trial {
            what,
            spec: spec.clone(),
            depth: chain,
            soak: recipe.soak,
            temperature: recipe.temperature,
            reheat: recipe.reheats.last().map(|heat| heat.temperature),
            temper: recipe.temper.temperature,
            tank: recipe.tank.id.clone(),
            furnace_time: simulated.heat.soak_ends,
            prediction,
            chances,
            chance_all,
            verdict,
            findings: list,
            runs: moved.as_ref().map_or(0, |(cloud, _)| cloud.size().runs),
            depth_error: moved
                .as_ref()
                .map(|(_, errors)| Length::from_m(errors[column::CASE])),
        })
    }
}

impl Held {
    /// The grade whose range is open, see `propose::open_range`.
    fn record_open(&self, spec: &Spec) -> Option<&'static SteelRecord> {
        propose::open_range(spec, self.record)
    }
}

impl Try {
    /// What is different, in words.
    #[must_use]
    pub fn words(&self, units: UnitSystem) -> String {
        match self {
            Self::Soak(soak) => format!("soak {}", soak.text()),
            Self::Temperature(at) => format!("box heat {}", at.text(units)),
            Self::Reheat(at) => format!("reheat {}", at.text(units)),
            Self::Temper(at) => format!("temper {}", at.text(units)),
            Self::Tank(tank) => format!("quench in {tank}"),
            Self::Stock(per_side) => format!("stock {} a side", per_side.depth_text(units)),
            Self::Depth(range) => match (range.min, range.max) {
                (Some(min), Some(max)) => format!(
                    "case {} to {} asked",
                    min.depth_text(units),
                    max.depth_text(units)
                ),
                (Some(min), None) => format!("case {} at least asked", min.depth_text(units)),
                (None, Some(max)) => format!("case {} at most asked", max.depth_text(units)),
                (None, None) => "no case depth asked".to_owned(),
            },
            Self::Surface(range) => format!("surface {} asked", hardness_words(range)),
            Self::Core(range) => format!("core {} asked", hardness_words(range)),
        }
    }
}

fn hardness_words(range: &HardnessRange) -> String {
    match (range.min, range.max) {
        (Some(min), Some(max)) => format!("{min} to {max} {}", range.scale),
        (Some(min), None) => format!("{min} {} at least", range.scale),
        (None, Some(max)) => format!("{max} {} at most", range.scale),
        (None, None) => "of any hardness".to_owned(),
    }
}

fn within(what: &str, value: f64, (least, most): (f64, f64), unit: &str) -> Result<(), Diag> {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    Err(Diag::stop(
        "trial-outside",
        format!("{what} = {value:.3} {unit} lies outside what a plan can be asked."),
    )
    .accepted(format!("{least} to {most} {unit}.")))
}

fn too_hot(furnace: &Furnace, at: Temperature, units: UnitSystem) -> Diag {
    Diag::stop(
        "trial-furnace-max",
        format!(
            "Furnace {} does not reach {}.",
            furnace.id,
            at.text_both(units)
        ),
    )
    .accepted(format!("At most {}.", furnace.max.text_both(units)))
}

/// A tank by its mark, or the first that holds what is named.
fn find_tank<'s>(spec: &'s Spec, asked: &str) -> Result<&'s QuenchTank, Diag> {
    let tanks = &spec.shop.tanks;
    let asked_low = asked.trim().to_lowercase();
    let by_mark = tanks.iter().find(|t| t.id.to_lowercase() == asked_low);
    by_mark
        .or_else(|| {
            tanks
                .iter()
                .find(|t| tank::name(t.medium).contains(&asked_low) && !asked_low.is_empty())
        })
        .ok_or_else(|| {
            let known: Vec<String> = tanks
                .iter()
                .map(|t| format!("{} ({})", t.id, tank::name(t.medium)))
                .collect();
            Diag::stop("trial-tank", format!("This shop has no tank \"{asked}\"."))
                .accepted(format!("One of {}.", known.join(", ")))
        })
}

#[cfg(test)]
mod tests;
