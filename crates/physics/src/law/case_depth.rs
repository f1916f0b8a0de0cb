//! Case depth from hardness readings.
