//! `judge`: whether what was read on a lot shows that its note is met.

use std::path::PathBuf;

use casewright_job::evidence;
use casewright_plan::judge::{
    self, Compared, Fared, Judgement, Missing, Quantity, Read, Rule, Standing, Value, Verdict,
};
use casewright_plan::{Options as PlanOptions, propose};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Scale, UnitSystem};
use clap::Args;

use super::{JobArgs, job};
use crate::answer::{Answer, Ending, Trouble};
use crate::show::number::depth_band;
use crate::show::table::{self, numbers};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Options of `judge`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    job: JobArgs,
    /// The evidence file: pieces, testers, readings.
    #[arg(value_name = "EVIDENCE.toml")]
    evidence: PathBuf,
    /// Decide only where the whole doubt lies on one side of a limit.
    #[arg(long)]
    guarded: bool,
    /// Do not plan the job: nothing is compared with what was foretold.
    #[arg(long)]
    no_prediction: bool,
}

/// Judges the lot.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let (spec, mut texts) = job::load(&options.job.job)?;
    let text = world::read_text(&options.evidence).map_err(Trouble::input)?;
    let name = options.evidence.display().to_string();
    let (read, diags) = evidence::parse(&name, &text);
    texts.add(name, text);
    let Some(read) = read else {
        return Err(Trouble::Input { diags, texts });
    };
    let report = (!options.no_prediction).then(|| {
        let usual = PlanOptions {
            seed: options.job.seed,
            ..PlanOptions::USUAL
        };
        world::with_progress("planning", || propose(&spec, usual))
    });
    let rule = if options.guarded {
        Rule::Guarded
    } else {
        Rule::Simple
    };
    let judged =
        judge::judge(&spec, &read, report.as_ref(), rule).map_err(|diags| Trouble::Input {
            diags,
            texts: texts.clone(),
        })?;
    let json = wire::json(&wire::judge::Judged::of(&judged, &spec, &read, &texts));
    let told = told(&judged, spec.units);
    let ending = match judged.verdict {
        Verdict::Meets => Ending::Done,
        Verdict::DoesNotMeet | Verdict::NotShown => Ending::NotMet,
    };
    Ok(Answer::done(told, json)
        .ending(ending)
        .with_diags(judged.findings, texts))
}

/// The judgement in words.
pub(crate) fn told(judged: &Judgement, units: UnitSystem) -> String {
    let (mark, words) = match judged.verdict {
        Verdict::Meets => ("● ", "MEETS THE NOTE: every clause is shown and holds."),
        Verdict::DoesNotMeet => (
            "■ ",
            "DOES NOT MEET THE NOTE: a clause is shown not to hold.",
        ),
        Verdict::NotShown => (
            "▲ ",
            "NOT SHOWN: the readings do not carry every clause of the note.",
        ),
    };
    let mut out = hanging(mark, words);
    out.push_str(&hanging("  ", rule_words(judged.rule)));
    out.push('\n');
    out.push_str(&clauses(judged));
    if let Some(depth) = judged.case_depth {
        let three = |band| depth_band(band, units);
        out.push('\n');
        out.push_str(&hanging("Case depth as hardened: ", &three(depth)));
        if let Some(after) = judged.case_depth_after_grind {
            out.push_str(&hanging("After grinding:         ", &three(after)));
        }
    }
    out.push_str(&missing(&judged.missing));
    out.push('\n');
    out.push_str(&read(&judged.read, units));
    out.push_str(&compared(&judged.compared));
    out
}

fn rule_words(rule: Rule) -> &'static str {
    match rule {
        Rule::Simple => {
            "Decided by the value where the method is the clause's own; by the whole doubt where it is a conversion, a ground step or by sight."
        }
        Rule::Guarded => "Decided only where the whole doubt lies on one side of a limit.",
    }
}

fn clauses(judged: &Judgement) -> String {
    let mut out = String::new();
    for clause in &judged.clauses {
        let (mark, word) = match clause.fared {
            Fared::Holds => ("● ", "holds"),
            Fared::Low => ("■ ", "below its least"),
            Fared::High => ("■ ", "above its greatest"),
            Fared::NotShown => ("▲ ", "not shown"),
        };
        let mut line = format!("{} ({}): {word}", clause.kind.words(), clause.asked);
        if !clause.found.is_empty() {
            line.push_str(&format!(" – {}", clause.found));
        }
        if !clause.by.is_empty() {
            line.push_str(&format!(" [{}]", clause.by.join(", ")));
        }
        if clause.close && clause.fared != Fared::NotShown {
            line.push_str("; a limit lies inside the doubt");
        }
        out.push_str(&hanging(mark, &line));
    }
    out
}

fn missing(all: &[Missing]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nMissing, and the cheapest test for it\n");
    for one in all {
        out.push_str(&hanging(
            "▲ ",
            &format!("{}: {}", one.clause.words(), one.what),
        ));
        out.push_str(&hanging("  → ", &one.test));
    }
    out
}

/// A value in words, with its doubt.
pub(crate) fn value_words(value: &Value, units: UnitSystem) -> String {
    match value {
        Value::Depth(band) => depth_band(*band, units),
        Value::DepthAtLeast(depth) => format!("more than {}", depth.depth_text(units)),
        Value::DepthAtMost(depth) => format!("less than {}", depth.depth_text(units)),
        Value::Hardness {
            scale,
            reading,
            at_least,
            ..
        } => {
            let decimals = usize::from(!matches!(scale.scale, Scale::Hv | Scale::Hk | Scale::Hbw));
            let shown = |x: f64| format_trimmed(x, decimals);
            let or_more = if *at_least { " or more" } else { "" };
            format!(
                "{} {scale}{or_more} ({} to {})",
                shown(reading.mid),
                shown(reading.low),
                shown(reading.high)
            )
        }
        Value::File(result, _) => match result {
            evidence::FileResult::Cuts => "cuts".to_owned(),
            evidence::FileResult::Skates => "skates".to_owned(),
            evidence::FileResult::Scratches => "scratches".to_owned(),
        },
        Value::Uptake(band) => format!(
            "{} g/m² ({} to {})",
            format_trimmed(band.mid, 1),
            format_trimmed(band.low, 1),
            format_trimmed(band.high, 1)
        ),
        Value::Structure(_) => "seen".to_owned(),
    }
}

fn read(all: &[Read], units: UnitSystem) -> String {
    let mut out = String::from("What was read\n");
    for one in all {
        let mark = if one.left_out.is_some() {
            "  – "
        } else {
            "  + "
        };
        let standing = match (one.standing, one.quantity) {
            (_, Quantity::Structure) | (Standing::Direct, _) => "",
            (Standing::Indirect, _) => ", indirect",
        };
        let mut line = format!(
            "{} on {}: {} {}{standing}; {}",
            one.name,
            one.specimen,
            one.quantity.word().replace('-', " "),
            value_words(&one.value, units),
            one.how
        );
        if let Some(why) = &one.left_out {
            line.push_str(&format!(". Does not count: {why}"));
        }
        out.push_str(&hanging(mark, &line));
    }
    out
}

fn compared(all: &[Compared]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let rows = all
        .iter()
        .map(|one| {
            let decimals = if one.unit == "mm" { 2 } else { 0 };
            let shown = |x: f64| format!("{x:.decimals$}");
            vec![
                one.what.to_owned(),
                one.unit.to_owned(),
                format!(
                    "{} to {}",
                    shown(one.predicted.low),
                    shown(one.predicted.high)
                ),
                shown(one.predicted.mid),
                shown(one.measured.mid),
                format!("{:+.1}", one.off),
                if one.inside { "inside" } else { "outside" }.to_owned(),
            ]
        })
        .collect::<Vec<_>>();
    let columns = [
        table::words("beside the plan"),
        table::words("unit"),
        table::words("band"),
        numbers("foretold"),
        numbers("measured"),
        numbers("half-widths off"),
        table::words(""),
    ];
    format!("\n{}", table::text(&columns, &rows))
}
