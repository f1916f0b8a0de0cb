//! What the austenite becomes on the way down.
