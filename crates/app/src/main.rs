//! The program `casewright`: reads the command line, hands the work to the other rooms, prints.
//!
//! Holds no formula and no decision of the trade. Every command is a function from its arguments
//! to an [`answer::Answer`]; this file prints the answer once, at the edge, and turns what
//! happened into the exit status: 0 done, 1 the wish cannot be met or a value is out of
//! tolerance, 2 the input is wrong, 3 the world or the program failed.

mod answer;
mod cli;
mod guard;
mod setup_file;
mod show;
#[cfg(feature = "web")]
mod web;
mod wire;
mod world;

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = world::arguments();
    let status = match cli::read(&arguments) {
        Ok(line) => {
            let json = line.json;
            let outcome = guard::run(|| cli::run(&line));
            show::ending(outcome, json)
        }
        Err(usage) => show::usage(&usage, cli::asks_for_json(&arguments)),
    };
    ExitCode::from(status)
}
