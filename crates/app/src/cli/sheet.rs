//! `sheet`: the run sheet alone.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::plan::not_over;
use super::planned::{self, Planned};
use super::{JobArgs, PaperName, job};
use crate::answer::{Answer, Trouble};
use crate::wire;
use crate::world;

/// Options of `sheet`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    job: JobArgs,
    /// Where the sheet goes; beside the job, with the ending pdf, if not given.
    #[arg(short, long, value_name = "OUT.pdf")]
    output: Option<PathBuf>,
    /// Paper.
    #[arg(long, value_enum, default_value_t)]
    paper: PaperName,
    /// Add a page with the cross-section through the cycle: from the box to the ground face.
    #[arg(long)]
    with_section: bool,
}

#[derive(Serialize)]
struct Written {
    verdict: &'static str,
    sheet: String,
    bytes: usize,
    code: String,
    code_words: String,
}

/// Plans the job and writes its sheet: the run sheet, or the one-page refusal.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let out = options
        .output
        .clone()
        .unwrap_or_else(|| options.job.job.with_extension("pdf"));
    not_over(&out, &options.job.job)?;
    let (spec, _) = job::load(&options.job.job)?;
    let planned = Planned::of(spec, options.job.seed);
    let bytes = planned::pdf(&planned.sheet, options.paper, options.with_section)?;
    world::write_file(&out, &bytes)?;
    let verdict = wire::plan::verdict(planned.report.verdict);
    let head = &planned.sheet.head;
    let json = wire::json(&Written {
        verdict,
        sheet: out.display().to_string(),
        bytes: bytes.len(),
        code: head.code.clone(),
        code_words: head.code_words.clone(),
    });
    let text = format!(
        "{} {}\nSheet {} ({}) written to {}\n",
        planned.sheet.verdict.mark.shape(),
        planned.sheet.verdict.word,
        head.code,
        head.code_words,
        out.display()
    );
    Ok(Answer::done(text, json).ending(planned.ending()))
}
