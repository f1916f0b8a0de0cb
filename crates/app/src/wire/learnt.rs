//! What finished jobs have taught, on the wire.

use casewright_job::shop::{Subject, Trait};
use casewright_plan::learn::Learned;
use casewright_terms::{Length, UnitSystem};
use serde::Serialize;

use super::number;

/// The answer of `shop learnt`.
#[derive(Debug, Serialize)]
pub(crate) struct Line {
    sentences: Vec<String>,
    together: Vec<TogetherLine>,
    factors: Vec<FactorLine>,
    testers: Vec<TesterLine>,
    runs: Vec<RunLine>,
    left_out: Vec<LeftOut>,
    /// Farthest that one run can move any factor, in half-widths of its doubt without evidence.
    cap: f64,
    shop_lines: String,
}

#[derive(Debug, Serialize)]
struct TogetherLine {
    furnace: String,
    #[serde(rename = "box")]
    pack_box: String,
    compound: String,
    steel: String,
    tank: String,
    depth_factor: f64,
    half_band_without_mm: f64,
    half_band_mm: f64,
    half_band_new_in_each_job_mm: f64,
    pieces: Vec<[String; 2]>,
    runs: Vec<String>,
}

#[derive(Debug, Serialize)]
struct FactorLine {
    about: &'static str,
    mark: String,
    what: &'static str,
    unit: &'static str,
    low: f64,
    mid: f64,
    high: f64,
    low_without: f64,
    high_without: f64,
}

#[derive(Debug, Serialize)]
struct TesterLine {
    tester: String,
    /// In half-widths of what its own checks leave open.
    offset: f64,
    doubt: f64,
}

#[derive(Debug, Serialize)]
struct RunLine {
    run: String,
    weight: f64,
    readings_right: f64,
    depth_over_foretold: Option<f64>,
    cycle: String,
}

#[derive(Debug, Serialize)]
struct LeftOut {
    run: String,
    because: String,
}

impl Line {
    pub(crate) fn of(
        learned: &Learned,
        used: &[(String, String)],
        left_out: &[(String, String)],
        units: UnitSystem,
    ) -> Self {
        let mm = |length: Length| number(length.to_mm());
        Self {
            sentences: learned.together.iter().map(|t| t.sentence(units)).collect(),
            together: learned
                .together
                .iter()
                .map(|one| TogetherLine {
                    furnace: one.things.furnace.clone(),
                    pack_box: one.things.pack_box.clone(),
                    compound: one.things.compound.clone(),
                    steel: one.things.steel.clone(),
                    tank: one.things.tank.clone(),
                    depth_factor: number(one.factor),
                    half_band_without_mm: mm(one.before),
                    half_band_mm: mm(one.after),
                    half_band_new_in_each_job_mm: mm(one.new),
                    pieces: one
                        .from
                        .iter()
                        .map(|(piece, run)| [piece.clone(), run.clone()])
                        .collect(),
                    runs: one.runs.clone(),
                })
                .collect(),
            factors: learned
                .factors
                .iter()
                .map(|one| FactorLine {
                    about: subject(one.about),
                    mark: one.mark.clone(),
                    what: words(one.what),
                    unit: one.unit,
                    low: number(one.value.0),
                    mid: number(one.value.1),
                    high: number(one.value.2),
                    low_without: number(one.prior.0),
                    high_without: number(one.prior.1),
                })
                .collect(),
            testers: learned
                .testers
                .iter()
                .map(|(tester, offset, doubt)| TesterLine {
                    tester: tester.clone(),
                    offset: number(*offset),
                    doubt: number(*doubt),
                })
                .collect(),
            runs: learned
                .counted
                .iter()
                .map(|job| RunLine {
                    run: job.run.clone(),
                    weight: number(job.weight),
                    readings_right: number(job.right),
                    depth_over_foretold: job.depth.map(number),
                    cycle: used
                        .iter()
                        .find(|(run, _)| *run == job.run)
                        .map_or_else(String::new, |(_, cycle)| cycle.clone()),
                })
                .collect(),
            left_out: left_out
                .iter()
                .map(|(run, because)| LeftOut {
                    run: run.clone(),
                    because: because.clone(),
                })
                .collect(),
            cap: 1.0,
            shop_lines: casewright_job::print::learnt_lines(&learned.values),
        }
    }
}

/// What a value belongs to, in a word.
pub(crate) const fn subject(about: Subject) -> &'static str {
    match about {
        Subject::Furnace => "furnace",
        Subject::PackBox => "box",
        Subject::Compound => "compound",
        Subject::Steel => "steel",
        Subject::Tank => "tank",
    }
}

/// What a value is, in words.
pub(crate) const fn words(what: Trait) -> &'static str {
    match what {
        Trait::Couple => "load hotter than set, by the couple",
        Trait::Place => "load hotter than set, by its place",
        Trait::Diffusion => "speed of carbon in the steel",
        Trait::Transfer => "carbon handed over",
        Trait::HeatUp => "speed of the heat-up",
        Trait::Severity => "severity of the quench",
        Trait::Carry => "time to the bath",
        Trait::Kinetics => "time to transform",
        Trait::Hardness => "hardness at a structure",
        Trait::Grain => "grain finer",
        Trait::Lines => "lines of carbide and ferrite",
    }
}
