//! Heat transfer from hot steel to quenchants.
