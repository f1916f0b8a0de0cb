//! The text files of the project, read once. Skips what is built, what version control keeps, and
//! what is no text.
#![expect(
    clippy::disallowed_methods,
    reason = "a chore reads the project's files; the ban is for the program's rooms"
)]

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// A text file with its path from the root, parts joined by `/`.
#[derive(Clone, Debug)]
pub struct File {
    /// Path from the root.
    pub path: String,
    /// Text.
    pub text: String,
}

/// All text files, sorted by path.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    /// The files.
    pub files: Vec<File>,
    /// Every path there is, files that are no text and folders included, sorted.
    pub paths: Vec<String>,
}

/// Folders that are no part of the project's text.
const SKIPPED: [&str; 4] = ["target", ".git", "node_modules", "demo-out"];
/// Ends of names whose files are read.
const READ: [&str; 6] = [".rs", ".toml", ".md", ".typ", ".csv", ".txt"];

/// The root of the workspace.
///
/// # Panics
/// When this crate does not stand one folder below the root, which it does.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("xtask stands one folder below the root")
        .to_owned()
}

impl Tree {
    /// Reads the project under `root`.
    ///
    /// # Errors
    /// Where a folder or a file cannot be read, with its path.
    pub fn read(root: &Path) -> Result<Self> {
        let mut tree = Self::default();
        tree.walk(root, "")?;
        tree.files.sort_by(|a, b| a.path.cmp(&b.path));
        tree.paths.sort();
        Ok(tree)
    }

    /// A made-up tree, for tests of the checks.
    #[must_use]
    pub fn made_of(files: &[(&str, &str)]) -> Self {
        let mut tree = Self::default();
        for (path, text) in files {
            tree.files.push(File {
                path: (*path).to_owned(),
                text: (*text).to_owned(),
            });
            let mut above = Some(*path);
            while let Some(path) = above {
                tree.paths.push(path.to_owned());
                above = path.rsplit_once('/').map(|(folder, _)| folder);
            }
        }
        tree.paths.sort();
        tree.paths.dedup();
        tree
    }

    fn walk(&mut self, folder: &Path, prefix: &str) -> Result<()> {
        let entries =
            fs::read_dir(folder).with_context(|| format!("listing {}", folder.display()))?;
        for entry in entries {
            let entry = entry.with_context(|| format!("listing {}", folder.display()))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if SKIPPED.contains(&name.as_str()) {
                continue;
            }
            let path = format!("{prefix}{name}");
            self.paths.push(path.clone());
            let kind = entry
                .file_type()
                .with_context(|| format!("looking at {path}"))?;
            if kind.is_dir() {
                self.walk(&entry.path(), &format!("{path}/"))?;
            } else if READ.iter().any(|end| name.ends_with(end)) {
                let text = fs::read_to_string(entry.path())
                    .with_context(|| format!("reading {path}, which should be text"))?;
                self.files.push(File { path, text });
            }
        }
        Ok(())
    }

    /// The file at that path.
    #[must_use]
    pub fn file(&self, path: &str) -> Option<&File> {
        self.files.iter().find(|file| file.path == path)
    }

    /// Whether there is a file or a folder at that path.
    #[must_use]
    pub fn has(&self, path: &str) -> bool {
        self.paths
            .iter()
            .any(|known| known == path.trim_end_matches('/'))
    }

    /// The Rust files.
    pub fn rust(&self) -> impl Iterator<Item = &File> {
        self.files.iter().filter(|file| file.path.ends_with(".rs"))
    }
}

impl File {
    /// The folder under `crates/`, or `xtask`.
    #[must_use]
    pub fn room(&self) -> Option<&str> {
        match self.path.strip_prefix("crates/") {
            Some(rest) => rest.split('/').next(),
            None => self.path.starts_with("xtask/").then_some("xtask"),
        }
    }

    /// Whether the file is part of what is shipped, not a test, an example or a bench.
    #[must_use]
    pub fn is_shipped(&self) -> bool {
        self.path.contains("/src/")
            && !self.path.ends_with("/tests.rs")
            && !self.path.contains("/tests/")
    }
}
