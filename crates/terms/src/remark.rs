//! Values that carry a note about their validity, and the keys of the sources behind them.

/// Key of an entry in `data/sources.toml`.
pub type SourceKey = &'static str;

/// A note about the validity of a value. It must reach the person.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Remark {
    /// Stable code, lower-case words joined by hyphens, such as `kinetics-above-fit`.
    pub code: &'static str,
    /// What was left, by how much, and what that means for the value.
    pub text: String,
}

impl Remark {
    /// Makes a remark.
    #[must_use]
    pub fn new(code: &'static str, text: impl Into<String>) -> Self {
        Self {
            code,
            text: text.into(),
        }
    }
}

/// A value with the remarks that belong to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Valued<T> {
    /// The value.
    pub value: T,
    /// Notes about its validity; empty inside the source's range.
    pub remarks: Vec<Remark>,
}

impl<T> Valued<T> {
    /// A value inside its range.
    pub fn inside(value: T) -> Self {
        Self {
            value,
            remarks: Vec::new(),
        }
    }

    /// A value with one remark.
    pub fn with(value: T, remark: Remark) -> Self {
        Self {
            value,
            remarks: vec![remark],
        }
    }

    /// Takes the value and hands the remarks to `sink`.
    pub fn into_value(self, sink: &mut Vec<Remark>) -> T {
        sink.extend(self.remarks);
        self.value
    }
}
