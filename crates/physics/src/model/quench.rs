//! Temperature of every depth during the quench.
