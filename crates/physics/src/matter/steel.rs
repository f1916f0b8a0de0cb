//! The table of steels.
