//! What if something goes wrong with a planned job: what it does to the part, how likely the note is
//! still met, and what puts it right, found by running the plan's own chain.
//!
//! A mishap is run in the middle of all doubts; how the bands are carried to it stands in `members`.
//! It does not say how likely a mishap is, and it never makes a hazard into a thing to be borne: what
//! the planner refuses stays refused here.

mod act;
mod limit;
mod meant;
mod remedy;

use casewright_job::spec::Spec;
use casewright_terms::{Band, Diag, Fraction, Length, Span, Temperature, TemperatureStep, Vickers};
use rayon::prelude::*;

use crate::again::{Again, taken_up};
use crate::members::Seen;
use crate::outcome::{Moment, PlanReport};

/// What goes wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Upset {
    /// The furnace is without power for a while; the soak is ended by the planned clock.
    PowerCut {
        /// From the pack being hot.
        after: Span,
        /// How long.
        lasts: Span,
    },
    /// Loaded late, and the box pulled at the planned hour all the same.
    LateStart(Span),
    /// The box stays in longer than planned; a span below zero is pulled early.
    LatePull(Span),
    /// The box heat set wrong, all through.
    SetWrong(TemperatureStep),
    /// The furnace wrong in all its heats: box and reheat.
    FurnaceOff(TemperatureStep),
    /// The compound hands over carbon more slowly than expected; 1 is as expected.
    WeakCompound(Fraction),
    /// The compound is damp.
    DampCompound,
    /// The bath at another temperature than planned.
    Bath(Temperature),
    /// From the furnace to the bath in another time than planned.
    Transfer(Span),
    /// Not tempered.
    NoTemper,
    /// Tempered at another temperature than planned.
    Temper(Temperature),
}

/// Values after a mishap, each with its band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Values {
    /// Depth to the note's limit before grinding; zero where the middle run holds no case.
    pub case_depth: Length,
    /// After grinding.
    pub after_grind: Length,
    /// Hardness of the finished surface.
    pub surface: Vickers,
    /// Hardness of the core.
    pub core: Vickers,
    /// Greatest retained austenite of the finished case, percent.
    pub austenite_pct: f64,
    /// The bands; `None` where they could not be carried.
    pub bands: Option<Bands>,
    /// Whether the middle run meets the note.
    pub meets: bool,
    /// How likely one part meets the whole note; `None` where the bands could not be carried.
    pub chance: Option<f64>,
}

/// Bands of [`Values`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it")]
pub struct Bands {
    pub case_depth: Band<Length>,
    pub after_grind: Band<Length>,
    pub surface: Band<Vickers>,
    pub core: Band<Vickers>,
    pub austenite_pct: Band<f64>,
}

/// What kind of act puts it right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Act {
    /// Soak longer than planned by so much.
    SoakLonger(Span),
    /// End the soak so much before its planned end.
    PullEarlier(Span),
    /// Pack again in fresh compound and soak so long from hot.
    PackAgain(Span),
    /// Temper, or temper again, at this temperature.
    Temper(Temperature),
    /// Reheat and quench once more as planned, then temper.
    HardenAgain,
}

/// What puts it right.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// The act.
    pub act: Act,
    /// In words.
    pub what: String,
    /// What it gives; `None` where it could not be run.
    pub gives: Option<Values>,
    /// Until when it works, in words.
    pub until: String,
    /// The same on the plan's clock.
    pub latest: Option<Moment>,
    /// What to mind.
    pub mind: Option<String>,
}

/// One mishap with what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What goes wrong.
    pub upset: Upset,
    /// In words.
    pub what: String,
    /// What was assumed.
    pub assumed: String,
    /// What it gives if nobody does anything; `None` where it could not be run.
    pub gives: Option<Values>,
    /// What puts it right, in the order in which it can still be done.
    pub remedies: Vec<Remedy>,
    /// Why the work must stop, or that it cannot be put right.
    pub stop: Option<Diag>,
    /// How much of it the middle run bears before it leaves the note, in words.
    pub borne: Option<String>,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatIf {
    /// The plan as it stands.
    pub planned: Values,
    /// The mishaps, in the order asked.
    pub outcomes: Vec<Outcome>,
}

/// Puts mishaps to a plan; the usual ones where none is named.
///
/// # Errors
/// That there is no plan to ask, or that the boxes could not be run again.
pub fn what_if(spec: &Spec, report: &PlanReport, asked: &[Upset]) -> Result<WhatIf, Diag> {
    taken_up(spec, report, |again| {
        let asked = if asked.is_empty() {
            meant::usual(again)
        } else {
            asked.to_vec()
        };
        let stage = Stage { again, report };
        WhatIf {
            planned: stage.values(&again.seen),
            outcomes: asked
                .par_iter()
                .map(|upset| stage.outcome(*upset))
                .collect(),
        }
    })
}

/// The plan and its members.
pub(crate) struct Stage<'a> {
    pub(crate) again: &'a Again<'a>,
    pub(crate) report: &'a PlanReport,
}

impl Stage<'_> {
    /// Values of a middle run, with the plan's members moved to it.
    fn values(&self, seen: &Seen) -> Values {
        let moved = self.report.outlook.members.moved(&self.again.seen, seen);
        let bands = moved.as_ref().and_then(|members| {
            let length = |mid: f64, value: fn(&Seen) -> f64| {
                members.band(mid, value).map(|b| b.map(Length::from_m))
            };
            let hv = |mid: f64, value: fn(&Seen) -> f64| {
                members.band(mid, value).map(|b| b.map(Vickers::from_hv))
            };
            Some(Bands {
                case_depth: length(seen.case_m, |s| s.case_m)?,
                after_grind: length(seen.after_grind_m, |s| s.after_grind_m)?,
                surface: hv(seen.surface_hv, |s| s.surface_hv)?,
                core: hv(seen.core_hv, |s| s.core_hv)?,
                austenite_pct: members.band(seen.austenite_pct, |s| s.austenite_pct)?,
            })
        });
        Values {
            case_depth: Length::from_m(seen.case_m),
            after_grind: Length::from_m(seen.after_grind_m),
            surface: Vickers::from_hv(seen.surface_hv),
            core: Vickers::from_hv(seen.core_hv),
            austenite_pct: seen.austenite_pct,
            bands,
            meets: seen.meets(&self.again.demand),
            chance: moved.and_then(|members| members.chance(&self.again.demand)),
        }
    }

    fn outcome(&self, upset: Upset) -> Outcome {
        let (what, assumed) = meant::words(self.again, upset);
        let mut outcome = Outcome {
            upset,
            what,
            assumed,
            gives: None,
            remedies: Vec::new(),
            stop: None,
            borne: None,
        };
        match act::seen(self.again, upset) {
            Ok((slip, seen)) => {
                outcome.gives = Some(self.values(&seen));
                self.put_right(&mut outcome, &slip, &seen);
                outcome.borne = limit::borne(self.again, upset);
            }
            Err(diag) => outcome.stop = Some(diag),
        }
        outcome
    }
}

#[cfg(test)]
mod tests;
