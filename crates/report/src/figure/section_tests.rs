//! The drawn areas against the shares they stand for.
