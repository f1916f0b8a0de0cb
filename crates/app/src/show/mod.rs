//! Prints answers and troubles: the one place where a chain of errors is told, and told once.

pub(crate) mod diag;
pub(crate) mod number;
pub(crate) mod table;
pub(crate) mod wrap;

use crate::answer::{Answer, Texts, Trouble};
use crate::wire;
use crate::world;

/// Prints what came of a command and gives its exit status.
pub(crate) fn ending(outcome: Result<Answer, Trouble>, json: bool) -> u8 {
    match outcome {
        Ok(answer) => {
            complaints(&answer.diags, &answer.texts);
            let body = if json {
                format!("{}\n", answer.json)
            } else {
                answer.text
            };
            match world::print(&body) {
                Ok(()) => answer.ending.status(),
                Err(failed) => self::trouble(&Trouble::World(failed), false),
            }
        }
        Err(failed) => trouble(&failed, json),
    }
}

/// Prints a fault of the command line itself, or the help that was asked for.
pub(crate) fn usage(usage: &clap::Error, json: bool) -> u8 {
    let shown = usage.render();
    if !usage.use_stderr() {
        // Help and version are answers.
        let _ = world::print(&shown.to_string());
        return 0;
    }
    if world::complaints_in_colour() {
        world::complain(&shown.ansi().to_string());
    } else {
        world::complain(&shown.to_string());
    }
    if json {
        // What is wrong stands before the usage line, over one or more lines.
        let text = shown.to_string();
        let said: Vec<&str> = text
            .lines()
            .map(str::trim)
            .take_while(|line| !line.starts_with("Usage:"))
            .filter(|line| !line.is_empty())
            .collect();
        let said = said.join(" ");
        let said = said.strip_prefix("error: ").unwrap_or(&said);
        let _ = world::print(&format!("{}\n", wire::trouble::usage(said)));
    }
    2
}

fn trouble(trouble: &Trouble, json: bool) -> u8 {
    match trouble {
        Trouble::Input { diags, texts } => complaints(diags, texts),
        other => world::complain(&format!("casewright: {}\n", sentence(other))),
    }
    if json {
        // Nothing more can be done where this fails: the complaint is out already.
        let _ = world::print(&format!("{}\n", wire::trouble::trouble(trouble)));
    }
    trouble.status()
}

/// What failed, with the system's own words behind ours.
pub(crate) fn sentence(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Input { diags, .. } => diags
            .first()
            .map_or_else(|| "the input is wrong".to_owned(), |diag| diag.seen.clone()),
        Trouble::World(failed) => {
            let mut words = failed.to_string();
            let mut inner = std::error::Error::source(failed);
            while let Some(cause) = inner {
                words.push_str(&format!(": {cause}"));
                inner = cause.source();
            }
            words
        }
        Trouble::Numbers(failure) => failure.to_string(),
        Trouble::Defect(words) => format!(
            "the program failed; this is a defect of ours and not of your file.\n  \
             Please report these words with the file: {words}"
        ),
    }
}

fn complaints(diags: &[casewright_terms::Diag], texts: &Texts) {
    if !diags.is_empty() {
        world::complain(&diag::render(diags, texts, world::complaints_in_colour()));
    }
}
