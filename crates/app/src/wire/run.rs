//! A run on the wire: where it stands, what a coupon says, what a log proves.

use casewright_plan::logged::{Couple, Excursion, Proof};
use casewright_plan::pull::{Advice, Pulled};
use casewright_plan::remaining::Remaining;
use casewright_records::run::{Fact, Noted};
use casewright_records::{Receipt, Run, Stamp};
use casewright_terms::{Diag, Length};
use serde::Serialize;
use serde_json::Value;

use super::diag::{Finding, findings};
use super::{Interval, number};
use crate::answer::Texts;

/// A moment: the instant, and the clock on the wall.
#[derive(Debug, Serialize)]
pub(crate) struct Clock {
    utc: String,
    wall_clock: String,
}

impl Clock {
    pub(crate) fn of(stamp: &Stamp) -> Self {
        Self {
            utc: stamp.utc_text(),
            wall_clock: stamp.to_string(),
        }
    }
}

/// What is to be done next.
#[derive(Debug, Serialize)]
pub(crate) struct NextLine {
    pub(crate) step: Option<u32>,
    pub(crate) text: String,
    /// The command that enters it, without who and when.
    pub(crate) command: Option<String>,
    pub(crate) due: Option<Clock>,
}

/// A step on the clock.
#[derive(Debug, Serialize)]
pub(crate) struct StepLine {
    pub(crate) step: u32,
    pub(crate) what: String,
    /// `done`, `running` or `ahead`.
    pub(crate) state: &'static str,
    pub(crate) hold_point: bool,
    pub(crate) begins: Option<Clock>,
    /// When the pack is hot; of the soak only.
    pub(crate) hot: Option<Clock>,
    pub(crate) ends: Option<Clock>,
}

/// The answer after an entry of a run.
#[derive(Debug, Serialize)]
pub(crate) struct After<'a> {
    entry: u64,
    code: String,
    run: String,
    text: String,
    next: &'a NextLine,
    clock: &'a [StepLine],
    findings: Vec<Finding>,
}

impl<'a> After<'a> {
    pub(crate) fn of(
        run: &Run,
        receipt: &Receipt,
        said: &str,
        next: &'a NextLine,
        clock: &'a [StepLine],
        diags: &[Diag],
    ) -> Self {
        Self {
            entry: receipt.number,
            code: receipt.hash.to_string(),
            run: run.name.clone(),
            text: said.to_owned(),
            next,
            clock,
            findings: findings(diags, &Texts::default()),
        }
    }
}

/// The answer of `run list`.
#[derive(Debug, Serialize)]
pub(crate) struct List {
    pub(crate) runs: Vec<ListLine>,
}

/// A run in the list.
#[derive(Debug, Serialize)]
pub(crate) struct ListLine {
    run: String,
    job: String,
    plan: String,
    started: Clock,
    /// `open`, `finished` or `abandoned`.
    state: &'static str,
    next_step: Option<u32>,
}

impl ListLine {
    pub(crate) fn of(run: &Run, state: &'static str, next_step: Option<u32>) -> Self {
        Self {
            run: run.name.clone(),
            job: run.job.clone(),
            plan: run.plan.code.clone(),
            started: Clock::of(&run.started),
            state,
            next_step,
        }
    }
}

/// The answer of `run show`.
#[derive(Debug, Serialize)]
pub(crate) struct Shown<'a> {
    run: String,
    job: String,
    entry: u64,
    started: Clock,
    by: String,
    plan: PlanLine,
    next: &'a NextLine,
    clock: &'a [StepLine],
    /// Steps done, with who stands for them.
    done: Vec<DoneLine>,
    times: Vec<TimeLine>,
    soak_set_h: Option<f64>,
    facts: Vec<FactLine>,
    ended: Option<EndLine>,
}

#[derive(Debug, Serialize)]
struct PlanLine {
    entry: u64,
    code: String,
    seed: Option<u64>,
    program: Option<String>,
    job_sha256: Option<String>,
    shop_sha256: Option<String>,
}

#[derive(Debug, Serialize)]
struct DoneLine {
    step: u32,
    entry: u64,
    what: String,
    at: Clock,
    entered_afterwards: bool,
    by: String,
    role: &'static str,
    hold_point: bool,
    waits_for_witness: bool,
    seen_by: Option<String>,
}

#[derive(Debug, Serialize)]
struct TimeLine {
    step: u32,
    entry: u64,
    what: String,
    at: Clock,
}

#[derive(Debug, Serialize)]
struct FactLine {
    entry: u64,
    corrected_by: Option<u64>,
    at: Clock,
    entered_afterwards: bool,
    by: String,
    text: String,
    /// The event as it stands in the book.
    event: Value,
    files: Vec<FileLine>,
}

#[derive(Debug, Serialize)]
struct FileLine {
    name: String,
    bytes: u64,
    sha256: String,
}

#[derive(Debug, Serialize)]
struct EndLine {
    how: &'static str,
    because: String,
    at: Clock,
    entry: u64,
}

impl<'a> Shown<'a> {
    pub(crate) fn of(run: &Run, next: &'a NextLine, clock: &'a [StepLine]) -> Self {
        let made = run.plan.made.as_ref();
        Self {
            run: run.name.clone(),
            job: run.job.clone(),
            entry: run.entry,
            started: Clock::of(&run.started),
            by: run.by.name.clone(),
            plan: PlanLine {
                entry: run.plan.entry,
                code: run.plan.code.clone(),
                seed: made.map(|made| made.seed),
                program: made.map(|made| made.program.clone()),
                job_sha256: made.map(|made| made.job.to_string()),
                shop_sha256: made.and_then(|made| made.shop).map(|hash| hash.to_string()),
            },
            next,
            clock,
            done: run
                .steps
                .iter()
                .map(|done| DoneLine {
                    step: done.step,
                    entry: done.entry,
                    what: done.what.clone(),
                    at: Clock::of(&done.at),
                    entered_afterwards: done.afterwards,
                    by: done.by.name.clone(),
                    role: done.by.role.word(),
                    hold_point: done.hold_point,
                    waits_for_witness: done.waits_for_witness,
                    seen_by: done.witness().map(|signed| signed.by.name.clone()),
                })
                .collect(),
            times: run.times.iter().map(time).collect(),
            soak_set_h: run.soak.as_ref().map(|soak| number(soak.hours)),
            facts: run.facts.iter().map(fact).collect(),
            ended: run.ended.as_ref().map(|end| EndLine {
                how: end.how.word(),
                because: end.because.clone(),
                at: Clock::of(&end.at),
                entry: end.entry,
            }),
        }
    }
}

fn time(noted: &Noted) -> TimeLine {
    TimeLine {
        step: noted.step,
        entry: noted.entry,
        what: noted.what.clone(),
        at: Clock::of(&noted.at),
    }
}

fn fact(fact: &Fact) -> FactLine {
    FactLine {
        entry: fact.entry,
        corrected_by: fact.corrected_by,
        at: Clock::of(&fact.at),
        entered_afterwards: fact.afterwards,
        by: fact.by.name.clone(),
        text: fact.event.told(),
        event: serde_json::to_value(&fact.event).expect("rows have string keys and plain values"),
        files: fact
            .files
            .iter()
            .map(|file| FileLine {
                name: file.name.clone(),
                bytes: file.bytes,
                sha256: file.sha256.to_string(),
            })
            .collect(),
    }
}

fn mm(length: Length) -> f64 {
    number(length.to_mm())
}

/// The soak that is left once the pack is hot.
#[derive(Debug, Serialize)]
pub(crate) struct Left {
    planned_hot_after_h: Interval,
    planned_soak_h: f64,
    depth_with_planned_mm: f64,
    soak_h: f64,
    depth_mm: f64,
}

impl Left {
    pub(crate) fn of(left: &Remaining) -> Self {
        Self {
            planned_hot_after_h: Interval::of(left.planned_hot_after, |s| s.to_h()),
            planned_soak_h: number(left.planned_soak.to_h()),
            depth_with_planned_mm: mm(left.depth_with_planned),
            soak_h: number(left.soak.to_h()),
            depth_mm: mm(left.depth),
        }
    }
}

/// What a coupon says.
#[derive(Debug, Serialize)]
pub(crate) struct PulledLine {
    /// `go-on`, `pull-now` or `too-deep`.
    advice: &'static str,
    expected_mm: Interval,
    /// Standard deviations from what was expected; above 0 deeper.
    surprise: f64,
    chance_misread: f64,
    more_h: Interval,
    soak_h: f64,
    depth_before_mm: Interval,
    depth_if_unchanged_mm: Interval,
    depth_after_mm: Interval,
    chance_before: f64,
    chance_after: f64,
    members_in_effect: f64,
}

impl PulledLine {
    pub(crate) fn of(pulled: &Pulled) -> Self {
        let depth = |band| Interval::of(band, |length: Length| length.to_mm());
        Self {
            advice: match pulled.advice {
                Advice::GoOn => "go-on",
                Advice::PullNow => "pull-now",
                Advice::TooDeep => "too-deep",
            },
            expected_mm: depth(pulled.expected),
            surprise: number(pulled.surprise),
            chance_misread: number(pulled.wrong),
            more_h: Interval::of(pulled.more, |span| span.to_h()),
            soak_h: number(pulled.soak.to_h()),
            depth_before_mm: depth(pulled.before),
            depth_if_unchanged_mm: depth(pulled.if_unchanged),
            depth_after_mm: depth(pulled.after),
            chance_before: number(pulled.chance.0),
            chance_after: number(pulled.chance.1),
            members_in_effect: number(pulled.members),
        }
    }
}

/// The answer of `run pull`.
#[derive(Debug, Serialize)]
pub(crate) struct PullAnswer<'a> {
    entry: u64,
    code: String,
    text: String,
    /// Whether the soak was set by it.
    soak_set: bool,
    #[serde(flatten)]
    pulled: PulledLine,
    next: &'a NextLine,
    findings: Vec<Finding>,
}

impl<'a> PullAnswer<'a> {
    pub(crate) fn of(
        receipt: &Receipt,
        said: &str,
        soak_set: bool,
        pulled: &Pulled,
        next: &'a NextLine,
        diags: &[Diag],
    ) -> Self {
        Self {
            entry: receipt.number,
            code: receipt.hash.to_string(),
            text: said.to_owned(),
            soak_set,
            pulled: PulledLine::of(pulled),
            next,
            findings: findings(diags, &Texts::default()),
        }
    }
}

/// What a column of a log proves.
#[derive(Debug, Serialize)]
pub(crate) struct ProofLine {
    channel: String,
    /// `pack` or `furnace`.
    couple: &'static str,
    proven: bool,
    why_not: Vec<String>,
    band_c: [f64; 2],
    /// From the first row of the log.
    hot_s: Option<f64>,
    left_s: Option<f64>,
    within_s: f64,
    over_s: f64,
    under_s: f64,
    not_known_s: f64,
    depth_planned_mm: f64,
    depth_logged_mm: f64,
    /// What all departures cost together, holes left out.
    cost_mm: f64,
    excursions: Vec<ExcursionLine>,
}

#[derive(Debug, Serialize)]
struct ExcursionLine {
    /// `under`, `over` or `hole`.
    kind: &'static str,
    from_s: f64,
    to_s: f64,
    /// From the set temperature, at most; `null` in a hole.
    furthest_k: Option<f64>,
    /// Below 0 where it made the case deeper; of a hole at most.
    cost_mm: f64,
}

impl ProofLine {
    pub(crate) fn of(channel: &str, couple: Couple, proof: &Proof) -> Self {
        Self {
            channel: channel.to_owned(),
            couple: match couple {
                Couple::Pack => "pack",
                Couple::Furnace => "furnace",
            },
            proven: proof.proven,
            why_not: proof.why_not.clone(),
            band_c: [number(proof.band.0.to_c()), number(proof.band.1.to_c())],
            hot_s: proof.hot.map(|span| number(span.to_s())),
            left_s: proof.left.map(|span| number(span.to_s())),
            within_s: number(proof.within.to_s()),
            over_s: number(proof.over.to_s()),
            under_s: number(proof.under.to_s()),
            not_known_s: number(proof.unknown.to_s()),
            depth_planned_mm: mm(proof.depth_planned),
            depth_logged_mm: mm(proof.depth_logged),
            cost_mm: mm(proof.cost),
            excursions: proof.excursions.iter().map(excursion).collect(),
        }
    }
}

fn excursion(excursion: &Excursion) -> ExcursionLine {
    ExcursionLine {
        kind: excursion.kind.word(),
        from_s: number(excursion.from.to_s()),
        to_s: number(excursion.to.to_s()),
        furthest_k: excursion.furthest.map(|step| number(step.to_k())),
        cost_mm: mm(excursion.cost),
    }
}

/// The answer of `run log`.
#[derive(Debug, Serialize)]
pub(crate) struct LogAnswer {
    pub(crate) entry: u64,
    pub(crate) code: String,
    pub(crate) text: String,
    /// The pack's column first.
    pub(crate) judged: Vec<ProofLine>,
    pub(crate) next: NextLine,
    pub(crate) findings: Vec<Finding>,
}

/// The answer of `run replay`.
#[derive(Debug, Serialize)]
pub(crate) struct Replayed {
    pub(crate) same: bool,
    pub(crate) code: String,
    pub(crate) code_now: String,
    pub(crate) program: String,
    pub(crate) program_now: &'static str,
}
