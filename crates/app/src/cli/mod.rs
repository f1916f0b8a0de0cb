//! The command line: names, options, and which function answers.

pub(crate) mod convert;
pub(crate) mod demo;
mod diagnose;
mod explain;
pub(crate) mod job;
mod judge;
mod log;
mod note;
mod packed;
#[cfg(feature = "web")]
mod people;
pub(crate) mod plan;
pub(crate) mod planned;
pub(crate) mod run;
pub(crate) mod search;
pub(crate) mod section;
#[cfg(feature = "web")]
mod serve;
mod share;
mod sheet;
mod shop;
pub(crate) mod simulate;
mod simulate_part;
pub(crate) mod steel;
mod steel_cold;
pub(crate) mod tries;
mod verify;
mod whatif;
pub(crate) mod words;

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::answer::{Answer, Trouble};

/// From a drawing note to a printed run sheet: plans a pack-carburizing job for your shop.
#[derive(Debug, Parser)]
#[command(
    name = "casewright",
    version,
    about,
    disable_help_subcommand = true,
    after_help = "Exit status: 0 done; 1 the wish cannot be met or a value is out of tolerance; \
                  2 the input is wrong; 3 the world or the program failed."
)]
pub(crate) struct Line {
    #[command(subcommand)]
    command: Command,
    /// Print one JSON value on standard output and nothing else there.
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Plan a job: route, temperature, hours, pack, quench, temper, tests, and what it will give.
    Plan(plan::Options),
    /// Tell what goes on inside the part of a job: by depth, in words, with a picture.
    Explain(explain::Options),
    /// Ask a plan what happens if something goes wrong, and what puts it right.
    Whatif(whatif::Options),
    /// Tell which jobs can share a box and a cycle, and whether a job's coupons stand for all parts.
    Share(share::Options),
    /// Read a drawing note and show phrase by phrase what it was taken to mean.
    Note(note::Options),
    /// Plan a job and write its run sheet as a PDF.
    Sheet(sheet::Options),
    /// Simulate carbon in the steel over a temperature cycle.
    Simulate(simulate::Options),
    /// Show what a steel does: transformation temperatures, phases, hardenability.
    Steel(steel::Options),
    /// Convert a hardness to the other scales, where the tables allow it.
    Convert(convert::Options),
    /// Judge the readings of a lot against its note: meets, does not meet, not shown.
    Judge(judge::Options),
    /// Rank why a lot failed, with the cheapest test that tells the causes apart.
    Diagnose(diagnose::Options),
    /// Read a furnace or logger file: every row's fate, holes, time above a temperature.
    Log(log::Options),
    /// The shop book: what was decided, done and seen, only ever added to.
    Shop(shop::Options),
    /// A run at the furnace: start, next step, hold points, coupons, logs, end.
    Run(run::Options),
    /// Who may sign in to the pages of a shop book.
    #[cfg(feature = "web")]
    People(people::Options),
    /// The certificate of a run, or what is missing for one.
    Certificate(run::paper::Options),
    /// The record of processing of a run: what was done and read, with what is missing marked.
    Record(run::paper::Options),
    /// Print the accuracy table: published or exact values beside ours.
    Verify,
    /// Open the shop's pages in a browser on this machine.
    #[cfg(feature = "web")]
    Serve(serve::Options),
    /// Plan the four example jobs of the invented shop Gannet Slip into a folder.
    Demo(demo::Options),
}

/// Paper of the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperName {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8½ × 11 in.
    Letter,
}

/// A job to plan.
#[derive(Debug, Args)]
pub(crate) struct JobArgs {
    /// The job file.
    #[arg(value_name = "JOB.toml")]
    pub(crate) job: PathBuf,
    /// Seed of the planner's samples; the same seed gives the same bytes.
    #[arg(long, default_value_t = 1)]
    pub(crate) seed: u64,
}

/// Reads the command line.
///
/// # Errors
/// clap's own account of a wrong usage, or the help that was asked for.
pub(crate) fn read(arguments: &[OsString]) -> Result<Line, clap::Error> {
    let read = Line::try_parse_from(arguments);
    let below_zero = |word: &&OsString| {
        word.to_str()
            .and_then(|word| word.strip_prefix('-'))
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    };
    match read {
        // `convert -5HRC` is a reading below zero, which has its own answer, and no option.
        Err(fault) if fault.kind() == clap::error::ErrorKind::UnknownArgument => {
            let (values, mut line): (Vec<_>, Vec<_>) =
                arguments.iter().partition(|word| below_zero(word));
            let dashes = OsString::from("--");
            if values.is_empty() || line.contains(&&dashes) {
                return Err(fault);
            }
            line.push(&dashes);
            line.extend(values);
            Line::try_parse_from(line)
        }
        read => read,
    }
}

/// Whether the line asks for JSON, for a line that cannot be read as a whole.
pub(crate) fn asks_for_json(arguments: &[OsString]) -> bool {
    arguments
        .iter()
        .take_while(|word| *word != "--")
        .any(|word| word == "--json")
}

/// Answers the line.
///
/// # Errors
/// What kept the command from an answer.
pub(crate) fn run(line: &Line) -> Result<Answer, Trouble> {
    match &line.command {
        Command::Plan(options) => plan::run(options),
        Command::Explain(options) => explain::run(options),
        Command::Whatif(options) => whatif::run(options),
        Command::Share(options) => share::run(options),
        Command::Sheet(options) => sheet::run(options),
        #[cfg(feature = "web")]
        Command::Serve(options) => serve::run(options),
        Command::Demo(options) => demo::run(options),
        Command::Note(options) => note::run(options),
        Command::Simulate(options) => simulate::run(options),
        Command::Steel(options) => steel::run(options),
        Command::Convert(options) => convert::run(options),
        Command::Judge(options) => judge::run(options),
        Command::Diagnose(options) => diagnose::run(options),
        Command::Log(options) => log::run(options),
        Command::Shop(options) => shop::run(options),
        Command::Run(options) => run::run(options),
        #[cfg(feature = "web")]
        Command::People(options) => people::run(options),
        Command::Certificate(options) => run::paper::certificate(options),
        Command::Record(options) => run::paper::record(options),
        Command::Verify => verify::run(),
    }
}
