//! Why every number of a plan is what it is: one or two plain sentences with this job's numbers, and
//! where the reason comes from.
//!
//! Reads a finished report and changes nothing. A reason that would need a number the report does not
//! have is left shorter, never filled with a usual one. `teaching` says a little more for who learns
//! the trade; it is common knowledge and not this job's result.
//!
//! By the part of the work: `heat` (box and soak), `harden` (reheat, quench, temper), `pack` (box,
//! compound, coupons), `case` (depth, hardness, stock, test).
//!
//! Tests: `plan/tests/why.rs` holds every step's numbers and every source against the list.

mod case;
mod harden;
mod heat;
mod pack;

use casewright_job::spec::Spec;
use casewright_terms::{Band, Length, SourceKey, Span, Temperature, UnitSystem};

use crate::inside::{Inside, StoryPoint};
use crate::outcome::{Plan, PlanReport, Prediction, Step, StepKind};

/// One number and its reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// Stable name of the number, such as `soak`; a second reheat's is `reheat-temperature-2`.
    pub key: String,
    /// What it is, in words.
    pub what: &'static str,
    /// The number as the plan has it.
    pub value: String,
    /// Why, with this job's numbers.
    pub because: String,
    /// More, for who learns.
    pub teaching: &'static str,
    /// Where the reason comes from.
    pub sources: Vec<SourceKey>,
    /// Numbers of the steps it stands in, from 1; empty where it stands in none.
    pub steps: Vec<usize>,
}

/// All reasons of a report, in the order of the work; empty without a plan.
#[must_use]
pub fn reasons(spec: &Spec, report: &PlanReport) -> Vec<Why> {
    let (Some(plan), Some(prediction)) = (&report.plan, &report.prediction) else {
        return Vec::new();
    };
    let ground = plan.depth.stock.1;
    let view = View {
        spec,
        report,
        plan,
        prediction,
        inside: report.inside.as_ref(),
        skin: report
            .inside
            .as_ref()
            .and_then(|inside| inside.story(ground, ground)),
    };
    let mut all = Vec::new();
    case::asked(&view, &mut all);
    pack::reasons(&view, &mut all);
    heat::reasons(&view, &mut all);
    harden::reasons(&view, &mut all);
    case::proved(&view, &mut all);
    all
}

/// What the reasons are read from.
struct View<'a> {
    spec: &'a Spec,
    report: &'a PlanReport,
    plan: &'a Plan,
    prediction: &'a Prediction,
    inside: Option<&'a Inside>,
    /// The story of the finished surface.
    skin: Option<StoryPoint>,
}

impl View<'_> {
    fn units(&self) -> UnitSystem {
        self.spec.units
    }

    fn t(&self, temperature: Temperature) -> String {
        temperature.text_both(self.units())
    }

    fn depth(&self, depth: Length) -> String {
        depth.depth_text(self.units())
    }

    fn depths(&self, band: Band<Length>) -> String {
        let units = self.units();
        format!(
            "{} to {}",
            band.low.depth_text(units),
            band.high.depth_text(units)
        )
    }

    /// The steps of a kind, with their numbers from 1.
    fn steps(&self, kind: StepKind) -> impl Iterator<Item = (usize, &Step)> {
        let all = self.plan.steps.iter().enumerate();
        all.filter(move |(_, step)| step.kind == kind)
            .map(|(i, step)| (i + 1, step))
    }

    fn numbers(&self, kind: StepKind) -> Vec<usize> {
        self.steps(kind).map(|(number, _)| number).collect()
    }

    /// Least section of the part.
    fn section(&self) -> Length {
        crate::setup::section(self.spec.part.shape)
    }
}

/// A reason without more.
fn why(
    key: &str,
    what: &'static str,
    value: String,
    because: String,
    sources: &[SourceKey],
    steps: Vec<usize>,
) -> Why {
    Why {
        key: key.to_owned(),
        what,
        value,
        because,
        teaching: "",
        sources: sources.to_vec(),
        steps,
    }
}

impl Why {
    fn teach(self, teaching: &'static str) -> Self {
        Self { teaching, ..self }
    }
}

/// Joins the sentences that there are.
fn said(sentences: &[Option<String>]) -> String {
    let there: Vec<&str> = sentences.iter().flatten().map(String::as_str).collect();
    there.join(" ")
}

/// A share as whole percent, and with a decimal where it is small.
fn percent(share: f64) -> String {
    if share < 0.095 {
        format!("{:.1} %", 100.0 * share)
    } else {
        format!("{:.0} %", 100.0 * share)
    }
}

/// A time in words, in seconds where it is short.
fn seconds(span: Span) -> String {
    if span.to_s() < 120.0 {
        format!("{:.1} s", span.to_s())
    } else {
        span.text()
    }
}
