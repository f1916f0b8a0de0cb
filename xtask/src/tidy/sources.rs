//! Every source key that is cited is on record, and every record is cited.

use std::collections::BTreeMap;

use super::{Finding, laws, numbered};
use crate::code;
use crate::tree::{File, Tree};

const FOLDER: &str = "data/sources/";
const KINDS: [&str; 6] = [
    "published",
    "standard",
    "measured-here",
    "fitted-here",
    "assumed",
    "trade",
];

pub(super) fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    let records = records(tree, &mut findings);
    let cited = cited(tree);
    for (key, (path, line)) in &cited {
        if !records.contains_key(key) {
            findings.push(Finding::new(
                path,
                *line,
                format!("cites [{key}], which is not in {FOLDER}"),
            ));
        }
    }
    for (key, path) in &records {
        if !cited.contains_key(key) && !named_anywhere(tree, key) {
            findings.push(Finding::new(path, 0, format!("[{key}] is cited nowhere")));
        }
    }
    findings
}

/// Keys on record with their file; complains about records that are not whole.
fn records(tree: &Tree, findings: &mut Vec<Finding>) -> BTreeMap<String, String> {
    let mut records = BTreeMap::new();
    for file in tree
        .files
        .iter()
        .filter(|file| file.path.starts_with(FOLDER))
    {
        let table: toml::Table = match file.text.parse() {
            Ok(table) => table,
            Err(fault) => {
                findings.push(Finding::new(
                    &file.path,
                    0,
                    format!("is not TOML: {}", fault.message()),
                ));
                continue;
            }
        };
        for (key, record) in table {
            let text = |name: &str| record.get(name).and_then(toml::Value::as_str);
            if !text("kind").is_some_and(|kind| KINDS.contains(&kind)) {
                findings.push(Finding::new(
                    &file.path,
                    0,
                    format!("[{key}]: `kind` is one of {KINDS:?}"),
                ));
            }
            for name in ["reference", "held"] {
                if text(name).is_none_or(|words| words.trim().is_empty()) {
                    findings.push(Finding::new(
                        &file.path,
                        0,
                        format!("[{key}]: `{name}` is empty"),
                    ));
                }
            }
            if let Some(other) = records.insert(key.clone(), file.path.clone()) {
                findings.push(Finding::new(
                    &file.path,
                    0,
                    format!("[{key}] stands in {other} too; keep one"),
                ));
            }
        }
    }
    records
}

/// Keys cited in comments as `[key]`, in backticks under a law's heading Source, in code as `source: "key"` and the like, in data as
/// `source = "key"`; each with its first place.
fn cited(tree: &Tree) -> BTreeMap<String, (String, usize)> {
    let mut cited = BTreeMap::new();
    let mut add = |key: &str, file: &File, line: usize| {
        if is_key(key) {
            cited
                .entry(key.to_owned())
                .or_insert_with(|| (file.path.clone(), line));
        }
    };
    for file in &tree.files {
        if file.path.ends_with(".rs") && file.path.starts_with("crates/physics/src/") {
            for (line, text) in numbered(&file.text) {
                for key in in_comment(text) {
                    add(key, file, line);
                }
            }
            for (line, key) in in_code(&file.text) {
                add(&key, file, line);
            }
            for (_, text) in laws::sections(file)
                .iter()
                .filter(|(head, _)| *head == "Source")
            {
                for key in text.split('`').skip(1).step_by(2) {
                    add(key, file, 1);
                }
            }
        } else if file.path.starts_with("data/") && !file.path.starts_with(FOLDER) {
            for (line, text) in numbered(&file.text) {
                let source = text.trim_start().strip_prefix("source");
                if let Some(key) = source.and_then(|rest| rest.split('"').nth(1)) {
                    add(key, file, line);
                }
            }
        }
    }
    cited
}

/// Lower-case words joined by hyphens, long enough not to be a range such as `a-z`.
fn is_key(text: &str) -> bool {
    text.len() >= 5
        && text.contains('-')
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.ends_with(|c: char| c.is_ascii_lowercase() || c.is_ascii_digit())
        && text
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '.')
}

/// `[key]` in the comment part of a line.
fn in_comment(line: &str) -> impl Iterator<Item = &str> {
    let comment = line.find("//").map_or("", |at| &line[at..]);
    comment
        .split('[')
        .skip(1)
        .filter_map(|rest| rest.split(']').next())
}

/// Texts in code that a field or a constant for sources holds: `source: "key"`,
/// `sources: vec!["key", …]`, `const X: SourceKey = "key"`.
fn in_code(text: &str) -> Vec<(usize, String)> {
    let shape = code::only(text);
    let lines: Vec<&str> = shape.lines().collect();
    let mut open = false;
    let holds: Vec<bool> = lines
        .iter()
        .map(|line| {
            let names = [
                "source:",
                "sources:",
                "SourceKey",
                "SOURCE",
                "sources.push",
                "sources.extend",
            ]
            .iter()
            .any(|name| line.contains(name));
            let here = names || open;
            // A list goes on until its bracket closes.
            open = here && (open || line.contains('[')) && !line.contains(']');
            here
        })
        .collect();
    code::strings(text)
        .into_iter()
        .filter(|(line, _)| holds.get(line - 1).copied().unwrap_or(false))
        .collect()
}

/// Whether the key stands in quotes or brackets in the code, the data or the documents.
fn named_anywhere(tree: &Tree, key: &str) -> bool {
    let quoted = format!("\"{key}\"");
    let bracketed = format!("[{key}]");
    let ticked = format!("`{key}`");
    tree.files
        .iter()
        .filter(|file| !file.path.starts_with(FOLDER))
        .any(|file| {
            [&quoted, &bracketed, &ticked]
                .iter()
                .any(|form| file.text.contains(form.as_str()))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECORD: &str =
        "[agren-1986]\nkind = \"published\"\nreference = \"r\"\nheld = \"h\"\nerrata = \"\"\n";

    fn found(code: &str, record: &str) -> Vec<String> {
        check(&Tree::made_of(&[
            ("crates/physics/src/law/x.rs", code),
            ("data/sources/x.toml", record),
        ]))
        .into_iter()
        .map(|f| f.text)
        .collect()
    }

    #[test]
    fn cited_and_recorded_is_fine() {
        for code in [
            "// [agren-1986] eq. 12",
            "//! **Source**: `agren-1986`, recalled.",
            "const KEY: SourceKey = \"agren-1986\";",
            "R { source: \"agren-1986\" }",
            "let sources = X { sources: vec![\n \"agren-1986\",\n] };",
        ] {
            assert!(
                found(code, RECORD).is_empty(),
                "{code}: {:?}",
                found(code, RECORD)
            );
        }
    }

    #[test]
    fn gaps_are_found() {
        assert_eq!(found("", RECORD), ["[agren-1986] is cited nowhere"]);
        for code in [
            "// [other-1999]",
            "let s = X { sources: vec![\"other-1999\"] };",
        ] {
            let both = format!("{code}\n// [agren-1986]");
            assert_eq!(found(&both, RECORD).len(), 1, "{code}");
        }
        let code = "// [agren-1986]";
        assert_eq!(found(code, &RECORD.replace("published", "rumour")).len(), 1);
        assert_eq!(found(code, &RECORD.replace("\"r\"", "\"\"")).len(), 1);
    }

    #[test]
    fn brackets_that_are_no_keys_are_passed_over() {
        let code = "// [agren-1986] [a-z] [`Type`] [0-9] [Some Words] [x](https://a-b.example)";
        assert!(found(code, RECORD).is_empty());
    }
}
