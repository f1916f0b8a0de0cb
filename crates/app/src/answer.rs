//! What a command hands back: one answer for people and scripts alike, or what went wrong.

use std::path::PathBuf;

use casewright_terms::Diag;

/// How a command that ran to its end came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ending {
    /// Done.
    Done,
    /// The wish cannot be met, or a value is out of its tolerance.
    NotMet,
}

impl Ending {
    /// Exit status.
    pub(crate) const fn status(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::NotMet => 1,
        }
    }
}

/// A command's result, told twice: as text for a person, as one JSON value for a script.
#[derive(Debug)]
pub(crate) struct Answer {
    /// For the terminal, with its line ends.
    pub(crate) text: String,
    /// For a script.
    pub(crate) json: String,
    /// How it came out.
    pub(crate) ending: Ending,
    /// Warnings and notes that go to stderr, whatever form the answer has.
    pub(crate) diags: Vec<Diag>,
    /// The texts the diags point into.
    pub(crate) texts: Texts,
}

impl Answer {
    /// An answer without complaints.
    pub(crate) fn done(text: String, json: String) -> Self {
        Self {
            text,
            json,
            ending: Ending::Done,
            diags: Vec::new(),
            texts: Texts::default(),
        }
    }

    /// The same answer with complaints and the texts they point into.
    pub(crate) fn with_diags(mut self, diags: Vec<Diag>, texts: Texts) -> Self {
        self.diags = diags;
        self.texts = texts;
        self
    }

    /// The same answer, its complaints pointing into these texts.
    pub(crate) fn with_texts(mut self, texts: Texts) -> Self {
        self.texts = texts;
        self
    }

    /// The same answer with another ending.
    pub(crate) fn ending(mut self, ending: Ending) -> Self {
        self.ending = ending;
        self
    }
}

/// Texts by the name that places use for them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Texts {
    named: Vec<(String, String)>,
}

impl Texts {
    /// One text.
    pub(crate) fn one(name: impl Into<String>, text: impl Into<String>) -> Self {
        let mut texts = Self::default();
        texts.add(name, text);
        texts
    }

    /// Adds a text; a later one of the same name is not taken.
    pub(crate) fn add(&mut self, name: impl Into<String>, text: impl Into<String>) {
        let name = name.into();
        if self.get(&name).is_none() {
            self.named.push((name, text.into()));
        }
    }

    /// Names in the order in which the texts were read.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.named.iter().map(|(name, _)| name.as_str())
    }

    /// The text of that name.
    pub(crate) fn get(&self, name: &str) -> Option<&str> {
        self.named
            .iter()
            .find(|(known, _)| known == name)
            .map(|(_, text)| text.as_str())
    }
}

/// Why a command gave no answer.
#[derive(Debug)]
pub(crate) enum Trouble {
    /// What the person wrote is wrong: all complaints, and the texts they point into.
    Input {
        /// The complaints.
        diags: Vec<Diag>,
        /// The texts.
        texts: Texts,
    },
    /// The world failed.
    World(WorldTrouble),
    /// The numbers failed.
    Numbers(casewright_physics::run::Failure),
    /// We failed: what the assertion said, with its values and place.
    Defect(String),
}

impl Trouble {
    /// One complaint without a text behind it.
    pub(crate) fn input(diag: Diag) -> Self {
        Self::Input {
            diags: vec![diag],
            texts: Texts::default(),
        }
    }

    /// Exit status.
    pub(crate) const fn status(&self) -> u8 {
        match self {
            Self::Input { .. } => 2,
            Self::World(_) | Self::Numbers(_) | Self::Defect(_) => 3,
        }
    }
}

impl From<WorldTrouble> for Trouble {
    fn from(trouble: WorldTrouble) -> Self {
        Self::World(trouble)
    }
}

/// What the world refused, with the path it was about. The inner error is printed once, by
/// whoever shows this.
#[derive(Debug, thiserror::Error)]
pub(crate) enum WorldTrouble {
    /// A file could not be written.
    #[error("{path} could not be written; check that the folder exists, is yours and has room")]
    Write {
        /// Which.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A folder could not be made.
    #[error("the folder {path} could not be made; check the path and who may write there")]
    MakeFolder {
        /// Which.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// Something of somebody else's stands where we would write.
    #[error(
        "{path} is there already and is not as this command left it; nothing was written. \
             Name another folder, or move it away"
    )]
    Foreign {
        /// Which.
        path: PathBuf,
    },
    /// The shop book could not be read or written.
    #[error(transparent)]
    Book(casewright_records::StoreError),
    /// The pages could not be served.
    #[cfg(feature = "web")]
    #[error(
        "the pages could not be opened; if another program holds the port, name another with --port"
    )]
    Serve {
        /// What the system said.
        source: std::io::Error,
    },
    /// The PDF could not be made.
    #[error("the sheet could not be set: {what}")]
    Pdf {
        /// What the typesetter said.
        what: String,
    },
}
