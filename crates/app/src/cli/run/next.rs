//! Where a run stands: the one thing to be done next, and the clock of every step, from the times
//! that were entered and the spans of the plan.

use casewright_records::{Run, Stamp};
use casewright_terms::Span;

use super::stored::{Plan, Step};
use crate::world;

/// What the moment is called at which a step begins.
pub(super) const BEGUN: &str = "begun";
/// What the moment is called at which the pack is hot.
pub(super) const HOT: &str = "pack hot";

/// Where a run stands.
#[derive(Debug)]
pub(super) struct Standing {
    /// The step whose turn it is; `None` where all are done.
    pub(super) next_step: Option<u32>,
    /// What to do, in a sentence.
    pub(super) next: String,
    /// The command that enters it, without who and when.
    pub(super) command: Option<String>,
    /// When it is due, where that follows from what was entered.
    pub(super) due: Option<Stamp>,
    /// The clock.
    pub(super) lines: Vec<Line>,
}

/// One step on the clock.
#[derive(Debug)]
pub(super) struct Line {
    pub(super) step: u32,
    pub(super) what: String,
    pub(super) begins: Option<Stamp>,
    pub(super) hot: Option<Stamp>,
    pub(super) ends: Option<Stamp>,
    pub(super) state: State,
    pub(super) hold_point: bool,
}

/// How far a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    Done,
    Running,
    Ahead,
}

impl State {
    /// The word.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Running => "running",
            Self::Ahead => "ahead",
        }
    }
}

/// A step in a few words.
pub(super) fn title(step: &Step) -> String {
    let name = match step.kind.as_str() {
        "pack" => "pack and lute",
        "carburize" => "carburize",
        "cool" => "cool",
        "reheat" => "reheat",
        "quench" => "quench",
        "temper" => "temper",
        "test" => "test",
        "grind" => "grind",
        other => other,
    };
    match &step.equipment {
        Some(equipment) => format!("{name}, {equipment}"),
        None => name.to_owned(),
    }
}

/// The soak in hours, from when the pack is hot: as last set, or as planned.
pub(super) fn soak_h(run: &Run, plan: &Plan) -> Option<f64> {
    run.soak.as_ref().map(|soak| soak.hours).or(plan.soak_h)
}

impl Standing {
    /// Of a run and its plan.
    pub(super) fn of(run: &Run, plan: &Plan) -> Self {
        let count = u32::try_from(plan.steps.len()).unwrap_or(u32::MAX);
        let next_step = (1..=count).find(|number| run.step(*number).is_none());
        let lines = clock(run, plan, next_step);
        let mut standing = Self {
            next_step,
            next: String::new(),
            command: None,
            due: None,
            lines,
        };
        standing.decide(run, plan);
        standing
    }

    fn decide(&mut self, run: &Run, plan: &Plan) {
        if let Some(end) = &run.ended {
            self.next = format!("Nothing: the run was {} at {}.", end.how.word(), end.at);
            return;
        }
        if let Some(waiting) = run.waiting() {
            self.next = format!(
                "Somebody other than {} looks at step {} ({}) before anything goes on.",
                waiting.by.name, waiting.step, waiting.what
            );
            self.command = Some(format!("run witness BOOK {} {}", run.name, waiting.step));
            return;
        }
        let Some(number) = self.next_step else {
            self.next = "Every step is done: close the run.".to_owned();
            self.command = Some(format!("run finish BOOK {}", run.name));
            return;
        };
        let step = plan.step(number).expect("the next step is on the sheet");
        let line = self.lines.iter().find(|line| line.step == number);
        let (begins, ends) = line.map_or((None, None), |line| {
            (line.begins.clone(), line.ends.clone())
        });
        let command = |word: &str| Some(format!("run {word} BOOK {} {number}", run.name));
        let begun = run.time(number, BEGUN).is_some();
        if step.kind == "carburize" && run.time(number, HOT).is_none() {
            if begun {
                let hot = line.and_then(|line| line.hot.clone());
                let when = hot
                    .as_ref()
                    .map(|hot| format!(", expected at {hot}"))
                    .unwrap_or_default();
                self.next = format!("Wait for the pack to be hot{when}, and enter the time.");
                self.command = Some(format!("run hot BOOK {}", run.name));
                self.due = hot;
            } else {
                self.next = format!("Step {number}: {} Enter when the box goes in.", step.text);
                self.command = command("begin");
                self.due = begins;
            }
            return;
        }
        let already = step.kind == "carburize" || begun;
        let until = ends
            .as_ref()
            .map(|ends| format!(" until {ends}"))
            .unwrap_or_default();
        self.next = match (step.kind.as_str(), already) {
            ("carburize", _) => format!("Step {number}: soak{until}, then end it."),
            (_, true) => format!("Step {number} runs{until}: {}", step.text),
            (_, false) => format!("Step {number}: {}", step.text),
        };
        self.command = command("done");
        self.due = if already { ends } else { begins };
    }
}

/// The clock: what was entered where it was, and from there on the spans of the plan.
fn clock(run: &Run, plan: &Plan, next: Option<u32>) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut at: Option<Stamp> = None;
    let mut planned_end_h: Option<f64> = None;
    for (index, step) in plan.steps.iter().enumerate() {
        let number = index as u32 + 1;
        let done = run.step(number);
        let begun = run.time(number, BEGUN).map(|noted| noted.at.clone());
        let hot_seen = run.time(number, HOT).map(|noted| noted.at.clone());
        let wait_h = planned_end_h.map_or(0.0, |end| (step.begins.after_h - end).max(0.0));
        let begins = begun
            .clone()
            .or_else(|| at.as_ref().map(|at| waited(at, wait_h, step)))
            .or_else(|| (index == 0).then(|| run.started.clone()));
        let (hot, ends) = if step.kind == "carburize" {
            let hot = hot_seen.clone().or_else(|| {
                let after = plan.pack_hot_after_h?.mid;
                Some(world::later(begins.as_ref()?, after * 3600.0))
            });
            let ends = hot.as_ref().and_then(|hot| {
                let soak = soak_h(run, plan)?;
                Some(world::later(hot, soak * 3600.0))
            });
            (hot, ends)
        } else {
            let span_h = step.ends.after_h - step.begins.after_h;
            let ends = begins.as_ref().map(|at| world::later(at, span_h * 3600.0));
            (None, ends)
        };
        let ends = done.map(|done| done.at.clone()).or(ends);
        let state = if done.is_some() {
            State::Done
        } else if Some(number) == next && (begun.is_some() || hot_seen.is_some()) {
            State::Running
        } else {
            State::Ahead
        };
        at.clone_from(&ends);
        planned_end_h = Some(step.ends.after_h);
        lines.push(Line {
            step: number,
            what: title(step),
            begins,
            hot,
            ends,
            state,
            hold_point: step.hold_point,
        });
    }
    lines
}

/// A wait this much longer than the plan's is no wait for the next morning any more.
const LATER_H: f64 = 6.0;
/// Shorter waits of the plan are its own rounding to the quarter of an hour.
const WAIT_LEAST_H: f64 = 0.5;

/// When a step begins behind the one before it: at once, or where the plan waits for the hours in which
/// somebody is there, at the same time of the day as in the plan.
fn waited(at: &Stamp, wait_h: f64, step: &Step) -> Stamp {
    if wait_h < WAIT_LEAST_H {
        return at.clone();
    }
    let Some(minute) = step.begins.minute_of_day() else {
        return world::later(at, wait_h * 3600.0);
    };
    let wall_s = at.utc_us.div_euclid(1_000_000) + i64::from(at.offset_min) * 60;
    let until_s = (i64::from(minute) * 60 - wall_s).rem_euclid(86_400);
    let days = ((wait_h * 3600.0 - until_s as f64) / 86_400.0)
        .round()
        .max(0.0);
    let until_s = until_s as f64 + days * 86_400.0;
    if until_s > (wait_h + LATER_H) * 3600.0 {
        return at.clone();
    }
    world::later(at, until_s)
}

/// The band of the time to hot, in words.
pub(super) fn hot_band(plan: &Plan) -> Option<String> {
    let band = plan.pack_hot_after_h?;
    let text = |hours: f64| Span::from_h(hours).text();
    Some(format!(
        "{} after loading ({} to {})",
        text(band.mid),
        text(band.low),
        text(band.high)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(clock: &str) -> Step {
        serde_json::from_value(serde_json::json!({
            "kind": "reheat", "text": "t", "hold_point": false,
            "begins": {"after_h": 10.0, "clock": clock}, "ends": {"after_h": 11.0},
        }))
        .expect("a step")
    }

    fn wall(day: i64, hour: i64, minute: i64) -> Stamp {
        Stamp {
            utc_us: ((day * 24 + hour) * 60 + minute + 300) * 60_000_000,
            offset_min: -300,
            zone: "as told".into(),
        }
    }

    /// The plan cools until half past midnight and waits for eight; a run that cools until later is
    /// gone on with at eight too, and one that is cold in the middle of the day at once.
    #[test]
    fn a_night_is_waited_for_and_a_day_is_not() {
        let morning = step("2026-12-02T08:00:00");
        assert_eq!(waited(&wall(5, 2, 32), 7.5, &morning), wall(5, 8, 0));
        assert_eq!(waited(&wall(5, 9, 0), 7.5, &morning), wall(5, 9, 0));
        assert_eq!(waited(&wall(5, 0, 0), 0.1, &morning), wall(5, 0, 0));
        // Over a weekend: from Friday evening to Monday.
        assert_eq!(waited(&wall(5, 18, 0), 62.0, &morning), wall(8, 8, 0));
    }
}
