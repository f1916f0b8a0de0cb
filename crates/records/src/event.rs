//! What can be written into the book. These types are the rows of the file: their names and the
//! order of their fields are the format, held by `tests/fixtures` and the test beside this file.
//!
//! A new field is added as an `Option` that is left out while it is `None`; a name never changes.

use serde::{Deserialize, Serialize};

use crate::chain::Hash;
use crate::measured::Measured;

/// One thing that was decided, done or seen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Event {
    /// The book was opened; always the first entry, and only that.
    BookOpened {
        /// Name of the shop.
        shop: String,
    },
    /// A job was taken in; its file is attached.
    JobRegistered {
        /// Name of the job, unique in the book.
        job: String,
        /// What it is, in a line.
        title: String,
    },
    /// A plan was chosen for a job.
    PlanFixed {
        /// The job.
        job: String,
        /// Code of the plan as printed on the sheet.
        code: String,
        /// The plan as the program answered it, JSON text kept as it was.
        plan_json: String,
        /// What it was made with, so that it can be made again; its texts are attached.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        made: Option<Made>,
    },
    /// A plan is being carried out.
    RunStarted {
        /// Name of the run, unique in the book.
        run: String,
        /// The job.
        job: String,
        /// Number of the entry that fixed the plan.
        plan_entry: u64,
        /// Whether it is a practice or class run, which is never certified.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        practice: Option<bool>,
    },
    /// A step of the run was done, or a hold point passed.
    StepDone {
        /// The run.
        run: String,
        /// Number of the step on the sheet.
        step: u32,
        /// What was done.
        what: String,
        /// Whether the sheet stops here until a second person has looked.
        hold_point: bool,
    },
    /// A moment of the run: when the entry says that it happened.
    TimeNoted {
        /// The run.
        run: String,
        /// Number of the step on the sheet.
        step: u32,
        /// What happened then: "begun", "pack hot".
        what: String,
    },
    /// The soak is to last another time than planned, or than last said.
    SoakSet {
        /// The run.
        run: String,
        /// Time from when the pack is hot.
        soak: Measured,
        /// Why.
        because: String,
        /// What was reckoned, JSON text kept as it was.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reckoned_json: Option<String>,
    },
    /// The run is over: no step of it is done any more. Readings and files may still come.
    RunEnded {
        /// The run.
        run: String,
        /// How.
        how: RunEnd,
        /// What there is to say about it.
        because: String,
    },
    /// Something was read off.
    ReadingTaken {
        /// The run.
        run: String,
        /// Number of the step on the sheet, where it belongs to one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
        /// What was read: "pack couple", "compound before".
        what: String,
        /// The number and its unit.
        measured: Measured,
    },
    /// A furnace or logger file was attached.
    LogAttached {
        /// The run.
        run: String,
        /// Where it comes from: furnace, instrument, channel.
        source: String,
        /// What the reader made of it, JSON text kept as it was.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading_json: Option<String>,
        /// What it proves and what its departures cost, JSON text kept as it was.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        judged_json: Option<String>,
    },
    /// Something went another way than planned.
    Deviation {
        /// The run.
        run: String,
        /// What happened.
        what: String,
        /// What was done about it.
        done_about_it: String,
        /// Number of the step on the sheet, where it belongs to one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
        /// What was seen of it: the reading, the mark, who called.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        seen: Option<String>,
    },
    /// A photograph or another file was attached.
    FileAttached {
        /// The run.
        run: String,
        /// What it shows.
        what: String,
    },
    /// A coupon or a part was measured.
    CouponReading {
        /// The run.
        run: String,
        /// Which coupon or part.
        coupon: String,
        /// What was measured: "surface", "traverse", "weight gain".
        what: String,
        /// Depth per side below the hardened surface, where the reading has one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        depth: Option<Measured>,
        /// The number and its unit.
        measured: Measured,
        /// How far off it may be, either way, in its unit (90 %).
        #[serde(default, skip_serializing_if = "Option::is_none")]
        doubt: Option<Measured>,
    },
    /// The run was judged.
    Judgement {
        /// The run.
        run: String,
        /// The verdict.
        verdict: Verdict,
        /// What it rests on, in words.
        because: String,
        /// Every clause and reading, JSON text kept as it was; the evidence file is attached then.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        judged_json: Option<String>,
    },
    /// What a certificate has to say and no plan or reading knows: the customer, the order, a look
    /// for cracks. The last one told of an item holds.
    FactTold {
        /// The run.
        run: String,
        /// Which: "customer", "order", "visual".
        item: String,
        /// What there is to say.
        words: String,
    },
    /// An earlier entry is not right. The earlier one stays where it is.
    Correction {
        /// Number of the earlier entry.
        corrects: u64,
        /// Why.
        reason: String,
        /// What holds instead; nothing where the earlier one is withdrawn.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        instead: Option<Box<Event>>,
    },
    /// A person stands for an entry.
    Signature {
        /// Number of the entry.
        of: u64,
        /// Its hash, so that the signature holds for these bytes and no others.
        of_hash: Hash,
        /// What the signature means.
        meaning: Meaning,
    },
}

/// What a plan was made with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// Seed of the planner's samples.
    pub seed: u64,
    /// Version of the program.
    pub program: String,
    /// Hash of the job's text.
    pub job: Hash,
    /// Hash of the shop's text, where the job names one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shop: Option<Hash>,
}

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RunEnd {
    /// Every step was done.
    Finished,
    /// It was given up.
    Abandoned,
}

impl RunEnd {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Finished => "finished",
            Self::Abandoned => "abandoned",
        }
    }
}

/// What a signature means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meaning {
    /// "I did this."
    Did,
    /// "I saw it done"; never by the one who entered it.
    Witnessed,
    /// "I agree to it."
    Approved,
}

impl Meaning {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Did => "did",
            Self::Witnessed => "witnessed",
            Self::Approved => "approved",
        }
    }
}

/// How a run was judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The evidence shows that the note is met.
    Meets,
    /// The evidence shows that it is not.
    DoesNotMeet,
    /// The evidence does not carry either.
    NotShown,
}

impl Verdict {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::DoesNotMeet => "does-not-meet",
            Self::NotShown => "not-shown",
        }
    }
}

impl Event {
    /// The name of its kind in the file.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::BookOpened { .. } => "book-opened",
            Self::JobRegistered { .. } => "job-registered",
            Self::PlanFixed { .. } => "plan-fixed",
            Self::RunStarted { .. } => "run-started",
            Self::StepDone { .. } => "step-done",
            Self::TimeNoted { .. } => "time-noted",
            Self::SoakSet { .. } => "soak-set",
            Self::RunEnded { .. } => "run-ended",
            Self::ReadingTaken { .. } => "reading-taken",
            Self::LogAttached { .. } => "log-attached",
            Self::Deviation { .. } => "deviation",
            Self::FileAttached { .. } => "file-attached",
            Self::CouponReading { .. } => "coupon-reading",
            Self::Judgement { .. } => "judgement",
            Self::FactTold { .. } => "fact-told",
            Self::Correction { .. } => "correction",
            Self::Signature { .. } => "signature",
        }
    }

    /// The job it names.
    #[must_use]
    pub fn job(&self) -> Option<&str> {
        match self {
            Self::JobRegistered { job, .. }
            | Self::PlanFixed { job, .. }
            | Self::RunStarted { job, .. } => Some(job),
            _ => None,
        }
    }

    /// The run it names.
    #[must_use]
    pub fn run(&self) -> Option<&str> {
        match self {
            Self::RunStarted { run, .. }
            | Self::StepDone { run, .. }
            | Self::TimeNoted { run, .. }
            | Self::SoakSet { run, .. }
            | Self::RunEnded { run, .. }
            | Self::ReadingTaken { run, .. }
            | Self::LogAttached { run, .. }
            | Self::Deviation { run, .. }
            | Self::FileAttached { run, .. }
            | Self::CouponReading { run, .. }
            | Self::Judgement { run, .. }
            | Self::FactTold { run, .. } => Some(run),
            _ => None,
        }
    }

    /// The earlier entry it is about.
    #[must_use]
    pub const fn about(&self) -> Option<u64> {
        match self {
            Self::Correction { corrects, .. } => Some(*corrects),
            Self::Signature { of, .. } => Some(*of),
            _ => None,
        }
    }

    /// The event in a line for people.
    #[must_use]
    pub fn told(&self) -> String {
        match self {
            Self::BookOpened { shop } => format!("book of {shop} opened"),
            Self::JobRegistered { job, title } => format!("job {job} taken in: {title}"),
            Self::PlanFixed { job, code, .. } => format!("plan {code} fixed for job {job}"),
            Self::RunStarted {
                run,
                job,
                plan_entry,
                practice,
            } => {
                let practice = if *practice == Some(true) {
                    "practice run"
                } else {
                    "run"
                };
                format!("{practice} {run} of job {job} started from the plan in entry {plan_entry}")
            }
            Self::StepDone {
                step,
                what,
                hold_point,
                ..
            } => {
                let hold = if *hold_point { " (hold point)" } else { "" };
                format!("step {step} done{hold}: {what}")
            }
            Self::TimeNoted { step, what, .. } => format!("step {step}: {what}"),
            Self::SoakSet { soak, because, .. } => {
                format!("soak set to {soak} from when the pack is hot: {because}")
            }
            Self::RunEnded { how, because, .. } => format!("run {}: {because}", how.word()),
            Self::ReadingTaken { what, measured, .. } => format!("{what}: {measured}"),
            Self::LogAttached { source, .. } => format!("log attached: {source}"),
            Self::Deviation {
                what,
                done_about_it,
                seen,
                ..
            } => {
                let seen = seen
                    .as_ref()
                    .map_or_else(String::new, |seen| format!("; seen: {seen}"));
                format!("deviation: {what}{seen}; done about it: {done_about_it}")
            }
            Self::FileAttached { what, .. } => format!("file attached: {what}"),
            Self::CouponReading {
                coupon,
                what,
                depth,
                measured,
                doubt,
                ..
            } => {
                let at = depth
                    .as_ref()
                    .map_or_else(String::new, |depth| format!(" at {depth}"));
                let doubt = doubt
                    .as_ref()
                    .map_or_else(String::new, |doubt| format!(" ± {doubt}"));
                format!("coupon {coupon}, {what}{at}: {measured}{doubt}")
            }
            Self::Judgement {
                verdict, because, ..
            } => format!("judged {}: {because}", verdict.word()),
            Self::FactTold { item, words, .. } => format!("{item}: {words}"),
            Self::Correction {
                corrects,
                reason,
                instead,
            } => match instead {
                Some(event) => {
                    format!("corrects entry {corrects} ({reason}): {}", event.told())
                }
                None => format!("withdraws entry {corrects}: {reason}"),
            },
            Self::Signature { of, meaning, .. } => {
                format!("signs entry {of}: {}", meaning.word())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measured::Unit;

    /// What came later is left out while it is not said, so that older books read and hash the same.
    #[test]
    fn later_fields_are_left_out_while_they_are_not_said() {
        let started = |practice| Event::RunStarted {
            run: "R-1".into(),
            job: "J".into(),
            plan_entry: 3,
            practice,
        };
        let old = r#"{"kind":"run-started","run":"R-1","job":"J","plan_entry":3}"#;
        assert_eq!(serde_json::to_string(&started(None)).unwrap(), old);
        assert_eq!(serde_json::from_str::<Event>(old).unwrap(), started(None));
        let new = serde_json::to_string(&started(Some(true))).unwrap();
        assert_eq!(
            new,
            r#"{"kind":"run-started","run":"R-1","job":"J","plan_entry":3,"practice":true}"#
        );
        let old = r#"{"kind":"judgement","run":"R-1","verdict":"meets","because":"b"}"#;
        let judged: Event = serde_json::from_str(old).unwrap();
        assert_eq!(serde_json::to_string(&judged).unwrap(), old);
        let told = Event::FactTold {
            run: "R-1".into(),
            item: "customer".into(),
            words: "w".into(),
        };
        assert_eq!(
            serde_json::to_string(&told).unwrap(),
            r#"{"kind":"fact-told","run":"R-1","item":"customer","words":"w"}"#
        );
    }

    /// The stored names. A change here is a change of the file format.
    #[test]
    fn the_names_in_the_file_stay() {
        let reading = Event::ReadingTaken {
            run: "R-1".into(),
            step: None,
            what: "pack couple".into(),
            measured: Measured::new("927.0", Unit::Celsius).unwrap(),
        };
        assert_eq!(
            serde_json::to_string(&reading).unwrap(),
            r#"{"kind":"reading-taken","run":"R-1","what":"pack couple","measured":{"written":"927.0","unit":"°C"}}"#
        );
        let correction = Event::Correction {
            corrects: 7,
            reason: "read off the wrong line".into(),
            instead: Some(Box::new(reading)),
        };
        let text = serde_json::to_string(&correction).unwrap();
        assert_eq!(serde_json::from_str::<Event>(&text).unwrap(), correction);
        assert!(text.starts_with(r#"{"kind":"correction","corrects":7,"#));
        for wrong in [
            r#"{"kind":"nothing"}"#,
            r#"{"kind":"book-opened","shop":"a","colour":"b"}"#,
            r#"{"kind":"reading-taken","run":"R","what":"x","measured":{"written":"1e5","unit":"g"}}"#,
        ] {
            assert!(serde_json::from_str::<Event>(wrong).is_err(), "{wrong}");
        }
    }
}
