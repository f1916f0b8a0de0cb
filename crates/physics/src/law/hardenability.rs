//! Calculated hardenability of end-quench bars.
