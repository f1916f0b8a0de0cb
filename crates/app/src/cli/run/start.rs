//! `run start`: plans the job, keeps its text, its shop and its plan, and starts the run.

use std::path::{Path, PathBuf};

use casewright_plan::Verdict;
use casewright_records::{
    Addition, Attachment, Book, Entered, Event, Hash, Look, Made, Store, Wanted,
};
use casewright_terms::Diag;
use clap::Args;

use super::super::planned::Planned;
use super::super::shop::By;
use super::super::{JobArgs, job, plan};
use super::{find, next, show, stored};
use crate::answer::{Answer, Trouble};
use crate::world;

/// Options of `run start`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The shop book.
    #[arg(value_name = "BOOK")]
    book: PathBuf,
    #[command(flatten)]
    job: JobArgs,
    /// Name of the run, as it will stand on labels.
    #[arg(long, value_name = "NAME")]
    run: String,
    /// A practice or class run: followed like any other, and never certified.
    #[arg(long)]
    practice: bool,
    #[command(flatten)]
    by: By,
    /// When the run was started, where that is not now.
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
}

/// Starts a run.
pub(super) fn run(options: &Options) -> Result<Answer, Trouble> {
    // The book first: planning takes long, and a wrong name of the book should not.
    let mut book = Book::open(&options.book)?;
    let entered = match &options.at {
        None => Entered::Live,
        Some(typed) => Entered::Afterwards {
            happened: world::moment_here(typed).map_err(Trouble::input)?,
        },
    };
    let addition = |event: Event, attachments: Vec<Attachment>| Addition {
        at: world::now(),
        by: options.by.person(),
        entered: entered.clone(),
        event,
        attachments,
        token: None,
    };
    if !book.entries(Wanted::Run(&options.run), 0, 1)?.is_empty() {
        return Err(Trouble::input(
            Diag::stop(
                "book-name-taken",
                format!("There is a run {} already.", options.run),
            )
            .why("Two of one name cannot be told apart on a certificate.")
            .accepted("Choose another name."),
        ));
    }
    let (spec, texts) = job::load(&options.job.job)?;
    let planned = Planned::of(spec, options.job.seed);
    if planned.report.plan.is_none() || planned.report.verdict == Verdict::CannotBeMet {
        return Err(Trouble::Input {
            diags: vec![
                Diag::stop(
                    "run-no-plan",
                    "The note cannot be met as it stands, so there is nothing to carry out.",
                )
                .why("A run without a plan that meets the note makes scrap by the sheet.")
                .accepted("`casewright plan JOB.toml` tells why, and what could be met instead."),
            ],
            texts,
        });
    }
    let kept = kept(&texts)?;
    let made = Made {
        seed: options.job.seed,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        job: Hash::of(&kept[0].bytes),
        shop: kept.get(1).map(|file| Hash::of(&file.bytes)),
    };
    let name = planned
        .spec
        .number
        .clone()
        .unwrap_or_else(|| planned.spec.name.clone());
    if book.entries(Wanted::Job(&name), 0, 1)?.is_empty() {
        let taken = Event::JobRegistered {
            job: name.clone(),
            title: format!("{}: {}", planned.spec.name, planned.spec.part.what),
        };
        book.append(&addition(taken, kept.clone()))?;
    }
    let fixed = Event::PlanFixed {
        job: name.clone(),
        code: planned.sheet.head.code_words.clone(),
        plan_json: plan::json(&planned, options.job.seed, &texts, None),
        made: Some(made),
    };
    let plan_entry = book.append(&addition(fixed, kept))?.number;
    let started = Event::RunStarted {
        run: options.run.clone(),
        job: name,
        plan_entry,
        practice: options.practice.then_some(true),
    };
    let receipt = book.append(&addition(started, Vec::new()))?;
    let run = find(&book, &options.run)?;
    let plan = stored::Plan::of(&run)?;
    let standing = next::Standing::of(&run, &plan);
    let said = format!(
        "Run {} of job {} is started from plan {}.",
        run.name, run.job, run.plan.code
    );
    let findings = planned
        .report
        .findings
        .iter()
        .filter(|diag| diag.severity != casewright_terms::Severity::Note)
        .cloned()
        .collect();
    Ok(show::after(&run, &standing, &receipt, &said, findings).with_texts(texts))
}

/// The texts byte for byte, the job's first.
fn kept(texts: &crate::answer::Texts) -> Result<Vec<Attachment>, Trouble> {
    texts
        .names()
        .map(|name| {
            let path = Path::new(name);
            let bytes = world::read_whole(path, casewright_job::decode::LARGEST_TEXT_BYTES)
                .map_err(Trouble::input)?;
            let name = path.file_name().map_or_else(
                || name.to_owned(),
                |name| name.to_string_lossy().into_owned(),
            );
            Ok(Attachment { name, bytes })
        })
        .collect()
}
