//! Complaints about what a person wrote, or about a plan: many at once, each with its way out.

use std::fmt;
use std::ops::Range;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Look here before going on.
    Warn,
    /// Nothing may go on until this is settled.
    Stop,
}

impl Severity {
    /// The word used in files and answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warn => "warn",
            Self::Stop => "stop",
        }
    }
}

/// A stretch of a text: which one, and which bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Name of the text, usually the file's path as given.
    pub file: String,
    /// Byte range in that text.
    pub span: Range<usize>,
}

/// One complaint. `seen` says what is there, `why` what it would do to the part, `accepted` what
/// would be taken instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diag {
    /// Stable code, lower-case words joined by hyphens.
    pub code: &'static str,
    /// Its weight.
    pub severity: Severity,
    /// What was seen.
    pub seen: String,
    /// Why it matters for the part or the people; empty where that is plain.
    pub why: String,
    /// What would be accepted, or what to do next; empty where nothing is.
    pub accepted: String,
    /// Where in which text.
    pub place: Option<Place>,
    /// Second places that explain the first.
    pub also: Vec<(Place, String)>,
}

impl Diag {
    /// A complaint without a place yet.
    #[must_use]
    pub fn new(code: &'static str, severity: Severity, seen: impl Into<String>) -> Self {
        Self {
            code,
            severity,
            seen: seen.into(),
            why: String::new(),
            accepted: String::new(),
            place: None,
            also: Vec::new(),
        }
    }

    /// Shorthand for a complaint that stops.
    #[must_use]
    pub fn stop(code: &'static str, seen: impl Into<String>) -> Self {
        Self::new(code, Severity::Stop, seen)
    }

    /// Shorthand for a warning.
    #[must_use]
    pub fn warn(code: &'static str, seen: impl Into<String>) -> Self {
        Self::new(code, Severity::Warn, seen)
    }

    /// Shorthand for a note.
    #[must_use]
    pub fn note(code: &'static str, seen: impl Into<String>) -> Self {
        Self::new(code, Severity::Note, seen)
    }

    /// Says why it matters.
    #[must_use]
    pub fn why(mut self, why: impl Into<String>) -> Self {
        self.why = why.into();
        self
    }

    /// Says what would be accepted.
    #[must_use]
    pub fn accepted(mut self, accepted: impl Into<String>) -> Self {
        self.accepted = accepted.into();
        self
    }

    /// Says where.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }

    /// Adds a second place.
    #[must_use]
    pub fn also(mut self, place: Place, label: impl Into<String>) -> Self {
        self.also.push((place, label.into()));
        self
    }

    /// What was seen and why it matters, as one text.
    #[must_use]
    pub fn text(&self) -> String {
        if self.why.is_empty() {
            self.seen.clone()
        } else {
            format!("{} {}", self.seen, self.why)
        }
    }
}

impl fmt::Display for Diag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.severity.word(), self.text())?;
        if !self.accepted.is_empty() {
            write!(f, " {}", self.accepted)?;
        }
        Ok(())
    }
}
