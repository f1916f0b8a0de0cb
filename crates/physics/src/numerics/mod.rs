//! Numerical methods that know no physics names: bare `f64` in SI units.

pub mod banded;
pub mod blocks;
pub mod chebyshev;
pub mod dense;
pub mod fun;
pub mod interpolate;
pub mod lines;
pub mod mesh;
pub mod outline;
pub mod quasi;
pub mod root;
pub mod rosenbrock;
pub mod sparse;
pub mod triangles;
pub mod tridiagonal;
