//! Diffusivity of carbon in austenite.
