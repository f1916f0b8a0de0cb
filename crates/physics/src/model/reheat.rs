//! The part in the furnace before a quench.
pub(crate) mod skin;
pub(crate) mod stay;
pub(crate) use skin::{Section, Ways};
pub(crate) use stay::{Depths, Hold, graded, stay};
