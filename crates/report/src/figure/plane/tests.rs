//! The map as a drawing: well formed, its words inside and apart.
