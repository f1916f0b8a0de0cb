//! The map and the guides name what exists: crates, folders and files.

use super::{Finding, numbered};
use crate::tree::{File, Tree};

const MAP: &str = "ARCHITECTURE.md";
/// First parts of paths that a document names from the root.
const ROOTS: [&str; 8] = [
    "crates/",
    "data/",
    "docs/",
    "xtask/",
    "examples/",
    "cases/",
    "validation/",
    ".ci/",
];

pub(super) fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    match tree.file(MAP) {
        Some(map) => crates(tree, map, &mut findings),
        None => findings.push(Finding::new(MAP, 0, "the map is missing")),
    }
    for file in tree.files.iter().filter(|file| is_document(&file.path)) {
        paths(tree, file, &mut findings);
    }
    theory(tree, &mut findings);
    findings
}

fn is_document(path: &str) -> bool {
    path.ends_with(".md") && (path.starts_with("docs/") || !path.contains('/'))
}

/// The crates under `crates/` are those the map names as `crates/<name>`, no more and no fewer.
fn crates(tree: &Tree, map: &File, findings: &mut Vec<Finding>) {
    for path in &tree.paths {
        let Some(room) = path
            .strip_prefix("crates/")
            .and_then(|rest| rest.strip_suffix("/Cargo.toml"))
        else {
            continue;
        };
        if !map.text.contains(&format!("crates/{room}")) {
            findings.push(Finding::new(
                MAP,
                0,
                format!("the crate crates/{room} is not on the map"),
            ));
        }
    }
}

/// Paths in backticks, from the root, must exist. A path with a placeholder is no path.
fn paths(tree: &Tree, file: &File, findings: &mut Vec<Finding>) {
    for (line, text) in numbered(&file.text) {
        for named in text.split('`').skip(1).step_by(2) {
            let from_root = ROOTS.iter().any(|root| named.starts_with(root));
            let placeholder = named.contains(['<', '*', '…', '{', ' ', ':']);
            if from_root && !placeholder && !tree.has(named) {
                findings.push(Finding::new(
                    &file.path,
                    line,
                    format!("`{named}` does not exist"),
                ));
            }
            if module_file(tree, named) == Some(false) {
                findings.push(Finding::new(
                    &file.path,
                    line,
                    format!("`{named}` is no module"),
                ));
            }
        }
    }
}

/// What stands in backticks.
fn ticked(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// Whether `physics::law::x` (or an item in it) is a file; `None` for a name that is no such path.
fn module_file(tree: &Tree, name: &str) -> Option<bool> {
    let (room, rest) = name.split_once("::")?;
    if !matches!(room, "physics" | "plan" | "job" | "report") {
        return None;
    }
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | ':');
    if !rest.chars().all(plain) {
        return None;
    }
    let path = |rest: &str| format!("crates/{room}/src/{}", rest.replace("::", "/"));
    let module = |rest: &str| {
        tree.has(&format!("{}.rs", path(rest))) || tree.has(&format!("{}/mod.rs", path(rest)))
    };
    let above = rest.rsplit_once("::").map(|(above, _)| above);
    Some(module(rest) || above.is_none_or(module))
}

/// A page of theory names the file that computes it.
fn theory(tree: &Tree, findings: &mut Vec<Finding>) {
    for page in &tree.files {
        if page.path.starts_with("docs/theory/")
            && page.path.ends_with(".md")
            && !page.path.ends_with("/README.md")
            && !page.text.contains("`crates/physics/src/")
            && !page.text.contains("`crates/plan/src/")
            && !ticked(&page.text).any(|name| module_file(tree, name) == Some(true))
        {
            findings.push(Finding::new(
                &page.path,
                0,
                "names no module; say which file under crates/physics/src computes this",
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(files: &[(&str, &str)]) -> Vec<String> {
        check(&Tree::made_of(files))
            .into_iter()
            .map(|f| f.text)
            .collect()
    }

    const CRATE: (&str, &str) = ("crates/a/Cargo.toml", "");

    #[test]
    fn a_true_map_is_fine() {
        assert!(found(&[CRATE, (MAP, "`crates/a/` and `crates/<name>/src`")]).is_empty());
    }

    #[test]
    fn drift_is_found() {
        assert_eq!(found(&[CRATE]), ["the map is missing"]);
        assert_eq!(found(&[CRATE, (MAP, "nothing")]).len(), 1);
        assert_eq!(
            found(&[CRATE, (MAP, "`crates/a` `crates/gone/src/x.rs`")]).len(),
            1
        );
        let code = ("crates/physics/src/law/x.rs", "");
        for named in [
            "`physics::law::x`",
            "`physics::law::x::speed`",
            "`crates/physics/src/law/x.rs`",
        ] {
            let page = ("docs/theory/x.md", named);
            assert!(
                found(&[CRATE, (MAP, "`crates/a`"), code, page]).is_empty(),
                "{named}"
            );
        }
        let gone = (
            "docs/theory/x.md",
            "`physics::law::x` `physics::law::gone::f`",
        );
        assert_eq!(found(&[CRATE, (MAP, "`crates/a`"), code, gone]).len(), 1);
        let page = ("docs/theory/x.md", "no module");
        assert_eq!(found(&[CRATE, (MAP, "`crates/a`"), page]).len(), 1);
    }
}
