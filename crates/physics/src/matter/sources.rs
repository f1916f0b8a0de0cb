//! The list of sources behind every number: what each key in the code and the data stands for.
//!
//! The entries live in `data/sources/*.toml` and are compiled in. This file reads and checks them;
//! it judges nothing about how good a source is.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

/// The files, by name, as they were when the program was built.
const FILES: [(&str, &str); 8] = [
    ("plane", include_str!("../../../../data/sources/plane.toml")),
    (
        "carbon",
        include_str!("../../../../data/sources/carbon.toml"),
    ),
    ("laws", include_str!("../../../../data/sources/laws.toml")),
    ("heat", include_str!("../../../../data/sources/heat.toml")),
    (
        "steels",
        include_str!("../../../../data/sources/steels.toml"),
    ),
    (
        "equilibrium",
        include_str!("../../../../data/sources/equilibrium.toml"),
    ),
    ("media", include_str!("../../../../data/sources/media.toml")),
    ("trade", include_str!("../../../../data/sources/trade.toml")),
];

/// What sort of source an entry is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    /// A paper or a book.
    Published,
    /// A standard of a standards body.
    Standard,
    /// Measured by this project.
    MeasuredHere,
    /// Fitted by this project to something published.
    FittedHere,
    /// Taken for granted, for want of better.
    Assumed,
    /// Common practice of the trade, without a source that could be looked up.
    Trade,
}

impl SourceKind {
    /// The word used in files and answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Standard => "standard",
            Self::MeasuredHere => "measured-here",
            Self::FittedHere => "fitted-here",
            Self::Assumed => "assumed",
            Self::Trade => "trade",
        }
    }
}

/// One source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Key by which code and data name it.
    pub key: String,
    /// What sort of source it is.
    pub kind: SourceKind,
    /// Full reference.
    pub reference: String,
    /// What we hold of it: the paper, an excerpt, a recollection.
    pub held: String,
    /// Misprints found in copies; empty where none are known.
    pub errata: String,
}

/// An entry as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    kind: SourceKind,
    reference: String,
    held: String,
    #[serde(default)]
    errata: String,
}

static REGISTRY: LazyLock<BTreeMap<String, Source>> =
    LazyLock::new(|| read(&FILES).unwrap_or_else(|problem| panic!("{problem}")));

/// The source behind a key, or `None` when there is no such key.
///
/// # Panics
/// When the compiled-in files are malformed, which the tests of this module rule out.
#[must_use]
pub fn source(key: &str) -> Option<&'static Source> {
    REGISTRY.get(key)
}

/// Every source, by key.
///
/// # Panics
/// As [`source`].
pub fn all() -> impl Iterator<Item = &'static Source> {
    REGISTRY.values()
}

/// Reads the files; the error names the file and the entry.
fn read(files: &[(&str, &str)]) -> Result<BTreeMap<String, Source>, String> {
    let mut registry = BTreeMap::new();
    for (file, text) in files {
        let entries: BTreeMap<String, Entry> = toml::from_str(text)
            .map_err(|problem| format!("data/sources/{file}.toml: {problem}"))?;
        for (key, entry) in entries {
            if key.is_empty() || entry.reference.trim().is_empty() || entry.held.trim().is_empty() {
                return Err(format!(
                    "data/sources/{file}.toml: [{key}] needs a key, a reference and what is held"
                ));
            }
            let source = Source {
                key: key.clone(),
                kind: entry.kind,
                reference: entry.reference,
                held: entry.held,
                errata: entry.errata,
            };
            if registry.insert(key.clone(), source).is_some() {
                return Err(format!("data/sources/{file}.toml: [{key}] stands twice"));
            }
        }
    }
    Ok(registry)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_reads_and_keys_are_unique() {
        let registry = read(&FILES).unwrap();
        assert!(registry.len() >= 20, "only {} sources", registry.len());
        assert_eq!(all().count(), registry.len());
    }

    #[test]
    fn a_known_key_is_found_and_an_unknown_one_is_not() {
        assert_eq!(source("trade-practice").unwrap().kind, SourceKind::Trade);
        assert!(source("no-such-key").is_none());
    }

    #[test]
    fn a_key_in_two_files_is_refused() {
        let entry = "[a]\nkind = \"assumed\"\nreference = \"r\"\nheld = \"h\"\n";
        let problem = read(&[("one", entry), ("two", entry)]).unwrap_err();
        assert!(problem.contains("two.toml: [a] stands twice"), "{problem}");
    }

    #[test]
    fn an_empty_reference_or_a_wrong_kind_is_refused() {
        for text in [
            "[a]\nkind = \"assumed\"\nreference = \" \"\nheld = \"h\"\n",
            "[a]\nkind = \"assumed\"\nreference = \"r\"\nheld = \"\"\n",
            "[a]\nkind = \"rumour\"\nreference = \"r\"\nheld = \"h\"\n",
            "[a]\nkind = \"assumed\"\nreference = \"r\"\nheld = \"h\"\nowner = \"x\"\n",
        ] {
            assert!(read(&[("one", text)]).is_err(), "{text}");
        }
    }
}
