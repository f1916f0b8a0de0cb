//! Saturation of austenite with carbon: graphite and cementite lines.
