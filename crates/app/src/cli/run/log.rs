//! `run log`: keeps a furnace or logger file byte for byte, tells the fate of its rows, and judges
//! the soak by it.

use std::path::PathBuf;

use casewright_job::log::{self, Fate, Log};
use casewright_physics::run::Failure;
use casewright_plan::follow::Followed;
use casewright_plan::logged::{self, Couple, Kind, Logged, Proof};
use casewright_records::{Attachment, Event};
use casewright_terms::{Diag, Span, Temperature, TemperatureStep, UnitSystem};
use clap::Args;

use super::super::log::{Open as OpenPoints, reading_json};
use super::steps::not_reckoned;
use super::{Common, Open, next, show, stored};
use crate::answer::{Answer, Texts, Trouble};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// A log is taken as straight pieces that pass this near to every reading: below what a couple is
/// sure of.
const WITHIN_K: f64 = 1.0;
/// The tolerance of a plan that names none.
const TOLERANCE_K: f64 = 8.0;

/// Longest account of the lines that is kept in the entry, in bytes: below what the book takes as a
/// text.
const LONGEST_READING: usize = 3 << 20;

/// Options of `run log`.
#[derive(Debug, Args)]
pub(super) struct Options {
    #[command(flatten)]
    common: Common,
    /// The logger's text file.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Where it comes from: furnace, instrument.
    #[arg(long, value_name = "WORDS")]
    source: String,
    /// Column of the couple that was buried in the pack.
    #[arg(long, value_name = "COLUMN")]
    pack: Option<String>,
    /// Column of the furnace's own couple.
    #[arg(long, value_name = "COLUMN")]
    furnace: Option<String>,
    #[command(flatten)]
    open: OpenPoints,
}

/// Keeps and judges the log.
pub(super) fn run(options: &Options) -> Result<Answer, Trouble> {
    let common = &options.common;
    let mut open = common.open()?;
    let bytes = world::read_log(&options.file).map_err(Trouble::input)?;
    let log = log::read(&bytes, &options.open.answers()).map_err(|diags| Trouble::Input {
        diags,
        texts: Texts::default(),
    })?;
    let channels = channels(&log, options)?;
    let mut diags = log.notes.clone();
    let judged = match judge(&open, &log, &channels) {
        Ok(judged) => judged,
        Err(Trouble::Numbers(failure)) => {
            diags.push(not_reckoned(&failure));
            Vec::new()
        }
        Err(Trouble::Input { diags: said, .. }) => {
            diags.extend(said.into_iter().map(|diag| Diag {
                severity: casewright_terms::Severity::Warn,
                ..diag
            }));
            Vec::new()
        }
        Err(other) => return Err(other),
    };
    for (_, proof) in &judged {
        diags.extend(proof.findings.clone());
    }
    if let Some((_, proof)) = judged.first() {
        diags.extend(clock(&open, &log, proof));
    }
    let lines: Vec<wire::run::ProofLine> = judged
        .iter()
        .map(|(channel, proof)| {
            wire::run::ProofLine::of(&log.channels[channel.index].name, channel.couple, proof)
        })
        .collect();
    let above = open
        .plan
        .temperature_c
        .map_or(Temperature::from_c(900.0), |t| {
            Temperature::from_c(t - tolerance(&open))
        });
    let mut reading = Some(reading_json(&log, above));
    if reading
        .as_ref()
        .is_some_and(|json| json.len() > LONGEST_READING)
    {
        reading = None;
        diags.push(Diag::note(
            "run-log-ragged",
            "The fates of the lines change too often to be kept one by one; the file itself is kept, and `casewright log` tells them again.",
        ));
    }
    let said = sentence(judged.first().map(|(_, proof)| proof), &log);
    let mut text = fates(&log);
    for (channel, proof) in &judged {
        let name = &log.channels[channel.index].name;
        text.push_str(&told(name, channel.couple, proof, open.plan.units()));
    }
    // Two million rows and the file beside them are enough to hold at a time.
    drop(log);
    let mut addition = common.addition(Event::LogAttached {
        run: common.run.clone(),
        source: options.source.clone(),
        reading_json: reading,
        judged_json: Some(wire::json(&lines)),
    })?;
    let name = options
        .file
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    addition.attachments.push(Attachment { name, bytes });
    let receipt = open.put(&addition)?;
    let standing = next::Standing::of(&open.run, &open.plan);
    let after = show::after(&open.run, &standing, &receipt, &said, diags.clone());
    text.push_str(&after.text);
    let json = wire::json(&wire::run::LogAnswer {
        entry: receipt.number,
        code: receipt.hash.to_string(),
        text: said,
        judged: lines,
        next: show::standing_line(&standing),
        findings: wire::diag::findings(&diags, &Texts::default()),
    });
    Ok(Answer::done(text, json).with_diags(diags, Texts::default()))
}

/// A column that is judged.
#[derive(Clone, Copy)]
struct Channel {
    index: usize,
    couple: Couple,
}

/// Words that name a couple in the pack, and such that name one in the furnace.
const PACK: [&str; 6] = ["pack", "load", "box", "work", "part", "charge"];
const FURNACE: [&str; 6] = ["furnace", "chamber", "oven", "control", "process", "pv"];
/// Words of columns that are no reading of a couple.
const NO_COUPLE: [&str; 5] = ["set", "sp", "out", "room", "ambient"];

/// Which columns are judged, the pack's first.
fn channels(log: &Log, options: &Options) -> Result<Vec<Channel>, Trouble> {
    let heat: Vec<usize> = (0..log.channels.len())
        .filter(|index| log.channels[*index].unit.is_some() && log.extremes(*index).is_some())
        .collect();
    let named = |typed: &String| -> Result<usize, Trouble> {
        heat.iter()
            .copied()
            .find(|index| log.channels[*index].name == *typed)
            .ok_or_else(|| {
                let known: Vec<&str> = heat
                    .iter()
                    .map(|i| log.channels[*i].name.as_str())
                    .collect();
                Trouble::input(
                    Diag::stop(
                        "run-log-column",
                        format!("The log has no temperature column \"{typed}\"."),
                    )
                    .accepted(format!("It has {}.", known.join(", "))),
                )
            })
    };
    let has = |index: usize, words: &[&str]| {
        let name = log.channels[index].name.to_lowercase();
        let parts = name.split(|c: char| !c.is_alphanumeric());
        words.iter().any(|word| {
            parts
                .clone()
                .any(|part| part == *word || (word.len() > 2 && part.starts_with(word)))
        })
    };
    let couples: Vec<usize> = heat
        .iter()
        .copied()
        .filter(|i| !has(*i, &NO_COUPLE))
        .collect();
    let guess = |words: &[&str]| couples.iter().copied().find(|index| has(*index, words));
    let pack = match &options.pack {
        Some(typed) => Some(named(typed)?),
        None => guess(&PACK),
    };
    let mut furnace = match &options.furnace {
        Some(typed) => Some(named(typed)?),
        None => guess(&FURNACE).filter(|index| Some(*index) != pack),
    };
    if pack.is_none() && furnace.is_none() {
        // A single column without a telling name is the furnace's: nothing is proven by a guess.
        match couples[..] {
            [only] => furnace = Some(only),
            _ => {
                let known: Vec<&str> = heat
                    .iter()
                    .map(|i| log.channels[*i].name.as_str())
                    .collect();
                return Err(Trouble::input(
                    Diag::stop(
                        "run-log-which",
                        format!(
                            "Which column is the pack's? The log has {}.",
                            known.join(", ")
                        ),
                    )
                    .why("Only a couple in the pack proves a soak.")
                    .accepted("Say --pack COLUMN, or --furnace COLUMN where none was in the pack."),
                ));
            }
        }
    }
    let of = |index: Option<usize>, couple| index.map(|index| Channel { index, couple });
    Ok([of(pack, Couple::Pack), of(furnace, Couple::Furnace)]
        .into_iter()
        .flatten()
        .collect())
}

fn tolerance(open: &Open) -> f64 {
    let step = open.plan.steps.iter().find(|step| step.kind == "carburize");
    step.and_then(|step| step.temperature_tolerance_k)
        .unwrap_or(TOLERANCE_K)
}

fn judge(open: &Open, log: &Log, channels: &[Channel]) -> Result<Vec<(Channel, Proof)>, Trouble> {
    let spec = stored::spec(&open.book, &open.run)?;
    let kit = open.plan.kit(&spec).map_err(Trouble::input)?;
    world::with_progress("reckoning", || -> Result<_, Failure> {
        let followed = kit.follow()?;
        let of = |channel: &Channel| proof(&followed, open, log, *channel);
        channels
            .iter()
            .filter_map(|channel| Some(of(channel)?.map(|proof| (*channel, proof))))
            .collect()
    })
    .map_err(Trouble::Numbers)
}

fn proof(
    followed: &Followed<'_>,
    open: &Open,
    log: &Log,
    channel: Channel,
) -> Option<Result<Proof, Failure>> {
    let trace = log.trace(channel.index, TemperatureStep::from_k(WITHIN_K))?;
    let logged = Logged {
        couple: channel.couple,
        holes: trace
            .holes
            .iter()
            .map(|hole| (hole.from, hole.to))
            .collect(),
        corners: trace.corners,
        interval: log.interval(),
        tolerance: TemperatureStep::from_k(tolerance(open)),
        soak: next::soak_h(&open.run, &open.plan).map_or(followed.kit.way.soak, Span::from_h),
    };
    Some(logged::judge(followed, &logged))
}

/// Whether the logger's clock and the clock of the entries tell the same hour.
fn clock(open: &Open, log: &Log, proof: &Proof) -> Option<Diag> {
    let step = open.plan.number_of("carburize")?;
    let noted = open.run.time(step, next::HOT)?;
    let logged_ms = log.start_ms? + (proof.hot?.to_s() * 1000.0) as i64;
    let utc_ms = noted.at.utc_us / 1000;
    let wall_ms = utc_ms + i64::from(noted.at.offset_min) * 60_000;
    // A file with a zone tells UTC, another what its clock showed.
    let off_min = [utc_ms, wall_ms]
        .map(|ms| (logged_ms - ms) as f64 / 60_000.0)
        .into_iter()
        .min_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    if off_min.abs() < 15.0 {
        return None;
    }
    let hour = (off_min.abs() - 60.0).abs() < 10.0;
    let seen = format!(
        "By the log the couple came into the band {} {} than the entry in the book says.",
        Span::from_min(off_min.abs()).text(),
        if off_min > 0.0 { "later" } else { "earlier" }
    );
    Some(if hour {
        Diag::warn("run-log-hour", seen)
            .why("An hour is what a clock that was not put forward or back is off by.")
            .accepted("Look at the logger's clock; the lengths in the log hold all the same.")
    } else {
        Diag::note("run-log-clock", seen)
            .why("Another couple, another place in the pack, or another clock.")
            .accepted("Correct the entry where its time is wrong; the log's own lengths hold.")
    })
}

fn fates(log: &Log) -> String {
    let told: Vec<String> = log
        .fates
        .iter()
        .filter(|(_, lines)| lines.count > 0)
        .map(|(fate, lines)| format!("{} {}", lines.count, fate.word().replace('_', " ")))
        .collect();
    let all: u64 = Fate::ALL.iter().map(|fate| log.count(*fate)).sum();
    hanging(
        &format!("{all} lines: "),
        &format!("{}; kept byte for byte", told.join(", ")),
    )
}

fn told(name: &str, couple: Couple, proof: &Proof, units: UnitSystem) -> String {
    let what = match couple {
        Couple::Pack => "couple in the pack",
        Couple::Furnace => "furnace",
    };
    let mut text = hanging(
        &format!("{name} ({what}): "),
        &format!(
            "in the band {} to {} for {}, over it {}, under it {}, not known {}",
            proof.band.0.text(units),
            proof.band.1.text(units),
            proof.within.text(),
            proof.over.text(),
            proof.under.text(),
            proof.unknown.text()
        ),
    );
    for excursion in &proof.excursions {
        text.push_str(&hanging("  ▲ ", &departure(excursion, units)));
    }
    let line = format!(
        "{} by the log, {} by the plan",
        proof.depth_logged.depth_text(units),
        proof.depth_planned.depth_text(units)
    );
    text.push_str(&hanging("  depth to the limit: ", &line));
    if proof.proven {
        text.push_str("  ● the soak is proven\n");
    } else {
        text.push_str(&hanging(
            "  ■ the soak is not proven: ",
            &proof.why_not.join("; "),
        ));
    }
    text
}

/// An excursion in words: `18 min at 40 °C under cost 0.03 mm`.
fn departure(excursion: &logged::Excursion, units: UnitSystem) -> String {
    let length = (excursion.to - excursion.from).text();
    let at = excursion.from.text();
    let cost = excursion.cost;
    let worth = cost
        .max(casewright_terms::Length::ZERO - cost)
        .depth_text(units);
    let gave = if cost < casewright_terms::Length::ZERO {
        format!("made the case {worth} deeper")
    } else {
        format!("cost {worth}")
    };
    match (excursion.kind, excursion.furthest) {
        (Kind::Hole, _) | (_, None) => {
            format!("{length} without readings, {at} into the log: at most {worth}")
        }
        (kind, Some(step)) => {
            let far = TemperatureStep::from_k(step.to_k().abs()).text(units);
            format!(
                "{length} at up to {far} {}, {at} into the log: {gave}",
                kind.word()
            )
        }
    }
}

fn sentence(proof: Option<&Proof>, log: &Log) -> String {
    match proof {
        None => format!("The log of {} rows is kept; it was not judged.", log.rows()),
        Some(proof) if proof.proven => format!(
            "The log is kept, and the soak is proven: {} in the band.",
            proof.within.text()
        ),
        Some(proof) => format!(
            "The log is kept; the soak is not proven: {}.",
            proof.why_not.join("; ")
        ),
    }
}
