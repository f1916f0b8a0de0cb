//! Martensite start and the austenite left at room temperature.
