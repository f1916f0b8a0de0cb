//! `whatif`: what goes wrong with a planned job, what it does, and what puts it right.

use std::fmt::Write as _;

use casewright_job::units::{self, Quantity};
use casewright_plan::upset::{self, Outcome, Upset, Values, WhatIf};
use casewright_terms::{Band, Diag, Fraction, Span, Temperature, TemperatureStep, UnitSystem};
use clap::Args;

use super::planned::Planned;
use super::{JobArgs, job, words};
use crate::answer::{Answer, Ending, Trouble};
use crate::show::table;
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Options of `whatif`: mishaps with their size; without one the usual ones are looked at.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    job: JobArgs,
    /// Power away for so long in the soak, as in 40min; see --at.
    #[arg(long, value_name = "SPAN")]
    power_cut: Option<String>,
    /// When the power goes, counted from the pack being hot; the middle of the soak if not given.
    #[arg(long, value_name = "SPAN", requires = "power_cut")]
    at: Option<String>,
    /// Loaded so late, and pulled at the planned hour all the same.
    #[arg(long, value_name = "SPAN")]
    late_start: Option<String>,
    /// The box pulled so long after its planned hour.
    #[arg(long, value_name = "SPAN")]
    late_pull: Option<String>,
    /// The box pulled so long before its planned hour.
    #[arg(long, value_name = "SPAN")]
    early_pull: Option<String>,
    /// Box heat set so much too low, as in 25F or 14C.
    #[arg(long, value_name = "STEP")]
    set_low: Option<String>,
    /// Box heat set so much too high.
    #[arg(long, value_name = "STEP")]
    set_high: Option<String>,
    /// Furnace so much below what it shows, in all its heats.
    #[arg(long, value_name = "STEP")]
    furnace_low: Option<String>,
    /// Furnace so much above what it shows, in all its heats.
    #[arg(long, value_name = "STEP")]
    furnace_high: Option<String>,
    /// Compound that hands over carbon at this share of the expected rate, as in 50%.
    #[arg(long, value_name = "SHARE")]
    weak_compound: Option<String>,
    /// Damp compound.
    #[arg(long)]
    damp_compound: bool,
    /// Bath at this temperature, as in 40C.
    #[arg(long, value_name = "TEMPERATURE")]
    bath: Option<String>,
    /// From the furnace door to fully under in this time, as in 9s.
    #[arg(long, value_name = "SPAN")]
    transfer: Option<String>,
    /// Not tempered.
    #[arg(long)]
    no_temper: bool,
    /// Tempered at this temperature.
    #[arg(long, value_name = "TEMPERATURE")]
    temper: Option<String>,
}

/// Plans the job and puts the mishaps to it.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    // What is typed wrong is said before the plan is waited for.
    let typed = Typed::of(options)?;
    let (spec, texts) = job::load(&options.job.job)?;
    let planned = Planned::of(spec, options.job.seed);
    let units = planned.spec.units;
    let Some(plan) = planned
        .report
        .plan
        .as_ref()
        .filter(|_| planned.ending() == Ending::Done)
    else {
        let json = wire::json(&wire::whatif::refused(&planned.report, &texts));
        let text = format!(
            "{} {}\nThere is no plan of this note to ask; see `casewright plan` for what speaks against it.\n",
            planned.sheet.verdict.mark.shape(),
            planned.sheet.verdict.word
        );
        return Ok(Answer::done(text, json).ending(Ending::NotMet));
    };
    let asked = typed.upsets(plan.soak);
    let answer = world::with_progress("asking the plan", || {
        upset::what_if(&planned.spec, &planned.report, &asked)
    })
    .map_err(Trouble::input)?;
    let json = wire::json(&wire::whatif::of(&answer, &texts));
    Ok(Answer::done(text(&planned.spec.name, &answer, units), json))
}

/// What was typed, read.
struct Typed {
    fixed: Vec<Upset>,
    cut: Option<(Option<Span>, Span)>,
}

impl Typed {
    /// Reads all of it, all faults at once.
    fn of(options: &Options) -> Result<Self, Trouble> {
        let mut diags = Vec::new();
        let mut fixed = Vec::new();
        let span = |typed: &Option<String>, diags: &mut Vec<Diag>| {
            quantity::<Span>(typed.as_deref(), diags)
                .and_then(|span| above_zero(span, span.to_s(), "a time", diags))
        };
        let step = |typed: &Option<String>, diags: &mut Vec<Diag>| {
            quantity::<TemperatureStep>(typed.as_deref(), diags)
                .and_then(|step| above_zero(step, step.to_k(), "a difference", diags))
        };
        let lasts = span(&options.power_cut, &mut diags);
        let at = span(&options.at, &mut diags);
        fixed.extend(span(&options.late_start, &mut diags).map(Upset::LateStart));
        fixed.extend(span(&options.late_pull, &mut diags).map(Upset::LatePull));
        let early = span(&options.early_pull, &mut diags);
        fixed.extend(early.map(|by| Upset::LatePull(Span::ZERO - by)));
        let minus = |step: TemperatureStep| TemperatureStep::ZERO - step;
        fixed.extend(step(&options.set_low, &mut diags).map(|by| Upset::SetWrong(minus(by))));
        fixed.extend(step(&options.set_high, &mut diags).map(Upset::SetWrong));
        fixed.extend(step(&options.furnace_low, &mut diags).map(|by| Upset::FurnaceOff(minus(by))));
        fixed.extend(step(&options.furnace_high, &mut diags).map(Upset::FurnaceOff));
        let weak = quantity::<Fraction>(options.weak_compound.as_deref(), &mut diags)
            .and_then(|feeds| above_zero(feeds, feeds.to_ratio(), "a share", &mut diags));
        fixed.extend(weak.map(Upset::WeakCompound));
        if options.damp_compound {
            fixed.push(Upset::DampCompound);
        }
        let mut heat = |typed: &Option<String>| -> Option<Temperature> {
            match words::temperature(typed.as_deref()?) {
                Ok(at) => Some(at),
                Err(diag) => {
                    diags.push(diag);
                    None
                }
            }
        };
        fixed.extend(heat(&options.bath).map(Upset::Bath));
        let tempered = heat(&options.temper);
        fixed.extend(span(&options.transfer, &mut diags).map(Upset::Transfer));
        if options.no_temper {
            fixed.push(Upset::NoTemper);
        }
        fixed.extend(tempered.map(Upset::Temper));
        if diags.is_empty() {
            Ok(Self {
                fixed,
                cut: lasts.map(|lasts| (at, lasts)),
            })
        } else {
            Err(Trouble::Input {
                diags,
                texts: crate::answer::Texts::default(),
            })
        }
    }

    fn upsets(&self, soak: Span) -> Vec<Upset> {
        let cut = self.cut.map(|(at, lasts)| Upset::PowerCut {
            after: at.unwrap_or(soak * 0.5),
            lasts,
        });
        cut.into_iter().chain(self.fixed.iter().copied()).collect()
    }
}

fn quantity<Q: Quantity>(typed: Option<&str>, diags: &mut Vec<Diag>) -> Option<Q> {
    match units::read::<Q>(typed?) {
        Ok(written) => Some(written.value),
        Err(slip) => {
            diags.push(*slip.diag);
            None
        }
    }
}

fn above_zero<Q>(value: Q, size: f64, what: &str, diags: &mut Vec<Diag>) -> Option<Q> {
    if size > 0.0 {
        return Some(value);
    }
    diags.push(
        Diag::stop(
            "upset-not-above-zero",
            format!("{what} of {size} is no mishap."),
        )
        .why("Which way it goes is said by the option: low or high, late or early.")
        .accepted("A value above zero."),
    );
    None
}

fn text(name: &str, answer: &WhatIf, units: UnitSystem) -> String {
    let mut out = format!("{name}: what if\n\nIf nobody does anything:\n");
    let mut rows = vec![row("as planned", &answer.planned, units)];
    for outcome in &answer.outcomes {
        rows.push(match &outcome.gives {
            Some(values) => row(&outcome.what, values, units),
            None => {
                let mut cells = vec![outcome.what.clone()];
                cells.resize(7, "–".to_owned());
                cells
            }
        });
    }
    out.push_str(&table::text(
        &[
            table::words("what"),
            table::words("case depth"),
            table::words("after grind"),
            table::words("surface HV"),
            table::words("core HV"),
            table::words("austenite %"),
            table::words("chance"),
        ],
        &rows,
    ));
    for outcome in &answer.outcomes {
        out.push('\n');
        out.push_str(&told(outcome, answer.planned.chance, units));
    }
    out.push_str("\n● in the note in the middle of all doubts, ■ outside it. Bands hold 90 %: they are the plan's own, moved with the middle run (depths in its ratio, hardness and austenite by its difference).\n");
    out
}

/// One mishap with what puts it right.
fn told(outcome: &Outcome, planned: Option<f64>, units: UnitSystem) -> String {
    let mut out = format!("{}\n", capital(&outcome.what));
    out.push_str(&hanging("  assumed: ", &outcome.assumed));
    if let Some(borne) = &outcome.borne {
        out.push_str(&hanging("  bears:   ", borne));
    }
    if let Some(stop) = &outcome.stop {
        let words = format!("{} {}", stop.text(), stop.accepted);
        out.push_str(&hanging("  ■ stop:  ", words.trim()));
    }
    for remedy in &outcome.remedies {
        out.push_str(&hanging("  → do:    ", &remedy.what));
        if let Some(gives) = &remedy.gives {
            let words = format!(
                "after grind {}, surface {:.0} HV{}",
                gives.after_grind.depth_text(units),
                gives.surface.to_hv(),
                chance(gives).map_or_else(String::new, |c| format!(", chance {c}"))
            );
            out.push_str(&hanging("    gives: ", &words));
        }
        out.push_str(&hanging("    works: ", &remedy.until));
        if let Some(mind) = &remedy.mind {
            out.push_str(&hanging("    mind:  ", mind));
        }
    }
    let chance = outcome.gives.as_ref().map(|values| values.chance);
    if let Some(chance) = chance
        && outcome.remedies.is_empty()
        && outcome.stop.is_none()
    {
        // A chance is known to a few percent.
        let lost = planned.zip(chance).is_some_and(|(was, is)| was - is > 0.02);
        let words = if lost {
            "in the note; what it costs is too small to be made up"
        } else {
            "nothing needs doing"
        };
        let _ = writeln!(out, "  {words}");
    }
    out
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn chance(values: &Values) -> Option<String> {
    values.chance.map(|c| format!("{:.0} %", 100.0 * c))
}

fn row(what: &str, values: &Values, units: UnitSystem) -> Vec<String> {
    let ends = |band: Option<Band<f64>>, mid: f64| match band {
        Some(band) => format!("{mid:.0} ({:.0}–{:.0})", band.low, band.high),
        None => format!("{mid:.0}"),
    };
    let depth = |mid: casewright_terms::Length, band: Option<Band<casewright_terms::Length>>| {
        let mid = mid.depth_text(units);
        match band {
            Some(band) => format!(
                "{mid} ({}–{})",
                plain(band.low, units),
                plain(band.high, units)
            ),
            None => mid,
        }
    };
    let bands = values.bands;
    let mark = if values.meets { "●" } else { "■" };
    vec![
        what.to_owned(),
        depth(values.case_depth, bands.map(|b| b.case_depth)),
        depth(values.after_grind, bands.map(|b| b.after_grind)),
        ends(
            bands.map(|b| b.surface.map(|v| v.to_hv())),
            values.surface.to_hv(),
        ),
        ends(
            bands.map(|b| b.core.map(|v| v.to_hv())),
            values.core.to_hv(),
        ),
        ends(bands.map(|b| b.austenite_pct), values.austenite_pct),
        format!(
            "{mark} {}",
            chance(values).unwrap_or_else(|| "–".to_owned())
        ),
    ]
}

/// A depth without its unit, for the ends of a band.
fn plain(depth: casewright_terms::Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.2}", depth.to_mm()),
        UnitSystem::Inch => format!("{:.3}", depth.to_in()),
    }
}
