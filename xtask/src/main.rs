//! The one entry to the chores: `cargo xtask <chore>`.

use std::process::ExitCode;

use anyhow::{Result, bail};
use xtask::{tidy, tree};

fn main() -> ExitCode {
    match run() {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::from(3)
        }
    }
}

/// Runs the chore that was named; `false` where it found something to mend.
fn run() -> Result<bool> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["tidy"] => tidy(),
        _ => bail!("name a chore: tidy"),
    }
}

fn tidy() -> Result<bool> {
    let tree = tree::Tree::read(&tree::root())?;
    let findings = tidy::findings(&tree);
    for finding in &findings {
        println!("{finding}");
    }
    println!(
        "tidy: {} files, {} findings",
        tree.files.len(),
        findings.len()
    );
    Ok(findings.is_empty())
}
