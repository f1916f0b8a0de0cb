//! The built program, run as a person or a script runs it.
#![expect(
    clippy::disallowed_methods,
    reason = "these tests make files for the program and look at what it wrote"
)]

mod convert;
mod demo;
mod diagnose;
mod disk;
mod explain;
mod hostile;
mod judge;
mod log;
mod note;
mod packed;
mod plan;
mod run;
mod section;
#[cfg(feature = "web")]
mod serve;
#[cfg(feature = "postgres")]
#[path = "../../../records/tests/book/server.rs"]
#[expect(dead_code, reason = "the tests of the store need more of it")]
mod server;
mod shape;
mod shop;
mod simulate;
mod steel;
mod verify;
mod whatif;
mod whole_job;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// What a run of the program gave.
struct Ran {
    status: i32,
    out: String,
    err: String,
}

impl Ran {
    /// Asserts the status, showing both outputs where it is another.
    #[track_caller]
    fn ended(self, status: i32) -> Self {
        assert_eq!(
            self.status, status,
            "stdout:\n{}\nstderr:\n{}",
            self.out, self.err
        );
        for text in [&self.out, &self.err] {
            assert!(!text.contains("panicked"), "{text}");
            assert!(!text.contains("defect of ours"), "{text}");
        }
        self
    }

    /// The one JSON value on standard output.
    #[track_caller]
    fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|fault| panic!("{fault} in\n{}\nstderr:\n{}", self.out, self.err))
    }
}

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_casewright"));
    command.args(arguments).current_dir(root());
    command
}

/// Runs the program in the project's root.
fn run(arguments: &[&str]) -> Ran {
    run_with(command(arguments), "")
}

fn run_with(mut command: Command, input: &str) -> Ran {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // A program that does not read its input closes the pipe; that is no fault of the test.
    let _ = child
        .stdin
        .take()
        .expect("the input is piped")
        .write_all(input.as_bytes());
    let output = child.wait_with_output().expect("the program ends");
    Ran {
        status: output.status.code().expect("the program ends by itself"),
        out: String::from_utf8(output.stdout).expect("text on standard output"),
        err: String::from_utf8(output.stderr).expect("text on standard error"),
    }
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A folder of one test's own, empty.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

/// A file of one test's own.
fn file(folder: &Path, name: &str, bytes: impl AsRef<[u8]>) -> String {
    let path = folder.join(name);
    std::fs::write(&path, bytes).expect("a file for the test");
    path.to_str().expect("a plain path").to_owned()
}

/// Asserts that every dotted path leads to something, `null` included.
#[track_caller]
fn has(value: &Value, paths: &[&str]) {
    for path in paths {
        let mut at = value;
        for key in path.split('.') {
            at = at
                .get(key)
                .unwrap_or_else(|| panic!("{path}: no field {key} in {at}"));
        }
    }
}

/// Asserts that a list is there and not empty, and that its first item has the fields.
#[track_caller]
fn list(value: &Value, field: &str, fields: &[&str]) {
    let first = value[field]
        .as_array()
        .unwrap_or_else(|| panic!("{field} is no list in {value}"))
        .first()
        .unwrap_or_else(|| panic!("{field} is empty"));
    has(first, fields);
}

#[track_caller]
fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

#[track_caller]
fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .unwrap_or_else(|| panic!("{value} is no list"))
        .iter()
        .map(number)
        .collect()
}
