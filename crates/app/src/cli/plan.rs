//! `plan`: what to do, whether the note can be met, and what it will give.

use std::path::{Path, PathBuf};

use casewright_report::text::Sources;
use casewright_terms::Diag;
use clap::Args;

use super::planned::{self, Planned};
use super::{JobArgs, PaperName, job, tries};
use crate::answer::{Answer, Texts, Trouble};
use crate::wire;
use crate::world;

/// Options of `plan`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    job: JobArgs,
    /// Write the run sheet too.
    #[arg(long, value_name = "OUT.pdf")]
    sheet: Option<PathBuf>,
    /// Paper of the sheet.
    #[arg(long, value_enum, default_value_t)]
    paper: PaperName,
    /// Try one change of the plan, all else as planned, and print it beside the plan: hours=7 h,
    /// temperature=900 °C, reheat=800 °C, temper=200 °C, tank=oil, stock=0.2 mm, depth=0.6-1.0 mm,
    /// surface=58-62 HRC, core=30-40 HRC. May be given several times, each tried by itself.
    #[arg(long = "try", value_name = "WHAT=VALUE", conflicts_with = "sheet")]
    tries: Vec<String>,
    /// Plan with what the judged runs of this shop book have taught.
    #[arg(long, value_name = "BOOK", conflicts_with = "tries")]
    book: Option<PathBuf>,
    /// Name the sources that the numbers rest on.
    #[arg(long)]
    sources: bool,
    /// Say under each number why it is what it is, and a little more for who learns.
    #[arg(long)]
    why: bool,
}

/// Plans the job; writes the sheet where one is wanted, the refusal's page included.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    if !options.tries.is_empty() {
        return tries::run(&options.job, &options.tries);
    }
    if let Some(out) = &options.sheet {
        not_over(out, &options.job.job)?;
    }
    let (mut spec, texts) = job::load(&options.job.job)?;
    let taught = match &options.book {
        Some(book) => Some(super::run::learnt::into_shop(book, &mut spec)?),
        None => None,
    };
    let planned = Planned::of(spec, options.job.seed);
    let sources = if options.sources {
        Sources::Listed
    } else {
        Sources::Counted
    };
    let mut text = casewright_report::text::render(&planned.sheet, sources);
    if let Some(taught) = taught {
        text.push_str(&format!("\n{taught}\n"));
    }
    if options.why {
        text.push_str(&planned::whys(&planned));
    } else if planned.report.plan.is_some() {
        text.push_str(
            "\nWhy each number is what it is: --why says it, --json has it under `why`.\n",
        );
    }
    let written = match &options.sheet {
        Some(out) => {
            let bytes = planned::pdf(&planned.sheet, options.paper, false)?;
            world::write_file(out, &bytes)?;
            text.push_str(&format!("\nSheet written to {}\n", out.display()));
            Some(out.as_path())
        }
        None => None,
    };
    let json = json(&planned, options.job.seed, &texts, written);
    Ok(Answer::done(text, json).ending(planned.ending()))
}

/// The plan on the wire.
pub(crate) fn json(planned: &Planned, seed: u64, texts: &Texts, sheet: Option<&Path>) -> String {
    let sheet = sheet.map(|path| path.display().to_string());
    wire::json(&wire::plan::Report::of(
        &planned.spec,
        &planned.report,
        seed,
        texts,
        sheet,
    ))
}

/// A sheet must not replace the job it was made from.
pub(crate) fn not_over(out: &Path, job: &Path) -> Result<(), Trouble> {
    if world::same_file(out, job) {
        return Err(Trouble::input(
            Diag::stop(
                "sheet-over-job",
                format!("The sheet would be written over the job {}.", job.display()),
            )
            .accepted("Name another file for the sheet."),
        ));
    }
    Ok(())
}
