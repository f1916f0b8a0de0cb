//! Transcendental functions, so that golden numbers agree across machines.
