//! The project's shape and formatting, as part of the ordinary tests.

use std::process::Command;

use xtask::{tidy, tree};

#[test]
fn the_project_is_tidy() {
    let tree = tree::Tree::read(&tree::root()).expect("the project can be read");
    assert!(tree.files.len() > 50, "the whole project is read");
    let findings = tidy::findings(&tree);
    let shown: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert!(findings.is_empty(), "to mend:\n{}", shown.join("\n"));
}

#[test]
fn the_code_is_formatted() {
    let output = Command::new(env!("CARGO"))
        .args(["fmt", "--all", "--check"])
        .current_dir(tree::root())
        .output()
        .expect("cargo can be run");
    assert!(
        output.status.success(),
        "run `cargo fmt --all`:\n{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
}
