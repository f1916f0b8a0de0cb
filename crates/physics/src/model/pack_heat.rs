//! When the pack is hot.
