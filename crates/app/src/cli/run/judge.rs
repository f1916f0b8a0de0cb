//! `run judge`: keeps an evidence file byte for byte, judges it against the job and the plan of the
//! run, and enters the judgement. An earlier one stays where it is. `run tell` enters what only people
//! know and a certificate has to say.

use std::path::{Path, PathBuf};

use casewright_job::evidence::{self, Evidence};
use casewright_job::spec::Spec;
use casewright_plan::judge::{self, Judgement, Rule};
use casewright_plan::{Options as PlanOptions, PlanReport, propose};
use casewright_records::{Attachment, Book, Event, Run, Verdict};
use casewright_terms::Diag;
use clap::Args;

use super::super::judge as told;
use super::{Common, stored};
use crate::answer::{Answer, Texts, Trouble};
use crate::wire;
use crate::world;

/// Options of `run judge`.
#[derive(Debug, Args)]
pub(super) struct Options {
    #[command(flatten)]
    common: Common,
    /// The evidence file: pieces, testers, readings.
    #[arg(long, value_name = "FILE.toml")]
    evidence: PathBuf,
    /// Decide only where the whole doubt lies on one side of a limit.
    #[arg(long)]
    guarded: bool,
}

/// Judges and enters.
pub(super) fn run(options: &Options) -> Result<Answer, Trouble> {
    let common = &options.common;
    let mut open = common.open()?;
    let path = options.evidence.as_path();
    let bytes = world::read_whole(path, casewright_job::decode::LARGEST_TEXT_BYTES)
        .map_err(Trouble::input)?;
    let (evidence, texts) = read(&path.display().to_string(), &bytes, &open.run)?;
    let spec = stored::spec(&open.book, &open.run)?;
    let report = replanned(&spec, &open.run);
    let rule = if options.guarded {
        Rule::Guarded
    } else {
        Rule::Simple
    };
    let judged =
        judge::judge(&spec, &evidence, Some(&report), rule).map_err(|diags| Trouble::Input {
            diags,
            texts: texts.clone(),
        })?;
    let before = open.run.judgement().map(|fact| fact.entry);
    let because = because(&judged);
    let mut addition = common.addition(Event::Judgement {
        run: common.run.clone(),
        verdict: verdict(judged.verdict),
        because: because.clone(),
        judged_json: Some(wire::json(&wire::judge::Judged::of(
            &judged, &spec, &evidence, &texts,
        ))),
    })?;
    addition.attachments.push(Attachment {
        name: name_of(path),
        bytes,
    });
    let receipt = open.put(&addition)?;
    let mut said = format!("Run {} is judged {}.", common.run, judged.verdict.word());
    if let Some(before) = before {
        said.push_str(&format!(
            " The judgement in entry {before} is superseded and stays visible."
        ));
    }
    let mut answer = open.answer(&receipt, &said, Vec::new());
    answer.text = format!("{}\n{}", told::told(&judged, spec.units), answer.text);
    let json = wire::record::JudgedRun {
        entry: receipt.number,
        code: receipt.hash.to_string(),
        text: said,
        supersedes: before,
        because,
        judgement: wire::judge::Judged::of(&judged, &spec, &evidence, &texts),
    };
    answer.json = wire::json(&json);
    Ok(answer.with_diags(judged.findings, texts))
}

fn name_of(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// Reads evidence and holds it against the run it is said to be of.
pub(super) fn read(name: &str, bytes: &[u8], run: &Run) -> Result<(Evidence, Texts), Trouble> {
    let text = casewright_job::decode(bytes, name).map_err(Trouble::input)?;
    let (read, diags) = evidence::parse(name, &text);
    let texts = Texts::one(name, &text);
    let Some(read) = read else {
        return Err(Trouble::Input { diags, texts });
    };
    if let Some(other) = read.run.as_ref().filter(|named| **named != run.name) {
        return Err(Trouble::input(
            Diag::stop(
                "evidence-other-run",
                format!(
                    "The evidence is of run {other}, and this is run {}.",
                    run.name
                ),
            )
            .why("Readings of one lot say nothing about another.")
            .accepted("Name the run that the readings belong to."),
        ));
    }
    Ok((read, texts))
}

/// The plan of the run made again from what was kept with it.
pub(super) fn replanned(spec: &Spec, run: &Run) -> PlanReport {
    let usual = PlanOptions {
        seed: run.plan.made.as_ref().map_or(1, |made| made.seed),
        ..PlanOptions::USUAL
    };
    world::with_progress("planning", || propose(spec, usual))
}

/// The kept evidence of the run's judgement, judged by this program and by the rule of that time.
pub(super) fn anew(
    book: &Book,
    run: &Run,
    spec: &Spec,
) -> Result<Option<(Judgement, Evidence)>, Trouble> {
    use casewright_records::Look;
    let Some(fact) = run.judgement() else {
        return Ok(None);
    };
    let Some(file) = fact.files.first() else {
        return Ok(None);
    };
    let Some(bytes) = book.attachment(&file.sha256)? else {
        return Ok(None);
    };
    let Ok((evidence, texts)) = read(&file.name, &bytes, run) else {
        return Ok(None);
    };
    // Planning takes long, and the plan only bears on which readings are too heavy for the case. Where
    // the evidence alone gives what was entered, down to every reading, it is not made again.
    if let Ok(judged) = judge::judge(spec, &evidence, None, rule(fact))
        && as_entered(
            fact,
            &wire::json(&wire::judge::Judged::of(&judged, spec, &evidence, &texts)),
        )
    {
        return Ok(Some((judged, evidence)));
    }
    let report = replanned(spec, run);
    let judged = judge::judge(spec, &evidence, Some(&report), rule(fact)).ok();
    Ok(judged.map(|judged| (judged, evidence)))
}

/// Whether a judgement says what was entered: verdict, clauses, and every reading used or not.
fn as_entered(fact: &casewright_records::run::Fact, now: &str) -> bool {
    let Event::Judgement {
        judged_json: Some(then),
        ..
    } = &fact.event
    else {
        return false;
    };
    let read = |json: &str| serde_json::from_str::<serde_json::Value>(json).ok();
    let (Some(then), Some(now)) = (read(then), read(now)) else {
        return false;
    };
    ["verdict", "rule", "clauses", "evidence"]
        .into_iter()
        .all(|key| then.get(key) == now.get(key))
}

/// The rule that a kept judgement names.
fn rule(fact: &casewright_records::run::Fact) -> Rule {
    #[derive(serde::Deserialize)]
    struct Kept {
        rule: String,
    }
    let Event::Judgement {
        judged_json: Some(json),
        ..
    } = &fact.event
    else {
        return Rule::Simple;
    };
    match serde_json::from_str::<Kept>(json) {
        Ok(kept) if kept.rule == "guarded" => Rule::Guarded,
        _ => Rule::Simple,
    }
}

fn verdict(verdict: judge::Verdict) -> Verdict {
    match verdict {
        judge::Verdict::Meets => Verdict::Meets,
        judge::Verdict::DoesNotMeet => Verdict::DoesNotMeet,
        judge::Verdict::NotShown => Verdict::NotShown,
    }
}

/// What the judgement rests on, clause by clause.
fn because(judged: &Judgement) -> String {
    let clauses: Vec<String> = judged
        .clauses
        .iter()
        .map(|clause| {
            let found = if clause.found.is_empty() {
                String::new()
            } else {
                format!(", {}", clause.found)
            };
            format!("{}: {}{found}", clause.kind.words(), clause.fared.word())
        })
        .collect();
    if clauses.is_empty() {
        "the note has no clause that could be judged".to_owned()
    } else {
        clauses.join("; ")
    }
}

/// Items that a certificate prints under their own label.
pub(super) const ITEMS: [&str; 7] = [
    "address",
    "customer",
    "order",
    "drawing",
    "mill-certificate",
    "specification",
    "visual",
];

/// `run tell`.
pub(super) fn tell(common: &Common, item: &str, words: &str) -> Result<Answer, Trouble> {
    let mut open = common.open()?;
    let of_machine = item.strip_prefix("calibrated ");
    let of_coupon = item.strip_prefix("coupon ");
    let known = ITEMS.contains(&item)
        || of_machine.is_some_and(|id| {
            open.plan
                .steps
                .iter()
                .any(|step| step.equipment.as_deref() == Some(id))
        })
        || of_coupon.is_some_and(|mark| open.plan.coupons.iter().any(|one| one.mark == mark));
    if !known {
        let machines: Vec<String> = open
            .plan
            .steps
            .iter()
            .filter_map(|step| step.equipment.as_ref())
            .map(|id| format!("\"calibrated {id}\""))
            .collect();
        let mut machines = machines;
        machines.dedup();
        return Err(Trouble::input(
            Diag::stop(
                "run-tell-item",
                format!(
                    "\"{item}\" is nothing that the papers of run {} have a place for.",
                    common.run
                ),
            )
            .why("What is told under another name would be missing where it is looked for.")
            .accepted(format!(
                "One of {}, {}, or \"coupon MARK\".",
                ITEMS.join(", "),
                machines.join(", ")
            )),
        ));
    }
    let before = open.run.told(item).map(|(fact, _)| fact.entry);
    let event = Event::FactTold {
        run: common.run.clone(),
        item: item.to_owned(),
        words: words.to_owned(),
    };
    let mut said = event.told();
    if let Some(before) = before {
        said.push_str(&format!(
            " (in place of entry {before}, which stays visible)"
        ));
    }
    let receipt = open.put(&common.addition(event)?)?;
    Ok(open.answer(&receipt, &said, Vec::new()))
}
