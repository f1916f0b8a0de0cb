//! Quasi-random points for small ensembles.
