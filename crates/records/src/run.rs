//! A run as it stands in the book: its plan, what was done when, what was read, what went another
//! way. Corrected entries are told as they hold now, with the number of the entry that says so;
//! withdrawn ones are left out here and stay in the book. Judges nothing.

use crate::event::{Event, Made, Meaning, RunEnd, Verdict};
use crate::measured::{Measured, Unit};
use crate::stamp::Stamp;
use crate::store::{Attached, Entered, Look, Person, StoreError, Wanted};
use crate::view::{Seen, Signed, seen};

/// A run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its name.
    pub name: String,
    /// Its job.
    pub job: String,
    /// Number of the entry that started it.
    pub entry: u64,
    /// When it was started.
    pub started: Stamp,
    /// Who started it.
    pub by: Person,
    /// Whether it is a practice or class run, which is never certified.
    pub practice: bool,
    /// The plan that it carries out.
    pub plan: RunPlan,
    /// Steps done, by number.
    pub steps: Vec<Done>,
    /// Moments, in the order of the entries.
    pub times: Vec<Noted>,
    /// The soak as it was last set, where it was.
    pub soak: Option<SoakNow>,
    /// Readings, logs, deviations, files, coupons and judgements, in the order of the entries.
    pub facts: Vec<Fact>,
    /// How it ended.
    pub ended: Option<Ended>,
}

/// The plan of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct RunPlan {
    /// Number of its entry.
    pub entry: u64,
    /// Its code.
    pub code: String,
    /// The plan as JSON text.
    pub json: String,
    /// What it was made with, where that is known.
    pub made: Option<Made>,
    /// Files that were kept with it: the job's text and the shop's.
    pub files: Vec<Attached>,
}

/// A step that was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// Its number on the sheet.
    pub step: u32,
    /// What was done.
    pub what: String,
    /// When.
    pub at: Stamp,
    /// Whether it was entered later.
    pub afterwards: bool,
    /// Who entered it.
    pub by: Person,
    /// Number of the entry.
    pub entry: u64,
    /// Whether it is a hold point.
    pub hold_point: bool,
    /// Whether nobody else has looked at it yet.
    pub waits_for_witness: bool,
    /// Who stands for it.
    pub signatures: Vec<Signed>,
}

/// A moment of the run.
#[derive(Clone, Debug, PartialEq)]
pub struct Noted {
    /// The step.
    pub step: u32,
    /// What happened.
    pub what: String,
    /// When.
    pub at: Stamp,
    /// Number of the entry.
    pub entry: u64,
}

/// The soak as it was last set.
#[derive(Clone, Debug, PartialEq)]
pub struct SoakNow {
    /// From when the pack is hot, in hours.
    pub hours: f64,
    /// Why.
    pub because: String,
    /// Number of the entry.
    pub entry: u64,
}

/// The end.
#[derive(Clone, Debug, PartialEq)]
pub struct Ended {
    /// How.
    pub how: RunEnd,
    /// What there was to say.
    pub because: String,
    /// When.
    pub at: Stamp,
    /// Number of the entry.
    pub entry: u64,
}

/// Something that was found during the run.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// Number of the entry.
    pub entry: u64,
    /// Number of the entry that put this in its place, where one did.
    pub corrected_by: Option<u64>,
    /// When it happened.
    pub at: Stamp,
    /// Whether it was entered later.
    pub afterwards: bool,
    /// Who entered it.
    pub by: Person,
    /// What holds.
    pub event: Event,
    /// Files that were kept with it.
    pub files: Vec<Attached>,
    /// Who stands for it.
    pub signatures: Vec<Signed>,
}

impl Run {
    /// The run of that name; `None` where the book has none.
    ///
    /// # Errors
    /// Where the book cannot be read.
    pub fn of(book: &impl Look, name: &str) -> Result<Option<Self>, StoreError> {
        let all = seen(book, Wanted::Run(name), 0, usize::MAX)?;
        let Some(first) = all.first() else {
            return Ok(None);
        };
        let Event::RunStarted {
            job,
            plan_entry,
            practice,
            ..
        } = &first.entry.content.event
        else {
            return Ok(None);
        };
        let Some(plan) = plan(book, *plan_entry)? else {
            return Ok(None);
        };
        let content = &first.entry.content;
        let mut run = Self {
            name: name.to_owned(),
            job: job.clone(),
            entry: content.number,
            started: first.happened().clone(),
            by: content.by.clone(),
            practice: *practice == Some(true),
            plan,
            steps: Vec::new(),
            times: Vec::new(),
            soak: None,
            facts: Vec::new(),
            ended: None,
        };
        for seen in &all[1..] {
            run.take(seen);
        }
        run.steps.sort_by_key(|done| done.step);
        Ok(Some(run))
    }

    /// Names of all runs with the numbers of the entries that started them.
    ///
    /// # Errors
    /// Where the book cannot be read.
    pub fn names(book: &impl Look) -> Result<Vec<(String, u64)>, StoreError> {
        let started = book.entries(Wanted::Kind("run-started"), 0, usize::MAX)?;
        Ok(started
            .into_iter()
            .filter_map(|entry| match entry.content.event {
                Event::RunStarted { run, .. } => Some((run, entry.content.number)),
                _ => None,
            })
            .collect())
    }

    fn take(&mut self, seen: &Seen) {
        let content = &seen.entry.content;
        let entry = content.number;
        // Withdrawn: it stays in the book and holds no more.
        let Some(event) = seen.holds() else { return };
        let at = seen.happened().clone();
        match event {
            Event::StepDone {
                step,
                what,
                hold_point,
                ..
            } => self.steps.push(Done {
                step: *step,
                what: what.clone(),
                at,
                afterwards: is_late(seen),
                by: content.by.clone(),
                entry,
                hold_point: *hold_point,
                waits_for_witness: seen.waits_for_witness(),
                signatures: seen.signatures.clone(),
            }),
            Event::TimeNoted { step, what, .. } => self.times.push(Noted {
                step: *step,
                what: what.clone(),
                at,
                entry,
            }),
            Event::SoakSet { soak, because, .. } => {
                self.soak = hours(soak).map(|hours| SoakNow {
                    hours,
                    because: because.clone(),
                    entry,
                });
            }
            Event::RunEnded { how, because, .. } => {
                self.ended = Some(Ended {
                    how: *how,
                    because: because.clone(),
                    at,
                    entry,
                });
            }
            other => self.facts.push(Fact {
                entry,
                corrected_by: seen.corrected.as_ref().map(|corrected| corrected.by),
                at,
                afterwards: is_late(seen),
                by: content.by.clone(),
                event: other.clone(),
                files: content.attached.clone(),
                signatures: seen.signatures.clone(),
            }),
        }
    }

    /// A step that was done.
    #[must_use]
    pub fn step(&self, number: u32) -> Option<&Done> {
        self.steps.iter().find(|done| done.step == number)
    }

    /// The last moment of that name in a step.
    #[must_use]
    pub fn time(&self, step: u32, what: &str) -> Option<&Noted> {
        self.times
            .iter()
            .rev()
            .find(|noted| noted.step == step && noted.what == what)
    }

    /// The hold point that waits for somebody else.
    #[must_use]
    pub fn waiting(&self) -> Option<&Done> {
        self.steps.iter().find(|done| done.waits_for_witness)
    }

    /// The last thing told of an item.
    #[must_use]
    pub fn told(&self, wanted: &str) -> Option<(&Fact, &str)> {
        self.facts.iter().rev().find_map(|fact| match &fact.event {
            Event::FactTold { item, words, .. } if item == wanted => Some((fact, words.as_str())),
            _ => None,
        })
    }

    /// The last judgement of the run; earlier ones stay among the facts.
    #[must_use]
    pub fn judgement(&self) -> Option<&Fact> {
        let judged = |fact: &&Fact| matches!(fact.event, Event::Judgement { .. });
        self.facts.iter().rev().find(judged)
    }

    /// The last verdict on the run.
    #[must_use]
    pub fn verdict(&self) -> Option<Verdict> {
        self.facts.iter().rev().find_map(|fact| match fact.event {
            Event::Judgement { verdict, .. } => Some(verdict),
            _ => None,
        })
    }
}

impl Done {
    /// Who looked at it besides the one who entered it, where somebody did.
    #[must_use]
    pub fn witness(&self) -> Option<&Signed> {
        self.signatures
            .iter()
            .find(|signed| signed.meaning != Meaning::Did && !signed.before_correction)
    }
}

fn plan(book: &impl Look, number: u64) -> Result<Option<RunPlan>, StoreError> {
    let Some(entry) = book.entry(number)? else {
        return Ok(None);
    };
    let files = entry.content.attached;
    Ok(match entry.content.event {
        Event::PlanFixed {
            code,
            plan_json,
            made,
            ..
        } => Some(RunPlan {
            entry: number,
            code,
            json: plan_json,
            made,
            files,
        }),
        _ => None,
    })
}

fn is_late(seen: &Seen) -> bool {
    matches!(seen.entry.content.entered, Entered::Afterwards { .. })
}

fn hours(time: &Measured) -> Option<f64> {
    let value = time.value();
    match time.unit() {
        Unit::Hour => Some(value),
        Unit::Minute => Some(value / 60.0),
        Unit::Second => Some(value / 3600.0),
        _ => None,
    }
}
