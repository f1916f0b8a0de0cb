//! Tridiagonal systems.
