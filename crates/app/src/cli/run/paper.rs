//! `certificate` and `record`: the papers of a run. A certificate with a gap is not printed, and the
//! answer lists what is missing; a record of processing can always be printed.

use std::path::PathBuf;

use casewright_records::{Addition, Attachment, Book, Entered, Event, Store};
use casewright_report::record::{Facts, Paper, gaps, text};
use casewright_terms::Diag;
use clap::Args;

use super::super::shop::RoleName;
use super::super::{PaperName, planned};
use super::{find, gather, look};
use crate::answer::{Answer, Ending, Trouble};
use crate::show::wrap::hanging;
use crate::wire;
use crate::wire::record::{PaperAnswer, Written};
use crate::world;

/// Options of `certificate` and `record`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The shop book.
    #[arg(value_name = "BOOK")]
    book: PathBuf,
    /// The run.
    #[arg(value_name = "RUN")]
    run: String,
    /// Where the PDF goes; without it the paper is told as text.
    #[arg(short, long, value_name = "FILE.pdf")]
    out: Option<PathBuf>,
    /// Paper.
    #[arg(long, value_enum, default_value_t)]
    paper: PaperName,
    /// Keep the PDF in the book too, so that it goes with a hand-over; needs --by and --role.
    #[arg(long, requires = "by", requires = "role")]
    keep: bool,
    /// Who keeps it.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// As what.
    #[arg(long, value_enum)]
    role: Option<RoleName>,
}

/// `certificate`.
pub(crate) fn certificate(options: &Options) -> Result<Answer, Trouble> {
    let facts = facts(options)?;
    match Paper::certificate(&facts) {
        Ok(paper) => written(options, &facts, &paper),
        Err(missing) => {
            let mut said = hanging(
                "■ ",
                &format!(
                    "No certificate for run {}: {} missing.",
                    facts.run,
                    if missing.len() == 1 {
                        "one thing is".to_owned()
                    } else {
                        format!("{} things are", missing.len())
                    }
                ),
            );
            for gap in &missing {
                said.push_str(&hanging(
                    "▲ ",
                    &format!("{}: {}", gap.item.word(), gap.what),
                ));
                said.push_str(&hanging("  → ", &gap.supply));
            }
            said.push_str(&hanging(
                "",
                "What was done and read can be printed all the same: casewright record BOOK RUN --out FILE.pdf",
            ));
            let json = PaperAnswer::of(&facts, None, &missing, Written::default());
            Ok(Answer::done(said, wire::json(&json)).ending(Ending::NotMet))
        }
    }
}

/// `record`.
pub(crate) fn record(options: &Options) -> Result<Answer, Trouble> {
    let facts = facts(options)?;
    written(options, &facts, &Paper::record(&facts))
}

fn facts(options: &Options) -> Result<Facts, Trouble> {
    let book = look(&options.book)?;
    let run = find(&book, &options.run)?;
    gather::facts(&book, &run)
}

fn written(options: &Options, facts: &Facts, paper: &Paper) -> Result<Answer, Trouble> {
    let mut done = Written::default();
    let mut said = text(paper);
    if options.out.is_some() || options.keep {
        let bytes = planned::record_pdf(paper, options.paper)?;
        done.bytes = Some(bytes.len());
        said = hanging(
            &format!("{} ", paper.mark),
            &format!("{}: {}", paper.title, paper.sentence),
        );
        if let Some(out) = &options.out {
            not_over(out, options)?;
            world::write_file(out, &bytes)?;
            done.file = Some(out.display().to_string());
            said.push_str(&format!("Written to {}\n", out.display()));
        }
        if options.keep {
            let entry = keep(options, facts, paper, bytes)?;
            said.push_str(&format!("Kept in entry {entry}\n"));
            done.kept_in = Some(entry);
        }
    }
    for gap in &paper.missing {
        said.push_str(&hanging(
            "▲ ",
            &format!("missing for a certificate: {}", gap.what),
        ));
    }
    let json = PaperAnswer::of(facts, Some(paper), &gaps(facts), done);
    Ok(Answer::done(said, wire::json(&json)))
}

fn not_over(out: &std::path::Path, options: &Options) -> Result<(), Trouble> {
    if !world::same_file(out, &options.book) {
        return Ok(());
    }
    Err(Trouble::input(
        Diag::stop(
            "paper-over-book",
            "The paper would be written over the book.",
        )
        .accepted("Name another file for the paper."),
    ))
}

fn keep(options: &Options, facts: &Facts, paper: &Paper, bytes: Vec<u8>) -> Result<u64, Trouble> {
    let (Some(by), Some(role)) = (&options.by, options.role) else {
        return Err(Trouble::input(
            Diag::stop("paper-by", "Who keeps the paper is not said.")
                .accepted("Give --by and --role."),
        ));
    };
    let word = if paper.granted {
        "certificate"
    } else {
        "record"
    };
    let mut book = Book::open(&options.book)?;
    let receipt = book.append(&Addition {
        at: world::now(),
        by: casewright_records::Person {
            name: by.clone(),
            role: role.role(),
        },
        entered: Entered::Live,
        event: Event::FileAttached {
            run: facts.run.clone(),
            what: format!("{word} {} revision {}", facts.number(), facts.revision()),
        },
        attachments: vec![Attachment {
            name: format!("{word}.pdf"),
            bytes,
        }],
        token: None,
    })?;
    Ok(receipt.number)
}
