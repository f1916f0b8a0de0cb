//! Carbon activity in austenite.
