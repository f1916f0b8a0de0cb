//! The chain from the packed part to the tempered one.
