//! Everything the engine says about one steel, on one card.
