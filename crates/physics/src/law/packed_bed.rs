//! Heat transfer in a bed of charcoal grains.
