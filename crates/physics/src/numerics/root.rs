//! Bracketing root finder.
