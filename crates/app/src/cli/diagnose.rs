//! `diagnose`: why a lot failed, what tells the causes apart, what to do with it.

use std::path::PathBuf;

use casewright_job::evidence::{self, Evidence};
use casewright_plan::diagnose::{
    self, Diagnosis, Held, Mark, Outcome, Saved, Seen, Suspect, Test, chance_words,
};
use casewright_plan::{Options as PlanOptions, propose};
use casewright_terms::{Diag, Scale};
use clap::Args;

use super::{JobArgs, job};
use crate::answer::{Answer, Ending, Texts, Trouble};
use crate::show::number::significant;
use crate::show::table::{self, numbers};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Options of `diagnose`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    job: JobArgs,
    /// The evidence file; without one the answer says what to measure first.
    #[arg(value_name = "EVIDENCE.toml")]
    evidence: Option<PathBuf>,
    /// What is known of the run or was seen, such as reheat-bare or no-cracks; again for more.
    /// docs/guides/diagnose.md has all words.
    #[arg(long, value_name = "WORD")]
    seen: Vec<String>,
}

/// Causes that are told at length.
const TOLD: usize = 3;
/// Causes below this are told in one line, and below the next not at all.
const ONE_LINE: f64 = 0.01;
/// Tests that are told.
const TESTS: usize = 4;

/// Diagnoses the lot.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let (spec, mut texts) = job::load(&options.job.job)?;
    let seen = seen(&options.seen, &texts)?;
    let read = match &options.evidence {
        Some(path) => {
            let text = world::read_text(path).map_err(Trouble::input)?;
            let name = path.display().to_string();
            let (read, diags) = evidence::parse(&name, &text);
            texts.add(name, text);
            read.ok_or_else(|| Trouble::Input {
                diags,
                texts: texts.clone(),
            })?
        }
        None => Evidence {
            job: None,
            run: None,
            units: spec.units,
            specimens: Vec::new(),
            testers: Vec::new(),
            items: Vec::new(),
            remarks: Vec::new(),
        },
    };
    let usual = PlanOptions {
        seed: options.job.seed,
        ..PlanOptions::USUAL
    };
    let report = world::with_progress("planning", || propose(&spec, usual));
    let found = world::with_progress("trying the causes", || {
        diagnose::diagnose(&spec, &report, &read, &seen)
    })
    .map_err(|diags| Trouble::Input {
        diags,
        texts: texts.clone(),
    })?;
    let json = wire::json(&wire::diagnose::Diagnosed::of(&found, &spec, &read, &texts));
    let told = told(&found);
    let ending = match found.outcome {
        Outcome::Told(_) | Outcome::NothingWrong => Ending::Done,
        Outcome::NothingMeasured | Outcome::NotToldApart | Outcome::NoneOfThese => Ending::NotMet,
    };
    Ok(Answer::done(told, json)
        .ending(ending)
        .with_diags(found.findings, texts))
}

fn seen(words: &[String], texts: &Texts) -> Result<Vec<Seen>, Trouble> {
    let mut diags = Vec::new();
    let mut read = Vec::new();
    for word in words {
        match Seen::read(word) {
            Some(seen) => read.push(seen),
            None => diags.push(
                Diag::stop(
                    "seen-unknown",
                    format!("\"{word}\" is no word for what was seen."),
                )
                .why("A mark that is not understood could hide the cause.")
                .accepted(format!(
                    "One of {}; with no- in front where it was looked for and is not there.",
                    Mark::ALL
                        .iter()
                        .map(|mark| mark.word)
                        .collect::<Vec<_>>()
                        .join(", ")
                )),
            ),
        }
    }
    if diags.is_empty() {
        Ok(read)
    } else {
        Err(Trouble::Input {
            diags,
            texts: texts.clone(),
        })
    }
}

fn told(found: &Diagnosis) -> String {
    let mut out = headline(found);
    for pattern in &found.patterns {
        out.push_str(&hanging("  ", pattern));
    }
    if found.outcome != Outcome::NothingMeasured {
        out.push('\n');
        for (i, own) in found.suspects.iter().enumerate() {
            if i < TOLD && own.chance >= ONE_LINE {
                out.push_str(&suspect(i + 1, own));
            } else if own.chance >= ONE_LINE {
                out.push_str(&hanging(
                    "  ",
                    &format!("{} ({})", own.cause.words(), share(own.chance)),
                ));
            }
        }
        out.push_str(&held(&found.held));
    }
    out.push_str(&tests(&found.tests));
    if !found.left_out.is_empty() {
        out.push_str("\nEvidence that tells nothing about the lot\n");
        for (name, why) in &found.left_out {
            out.push_str(&hanging("  – ", &format!("{name}: {why}.")));
        }
    }
    if !found.not_looked_at.is_empty() {
        out.push_str("\nNot looked at\n");
        for (cause, why) in &found.not_looked_at {
            out.push_str(&hanging("  – ", &format!("{}: {why}.", cause.words())));
        }
    }
    out
}

fn headline(found: &Diagnosis) -> String {
    match found.outcome {
        Outcome::Told(cause) => hanging("■ ", &format!("{}.", capital(cause.words()))),
        Outcome::NothingWrong => hanging(
            "● ",
            "NOTHING WRONG SHOWN: the readings are what the plan's own run gives.",
        ),
        Outcome::NotToldApart => hanging(
            "▲ ",
            "NOT TOLD APART: several causes explain the readings about as well. Make the test below first.",
        ),
        Outcome::NoneOfThese => hanging(
            "▲ ",
            "NONE OF THESE: no cause on the list explains the readings. Look for what is not on it, and check the tester.",
        ),
        Outcome::NothingMeasured => hanging(
            "▲ ",
            "NOTHING MEASURED YET: the test to begin with stands below.",
        ),
    }
}

fn share(chance: f64) -> String {
    let percent = 100.0 * chance;
    if percent >= 99.0 {
        "more than 99 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
}

fn suspect(rank: usize, own: &Suspect) -> String {
    let mut out = hanging(
        &format!("{rank}. "),
        &format!(
            "{} – {}, {}",
            capital(own.cause.words()),
            chance_words(own.chance),
            share(own.chance)
        ),
    );
    if let Some(amount) = &own.amount {
        out.push_str(&hanging(
            "   ",
            &format!(
                "{} {} to {} {}.",
                capital(amount.of),
                significant(amount.low, 2),
                significant(amount.high, 2),
                amount.unit
            ),
        ));
    }
    for words in &own.speaks_for {
        out.push_str(&hanging("   + ", words));
    }
    for words in &own.speaks_against {
        out.push_str(&hanging("   − ", words));
    }
    let saved = match own.remedy.saved {
        Saved::Sound => "nothing to mend",
        Saved::Yes => "can be saved",
        Saved::Perhaps => "may be saved",
        Saved::No => "cannot be saved",
    };
    out.push_str(&hanging(
        "   The lot: ",
        &format!("{saved}. {}", own.remedy.words),
    ));
    out.push_str(&hanging("   Next time: ", own.cause.next_time()));
    out
}

fn held(all: &[Held]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let shown = |value: f64, scale: Scale| match scale {
        Scale::Hv | Scale::Hk | Scale::Hbw => format!("{value:.0}"),
        _ => format!("{value:.1}"),
    };
    let rows = all
        .iter()
        .map(|one| {
            let scale = one.scale.scale;
            vec![
                one.place.clone(),
                one.scale.to_string(),
                shown(one.read, scale),
                shown(one.sound, scale),
                one.first.map_or("–".to_owned(), |x| shown(x, scale)),
            ]
        })
        .collect::<Vec<_>>();
    let columns = [
        table::words("reading"),
        table::words("scale"),
        numbers("read"),
        numbers("sound work"),
        numbers("first cause"),
    ];
    format!("\n{}", table::text(&columns, &rows))
}

fn tests(all: &[Test]) -> String {
    let Some(first) = all.first() else {
        return String::new();
    };
    let mut out = String::from("\nThe cheapest test that tells the leading causes apart\n");
    out.push_str(&test("→ ", first));
    if all.len() > 1 {
        out.push_str("Others, by what they bring\n");
        for own in all.iter().skip(1).take(TESTS - 1) {
            out.push_str(&test("  ", own));
        }
    }
    out
}

fn test(lead: &str, own: &Test) -> String {
    let expected = own
        .expected
        .iter()
        .map(|(cause, value, doubt)| {
            let code = cause.code();
            if own.is_chance {
                format!("{code} {:.0} %", 100.0 * value)
            } else {
                format!(
                    "{code} {} ± {}",
                    significant(*value, 3),
                    significant(*doubt, 2)
                )
            }
        })
        .collect::<Vec<_>>()
        .join(", ");
    let mut out = hanging(
        lead,
        &format!(
            "{} (about {:.0} min; {:.0} % of what is open)",
            own.words,
            own.minutes,
            100.0 * own.share
        ),
    );
    out.push_str(&hanging("    ", &format!("{}: {expected}", own.reads)));
    out
}

/// A sentence's first letter.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}
