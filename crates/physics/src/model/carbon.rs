//! Carbon in the part over the whole cycle.
